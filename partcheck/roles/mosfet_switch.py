"""Low-side MOSFET switch: what a board demands of the transistor that pulls a load to ground.

Corners: every input is taken at the end that is worse for the one requirement (highest rail, lowest coil
resistance, lowest or highest drive level, cold or hot threshold). Each demand and capability is monotone in
each of them; tests/test_corners.py draws circuits at random inside the corners and none exceeds them.
"""

from typing import Any

from partcheck.operations import assume, keep, larger, member, none_stated, per_time, prefer, smaller, sqrt
from partcheck.physics import coils, heat, switching
from partcheck.points import LINEAR, assume_row, between, equilibrium, greatest, last_x, least, with_point
from partcheck.roles.common import HEAT_SOURCE, add_footprint, add_heat, new_role

role = new_role("mosfet-switch", "mosfet", "Low-side MOSFET switch")
fact, need, quantity, requirement = role.fact, role.need, role.quantity, role.requirement

RATING = "absolute maximum ratings, IEC 60747-8; factor of the policy"

fact("rail_max", "V", "highest rail voltage at the load")
fact("load_current", "A", "largest continuous or stall current of the load")
fact("heat_current", "A", "largest current that lasts long enough to heat the part")
fact("on_duty", "", "largest share of the time on")
fact("inrush_current", "A", "largest inrush or starting current")
fact("inrush_time", "s", "how long the inrush lasts")
fact("drain_peak", "V", "highest drain voltage while it switches")
fact("drain_clamped", "V", "highest drain voltage with the clamp conducting")
fact("coil_current", "A", "largest current of the coils when the switch opens")
fact("unclamped_inductance", "H", "inductance of the coils that nothing clamps")
fact("release_time", "s", "longest time in which a load that nothing clamps must let go")
fact("release_current", "A", "largest current from which it lets go")
fact("release_end", "A", "current at which it has surely let go")
fact("release_inductance", "H", "its largest inductance")
fact("release_resistance", "Ω", "its least resistance")
fact("stray_inductance", "H", "cable inductance outside the clamp")
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
fact("pulldown_max", "Ω", "largest pull-down resistor")
fact("drive_floats", "", "1 where the drive may be undriven")
fact("pin_limit", "A", "largest current of the drive output")
fact("drive_other_peak", "A", "largest current of the same output elsewhere, other gates' peaks counted")
fact("lift", "V", "largest lift of the source over the drive's ground")
fact("off_lift", "V", "largest lift of the drive's low level over the source")
fact("noise", "V", "noise allowance on the low level")
fact("allowed_drop", "V", "largest drop that the load allows")
fact("off_leakage", "A", "largest current that the load may see while off")
fact("switch_frequency", "Hz", "how often it switches on and off, where edges count")
fact("edge_limit", "s", "longest edge allowed")
fact("edge_least", "s", "shortest edge allowed")
fact("case_still", "s", "pulse in which a case hardly warms")
fact("polarity_wanted", "", "polarity that the circuit takes")


@need("V")
def gate_high_min(n: Any) -> Any:
    """Lowest gate-source voltage when driven on."""
    return switching.divided(n.drive_high_min, n.divider_series, n.pulldown_min) - n.lift


@need("V")
def gate_low_max(n: Any) -> Any:
    """Highest gate-source voltage when driven off."""
    return n.drive_low_max + n.noise + n.off_lift


add_heat(role, "k_mosfet_power")


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
    return p.vgs_th_min + p.threshold_tempco * (larger(p.tj_hot, n.t25) - n.t25)


@quantity("Ω")
def rds_on_stated(p: Any, n: Any) -> Any:
    """Smallest stated largest on-resistance at a gate voltage not above the real one, 25 °C."""
    return least(p.rds_on, lambda row: keep(row.max, row.vgs, n.gate_high_min))


@quantity("V")
def rds_on_vgs(p: Any, n: Any) -> Any:
    """Gate voltage at which that on-resistance is stated."""
    return least(p.rds_on, lambda row: keep(keep(row.vgs, row.max, p.rds_on_stated), row.vgs, n.gate_high_min))


