"""Record of a look at the whole catalog."""

from typing import TYPE_CHECKING, Literal

from partcheck.report.record import Record

if TYPE_CHECKING:
    from partcheck.catalog.verifying import Verified


class FindingRecord(Record):
    """Something in the catalog that is not as it should be."""

    check: Literal["database", "references", "values", "history"]
    where: str
    told: str


class VerifyRecord(Record):
    """Whether the catalog is sound."""

    format: Literal[1] = 1
    job: Literal["verify"] = "verify"
    catalog: str
    parts: int
    changes: int
    sound: bool
    findings: list[FindingRecord]


def record(answer: "Verified", where: str) -> VerifyRecord:
    """What was found in the catalog ``where``."""
    return VerifyRecord(
        catalog=where,
        parts=answer.parts,
        changes=answer.changes,
        sound=not answer.findings,
        findings=[FindingRecord.model_validate(finding._asdict()) for finding in answer.findings],
    )
