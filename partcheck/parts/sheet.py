"""One CSV file as a sheet: its header, the units in it, and its rows that are not blank."""

import csv
import io
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from partcheck.errors import PartsError
from partcheck.parameters import Axis, Parameter, Table
from partcheck.parts.cells import Refused, check_label, stated, with_unit
from partcheck.parts.files import read_text
from partcheck.parts.problems import BadCell, Problem

_HEADER = re.compile(r"\s*([^\[\]]*?)\s*(?:\[\s*([^\[\]]+?)\s*\])?\s*")
Declared = Mapping[str, Parameter | Axis | Table]


@dataclass
class Sheet:
    """The rows of a CSV file under their header.

    ``columns`` are the header's names in lower case, ``labels`` the units that stand in brackets behind
    some of them, ``rows`` the row numbers (as a spreadsheet counts them, the header being row 1 where it is
    the first line) with their cells, ``bad`` what is wrong with the header or the shape.
    """

    file: str
    header: int
    columns: list[str]
    labels: dict[str, str]
    rows: list[tuple[int, list[str]]]
    bad: list[BadCell] = field(default_factory=list)

    def tell(self, row: int, problem: Problem) -> None:
        """Note that a cell is bad."""
        self.bad.append(BadCell(self.file, row, problem.column, problem.text, problem.reason, problem.suggestion))

    def records(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Row number and the cells that are not blank, by column; bare numbers carry their header's unit."""
        for number, cells in self.rows:
            pairs = zip(self.columns, cells, strict=False)
            record = {name: cell for name, cell in pairs if name and cell and not cell.isspace()}
            for name, label in self.labels.items():
                if name in record:
                    record[name] = with_unit(record[name], label)
            yield number, record

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
        missing = [name for name in needed if name not in self.columns]
        for name in missing:
            self.tell(self.header, Problem(name, "", "is missing from the header", "give the sheet this column"))
        return bool(missing)


def read_sheet(path: Path) -> Sheet:
    """The sheet in a CSV file (``,``, ``;`` or tab between cells); :class:`PartsError` if there is none."""
    text = read_text(path)
    first = next((line for line in text.splitlines() if line.strip(" \t,;")), "")
    delimiter = max(",;\t", key=first.count)
    rows = _rows(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True), path)
    if not rows:
        raise PartsError(f"{path} is empty; write a header and a row for each part")
    number, names = rows.pop(0)
    sheet = Sheet(path.name, number, [], {}, rows)
    for name in names:
        _add_column(sheet, name)
    _check_shape(sheet)
    return sheet


def _rows(reader: Any, path: Path) -> list[tuple[int, list[str]]]:
    try:
        return [(number, cells) for number, cells in enumerate(reader, 1) if any(map(str.strip, cells))]
    except csv.Error as slip:
        why = "a quote is open or stands inside a cell" if "field limit" not in str(slip) else "a cell is too long"
        raise PartsError(f"{path} line {reader.line_num} is no row of a sheet: {why}; mend the quotes there") from slip


def _add_column(sheet: Sheet, text: str) -> None:
    match = _HEADER.fullmatch(text)
    if match is None:
        sheet.tell(
            sheet.header,
            Problem(text.strip(), "", "is no header", "write a name and perhaps one unit in [ ]"),
        )
    name, label = (match[1].casefold(), match[2]) if match else ("", None)
    if name and name in sheet.columns:
        sheet.tell(sheet.header, Problem(name, "", "stands twice in the header", "keep one of the columns"))
    if name and label:
        sheet.labels[name] = label
    sheet.columns.append(name)


def _check_shape(sheet: Sheet) -> None:
    """Refuse cells that stand under no name."""
    named = [bool(name) for name in sheet.columns]
    for number, cells in sheet.rows:
        if len(cells) <= len(named) and all(named):
            continue
        over = [i for i, cell in enumerate(cells) if (i >= len(named) or not named[i]) and stated(cell)]
        if over:
            advice = "put a text that has a comma in quotes, write decimals with a point"
            reason = "has no name above it in the header"
            sheet.tell(number, Problem(str(over[0] + 1), cells[over[0]], reason, advice))
