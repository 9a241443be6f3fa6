"""Where a circuit quantity crosses from what holds to what does not: found on a grid, then narrowed."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.sweep.quantities import Adjustable
from partcheck.jobs.sweep.run import TriedValues, run
from partcheck.readings.columns import Floats
from partcheck.situation import Situation

Holds = Callable[[TriedValues], NDArray[np.bool_]]
"""For every circuit tried: whether it holds."""
STEPS = 24
"""Values tried on each side of where a quantity stands; closer together near it."""
FINE = 240
"""The same where everything up to a boundary has to hold: steps of 3 % at most, to step over no wider gap."""
INSIDE = 40
ROUNDS = 3
"""A gap is cut into ``INSIDE`` pieces, ``ROUNDS`` times at most: to a millionth of itself or better."""
NARROW = 2e-5
"""A gap that is no larger a share of its value is not cut again: it is told with three digits, seldom with four."""
DIGITS = 4
TOLD = 3
"""Digits of a boundary in an answer, unless they would put it beyond where the circuit stands."""


@dataclass(frozen=True)
class Bracket:
    """Two neighbouring values of a quantity: one at which it holds, one at which it does not."""

    quantity: Adjustable
    holds: Holds
    inside: float
    outside: float
    places: frozenset[str] | None = None
    """The places and links that ``holds`` looks at; None where it may look at all."""
    beyond: tuple[TriedValues, int] | None = field(default=None, compare=False, repr=False)
    """Where the value outside was tried: the run, and its column."""

    @property
    def is_narrow(self) -> bool:
        """True where cutting it again would not change what is told."""
        small = abs(self.outside - self.inside) <= NARROW * max(abs(self.inside), abs(self.outside))
        return bool(self.quantity.choices) or small


def grid(quantity: Adjustable, steps: int = STEPS) -> Floats:
    """The values tried first, ascending: preferred values, or a grid that is denser near where it stands."""
    if quantity.choices:
        return np.array(sorted(quantity.choices))
    if quantity.base != quantity.base:
        return np.geomspace(quantity.low, quantity.high, 3 * steps)
    share = (np.arange(1, steps + 1) / steps) ** 2
    base, parts = quantity.base, [np.array([quantity.base])]
    for end in (quantity.low, quantity.high):
        if quantity.linear:
            parts.append(base + (end - base) * share)
        else:
            parts.append(base * np.exp(math.log(end / base) * share))
    return np.unique(np.concatenate(parts))


def narrowed(situation: Situation, brackets: Sequence[Bracket]) -> list[Bracket]:
    """The same crossings between values next to each other; one run of the board narrows all at once."""
    made = list(brackets)
    for _ in range(ROUNDS):
        live = [i for i, bracket in enumerate(made) if not bracket.is_narrow]
        if not live:
            break
        values = {i: np.linspace(made[i].inside, made[i].outside, INSIDE + 1)[1:] for i in live}
        looked_at = [made[i].places for i in live]
        only = None if None in looked_at else frozenset[str]().union(*(places or () for places in looked_at))
        tried = run(situation, [(made[i].quantity, values[i]) for i in live], only)
        for i, place in zip(live, tried.slices, strict=True):
            good = made[i].holds(tried)[place][:-1]  # the last is the end outside: it is only looked at
            last = int(np.argmin(good)) if not good.all() else len(good)
            ends = np.concatenate([[made[i].inside], values[i]])
            inside, outside = float(ends[last]), float(ends[last + 1])
            made[i] = replace(made[i], inside=inside, outside=outside, beyond=(tried, place.start + last))
    return made


def rounded(value: float, inside_below: bool, offset: float = 0.0, digits: int = DIGITS) -> float:
    """A boundary value with few digits, on the side on which it holds."""
    told = value - offset
    if not math.isfinite(told) or told == 0:
        return value
    step = 10.0 ** (math.floor(math.log10(abs(told))) - digits + 1)
    near = math.floor(told / step) if inside_below else math.ceil(told / step)
    return float(f"{near * step:.{digits + 2}g}") + offset


def to_tell(bracket: Bracket) -> float:
    """The boundary of a narrowed bracket, rounded to the side on which it holds."""
    if bracket.quantity.choices:
        return bracket.inside
    offset = 273.15 if bracket.quantity.unit == "°C" else 0.0
    below, base = bracket.inside <= bracket.outside, bracket.quantity.base
    told = rounded(bracket.inside, below, offset, TOLD)
    low, high = sorted((told, bracket.inside))
    return rounded(bracket.inside, below, offset) if low <= base <= high else told
