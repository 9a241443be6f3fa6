"""Record of what is missing."""

from typing import Literal

from pydantic import Field

from partcheck.jobs.missing.missing import Missing
from partcheck.report.record import HeaderRecord, LookupRecord, Record, Word, header, lookup, word


class GapRecord(Record):
    """One value to look up or state."""

    reference: str = Field(description="the place whose part lacks it; empty for a key of the board file")
    part_number: str | None
    maker: str | None
    name: str
    lookup: LookupRecord | None = Field(description="condition and how large it may be, where that is known")
    page: str = Field(description="where a datasheet usually has it")
    settles: list[str] = Field(description="requirements that this value alone leaves open")
    among: list[str] = Field(description="requirements that lack it beside others")


class MissingRecord(HeaderRecord):
    """What to look up for a board, first what settles most."""

    job: Literal["missing"] = "missing"
    verdict: Word
    unproven: int = Field(description="requirements that are not proved")
    missing: list[GapRecord]


def record(answer: Missing) -> MissingRecord:
    """What is missing."""
    checked = answer.checked
    return MissingRecord(
        **header(checked.setup, checked.cautions, checked.not_judged),
        verdict=word(checked.verdict),
        unproven=answer.open,
        missing=[
            GapRecord(
                reference=gap.ref,
                part_number=gap.part.part_number if gap.part is not None else None,
                maker=gap.part.maker if gap.part is not None else None,
                name=gap.name,
                lookup=lookup(gap.lookup) if gap.lookup is not None else None,
                page=gap.page,
                settles=list(gap.alone),
                among=list(gap.among),
            )
            for gap in answer.gaps
        ],
    )
