"""Accepted substitutions as CSV, for a spreadsheet."""

import csv
import io

from partcheck.jobs.decisions.stale import Records, Standing
from partcheck.report.lines import visible
from partcheck.report.render.csv import cell

HEADER = (
    "number",
    "state",
    "because",
    "verdict_now",
    "headroom_now",
    "board",
    "revision",
    "path",
    "reference",
    "role",
    "fitted",
    "part_number",
    "maker",
    "verdict",
    "least_headroom",
    "set_by",
    "changes",
    "policy",
    "version",
    "accepted_by",
    "accepted_at",
    "note",
)


def cells(standing: Standing) -> tuple[object, ...]:
    """What stands under each heading, every text as it was given."""
    row, result, again = standing.record.row, standing.record.result, standing.again
    return (
        row.number,
        "stale" if standing.stale else "current",
        "; ".join(standing.reasons),
        again.verdict.word if again is not None else None,
        _rounded(again.judged.headroom if again is not None else None),
        row.board,
        row.revision,
        standing.record.basis["path"],
        row.reference,
        row.role,
        row.fitted,
        row.part_number,
        row.maker,
        row.verdict,
        _rounded(result["headroom"]),
        result["set_by"],
        "; ".join(result["changes"]),
        row.policy,
        row.version,
        row.accepted_by,
        row.accepted_at,
        row.note,
    )


def text(found: Records) -> str:
    """One row per accepted substitution, newest first; control characters are made visible."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for standing in found.standings:
        writer.writerow([visible(made) for made in map(cell, cells(standing))])
    return out.getvalue().rstrip("\n")


def _rounded(value: float | None) -> float | None:
    return round(value, 4) if value is not None and value == value else None
