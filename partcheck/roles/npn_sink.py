"""NPN low-side sink: what a board demands of the transistor that pulls a light load to ground.

Corners: every input is taken at the end that is worse for the one requirement (cold gain and cold base-emitter
voltage with the lowest drive for what it carries; hot leakage and the highest drive for what it endures). Each
demand and capability is monotone in each of them; tests/roles/test_npn_sink.py draws circuits and transistors at
random inside the corners and solves them with a transistor model: none exceeds the corner numbers.
"""

from typing import Any

from partcheck.operations import assume, keep, larger, member, prefer
from partcheck.physics import gain as bipolar
from partcheck.points import greatest
from partcheck.roles import slow_edges
from partcheck.roles.common import HEAT_SOURCE, add_footprint
from partcheck.roles.npn_quantities import base_least, role
from partcheck.roles.npn_saturation import gain_at
from partcheck.roles.off_state import leaks_onto

requirement = role.requirement

RATING = "absolute maximum ratings, IEC 60747-7; factor of the policy"


@requirement(
    "V",
    "Kirchhoff at turn-off: rail plus clamp drop; wave of a line, I·Z0 with Z0 at most inductance per length times the "
    "speed of light (derivation); " + RATING,
    cure="a clamp, or one with a lower drop, at the board; a lower rail; or a part with a higher vceo",
)
def collector_voltage(p: Any, n: Any) -> Any:
    """The collector peak at turn-off stays under the derated rating, base open.

    Highest rail plus the clamp's highest drop at the full coil current; where no clamp at the board takes a cable,
    as high as the wave on it can drive the collector, whatever its capacitance. A bipolar transistor has no
    avalanche rating: where nothing clamps a coil the capability is zero.
    """
    return n.collector_peak, n.clamped * n.k_vceo * p.vceo


@requirement("A", RATING, cure="a lower load current or a part with a higher ic_max")
def collector_current(p: Any, n: Any) -> Any:
    """The largest load current stays under the derated continuous rating."""
    return n.load_current, n.k_ic * p.ic_max


@requirement(
    "A",
    "definition of gain; Kirchhoff's laws on the base circuit; overdrive of the policy",
    cure="a smaller base resistor, a higher drive level, a lower load current, or a part with more gain there",
)
def gain(p: Any, n: Any) -> Any:
    """The base current carries the largest load current with the policy's overdrive, cold.

    Least gain at the load current, between stated points on log-log paper and unproven beyond the highest; brought
    to the coldest junction. Least base current: lowest drive level less the emitter's lift, largest resistors and
    source resistance, largest base-emitter voltage of a row with no less collector current, cold, and the
    base-emitter resistor's share.
    """
    return n.load_current * n.k_gain_overdrive, p.hfe_cold * p.base_current_min


@requirement(
    "V",
    "saturation is stated at a forced gain; VT·ln(…) of the Ebers-Moll equations for its temperature (Sedra & Smith, "
    "from memory); line to the edge of saturation: common practice, no published source",
    asks=["allowed_drop"],
    cure="a smaller base resistor, a lower load current, or a part with a lower vce_sat at that forced gain",
)
def saturation(p: Any, n: Any) -> Any:
    """The drop of the transistor stays under what the load allows.

    A stated saturation voltage counts where its collector current is not below the load's and its forced gain not
    below the circuit's: driven no harder than here. From a row driven harder the lower of two: the growth by the
    junctions' equations, three times, and the straight line to the cold gain and the voltage it is stated at. Beyond
    that it is not saturated: the whole rail, which has no more to drop. Stated at 25 °C; brought to the hottest
    junction in proportion to absolute temperature.
    """
    return p.on_drop_hot, n.allowed_drop


@requirement(
    "A",
    RATING + "; else the base current at which saturation is stated",
    cure="a larger base resistor or a lower drive level",
)
def base_current(p: Any, n: Any) -> Any:
    """The largest base current stays under the derated rating.

    Highest drive, least resistors, hottest base. Many datasheets state no rating: then the base current at which
    the maker states saturation counts, derated too; above it the requirement is unproven.
    """
    return p.base_current_max, p.base_rating


