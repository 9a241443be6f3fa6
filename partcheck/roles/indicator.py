"""Indicator LED behind a resistor: what a board demands of it. Its numbers are in ``led_numbers``."""

from typing import Any

from partcheck.operations import assume, keep, per_time, prefer
from partcheck.physics import heat
from partcheck.roles.common import HEAT_SOURCE, add_footprint
from partcheck.roles.led_light import role

requirement = role.requirement

RATING = "absolute maximum ratings; factor of the policy"
SOLVED = "Kirchhoff's voltage law on the stated forward-voltage curve, solved at the corner"
BINS = "luminous intensity bins of the datasheet, read at the real current"


@requirement(
    "A",
    SOLVED + "; " + RATING,
    cure="a larger resistor, a lower feed, cooler air or a part with a higher if_max",
)
def forward_current(p: Any, n: Any) -> Any:
    """The largest current stays under the derated rating at the hottest air.

    Highest feed, least resistance, lowest bin, hottest junction, no drop in the switch; rating at that air,
    straight between two stated points of its derating curve. Chopped: the average, and the peak counts for
    pulse-current.
    """
    return p.current_average, p.if_allowed


@requirement(
    "",
    SOLVED + "; pulse ratings of the datasheet; factor of the policy",
    asks=["chopped_duty"],
    cure="a larger resistor, a shorter pulse, or a part with a higher pulse rating",
)
def pulse_current(p: Any, n: Any) -> Any:
    """The chopped peak stays under the pulse rating, within its duty and its pulse width.

    Each as a share of its rating. A peak that the part carries without a break at the hottest air needs no
    pulse rating.
    """
    steady = keep(p.current_max / p.if_allowed, p.current_max, p.if_allowed)
    peak = p.current_max / (n.k_led_if * p.if_peak)
    return [
        (prefer(steady, peak), 1.0),
        (prefer(steady, n.chopped_duty / p.if_peak_duty), 1.0),
        (prefer(steady, n.pulse_width / p.if_peak_width), 1.0),
    ]


@requirement(
    "A",
    SOLVED + "; " + RATING,
    asks=["feed_rise"],
    cure="a clamp on the rail, a larger resistor, or a part with a higher if_max",
)
def transient_current(p: Any, n: Any) -> Any:
    """The current during a transient of the rail stays under the derated rating.

    The largest current, and the rise of the rail over the least resistance on top: the LED's own drop is taken not to
    rise. How long the transient lasts is not stated, so the continuous rating counts, not the pulse rating.
    """
    return p.current_transient, p.if_allowed


@requirement("A", SOLVED, asks=["least_current"], cure="a smaller resistor or a higher feed")
def least_current(p: Any, n: Any) -> Any:
    """The least current is not below what the board wants.

    Lowest feed, largest resistance, highest drop of the switch, highest bin in the coldest air.
    """
    return n.least_current, p.current_min


@requirement("cd", BINS, asks=["brightness_low"], cure="a smaller resistor or a brighter bin")
def brightness_low(p: Any, n: Any) -> Any:
    """The dimmest LED at the least current is as bright as wanted.

    Per LED, light at 25 °C; between stated currents on a log-log scale, beyond them along the relative curve. Beyond
    that no less than at the last point, up to the rated current; missing where that is not enough.
    """
    return n.brightness_low, p.proved_low


@requirement("cd", BINS, asks=["brightness_high"], cure="a larger resistor or a dimmer bin")
def brightness_high(p: Any, n: Any) -> Any:
    """The brightest LED at the largest current is no brighter than wanted.

    Per LED, light at 25 °C, at the largest current, which a hot junction draws; more light in the cold is not
    counted. Beyond the last point no more than in proportion to the current, where the curve is no steeper there, and
    below the first no more than at it; missing where that is too much.
    """
    return p.proved_high, n.brightness_high


@requirement(
    "cd",
    BINS + "; light against temperature of the datasheet or assumed by the policy",
    asks=["brightness_low"],
    cure="a smaller resistor, cooler air, a brighter bin or a part whose light falls less",
)
def brightness_hot(p: Any, n: Any) -> Any:
    """The dimmest LED is still as bright as wanted in the hottest air.

    Least current there; the share of light left is read at its junction, at the next hotter stated row.
    """
    return n.brightness_low, p.proved_hot


@requirement(
    "m",
    "dominant wavelength bins of the datasheet",
    asks=["wavelength_low", "wavelength_high"],
    cure="a part, or a bin, of the wanted colour",
    discrete=True,
)
def colour(p: Any, n: Any) -> Any:
    """The dominant wavelength of every bin lies inside the wanted window."""
    return [
        (n.wavelength_low, p.dominant_wavelength_min),
        (p.dominant_wavelength_max, n.wavelength_high),
    ]


