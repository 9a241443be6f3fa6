"""Rows that are no header: remarks; and what to say where no row names part number and maker: which reads like one."""

from collections.abc import Sequence

from partcheck.parts.checks import IDENTITY
from partcheck.parts.grid import SEARCHED, Grid

SHOWN = 6
"""So many headers are told."""
_LONGEST = 30  # characters of a header


def advice(grid: Grid, column: str) -> str:
    """Which headers the sheet seems to have, and how to say that one of them is the part number or maker ``column``.

    Empty where no row reads like a header.
    """
    found = likely_header(grid.rows[:SEARCHED])
    if found is None or column not in IDENTITY:
        return ""
    number, names = found
    listed = ", ".join(repr(name) for name in names[:SHOWN])
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    sheet = f"{grid.sheet}!" if grid.sheet else ""
    return (
        f"row {number} reads like the header, {listed}{more}; say which of them it is, "
        f"such as --map '{sheet}{names[IDENTITY.index(column)]}={column}'"
    )


def likely_header(rows: Sequence[tuple[int, list[str]]]) -> tuple[int, list[str]] | None:
    """The row with the most words, the first of several, and its words; None where none has two."""
    best: tuple[int, list[str]] | None = None
    for number, cells in rows:
        words = [" ".join(cell.split()) for cell in cells]
        words = [word for word in words if word and not word[0].isdigit() and len(word) <= _LONGEST and "=" not in word]
        if len(words) > (len(best[1]) if best else 1):
            best = number, words
    return best


def is_remark(cells: list[str]) -> bool:
    """Whether a row is there for its reader alone: ``#`` stands before all else in it."""
    return next((cell for cell in cells if cell and not cell.isspace()), "").strip().partition(" ")[0] == "#"
