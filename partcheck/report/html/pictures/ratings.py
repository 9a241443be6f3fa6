"""The map of rail voltage against load current: the allowed region, and outside it, in place, what gives way."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.sweep.bounds import SetBy
from partcheck.jobs.sweep.map import ChannelMap
from partcheck.report.html.pictures.drawing import (
    BAD,
    GOOD,
    INK,
    MUTED,
    PAPER,
    UNKNOWN,
    Drawing,
    brief,
    chart,
    finish,
)
from partcheck.requirement import Verdict
from partcheck.units import show

HATCHES = ("//", "\\\\", "--", "xx", "||", "++", "///", "\\\\\\", "---", "||||")
FIELD = "field"
Mask = NDArray[np.bool_]


def drawn(made: ChannelMap, now: tuple[float, float] | None = None) -> Drawing:
    """The map; ``now`` is the voltage and current as the board stands."""
    x, y = _edges(made.volts), _edges(made.amperes)
    with chart(4.3) as (figure, axes):
        regions = [(-1, made.first < 0), *((k, made.first == k) for k in range(len(made.causes)))]
        for k, mask in regions:
            if not mask.any():
                continue
            cause = made.causes[k] if k >= 0 else None
            _fill(axes, _outline(mask), x, y, cause, k)
            _label(axes, _clear(mask, x, y, now) if k < 0 else mask, x, y, cause, made.letter(k))
        if now is not None:
            axes.plot(*now, marker="P", markersize=10, color=INK, markeredgecolor=PAPER, zorder=6)
            axes.annotate(
                "as it stands",
                now,
                xytext=(0, 9),
                textcoords="offset points",
                fontsize=8.5,
                zorder=7,
                ha="center",
                bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.6},
            )
        axes.patch.set_gid(FIELD)  # a page that moves a mark over the map finds the field by it
        axes.set_xlim(x[0], x[-1])
        axes.set_ylim(y[0], y[-1])
        axes.set_xlabel(f"typical voltage of {brief(made.rail)}, V")
        axes.set_ylabel(f"largest current of {brief(made.load)}, A")
        return finish(figure, f"What {brief(made.load)} may be", _told(made))


def ends(made: ChannelMap) -> tuple[float, float, float, float]:
    """Where the field of the drawn map ends: least and largest voltage, least and largest current."""
    x, y = _edges(made.volts), _edges(made.amperes)
    return float(x[0]), float(x[-1]), float(y[0]), float(y[-1])


def _told(made: ChannelMap) -> str:
    inside = made.allowed
    if not inside.any():
        return f"Nowhere on this map does the whole board meet; {made.causes[0]} prevents most of it."
    columns, rows = np.flatnonzero(inside.any(axis=0)), np.flatnonzero(inside.any(axis=1))
    counts = [(int((made.first == k).sum()), k) for k in range(len(made.causes))]
    ways = "; ".join(f"{made.letter(k)}: {made.causes[k]}" for count, k in sorted(counts, reverse=True) if count)
    return (
        f"Everything meets somewhere from {show(float(made.volts[columns[0]]), 'V', 3)} to "
        f"{show(float(made.volts[columns[-1]]), 'V', 3)} and up to {show(float(made.amperes[rows[-1]]), 'A', 3)}. "
        f"Outside gives way first: {ways or 'nothing on this map'}."
    )


def _edges(middles: NDArray[np.float64]) -> NDArray[np.float64]:
    half = np.diff(middles) / 2
    inner = middles[:-1] + half
    return np.concatenate([[max(middles[0] - half[0], 0.0)], inner, [middles[-1] + half[-1]]])


def _outline(mask: Mask) -> list[list[tuple[int, int]]]:
    """The closed lines round a region, in corners of cells (column, row); holes run the other way."""
    follow: dict[tuple[int, int], list[tuple[int, int]]] = {}
    padded = np.pad(mask, 1)
    for r, c in zip(*np.nonzero(mask), strict=True):
        row, column = int(r), int(c)
        for there, start, end in (
            (padded[r, c + 1], (column, row), (column + 1, row)),
            (padded[r + 1, c + 2], (column + 1, row), (column + 1, row + 1)),
            (padded[r + 2, c + 1], (column + 1, row + 1), (column, row + 1)),
            (padded[r + 1, c], (column, row + 1), (column, row)),
        ):
            if not there:
                follow.setdefault(start, []).append(end)
    loops = []
    while follow:
        start = next(iter(follow))
        loop = [start]
        while True:
            ends = follow[loop[-1]]
            loop.append(ends.pop())
            if not ends:
                del follow[loop[-2]]
            if loop[-1] == start:
                break
        loops.append(_straightened(loop))
    return loops


def _straightened(loop: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """A closed line without the corners that lie on a straight stretch."""
    ring = loop[:-1]
    kept = [
        corner
        for before, corner, after in zip(ring[-1:] + ring[:-1], ring, ring[1:] + ring[:1], strict=True)
        if (corner[0] - before[0]) * (after[1] - corner[1]) != (corner[1] - before[1]) * (after[0] - corner[0])
    ]
    return [*kept, kept[0]]


def _fill(axes: Any, loops: list[list[tuple[int, int]]], x: Any, y: Any, cause: SetBy | None, k: int) -> None:
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    vertices, codes = [], []
    for loop in loops:
        vertices += [(x[column], y[row]) for column, row in loop]
        codes += [Path.MOVETO, *[Path.LINETO] * (len(loop) - 2), Path.CLOSEPOLY]
    colour = GOOD if cause is None else UNKNOWN if cause.verdict is Verdict.UNPROVEN else BAD
    hatch = "" if cause is None else HATCHES[k % len(HATCHES)]
    axes.add_patch(
        PathPatch(
            Path(vertices, codes),
            facecolor="none",
            edgecolor=colour,
            hatch=hatch,
            linewidth=2.2 if cause is None else 0.8,
            zorder=4 if cause is None else 2,
        )
    )


def _label(axes: Any, mask: Mask, x: Any, y: Any, cause: SetBy | None, sign: str) -> None:
    """Words in the middle of the widest place of a region; its letter alone where there is little room."""
    row, column, depth = _deepest(mask)
    wide = 2 * depth / mask.shape[1]
    place = (x[column] + x[column + 1]) / 2, (y[row] + y[row + 1]) / 2
    if cause is None:
        words, colour = "allowed:\neverything meets", GOOD
    else:
        part = f" {brief(cause.part, 16)}" if cause.part else ""
        words = f"{sign}  {brief(cause.ref, 16)}{part}\n{cause.requirement}"
        colour = UNKNOWN if cause.verdict is Verdict.UNPROVEN else BAD
    full = wide > 0.14
    axes.text(
        *place,
        words if full else sign if cause is not None else "",
        ha="center",
        va="center",
        fontsize=8.5,
        color=colour if cause is None else INK,
        zorder=5,
        weight="bold" if not full else "normal",
        bbox={"facecolor": PAPER, "edgecolor": MUTED if cause is not None else "none", "linewidth": 0.5, "pad": 2.0},
    )


def _clear(mask: Mask, x: Any, y: Any, now: tuple[float, float] | None) -> Mask:
    """The larger part of a region above or below the mark of how it stands, so that words keep clear of it."""
    if now is None:
        return mask
    middles, reach = (y[:-1] + y[1:]) / 2, 0.09 * (y[-1] - y[0])
    parts = [mask & (middles < now[1] - reach / 2)[:, None], mask & (middles > now[1] + 1.6 * reach)[:, None]]
    best = max(parts, key=lambda part: int(part.sum()))
    return best if best.any() else mask


def _deepest(mask: Mask) -> tuple[int, int, int]:
    """The cell of a region that is farthest from its edge, and how many cells that is."""
    left, depth = mask.copy(), 0
    while True:
        padded = np.pad(left, 1)
        inner = left & padded[:-2, 1:-1] & padded[2:, 1:-1] & padded[1:-1, :-2] & padded[1:-1, 2:]
        depth += 1
        if not inner.any():
            rows, columns = np.nonzero(left)
            middle = np.argmin((rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2)
            return int(rows[middle]), int(columns[middle]), depth
        left = inner
