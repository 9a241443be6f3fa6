"""Facts of indicator LEDs: what feeds them, through which resistance, and what light is wanted."""

import math
from typing import Any

from partcheck.requirement import Fact
from partcheck.situation import current_path
from partcheck.situation.chopping import Chopping, chopping_of
from partcheck.situation.drives import ENDS, LARGEST, LEAST, TYPICAL, high_level
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, once_property, stated, total
from partcheck.situation.many import at_least, highest, many, show
from partcheck.situation.nodes import Node, feed_of
from partcheck.situation.profiles import RESISTOR_STILL, DieFacts
from partcheck.situation.stores import rail_surge
from partcheck.units import Span

STRONGER = 1e9
"""Ω: a drive whose source resistance is not stated is not counted on for more than ``high_at``."""
HOTTEST = 423.15
"""K: 150 °C, more than LEDs are rated for."""
GLOWING = 0.8
"""V over an LED whose current is too small to see, at least (common practice, no published source)."""


class IndicatorFacts(DieFacts, PlaceFacts):
    """Facts of an indicator LED."""

    @once_property
    def drive(self) -> Any:
        """The drive output that feeds it, or None."""
        return self.board.drive[self.place.drive] if self.place.drive is not None else None

    def _drive_key(self, key: str) -> str:
        return f"drive.{self.place.drive}.{key}"

    def _end(self, span: Span | None, key: str, end: int, missing: str) -> Fact:
        return Fact(0.0, missing) if span is None else Fact(span[end], f"{key}, {ENDS[end]}")

    # ---- what feeds it

    def _feed(self, end: int) -> Fact:
        if self.place.drive is not None:
            return high_level(self.situation, self.place.drive, end)
        rail = self.situation.rail(self.place.rail)
        return rail.least if end == LEAST else rail.typical if end == TYPICAL else rail.largest

    def feed_min(self) -> Fact:
        return self._feed(LEAST)

    def feed_typ(self) -> Fact:
        return self._feed(TYPICAL)

    def feed_max(self) -> Fact:
        return self._feed(LARGEST)

    def feed_rise(self) -> Fact:
        """Not stated where a drive feeds it, or nothing is known to lift its rail over its largest voltage."""
        if self.drive is not None:
            return NOT_STATED
        name = self.place.rail
        assert name is not None
        if self.board.rail[name].transient is None and rail_surge(self.situation, name).value is None:
            return NOT_STATED
        peak, largest = self.situation.rail_peak(name), self.situation.rail(name).largest
        return combine(
            at_least(peak.value - largest.value, 0.0), f"{peak.source}, over {largest.source}", peak, largest
        )

    def _output(self, end: int) -> Fact:
        if self.drive is None:
            return Fact(0.0, "fed by a rail")
        if self.drive.high_at is not None:
            return Fact(0.0, f"{self._drive_key('high')} is stated at a current")
        return Fact(self.drive.source_resistance[end], self._drive_key(f"source_resistance, {ENDS[end]}"))

    def output_min(self) -> Fact:
        return self._output(LEAST)

    def output_typ(self) -> Fact:
        return self._output(TYPICAL)

    def output_max(self) -> Fact:
        return self._output(LARGEST)

    def _source(self, end: int) -> Fact:
        if self.drive is None or self.drive.high_at is None:
            return NOT_STATED
        if self.drive.source_resistance is not None:
            return Fact(self.drive.source_resistance[end], self._drive_key(f"source_resistance, {ENDS[end]}"))
        if end == LARGEST:
            return Fact(STRONGER, "source_resistance not stated: no more than high_at is counted on")
        return NOT_STATED

    def source_min(self) -> Fact:
        return self._source(LEAST)

    def source_typ(self) -> Fact:
        return self._source(TYPICAL)

    def source_max(self) -> Fact:
        return self._source(LARGEST)

    def source_from(self) -> Fact:
        if self.drive is None or self.drive.high_at is None:
            return NOT_STATED
        return Fact(self.drive.high_at, self._drive_key("high_at"))

    def drive_feeds(self) -> Fact:
        return NOT_STATED if self.drive is None else Fact(1.0, self.where("drive"))

    def pin_limit(self) -> Fact:
        if self.drive is None:
            return NOT_STATED
        if self.drive.pin_current is not None:
            return Fact(self.drive.pin_current, self._drive_key("pin_current"))
        chip = self.board.chip.get(self.drive.chip or "")
        if chip is not None and chip.pin_current is not None:
            return Fact(chip.pin_current, f"chip.{self.drive.chip}.pin_current")
        if self.drive.high_at is not None:
            return Fact(self.drive.high_at, f"{self._drive_key('high_at')}, as no pin_current is stated")
        return Fact(math.nan, "", (self._drive_key("pin_current"),))

    def level_holds_to(self) -> Fact:
        if self.drive is None:
            return NOT_STATED
        if self.drive.source_resistance is not None:
            return Fact(math.inf, self._drive_key("source_resistance is stated"))
        return Fact(self.drive.high_at, f"{self._drive_key('high_at')}, with no source_resistance stated")

    # ---- the switch in series

    def switch_drop_min(self) -> Fact:
        return self._switch_voltage(LEAST)

    def switch_drop_typ(self) -> Fact:
        return self._switch_voltage(TYPICAL)

    def switch_drop_max(self) -> Fact:
        own = self._switch_voltage(LARGEST)
        if self.place.switch is None and self.place.rail is None:
            return own  # it returns to the ground of its own drive
        rest = current_path.behind_rail(self.situation, self.ref)
        if self.place.switch is not None:
            return rest
        if not many(rest.value) and rest.value == 0:
            return own
        return combine(own.value + rest.value, f"{own.source} + {rest.source}", own, rest)

    def _switch_voltage(self, end: int) -> Fact:
        if self.place.switch is not None:
            return Fact(0.0, f"{self.place.switch}: no drop is counted on")
        return self._end(self.place.switch_voltage, self.where("switch_voltage"), end, "none in series")

    def switch_resistance_min(self) -> Fact:
        return self._switch_resistance(LEAST)

    def switch_resistance_typ(self) -> Fact:
        return self._switch_resistance(TYPICAL)

    def switch_resistance_max(self) -> Fact:
        return self._switch_resistance(LARGEST)

    def _switch_resistance(self, end: int) -> Fact:
        missing = "none in series" if self.place.switch is None else "counted with the drop of the switch"
        return self._end(self.place.switch_resistance, self.where("switch_resistance"), end, missing)

    def goes_off(self) -> Fact:
        """Not stated of one that is lit as long as its rail is there."""
        if self.drive is not None:
            return Fact(1.0, self.where("drive"))
        switched = self.place.switch is not None or self.place.switch_voltage is not None
        return Fact(1.0, self.where("switch")) if switched else NOT_STATED

    def leakage_hot(self) -> Fact:
        if self.place.dark_current is None:
            return NOT_STATED
        if self.place.switch is None:
            if self.place.switch_voltage is None:
                return Fact(0.0, "no switch in series")
            return Fact(math.nan, "", (f"{self.where('switch')}: what a switch leaks that is no place of the board",))
        switch = self.situation.quantity(self.place.switch, "off_leakage_hot")
        clamps = Node(self, self.place.switch).leaks()
        return total([(switch.source, switch), *clamps], "A") if clamps else switch

    def low_current(self) -> Fact:
        if self.drive is None:
            return Fact(0.0, "fed by a rail")
        over = at_least(self.drive.low.max - GLOWING * self.place.in_series, 0.0)
        source = (
            f"{self._drive_key('low, largest')}, less {show(GLOWING, 'V')} for each LED, over {self.where('resistor')}"
        )
        return Fact(over / self.place.resistor.min, source)

    def drive_floats(self) -> Fact:
        if self.drive is None or self.drive.floats is False:
            return Fact(0.0, "never undriven")
        key = self._drive_key("floats")
        return Fact(1.0, key if self.drive.floats else f"{key} not stated: it may float")

    def drive_leakage(self) -> Fact:
        if self.drive is None or self.drive.floats is False:
            return Fact(0.0, "never undriven")
        key = self._drive_key("leakage")
        return Fact(math.nan, "", (key,)) if self.drive.leakage is None else Fact(self.drive.leakage, key)

    def dark_current(self) -> Fact:
        return stated(self.place.dark_current, self.where("dark_current"))

    # ---- the resistor and the string

    def resistor_min(self) -> Fact:
        return Fact(self.place.resistor.min, self.where("resistor, least"))

    def resistor_typ(self) -> Fact:
        return Fact(self.place.resistor.typ, self.where("resistor"))

    def resistor_max(self) -> Fact:
        return Fact(self.place.resistor.max, self.where("resistor, largest"))

    def resistor_rating(self) -> Fact:
        return stated(self.place.resistor_power, self.where("resistor_power"))

    def resistor_full_power_to(self) -> Fact:
        return Fact(self.place.resistor_full_power_to, self.where("resistor_full_power_to"))

    def resistor_no_power_at(self) -> Fact:
        return Fact(self.place.resistor_no_power_at, self.where("resistor_no_power_at"))

    def in_series(self) -> Fact:
        return Fact(float(self.place.in_series), self.where("in_series"))

    # ---- chopping

    @once_property
    def chopping(self) -> Chopping | None:
        """How it is chopped, by what it states or by what shares its drive."""
        return chopping_of(self.situation, self.ref)

    def _duty(self, end: int) -> Fact:
        if self.chopping is None:
            return Fact(1.0, "on without a break")
        return Fact(self.chopping.duty[end], f"{self.chopping.source}: duty, {ENDS[end]}")

    def on_duty(self) -> Fact:
        return self._duty(LARGEST)

    def on_time(self) -> Fact:
        return Fact(math.inf, "not chopped") if self.chopping is None else self.pulse_width()

    def hottest_led(self) -> Fact:
        return Fact(HOTTEST, "150 °C, above the ratings of LEDs (common practice, no published source)")

    def resistor_duty(self) -> Fact:
        if self.chopping is None or 1.0 / self.chopping.frequency <= RESISTOR_STILL:
            return self._duty(LARGEST)
        return Fact(1.0, f"a period of {show(1.0 / self.chopping.frequency, 's')}: heated as without a break")

    def _pulse(self) -> float:
        return float(self.chopping.duty.max / self.chopping.frequency) if self.chopping is not None else 0.0

    def light_duty_min(self) -> Fact:
        return self._duty(LEAST)

    def light_duty_typ(self) -> Fact:
        return self._duty(TYPICAL)

    def light_duty_max(self) -> Fact:
        return self._duty(LARGEST)

    def chopped_duty(self) -> Fact:
        return NOT_STATED if self.chopping is None else self._duty(LARGEST)

    def pulse_width(self) -> Fact:
        if self.chopping is None:
            return NOT_STATED
        return Fact(self._pulse(), f"{self.chopping.source}: largest duty / frequency")

    # ---- what the board wants

    def _window(self, key: str, end: int) -> Fact:
        span = getattr(self.place, key)
        return NOT_STATED if span is None else Fact(span[end], self.where(f"{key}, {ENDS[end]}"))

    def least_current(self) -> Fact:
        return stated(self.place.least_current, self.where("least_current"))

    def brightness_low(self) -> Fact:
        low = self._window("brightness", LEAST)
        return NOT_STATED if low.value == 0 else low

    def brightness_high(self) -> Fact:
        return self._window("brightness", LARGEST)

    def wavelength_low(self) -> Fact:
        return self._window("wavelength", LEAST)

    def wavelength_high(self) -> Fact:
        return self._window("wavelength", LARGEST)

    def angle_low(self) -> Fact:
        return self._window("viewing_angle", LEAST)

    def angle_high(self) -> Fact:
        return self._window("viewing_angle", LARGEST)

    def spread_limit(self) -> Fact:
        return stated(self.place.current_spread, self.where("current_spread"))

    def reverse_voltage(self) -> Fact:
        """What its node may stand above its feed, or what the board states, whichever is more."""
        typed = stated(self.place.reverse_voltage, self.where("reverse_voltage"))
        switch = self.place.switch
        above = Node(self, switch).above(feed_of(self.board, self.ref)) if switch is not None else NOT_STATED
        asked = [fact for fact in (typed, above) if fact.value is not None]
        return highest(asked) if asked else NOT_STATED
