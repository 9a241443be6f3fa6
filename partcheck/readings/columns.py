"""Every part at once: the same formulas on NumPy columns.

Point tables of many parts are arrays of shape (rows, parts), blanks and short tables padded with NaN, so
that a formula on a row broadcasts against a column of single values without further thought.
"""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck import operations, points
from partcheck.operations import Operation
from partcheck.points import DIFFERENCE, LINEAR, LOG_LOG, RATIO, SEMI_LOG, Row
from partcheck.stock.columns import ColumnTable, Derived, Words

Floats = NDArray[np.float64]
NEWTON = 40


# ---- operations on columns ----------------------------------------------------------------------


def _member(words: Words, allowed: frozenset[str]) -> Floats:
    table = np.array([*(float(name in allowed) for name in words.names), math.nan])
    made: Floats = table[words.codes]
    return made


def _no_rows(table: ColumnTable, formula: Callable[[Row], Any]) -> Floats:
    made = formula(table.row())
    return np.broadcast_to(np.asarray(made, dtype=float), np.broadcast_shapes(np.shape(made), (1, table.count)))


def _least(table: ColumnTable, formula: Callable[[Row], Any]) -> Floats:
    made = np.where(np.isnan(values := _no_rows(table, formula)), np.inf, values).min(axis=0)
    result: Floats = np.where(np.isnan(values).all(axis=0), math.nan, made)
    return result


def _greatest(table: ColumnTable, formula: Callable[[Row], Any]) -> Floats:
    made = np.where(np.isnan(values := _no_rows(table, formula)), -np.inf, values).max(axis=0)
    result: Floats = np.where(np.isnan(values).all(axis=0), math.nan, made)
    return result


def _interpolate(xa: Floats, ya: Floats, xb: Floats, yb: Floats, at: Floats, scale: str) -> Floats:
    share = (at - xa) / (xb - xa) if scale == LINEAR else np.log(at / xa) / np.log(xb / xa)
    if scale == LOG_LOG:
        return np.exp(np.log(ya) * (1 - share) + np.log(yb) * share)
    return ya * (1 - share) + yb * share


def _take(values: Floats, index: NDArray[np.intp]) -> Floats:
    made: Floats = values[index, np.arange(len(index)) if values.shape[1] > 1 else 0]
    return made


def _widened(values: Floats, wide: tuple[int, ...]) -> Floats:
    """Rows of a table for as many circuits as there are; a table of one part serves many circuits."""
    return values if values.shape[1:] == wide else np.broadcast_to(values, (len(values), *wide))


def _between(table: ColumnTable, x: str, y: str, at: Any, scale: str) -> Floats:
    xs, ys = table.curve(x, y)
    at = np.asarray(at, dtype=float)
    wide = np.broadcast_shapes(at.shape, xs.shape[1:])
    at, xs, ys = np.broadcast_to(at, wide), _widened(xs, wide), _widened(ys, wide)
    stated = (~np.isnan(xs)).sum(axis=0)
    below = (xs < at).sum(axis=0)
    upper = np.clip(below, 0, np.maximum(stated - 1, 0))
    lower = np.maximum(upper - 1, 0)
    xb, yb = _take(xs, upper), _take(ys, upper)
    made = _interpolate(_take(xs, lower), _take(ys, lower), xb, yb, at, scale)
    made = np.where(xb == at, yb, made)
    inside = (stated > 0) & (at >= xs[0]) & (at <= _take(xs, np.maximum(stated - 1, 0)))
    return np.where(inside, made, math.nan)


def _end(index: int, last: bool) -> Callable[..., Floats]:
    def reading(table: ColumnTable, x: str, y: str) -> Floats:
        curve = table.curve(x, y)
        if not last:
            start: Floats = curve[index][0]
            return start
        return _take(curve[index], np.maximum((~np.isnan(curve[0])).sum(axis=0) - 1, 0))

    return reading


def _with_point(table: ColumnTable, axis: str, at: float, column: str, value: float) -> ColumnTable:
    xs, ys = table.curve(axis, column)
    there: Any = (xs == at).any(axis=0)
    wanted = ~there & ~np.isnan(xs[0])
    xs = np.vstack([xs, np.where(wanted, at, math.nan)])
    ys = np.vstack([ys, np.where(wanted, value, math.nan)])
    order = np.argsort(xs, axis=0, kind="stable")
    xs, ys = np.take_along_axis(xs, order, axis=0), np.take_along_axis(ys, order, axis=0)
    return Derived(axis, column, xs, ys)


