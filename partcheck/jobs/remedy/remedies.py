"""What would help where a board does not meet: cures by circuit values, and datasheet values to look up."""

from collections.abc import Sequence
from dataclasses import dataclass

from partcheck.jobs.judge.place import Judged
from partcheck.jobs.remedy.cures import Cure, cures, failing
from partcheck.jobs.remedy.lookups import Lookup, lookups, silent
from partcheck.requirement import Verdict
from partcheck.situation import Situation


@dataclass(frozen=True)
class Remedies:
    """Cures and lookups by place and requirement."""

    cures: dict[tuple[str, str], list[Cure]]
    lookups: dict[tuple[str, str], list[Lookup]]

    def cures_of(self, ref: str, requirement: str) -> list[Cure]:
        """The cures of one requirement of one place."""
        return self.cures.get((ref, requirement), [])

    def lookups_of(self, ref: str, requirement: str) -> list[Lookup]:
        """What to look up for one requirement of one place."""
        return self.lookups.get((ref, requirement), [])


def remedies(situation: Situation, places: Sequence[Judged]) -> Remedies:
    """What would help each requirement of these places that fails or is unproven."""
    found = {
        (place.ref, finding.id): lookups(situation, place.ref, finding)
        for place in places
        for finding in place.with_verdict(Verdict.UNPROVEN)
    }
    for place in places:
        for finding in place.with_verdict(Verdict.FAILS):
            if told := silent(situation, place.ref, finding):
                found[place.ref, finding.id] = told
    return Remedies(cures(situation, failing(places)), found)
