"""How much of each requirement's capability is used: the tightest at a glance, what fails beyond the line."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from partcheck.readings.explain import Finding
from partcheck.report.html.pictures.drawing import (
    BAD,
    GOOD,
    INK,
    MUTED,
    PAPER,
    TIGHT,
    UNKNOWN,
    Drawing,
    brief,
    chart,
    finish,
)
from partcheck.report.lines import percent
from partcheck.requirement import Verdict

SHOWN = 1.6
"""Shares beyond this one are drawn as an arrow at the edge."""
COLOURS = {Verdict.MEETS: GOOD, Verdict.TIGHT: TIGHT, Verdict.UNPROVEN: UNKNOWN, Verdict.FAILS: BAD}
HATCHES = {Verdict.MEETS: "", Verdict.TIGHT: "...", Verdict.UNPROVEN: "", Verdict.FAILS: "////"}
MARKS = {Verdict.MEETS: "o", Verdict.TIGHT: "D", Verdict.UNPROVEN: "$?$", Verdict.FAILS: "X"}


@dataclass(frozen=True)
class Line:
    """One row: a name, how it ends, what sets it, and the share of every requirement that has one."""

    name: str
    verdict: Verdict
    set_by: str
    headroom: float
    shares: tuple[tuple[Verdict, float], ...]


ROW = 0.34
"""Inches of height for a row: its name, and under it how it ends."""


def _longest(labels: Sequence[str]) -> int:
    return max(len(part) for label in labels for part in label.split("\n"))


def used(headroom: float) -> float:
    """Demand over capability, from a headroom; NaN where there is none."""
    return math.nan if headroom != headroom else 1.0 - headroom


def bars(name: str, findings: Sequence[Finding]) -> Drawing:
    """One bar per requirement of one part, the tightest on top."""
    order = sorted(
        findings, key=lambda f: (f.verdict is not Verdict.UNPROVEN, f.headroom if f.headroom == f.headroom else 9)
    )
    order.sort(key=lambda f: f.verdict if f.verdict <= Verdict.UNPROVEN else 2)
    labels = [f"{f.id}\n{_words(f)}" for f in order]
    with chart(0.75 + ROW * len(order), _longest(labels)) as (figure, axes):
        for row, finding in enumerate(order):
            share = used(finding.headroom)
            colour, verdict = COLOURS[finding.verdict], finding.verdict
            if share == share:
                axes.barh(
                    row,
                    min(max(share, 0.004), SHOWN),
                    0.62,
                    color=PAPER if HATCHES[verdict] else colour,
                    edgecolor=colour,
                    hatch=HATCHES[verdict],
                    linewidth=0.9,
                )
                if share > SHOWN:
                    axes.annotate(
                        "", (SHOWN + 0.06, row), (SHOWN, row), arrowprops={"arrowstyle": "->", "color": colour}
                    )
        _frame(axes, labels)
        axes.set_xlabel("used of what it can take, %", loc="right")
        return finish(figure, f"Headroom of {brief(name, 60)}", _told(name, order))


def _words(finding: Finding) -> str:
    if not finding.counts:
        return "other footprint"
    word = "FAILS" if finding.verdict is Verdict.FAILS else finding.verdict.word
    return word if finding.headroom != finding.headroom else f"{word}, {percent(finding.headroom)} left"


def _told(name: str, order: Sequence[Finding]) -> str:
    failing = [f.id for f in order if f.verdict is Verdict.FAILS and f.counts]
    unproven = [f.id for f in order if f.verdict is Verdict.UNPROVEN]
    known = [f for f in order if f.headroom == f.headroom and f.counts]
    told = []
    if failing:
        told.append(f"beyond the line: {', '.join(failing)}")
    if unproven:
        told.append(f"unproven: {', '.join(unproven)}")
    if known:
        tightest = min(known, key=lambda f: f.headroom)
        told.append(f"least headroom {percent(tightest.headroom)} in {tightest.id}")
    return f"{name}: {'; '.join(told) or 'no requirement has a headroom'}."


def strips(title: str, lines: Sequence[Line], before: Sequence[Line] | None = None) -> Drawing:
    """One strip per part or place: a mark for each requirement, the tightest named; ``before`` as hollow marks."""
    labels = [f"{brief(line.name, 22)}\n{_end(line)}" for line in lines]
    with chart(0.75 + ROW * len(lines), _longest(labels)) as (figure, axes):
        for row, line in enumerate(lines):
            axes.plot([0, SHOWN], [row, row], color=MUTED, linewidth=0.4, zorder=1)
            colour = COLOURS[line.verdict]
            if line.headroom == line.headroom or line.headroom == -math.inf:
                share = min(used(line.headroom), SHOWN)
                dash: Any = "-" if line.verdict >= Verdict.TIGHT else (0, (1.2, 0.7))
                axes.plot([0, share], [row, row], color=colour, linewidth=3.2, linestyle=dash, solid_capstyle="butt")
            for verdict, share in line.shares:
                inside = PAPER if verdict is Verdict.TIGHT else COLOURS[verdict]
                axes.plot(
                    min(share, SHOWN),
                    row,
                    marker=MARKS[verdict],
                    markersize=4.2,
                    color=COLOURS[verdict],
                    markerfacecolor=inside,
                    zorder=3,
                )
            if before is not None and before[row].headroom == before[row].headroom:
                share = min(used(before[row].headroom), SHOWN)
                axes.plot(share, row, marker="o", markersize=7, markerfacecolor="none", color=INK, zorder=4)
        _frame(axes, labels)
        axes.set_xlabel("used of what it can take, %" + ("; ring: before" if before is not None else ""), loc="right")
        return finish(figure, title, _summed(lines, before))


def _summed(lines: Sequence[Line], before: Sequence[Line] | None) -> str:
    """How many end how, the least room, and what a change made of it; the table tells each."""
    counts = [(sum(line.verdict is verdict for line in lines), verdict.word) for verdict in reversed(Verdict)]
    told = ", ".join(f"{count} {word}" for count, word in counts if count)
    known = [line for line in lines if line.headroom == line.headroom and line.set_by]
    if known:
        least = min(known, key=lambda line: line.headroom)
        told += f"; least headroom {percent(least.headroom)}, {least.name} {least.set_by}"
    if before is not None:
        pairs = [(old, new) for old, new in zip(before, lines, strict=True) if old.verdict is not new.verdict]
        changes = [f"{new.name} was {old.verdict.word} and {new.verdict.word} now" for old, new in pairs]
        told += "; " + ("; ".join(changes) or "no verdict changes")
    return f"{told}."


def _end(line: Line) -> str:
    word = "FAILS" if line.verdict is Verdict.FAILS else line.verdict.word
    return f"{word}{_set(line)}"


def _set(line: Line) -> str:
    return f", {line.set_by} {percent(line.headroom)}" if line.set_by else ""


def _frame(axes: Any, names: Sequence[str]) -> None:
    axes.set_yticks(range(len(names)), names)
    axes.set_ylim(len(names) - 0.4, -0.9)
    axes.set_xlim(0, SHOWN + 0.08)
    axes.set_xticks([0, 0.5, 1.0, 1.5], ["0", "50", "100", "150"])
    axes.tick_params(axis="y", length=0)
    axes.axvline(1.0, color=INK, linewidth=1.4)
    axes.text(1.015, -0.62, "limit", fontsize=8, va="center", color=INK)
    for side in ("left", "bottom"):
        axes.spines[side].set_visible(False)
