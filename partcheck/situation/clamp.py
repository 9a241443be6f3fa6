"""Facts of a clamp: which coils it takes, what works against it, what the switch beside it stands."""

import math
from collections.abc import Callable
from typing import Any, NamedTuple

from partcheck.board.loads import Coil
from partcheck.board.roles import MosfetSwitch
from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, once_property, total
from partcheck.situation.loads import LoadState
from partcheck.situation.many import (
    at_least,
    highest,
    largest_of,
    least_of,
    lowest,
    many,
    one_above,
    ratio,
    show,
    sum_of,
    unknown,
)
from partcheck.situation.nodes import Feed, Node, feed_of
from partcheck.situation.profiles import DieFacts, Start, StartFacts, start_of
from partcheck.situation.recovery import flow_share
from partcheck.situation.release import Release, ReleaseFacts, beside, release_end, worst_release
from partcheck.situation.stores import load_cable_inductance
from partcheck.situation.sums import peak

NEXT_TO_NONE = 1e-4
"""Winding resistance counted where none is stated: its drop over the rail. Less is the worse end."""
ON_SHARE = 0.05
"""Largest share of the shortest on-time for reverse recovery (common practice, no published source)."""
GONE = 0.01
"""Share of the current at which the decay in a diode counts as over; it has no end."""
FORWARD = frozenset({"rectifier", "fast-rectifier", "schottky", "signal"})
BOTH_WAYS = frozenset({"tvs-bidirectional"})
BREAKDOWN = frozenset({"zener", "tvs"}) | BOTH_WAYS


class Taken(NamedTuple):
    """One load that the clamp takes: current A, inductance H with that of its cable, least resistance Ω."""

    state: LoadState
    current: Fact
    inductance: Fact
    resistance: Fact