@quantity("A")
def rds_on_id(p: Any, n: Any) -> Any:
    """Drain current at which that on-resistance was measured."""
    return greatest(p.rds_on, lambda row: keep(keep(row.id, row.max, p.rds_on_stated), row.vgs, n.gate_high_min))


@quantity("V")
def overdrive(p: Any, n: Any) -> Any:
    """Gate voltage of that row above the largest threshold, with which the channel narrows at high current."""
    return switching.overdrive(p.rds_on_vgs, p.vgs_th_max)


def _drop(p: Any, current: Any, factor: Any) -> Any:
    """Drop at a current: straight up to the test current of the row, the ohmic curve above it."""
    resistance = p.rds_on_stated * factor
    straight = keep(current * resistance, current, p.rds_on_id)
    return prefer(straight, switching.ohmic_drop(current, resistance, p.overdrive))


def _charging(p: Any, n: Any, volts: Any) -> Any:
    """Time to move the gate charges with ``volts`` over the gate resistance; missing where none are left."""
    resistance = n.source_max + n.gate_resistor_max + p.gate_resistance_inside
    return keep(switching.charge_time(p.qgd_max + p.qgs_max, resistance, volts), 0.0 * volts, volts)


@quantity("s")
def edge_on(p: Any, n: Any) -> Any:
    """Longest turn-on edge: threshold-to-plateau and plateau charge at the highest plateau."""
    swing = sqrt(larger(n.load_current / p.plateau_id, 1.0))
    plateau = p.vgs_th_cold + (p.v_plateau_typ - p.vgs_th_typ) * swing
    return n.k_edge_margin_on * _charging(p, n, n.gate_high_min - plateau) + n.drive_edge


@quantity("s")
def edge_off(p: Any, n: Any) -> Any:
    """Longest turn-off edge: plateau charge at the lowest plateau, that of the load current where it is small."""
    swing = sqrt(smaller(n.load_current / p.plateau_id, 1.0))
    plateau = p.vgs_th_hot_ceiling + (p.v_plateau_typ - p.vgs_th_typ) * swing
    return n.k_edge_margin_off * _charging(p, n, plateau - n.gate_low_max) + n.drive_edge


@quantity("V")
def vgs_th_hot_ceiling(p: Any, n: Any) -> Any:
    """Lowest threshold at the highest junction temperature allowed."""
    return p.vgs_th_min + p.threshold_tempco * (larger(p.tj_limit, n.t25) - n.t25)


@quantity("Ω")
def gate_resistance_inside(p: Any, n: Any) -> Any:
    """Largest gate resistance inside the part."""
    return assume(p.rg_int_max, n.assumed_rg_int_spread * p.rg_int_typ)


@quantity("W")
def edge_loss(p: Any, n: Any) -> Any:
    """Heat of the switching edges, where they come often enough to count.

    A coil that nothing clamps drives the transistor into breakdown, which may lie 30 % over the rating.
    """
    energy = switching.edge_energy(prefer(n.drain_clamped, 1.3 * p.vds_max), n.load_current, p.edge_on + p.edge_off)
    return per_time(n.switch_frequency, energy)


@quantity("J")
def avalanche_pulse(p: Any, n: Any) -> Any:
    """Energy of one turn-off that nothing clamps, at the rated breakdown: the coil's own and what the supply adds."""
    return coils.avalanche_energy(n.unclamped_inductance, n.coil_current, p.vds_max, n.drain_peak)


@quantity("s")
def release_longest(p: Any, n: Any) -> Any:
    """Longest time until a load that nothing clamps has let go, against the rated voltage of the switch."""
    opposing = p.vds_max - n.rail_max
    return coils.decay_time(n.release_inductance, n.release_resistance, n.release_current, n.release_end, opposing)


