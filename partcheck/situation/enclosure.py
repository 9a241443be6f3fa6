"""Air inside an enclosure: all parts heat it, and a hotter one makes parts lose more."""

import math

from partcheck.requirement import Fact
from partcheck.situation.heats import heats
from partcheck.situation.many import all_same, largest_of, least_of, names_under, rounded_up, sum_of, unknown
from partcheck.situation.situation import Situation

ROUNDS = 30
STEP = 0.5
"""K: the air inside is rounded up to this, so that a few milliwatts more or less change nothing."""
HOTTEST = 300.0
"""K: an enclosure that would grow hotter than this over its surroundings has no equilibrium worth telling."""


def settle(situation: Situation) -> Situation:
    """The same board with the air inside as hot as its own parts, resistors and logic make it.

    Worst-case heats are added, so the air is not taken too cool; where the heat of one is not known,
    the air is not known either; where one is only bounded, so is the air. Repeated upwards until the heat no
    longer calls for more.
    """
    theta = situation.board.surroundings.enclosure_theta
    if not theta:
        return situation
    made = situation if not unknown(situation.inside_rise) else situation.again(0.0)
    for _ in range(ROUNDS):
        rise = _rise(made, theta)
        wanted = least_of([rise.value, HOTTEST])
        if unknown(wanted):
            return situation.again(math.nan)
        risen = largest_of([wanted, made.inside_rise])
        if all_same(risen, made.inside_rise) and set(rise.bounded) <= set(made.inside.bounded):
            break
        made = situation.again(Fact(risen, bounded=tuple(dict.fromkeys((*made.inside.bounded, *rise.bounded)))))
    return made


def _rise(situation: Situation, theta: float) -> Fact:
    """What the heat at the present temperatures calls for, rounded up."""
    made = list(heats(situation))
    return Fact(rounded_up(theta * sum_of([heat.value for heat in made]), STEP), "", *names_under(made))


def settle_after(before: Situation, after: Situation, ref: str) -> Situation:
    """The board ``after`` a part at ``ref`` was exchanged, from the settled board ``before``.

    Where the new part heats no more than the old one, the old air stands: it is not too cool.
    """
    theta = before.board.surroundings.enclosure_theta
    if not theta or "dissipation" not in before.facts(ref).role.quantities:
        return after
    if before.inside.bounded:
        return settle(after)
    old, new = before.quantity(ref, "dissipation").value, after.quantity(ref, "dissipation").value
    protected = any(rail.protection_drop is not None for rail in after.board.rail.values())
    if new <= old and not protected:  # a protection diode's heat rests on the currents of every part
        return after
    return settle(after)