@requirement(
    "A",
    "current limit of the drive output; Kirchhoff's current law",
    asks=["pin_limit"],
    cure="a larger base resistor",
)
def pin_current(p: Any, n: Any) -> Any:
    """The drive output delivers no more than its derated limit.

    Largest base current, and whatever else is on the same output.
    """
    return p.base_current_max + n.drive_other, n.k_drive_current * n.pin_limit


@requirement("K", HEAT_SOURCE, cure="a lower current, a harder-driven base, cooler air, or a part with less drop")
def junction_rise(p: Any, n: Any) -> Any:
    """The junction stays under its limit at the hottest air.

    Self-consistent: hot drop times the lasting current, base-emitter voltage times the largest base current, and the
    edges of a chopped load; without equilibrium where the drop outruns the heat path.
    Chopped, at the end of a pulse: by the stated transient impedance, else a pulse of up to 1 ms as in a small die
    (40 K/W after 1 ms, common practice), and a longer one in full.
    """
    return p.tj_hot - n.ambient_max, p.rise_limit


@requirement(
    "K",
    "pulse heating dT = P Zth (JESD51-14); limits: absolute maximum ratings",
    asks=["inrush_current"],
    cure="a shorter or smaller inrush, a harder-driven base, or a larger part",
)
def pulse_rise(p: Any, n: Any) -> Any:
    """The junction survives the inrush or stall on top of its steady heat.

    Self-consistent: the drop at that current, as far as the stated transient impedance lets it warm the junction;
    where none is stated one that would be harmless if it lasted is proved, and nothing else. Starts add up at the
    stated rate.
    """
    return p.tj_peak - n.ambient_max, p.tj_limit - n.ambient_max


@requirement(
    "V",
    "a junction's voltage falls 2 mV/K (Malvino & Bates, Electronic Principles, Example 2-5) and 60 mV a decade",
    cure="a lower drive low level, less lift, a smaller base resistor, or a part with less leakage",
)
def stays_off(p: Any, n: Any) -> Any:
    """The highest low level with noise, and leakage in the base circuit, does not turn the hot transistor on.

    A base-emitter resistor divides the level, and takes its share of the leakage. The stated least base-emitter
    voltage is brought to the hottest junction and down to a collector current that counts as off.
    """
    return p.base_off, p.vbe_off


@requirement(
    "V",
    "Ohm's law on the collector-base leakage; a junction's voltage falls 2 mV/K",
    asks=["drive_floats"],
    cure="a base-emitter resistor, or a smaller one",
)
def undriven_base(p: Any, n: Any) -> Any:
    """With the drive floating the base-emitter resistor keeps the hot leakage from turning it on.

    Hot leakage, and what the floating output and other bases on it leak, through the largest resistor. Where even an
    open base amplifies them to less than counts as off, nothing has to hold it. A drive floats in reset unless the
    board states that it never does.
    """
    leaking = p.icbo_hot + leaks_onto(n)
    open_base = bipolar.common_emitter_leakage(leaking, p.hfe_hot)
    return prefer(keep(0.0 * p.vbe_off, open_base, n.off_current), leaking * n.hold_max), p.vbe_off


@requirement(
    "A",
    "leakage of an open base, icbo·(1 + hfe); law of a junction's current in SPICE (from memory)",
    asks=["off_leakage"],
    cure="a part with less leakage or less gain",
)
def off_leakage(p: Any, n: Any) -> Any:
    """What leaks through the hot transistor stays under what the load may see while off.

    What a base carries that the drive's low level, or a base-emitter resistor alone where the drive may float, holds
    under its turn-on, by the stated least base-emitter voltage. A base that the low level drives forward carries at
    least that, one at that level or above no more than the hot collector-base leakage amplified by the largest stated
    gain, as if it were open. What leaks through clamps across the transistor comes on top.
    """
    return p.off_leakage_hot + n.clamp_leakage, n.off_leakage


@requirement(
    "A",
    RATING + "; definition of gain",
    asks=["inrush_current"],
    cure="a soft start, a series resistor, a smaller base resistor or a larger part",
)
def inrush(p: Any, n: Any) -> Any:
    """The inrush stays under the current ratings and under what the base current carries.

    The continuous rating covers any pulse; a peak rating covers pulses no longer than it is stated for. Least gain at
    the inrush, cold, times the least base current there.
    """
    steady = n.k_ic * p.ic_max
    peak = n.k_ic * keep(p.icm, n.inrush_time, p.icm_width)
    carried = gain_at(p, n.inrush_current) * p.cold_factor * base_least(p, n, n.inrush_current)
    covered = keep(steady, n.inrush_current, steady)
    return [
        (n.inrush_current, prefer(covered, peak)),
        (n.inrush_current, prefer(covered, n.k_ic * p.icm)),  # no pulse, however short, may exceed it
        (n.inrush_current, carried),
    ]


