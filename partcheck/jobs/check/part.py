"""Explain: every requirement of one part in one place, in full."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import around, not_judged
from partcheck.parts import Part
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle_after

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies


@dataclass(frozen=True)
class Explained:
    """One part in one place of a board."""

    setup: Setup
    situation: Situation
    judged: Judged
    cautions: tuple[str, ...]

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board, around(self.situation.board, self.judged.ref))

    @cached_property
    def remedies(self) -> "Remedies":
        """What would help where it does not meet; worked out when asked for."""
        from partcheck.jobs.remedy.remedies import remedies

        return remedies(self.situation, [self.judged])


def explain_part(setup: Setup, ref: str, part: Part | None) -> Explained:
    """Judge ``part`` at ``ref`` as the board is drawn; ``None`` is the part fitted there."""
    situation = setup.situation
    if part is not None:
        situation = settle_after(situation, situation.replaced(ref, part), ref)
    judged = judge_place(situation, ref)
    return Explained(setup, situation, judged, tuple(cautions(situation, [judged])))
