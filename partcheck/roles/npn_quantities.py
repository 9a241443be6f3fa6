"""NPN low-side sink: its facts, and what follows from a transistor in its place."""

import math
from typing import Any

from partcheck.operations import assume, keep, larger, per_time, prefer, smaller
from partcheck.physics import gain as bipolar
from partcheck.physics import heat, switching
from partcheck.points import LINEAR, assume_row, between, greatest, least, with_point
from partcheck.roles import npn_off as off
from partcheck.roles import npn_saturation as saturation
from partcheck.roles.common import add_heat, new_role, smaller_known
from partcheck.roles.off_state import add_off_state, add_undriven
from partcheck.roles.slow_edges import add_slow_edges, own_edge
from partcheck.roles.small_resistors import add_base_power
from partcheck.roles.transient import add_chopping, add_starts, with_starts

role = new_role("npn-sink", "bjt", "NPN low-side sink")
fact, need, quantity = role.fact, role.need, role.quantity

COLD, ROOM, HOT = 218.15, 298.15, 398.15
"""K: −55 °C, 25 °C and 125 °C, between which the policy's gain factors run straight."""

fact("rail_max", "V", "highest rail voltage at the load")
fact("load_current", "A", "largest continuous or stall current of the load")
fact("heat_current", "A", "largest current that lasts long enough to heat the part")
fact("edge_current", "A", "largest current of the switching edges that count")
fact("inrush_current", "A", "largest inrush or starting current")
fact("inrush_time", "s", "how long the inrush lasts")
fact("collector_peak", "V", "highest collector voltage, with the clamp conducting, or driven by a cable")
fact("clamped", "", "1 where a clamp takes every coil, 0 where one is left to the transistor")
fact("turnoff_voltage", "V", "collector voltage at which the coils' current is switched off")
fact("coil_current", "A", "largest current of the coils when the switch opens")
fact("drive_high_min", "V", "lowest high level of the drive")
fact("drive_high_max", "V", "highest high level of the drive")
fact("drive_low_max", "V", "highest low level of the drive")
fact("high_at", "A", "current up to which the high level is stated; 0 for an unloaded level")
fact("drive_other", "A", "largest current that the same output delivers elsewhere")
fact("source_min", "Ω", "least source resistance of the drive")
fact("source_max", "Ω", "largest source resistance of the drive")
fact("base_resistor_min", "Ω", "least base resistor")
fact("base_resistor_max", "Ω", "largest base resistor")
fact("base_emitter_min", "Ω", "least base-emitter resistor")
fact("base_emitter_max", "Ω", "largest base-emitter resistor")
fact("pin_limit", "A", "largest current of the drive output")
fact("lift", "V", "largest lift of the emitter above the drive's ground")
fact("off_lift", "V", "largest lift of the drive's low level above the emitter")
fact("noise", "V", "noise allowance on the low level")
fact("allowed_drop", "V", "largest drop that the load allows")
fact("off_leakage", "A", "largest current that the load may see while off")
fact("off_current", "A", "collector current at which the load counts as off")
fact("switch_frequency", "Hz", "how often it switches on and off, where edges count")
fact("recovered_charge", "C", "largest charge of the diodes beside it, drawn at each turn-on")
fact("switching_time", "s", "both edges of a transistor that its base resistor turns off")
fact("least_switching_time", "s", "the shortest edge of the transistor")
fact("drive_edge", "s", "rise and fall time of the drive itself")
fact("edge_limit", "s", "longest switching edge allowed")
fact("edge_least", "s", "shortest switching edge allowed")
fact("base_reverse", "V", "largest reverse voltage across base and emitter, with the drive low")
fact("vbe_tempco", "V/K", "by how much a base-emitter voltage falls per kelvin")
fact("kelvin_voltage", "V/K", "thermal voltage per kelvin, k/q")
fact("band_gap", "V", "largest band gap of silicon, by which a junction's current grows with temperature")
fact("polarity_wanted", "", "polarity that the circuit takes")


add_off_state(role)
add_undriven(role, "icbo_hot")
add_base_power(role)


@need("V")
def base_high_min(n: Any) -> Any:
    """Lowest high level over the emitter."""
    return n.drive_high_min - n.lift


@need("A")
def high_holds(n: Any) -> Any:
    """Current into this base up to which the lowest high level surely holds."""
    return n.high_at - n.drive_other


