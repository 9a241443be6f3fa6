"""The map of a channel: rail voltage against load current, where everything meets and what gives way outside."""

import math
import string
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
from partcheck.jobs.sweep.run import Tried, judged
from partcheck.readings.columns import Floats
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.paths import rail_of
from partcheck.situation.swept import sweep

ROOM = 1.5
"""How far beyond what is allowed, or what is drawn now, a map reaches."""
ALLOWED = "."
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
    return UsageError(f"{load} hangs on a rail that the board makes itself, whose voltage cannot be varied: no map")


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
            f"{load} hangs on a rail that the board makes itself; its voltage cannot be varied, so it has no map"
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
    raised = quantity.apply(situation.board, v)
    drawn = sweep(situation, raised, v.size).load(load).largest.value
    tried = judged(situation, load_scaled(raised, load, i / drawn), v.size)
    shape = (up.size, across.size)
    worst, causes = _worst(tried)
    start = int(np.argmin(abs(up - current.base))), int(np.argmin(abs(across - quantity.base)))
    first = _first(worst.reshape(shape), start)
    used = [k for k in range(len(causes)) if (first == k).any()]
    index = np.full(len(causes) + 1, -1)
    index[used] = np.arange(len(used))
    kept = tuple(causes[k] for k in used)
    return ChannelMap(load, rail, across, up, tried.overall.reshape(shape), index[first], kept)


def _first(worst: NDArray[np.int64], start: tuple[int, int]) -> NDArray[np.int64]:
    """What the straight way from the start to each point crosses first; the point's own worst where the start fails."""
    if worst[start] >= 0:
        return worst
    rows, columns = np.indices(worst.shape)
    made = np.full_like(worst, -1)
    steps = 2 * max(worst.shape)
    for k in range(1, steps + 1):
        r = np.rint(start[0] + (rows - start[0]) * k / steps).astype(int)
        c = np.rint(start[1] + (columns - start[1]) * k / steps).astype(int)
        made = np.where(made < 0, worst[r, c], made)
    # a point that meets although the straight way to it leaves the region is allowed all the same
    return np.where(worst < 0, -1, made)


def _worst(tried: Tried) -> tuple[NDArray[np.int64], tuple[SetBy, ...]]:
    """For each circuit the requirement that is exceeded most, as an index into the causes; -1 where all meet."""
    overall = tried.overall
    count = len(overall)
    score = np.where(np.isnan(tried.headrooms), np.inf, tried.headrooms)
    score[tried.verdicts != overall] = np.inf
    # of those with the worst verdict the least headroom; an unproven one has none, the first then counts
    row = np.where(np.isfinite(score.min(axis=0)) | np.isneginf(score.min(axis=0)), score.argmin(axis=0), 0)
    plain = ~(tried.verdicts[row, np.arange(count)] == overall)
    row[plain] = (tried.verdicts == overall).argmax(axis=0)[plain]
    bad = overall < Verdict.TIGHT
    pairs = row * 2 + (overall == Verdict.UNPROVEN)
    used = sorted(set(pairs[bad].tolist()), key=lambda pair: -int((pairs[bad] == pair).sum()))
    place = {pair: k for k, pair in enumerate(used)}
    causes = tuple(SetBy(*_named(tried, pair // 2), Verdict.UNPROVEN if pair % 2 else Verdict.FAILS) for pair in used)
    return np.array([place[pair] if wrong else -1 for pair, wrong in zip(pairs.tolist(), bad, strict=True)]), causes


def _named(tried: Tried, row: int) -> tuple[str, str | None, str]:
    ref, id_ = tried.where[row]
    return ref, tried.part_number(ref), id_
