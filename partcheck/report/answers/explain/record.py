"""Record of an explanation: one part in one place."""

from typing import Literal

from partcheck.jobs.check.part import Explained
from partcheck.report.record import HeaderRecord, PlaceRecord, Word, header, place, word
from partcheck.requirement import Verdict


class ExplainRecord(HeaderRecord):
    """One part in one place."""

    job: Literal["explain"] = "explain"
    verdict: Word
    place: PlaceRecord


def record(answer: Explained) -> ExplainRecord:
    """One part in one place."""
    return ExplainRecord(
        **header(answer.setup, answer.cautions, answer.not_judged),
        verdict=word(answer.judged.verdict),
        place=place(answer.judged, answer.remedies if answer.judged.verdict < Verdict.TIGHT else None),
    )
