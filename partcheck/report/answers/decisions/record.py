"""Records of accepted substitutions: one just accepted, and all of them with what is stale."""

from typing import Any, Literal

from pydantic import Field

from partcheck.jobs.decisions.accept import Decided
from partcheck.jobs.decisions.stale import KeptRecord as Kept
from partcheck.jobs.decisions.stale import Records, Standing, read_record
from partcheck.report.answers.swap.record import ResistorRecord, WorsenedRecord
from partcheck.report.record import HeaderRecord, Record, Word, finite, header, word


class UsedValueRecord(Record):
    """A value that a requirement rested on."""

    name: str
    value: float | str | None
    unit: str
    source: str = Field(description="where it was stated")
    of: Literal["part", "board"]


class DecidedRequirementRecord(Record):
    """What became of one requirement at the time; numbers of its worst pair."""

    id: str
    verdict: Word
    demand: float | None
    capability: float | None
    headroom: float | None
    unit: str
    counts: bool = Field(description="false where a failure is a change of the board (footprint), not an unfit part")
    missing: list[str]
    assumed: list[str]
    values: list[UsedValueRecord]


class AcceptedRecord(Record):
    """An accepted substitution as it was written down."""

    number: int
    board: str
    revision: str
    path: str = Field(description="of the board file, as given")
    reference: str
    role: str
    fitted: str = Field(description="part number fitted before; empty where none was")
    part_number: str
    maker: str
    verdict: Word
    verdict_as_drawn: Word
    headroom: float | None
    set_by: str | None
    changes: list[str]
    resistor: ResistorRecord | None
    worsened: list[WorsenedRecord]
    requirements: list[DecidedRequirementRecord]
    cautions: list[str]
    policy: str
    policy_values: dict[str, float]
    part: dict[str, Any] = Field(description="every value of the accepted part at the time, as in a parts file")
    board_content: dict[str, Any] = Field(description="the board at the time, as its file wrote it")
    version: str
    accepted_by: str
    accepted_at: str = Field(description="ISO 8601, with time zone")
    note: str


class AcceptRecord(HeaderRecord):
    """A substitution just accepted."""

    job: Literal["accept"] = "accept"
    verdict: Word
    catalog: str = Field(description="where it is written down")
    accepted: AcceptedRecord


class JudgedAgainRecord(Record):
    """An accepted substitution judged as things are now."""

    verdict: Word
    headroom: float | None
    set_by: str | None


class StandingRecord(Record):
    """An accepted substitution, and whether it still stands."""

    state: Literal["current", "stale"]
    because: list[str] = Field(description="what changed since")
    carried_out: bool = Field(description="the board file has the accepted part fitted now")
    judged_again: JudgedAgainRecord | None = Field(description="null where nothing changed, or it cannot be judged")
    accepted: AcceptedRecord


class RecordsRecord(Record):
    """The accepted substitutions of a catalog, newest first."""

    format: Literal[1] = 1
    job: Literal["records"] = "records"
    catalog: str
    stale: int = Field(description="how many of those listed are stale")
    records: list[StandingRecord]


def _accepted(kept: Kept) -> AcceptedRecord:
    row, result, basis = kept.row, kept.result, kept.basis
    return AcceptedRecord(
        number=row.number,
        board=row.board,
        revision=row.revision,
        path=basis["path"],
        reference=row.reference,
        role=row.role,
        fitted=row.fitted,
        part_number=row.part_number,
        maker=row.maker,
        verdict=word(kept.verdict),
        policy=row.policy,
        policy_values=basis["policy_values"],
        part=basis["part"],
        board_content=basis["written"],
        version=row.version,
        accepted_by=row.accepted_by,
        accepted_at=row.accepted_at,
        note=row.note,
        **result,
    )


def accepted(decided: Decided) -> AcceptRecord:
    """A substitution just accepted."""
    kept = read_record(decided.row, decided.where)
    return AcceptRecord(
        **header(decided.setup, decided.cautions, decided.not_judged),
        verdict=word(kept.verdict),
        catalog=decided.where,
        accepted=_accepted(kept),
    )


def _standing(standing: Standing) -> StandingRecord:
    made = standing.again
    again = None
    if made is not None:
        tightest = made.judged.tightest
        again = JudgedAgainRecord(
            verdict=word(made.verdict),
            headroom=finite(made.judged.headroom),
            set_by=tightest.id if tightest is not None else None,
        )
    return StandingRecord(
        state="stale" if standing.stale else "current",
        because=list(standing.reasons),
        carried_out=standing.carried_out,
        judged_again=again,
        accepted=_accepted(standing.record),
    )


def recorded(found: Records) -> RecordsRecord:
    """The accepted substitutions of a catalog."""
    return RecordsRecord(
        catalog=found.where,
        stale=sum(standing.stale for standing in found.standings),
        records=[_standing(standing) for standing in found.standings],
    )
