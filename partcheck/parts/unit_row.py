"""A row of units right below the header: which row is one, and the unit of each column."""

from collections.abc import Collection, Mapping

from partcheck.parameters import BOUNDS
from partcheck.parts.cells import stated
from partcheck.parts.checks import IDENTITY
from partcheck.parts.headers import Vocabulary
from partcheck.units import is_unit

_DASHES = ("-", "–", "—")


def units_below(cells: Mapping[str, str], numbers: Collection[str], words: Vocabulary) -> dict[str, str] | None:
    """The units in a row of cells by column, of the columns that hold numbers; None where the row is none of units."""
    texts = {name: _bare(cell) for name, cell in cells.items() if name and stated(cell)}
    units = {name: text for name, text in texts.items() if name in numbers and text not in _DASHES}
    any_unit = any(
        is_unit(text, words.declared[name].unit if name in words.declared else None) and text not in BOUNDS
        for name, text in units.items()
    )
    return units if any_unit and texts.keys().isdisjoint(IDENTITY) else None


def _bare(cell: str) -> str:
    """A cell without the one pair of brackets round it: ``_bare("[mΩ]") == "mΩ"``; ``VDS (V)`` stays as it is."""
    text = cell.strip()
    return text[1:-1].strip() if text[:1] + text[-1:] in ("[]", "()") else text
