"""The ranking of a swap as CSV, for a spreadsheet."""

import csv
import io

from partcheck.jobs.swap.swap import Swapped
from partcheck.report.render.csv import cell

HEADER = (
    "rank",
    "part_number",
    "maker",
    "verdict",
    "verdict_as_drawn",
    "least_headroom",
    "set_by",
    "changes",
    "worsens",
    "price",
    "currency",
    "quantity",
    "status",
)


def text(swapped: Swapped) -> str:
    """One row per stand-in."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for i, made in enumerate(swapped.candidates, 1):
        part, headroom = made.part, made.judged.headroom
        row = (
            i,
            part.part_number,
            part.maker,
            made.verdict.word,
            made.drawn.verdict.word,
            round(headroom, 4) if headroom == headroom else None,
            made.judged.tightest.id if made.judged.tightest is not None else None,
            "; ".join(made.changes),
            "; ".join(map(str, made.worsened)),
            part.number("price"),
            part.word("currency"),
            part.number("quantity"),
            part.word("status"),
        )
        writer.writerow([cell(value) for value in row])
    return out.getvalue().rstrip("\n")
