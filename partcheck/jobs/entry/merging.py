"""Two people changed one part: what each of them changed, and the part with both."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from partcheck.parts.checks import columns

SOURCE = "provenance."
"""Before the name of a value: where it comes from."""


@dataclass(frozen=True)
class MergedValue:
    """A value of a record: as both began, as it was changed here, and as it is there now; None is not stated."""

    column: str
    was: Any
    here: Any
    there: Any

    @property
    def contested(self) -> bool:
        """Whether both changed it, each to something else."""
        return self.here not in (self.was, self.there) and self.there != self.was


def merged(
    kind: str,
    base: Mapping[str, Any],
    mine: Mapping[str, Any],
    theirs: Mapping[str, Any],
    mine_stands: Callable[[MergedValue], bool],
) -> dict[str, Any]:
    """The record with what was changed on either side; ``mine_stands`` is asked of each value changed there.

    The source of a value goes with the value.
    """
    made = flat(theirs)
    values = list(three_ways(base, mine, theirs))
    there_changed = {value.column for value in values if value.there != value.was}
    kept = set[str]()
    for value in values:
        told = value.there != value.was and mine_stands(value)
        if value.column.startswith(SOURCE):
            of = value_of(kind, value.column.removeprefix(SOURCE))
            untouched = of not in there_changed and value.there == value.was
            stands = of in kept or (value.here != value.was and untouched)
        else:
            stands = value.here not in (value.was, value.there) and (value.there == value.was or told)
        if stands:
            kept.add(value.column)
            made.pop(value.column, None)
            if value.here is not None:
                made[value.column] = value.here
    return _record(made)


def three_ways(base: Mapping[str, Any], mine: Mapping[str, Any], theirs: Mapping[str, Any]) -> Iterator[MergedValue]:
    """Every value that any of the three states, sources last."""
    was, here, there = flat(base), flat(mine), flat(theirs)
    for column in sorted({**was, **here, **there}, key=lambda column: column.startswith(SOURCE)):
        yield MergedValue(column, was.get(column), here.get(column), there.get(column))


def flat(record: Mapping[str, Any]) -> dict[str, Any]:
    """A record with each source on its own."""
    made = {name: value for name, value in record.items() if name != "provenance"}
    return made | {f"{SOURCE}{name}": source for name, source in record.get("provenance", {}).items()}


def _record(values: Mapping[str, Any]) -> dict[str, Any]:
    made = {name: value for name, value in values.items() if not name.startswith(SOURCE)}
    sources = {name.removeprefix(SOURCE): value for name, value in values.items() if name.startswith(SOURCE)}
    return made | ({"provenance": sources} if sources else {})


def value_of(kind: str, name: str) -> str:
    """The value of a record that a column belongs to: ``vgs_th_min`` is within ``vgs_th``."""
    declared = columns(kind).get(name)
    return name if declared is None else declared.name
