"""The numbers of a low-side MOSFET switch: facts of the board, and what follows from a part in its place.

Corners: every input is taken at the end that is worse for the one requirement (highest rail, lowest coil
resistance, lowest or highest drive level, cold or hot threshold). Each demand and capability is monotone in
each of them; tests/roles/test_mosfet_switch.py draws circuits at random inside the corners and none exceeds them.
"""

import math
from typing import Any

from partcheck.operations import assume, keep, larger, none_stated, per_time, prefer, smaller
from partcheck.physics import coils, heat, switching
from partcheck.points import assume_row, greatest, least, with_point
from partcheck.roles import mosfet_channel as channel
from partcheck.roles import mosfet_edges as edges
from partcheck.roles.common import add_heat, larger_known, new_role
from partcheck.roles.off_state import add_off_state, add_undriven
from partcheck.roles.slow_edges import add_slow_edges, own_edge
from partcheck.roles.small_resistors import add_pulldown_power
from partcheck.roles.transient import add_chopping, add_starts

role = new_role("mosfet-switch", "mosfet", "Low-side MOSFET switch")
fact, need, quantity = role.fact, role.need, role.quantity

fact("rail_max", "V", "highest rail voltage at the load")
fact("load_current", "A", "largest continuous or stall current of the load")
fact("heat_current", "A", "largest current that lasts long enough to heat the part")
fact("least_current", "A", "least current of the load as far as it is known")
fact("edge_current", "A", "largest current of the switching edges that count")
fact("inrush_current", "A", "largest inrush or starting current")
fact("inrush_time", "s", "how long the inrush lasts")
fact("drain_peak", "V", "highest drain voltage while it switches")
fact("drain_clamped", "V", "highest drain voltage with the clamp conducting")
fact("coil_current", "A", "largest current of the coils when the switch opens")
fact("unclamped_inductance", "H", "inductance of the coils that nothing clamps")
fact("release_time", "s", "longest time in which a load that nothing clamps must let go")
fact("release_current", "A", "largest current from which it lets go")
fact("release_end", "A", "current at which it has certainly let go")
fact("release_inductance", "H", "its largest inductance")
fact("release_resistance", "Ω", "its least resistance")
fact("beside_resistance", "Ω", "least resistance of the loads beside it on the switch, which keep its current flowing")
fact("beside_inductance", "H", "largest inductance of those loads")
fact("beside_behind", "V", "how far their rail may lie below its own")
fact("stray_inductance", "H", "inductance of the cables that no clamp at the board takes")
fact("spike_current", "A", "largest current of those cables when the switch opens")
fact("spike_rate", "1/s", "how often it is switched off")
fact("line_peak", "V", "highest drain voltage to which those cables alone could drive it")
fact("avalanche_rate", "1/s", "how often a coil that nothing clamps is switched off")
fact("drive_high_min", "V", "lowest high level of the drive")
fact("drive_high_max", "V", "highest high level of the drive")
fact("drive_low_min", "V", "lowest low level of the drive")
fact("drive_low_max", "V", "highest low level of the drive")
fact("drive_edge", "s", "longest edge of the drive itself")
fact("source_min", "Ω", "least source resistance of the drive")
fact("source_max", "Ω", "largest source resistance of the drive")
fact("divider_series", "Ω", "largest resistance ahead of a pull-down on the gate")
fact("gate_resistor_min", "Ω", "least gate resistor")
fact("gate_resistor_max", "Ω", "largest gate resistor")
fact("pulldown_min", "Ω", "least pull-down resistor")
fact("pin_limit", "A", "largest current of the drive output")
fact("drive_other_peak", "A", "largest current of the same output elsewhere, other gates' peaks counted")
fact("drive_other_charge", "C", "largest charge of the other gates on the same output")
fact("usual_output", "F", "output capacitance of a MOSFET that states none, at most")
fact("little_rise", "K", "rise of a junction for which that is not asked")
fact("slow_gate", "Ω", "largest resistance ahead of the gate, where it is large")
fact("gate_room", "V", "gate voltage kept for the leakage of a gate behind a large resistance")
fact("gate_leakage_room", "V", "largest voltage that the leakage of such a gate may drop")
fact("lift", "V", "largest lift of the source above the drive's ground")
fact("off_lift", "V", "largest lift of the drive's low level above the source")
fact("noise", "V", "noise allowance on the low level")
fact("allowed_drop", "V", "largest drop that the load allows")
fact("off_leakage", "A", "largest current that the load may see while off")
fact("switch_frequency", "Hz", "how often it switches on and off, where edges count")
fact("recovered_charge", "C", "largest charge of the diodes beside it, drawn at each turn-on")
fact("edge_limit", "s", "longest edge allowed")
fact("edge_least", "s", "shortest edge allowed")
fact("edge_rail", "V", "lowest rail of a load that states the shortest edge allowed")
fact("hottest_mosfet", "°C", "a junction as hot as MOSFETs are rated for")
fact("threshold_current", "A", "largest drain current at which a threshold is stated")
fact("threshold_slope", "", "largest slope factor of a channel under its threshold")
fact("kelvin_voltage", "V/K", "thermal voltage per kelvin, k/q")
fact("polarity_wanted", "", "polarity that the circuit takes")


