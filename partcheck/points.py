"""Point tables, and the conservative ways to read them.

A datasheet states a value at a few conditions. Two families of reading are enough:

* :data:`least` and :data:`greatest` try a formula on every stated row and keep the best **guarantee**
  (a row that does not apply makes itself missing with ``keep``). Reading "at the next worse stated
  point" is this with ``keep``; nothing is ever read between or beyond the stated rows.
* :data:`between` interpolates, for curves where the design book allows it (gain, forward voltage,
  light); outside the stated points the value is missing.

Two more solve an equation on a table: :data:`equilibrium` (self-heating) and :data:`load_line`
(an LED behind a resistor). Each has one plain version here and one on columns in
``readings/columns.py``; a property test holds them together.
"""

import math
from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from partcheck.operations import NAN, Operation

LOG_LOG, SEMI_LOG, LINEAR = "log-log", "semi-log", "linear"
DIFFERENCE, RATIO = "difference", "ratio"


class Row:
    """One stated point; its columns are attributes."""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self.__dict__.update(values)

    def __getattr__(self, name: str) -> Any:
        raise AttributeError(f"this point table has no column {name}")


@dataclass(frozen=True, eq=False)
class PointTable:
    """The rows of one table of one part, in ascending order of its axes; a blank is NaN.

    ``PointTable({"vgs": (4.5, 10.0), "max": (0.045, 0.028)})``. A condition that is a word is its
    place in the declaration's ``choices``.
    """

    columns: Mapping[str, tuple[float, ...]]
    _curves: dict[tuple[str, str], tuple[list[float], list[float]]] = field(default_factory=dict, repr=False)

    def __len__(self) -> int:
        return len(next(iter(self.columns.values()), ()))

    def rows(self) -> Iterator[Row]:
        """Each row, columns by attribute."""
        names = list(self.columns)
        for values in zip(*self.columns.values(), strict=True):
            yield Row(dict(zip(names, values, strict=True)))

    def curve(self, x: str, y: str) -> tuple[list[float], list[float]]:
        """Ascending ``x`` and its ``y``, blanks left out; of two rows at one ``x`` the worse counts.

        Worse is the smaller for a column named ``min``, else the larger.
        """
        known = self._curves.get((x, y))
        if known is None:
            worst: dict[float, float] = {}
            pick = min if y == "min" else max
            for a, b in zip(self.columns.get(x, ()), self.columns.get(y, ()), strict=False):
                if a == a and b == b:
                    worst[a] = pick(worst[a], b) if a in worst else b
            xs = sorted(worst)
            known = self._curves[x, y] = (xs, [worst[a] for a in xs])
        return known


EMPTY = PointTable({})


def _best(table: PointTable, formula: Callable[[Row], Any], pick: Callable[..., float]) -> float:
    found = [value for value in map(formula, table.rows()) if value == value]
    return pick(found) if found else NAN


def _least(table: PointTable, formula: Callable[[Row], Any]) -> float:
    return _best(table, formula, min)


def _greatest(table: PointTable, formula: Callable[[Row], Any]) -> float:
    return _best(table, formula, max)


def interpolate(xa: float, ya: float, xb: float, yb: float, at: float, scale: str) -> float:
    """The value at ``at`` on the straight line between two points, on the paper of ``scale``."""
    if scale == LINEAR:
        share = (at - xa) / (xb - xa)
    elif xa > 0:
        share = math.log(at / xa) / math.log(xb / xa)
    else:
        return NAN
    if scale == LOG_LOG:
        return math.exp(math.log(ya) * (1 - share) + math.log(yb) * share) if ya > 0 and yb > 0 else NAN
    return ya * (1 - share) + yb * share


def _between(table: PointTable, x: str, y: str, at: float, scale: str) -> float:
    xs, ys = table.curve(x, y)
    if not xs or not xs[0] <= at <= xs[-1]:
        return NAN
    i = bisect_left(xs, at)
    return ys[i] if xs[i] == at else interpolate(xs[i - 1], ys[i - 1], xs[i], ys[i], at, scale)


def _last(table: PointTable, x: str, y: str) -> float:
    return table.curve(x, y)[1][-1] if table.curve(x, y)[0] else NAN


def _last_x(table: PointTable, x: str, y: str) -> float:
    return table.curve(x, y)[0][-1] if table.curve(x, y)[0] else NAN


def _first(table: PointTable, x: str, y: str) -> float:
    return table.curve(x, y)[1][0] if table.curve(x, y)[0] else NAN


