"""The one resistor beside a part that a swap may change, and other preferred values for it."""

from collections.abc import Iterator
from dataclasses import dataclass

from partcheck.board import Board
from partcheck.board.resistors import BESIDE, replaced
from partcheck.board.resistors import other_values as preferred
from partcheck.units import Span, show

SPREAD = 10.0
"""How far up and down from the drawn value other values are tried."""


@dataclass(frozen=True)
class ResistorChange:
    """Another preferred value for the resistor beside a part."""

    key: str
    before: Span
    value: float

    def __str__(self) -> str:
        return f"{self.key.replace('_', ' ')} {show(self.value, 'Ω')} instead of {show(self.before.typ, 'Ω')}"


def beside(board: Board, ref: str) -> tuple[str, Span] | None:
    """The key and value of the resistor that may change with the part at ``ref``."""
    role = board.role[ref]
    for key in BESIDE.get(role.role, ())[:1]:
        span = getattr(role, key)
        return (key, span) if span is not None else None
    return None


def with_resistor(board: Board, ref: str, change: ResistorChange) -> Board:
    """The board with that resistor replaced by one of the board's replacement resistors."""
    update = replaced(board.role[ref], change.key, change.value, board.replacement_resistor)
    role = board.role[ref].model_copy(update=update)
    return board.model_copy(update={"role": {**board.role, ref: role}})


def other_values(board: Board, ref: str) -> Iterator[ResistorChange]:
    """Other preferred values of the board's series, nearest to the drawn one first."""
    found = beside(board, ref)
    if found is None:
        return
    key, span = found
    for value in sorted(preferred(board, span, SPREAD), key=lambda v: max(v / span.typ, span.typ / v)):
        yield ResistorChange(key, span, value)