@quantity("W")
def avalanche_loss(p: Any, n: Any) -> Any:
    """Heat of coil energy that nothing clamps."""
    return per_time(n.avalanche_rate, p.avalanche_pulse)


@quantity("")
def rds_on_factors(p: Any, n: Any) -> Any:
    """On-resistance relative to 25 °C, by junction temperature."""
    stated = assume_row(p.rds_on_factor, "tj", 423.15, "max", n.assumed_rds_on_factor)
    return with_point(stated, "tj", 298.15, "max", 1.0)


@quantity("°C")
def tj_hot(p: Any, n: Any) -> Any:
    """Hottest junction: the temperature at which heat and resistance agree.

    On-resistance grows with temperature and heats itself; where heat outruns it there is no equilibrium.
    """

    def loss(factor: Any) -> Any:
        conduction = n.on_duty * n.heat_current * _drop(p, n.heat_current, larger(factor, 1.0))
        return conduction + p.edge_loss + p.avalanche_loss

    return equilibrium(p.rds_on_factors, "max", n.ambient_max, p.theta, p.tj_limit, loss)


@quantity("")
def hot_factor(p: Any, n: Any) -> Any:
    """On-resistance factor at the hottest junction."""
    return between(p.rds_on_factors, "tj", "max", larger(p.tj_hot, n.t25), LINEAR)


@quantity("°C")
def pulse_limit(p: Any, n: Any) -> Any:
    """Junction temperature that a pulse may reach: the highest allowed, and as far as on-resistance is stated."""
    return larger(smaller(p.tj_limit, last_x(p.rds_on_factors, "tj", "max")), n.t25)


@quantity("")
def limit_factor(p: Any, n: Any) -> Any:
    """On-resistance factor at that temperature, for the heat of a pulse."""
    return between(p.rds_on_factors, "tj", "max", p.pulse_limit, LINEAR)


@quantity("V")
def on_drop_hot(p: Any, n: Any) -> Any:
    """Drop of the switch at the load current and the hottest junction."""
    return _drop(p, n.load_current, p.hot_factor)


@quantity("")
def start_factor(p: Any, n: Any) -> Any:
    """Share of a pulse rating given at 25 °C that is left at the hottest junction."""
    return (p.tj_max - larger(p.tj_hot, n.t25)) / (p.tj_max - n.t25)


@quantity("A")
def id_allowed(p: Any, n: Any) -> Any:
    """Drain current rating at the temperature reached: air for ratings against air, the junction for the case."""

    def at(row: Any) -> Any:
        return row.reference * n.ambient_max + (1.0 - row.reference) * p.tj_hot

    def of(row: Any) -> Any:
        against_air = keep(keep(row.max, n.ambient_max, row.temperature), 1.0, row.reference)
        return prefer(against_air, keep(row.max, p.tj_hot, row.temperature))

    stated = greatest(p.id_max, of)
    by_law = greatest(p.id_max, lambda row: heat.square_root_law(row.max, p.tj_max, at(row), row.temperature))
    return assume(stated, by_law * n.assumed_square_root_law)


@quantity("A")
def off_leakage_hot(p: Any, n: Any) -> Any:
    """Largest leakage at the next stated junction temperature above the hottest."""
    return least(p.idss, lambda row: keep(row.max, p.tj_hot, row.tj))


@quantity("W")
def dissipation(p: Any, n: Any) -> Any:
    """Heat that it gives off."""
    return (p.tj_hot - n.ambient_max) / p.theta


@quantity("J")
def avalanche_allowed(p: Any, n: Any) -> Any:
    """Energy of each of many avalanche pulses: the repetitive rating, else, where assumed, the single-pulse one.

    A single-pulse rating is brought to the hot start by the maker's curve, else by the square of the temperature
    left. A part that states neither has no avalanche ability: zero.
    """
    share = larger(p.start_factor, 0.0)  # squared below: a junction beyond its limit leaves nothing
    curve = greatest(p.eas_factor, lambda row: keep(row.max, p.tj_hot, row.tj))
    single = p.eas * prefer(curve, share * share) * n.assumed_eas_repeats
    return prefer(p.ear, prefer(single, none_stated(p.eas)))