@requirement(
    "°",
    "viewing angle of the datasheet, between the half-intensity directions",
    asks=["angle_low", "angle_high"],
    cure="a part with another lens",
    discrete=True,
)
def viewing_angle(p: Any, n: Any) -> Any:
    """The viewing angle lies inside the wanted window."""
    return [(n.angle_low, p.viewing_angle), (p.viewing_angle, n.angle_high)]


@requirement(
    "",
    SOLVED,
    asks=["spread_limit"],
    cure="a higher feed with a larger resistor, a closer resistor, or narrower bins",
)
def current_spread(p: Any, n: Any) -> Any:
    """The largest current is no larger a multiple of the least than the board allows."""
    return p.current_max / p.current_min, n.spread_limit


@requirement(
    "W",
    "Joule's law; derating curve of the resistor (IEC 60115-1); factor of the policy",
    asks=["resistor_rating"],
    cure="a resistor of a higher power rating, a larger value, or a lower feed",
)
def resistor_power(p: Any, n: Any) -> Any:
    """The series resistor stays under its derated power at the hottest air.

    Largest current; r.m.s. where chopped; the rating falls in a straight line in warm air.
    """
    left = heat.resistor_rating(n.resistor_rating, n.resistor_full_power_to, n.resistor_no_power_at, n.ambient_max)
    return p.resistor_power_max, n.k_resistor_power * left


@requirement(
    "A",
    SOLVED + "; current limit of the drive output; factor of the policy",
    asks=["drive_feeds"],
    cure="a larger resistor, or a switch between drive and LED",
)
def drive_current(p: Any, n: Any) -> Any:
    """The largest current stays under the limit of the drive output.

    Beyond the current at which the drive's level is stated, with no source resistance, nothing is proven.
    """
    return p.current_max, keep(n.k_drive_current * n.pin_limit, p.current_max, n.level_holds_to)


@requirement(
    "V",
    "Kirchhoff on the node of its switch, off and at turn-off; " + RATING,
    asks=["reverse_voltage"],
    cure="a clamp with a lower drop, a diode in series with the LED, a feed that the node never exceeds, "
    "or a part with a higher vr_max",
)
def reverse_voltage(p: Any, n: Any) -> Any:
    """The reverse voltage stays under the derated rating.

    The highest voltage of the node that its switch pulls down, while off and at turn-off, less what its own feed
    then has at the least: the rail's lowest, nothing where that rail may be absent while another holds the node up,
    or the low level of a pin. A clamp across a load on its own rail leaves the drop of the clamp alone. In a string one
    LED may take it all.
    """
    never_reversed = keep(0.0 * n.reverse_voltage, n.reverse_voltage, 0.0 * n.reverse_voltage)
    return n.reverse_voltage, prefer(never_reversed, n.k_diode_vr * p.vr_max)


@requirement(
    "A",
    "leakage of the switch at its hottest junction, its gate or base as far from off as off-leakage counts it; Ohm's "
    "law on the low level of a drive, 0.8 V for each LED (common practice, no published source)",
    asks=["dark_current", "goes_off"],
    cure="a resistor beside the LED, a switch with less hot leakage, or a lower drive low level",
)
def off_glow(p: Any, n: Any) -> Any:
    """What flows through it while it is off is too little to see.

    What leaks through the hot switch and the clamps across it; on a drive output what the low level still sends through
    it, and where the output may float what that leaks, a pull-up in reset counted.
    """
    floating = per_time(n.drive_floats, assume(n.drive_leakage, n.assumed_drive_leakage))
    return [(n.leakage_hot, n.dark_current), (n.low_current, n.dark_current), (floating, n.dark_current)]


@requirement("K", HEAT_SOURCE, cure="a lower current, cooler air, more copper, or a lower theta_ja")
def junction_rise(p: Any, n: Any) -> Any:
    """The junction stays under its limit at the hottest air.

    Self-consistent: the bin that heats most at the largest current that a hot junction draws; all electrical
    power is taken as heat.
    Chopped, at the end of a pulse: a pulse of up to 1 ms as in a small die
    (40 K/W after 1 ms, common practice), and a longer one in full.
    """
    return p.tj_hot - n.ambient_max, p.rise_limit


add_footprint(role)
role.results = (
    "current_min",
    "current_typ",
    "current_max",
    "intensity_min",
    "intensity_typ",
    "intensity_max",
    "flux_min",
    "flux_typ",
    "flux_max",
    "resistor_power_max",
    "tj_hot",
)
