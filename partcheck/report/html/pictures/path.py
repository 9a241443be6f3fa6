"""The path of a load's current as a drawing: link by link, with what each carries and has left."""

import math
import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from partcheck.jobs.vet.vet import PathStep
from partcheck.report.html.pictures.drawing import INK, MUTED, PAPER, Drawing, brief, chart, finish
from partcheck.report.html.pictures.headroom import COLOURS, HATCHES, used
from partcheck.report.lines import percent
from partcheck.requirement import Verdict
from partcheck.units import show

COLUMNS = 3
WIDE, HIGH, GAP, DROP = 1.0, 0.92, 0.22, 0.42
MOST = 1.25
"""Share at which the bar of a link ends."""


def drawn(load: str, steps: Sequence[PathStep], changed: bool) -> Drawing:
    """The links in a row that winds to and fro; a bar tells the share used, a line in it where it was before."""
    shown = [step for step in steps if step.after is not None]
    rows = math.ceil(len(shown) / COLUMNS)
    height = 0.4 + 1.2 * rows
    with chart(height) as (figure, axes):
        figure.subplots_adjust(0.01, 0.01, 0.99, 0.99)
        axes.set_axis_off()
        axes.set_xlim(-0.25, COLUMNS * (WIDE + GAP) + 0.05)
        axes.set_ylim(-(rows * (HIGH + DROP)) + DROP - 0.3, 0.12)
        places = [_place(i) for i in range(len(shown))]
        for (x, y), (x2, y2) in pairwise(places):
            _arrow(axes, x, y, x2, y2)
        if places:
            _closing(axes, places)
        for step, (x, y) in zip(shown, places, strict=True):
            _link(axes, step, x, y, changed)
        return finish(figure, f"Path of the current of {brief(load)}", _told(shown, changed))


def _place(i: int) -> tuple[float, float]:
    row, column = divmod(i, COLUMNS)
    return (column if row % 2 == 0 else COLUMNS - 1 - column) * (WIDE + GAP), -row * (HIGH + DROP)


def _arrow(axes: Any, x: float, y: float, x2: float, y2: float) -> None:
    if y == y2:
        start, end = (
            ((x + WIDE, y - HIGH / 2), (x2, y - HIGH / 2)) if x2 > x else ((x, y - HIGH / 2), (x2 + WIDE, y - HIGH / 2))
        )
    else:
        start, end = (x + WIDE / 2, y - HIGH), (x2 + WIDE / 2, y2)
    axes.annotate("", end, start, arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 1.3})


def _closing(axes: Any, places: Sequence[tuple[float, float]]) -> None:
    """Back to the source, round the left side."""
    x, y = places[-1]
    foot = y - HIGH - 0.16
    axes.plot(
        [x + WIDE / 2, x + WIDE / 2, -0.16, -0.16, 0],
        [y - HIGH, foot, foot, -HIGH / 2, -HIGH / 2],
        color=MUTED,
        linewidth=1.2,
        linestyle=(0, (4, 2)),
    )


def _link(axes: Any, step: PathStep, x: float, y: float, changed: bool) -> None:
    from matplotlib.patches import Rectangle

    assert step.after is not None
    judged = step.after.judged
    verdict = judged.verdict if judged is not None else None
    colour = COLOURS[verdict] if verdict is not None else MUTED
    dash = (0, (4, 2)) if step.stage == "clamp" else "-"
    axes.add_patch(
        Rectangle((x, y - HIGH), WIDE, HIGH, facecolor=PAPER, edgecolor=colour, linewidth=1.6, linestyle=dash, zorder=3)
    )
    axes.text(x + 0.04, y - 0.05, step.stage, fontsize=8, color=MUTED, va="top", zorder=5)
    axes.text(x + 0.04, y - 0.2, _name(step), fontsize=8.4, color=INK, va="top", weight="bold", zorder=5)
    carries = step.after.carries.value
    axes.text(
        x + 0.04,
        y - 0.38,
        "" if carries is None else show(carries, "A", 3),
        fontsize=8.2,
        color=INK,
        va="top",
        zorder=5,
    )
    if judged is None or verdict is None:
        return
    word = "FAILS" if verdict is Verdict.FAILS else verdict.word
    axes.text(
        x + 0.04,
        y - 0.54,
        f"{word} {percent(judged.headroom)}",
        fontsize=8.2,
        color=colour,
        va="top",
        zorder=5,
    )
    left, width, foot = x + 0.05, WIDE - 0.1, y - HIGH + 0.07
    line = left + width / MOST
    share = used(judged.headroom)
    if share == share:
        long, inside = max(min(share, MOST), 0.01) * width / MOST, PAPER if HATCHES[verdict] else colour
        bar = Rectangle((left, foot), long, 0.12, facecolor=inside, edgecolor=colour, hatch=HATCHES[verdict])
        bar.set(linewidth=0.7, zorder=4)
        axes.add_patch(bar)
    axes.plot([line, line], [foot - 0.03, foot + 0.15], color=INK, linewidth=1.2, zorder=6)
    was = step.before.judged if step.before is not None else None
    if changed and was is not None and was.headroom == was.headroom:
        at = left + min(used(was.headroom), MOST) * width / MOST
        axes.plot(at, foot + 0.06, marker="o", markersize=5, markerfacecolor="none", color=INK, zorder=7)


def _name(step: PathStep) -> str:
    """A link's name, short enough for its box: of a pole its terminal and number."""
    name = re.sub(r"^(.+) poles? ([\d, ]+) \(.*\)$", r"\1-\2", step.ref)
    name = name.removeprefix(f"{step.stage} ") if step.stage == "cable" else name
    return brief(name.removeprefix("track ").removeprefix("return "), 13)


def _told(shown: Sequence[PathStep], changed: bool) -> str:
    judged = [(step, step.after.judged) for step in shown if step.after is not None and step.after.judged is not None]
    bad = [f"{step.ref} {made.verdict.word}" for step, made in judged if made.verdict < Verdict.TIGHT]
    known = [(made.headroom, step.ref, made) for step, made in judged if made.headroom == made.headroom]
    told = f"{len(shown)} links from the source to the load and back"
    told += f"; {', '.join(bad)}" if bad else "; every link meets or is tight"
    if known:
        headroom, ref, made = min(known, key=lambda item: item[0])
        setter = f" ({made.tightest.id})" if made.tightest is not None else ""
        told += f"; least headroom {percent(headroom)} at {ref}{setter}"
    ring = ", the ring where it stood before" if changed else ""
    return f"{told}. Each bar is the share used, its upright the limit{ring}."
