"""Air inside an enclosure: all parts heat it, and a hotter one makes parts lose more."""

import math
from typing import TYPE_CHECKING

from partcheck.situation.situation import Situation

if TYPE_CHECKING:
    from collections.abc import Iterator

ROUNDS = 30
HOTTEST = 300.0
"""K: an enclosure that would grow hotter than this over its surroundings has no equilibrium worth telling."""


def _heats(situation: Situation) -> "Iterator[float]":
    for ref in situation.board.role:
        if "dissipation" in situation.facts(ref).role.quantities:
            yield situation.quantity(ref, "dissipation").value


def settle(situation: Situation) -> Situation:
    """The same board with the air inside as hot as its own parts make it.

    Worst-case heats of all parts are added, so the air is not taken too cool; where the heat of one is not known,
    the air is not known either. Repeated until it changes by less than 0.05 K.
    """
    theta = situation.board.surroundings.enclosure_theta
    if not theta:
        return situation
    rise = 0.0
    for _ in range(ROUNDS):
        made = _at(situation, rise)
        heat = math.fsum(_heats(made))
        if heat != heat:
            return _at(situation, math.nan)
        following = min(theta * heat, HOTTEST)
        if abs(following - rise) < 0.05:
            return _at(situation, max(following, rise))
        rise = following
    return _at(situation, HOTTEST)


def _at(situation: Situation, rise: float) -> Situation:
    made = Situation(situation.board, situation.fitted, situation.policy, rise)
    made.drawn = situation.drawn
    return made
