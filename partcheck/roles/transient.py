"""How far a junction warms in pulses: one reading of the datasheet for every part that heats.

A pulse that lasts reaches the whole rise, power times the resistance from junction to air. A shorter one reaches the
share that the stated transient impedance allows. What lasts longer than anything stated counts as steady.

A train of equal pulses, each as long as one that reaches the share z by itself, on for the share D of the time,
reaches no more than D + (1 - D) z of the whole. That holds for every body of resistances and heat capacities, not only
about: such a body answers with a sum of exponentials, and for each of them, with q what is left after one pulse,
(1 - q)/(1 - q^(1/D)) <= D + (1 - D)(1 - q), since q^(1/D - 1) (1 - (1 - D) q) rises with q and is D at q = 1. So
chopping, repeated starts, and starts of a chopped load are read with the same two numbers.
tests/situation/test_transient.py drives thermal ladders.
"""

from typing import Any

from partcheck.operations import keep, per_time, prefer, smaller, sqrt
from partcheck.physics import heat
from partcheck.points import greatest, least
from partcheck.requirement import Role
from partcheck.roles.common import smaller_known


def add_die(role: Role) -> None:
    """Declare what is taken of any die and case where the datasheet says nothing of a pulse."""
    role.fact("case_still", "s", "pulse in which a case hardly warms")
    role.fact("junction_still", "s", "longest pulse for which the usual impedance of a die is taken")
    role.fact("die_impedance", "K/W", "transient impedance of a small die at the end of such a pulse, at most")


def add_chopping(role: Role, rows: bool = True) -> None:
    """Declare what chopping makes of the heat: ``on_share``. ``rows`` says that the kind states ``zth``."""
    role.fact("on_duty", "", "largest share of the time on")
    role.fact("on_time", "s", "longest time on without a break")
    add_die(role)

    def on_single(p: Any, n: Any) -> Any:
        """Share of the steady rise that one pulse of the chopping reaches by itself."""
        return prefer(single(p, n, n.on_time, rows), 1.0)

    def on_share(p: Any, n: Any) -> Any:
        """Share of the steady rise that the chopping reaches at most."""
        return heat.train_share(n.on_duty, p.on_single)

    role.quantity("")(on_single)
    role.quantity("")(on_share)


def single(p: Any, n: Any, time: Any, rows: bool = True) -> Any:
    """Share of the steady rise that one pulse reaches by itself; missing where nothing says so.

    By the transient impedance: the row of the next longer pulse. A short pulse warms a junction by no more than
    the usual impedance of a small die; a row stated for a pulse as short counts instead.
    """
    die = keep(die_share(p, n, time, rows), time, n.junction_still)
    stated = _stated(p, n, time, rows)
    bounded = smaller_known(die, stated)
    if not rows:
        return bounded
    short = least(p.zth, lambda row: keep(_usable(n, row, time), row.pulse_width, n.junction_still))
    return prefer(keep(smaller(short / p.theta, 1.0), time, n.junction_still), bounded)


def die_share(p: Any, n: Any, time: Any, rows: bool = True) -> Any:
    """Share of the steady rise that a pulse reaches by the usual impedance of a small die, which grows with its root.

    Missing where a stated row, brought to the same length by the same law, lies above it: that is no such die.
    """
    share = smaller(n.die_impedance * sqrt(time / n.junction_still) / p.theta, 1.0)
    if not rows:
        return share
    most = greatest(p.zth, lambda row: row.max * sqrt(n.junction_still / row.pulse_width))
    return keep(share, prefer(most, 0.0 * n.die_impedance), n.die_impedance)


def add_starts(role: Role, chopped: bool = True) -> None:
    """Declare what starts make of the heat: ``start_peak_share``, and ``start_on_share`` where they may be chopped."""
    role.fact("start_current", "A", "largest current of a start or stall; what lasts, where there is none")
    role.fact("starts", "", "1 where it starts with an inrush or a stall")
    role.fact("start_time", "s", "how long a start or stall lasts; without end where there is none")
    role.fact("start_share", "", "share of the time that starts take, at the stated rate")
    role.fact("long_start", "", "1 where a start is longer than what is slow averages")
    role.fact("settled_time", "s", "time after which a part on its board is as warm as it gets")

    def start_stated(p: Any, n: Any) -> Any:
        """Share of the steady rise that one start reaches by itself, as far as that is known."""
        return prefer(keep(1.0, n.settled_time, n.start_time), _stated(p, n, n.start_time))

    def start_single(p: Any, n: Any) -> Any:
        """The same; all of it where nothing is stated."""
        return prefer(p.start_stated, 1.0)

    def start_peak_share(p: Any, n: Any) -> Any:
        """Share of the steady rise that starts reach at the end of one, at the rate at which they come."""
        return per_time(n.starts, heat.train_share(n.start_share, p.start_single))

    def start_on_share(p: Any, n: Any) -> Any:
        """Share that chopping reaches of the rise to which a start leads."""
        return heat.train_share(n.on_duty, smaller(p.on_single / p.start_single, 1.0))

    role.quantity("")(start_stated)
    role.quantity("")(start_single)
    role.quantity("")(start_peak_share)
    if chopped:
        role.quantity("")(start_on_share)


def with_starts(p: Any, n: Any, temperature: Any, limit: Any) -> Any:
    """A temperature to which starts lead.

    Where nothing says how far a start warms the junction it counts as if it lasted: what stays within the limit all the
    same is proved; what does not is missing, since it may well be harmless.
    """
    known = temperature * (1.0 + per_time(n.starts, 0.0 * p.start_stated))
    return prefer(known, prefer(keep(temperature, temperature, limit), known))


def _stated(p: Any, n: Any, time: Any, rows: bool = True) -> Any:
    """Share of the steady rise that a pulse reaches, as far as the datasheet says; never more than all of it.

    The next longer stated pulse, or a shorter one in proportion to the time: a body of resistances and capacities warms
    ever slower. A row against the case counts only for pulses in which a case hardly warms; so does
    the steady resistance to the case.
    """
    case = keep(p.theta_jc, time, n.case_still)
    if not rows:
        return smaller(case / p.theta, 1.0)

    stated = impedance(p, n, time)
    both = smaller_known(case, stated)
    return smaller(both / p.theta, 1.0)


def impedance(p: Any, n: Any, time: Any) -> Any:
    """Largest transient impedance of a pulse, by the stated rows; missing where there is none."""

    def bound(row: Any) -> Any:
        return prefer(_usable(n, row, time), _where(n, row, time) * time / row.pulse_width)

    return least(p.zth, bound)


def _where(n: Any, row: Any, time: Any) -> Any:
    """The impedance of a row: against the case only for pulses in which a case hardly warms."""
    return prefer(keep(row.max, time, n.case_still), keep(row.max, 1.0, row.reference))


def _usable(n: Any, row: Any, time: Any) -> Any:
    """The impedance of a row that is stated for no shorter a pulse."""
    return keep(_where(n, row, time), time, row.pulse_width)
