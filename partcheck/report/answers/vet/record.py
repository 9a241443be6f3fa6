"""Record of a vet: a load before and after a change."""

from typing import Any, Literal

from pydantic import Field

from partcheck.jobs.change.board import Change
from partcheck.jobs.vet.clamps import Clamping, Nearest, Replacement
from partcheck.jobs.vet.figures import ComparedFigure
from partcheck.jobs.vet.path import PathLink
from partcheck.jobs.vet.vet import PathStep, Vetted
from partcheck.jobs.vet.way import At, GivenWay
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
from partcheck.requirement import Fact, Verdict
from partcheck.units import json_unit


class ChangeRecord(Record):
    """A value of the board file that was asked to change."""

    key: str
    before: Any = Field(description="as the file states it; null where it states nothing")
    value: Any = Field(description="as it would stand in the file")
    note: str


class LinkRecord(Record):
    """A link of the path on one board."""

    carries: float | None = Field(description="largest momentary current, A")
    place: PlaceRecord | None = Field(description="null for the load itself")


class StepRecord(Record):
    """A link of the current path, before and after."""

    stage: str
    reference: str
    before: LinkRecord | None
    after: LinkRecord | None


class FigureRecord(Record):
    """A key figure before and after; null where there is none, or it is not known."""

    name: str
    meaning: str
    unit: str
    before: float | None
    after: float | None


class ReachedRecord(Record):
    """What a changing value has reached on the way."""

    key: str
    least: float | None
    typical: float | None
    largest: float | None
    unit: str


class GivenWayRecord(Record):
    """A requirement that does not meet as changed and did before."""

    reference: str
    requirement: str
    before: Word | None = Field(description="null where it was not asked before")
    after: Word
    demand: float | None
    capability: float | None
    unit: str
    share: float | None = Field(description="share of the way at which it stops to meet; null without steps")
    reached: list[ReachedRecord]


class LostRecord(Record):
    """A requirement that was proved before, or not asked, and is unproven as changed."""

    reference: str
    requirement: str
    before: Word | None
    missing: list[str]


class ClampPartRecord(Record):
    """A part of a clamp, and the reference it would have."""

    reference: str
    part_number: str
    maker: str


class ClampRecord(Record):
    """A clamp that cures the turn-off and makes nothing else worse."""

    way: Literal["diode", "across-switch", "in-series"]
    parts: list[ClampPartRecord]
    verdict: Word
    headroom: float | None
    lets_go: bool = Field(description="true where `time` is until the load lets go, false until the current is gone")
    time: float | None
    peak: float | None = Field(description="largest voltage across the switch")
    energy: float | None = Field(description="largest energy of one turn-off")
    price: float | None
    footprint: list[str] = Field(description="land-pattern requirements that ask for a change of the board")


class NearMissRecord(Record):
    """The clamp that comes nearest where none of a way cures."""

    way: Literal["diode", "across-switch", "in-series"]
    part_number: str
    maker: str
    against: list[str] = Field(description="place and requirement that stand in its way")


class ClampingRecord(Record):
    """Other clamps, looked for where the turn-off fails."""

    asked_for: list[str]
    compared: int
    found: list[ClampRecord]
    nearest: list[NearMissRecord]


class VetRecord(HeaderRecord):
    """A load before and after a change, with the whole board as changed."""

    job: Literal["vet"] = "vet"
    load: str
    verdict: Word = Field(description="of the whole board as changed")
    verdict_before: Word
    changes: list[ChangeRecord]
    changes_notes: list[str]
    path: list[StepRecord]
    not_stated: list[str] = Field(description="stages of the path about which the board states nothing")
    figures: list[FigureRecord]
    gives_way: list[GivenWayRecord] = Field(description="what fails as changed and did not before, in order")
    no_longer_proved: list[LostRecord]
    clamping: ClampingRecord | None
    new_cautions: list[str]
    places: list[PlaceRecord] = Field(description="of the board as changed")
    links: list[PlaceRecord] = Field(description="of the board as changed")
    requirements_before: dict[str, dict[str, Word]] = Field(description="verdicts of the board as it is, by place")


