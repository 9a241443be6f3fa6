"""What the places of a board can become, and what each judgement there rests on."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from partcheck.board import ROLE_KINDS
from partcheck.board.roles import Clamp
from partcheck.jobs.judge.board import judge_some
from partcheck.jobs.judge.place import Judged, judge_link, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.plan import peaks
from partcheck.jobs.plan.options import (
    ADDS,
    Option,
    PlaceOptions,
    Seen,
    judge_options,
    place_options,
    rests_on,
    with_option,
)
from partcheck.jobs.plan.peaks import CLEARANCE
from partcheck.parts import Part
from partcheck.readings.explain import Finding
from partcheck.requirement import Role, Verdict
from partcheck.situation import Situation
from partcheck.situation.facts import PlaceFacts


@dataclass
class Domain:
    """The options that a place has, and the least size of a change there."""

    options: list[Option]
    seen: list[Seen]
    least: int = 0


@dataclass
class Domains:
    """The options of every place of a board as drawn, each made when it is first asked for."""

    setup: Setup
    _parts: dict[str, list[Part]] = field(default_factory=dict)
    _places: dict[str, PlaceOptions] = field(default_factory=dict)
    _domains: dict[str, Domain] = field(default_factory=dict)

    @property
    def situation(self) -> Situation:
        """The board as drawn."""
        return self.setup.situation

    def _of_kind(self, ref: str) -> list[Part]:
        kind = ROLE_KINDS[self.situation.board.role[ref].role]
        if kind not in self._parts:
            self._parts[kind] = self.setup.parts.of_kind(kind)
        return self._parts[kind]

    def place(self, ref: str) -> PlaceOptions:
        """Everything that a place could become, with what was seen of each."""
        if ref not in self._places:
            self._places[ref] = place_options(self._of_kind(ref), self.situation, ref)
        return self._places[ref]

    def domain(self, ref: str) -> Domain:
        """The options that no requirement excludes whatever the other places become."""
        if ref not in self._domains:
            place = self.place(ref)
            pairs = list(zip(place.options, place.seen, strict=True))
            doubtful = [o for o, seen in pairs if any(self.sums_only(seen.rests[id_], ref) for id_ in seen.bad)]
            gone: set[Option] = set()
            if doubtful:
                ends = [judge_options(end, doubtful) for end in self.ends]
                here = dict(pairs)
                for option, low, high in zip(doubtful, *ends, strict=True):
                    always = set(here[option].bad) & set(low[1].bad) & set(high[1].bad)
                    if any(self.sums_only(here[option].rests[id_], ref) for id_ in always):
                        gone.add(option)
            kept = [(o, seen) for o, seen in pairs if o not in gone and not self._reaches(o)]
            least = min((o.size for o, _ in kept), default=0)
            self._domains[ref] = Domain([o for o, _ in kept], [seen for _, seen in kept], least)
        return self._domains[ref]

    def _reaches(self, option: Option) -> bool:
        """True for a clamp that by itself lets a voltage rise too high for a gap of the board."""
        if not isinstance(self.situation.board.role[option.ref], Clamp):
            return False
        return bool(self.too_near([with_option(s, option) for s in (self.situation, *self.ends)], option.ref))

    def too_near(self, situations: Iterable[Situation], ref: str) -> set[str]:
        """The gaps too small for a voltage that rests on one clamp, whatever the sums of the board are."""
        roles = self.situation.board.role
        found = [
            {
                (too.ref, too.at)
                for too in peaks.too_near(situation)
                if ref in too.ground and all(name == ref or roles[name].role in ADDS for name in too.ground)
            }
            for situation in situations
        ]
        return {name for name, _ in set.intersection(*found)}

    def sums_only(self, ground: frozenset[str], ref: str) -> bool:
        """True where a judgement rests on sums of other places alone, whichever way they change."""
        roles = self.situation.board.role
        return bool(ground) and ref not in ground and all(roles[name].role in ADDS for name in ground)

    @cached_property
    def ends(self) -> tuple[Situation, Situation]:
        """The board with every place that adds to sums adding the least, and the most, that it could."""
        low = high = self.situation
        for ref, role in self.situation.board.role.items():
            if role.role not in ADDS:
                continue
            able = [option for option in self.place(ref).options if option.amount == option.amount]
            own = self.situation.fitted.get(ref)
            now = self.situation.quantity(ref, ADDS[role.role]).value if own is not None else math.nan
            least = min(able, key=lambda option: option.amount, default=None)
            most = max(able, key=lambda option: option.amount, default=None)
            if least is not None and not now <= least.amount:
                low = with_option(low, least)
            if most is not None and not now >= most.amount:
                high = with_option(high, most)
        return low, high


def bad(judged: Judged) -> list[Finding]:
    """What of a place is asked and does not meet."""
    return [f for f in judged.findings if f.counts and f.verdict < Verdict.TIGHT]


def bad_again(situation: Situation, old: Judged) -> Finding | None:
    """The first of what did not meet at a place or link that does not meet now either; None where all of it does."""
    for before in bad(old):
        for finding in judge_some(situation, old.ref, [before.requirement]):
            if finding.counts and finding.verdict < Verdict.TIGHT:
                return finding
    return None


def judge(situation: Situation, ref: str) -> Judged:
    """A place or link, judged."""
    if ref in situation.board.role:
        return judge_place(situation, ref)
    role, facts = links_of(situation)[ref]
    return judge_link(situation, ref, role, facts)


def rests(situation: Situation, ref: str, id_: str) -> frozenset[str]:
    """The places that one requirement of a place or link rests on."""
    if id_ == CLEARANCE:
        near = [too.ground for too in peaks.too_near(situation) if too.ref == ref]
        if near:
            return min(near, key=len)
    if ref in situation.board.role:
        facts = situation.facts(ref)
        return rests_on(situation, ref, facts.role, facts, id_)
    role, facts = links_of(situation)[ref]
    return rests_on(situation, ref, role, facts, id_)


def links_of(situation: Situation) -> dict[str, tuple[Role, PlaceFacts]]:
    """What no part fills, by its name."""
    made: dict[str, tuple[Role, PlaceFacts]] = situation.once(
        ("links", "all"), lambda: {name: (role, facts) for name, role, facts in situation.links()}
    )
    return made
