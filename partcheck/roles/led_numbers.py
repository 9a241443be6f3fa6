"""The indicator's numbers: currents solved at every corner, heat, light; never read at the test current.

Largest current: highest feed, least resistance, no drop in the switch, lowest forward voltage of a hot
junction. Least current: lowest feed, largest resistance and drop, highest forward voltage in the coldest air.
The current is monotone in each of them; tests/roles/test_indicator.py draws circuits inside the corners.

The hot junction and the current feed each other. The map T -> air + theta · power(current(T)) is taken with
the largest power of any bin, which makes it rising. Started at a temperature that no LED is rated for, each step is
an upper bound of the true junction as long as the first one stays under the start; where it does not, there is no
equilibrium worth telling. Two steps come within a few millivolts. Without a theta the start itself is taken. It is
the same for every part, so that a better rating changes no current.
"""

import math
from typing import Any

from partcheck.operations import assume, exp, keep, larger, ln, prefer, smaller
from partcheck.physics import heat
from partcheck.points import DIFFERENCE, LINEAR, SEMI_LOG, shifted
from partcheck.roles.common import add_heat, new_role
from partcheck.roles.led_string import (
    Corner,
    line_power,
    solve,
    string_voltage,
    voltage_above,
    voltage_below,
)
from partcheck.roles.transient import add_chopping

role = new_role("indicator", "led", "Indicator LED")
fact, need, quantity = role.fact, role.need, role.quantity

for _end, _word in (("min", "least"), ("typ", "typical"), ("max", "largest")):
    fact(f"feed_{_end}", "V", f"{_word} voltage that feeds it")
    fact(f"output_{_end}", "Ω", f"{_word} output resistance of a drive whose level is stated unloaded")
    fact(f"source_{_end}", "Ω", f"{_word} source resistance of a drive above the current of its level")
    fact(f"switch_drop_{_end}", "V", f"{_word} fixed drop of the switch in series")
    fact(f"switch_resistance_{_end}", "Ω", f"{_word} resistance of the switch in series")
    fact(f"resistor_{_end}", "Ω", f"{_word} series resistor")
    fact(f"light_duty_{_end}", "", f"{_word} share of the time on, for the light that the eye averages")
fact("source_from", "A", "current up to which the drive holds its stated level")
fact("resistor_rating", "W", "power rating of the series resistor")
fact("resistor_full_power_to", "°C", "air up to which the resistor carries full power")
fact("resistor_no_power_at", "°C", "air at which the resistor carries none")
fact("in_series", "", "LEDs in series")
fact("hottest_led", "°C", "a junction hotter than LEDs are rated for")
fact("resistor_duty", "", "largest share of the time on, for heat in the resistor")
fact("chopped_duty", "", "largest duty of the chopping")
fact("pulse_width", "s", "longest pulse of the chopping")
fact("drive_feeds", "", "1 where a drive output feeds it")
fact("pin_limit", "A", "largest current of the drive output")
fact("level_holds_to", "A", "current up to which the drive's strength is stated")
fact("least_current", "A", "least current wanted")
fact("brightness_low", "cd", "least luminous intensity wanted")
fact("brightness_high", "cd", "largest luminous intensity wanted")
fact("wavelength_low", "m", "shortest dominant wavelength wanted")
fact("wavelength_high", "m", "longest dominant wavelength wanted")
fact("angle_low", "°", "least viewing angle wanted")
fact("angle_high", "°", "largest viewing angle wanted")
fact("spread_limit", "", "largest ratio of largest to least current")
fact("reverse_voltage", "V", "reverse voltage it may see")
fact("dark_current", "A", "largest current at which it must look dark")
fact("goes_off", "", "1 where a switch or a drive output turns it off")
fact("leakage_hot", "A", "largest leakage of the hot switch")
fact("low_current", "A", "largest current that the low level of its drive sends through it")
fact("drive_floats", "", "1 where its drive may be undriven")
fact("drive_leakage", "A", "largest current that its drive leaks while it floats")
fact("feed_rise", "V", "how far a transient lifts the feed over its largest voltage")


@need("V")
def feed_high(n: Any) -> Any:
    """Highest voltage over resistor and LED."""
    return n.feed_max - n.switch_drop_min


@need("V")
def feed_mid(n: Any) -> Any:
    """Typical voltage over resistor and LED."""
    return n.feed_typ - n.switch_drop_typ


