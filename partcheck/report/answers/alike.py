"""Names that differ in a number alone, told once: ``drive."OUT1..OUT16".pin_current`` for sixteen keys of a board."""

import re
from collections.abc import Sequence
from itertools import pairwise

from partcheck.jobs.judge.few import few

_MEMBER = re.compile(r"\b([A-Za-z_]\w*?)(\d+)(?=\.[a-z_])")
"""A numbered member of a board file in front of its key: ``OUT12`` in ``drive.OUT12.pin_current``."""


def pattern(name: str) -> str:
    """The name with the numbers of its members taken out, the same for all that are alike."""
    return _MEMBER.sub(r"\1#", name)


def merged(names: Sequence[str]) -> str:
    """Names of one pattern as one, a member as a range where its numbers run on: as the board file states it for all.

    >>> merged(["drive.OUT1.high", "drive.OUT2.high", "drive.OUT3.high"])
    'drive."OUT1..OUT3".high'
    >>> merged(["drive.OUT1.high", "drive.OUT4.high"])
    'drive.OUT1.high, drive.OUT4.high'
    """
    names = list(dict.fromkeys(names))
    members = [_MEMBER.findall(name) for name in names]
    if len(names) == 1 or any(not _runs([int(row[i][1]) for row in members]) for i in range(len(members[0]))):
        return few(names)
    places = iter(range(len(members[0])))

    def ranged(found: "re.Match[str]") -> str:
        last = members[-1][next(places)]
        return f'"{found[0]}..{last[0]}{last[1]}"'

    return _MEMBER.sub(ranged, names[0])


def _runs(numbers: Sequence[int]) -> bool:
    return all(after == before + 1 for before, after in pairwise(numbers))