add_off_state(role)
add_undriven(role, "igss_max")
add_pulldown_power(role)


@need("V")
def gate_high_min(n: Any) -> Any:
    """Lowest gate-source voltage when driven on."""
    return switching.divided(n.drive_high_min, n.divider_series, n.pulldown_min) - n.lift - n.gate_room


@need("V")
def gate_low_max(n: Any) -> Any:
    """Highest gate-source voltage when driven off."""
    return n.drive_low_max + n.noise + n.off_lift + n.gate_room


add_heat(role, "k_mosfet_power")
add_chopping(role)
add_starts(role)
add_slow_edges(role)


@quantity("V/K")
def threshold_tempco(p: Any, n: Any) -> Any:
    """Threshold against temperature (negative)."""
    return assume(p.vgs_th_tempco, n.assumed_vgs_th_tempco)


@quantity("V")
def vgs_th_cold(p: Any, n: Any) -> Any:
    """Highest threshold, at the coldest junction; never taken lower than at 25 °C."""
    return p.vgs_th_max + p.threshold_tempco * (smaller(n.ambient_min, n.t25) - n.t25)


@quantity("V")
def vgs_th_hot(p: Any, n: Any) -> Any:
    """Lowest threshold, at the hottest junction; never taken higher than at 25 °C."""
    return threshold_at(p, n, p.tj_peak)


def threshold_at(p: Any, n: Any, tj: Any) -> Any:
    """Lowest threshold of a junction at a temperature; never taken higher than at 25 °C."""
    return p.vgs_th_min + p.threshold_tempco * (larger(tj, n.t25) - n.t25)


@quantity("Ω")
def rds_on_stated(p: Any, n: Any) -> Any:
    """Smallest stated largest on-resistance at a gate voltage not above the real one, 25 °C.

    Of the rows measured at no less than the load current, where there is one.
    """
    return channel.row_at(p, n, n.load_current).resistance


@quantity("V")
def rds_on_vgs(p: Any, n: Any) -> Any:
    """Gate voltage at which that on-resistance is stated."""
    return channel.row_at(p, n, n.load_current).vgs


@quantity("A")
def rds_on_id(p: Any, n: Any) -> Any:
    """Drain current at which that on-resistance was measured; 0 where it is not stated."""
    return channel.row_at(p, n, n.load_current).current


@quantity("s")
def edge_on(p: Any, n: Any) -> Any:
    """Longest turn-on edge: threshold-to-plateau and plateau charge at the highest plateau."""
    return edges.turn_on(p, n, n.load_current)


