"""The map of a channel: rail voltage against load current, where everything meets and what gives way outside."""

import math
import string
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partcheck.board.fields import MOST_VOLTS
from partcheck.errors import UsageError
from partcheck.jobs.sweep.bounds import SetBy
from partcheck.jobs.sweep.limits import Limited
from partcheck.jobs.sweep.quantities import load_current, load_scaled, rail_voltage
from partcheck.jobs.sweep.run import TriedValues, judged
from partcheck.readings.columns import Floats
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.paths import rail_of
from partcheck.situation.swept import sweep
from partcheck.stages import during

ROOM = 1.5
"""How far beyond what is allowed, or what is drawn now, a map reaches."""
ALLOWED = "."
FINER = 32
"""Steps between two neighbouring points where what is allowed ends: any grid then names the same thing."""
MOST_POINTS = 250_000


@dataclass(frozen=True)
class ChannelMap:
    """Verdicts of the whole board, rows by current and columns by voltage, both ascending.

    ``volts`` are typical voltages of the rail (its spread goes along), ``amperes`` largest currents of the load.
    ``first`` indexes ``causes``: what gives way first on the straight way from the circuit as it stands to a point;
    -1 where everything meets.
    """

    load: str
    rail: str
    volts: Floats
    amperes: Floats
    verdicts: NDArray[np.int8]
    first: NDArray[np.int64]
    causes: tuple[SetBy, ...]

    @cached_property
    def allowed(self) -> NDArray[np.bool_]:
        """Where everything meets."""
        made: NDArray[np.bool_] = self.verdicts >= Verdict.TIGHT
        return made

    def cause(self, row: int, column: int) -> SetBy | None:
        """What gives way at a point; None where everything meets."""
        index = int(self.first[row, column])
        return self.causes[index] if index >= 0 else None

    def letter(self, index: int) -> str:
        """The letter of a cause: large where it fails, small where it is unproven; a dot where everything meets."""
        if index < 0:
            return ALLOWED
        name = string.ascii_uppercase[index] if index < 26 else "?"
        return name.lower() if self.causes[index].verdict is Verdict.UNPROVEN else name


def read_grid(text: str) -> tuple[int, int]:
    """Columns and rows of a map, from ``64x18``; ``UsageError`` where it is nothing like that."""
    left, _, right = text.lower().partition("x")
    if not (left.strip().isdecimal() and right.strip().isdecimal()) or min(int(left), int(right)) < 2:
        raise UsageError(f"--grid {text!r} is not columns x rows; write it as in --grid 64x18, with 2 or more of each")
    return int(left), int(right)


@during("drawing the map")
def map_of(found: Limited, columns: int, rows: int) -> ChannelMap:
    """The map of the one channel of a rating sheet: what is allowed, what is drawn now, and some room beyond."""
    channel, situation = found.channels[0], found.situation
    ends = {limit.quantity.key: limit for limit in channel.limits if not limit.own}
    current, volts = ends.get("load-current"), ends.get("rail-voltage")
    if volts is None:
        raise _no_map(channel.load)
    if current is None:
        raise _no_current(channel.load)
    right, top = (ROOM * max(end.quantity.base, end.high or 0.0) for end in (volts, current))
    right = min(right, volts.quantity.high)
    left = max(volts.quantity.low, min(volts.quantity.base, volts.low or math.inf) / 2)
    across = np.linspace(left, right, columns)
    return channel_map(situation, channel.load, across, np.linspace(top / rows, top, rows))


def _no_map(load: str) -> UsageError:
    return UsageError(f"{load} is on a rail that the board makes itself, whose voltage cannot be varied: no map")


def _no_current(load: str) -> UsageError:
    return UsageError(f"{load} draws no current that could be varied: no map; state in the board file what it draws")


