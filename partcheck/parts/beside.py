"""Condition columns: ``VF max (V) | @IF (mA)`` is a value of a table, at the current beside it.

Columns whose headers begin with ``@`` belong to the values of one table that stand right before them. A header may have
its conditions in itself: ``VF max @ IF = 20 mA (V)``.
"""

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple, NoReturn

from partcheck.errors import ValueSlip
from partcheck.parameters import KINDS, Axis
from partcheck.parts.grid import column_letters
from partcheck.parts.headers import is_bound, main_words, point_words, read_header
from partcheck.parts.mapping import CONDITION, MappedColumn, SheetMap
from partcheck.parts.problems import Problem
from partcheck.units import is_unit, parse

PASSED = "passed over"
"""What a column is taken for that is told to be unclear, or stands with one that is."""
_ROW = "(a row of "
_HAS = "it has {}; or say with --map what it means"
_TAIL_UNIT = re.compile(r"(.*?)\s*[\[(]\s*([^\[\]()]+?)\s*[\])]\s*")


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


class _Unclear(Exception):
    """Why a header cannot be taken: its place, what is wrong, what to do; ``first`` of the columns that hinge on it."""

    def __init__(self, place: int, reason: str, suggestion: str, first: int) -> None:
        super().__init__(reason)
        self.place, self.reason, self.suggestion, self.first = place, reason, suggestion, first


def condition_columns(
    headers: Sequence[str], kind: str, said: SheetMap
) -> tuple[dict[int, MappedColumn], list[Problem]]:
    """What the values with conditions beside them or in their headers mean, and the conditions; and what is wrong.

    Of a group that is not clear one thing is told, and it is passed over. Headers that a mapping (``said``) has are
    left to it.
    """
    found: dict[int, MappedColumn] = {}
    problems: list[Problem] = []
    place = 0
    while kind and place < len(headers):
        end = place
        while end < len(headers) and headers[end].strip().startswith("@"):
            end += 1
        start, stop, told = place, max(end, place + 1), None
        try:
            if end > place:
                made, start = _group(headers, place, end, kind)
            else:
                made = _with_conditions(headers[place], place, kind)
        except _Unclear as slip:
            start = slip.first
            made = dict.fromkeys(range(start, stop), MappedColumn(PASSED))
            told = Problem(" ".join(headers[slip.place].split()), "", slip.reason, slip.suggestion)
        if not any(said.key_of(headers, i) for i in range(start, stop)):
            found |= made
            problems += [told] if told is not None else []
        place = stop
    return found, problems


def _group(headers: Sequence[str], start: int, end: int, kind: str) -> tuple[dict[int, MappedColumn], int]:
    """Conditions from ``start`` on, with the values of one table before them; and where the first of these is."""
    values: dict[int, tuple[str, str, str]] = {}
    for place in range(start - 1, -1, -1):
        value = _value(headers[place], kind)
        if value is None or any(value[0] != other[0] or value[1] == other[1] for other in values.values()):
            break
        values[place] = value
    if not values:
        _refuse_value(headers, start, kind)
    table = next(iter(values.values()))[0]
    words, axes = point_words((kind,), table), [axis.name for axis in KINDS[kind].table(table).axes]
    at: dict[str, str] = {}
    made: dict[int, MappedColumn] = {}
    for place in range(start, end):
        read = read_header(headers[place].strip().removeprefix("@"), words)
        if read.column not in axes:
            raise _Unclear(place, f"is not a condition of {table}", _HAS.format(", ".join(axes)), min(values))
        if read.column in at:
            raise _Unclear(
                place, f"is the condition {read.column} of {table} again", "keep one of the columns", min(values)
            )
        at[read.column] = f"column {column_letters(place)}"
        made[place] = MappedColumn(CONDITION, read.label)
    meant = {place: MappedColumn(f"{name}.{bound}", label, dict(at)) for place, (name, bound, label) in values.items()}
    return made | meant, min(values)


def _refuse_value(headers: Sequence[str], start: int, kind: str) -> NoReturn:
    """Say why a condition has no value before it."""
    before = " ".join(headers[start - 1].split()) if start else ""
    table = _table(before, kind)
    if table:
        bounds = " or ".join(f"{before} {bound}" for bound in KINDS[kind].table(table).bounds)
        reason = f"is a condition of '{before}', which does not say which bound it is"
        raise _Unclear(start, reason, f"write {bounds} there", start - 1)
    reason = "follows no value of a table whose condition it could be"
    raise _Unclear(start, reason, "put it right after that value, or say with --map what it means", start)


def _table(text: str, kind: str) -> str:
    """The table of which a header is a value; empty where it may be anything else."""
    found = read_header(text, main_words((kind,)))
    if found.column in {table.name for table in KINDS[kind].tables}:
        return found.column
    if len(found.may_be) != 1 or not found.may_be[0].startswith(_ROW):
        return ""
    return found.may_be[0].removeprefix(_ROW).removesuffix(")")


def _value(text: str, kind: str) -> tuple[str, str, str] | None:
    """Table, bound and unit of a header that is one value of a table; None where it may be anything else."""
    table = _table(text, kind)
    if not table:
        return None
    found = read_header(text, point_words((kind,), table))
    return (table, found.column, found.label) if found.column in KINDS[kind].table(table).bounds else None


def _with_conditions(text: str, place: int, kind: str) -> dict[int, MappedColumn]:
    """A header that has its conditions in itself: ``Rds(on) max @ VGS = 4.5 V (mΩ)``; nothing where it has none."""
    head, sign, tail = text.partition("@")
    if not sign or not (table := _table(head.strip(), kind)):
        return {}
    unit = _TAIL_UNIT.fullmatch(tail)
    label, tail = (f" [{unit[2]}]", unit[1]) if unit is not None and is_unit(unit[2]) else ("", tail)
    front, _, last = tail.rstrip().rpartition(" ")
    if is_bound(last):  # RDS(on) @ VGS = 10 V, with typ and max in the row below
        head, tail = f"{head.strip()} {last}", front
    head = head.strip() + label
    value = _value(head, kind)
    if value is None:
        bounds = " or ".join(KINDS[kind].table(table).bounds)
        raise _Unclear(place, "does not say which bound it is", f"write {bounds} before the @", place)
    at: dict[str, str] = {}
    for said in filter(str.strip, re.split(r"[,;&]| and ", tail)):
        axis = _condition(said, kind, table)
        if not axis or axis in at:
            has = ", ".join(each.name for each in KINDS[kind].table(table).axes)
            reason = f"has '{said.strip()}' after the @, which does not say which condition of {table} it is"
            raise _Unclear(place, reason, _HAS.format(f"{has}, as in @ VGS = 4.5 V"), place)
        at[axis] = said.partition("=")[2].strip() or said.strip()
    return {place: MappedColumn(f"{table}.{value[1]}", value[2], at)}


def _condition(said: str, kind: str, table: str) -> str:
    """The axis that ``VGS = 4.5 V`` or ``4.5 V`` states, where that can be one alone; a number has its unit."""
    name, sign, text = said.rpartition("=")
    axes = {axis.name: axis for axis in KINDS[kind].table(table).axes if not axis.choices}
    if sign:
        column = read_header(name, point_words((kind,), table)).column
        axes = {column: axes[column]} if column in axes else {}
    suit = [name for name, axis in axes.items() if axis.unit and _is_quantity(text.strip(), axis.unit)]
    return suit[0] if len(suit) == 1 else ""


def _is_quantity(text: str, unit: str) -> bool:
    try:
        parse(text, unit)
    except ValueSlip:
        return False
    return re.search(r"[^\d.,+\-\s]", text) is not None
