"""Plan: the smallest set of part and resistor changes with which the whole board meets, or what stands in the way.

The story: write what was asked for into the board file; where the board does not meet, search for the smallest
plan; judge the planned board anew; say of each change what would not meet without it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from partcheck.board import Board
from partcheck.jobs.change.board import Wanted, wanted
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import not_judged
from partcheck.jobs.plan.options import Option, board_with, usable, with_option
from partcheck.jobs.plan.search import WORK, Search, SearchResult
from partcheck.parts import Part
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from partcheck.stages import during


class Outcome(StrEnum):
    """How a search for a plan ends."""

    MEETS = "meets"
    """Nothing has to change."""
    PLAN = "plan"
    NONE = "none"
    """No set of changes from the known parts lets the board meet."""
    UNPROVEN = "unproven"
    """Only values that are not known stand in the way."""
    UNDECIDED = "undecided"
    """The work was used up with nothing found and nothing excluded."""


@dataclass(frozen=True)
class Cured:
    """A requirement that would not meet without a change of the plan: without it and with it."""

    ref: str
    without: Finding
    now: Finding | None


@dataclass(frozen=True)
class PlanStep:
    """One place of the plan, as it was and as it becomes."""

    option: Option
    before: Part | None
    judged: Judged
    cured: tuple[Cured, ...]


@dataclass(frozen=True)
class Planned:
    """The answer to a plan."""

    drawn: Setup
    setup: Setup
    """The board as asked for."""
    load: str
    wanted: Wanted
    before: tuple[Judged, ...]
    found: SearchResult
    steps: tuple[PlanStep, ...]
    situation: Situation
    """The board as planned; as asked for where there is no plan."""
    after: tuple[Judged, ...]
    gone: tuple[str, ...]
    """Fitted parts that stay and can no longer be had."""
    cautions: tuple[str, ...]

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board)

    @property
    def outcome(self) -> Outcome:
        """How the search ended."""
        if self.found.options is not None:
            return Outcome.PLAN if self.steps else Outcome.MEETS
        if self.found.blocked:
            return Outcome.UNPROVEN if all(made.unproven for made in self.found.blocked) else Outcome.NONE
        return Outcome.NONE if self.found.exhausted else Outcome.UNDECIDED

    @property
    def size(self) -> int:
        """The number of changes."""
        return sum(step.option.size for step in self.steps)

    @property
    def price(self) -> float:
        """What the new parts cost, one of each; NaN where one price is not known."""
        price = math.fsum(step.option.price for step in self.steps)
        return price if math.isfinite(price) else math.nan

    @property
    def verdict(self) -> Verdict:
        """Of the board as planned, or as asked for where there is no plan."""
        return min((judged.verdict for judged in self.after), default=Verdict.MEETS)

    @property
    def board(self) -> Board:
        """The board as planned."""
        return self.situation.board


@during("looking for a plan")
def plan(setup: Setup, load: str = "", asked: Asked | None = None, work: int = WORK) -> Planned:
    """Find the smallest plan for a board; with ``load``, for the board with what is asked of it."""
    setup.lasting = True
    want = wanted(setup, load, asked) if load and asked is not None else Wanted(load, (), ())
    after = want.after or setup
    found = Search(after, work).run()
    options = found.options or ()
    before = _whole(after.situation)
    situation = planned_situation(after, options)
    judged = _whole(situation) if options else before
    if found.options is not None and any(made.verdict < Verdict.TIGHT for made in judged):
        raise AssertionError("the planned board does not meet when it is judged again")
    steps = tuple(_step(after, options, option, judged) for option in options)
    changed_refs = {option.ref for option in options if option.part is not None}
    gone = tuple(
        f"{ref} {part.part_number}"
        for ref, part in after.fitted.items()
        if part is not None and not usable(part) and ref not in changed_refs
    )
    cautious = tuple(cautions(situation, judged[: len(situation.board.role)]))
    return Planned(setup, after, load, want, before, found, steps, situation, judged, gone, cautious)


def planned_situation(setup: Setup, options: Sequence[Option]) -> Situation:
    """The board with the options taken, made anew."""
    board, fitted = setup.situation.board, dict(setup.situation.fitted)
    for option in options:
        board = board_with(board, option)
        if option.part is not None:
            fitted[option.ref] = option.part
    made = Situation(board, fitted, setup.policy)
    made.drawn = setup.situation.drawn
    return settle(made)


def _whole(situation: Situation) -> tuple[Judged, ...]:
    places, links = judge_board(situation)
    return (*places, *links)


def _step(setup: Setup, options: Sequence[Option], option: Option, judged: Sequence[Judged]) -> PlanStep:
    """What would not meet without this change, all others made."""
    situation = setup.situation
    for other in options:
        situation = with_option(situation, other) if other is not option else situation
    now = {(made.ref, finding.id): finding for made in judged for finding in made.findings}
    cured = [
        Cured(made.ref, finding, now.get((made.ref, finding.id)))
        for made in _whole(situation)
        for finding in made.findings
        if finding.counts and finding.verdict < Verdict.TIGHT
    ]
    cured.sort(key=lambda c: (c.without.verdict, c.ref != option.ref))
    place = next(made for made in judged if made.ref == option.ref)
    return PlanStep(option, setup.fitted.get(option.ref), place, tuple(cured))
