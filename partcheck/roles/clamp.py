"""Flyback diode, Zener or TVS: what a board demands of the part that takes a coil's current."""

from typing import Any

from partcheck.operations import assume, keep, member, per_time, prefer
from partcheck.physics import heat
from partcheck.points import greatest
from partcheck.roles.clamp_heat import role
from partcheck.roles.clamp_numbers import SCHOTTKY
from partcheck.roles.common import HEAT_SOURCE, add_footprint, smaller_known

requirement = role.requirement

RATING = "absolute maximum ratings, IEC 60747-2; factor of the policy"
DECAY = "solution of L di/dt + R i + V = 0 (derivation)"


@requirement(
    "V",
    "Kirchhoff: while the switch is on, the diode blocks the rail; " + RATING,
    asks=["reverse_rail"],
    cure="a lower rail or a diode with a higher vrrm",
)
def reverse_voltage(p: Any, n: Any) -> Any:
    """The highest rail stays under the derated reverse rating."""
    return n.reverse_rail, n.k_diode_vr * p.vrrm


@requirement(
    "V",
    "working stand-off voltage as TVS datasheets define it: at or below it the part does not conduct",
    asks=["standoff_rail"],
    cure="a lower rail or a clamp with a higher stand-off voltage",
)
def standoff(p: Any, n: Any) -> Any:
    """The highest rail stays at or under the stand-off voltage, and under the least breakdown voltage.

    Of a Zener the voltage at which its leakage is stated counts as its stand-off voltage.
    """
    return [(n.standoff_rail, p.standoff), (n.standoff_rail, p.drop_low)]


@requirement(
    "V",
    "Kirchhoff on the node of the switch while it is off",
    asks=["off_voltage"],
    cure="a clamp across the switch, one rail for everything on it, or a switch of its own for each rail",
)
def stays_blocked(p: Any, n: Any) -> Any:
    """While the switch is off no other feed of its node drives current through the clamp into its rail.

    Asked of a clamp across a load where something else is on the switch from another rail or a logic pin. The
    highest of these, transients counted, against the lowest voltage of the clamp's own rail, nothing where that rail
    may be absent meanwhile, and the clamp's least breakdown voltage; of a diode no drop is counted on.
    """
    return n.off_voltage, n.off_rail + p.drop_low + n.partner_low


@requirement("A", RATING, asks=["forward_current"], cure="a lower coil current or a diode with a higher rating")
def peak_current(p: Any, n: Any) -> Any:
    """The full coil current stays under the derated repetitive peak rating.

    Where none is stated, under the average rating at the temperature reached. A surge rating is for single
    faults and proves nothing here.
    """
    return n.forward_current, n.k_diode_if * prefer(p.ifrm, p.if_av_allowed)


@requirement(
    "A",
    DECAY + "; chopped, the coil current flows all the time off (common practice)",
    asks=["forward_current"],
    cure="a lower coil current or rate, or a diode with a higher if_av",
)
def average_current(p: Any, n: Any) -> Any:
    """The average current stays under the derated average rating at the temperature reached.

    The charge of the longest time off times the rate, never more than coil current times (1 - least duty);
    where no rate is stated, the whole coil current. Chopped, the running current counts, and a stall of a stated time
    by its share; one over 1 s as far as it warms the junction. The rating is read at the next stated hotter
    temperature: of the air, or of the junction for a rating against lead or case.
    """
    return p.current_average, n.k_diode_if * p.if_av_allowed


@requirement(
    "K",
    HEAT_SOURCE,
    cure="a lower current, rate or clamp voltage, more copper, cooler air, or a part with less loss",
)
def junction_rise(p: Any, n: Any) -> Any:
    """The junction stays under its limit at the hottest air.

    Heat of conduction: energy of each turn-off times rate, the coil's own resistance taking its share; at the end
    of a stall, as far as the stated transient impedance lets it warm the junction. Where it conducts forward the pulse
    of one turn-off comes on top: by the stated impedance, else as in a small die (40 K/W after 1 ms, rising with the
    root of time, common practice). Leakage comes on top in off-heat.
    """
    peak = per_time(n.forward, p.rise_peak)
    return [(p.tj_conducting - n.ambient_max, p.rise_limit), (peak, p.tj_limit - n.ambient_max)]


@requirement(
    "K",
    HEAT_SOURCE + "; leakage at the rated voltage",
    asks=["blocking_rail"],
    cure="a part with less hot leakage, more copper, or cooler air",
)
def off_heat(p: Any, n: Any) -> Any:
    """Hot leakage does not run away.

    Self-consistent: the highest rail times the leakage at the junction temperature that it causes together
    with the heat of conduction; no equilibrium is thermal runaway.
    """
    return p.tj_blocking - n.ambient_max, p.rise_limit


@requirement(
    "s",
    DECAY,
    asks=["release_time"],
    cure="a clamp with a higher voltage: a Zener in series with the diode, or a TVS across the switch",
)
def release_time(p: Any, n: Any) -> Any:
    """The coil's current falls to its release level within the time allowed.

    From the drive's low level: the switch turns off, then the current decays. Cold winding at its least
    resistance, most inductance, highest rail, lowest clamp voltage: none for a plain diode, the least breakdown
    voltage without impedance; across the switch the rail works against the clamp. Whatever coil is on the switch
    may let go through this clamp: one on another rail against the difference of the rails, the clamp's own taken as
    absent where it may be, and never where that is against it.
    """
    return p.release_longest, n.release_time


