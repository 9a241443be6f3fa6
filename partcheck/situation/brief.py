"""What is over too soon for a wire or a track to settle: how much of a start or a long pulse warms its copper alone.

What lasts longer than conductors average counts as steady (``profiles.py``). What is shorter counts by its average,
and on top of that the copper itself warms while it lasts, as if no heat left it: no conductor warms more, as its
answer to a pulse grows slower than that of its heat capacity alone.
"""

from typing import TYPE_CHECKING, Any, NamedTuple

from partcheck.board.roles import Indicator
from partcheck.requirement import Fact
from partcheck.situation.many import largest_of
from partcheck.situation.profiles import CONDUCTOR_STILL, profile
from partcheck.situation.sums import return_items, return_peak

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation


class Brief(NamedTuple):
    """The largest current of a start or pulse, and the longest such that conductors average, s; 0 where none is."""

    current: Fact
    time: Any


def brief(situation: "Situation", rail: str | None, loads: list[str]) -> Brief:
    """All that may start at once through a wire or a track, as one rectangle."""
    board = situation.board
    owners = dict.fromkeys(owner for owner, _, _ in return_items(situation, rail, loads, True))
    known = [name for name in owners if name in board.load or isinstance(board.role.get(name), Indicator)]
    times = [profile(situation, name).brief(CONDUCTOR_STILL) for name in known]
    return Brief(return_peak(situation, rail, loads), largest_of([0.0, *times]))
