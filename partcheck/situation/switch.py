"""Facts of low-side switches: what their load draws, what their drive offers, what clamps them."""

import math
from typing import Any

from partcheck.board.loads import Coil, LogicInput
from partcheck.board.roles import Indicator, MosfetSwitch, NpnSink
from partcheck.requirement import Fact
from partcheck.situation import crossfeed, current_path
from partcheck.situation.drives import LARGEST, LEAST, high_level, high_max
from partcheck.situation.facts import NOT_STATED, combine, once_property, stated, total
from partcheck.situation.loads import LoadState
from partcheck.situation.many import (
    at_least,
    bounded_by,
    highest,
    if_above,
    largest_of,
    lowest,
    many,
    ratio,
    show,
)
from partcheck.situation.nodes import Node
from partcheck.situation.profiles import (
    DieFacts,
    Start,
    StartFacts,
    longest_on,
    start_of,
)
from partcheck.situation.recovery import RecoveryFacts
from partcheck.situation.release import Release, ReleaseFacts, beside, release_end, worst_release
from partcheck.situation.shorts import ShortedFacts
from partcheck.situation.slow_gate import SlowGateFacts
from partcheck.situation.stores import StoredFacts
from partcheck.situation.undriven import UndrivenFacts

NO_RESISTOR = 1e12
"""Ω: a resistor that is not fitted, in a divider."""
OFF_SHARE = 1e-3
"""Of the load current: what passes when it is called off, where the load states no leakage."""
HOTTEST = 448.15
"""K: 175 °C, as hot as common MOSFETs are rated for."""
SLOW = 10.0
"""Switching slower than this many times a second: its edges are too few to heat a switch noticeably."""


