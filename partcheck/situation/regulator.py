"""Facts of a linear regulator: its input at both ends, and all that its output feeds."""

import math
from collections.abc import Iterator

from partcheck.board.roles import Indicator, Regulator
from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, stated, total
from partcheck.situation.many import known_or, unknown
from partcheck.situation.stores import rail_surge


class RegulatorFacts(PlaceFacts):
    """Facts of a linear regulator."""

    # ---- the input

    def input_max(self) -> Fact:
        return self.situation.rail(self.place.input).largest

    def input_min(self) -> Fact:
        return self.situation.rail(self.place.input).least

    def input_transient(self) -> Fact:
        """Not stated where neither a transient nor a feed is known to lift the input over its largest."""
        name = self.place.input
        if self.board.rail[name].transient is None and rail_surge(self.situation, name).value is None:
            return NOT_STATED
        return self.situation.rail_peak(name)

    def feed_resistance(self) -> Fact:
        return self.situation.feed_resistance(self.place.input)

    def back_feed(self) -> Fact:
        return stated(self.place.back_feed, self.where("back_feed"))

    # ---- the output

    def load_current(self) -> Fact:
        return self.situation.rail_current(self.place.output)

    def least_load(self) -> Fact:
        """What the output surely feeds; no more than a bound where the board states no current of the logic."""
        name, rail = self.place.output, self.board.rail[self.place.output]
        unsaid = f"rail.{name}.logic_current"
        logic = Fact(0.0, "", bounded=(unsaid,)) if rail.logic_current is None else Fact(rail.logic_current.min, "")
        parts = [(f"{name}.logic_current", logic)]
        if rail.other_current is not None:
            parts.append((f"{name}.other_current", Fact(rail.other_current.min, "")))
        for ref, led in self.board.of_type(Indicator):
            if led.rail == name and self._always_lit(ref, led):
                current = self.situation.quantity(ref, "current_min")
                if not unknown(current.value):  # one that is not known adds nothing to what is sure
                    parts.append((ref, combine(known_or(current.value, 0.0), current.source, current)))
        made = total(parts, "A")  # which leaves out what is nothing, and with it what that is a bound of
        return Fact(made.value, made.source, made.missing, made.assumed, (*made.bounded, *logic.bounded))

    def _always_lit(self, ref: str, led: Indicator) -> bool:
        switched = led.switch or led.switch_voltage or led.switch_resistance or led.chopped or led.rate
        return not switched and not any(ref in group.of for group in self.board.at_once)

    def accepts_low(self) -> Fact:
        return self._accepts("min", "lowest")

    def accepts_high(self) -> Fact:
        return self._accepts("max", "highest")

    def _accepts(self, end: str, word: str) -> Fact:
        span = self.board.rail[self.place.output].accepts
        return NOT_STATED if span is None else Fact(getattr(span, end), f"rail.{self.place.output}.accepts, {word}")

    def _end(self, key: str, end: str, word: str) -> Fact:
        span = getattr(self.place, key)
        return NOT_STATED if span is None else Fact(getattr(span, end), self.where(f"{key}, {word}"))

    def capacitor_min(self) -> Fact:
        return self._least_fitted("output_capacitor")

    def capacitor_max(self) -> Fact:
        return self._largest_fitted("output_capacitor")

    def capacitor_unsaid(self) -> Fact:
        return self._unsaid("output_capacitor")

    def esr_fitted_min(self) -> Fact:
        return self._least_fitted("output_esr")

    def esr_fitted_max(self) -> Fact:
        return self._largest_fitted("output_esr")

    def esr_unsaid(self) -> Fact:
        return self._unsaid("output_esr")

    def _least_fitted(self, key: str) -> Fact:
        made = self._end(key, "min", "least")
        return made if made.value is not None else Fact(0.0, "nothing, at least", bounded=(self.where(key),))

    def _largest_fitted(self, key: str) -> Fact:
        made = self._end(key, "max", "largest")
        return made if made.value is not None else Fact(math.nan, "", (self.where(key),))

    def _unsaid(self, key: str) -> Fact:
        unsaid = getattr(self.place, key) is None
        return Fact(0.0 if unsaid else math.nan, f"{self.where(key)} is not stated" if unsaid else "")

    # ---- the resistors that set it

    def _resistor(self, key: str, end: str, word: str) -> Fact:
        made = self._end(key, end, word)
        return made if made.value is not None else Fact(math.nan, "", (self.where(key),))

    def upper_min(self) -> Fact:
        return self._resistor("upper_resistor", "min", "least")

    def upper_typ(self) -> Fact:
        return self._resistor("upper_resistor", "typ", "nominal")

    def upper_max(self) -> Fact:
        return self._resistor("upper_resistor", "max", "largest")

    def lower_min(self) -> Fact:
        return self._resistor("lower_resistor", "min", "least")

    def lower_typ(self) -> Fact:
        return self._resistor("lower_resistor", "typ", "nominal")

    def lower_max(self) -> Fact:
        return self._resistor("lower_resistor", "max", "largest")

    def output_wanted(self) -> Fact:
        if self.place.upper_resistor is None and self.place.lower_resistor is None:
            return Fact(frozenset({"fixed"}), "no resistors set the output")
        return Fact(frozenset({"adjustable"}), "resistors set the output")

    # ---- the battery

    def _upstream(self, regulator: Regulator) -> Iterator[str]:
        """The rails between a regulator's input and the source, from the input on."""
        name: str | None = regulator.input
        while name is not None:
            yield name
            feeder = self.board.rail[name].regulator
            name = self.board.role[feeder].input if feeder is not None else None  # type: ignore[union-attr]

    def _battery_rail(self) -> str | None:
        return next((name for name in self._upstream(self.place) if self.board.rail[name].battery is not None), None)

    def battery(self) -> Fact:
        name = self._battery_rail()
        return NOT_STATED if name is None else Fact(self.board.rail[name].battery, f"rail.{name}.battery")

    def other_quiescent(self) -> Fact:
        name = self._battery_rail()
        parts = []
        for ref, other in self.board.of_type(Regulator):
            if ref != self.ref and name is not None and name in self._upstream(other):
                own, divider = (self.situation.quantity(ref, q) for q in ("iq_largest", "divider_current"))
                parts.append((ref, combine(own.value + divider.value, ref, own, divider)))
        return total(parts, "A")