@requirement(
    "s",
    "common practice, no published source: at most 5 % of the shortest on-time, or the load's longest edge",
    asks=["recovery_allowed"],
    cure="a fast rectifier or a Schottky diode, or slower chopping",
)
def recovery(p: Any, n: Any) -> Any:
    """Reverse recovery is short against the chopping.

    A slow diode's stored charge is drawn through the switch at each turn-on. Largest recovery time; a
    Schottky diode that states none stores none.
    """
    return p.recovery_time, n.recovery_allowed


@requirement(
    "A",
    "leakage rating at a hot junction",
    asks=["off_leakage", "blocking_rail"],
    cure="a part with less hot leakage",
)
def leakage(p: Any, n: Any) -> Any:
    """What leaks through the hot clamp stays under what the load may see while off.

    Asked of a clamp across the switch: one across the load leaks beside it. Read at the next stated junction
    temperature above the hottest; what leaks through the switch and other clamps comes on top.
    """
    return p.leakage_hot + n.leakage_beside, n.off_leakage


@requirement(
    "V",
    "forward recovery peak of the datasheet on top of the rail; rating and policy of the switch",
    asks=["switch_limit"],
    cure="a fast or Schottky diode, or a switch with a higher rating",
)
def forward_recovery(p: Any, n: Any) -> Any:
    """The switch survives the moment before the diode conducts fully.

    Rail plus forward recovery peak, plus the highest drop of the clamp's other part. A Schottky diode that
    states none has none beyond its drop; of another a value counts only where the policy assumes one, and not of a
    part whose construction is not known.
    """
    is_schottky = member(p.construction, SCHOTTKY)
    schottky = keep(p.drop_high, 1.0, is_schottky)
    peak = assume(prefer(p.vfr_max, schottky), keep(n.assumed_vfr, 0.0, is_schottky))
    return n.rail_max + peak + n.partner_high, n.switch_limit


@requirement(
    "J",
    DECAY + "; pulse rating derated in a straight line to the junction limit, as TVS datasheets print it",
    asks=["breakdown_current"],
    cure="a larger clamp, a lower coil current, or across the switch a higher clamp voltage",
)
def pulse_energy(p: Any, n: Any) -> Any:
    """The clamp takes the coil's energy when the load is switched off once.

    What the coil stores, less what its own resistance turns to heat, plus across the switch what the supply adds at
    the lowest clamp voltage. Rated pulse energy, and rated pulse power against clamping voltage times current, written
    as energy, at the next longer stated width, or of a shorter one its energy: each where it is stated, at the hottest
    start. The pulse counts as long as its peak power needs for its energy.
    """
    length = p.energy_pulse / p.pulse_peak

    def rated_at(row: Any) -> Any:
        return prefer(keep(row.max, length, row.pulse_width), row.max * row.pulse_width / length)

    power = greatest(p.pulse_power, rated_at)
    rated = smaller_known(p.pulse_energy, p.energy_pulse * power / p.pulse_peak)
    return p.energy_pulse, n.k_clamp_energy * p.rating_left * rated


@requirement(
    "J",
    "repetitive energy rating; else pulse heating dT = P Zth (JESD51-14)",
    asks=["repeat_rate"],
    cure="a larger clamp or a lower coil current",
)
def clamp_repeat(p: Any, n: Any) -> Any:
    """The clamp takes the energy of every one of many turn-offs.

    Repetitive energy rating, brought to the hottest start; and the energy at which the peak power, lasting until all
    of it is spent, would lift the hottest junction to its limit: each where it is stated. A current that only falls
    heats no more than that. A single-pulse rating proves nothing here.
    """
    by_heat = p.energy_repeated * (p.tj_limit - p.tj_hot) / heat.pulse_rise(p.pulse_peak, p.pulse_zth)
    return p.energy_repeated, n.k_clamp_energy * smaller_known(p.rating_left * p.repetitive_energy, by_heat)


@requirement(
    "W",
    "steady power rating, derated in a straight line from 25 °C to the junction limit",
    asks=["breakdown_current"],
    cure="a larger clamp, a lower coil current, or a lower switching rate",
)
def average_power(p: Any, n: Any) -> Any:
    """Energy of each turn-off times rate stays under the steady power rating at the hottest air."""
    rated = heat.derated_power(p.power_max, p.power_max / (p.tj_max - n.t25), n.ambient_max, n.t25)
    return per_time(n.pulse_rate, p.energy_repeated), n.k_clamp_energy * rated


@requirement("", "what the circuit asks the part to do", cure="a part of another construction", discrete=True)
def construction(p: Any, n: Any) -> Any:
    """The part can do what the place asks.

    Conducting forward: a rectifier, fast, Schottky or signal diode. Breaking down: a Zener or TVS; alone
    across a load one that blocks in both directions, for the others would short the rail while the switch
    is on.
    """
    return 1.0, member(p.construction, n.constructions)


add_footprint(role)
role.results = ("drop_low", "drop_high", "energy_pulse", "decay_longest", "tj_hot")
