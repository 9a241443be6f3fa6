"""A part while it is entered: raw cells one by one, each checked at once, with the source that each came from.

The cells are texts as typed, or numbers as JSON states them; :mod:`partcheck.parts.checks` reads them.
"""

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from partcheck.parameters import KINDS, Table
from partcheck.parts import checks
from partcheck.parts.cells import Refused, check_label, read, stated, with_unit
from partcheck.parts.documents import to_record
from partcheck.parts.part import NOWHERE, Part, Provenance
from partcheck.parts.problems import Problem, did_you_mean
from partcheck.units import UNITS, show

FORMAT = 1
_UNNAMED = {"part_number": "?", "maker": "?"}
_HEADED = re.compile(r"(\w+)\s*(?:[\[(]([^\])]*)[\])])?")
_NAMED = re.compile(r"(\w+)\s*=\s*([^=]*?)(?=\s+\w+\s*=|$)")
_NUMBER = re.compile(r"[+-]?[.\d]")


class NotSo(Exception):
    """What was entered cannot stand; the sentence says why and what to write instead."""


@dataclass
class Entry:
    """A part as far as it is entered.

    ``base`` is what an edit started from, ``source`` where the next values come from, ``asked`` what was asked already.
    """

    kind: str
    cells: dict[str, Any] = field(default_factory=dict)
    rows: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    sources: dict[str, dict[str, Any]] = field(default_factory=dict)
    source: dict[str, Any] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    base: dict[str, Any] | None = None

    @classmethod
    def of(cls, part: Part) -> "Entry":
        """An entry that starts as the part is; numbers to the last digit."""
        record = to_record(part)
        made = cls(part.kind, base=record)
        made.take(record)
        return made

    def take(self, record: Mapping[str, Any]) -> None:
        """Make the entry state what a record (of :func:`to_record`) states."""
        columns, tables = checks.columns(self.kind), {table.name for table in KINDS[self.kind].tables}
        self.cells = {name: record[name] for name in record if name in columns}
        for name, value in record.items():
            if isinstance(value, Mapping) and name != "provenance":
                self.cells |= {f"{name}_{bound}": cell for bound, cell in value.items()}
        self.rows = {name: [dict(row) for row in record[name]] for name in record if name in tables}
        self.sources = {name: dict(source) for name, source in record.get("provenance", {}).items()}

    @property
    def name(self) -> str:
        """The part number and maker, as far as they are known."""
        number, maker = (str(self.cells.get(name) or "?") for name in checks.IDENTITY)
        return f"{number} ({maker})"

    def attempt(self) -> tuple[Part | None, list[Problem]]:
        """The part, or what is wrong with it."""
        return checks.attempt(self.kind, self.cells, self.rows, self._provenance())

    def so_far(self) -> Part | None:
        """The part as far as it is entered, whether or not it has a name yet."""
        return checks.attempt(self.kind, _UNNAMED | self.cells, self.rows, {})[0]

    def put(self, column: str, text: str) -> None:
        """Enter a single value (an empty text: not stated); :class:`NotSo` where it cannot stand."""
        before = dict(self.cells)
        if stated(text):
            self.cells[column] = " ".join(text.split())
        else:
            self.cells.pop(column, None)
        slips = self._slips()
        if slips:
            self.cells = before
            mine = next((slip for slip in slips if slip.column == column), slips[0])
            raise NotSo(f"{'' if mine.column == column else mine.column + ': '}{mine}")
        self._sourced(column, before.get(column) != self.cells.get(column))

    def put_rows(self, table: str, rows: Sequence[Mapping[str, Any]]) -> None:
        """State the points of a table; :class:`NotSo` where a row cannot stand."""
        before = self.rows.get(table, [])
        self.rows[table] = [dict(row) for row in rows]
        if not rows:
            del self.rows[table]
        slips = self._slips()
        if slips:
            if before:
                self.rows[table] = before
            else:
                self.rows.pop(table, None)
            mine = next((slip for slip in slips if slip.table == table), slips[0])
            where = f"row {mine.row + 1}, " if mine.table else ""
            raise NotSo(f"{where}{mine.column}: {mine}")
        self._sourced(table, before != self.rows.get(table, []))

    def fill(
        self,
        cells: Mapping[str, Any],
        rows: Mapping[str, Sequence[Mapping[str, Any]]],
        conditions: Mapping[str, str] | None = None,
    ) -> tuple[Part | None, list[Problem]]:
        """State all single values and tables at once; the part, or what is wrong with it.

        What changed gets the present source, with the condition given for it.
        """
        before = {**self.cells, **self.rows}
        self.cells = {name: cell for name, cell in cells.items() if stated(cell)}
        self.rows = {name: [dict(row) for row in some] for name, some in rows.items() if some}
        part, problems = self.attempt()
        if part is None:
            return part, problems
        after = {**self.cells, **self.rows}
        for name in {**before, **after}:
            self._sourced(name, before.get(name) != after.get(name))
        for name, condition in (conditions or {}).items():
            if name in after and before.get(name) != after[name]:
                self.sources[name] = self.sources.get(name, {}) | {"condition": condition}
        return self.attempt()

    @classmethod
    def copied(cls, part: Part, part_number: str) -> "Entry":
        """An entry of a variant: everything is taken over but price, stock and notes."""
        made = cls.of(part)
        made.base = {"copied": part.name}
        for name in ("price", "currency", "quantity", "notes", "status"):
            made.cells.pop(name, None)
            made.sources.pop(name, None)
        made.cells["part_number"] = part_number
        return made

    def _slips(self) -> list[Problem]:
        return checks.attempt(self.kind, _UNNAMED | self.cells, self.rows, {})[1]

    def _sourced(self, name: str, changed: bool) -> None:
        """A changed value gets the present source; one that is again what it was has its former source."""
        if changed and name not in checks.IDENTITY:
            self.sources.pop(name, None)
            former = (self.base or {}).get("provenance", {}).get(name)
            if self._as_before(name):
                self.sources |= {name: dict(former)} if former else {}
                return
            here = {key: value for key, value in self.source.items() if value}
            if name in self.cells or name in self.rows:
                self.sources[name] = here

    def _as_before(self, name: str) -> bool:
        if self.base is None or "part_number" not in self.base:
            return False
        before = Entry(self.kind)
        before.take(self.base)
        declared = checks.columns(self.kind).get(name)
        if declared is None:
            return self.rows.get(name) == before.rows.get(name)
        now, then = (cells.get(name) for cells in (self.cells, before.cells))
        return now == then or (now is not None and then is not None and read(now, declared) == read(then, declared))

    def stated(self, name: str) -> bool:
        """Whether a column or table is stated."""
        return name in self.cells or name in self.rows

    def shown(self, column: str) -> str:
        """A single value for a reader; empty where it is not stated."""
        if column not in self.cells:
            return ""
        declared = checks.columns(self.kind)[column]
        value = read(self.cells[column], declared)
        return value if isinstance(value, str) else show(value, declared.unit, 6)

    def _provenance(self) -> dict[str, Provenance]:
        made = {name: Provenance(**source) for name, source in self.sources.items()}
        made = {name: source for name, source in made.items() if source != NOWHERE}
        if "*" in made or self.base is not None or not made:
            return made
        common, count = Counter(made.values()).most_common(1)[0]
        if count < 2:
            return made
        return {"*": common} | {name: source for name, source in made.items() if source != common}

    def to_json(self) -> dict[str, Any]:
        """For a draft."""
        return {"format": FORMAT, **asdict(self)}

    @classmethod
    def from_json(cls, made: Mapping[str, Any]) -> "Entry":
        """From a draft; ``KeyError``, ``TypeError`` or ``ValueError`` where it is none."""
        if made["format"] != FORMAT or made["kind"] not in KINDS:
            raise ValueError("no draft of this version")
        return cls(**{name: value for name, value in made.items() if name != "format"})


