"""Answers as JSON records. Numbers are SI; temperatures °C, temperature differences K; null is a missing number.

The classes here are the published schema: ``partcheck schema answers`` prints it.
"""

import json
import math
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from partcheck.jobs.check import Checked
from partcheck.jobs.explaining import Explained
from partcheck.jobs.places import Judged
from partcheck.jobs.setup import Setup
from partcheck.jobs.swap import Candidate, Miss, Swapped, Worsened
from partcheck.parts import Part
from partcheck.readings.explain import Compared, Finding
from partcheck.readings.trace import Step
from partcheck.requirement import Verdict
from partcheck.units import json_unit, to_json

Word = Literal["fails", "unproven", "tight", "meets"]


class Record(BaseModel):
    """Any record of an answer."""

    model_config = ConfigDict(extra="forbid", defer_build=True)


class PairRecord(Record):
    """A demand against a capability."""

    demand: float | None = Field(description="null where it is missing, or without bound")
    capability: float | None = Field(description="after derating; null where it is missing, or without bound")
    headroom: float | None = Field(description="1 - demand/capability; null where there is none to tell")
    verdict: Word
    demand_formula: str = Field(description="in names")
    demand_digits: str = Field(description="in numbers")
    capability_formula: str
    capability_digits: str


class ValueRecord(Record):
    """A named value under a requirement."""

    value: float | str | None
    unit: str
    formula: str = Field(default="", description="how an intermediate value is made, in names")
    digits: str = Field(default="", description="the same in numbers")
    source: str = Field(default="", description="where a stated value was stated")
    of: Literal["part", "board", "made"]


class RequirementRecord(Record):
    """What became of one requirement; demand, capability and headroom are those of its worst pair."""

    id: str
    verdict: Word
    demand: float | None
    capability: float | None
    headroom: float | None
    unit: str
    claim: str
    reading: str
    source: str
    cure: str
    counts: bool = Field(description="false where a failure is a change of the board (footprint), not an unfit part")
    pairs: list[PairRecord]
    missing: list[str] = Field(description="values to look up")
    assumed: list[str] = Field(description="what the policy let stand in for stated values")
    values: dict[str, ValueRecord]


class PlaceRecord(Record):
    """A place, or a link without a part, judged."""

    reference: str
    role: str
    part_number: str | None
    maker: str | None
    verdict: Word
    headroom: float | None
    set_by: str | None = Field(description="requirement with the least headroom")
    requirements: list[RequirementRecord]
    not_asked: list[str]
    results: dict[str, ValueRecord] = Field(description="operating points, windows and what is left over")


class HeaderRecord(Record):
    """What every answer opens with."""

    format: Literal[1] = 1
    board: str
    revision: str
    board_fingerprint: str
    policy: str
    parts: str
    notes: list[str]
    cautions: list[str]


class CheckRecord(HeaderRecord):
    """The board as fitted."""

    job: Literal["check"] = "check"
    verdict: Word
    places: list[PlaceRecord]
    links: list[PlaceRecord]


class ExplainRecord(HeaderRecord):
    """One part in one place."""

    job: Literal["explain"] = "explain"
    verdict: Word
    place: PlaceRecord


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


Answer = CheckRecord | ExplainRecord | SwapRecord


def finite(value: float | None, unit: str = "") -> float | None:
    """A number for JSON: temperatures in °C, missing and endless numbers null."""
    if value is None or not math.isfinite(value):
        return None
    return to_json(value, unit)


def _word(verdict: Verdict) -> Word:
    return verdict.word  # type: ignore[return-value]


def _pair(made: Compared, unit: str) -> PairRecord:
    return PairRecord(
        demand=finite(made.demand, unit),
        capability=finite(made.capability, unit),
        headroom=finite(made.headroom),
        verdict=_word(made.verdict),
        demand_formula=made.demand_symbols,
        demand_digits=made.demand_digits,
        capability_formula=made.capability_symbols,
        capability_digits=made.capability_digits,
    )


def _values(finding: Finding) -> dict[str, ValueRecord]:
    made: dict[str, ValueRecord] = {}
    for origin in finding.story.origins:
        value = origin.value if isinstance(origin.value, str) else finite(origin.value, origin.unit)
        made[origin.name] = ValueRecord(
            value=value, unit=json_unit(origin.unit), source=origin.source, of="part" if origin.from_part else "board"
        )
    for step in finding.story.steps:
        made[step.name] = ValueRecord(
            value=finite(step.value, step.unit),
            unit=json_unit(step.unit),
            formula=step.symbols,
            digits=step.digits,
            of="made",
        )
    return made


