"""What heats the air in an enclosure: every part with its resistors, logic, and what the copper takes."""

import math
from typing import TYPE_CHECKING, Any

from partcheck.board.relations import lacks_logic_current
from partcheck.board.roles import Indicator, MosfetSwitch, NpnSink, Terminal
from partcheck.requirement import Fact
from partcheck.situation.copper import track_heating, track_resistance
from partcheck.situation.drives import high_max
from partcheck.situation.facts import combine
from partcheck.situation.many import many
from partcheck.situation.paths import load_heating
from partcheck.situation.situation import Situation
from partcheck.situation.terminal import TerminalFacts

if TYPE_CHECKING:
    from collections.abc import Iterator


def heats(situation: Situation) -> "Iterator[Fact]":
    """Heat of every part with its resistors, W, and of what no part fills."""
    for ref in situation.board.role:
        if "dissipation" in situation.facts(ref).role.quantities:
            yield situation.quantity(ref, "dissipation")
    yield from _rail_heats(situation)
    yield from _drive_heats(situation)
    yield from _pole_heats(situation)
    yield from _copper_heats(situation)


def _rail_heats(situation: Situation) -> "Iterator[Fact]":
    """What logic and all else on a rail take, at its highest voltage, and the diode that protects it."""
    for name, rail in situation.board.rail.items():
        for taken in (rail.logic_current, rail.other_current):
            if taken is not None:
                yield _times(taken.max, situation.rail(name).largest)
        if lacks_logic_current(situation.board, name):
            yield Fact(math.nan)
        if rail.protection_drop is not None:
            yield _times(rail.protection_drop.max, situation.rail_current(name))


def _times(factor: Any, fact: Fact) -> Fact:
    return Fact(factor * fact.value, bounded=fact.bounded)


def _drive_heats(situation: Situation) -> "Iterator[Fact]":
    """What each output spends in itself and in the resistors behind it; a transistor's own share is counted twice."""
    for ref, switch in situation.board.switches():
        situation.reads(ref)
        drive = situation.board.drive[switch.drive]
        source = drive.source_resistance.min if drive.source_resistance is not None else 0.0
        high = high_max(situation, switch.drive)
        if isinstance(switch, NpnSink):
            yield Fact(high * high / (switch.base_resistor.min + source))
        elif isinstance(switch, MosfetSwitch):
            if switch.pulldown is not None:
                yield Fact(high * high / (switch.pulldown.min + source))
            often = situation.facts(ref)["switch_frequency"].value
            if many(often) or often:
                yield _times(often * high, situation.quantity(ref, "qg_max"))
    for ref, led in situation.board.of_type(Indicator):
        drawn = situation.board.drive.get(led.drive or "")
        if drawn is not None and drawn.source_resistance is not None:
            current = situation.quantity(ref, "current_max")
            yield _times(current.value * drawn.source_resistance.max, current)


def _pole_heats(situation: Situation) -> "Iterator[Fact]":
    """What current makes in the contacts of terminals."""
    for ref, terminal in situation.board.of_type(Terminal):
        contact, facts = situation.quantity(ref, "contact_resistance_max"), situation.facts(ref)
        assert isinstance(facts, TerminalFacts)
        for pole in terminal.poles:
            yield _warmed(contact, facts.through(pole), len(pole.pole))


def _copper_heats(situation: Situation) -> "Iterator[Fact]":
    """The same in tracks, and in the return as far as it is stated in one number; cables and source lie outside."""
    board = situation.board
    for name, track in board.track.items():
        yield _warmed(track_resistance(situation, name), track_heating(situation, track))
    if board.ground.resistance:
        switched = [load for _, switch in board.switches() for load in switch.load]
        yield _warmed(Fact(board.ground.resistance), load_heating(situation, switched))
    for _, switch in board.switches():
        if switch.lift is not None:
            yield _times(switch.lift, load_heating(situation, switch.load))


def _warmed(ohms: Fact, current: Fact, beside: int = 1) -> Fact:
    """Heat of a current in so many equal resistances beside each other."""
    return combine(current.value * current.value * ohms.value / beside, "", current, ohms)
