"""Record of a plan: the smallest set of changes, or what stands in the way."""

from typing import Literal

from pydantic import Field

from partcheck.jobs.plan.blocked import Blocked
from partcheck.jobs.plan.options import Option
from partcheck.jobs.plan.plan import Cured, Planned, PlanStep
from partcheck.readings.explain import Finding
from partcheck.report.answers.swap.record import ResistorRecord
from partcheck.report.answers.vet.record import ChangeRecord
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


class OptionRecord(Record):
    """A change at one place."""

    reference: str
    part_number: str | None = Field(description="the new part; null where the fitted one stays")
    maker: str | None
    resistor: ResistorRecord | None
    moved: bool = Field(description="true where a clamp goes to the other side: across the load, across the switch")
    land_pattern: bool = Field(description="true where land pattern or pin order change")
    size: int = Field(description="how many changes it counts")
    price: float | None
    currency: str | None


class CuredRecord(Record):
    """A requirement that would not meet without a change, all others made."""

    reference: str
    without: RequirementRecord
    now: RequirementRecord | None = Field(description="with the change; null where it is not asked any more")


class PlanStepRecord(Record):
    """One place of the plan."""

    option: OptionRecord
    part_number_before: str | None
    place: PlaceRecord = Field(description="as planned")
    cured: list[CuredRecord]


class LeftRecord(Record):
    """A requirement that does not meet."""

    reference: str
    requirement: RequirementRecord


class BlockedRecord(Record):
    """A place that no usable part fills, or a link that no part mends."""

    reference: str
    compared: int = Field(description="parts tried; 0 for a link without a catalog part")
    nearest: OptionRecord | None
    left: list[LeftRecord] = Field(description="what the nearest does not meet")
    nearest_failing: OptionRecord | None = Field(description="the nearest that fails, where `nearest` is unproven")
    left_failing: list[LeftRecord]


class PlanRecord(HeaderRecord):
    """The answer to a plan."""

    job: Literal["plan"] = "plan"
    outcome: Literal["meets", "plan", "none", "unproven", "undecided"]
    verdict: Word = Field(description="of the board as planned; as asked for where there is no plan")
    load: str | None
    changes: list[ChangeRecord] = Field(description="what was asked for")
    asked_notes: list[str]
    failing: list[LeftRecord] = Field(description="what does not meet before the plan")
    size: int = Field(description="number of changes")
    smallest: bool = Field(description="true where every smaller plan is excluded")
    cheapest: bool = Field(description="true where every cheaper plan of the same size is excluded")
    price: float | None = Field(description="of the new parts, one of each; null where one is not known")
    steps: list[PlanStepRecord]
    blocked: list[BlockedRecord]
    nearest: list[OptionRecord] = Field(description="without a plan: the combination with the fewest failures met")
    nearest_left: list[LeftRecord]


def _option(option: Option) -> OptionRecord:
    change, part = option.resistor, option.part
    return OptionRecord(
        reference=option.ref,
        part_number=part.part_number if part is not None else None,
        maker=part.maker if part is not None else None,
        resistor=ResistorRecord(key=change.key, before=change.before.typ, value=change.value) if change else None,
        moved=option.moved,
        land_pattern=bool(option.patterns),
        size=option.size,
        price=finite(option.price),
        currency=(part.word("currency") or None) if part is not None else None,
    )


def _cured(made: Cured) -> CuredRecord:
    now = requirement(made.now) if made.now is not None else None
    return CuredRecord(reference=made.ref, without=requirement(made.without), now=now)


def _step(step: PlanStep) -> PlanStepRecord:
    return PlanStepRecord(
        option=_option(step.option),
        part_number_before=step.before.part_number if step.before is not None else None,
        place=place(step.judged),
        cured=[_cured(made) for made in step.cured],
    )


def _left(ref: str, finding: Finding) -> LeftRecord:
    return LeftRecord(reference=ref, requirement=requirement(finding))


def _blocked(blocked: Blocked) -> BlockedRecord:
    option, judged = blocked.beside if blocked.beside is not None else (None, None)
    return BlockedRecord(
        reference=blocked.ref,
        compared=blocked.compared,
        nearest=_option(blocked.nearest) if blocked.nearest is not None else None,
        left=[_left(blocked.judged.ref, finding) for finding in blocked.findings],
        nearest_failing=_option(option) if option is not None else None,
        left_failing=[_left(judged.ref, f) for f in judged.findings if f.counts and f.verdict < 2] if judged else [],
    )


def record(answer: Planned) -> PlanRecord:
    """The answer to a plan."""
    options, left = answer.found.nearest if answer.found.nearest is not None else ((), ())
    none = answer.found.options is None
    return PlanRecord(
        **header(answer.setup, answer.cautions, answer.not_judged),
        outcome=answer.outcome.value,
        verdict=word(answer.verdict),
        load=answer.load or None,
        changes=[ChangeRecord(key=c.key, before=c.before, value=c.value, note=c.note) for c in answer.wanted.changes],
        asked_notes=list(answer.wanted.notes),
        failing=[_left(j.ref, f) for j in answer.before for f in j.findings if f.counts and f.verdict < 2],
        size=answer.size,
        smallest=not none and answer.found.smallest,
        cheapest=not none and answer.found.cheapest,
        price=None if none else finite(answer.price),
        steps=[_step(step) for step in answer.steps],
        blocked=[_blocked(blocked) for blocked in answer.found.blocked],
        nearest=[_option(option) for option in options] if none else [],
        nearest_left=[_left(ref, finding) for ref, finding in left] if none else [],
    )
