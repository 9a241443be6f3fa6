"""The search for the smallest plan: which changes, at which places, let the whole board meet.

Budgets of 1, 2, 3 ... changes are tried in turn, each to the end, so the first that holds a plan is the smallest.
What is left out on the way cannot be part of a plan of that size:

* a place that fails by a requirement that rests on no other place must change, and only to what meets it;
* a requirement that rests on sums of other places (their currents) is tried with the least and the largest that
  these could add: an option that fails at both ends fails between them, as each requirement moves one way with
  each sum (a test tries that);
* a failure that stays can only be corrected at the place itself or at one that its facts rest on;
* where such a failure rests on none of the latest choices, other latest choices are not tried.
"""

import math
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

from partcheck.board.roles import Clamp
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.plan.blocked import Blocked, blocked_links, blocked_places
from partcheck.jobs.plan.domains import Domains, bad, bad_again, judge, links_of, rests
from partcheck.jobs.plan.options import (
    ADDS,
    Option,
    Seen,
    judge_options,
    resting,
    with_option,
)
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.stages import during

WORK = 1000
"""Places judged at most; a plan found by then is told, with a word that a smaller one was not excluded."""
SIZE = "(size)"
"""In a set of places: the budget took part in a failure."""
NOTHING: frozenset[str] = frozenset()


class _Spent(Exception):
    """The work is used up."""


@dataclass
class SearchResult:
    """What the search came to."""

    options: tuple[Option, ...] | None = None
    blocked: tuple[Blocked, ...] = ()
    smallest: bool = True
    cheapest: bool = True
    exhausted: bool = False
    """True where every combination is excluded without one place alone being to blame."""
    nearest: tuple[tuple[Option, ...], tuple[tuple[str, Finding], ...]] | None = None
    """Where none passes: the combination with the fewest failures that was met on the way, and these."""


@dataclass
class _Node:
    """A board with some options taken; judged as far as it was asked for."""

    situation: Situation
    taken: dict[str, Option]
    judged: dict[str, Judged]
    rests: dict[str, frozenset[str]]
    stale: frozenset[str] = NOTHING
    suspects: tuple[str, ...] = ()


@dataclass
class _Best:
    key: tuple[float, float] = (math.inf, math.inf)
    options: tuple[Option, ...] | None = None