def _first_x(table: PointTable, x: str, y: str) -> float:
    return table.curve(x, y)[0][0] if table.curve(x, y)[0] else NAN


def _equilibrium(
    table: PointTable, y: str, start: float, theta: float, limit: float, loss: Callable[[float, float], float]
) -> float:
    """Walk the stated temperatures upwards to the first one that the heat does not exceed."""
    if not (start == start and theta == theta and limit == limit):
        return NAN
    temperatures, factors = table.curve("tj", y)
    if not temperatures:
        return NAN
    before: tuple[float, float] | None = None
    for temperature, factor in zip(temperatures, factors, strict=True):
        reached = start + theta * loss(factor, temperature)
        if reached != reached:
            return NAN
        if reached <= temperature:
            if before is None:
                return reached
            ta, ra = before
            # the loss is taken as straight between stated points: it is convex, so this is not below it
            slope = (reached - ra) / (temperature - ta)
            return min(max((ra - slope * ta) / (1 - slope), start), temperature)
        before = (temperature, reached)
    # beyond the table the heat is no less than at its end
    return math.inf if temperatures[-1] >= limit or (before is not None and before[1] > limit) else NAN


def load_current(volts: Callable[[float], float], low: float, high: float, feed: float, resistance: float) -> float:
    """The current in ``low..high`` at which ``volts(i) + i·resistance`` is ``feed``, by bisection."""
    for _ in range(60):
        middle = (low + high) / 2
        if volts(middle) + middle * resistance > feed:
            high = middle
        else:
            low = middle
    return (low + high) / 2


def _load_line(
    table: PointTable, y: str, feed: float, resistance: float, scale: str, shift: float, count: float
) -> float:
    xs, ys = table.curve("i_f", y)
    if not xs or any(v != v for v in (feed, resistance, shift, count)) or resistance <= 0:
        return NAN
    ys = [count * (v + shift) for v in ys]
    if feed <= ys[0] + xs[0] * resistance:
        if scale == LINEAR:  # below the first point the curve is above the straight line from nothing
            return max(feed, 0.0) / (resistance + ys[0] / xs[0])
        return max(feed - ys[0], 0.0) / resistance
    for i in range(1, len(xs)):
        if feed <= ys[i] + xs[i] * resistance:
            a, b = (xs[i - 1], ys[i - 1]), (xs[i], ys[i])
            if scale == LINEAR:
                low, high = (volts + current * resistance for current, volts in (a, b))
                return a[0] + (b[0] - a[0]) * (feed - low) / (high - low)
            return load_current(
                lambda current, a=a, b=b: interpolate(a[0], a[1], b[0], b[1], current, scale),  # type: ignore[misc]
                xs[i - 1],
                xs[i],
                feed,
                resistance,
            )
    if scale == LINEAR:  # beyond the last point the voltage is at least the last one
        return (feed - ys[-1]) / resistance
    return feed / (resistance + ys[-1] / xs[-1])


def assumed_table(table: PointTable, axis: str, at: float, column: str, value: float) -> PointTable:
    """The table, or, where it states nothing and a value may be assumed, that one row."""
    if value != value or table.curve(axis, column)[0]:
        return table
    return PointTable({axis: (at,), column: (value,)})


def _with_point(table: PointTable, axis: str, at: float, column: str, value: float) -> PointTable:
    xs, ys = table.curve(axis, column)
    if not xs or at in xs:
        return table
    place = bisect_left(xs, at)
    return PointTable({axis: (*xs[:place], at, *xs[place:]), column: (*ys[:place], value, *ys[place:])})


def shifted_table(table: PointTable, axis: str, bound: str, by: str) -> PointTable:
    """The curve of one bound: where it is stated, and elsewhere the typical curve moved along with it."""
    xs, ys = table.curve(axis, bound)
    bins: dict[float, float] = {}
    for x, y in zip(xs, ys, strict=True):
        typical = _typical(table, axis, bound, x, by)
        if typical == typical and typical > 0:
            bins[x] = y / typical if by == RATIO else y - typical
    made = dict(zip(xs, ys, strict=True))
    places, moves = list(bins), list(bins.values())
    for x, typical in zip(*table.curve(axis, "typ"), strict=True):
        if x in made or not places:
            continue
        i = bisect_left(places, x)
        if i in (0, len(places)):
            move = moves[min(i, len(places) - 1)]
        else:
            move = interpolate(places[i - 1], moves[i - 1], places[i], moves[i], x, SEMI_LOG)
        made[x] = typical * move if by == RATIO else typical + move
    ends = sorted(made)
    return PointTable({axis: tuple(ends), bound: tuple(made[x] for x in ends)})


