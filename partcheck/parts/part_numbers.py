"""Several part numbers in one cell, which would make one part that nobody sells.

Makers' own numbers have commas and strokes (``BC847B,215``, ``LM317T/NOPB``; a packing or finish after them), so these
alone tell nothing. Numbers are taken for several where a blank or line break goes with the sign between them, or where
what stands after the sign begins like what stands before it.
"""

import re

from partcheck.parts.cells import Refused
from partcheck.parts.problems import quoted

_APART = re.compile(r"\s*[;\r\n]\s*|\s*,\s+|\s+[/|&+]\s+|\s+(?:or|and)\s+", re.IGNORECASE)
_TIGHT = re.compile(r"[,/|&+]")
_DIGIT = re.compile(r"[0-9]")
_SHORTEST = 3  # characters of a number; "7 / 8" is a size
_ALIKE = 2  # characters with which numbers of one series begin


def check_single(text: str) -> None:
    """Raise :class:`Refused` where a cell holds several part numbers: ``ABC-1, ABC-2``."""
    pieces = [piece for piece in _APART.split(text.strip()) if piece]
    if len(pieces) == 1:
        pieces = [piece.strip() for piece in _TIGHT.split(text) if piece.strip()]
        if len({piece.casefold()[:_ALIKE] for piece in pieces}) > 1:
            return
    if len(pieces) < 2 or not all(len(piece) >= _SHORTEST and _DIGIT.search(piece) for piece in pieces):
        return
    first, second = map(quoted, pieces[:2])
    raise Refused(f"holds {len(pieces)} part numbers", f"give each a row of its own, first {first}, then {second}")