def _equilibrium(
    table: ColumnTable, y: str, start: Any, theta: Any, limit: Any, loss: Callable[[Any, Any], Any]
) -> Floats:
    xs, ys = table.curve("tj", y)
    reached = np.asarray(start + theta * loss(ys, xs), dtype=float)
    wide = np.broadcast_shapes(np.shape(start), np.shape(theta), np.shape(limit), reached.shape[1:], xs.shape[1:])
    start, theta, limit = (np.broadcast_to(np.asarray(v, dtype=float), wide) for v in (start, theta, limit))
    xs, reached = _widened(xs, wide), np.broadcast_to(reached, (len(xs), *wide))
    holds: Any = reached <= xs
    stated = ~np.isnan(xs)
    blank: Any = (stated & np.isnan(reached)).cumsum(axis=0) > 0
    found: Any = holds.any(axis=0)
    k = np.argmax(holds, axis=0)
    before = np.maximum(k - 1, 0)
    ta, ra, tb, rb = _take(xs, before), _take(reached, before), _take(xs, k), _take(reached, k)
    slope = (rb - ra) / (tb - ta)
    root = np.clip((ra - slope * ta) / (1 - slope), start, tb)
    made = np.where(k == 0, rb, root)
    last = np.maximum(stated.sum(axis=0) - 1, 0)
    end, hottest = _take(xs, last), _take(reached, last)
    beyond = np.where((end >= limit) | (hottest > limit), math.inf, math.nan)
    gone: Any = _take(blank, k)
    made = np.where(found & ~gone, made, np.where(blank.any(axis=0), math.nan, beyond))
    made[np.isnan(start) | np.isnan(theta) | np.isnan(limit)] = math.nan
    return made


def _meeting(above: Callable[[Floats], Any], low: Floats, high: Floats) -> Floats:
    """Where a rising function is met, by bisection."""
    for _ in range(60):
        middle = (low + high) / 2
        over = above(middle)
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return (low + high) / 2


def _on_semi_log(xa: Floats, ya: Floats, xb: Floats, yb: Floats, feed: Floats, resistance: Floats) -> Floats:
    """Where ``ya + slope·ln(i/xa) + i·resistance`` is the feed, by Newton's method from the lower end.

    The sum is concave where the voltage rises, so that each step stays below the solution; elsewhere NaN.
    """
    slope = (yb - ya) / np.log(xb / xa)
    current = xa
    for _ in range(NEWTON):
        step = (feed - ya - slope * np.log(current / xa) - current * resistance) / (slope / current + resistance)
        current = current + step
        if not (np.abs(step) > 1e-15 * current).any():
            break
    rises: Any = (slope >= 0) & (current >= xa) & (current <= xb * (1 + 1e-12))
    return np.where(rises, np.minimum(current, xb), math.nan)


def _load_line(table: ColumnTable, y: str, feed: Any, resistance: Any, scale: str, shift: Any, count: Any) -> Floats:
    xs, raw = table.curve("i_f", y)
    given = [np.asarray(v, dtype=float) for v in (feed, resistance, shift, count)]
    wide = np.broadcast_shapes(*(v.shape for v in given), xs.shape[1:])
    feed, resistance, shift, count = (np.broadcast_to(v, wide) for v in given)
    xs, ys = _widened(xs, wide), count * (raw + shift)
    needed = ys + xs * resistance
    stated = (~np.isnan(xs)).sum(axis=0)
    reaches = needed >= feed
    upper = np.where(reaches.any(axis=0), np.argmax(reaches, axis=0), np.maximum(stated - 1, 0))
    lower = np.maximum(upper - 1, 0)
    xa, ya, xb, yb = _take(xs, lower), _take(ys, lower), _take(xs, upper), _take(ys, upper)
    if scale == LINEAR:
        na, nb = _take(needed, lower), _take(needed, upper)
        inside = xa + (xb - xa) * (feed - na) / (nb - na)
    else:
        inside = _on_semi_log(xa, ya, xb, yb, feed, resistance) if scale == SEMI_LOG else np.full(wide, math.nan)
        left: Any = ~np.isfinite(inside) & reaches.any(axis=0) & (feed > needed[0])  # elsewhere it is not read
        if left.any():
            x1, y1, x2, y2, load, behind = (each[left] for each in (xa, ya, xb, yb, feed, resistance))
            inside[left] = _meeting(lambda i: _interpolate(x1, y1, x2, y2, i, scale) + i * behind > load, x1, x2)
    x0, y0 = xs[0], ys[0]
    xn, yn = (_take(v, np.maximum(stated - 1, 0)) for v in (xs, ys))
    if scale == LINEAR:
        under, over = np.maximum(feed, 0.0) / (resistance + y0 / x0), (feed - yn) / resistance
    else:
        under, over = np.maximum(feed - y0, 0.0) / resistance, feed / (resistance + yn / xn)
    made = np.where(feed <= needed[0], under, np.where(reaches.any(axis=0), inside, over))
    blank = np.isnan(feed) | np.isnan(resistance) | np.isnan(shift) | np.isnan(count)
    return np.where(blank | (stated == 0) | (resistance <= 0), math.nan, made)


