"""A clamp in its place: its facts, and the drops, pulses and heat that ``clamp.py`` compares.

Corners: cold winding at its low tolerance, highest inductance, highest rail; the clamp's lowest voltage
where current must die or the supply feeds it, its highest where it sets a peak or the share of the coil's
energy that the part takes. Each demand and capability is monotone in each of them (the energy across a coil
rises with the clamp voltage, across a switch it falls: both follow from the integral of v·L·i/(R·i + v − V)
over the current); tests/roles/test_clamp.py draws circuits at random inside the corners and none exceeds
them.

A part conducts forward or breaks down, across the coil or the switch, and the formulas may not branch:
``per_time(share, value)`` is zero, whatever the value, where the share is zero.
"""

from typing import Any

from partcheck.operations import keep, larger, member, per_time, prefer, smaller
from partcheck.physics import coils
from partcheck.points import SEMI_LOG, between, last, last_x, least
from partcheck.roles.common import add_heat, new_role, smaller_known
from partcheck.roles.transient import add_die, add_starts

role = new_role("clamp", "diode", "Flyback diode or other clamp")
fact, need, quantity = role.fact, role.need, role.quantity

SCHOTTKY = frozenset({"schottky"})
KNEE = 6.0
"""How many times impedance times its current a breakdown may rise from the test current of ``vbr`` up to that current.

Where the impedance falls as 1/i the rise is Z·i·ln(i/i_test): enough for a test current a thousandth of that of the
impedance (derivation).
"""

fact("coil_current", "A", "largest current of the coils when the switch opens")
fact("lasting_current", "A", "largest current of the coils that lasts while they are chopped")
fact("inductance", "H", "largest inductance that the clamp takes, for energy and charge")
fact("loop_resistance", "Ω", "least resistance of the winding, for energy and charge")
fact("slowest_inductance", "H", "largest inductance that the clamp takes, for the longest decay")
fact("decay_end", "A", "current at which the decay counts as over")
fact("rail_max", "V", "highest rail voltage at the load")
fact(
    "supply_behind",
    "V",
    "what the supply takes off the clamp voltage: the rail for a clamp across the switch",
)
fact("fed_behind", "", "1 where a load's rail is higher than the one that a clamp across a load returns to")
fact("release_behind", "V", "the same of the loads that must let go in time")
fact("off_voltage", "V", "highest of the other feeds that hold its node up while off")
fact("off_rail", "V", "lowest voltage meanwhile of the rail that it returns to")
fact("leakage_beside", "A", "what leaks to ground beside it through the switch and other clamps")
fact("partner_low", "V", "lowest drop of the other part of the clamp")
fact("partner_high", "V", "highest drop of the other part of the clamp")
fact("forward", "", "1 where it conducts forward")
fact("breaks_at_switch", "", "1 where it breaks down, across the switch")
fact("breaks_at_load", "", "1 where it breaks down, across the load")
fact("forward_current", "A", "largest current through a part that conducts forward")
fact("breakdown_current", "A", "largest current through a part that breaks down")
fact("reverse_rail", "V", "highest rail that it blocks as a diode")
fact("standoff_rail", "V", "highest rail that it must not break down at")
fact("blocks", "", "1 where it blocks a voltage for long")
fact("blocking_rail", "V", "highest voltage that it blocks for long")
fact("pulse_rate", "1/s", "how often the load is switched off")
fact("repeat_rate", "1/s", "how often the load is switched off, where it breaks down")
fact("flow_share", "", "largest average over the largest current of a diode that coils flow on through")
fact("off_time", "s", "longest time off")
fact("release_time", "s", "longest time in which the load must let go")
fact("release_current", "A", "largest current from which the load lets go")
fact("release_end", "A", "current at which the load has certainly let go")
fact("release_inductance", "H", "largest inductance of the load that must let go")
fact("release_resistance", "Ω", "least resistance of the load that must let go")
fact("beside_resistance", "Ω", "least resistance of the loads beside it on the switch, which keep its current flowing")
fact("beside_inductance", "H", "largest inductance of those loads")
fact("beside_behind", "V", "how far their rail may lie below its own")
fact("turn_off_time", "s", "longest time that the switch takes to turn off")
fact("recovery_rate", "Hz", "how often its charge is drawn back while current flows on through it")
fact("recovery_allowed", "s", "longest reverse recovery that the chopping allows")
fact("off_leakage", "A", "largest current that the load may see while off")
fact("switch_limit", "V", "derated voltage rating of the switch that is fitted")
fact("drop_tempco", "V/K", "how much a forward drop rises per kelvin of cooling")
fact("breakdown_tempco", "1/K", "how much a breakdown voltage moves per kelvin, as a share")
fact("zener_hot", "°C", "hottest junction of a Zener, for its highest voltage")
fact("constructions", "", "constructions that can do what the place asks")

