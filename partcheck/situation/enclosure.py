"""Air inside an enclosure: all parts heat it, and a hotter one makes parts lose more."""

import math
from typing import TYPE_CHECKING, Any

from partcheck.situation.many import largest_of, least_of, nowhere_above, rounded_up, sum_of, unknown
from partcheck.situation.situation import Situation

if TYPE_CHECKING:
    from collections.abc import Iterator

ROUNDS = 30
STEP = 0.5
"""K: the air inside is rounded up to this, so that a few milliwatts more or less change nothing."""
HOTTEST = 300.0
"""K: an enclosure that would grow hotter than this over its surroundings has no equilibrium worth telling."""


def _heats(situation: Situation) -> "Iterator[Any]":
    for ref in situation.board.role:
        if "dissipation" in situation.facts(ref).role.quantities:
            yield situation.quantity(ref, "dissipation").value


def settle(situation: Situation) -> Situation:
    """The same board with the air inside as hot as its own parts make it.

    Worst-case heats of all parts are added, so the air is not taken too cool; where the heat of one is not known,
    the air is not known either. Repeated upwards until the heat no longer calls for more.
    """
    theta = situation.board.surroundings.enclosure_theta
    if not theta:
        return situation
    made = situation if not unknown(situation.inside_rise) else situation.again(0.0)
    for _ in range(ROUNDS):
        wanted = least_of([_rise(made, theta), HOTTEST])
        if unknown(wanted):
            return situation.again(math.nan)
        if nowhere_above(wanted, made.inside_rise):
            break
        made = situation.again(largest_of([wanted, made.inside_rise]))
    return made


def _rise(situation: Situation, theta: float) -> Any:
    """What the heat at the present temperatures calls for, rounded up."""
    return rounded_up(theta * sum_of(_heats(situation)), STEP)


def settle_after(before: Situation, after: Situation, ref: str) -> Situation:
    """The board ``after`` a part at ``ref`` was exchanged, from the settled board ``before``.

    Where the new part heats no more than the old one, the old air stands: it is not too cool.
    """
    theta = before.board.surroundings.enclosure_theta
    if not theta or "dissipation" not in before.facts(ref).role.quantities:
        return after
    old, new = before.quantity(ref, "dissipation").value, after.quantity(ref, "dissipation").value
    if new <= old:
        return after
    return settle(after)
