"""Record of a review: what is doubtful in the catalog."""

from collections.abc import Sequence
from typing import Literal

from pydantic import Field

from partcheck.parts.review import Doubt
from partcheck.report.record import Record


class DoubtRecord(Record):
    """One doubt about a part."""

    kind: str
    part_number: str
    maker: str
    rule: str = Field(description="which relation is broken")
    columns: list[str] = Field(description="the values and tables it is about")
    reason: str


class ReviewRecord(Record):
    """What is doubtful about parts of the catalog; nothing was changed."""

    format: Literal[1] = 1
    job: Literal["review"] = "review"
    catalog: str
    reviewed: int = Field(description="parts looked at")
    doubts: list[DoubtRecord]


def record(doubts: Sequence[Doubt], count: int, catalog: str) -> ReviewRecord:
    """What is doubtful about so many parts."""
    told = [
        DoubtRecord(
            kind=d.kind, part_number=d.part_number, maker=d.maker, rule=d.rule, columns=list(d.columns), reason=d.reason
        )
        for d in doubts
    ]
    return ReviewRecord(catalog=catalog, reviewed=count, doubts=told)
