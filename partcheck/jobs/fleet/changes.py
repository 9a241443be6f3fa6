"""A change that concerns many boards: a part that is gone, or a datasheet value that was wrong."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from partcheck.errors import UsageError, ValueSlip
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.cells import Refused, read
from partcheck.parts.problems import did_you_mean


class WrongCorrection(UsageError):
    """A corrected value that the part's kind does not have, or that cannot be read: wrong for every board."""


@dataclass(frozen=True)
class Changed:
    """A part, as ``PART`` or ``MAKER:PART``: gone for good, or with other values than were known."""

    maker: str
    part_number: str
    corrected: Mapping[str, str] = field(default_factory=dict)
    """What was wrong, as written: column to value. Empty where the part is gone."""

    @property
    def gone(self) -> bool:
        """True where the part cannot be had any more."""
        return not self.corrected

    def concerns(self, part_number: str, maker: str) -> bool:
        """Whether a part of that number, and of that maker where one is named, is meant."""
        same = self.part_number.casefold() == part_number.casefold()
        return same and (not self.maker or not maker or self.maker.casefold() == maker.casefold())

    def applied(self, part: Part) -> Part:
        """The part with the right values; :class:`WrongCorrection` where its kind has no such value."""
        declared = KINDS[part.kind].columns()
        values = dict(part.values)
        for column, text in self.corrected.items():
            if column not in declared:
                advice = did_you_mean(column, declared, f"it has {', '.join(list(declared)[11:16])} ...")
                raise WrongCorrection(f"--corrected: {KINDS[part.kind].one} has no single value {column!r}; {advice}")
            try:
                values[column] = read(text, declared[column])
            except (ValueSlip, Refused) as slip:
                raise WrongCorrection(f"--corrected: {column} of {part.part_number}: {slip}") from slip
        return replace(part, values=values)


def read_changes(gone: Sequence[str], corrected: Sequence[str]) -> tuple[Changed, ...]:
    """The changes of the options ``--gone PART`` and ``--corrected PART.parameter=VALUE``."""
    made = [Changed(*_named(text)) for text in gone]
    values: dict[tuple[str, str], dict[str, str]] = {}
    for text in corrected:
        place, equals, value = text.partition("=")
        name, dot, column = place.rpartition(".")
        if not (equals and dot and name and column.strip() and value.strip()):
            raise UsageError(f"--corrected {text!r} cannot be read; write PART.parameter=VALUE, such as X1.eas=20mJ")
        values.setdefault(_named(name), {})[column.strip()] = value.strip()
    made += [Changed(*named, stated) for named, stated in values.items()]
    if not made:
        raise UsageError("no change was given; give --gone PART or --corrected PART.parameter=VALUE")
    both = [c.part_number for c in made if any(o is not c and o.concerns(c.part_number, c.maker) for o in made)]
    if both:
        raise UsageError(f"{both[0]} is named twice; say once that it is gone, or give its corrected values")
    return tuple(made)


def _named(text: str) -> tuple[str, str]:
    maker, _, number = text.strip().rpartition(":")
    if not number.strip():
        raise UsageError(f"{text!r} names no part; write PART or MAKER:PART")
    return maker.strip(), number.strip()
