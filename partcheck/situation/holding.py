"""What a chopped coil holds: its current flows on through a diode while its switch is off, so that it never dies.

Then it draws no more than its share of the time on allows, and a ripple. That is counted where the board and the
datasheet prove it: one drive that chops it, a clamp across it that returns to its own rail, nothing on its node that
feeds it on or hangs elsewhere, and a MOSFET of which the turn-off delay is known, which lengthens each pulse. That
delay rests on the junction, and the junction on this very current; so it is read where every coil counts as unbroken,
which is hotter. Anywhere else its direct current counts, rail over resistance.
"""

import math
from typing import TYPE_CHECKING, Any

from partcheck.board.loads import Capacitive, Coil, LogicInput, Motor
from partcheck.board.roles import MosfetSwitch
from partcheck.physics import coils
from partcheck.requirement import Fact
from partcheck.situation.chopping import Chopping
from partcheck.situation.facts import combine
from partcheck.situation.many import at_least, known_or, least_of, many, show
from partcheck.situation.nodes import Node

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

FEEDING = (Capacitive, LogicInput, Motor)
"""Loads that may feed what hangs beside them on: from a capacitor, from another device, as a generator."""
FEWEST = 1e-6
"""A period so short against the time constant is taken as this long; the ripple is nothing by then."""


def flows_on(situation: "Situation", name: str) -> bool:
    """True where the current of a chopped coil surely flows on against no more than its own resistance and a diode."""
    board = situation.board
    switch, load = board.switch_of(name), board.load[name]
    if (
        situation.is_unbroken
        or switch is None
        or not isinstance(board.role[switch], MosfetSwitch)
        or len(board.drives_of(name)) != 1
    ):
        return False
    if not isinstance(load, Coil) or load.current is not None or load.inductance is None:
        return False
    node = Node(situation.facts(switch), switch)
    if len(node.feeds) != 1 or any(isinstance(board.load.get(other), FEEDING) for other in node.names):
        return False
    units = node.units()
    return bool(units) and all(node.returns_to(unit) == node.feeds[0] for unit in units)


def held(situation: "Situation", name: str, chopped: Chopping, direct: Fact, resistance: Any) -> Fact:
    """Largest current of one chopped coil, A; ``direct`` what it draws without a break, ``resistance`` Ω its least."""
    board = situation.board
    load, switch = board.load[name], board.switch_of(name)
    assert isinstance(load, Coil) and load.inductance is not None and switch is not None
    bound = _turn_off(situation, switch)
    delay = known_or(bound.value, math.inf)
    duty = least_of([1.0, chopped.duty.max + chopped.frequency * delay])
    pulses = at_least(resistance / (load.inductance.min * chopped.frequency), FEWEST)
    words = f"on for {show(duty, '')} of the time, {show(delay, 's')} of turn-off counted: of {direct.source}"
    if not many(duty) and duty == 1:
        return direct
    return combine(coils.chopped_peak(direct.value, duty, pulses), words, direct, bound)


def _turn_off(situation: "Situation", switch: str) -> Fact:
    """Longest turn-off delay of a switch where no coil is counted with less than its direct current, s."""
    bound = situation.unbroken.quantity(switch, "turn_off_bound")
    for ref in {switch, *situation.unbroken.grounds((switch, "turn_off_bound"))}:
        situation.reads(ref)
    return bound