class SwitchFacts(DieFacts, UndrivenFacts, StartFacts, StoredFacts, RecoveryFacts):
    """What a MOSFET switch and an NPN sink have in common."""

    @once_property
    def states(self) -> list[LoadState]:
        """The state of each thing it pulls."""
        return [self.situation.load(name) for name in self.place.load]

    @once_property
    def drive(self) -> Any:
        """The drive that turns it on."""
        return self.board.drive[self.place.drive]

    def _drive_key(self, key: str) -> str:
        return f"drive.{self.place.drive}.{key}"

    # ---- the load

    def rail_max(self) -> Fact:
        return highest(feed.largest(self.situation) for feed in self.node.feeds)

    def load_current(self) -> Fact:
        return (
            total([(state.name, state.largest) for state in self.states], "A")
            if len(self.states) > 1
            else self.states[0].largest
        )

    def least_current(self) -> Fact:
        """What is not known of it counts as nothing: then the gate falls as far as its threshold."""
        nothing = Fact(0.0)
        each = [(s.name, bounded_by(s.least, nothing, "nothing, at least", s.least.missing)) for s in self.states]
        made = total(each, "A")
        return combine(made.value, made.source, *(fact for _, fact in each))

    def load_current_typ(self) -> Fact:
        return total([(state.name, state.typical) for state in self.states], "A")

    def heat_current(self) -> Fact:
        return total([(state.name, state.heating) for state in self.states], "A")

    def on_duty(self) -> Fact:
        duty = max(state.duty[2] for state in self.states)
        return Fact(duty, "largest duty" if duty < 1 else "on without a break")

    def on_time(self) -> Fact:
        return longest_on(self.states)

    # ---- its starts

    @once_property
    def start(self) -> Start:
        """The start of all that it pulls."""
        return start_of(self.states)

    def edge_current(self) -> Fact:
        """The current of the edges that count: running where it is chopped while it runs, else what a start draws."""
        chopped = max(state.frequency for state in self.states)
        runs = chopped and not any(state.recharges for state in self.states)
        return self.heat_current() if runs else highest([self.load_current(), self.start_current()])

    def inrush_current(self) -> Fact:
        if all(state.inrush.value is None for state in self.states):
            return NOT_STATED
        return total([(s.name, s.inrush if s.inrush.value is not None else s.largest) for s in self.states], "A")

    def inrush_time(self) -> Fact:
        times = [state.inrush_time for state in self.states if state.inrush_time.value is not None]
        return highest(times) if times else NOT_STATED

    def switch_frequency(self) -> Fact:
        chopped = max(state.frequency for state in self.states)
        if chopped:
            return Fact(chopped, "chopping frequency")
        rate = if_above(largest_of([state.rate for state in self.states if state.rate is not None] or [0.0]), SLOW)
        if many(rate) or rate:
            return Fact(rate, "switching rate")
        return Fact(0.0, "not chopped: edges are too few to count")

    def allowed_drop(self) -> Fact:
        allowed = [fact for name in self.place.load if (fact := self._drop_of(name)).value is not None]
        return lowest(allowed) if allowed else NOT_STATED

    def _drop_of(self, name: str) -> Fact:
        load = self.board.load.get(name)
        if load is None:
            return NOT_STATED
        ends = [Fact(load.allowed_drop, f"{name}.allowed_drop")] if load.allowed_drop is not None else []
        needed = current_path.voltage_needed(self.situation, name)
        if needed.value is not None:
            left = current_path.voltage_at(self.situation, name, current_path.SWITCH)
            ends.append(combine(left.value - needed.value, f"{left.source}, less {needed.source}", left, needed))
        if isinstance(load, LogicInput) and load.low_level is not None:
            lost = current_path.low_level_of(self.situation, name)
            ends.append(combine(load.low_level - lost.value, f"{name}.low_level, less {lost.source}", lost))
        return lowest(ends) if ends else NOT_STATED

    def off_leakage(self) -> Fact:
        stated_ = [
            Fact(load.off_leakage, f"{name}.off_leakage")
            for name in self.place.load
            if (load := self.board.load.get(name)) is not None and load.off_leakage is not None
        ]
        return min(stated_, key=lambda fact: fact.value, default=NOT_STATED)

    def clamp_leakage(self) -> Fact:
        """What leaks through the clamps across it."""
        return total(self.node.leaks(), "A")

    def passing_off(self) -> Fact:
        return crossfeed.largest_through(self.node)

    def passing_limit(self) -> Fact:
        """What may flow through a load that is off: its stated leakage, the current at which an LED looks dark."""
        stated_ = [self.off_leakage()]
        for name in self.place.load:
            led = self.board.role.get(name)
            if isinstance(led, Indicator) and led.dark_current is not None:
                stated_.append(Fact(led.dark_current, f"{name}.dark_current"))
        known = [fact for fact in stated_ if fact.value is not None]
        if known:
            return lowest(known)
        load = self.load_current()
        return combine(load.value * OFF_SHARE, "a thousandth of the load current (common practice)", load)

    def edge_limit(self) -> Fact:
        limits = [
            Fact(load.edge_limit, f"{name}.edge_limit")
            for name in self.place.load
            if (load := self.board.load.get(name)) is not None and load.edge_limit is not None
        ]
        return min(limits, key=lambda fact: fact.value, default=NOT_STATED)

    def edge_least(self) -> Fact:
        limits = [
            Fact(load.edge_least, f"{name}.edge_least")
            for name in self.place.load
            if (load := self.board.load.get(name)) is not None and load.edge_least is not None
        ]
        return max(limits, key=lambda fact: fact.value, default=NOT_STATED)

    def edge_rail(self) -> Fact:
        """The drain goes no less far at an edge: the load pulls it up to its own rail."""
        rails = [
            self.situation.rail(load.rail).least
            for name in self.place.load
            if (load := self.board.load.get(name)) is not None and load.edge_least is not None
        ]
        return lowest(rails) if rails else NOT_STATED

    # ---- turn-off

    @property
    def node(self) -> Node:
        """What hangs on its drain or collector."""
        return Node(self, self.ref)

    def drain_clamped(self) -> Fact:
        return self.node.clamped()

    def drain_peak(self) -> Fact:
        clamped = self.drain_clamped()
        return clamped if clamped.value is not None else self.node.resting_peak()

    # ---- the drive

    def drive_high_min(self) -> Fact:
        return high_level(self.situation, self.place.drive, LEAST)

    def high_at(self) -> Fact:
        if self.drive.high_at is None:
            return Fact(0.0, "the high level is stated unloaded")
        return Fact(self.drive.high_at, self._drive_key("high_at"))

    def drive_other(self) -> Fact:
        """What the same output delivers to other places: bases, pull-downs, indicators."""
        high, source = high_max(self.situation, self.place.drive), self.source_min().value
        parts: list[tuple[str, Fact]] = []
        for ref, other in self.board.role.items():
            if ref == self.ref or getattr(other, "drive", None) != self.place.drive:
                continue
            self.situation.reads_beside(ref)
            if isinstance(other, NpnSink):
                parts.append((f"{ref} base", Fact(high / (other.base_resistor.min + source), "")))
            elif isinstance(other, MosfetSwitch) and other.pulldown is not None:
                parts.append((f"{ref} pull-down", Fact(high / (_pulldown_path(other) + source), "")))
            elif isinstance(other, Indicator):
                parts.append((ref, self.situation.quantity(ref, "current_max")))
        return total(parts, "A")

    def drive_high_max(self) -> Fact:
        return high_level(self.situation, self.place.drive, LARGEST)

    def drive_low_min(self) -> Fact:
        return Fact(self.drive.low.min, self._drive_key("low, least"))

    def drive_low_max(self) -> Fact:
        return Fact(self.drive.low.max, self._drive_key("low, largest"))

    def drive_edge(self) -> Fact:
        span = self.drive.edge_time
        if span is None:
            return Fact(math.nan, "", (self._drive_key("edge_time"),))
        return Fact(span.max, self._drive_key("edge_time, largest"))

    def source_min(self) -> Fact:
        span = self.drive.source_resistance
        return Fact(0.0, "not stated: none") if span is None else Fact(span.min, self._drive_key("source_resistance"))

    def source_max(self) -> Fact:
        span = self.drive.source_resistance
        if span is None:
            return Fact(math.nan, "", (self._drive_key("source_resistance"),))
        return Fact(span.max, self._drive_key("source_resistance, largest"))

    def pin_limit(self) -> Fact:
        if self.drive.pin_current is not None:
            return Fact(self.drive.pin_current, self._drive_key("pin_current"))
        chip = self.board.chip.get(self.drive.chip or "")
        return stated(chip.pin_current if chip is not None else None, f"chip.{self.drive.chip}.pin_current")

    def lift(self) -> Fact:
        return current_path.lift_of(self.situation, self.ref)

    def off_lift(self) -> Fact:
        if self.board.ground.drive_rises:
            return self.lift()
        return Fact(0.0, "the drive's ground does not rise")

    def resistor_full_power_to(self) -> Fact:
        return Fact(self.place.resistor_full_power_to, self.where("resistor_full_power_to"))

    def resistor_no_power_at(self) -> Fact:
        return Fact(self.place.resistor_no_power_at, self.where("resistor_no_power_at"))

    def noise(self) -> Fact:
        own = self.board.limits.noise
        if own is not None:
            return Fact(own, "limits.noise")
        return Fact(self.policy.value("noise"), self.policy.source("noise"))