@need("V")
def feed_low(n: Any) -> Any:
    """Lowest voltage over resistor and LED."""
    return n.feed_min - n.switch_drop_max


@need("Ω")
def series_min(n: Any) -> Any:
    """Least resistance in series."""
    return n.resistor_min + n.switch_resistance_min + n.output_min


@need("Ω")
def series_typ(n: Any) -> Any:
    """Typical resistance in series."""
    return n.resistor_typ + n.switch_resistance_typ + n.output_typ


@need("Ω")
def series_max(n: Any) -> Any:
    """Largest resistance in series."""
    return n.resistor_max + n.switch_resistance_max + n.output_max


add_heat(role, "k_led_power")
add_chopping(role, rows=False)


@quantity("V/K")
def tempco(p: Any, n: Any) -> Any:
    """Steepest fall of the forward voltage with temperature (negative)."""
    return assume(p.vf_tempco_min, n.assumed_vf_tempco)


@quantity("V")
def vf_low(p: Any, n: Any) -> Any:
    """Forward voltage of the lowest bin, 25 °C."""
    return shifted(p.vf, "i_f", "min", DIFFERENCE)


@quantity("V")
def vf_high(p: Any, n: Any) -> Any:
    """Forward voltage of the highest bin, 25 °C."""
    return shifted(p.vf, "i_f", "max", DIFFERENCE)


def _fall(p: Any, n: Any, tj: Any) -> Any:
    """Largest fall of the forward voltage at a junction temperature; none below 25 °C."""
    return p.tempco * (larger(tj, n.t25) - n.t25)


def _growth(p: Any, n: Any, temperature: Any) -> Any:
    """Largest growth of the forward voltage at a temperature; above 25 °C its fall is not counted on."""
    return p.tempco * (smaller(temperature, n.t25) - n.t25)


@quantity("V")
def shift_start(p: Any, n: Any) -> Any:
    """Forward voltage against 25 °C, at a junction hotter than LEDs are rated for."""
    return _fall(p, n, n.hottest_led)


@quantity("V")
def shift_bound(p: Any, n: Any) -> Any:
    """Forward voltage against 25 °C, at the first bound of the junction."""
    return _fall(p, n, known_junction(n, p.tj_bound))


@quantity("V")
def shift_hot(p: Any, n: Any) -> Any:
    """Forward voltage against 25 °C, at the hottest junction; without an equilibrium at one beyond any rating."""
    return _fall(p, n, known_junction(n, p.tj_hot))


def known_junction(n: Any, tj: Any) -> Any:
    """A junction temperature, or where it is missing or beyond what LEDs are rated for, that."""
    return prefer(smaller(tj, n.hottest_led), n.hottest_led)


@quantity("V")
def shift_warm(p: Any, n: Any) -> Any:
    """Forward voltage against 25 °C in the hottest air: at most this; its fall is not counted on."""
    return _growth(p, n, n.ambient_max)


@quantity("V")
def shift_cold(p: Any, n: Any) -> Any:
    """Forward voltage against 25 °C in the coldest air: at most this."""
    return _growth(p, n, n.ambient_min)


@quantity("V")
def shift_none(p: Any, n: Any) -> Any:
    """No shift: 25 °C."""
    return 0.0 * n.feed_typ


def _highest(n: Any) -> Corner:
    return n.feed_high, n.series_min, n.source_min


def lowest(n: Any) -> Corner:
    return n.feed_low, n.series_max, n.source_max


def _largest(p: Any, n: Any, corner: Corner, shift: Any) -> Any:
    return solve(n, p.vf_low, "min", corner, LINEAR, shift)


@quantity("A")
def current_bound(p: Any, n: Any) -> Any:
    """Largest current of a junction beyond any rating."""
    return _largest(p, n, _highest(n), p.shift_start)


@quantity("A")
def current_all_high(p: Any, n: Any) -> Any:
    """Current at the highest feed of a string of the highest bin alone."""
    return solve(n, p.vf_high, "max", _highest(n), SEMI_LOG, p.shift_warm)


