"""Record of what requirements rest on."""

from typing import Any, Literal

from pydantic import Field

from partcheck.jobs.evidence.evidence import Evidence, Outside, Stated, Support
from partcheck.jobs.evidence.recorded import Check, FormulaCheck
from partcheck.report.record import Record


class PublishedRecord(Record):
    """A number that a document prints, run through the whole requirement."""

    row: str = Field(description="its row in the collection of published numbers")
    side: str = Field(description="demand, capability, or a quantity under them")
    printed: float = Field(description="in the unit of the requirement (SI)")
    came_out: float
    deviation: float = Field(description="share by which what came out is larger")
    document: str
    seen: str = Field(description="how well the number was seen")
    note: str


class PhysicsRecord(Record):
    """A number that a document prints, run through functions of physics that the requirement uses."""

    row: str
    what: str
    printed: float = Field(description="SI")
    came_out: float
    deviation: float
    document: str
    seen: str
    note: str
    functions: list[str] = Field(description="module and function of `partcheck.physics`")


class SimulatedRecord(Record):
    """What the simulated circuit showed at places judged meets or tight."""

    what: str
    places: int
    worst: float = Field(description="largest share of what is allowed; above 1 the verdict would be wrong")


class PolicyValueRecord(Record):
    """A value of policies that a requirement reads."""

    name: str
    unit: str
    meaning: str
    policies: dict[str, float] = Field(description="what each shipped policy states (SI)")


class GroundRecord(Record):
    """All that speaks for one requirement."""

    role: str
    requirement: str
    unit: str
    claim: str
    read_as: str
    source: str
    demand: str = Field(description="the formula in names, as an example is explained")
    capability: str
    outside_check: Literal["whole", "physics", "simulated", "none"] = Field(description="the strongest of them")
    published: list[PublishedRecord]
    physics: list[PhysicsRecord]
    simulated: list[SimulatedRecord]
    factors: list[PolicyValueRecord] = Field(description="shares and margins of the policy")
    may_be_assumed: list[PolicyValueRecord] = Field(description="what a policy may assume where a datasheet is silent")
    not_modelled: list[str]
    not_asked_until_stated: list[str] = Field(description="questions that remain until a board states enough")


class EvidenceRecord(Record):
    """What requirements rest on."""

    format: Literal[1] = 1
    job: Literal["evidence"] = "evidence"
    recorded_on: str = Field(description="the day on which the tests wrote their record")
    boards_simulated: int
    points_each: int = Field(description="points inside the corners of each board, besides those of the search")
    requirements: list[GroundRecord]


def record(answer: Evidence) -> EvidenceRecord:
    """What the requirements that were asked about rest on."""
    return EvidenceRecord(
        recorded_on=answer.record.made_on,
        boards_simulated=answer.record.boards,
        points_each=answer.record.points,
        requirements=[_ground(ground) for ground in answer.grounds],
    )


_OUTSIDE: dict[Outside, Literal["whole", "physics", "simulated", "none"]] = {
    Outside.WHOLE: "whole",
    Outside.PHYSICS: "physics",
    Outside.SIMULATED: "simulated",
    Outside.NONE: "none",
}


def _ground(ground: Support) -> GroundRecord:
    rule = ground.requirement
    return GroundRecord(
        role=ground.role.name,
        requirement=rule.id,
        unit=rule.unit,
        claim=rule.claim,
        read_as=rule.reading,
        source=rule.source,
        demand=ground.demand,
        capability=ground.capability,
        outside_check=_OUTSIDE[ground.outside],
        published=[PublishedRecord(side=made.side, **_compared(made)) for made in ground.checks],
        physics=[
            PhysicsRecord(
                what=made.what,
                functions=[name for name in made.functions if name in ground.functions],
                **_compared(made),
            )
            for made in ground.behind
        ],
        simulated=[SimulatedRecord(what=m.what, places=m.places, worst=m.worst) for m in ground.simulated],
        factors=[_stated(made) for made in ground.factors],
        may_be_assumed=[_stated(made) for made in ground.assumed],
        not_modelled=list(ground.left_out),
        not_asked_until_stated=list(ground.questions),
    )


def _compared(made: Check | FormulaCheck) -> dict[str, Any]:
    """What is printed, what comes out, and where it is printed."""
    return {
        "row": made.row,
        "printed": made.printed,
        "came_out": made.got,
        "deviation": made.deviation,
        "document": made.document,
        "seen": made.seen,
        "note": made.note,
    }


def _stated(made: Stated) -> PolicyValueRecord:
    values = {policy: value for policy, value, _ in made.policies}
    return PolicyValueRecord(name=made.name, unit=made.unit, meaning=made.meaning, policies=values)
