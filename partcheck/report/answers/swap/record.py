"""Record of a swap: the stand-ins for a place."""

from typing import Literal

from pydantic import Field

from partcheck.jobs.remedy.remedies import Remedies
from partcheck.jobs.swap.swap import Candidate, Miss, Swapped, Worsened
from partcheck.parts import Part
from partcheck.report.record import (
    HeaderRecord,
    PlaceRecord,
    Record,
    RequirementRecord,
    Word,
    finite,
    header,
    place,
    requirement,
    word,
)


class WorsenedRecord(Record):
    """Another place that a candidate makes worse."""

    reference: str
    requirement: str
    before: Word
    after: Word


class ResistorRecord(Record):
    """A resistor that changes with the part."""

    key: str
    before: float
    value: float


class CandidateRecord(Record):
    """A stand-in: judged as changed where it needs a change, and as drawn."""

    rank: int
    part_number: str
    maker: str
    verdict: Word
    verdict_as_drawn: Word
    headroom: float | None
    set_by: str | None
    changes: list[str]
    resistor: ResistorRecord | None
    worsened: list[WorsenedRecord]
    price: float | None
    currency: str | None
    quantity: float | None
    status: str | None
    place: PlaceRecord
    as_drawn: PlaceRecord | None = Field(description="the place as drawn, where the candidate needs a resistor")


class MissRecord(Record):
    """A part that fails by little."""

    part_number: str
    maker: str
    failing: list[RequirementRecord]


class SwapRecord(HeaderRecord):
    """The answer to a swap."""

    job: Literal["swap"] = "swap"
    verdict: Word = Field(description="of the best stand-in; fails where there is none")
    reference: str
    role: str
    compared: int
    counts: dict[Word, int]
    demands: list[RequirementRecord] = Field(description="what the board fixes, with no part in the place")
    fitted: PlaceRecord
    candidates: list[CandidateRecord]
    why_first: str
    why_not: dict[str, int] = Field(description="how many parts fail each requirement")
    nearest_misses: list[MissRecord]


def worsened(worse: Worsened) -> WorsenedRecord:
    return WorsenedRecord(
        reference=worse.ref, requirement=worse.finding.id, before=word(worse.before), after=word(worse.after)
    )


def _stated(part: Part, name: str) -> str | None:
    return part.word(name) or None


def candidate(rank: int, made: Candidate) -> CandidateRecord:
    """A stand-in."""
    change = made.resistor
    return CandidateRecord(
        rank=rank,
        part_number=made.part.part_number,
        maker=made.part.maker,
        verdict=word(made.verdict),
        verdict_as_drawn=word(made.drawn.verdict),
        headroom=finite(made.judged.headroom),
        set_by=made.judged.tightest.id if made.judged.tightest is not None else None,
        changes=made.changes,
        resistor=ResistorRecord(key=change.key, before=change.before.typ, value=change.value) if change else None,
        worsened=[worsened(worse) for worse in made.worsened],
        price=finite(made.part.number("price")),
        currency=_stated(made.part, "currency"),
        quantity=finite(made.part.number("quantity")),
        status=_stated(made.part, "status"),
        place=place(made.judged, Remedies({}, {(made.judged.ref, id_): v for id_, v in made.lookups.items()})),
        as_drawn=place(made.drawn) if made.changed is not None else None,
    )


def _miss(miss: Miss) -> MissRecord:
    part, part_ref = miss.candidate.part, miss.candidate.judged.ref
    return MissRecord(
        part_number=part.part_number,
        maker=part.maker,
        failing=[requirement(f, part_ref, miss.remedies) for f in miss.failing],
    )


def record(answer: Swapped) -> SwapRecord:
    """The answer to a swap."""
    return SwapRecord(
        **header(answer.setup, answer.cautions, answer.not_judged),
        verdict=word(answer.verdict),
        reference=answer.ref,
        role=answer.demands.role.name,
        compared=answer.compared,
        counts={word(verdict): count for verdict, count in answer.counts.items()},
        demands=[requirement(finding) for finding in answer.demands.findings],
        fitted=place(answer.fitted),
        candidates=[candidate(i, made) for i, made in enumerate(answer.candidates, 1)],
        why_first=answer.why_first,
        why_not=answer.why_not,
        nearest_misses=[_miss(miss) for miss in answer.nearest],
    )
