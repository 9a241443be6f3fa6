"""Rows of a large sheet read a column at a time, with the checks of :mod:`partcheck.parts.checks`, no object per part.

Only what stands plainly is read here. Whatever is wrong, and whatever needs more than its own cell and the header (a
currency, a text with a guard, words of a mapping), raises :class:`~partcheck.parts.streaming.Unusual`: these rows are
then read as any sheet is, which tells what is wrong with them.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, zip_longest
from typing import Any

from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts import checks
from partcheck.parts.cells import Refused, read, with_unit
from partcheck.parts.headers import main_words, point_words, source_words
from partcheck.parts.mapping import Reading
from partcheck.parts.no_header import is_remark
from partcheck.parts.part_numbers import check_single
from partcheck.parts.sheet import Sheet
from partcheck.parts.streaming import Row, SheetStream, Unusual

Key = tuple[str, str]
_KEPT = 20_000
"""Texts of one column whose meaning is remembered."""
_SURELY_SINGLE = re.compile(r"[\w.()#:=*-]+")
_FREE = Parameter("", "", "", "a free text", text=True)


@dataclass
class PortionRows:
    """Some parts of a kind as rows for the catalog: one list for each column, None where nothing is stated.

    ``points`` has for each table rows of the part's place among these, the place among its points, and the values;
    ``sources`` the part's place, the parameter, and what is said of its source.
    """

    kind: str
    keys: list[Key]
    columns: dict[str, list[Any]]
    points: dict[str, list[tuple[Any, ...]]] = field(default_factory=dict)
    sources: list[tuple[Any, ...]] = field(default_factory=list)


class _Cells(dict[str, Any]):
    """What the texts of one column mean: each is read once, for a sheet says the same many times over."""

    def __init__(self, name: str, declared: Parameter | Axis | Table, label: str, blanks: frozenset[str]) -> None:
        super().__init__()
        self._name, self._declared, self._label, self._blanks = name, declared, label, blanks
        self._number = isinstance(declared, Table) or not declared.is_text

    def __missing__(self, text: str) -> Any:
        if len(self) >= _KEPT:
            self.clear()
        value = self[text] = self._read(text)
        return value

    def _read(self, text: str) -> Any:
        if not text or text.isspace() or (self._blanks and text.strip().casefold() in self._blanks):
            return None
        if "," in text if self._number else text.startswith(("'", "#")):
            raise Unusual(f"has {text!r} in {self._name}")
        if self._name == "price" and not text[-1].isdigit():
            raise Unusual("has a currency beside a price")
        try:
            return read(with_unit(text, self._label) if self._label else text, self._declared)
        except Refused as slip:
            raise Unusual(f"has {text!r} in {self._name}, which {slip}") from slip


class _Columns:
    """The columns of a sheet that are read, by name."""

    def __init__(self, sheet: Sheet, declared: Mapping[str, Parameter | Axis | Table], reading: Reading) -> None:
        if any(cell.row <= sheet.header for cell in sheet.bad):
            raise Unusual("has a header that is not clear")
        if sheet.points or sheet.conditions or sheet.constants or sheet.said.words or sheet.currency:
            raise Unusual("says more than one value in a column")
        if sheet.comma:
            raise Unusual("has decimal commas")
        self.width = len(sheet.columns)
        self._places = {name: i for i, name in enumerate(sheet.columns) if name}
        self._nameless = [i for i, name in enumerate(sheet.columns) if not name and not sheet.headers[i].strip()]
        blanks = reading.mapping.blanks
        self._cells = {name: _Cells(name, declared[name], sheet.labels.get(name, ""), blanks) for name in self._places}

    def read(self, rows: Sequence[Row]) -> dict[str, list[Any]]:
        """The values of each column, in the order of the rows; remarks are left out."""
        stated = (cells for _, cells in rows if cells[0][:1] not in ("#", "") or not is_remark(cells))
        columns = list(zip_longest(*stated, fillvalue=""))
        beyond = [*range(self.width, len(columns)), *(i for i in self._nameless if i < len(columns))]
        if any(cell and not cell.isspace() for i in beyond for cell in columns[i]):
            raise Unusual("has a cell with no name above it")
        count = len(columns[0]) if columns else 0
        return {
            name: list(map(self._cells[name].__getitem__, columns[i])) if i < len(columns) else [None] * count
            for name, i in self._places.items()
        }


class MainColumns:
    """A sheet with one row for each part of one kind, its header read."""

    def __init__(self, stream: SheetStream, reading: Reading) -> None:
        kind, sheet = stream.name.kind, stream.sheet
        if kind not in KINDS or sheet.mixed:
            raise Unusual("has parts of several kinds")
        words = main_words((kind,))
        sheet.name_columns(words, kind)
        known = checks.columns(kind)
        if sheet.lacks(checks.IDENTITY) or any(name and name not in known for name in sheet.columns):
            raise Unusual("has a header that is not clear")
        sheet.check_labels(words.declared)
        self._kind, self._columns = kind, _Columns(sheet, known, reading)
        bounded = {parameter.name: parameter for parameter in known.values() if parameter.bounds}
        self._bounded = [tuple(parameter.columns()) for parameter in bounded.values()]
        stream.begin()

    def read(self, rows: Sequence[Row]) -> PortionRows:
        """The parts of some rows."""
        columns = self._columns.read(rows)
        numbers, makers = (columns[name] for name in checks.IDENTITY)
        if None in numbers or None in makers:
            raise Unusual("has a row without part number or maker")
        for number in numbers:
            if not _SURELY_SINGLE.fullmatch(number):
                _single(number)
        keys = [(maker.casefold(), number) for maker, number in zip(makers, numbers, strict=True)]
        if len(set(keys)) < len(keys):
            raise Unusual("has a part twice")
        for names in self._bounded:
            _rising([columns[name] for name in names if name in columns])
        return PortionRows(self._kind, keys, columns)


def _single(number: str) -> None:
    try:
        check_single(number)
    except Refused as slip:
        raise Unusual(f"has a part number that {slip}") from slip


def _rising(columns: Sequence[Sequence[Any]]) -> None:
    """Refuse where a value of one column is above that of a later one; blanks are passed over."""
    for below, above in combinations(columns, 2):
        if any(a is not None and b is not None and a > b for a, b in zip(below, above, strict=True)):
            raise Unusual("has a least value above a larger one")


class PointColumns:
    """A sheet with one row for each point of one table, its header read."""

    def __init__(self, stream: SheetStream, kind: str, reading: Reading) -> None:
        sheet, name = stream.sheet, stream.name.table
        words = point_words((kind,), name)
        sheet.name_columns(words)
        self.table = KINDS[kind].table(name)
        declared = checks.point_columns(self.table) | {key: checks.columns(kind)[key] for key in checks.IDENTITY}
        if sheet.lacks(checks.IDENTITY) or any(name and name not in declared for name in sheet.columns):
            raise Unusual("has a header that is not clear")
        sheet.check_labels(words.declared)
        self._columns = _Columns(sheet, declared, reading)
        stream.begin()

    def read(self, rows: Sequence[Row], into: PortionRows, places: Mapping[Key, int]) -> None:
        """Give the parts the points of some rows."""
        table, columns = self.table, self._columns.read(rows)
        numbers, makers = (columns[name] for name in checks.IDENTITY)
        count = len(numbers)
        values = [columns.get(name) or [None] * count for name in table.columns()]
        axes, bounds = values[: len(table.axes)], values[len(table.axes) :]
        if any(axis.required and None in column for axis, column in zip(table.axes, axes, strict=True)):
            raise Unusual(f"has a row of {table.name} without its conditions")
        if any(all(value is None for value in row) for row in zip(*bounds, strict=True)):
            raise Unusual(f"has a row of {table.name} without a value")
        _rising(bounds)
        owners = [places[maker.casefold(), number] for maker, number in zip(makers, numbers, strict=True)]
        into.points[table.name] = list(_placed(table, owners, axes, values))
        if table.name == "rds_on" and "vgs_th_max" in into.columns:
            _below_gate(into.columns["vgs_th_max"], owners, columns["vgs"])


def _placed(
    table: Table, owners: Sequence[int], axes: Sequence[Sequence[Any]], values: Sequence[Sequence[Any]]
) -> Iterable[tuple[Any, ...]]:
    """The points of each part in the order of its conditions, as :func:`partcheck.parts.part.point_table` has them."""
    ranks = [[_rank(axis, value) for value in column] for axis, column in zip(table.axes, axes, strict=True)]
    before: tuple[Any, ...] = ()
    place = 0
    for rank, values_of in sorted(
        zip(zip(owners, *ranks, strict=True), zip(*values, strict=True), strict=True), key=lambda row: row[0]
    ):
        if rank == before:
            raise Unusual(f"has a point of {table.name} twice")
        place = place + 1 if before and rank[0] == before[0] else 0
        before = rank
        yield rank[0], place, *values_of


def _rank(axis: Axis, value: Any) -> tuple[bool, float]:
    """Where a condition stands in the order: blanks last, words as they are declared."""
    if value is None:
        return True, 0.0
    return False, axis.choices.index(value) if axis.choices else value


def _below_gate(thresholds: Sequence[Any], owners: Sequence[int], gates: Sequence[float]) -> None:
    """Refuse a threshold above every gate voltage at which on-resistance is stated."""
    highest: dict[int, float] = {}
    for owner, gate in zip(owners, gates, strict=True):  # a condition that every row states
        highest[owner] = max(gate, highest.get(owner, gate))
    if any((limit := thresholds[owner]) is not None and limit > gate for owner, gate in highest.items()):
        raise Unusual("has a threshold above every gate voltage")


class SourceColumns:
    """A sheet that says where values came from, its header read."""

    def __init__(self, stream: SheetStream, reading: Reading) -> None:
        sheet = stream.sheet
        sheet.name_columns(source_words())
        known = ("kind", *checks.IDENTITY, "parameter", *checks.SOURCE)
        if sheet.lacks((*checks.IDENTITY, "parameter")) or any(n and n not in known for n in sheet.columns):
            raise Unusual("has a header that is not clear")
        self._names = [name for name in ("parameter", *checks.SOURCE) if name in sheet.columns]
        self._columns = _Columns(sheet, dict.fromkeys(sheet.columns, _FREE), reading)
        self._known: dict[tuple[Any, ...], tuple[Any, ...]] = {}
        stream.begin()

    def read(self, rows: Sequence[Row], into: PortionRows, places: Mapping[Key, int]) -> None:
        """Give the parts the sources of some rows."""
        columns = self._columns.read(rows)
        numbers, makers = (columns[name] for name in checks.IDENTITY)
        seen: set[tuple[int, str]] = set()
        for number, maker, *said in zip(numbers, makers, *(columns[name] for name in self._names), strict=True):
            owner = places[maker.casefold(), number]
            source = self._source(into.kind, tuple(said))
            if (owner, source[0]) in seen:
                raise Unusual("has two sources of one value")
            seen.add((owner, source[0]))
            into.sources.append((owner, *source))

    def _source(self, kind: str, said: tuple[Any, ...]) -> tuple[Any, ...]:
        if (kind, *said) not in self._known:
            record = {name: text for name, text in zip(self._names, said, strict=True) if text is not None}
            parameter = record.pop("parameter", "")
            source, problems = checks.source(kind, parameter, record)
            if problems:
                raise Unusual(f"has a source that {problems[0].reason}")
            if len(self._known) >= _KEPT:
                self._known.clear()
            self._known[kind, *said] = (parameter, *(getattr(source, name) or None for name in checks.SOURCE))
        return self._known[kind, *said]
