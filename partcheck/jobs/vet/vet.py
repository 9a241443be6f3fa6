"""Vet: may a heavier or higher-voltage load be connected, and if not, what gives way first?

The story: write what was asked for into the board file and judge the whole board before and after; follow the
load's current link by link; where requirements stop meeting, find on the way from one board to the other where
each does; look for clamps that would cure what the turn-off breaks.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from pydantic import BaseModel

from partcheck.board import Board
from partcheck.board.fields import measure_of
from partcheck.jobs.change.board import Change, wanted
from partcheck.jobs.change.interpolate import GRID, board_between, differences, first_share, mixes
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged, tight
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import along, not_judged
from partcheck.jobs.vet.clamps import Clamping, other_clamps
from partcheck.jobs.vet.figures import ComparedFigure, compare, figures
from partcheck.jobs.vet.path import PathLink, not_on_path, path_of
from partcheck.readings.explain import Finding, judge, open_views
from partcheck.readings.explain import asked as asked_here
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from partcheck.stages import during
from partcheck.units import Span

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies


KEPT = 10
"""So many boards between the coarse steps of a way are kept, judged as far as was asked."""


@dataclass(frozen=True)
class PathStep:
    """A link of the path, before and after; None where the path did not have it, or has it no more."""

    stage: str
    ref: str
    before: PathLink | None
    after: PathLink | None


@dataclass(frozen=True)
class At:
    """What a changing value has reached at some share of the way."""

    key: str
    unit: str
    value: Span


@dataclass(frozen=True)
class GivenWay:
    """A requirement that met before and does not any more: where, and how far the change goes until then.

    ``share`` is None where nothing that changes has steps in between; ``at`` is what the values have reached.
    """

    ref: str
    before: Finding | None
    after: Finding
    share: float | None
    at: tuple[At, ...]


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
    given = sorted((way.given(*item) for item in lost if item[2].verdict is Verdict.FAILS), key=_order)
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


class Way:
    """The way from one board to another, judged at any share of it.

    A load that moves to another rail goes there by a rail of its own, whose numbers are on the way from the one
    to the other; what its current adds to in the new rail has no steps then.
    """

    def __init__(self, before: Situation, after: Situation, load: str) -> None:
        self.after, self.load = after, load
        self.boards = before.board, after.board
        self.rail: str | None = None
        if _both_from_outside(before.board, after.board, load):
            self.rail = f"{before.board.load[load].rail} to {after.board.load[load].rail}"
            self.boards = (_apart(before.board, load, self.rail), _apart(after.board, load, self.rail))
        numbers = [path for path, old, new in differences(*self.boards) if mixes(old, new)]
        self.numbers = sorted(numbers, key=lambda path: path[-1] != "voltage")
        self._situations: dict[float, Situation] = {}

    def situation(self, share: float) -> Situation:
        """The board at that share of the way, with the parts of the changed one."""
        if share == 1 and self.rail is None:
            return self.after
        if share not in self._situations:
            made = Situation(board_between(*self.boards, share), self.after.fitted, self.after.policy)
            made.drawn = self.after.drawn
            self._situations[share] = settle(made)
            fine = [known for known in self._situations if known * GRID % 1]
            if len(fine) > KEPT:  # a judged board is large; the next requirement asks for the coarse steps again
                del self._situations[fine[0]]
        return self._situations[share]

    def finding(self, share: float, ref: str, requirement: str) -> Finding | None:
        """One requirement at that share of the way; None where it is not asked there."""
        situation = self.situation(share)
        if ref in situation.board.role:
            facts = situation.facts(ref)
            role, opened = facts.role, situation.views(ref)
        else:
            role, facts = next((role, facts) for name, role, facts in situation.links() if name == ref)
            opened = open_views(role, None, facts)
        rule = role.requirements[requirement]
        return judge(rule, *opened, tight(situation)) if asked_here(rule, facts) else None

    def given(self, ref: str, old: Finding | None, new: Finding) -> GivenWay:
        """Where a requirement stops to meet."""
        floor = Verdict.TIGHT if old is None else min(old.verdict, Verdict.TIGHT)

        def gone(share: float) -> bool:
            found = self.finding(share, ref, new.id)
            return found is not None and found.verdict < floor

        if not self.numbers or not gone(1.0):
            return GivenWay(ref, old, new, None, ())
        share = first_share(gone)
        return GivenWay(ref, old, new, share, tuple(self.at(share)))

    def at(self, share: float) -> list[At]:
        """What each changing value has reached."""
        board = self.situation(share).board
        made = []
        for path in self.numbers:
            if self.rail is not None and path[:2] == ("rail", self.rail) and path[2] != "voltage":
                continue
            value = _value(board, path)
            key = "".join(f"[{s}]" if isinstance(s, int) else f".{s}" for s in path).lstrip(".")
            key = key.replace(f"rail.{self.rail}.voltage", f"rail of {self.load}")
            number = float(value) if isinstance(value, int | float) else math.nan
            made.append(At(key, _unit(board, path), value if isinstance(value, Span) else Span(number, number, number)))
        return made


def _both_from_outside(before: Board, after: Board, load: str) -> bool:
    """True where the load moves from one outside supply to another."""
    ends = before.load[load].rail, after.load[load].rail
    return ends[0] != ends[1] and all(
        board.rail[name].voltage is not None for board, name in zip((before, after), ends, strict=True)
    )


def _apart(board: Board, load: str, rail: str) -> Board:
    """The board with the load on a rail of its own that is like the one it hangs on."""
    like = board.rail[board.load[load].rail]
    moved = board.load[load].model_copy(update={"rail": rail})
    return board.model_copy(update={"rail": {**board.rail, rail: like}, "load": {**board.load, load: moved}})


def _value(board: object, path: Sequence[str | int]) -> object:
    node = board
    for step in path:
        node = node[step] if isinstance(node, dict | list) else getattr(node, str(step))  # type: ignore[index]
    return node


def _unit(board: object, path: Sequence[str | int]) -> str:
    parent = _value(board, path[:-1])
    field = type(parent).model_fields.get(str(path[-1])) if isinstance(parent, BaseModel) else None
    measure = measure_of(field.annotation, field.metadata) if field is not None else None
    return measure.unit if measure is not None else ""
