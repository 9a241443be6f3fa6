"""One sheet: its header, the units in it, and its rows that are not blank."""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field

from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts.beside import PASSED, Point, condition_columns
from partcheck.parts.cells import NOT_STATED, SPREADSHEET_ERRORS, Refused, check_label, stated, with_unit
from partcheck.parts.checks import IDENTITY
from partcheck.parts.commas import Commas
from partcheck.parts.grid import SEARCHED, Grid, column_letters, unguarded
from partcheck.parts.headers import REASON, Vocabulary, identity_in, plain, read_header
from partcheck.parts.mapping import CONDITION, NOTHING, UNKNOWN, MappedColumn, Reading, SheetMap
from partcheck.parts.no_header import advice, is_remark
from partcheck.parts.prices import currency_in, currency_of, is_plain_beside
from partcheck.parts.problems import BadCell, Problem
from partcheck.parts.two_rows import joined
from partcheck.parts.unclear import unclear
from partcheck.parts.unit_row import units_below
from partcheck.parts.whole_sheet import constants_of, strange_words, translate
from partcheck.units import is_unit

Declared = Mapping[str, Parameter | Axis | Table]
_TELLS_COMMA = re.compile("a comma is|decimal comma$")
_MISSING = "give the sheet this column, or say with --map which one it is"
_LONGEST = 60  # characters of a header in a message


