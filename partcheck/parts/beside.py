"""Condition columns: ``VF max (V) | @IF (mA)`` is a value of a table, at the current beside it.

Columns whose headers begin with ``@`` belong to the values of one table that stand right before them.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from partcheck.parameters import KINDS, Axis
from partcheck.parts.grid import column_letters
from partcheck.parts.headers import main_words, point_words, read_header
from partcheck.parts.mapping import CONDITION, MappedColumn

_ROW = "(a row of "


class Point(NamedTuple):
    """A column of a main sheet that is one value of a point table; its conditions are the same for every part, or
    stand in another column (``column D``)."""

    table: str
    bound: str
    at: Mapping[str, str]

    def row(self, record: Mapping[str, str], conditions: Mapping[str, bool]) -> dict[str, str]:
        """The conditions for one row of the sheet; one whose cell is blank is not stated."""
        found = {axis: record.get(text, "") if text in conditions else text for axis, text in self.at.items()}
        return {axis: text for axis, text in found.items() if text}

    def axes(self) -> dict[str, Axis]:
        """What is declared for each condition, by what the mapping says of it."""
        return {
            text: axis
            for kind in KINDS.values()
            for table in kind.tables
            for axis in table.axes
            for name, text in self.at.items()
            if (table.name, axis.name) == (self.table, name)
        }


def condition_columns(headers: Sequence[str], kind: str, said: Mapping[str, MappedColumn]) -> dict[int, MappedColumn]:
    """What the values with conditions beside them mean, and the conditions, by place; nothing where it is not clear.

    Headers that a mapping (``said``) has are left to it.
    """
    found: dict[int, MappedColumn] = {}
    place = 1
    while kind and place < len(headers):
        end = place
        while end < len(headers) and headers[end].strip().startswith("@"):
            end += 1
        if end > place:
            made = _group(headers, place, end, kind)
            if not any(headers[i].strip() in said or f"column {column_letters(i)}" in said for i in made):
                found |= made
        place = end + 1
    return found


def _group(headers: Sequence[str], start: int, end: int, kind: str) -> dict[int, MappedColumn]:
    values: dict[int, tuple[str, str, str]] = {}
    for place in range(start - 1, -1, -1):
        value = _value(headers[place], kind)
        if value is None or any(value[0] != other[0] or value[1] == other[1] for other in values.values()):
            break
        values[place] = value
    if not values:
        return {}
    table = next(iter(values.values()))[0]
    words, axes = point_words((kind,), table), {axis.name for axis in KINDS[kind].table(table).axes}
    at: dict[str, str] = {}
    made: dict[int, MappedColumn] = {}
    for place in range(start, end):
        read = read_header(headers[place].strip().removeprefix("@"), words)
        if read.column not in axes or read.column in at:
            return {}
        at[read.column] = f"column {column_letters(place)}"
        made[place] = MappedColumn(CONDITION, read.label)
    return made | {
        place: MappedColumn(f"{name}.{bound}", label, dict(at)) for place, (name, bound, label) in values.items()
    }


def _value(text: str, kind: str) -> tuple[str, str, str] | None:
    """Table, bound and unit of a header that is one value of a table; None where it may be anything else."""
    may_be = read_header(text, main_words((kind,))).may_be
    if len(may_be) != 1 or not may_be[0].startswith(_ROW):
        return None
    table = may_be[0].removeprefix(_ROW).removesuffix(")")
    found = read_header(text, point_words((kind,), table))
    return (table, found.column, found.label) if found.column in KINDS[kind].table(table).bounds else None
