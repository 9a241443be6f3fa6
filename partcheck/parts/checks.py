"""A part from raw cells: every value is checked against its declaration, and every problem is told.

Nothing is guessed and nothing is filled in: a cell that is blank stays unknown, a cell that cannot stand is
a :class:`~partcheck.parts.problems.Problem`. Where the cells come from (sheet, JSON, board file, form) is
not known here.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields
from functools import cache
from itertools import pairwise
from typing import Any

from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts.cells import Refused, read, stated
from partcheck.parts.part import Part, Provenance, Scalar, point_table
from partcheck.parts.problems import BadPart, Problem, did_you_mean
from partcheck.points import EMPTY, PointTable
from partcheck.units import show

Record = Mapping[str, Any]
IDENTITY = ("part_number", "maker")
SOURCE = tuple(item.name for item in fields(Provenance))
_FREE = Parameter("", "", "", "a free text", text=True)


@cache
def columns(kind: str) -> dict[str, Parameter]:
    """The flat columns of a kind, as :meth:`Kind.columns` but made once."""
    return KINDS[kind].columns()


def point_columns(table: Table) -> dict[str, Axis | Table]:
    """What is declared for each column of a point table: its axes, and the table itself for the bounds."""
    return {axis.name: axis for axis in table.axes} | dict.fromkeys(table.bounds, table)


@cache
def _tables(kind: str) -> dict[str, Table]:
    return {table.name: table for table in KINDS[kind].tables}


def build(
    kind: str,
    record: Record,
    tables: Mapping[str, Sequence[Record]] | None = None,
    provenance: Mapping[str, Provenance] | None = None,
) -> Part:
    """The part that raw cells state, or :class:`BadPart` with all that is wrong with them.

    ``record`` maps flat column names to cells, ``tables`` maps table names to rows of cells; a cell is a
    text with its unit (``"28 mΩ"``) or a number in SI (temperatures in °C); ``None`` and blank texts are not
    stated. ``build("mosfet", {"part_number": "X1", "maker": "Acme", "vds_max": "60 V"})``.
    """
    part, problems = attempt(kind, record, tables or {}, provenance or {})
    if part is None:
        raise BadPart(str(record.get("part_number") or f"a {kind} without a part number"), problems)
    return part


def attempt(
    kind: str, record: Record, tables: Mapping[str, Sequence[Record]], provenance: Mapping[str, Provenance]
) -> tuple[Part | None, list[Problem]]:
    """As :func:`build`, but hands the problems back instead of raising; there is a part only without any."""
    if kind not in KINDS:
        return None, [unknown_kind(kind)]
    problems: list[Problem] = []
    values = _values(kind, record, problems.append)
    made = {name: _points(kind, name, rows, problems) for name, rows in tables.items() if rows}
    _check_threshold(values, made, problems.append)
    if problems:
        return None, problems
    part_number, maker = (str(values.pop(name)) for name in IDENTITY)
    return Part(kind, part_number, maker, values, made, dict(provenance)), problems


def unknown_kind(kind: str) -> Problem:
    """The problem of a kind that is not declared."""
    return Problem("kind", kind, "is not a kind of part", did_you_mean(kind, KINDS, f"write one of {', '.join(KINDS)}"))


def _values(kind: str, record: Record, tell: Callable[[Problem], None]) -> dict[str, Scalar]:
    declared = columns(kind)
    values: dict[str, Scalar] = {}
    bounded: dict[str, Parameter] = {}
    for name, cell in record.items():
        if not stated(cell):
            continue
        parameter = declared.get(name)
        if parameter is None:
            tell(unknown_column(kind, name))
            continue
        try:
            values[name] = read(cell, parameter)
        except Refused as slip:
            tell(Problem(name, str(cell), slip.reason, slip.suggestion))
        if parameter.bounds:
            bounded[parameter.name] = parameter
    for name in IDENTITY:
        if not stated(record.get(name)):
            tell(Problem(name, "", "is missing", f"every {KINDS[kind].word} needs one"))
    for parameter in bounded.values():
        for problem in _not_rising(values, tuple(parameter.columns()), parameter.unit):
            tell(problem)
    return values


def _not_rising(values: Mapping[str, Any], names: Sequence[str], unit: str) -> Iterator[Problem]:
    """A problem for each of min, typ, max that is above the next one stated."""
    known = [(name, values[name]) for name in names if name in values]
    for (name, value), (above, limit) in pairwise(known):
        if value > limit:
            yield Problem(
                name, show(value, unit), f"is above {above}, which is {show(limit, unit)}", "correct one of them"
            )


def unknown_column(kind: str, name: str) -> Problem:
    """The problem of a single value that the kind does not have."""
    declared, tables = columns(kind), _tables(kind)
    if name in tables:
        rows = ", ".join(tables[name].columns())
        return Problem(name, "", f"is a table of {KINDS[kind].one}, not a single value", f"state it in rows of {rows}")
    bounds = [column for column in declared if declared[column].name == name]
    suggestion = f"write {' or '.join(bounds)}" if bounds else did_you_mean(name, [*declared, *tables], "leave it out")
    return Problem(name, "", f"is not a column of {KINDS[kind].one}", suggestion)


def _points(kind: str, name: str, rows: Sequence[Record], problems: list[Problem]) -> PointTable:
    table = _tables(kind).get(name)
    if table is None:
        problems.append(
            Problem(name, "", f"is not a table of {KINDS[kind].one}", did_you_mean(name, _tables(kind), "leave it out"))
        )
        return EMPTY
    declared = point_columns(table)
    before = len(problems)
    seen: set[tuple[Any, ...]] = set()
    made = []
    for index, row in enumerate(rows):
        values, slips = _point(table, declared, row)
        axes = tuple(values.get(axis.name) for axis in table.axes)
        if not slips and axes in seen:
            names = " and ".join(axis.name for axis in table.axes)
            slips = [Problem(names, "", "is the same as in an earlier row of this part", "leave one of them out")]
        seen.add(axes)
        problems += [Problem(p.column, p.text, p.reason, p.suggestion, name, index) for p in slips]
        made.append(values)
    return point_table(kind, name, made) if len(problems) == before else EMPTY


def _point(
    table: Table, declared: Mapping[str, Axis | Table], row: Record
) -> tuple[dict[str, float | str], list[Problem]]:
    """The values of one row of a table, and what is wrong with it."""
    values: dict[str, float | str] = {}
    slips: list[Problem] = []
    given = [name for name, cell in row.items() if stated(cell)]
    for name in given:
        item = declared.get(name)
        if item is None:
            slips.append(unknown_point_column(table, name))
            continue
        try:
            values[name] = read(row[name], item)
        except Refused as slip:
            slips.append(Problem(name, str(row[name]), slip.reason, slip.suggestion))
    slips.extend(
        Problem(axis.name, "", "is missing", f"a row of {table.name} holds at one {axis.name}")
        for axis in table.axes
        if axis.required and axis.name not in given
    )
    if not any(bound in given for bound in table.bounds):
        slips.append(Problem(" or ".join(table.bounds), "", "is missing", "state a value or leave the row out"))
    if len(table.bounds) > 1:
        slips += _not_rising(values, table.bounds, table.unit)
    return values, slips


def unknown_point_column(table: Table, name: str) -> Problem:
    """The problem of a column that the point table does not have."""
    listed = ", ".join(table.columns())
    return Problem(
        name, "", f"is not a column of {table.name}", did_you_mean(name, table.columns(), f"it has {listed}")
    )


def _check_threshold(
    values: Mapping[str, Scalar], tables: Mapping[str, PointTable], tell: Callable[[Problem], None]
) -> None:
    """A channel whose on-resistance is stated at a gate voltage must have its threshold below it."""
    threshold, gates = values.get("vgs_th_max"), tables.get("rds_on", EMPTY).columns.get("vgs", ())
    if isinstance(threshold, float) and gates and threshold > max(gates):
        reason = f"is above every gate voltage at which rds_on is stated (at most {show(max(gates), 'V')})"
        tell(Problem("vgs_th_max", show(threshold, "V"), reason, "correct one of them"))


def source(kind: str, parameter: str, record: Record) -> tuple[Provenance, list[Problem]]:
    """The source of one parameter (a column, a parameter, a table, or ``*`` for all) from raw cells.

    ``source("mosfet", "vds_max", {"document": "DS-1", "page": "3"})``; ``measured`` is a number of pieces.
    """
    declared = columns(kind)
    known = [*declared, *(p.name for p in declared.values()), *_tables(kind), "*"]
    problems = []
    if parameter not in known:
        suggestion = did_you_mean(parameter, known, "write a column, a table or *")
        problems.append(Problem("parameter", parameter, f"is not something that a {kind} states", suggestion))
    made: dict[str, Any] = {}
    for name, cell in record.items():
        if name not in SOURCE:
            problems.append(unknown_source_column(name))
        elif stated(cell):
            try:
                made[name] = _pieces(cell) if name == "measured" else str(read(cell, _FREE))
            except Refused as slip:
                problems.append(Problem(name, str(cell), slip.reason, slip.suggestion))
    return Provenance(**made), problems


def unknown_source_column(name: str) -> Problem:
    """The problem of something that is not said about a source."""
    advice = did_you_mean(name, SOURCE, f"write one of {', '.join(SOURCE)}")
    return Problem(name, "", "is not part of a source", advice)


def _pieces(cell: Any) -> int:
    text = cell.strip() if isinstance(cell, str) else str(cell)
    if isinstance(cell, bool) or not (text.isascii() and text.isdecimal() and len(text) < 7 and int(text)):
        raise Refused("is not a number of pieces measured", "write a whole number such as 5")
    return int(text)
