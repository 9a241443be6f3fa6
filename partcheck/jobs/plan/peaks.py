"""Gaps between conductors, taken apart: which load's voltage is too high for which gap, and what that rests on.

A gap is asked for the highest of many voltages. It is too small if it is so for one of them alone, whatever the
others are: this tells the search which clamp or switch is to blame.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple

from partcheck.board.roles import Pole, Terminal
from partcheck.jobs.plan.options import resting
from partcheck.requirement import Fact
from partcheck.situation import Situation, clearance, paths

CLEARANCE = "clearance"


class TooNear(NamedTuple):
    """A track or terminal with a gap too small for one voltage, and the places that voltage rests on."""

    ref: str
    at: tuple[str, str]
    ground: frozenset[str]


def too_near(situation: Situation) -> list[TooNear]:
    """Every gap that is too small for one voltage alone."""
    made: list[TooNear] = situation.once(("gaps", "all"), lambda: list(_too_near(situation)))
    return made


def _too_near(situation: Situation) -> Iterator[TooNear]:
    board = situation.board
    if board.limits.clearance_column is None:
        return
    loads = [load for _, role in board.switches() for load in role.load]
    everywhere = [*(("rail", name) for name in board.rail), *(("load", name) for name in loads)]
    for name, track in board.track.items():
        if track.spacing is not None:
            for at in everywhere:
                yield from _one(situation, f"track {name}", track.spacing, at)
    for ref, place in board.of_type(Terminal):
        if place.spacing is None:
            continue
        for at in (at for pole in place.poles for at in _reaching(situation, pole)):
            yield from _one(situation, ref, place.spacing, at)


def _reaching(situation: Situation, pole: Pole) -> list[tuple[str, str]]:
    """The loads, or rails, whose voltage a pole of a terminal carries."""
    if pole.side == "return":
        return []
    if pole.side == "switched":
        return [("load", load) for load in pole.load]
    return [("rail", rail) for rail in paths.rails_of(situation, pole.rail, pole.load)]


def _one(situation: Situation, ref: str, spacing: float, at: tuple[str, str]) -> Iterator[TooNear]:
    kind, name = at
    key = ("peak at", kind, name)
    volts: Fact = situation.once(
        key, lambda: situation.rail_peak(name) if kind == "rail" else clearance.switched_peak(situation, name)
    )
    gap = clearance.spacing_needed(situation, volts).value
    if gap is not None and not (gap == gap and gap <= spacing and gap != math.inf):
        yield TooNear(ref, at, resting(situation.board, situation.grounds(key)))
