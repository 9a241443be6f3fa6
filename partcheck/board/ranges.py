"""Ranges of names (``Q1..Q16``) and numbers filled into texts (``OUT{n}``)."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

MOST = 500
"""Members of a range: more than a small board has of anything."""
MOST_RANGES = 200
"""Ranges of one table."""
MOST_NAMES = 5000
"""Members of all ranges of one table, and names that one key lists."""
LONGEST = 200
"""Characters of a range."""
_RANGE = re.compile(r"(.*?)(\d{1,9})\s*\.\.\s*(.*?)(\d{1,9})")
_POLES = re.compile(r"\s*(\d{1,9})\s*\.\.\s*(\d{1,9})\s*")
_BRACES = re.compile(r"\{([^{}]*)\}")
_NUMBER = re.compile(r"\s*([np])\s*(?:([+-])\s*(\d{1,9}))?\s*(?::0(\d))?\s*")


class NotARange(ValueError):
    """What looks like a range, or like a number to fill in, and is neither; the sentence says what to write."""


@dataclass(frozen=True)
class Range:
    """``Q1..Q16``: a name and its numbers; ``width`` counts the digits of numbers written with zeros in front."""

    name: str
    first: int
    last: int
    width: int

    @property
    def size(self) -> int:
        """How many members it has."""
        return self.last - self.first + 1

    def members(self) -> Iterator[tuple[str, int]]:
        """Each member with its number."""
        for number in range(self.first, self.last + 1):
            yield f"{self.name}{number:0{self.width}}", number

    def number(self, member: str) -> int | None:
        """The number of a member; None where the name is not one of this range."""
        digits = member[len(self.name) :]
        if not member.startswith(self.name) or not digits.isascii() or not digits.isdigit():
            return None
        number = int(digits)
        return number if self.first <= number <= self.last and digits == f"{number:0{self.width}}" else None

    def crosses(self, other: "Range") -> bool:
        """True where two ranges share members and neither lies in the other, or both are the same."""
        if (self.name, self.width) != (other.name, other.width) or self.last < other.first or other.last < self.first:
            return False
        inside = self.first >= other.first and self.last <= other.last
        around = self.first <= other.first and self.last >= other.last
        return inside == around


def range_of(name: str) -> Range | None:
    """The range that a name stands for; None where it is the name of one thing."""
    if ".." not in name:
        return None
    if len(name) > LONGEST:
        raise NotARange(f"a range has {len(name)} characters; the limit is {LONGEST}")
    found = _RANGE.fullmatch(name)
    if found is None:
        raise NotARange(f'{name!r} is not a range; write both ends with their numbers, as in "Q1..Q16"')
    start, first, end, last = found.groups()
    if start != end:
        alike = f"{start}{first}..{start}{last}"
        raise NotARange(f'the ends of the range {name!r} are named differently; write both alike, as in "{alike}"')
    width = len(first) if first.startswith("0") and len(first) > 1 else 0
    if width and len(last) != width:
        raise NotARange(f"the ends of the range {name!r} have numbers of different length; write both with the same")
    made = Range(start, int(first), int(last), width)
    if made.size < 2:
        raise NotARange(f"the range {name!r} does not count upwards; write the lower number first")
    if made.size > MOST:
        raise NotARange(f"the range {name!r} has {made.size} members; the limit is {MOST}")
    return made


def filled(value: Any, letter: str, number: int, width: int = 0) -> Any:
    """The value with ``{n}``, ``{n+1}``, ``{n-1}``, ``{n:02}`` in its texts replaced by the number."""
    if isinstance(value, dict):
        return {key: filled(inner, letter, number, width) for key, inner in value.items()}
    if isinstance(value, list):
        return [filled(inner, letter, number, width) for inner in value]
    if not isinstance(value, str):
        return value

    def replace(braces: re.Match[str]) -> str:
        found = _NUMBER.fullmatch(braces[1])
        if found is None:
            raise NotARange(f"{braces[0]} in {value!r} is not understood; write {{n}}, {{n+1}}, {{n-1}} or {{n:02}}")
        if found[1] != letter:
            return braces[0]
        made = number + int(f"{found[2]}{found[3]}") if found[2] else number
        if made < 0:
            raise NotARange(
                f"{braces[0]} in {value!r} is less than nothing for number {number}; count from a larger one"
            )
        return f"{made:0{int(found[4]) if found[4] else width}}"

    return _BRACES.sub(replace, value)


def names_in(value: Any) -> Any:
    """A name, or a list of names, with every range in it as the names that it stands for."""
    if isinstance(value, str):
        found = range_of(value)
        return [name for name, _ in found.members()] if found is not None else value
    if not isinstance(value, list):
        return value
    made: list[Any] = []
    for name in value:
        each = names_in(name) if isinstance(name, str) else name
        made += each if isinstance(each, list) else [each]
        if len(made) > MOST_NAMES:
            raise NotARange(f"the ranges of this list have more than {MOST_NAMES} names together; name fewer")
    return made


def poles_in(poles: list[Any]) -> list[Any]:
    """Poles with every ``pole = "1..8"`` as one pole for each number, which ``{p}`` in its texts stands for."""
    made: list[Any] = []
    for pole in poles:
        numbers = pole.get("pole") if isinstance(pole, dict) else None
        if not isinstance(numbers, str):
            made.append(pole)
            continue
        found = _POLES.fullmatch(numbers)
        if found is None or not int(found[1]) < int(found[2]) < int(found[1]) + MOST:
            raise NotARange(f'pole = {numbers!r} is not a range of poles; write "1..8", the lower number first')
        numbered = range(int(found[1]), int(found[2]) + 1)
        made.extend(filled(pole, "p", number) | {"pole": number} for number in numbered)
        if len(made) > MOST_NAMES:
            raise NotARange(f"these ranges have more than {MOST_NAMES} poles together; state fewer")
    return made
