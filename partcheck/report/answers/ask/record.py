"""Record of one question: the part judged, what else would do, and what was assumed."""

from typing import Literal

from pydantic import Field

from partcheck.jobs.ask.ask import Asked
from partcheck.report.answers.swap.record import CandidateRecord, candidate
from partcheck.report.record import HeaderRecord, PlaceRecord, Record, Word, header, place, word
from partcheck.requirement import Verdict


class SupposedRecord(Record):
    """Something that was not stated."""

    option: str = Field(description="the option that states it")
    value: str = Field(description="what was taken")
    why: str


class AskRecord(HeaderRecord):
    """The answer to one question without a board file."""

    job: Literal["ask"] = "ask"
    topic: str = Field(description="mosfet, npn, led, regulator, diode or terminal")
    verdict: Word = Field(description="of the part asked about and what is beside it; without a part, of the best")
    places: list[PlaceRecord] = Field(description="the part asked about, and what is beside it")
    compared: int
    counts: dict[Word, int]
    candidates: list[CandidateRecord] = Field(description="what else would do, best first")
    supposed: list[SupposedRecord] = Field(description="what was taken for values that were not stated")
    board_text: str = Field(description="the board file that was judged")


def record(answer: Asked) -> AskRecord:
    """The answer to one question."""
    remedies = answer.remedies if answer.places and answer.verdict < Verdict.TIGHT else None
    head = header(answer.setup, answer.cautions, answer.not_judged)
    return AskRecord(
        **{**head, "notes": answer.notes},
        topic=answer.topic.name,
        verdict=word(answer.verdict),
        places=[place(judged, remedies) for judged in answer.places],
        compared=answer.swapped.compared,
        counts={word(verdict): count for verdict, count in answer.swapped.counts.items()},
        candidates=[candidate(i, made) for i, made in enumerate(answer.swapped.candidates, 1)],
        supposed=[SupposedRecord(option=s.option, value=s.value, why=s.why) for s in answer.supposed],
        board_text=answer.setup.board_file.text,
    )
