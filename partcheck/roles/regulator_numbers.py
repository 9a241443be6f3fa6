"""The numbers of a linear regulator: facts of the board, and what follows from a part in its place.

Corners: highest input with no drop in the feed for stress and heat; lowest input with every other current of
the feed (inrush and stall counted) for dropout; lowest output for heat, highest for dropout. The load is all
that may be on at once, inrush and stall counted as if they lasted, for a datasheet states no pulse rating of a
regulator. Each demand and capability is monotone in each input but the corners of an adjustable output, which
are bounds; tests/roles/test_regulator.py draws circuits at random inside the corners and none exceeds them.

A part is either fixed or adjustable, and the formulas may not branch: ``per_time(share, value)`` is zero, whatever
the value, where the share is zero, so the values that the other sort does not state are not asked for.
"""

from typing import Any

from partcheck.operations import keep, member, none_stated, per_time, prefer, smaller
from partcheck.physics import heat, regulators
from partcheck.points import greatest, least
from partcheck.roles.common import add_heat, new_role

role = new_role("regulator", "regulator", "Linear regulator")
fact, quantity = role.fact, role.quantity

fact("input_max", "V", "highest input voltage, with no drop in the feed")
fact("input_min", "V", "lowest input voltage, with every other current in its feed")
fact("input_transient", "V", "highest short input voltage")
fact("feed_resistance", "Ω", "largest resistance between the source and the input")
fact("load_current", "A", "largest current that the output rail feeds at once")
fact("least_load", "A", "least current that the output rail always feeds")
fact("accepts_low", "V", "lowest supply that the logic accepts")
fact("accepts_high", "V", "highest supply that the logic accepts")
fact("capacitor_min", "F", "least output capacitor fitted")
fact("capacitor_max", "F", "largest output capacitor fitted")
fact("esr_fitted_min", "Ω", "least series resistance of the output capacitor")
fact("esr_fitted_max", "Ω", "largest series resistance of the output capacitor")
fact("capacitor_unsaid", "F", "nothing, where the board states no output capacitor")
fact("esr_unsaid", "Ω", "nothing, where the board states no series resistance of the output capacitor")
fact("upper_min", "Ω", "least resistor from output to adjust pin")
fact("upper_typ", "Ω", "nominal resistor from output to adjust pin")
fact("upper_max", "Ω", "largest resistor from output to adjust pin")
fact("lower_min", "Ω", "least resistor from adjust pin to ground")
fact("lower_typ", "Ω", "nominal resistor from adjust pin to ground")
fact("lower_max", "Ω", "largest resistor from adjust pin to ground")
fact("battery", "A", "largest quiescent current that the battery allows")
fact("other_quiescent", "A", "what other regulators on that battery take for themselves")
fact("back_feed", "V", "how far the output may be above the input")
fact("output_wanted", "", "fixed, or adjustable where the board has the two resistors")

add_heat(role, "k_regulator_power")


# ---- the output voltage


@quantity("")
def fixed_output(p: Any, n: Any) -> Any:
    """One for a fixed part, zero for an adjustable one."""
    return member(p.output, frozenset({"fixed"}))


@quantity("")
def adjustable_output(p: Any, n: Any) -> Any:
    """One for an adjustable part, zero for a fixed one."""
    return member(p.output, frozenset({"adjustable"}))


@quantity("")
def floating(p: Any, n: Any) -> Any:
    """One for an adjustable part whose reference stands on the output, else zero."""
    return per_time(p.adjustable_output, member(p.v_ref_from, frozenset({"output"})))


def _by_resistor(p: Any, upper: Any, lower: Any, across: bool) -> Any:
    """The resistor on which the reference stands, or the other one."""
    share = p.floating if across else 1.0 - p.floating
    return per_time(share, upper) + per_time(1.0 - share, lower)


@quantity("Ω")
def across_min(p: Any, n: Any) -> Any:
    """Least resistor on which the reference stands: the lower one, of a floating part the upper one."""
    return _by_resistor(p, n.upper_min, n.lower_min, True)


@quantity("Ω")
def across_max(p: Any, n: Any) -> Any:
    """Largest resistor on which the reference stands."""
    return _by_resistor(p, n.upper_max, n.lower_max, True)


@quantity("Ω")
def other_min(p: Any, n: Any) -> Any:
    """Least of the other resistor."""
    return _by_resistor(p, n.upper_min, n.lower_min, False)


@quantity("Ω")
def other_max(p: Any, n: Any) -> Any:
    """Largest of the other resistor."""
    return _by_resistor(p, n.upper_max, n.lower_max, False)


@quantity("V")
def load_change(p: Any, n: Any) -> Any:
    """Output change over the load that v_out or v_ref does not hold already; none where none is stated."""
    return prefer(p.load_regulation_max, none_stated(p.load_regulation_max))


@quantity("V")
def adjusted_high(p: Any, n: Any) -> Any:
    """Highest output of an adjustable part: reference, resistors and adjust pin's current at their worst."""
    set_by = regulators.adjusted_output(p.v_ref_max + p.load_change, p.across_min, p.other_max)
    return set_by + p.i_adj_max * p.other_max


