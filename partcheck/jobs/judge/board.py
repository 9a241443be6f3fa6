"""The whole board judged: every place, and every link that no part fills."""

from collections.abc import Sequence

from partcheck.jobs.judge.place import Judged, judge_link, judge_place
from partcheck.readings.explain import Finding
from partcheck.requirement import Requirement
from partcheck.situation import Situation
from partcheck.stages import each


def judge_board(situation: Situation) -> tuple[list[Judged], list[Judged]]:
    """Every place and every link of a board."""
    places = [judge_place(situation, ref) for ref in each("judging places", situation.board.role)]
    links = [
        judge_link(situation, name, role, facts)
        for name, role, facts in each("judging rails, chips and tracks", list(situation.links()))
    ]
    return places, [link for link in links if link.findings]


def judge_again(situation: Situation, ref: str) -> Judged:
    """One place or link of a board, by its reference."""
    if ref in situation.board.role:
        return judge_place(situation, ref)
    name, role, facts = next(link for link in situation.links() if link[0] == ref)
    return judge_link(situation, name, role, facts)


def judge_some(situation: Situation, ref: str, requirements: Sequence[Requirement]) -> list[Finding]:
    """Some requirements of one place or link of a board, those that are asked."""
    if not requirements:
        return []
    if ref in situation.board.role:
        facts, opened = situation.facts(ref), situation.views(ref)
    else:
        name, role, facts = next(link for link in situation.links() if link[0] == ref)
        opened = situation.link_views(name, role, facts)
    found = (situation.finding(ref, requirement, facts, opened) for requirement in requirements)
    return [finding for finding in found if finding is not None]
