"""How hot a clamp gets, and what its leakage and ratings are worth then."""

import math
from typing import Any

from partcheck.operations import assume, keep, larger, per_time, prefer, smaller
from partcheck.physics import gain, heat, switching
from partcheck.points import equilibrium, greatest, least
from partcheck.roles.clamp_numbers import charge, energy_repeated_at, role
from partcheck.roles.transient import die_share, impedance, single

__all__ = ["role"]
quantity = role.quantity

LEAKAGE_STEPS = (1 / math.log(2.0), 1.0, 0.6, 0.35, 0.2, 0.1)
"""Steps above conduction alone at which an assumed leakage is tried, in its doublings; largest first."""
AMBIENT = 2.0
"""Place of ``ambient`` in the choices of a current rating's ``reference``."""


def _average(p: Any, n: Any, current: Any) -> Any:
    """Largest average of what is switched off at a current: charge times rate, at most what flows while off."""
    always = current * n.flow_share
    return prefer(smaller(per_time(n.pulse_rate, charge(p, n, current)), always), always)


def _conduction(p: Any, n: Any, current: Any) -> Any:
    """Largest average heat of conduction, of what is switched off at a current.

    Of a diode whose load states no rate, or no inductance: as if it carried the current all the time off.
    """
    each = per_time(n.pulse_rate, energy_repeated_at(p, n, current))
    always = p.forward_hot * _average(p, n, current)
    return per_time(n.breaks, each) + per_time(n.forward, prefer(smaller(each, always), always))


def _with_starts(share: Any, lasting: Any, start: Any) -> Any:
    """What lasts, and a share of what a start or stall adds to it."""
    return lasting + per_time(share, start - lasting)


@quantity("A")
def current_average(p: Any, n: Any) -> Any:
    """Largest average current: charge of each turn-off times rate, at most the coil current while off.

    A stall counts by its share of the time, and one that lasts long as far as it warms the junction.
    """
    share = larger(n.start_share, per_time(n.long_start, p.start_peak_share))
    return _with_starts(share, _average(p, n, n.lasting_current), _average(p, n, n.start_current))


@quantity("W")
def conduction_lasting(p: Any, n: Any) -> Any:
    """Largest average heat of conduction at the current that lasts."""
    return _conduction(p, n, n.lasting_current)


@quantity("W")
def recovery_loss(p: Any, n: Any) -> Any:
    """Largest average heat of the charge that is drawn back while current flows on through it."""
    return per_time(n.recovery_rate, switching.recovered_charge(n.coil_current, p.recovery_time) * n.rail_max)


@quantity("W")
def conduction_loss(p: Any, n: Any) -> Any:
    """Largest average heat of conduction; what a stall adds counts as far as it warms the junction.

    How much of the heat of a recovery arises in the diode and how much in the switch no datasheet says: each has all.
    """
    conduction = _with_starts(p.start_peak_share, p.conduction_lasting, _conduction(p, n, n.start_current))
    return conduction + p.recovery_loss


@quantity("°C")
def tj_conducting(p: Any, n: Any) -> Any:
    """Hottest junction by conduction alone."""
    return heat.junction(n.ambient_max, p.theta, p.conduction_loss)


def _at_peak(p: Any, n: Any, share: Any) -> Any:
    """Rise at the hottest moment, with the share of the steady rise that one turn-off reaches by itself.

    Never more than as if the coil's current flowed all the time.
    """
    pulse = heat.rise(p.theta, p.forward_hot * n.coil_current)
    mean = p.tj_conducting - n.ambient_max
    return smaller(mean + pulse * share, larger(mean, pulse + heat.rise(p.theta, p.recovery_loss)))


@quantity("K")
def rise_peak(p: Any, n: Any) -> Any:
    """Rise of the junction at the hottest moment of a turn-off, above what lasts.

    A current that only falls heats no more than a rectangle of its largest power and its charge: heat up to a time t
    is at most the mean power until then times the impedance at t, which grows ever slower. In a series of them each
    sets out below the mean. Where no transient impedance is stated that of a small die passes what stays within the
    limit with it, and fails nothing.
    """
    length = prefer(p.charge_off / n.coil_current, n.off_time)
    bound = _at_peak(p, n, prefer(die_share(p, n, length), 1.0))
    stated = _at_peak(p, n, single(p, n, length))
    return prefer(stated, prefer(keep(bound, bound, p.tj_limit - n.ambient_max), stated))


