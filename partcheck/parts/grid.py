"""The cells of one sheet as they stand, before anything is read into them."""

import csv
import io
import re
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, NamedTuple

from partcheck.errors import PartsError
from partcheck.parts.files import read_text
from partcheck.parts.headers import identity_in

SEARCHED = 50
"""Rows from the top in which a header is looked for."""
COLUMNS = 2000
"""Of a sheet; one that states every parameter has a tenth of them."""
POINTED = re.compile(r"\s*[+-]?[1-9][0-9]{0,2}\.[0-9]{3}(?![0-9.])")
"""A text that is another number to whoever separates thousands by points: ``2.000``."""
_GUARDED = frozenset("=+-@#'\t\r\n")


class Fault(NamedTuple):
    """Why a cell cannot be taken as it stands, and what to do."""

    reason: str
    suggestion: str


@dataclass
class Grid:
    """The rows of a sheet that are not blank, with their numbers as a spreadsheet counts them (from 1).

    ``sheet`` is empty for a CSV file. ``faults`` are cells of a workbook that have no value to read, ``dates`` those
    that a spreadsheet took for a date, ``pointed`` those of a workbook that are texts
    like ``2.000``, ``merged`` the first cell of each merged range by the others in it; all by row number and column
    index. ``beside`` is what a number format writes beside a number.
    """

    file: str
    sheet: str
    rows: list[tuple[int, list[str]]]
    faults: dict[tuple[int, int], Fault] = field(default_factory=dict)
    dates: set[tuple[int, int]] = field(default_factory=set)
    merged: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)
    hidden: bool = False
    beside: dict[tuple[int, int], str] = field(default_factory=dict)
    pointed: set[tuple[int, int]] = field(default_factory=set)

    @property
    def name(self) -> str:
        """What it is called in a message: ``mosfet.csv``, or ``parts.xlsx sheet mosfet``."""
        return f"{self.file} sheet {self.sheet}" if self.sheet else self.file


def guarded(text: str) -> str:
    """A text that no spreadsheet runs as a formula and no reader of sheets takes for a remark.

    ``guarded("=1+1") == "'=1+1"``; :func:`unguarded` gives the text back.
    """
    return f"'{text}" if text[:1] in _GUARDED and text else text


def unguarded(text: str) -> str:
    """The text before it was guarded: ``unguarded("'=1+1") == "=1+1"``; any other text as it is."""
    return text[1:] if text[:1] == "'" and text[1:2] in _GUARDED and len(text) > 1 else text


def column_letters(index: int) -> str:
    """What a spreadsheet calls a column, counted from 0: ``column_letters(27) == "AB"``."""
    letters = ""
    while index >= 0:
        index, rest = divmod(index, 26)
        letters, index = chr(ord("A") + rest) + letters, index - 1
    return letters


def read_csv(path: Path, piped: bool = False) -> Grid:
    """The cells of a CSV file (``,``, ``;`` or tab between them); :class:`PartsError` if there are none."""
    text = read_text(path, piped)
    rows = _rows(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter_of(text), strict=True), path)
    if not rows:
        raise PartsError(f"{path} is empty; write a header and a row for each part")
    return Grid(path.name, "", rows)


def delimiter_of(text: str) -> str:
    """What stands between cells: what makes a header of a line near the top, else what the first line has most of."""
    lines = [line[:100_000] for line in islice(io.StringIO(text), SEARCHED) if line.strip(" \t,;\r\n")]
    for line in lines:
        for delimiter in ",;\t":
            if identity_in([cell.strip(' "\r\n') for cell in line.split(delimiter)], {}) == 2:
                return delimiter
    return max(",;\t", key=(lines or [""])[0].count)


def _rows(reader: Any, path: Path) -> list[tuple[int, list[str]]]:
    try:
        return [
            (number, narrowed(cells, f"{path} line {number}"))
            for number, cells in enumerate(reader, 1)
            if any(map(str.strip, cells))
        ]
    except csv.Error as slip:
        why = "a quote is open or is inside a cell" if "field limit" not in str(slip) else "a cell is too long"
        raise PartsError(
            f"{path} line {reader.line_num} is not a row of a sheet: {why}; correct the quotes there"
        ) from slip


def narrowed(cells: list[str], where: str) -> list[str]:
    """A row without the blank cells beyond the last column that is read; ``where`` is its file and line."""
    if len(cells) <= COLUMNS:
        return cells
    if any(map(str.strip, cells[COLUMNS:])):
        raise PartsError(f"{where} has {len(cells)} columns; the limit is {COLUMNS}: leave out what is not data")
    return cells[:COLUMNS]