def channel_map(
    situation: Situation, load: str, volts: Sequence[float] | Floats, amperes: Sequence[float] | Floats
) -> ChannelMap:
    """Judge the whole board at every pair of a rail voltage and a load current."""
    rail = rail_of(situation, load)
    quantity = rail_voltage(situation, rail) if rail is not None else None
    if rail is None or quantity is None:
        raise UsageError(
            f"{load} is on a rail that the board makes itself; its voltage cannot be varied, so it has no map"
        )
    current = load_current(situation, load)
    if current is None:
        raise _no_current(load)
    across, up = np.asarray(volts, dtype=float), np.asarray(amperes, dtype=float)
    if across.size * up.size > MOST_POINTS:
        raise UsageError(f"a map of {across.size} x {up.size} points is more than {MOST_POINTS}; ask for fewer")
    if across.max(initial=0) > MOST_VOLTS:
        raise UsageError(f"a map up to {across.max():g} V is beyond {MOST_VOLTS:g} V d.c., where this tool ends")
    v, i = (grid.ravel() for grid in np.meshgrid(across, up))

    def at(volts: Floats, amperes: Floats) -> TriedValues:
        raised = quantity.apply(situation.board, volts)
        drawn = sweep(situation, raised, volts.size).load(load).unbroken.value
        return judged(situation, load_scaled(raised, load, amperes / drawn), volts.size)

    tried = at(v, i)
    start = int(np.argmin(abs(up - current.base))), int(np.argmin(abs(across - quantity.base)))
    bad = (tried.overall < Verdict.TIGHT).reshape(up.size, across.size)
    pairs, place = np.unique(np.stack(_crossings(bad, start)), axis=1, return_inverse=True)
    steps = 1 if bad[start] else FINER
    shares = np.arange(1, steps + 1) / steps
    ways = [grid[pairs[0]][:, None] + (grid[pairs[1]] - grid[pairs[0]])[:, None] * shares for grid in (v, i)]
    first, causes = _causes(at(ways[0].ravel(), ways[1].ravel()), steps, pairs[1] >= 0, place.ravel())
    return ChannelMap(load, rail, across, up, tried.overall.reshape(bad.shape), first.reshape(bad.shape), causes)


def _crossings(bad: NDArray[np.bool_], start: tuple[int, int]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Where the straight way to each point leaves what is allowed: the last good and the first bad point.

    Both as flat indices, -1 for a point that meets; where the start fails, both are the point itself.
    """
    points = np.arange(bad.size).reshape(bad.shape)
    if bad[start]:
        made = np.where(bad, points, -1)
        return made.ravel(), made.ravel()
    rows, columns = np.indices(bad.shape)
    inside, outside = np.full_like(points, points[start]), np.full_like(points, -1)
    steps = 2 * max(bad.shape)
    for k in range(1, steps + 1):
        r = np.rint(start[0] + (rows - start[0]) * k / steps).astype(int)
        c = np.rint(start[1] + (columns - start[1]) * k / steps).astype(int)
        here, going = points[r, c], outside < 0
        inside = np.where(going & ~bad[r, c], here, inside)
        outside = np.where(going & bad[r, c], here, outside)
    # a point that meets although the straight way to it leaves the region is allowed all the same
    return np.where(bad, inside, -1).ravel(), np.where(bad, outside, -1).ravel()


def _causes(
    tried: TriedValues, steps: int, crosses: NDArray[np.bool_], place: NDArray[np.int64]
) -> tuple[NDArray[np.int64], tuple[SetBy, ...]]:
    """What gives way first on each of the ways tried, as an index into the causes, of which the most frequent is first.

    ``tried``: each way in ``steps`` steps, one after another; ``crosses``: which of them leave what is allowed;
    ``place``: the way of each point of the map.
    """
    bad = (tried.overall < Verdict.TIGHT).reshape(-1, steps)
    points = np.where(bad.any(axis=1), bad.argmax(axis=1), steps - 1) + np.arange(len(bad)) * steps
    set_by = [_set_by(tried, int(point)) if there else None for point, there in zip(points, crosses, strict=True)]
    codes = [set_by[k] for k in place]
    causes = tuple(cause for cause, _ in Counter(code for code in codes if code is not None).most_common())
    index: dict[SetBy | None, int] = {None: -1} | {cause: k for k, cause in enumerate(causes)}
    return np.array([index[code] for code in codes]), causes


def _set_by(tried: TriedValues, point: int) -> SetBy:
    """The requirement exceeded most at a point, of those with the worst verdict; else the first of them."""
    verdict = tried.overall[point]
    rows = np.flatnonzero(tried.verdicts[:, point] == verdict)
    headrooms = tried.headrooms[rows, point]
    row = int(rows[int(np.argmin(np.where(np.isnan(headrooms), np.inf, headrooms)))])
    return SetBy(*_named(tried, row), Verdict.UNPROVEN if verdict == Verdict.UNPROVEN else Verdict.FAILS)


def _named(tried: TriedValues, row: int) -> tuple[str, str | None, str]:
    ref, id_ = tried.where[row]
    return ref, tried.part_number(ref), id_