@need("V")
def low_max(n: Any) -> Any:
    """Highest low level over the emitter, ahead of the base resistor."""
    return n.drive_low_max + n.noise + n.off_lift


@need("°C")
def coldest(n: Any) -> Any:
    """Coldest junction, just switched on; never taken warmer than 25 °C."""
    return smaller(n.ambient_min, n.t25)


add_heat(role, "k_bjt_power")
add_chopping(role)
add_starts(role)
add_slow_edges(role)


# ---- the base circuit


def _vbe_cold(n: Any, row: Any) -> Any:
    return bipolar.junction_voltage(row.max, n.vbe_tempco, n.coldest, n.t25)


def base_least(p: Any, n: Any, current: Any) -> Any:
    """Base current that is sure while the collector carries ``current``.

    Under the base current of a row its voltage is not exceeded; where the circuit gives more than that, the
    row's own base current is still sure.
    """

    def of(row: Any) -> Any:
        vbe = _vbe_cold(n, row)
        driven = bipolar.driven_current(n.base_high_min, vbe, n.base_resistor_max, n.source_max, n.high_holds)
        return keep(smaller(driven - vbe / n.base_emitter_min, row.ib), current, row.ic)

    return greatest(p.vbe_sat, of)


@quantity("A")
def base_current_min(p: Any, n: Any) -> Any:
    """Least base current while it carries the load: lowest drive, largest resistors, cold base-emitter voltage."""
    return base_least(p, n, n.load_current)


def _base_most(n: Any, vbe: Any) -> Any:
    return bipolar.driven_current(n.drive_high_max, vbe, n.base_resistor_min, n.source_min, n.high_at)


@quantity("V")
def vbe_on_hot(p: Any, n: Any) -> Any:
    """Least base-emitter voltage while driven: hottest junction, no more current than the base's own; else 0 V.

    With the load missing only the base current passes the emitter, so the stated row is brought down to it.
    """

    def of(row: Any) -> Any:
        return _vbe_at(p, n, row, p.base_current_min)

    return prefer(larger(greatest(p.vbe_on, of), 0.0 * n.drive_high_max), 0.0 * n.drive_high_max)


def _vbe_at(p: Any, n: Any, row: Any, current: Any) -> Any:
    """A stated least base-emitter voltage brought to the hottest junction and down to a smaller current."""
    hottest = larger(p.tj_peak, n.t25)
    vt = n.kelvin_voltage * hottest
    carried = smaller(bipolar.junction_voltage_at_current(row.min, row.ic, current, vt), row.min)
    return bipolar.junction_voltage(carried, n.vbe_tempco, hottest, n.t25)


def base_loss_at(p: Any, n: Any, current: Any) -> Any:
    """Largest heat of the base while the collector carries a current: a voltage of a row, and what it leaves.

    A row counts that has no less of either current: were the true voltage higher, less than the row's base current
    would flow. Heat rises with the voltage up to half of the drive's level, where it is V²/4R, which holds without
    any row. A junction in the hottest air is no colder than that, so no more is added for a colder one.
    """
    warm = smaller(n.ambient_max, n.t25)

    def of(row: Any) -> Any:
        vbe = bipolar.junction_voltage(row.max, n.vbe_tempco, warm, n.t25)
        return keep(keep(vbe, current, row.ic), _base_most(n, vbe), row.ib)

    stated = smaller(least(p.vbe_sat, of), n.drive_high_max / 2)
    through = n.drive_high_max * n.drive_high_max / (4 * n.base_resistor_min)
    return prefer(smaller(stated * _base_most(n, stated), through), through)


@quantity("W")
def base_loss(p: Any, n: Any) -> Any:
    """Largest heat of the base while it carries what lasts."""
    return base_loss_at(p, n, n.heat_current)


@quantity("A")
def base_current_max(p: Any, n: Any) -> Any:
    """Largest base current: highest drive, least resistors, least base-emitter voltage, no share left to others.

    Of a part whose collector rating is not known, nothing is known of its base either.
    """
    return keep(_base_most(n, p.vbe_on_hot), p.vceo, p.vceo)


# ---- what it carries


