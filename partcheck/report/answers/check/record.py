"""Record of a check: the board as fitted."""

from typing import Literal

from partcheck.jobs.check.board import Checked
from partcheck.report.record import HeaderRecord, PlaceRecord, Word, header, place, word
from partcheck.requirement import Verdict


class CheckRecord(HeaderRecord):
    """The board as fitted."""

    job: Literal["check"] = "check"
    verdict: Word
    places: list[PlaceRecord]
    links: list[PlaceRecord]


def record(answer: Checked) -> CheckRecord:
    """The board as fitted."""
    remedies = answer.remedies if answer.verdict < Verdict.TIGHT else None
    return CheckRecord(
        **header(answer.setup, answer.cautions, answer.not_judged),
        verdict=word(answer.verdict),
        places=[place(judged, remedies) for judged in answer.places],
        links=[place(judged, remedies) for judged in answer.links],
    )