@quantity("A")
def avalanche_current_allowed(p: Any, n: Any) -> Any:
    """Avalanche current rating; zero for a part without any avalanche rating."""
    return prefer(p.ias, prefer(none_stated(prefer(p.ear, p.eas)), p.ias))  # the last names what is missing


@quantity("K/W")
def pulse_zth(p: Any, n: Any) -> Any:
    """Transient thermal impedance of the inrush: the next longer stated pulse, else the steady resistance.

    A row against the case counts only for pulses in which a case hardly warms.
    """

    def usable(row: Any) -> Any:
        return prefer(keep(row.max, n.inrush_time, n.case_still), keep(row.max, 1.0, row.reference))

    stated = least(p.zth, lambda row: keep(usable(row), n.inrush_time, row.pulse_width))
    return prefer(stated, p.theta)


@requirement(
    "V",
    "Kirchhoff at turn-off: rail plus clamp drop; " + RATING,
    asks=["drain_clamped"],
    cure="a clamp with a lower drop, a lower rail, or a part with a higher vds_max",
)
def drain_voltage(p: Any, n: Any) -> Any:
    """The drain peak at turn-off stays under the derated rating.

    Highest rail plus the clamp's highest drop at the full coil current; with no clamp, see avalanche.
    """
    return n.drain_clamped, n.k_vds * p.vds_max


@requirement("V", RATING, cure="a lower drive level or a part with a higher vgs_max")
def gate_voltage(p: Any, n: Any) -> Any:
    """The highest drive level stays under the derated gate rating.

    The highest high level, with no divider counted.
    """
    return n.drive_high_max, n.k_vgs * p.vgs_max


@requirement(
    "V",
    "on-resistance is guaranteed only at the gate voltages the datasheet states it for",
    cure="a higher drive level, a larger pull-down, or a part with on-resistance stated at a lower gate voltage",
)
def fully_on(p: Any, n: Any) -> Any:
    """The lowest gate voltage reaches one at which a largest on-resistance is stated.

    Demand: the lowest gate voltage with a stated maximum. Capability: what the drive offers at its lowest, after the
    pull-down divider and the lift of the shared return. A threshold proves nothing here.
    """
    return least(p.rds_on, lambda row: keep(row.vgs, row.max, row.max)), n.gate_high_min


@requirement(
    "V",
    "threshold is a leakage-level test (IEC 60747-8); overdrive of the policy",
    cure="a higher drive level or a part with a lower threshold",
)
def gate_threshold(p: Any, n: Any) -> Any:
    """The lowest gate voltage clears the largest threshold by the policy's overdrive.

    A cross-check at the coldest junction; passing it proves nothing without fully-on.
    """
    return p.vgs_th_cold + n.k_gate_overdrive, n.gate_high_min


@requirement(
    "V",
    "threshold falls with temperature (device physics); noise allowance of the board or policy",
    cure="a lower drive low level, less lift, or a part with a higher threshold",
)
def stays_off(p: Any, n: Any) -> Any:
    """The highest low level with noise stays under the smallest threshold of a hot junction."""
    return n.gate_low_max, p.vgs_th_hot


@requirement(
    "V",
    "Ohm's law on the gate leakage; device physics",
    asks=["drive_floats"],
    cure="a smaller pull-down resistor",
)
def gate_hold(p: Any, n: Any) -> Any:
    """With the drive floating the pull-down holds the gate under the smallest hot threshold."""
    return p.igss_max * (n.pulldown_max + n.gate_resistor_max), p.vgs_th_hot


@requirement("A", RATING, cure="a lower load current or a part with a higher id_max")
def drain_current(p: Any, n: Any) -> Any:
    """The largest load current stays under the derated rating at the temperature reached.

    A rating at a lower temperature than is reached is only a ceiling; it is carried over by the square-root law only
    where the policy assumes that.
    """
    return n.load_current, n.k_id * p.id_allowed


