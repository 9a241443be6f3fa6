"""Every known LED with the better of its two preferred resistors, in columns, in an order that is a first guess."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.judge.place import tight
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.light.circuits import PAST, SAME_VALUE
from partcheck.jobs.light.equal import (
    BELOW,
    HIGH,
    LOW,
    REACHED,
    STATES,
    UNKNOWN,
    WEAK,
    Floats,
    Solutions,
    Solved,
    facts_with,
    solve_known,
    typical_light,
)
from partcheck.jobs.light.wanted import indicator_place
from partcheck.jobs.screen.parts import Screened
from partcheck.parts import Part
from partcheck.physics.preferred import series_values
from partcheck.ranking import ENOUGH
from partcheck.readings.verdicts import judge_columns
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.stock.columns import Places
from partcheck.stock.known import first
from partcheck.stock.stock import Columns


@dataclass(frozen=True)
class ScreenedLed:
    """An LED as screened: its resistor (NaN where none gives the light), its verdict with it, and what fails."""

    part: Part
    solved: Solved
    resistance: float
    light: float
    current: float
    verdict: Verdict
    failing: tuple[str, ...]
    unproven: tuple[str, ...]


@dataclass
class Tried:
    """What became of every known LED with its resistor, one column each."""

    screened: Screened
    solved: Solutions
    verdicts: NDArray[np.int8]
    """Shape (requirements, LEDs): with the resistor that is the better one."""
    verdict: NDArray[np.int8]
    ohms: Floats
    light: Floats
    current: Floats
    least: Floats
    """The least known headroom with that resistor, counted up to what earns something."""

    def _is(self, *states: str) -> NDArray[np.bool_]:
        return np.isin(self.solved.state, [STATES.index(state) for state in states])

    def first(self, places: Places, most: int) -> list[int]:
        """The first of these LEDs by verdict, resistor, stock, land pattern, headroom and price."""
        screened, known = self.screened, self.screened.known
        prints = [i for i, id_ in enumerate(screened.ids) if screened.role.requirements[id_].change]

        def gone(places: Places) -> Any:
            on_hand = known.values("quantity", places) > 0
            return known.one_of("status", ("obsolete", "out-of-stock"), places) & ~on_hand

        keys: list[Callable[[Places], Any]] = [
            lambda places: -self.verdict[places],
            lambda places: ~self._is(REACHED)[places],
            gone,
            lambda places: (self.verdicts[prints][:, places] == Verdict.FAILS).any(axis=0),
            lambda places: -np.round(self.least[places], 2),
            lambda places: np.nan_to_num(known.values("price", places), nan=np.inf),
        ]
        return first(known, places, keys, most)

    def entries(self, places: Sequence[int]) -> list[ScreenedLed]:
        """Some of the LEDs, each told as a whole."""
        parts = self.screened.known.parts(places)
        return [self._entry(place, part) for place, part in zip(places, parts, strict=True)]

    def _entry(self, place: int, part: Part) -> ScreenedLed:
        solved, verdicts, role = self.solved.of(place), self.verdicts[:, place], self.screened.role
        found = [(i, v) for i, v in zip(self.screened.ids, verdicts, strict=True) if not role.requirements[i].change]
        failing, unproven = (
            tuple(i for i, each in found if each == verdict) for verdict in (Verdict.FAILS, Verdict.UNPROVEN)
        )
        ohms = light = current = np.nan
        if solved.state == REACHED:
            ohms, light, current = (float(column[place]) for column in (self.ohms, self.light, self.current))
        return ScreenedLed(part, solved, ohms, light, current, Verdict(self.verdict[place]), failing, unproven)

    def failures(self, among: NDArray[np.bool_]) -> dict[str, int]:
        """How many of these LEDs fail each requirement, or for want of light alone."""
        failing = among & (self.verdict == Verdict.FAILS)
        made: dict[str, int] = {}
        without = failing.copy()
        for i, id_ in enumerate(self.screened.ids):
            if self.screened.role.requirements[id_].change:
                continue
            these = failing & (self.verdicts[i] == Verdict.FAILS)
            without &= ~these
            if these.any():
                made[id_] = int(these.sum())
        return made | ({"light": int(without.sum())} if without.any() else {})


def try_known(setup: Setup, ref: str, screened: Screened, goal: float) -> Tried:
    """Solve the resistor of every known LED and judge it behind the preferred values next to that."""
    solved = solve_known(setup.situation, ref, screened.known, goal)
    count = screened.known.count
    made = Tried(
        screened,
        solved,
        np.empty((len(screened.ids), count), np.int8),
        np.empty(count, np.int8),
        *(np.empty(count) for _ in range(4)),
    )
    drawn = indicator_place(setup, ref).resistor.typ
    sides = _values(setup.board_file.board.series, solved)
    for low, high, columns in screened.known.pieces():
        stretch = slice(low, high)
        reached = made._is(REACHED)[stretch]
        below, above = (_Side(setup.situation, ref, columns, ohms[stretch], screened.ids) for ohms in sides)
        side = below.better(above, reached, goal)
        same = np.isclose(side.ohms, drawn, rtol=SAME_VALUE) | made._is(UNKNOWN)[stretch]
        made.verdicts[:, stretch] = np.where(same, screened.verdicts[:, stretch], side.verdicts)
        for name in ("ohms", "light", "current", "least"):
            getattr(made, name)[stretch] = getattr(side, name)
    counted = [i for i, id_ in enumerate(screened.ids) if not screened.role.requirements[id_].change]
    worst = made.verdicts[counted].min(axis=0, initial=int(Verdict.MEETS))
    ceiling = np.where(made._is(REACHED), Verdict.MEETS, np.where(made._is(WEAK), Verdict.FAILS, Verdict.UNPROVEN))
    made.verdict[:] = np.minimum(worst, ceiling)
    return made


def _values(series: str, solved: Solutions) -> tuple[Floats, Floats]:
    """Resistors to judge with: the preferred ones, else one past the end of the curves; NaN where no light is known."""
    values = np.array(series_values(series, LOW / 10, HIGH * 10))
    reached, near = solved.state == STATES.index(REACHED), 1e-9
    below = np.searchsorted(values, solved.resistance * (1 + near), "right") - 1
    above = np.minimum(np.searchsorted(values, solved.resistance * (1 - near)), len(values) - 1)
    further = np.where(solved.state == STATES.index(BELOW), solved.resistance * PAST, solved.resistance / PAST)
    lower, upper = (np.where(reached, values[place], further) for place in (below, above))
    return lower, upper


class _Side:
    """Parts behind one of their two preferred resistors."""

    def __init__(self, situation: Situation, ref: str, columns: Columns, ohms: Floats, ids: Sequence[str]) -> None:
        role = situation.facts(ref).role
        judged = judge_columns(role, columns, facts_with(situation, ref, ohms), len(ohms), tight(situation))
        assert judged.ids == tuple(ids)
        self.ohms, self.verdicts = ohms, judged.verdicts
        self.overall = judged.overall(role)
        self.light, self.current = typical_light(situation, ref, columns)(ohms)
        known = np.where(np.isnan(judged.headrooms), np.inf, judged.headrooms)
        self.least = np.minimum(known.min(axis=0, initial=np.inf), ENOUGH)

    def better(self, other: "_Side", reached: NDArray[np.bool_], goal: float) -> "_Side":
        """For each part the better verdict, then the light nearer to the wanted one, then the larger resistor."""
        with np.errstate(all="ignore"):
            mine, theirs = (np.abs(np.log(side.light / goal)) for side in (self, other))
        nearer = (theirs < mine) | ((theirs == mine) & (other.ohms > self.ohms))
        take = reached & ((other.overall > self.overall) | ((other.overall == self.overall) & nearer))
        made = object.__new__(_Side)
        for name in ("ohms", "verdicts", "overall", "light", "current", "least"):
            setattr(made, name, np.where(take, getattr(other, name), getattr(self, name)))
        return made