@quantity("")
def cold_factor(p: Any, n: Any) -> Any:
    """Gain of the coldest junction relative to 25 °C."""
    stated = assume_row(p.hfe_factor, "tj", COLD, "min", n.assumed_hfe_factor)
    cold = between(with_point(stated, "tj", ROOM, "min", 1.0), "tj", "min", n.coldest, LINEAR)
    return prefer(keep(1.0, n.t25, n.ambient_min), cold)


@quantity("")
def hfe_cold(p: Any, n: Any) -> Any:
    """Least gain at the load current and the coldest junction."""
    return saturation.gain_at(p, n.load_current) * p.cold_factor


@quantity("")
def forced_gain(p: Any, n: Any) -> Any:
    """Gain that the circuit asks for: largest load current over least base current; none without base current."""
    ratio = bipolar.forced_gain(n.load_current, p.base_current_min)
    return keep(ratio, 0.0 * p.base_current_min, p.base_current_min)


def sat_drop_at(p: Any, n: Any, current: Any) -> Any:
    """Drop of the transistor at a current, 25 °C."""
    return saturation.drop(p, n, current, base_least(p, n, current))


@quantity("V")
def sat_drop(p: Any, n: Any) -> Any:
    """Drop of the transistor at the load current, 25 °C."""
    return sat_drop_at(p, n, n.load_current)


@quantity("V")
def sat_drop_lasting(p: Any, n: Any) -> Any:
    """Drop of the transistor at the current that lasts, 25 °C."""
    return sat_drop_at(p, n, n.heat_current)


@quantity("V")
def sat_drop_start(p: Any, n: Any) -> Any:
    """Drop of the transistor at the current of a start or stall, 25 °C."""
    return sat_drop_at(p, n, n.start_current)


# ---- heat


def _edges(n: Any, current: Any) -> Any:
    """Heat of the switching edges and of a diode's charge, where they come often enough to count."""
    edges = switching.edge_energy(n.collector_peak, current, n.switching_time + 2.0 * own_edge(n))
    return per_time(n.switch_frequency, edges + n.recovered_charge * n.rail_max)


@quantity("W")
def collector_lasting(p: Any, n: Any) -> Any:
    """Heat of the collector at 25 °C while it carries what lasts, chopping counted as far as the junction follows."""
    return p.on_share * n.heat_current * p.sat_drop_lasting


@quantity("W")
def collector_start(p: Any, n: Any) -> Any:
    """The same while a start or stall lasts."""
    return p.start_on_share * n.start_current * p.sat_drop_start


@quantity("W")
def other_lasting(p: Any, n: Any) -> Any:
    """Heat of the base and of the edges while it carries what lasts."""
    return p.on_share * p.base_loss + _edges(n, n.edge_current)


@quantity("W")
def other_start(p: Any, n: Any) -> Any:
    """The same while a start or stall lasts."""
    return p.start_on_share * base_loss_at(p, n, n.start_current) + _edges(n, n.start_current)


def _settled(p: Any, n: Any, share: Any) -> Any:
    """The temperature at which heat and saturation voltage agree, with a share of the rise that starts would reach.

    The saturation voltage grows in proportion to absolute temperature, as the thermal voltage does; base current and
    edges heat without growing. Infinite where the collector's heat at 25 °C leaves nothing of 25 °C, absolute.
    """
    collector = p.collector_lasting + per_time(share, p.collector_start - p.collector_lasting)
    other = p.other_lasting + per_time(share, p.other_start - p.other_lasting)
    room, without = n.t25 - p.theta * collector, heat.junction(n.ambient_max, p.theta, other)
    none = 0.0 * room
    return prefer(keep(without * n.t25 / room, none, room), keep(n.t25 * math.inf, room, none))


@quantity("°C")
def tj_hot(p: Any, n: Any) -> Any:
    """Hottest junction while it carries what lasts, its starts counted by their share of the time."""
    return _settled(p, n, n.start_share)


@quantity("°C")
def tj_peak(p: Any, n: Any) -> Any:
    """Hottest junction at any moment: at the end of a start or stall, from the hot steady state."""
    return with_starts(p, n, _settled(p, n, p.start_peak_share), p.tj_limit)


@quantity("V")
def on_drop_hot(p: Any, n: Any) -> Any:
    """Drop of the transistor at the load current and the hottest junction; the rail has no more to drop."""
    return smaller(p.sat_drop * larger(p.tj_peak, n.t25) / n.t25, n.rail_max)