add_heat(role, "k_diode_power")
add_starts(role, chopped=False)
add_die(role)


@need("")
def breaks(n: Any) -> Any:
    """One where it breaks down."""
    return n.breaks_at_switch + n.breaks_at_load


@need("")
def breakdown_spread(n: Any) -> Any:
    """How far a breakdown voltage may move over the ambient range, as a share."""
    return n.breakdown_tempco * larger(n.ambient_max - n.t25, n.t25 - n.ambient_min)


@quantity("s")
def recovery_time(p: Any, n: Any) -> Any:
    """Largest reverse recovery time; a Schottky diode that states none stores no charge."""
    return prefer(p.trr_max, keep(0.0, 1.0, member(p.construction, SCHOTTKY)))


# ---- drops


@quantity("V")
def forward_drop(p: Any, n: Any) -> Any:
    """Largest forward drop at the full coil current, 25 °C.

    Between stated points on semi-log paper, whose chords lie above a diode's curve; below them the first,
    beyond them the last one raised in proportion to the current.
    """
    above = least(p.vf, lambda row: keep(row.max, n.coil_current, row.i_f))
    beyond = last(p.vf, "i_f", "max") * n.coil_current / last_x(p.vf, "i_f", "max")
    return prefer(between(p.vf, "i_f", "max", n.coil_current, SEMI_LOG), prefer(above, beyond))


@quantity("V")
def forward_cold(p: Any, n: Any) -> Any:
    """Largest forward drop at the full coil current and the coldest junction."""
    return p.forward_drop + n.drop_tempco * (n.t25 - smaller(n.ambient_min, n.t25))


@quantity("V")
def forward_hot(p: Any, n: Any) -> Any:
    """Largest forward drop at the full coil current in the hottest air; the fall when hot is not counted."""
    return p.forward_drop + n.drop_tempco * (n.t25 - smaller(n.ambient_max, n.t25))


def _clamping_beyond(p: Any, n: Any) -> Any:
    """Clamping voltage beyond the last stated current, 25 °C: from there on along the stated impedance.

    The impedance of a breakdown falls with the current, so one stated at or under the last row's current bounds
    every further volt (derivation). Without an impedance nothing is said there.
    """
    last_current = last_x(p.clamping, "ipp", "max")
    impedance = least(p.impedance, lambda row: keep(row.max, row.iz, last_current))
    carried = last(p.clamping, "ipp", "max") + impedance * (n.coil_current - last_current)
    return keep(carried, last_current, n.coil_current)


@quantity("V")
def clamping_high(p: Any, n: Any) -> Any:
    """Largest breakdown voltage at the full coil current.

    The least of what bounds it: clamping voltage at the next stated current at or above, over the ambient range;
    largest breakdown voltage plus the impedance stated at a current not above (it falls with current) and the knee
    up to there, at a hot junction; beyond the last row that row plus the impedance, as hot. No line is drawn from
    breakdown to a clamping row: how soft the knee between them may be is stated by no datasheet.
    """
    stated = least(p.clamping, lambda row: keep(row.max, n.coil_current, row.ipp)) * (1.0 + n.breakdown_spread)
    impedance = least(p.impedance, lambda row: keep(row.max, row.iz, n.coil_current) * (n.coil_current + KNEE * row.iz))
    hot = 1.0 + larger(n.breakdown_tempco * (n.zener_hot - n.t25), n.breakdown_spread)
    return smaller_known(stated, smaller_known((p.vbr_max + impedance) * hot, _clamping_beyond(p, n) * hot))