@quantity("°C")
def tj_blocking(p: Any, n: Any) -> Any:
    """Hottest junction, leakage included: the temperature at which heat and leakage agree.

    Where the datasheet states no hot leakage and the policy assumes how it grows: what the leakage gives at
    the least of a few steps above conduction alone that its heat does not exceed. What doubles every so many
    kelvin has its last equilibrium 1/ln 2 of them up; none up to there is thermal runaway.
    """

    def loss(leakage: Any, _: Any) -> Any:
        return p.conduction_loss + n.blocking_rail * leakage

    def hot(trial: Any) -> Any:
        return heat.junction(n.ambient_max, p.theta, loss(_leakage_at(p, n, trial), trial))

    runaway = hot(p.tj_conducting) + math.inf * n.assumed_leakage_doubling
    grown = runaway
    for doublings in LEAKAGE_STEPS:
        trial = p.tj_conducting + doublings * n.assumed_leakage_doubling
        reached = hot(trial)
        grown = prefer(keep(reached, reached, trial), grown)
    return assume(equilibrium(p.ir, "max", n.ambient_max, p.theta, p.tj_limit, loss), grown)


@quantity("°C")
def tj_hot(p: Any, n: Any) -> Any:
    """Hottest junction: with leakage where it blocks, else by conduction alone."""
    return per_time(n.blocks, p.tj_blocking) + per_time(1.0 - n.blocks, p.tj_conducting)


@quantity("W")
def dissipation(p: Any, n: Any) -> Any:
    """Heat that it gives off: what warms it, and all the heat of a stall that lasts long."""
    return larger((p.tj_hot - n.ambient_max) / p.theta, per_time(n.long_start, _conduction(p, n, n.start_current)))


def _leakage_at(p: Any, n: Any, temperature: Any) -> Any:
    """Leakage at a temperature: of a hotter stated row, or by the policy's doubling from a cooler one."""

    def at(row: Any) -> Any:
        grown = gain.leakage_at(row.max, row.tj, temperature, n.assumed_leakage_doubling)
        return prefer(keep(row.max, temperature, row.tj), keep(grown, row.tj, temperature))

    return least(p.ir, at)


@quantity("A")
def leakage_hot(p: Any, n: Any) -> Any:
    """Largest leakage at the next stated junction temperature above the hottest."""
    return assume(least(p.ir, lambda row: keep(row.max, p.tj_hot, row.tj)), _leakage_at(p, n, p.tj_hot))


@quantity("A")
def if_av_allowed(p: Any, n: Any) -> Any:
    """Average current rating at the temperature reached: air for one against air, junction for lead or case.

    A row at a cooler temperature is carried up only where the policy assumes a law, and then along the
    straight line to the junction limit, which is below the square-root law.
    """

    def at_air(row: Any) -> Any:
        return keep(row.max, AMBIENT, row.reference)

    def line(row: Any, temperature: Any) -> Any:
        share = (p.tj_max - temperature) / (p.tj_max - row.temperature)
        return keep(share, row.temperature, temperature)

    stated = greatest(
        p.if_av,
        lambda row: prefer(keep(at_air(row), n.ambient_max, row.temperature), keep(row.max, p.tj_hot, row.temperature)),
    )
    carried = greatest(
        p.if_av, lambda row: prefer(at_air(row) * line(row, n.ambient_max), row.max * line(row, p.tj_hot))
    )
    return assume(stated, carried * n.assumed_square_root_law)


@quantity("")
def rating_left(p: Any, n: Any) -> Any:
    """Share of a pulse rating given at 25 °C that is left at the hottest start."""
    return smaller((p.tj_max - p.tj_hot) / (p.tj_max - n.t25), 1.0)


@quantity("K/W")
def pulse_zth(p: Any, n: Any) -> Any:
    """Transient thermal impedance of a pulse as long as the peak power needs for the energy."""
    return impedance(p, n, p.energy_repeated / p.pulse_peak)
