"""Swap: which known parts can stand in at a place, proved, ranked, and what else must change.

The story: judge every part of the kind in the place as drawn; for those that do not meet, look for a resistor
that cures it; judge the best again with traced numbers, together with every other place that they touch; rank.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from partcheck.jobs.judge.board import judge_board, judge_some
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import around, not_judged
from partcheck.jobs.remedy.lookups import Lookup, lookups
from partcheck.jobs.remedy.remedies import Remedies, remedies
from partcheck.jobs.screen.cures import Cures, cure_by_resistor
from partcheck.jobs.screen.parts import Screened, screen
from partcheck.jobs.screen.resistors import ResistorChange, with_resistor
from partcheck.parts import Part
from partcheck.parts.packages import canonical
from partcheck.ranking import ENOUGH, Rank, why
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle_after
from partcheck.stages import during
from partcheck.stock.columns import Places
from partcheck.stock.known import first

SHOWN = 8
NEAREST = 3
SPARE = 2
"""Judged in full beyond those shown, as the first guess of the order may be a little off."""
MOST = 40
"""Most parts judged in full beyond those shown, where many break a neighbour."""


@dataclass(frozen=True)
class Worsened:
    """Another place of the board that a candidate makes worse."""

    ref: str
    before: Verdict
    after: Verdict
    finding: Finding

    def __str__(self) -> str:
        return f"{self.ref} {self.finding.id}: {self.before.word} becomes {self.after.word}"


@dataclass(frozen=True)
class Candidate:
    """A part judged in the place: as drawn, and, where a resistor cures it, as changed."""

    part: Part
    drawn: Judged
    resistor: ResistorChange | None
    changed: Judged | None
    worsened: tuple[Worsened, ...]
    situation: Situation | None = None
    """The board with it fitted, as changed where it needs a change."""

    @cached_property
    def lookups(self) -> dict[str, list[Lookup]]:
        """What to look up for each unproven requirement; worked out when asked for."""
        if self.situation is None:
            return {}
        unproven = self.judged.with_verdict(Verdict.UNPROVEN)
        return {f.id: lookups(self.situation, self.judged.ref, f) for f in unproven}

    @property
    def judged(self) -> Judged:
        """The one it is ranked by: as changed where there is a change."""
        return self.changed or self.drawn

    @cached_property
    def verdict(self) -> Verdict:
        """Its own verdict, and that of every place it makes worse."""
        return min([self.judged.verdict, *(w.after for w in self.worsened)])

    @cached_property
    def changes(self) -> list[str]:
        """What else must change on the board."""
        made = [str(self.resistor)] if self.resistor is not None else []
        footprint = {finding.id for finding in self.judged.footprint_changes}
        if "package" in footprint:
            made.append(f"land pattern for {canonical(self.part.word('package'))}")
        elif "pin-order" in footprint:
            made.append(f"pin order {self.part.word('pin_order')}")
        elif footprint:
            made.append("land pattern")
        return made

    @property
    def available(self) -> bool:
        """False for a part that is obsolete or out of stock and not on hand."""
        gone = self.part.word("status") in ("obsolete", "out-of-stock")
        return not gone or self.part.number("quantity") > 0

    @property
    def rank(self) -> Rank:
        """What it is ordered by."""
        return Rank(
            self.part.part_number,
            self.verdict,
            self.available,
            len(self.changes),
            self.judged.headroom,
            self.part.number("price"),
            self.part.number("quantity"),
        )


@dataclass(frozen=True)
class Miss:
    """A part that fails, with what it fails by how much."""

    candidate: Candidate
    remedies: Remedies | None = None
    """What would cure it; worked out where no part at all can stand in."""

    @property
    def failing(self) -> list[Finding]:
        """Its failing requirements, worst first."""
        return sorted(self.candidate.judged.with_verdict(Verdict.FAILS), key=lambda f: f.headroom)


@dataclass(frozen=True)
class Swapped:
    """The answer to a swap."""

    setup: Setup
    situation: Situation
    ref: str
    fitted: Judged
    demands: Judged
    candidates: tuple[Candidate, ...]
    compared: int
    counts: dict[Verdict, int]
    why_first: str
    why_not: dict[str, int]
    nearest: tuple[Miss, ...]
    cautions: tuple[str, ...]

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board, around(self.situation.board, self.ref))

    @property
    def verdict(self) -> Verdict:
        """The best stand-in's verdict; fails where there is none."""
        return max((candidate.verdict for candidate in self.candidates), default=Verdict.FAILS)