@requirement(
    "A",
    "idm and safe operating area brought to the start temperature; ohmic region of a square-law channel",
    asks=["inrush_current"],
    cure="a soft start, a series resistor, a higher gate voltage or a larger part",
)
def inrush(p: Any, n: Any) -> Any:
    """The inrush stays under the pulse ratings and under what the gate can carry.

    Pulse current at the next longer stated width; safe operating area at the next longer width and at the full rail;
    both times the share of temperature left at the hottest junction; and the current that the lowest gate voltage
    still carries in the ohmic region: hot by the on-resistance, cold by the threshold.
    """
    idm = greatest(p.idm, lambda row: keep(row.max, n.inrush_time, row.pulse_width))
    soa = greatest(p.soa, lambda row: keep(keep(row.max, n.inrush_time, row.pulse_width), n.rail_max, row.vds))
    hot = switching.ohmic_limit(p.overdrive, p.rds_on_stated * p.hot_factor)
    left = larger((p.rds_on_vgs - p.vgs_th_cold) / p.overdrive, 0.0)
    cold = switching.ohmic_limit(p.overdrive, p.rds_on_stated) * left * left
    return [
        (n.inrush_current, n.k_id * idm * p.start_factor),
        (n.inrush_current, n.k_id * soa * p.start_factor),
        (n.inrush_current, smaller(hot, cold)),
    ]


@requirement(
    "V",
    "Ohm's law with the hot on-resistance",
    asks=["allowed_drop"],
    cure="a lower load current, a higher gate voltage, or a part with a lower on-resistance",
)
def on_drop(p: Any, n: Any) -> Any:
    """The drop of the hot switch stays under what the load allows.

    Stated largest on-resistance at a gate voltage not above the real one, times the factor at the junction temperature
    it causes; above the test current of that row the channel narrows.
    """
    return p.on_drop_hot, n.allowed_drop


@requirement("K", HEAT_SOURCE, cure="a lower current, more copper, cooler air, or a part with less loss")
def junction_rise(p: Any, n: Any) -> Any:
    """The junction stays under its limit at the hottest air.

    Self-consistent: conduction at the hot on-resistance, edges, and avalanche; thermal runaway where heat outruns it.
    """
    return p.tj_hot - n.ambient_max, p.rise_limit


@requirement(
    "K",
    "pulse heating dT = P Zth (JESD51-14); limits: absolute maximum ratings",
    asks=["inrush_current"],
    cure="a shorter or smaller inrush, or a larger part",
)
def pulse_rise(p: Any, n: Any) -> Any:
    """The junction survives the inrush or stall on top of its steady heat."""
    drop = _drop(p, n.inrush_current, p.limit_factor)
    heating = heat.pulse_rise(n.inrush_current * drop, p.pulse_zth)
    return p.tj_hot - n.ambient_max + heating, smaller(p.pulse_limit, p.tj_limit) - n.ambient_max


@requirement(
    "J",
    "unclamped inductive switching, E = 1/2 L I^2 BV/(BV - V) (JESD24-5); repetitive rating",
    asks=["unclamped_inductance"],
    cure="a flyback diode or another clamp",
)
def avalanche_energy(p: Any, n: Any) -> Any:
    """What nothing clamps, the switch survives at every turn-off.

    Rated breakdown voltage; the repetitive energy rating. A single-pulse rating counts only where the policy assumes
    it, at the hot start. No avalanche rating at all: no ability.
    """
    return p.avalanche_pulse, n.k_avalanche * p.avalanche_allowed


@requirement(
    "A",
    "avalanche current rating",
    asks=["unclamped_inductance"],
    cure="a flyback diode or another clamp",
)
def avalanche_current(p: Any, n: Any) -> Any:
    """The current that nothing clamps stays under the avalanche current rating."""
    return n.coil_current, n.k_avalanche * p.avalanche_current_allowed


