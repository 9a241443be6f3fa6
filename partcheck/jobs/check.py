"""Check: the board as fitted, every place and every sum."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from partcheck.jobs.cautions import cautions
from partcheck.jobs.places import Judged, judge_link, judge_place
from partcheck.jobs.setup import Setup
from partcheck.requirement import Verdict
from partcheck.situation import Situation

if TYPE_CHECKING:
    from partcheck.jobs.remedies import Remedies


@dataclass(frozen=True)
class Checked:
    """The whole board, judged."""

    setup: Setup
    situation: Situation
    places: tuple[Judged, ...]
    links: tuple[Judged, ...]
    cautions: tuple[str, ...]

    @cached_property
    def verdict(self) -> Verdict:
        """The worst of all places and links."""
        return min((judged.verdict for judged in (*self.places, *self.links)), default=Verdict.MEETS)

    @cached_property
    def remedies(self) -> "Remedies":
        """What would help where it does not meet; worked out when asked for."""
        from partcheck.jobs.remedies import remedies

        return remedies(self.situation, [*self.places, *self.links])

    @property
    def notes(self) -> list[str]:
        """What the reader should know about the fitted parts."""
        return self.setup.notes


def judge_board(situation: Situation) -> tuple[list[Judged], list[Judged]]:
    """Every place and every link of a board."""
    places = [judge_place(situation, ref) for ref in situation.board.role]
    links = [judge_link(situation, name, role, facts) for name, role, facts in situation.links()]
    return places, [link for link in links if link.findings]


def judge_again(situation: Situation, ref: str) -> Judged:
    """One place or link of a board, by its reference."""
    if ref in situation.board.role:
        return judge_place(situation, ref)
    name, role, facts = next(link for link in situation.links() if link[0] == ref)
    return judge_link(situation, name, role, facts)


def check(setup: Setup) -> Checked:
    """Judge the board as fitted."""
    situation = setup.situation
    places, links = judge_board(situation)
    return Checked(setup, situation, tuple(places), tuple(links), tuple(cautions(situation, places)))
