"""Check: the board as fitted, every place and every sum."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import not_judged
from partcheck.requirement import Verdict
from partcheck.situation import Situation

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies


@dataclass(frozen=True)
class Checked:
    """The whole board, judged."""

    setup: Setup
    situation: Situation
    places: tuple[Judged, ...]
    links: tuple[Judged, ...]
    cautions: tuple[str, ...]
    with_remedies: bool = True
    """False where what would help is not looked for."""

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board)

    @cached_property
    def verdict(self) -> Verdict:
        """The worst of all places and links."""
        return min((judged.verdict for judged in (*self.places, *self.links)), default=Verdict.MEETS)

    @cached_property
    def remedies(self) -> "Remedies":
        """What would help where it does not meet; worked out when asked for."""
        from partcheck.jobs.remedy.remedies import Remedies, remedies

        if not self.with_remedies:
            return Remedies({}, {})
        return remedies(self.situation, [*self.places, *self.links])

    @property
    def notes(self) -> list[str]:
        """What the reader should know about the fitted parts."""
        return self.setup.notes


def check(setup: Setup, with_remedies: bool = True) -> Checked:
    """Judge the board as fitted; what would help is looked for when it is told, or never."""
    situation = setup.situation
    places, links = judge_board(situation)
    return Checked(setup, situation, tuple(places), tuple(links), tuple(cautions(situation, places)), with_remedies)
