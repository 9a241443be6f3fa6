"""The whole board, role by role, sums included; before and after where there is a before."""

from collections.abc import Sequence

from partcheck.jobs.judge.place import Judged
from partcheck.report.html.pictures.drawing import Drawing
from partcheck.report.html.pictures.headroom import Line, strips, used


def line_of(judged: Judged, name: str | None = None) -> Line:
    """A place as one line: its verdict, what sets it, and the share used of every requirement."""
    shares = tuple((f.verdict, used(f.headroom)) for f in judged.findings if f.headroom == f.headroom and f.counts)
    part = f" {judged.part.part_number}" if judged.part is not None else ""
    tightest = judged.tightest
    return Line(
        name if name is not None else f"{judged.ref}{part}",
        judged.verdict,
        tightest.id if tightest is not None else "",
        judged.headroom,
        shares,
    )


def overview(after: Sequence[Judged], before: Sequence[Judged] | None = None, title: str = "The board") -> Drawing:
    """Every place and link as a strip; a ring where the tightest stood before."""
    lines = [line_of(judged) for judged in after]
    if before is None:
        return strips(title, lines)
    known = {judged.ref: judged for judged in before}
    return strips(title, lines, [line_of(known.get(judged.ref, judged)) for judged in after])