def _change(made: Change) -> ChangeRecord:
    return ChangeRecord(key=made.key, before=made.before, value=made.value, note=made.note)


def _number(fact: Fact | None, unit: str) -> float | None:
    return None if fact is None or fact.value is None else finite(float(fact.value), unit)


def _link(link: PathLink | None) -> LinkRecord | None:
    if link is None:
        return None
    return LinkRecord(carries=_number(link.carries, "A"), place=place(link.judged) if link.judged is not None else None)


def _step(made: PathStep) -> StepRecord:
    return StepRecord(stage=made.stage, reference=made.ref, before=_link(made.before), after=_link(made.after))


def _figure(made: ComparedFigure) -> FigureRecord:
    return FigureRecord(
        name=made.name,
        meaning=made.meaning,
        unit=json_unit(made.unit),
        before=_number(made.before, made.unit),
        after=_number(made.after, made.unit),
    )


def _reached(at: At) -> ReachedRecord:
    least, typical, largest = (finite(value, at.unit) for value in at.value)
    return ReachedRecord(key=at.key, least=least, typical=typical, largest=largest, unit=json_unit(at.unit))


def given_way(made: GivenWay) -> GivenWayRecord:
    """A requirement that gives way."""
    after: RequirementRecord = requirement(made.after)
    return GivenWayRecord(
        reference=made.ref,
        requirement=made.after.id,
        before=word(made.before.verdict) if made.before is not None else None,
        after=after.verdict,
        demand=after.demand,
        capability=after.capability,
        unit=after.unit,
        share=made.share,
        reached=[_reached(at) for at in made.at],
    )


def _clamp(made: Replacement) -> ClampRecord:
    return ClampRecord(
        way=made.how,
        parts=[ClampPartRecord(reference=ref, part_number=p.part_number, maker=p.maker) for ref, p in made.fitted],
        verdict=word(made.verdict),
        headroom=finite(made.headroom),
        lets_go=made.lets_go,
        time=finite(made.time),
        peak=finite(made.peak),
        energy=finite(made.energy),
        price=finite(made.price),
        footprint=list(made.footprint),
    )


def _near(made: Nearest) -> NearMissRecord:
    return NearMissRecord(
        way=made.how,
        part_number=made.part.part_number,
        maker=made.part.maker,
        against=[f"{ref} {finding.id}" for ref, finding in made.against],
    )


def _clamping(made: Clamping | None) -> ClampingRecord | None:
    if made is None:
        return None
    return ClampingRecord(
        asked_for=[f"{ref} {finding.id}" for ref, finding in made.asked_for],
        compared=made.compared,
        found=[_clamp(one) for one in made.found],
        nearest=[_near(one) for one in made.nearest],
    )


def record(answer: Vetted) -> VetRecord:
    """A load before and after a change."""
    remedies = answer.remedies if answer.verdict < Verdict.TIGHT else None
    head = header(answer.setup, answer.cautions, answer.not_judged)
    head["notes"] = list(answer.as_changed.notes)
    return VetRecord(
        **head,
        load=answer.load,
        verdict=word(answer.verdict),
        verdict_before=word(answer.verdict_before),
        changes=[_change(made) for made in answer.changes],
        changes_notes=list(answer.asked_notes),
        path=[_step(step) for step in answer.steps],
        not_stated=list(answer.not_stated),
        figures=[_figure(made) for made in answer.figures],
        gives_way=[given_way(made) for made in answer.gives_way],
        no_longer_proved=[
            LostRecord(
                reference=ref,
                requirement=new.id,
                before=word(old.verdict) if old is not None else None,
                missing=list(new.story.missing),
            )
            for ref, old, new in answer.unproven
        ],
        clamping=_clamping(answer.clamping),
        new_cautions=list(answer.new_cautions) if answer.changes else [],
        places=[place(judged, remedies) for judged in answer.places],
        links=[place(judged, remedies) for judged in answer.links],
        requirements_before={j.ref: {f.id: word(f.verdict) for f in j.findings} for j in answer.before},
    )