@dataclass
class Search:
    """A search on one board."""

    setup: Setup
    work: int = WORK

    @cached_property
    def domains(self) -> Domains:
        """What each place can become."""
        return Domains(self.setup)

    def run(self) -> SearchResult:
        """Find the smallest plan, or what stands in the way."""
        with during("searching for the smallest plan", self.work) as self.stage:
            return self._run()

    def _run(self) -> SearchResult:
        self.root = _Node(self.setup.situation, {}, {}, {})
        self.links = links_of(self.root.situation)
        self.left = self.work
        self.found = SearchResult()
        self.fewest = math.inf
        failing = self._failing(self.root)
        if not failing:
            self.found.options = ()
            return self.found
        self.must = self._must()
        blocked = [
            *blocked_places(self.domains, self.must, self.root.judged),
            *blocked_links(self.domains, failing, self.root.judged),
        ]
        if blocked:
            self.found.blocked = tuple(blocked)
            return self.found
        self._deepen()
        return self.found

    # ---- sizes, from small to large

    def _deepen(self) -> None:
        """First any plan, for a bound; then every smaller size, and at last the cheapest of that size."""
        size = max(1, sum(self.domains.domain(ref).least for ref in self.must))
        most = max(size, 4 * len(self.root.situation.board.role))
        some = self._any(most)
        bound = sum(option.size for option in some.options) if some.options is not None else most
        self.left = max(self.left, 0) + self.work // 2
        try:
            while size <= bound:
                self.best = some if size == bound and some.options is not None else _Best()
                why = self._visit(self.root, NOTHING, size)
                if self.best.options is not None or SIZE not in why:
                    self.found.options = self.best.options
                    break
                size += 1
            self.found.exhausted = self.found.options is None
        except _Spent:
            self.found.cheapest = False
            self.found.smallest = self.best.options is not None
            self.found.options = self.best.options or some.options

    def _any(self, most: int) -> _Best:
        """Some plan, if half the work finds one."""
        whole, self.left, self.best = self.left, min(self.left, self.work // 2), _Best()
        given = self.left
        with suppress(_Spent):
            self._visit(self.root, NOTHING, most, first=True)
        self.left = whole - given
        return self.best

    # ---- one board on the way

    def _visit(self, node: _Node, frozen: frozenset[str], left: int, first: bool = False) -> frozenset[str]:
        """Try every way to finish a plan; the places (and the size) that the failure rests on."""
        if first and self.best.options is not None:
            return NOTHING
        taken = frozenset(node.taken)
        todo = [ref for ref in self.must if ref not in node.taken]
        need = sum(self.domains.domain(ref).least for ref in todo)
        if need > left:
            return self._costly(node)
        if self._no_better(node, todo, left - need):
            return taken | {SIZE}
        if todo:
            return self._branch(node, frozen, left, todo[:1], NOTHING, first)
        quick = left == 0
        failing = self._failing(node, quick)
        if not failing:
            self._keep(node)
            return taken
        self._note(node, failing, quick)
        if quick:  # nothing more can change: it is enough to say what one failure rests on
            ground = self._may_mend(node, *failing[0])
            mendable = any(self.domains.domain(place).options for place in sorted(ground - taken - frozen))
            return ground & (taken | frozen) | (self._costly(node) if mendable else NOTHING)
        ref, finding, places = self._picked(node, failing, taken | frozen)
        why = self._may_mend(node, ref, finding) & (taken | frozen)
        if not places:
            return why
        return self._branch(node, frozen, left, places, why, first)

    def _branch(
        self, node: _Node, frozen: frozenset[str], left: int, places: list[str], why: frozenset[str], first: bool
    ) -> frozenset[str]:
        """Change one of some places; those tried before stay as drawn in what follows."""
        here = frozenset(places)
        rest = sum(self.domains.domain(ref).least for ref in self.must if ref not in node.taken and ref not in here)
        kept = frozen
        for ref in places:
            options, more = self._options(node, ref, kept, left - rest, first)
            why |= more
            for option in options:
                made = self._with(node, option)
                ground = self._visit(made, kept, left - option.size, first)
                if first and self.best.options is not None:
                    return NOTHING
                if not ground & here:
                    return ground
                why |= ground
            kept |= {ref}
        return why - here

    def _options(
        self, node: _Node, ref: str, frozen: frozenset[str], left: int, first: bool
    ) -> tuple[list[Option], frozenset[str]]:
        """The options of a place that are not excluded here, best first, and what the others' exclusion rests on."""
        domain = self.domains.domain(ref)
        taken = frozenset(node.taken)
        able = [(o, seen) for o, seen in zip(domain.options, domain.seen, strict=True) if o.size <= left]
        why: set[str] = set(self._costly(node)) if len(able) < len(domain.options) else set()
        if any(ground & taken for _, seen in able for ground in seen.rests.values()):
            self._spend(2 + len(able) // 20)
            able = judge_options(node.situation, [option for option, _ in able])
        todo = {r for r in self.must if r not in node.taken and r != ref}
        made: list[tuple[int, Option]] = []
        for option, seen in able:
            open_ = left - option.size > 0
            ground = self._excluded(seen, ref, taken | frozen, todo, open_)
            if ground is None:
                made.append((len(seen.bad) if first else 0, option))
                continue
            why |= ground & (taken | frozen)
            if not open_:
                why |= self._costly(node)
        made.sort(key=lambda item: (item[0], item[1].key))
        return [option for _, option in made], frozenset(why)

    @staticmethod
    def _excluded(seen: Seen, ref: str, settled: frozenset[str], todo: set[str], open_: bool) -> frozenset[str] | None:
        """What a failure of this option rests on where nothing that can still change mends it."""
        for id_ in seen.bad:
            ground = seen.rests[id_]
            if ref in ground:
                continue
            loose = ground - settled
            if not loose or (not open_ and not loose & todo):
                return ground
        return None

    # ---- judging

    def _with(self, node: _Node, option: Option) -> _Node:
        return _Node(
            with_option(node.situation, option),
            {**node.taken, option.ref: option},
            node.judged,
            node.rests,
            node.stale | {option.ref},
            node.suspects,
        )

    def _failing(self, node: _Node, quick: bool = False) -> list[tuple[str, Finding]]:
        """What does not meet; with ``quick`` the first of it. Judges only what rests on what changed.

        What failed at a place before is looked at first, as most of it still does.
        """
        board = node.situation.board
        enclosed = bool(board.surroundings.enclosure_theta) and bool(node.stale)
        made: list[tuple[str, Finding]] = []
        judged, rests = dict(node.judged), dict(node.rests)
        names = dict.fromkeys([*node.suspects, *board.role, *self.links])
        whole = True
        for ref in names:
            old = judged.get(ref)
            if old is None or enclosed or ref in node.stale or rests[ref] & node.stale:
                self._spend(1)
                if quick and old is not None and (still := bad_again(node.situation, old)) is not None:
                    made.append((ref, still))
                    whole = False
                    break
                judged[ref] = judge(node.situation, ref)
                rests[ref] = resting(board, node.situation.rests_on(ref))
            found = [(ref, f) for f in judged[ref].findings if f.counts and f.verdict < Verdict.TIGHT]
            made += found
            if found and quick:
                whole = False
                break
        if whole:
            node.judged, node.rests, node.stale = judged, rests, NOTHING
        node.suspects = tuple(dict.fromkeys([*(ref for ref, _ in made), *node.suspects]))
        return made

    @staticmethod
    def _may_mend(node: _Node, ref: str, finding: Finding) -> frozenset[str]:
        """The places that a failure rests on, its own among them."""
        return rests(node.situation, ref, finding.id) | ({ref} if ref in node.situation.board.role else NOTHING)

    def _picked(
        self, node: _Node, failing: list[tuple[str, Finding]], settled: frozenset[str]
    ) -> tuple[str, Finding, list[str]]:
        """The failure that the fewest places can correct, and these."""
        made = []
        for ref, finding in failing:
            places = self._may_mend(node, ref, finding)
            able = [place for place in places - settled if self.domains.domain(place).options]
            made.append((len(able), ref, finding, sorted(able, key=lambda p: (p != ref, p))))
            if not able:
                break
        least = min(made, key=lambda item: item[0])
        return least[1], least[2], least[3]

    def _spend(self, amount: int) -> None:
        self.left -= amount
        self.stage.done = self.work - self.left
        if self.left < 0:
            raise _Spent

    def _note(self, node: _Node, failing: list[tuple[str, Finding]], quick: bool) -> None:
        if not quick and node.taken and len(failing) < self.fewest:
            self.fewest = len(failing)
            self.found.nearest = tuple(node.taken.values()), tuple(failing)

    # ---- size and price

    def _costly(self, node: _Node) -> frozenset[str]:
        """The budget, and the places whose changes are larger than they need be."""
        least = {ref: self.domains.domain(ref).least if ref in self.must else 0 for ref in node.taken}
        return frozenset(ref for ref, option in node.taken.items() if option.size > least[ref]) | {SIZE}

    def _keep(self, node: _Node) -> None:
        options = tuple(node.taken.values())
        key = (float(sum(o.patterns for o in options)), math.fsum(o.price for o in options))
        if self.best.options is None or key < self.best.key:
            self.best = _Best(key, options)

    def _no_better(self, node: _Node, todo: Iterable[str], slack: int) -> bool:
        """True where what is still to come cannot make this one better than the best so far."""
        if self.best.options is None:
            return False
        patterns = float(sum(o.patterns for o in node.taken.values()))
        price = math.fsum(o.price for o in node.taken.values())
        for ref in todo:
            domain = self.domains.domain(ref)
            able = [option for option in domain.options if option.size <= domain.least + slack]
            patterns += min(o.patterns for o in able)
            price += min(o.price for o in able)
        return (patterns, price) >= self.best.key

    def _must(self) -> list[str]:
        """The places that cannot stay as drawn; those that add to sums first, as others rest on them."""
        made = []
        for ref in self.root.situation.board.role:
            grounds = [(f.id, rests(self.root.situation, ref, f.id)) for f in bad(self.root.judged[ref])]
            certain = any(not ground for _, ground in grounds)
            if not certain and isinstance(self.root.situation.board.role[ref], Clamp):
                certain = bool(self.domains.too_near([self.root.situation, *self.domains.ends], ref))
            doubtful = [id_ for id_, ground in grounds if self.domains.sums_only(ground, ref)]
            if not certain and doubtful:
                ends = [{f.id for f in bad(judge_place(end, ref))} for end in self.domains.ends]
                certain = any(all(id_ in end for end in ends) for id_ in doubtful)
            if certain:
                made.append(ref)
        board = self.root.situation.board
        return sorted(made, key=lambda ref: (board.role[ref].role not in ADDS, list(board.role).index(ref)))