@quantity("s")
def edge_off(p: Any, n: Any) -> Any:
    """Longest turn-off edge: plateau charge at the lowest plateau, that of the least load current where it is small.

    Where the heat is not known, that of the hottest junction of all, which only proves: one too long proves nothing.
    """
    bound = _edge_off_at(p, n, p.vgs_th_hot_ceiling)
    return prefer(_edge_off_at(p, n, p.vgs_th_hot), keep(bound, bound, n.edge_limit))


def _edge_off_at(p: Any, n: Any, threshold: Any) -> Any:
    plateau = threshold + edges.swing(p, smaller(n.least_current / p.plateau_id, 1.0))
    return n.k_edge_margin_off * edges.charging(p, n, plateau - n.gate_low_max) + own_edge(n)


@quantity("V")
def vgs_th_hot_ceiling(p: Any, n: Any) -> Any:
    """Lowest threshold of a junction as hot as MOSFETs are rated for; the same for every rating."""
    return threshold_at(p, n, n.hottest_mosfet)


@quantity("Ω")
def gate_resistance_inside(p: Any, n: Any) -> Any:
    """Largest gate resistance inside the part."""
    return assume(p.rg_int_max, n.assumed_rg_int_spread * p.rg_int_typ)


@quantity("s")
def turn_off_time(p: Any, n: Any) -> Any:
    """Longest time from the drive's low level until the coil's current falls, from full on."""
    return edges.turn_off(p, n, n.least_current)


@quantity("s")
def turn_off_bound(p: Any, n: Any) -> Any:
    """No less than that time at any smaller current: how far a pulse of chopping is lengthened."""
    return edges.turn_off_bound(p, n)


@quantity("C")
def gate_charge(p: Any, n: Any) -> Any:
    """Largest charge that it moves through its drive at each edge; of one that states none what the policy assumes."""
    lowest = least(p.rds_on, lambda row: keep(row.vgs, row.max, row.max))
    return assume(edges.whole_charge(p, n, lowest), n.assumed_gate_capacitance * n.drive_high_max)


@quantity("J")
def avalanche_pulse(p: Any, n: Any) -> Any:
    """Energy of one turn-off that nothing clamps, at the rated breakdown: the coil's own and what the supply adds."""
    return _breaking_down(p, n, n.unclamped_inductance, n.coil_current)


def _breaking_down(p: Any, n: Any, inductance: Any, current: Any) -> Any:
    """Energy of one turn-off at the rated breakdown; without end, not unknown, where the supply alone is above it."""
    for_ever = keep(math.inf * coils.stored_energy(inductance, current), p.vds_max, n.drain_peak)
    return prefer(coils.avalanche_energy(inductance, current, p.vds_max, n.drain_peak), for_ever)


@quantity("J")
def stray_none(p: Any, n: Any) -> Any:
    """Nothing to absorb, where the wave on the cables stays under the derated rating; else missing."""
    nothing = 0.0 * n.stray_inductance * n.spike_current * n.spike_current
    return keep(nothing, n.line_peak, n.k_vds * p.vds_max)


@quantity("J")
def stray_pulse(p: Any, n: Any) -> Any:
    """Energy of one turn-off from the cables that no clamp at the board takes."""
    return prefer(p.stray_none, _breaking_down(p, n, n.stray_inductance, n.spike_current))


@quantity("W")
def stray_loss(p: Any, n: Any) -> Any:
    """Heat of cable energy that nothing clamps."""
    none = keep(0.0 * n.line_peak * n.spike_current, n.line_peak, n.k_vds * p.vds_max)
    return prefer(none, per_time(n.spike_rate, p.stray_pulse))


@quantity("s")
def release_longest(p: Any, n: Any) -> Any:
    """Longest time until a load that nothing clamps has let go: turn-off, then decay against the switch's rating."""
    opposing = p.vds_max - n.rail_max
    decay = coils.decay_time_beside(
        n.release_inductance,
        n.release_resistance,
        n.release_current,
        n.release_end,
        opposing,
        n.beside_resistance,
        n.beside_inductance,
        n.beside_behind,
    )
    return p.turn_off_time + decay


