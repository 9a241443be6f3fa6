"""Key figures of a load and of what it touches: what to compare before and after a change."""

from collections.abc import Iterator
from dataclasses import dataclass

from partcheck.board.loads import Coil
from partcheck.board.roles import MosfetSwitch, Regulator, Terminal
from partcheck.jobs.vet.path import clamps
from partcheck.physics import coils
from partcheck.requirement import Fact
from partcheck.situation import Situation
from partcheck.situation.current_path import passes, voltage_at
from partcheck.situation.facts import combine
from partcheck.situation.paths import pole_label, rails_behind
from partcheck.situation.sums import return_peak
from partcheck.situation.switch import SwitchFacts

LEAST = 1e-6
"""Ω: where no winding resistance is stated, as good as none."""


@dataclass(frozen=True)
class Figure:
    """A number worth comparing: a short name, what it means, its unit, and the fact."""

    name: str
    meaning: str
    unit: str
    fact: Fact


@dataclass(frozen=True)
class ComparedFigure:
    """A figure before and after; None where there was none."""

    name: str
    meaning: str
    unit: str
    before: Fact | None
    after: Fact | None


def figures(situation: Situation, load: str) -> list[Figure]:
    """The key figures of a load on a board."""
    return [
        *_of_load(situation, load),
        *_of_turn_off(situation, load),
        *_of_parts(situation, load),
        *_of_sums(situation, load),
    ]


def compare(before: list[Figure], after: list[Figure]) -> list[ComparedFigure]:
    """Figures of two boards side by side, in the order of the second."""
    was, now = {f.name: f for f in before}, {f.name: f for f in after}
    names = [*now, *(name for name in was if name not in now)]
    return [
        ComparedFigure(
            name, of.meaning, of.unit, was[name].fact if name in was else None, now[name].fact if name in now else None
        )
        for name in names
        if (of := now.get(name) or was[name])
    ]


def _of_load(situation: Situation, load: str) -> Iterator[Figure]:
    state = situation.load(load)
    count = situation.board.load[load].count
    all_of = f", all {count} together" if count > 1 else ""
    yield Figure("load current, largest", f"of {load} in the worst corner{all_of}", "A", state.largest)
    yield Figure("load current, typical", f"of {load}{all_of}", "A", state.typical)
    yield Figure("load current, least", f"of {load}, hot, at the lowest rail{all_of}", "A", state.least)
    if situation.board.load[load].least_voltage is not None:
        yield Figure("load voltage, least", f"that reaches {load}", "V", voltage_at(situation, load))
    if state.inrush.value is not None:
        yield Figure("inrush", f"of {load}{all_of}", "A", state.inrush)


def _of_turn_off(situation: Situation, load: str) -> Iterator[Figure]:
    """What happens when the switch opens."""
    board, state = situation.board, situation.load(load)
    switch = board.switch_of(load)
    if switch is None:
        return
    facts = situation.facts(switch)
    assert isinstance(facts, SwitchFacts)
    mosfet = isinstance(board.role[switch], MosfetSwitch)
    bare = any(one.name == load for one in facts.unclamped)
    peak_name = "drain peak" if mosfet else "collector peak"
    if not bare:
        yield Figure(peak_name, f"at {switch} when it opens", "V", facts.drain_peak())
    elif mosfet:
        rated = situation.quantity(switch, "vds_max")
        yield Figure(peak_name, f"{switch} breaks down, here at its rated voltage; up to 1.3 times that", "V", rated)
        yield Figure(
            "avalanche energy", f"{switch} takes at each turn-off", "J", situation.quantity(switch, "avalanche_pulse")
        )
    if bare and mosfet and state.inductive:
        yield _bare_release(situation, load, switch)
    for ref in clamps(situation, load):
        pulse = situation.quantity(ref, "energy_pulse")
        if state.inductive:
            yield Figure(f"{ref} pulse energy", f"{ref} takes at one turn-off", "J", pulse)
    released = [ref for ref in clamps(situation, load) if situation.facts(ref)["release_time"].value is not None]
    for ref in released[:1]:
        yield Figure("release time", f"until {load} lets go, longest", "s", situation.quantity(ref, "release_longest"))


def _bare_release(situation: Situation, load: str, switch: str) -> Figure:
    """How long the current of a coil lasts against the rated breakdown voltage of its switch."""
    model, state = situation.board.load[load], situation.load(load)
    against = f"against the rated voltage of {switch}"
    if isinstance(model, Coil) and model.release_level is not None:
        return Figure(
            "release time", f"until {load} lets go, {against}", "s", situation.quantity(switch, "release_longest")
        )
    rail, rated = situation.rail(model.rail).largest, situation.quantity(switch, "vds_max")
    ohms = state.resistance.value if state.resistance.value is not None else 0.0
    time = coils.decay_time(
        state.inductance.value, max(ohms, LEAST), state.largest.value, 0.0, rated.value - rail.value
    )
    fact = combine(float(time), against, state.inductance, state.largest, rail, rated)  # type: ignore[arg-type]
    return Figure("current gone", f"longest, {against}", "s", fact)


def _of_parts(situation: Situation, load: str) -> Iterator[Figure]:
    switch = situation.board.switch_of(load)
    if switch is not None:
        yield Figure("on-state drop", f"of {switch}, hot", "V", situation.quantity(switch, "on_drop_hot"))
        yield Figure(f"{switch} junction", "hottest", "°C", situation.quantity(switch, "tj_hot"))
    for ref in clamps(situation, load):
        yield Figure(f"{ref} junction", "hottest", "°C", situation.quantity(ref, "tj_hot"))


def _of_sums(situation: Situation, load: str) -> Iterator[Figure]:
    """What adds up where this load's current passes."""
    board = situation.board
    rail = board.load[load].rail
    for name in rails_behind(board, rail):
        yield Figure(f"rail {name} current", "of all that is on at once", "A", situation.rail_current(name))
        yield Figure(f"rail {name} lowest", "at the board, under load", "V", situation.rail(name).least)
    touched = set(rails_behind(board, rail))
    for ref, regulator in board.of_type(Regulator):
        if {regulator.input, regulator.output} & touched:
            yield Figure(
                f"{ref} current", "largest, out of the regulator", "A", situation.rail_current(regulator.output)
            )
            yield Figure(f"{ref} junction", "hottest", "°C", situation.quantity(ref, "tj_hot"))
    for ref, terminal in board.of_type(Terminal):
        back = [pole for pole in terminal.poles if pole.side == "return" and passes(pole, load, touched)]
        for pole in back:
            which = ref if len(back) == 1 else f"{ref} {pole_label(pole)}"
            yield Figure(
                f"{which} return current",
                "peak, return poles together",
                "A",
                return_peak(situation, pole.rail, pole.load),
            )