def _power(x: Any, exponent: Any) -> Floats:
    return np.where(np.asarray(x) > 0, np.power(np.where(np.asarray(x) > 0, x, 1.0), exponent), math.nan)


def _assume_row(table: ColumnTable, axis: str, at: float, column: str, value: Any) -> ColumnTable:
    if np.isnan(value):
        return table
    xs, ys = table.curve(axis, column)
    blank = np.isnan(xs[0])
    if not blank.any():
        return table
    xs, ys = xs.copy(), ys.copy()
    xs[0][blank], ys[0][blank] = at, value
    return Derived(axis, column, xs, ys)


def _shifted(table: ColumnTable, axis: str, bound: str, by: str) -> ColumnTable:
    made = table.shifted.get((axis, bound, by))
    if made is None:
        with np.errstate(all="ignore"):
            made = table.shifted[axis, bound, by] = _move_along(table, axis, bound, by)
    return made


def _move_along(table: ColumnTable, axis: str, bound: str, by: str) -> ColumnTable:
    """As :func:`partcheck.points.shifted_table`: the typical curve moved along with the bins."""
    (xs, ys), (at, typical) = table.curve(axis, bound), table.curve(axis, "typ")
    beside = np.vstack([_typical(table, axis, bound, row, by) for row in xs])
    known = ~np.isnan(ys) & (beside > 0)
    order = np.argsort(~known, axis=0, kind="stable")
    bins = np.where(known, xs, math.nan)
    moves = np.where(known, ys / beside if by == RATIO else ys - beside, math.nan)
    bins, moves = np.take_along_axis(bins, order, axis=0), np.take_along_axis(moves, order, axis=0)
    made_x, made_y = [*xs], [*ys]
    for x, middle in zip(at, typical, strict=True):
        wanted = ~np.isnan(x) & ~np.equal(xs, x).any(axis=0) & known.any(axis=0)
        move = _held(bins, moves, x)
        made_x.append(np.where(wanted, x, math.nan))
        made_y.append(np.where(wanted, middle * move if by == RATIO else middle + move, math.nan))
    xs, ys = np.array(made_x), np.array(made_y)
    order = np.argsort(xs, axis=0, kind="stable")
    return Derived(axis, bound, np.take_along_axis(xs, order, axis=0), np.take_along_axis(ys, order, axis=0))


def _typical(table: ColumnTable, axis: str, bound: str, at: Floats, by: str) -> Floats:
    if by == DIFFERENCE:
        return _between(table, axis, "typ", at, SEMI_LOG if bound == "min" else LINEAR)
    xs, ys = table.curve(axis, "typ")
    made: Floats = np.where(xs == at, ys, -np.inf).max(axis=0)
    return made  # a ratio is known at one and the same current alone


def _held(xs: Floats, ys: Floats, at: Floats) -> Floats:
    """Between points on semi-log paper; beyond them the first or the last one holds."""
    last = np.maximum((~np.isnan(xs)).sum(axis=0) - 1, 0)
    below = (xs < at).sum(axis=0)
    upper = np.minimum(below, last)
    lower = np.maximum(upper - 1, 0)
    xa, ya, xb, yb = _take(xs, lower), _take(ys, lower), _take(xs, upper), _take(ys, upper)
    inside = (below > 0) & (below <= last)
    return np.where(inside, _interpolate(xa, ya, xb, yb, at, SEMI_LOG), yb)


_ARRAYS: dict[str, Callable[..., Any]] = {
    "sqrt": np.sqrt,
    "ln": lambda x: np.where(np.asarray(x) > 0, np.log(np.where(np.asarray(x) > 0, x, 1.0)), math.nan),
    "exp": np.exp,
    "power": _power,
    "larger": np.maximum,  # np.maximum, unlike np.fmax, keeps a blank a blank
    "smaller": np.minimum,
    "keep": lambda value, low, high: np.where(np.less_equal(low, high), value, math.nan),
    "prefer": lambda a, b: np.where(np.isnan(a), b, a),
    "per_time": lambda rate, value: np.where(np.asarray(rate) == 0, 0.0, np.multiply(rate, value)),
    "none_stated": lambda x: np.where(np.isnan(x), 0.0, math.nan),
    "assume": lambda stated, assumed: np.where(np.isnan(stated), assumed, stated),
}
for _name, _how in _ARRAYS.items():
    Operation.registry[_name].register(np.ndarray, _how)
operations.member.register(Words, _member)
for _operation, _reading in (
    (points.assume_row, _assume_row),
    (points.shifted, _shifted),
    (points.with_point, _with_point),
    (points.least, _least),
    (points.greatest, _greatest),
    (points.between, _between),
    (points.last, _end(1, True)),
    (points.last_x, _end(0, True)),
    (points.first, _end(1, False)),
    (points.first_x, _end(0, False)),
    (points.equilibrium, _equilibrium),
    (points.load_line, _load_line),
):
    _operation.register(ColumnTable, _reading)