@quantity("V")
def drop_high(p: Any, n: Any) -> Any:
    """Highest drop at the full coil current."""
    return per_time(n.forward, p.forward_cold) + per_time(n.breaks, p.clamping_high)


@quantity("V")
def drop_low(p: Any, n: Any) -> Any:
    """Lowest drop: none for a diode, the least breakdown voltage without impedance."""
    return per_time(n.breaks, p.vbr_min * (1.0 - n.breakdown_spread))


@quantity("V")
def opposing_low(p: Any, n: Any) -> Any:
    """Lowest voltage against the coil's current besides its own resistance."""
    return p.drop_low + n.partner_low - n.supply_behind


# ---- pulses


@quantity("V")
def energy_drop(p: Any, n: Any) -> Any:
    """The drop at which the part takes the most energy: the lowest across the switch, else the highest."""
    across_coil = per_time(n.forward, p.forward_hot) + per_time(n.breaks_at_load, p.clamping_high)
    return across_coil + per_time(n.breaks_at_switch, p.drop_low)


@quantity("V")
def energy_opposing(p: Any, n: Any) -> Any:
    """Voltage against the current while the part takes that energy; the lowest where a higher rail feeds the load."""
    own = per_time(1.0 - n.fed_behind, p.energy_drop) + per_time(n.fed_behind, p.drop_low)
    return own + n.partner_low - n.supply_behind


def _energy(p: Any, n: Any, current: Any) -> Any:
    """Largest energy that the part takes when a current is switched off once."""
    opposing = p.energy_drop + n.partner_low - n.supply_behind
    return p.energy_drop * coils.total_charge(n.inductance, n.loop_resistance, current, opposing)


def charge(p: Any, n: Any, current: Any) -> Any:
    """Largest charge through the part in the longest time off, from a current."""
    return coils.clamped_charge(n.inductance, n.loop_resistance, current, n.off_time, p.opposing_low)


def energy_repeated_at(p: Any, n: Any, current: Any) -> Any:
    """Largest energy of each turn-off of a repeated series, from a current: no more than flows in the longest time off.

    At the drop of the largest current, which is the highest.
    """
    highest = per_time(n.forward, p.forward_hot) + per_time(n.breaks, p.clamping_high)
    return smaller(_energy(p, n, current), highest * charge(p, n, current))


@quantity("J")
def energy_pulse(p: Any, n: Any) -> Any:
    """Largest energy that the part takes when the load is switched off once."""
    return _energy(p, n, n.coil_current)


@quantity("C")
def charge_off(p: Any, n: Any) -> Any:
    """Largest charge through the part in the longest time off."""
    return charge(p, n, n.coil_current)


@quantity("J")
def energy_repeated(p: Any, n: Any) -> Any:
    """Largest energy of each turn-off of a repeated series: no more than flows in the longest time off."""
    return energy_repeated_at(p, n, n.coil_current)


@quantity("s")
def decay_longest(p: Any, n: Any) -> Any:
    """Longest time until the current is gone, or down to 1 % in a diode."""
    return coils.decay_time(n.slowest_inductance, n.loop_resistance, n.coil_current, n.decay_end, p.opposing_low)


@quantity("s")
def release_longest(p: Any, n: Any) -> Any:
    """Longest time until the load has let go: the switch turns off, then the current decays."""
    opposing = p.drop_low + n.partner_low - n.release_behind
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
    return n.turn_off_time + decay


@quantity("W")
def pulse_peak(p: Any, n: Any) -> Any:
    """Largest momentary power of the part."""
    return p.drop_high * n.coil_current