# ---- rows of a point table, typed or pasted ------------------------------------------------------------------


@dataclass
class RowReader:
    """Reads lines as rows of a table: cells in the order of the columns, or in that of a header line."""

    table: Table
    columns: list[str] = field(default_factory=list)
    labels: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.columns = self.columns or list(self.table.columns())

    def header(self, line: str) -> bool:
        """Take the line as a header if it is one: names of columns, each with a unit in brackets or without."""
        found = [_HEADED.fullmatch(cell.strip()) for cell in _cells(line)]
        named = {name.casefold(): name for name in self.table.columns()}
        if not found or not all(match and match[1].casefold() in named for match in found):
            return False
        self.columns, self.labels = [], {}
        declared = checks.point_columns(self.table)
        for match in found:
            assert match is not None
            name = named[match[1].casefold()]
            if match[2]:
                try:
                    check_label(match[2], declared[name].unit)
                except Refused as slip:
                    raise NotSo(f"{name} {slip.reason}; {slip.suggestion}") from slip
                self.labels[name] = match[2]
            self.columns.append(name)
        return True

    def row(self, line: str) -> dict[str, str]:
        """The cells of a line by column; blanks (empty or -) left out. :class:`NotSo` where they do not fit."""
        named = _NAMED.findall(line)
        cells = dict(named) if named else self._in_order(line)
        for name in cells:
            if name not in self.table.columns():
                advice = did_you_mean(name, self.table.columns(), f"it has {', '.join(self.table.columns())}")
                raise NotSo(f"{name} is not a column of {self.table.name}; {advice}")
        made = {name: self._cell(name, cell) for name, cell in cells.items() if cell not in ("", "-")}
        if not made:
            raise NotSo(f"the row is empty; write {', '.join(self.columns)} in this order, or an empty line to end")
        return made

    def _cell(self, name: str, cell: str) -> str:
        """With the unit of the header, if it has one; nothing is nothing in every unit."""
        label = self.labels.get(name, "")
        unit = checks.point_columns(self.table)[name].unit
        if cell == "0" and not label and not UNITS[unit].bare:
            label = UNITS[unit].symbol
        return with_unit(cell, label) if label else cell

    def _in_order(self, line: str) -> dict[str, str]:
        cells = _cells(line, {word for axis in self.table.axes for word in axis.choices})
        if len(cells) != len(self.columns):
            raise NotSo(
                f"{len(cells)} value{'s' * (len(cells) != 1)} for the {len(self.columns)} columns "
                f"{', '.join(self.columns)}; write - for one that is not stated"
            )
        return dict(zip(self.columns, cells, strict=True))


def _cells(line: str, words: Collection[str] = ()) -> list[str]:
    """The cells of a line: parted by tabs, semicolons or bars, else by blanks that do not stand before a unit."""
    for mark in ("\t", ";", "|"):
        if mark in line:
            return [cell.strip() for cell in line.strip("\r\n").strip("|").split(mark)]
    cells: list[str] = []
    for word in line.split():
        alone = _NUMBER.match(word) or word == "-" or word.casefold() in words
        unit = cells and not alone and _NUMBER.match(cells[-1]) and " " not in cells[-1]
        bracket = cells and word[0] in "[("
        if unit or bracket:
            cells[-1] += f" {word}"
        else:
            cells.append(word)
    return cells
