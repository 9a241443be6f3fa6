"""The junction of a MOSFET switch: what heats it over time, and how hot it gets.

On-resistance grows with temperature and heats itself, so heat and temperature are solved together. Edges grow slower
as the threshold falls with heat: they are first taken at a junction as hot as MOSFETs are rated for, then at the
junction that follows. That first temperature is the same for every part, so that a better rating changes no heat.
"""

import math
from typing import Any

from partcheck.operations import keep, larger, per_time, prefer, smaller
from partcheck.physics import heat
from partcheck.points import LINEAR, between, equilibrium
from partcheck.roles import mosfet_channel as channel
from partcheck.roles import mosfet_edges as edges
from partcheck.roles.mosfet_numbers import threshold_at
from partcheck.roles.mosfet_off import role
from partcheck.roles.transient import with_starts

quantity = role.quantity


def _edge_heat(p: Any, n: Any, current: Any, threshold: Any) -> Any:
    """Heat of the switching edges, where they come often enough to count.

    The charge of a diode that kept a chopped coil's current flowing is drawn from the rail through the switch. A coil
    that nothing clamps takes the drain into breakdown. What it stores is counted as avalanche; during the edge the
    supply adds no more than rail times current, as if the drain rose to twice the rail.
    """
    volts = prefer(n.drain_clamped, 2.0 * n.drain_peak)
    recovered = n.recovered_charge * n.rail_max
    return per_time(n.switch_frequency, edges.energy(p, n, volts, current, threshold) + recovered)


def conduction(p: Any, n: Any, current: Any, factor: Any, coldest: Any) -> Any:
    """Heat of conduction while on, W: hot, or where the threshold leaves less at the ``coldest`` junction, there."""
    drop = larger(channel.hot_drop(p, n, current, factor), channel.cold_drop(p, n, current, coldest))
    return current * drop


def _settled(p: Any, n: Any, share: Any, threshold: Any) -> Any:
    """The temperature at which heat and resistance agree, with a share of the rise that starts would reach."""
    lasting_edges = _edge_heat(p, n, n.edge_current, threshold)
    start_edges = _edge_heat(p, n, n.start_current, threshold)

    def loss(factor: Any, _: Any) -> Any:
        more = larger(factor, 1.0)
        lasting = p.on_share * conduction(p, n, n.heat_current, more, n.ambient_max) + lasting_edges
        start = p.start_on_share * conduction(p, n, n.start_current, more, n.ambient_max) + start_edges
        return lasting + per_time(share, start - lasting) + p.avalanche_loss + p.stray_loss

    return equilibrium(p.rds_on_factors, "max", n.ambient_max, p.theta, p.tj_limit, loss)


@quantity("°C")
def tj_bound(p: Any, n: Any) -> Any:
    """First bound of the hottest junction, with the edges of one as hot as MOSFETs are rated for."""
    return _settled(p, n, p.start_peak_share, p.vgs_th_hot_ceiling)


def _reached(p: Any, n: Any, share: Any) -> Any:
    """The junction with the edges of the first bound; beyond what MOSFETs are rated for it has no equilibrium."""
    edges_at = prefer(smaller(p.tj_bound, n.hottest_mosfet), n.hottest_mosfet)
    settled = _settled(p, n, share, threshold_at(p, n, edges_at))
    return prefer(keep(settled, settled, n.hottest_mosfet), keep(n.t25 * math.inf, n.hottest_mosfet, settled))


@quantity("°C")
def tj_hot(p: Any, n: Any) -> Any:
    """Hottest junction while it carries what lasts, its starts counted by their share of the time.

    On-resistance grows with temperature and heats itself; where heat outruns it there is no equilibrium.
    """
    return _reached(p, n, n.start_share)


@quantity("°C")
def tj_peak(p: Any, n: Any) -> Any:
    """Hottest junction at any moment: at the end of a start or stall, from the hot steady state."""
    return with_starts(p, n, _reached(p, n, p.start_peak_share), prefer(p.tj_limit, n.hottest_mosfet))


@quantity("°C")
def tj_case(p: Any, n: Any) -> Any:
    """Hottest junction that lasts long enough for a case to follow: a start that is over soon is averaged."""
    return p.tj_hot + per_time(n.long_start, p.tj_peak - p.tj_hot)


@quantity("")
def hot_factor(p: Any, n: Any) -> Any:
    """On-resistance factor at the hottest junction."""
    return between(p.rds_on_factors, "tj", "max", larger(p.tj_peak, n.t25), LINEAR)


@quantity("")
def carrying_factor(p: Any, n: Any) -> Any:
    """On-resistance factor of a start: at the hottest junction, else (the gate does not carry it) before it."""
    return prefer(p.hot_factor, between(p.rds_on_factors, "tj", "max", larger(p.tj_hot, n.t25), LINEAR))


@quantity("W")
def edge_loss(p: Any, n: Any) -> Any:
    """Heat of the switching edges at the hottest junction, where they come often enough to count."""
    return _edge_heat(p, n, n.edge_current, p.vgs_th_hot)


@quantity("W")
def start_loss(p: Any, n: Any) -> Any:
    """Heat while a start or stall lasts, at the hottest junction."""
    warm = conduction(p, n, n.start_current, p.hot_factor, n.ambient_max)
    return p.start_on_share * warm + _edge_heat(p, n, n.start_current, p.vgs_th_hot)


@quantity("W")
def dissipation(p: Any, n: Any) -> Any:
    """Heat that it gives off: what warms it, and all the heat of a start that lasts long."""
    return larger((p.tj_hot - n.ambient_max) / p.theta, per_time(n.long_start, p.start_loss))


@quantity("")
def start_factor(p: Any, n: Any) -> Any:
    """Share of a pulse rating given at 25 °C that is left at the hottest junction from which a start sets out."""
    return heat.rating_left(p.tj_max, larger(p.tj_hot, n.t25), n.t25)


@quantity("")
def avalanche_factor(p: Any, n: Any) -> Any:
    """The same at the hottest junction of all, at which it may be switched off."""
    return heat.rating_left(p.tj_max, larger(p.tj_peak, n.t25), n.t25)
