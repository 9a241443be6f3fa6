"""Low-side MOSFET switch: what a board demands of the transistor that pulls a load to ground.

Its numbers are in ``mosfet_numbers``.
"""

from typing import Any

from partcheck.operations import keep, larger, member, per_time, prefer, smaller
from partcheck.physics import heat, switching
from partcheck.points import greatest, least
from partcheck.roles import mosfet_channel as channel
from partcheck.roles import slow_edges
from partcheck.roles.common import HEAT_SOURCE, add_footprint
from partcheck.roles.mosfet_heat import conduction
from partcheck.roles.mosfet_numbers import entered
from partcheck.roles.mosfet_slow import role
from partcheck.roles.off_state import leaks_onto
from partcheck.roles.transient import with_starts

__all__ = ["role"]

requirement = role.requirement

RATING = "absolute maximum ratings, IEC 60747-8; factor of the policy"


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
    "Ohm's law on the leakage of gate and output; device physics",
    asks=["drive_floats"],
    cure="a smaller pull-down resistor",
)
def gate_hold(p: Any, n: Any) -> Any:
    """With the drive floating the pull-down holds the gate under the smallest hot threshold.

    What the gate, the floating output and other gates on it leak, through the largest pull-down; without one nothing
    holds it. A drive floats in reset unless the board states that it never does.
    """
    leaking = (p.igss_max + leaks_onto(n)) * n.hold_max
    return leaking + p.igss_max * n.gate_resistor_max, p.vgs_th_hot


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

    Pulse current at the next longer stated width; safe operating area at the next longer width; both times the share
    of temperature left at the hottest junction; and the current that the lowest gate voltage still carries in the
    ohmic region: hot by the on-resistance, cold by the threshold. Where it carries the inrush the drain is at the
    drop in that region, and at the full rail for the longest turn-on edge alone; else at the full rail all the time.
    """
    carried = channel.carried(p, n, n.inrush_current, p.carrying_factor, n.ambient_min)
    idm = greatest(p.idm, lambda row: keep(row.max, n.inrush_time, row.pulse_width))
    return [
        (n.inrush_current, n.k_id * idm * p.start_factor),
        (n.inrush_current, n.k_id * p.soa_allowed * p.start_factor),
        (n.inrush_current, carried),
    ]


@requirement(
    "V",
    "Ohm's law with the hot on-resistance",
    asks=["allowed_drop"],
    cure="a lower load current, a higher gate voltage, or a part with a lower on-resistance",
)
def on_drop(p: Any, n: Any) -> Any:
    """The drop of the switch stays under what the load allows, hot and cold.

    Stated largest on-resistance at a gate voltage not above the real one, measured at no less than the current, times
    the factor at the junction temperature it causes; above the test current of every row the channel narrows, and so
    it does in the coldest air, where the threshold is highest, if the gate voltage leaves less over it than the row's.
    """
    return p.on_drop_hot, n.allowed_drop


@requirement("K", HEAT_SOURCE, cure="a lower current, more copper, cooler air, or a part with less loss")
def junction_rise(p: Any, n: Any) -> Any:
    """The junction stays under its limit at the hottest air.

    Self-consistent: conduction at the hot on-resistance, edges, and avalanche; thermal runaway where heat outruns it.
    Chopped, at the end of a pulse: by the stated transient impedance, else a pulse of up to 1 ms as in a small die
    (40 K/W after 1 ms, common practice), and a longer one in full.
    """
    return p.tj_hot - n.ambient_max, p.rise_limit


@requirement(
    "K",
    "pulse heating dT = P Zth (JESD51-14); limits: absolute maximum ratings",
    asks=["inrush_current"],
    cure="a shorter or smaller inrush, or a larger part",
)
def pulse_rise(p: Any, n: Any) -> Any:
    """The junction survives the inrush or stall on top of its steady heat.

    Self-consistent, as far as the stated transient impedance lets it warm the junction; where none is stated one that
    would be harmless if it lasted is proved, and nothing else. Starts add up at the stated rate. And from 25 °C with
    the drop of the coldest, where the threshold is highest.
    """
    cold = conduction(p, n, n.start_current, p.hot_factor, n.ambient_min)
    heating = heat.pulse_rise(p.start_on_share * cold, p.start_peak_share * p.theta)
    from_cold = with_starts(p, n, smaller(p.tj_hot, n.t25) + heating, p.tj_limit)
    limit = p.tj_limit - n.ambient_max
    return [(p.tj_peak - n.ambient_max, limit), (from_cold - n.ambient_max, limit)]


@requirement(
    "J",
    "unclamped inductive switching, E = 1/2 L I^2 BV/(BV - V) (JESD24-5); repetitive rating",
    asks=["unclamped_inductance"],
    cure="a flyback diode or another clamp",
)
def avalanche_energy(p: Any, n: Any) -> Any:
    """The switch survives at every turn-off what nothing clamps.

    Rated breakdown voltage; the repetitive energy rating. A single-pulse rating counts only where the policy assumes
    it, at the hot start. No avalanche rating at all: no ability.
    """
    rated = prefer(p.ear, p.avalanche_allowed)  # as much as it is worth cold, where the junction is not known
    return [(p.avalanche_pulse, n.k_avalanche * p.avalanche_allowed), (p.avalanche_pulse, n.k_avalanche * rated)]


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
    cure="a part with a higher vds_max, a lower rail, or a load that need not let go so soon",
)
def release_time(p: Any, n: Any) -> Any:
    """What nothing clamps lets go within the time allowed.

    From the drive's low level: the gate's charge flows off, then the current decays. Cold winding at its least
    resistance, most inductance, highest rail, and the rated voltage of the switch, where it breaks down at the
    earliest, less the rail.
    """
    return p.release_longest, n.release_time


@requirement(
    "J",
    "unclamped inductive switching of the cable, E = 1/2 L I^2 BV/(BV - V); repetitive rating; wave of a line, "
    "I·Z0 with Z0 at most inductance per length times the speed of light (derivation)",
    asks=["stray_inductance"],
    cure="a clamp at the board, a lower current, a shorter cable, or a part with a higher vds_max or avalanche rating",
)
def stray_spike(p: Any, n: Any) -> Any:
    """What cables store that no clamp at the board takes is absorbed at every turn-off.

    Nothing has to be absorbed where the wave on the cable cannot reach the derated voltage rating, whatever the
    cable's capacitance. Else all of its energy at the rated breakdown, against the repetitive rating.
    """
    return p.stray_pulse, prefer(n.k_avalanche * p.avalanche_allowed, p.stray_none)


@requirement(
    "A",
    "avalanche current rating",
    asks=["stray_inductance"],
    cure="a clamp at the board, a lower current, or a part with a higher vds_max or avalanche rating",
)
def stray_current(p: Any, n: Any) -> Any:
    """The current of those cables stays under the avalanche current rating, where they drive it into breakdown."""
    none = keep(0.0 * n.spike_current, n.line_peak, n.k_vds * p.vds_max)
    return prefer(none, n.spike_current), prefer(n.k_avalanche * p.avalanche_current_allowed, none)


@requirement(
    "A",
    "leakage rating at a hot junction; weak inversion with a slope factor of 2 from 1 mA at the threshold: common "
    "practice, no published source",
    asks=["off_leakage"],
    cure="a part with less hot leakage or a higher threshold, a lower drive low level, or a smaller pull-down",
)
def off_leakage(p: Any, n: Any) -> Any:
    """What leaks through the hot switch stays under what the load may see while off.

    Leakage at the next stated junction temperature above the hottest; it is read at the rated voltage and no gate
    voltage. What the channel passes under the least hot threshold comes on top, with the gate at the highest low level
    with noise, or lifted by leakage where the drive may float; and what leaks through clamps across the switch.
    """
    return p.off_leakage_hot + n.clamp_leakage, n.off_leakage


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
    "V",
    "Ohm's law on the gate leakage; 50 mV and 5 kΩ are common practice, no published source",
    asks=["slow_gate"],
    cure="a smaller gate resistor",
)
def gate_leakage(p: Any, n: Any) -> Any:
    """The gate's leakage drops next to nothing over a large gate resistor.

    Asked from 5 kΩ on, where 50 mV are kept for it of every level of the gate. Under that the leakiest common gates,
    with 10 µA, drop no more.
    """
    return per_time(n.slow_gate, p.igss_max), n.gate_leakage_room


@requirement(
    "s",
    "safe operating area brought to the hottest junction; " + slow_edges.SOURCE,
    asks=["edge_counts"],
    cure="a smaller gate resistor, or a larger part",
)
def slow_edge(p: Any, n: Any) -> Any:
    """The slowest edge is over before it overheats the junction.

    Asked from 1 kΩ ahead of the gate on, and of a drive whose own edge is over 20 µs. Allowed: the longest pulse for
    which the safe operating area holds the largest current, start and stall counted, at the highest drain voltage and
    the hottest junction; up to 1 ms also the one for which both together warm the junction to its limit, by the stated
    transient impedance or that of a small die; and 20 µs at the least.
    """
    return p.edge_longest, p.edge_allowed


@requirement(
    "s",
    "gate charge through the least gate resistance; a capacitance that falls with its voltage (derivation)",
    asks=["edge_least"],
    cure="a larger gate resistor",
)
def fastest_edge(p: Any, n: Any) -> Any:
    """The fastest edge is not shorter than the board allows.

    Least plateau charge through the least resistance at the largest drive swing; resistance inside the part counts only
    where a minimum is stated. Makers state that charge at a voltage up to the rated one; on a lower rail less of it
    moves, in proportion to the voltage at the least, as the gate-drain capacitance falls with it.
    """
    inside = prefer(p.rg_int_min, 0.0 * n.gate_resistor_min)
    resistance = n.gate_resistor_min + n.source_min + inside
    swing = n.drive_high_max - n.drive_low_min
    moved = p.qgd_min * smaller(n.edge_rail / p.vds_max, 1.0)
    return n.edge_least, switching.charge_time(moved, resistance, swing)


@requirement(
    "A",
    "Ohm's law; current limit of the drive output",
    asks=["pin_limit"],
    cure="a larger gate resistor",
)
def gate_peak(p: Any, n: Any) -> Any:
    """The gate current peak stays under the limit of the drive output.

    Highest high level less lowest low level over the least resistances; the resistance inside the part counts only
    where a minimum is stated. Whatever else is on the same output is added.
    """
    inside = prefer(p.rg_int_min, entered(p, 0.0 * n.gate_resistor_min))
    swing = n.drive_high_max - n.drive_low_min
    own = swing / (n.gate_resistor_min + n.source_min + inside)
    return own + n.drive_other_peak, n.k_drive_current * n.pin_limit


@requirement("", "the circuit pulls a load to ground", cure="a part of the other polarity", discrete=True)
def polarity(p: Any, n: Any) -> Any:
    """The channel is of the polarity that the circuit takes."""
    return 1.0, member(p.polarity, n.polarity_wanted)


add_footprint(role)
role.results = ("gate_high_min", "rds_on_stated", "hot_factor", "on_drop_hot", "tj_hot", "dissipation")