@quantity("W")
def avalanche_loss(p: Any, n: Any) -> Any:
    """Heat of coil energy that nothing clamps."""
    return per_time(n.avalanche_rate, p.avalanche_pulse)


@quantity("")
def rds_on_factors(p: Any, n: Any) -> Any:
    """On-resistance relative to 25 °C, by junction temperature."""
    stated = assume_row(p.rds_on_factor, "tj", 423.15, "max", n.assumed_rds_on_factor)
    return with_point(stated, "tj", 298.15, "max", 1.0)


@quantity("V")
def on_drop_cold(p: Any, n: Any) -> Any:
    """Drop of the switch at the load current in the coldest air, where the threshold is highest."""
    return channel.cold_drop(p, n, n.load_current, n.ambient_min)


@quantity("V")
def on_drop_hot(p: Any, n: Any) -> Any:
    """Largest drop of the switch at the load current: hottest junction, or coldest where the threshold leaves less."""
    return larger(channel.hot_drop(p, n, n.load_current, p.hot_factor), p.on_drop_cold)


@quantity("A")
def soa_allowed(p: Any, n: Any) -> Any:
    """Safe current of the inrush, 25 °C: all of it at the full rail; or its edge there, and the rest on."""

    def at(volts: Any, time: Any) -> Any:
        return greatest(p.soa, lambda row: keep(keep(row.max, time, row.pulse_width), volts, row.vds))

    whole = at(n.rail_max, n.inrush_time)
    hot = channel.hot_drop(p, n, n.inrush_current, p.carrying_factor)
    drop = larger(hot, channel.cold_drop(p, n, n.inrush_current, n.ambient_min))
    edge = edges.turn_on(p, n, n.inrush_current)
    split = smaller(at(n.rail_max, edge), at(drop, n.inrush_time))
    return larger_known(whole, split)


@quantity("A")
def id_allowed(p: Any, n: Any) -> Any:
    """Drain current rating at the temperature reached: air for ratings against air, the junction for the case."""

    def at(row: Any) -> Any:
        return row.reference * n.ambient_max + (1.0 - row.reference) * p.tj_case

    def of(row: Any) -> Any:
        against_air = keep(keep(row.max, n.ambient_max, row.temperature), 1.0, row.reference)
        return prefer(against_air, keep(row.max, p.tj_case, row.temperature))

    stated = greatest(p.id_max, of)
    by_law = greatest(p.id_max, lambda row: heat.square_root_law(row.max, p.tj_max, at(row), row.temperature))
    return assume(stated, by_law * n.assumed_square_root_law)


def entered(p: Any, value: Any) -> Any:
    """A value that stands for what a part does not state: of one whose drain rating is not known either, nothing is."""
    return keep(value, p.vds_max, p.vds_max)


@quantity("J")
def avalanche_allowed(p: Any, n: Any) -> Any:
    """Energy of each of many avalanche pulses: the repetitive rating, else, where assumed, the single-pulse one.

    A single-pulse rating is brought to the hot start by the maker's curve, else by the square of the temperature
    left; the repetitive one, which makers state for 25 °C or leave to the junction's limit, by the temperature left. A
    part that states neither has no avalanche ability: zero.
    """
    share = larger(p.avalanche_factor, 0.0)  # squared below: a junction beyond its limit leaves nothing
    curve = greatest(p.eas_factor, lambda row: keep(row.max, p.tj_peak, row.tj))
    single = p.eas * prefer(curve, share * share) * n.assumed_eas_repeats
    return prefer(p.ear * share, prefer(single, entered(p, none_stated(p.eas))))


@quantity("A")
def avalanche_current_allowed(p: Any, n: Any) -> Any:
    """Avalanche current rating; zero for a part without any avalanche rating."""
    without = entered(p, none_stated(prefer(p.ear, p.eas)))
    return prefer(p.ias, prefer(without, p.ias))  # the last names what is missing
