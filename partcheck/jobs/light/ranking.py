"""Brightness without a part: every known LED for one place, each with the resistor that gives the wanted light.

The story: solve every LED's resistor at once; judge each behind the two preferred values next to it, in columns;
then judge the best again in full, both values, with every place they touch, and rank.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged, judge_place, tight
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import around, not_judged
from partcheck.jobs.light.brightness import compare_flux
from partcheck.jobs.light.circuits import SAME_VALUE, Circuit, beyond, choose, circuit, neighbours, past, preferred
from partcheck.jobs.light.equal import REACHED, UNKNOWN, WEAK, Floats, Solved, facts_with, solve_light, typical_light
from partcheck.jobs.light.operating import Compared, OperatingPoint, compare_light
from partcheck.jobs.light.wanted import Wanted, fitted_light, indicator_place
from partcheck.jobs.screen.parts import Screened, screen
from partcheck.parts import Part
from partcheck.ranking import ENOUGH, Rank, why
from partcheck.readings.columns import columns_of, judge_columns
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.stages import during

SHOWN = 8
MOST = 24
"""Most LEDs judged in full beyond those shown, where many break a neighbour."""


@dataclass(frozen=True)
class Entry:
    """An LED as screened: its resistor (NaN where none gives the light), its verdict with it, and what fails."""

    part: Part
    solved: Solved
    resistance: float
    light: float
    current: float
    verdict: Verdict
    failing: tuple[str, ...]
    unproven: tuple[str, ...]


@dataclass(frozen=True)
class Ranked:
    """An LED judged in full with the resistor chosen for it; as drawn where no resistor gives the light."""

    entry: Entry
    circuit: Circuit
    before: OperatingPoint | None
    verdict: Verdict

    @property
    def has_resistor(self) -> bool:
        """True where a resistor gives the wanted light."""
        return self.entry.solved.state == REACHED

    @property
    def rank(self) -> Rank:
        """What it is ordered by."""
        return self.circuit.candidate.rank._replace(verdict=self.verdict)

    @property
    def key(self) -> tuple[float, ...]:
        """Sorts the best first: of one verdict, those with a resistor for the wanted light come first."""
        return (-int(self.verdict), float(not self.has_resistor), *self.rank.key)

    @property
    def ratio(self) -> Compared | None:
        """Light against the fitted LED, with that resistor."""
        return compare_light(self.circuit.point, self.before) if self.before is not None else None

    def flux_ratio(self, fitted: Part | None) -> Compared | None:
        """Flux against the fitted LED, where the angles differ and both state a flux."""
        return compare_flux(self.circuit, self.before, fitted)


@dataclass(frozen=True)
class BrightnessRanking:
    """The answer for every known LED."""

    setup: Setup
    situation: Situation
    ref: str
    wanted: Wanted
    goal: float
    fitted: Judged
    before: OperatingPoint | None
    ranked: tuple[Ranked, ...]
    others: tuple[Entry, ...]
    counts: dict[Verdict, int]
    compared: int
    why_first: str
    why_not: dict[str, int]
    cautions: tuple[str, ...]

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board, around(self.situation.board, self.ref))

    @property
    def resistance(self) -> float:
        """The resistor as drawn."""
        return float(indicator_place(self.setup, self.ref).resistor.typ)

    @property
    def verdict(self) -> Verdict:
        """The best LED's; fails where there is none."""
        return max((made.verdict for made in self.ranked), default=Verdict.FAILS)


@during("comparing LEDs")
def rank_brightness(setup: Setup, ref: str, wanted: Wanted | None = None, shown: int = SHOWN) -> BrightnessRanking:
    """Every known LED for ``ref``, best first; the fitted one among them where another light than its own is wanted."""
    wanted = wanted or Wanted()
    indicator_place(setup, ref)
    situation = setup.situation
    before = fitted_light(setup, ref, wanted)
    goal = wanted.light(before)
    screened = screen(setup, situation, ref)
    own = situation.fitted.get(ref)
    left_out = screened.known.place_of(own) if wanted.equal and own is not None else None
    picked = [i for i in range(screened.known.count) if i != left_out]
    entries = _entries(setup, ref, screened, picked, goal)
    made = _in_full(setup, ref, entries, goal, before, shown)
    standing = [r for r in made if r.verdict > Verdict.FAILS][:shown]
    exact = {r.entry.part.key: r.verdict for r in made}
    verdicts = [exact.get(entry.part.key, entry.verdict) for entry in entries]
    counts = {verdict: verdicts.count(verdict) for verdict in Verdict}
    listed = {r.entry.part.key for r in standing}
    fitted = judge_place(situation, ref)
    chosen = [standing[0].circuit.candidate.judged] if standing else []
    return BrightnessRanking(
        setup,
        situation,
        ref,
        wanted,
        goal,
        fitted,
        before,
        tuple(standing),
        tuple(e for e in entries if e.part.key not in listed),
        counts,
        len(entries),
        _why_first(standing),
        _why_not(entries, made),
        tuple(cautions(situation, [fitted, *chosen])),
    )


def _in_full(
    setup: Setup, ref: str, entries: Sequence[Entry], goal: float, before: OperatingPoint | None, shown: int
) -> list[Ranked]:
    """The first of them judged in full, best first."""
    made: list[Ranked] = []
    for entry in entries:
        if entry.verdict is Verdict.FAILS:
            break  # from here on all fail
        if sum(r.verdict > Verdict.FAILS for r in made) >= shown or len(made) >= shown + MOST:
            break
        best = choose(neighbours(setup, ref, entry.part, entry.solved), goal)
        if best is not None:
            made.append(Ranked(entry, best, before, best.verdict))
        else:
            drawn = circuit(setup, ref, entry.part, None)
            made.append(Ranked(entry, drawn, before, beyond(setup, ref, drawn, entry.solved)))
    return sorted(made, key=lambda r: (r.key, r.entry.part.part_number))


