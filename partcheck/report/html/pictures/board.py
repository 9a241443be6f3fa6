"""The whole board, role by role, sums included; before and after where there is a before."""

import math
from collections.abc import Sequence

from partcheck.jobs.judge.place import Judged
from partcheck.report.html.pictures.drawing import Drawing
from partcheck.report.html.pictures.headroom import Line, strips, used

MOST = 22
"""Strips of one picture: more would be printed with letters under 8 points."""


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


def overview(
    after: Sequence[Judged], before: Sequence[Judged] | None = None, title: str = "The board"
) -> list[Drawing]:
    """Every place and link as a strip, worst first, as many to a picture as paper holds; a ring: before."""
    after = sorted(after, key=lambda j: (j.verdict, j.headroom if j.headroom == j.headroom else math.inf))
    known = {judged.ref: judged for judged in before or ()}
    count = math.ceil(len(after) / MOST)
    size = math.ceil(len(after) / count) if count else 0
    made = []
    for k in range(count):
        some = after[k * size : (k + 1) * size]
        was = [line_of(known.get(judged.ref, judged)) for judged in some] if before is not None else None
        made.append(strips(f"{title}, {k + 1} of {count}" if count > 1 else title, list(map(line_of, some)), was))
    return made
