"""What stands in the way of a plan: places that no usable part fills, links that no part mends."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from partcheck.board.roles import Clamp
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.plan.domains import Domains, bad, judge, rests
from partcheck.jobs.plan.options import Option, PlaceOptions, Seen, with_option
from partcheck.jobs.plan.peaks import CLEARANCE
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict


@dataclass(frozen=True)
class Blocked:
    """A place that no usable part fills, or a link that no part mends: what stands in the way."""

    ref: str
    nearest: Option | None
    judged: Judged
    findings: tuple[Finding, ...]
    compared: int
    """How many parts were tried; 0 for a link."""
    beside: tuple[Option | None, Judged] | None = None
    """Where the nearest is only unproven: the nearest of those that fail."""
    sums: bool = False
    """True where it fails at the least and the largest that other places could add."""

    @property
    def unproven(self) -> bool:
        """True where nothing is known to fail, but something is not known."""
        return all(f.verdict is Verdict.UNPROVEN for f in self.findings)


def blocked_places(domains: Domains, must: Iterable[str], judged_as_drawn: Mapping[str, Judged]) -> Iterable[Blocked]:
    """The places that must change and can become nothing that would do."""
    for ref in must:
        if not domains.domain(ref).options:
            yield _nearest(domains, ref, judged_as_drawn)


def _nearest(domains: Domains, ref: str, judged_as_drawn: Mapping[str, Judged]) -> Blocked:
    """The option that misses by the fewest requirements, then by the least."""
    place = domains.place(ref)
    if place.options and isinstance(domains.situation.board.role[ref], Clamp):
        best = min(place.options, key=lambda option: option.key)
        made = with_option(domains.situation, best)
        far = sorted(domains.too_near([made], ref))
        if far:
            judged_far = judge(made, far[0])
            gaps = tuple(f for f in bad(judged_far) if f.id == CLEARANCE)
            return Blocked(ref, best, judged_far, gaps, place.tried)
    near = [*place.nearest, *nearest_of(place)]
    judged: list[tuple[Option | None, Judged]] = [
        (option, judge_place(with_option(domains.situation, option), ref)) for option in near
    ]

    def short(item: tuple[Option | None, Judged]) -> tuple[int, int, float]:
        missed = bad(item[1])
        fails = [f for f in missed if f.verdict is Verdict.FAILS]
        least = math.fsum(min(-f.headroom, 10.0) for f in fails if f.headroom == f.headroom)
        return len(fails), len(missed), least

    open_ = [item for item in judged if all(f.verdict is Verdict.UNPROVEN for f in bad(item[1]))]
    option, found = min(open_ or judged, key=short, default=(None, judged_as_drawn[ref]))
    failing = min((item for item in judged if item not in open_), key=short, default=None) if open_ else None
    return Blocked(ref, option, found, tuple(bad(found)), place.tried, beside=failing)


def blocked_links(
    domains: Domains, failing: list[tuple[str, Finding]], judged_as_drawn: Mapping[str, Judged]
) -> Iterable[Blocked]:
    """The links that fail whatever the places become."""
    done: dict[str, list[tuple[Finding, bool]]] = {}
    for ref, finding in failing:
        if ref in domains.situation.board.role:
            continue
        ground = rests(domains.situation, ref, finding.id)
        if not ground:
            done.setdefault(ref, []).append((finding, False))
        elif domains.sums_only(ground, ref):
            ends = [{f.id for f in bad(judge(end, ref))} for end in domains.ends]
            if all(finding.id in end for end in ends):
                done.setdefault(ref, []).append((finding, True))
    for ref, found in done.items():
        sums = any(by_sum for _, by_sum in found)
        yield Blocked(ref, None, judged_as_drawn[ref], tuple(f for f, _ in found), 0, sums=sums)


def nearest_of(place: PlaceOptions, count: int = 8) -> list[Option]:
    """Of each part the option with the fewest failures, then the least shortfall; the nearest few."""

    def short(item: tuple[Option, Seen]) -> tuple[int, int, float, int]:
        fails = sum(1 for id_ in item[1].bad if item[1].verdicts[id_] == Verdict.FAILS)
        return fails, len(item[1].bad), -item[0].headroom, item[0].size

    made: dict[bool, dict[object, Option]] = {True: {}, False: {}}
    for item in sorted(zip(place.options, place.seen, strict=True), key=short):
        option, known = item[0], made[short(item)[0] > 0]
        if len(known) < count:
            known.setdefault(option.part.key if option.part is not None else None, option)
    return [*made[False].values(), *made[True].values()]