@requirement(
    "A",
    "reverse-bias safe operating area; where none is stated, a share of the rectangle of ratings: "
    "common practice, no published source",
    asks=["turnoff_voltage"],
    cure="a clamp with a lower drop, a lower coil current, or a part with a stated turn-off area",
)
def turnoff_locus(p: Any, n: Any) -> Any:
    """The coil's current at the clamped voltage lies inside the turn-off area.

    At the next stated voltage above. Small transistors state no such area: the drive never pulls the base under the
    emitter here, so the current is not pinched, and where the policy allows it a share of ic_max is taken to hold up
    to vceo; marked as assumed.
    """
    stated = n.k_ic * greatest(p.rbsoa, lambda row: keep(row.max, n.turnoff_voltage, row.vce))
    assumed = n.assumed_rbsoa_share * keep(p.ic_max, n.turnoff_voltage, p.vceo)
    return n.coil_current, assume(stated, assumed)


@requirement(
    "s",
    "longest edges and capacitance of small saturated transistors: common practice, no published source",
    asks=["edge_limit"],
    cure="a MOSFET in its place, or a load that takes slower edges",
)
def edge_time(p: Any, n: Any) -> Any:
    """The slowest edge stays under what the chopping or the board allows.

    Datasheets of small transistors state no largest switching time for a base that only its resistor turns off: the
    longest usual one counts, or what the base resistor needs to discharge 25 pF between collector and base where that
    is longer, and the drive's own edge.
    """
    return n.switching_time + slow_edges.own_edge(n), n.edge_limit


@requirement(
    "s",
    slow_edges.SOURCE,
    asks=["edge_counts"],
    cure="a smaller base resistor, a faster drive, or a larger part",
)
def slow_edge(p: Any, n: Any) -> Any:
    """The slowest edge is over before it overheats the junction.

    Asked behind a drive whose own edge is over 20 µs, and where base resistor and supply make the transistor slower
    than usual ones. Allowed is up to 1 ms at the largest current, start and stall counted, and the highest collector
    voltage that keep the hottest junction within its limit, by the stated transient impedance or that of a small die.
    """
    longest = slow_edges.when_asked(n, n.switching_time + slow_edges.own_edge(n))
    proved = slow_edges.by_heat(p, n, n.collector_peak, larger(n.load_current, n.start_current))
    return longest, slow_edges.allowed(p, n, longest, proved)


@requirement(
    "s",
    "no datasheet parameter bounds the edge of a transistor from below",
    asks=["edge_least"],
    cure="a MOSFET with a gate resistor in its place",
)
def fastest_edge(p: Any, n: Any) -> Any:
    """The fastest edge is not shorter than the board allows.

    Nothing that a datasheet states proves it of a bipolar transistor.
    """
    return n.edge_least, n.least_switching_time


@requirement(
    "V",
    RATING + "; Kirchhoff's voltage law",
    asks=["base_reverse"],
    cure="less resistance in the shared return, or a drive whose ground rises with it",
)
def base_reverse(p: Any, n: Any) -> Any:
    """With the drive low the lifted emitter stays under the derated emitter-base rating.

    The lift of the shared return, where the drive's own ground does not rise with it. Asked above 1 V, under which
    no such junction breaks down.
    """
    return n.base_reverse, n.k_vceo * p.vebo


@requirement("", "the circuit pulls a load to ground", cure="a part of the other polarity", discrete=True)
def polarity(p: Any, n: Any) -> Any:
    """The transistor is of the polarity that the circuit takes."""
    return 1.0, member(p.polarity, n.polarity_wanted)


add_footprint(role)
role.results = (
    "base_current_min",
    "base_current_max",
    "forced_gain",
    "hfe_cold",
    "on_drop_hot",
    "tj_hot",
    "dissipation",
    "base_resistor_least",
    "base_resistor_largest",
)