def _typical(table: PointTable, axis: str, bound: str, at: float, by: str) -> float:
    """Typical value where a bound is stated; a voltage also between points, on the paper that moves it further."""
    xs, ys = table.curve(axis, "typ")
    if by == RATIO:
        return dict(zip(xs, ys, strict=True)).get(at, NAN)
    return _between(table, axis, "typ", at, SEMI_LOG if bound == "min" else LINEAR)


shifted = Operation("shifted", "{0}", lambda *_: NAN)
"""``shifted(table, axis, bound, by)``: the curve of one bound (``min``, ``max``) at every current.

A bin stated at one current moves the typical curve: by the same ``DIFFERENCE`` (a voltage) or in the same
``RATIO`` (light); between two such currents the move is interpolated. A bound that is nowhere stated stays empty.
Source: bins of LED datasheets, which are sorted at one current (common practice, no published source).
"""
with_point = Operation("with_point", "{0}", lambda *_: NAN)
"""``with_point(table, axis, at, column, value)``: the curve with a point that holds by definition.

A factor relative to 25 °C is 1 at 25 °C whether the datasheet prints that row or not.
"""
assume_row = Operation("assume_row", "{0}", lambda *_: NAN)
"""``assume_row(table, axis, at, column, value)``: where no row is stated, one that the policy assumes."""
least = Operation("least", "least of {1}", lambda *_: NAN)
"""``least(table, formula)``: the smallest value that ``formula(row)`` guarantees over the rows."""
greatest = Operation("greatest", "greatest of {1}", lambda *_: NAN)
"""``greatest(table, formula)``: the largest value that ``formula(row)`` guarantees over the rows."""
between = Operation("between", "{0} at {3}, between stated points", lambda *_: NAN)
"""``between(table, x, y, at, scale)``: interpolated; missing outside the stated points."""
last = Operation("last", "{0} at its last point", lambda *_: NAN)
"""``last(table, x, y)``: the ``y`` of the row with the largest ``x``."""
last_x = Operation("last_x", "last {1} of {0}", lambda *_: NAN)
"""``last_x(table, x, y)``: the largest ``x`` for which ``y`` is stated."""
first = Operation("first", "{0} at its first point", lambda *_: NAN)
"""``first(table, x, y)``: the ``y`` of the row with the smallest ``x``."""
first_x = Operation("first_x", "first {1} of {0}", lambda *_: NAN)
"""``first_x(table, x, y)``: the smallest ``x`` for which ``y`` is stated."""
equilibrium = Operation("equilibrium", "T where T = {2} + {3} · ({5})", lambda *_: NAN)
"""``equilibrium(table, y, start, theta, limit, loss)``: the junction temperature that heats itself.

``loss(value, temperature)`` is the power (W) with the table's value (a resistance factor, a leakage) and at that
temperature. Between stated rows the heat is taken as straight, which is not below a convex one. No root up to
``limit``: infinity (no equilibrium), and so where the heat at the last row already leads beyond it; the table ends
before ``limit``: missing. K, K/W; source: heat flow ΔT = R·P, JESD51.
"""
load_line = Operation("load_line", "current where {6} · ({0} + {5}) meets {2} behind {3}", lambda *_: NAN)
"""``load_line(table, y, feed, resistance, scale, shift, count)``: current of ``count`` LEDs in series.

Source: Kirchhoff's voltage law, ``count·(vf(i) + shift) + i·resistance = feed``. On ``LINEAR`` paper the
chords lie below a diode's curve, so the result is not below the current (use it for the largest); on
``SEMI_LOG`` paper they lie above it (use it for the smallest). Beyond the last point: LINEAR holds the
last voltage, SEMI_LOG raises it in proportion to the current; each errs the same way as its paper.
"""

OF_TABLES: set[str] = set()
"""Names of the operations that read a table."""
for _operation, _plain in (
    (assume_row, assumed_table),
    (shifted, shifted_table),
    (with_point, _with_point),
    (least, _least),
    (greatest, _greatest),
    (between, _between),
    (last, _last),
    (last_x, _last_x),
    (first, _first),
    (first_x, _first_x),
    (equilibrium, _equilibrium),
    (load_line, _load_line),
):
    _operation.register(PointTable, _plain)
    OF_TABLES.add(_operation.name)
