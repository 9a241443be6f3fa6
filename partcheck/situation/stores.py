"""Stored energy: what the inductance of loads, cables and feeds does when a current is switched off.

A load, whatever its sort, hangs on a cable, and every cable stores energy. A clamp at the board takes the load's
and the cable's. One at the far end leaves the cable's own, and no clamp leaves all of it: to the switch.

Of a cable alone, how high the node can rise is bounded without knowing its capacitance. Switching off a current I
sends a wave of I·Z0 along it, and Z0 = L'·v is at most L'·c, since no wave is faster than light. The far end
answers: a plain resistance of more than Z0 lets the node settle at its rail without overshoot, a lower one brings
it down from that first step. Whatever else draws no more current at a lower voltage (LEDs, the input of another
device, a coil whose clamp sits beside it) may add the step to the rail. The two ``RINGING`` factors of
``physics.cables`` cover what capacitance sits at either end. Under the switch's rating, then, nothing has to be
absorbed.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partcheck.board.loads import Lamp, Resistive
from partcheck.board.roles import Regulator
from partcheck.board.surroundings import Cable
from partcheck.physics import cables
from partcheck.requirement import Fact
from partcheck.situation.cold_copper import cold_ohms
from partcheck.situation.copper import hot_ohms
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, once_property, total
from partcheck.situation.loads import LoadState
from partcheck.situation.many import highest, largest_of, many, nowhere_above, ratio, show, sum_of, unknown
from partcheck.situation.nodes import Node, clamp_units
from partcheck.situation.sums import peak, rail_current

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation


def loop_inductance(situation: "Situation", cable: Cable, key: str) -> Fact:
    """Largest inductance of a cable's loop, H: as stated, else what the policy assumes for its length.

    ``key`` is where the board would state it, such as ``valve.cable.inductance``.
    """
    if cable.inductance is not None:
        return Fact(cable.inductance.max, f"{key}, largest")
    each = situation.policy.assumption("cable_inductance")
    if each != each:
        return Fact(math.nan, "", (key,))
    because = situation.policy.assumed_sources.get("cable_inductance", "")
    source = f"{show(cable.length, 'm')} · {show(each, 'H/m')} assumed"
    return Fact(each * cable.length, source, (), (f"cable_inductance = {each:g} ({because})",))


def load_cable_inductance(situation: "Situation", name: str) -> Fact:
    """Largest inductance of the cable to a load, H; not stated where it has none."""
    cable = situation.board.load[name].cable
    return NOT_STATED if cable is None else loop_inductance(situation, cable, f"{name}.cable.inductance")


def step_resistance(situation: "Situation", cable: Cable, inductance: Fact, ringing: float) -> Fact:
    """Volts by which switching off one ampere may lift the open end of a cable, Ω: its wave, and its copper."""
    wave = ringing * cables.wave_impedance_limit(inductance.value / cable.length)
    return combine(wave + hot_ohms(situation, cable), f"wave of {inductance.source}", inductance)


@dataclass(frozen=True)
class Store:
    """One load whose current is left to the switch: current A, inductance H of its coil and of its cable."""

    state: LoadState
    current: Fact
    coil: Fact
    cable: Fact

    @property
    def inductances(self) -> list[Fact]:
        """Those of coil and cable that it has."""
        return [fact for fact in (self.coil, self.cable) if fact.value is not None]

    @property
    def inductance(self) -> Fact:
        """Of coil and cable together, H."""
        parts = self.inductances
        source = " + ".join(part.source for part in parts if part.source)
        return combine(sum_of(part.value for part in parts), source, *parts)


class StoredFacts(PlaceFacts):
    """Facts of a low-side switch: the stored energy that no clamp takes off it."""

    @once_property
    def left(self) -> list[Store]:
        """What is stored and left to the switch when it opens."""
        return list(self._left())

    def _left(self) -> Iterator[Store]:
        for name in self.place.load:
            if name not in self.board.load:
                continue
            units, state = clamp_units(self, name), self.situation.load(name)
            if Node(self, self.ref).near(name):
                continue
            cable = load_cable_inductance(self.situation, name)
            coil = state.inductance if state.inductive and not units else NOT_STATED
            if units and cable.value is None:  # the clamp is said to be far, so there is some
                cable = Fact(math.nan, "", (f"{name}.cable.inductance",))
            if coil.value is not None or cable.value is not None:
                yield Store(state, peak(self.situation, name), coil, cable)

    @once_property
    def unclamped(self) -> list[LoadState]:
        """Inductive loads that no clamp takes."""
        return [store.state for store in self.left if store.coil.value is not None]

    @property
    def _strays(self) -> list[Store]:
        """Cables alone; none where a coil drives the switch into breakdown all the same."""
        return [] if self.unclamped else self.left

    # ---- coils that nothing clamps

    def coil_current(self) -> Fact:
        """Of all coils; where one is left to the switch, of all that is left to it as well."""
        coils = {s.name: s.largest for s in self.states if s.inductive}  # type: ignore[attr-defined]
        others = {store.state.name: store.current for store in self.left} if self.unclamped else {}
        return total({**coils, **others}.items(), "A")

    def unclamped_inductance(self) -> Fact:
        """One inductance that stores at the current of all coils what is left to the switch, cables counted."""
        if not self.unclamped:
            return NOT_STATED
        return self._stored(self.coil_current())

    def avalanche_rate(self) -> Fact:
        if not self.unclamped:
            return Fact(0.0, "every coil is clamped")
        return self._rate()

    def _stored(self, whole: Fact) -> Fact:
        energy = sum_of(store.inductance.value * store.current.value**2 for store in self.left)
        current = whole.value
        if not many(current) and current == 0:
            current = math.nan  # no current, no share of it
        names = " and ".join(store.inductance.source or f"{store.state.name}.inductance" for store in self.left)
        return combine(energy / current**2, names, *(store.inductance for store in self.left))

    def _rate(self) -> Fact:
        states = [store.state for store in self.left]
        missing = tuple(f"{s.name}.rate" for s in states if not s.frequency and s.rate is None)
        if missing:
            return Fact(math.nan, "", missing)
        return Fact(largest_of(s.frequency or s.rate for s in states), "rate of the load")

    # ---- cables outside every clamp at the board

    def stray_inductance(self) -> Fact:
        """One inductance that stores at their whole current what the cables store that no clamp at the board takes."""
        return self._stored(self.spike_current()) if self._strays else NOT_STATED

    def spike_current(self) -> Fact:
        strays = [(store.state.name, store.current) for store in self._strays]
        return total(strays, "A") if strays else NOT_STATED

    def spike_rate(self) -> Fact:
        return self._rate() if self._strays else Fact(0.0, "a clamp at the board takes every cable")

    def line_peak(self) -> Fact:
        """Highest voltage to which the cables alone could drive the node."""
        if not self._strays:
            return NOT_STATED
        base: Fact = self.drain_peak()  # type: ignore[attr-defined]
        if self._plain():
            return highest([base, self._scaled(self._step(self._strays[0], cables.RINGING), base)])
        steps = [self._step(store, cables.RINGING_CAPACITIVE) for store in self._strays]
        value = sum_of([base.value, *(step.value for step in steps)])
        words = " + ".join([base.source, *(step.source for step in steps)])
        return combine(value, words, base, *steps)

    def _step(self, store: Store, ringing: float) -> Fact:
        cable = self.board.load[store.state.name].cable
        if cable is None:
            return store.cable
        ohms = step_resistance(self.situation, cable, store.cable, ringing)
        volts = store.current.value * ohms.value
        words = f"{show(store.current.value, 'A')} · {show(ohms.value, 'Ω')}, {ohms.source}"
        return combine(volts, words, store.current, ohms)

    def _plain(self) -> bool:
        """True for a plain resistance alone on the switch, which settles without overshoot."""
        load: Any = self.board.load.get(self.place.load[0])
        alone = len(self.place.load) == 1 and isinstance(load, Lamp | Resistive) and load.extra_current is None
        return alone and not clamp_units(self, self.place.load[0])

    def _scaled(self, step: Fact, base: Fact) -> Fact:
        """The step at the current that a transient of the rail drives."""
        rail: Fact = self.rail_max()  # type: ignore[attr-defined]
        return combine(step.value * ratio(base.value, rail.value), step.source, step, base)


# ---- the feed of a rail


def feed_rise(situation: "Situation", name: str) -> Fact:
    """Rise of a rail over its largest when the currents of its feed are switched off, V; not stated without a feed.

    All that the source may deliver goes off together, into the least capacitance on the board and its largest series
    resistance. Where something is chopped, the steps may meet the ringing of the feed.
    """
    rail = situation.board.rail[name]
    if rail.feed is None or rail.regulator is not None:
        return NOT_STATED
    keys = ("capacitance", "capacitance_esr")
    missing = tuple(f"rail.{name}.{key}" for key in keys if getattr(rail, key) is None)
    if missing or rail.capacitance is None or rail.capacitance_esr is None:
        return Fact(math.nan, "", missing)
    inductance = loop_inductance(situation, rail.feed, f"rail.{name}.feed.inductance")
    current, least = _feed_current(situation, name), rail.capacitance.min
    rise = cables.surge_rise(current.value, inductance.value, least)
    words = f"({current.source}) · √({show(inductance.value, 'H')} / {show(least, 'F')})"
    if any(situation.load(load).frequency for load in _fed(situation, name)):
        rise = rise * cables.repetition_factor(_least_loop(situation, name), inductance.value, least)
        words += ", again and again"
    value = rise + current.value * rail.capacitance_esr.max
    return combine(value, f"{words} + its series resistance", current, inductance)


def _feed_current(situation: "Situation", name: str) -> Fact:
    """Largest current of a feed, A: what the source may deliver, which ``supply-current`` holds it to, else the sum."""
    limit = situation.board.rail[name].current
    return rail_current(situation, name) if limit is None else Fact(limit, f"rail.{name}.current")


def _fed(situation: "Situation", name: str) -> Iterator[str]:
    """Loads and indicators on a rail, and on what regulators make of it."""
    yield from situation.loads_on(name)
    for _, regulator in situation.board.of_type(Regulator):
        if regulator.input == name:
            yield from _fed(situation, regulator.output)


def _least_loop(situation: "Situation", name: str) -> Any:
    """Least resistance around which a feed rings, Ω: source, cold copper a tenth thicker than stated, capacitor."""
    rail = situation.board.rail[name]
    feed = rail.feed
    assert feed is not None and rail.capacitance_esr is not None
    source = rail.source_resistance.min if rail.source_resistance is not None else 0.0
    return cold_ohms(situation, feed) + source + rail.capacitance_esr.min


def rail_surge(situation: "Situation", name: str) -> Fact:
    """Highest voltage of a rail when the currents of its feed are switched off, V; not stated without a feed.

    Without a stated capacitance what no line exceeds still counts, where it stays within the stated transient.
    """
    largest, rise = situation.rail(name).largest, feed_rise(situation, name)
    if rise.value is None:
        return NOT_STATED
    rail = situation.board.rail[name]
    if unknown(rise.value) and rail.capacitance is None and rail.transient is not None and rail.feed is not None:
        inductance = loop_inductance(situation, rail.feed, f"rail.{name}.feed.inductance")
        current = rail_current(situation, name)
        ohms = step_resistance(situation, rail.feed, inductance, cables.RINGING_CAPACITIVE)
        bound = combine(largest.value + current.value * ohms.value, ohms.source, largest, current, ohms)
        if nowhere_above(bound.value, rail.transient) and not unknown(bound.value):
            return bound
    source = f"{largest.source}, and {show(rise.value, 'V')}: {rise.source}" if rise.source else ""
    return combine(largest.value + rise.value, source, largest, rise)
