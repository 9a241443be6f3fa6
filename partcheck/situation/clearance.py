"""How high the voltages of the board stand, and the gap that the spacing table asks for between them."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from partcheck.physics import conductors
from partcheck.physics.conductor_data import SPACING_TABLES
from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, combine
from partcheck.situation.many import highest, many, show, unknown
from partcheck.situation.nodes import Node
from partcheck.situation.paths import rail_of

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation


def switched_peak(situation: "Situation", name: str) -> Fact:
    """Highest voltage on the switch side of a load: the clamp's, or what the switch's breakdown allows."""
    ref = situation.board.switch_of(name)
    if ref is not None:
        made: Fact = situation.once((f"node {ref}", "peak"), lambda: Node(situation.facts(ref), ref).largest())
        return made
    rail = rail_of(situation, name)
    return situation.rail_peak(rail) if rail is not None else Fact(0.0, f"{name} is on a drive")


def board_peak(situation: "Situation") -> Fact:
    """Highest voltage anywhere on the board."""
    board = situation.board
    ends = [situation.rail_peak(name) for name in board.rail]
    return highest([*ends, *(switched_peak(situation, load) for _, role in board.switches() for load in role.load)])


def spacing_needed(situation: "Situation", volts: Fact) -> Fact:
    """The gap that the chosen spacing table asks for; not stated where the board names no column."""
    limits = situation.board.limits
    column = limits.clearance_column
    if column is None:
        return NOT_STATED
    if volts.value is None or unknown(volts.value):
        return combine(math.nan, "", volts)
    names = list(SPACING_TABLES) if limits.clearance_table == "widest" else [limits.clearance_table]
    if many(volts.value):
        return combine(_gaps(volts.value, column, names), "", volts)
    found = [(gap, name) for name in names if (gap := conductors.clearance(volts.value, column, name)) is not None]
    if not found:
        return Fact(math.nan, "", (f"a row for {show(volts.value, 'V')} in column {column} of {' or '.join(names)}",))
    gap, name = max(found)
    return combine(gap, f"{name} {column} at {show(volts.value, 'V')}: {volts.source}", volts)


def _gaps(volts: Any, column: str, names: Sequence[str]) -> Any:
    """The widest of the tables' gaps for each of many voltages; missing beyond their last row."""
    import numpy as np

    each, place = np.unique(volts, return_inverse=True)
    found = [[gap for name in names if (gap := conductors.clearance(v, column, name)) is not None] for v in each]
    return np.array([max(gaps, default=math.nan) for gaps in found])[place].reshape(volts.shape)
