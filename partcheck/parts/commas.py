"""Decimal commas in a sheet: what they mean, and which numbers with a point they put in doubt."""

import re
from collections.abc import Callable, Sequence

from partcheck.parts.cells import Refused, with_point
from partcheck.parts.grid import POINTED, Grid
from partcheck.parts.headers import REASON, plain
from partcheck.parts.problems import Problem

_COMMA = re.compile(r"\s*[+-]?[0-9]*,[0-9]+(?![0-9]*\.)")
_THOUSANDS = "may have a point between thousands"
Rows = Sequence[tuple[int, list[str]]]


class Commas:
    """How the numbers of one sheet are read where its mapping says that a comma is the decimal sign, and where not.

    ``numeric`` are the columns of numbers; ``tell`` takes the row number and what is wrong there.
    """

    def __init__(
        self, grid: Grid, columns: Sequence[str], numeric: Sequence[str], tell: Callable[[int, Problem], None]
    ) -> None:
        self.grid, self.columns, self.numeric, self.tell = grid, columns, numeric, tell
        self.decimal = self.doubtful = False
        self.refused: set[int] = set()

    def look_through(self, headers: Sequence[str], rows: Rows, decimal: bool) -> None:
        """Find out what a comma means here; ``decimal`` where the mapping says that it is the decimal sign."""
        self.decimal, self.doubtful = decimal, not decimal and self._has_commas(rows)
        self.refused = set() if decimal or self.doubtful else _refused_before(headers, rows)

    def read(self, number: int, record: dict[str, str]) -> None:
        """Write the numbers of a row with a point; take out and tell what may mean something else."""
        if self.decimal:
            self._take(number, record)
        if self.doubtful or number in self.refused:
            self._refuse_pointed(number, record)

    def _take(self, number: int, record: dict[str, str]) -> None:
        for name in self.numeric:
            if name in record:
                try:
                    record[name] = with_point(record[name])
                except Refused as slip:
                    self.tell(number, Problem(name, record.pop(name), slip.reason, slip.suggestion))

    def _has_commas(self, rows: Rows) -> bool:
        """Whether a number anywhere in the sheet may have a decimal comma."""
        places = [place for place, name in enumerate(self.columns) if name in self.numeric]
        texts = (cells[place] for _, cells in rows for place in places if place < len(cells))
        return any("," in text and _COMMA.match(text) for text in texts)

    def _refuse_pointed(self, number: int, record: dict[str, str]) -> None:
        """Refuse ``2.000``: who writes decimal commas elsewhere in the sheet may mean 2000 by it."""
        for name in self.numeric:
            text = record.get(name, "")
            if POINTED.match(text) and (not self.grid.sheet or (number, self.columns.index(name)) in self.grid.pointed):
                del record[name]
                reason = f"{_THOUSANDS}, since numbers of the sheet have commas"
                whole = text.strip().replace(".", "", 1)
                exact = re.sub(r"(\.[0-9]{3})", r"\g<1>0", text.strip(), count=1)
                self.tell(number, Problem(name, text, reason, f"write {whole} or {exact}, whichever is meant"))


def _refused_before(headers: Sequence[str], rows: Rows) -> set[int]:
    """Rows that were rejected for such a point; the rows with commas that told of it may not be here."""
    place = next((i for i, text in enumerate(headers) if plain(text) == plain(REASON)), None)
    if place is None:
        return set()
    return {number for number, cells in rows if place < len(cells) and _THOUSANDS in cells[place]}