@requirement(
    "s",
    "solution of L di/dt + R i + V = 0 (derivation)",
    asks=["release_time"],
    cure="a part with a higher vds_max, a lower rail, or a load that needs not let go so soon",
)
def release_time(p: Any, n: Any) -> Any:
    """What nothing clamps lets go within the time allowed.

    Cold winding at its least resistance, most inductance, highest rail, and the rated voltage of the switch, where
    it breaks down at the earliest, less the rail.
    """
    return p.release_longest, n.release_time


@requirement(
    "J",
    "unclamped inductive switching of the cable, E = 1/2 L I^2 BV/(BV - V); repetitive rating",
    asks=["stray_inductance"],
    cure="the clamp at the board instead of at the load, or a second clamp at the board",
)
def stray_spike(p: Any, n: Any) -> Any:
    """The cable inductance outside the clamp is absorbed at every turn-off."""
    pulse = coils.avalanche_energy(n.stray_inductance, n.load_current, p.vds_max, n.drain_peak)
    return pulse, n.k_avalanche * p.avalanche_allowed


@requirement(
    "A",
    "avalanche current rating",
    asks=["stray_inductance"],
    cure="the clamp at the board instead of at the load, or a second clamp at the board",
)
def stray_current(p: Any, n: Any) -> Any:
    """The current of that cable inductance stays under the avalanche current rating."""
    return n.load_current, n.k_avalanche * p.avalanche_current_allowed


@requirement("A", "leakage rating at a hot junction", asks=["off_leakage"], cure="a part with less hot leakage")
def off_leakage(p: Any, n: Any) -> Any:
    """What leaks through the hot switch stays under what the load may see while off.

    Leakage at the next stated junction temperature above the hottest; it is read at the rated voltage.
    """
    return p.off_leakage_hot, n.off_leakage


@requirement(
    "s",
    "gate charge through the gate resistance, with the margin of the policy (simulated)",
    asks=["edge_limit"],
    cure="a smaller gate resistor or a part with less gate charge",
)
def edge_time(p: Any, n: Any) -> Any:
    """The slowest edge stays under what the chopping or the board allows."""
    return larger(p.edge_on, p.edge_off), n.edge_limit


@requirement(
    "s",
    "gate charge through the least gate resistance",
    asks=["edge_least"],
    cure="a larger gate resistor",
)
def fastest_edge(p: Any, n: Any) -> Any:
    """The fastest edge is not shorter than the board allows.

    Least plateau charge through the least resistance at the largest drive swing; resistance inside the part counts only
    where a minimum is stated.
    """
    inside = prefer(p.rg_int_min, 0.0 * n.gate_resistor_min)
    resistance = n.gate_resistor_min + n.source_min + inside
    swing = n.drive_high_max - n.drive_low_min
    return n.edge_least, switching.charge_time(p.qgd_min, resistance, swing)


@requirement(
    "A",
    "Ohm's law; current limit of the drive output",
    asks=["pin_limit"],
    cure="a larger gate resistor",
)
def gate_peak(p: Any, n: Any) -> Any:
    """The gate current peak stays under the limit of the drive output.

    Highest high level less lowest low level over the least resistances; the resistance inside the part counts only
    where a minimum is stated. Whatever else hangs on the same output is added.
    """
    inside = prefer(p.rg_int_min, 0.0 * n.gate_resistor_min)
    swing = n.drive_high_max - n.drive_low_min
    own = swing / (n.gate_resistor_min + n.source_min + inside)
    return own + n.drive_other_peak, n.k_drive_current * n.pin_limit


@requirement("", "the circuit pulls a load to ground", cure="a part of the other polarity", discrete=True)
def polarity(p: Any, n: Any) -> Any:
    """The channel is of the polarity that the circuit takes."""
    return 1.0, member(p.polarity, n.polarity_wanted)


add_footprint(role)
role.results = ("gate_high_min", "rds_on_stated", "hot_factor", "on_drop_hot", "tj_hot", "dissipation")
