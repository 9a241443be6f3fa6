"""What the program says of a board: the one module here that runs it, by its public job."""

import re
from dataclasses import dataclass
from pathlib import Path

from partcheck.errors import PartcheckError
from partcheck.jobs.check.board import check
from partcheck.jobs.judge.setup import open_setup

PASSED = ("meets", "tight")


@dataclass(frozen=True)
class Told:
    """Verdicts of one board: of each place and link, and of each of their requirements."""

    places: dict[str, str]
    findings: dict[tuple[str, str], str]

    def passed(self, *answers: str) -> bool:
        """True where nothing that answers is told fails or unproven.

        An answer is a place or link, or ``REF:PATTERN`` for those of its requirements that the pattern finds.
        """
        return all(self._passed(*answer.split(":", 1)) for answer in answers)

    def _passed(self, ref: str, pattern: str = "") -> bool:
        if not pattern:
            return self.places.get(ref, "meets") in PASSED
        asked = [word for (at, name), word in self.findings.items() if at == ref and re.search(pattern, name)]
        return all(word in PASSED for word in asked)

    def bad(self, ref: str) -> list[str]:
        """What of a place is not told meets or tight."""
        return [f"{name} {word}" for (at, name), word in self.findings.items() if at == ref and word not in PASSED]


def told(path: Path) -> Told | str:
    """Judge a board file; the sentence with which it was refused, where it was."""
    try:
        checked = check(open_setup(path))
    except PartcheckError as refused:
        return str(refused)
    judged = [*checked.places, *checked.links]
    return Told(
        {one.ref: one.verdict.word for one in judged},
        {(one.ref, found.id): found.verdict.word for one in judged for found in one.findings if found.counts},
    )
