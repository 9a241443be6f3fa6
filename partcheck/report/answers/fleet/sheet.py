"""The places that a change touches as CSV, for a spreadsheet."""

import csv
import io

from partcheck.jobs.fleet.fleet import Fleet
from partcheck.report.render.csv import cell

HEADER = (
    "board",
    "reference",
    "part",
    "before",
    "after",
    "set_by",
    "verdict",
    "best_stand_in",
    "maker",
    "stand_in_verdict",
    "headroom",
    "changes",
)


def text(found: Fleet) -> str:
    """One row per place, the worst first."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for place in found.touched:
        row: list[object] = [str(place.board), place.ref, place.part, place.before.word]
        row += [place.after.word if place.set_by else "gone", place.set_by, place.verdict.word]
        if best := place.best:
            headroom = round(best.headroom, 4) if best.headroom == best.headroom else None
            row += [best.part_number, best.maker, best.verdict.word, headroom, "; ".join(best.changes)]
        else:
            row += [None] * 5
        writer.writerow(cell(value) for value in row)
    return out.getvalue().rstrip("\n")
