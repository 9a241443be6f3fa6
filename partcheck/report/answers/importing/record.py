"""Record of an import: what was or would be entered, what changes, what was rejected."""

from typing import Any, Literal

from pydantic import Field

from partcheck.jobs.entry.importing import Imported
from partcheck.parts.problems import BadCell
from partcheck.report.record import Record


class BadCellRecord(Record):
    """A cell that cannot stand."""

    file: str
    sheet: str = Field(description="of a workbook; empty otherwise")
    row: int = Field(description="as a spreadsheet counts, 0 for a whole sheet; of a JSON file: which part")
    column: str = Field(description="the declared column")
    header: str = Field(description="what the sheet calls it, where that differs")
    text: str
    reason: str
    suggestion: str


class DifferenceRecord(Record):
    """A value that changes."""

    kind: str
    part_number: str
    maker: str
    column: str
    where: str = Field(description="the point of a table, or what a source is the source of")
    former: Any = Field(description="as a JSON file of parts states it; null where it was not stated")
    new: Any = Field(description="null where it is no longer stated")


class ImportRecord(Record):
    """What an import did, or with `preview` would do."""

    job: Literal["import"] = "import"
    source: str
    catalog: str
    preview: bool
    added: int
    changed: int
    same: int
    cleared: int = Field(description="values that are no longer stated")
    differences: list[DifferenceRecord]
    bad: list[BadCellRecord]
    rejects: str | None = Field(description="the file with the rejected rows")


def bad_cell(cell: BadCell) -> BadCellRecord:
    """A bad cell."""
    return BadCellRecord(
        file=cell.file,
        sheet=cell.sheet,
        row=cell.row,
        column=cell.column,
        header=cell.header,
        text=cell.text,
        reason=cell.reason,
        suggestion=cell.suggestion,
    )


def record(done: Imported) -> ImportRecord:
    """What an import did."""
    return ImportRecord(
        source=str(done.source),
        catalog=done.catalog,
        preview=done.preview,
        **done.outcome._asdict(),
        differences=[
            DifferenceRecord(
                kind=each.part.kind,
                part_number=each.part.part_number,
                maker=each.part.maker,
                column=each.column,
                where=each.where,
                former=each.former,
                new=each.new,
            )
            for each in done.differences
        ],
        bad=[bad_cell(cell) for cell in done.bad],
        rejects=str(done.rejects) if done.rejects is not None else None,
    )