@during("looking for stand-ins")
def swap(setup: Setup, ref: str, shown: int = SHOWN) -> Swapped:
    """Find the stand-ins for the part at ``ref``."""
    situation = setup.situation
    fitted = judge_place(situation, ref)
    screened = screen(setup, situation, ref)
    known = screened.known
    own = situation.fitted.get(ref)
    others = np.ones(known.count, bool)
    if own is not None and (place := known.place_of(own)) is not None:
        others[place] = False
    cures = cure_by_resistor(situation, ref, screened, np.flatnonzero(others & (screened.overall < Verdict.TIGHT)))
    hopeful = np.flatnonzero(others & (cures.verdict > Verdict.FAILS))
    order = first(known, hopeful, _first_guess(screened, cures), shown + MOST)
    made: list[Candidate] = []
    counts = np.bincount(cures.verdict[others], minlength=len(Verdict))
    for i in order:
        if len([c for c in made if c.verdict >= Verdict.UNPROVEN]) >= shown + SPARE:
            break
        made.append(judge_candidate(setup, situation, ref, known.parts([i])[0], cures.of(i)))
        counts[cures.verdict[i]] -= 1
        counts[made[-1].verdict] += 1
    made.sort(key=lambda candidate: (candidate.rank.key, candidate.part.part_number))
    standing = [c for c in made if c.verdict > Verdict.FAILS][:shown]
    failing = others & (cures.verdict == Verdict.FAILS)
    misses = _nearest(situation, ref, screened, np.flatnonzero(failing), cured=not standing)
    chosen = [candidate.judged for candidate in standing[:1]] or [fitted]
    return Swapped(
        setup,
        situation,
        ref,
        fitted,
        judge_place(situation.replaced(ref, None), ref),
        tuple(standing),
        int(others.sum()),
        {verdict: int(counts[verdict]) for verdict in Verdict},
        why([c.rank for c in standing]),
        _with_neighbours(screened.failures(failing), made),
        tuple(misses),
        tuple(cautions(situation, [fitted, *chosen])),
    )


def _with_neighbours(counted: dict[str, int], made: Sequence[Candidate]) -> dict[str, int]:
    """The counts, with the parts that fit themselves but break a neighbour."""
    for candidate in made:
        if candidate.judged.verdict is Verdict.FAILS:
            continue
        for worse in candidate.worsened:
            if worse.after is Verdict.FAILS:
                name = f"{worse.ref} {worse.finding.id}"
                counted[name] = counted.get(name, 0) + 1
    return counted


def _first_guess(screened: Screened, cures: Cures) -> list[Callable[[Places], Any]]:
    """An order before the parts are judged in full, as :class:`Rank` has it: verdict, stock, changes ..."""
    known = screened.known
    prints = [i for i, id_ in enumerate(screened.ids) if screened.role.requirements[id_].change]

    def gone(places: Places) -> Any:
        on_hand = known.values("quantity", places) > 0
        return known.one_of("status", ("obsolete", "out-of-stock"), places) & ~on_hand

    def changes(places: Places) -> Any:
        footprint = (screened.verdicts[prints][:, places] == Verdict.FAILS).any(axis=0)
        return (cures.which[places] >= 0).astype(int) + footprint

    return [
        lambda places: -cures.verdict[places],
        gone,
        changes,
        lambda places: -np.round(np.clip(screened.least[places], -10.0, ENOUGH), 2),
        lambda places: np.nan_to_num(known.values("price", places), nan=math.inf),
        lambda places: -np.nan_to_num(known.values("quantity", places)),
    ]


def judge_candidate(
    setup: Setup,
    situation: Situation,
    ref: str,
    part: Part,
    resistor: ResistorChange | None = None,
    wanted: bool = False,
) -> Candidate:
    """Judge a part in the place in full: itself as drawn, itself as changed, and every place it touches.

    A resistor that makes nothing better is left aside, unless it is ``wanted``.
    """
    drawn = settle_after(situation, situation.replaced(ref, part), ref)
    as_drawn = judge_place(drawn, ref)
    changed, as_changed = drawn, None
    if resistor is not None:
        board = with_resistor(situation.board, ref, resistor)
        changed = settle_after(situation, situation.replaced(ref, part, board, here_only=True), ref)
        as_changed = judge_place(changed, ref)
        if as_changed.verdict <= as_drawn.verdict and not wanted:
            resistor, as_changed, changed = None, None, drawn
    made = tuple(worsened(setup, situation, changed, ref))
    return Candidate(part, as_drawn, resistor, as_changed, made, changed)


def worsened(setup: Setup, before: Situation, after: Situation, ref: str) -> list[Worsened]:
    """The other places of which a requirement has a worse verdict after the change than before it."""
    made: list[Worsened] = []
    enclosed, beside = before.inside_rise != after.inside_rise, before.board is not after.board
    for old in baseline(before):
        if old.ref == ref:
            continue
        changed = [
            requirement
            for requirement in old.role.requirements.values()
            if enclosed or before.finding_rests_on(old.ref, requirement, ref, beside)
        ]
        known = {finding.id: finding for finding in old.findings}
        for finding in judge_some(after, old.ref, changed):
            was = (
                known[finding.id].verdict if finding.id in known else Verdict.MEETS
            )  # what was not asked stood in no way
            if finding.verdict < was and finding.counts:
                made.append(Worsened(old.ref, was, finding.verdict, finding))
    return made


def baseline(situation: Situation) -> list[Judged]:
    """Every place and link as it stands before a change; made once for a situation."""
    made: list[Judged] = situation.once(("baseline", "all"), lambda: _judge_all(situation))
    return made


def _judge_all(situation: Situation) -> list[Judged]:
    places, links = judge_board(situation)
    return [*places, *links]


def _nearest(situation: Situation, ref: str, screened: Screened, failing: Places, cured: bool) -> list[Miss]:
    """The failing parts that miss by the fewest requirements, then by the least; with solved cures where asked for."""
    keys: list[Callable[[Places], Any]] = [
        lambda places: screened.failing[places],
        lambda places: screened.worst[places],
    ]
    picked = first(screened.known, failing, keys, NEAREST)
    made = []
    for part in screened.known.parts(picked):
        fitted = settle_after(situation, situation.replaced(ref, part), ref)
        judged = judge_place(fitted, ref)
        helped = remedies(fitted, [judged]) if cured else None
        made.append(Miss(Candidate(part, judged, None, None, ()), helped))
    return made
