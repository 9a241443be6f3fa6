"""Condition columns: ``VF max (V) | @IF (mA)`` is a value of a table, at the current beside it.

Columns whose headers begin with ``@`` belong to the values of one table that stand right before them. A header may have
its conditions in itself: ``VF max @ IF = 20 mA (V)``.
"""

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple, NoReturn

from partcheck.errors import ValueSlip
from partcheck.parameters import KINDS, Axis, Table
from partcheck.parts.grid import column_letters
from partcheck.parts.headers import Header, Vocabulary, is_bound, main_words, point_words, read_header
from partcheck.parts.mapping import CONDITION, MappedColumn, SheetMap
from partcheck.parts.problems import Problem
from partcheck.units import UNITS, is_unit, parse

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

    def key(self, at: Mapping[str, str]) -> tuple[tuple[str, object], ...]:
        """What tells conditions apart: ``20mA`` and ``20 mA`` are one."""
        units = {axis.name: axis.unit for axis in self.axes().values()}
        return tuple((name, _value_of(text, units.get(name, ""))) for name, text in at.items())

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
        value = _value(headers[place], kind) or (
            _by_conditions(headers, place, start, end, kind) if not values else None
        )
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
        read = _axis(headers[place], words, KINDS[kind].table(table))
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


def _axis(text: str, words: Vocabulary, table: Table) -> Header:
    """Which condition a header is, by its name or symbol, even one of a single letter: ``@T (°C)``."""
    said = text.strip().removeprefix("@").strip()
    read = read_header(said, words)
    bare = re.sub(r"[\[(].*", "", said).strip()
    alike = [axis.name for axis in table.axes if axis.symbol and axis.symbol == bare]
    unit = _TAIL_UNIT.fullmatch(said)
    return Header(alike[0], unit[2] if unit else "") if alike and read.column not in words.declared else read


def _by_conditions(headers: Sequence[str], place: int, start: int, end: int, kind: str) -> tuple[str, str, str] | None:
    """Table, bound and unit of a header that may mean several tables, of which one alone has all the conditions."""
    suit = []
    for table in _tables(headers[place], kind):
        words, axes = point_words((kind,), table), {axis.name for axis in KINDS[kind].table(table).axes}
        found = read_header(headers[place], words)
        at = {_axis(text, words, KINDS[kind].table(table)).column for text in headers[start:end]}
        if at == axes and found.column in KINDS[kind].table(table).bounds:
            suit.append((table, found.column, found.label))
    return suit[0] if len(suit) == 1 else None


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
    tables = _tables(text, kind)
    return tables[0] if len(tables) == len(found.may_be) == 1 else ""


def _tables(text: str, kind: str) -> list[str]:
    """Every table of which a header may be a value, whatever else it may be."""
    may_be = read_header(text, main_words((kind,))).may_be
    return [may.removeprefix(_ROW).removesuffix(")") for may in may_be if may.startswith(_ROW)]


def _value(text: str, kind: str, table: str = "") -> tuple[str, str, str] | None:
    """Table, bound and unit of a header that is one value of a table; None where it may be anything else.

    ``table`` is the one that it is of, where that is known by more than the header.
    """
    table = table or _table(text, kind)
    if not table:
        return None
    found = read_header(text, point_words((kind,), table))
    return (table, found.column, found.label) if found.column in KINDS[kind].table(table).bounds else None


def _with_conditions(text: str, place: int, kind: str) -> dict[int, MappedColumn]:
    """A header that has its conditions in itself: ``Rds(on) max @ VGS = 4.5 V (mΩ)``; nothing where it has none."""
    head, sign, tail = text.partition("@")
    unit = _TAIL_UNIT.fullmatch(tail)
    label, tail = (f" [{unit[2]}]", unit[1]) if unit is not None and is_unit(unit[2]) else ("", tail)
    if not sign or not (table := _table(head.strip(), kind) or _told_apart(head.strip(), tail, kind)):
        return {}
    words = {word for axis in KINDS[kind].table(table).axes for word in axis.choices}
    front, _, last = tail.rstrip().rpartition(" ")
    if is_bound(last) and last.casefold() not in words:  # RDS(on) @ VGS = 10 V, with typ and max in the row below
        head, tail = f"{head.strip()} {last}", front
    head = head.strip() + label
    value = _value(head, kind, table)
    if value is None:
        bounds = " or ".join(KINDS[kind].table(table).bounds)
        raise _Unclear(place, "does not say which bound it is", f"write {bounds} before the @", place)
    at: dict[str, str] = {}
    for said in _parts_of(tail):
        axis = _condition(said, kind, table)
        if not axis or axis in at:
            has = ", ".join(each.name for each in KINDS[kind].table(table).axes)
            reason = f"has '{said.strip()}' after the @, which does not say which condition of {table} it is"
            raise _Unclear(place, reason, _HAS.format(f"{has}, as in @ VGS = 4.5 V"), place)
        at[axis] = said.partition("=")[2].strip() or said.strip()
    return {place: MappedColumn(f"{table}.{value[1]}", value[2], at)}


def _parts_of(tail: str) -> list[str]:
    return list(filter(str.strip, re.split(r"[,;&]| and ", tail)))


def _told_apart(head: str, tail: str, kind: str) -> str:
    """The one table of those that a header may mean which has just these conditions; empty where none is."""
    suit = []
    for table in _tables(head, kind):
        found = {_condition(said, kind, table) for said in _parts_of(tail)}
        suit += [table] if found == {axis.name for axis in KINDS[kind].table(table).axes} else []
    return suit[0] if len(suit) == 1 else ""


def _condition(said: str, kind: str, table: str) -> str:
    """The axis that ``VGS = 4.5 V`` or ``4.5 V`` states, where that can be one alone; a number has its unit."""
    name, sign, text = said.rpartition("=")
    axes = {axis.name: axis for axis in KINDS[kind].table(table).axes}
    if sign:
        column = read_header(name, point_words((kind,), table)).column
        axes = {column: axes[column]} if column in axes else {}
    suit = [name for name, axis in axes.items() if _suits(text.strip(), axis)]
    return suit[0] if len(suit) == 1 else ""


def _suits(text: str, axis: Axis) -> bool:
    """Whether a text is a value of an axis by itself: one of its words, or a number with its unit."""
    if axis.choices:
        return text.casefold() in axis.choices
    return bool(axis.unit) and _is_quantity(text, axis.unit)


def _value_of(text: str, unit: str) -> object:
    """The number of a condition, as written where it is none."""
    try:
        return parse(text, unit) if unit else text
    except ValueSlip:
        return text


def in_header(table: Table) -> str:
    """How a value of a table is written with its conditions in its header: ``rds_on.max @ vgs = 4.5 V``."""
    at = " and ".join(f"{axis.name} = {_example(axis)}" for axis in table.axes if axis.required)
    return f"{table.name} {table.bounds[-1]} @ {at}"


def _example(axis: Axis) -> str:
    if axis.choices:
        return axis.choices[0]
    return f"0 {axis.unit.replace('m²', 'mm²')}" if axis.low == 0 and axis.unit else UNITS[axis.unit].example


def _is_quantity(text: str, unit: str) -> bool:
    try:
        parse(text, unit)
    except ValueSlip:
        return False
    return re.search(r"[^\d.,+\-\s]", text) is not None