def _made(step: Step) -> ValueRecord:
    return ValueRecord(
        value=finite(step.value, step.unit),
        unit=json_unit(step.unit),
        formula=step.symbols,
        digits=step.digits,
        of="made",
    )


def requirement(finding: Finding) -> RequirementRecord:
    """One requirement."""
    rule, worst = finding.requirement, finding.compared[0]
    return RequirementRecord(
        id=rule.id,
        verdict=_word(finding.verdict),
        demand=finite(worst.demand, rule.unit),
        capability=finite(worst.capability, rule.unit),
        headroom=finite(finding.headroom),
        unit=json_unit(rule.unit),
        claim=rule.claim,
        reading=rule.reading,
        source=rule.source,
        cure=rule.cure,
        counts=finding.counts,
        pairs=[_pair(made, rule.unit) for made in finding.compared],
        missing=list(finding.story.missing) if finding.verdict is Verdict.UNPROVEN else [],
        assumed=list(finding.story.assumed),
        values=_values(finding),
    )


def place(judged: Judged) -> PlaceRecord:
    """One place."""
    return PlaceRecord(
        reference=judged.ref,
        role=judged.role.name,
        part_number=judged.part.part_number if judged.part is not None else None,
        maker=judged.part.maker if judged.part is not None else None,
        verdict=_word(judged.verdict),
        headroom=finite(judged.headroom),
        set_by=judged.tightest.id if judged.tightest is not None else None,
        requirements=[requirement(finding) for finding in judged.findings],
        not_asked=[rule.id for rule in judged.not_asked],
        results={step.name: _made(step) for step in judged.results},
    )


def _header(setup: Setup, cautions: tuple[str, ...]) -> dict[str, Any]:
    board = setup.board_file.board
    return {
        "board": board.name,
        "revision": board.revision,
        "board_fingerprint": setup.board_file.fingerprint,
        "policy": setup.policy.name,
        "parts": setup.parts.where,
        "notes": list(setup.notes),
        "cautions": list(cautions),
    }


def checked(answer: Checked) -> CheckRecord:
    """The board as fitted."""
    return CheckRecord(
        **_header(answer.setup, answer.cautions),
        verdict=_word(answer.verdict),
        places=[place(judged) for judged in answer.places],
        links=[place(judged) for judged in answer.links],
    )


def explained(answer: Explained) -> ExplainRecord:
    """One part in one place."""
    return ExplainRecord(
        **_header(answer.setup, answer.cautions), verdict=_word(answer.judged.verdict), place=place(answer.judged)
    )


def _worsened(worse: Worsened) -> WorsenedRecord:
    return WorsenedRecord(
        reference=worse.ref, requirement=worse.finding.id, before=_word(worse.before), after=_word(worse.after)
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
        verdict=_word(made.verdict),
        verdict_as_drawn=_word(made.drawn.verdict),
        headroom=finite(made.judged.headroom),
        set_by=made.judged.tightest.id if made.judged.tightest is not None else None,
        changes=made.changes,
        resistor=ResistorRecord(key=change.key, before=change.before.typ, value=change.value) if change else None,
        worsened=[_worsened(worse) for worse in made.worsened],
        price=finite(made.part.number("price")),
        currency=_stated(made.part, "currency"),
        quantity=finite(made.part.number("quantity")),
        status=_stated(made.part, "status"),
        place=place(made.judged),
        as_drawn=place(made.drawn) if made.changed is not None else None,
    )


def _miss(miss: Miss) -> MissRecord:
    part = miss.candidate.part
    return MissRecord(
        part_number=part.part_number, maker=part.maker, failing=[requirement(finding) for finding in miss.failing]
    )


def swapped(answer: Swapped) -> SwapRecord:
    """The answer to a swap."""
    return SwapRecord(
        **_header(answer.setup, answer.cautions),
        verdict=_word(answer.verdict),
        reference=answer.ref,
        role=answer.demands.role.name,
        compared=answer.compared,
        counts={_word(verdict): count for verdict, count in answer.counts.items()},
        demands=[requirement(finding) for finding in answer.demands.findings],
        fitted=place(answer.fitted),
        candidates=[candidate(i, made) for i, made in enumerate(answer.candidates, 1)],
        why_first=answer.why_first,
        why_not=answer.why_not,
        nearest_misses=[_miss(miss) for miss in answer.nearest],
    )


def to_text(record: Record) -> str:
    """A record as JSON text."""
    return json.dumps(record.model_dump(mode="json"), ensure_ascii=False, allow_nan=False, indent=1)


def answers_schema() -> dict[str, Any]:
    """JSON Schema of every answer."""
    schema: dict[str, Any] = TypeAdapter(Answer).json_schema(mode="serialization")
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "partcheck answers, format 1"
    return schema
