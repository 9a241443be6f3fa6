"""A header of two rows as one: the upper has the names, the lower says ``min``, ``typ`` or ``max``, and perhaps a unit.

::

    Part  Maker  VGS(th)            VDS          Part  Maker  VGS(th) min  VGS(th) typ  VGS(th) max  VDS max [V]
                 min   typ   max    max [V]  ->

A name goes on over the empty cells to its right as far as the lower row goes on; where its cell is merged, no further
than that. Part number and maker may stand in either row. Names may stand in both: what a cell of the lower row names by
itself is its column, and what stands above it is a title of several; a column that has its name in one row alone has it
there.
"""

import re
from collections.abc import Mapping, Sequence

from partcheck.parameters import KINDS
from partcheck.parts.headers import identity_in, is_bound, main_words, source_words
from partcheck.parts.kind_of import names_column, names_value
from partcheck.parts.prices import currency_of
from partcheck.units import is_unit

Row = tuple[int, list[str]]
Merged = Mapping[tuple[int, int], tuple[int, int]]
NONE: Mapping[str, str] = {}

_WITH_UNIT = re.compile(r"(.*?)\s*(?:\[([^\[\]]*)\]|\(([^()]*)\)|[/,]\s*(\S+))")


def joined(rows: Sequence[Row], place: int, merged: Merged, known: Mapping[str, str]) -> tuple[list[str], int]:
    """The header at a place of the rows, with the row below or above it where that belongs to it; and the place of the
    first row under it. ``known`` are headers mapped by hand."""
    cells = rows[place][1]
    if place + 1 < len(rows) and rows[place + 1][0] == rows[place][0] + 1 and _is_lower(rows[place + 1][1], known):
        return _join(rows[place], rows[place + 1][1], merged, only_bounds=False), place + 2
    if place + 1 < len(rows) and rows[place + 1][0] == rows[place][0] + 1 and _names_more(cells, rows[place + 1][1]):
        return _join(rows[place], rows[place + 1][1], merged, only_bounds=False), place + 2
    bounds = [cell for cell in cells if _says_bound(cell) and cell.strip() not in known]
    if place and rows[place - 1][0] == rows[place][0] - 1:
        above = rows[place - 1][1]
        lone = [_is_name(text) and not _at(cells, column) for column, text in enumerate(above)]
        if bounds or any(lone):
            made = _join(rows[place - 1], cells, merged, only_bounds=True, known=known)
            width = max(len(made), len(above))
            made += [""] * (width - len(made))
            return [_at(above, i) if i < len(lone) and lone[i] else text for i, text in enumerate(made)], place + 1
    return list(cells), place + 1


def _at(cells: Sequence[str], place: int) -> str:
    return cells[place].strip() if place < len(cells) else ""


def _is_name(cell: str) -> bool:
    """Whether a cell by itself says which column it heads, in a sheet of any kind."""
    text = cell.strip()
    return bool(text) and (text.startswith("@") or names_column(text, main_words(tuple(KINDS))))


def _names_more(upper: Sequence[str], lower: Sequence[str]) -> bool:
    """Whether the row under the one with part number and maker names columns, too, and is no row of a part.

    It is blank below part number and maker, every cell of it is a name, a bound or a unit, and no name stands below
    another.
    """
    words = source_words()
    if any(_at(lower, place) for place, cell in enumerate(upper) if words.find(cell)[0]):
        return False
    said = {place: cell.strip() for place, cell in enumerate(lower) if cell.strip()}
    named = [place for place, cell in said.items() if _is_name(cell)]
    if not named or any(names_value(_at(upper, place), main_words(tuple(KINDS))) for place in named):
        return False
    return all(place in named or _says_bound(cell) or _unit(cell) for place, cell in said.items())


def _says_bound(cell: str) -> bool:
    """Whether a cell is ``min``, ``typ`` or ``max``, with or without a unit: ``max [mV]``."""
    match = _WITH_UNIT.fullmatch(cell.strip())
    if match is None:
        return is_bound(cell)
    return is_bound(match[1]) and is_unit((match[2] or match[3] or match[4] or "").strip())


def _unit(cell: str) -> str:
    """The unit that a cell is, without its brackets; empty where it is none."""
    text = cell.strip().strip("[]()").strip()
    return text if text and is_unit(text) else ""


def _is_lower(cells: Sequence[str], known: Mapping[str, str]) -> bool:
    """Whether a row says bounds and units, and beside them no more than a few words (``pieces``) and no number."""
    said = [cell for cell in cells if cell.strip()]
    others = [cell for cell in said if not (_says_bound(cell) or _unit(cell) or currency_of(cell))]
    if 4 * len(others) > len(said) or any(letter.isdigit() for cell in others for letter in cell):
        return False
    return any(map(_says_bound, said)) and not identity_in(said, known)


def _join(
    upper: Row, lower: Sequence[str], merged: Merged, only_bounds: bool, known: Mapping[str, str] = NONE
) -> list[str]:
    """Each cell of the lower row under its name; with ``only_bounds`` what is no bound, or is mapped by hand, is a
    header by itself."""
    number, names = upper
    made, name, start = [], "", 0
    for place in range(max(len(names), len(lower))):
        above = names[place].strip() if place < len(names) else ""
        below = lower[place].strip() if place < len(lower) else ""
        if above:
            name, start = above, place
        elif merged.get((number, place)) != (number, start) and (
            not below or merged.get((number, start + 1)) == (number, start)
        ):
            name = ""  # beyond its merged cells, or beyond what stands under it
        if only_bounds and (not _says_bound(below) or below in known):
            name = ""
            made.append(below)
        elif not below:
            name = ""
            made.append(above)
        elif not only_bounds and _is_name(below) and not _says_bound(below):
            made.append(below)  # what stands above it is a title
        elif _says_bound(below) or currency_of(below):
            made.append(f"{name} {below}".strip())
        else:
            made.append(f"{name} [{_unit(below)}]" if name and _unit(below) else f"{name} {below}".strip())
    return made
