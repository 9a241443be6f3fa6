"""A part as one form: every field in the order of a datasheet, and all that was typed taken in at once.

A field that still says what the form showed stands for the very value it was made of, to the last digit.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from partcheck.jobs.entry.known import known_words
from partcheck.jobs.entry.wording import bounds_question, table_question, value_question
from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parameters.groups import GROUPS
from partcheck.parts import Part
from partcheck.parts.cells import Refused, read, stated
from partcheck.parts.checks import IDENTITY, columns, point_columns
from partcheck.parts.entry import Entry, NotSo, RowReader
from partcheck.parts.problems import Problem
from partcheck.units import show

DIGITS = 6
CONDITION = " @ "
"""Before the condition of a value: ``60 V @ Tj = 25 °C``."""


@dataclass(frozen=True)
class FormField:
    """One field: a single value (or one of its bounds), or all rows of a table in lines."""

    name: str
    label: str
    text: str
    choices: tuple[str, ...] = ()
    needed: bool = False
    known: tuple[str, ...] = ()
    """Words that known parts state here, to choose from."""


@dataclass(frozen=True)
class FormQuestion:
    """What belongs together: a value with its bounds, or a table; ``hints`` say what it is and how it is written."""

    name: str
    title: str
    hints: tuple[str, ...]
    fields: tuple[FormField, ...]
    is_table: bool = False


@dataclass(frozen=True)
class FormGroup:
    """A group of a datasheet."""

    title: str
    questions: tuple[FormQuestion, ...]
    first: bool


def groups(entry: Entry, typed: Mapping[str, str] | None = None, known: Sequence[Part] = ()) -> list[FormGroup]:
    """The whole form; a field shows what was typed, else what the entry states, and offers what ``known`` parts do."""
    shown = texts(entry) | dict(typed or {})
    kind = KINDS[entry.kind]
    tables = {table.name: table for table in kind.tables}
    values = {value.name: value for value in kind.parameters}
    made = []
    for group in GROUPS[entry.kind]:
        asked = tuple(
            _table(entry.kind, tables[name], shown)
            if name in tables
            else _value(entry.kind, values[name], shown, known)
            for name in group.names
        )
        made.append(FormGroup(group.title, asked, group.first))
    return made


def _value(kind: str, declared: Parameter, shown: Mapping[str, str], known: Sequence[Part]) -> FormQuestion:
    several = bool(declared.bounds)
    hint = bounds_question(kind, declared) if several else value_question(kind, declared.name)
    labels = declared.bounds or (declared.name,)
    words = tuple(known_words(declared.name, known, shown.get("package", "")))
    fields = tuple(
        FormField(column, label, shown.get(column, ""), declared.choices, column in IDENTITY, words)
        for column, label in zip(declared.columns(), labels, strict=True)
    )
    return FormQuestion(declared.name, *_headed(declared, hint.partition("; all at once")[0]), fields)


def _table(kind: str, table: Table, shown: Mapping[str, str]) -> FormQuestion:
    field = FormField(table.name, table.name, shown.get(table.name, ""))
    first, *further = table_question(kind, table)
    title, hints = _headed(table, first)
    return FormQuestion(table.name, title, (*hints, *further), (field,), True)


def _headed(declared: Parameter | Table, hint: str) -> tuple[str, tuple[str, ...]]:
    """A question as a title and what is said below it: the symbol, or what the value means where it has none."""
    title = declared.symbol or declared.meaning
    rest = hint.removeprefix(title).lstrip(",;: ")
    return title[:1].upper() + title[1:], (rest,) if rest else ()


# ---- what the form shows of an entry


def texts(entry: Entry) -> dict[str, str]:
    """The text of every field that is stated."""
    declared = columns(entry.kind)
    made = {name: _written(cell, declared[name]) for name, cell in entry.cells.items() if name in declared}
    for table in KINDS[entry.kind].tables:
        if rows := entry.rows.get(table.name):
            made[table.name] = "\n".join(_line(table, row) for row in rows)
    return made


def _written(cell: Any, declared: Parameter | Axis | Table) -> str:
    try:
        value = read(cell, declared)
    except Refused:
        return str(cell)
    return value if isinstance(value, str) else show(value, declared.unit, DIGITS)


def _line(table: Table, row: Mapping[str, Any]) -> str:
    declared = point_columns(table)
    return "; ".join(_written(row[name], declared[name]) if stated(row.get(name)) else "-" for name in table.columns())


# ---- what was typed


def fill(entry: Entry, typed: Mapping[str, str]) -> tuple[Part | None, dict[str, list[str]]]:
    """State in the entry what was typed; the part, or what is wrong by field."""
    cells, conditions = _cells(entry, typed)
    rows: dict[str, list[dict[str, Any]]] = {}
    slips: dict[str, list[str]] = {}
    for table in KINDS[entry.kind].tables:
        rows[table.name], told = _rows(entry, table, typed)
        if told:
            slips[table.name] = told
    part, problems = entry.fill(cells, rows, conditions)
    known = [*columns(entry.kind), *rows]
    for field, sentence in _told(problems):
        slips.setdefault(field if field in known else known[0], []).append(sentence)
    return (None if slips else part), slips


def _cells(entry: Entry, typed: Mapping[str, str]) -> tuple[dict[str, Any], dict[str, str]]:
    shown = texts(entry)
    cells: dict[str, Any] = {}
    conditions = {}
    for name, declared in columns(entry.kind).items():
        text = " ".join(typed.get(name, shown.get(name, "")).split())
        if text == " ".join(shown.get(name, "").split()):
            text, cell = "", entry.cells.get(name)
        else:
            cell = text
        if CONDITION in text and not declared.is_text:
            text, _, conditions[name] = (each.strip() for each in text.partition(CONDITION))
            cell = text
        if stated(cell) and cell != "-":
            cells[name] = cell
    return cells, conditions


def _rows(entry: Entry, table: Table, typed: Mapping[str, str]) -> tuple[list[dict[str, Any]], list[str]]:
    """The rows of a table in lines, and what cannot be read; a line that was shown is the row it was made of."""
    known = entry.rows.get(table.name, [])
    if table.name not in typed:
        return known, []
    as_shown = {_line(table, row): row for row in known}
    reader, rows, slips = RowReader(table), [], []
    for number, line in enumerate(typed[table.name].splitlines(), 1):
        try:
            if not line.strip() or reader.header(line):
                continue
            rows.append(as_shown.get(line.strip()) or reader.row(line))
        except NotSo as slip:
            slips.append(f"line {number}: {slip}")
    return rows, slips


def _told(problems: list[Problem]) -> Iterator[tuple[str, str]]:
    for problem in problems:
        if problem.table:
            yield problem.table, f"row {problem.row + 1}, {problem.column}: {problem}"
        else:
            yield problem.column, str(problem)
