"""A place judged with its part: the unit that every job works with."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from partcheck.parts import Part
from partcheck.readings.explain import Finding, explain, not_asked, open_views, verdict_of
from partcheck.readings.story import Step, tell
from partcheck.requirement import Fact, Requirement, Role, Verdict
from partcheck.situation import Situation


@dataclass(frozen=True)
class Judged:
    """A place (or a link without a part) and what became of every requirement that is asked there."""

    ref: str
    role: Role
    part: Part | None
    facts: Mapping[str, Fact]
    findings: tuple[Finding, ...]
    board_only: Callable[[], frozenset[str]] = frozenset
    """Requirements that the board alone decides, the same for every part: they tell no two parts apart."""

    values: Callable[[], tuple[Any, Any]] | None = None
    """Opens the traced views of the part in its place."""

    @cached_property
    def results(self) -> list[Step]:
        """What the role tells besides its requirements: operating points, windows, what is left over."""
        if self.values is None:
            return []
        p, n = self.values()
        made = []
        for name in self.role.results:
            number = getattr(p if name in self.role.quantities else n, name)
            made += [step for step in tell(number).steps if step.name == name]
        return made

    @cached_property
    def verdict(self) -> Verdict:
        """The worst requirement's verdict, footprint changes left aside."""
        return verdict_of(list(self.findings))

    @cached_property
    def tightest(self) -> Finding | None:
        """The requirement with the least headroom that counts; None where none has a headroom.

        One that fails, or else one that the part has a say in, before one that the board alone decides.
        """
        known = [f for f in self.findings if f.counts and f.headroom == f.headroom]
        decided = self.board_only()
        own = [f for f in known if f.id not in decided or f.verdict < Verdict.MEETS]
        return min(own or known, key=lambda f: f.headroom, default=None)

    @property
    def headroom(self) -> float:
        """The least headroom; NaN where none is known."""
        return self.tightest.headroom if self.tightest is not None else math.nan

    @cached_property
    def not_asked(self) -> list[Requirement]:
        """Requirements whose demand the board does not state."""
        return not_asked(self.role, self.facts)

    def with_verdict(self, verdict: Verdict) -> list[Finding]:
        """The findings of one verdict that count."""
        return [f for f in self.findings if f.verdict is verdict and f.counts]

    @property
    def footprint_changes(self) -> list[Finding]:
        """The land-pattern requirements that ask for a change of the board."""
        return [f for f in self.findings if not f.counts]


def judge_place(situation: Situation, ref: str, part: Part | None = None) -> Judged:
    """Judge the part fitted at ``ref``, or another one in the same surroundings."""
    facts = situation.facts(ref)
    if part is None:
        part, opened = situation.fitted.get(ref), situation.views(ref)
        found = _findings(situation, ref, facts.role, facts, opened)
        if situation.as_drawn(ref):
            found = tuple(f if f.counts else replace(f, as_fitted=True) for f in found)
    else:
        opened = open_views(facts.role, part, facts)
        found = tuple(explain(facts.role, part, facts, tight(situation), opened))
    return Judged(ref, facts.role, part, facts, found, lambda: board_only(situation, ref), lambda: opened)


def _findings(
    situation: Situation, ref: str, role: Role, facts: Mapping[str, Fact], opened: tuple[Any, Any]
) -> tuple[Finding, ...]:
    """Every requirement that is asked, judged once for a situation."""
    found = (situation.finding(ref, requirement, facts, opened) for requirement in role.requirements.values())
    return tuple(finding for finding in found if finding is not None)


def board_only(situation: Situation, ref: str) -> frozenset[str]:
    """The requirements that have a verdict even with no part in the place."""

    def find() -> frozenset[str]:
        facts = situation.facts(ref)
        found = explain(facts.role, None, facts, tight(situation))
        return frozenset(f.id for f in found if all(c.verdict is not Verdict.UNPROVEN for c in f.compared))

    made: frozenset[str] = situation.once((ref, "board-only"), find)
    return made


def judge_link(situation: Situation, name: str, role: Role, facts: Mapping[str, Fact]) -> Judged:
    """Judge a cable, track, rail or chip."""
    return Judged(
        name, role, None, facts, _findings(situation, name, role, facts, situation.link_views(name, role, facts))
    )


def tight(situation: Situation) -> float:
    """The headroom below which the policy in force calls a requirement tight."""
    return situation.policy.value("tight")
