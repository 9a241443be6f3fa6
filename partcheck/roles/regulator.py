"""Linear regulator: what a board demands of the part that makes its logic supply; numbers in ``regulator_numbers``."""

from typing import Any

from partcheck.operations import assume, member, none_stated, per_time, prefer
from partcheck.physics import heat, regulators
from partcheck.roles.common import HEAT_SOURCE, add_footprint
from partcheck.roles.regulator_numbers import role

requirement = role.requirement

RATING = "absolute maximum ratings; factor of the policy"
STABILITY = "output capacitor and ESR window that the datasheet states for stability"
CAPACITOR_CURE = "an output capacitor inside the part's window, or another part"


@requirement("V", RATING, cure="a lower input rail or a part with a higher vin_max")
def input_voltage(p: Any, n: Any) -> Any:
    """The highest input stays under the derated rating.

    Highest voltage of the input rail with nothing lost in the feed.
    """
    return n.input_max, n.k_regulator_vin * p.vin_max


@requirement("V", RATING, asks=["input_transient"], cure="a clamp on the input, or a part with a higher vin_transient")
def input_transient(p: Any, n: Any) -> Any:
    """The highest short input voltage stays under the derated rating.

    The rating for a short time; a part that states none has only its continuous one.
    """
    return n.input_transient, n.k_regulator_vin * prefer(p.vin_transient, p.vin_max)


@requirement(
    "V",
    "definition of the dropout voltage; Franco, Example 11.9, p. 520",
    cure="a higher or stiffer input, a lower load, or a part with less dropout",
)
def dropout(p: Any, n: Any) -> Any:
    """The lowest input still covers the highest output and the dropout.

    Input at the regulator after protection diode and hot feed, with every other current of that feed, inrush and stall
    counted. Largest dropout at the next stated current at or above the load; a typical one proves nothing.
    """
    return regulators.input_needed(p.v_out_high, p.dropout_stated), n.input_min


@requirement("A", RATING, cure="a lower load on the rail, or a part with a higher iout_max")
def output_current(p: Any, n: Any) -> Any:
    """All that the rail feeds at once stays under the derated output current.

    Logic, LEDs, base and gate currents, loads with inrush and stall, each at its largest.
    """
    return p.load_total, p.current_by_rating


@requirement(
    "A",
    "minimum load current stated by the datasheet",
    cure="a bleeder resistor on the output, smaller setting resistors, or a part with a smaller iout_min",
)
def minimum_load(p: Any, n: Any) -> Any:
    """What the rail always draws is enough for the part to regulate.

    Least logic current, indicators that are always lit, and the setting resistors. Logic of no stated current may draw
    none. A fixed part that states no minimum has none; an adjustable part usually has one, so it must be stated there.
    """
    stated = prefer(p.iout_min, per_time(p.adjustable_output, p.iout_min))
    return stated, n.least_load + p.divider_least


@requirement(
    "V",
    "total tolerance of the output against the supply range of the logic",
    asks=["accepts_low", "accepts_high"],
    cure="a part with a tighter output, or tighter setting resistors",
)
def output_tolerance(p: Any, n: Any) -> Any:
    """The output stays inside what the logic accepts.

    Lowest and highest output over line, load, temperature and resistors; load regulation on top where it is stated
    apart. Where the lowest input does not cover the dropout the output follows it down.
    """
    return [(n.accepts_low, p.output_lowest), (p.v_out_high, n.accepts_high)]


@requirement("K", HEAT_SOURCE, cure="a lower input, a lower load, more copper, cooler air, or a larger package")
def junction_rise(p: Any, n: Any) -> Any:
    """The junction stays under its limit at the hottest air.

    Heat (V_I - V_O)·I + V_I·I_Q at the highest input without any drop in the feed, the lowest output, and the largest
    load as if it lasted.
    """
    return heat.rise(p.theta, p.dissipation), p.rise_limit


def _window(least: Any, fitted_least: Any, fitted_most: Any, most: Any, unsaid: Any) -> Any:
    """Both ends of a window; on a board that does not say what is fitted an end that is not stated asks nothing."""

    def first(a: Any, b: Any) -> Any:
        return prefer(prefer(a, b), a)  # of two that are missing the first is the one to look up

    return [
        (first(least, unsaid), fitted_least),
        (first(fitted_most, none_stated(most) + unsaid), first(most, unsaid)),
    ]


@requirement("F", STABILITY, cure=CAPACITOR_CURE)
def output_capacitor(p: Any, n: Any) -> Any:
    """The fitted output capacitor lies inside the part's window.

    Least and largest of its tolerance. A smallest capacitor must be stated; a largest one that is not stated is
    only taken for none where the policy assumes that. Where the board states no capacitor, a part that states a window
    is not proved, and one that states none is not asked.
    """
    most = assume(p.cout_max, n.assumed_cout_max)
    (lower, (largest, _)) = _window(p.cout_min, n.capacitor_min, n.capacitor_max, p.cout_max, n.capacitor_unsaid)
    return [lower, (largest, prefer(most, n.capacitor_unsaid))]


@requirement("Ω", STABILITY, cure=CAPACITOR_CURE)
def output_esr(p: Any, n: Any) -> Any:
    """The series resistance of the output capacitor lies inside the part's window.

    Both ends must be stated; a part that is stable without any resistance states 0 Ω. Where the board states none, a
    part that states a window is not proved, and one that states none is not asked.
    """
    return _window(p.esr_min, n.esr_fitted_min, n.esr_fitted_max, p.esr_max, n.esr_unsaid)


@requirement(
    "A",
    "the board's own battery budget",
    asks=["battery"],
    cure="a part with a smaller iq, larger setting resistors, or a larger battery",
)
def quiescent(p: Any, n: Any) -> Any:
    """What it takes for itself stays under what the battery allows.

    Largest quiescent current and the setting resistors, with those of every other regulator on that battery.
    """
    return p.iq_largest + p.divider_current + n.other_quiescent, n.battery


@requirement(
    "V",
    "absolute maximum ratings",
    asks=["back_feed"],
    cure="a diode from output to input, or a part that withstands reverse voltage",
)
def back_feed(p: Any, n: Any) -> Any:
    """The output may stand above the input as far as the board lets it."""
    return n.back_feed, p.v_reverse_max


@requirement(
    "",
    "the circuit has, or has not, two resistors that set the output",
    discrete=True,
    cure="a part of the other sort, or resistors fitted or left out",
)
def output(p: Any, n: Any) -> Any:
    """The part is fixed or adjustable as the circuit takes it.

    Adjustable where the board states setting resistors, else fixed.
    """
    return 1.0, member(p.output, n.output_wanted)


add_footprint(role)
role.results = (
    "v_out_low",
    "v_out_nominal",
    "v_out_high",
    "current_by_rating",
    "current_by_heat",
    "current_by_dropout",
    "current_left",
    "input_highest",
    "tj_hot",
    "dissipation",
)