def _power(p: Any, n: Any, current: Any, shift: Any) -> Any:
    """Largest power of one LED of any bin, from the voltage of the lowest at its current to the highest.

    The other LEDs of a string drop the least, at a junction that shifts them as told.
    """
    feed, series, source = _highest(n)
    high = voltage_above(p.vf_high, current) + p.shift_warm
    others = (n.in_series - 1.0) * (voltage_below(p.vf_low, p.current_all_high) + shift)
    low = string_voltage(n, current, _highest(n)) / n.in_series
    held = line_power(low, high, feed - others, series)
    unloaded = feed + n.source_from * source - others
    behind = line_power(low, high, unloaded, series + source)
    return prefer(smaller(held, behind), held)


@quantity("W")
def power_bound(p: Any, n: Any) -> Any:
    """Largest power of one LED, at the current of a junction beyond any rating."""
    return _power(p, n, p.current_bound, p.shift_start)


@quantity("°C")
def tj_bound(p: Any, n: Any) -> Any:
    """First bound of the junction, with that power."""
    return heat.junction(n.ambient_max, p.theta, p.on_share * p.power_bound)


@quantity("A")
def current_near(p: Any, n: Any) -> Any:
    """Largest current of a junction at its first bound."""
    return _largest(p, n, _highest(n), p.shift_bound)


@quantity("W")
def power_max(p: Any, n: Any) -> Any:
    """Largest power of one LED while on, of any bin."""
    return _power(p, n, p.current_near, p.shift_bound)


@quantity("°C")
def tj_hot(p: Any, n: Any) -> Any:
    """Hottest junction: hottest air, largest power of any bin; infinite where its heat leads beyond any rating."""
    settled = keep(heat.junction(n.ambient_max, p.theta, p.on_share * p.power_max), p.tj_bound, n.hottest_led)
    return prefer(settled, keep(n.t25 * math.inf, n.hottest_led, p.tj_bound))


@quantity("A")
def current_max(p: Any, n: Any) -> Any:
    """Largest current while on."""
    return _largest(p, n, _highest(n), p.shift_hot)


@quantity("A")
def current_transient(p: Any, n: Any) -> Any:
    """Largest current during a transient of its feed: at most the rise over the resistor on top of the largest."""
    return p.current_max + n.feed_rise / n.resistor_min


def _typical(n: Any) -> Corner:
    return n.feed_mid, n.series_typ, n.source_typ


@quantity("A")
def current_typ_above(p: Any, n: Any) -> Any:
    """Typical current with the curve straight between its points, which is under a diode's."""
    return solve(n, p.vf, "typ", _typical(n), LINEAR, p.shift_none)


@quantity("A")
def current_typ_below(p: Any, n: Any) -> Any:
    """Typical current with the curve straight over the logarithm of the current, which is above a diode's."""
    return solve(n, p.vf, "typ", _typical(n), SEMI_LOG, p.shift_none)


@quantity("A")
def current_typ(p: Any, n: Any) -> Any:
    """Typical current while on: typical feed, resistor and curve, 25 °C; midway between the two readings."""
    return (p.current_typ_above + p.current_typ_below) / 2.0


@quantity("A")
def current_min(p: Any, n: Any) -> Any:
    """Least current while on."""
    return solve(n, p.vf_high, "max", lowest(n), SEMI_LOG, p.shift_cold)


@quantity("A")
def current_average(p: Any, n: Any) -> Any:
    """Largest current, averaged over the chopping."""
    return n.on_duty * p.current_max


@quantity("V")
def vf_typ(p: Any, n: Any) -> Any:
    """Typical forward voltage of one LED at the typical current."""
    return string_voltage(n, p.current_typ, _typical(n)) / n.in_series


@quantity("W")
def resistor_power_max(p: Any, n: Any) -> Any:
    """Largest heat of the series resistor, r.m.s. where chopped.

    Worst of its two ends; between them, where a source resistance matches it, it is greater by no more than
    the last factor.
    """
    series = n.resistor_max + n.switch_resistance_min + n.output_min
    other = _largest(p, n, (n.feed_high, series, n.source_min), p.shift_hot)
    ends = larger(p.current_max * p.current_max * n.resistor_min, other * other * n.resistor_max)
    width = ln(n.resistor_max / n.resistor_min)
    return n.resistor_duty * ends * exp(width * width / 16.0)


@quantity("W")
def dissipation(p: Any, n: Any) -> Any:
    """Heat that LEDs and series resistor give off."""
    return n.in_series * p.on_share * p.power_max + p.resistor_power_max