@quantity("W")
def dissipation(p: Any, n: Any) -> Any:
    """Heat that it gives off: what warms it, and all the heat of a start that lasts long."""
    long = p.collector_start * p.tj_peak / n.t25 + p.other_start
    return larger((p.tj_hot - n.ambient_max) / p.theta, per_time(n.long_start, long))


# ---- off


@quantity("s")
def turn_off_time(p: Any, n: Any) -> Any:
    """Longest time from the drive's low level until the coil's current falls: storage of a saturated transistor."""
    return n.switching_time


@quantity("A")
def icbo_hot(p: Any, n: Any) -> Any:
    """Largest collector-base leakage at the hottest junction.

    At the next stated temperature above; or from one below, by the doubling that the policy assumes.
    """

    def risen(row: Any) -> Any:
        return keep(bipolar.leakage_at(row.max, row.tj, p.tj_peak, n.assumed_leakage_doubling), row.tj, p.tj_peak)

    stated = least(p.icbo, lambda row: keep(row.max, p.tj_peak, row.tj))
    by_rule = least(p.icbo, risen)
    return smaller_known(stated, by_rule)


@quantity("V")
def vbe_off(p: Any, n: Any) -> Any:
    """Base-emitter voltage under which the hottest transistor carries no more than counts as off.

    A stated least voltage brought down to that current and to the hottest junction.
    """
    stated = greatest(p.vbe_on, lambda row: _vbe_at(p, n, row, n.off_current))
    assumed = bipolar.junction_voltage(n.assumed_vbe_off, n.vbe_tempco, larger(p.tj_peak, n.t25), n.t25)
    return assume(stated, assumed)


@quantity("")
def hfe_hot(p: Any, n: Any) -> Any:
    """Largest stated gain, at the hottest junction."""
    stated = assume_row(p.hfe_factor, "tj", HOT, "max", n.assumed_hfe_hot_factor)
    hottest = larger(p.tj_peak, n.t25)
    factor = between(with_point(stated, "tj", ROOM, "max", 1.0), "tj", "max", hottest, LINEAR)
    return greatest(p.hfe, lambda row: row.max) * larger(factor, 1.0)


@quantity("A")
def off_leakage_hot(p: Any, n: Any) -> Any:
    """Largest current that passes while off: what its held base carries, at most the base leakage amplified."""
    return off.leakage(p, n)


@quantity("V")
def base_off(p: Any, n: Any) -> Any:
    """Highest base-emitter voltage with the drive low: its level with noise and leakage, divided."""
    return off.base_voltage(p, n)


# ---- the base resistor


@quantity("Ω")
def base_resistor_largest(p: Any, n: Any) -> Any:
    """Largest base resistor that meets gain with the policy's overdrive, its tolerance counted."""
    wanted = bipolar.base_needed(n.load_current, p.hfe_cold, n.k_gain_overdrive)

    def of(row: Any) -> Any:
        vbe = _vbe_cold(n, row)
        total = wanted + vbe / n.base_emitter_min
        made = bipolar.driven_resistor(n.base_high_min, vbe, total, n.source_max, n.high_holds)
        return keep(keep(made, n.load_current, row.ic), wanted, row.ib)

    return greatest(p.vbe_sat, of)


@quantity("Ω")
def base_resistor_least(p: Any, n: Any) -> Any:
    """Least base resistor that keeps base and drive output within their limits, its tolerance counted."""
    pin = n.k_drive_current * n.pin_limit - n.drive_other
    rating = n.k_ib * prefer(p.ib_max, p.base_shown)
    limit = smaller_known(rating, pin)
    return bipolar.driven_resistor(n.drive_high_max, p.vbe_on_hot, limit, n.source_min, n.high_at)


@quantity("A")
def base_shown(p: Any, n: Any) -> Any:
    """Largest base current at which the maker states saturation."""
    return greatest(p.vce_sat, lambda row: keep(row.ib, row.max, row.max))


@quantity("A")
def base_rating(p: Any, n: Any) -> Any:
    """Derated base current; where no rating is stated, what the maker puts into the base to state saturation.

    That test shows what the base carries, not its limit: beyond it nothing is proven, and nothing fails.
    """
    rated, shown = n.k_ib * p.ib_max, n.k_ib * p.base_shown
    return prefer(rated, prefer(keep(shown, p.base_current_max, shown), rated))  # the last names what is missing
