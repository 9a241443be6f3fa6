"""Names in a row written short: ``Q1..Q16``."""

import re
from collections.abc import Iterable, Sequence

_NUMBERED = re.compile(r"(.*?)(\d+)")
LEAST = 3
"""Names in a row from which a range is shorter to read than the names."""


def runs(names: Iterable[str]) -> list[list[str]]:
    """The names in their order, those whose numbers follow each other together."""
    made: list[list[str]] = []
    for name in names:
        if made and follows(made[-1][-1], name):
            made[-1].append(name)
        else:
            made.append([name])
    return made


def follows(one: str, other: str) -> bool:
    """True where two names differ by one in their last number: ``Q1`` and ``Q2``."""
    first, second = _NUMBERED.fullmatch(one), _NUMBERED.fullmatch(other)
    if first is None or second is None or first[1] != second[1]:
        return False
    width = len(first[2]) if first[2].startswith("0") else 0
    return f"{int(first[2]) + 1:0{width}}" == second[2]


def short(names: Sequence[str]) -> str:
    """The names in a sentence: ``Q1..Q16, Q20``."""
    made: list[str] = []
    for run in runs(names):
        made += [f"{run[0]}..{run[-1]}"] if len(run) >= LEAST else run
    return ", ".join(made)


def numbered(name: str) -> tuple[str, int] | None:
    """A name and its last number; None where it has none."""
    found = _NUMBERED.fullmatch(name)
    return (found[1], int(found[2])) if found is not None else None