class ClampFacts(DieFacts, ReleaseFacts, StartFacts, PlaceFacts):
    """Facts of a flyback diode or another clamp."""

    # ---- what it takes

    @property
    def names(self) -> list[str]:
        """The loads that hang on the clamp's switch."""
        switch = self.board.switch_of(self.place.load)
        beside = self.board.role[switch].load if switch is not None else []  # type: ignore[union-attr]
        return [name for name in beside if name in self.board.load]

    @property
    def taken(self) -> list[Taken]:
        """The loads of its node with a coil or a cable, which it takes if it is the first clamp there to conduct.

        Where there is none its own load, for the cable's sake.
        """
        found = [self._taken(self.situation.load(name)) for name in self.names]
        return [t for t in found if t is not None] or [self._bare(self.situation.load(self.place.load))]

    def _taken(self, state: LoadState) -> Taken | None:
        far = self.place.position == "load" and not self._across_switch
        outside = far and state.name == self.place.load
        cable = NOT_STATED if outside else load_cable_inductance(self.situation, state.name)
        own = state.inductance if state.inductive else NOT_STATED
        stored = [fact for fact in (own, cable) if fact.value is not None]
        if not stored:
            return None
        inductance = stored[0] if len(stored) == 1 else total([(f.source, f) for f in stored], "H")
        current = state.largest if state.inductive else peak(self.situation, state.name)
        return Taken(state, current, inductance, self._resistance(state))

    def _bare(self, state: LoadState) -> Taken:
        missing = Fact(math.nan, "", (f"{state.name}.cable.inductance",))
        return Taken(state, state.largest, missing, self._resistance(state))

    def _resistance(self, state: LoadState) -> Fact:
        current, rail = state.largest, self.rail_max()
        least = NEXT_TO_NONE * rail.value / at_least(current.value, 1e-12)
        stated = state.resistance
        if stated.value is not None and (many(stated.value) or many(least)):
            return combine(largest_of([stated.value, least]), "", stated, current, rail)
        if stated.value is None or stated.value < least:
            return combine(least, f"{state.name}: no winding resistance stated, next to none counted", current, rail)
        return stated

    @property
    def _across_switch(self) -> bool:
        return bool(self.place.across == "switch")

    @property
    def _forward(self) -> bool:
        return bool(self.place.conducts == "forward")

    @property
    def _alone(self) -> bool:
        return self.place.in_series_with is None

    def coil_current(self) -> Fact:
        taken = self.taken
        return taken[0].current if len(taken) == 1 else total([(t.state.name, t.current) for t in taken], "A")

    @once_property
    def start(self) -> Start:
        """The stall of one load that is chopped while it runs; another may be switched off in its stall every time."""
        states = [t.state for t in self.taken]
        return start_of(states if len(states) == 1 and states[0].frequency else [])

    def lasting_current(self) -> Fact:
        return self.taken[0].state.heating if self.start.any.value else self.coil_current()

    def start_current(self) -> Fact:
        return self.coil_current()

    def inductance(self) -> Fact:
        """One inductance that stores at the whole current what the coils store at theirs."""
        taken = self.taken
        if len(taken) == 1:
            return taken[0].inductance
        stored = sum_of(t.inductance.value * t.current.value**2 for t in taken)
        return self._joined(stored / self._whole(taken) ** 2, "stores as much as", taken, lambda t: t.inductance)

    def slowest_inductance(self) -> Fact:
        taken = self.taken
        if len(taken) == 1:
            return taken[0].inductance
        slowest = largest_of(t.inductance.value * t.current.value for t in taken)
        return self._joined(slowest / self._whole(taken), "decays as slowly as", taken, lambda t: t.inductance)

    def loop_resistance(self) -> Fact:
        """Least resistance; at most rail over current, so that the lower clamp voltage is the worse."""
        taken, rail, whole = self.taken, self.rail_max(), self._whole(self.taken)
        drops = [t.resistance.value * t.current.value for t in taken]
        drop = least_of([*drops, rail.value])
        if many(drop):
            return self._joined(drop / whole, "least drop of", taken, lambda t: t.resistance)
        if len(taken) == 1 and drop == drops[0]:
            return taken[0].resistance
        if drop == rail.value:
            return combine(drop / whole, f"rail {show(drop, 'V')} over the coil current", rail, self.coil_current())
        return self._joined(drop / whole, "least drop of", taken, lambda t: t.resistance)

    def _whole(self, taken: list[Taken]) -> Any:
        return at_least(sum_of(t.current.value for t in taken), 1e-12)

    def _joined(self, value: Any, words: str, taken: list[Taken], of: Callable[[Taken], Fact]) -> Fact:
        names = " and ".join(t.state.name for t in taken)
        return combine(value, f"{words} {names}", *(f for t in taken for f in (of(t), t.current)))

    def decay_end(self) -> Fact:
        current = self.coil_current()
        if not self._forward or not self._alone:
            return Fact(0.0, "the current is gone")
        return combine(GONE * current.value, "1 % of the coil current: in a diode it has no end", current)

    # ---- where it sits

    def rail_max(self) -> Fact:
        names = {self.board.load[self.place.load].rail}
        if self._across_switch:
            names |= {self.board.load[name].rail for name in self.names}
        ends = [self.situation.rail(name).largest for name in sorted(names)]
        return highest(ends)

    @property
    def node(self) -> Node:
        """The node on which it hangs."""
        switch = self.board.switch_of(self.place.load)
        assert switch is not None, "the board's reader refuses a clamp where no switch pulls the load"
        return Node(self, switch)

    @property
    def _feed(self) -> Feed:
        return feed_of(self.board, self.place.load)

    def _behind(self, load: str) -> Fact:
        """What the supply of a load takes off the clamp voltage, less what the rail adds that the clamp returns to."""
        feed = feed_of(self.board, load)
        if self._across_switch:
            return feed.largest(self.situation)
        if feed == self._feed:
            return Fact(0.0, "the clamp sits across the load")
        top, own = feed.largest(self.situation), self._feed.least_beside(self.situation, feed)
        return combine(top.value - own.value, f"{top.source}, less {own.source} to which the clamp returns", top, own)

    def supply_behind(self) -> Fact:
        return highest(self._behind(t.state.name) for t in self.taken)

    def fed_behind(self) -> Fact:
        if self._across_switch:
            return Fact(0.0, "the clamp sits across the switch")
        behind = self.supply_behind()
        return combine(one_above(behind.value, 0.0), "1 where a load is on a higher rail than the clamp", behind)

    def _partner(self, name: str) -> Fact:
        other = self.place.in_series_with
        return Fact(0.0, "no other part in series") if other is None else self.situation.quantity(other, name)

    def partner_low(self) -> Fact:
        return self._partner("drop_low")

    def partner_high(self) -> Fact:
        return self._partner("drop_high")

    def forward(self) -> Fact:
        return Fact(float(self._forward), self.where("conducts"))

    def breaks_at_switch(self) -> Fact:
        return Fact(float(not self._forward and self._across_switch), self.where("conducts, across"))

    def breaks_at_load(self) -> Fact:
        return Fact(float(not self._forward and not self._across_switch), self.where("conducts, across"))

    def forward_current(self) -> Fact:
        return self.coil_current() if self._forward else NOT_STATED

    def breakdown_current(self) -> Fact:
        return NOT_STATED if self._forward else self.coil_current()

    def reverse_rail(self) -> Fact:
        """A diode across the load blocks the rail, a transient counted."""
        blocks = self._forward and not self._across_switch
        return self.situation.rail_peak(self.board.load[self.place.load].rail) if blocks else NOT_STATED

    def standoff_rail(self) -> Fact:
        """Across the switch it sees the node while off, alone across a load its rail while on; else a diode blocks.

        Alone across a load it also sees, while off, what other feeds hold the node above its rail. A transient
        counts: a clamp that broke down under it would be fed through the coil for as long as it lasts.
        """
        if self._forward or not (self._across_switch or self._alone):
            return NOT_STATED
        if self._across_switch:
            return self.node.resting_peak()
        return highest([self._feed.peak(self.situation), *self.node.resting_above(self._feed)])

    def off_voltage(self) -> Fact:
        """The highest of the other feeds, which holds the node up while off; asked of a clamp across the load."""
        others = self._other_feeds()
        return highest(feed.peak(self.situation) for feed in others) if others else NOT_STATED

    def off_rail(self) -> Fact:
        others = self._other_feeds()
        return lowest(self._feed.least_beside(self.situation, feed) for feed in others) if others else NOT_STATED

    def _other_feeds(self) -> list[Feed]:
        return [] if self._across_switch else self.node.rivals(self._feed)

    def blocking_rail(self) -> Fact:
        reverse = self.reverse_rail()
        return reverse if reverse.value is not None else self.standoff_rail()

    def blocks(self) -> Fact:
        blocking = self.blocking_rail().value is not None
        return Fact(float(blocking), "it blocks the rail" if blocking else "the other part blocks the rail")

    def constructions(self) -> Fact:
        if self._forward:
            return Fact(FORWARD, self.where("conducts"))
        return Fact(BREAKDOWN if self._across_switch or not self._alone else BOTH_WAYS, self.where("conducts"))

    # ---- how often

    def pulse_rate(self) -> Fact:
        states = [t.state for t in self.taken]
        missing = tuple(f"{s.name}.rate" for s in states if not s.frequency and s.rate is None)
        if missing:
            return Fact(math.nan, "", missing)
        chopped = any(s.frequency for s in states)
        return Fact(
            largest_of(s.frequency or (0.0 if s.rate is None else s.rate) for s in states),
            "chopping frequency" if chopped else "rate of the load",
        )

    def repeat_rate(self) -> Fact:
        rate = self.pulse_rate()
        return NOT_STATED if self._forward or unknown(rate.value) else rate

    def off_share(self) -> Fact:
        states = [t.state for t in self.taken]
        if all(s.frequency for s in states):
            return Fact(1.0 - min(s.duty[0] for s in states), "1 minus the least duty")
        return Fact(1.0, "not chopped: it may be off for a long time")

    def flow_share(self) -> Fact:
        return flow_share([t.state for t in self.taken]) or self.off_share()

    def off_time(self) -> Fact:
        rate, share = self.pulse_rate(), self.off_share()
        if not many(rate.value) and not rate.value > 0:
            return Fact(math.inf, "off for long")
        return Fact(ratio(share.value, rate.value), "longest time off between two turn-ons")

    def recovery_rate(self) -> Fact:
        chopped = [t.state.frequency for t in self.taken if t.state.frequency] if self._forward else []
        return Fact(max(chopped, default=0.0), "chopping frequency" if chopped else "not chopped")

    def recovery_allowed(self) -> Fact:
        chopped = [t.state for t in self.taken if t.state.frequency]
        if not self._forward:
            return NOT_STATED
        return min((self._recovery(state) for state in chopped), key=lambda fact: fact.value, default=NOT_STATED)

    def _recovery(self, state: LoadState) -> Fact:
        limit = self.board.load[state.name].edge_limit
        if limit is not None:
            return Fact(limit, f"{state.name}.edge_limit")
        least, typical, _ = state.duty
        duty, which = (least, "least") if least > 0 else (typical, "middle, as it may stay off,")
        share = f"{ON_SHARE:.0%} of the on-time at the {which} duty of {state.name}"
        return Fact(ON_SHARE * duty / state.frequency, f"{share} (common practice)")

    # ---- release

    def _asked(self) -> list[tuple[Taken, Coil]]:
        """The coils it takes that must let go in time."""
        coils = [(t, load) for t in self.taken if isinstance(load := self.board.load[t.state.name], Coil)]
        return [(t, load) for t, load in coils if load.release_time is not None]

    def release_behind(self) -> Fact:
        asked = self._asked()
        return highest(self._behind(t.state.name) for t, _ in asked) if asked else NOT_STATED

    def _release(self) -> Release | None:
        found = [
            Release(
                load.release_time,
                t.current.value,
                end.value,
                t.inductance.value,
                t.resistance.value,
                t.state.name,
                beside(self.situation, t.state.name),
                (t.current, t.inductance, t.resistance, end),
            )
            for t, load in self._asked()
            if load.release_time is not None and load.release_level is not None
            for end in [release_end(self.situation, t.state, load)]
        ]
        return worst_release(found)

    def turn_off_time(self) -> Fact:
        switch = self.board.switch_of(self.place.load)
        if switch is None or self._release() is None:
            return Fact(0.0, "no switch on the board opens it")
        return self.situation.quantity(switch, "turn_off_time")

    # ---- beside it

    def off_leakage(self) -> Fact:
        if not self._across_switch:
            return NOT_STATED
        limits = [
            Fact(limit, f"{name}.off_leakage")
            for name in self.names
            if (limit := self.board.load[name].off_leakage) is not None
        ]
        return min(limits, key=lambda fact: fact.value, default=NOT_STATED)

    def leakage_beside(self) -> Fact:
        """What leaks beside it from the node to ground; not stated where its own leakage is not asked."""
        if self.off_leakage().value is None:
            return NOT_STATED
        switch = self.situation.quantity(self.node.switch, "off_leakage_hot")
        return total([(switch.source, switch), *self.node.leaks(self.ref)], "A")

    def switch_limit(self) -> Fact:
        switch = self.board.switch_of(self.place.load)
        if switch is None or self.reverse_rail().value is None:
            return NOT_STATED
        self.situation.reads(switch)
        mosfet = isinstance(self.board.role[switch], MosfetSwitch)
        rating = self.situation.quantity(switch, "vds_max" if mosfet else "vceo")
        share = self.situation.facts(switch)["k_vds" if mosfet else "k_vceo"]
        return combine(share.value * rating.value, f"{rating.source} · {share.value:g} ({share.source})", rating, share)

    def drop_tempco(self) -> Fact:
        return Fact(0.002, "a junction's drop rises about 2 mV/K when it cools (device physics: (1.2 V - V_F)/T)")

    def breakdown_tempco(self) -> Fact:
        return Fact(0.001, "breakdown moves about 0.1 %/K (common practice, no published source)")

    def zener_hot(self) -> Fact:
        return Fact(453.15, "180 °C, with a guard under the hottest ratings (common practice, no published source)")
