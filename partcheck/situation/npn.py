"""Facts of an NPN low-side sink, beside those that every low-side switch has."""

import math

from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, combine, stated
from partcheck.situation.many import at_least, highest, known_or, largest_of, nowhere_above, one_above, show
from partcheck.situation.slow_gate import EDGE_BRIEF, slow_drive
from partcheck.situation.switch import NO_RESISTOR, OFF_SHARE, SwitchFacts

NO_BREAKDOWN = 1.0
"""V: below this no base-emitter junction of silicon breaks down; rated ones start at 3 V (common practice)."""
SWITCHING_TIME = 20e-6
"""s: both edges together of a saturated transistor that only its base resistor turns off."""
MILLER_CAPACITANCE = 25e-12
"""F: between collector and base of a small transistor, at most (common practice, no published source)."""
BASE_ON = 0.6
"""V: a base while the collector rises (common practice, no published source)."""
LEAST_DRIVE = 0.05
"""V over the base resistor that is counted at the least."""


class NpnFacts(SwitchFacts):
    """Facts of an NPN low-side sink."""

    def collector_peak(self) -> Fact:
        line = self.line_peak()
        return self.drain_peak() if line.value is None else highest([self.drain_peak(), line])

    def clamped(self) -> Fact:
        if self.unclamped:
            return Fact(0.0, f"nothing clamps {' and '.join(state.name for state in self.unclamped)}")
        return Fact(1.0, "every coil is clamped")

    def turnoff_voltage(self) -> Fact:
        if self.unclamped or not any(state.inductive for state in self.states):
            return NOT_STATED
        return self.collector_peak()

    def base_resistor_min(self) -> Fact:
        return Fact(self.place.base_resistor.min, self.where("base_resistor, least"))

    def base_resistor_max(self) -> Fact:
        return Fact(self.place.base_resistor.max, self.where("base_resistor, largest"))

    def base_emitter_min(self) -> Fact:
        span = self.place.base_emitter_resistor
        if span is None:
            return Fact(NO_RESISTOR, "none fitted")
        return Fact(span.min, self.where("base_emitter_resistor, least"))

    def base_emitter_max(self) -> Fact:
        span = self.place.base_emitter_resistor
        if span is None:
            return Fact(math.inf, "none fitted")
        return Fact(span.max, self.where("base_emitter_resistor, largest"))

    def base_resistor_rating(self) -> Fact:
        return stated(self.place.base_resistor_power, self.where("base_resistor_power"))

    def base_emitter_rating(self) -> Fact:
        return stated(self.place.base_emitter_power, self.where("base_emitter_power"))

    def off_current(self) -> Fact:
        stated, load = self.off_leakage(), self.load_current()
        if stated.value is not None:
            return stated
        return combine(load.value * OFF_SHARE, "a thousandth of the load current (common practice)", load)

    def switching_time(self) -> Fact:
        """Of usual transistors; longer where the base resistor has to take what the collector's rise drives into it."""
        usual, peak = "common practice, no published source: longest of small transistors", self.collector_peak()
        over = at_least(BASE_ON - self.drive.low.max, LEAST_DRIVE)
        ahead = self.place.base_resistor.max + known_or(self.source_max().value, 0.0)
        rise = MILLER_CAPACITANCE * peak.value * ahead / over
        if nowhere_above(rise, SWITCHING_TIME):
            return Fact(SWITCHING_TIME, usual)
        source = f"{show(MILLER_CAPACITANCE, 'F')} over {self.where('base_resistor')} and drive, or {usual}"
        return combine(largest_of([rise, SWITCHING_TIME]), source, peak)

    def edge_counts(self) -> Fact:
        """One where an edge lasts longer than usual: by what lies ahead of the base, or behind a slow drive."""
        if slow_drive(self.drive):
            return Fact(1.0, f"drive.{self.place.drive}.edge_time")
        time = self.switching_time()
        if nowhere_above(time.value, SWITCHING_TIME):
            return NOT_STATED
        return Fact(one_above(time.value, SWITCHING_TIME), time.source)

    def edge_brief(self) -> Fact:
        return Fact(SWITCHING_TIME + EDGE_BRIEF, "common practice: what is usual, and an edge that is harmless")

    def least_switching_time(self) -> Fact:
        """No datasheet parameter bounds it from below."""
        return Fact(math.nan, "", (f"the shortest switching time of {self.ref}",))

    def base_reverse(self) -> Fact:
        """The lift of the emitter over a low drive; not asked where no silicon junction could break down by it."""
        if self.board.ground.drive_rises:
            return NOT_STATED
        lift = self.lift()
        return NOT_STATED if nowhere_above(lift.value, NO_BREAKDOWN) else lift

    def vbe_tempco(self) -> Fact:
        return Fact(0.002, "Malvino & Bates, Electronic Principles, Example 2-5: 2 mV/K")

    def band_gap(self) -> Fact:
        return Fact(1.205, "band gap of silicon brought to 0 K (from memory)")

    def polarity_wanted(self) -> Fact:
        return Fact(frozenset({"NPN"}), "a low-side sink")
