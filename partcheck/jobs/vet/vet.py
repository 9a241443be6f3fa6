"""Vet: may a heavier or higher-voltage load be connected, and if not, what gives way first?

The story: write what was asked for into the board file and judge the whole board before and after; follow the
load's current link by link; where requirements stop meeting, find on the way from one board to the other where
each does; look for clamps that would cure what the turn-off breaks.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from partcheck.jobs.change.board import Change, wanted
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import along, not_judged
from partcheck.jobs.vet.clamps import Clamping, other_clamps
from partcheck.jobs.vet.figures import ComparedFigure, compare, figures
from partcheck.jobs.vet.path import PathLink, not_on_path, path_of
from partcheck.jobs.vet.way import GivenWay, Way
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.stages import during

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies


@dataclass(frozen=True)
class PathStep:
    """A link of the path, before and after; None where the path did not have it, or has it no more."""

    stage: str
    ref: str
    before: PathLink | None
    after: PathLink | None


@dataclass(frozen=True)
class Vetted:
    """The answer to a vet."""

    setup: Setup
    as_changed: Setup
    load: str
    changes: tuple[Change, ...]
    asked_notes: tuple[str, ...]
    steps: tuple[PathStep, ...]
    not_stated: tuple[str, ...]
    figures: tuple[ComparedFigure, ...]
    before: tuple[Judged, ...]
    places: tuple[Judged, ...]
    links: tuple[Judged, ...]
    gives_way: tuple[GivenWay, ...]
    unproven: tuple[tuple[str, Finding | None, Finding], ...]
    failed_before: tuple[tuple[str, Finding], ...]
    clamping: Clamping | None
    cautions: tuple[str, ...]
    new_cautions: tuple[str, ...]
    with_remedies: bool = True
    """False where what would help is not looked for."""

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board, along(self.situation.board, self.load))

    @property
    def after(self) -> tuple[Judged, ...]:
        """Every place and link of the board as changed."""
        return (*self.places, *self.links)

    @cached_property
    def verdict(self) -> Verdict:
        """Of the whole board as changed."""
        return min((judged.verdict for judged in self.after), default=Verdict.MEETS)

    @cached_property
    def verdict_before(self) -> Verdict:
        """Of the whole board as it is."""
        return min((judged.verdict for judged in self.before), default=Verdict.MEETS)

    @cached_property
    def remedies(self) -> "Remedies":
        """What would help where the board as changed does not meet; worked out when asked for."""
        from partcheck.jobs.remedy.remedies import Remedies, remedies

        if not self.with_remedies:
            return Remedies({}, {})
        return remedies(self.situation, self.after)

    @property
    def situation(self) -> Situation:
        """The board as changed."""
        return self.as_changed.situation

    @cached_property
    def on_path(self) -> frozenset[str]:
        """References of places and links that the load's current passes."""
        refs = {step.after.judged.ref for step in self.steps if step.after is not None and step.after.judged}
        terminals = {ref for ref in self.situation.board.role if any(name.startswith(f"{ref} ") for name in refs)}
        return frozenset(refs | terminals)

    @cached_property
    def less(self) -> list[tuple[str, Finding, Finding]]:
        """What goes on meeting with less headroom than before: reference, finding before and after."""
        was = by_requirement(self.before)
        made = [
            (judged.ref, old, new)
            for judged in self.after
            for new in judged.findings
            if (old := was.get((judged.ref, new.id))) is not None
            and min(old.verdict, new.verdict) >= Verdict.TIGHT
            and new.headroom < old.headroom - 1e-9
        ]
        return sorted(made, key=lambda item: item[2].headroom)


def by_requirement(judged: Sequence[Judged]) -> dict[tuple[str, str], Finding]:
    """Every finding by place and requirement."""
    return {(made.ref, finding.id): finding for made in judged for finding in made.findings}


@during("judging the board before and after")
def vet(setup: Setup, load: str, asked: Asked | None = None, with_remedies: bool = True) -> Vetted:
    """Judge the board as it is and with what is asked of one load.

    What would help is looked for when it is told, or never: verdicts and what gives way first come without it.
    """
    want = wanted(setup, load, asked or Asked())
    after = want.after or setup
    before_all = judge_board(setup.situation)
    places, links = judge_board(after.situation) if want.changes else before_all
    every = [*places, *links]
    before = [*before_all[0], *before_all[1]]
    lost = _lost(before, every) if want.changes else []
    way = Way(setup.situation, after.situation, load)
    given = sorted(way.given([item for item in lost if item[2].verdict is Verdict.FAILS]), key=_order)
    unproven = tuple((ref, old, new) for ref, old, new in lost if new.verdict is Verdict.UNPROVEN)
    was = set(cautions(setup.situation, before_all[0]))
    now = tuple(cautions(after.situation, places))
    known = by_requirement(before)
    return Vetted(
        setup,
        after,
        load,
        want.changes,
        want.notes,
        tuple(steps_of(setup.situation, after.situation, load)),
        tuple(not_on_path(after.board_file.board, load, path_of(after.situation, load))),
        tuple(compare(figures(setup.situation, load), figures(after.situation, load))),
        tuple(before),
        tuple(places),
        tuple(links),
        tuple(given),
        unproven,
        tuple(
            (made.ref, f)
            for made in every
            for f in made.with_verdict(Verdict.FAILS)
            if (old := known.get((made.ref, f.id))) is not None and old.verdict is Verdict.FAILS
        ),
        other_clamps(after, load, every),
        now,
        tuple(c for c in now if c not in was),
        with_remedies,
    )


def steps_of(before: Situation, after: Situation, load: str) -> list[PathStep]:
    """The paths of both boards side by side, in the order of the one as changed."""
    was, now = path_of(before, load), path_of(after, load)
    known = {link.ref: link for link in was}
    there = {link.ref for link in now}
    made = [PathStep(link.stage, link.ref, known.get(link.ref), link) for link in now]
    return made + [PathStep(link.stage, link.ref, link, None) for link in was if link.ref not in there]


def _lost(before: Sequence[Judged], after: Sequence[Judged]) -> list[tuple[str, Finding | None, Finding]]:
    """What fails or is unproven as changed and did not stand so low before."""
    was = by_requirement(before)
    made = []
    for judged in after:
        for finding in judged.findings:
            old = was.get((judged.ref, finding.id))
            low = finding.verdict in (Verdict.FAILS, Verdict.UNPROVEN) and finding.counts
            if low and (old is None or finding.verdict < old.verdict):
                made.append((judged.ref, old, finding))
    return made


def _order(given: GivenWay) -> tuple[float, float]:
    headroom = given.after.headroom
    return (1.0 if given.share is None else given.share, headroom if headroom == headroom else 0.0)
