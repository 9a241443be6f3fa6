"""How far a quantity may go: its limits, found on a grid and narrowed, and what gives way beyond."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.sweep.boundary import FINE, Bracket, Holds, grid, narrowed, to_tell
from partcheck.jobs.sweep.quantities import Adjustable
from partcheck.jobs.sweep.run import TriedValues, run
from partcheck.requirement import Verdict
from partcheck.situation import Situation


@dataclass(frozen=True)
class SetBy:
    """What gives way beyond a limit: the place, its part, the requirement, and how it ends there."""

    ref: str
    part: str | None
    requirement: str
    verdict: Verdict

    def __str__(self) -> str:
        part = f" ({self.part})" if self.part is not None else ""
        return f"{self.ref}{part} {self.requirement}"


@dataclass(frozen=True)
class Limit:
    """How far a quantity may go with all else as it stands.

    ``low`` and ``high`` are values at which everything meets, None where nothing bounds it in the range tried;
    ``low_set_by`` and ``high_set_by`` what gives way beyond. ``allowed`` is False where no value in the range serves;
    then ``high_set_by`` is what stands against it now. ``own`` asks the channel's own parts alone.
    """

    quantity: Adjustable
    allowed: bool
    low: float | None
    high: float | None
    low_set_by: SetBy | None
    high_set_by: SetBy | None
    own: bool = False

    @property
    def holds_now(self) -> bool:
        """True where the quantity as it stands is inside."""
        base = self.quantity.base
        return self.allowed and (self.low is None or self.low <= base) and (self.high is None or base <= self.high)


def _holds(own: frozenset[str] | None) -> Holds:
    def everything(tried: TriedValues) -> NDArray[np.bool_]:
        rows = tried.verdicts if own is None else tried.verdicts[[ref in own for ref, _ in tried.where]]
        made: NDArray[np.bool_] = rows.min(axis=0, initial=int(Verdict.MEETS)) >= Verdict.TIGHT
        return made

    return everything


@dataclass(frozen=True)
class WantedLimit:
    """A limit to find: a quantity, and whose requirements count (None: the whole board's)."""

    quantity: Adjustable
    own: frozenset[str] | None = None

    @property
    def key(self) -> tuple[str, str]:
        """The quantity, whatever counts."""
        return self.quantity.key, self.quantity.of


def solved(situation: Situation, wanted: Sequence[WantedLimit]) -> tuple[list[Limit], TriedValues]:
    """Each limit; every quantity is tried once, and all crossings are narrowed in one run per round.

    And what was tried: column 0 is the board as it stands.
    """
    quantities = {w.key: w.quantity for w in wanted}
    values = {key: grid(quantity, FINE) for key, quantity in quantities.items()}
    tried = run(situation, [(quantity, values[key]) for key, quantity in quantities.items()])
    place = dict(zip(quantities, tried.slices, strict=True))
    brackets: dict[tuple[Any, ...], Bracket] = {}
    ends: list[tuple[Any, Any, bool]] = []
    for w in wanted:
        holds, tries = _holds(w.own), values[w.key]
        span = _run_of(holds(tried)[place[w.key]], int(np.argmin(abs(tries - w.quantity.base))))
        made: list[Any] = []
        for inside, outside in ((span[0], span[0] - 1), (span[1], span[1] + 1)) if span is not None else ():
            if not 0 <= outside < len(tries):
                made.append(None)
                continue
            made.append((*w.key, w.own, inside, outside))
            ends_of = float(tries[inside]), float(tries[outside])
            beyond = tried, place[w.key].start + outside
            brackets.setdefault(made[-1], Bracket(w.quantity, holds, *ends_of, beyond=beyond))
        ends.append((*(made or (None, None)), span is not None))
    narrow = dict(zip(brackets, narrowed(situation, list(brackets.values())), strict=True))

    def limit(w: WantedLimit, low: Any, high: Any, allowed: bool) -> Limit:
        told = [None if key is None else to_tell(narrow[key]) for key in (low, high)]
        sets = [None if key is None else _beyond(narrow[key], w.own) for key in (low, high)]
        if not allowed:
            sets[1] = gives_way(tried, 0, w.own)
        return Limit(w.quantity, allowed, told[0], told[1], sets[0], sets[1], w.own is not None)

    return [limit(w, *end) for w, end in zip(wanted, ends, strict=True)], tried


def _beyond(bracket: Bracket, own: frozenset[str] | None) -> SetBy | None:
    """What gives way first beyond a narrowed limit."""
    assert bracket.beyond is not None
    return gives_way(*bracket.beyond, own)


def _run_of(good: NDArray[np.bool_], base: int) -> tuple[int, int] | None:
    """The unbroken run of good values around the base; without one the nearest below it, else above."""
    if not good.any():
        return None
    below = np.flatnonzero(good[: base + 1])
    start = int(below[-1]) if len(below) else base + int(np.argmax(good[base:]))
    low = high = start
    while low > 0 and good[low - 1]:
        low -= 1
    while high < len(good) - 1 and good[high + 1]:
        high += 1
    return low, high


def standing(tried: TriedValues, column: int, own: frozenset[str] | None = None) -> list[SetBy]:
    """What does not meet in a circuit, worst first."""
    verdicts, headrooms = tried.verdicts[:, column], tried.headrooms[:, column]
    rows = [i for i in np.flatnonzero(verdicts < Verdict.TIGHT) if own is None or tried.where[i][0] in own]
    rows.sort(key=lambda i: (verdicts[i], headrooms[i] if headrooms[i] == headrooms[i] else math.inf))
    return [
        SetBy(tried.where[i][0], tried.part_number(tried.where[i][0]), tried.where[i][1], Verdict(int(verdicts[i])))
        for i in rows
    ]


def gives_way(tried: TriedValues, column: int, own: frozenset[str] | None) -> SetBy | None:
    """The worst of them."""
    return next(iter(standing(tried, column, own)), None)
