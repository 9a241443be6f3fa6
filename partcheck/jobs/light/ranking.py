"""Brightness without a part: every known LED for one place, each with the resistor that gives the wanted light.

The story: solve every LED's resistor at once; judge each behind the two preferred values next to it, in columns;
then judge the best again in full, both values, with every place they touch, and rank.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import around, not_judged
from partcheck.jobs.light.brightness import compare_flux
from partcheck.jobs.light.circuits import Circuit, beyond, choose, circuit, neighbours
from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.operating import ComparedLight, OperatingPoint, compare_light
from partcheck.jobs.light.tried import ScreenedLed, try_known
from partcheck.jobs.light.wanted import WantedLight, fitted_light, indicator_place
from partcheck.jobs.screen.parts import screen
from partcheck.parts import Part
from partcheck.ranking import Rank, why
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.stages import during

SHOWN = 8
MOST = 24
"""Most LEDs judged in full beyond those shown, where many break a neighbour."""
OTHERS = 1000
"""Most LEDs that are listed behind those ranked; all of them are counted."""


@dataclass(frozen=True)
class Ranked:
    """An LED judged in full with the resistor chosen for it; as drawn where no resistor gives the light."""

    entry: ScreenedLed
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
    def ratio(self) -> ComparedLight | None:
        """Light against the fitted LED, with that resistor."""
        return compare_light(self.circuit.point, self.before) if self.before is not None else None

    def flux_ratio(self, fitted: Part | None) -> ComparedLight | None:
        """Flux against the fitted LED, where the angles differ and both state a flux."""
        return compare_flux(self.circuit, self.before, fitted)


@dataclass(frozen=True)
class BrightnessRanking:
    """The answer for every known LED."""

    setup: Setup
    situation: Situation
    ref: str
    wanted: WantedLight
    goal: float
    fitted: Judged
    before: OperatingPoint | None
    ranked: tuple[Ranked, ...]
    others: tuple[ScreenedLed, ...]
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
def rank_brightness(setup: Setup, ref: str, wanted: WantedLight | None = None, shown: int = SHOWN) -> BrightnessRanking:
    """Every known LED for ``ref``, best first; the fitted one among them where another light than its own is wanted."""
    wanted = wanted or WantedLight()
    indicator_place(setup, ref)
    situation = setup.situation
    before = fitted_light(setup, ref, wanted)
    goal = wanted.light(before)
    screened = screen(setup, situation, ref)
    own = situation.fitted.get(ref)
    left_out = screened.known.place_of(own) if wanted.equal and own is not None else None
    others = np.ones(screened.known.count, bool)
    if left_out is not None:
        others[left_out] = False
    tried = try_known(setup, ref, screened, goal)
    order = tried.first(np.flatnonzero(others), shown + MOST + OTHERS)
    entries = list(zip(order, tried.entries(order), strict=True))
    made = _in_full(setup, ref, [entry for _, entry in entries], goal, before, shown)
    standing = [r for r in made if r.verdict > Verdict.FAILS][:shown]
    exact = {r.entry.part.key: r.verdict for r in made}
    counts = np.bincount(tried.verdict[others], minlength=len(Verdict))
    for place, entry in entries:
        if entry.part.key in exact:
            counts[tried.verdict[place]] -= 1
            counts[exact[entry.part.key]] += 1
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
        tuple(entry for _, entry in entries if entry.part.key not in listed)[:OTHERS],
        {verdict: int(counts[verdict]) for verdict in Verdict},
        int(others.sum()),
        _why_first(standing),
        _why_not(tried.failures(others), made),
        tuple(cautions(situation, [fitted, *chosen])),
    )


def _in_full(
    setup: Setup, ref: str, entries: Sequence[ScreenedLed], goal: float, before: OperatingPoint | None, shown: int
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


def _why_not(counted: dict[str, int], made: Sequence[Ranked]) -> dict[str, int]:
    """How many LEDs fail each requirement, neighbours that they break among them."""
    for ranked in made:
        broken = [f"{w.ref} {w.finding.id}" for w in ranked.circuit.candidate.worsened if w.after is Verdict.FAILS]
        for name in broken + [f.id for f in ranked.circuit.candidate.judged.with_verdict(Verdict.FAILS)]:
            counted[name] = counted.get(name, 0) + 1
    return dict(sorted(counted.items(), key=lambda item: (-item[1], item[0])))