def _why_first(ranked: Sequence[Ranked]) -> str:
    if len(ranked) > 1 and ranked[0].verdict == ranked[1].verdict and not ranked[1].has_resistor:
        first, second = (r.entry.part.part_number for r in ranked[:2])
        if ranked[0].has_resistor:
            return f"{first} comes before {second}: for the other no resistor is known to give the wanted light."
    return why([r.rank for r in ranked])


def _entries(setup: Setup, ref: str, screened: Screened, picked: Sequence[int], goal: float) -> list[Entry]:
    """Every LED with the better of its two preferred resistors, in an order that is a first guess of the ranking."""
    situation, parts = setup.situation, screened.known.parts(picked)
    drawn = indicator_place(setup, ref).resistor.typ
    solved = (
        solve_light(situation, ref, parts, goal)
        if goal == goal
        else [Solved(UNKNOWN, np.nan, np.nan, np.nan) for _ in parts]
    )
    series = setup.board_file.board.series
    values = [_values(series, s) for s in solved]
    sides = [_Side(situation, ref, parts, np.array([pair[k] for pair in values])) for k in (0, -1)]
    made: list[tuple[tuple[float, ...], Entry]] = []
    for k, part in enumerate(parts):
        side = sides[0]
        if solved[k].state == REACHED:
            side = min(sides, key=lambda made, k=k: made.order(k, goal))  # type: ignore[misc]
        same = np.isclose(side.ohms[k], drawn, rtol=SAME_VALUE) or solved[k].state == UNKNOWN
        verdicts = screened.verdicts[:, picked[k]] if same else side.judged.verdicts[:, k]
        entry, order = _entry(part, solved[k], side, k, dict(zip(side.judged.ids, verdicts, strict=True)), situation)
        made.append((order, entry))
    return [entry for _, entry in sorted(made, key=lambda pair: (pair[0], pair[1].part.part_number))]


def _values(series: str, solved: Solved) -> list[float]:
    """Resistors to judge with: the preferred ones, else one past the end of the curves; NaN where no light is known."""
    if solved.state == REACHED:
        return preferred(series, solved.resistance)
    return [np.nan if solved.state == UNKNOWN else past(solved)]


class _Side:
    """All parts behind one of their two preferred resistors."""

    def __init__(self, situation: Situation, ref: str, parts: Sequence[Part], ohms: Floats) -> None:
        role = situation.facts(ref).role
        columns = columns_of(role.kind, parts)
        self.ohms, self.role = ohms, role
        self.judged = judge_columns(role, columns, facts_with(situation, ref, ohms), len(parts), tight(situation))
        self.overall: Any = self.judged.overall(role)
        self.light, self.current = typical_light(situation, ref, parts)(ohms)

    def order(self, k: int, goal: float) -> tuple[float, ...]:
        """The better verdict first, then the light nearer to the wanted one."""
        return -int(self.overall[k]), abs(float(np.log(self.light[k] / goal))), -float(self.ohms[k])


def _entry(
    part: Part, solved: Solved, side: _Side, k: int, verdicts: dict[str, Any], situation: Situation
) -> tuple[Entry, tuple[float, ...]]:
    changes = {id_ for id_ in verdicts if side.role.requirements[id_].change}
    named = {v: tuple(i for i, f in verdicts.items() if f == v and i not in changes) for v in Verdict}
    worst = min((Verdict(v) for i, v in verdicts.items() if i not in changes), default=Verdict.MEETS)
    if solved.state != REACHED:
        worst = min(worst, Verdict.FAILS if solved.state == WEAK else Verdict.UNPROVEN)
    reached = solved.state == REACHED
    ohms, light, current = (float(values[k]) if reached else np.nan for values in (side.ohms, side.light, side.current))
    entry = Entry(part, solved, ohms, light, current, worst, named[Verdict.FAILS], named[Verdict.UNPROVEN])
    gone = part.word("status") in ("obsolete", "out-of-stock") and not part.number("quantity") > 0
    footprint = float(any(verdicts[id_] == Verdict.FAILS for id_ in changes))
    known = [h for h in side.judged.headrooms[:, k] if h == h]
    price = part.number("price")
    return entry, (
        -int(worst),
        float(solved.state != REACHED),
        float(gone),
        footprint,
        -round(min([*known, ENOUGH]), 2),
        price if price == price else np.inf,
    )


def _why_not(entries: Sequence[Entry], made: Sequence[Ranked]) -> dict[str, int]:
    """How many LEDs fail each requirement, neighbours that they break among them."""
    counted: dict[str, int] = {}
    names = [name for entry in entries if entry.verdict is Verdict.FAILS for name in entry.failing or ("light",)]
    for ranked in made:
        broken = [f"{w.ref} {w.finding.id}" for w in ranked.circuit.candidate.worsened if w.after is Verdict.FAILS]
        names += broken + [f.id for f in ranked.circuit.candidate.judged.with_verdict(Verdict.FAILS)]
    for name in names:
        counted[name] = counted.get(name, 0) + 1
    return dict(sorted(counted.items(), key=lambda item: (-item[1], item[0])))
