"""What the records of all answers are made of. Numbers are SI; temperatures °C, differences K; null is missing."""

import json
import math
from typing import TYPE_CHECKING, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.readings.explain import Compared, Finding
from partcheck.readings.story import Step
from partcheck.requirement import Verdict
from partcheck.units import json_unit, to_json

if TYPE_CHECKING:
    from partcheck.jobs.remedy.cures import Cure
    from partcheck.jobs.remedy.lookups import Lookup
    from partcheck.jobs.remedy.remedies import Remedies

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


class SettingRecord(Record):
    """A key of the board file, and what to write there."""

    key: str = Field(description="dotted; at_once is a group that replaces the one that shares names with it")
    value: str = Field(description="a text, in quotes in the file; of at_once an inline table")


class CureRecord(Record):
    """The value of one circuit quantity with which a requirement just meets and nothing else is lost."""

    quantity: str = Field(
        description="load-current, rail-voltage, drive-level, ambient-max, theta, at-once, a resistor ..."
    )
    of: str = Field(description="the place, load, rail or drive it belongs to")
    unit: str
    now: float | None = Field(description="null where it is not stated")
    value: float
    words: str
    sets: list[SettingRecord] = Field(description="what to write in the board file")
    verdict: Word = Field(description="of the requirement with the cure")
    headroom: float | None
    overall: Word = Field(description="of the whole board with the cure")


class ConditionRecord(Record):
    """When a row of a datasheet's table counts."""

    axis: str
    side: Literal["at most", "at least"]
    value: float
    unit: str


class LookupRecord(Record):
    """A datasheet value to look up, and how large it may be."""

    name: str = Field(description="column or table of the catalog, with its bound where only that is missing")
    meaning: str
    unit: str
    conditions: list[ConditionRecord]
    side: Literal["at most", "at least"] | None
    value: float | None = Field(
        description="null where it depends on other missing values, or any plausible one serves"
    )
    hopeless: bool = Field(description="true where no plausible value would do")
    any_value: bool = Field(description="true where every plausible value would do")
    words: str


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
    cure: str = Field(description="in words")
    cures: list[CureRecord] = Field(description="solved; for what fails or is unproven")
    lookups: list[LookupRecord] = Field(description="for what is unproven")
    counts: bool = Field(description="false where a failure is a change of the board (footprint), not an unfit part")
    pairs: list[PairRecord]
    missing: list[str] = Field(description="values to look up")
    assumed: list[str] = Field(description="what the policy let stand in for stated values")
    bounded: list[str] = Field(
        default=[], description="values not stated, for which a bound that the circuit alone proves stands in"
    )
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
    policy_unchecked: list[str] = Field(
        description="values of the policy that are from memory, unchecked against the publication"
    )
    parts: str
    notes: list[str]
    cautions: list[str]
    not_judged: list[str] = Field(
        default=[], description="what a reviewer would ask of this board, or place, and is not judged here"
    )


def finite(value: float | None, unit: str = "") -> float | None:
    """A number for JSON: temperatures in °C, missing and endless numbers null."""
    if value is None or not math.isfinite(value):
        return None
    return to_json(value, unit)


def word(verdict: Verdict) -> Word:
    """A verdict as a record writes it."""
    return verdict.word  # type: ignore[return-value]


def _pair(made: Compared, unit: str) -> PairRecord:
    return PairRecord(
        demand=finite(made.demand, unit),
        capability=finite(made.capability, unit),
        headroom=finite(made.headroom),
        verdict=word(made.verdict),
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


def _setting(pair: tuple[str, str]) -> SettingRecord:
    return SettingRecord(key=pair[0], value=pair[1])


def _cure(made: "Cure") -> CureRecord:
    return CureRecord(
        quantity=made.key,
        of=made.of,
        unit=json_unit(made.unit),
        now=finite(made.before, made.unit),
        value=finite(made.value, made.unit) or 0.0,
        words=str(made),
        sets=[_setting(pair) for pair in made.sets],
        verdict=word(made.verdict),
        headroom=finite(made.headroom),
        overall=word(made.overall),
    )


def lookup(made: "Lookup") -> LookupRecord:
    """A value to look up."""
    conditions = [
        ConditionRecord(axis=axis, side=side, value=to_json(value, unit), unit=json_unit(unit))  # type: ignore[arg-type]
        for axis, side, value, unit in made.conditions
    ]
    return LookupRecord(
        name=made.name,
        meaning=made.meaning,
        unit=json_unit(made.unit),
        conditions=conditions,
        side=made.side or None,  # type: ignore[arg-type]
        value=finite(made.value, made.unit),
        hopeless=made.hopeless,
        any_value=made.any_value,
        words=str(made),
    )


def requirement(finding: Finding, ref: str = "", remedies: "Remedies | None" = None) -> RequirementRecord:
    """One requirement; ``remedies`` hold what would help it at ``ref``."""
    rule, worst = finding.requirement, finding.compared[0]
    return RequirementRecord(
        id=rule.id,
        verdict=word(finding.verdict),
        demand=finite(worst.demand, rule.unit),
        capability=finite(worst.capability, rule.unit),
        headroom=finite(finding.headroom),
        unit=json_unit(rule.unit),
        claim=rule.claim,
        reading=rule.reading,
        source=rule.source,
        cure=rule.cure,
        cures=[_cure(made) for made in remedies.cures_of(ref, rule.id)] if remedies is not None else [],
        lookups=[lookup(made) for made in remedies.lookups_of(ref, rule.id)] if remedies is not None else [],
        counts=finding.counts,
        pairs=[_pair(made, rule.unit) for made in finding.compared],
        missing=list(finding.story.missing) if finding.verdict is Verdict.UNPROVEN else [],
        assumed=list(finding.story.assumed),
        bounded=list(finding.story.bounded),
        values=_values(finding),
    )


def place(judged: Judged, remedies: "Remedies | None" = None) -> PlaceRecord:
    """One place."""
    return PlaceRecord(
        reference=judged.ref,
        role=judged.role.name,
        part_number=judged.part.part_number if judged.part is not None else None,
        maker=judged.part.maker if judged.part is not None else None,
        verdict=word(judged.verdict),
        headroom=finite(judged.headroom),
        set_by=judged.tightest.id if judged.tightest is not None else None,
        requirements=[requirement(finding, judged.ref, remedies) for finding in judged.findings],
        not_asked=[rule.id for rule in judged.not_asked],
        results={step.name: _made(step) for step in judged.results},
    )


def header(setup: Setup, cautions: tuple[str, ...], not_judged: tuple[str, ...] = ()) -> dict[str, Any]:
    """What every record opens with."""
    board = setup.board_file.board
    return {
        "board": board.name,
        "revision": board.revision,
        "board_fingerprint": setup.board_file.fingerprint,
        "policy": setup.policy.name,
        "policy_unchecked": list(setup.policy.unchecked),
        "parts": setup.parts.where,
        "notes": list(setup.notes),
        "cautions": list(cautions),
        "not_judged": list(not_judged),
    }


def to_text(record: Record) -> str:
    """A record as JSON text."""
    return json.dumps(record.model_dump(mode="json"), ensure_ascii=False, allow_nan=False, indent=1)