@dataclass
class Sheet:
    """The rows of a sheet under its header.

    ``headers`` are the header's texts, ``columns`` what each means (empty: not read), ``labels`` the units that
    stand in some of them, ``rows`` the row numbers (as a spreadsheet counts them) with their cells, ``bad`` what is
    wrong with the header or the shape. ``points`` are columns that are points of a table; ``refused`` tells that none
    of its rows could be looked at; ``currency`` is that of the price's header; ``unit_row`` the
    row of units below it; ``constants`` are values of every row, by column;
    ``conditions`` are columns of the points' conditions, and whether they hold numbers.
    """

    grid: Grid
    reading: Reading
    said: SheetMap
    header: int
    headers: list[str]
    rows: list[tuple[int, list[str]]]
    columns: list[str] = field(default_factory=list)
    labels: dict[str, str] = field(default_factory=dict)
    points: dict[str, Point] = field(default_factory=dict)
    bad: list[BadCell] = field(default_factory=list)
    refused: bool = False
    unit_row: list[str] | None = None
    currency: str = ""
    constants: dict[str, str] = field(default_factory=dict)
    conditions: dict[str, bool] = field(default_factory=dict)
    _numeric: list[str] = field(default_factory=list)
    _free: list[str] = field(default_factory=list)
    _headed: dict[str, str] = field(default_factory=dict)
    _settled: set[str] = field(default_factory=set)

    @property
    def name(self) -> str:
        """File and sheet, as messages name them."""
        return self.grid.name

    def tell(self, row: int, problem: Problem) -> None:
        """Note that a cell is bad."""
        self.bad.append(self.cell(row, problem))

    def cell(self, row: int, problem: Problem) -> BadCell:
        """A problem as a bad cell of this sheet."""
        written, suggestion = "", problem.suggestion
        if problem.column in self.columns:
            place = self.columns.index(problem.column)
            text = " ".join(self.headers[place].split())[:_LONGEST]
            written = text if plain(re.sub(r"\[[^\[\]]*\]", "", text)) != plain(problem.column) else ""
            if not problem.text and row > self.header and (first := self.grid.merged.get((row, place))):
                suggestion = f"its cell is merged with row {first[0]}, which alone has the value; write it in each row"
        if _TELLS_COMMA.search(problem.reason) and not self.comma and self._has_numbers(problem.column):
            suggestion += ", or read the sheets with --decimal comma"
        elif suggestion == NOT_STATED:
            suggestion += f", or import with --map 'blanks={problem.text.strip()}'"
        file, sheet = self.grid.file, self.grid.sheet
        name = self._headed.get(problem.column, problem.column)
        return BadCell(file, row, name, problem.text, problem.reason, suggestion, "row", sheet, written)

    @property
    def comma(self) -> bool:
        """Whether its texts have decimal commas."""
        return self.said.decimal == "comma" if self.said.decimal else self.reading.decimal_comma

    @property
    def named(self) -> list[str]:
        """The headers, each mapped one as the column that it means."""
        return self.said.named(self.headers)

    @property
    def mixed(self) -> bool:
        """Whether a column tells the kind of each part."""
        return any(plain(text) == "kind" for text in self.headers)

    def name_columns(self, words: Vocabulary, kind: str = "") -> None:
        """Give every column its meaning; what is not clear is told. ``kind`` is that of a main sheet of one."""
        mine = self.reading.used.sheets.setdefault(self.grid.sheet or self.grid.file.removesuffix(".csv"), SheetMap())
        mine.holds, mine.header = mine.holds or self.said.holds, self.header
        mine.decimal, mine.constants, mine.words = self.said.decimal, self.said.constants, self.said.words
        unused: set[int] = set()
        beside, told = condition_columns(self.headers, kind, self.said)
        for place, text in enumerate(self.headers):
            lettered = f"column {column_letters(place)}"
            target = self.said.meant(self.headers, place) or beside.get(place)
            if plain(text) == plain(REASON) or (target and target.column in (NOTHING, PASSED)):
                unused.add(place)
                self.columns.append("")
                used = MappedColumn(UNKNOWN if target.column == PASSED else NOTHING) if target else None
            elif target and target.column == CONDITION:
                self._add(lettered, target.unit or read_header(text, words).label)
                used, self.conditions[lettered] = target, True
            elif target and target.column != UNKNOWN:
                used = self._map(text, target, words)
                self._settled |= {self.columns[-1]} if target.unit else set()
            else:
                used = self._read(text, words)
            if used and (text.strip() or target):
                alone = text.strip() and self.headers.count(text) == 1
                mine.columns[text.strip() if alone else lettered] = used
        for point in self.points.values():
            self.conditions |= {
                text: not axis.choices for text, axis in point.axes().items() if text in self.conditions
            }
        self._take_unit_row(words)
        self.constants, strange = constants_of(self.said.constants, self.columns, words)
        for problem in (*told, *strange, *strange_words(self.said.words, self.columns)):
            self.tell(self.header, problem)
        self.reading.note_unused(self.name, self.said, self.headers)
        self._check_shape(unused)
        self._check_cells(words)

    def _take_unit_row(self, words: Vocabulary) -> None:
        """Take a row right below the header that names no part, but units, as the units of its columns.

        A unit in it that does not suit is told as one of the header is: without it, bare numbers would be SI.
        """
        cells = dict(zip(self.columns, self.rows[0][1], strict=False)) if self.rows else {}
        units = units_below(cells, {name for name in cells if name and self._is_number(name, words)}, words)
        if units is None:
            return
        self.unit_row, self.rows = self.rows[0][1], self.rows[1:]
        for name, text in units.items():
            code = currency_of(text) if name == "price" else ""
            self.currency = self.currency or code
            if name in self._settled and not is_unit(text):
                continue  # a condition or a name in a second row: what the mapping says stands
            above = self.currency if code else self.labels.setdefault(name, text)
            if above != (code or text):
                reason = f"is the unit in the row below the header, but the header or the mapping says {above}"
                self.tell(self.header, Problem(name, text, reason, "keep the one that is right"))

    def _add(self, name: str, label: str) -> None:
        if name and name in self.columns:
            self.tell(self.header, Problem(name, "", "is in the header twice", "keep one of the columns"))
        if name and label:
            self.labels[name] = label
        self.columns.append(name)

    def _read(self, text: str, words: Vocabulary) -> MappedColumn | None:
        head, currency = currency_in(text)
        if currency and words.find(head)[0] == "price":
            self.currency, text = currency, head
        found = read_header(text, words)
        if found.bad:
            advice = "write a name and perhaps one unit in [ ]"
            self.tell(self.header, Problem(found.column, "", "is not a header", advice))
            self.columns.append("")
            return MappedColumn(UNKNOWN)
        column, told = (found.column, None) if found.column or not found.may_be else unclear(text, found)
        if told is not None:
            self.tell(self.header, told)
        self._add(column, found.label)
        known = column in words.declared or column in words.exact.values()
        if column and not known:  # told as it is written
            self._headed[column] = " ".join(text.partition("[")[0].split())[:_LONGEST] or column
        return MappedColumn(column if known else UNKNOWN, found.label if known else "")

    def _map(self, text: str, target: MappedColumn, words: Vocabulary) -> MappedColumn:
        """A header that the user has said the meaning of."""
        head, _, bound = target.column.rpartition(".")
        if head and target.column not in words.declared:
            name, point = f"{target.column} @{len(self.columns)}", Point(head, bound, target.at)
            if point in self.points.values():
                told = Problem(target.column, "", "appears twice at the same conditions", "keep one of the columns")
                self.tell(self.header, told)
            self.points[name] = point
            self._add(name, target.unit or read_header(text, words).label)
            return target
        if target.column not in words.declared and target.column not in words.exact.values():
            self._add(target.column, "")
            return MappedColumn(UNKNOWN)
        if target.column == "price":
            text, self.currency = currency_in(text)
        self._add(target.column, target.unit or read_header(text, words).label)
        return target

    def _check_shape(self, unused: Collection[int]) -> None:
        """Refuse cells that stand under no name."""
        named = [
            bool(text.strip() or self.columns[place]) or place in unused for place, text in enumerate(self.headers)
        ]
        for number, cells in self.rows:
            if len(cells) <= len(named) and all(named):
                continue
            over = [i for i, cell in enumerate(cells) if (i >= len(named) or not named[i]) and stated(cell)]
            if over:
                place, advice = str(over[0] + 1), "put a text that has a comma in quotes, write decimals with a point"
                if self.grid.sheet or over[0] < len(named):
                    place = column_letters(over[0])
                    advice = f"name the column, or empty the cell, or say with --map {place}=... what it is"
                self.tell(number, Problem(place, cells[over[0]], "has no name above it in the header", advice))

    def _check_cells(self, words: Vocabulary) -> None:
        """Refuse cells of a workbook that have no value, and dates where no date can be meant."""
        numeric = {name for name in self.columns if self._is_number(name, words)}
        self._numeric = [name for name in self.columns if name in numeric]
        self._free = [name for name in self.columns if name and name not in numeric]
        self._check_beside()
        if not self.grid.faults and not self.grid.dates:
            return
        rows = {number: place for place, (number, _) in enumerate(self.rows)}
        for number, column in sorted({*self.grid.faults, *self.grid.dates}):
            name = self.columns[column] if column < len(self.columns) and number in rows else ""
            if not name:
                continue
            text, item = self.rows[rows[number]][1][column], words.declared.get(name)
            fault = self.grid.faults.get((number, column))
            if fault and name not in numeric and text in SPREADSHEET_ERRORS:
                continue  # told with its row, as in a CSV file
            if fault:
                self.tell(number, Problem(name, text, fault.reason, fault.suggestion))
            elif name in numeric or name in IDENTITY or (isinstance(item, Parameter | Axis) and item.choices):
                advice = "make the column text in the spreadsheet and type the cell again"
                self.tell(number, Problem(name, text, "is a date to the spreadsheet", advice))
            else:
                continue
            if name not in IDENTITY:
                self._blank(rows[number], column)

    def _check_beside(self) -> None:
        """Refuse prices and quantities that their number format shows as those of something else than a piece."""
        places = {place: name for place, name in enumerate(self.columns) if name in ("price", "quantity")}
        rows = {number: place for place, (number, _) in enumerate(self.rows)} if places and self.grid.beside else {}
        for (number, column), text in self.grid.beside.items():
            name = places.get(column)
            if name is None or number not in rows or is_plain_beside(name, text):
                continue
            told = f"{self.rows[rows[number]][1][column]} {text}", f"has {text!r} from its number format"
            self.tell(number, Problem(name, *told, "type the number for one piece, in a plain number format"))
            self._blank(rows[number], column)

    def _name_currency(self, number: int, record: dict[str, str]) -> None:
        """Give a price the currency that its header or number format names."""
        place = self.columns.index("price") if "price" in self.columns else -1
        shown = self.grid.beside.get((number, place), "")
        record["price"], typed = currency_in(record["price"])
        named = {code for code in (self.currency, typed, currency_of(shown)) if code}
        own = record.get("currency", "").strip()
        if (own and named - {currency_of(own) or own}) or len(named) > 1:
            reason = f"contradicts {' and '.join(sorted(named))} of the price"
            self.tell(number, Problem("currency", own, reason, "keep the one that is right"))
        elif named and not own:
            record["currency"] = named.pop()

    def _blank(self, place: int, column: int) -> None:
        number, cells = self.rows[place]
        self.rows[place] = (number, [*cells[:column], "", *cells[column + 1 :]])

    def _has_numbers(self, name: str) -> bool:
        """Whether a column holds numbers, or is told as a value of a table."""
        return name in self._numeric or name.partition(".")[0] in {point.table for point in self.points.values()}

    def is_number(self, name: str) -> bool:
        """Whether numbers stand in a column that was read."""
        return name in self._numeric

    def _is_number(self, name: str, words: Vocabulary) -> bool:
        item = words.declared.get(name)
        return (
            name in self.points
            or self.conditions.get(name, False)
            or isinstance(item, Table)
            or (item is not None and not item.is_text)
        )

    def records(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Row number and the cells that are not blank, by column; bare numbers carry their header's unit."""
        blanks, total = self.reading.mapping.blanks, len(self.rows)
        commas = Commas(self.grid, self.columns, self._numeric, self.tell)
        commas.look_through(self.headers, self.rows, self.comma)
        for place, (number, cells) in enumerate(self.rows):
            if not place % 1000:
                self.reading.step(f"reading {self.name}", place, total)
            pairs = zip(self.columns, cells, strict=False)
            record = {name: cell for name, cell in pairs if name and cell and not cell.isspace()}
            if blanks:
                record = {name: cell for name, cell in record.items() if cell.strip().casefold() not in blanks}
            for name in self._free:
                if record.get(name, "").startswith(("'", "#")):
                    record[name] = self._free_text(number, name, record[name])
            translate(record, self.said.words)
            record |= self.constants
            if "price" in record and (
                self.currency or self.grid.beside or not record["price"].strip().replace(".", "").isdigit()
            ):
                self._name_currency(number, record)
            commas.read(number, record)
            for name in self.labels.keys() & record.keys():
                record[name] = with_unit(record[name], self.labels[name])
            yield number, record

    def _free_text(self, number: int, name: str, cell: str) -> str:
        """A text without its guard; an error code that stands without one is told."""
        if cell.strip() in SPREADSHEET_ERRORS:
            advice = "correct the formula or empty the cell"
            self.tell(number, Problem(name, cell, "is an error of the spreadsheet", advice))
        return unguarded(cell)

    def take_points(self, kind: str, record: dict[str, str]) -> dict[str, list[dict[str, str]]]:
        """Move the cells of columns that are points out of a record: rows by table."""
        rows: dict[tuple[str, object], dict[str, str]] = {}
        for name, point in self.points.items():
            cell = record.pop(name, None)
            if cell is not None and any(table.name == point.table for table in KINDS[kind].tables):
                at = point.row(record, self.conditions)
                key: tuple[str, object] = (point.table, point.key(at))
                key = (point.table, name) if point.bound in rows.get(key, ()) else key  # told as the same point twice
                rows.setdefault(key, at)[point.bound] = cell
            elif cell is not None:
                record[point.table] = cell  # told as no column of that kind
        for name in self.conditions:
            record.pop(name, None)
        made: dict[str, list[dict[str, str]]] = {}
        for (table, _), row in rows.items():
            made.setdefault(table, []).append(row)
        return made

    def check_labels(self, declared: Declared) -> None:
        """Refuse a unit in the header that does not suit the values under it."""
        for name, label in list(self.labels.items()):
            item = declared.get(name)
            if item is None:
                continue
            try:
                if not isinstance(item, Table) and item.is_text:
                    raise Refused(f"has the unit '{label}', but is a text", "leave the brackets out")
                check_label(label, item.unit)
            except Refused as slip:
                self.tell(self.header, Problem(name, "", slip.reason, slip.suggestion))
                del self.labels[name]

    def drop(self, names: Collection[str]) -> None:
        """Leave columns out that were told to be bad."""
        self.columns = ["" if name in names else name for name in self.columns]

    def lacks(self, needed: Collection[str]) -> bool:
        """Tell of each needed column that the header does not have; whether there was any."""
        missing = [name for name in needed if name not in self.columns and name not in self.constants]
        if set(IDENTITY) <= set(missing):  # no header was found, and what is not under one follows from that
            self.bad = [cell for cell in self.bad if cell.row <= self.header]
        for name in missing:
            how = (advice(self.grid, name) if set(IDENTITY) <= set(missing) else "") or _MISSING
            self.tell(self.header, Problem(name, "", "is missing from the header", how))
        self.refused = self.refused or bool(missing)
        return bool(missing)


def open_sheet(grid: Grid, reading: Reading) -> Sheet:
    """The sheet in a grid; its header is the first row that names part number and maker, or else one of them."""
    said = reading.mapping.of(grid.sheet or grid.file.removesuffix(".csv"), reading.alone)
    rows = [(number, cells) for number, cells in grid.rows if not is_remark(cells)]
    known = {header: column.column for header, column in said.columns.items()}
    numbers = [number for number, _ in rows]
    found = [max(identity_in(cells, known), said.lettered_in(cells, IDENTITY)) for _, cells in rows[:SEARCHED]]
    place = found.index(max(found)) if found else 0
    if said.header:
        stated_at = next((i for i, number in enumerate(numbers) if number >= said.header), 0)
        names = {text.strip() for text in rows[stated_at][1]} if rows else set()
        moved = bool(found) and found[place] == 2 and names.isdisjoint({*known}) and not identity_in([*names], known)
        place = place if moved else stated_at  # rejected rows stand right below their header
    number = rows[place][0] if rows else 1
    headers, first = joined(rows, place, grid.merged, known) if rows else ([], 0)
    headers = [unguarded(text) for text in headers]
    width = max((len(cells) for _, cells in rows), default=0) if said.columns else 0
    headers += [""] * (width - len(headers))  # one without a name may be mapped by its letter
    while headers and not headers[-1].strip() and not said.key_of(headers, len(headers) - 1):
        headers.pop()
    return Sheet(grid, reading, said, number, headers, rows[first:])
