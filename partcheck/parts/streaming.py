"""A CSV sheet read some rows at a time, for sheets too large to be held whole."""

import csv
from collections import deque
from collections.abc import Callable, Collection, Iterator
from io import TextIOWrapper
from itertools import islice
from pathlib import Path

from partcheck.parts.checks import IDENTITY
from partcheck.parts.grid import COLUMNS, SEARCHED, Grid, delimiter_of
from partcheck.parts.mapping import Reading
from partcheck.parts.names import SheetName
from partcheck.parts.no_header import is_remark
from partcheck.parts.sheet import Sheet, open_sheet

Row = tuple[int, list[str]]
_HEAD = 1 << 20  # bytes in which header and delimiter are looked for


class Unusual(Exception):
    """What only a reading of the whole sheet can judge; the message says what it is."""


class SheetStream:
    """The rows of a CSV sheet under its header, taken in order; close it.

    ``sheet`` is its header as it was read, ``head`` the rows down to where the parts begin.
    """

    def __init__(self, path: Path, name: SheetName, reading: Reading) -> None:
        self.path, self.name = path, name
        self._raw = path.open("rb")
        head = self._raw.read(_HEAD).decode("utf-8-sig", errors="ignore")
        self._raw.seek(0)
        self._text = TextIOWrapper(self._raw, "utf-8-sig", newline="")
        self._reader = csv.reader(self._text, delimiter=delimiter_of(head), strict=True)
        self._number = 0
        self._waiting: deque[Row] = deque()
        self._kinds: tuple[int, str, frozenset[str]] | None = None
        self._places: list[int] = []
        self._raw_key: list[str] = []
        self._key = "", ""
        self.head: list[Row] = []
        try:
            self._first = self.take(4 * SEARCHED)
        except Unusual:
            self.close()
            raise
        self.sheet: Sheet = open_sheet(Grid(path.name, "", self._first), reading)

    def begin(self) -> None:
        """Go back to the first row of a part; the header must have been read by then, its row of units taken."""
        if not self.sheet.rows:
            raise Unusual("has no row of a part near its top")
        begins = self.sheet.rows[0][0]
        self.head = [row for row in self._first if row[0] < begins]
        self._waiting = deque(row for row in self._first if row[0] >= begins)
        self._places = [self.sheet.columns.index(name) for name in IDENTITY]
        self._first = []

    def close(self) -> None:
        """Let go of the file."""
        self._text.close()

    @property
    def size(self) -> int:
        """Bytes of the file."""
        return self.path.stat().st_size

    @property
    def done(self) -> int:
        """Bytes that were read."""
        return self._raw.tell()

    def _rows(self) -> Iterator[Row]:
        while self._waiting:
            yield self._waiting.popleft()
        try:
            for cells in self._reader:
                self._number += 1
                if len(cells) > COLUMNS:
                    raise Unusual(f"has {len(cells)} columns in row {self._number}")
                if ((cells and cells[0].strip()) or any(map(str.strip, cells))) and self._is_mine(cells):
                    yield self._number, cells
        except (csv.Error, UnicodeDecodeError) as slip:
            raise Unusual(f"cannot be read as CSV in UTF-8 near line {self._reader.line_num}") from slip

    def keep(self, kind: str, others: Collection[str]) -> None:
        """From here on leave out rows of other kinds, which must be known ones."""
        if "kind" in self.sheet.columns:
            self._kinds = self.sheet.columns.index("kind"), kind, frozenset(others)
            self._waiting = deque(row for row in self._waiting if self._is_mine(row[1]))

    def _is_mine(self, cells: list[str]) -> bool:
        if self._kinds is None:
            return True
        at, mine, others = self._kinds
        said = cells[at].strip().casefold() if at < len(cells) else ""
        if said != mine and said not in others and not is_remark(cells):
            raise Unusual(
                f"has the kind {said!r} in row {self._number} of {self.path.name}, where no sheet has such parts"
            )
        return said == mine

    def take(self, count: int) -> list[Row]:
        """The next rows that are not blank, at most so many."""
        return list(islice(self._rows(), count))

    def take_while(self, belongs: Callable[[list[str]], bool]) -> list[Row]:
        """The next rows for as long as they belong to what is at hand; remarks between them go along."""
        taken: list[Row] = []
        for row in self._rows():
            if not belongs(row[1]) and not is_remark(row[1]):
                self._waiting.appendleft(row)
                break
            taken.append(row)
        return taken

    def key(self, cells: list[str]) -> tuple[str, str]:
        """Maker in lower case and part number of a row."""
        raw = [cells[i] if i < len(cells) else "" for i in self._places]
        if raw != self._raw_key:  # the rows of one part mostly follow each other, spelled alike
            number, maker = (" ".join(text.split()) for text in raw)
            self._raw_key, self._key = raw, (maker.casefold(), number)
        return self._key

    def grid(self, rows: list[Row]) -> Grid:
        """Some rows under the header, as a sheet of their own."""
        return Grid(self.path.name, "", [*self.head, *rows])