def _pulldown_path(place: MosfetSwitch) -> Any:
    """Least resistance from the drive through a pull-down, Ω."""
    assert place.pulldown is not None
    ahead = place.gate_resistor.min if place.pulldown_side == "gate" and place.gate_resistor is not None else 0.0
    return place.pulldown.min + ahead


class MosfetFacts(ShortedFacts, SlowGateFacts, ReleaseFacts, SwitchFacts):
    """Facts of a low-side MOSFET switch."""

    def drive_high_min(self) -> Fact:
        """The stated level, less what is lost where the output delivers more than it is stated at."""
        other, level = self.drive_other(), super().drive_high_min()
        high = high_max(self.situation, self.place.drive)
        own = high / _pulldown_path(self.place) if self.place.pulldown is not None else 0.0
        at = self.drive.high_at
        # where it is stated unloaded the own pull-down is in the divider
        beyond = other.value if at is None else at_least(other.value + own - at, 0.0)
        if not many(beyond) and beyond == 0:
            return level
        source = self.source_max()
        lost = f"{level.source}, less {show(beyond, 'A')} more than it is stated at in the source resistance"
        return combine(level.value - beyond * source.value, lost, source, other)

    def drive_other_peak(self) -> Fact:
        """What the same output delivers to other gates at the same moment, and elsewhere all the time."""
        parts = [("elsewhere", self.drive_other())]
        for ref, other in self.board.of_type(MosfetSwitch):
            if ref != self.ref and other.drive == self.place.drive:
                self.situation.reads_beside(ref)
                ohms = (other.gate_resistor.min if other.gate_resistor is not None else 0.0) + self.source_min().value
                swing = high_max(self.situation, self.place.drive) - self.drive.low.min
                parts.append((f"{ref} gate", Fact(ratio(swing, ohms), "")))
        return total(parts, "A")

    def drive_other_charge(self) -> Fact:
        """What the same output moves into other gates, or out of them, at the same edge."""
        others = [ref for ref, other in self.board.of_type(MosfetSwitch) if other.drive == self.place.drive]
        return total([(ref, self.situation.quantity(ref, "gate_charge")) for ref in others if ref != self.ref], "C")

    def divider_series(self) -> Fact:
        """What lies ahead of the pull-down; the source resistance only where the level is stated unloaded."""
        series, names = 0.0, []
        if self.drive.high_at is None and self.drive.source_resistance is not None:
            series = series + self.drive.source_resistance.max
            names.append("source resistance")
        if self.place.pulldown_side == "gate" and self.place.gate_resistor is not None:
            series = series + self.place.gate_resistor.max
            names.append("gate resistor")
        return Fact(series, " + ".join(names) or "nothing ahead of the pull-down")

    def gate_resistor_min(self) -> Fact:
        span = self.place.gate_resistor
        return Fact(0.0, "none fitted") if span is None else Fact(span.min, self.where("gate_resistor, least"))

    def gate_resistor_max(self) -> Fact:
        span = self.place.gate_resistor
        return Fact(0.0, "none fitted") if span is None else Fact(span.max, self.where("gate_resistor, largest"))

    def pulldown_min(self) -> Fact:
        span = self.place.pulldown
        return Fact(NO_RESISTOR, "none fitted") if span is None else Fact(span.min, self.where("pulldown, least"))

    def pulldown_rating(self) -> Fact:
        return stated(self.place.pulldown_power, self.where("pulldown_power"))

    def hottest_mosfet(self) -> Fact:
        return Fact(HOTTEST, "175 °C, the rating of the hottest common MOSFETs (common practice)")

    def polarity_wanted(self) -> Fact:
        return Fact(frozenset({"N"}), "a low-side switch")

    # ---- release of what nothing clamps

    def _release(self) -> Release | None:
        found = []
        for store in self.left:
            state, load, inductance = store.state, self.board.load[store.state.name], store.inductance
            clamped = store.coil.value is None
            if clamped or not isinstance(load, Coil) or load.release_time is None or load.release_level is None:
                continue
            end = release_end(self.situation, state, load)
            made = Release(
                load.release_time,
                state.largest.value,
                end.value,
                inductance.value,
                state.resistance.value,
                state.name,
                beside(self.situation, state.name),
                (state.largest, inductance, state.resistance, end),
            )
            found.append(made)
        return worst_release(found)
