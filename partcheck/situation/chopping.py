"""How a load or an indicator is chopped: by what it states itself, else by what shares its drive.

A drive has one signal. Whatever hangs on it, behind however many switches, goes on and off together.
"""

from typing import TYPE_CHECKING, Any, NamedTuple

from partcheck.board import Board
from partcheck.board.loads import Chopped
from partcheck.situation.many import largest_of
from partcheck.units import Span

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation


class Chopping(NamedTuple):
    """Pulse-width modulation: ``frequency`` Hz, ``duty`` the share of the time on, ``source`` the key that says so."""

    frequency: float
    duty: Span
    source: str


def chopping_of(situation: "Situation", name: str) -> Chopping | None:
    """The chopping of a load or an indicator; None where neither it nor anything on its drive is chopped."""
    board = situation.board
    own = _stated(board, name)
    if own is not None:
        return Chopping(own.frequency, own.duty, f"{name}.chopped")
    found = [made for drive in board.drives_of(name) if (made := _of_drive(board, drive)) is not None]
    return _both(*found) if len(found) > 1 else found[0] if found else None


def rate_of(situation: "Situation", name: str) -> Any:
    """How often a load or an indicator is switched off, 1/s: the largest rate stated on its drive; None where none."""
    board = situation.board
    sharing = dict.fromkeys([name, *(other for drive in board.drives_of(name) for other in board.on_drive(drive))])
    rates = [rate for other in sharing if (rate := _entry(board, other).rate) is not None]
    return largest_of(rates) if rates else None


def _entry(board: Board, name: str) -> Any:
    return board.load[name] if name in board.load else board.role[name]


def _stated(board: Board, name: str) -> Chopped | None:
    made: Chopped | None = _entry(board, name).chopped
    return made


def _of_drive(board: Board, drive: str) -> Chopping | None:
    found = list(board.chopped_on(drive))
    if not found:
        return None
    sure = any(len(board.drives_of(name)) == 1 for name, _ in found)
    duties = [chopped.duty for _, chopped in found]
    least, typical = min(duty.min for duty in duties), min(duty.typ for duty in duties)
    largest = max(duty.max for duty in duties)
    names = " and ".join(f"{name}.chopped" for name, _ in found)
    frequency = max(chopped.frequency for _, chopped in found)
    return Chopping(frequency, Span(least, typical, largest if sure else 1.0), f"{names}, on the same drive")


def _both(one: Chopping, other: Chopping) -> Chopping:
    """On only while two drives are: no longer than either at a time, perhaps never at the same moment."""
    duty = Span(
        max(0.0, one.duty.min + other.duty.min - 1.0),
        one.duty.typ * other.duty.typ,
        min(one.duty.max, other.duty.max),
    )
    return Chopping(min(one.frequency, other.frequency), duty, f"{one.source}; {other.source}")