@quantity("V")
def adjusted_low(p: Any, n: Any) -> Any:
    """Lowest output of an adjustable part.

    The adjust pin's current always raises the output of a floating part; of the others its sign is not stated, so it
    lowers the output here.
    """
    set_by = regulators.adjusted_output(p.v_ref_min - p.load_change, p.across_max, p.other_min)
    return set_by - (1.0 - p.floating) * p.i_adj_max * p.other_max


@quantity("V")
def adjusted_typ(p: Any, n: Any) -> Any:
    """Typical output of an adjustable part, without the adjust pin's current."""
    across = _by_resistor(p, n.upper_typ, n.lower_typ, True)
    return regulators.adjusted_output(p.v_ref_typ, across, _by_resistor(p, n.upper_typ, n.lower_typ, False))


@quantity("V")
def v_out_high(p: Any, n: Any) -> Any:
    """Highest output voltage, over line, load, temperature and resistors."""
    fixed = per_time(p.fixed_output, p.v_out_max + p.load_change)
    return fixed + per_time(p.adjustable_output, p.adjusted_high)


@quantity("V")
def v_out_low(p: Any, n: Any) -> Any:
    """Lowest output voltage while it regulates, over line, load, temperature and resistors."""
    fixed = per_time(p.fixed_output, p.v_out_min - p.load_change)
    return fixed + per_time(p.adjustable_output, p.adjusted_low)


@quantity("V")
def v_out_nominal(p: Any, n: Any) -> Any:
    """Typical output voltage."""
    return per_time(p.fixed_output, p.v_out_typ) + per_time(p.adjustable_output, p.adjusted_typ)


# ---- currents


@quantity("A")
def divider_current(p: Any, n: Any) -> Any:
    """Largest current through the resistors that set the output; it is part of the load."""
    return per_time(p.adjustable_output, (p.v_ref_max + p.load_change) / p.across_min + p.i_adj_max)


@quantity("A")
def divider_least(p: Any, n: Any) -> Any:
    """Least current through the resistors that set the output."""
    return per_time(p.adjustable_output, (p.v_ref_min - p.load_change) / p.across_max - p.i_adj_max)


@quantity("A")
def load_total(p: Any, n: Any) -> Any:
    """Largest output current: all that the rail feeds at once, and the resistors that set the output."""
    return n.load_current + p.divider_current


@quantity("A")
def iq_largest(p: Any, n: Any) -> Any:
    """Largest current that it takes for itself; a floating part has no ground pin, only the adjust pin."""
    stated = per_time(p.floating, p.i_adj_max) + per_time(1.0 - p.floating, p.iq_max)
    return prefer(p.iq_max, stated)


# ---- heat and what is left


@quantity("W")
def dissipation(p: Any, n: Any) -> Any:
    """Heat that it gives off: highest input, lowest output, largest load and quiescent current."""
    return regulators.regulator_heat(n.input_max, p.v_out_low, p.load_total, p.iq_largest)


@quantity("°C")
def tj_hot(p: Any, n: Any) -> Any:
    """Hottest junction."""
    return heat.junction(n.ambient_max, p.theta, p.dissipation)


@quantity("W")
def heat_allowed(p: Any, n: Any) -> Any:
    """Heat that brings the junction to its limit."""
    return heat.power_allowed(n.ambient_max + p.rise_limit, n.ambient_max, p.theta)


@quantity("V")
def dropout_stated(p: Any, n: Any) -> Any:
    """Largest dropout at the next stated current at or above the load.

    Not between rows: of a bipolar pass transistor it rises steeply at first, above any chord.
    """
    return least(p.dropout, lambda row: keep(row.max, p.load_total, row.iout))


@quantity("V")
def output_lowest(p: Any, n: Any) -> Any:
    """Lowest output voltage: while it regulates, or what the dropout leaves of the lowest input."""
    return smaller(p.v_out_low, n.input_min - p.dropout_stated)


@quantity("A")
def current_by_rating(p: Any, n: Any) -> Any:
    """Output current that the rating allows."""
    return n.k_regulator_iout * p.iout_max


@quantity("A")
def current_by_heat(p: Any, n: Any) -> Any:
    """Output current at which the junction reaches its limit."""
    return regulators.current_by_heat(p.heat_allowed, n.input_max, p.v_out_low, p.iq_largest)


@quantity("A")
def current_by_dropout(p: Any, n: Any) -> Any:
    """Largest current with a stated dropout that the lowest input still covers; more current lowers the input."""

    def needed(row: Any) -> Any:
        sag = n.feed_resistance * (row.iout - p.load_total)
        return regulators.input_needed(p.v_out_high, row.max) + sag

    return greatest(p.dropout, lambda row: keep(row.iout, needed(row), n.input_min))


@quantity("A")
def current_left(p: Any, n: Any) -> Any:
    """Output current left over: the least of what rating, heat and dropout allow, less the load."""
    return smaller(smaller(p.current_by_rating, p.current_by_heat), p.current_by_dropout) - p.load_total


@quantity("V")
def input_highest(p: Any, n: Any) -> Any:
    """Highest input at which it stays cool with this load."""
    return regulators.input_by_heat(p.heat_allowed, p.v_out_low, p.load_total, p.iq_largest)
