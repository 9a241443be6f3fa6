"""An LED string behind a resistor, and what light it gives: how its tables are read.

``n`` gives ``in_series`` and ``source_from``; a corner is a feed voltage, a series and a source resistance.
"""

from typing import Any

from partcheck.operations import keep, larger, prefer, smaller
from partcheck.physics import light
from partcheck.points import LINEAR, LOG_LOG, SEMI_LOG, between, first, first_x, last, last_x, load_line

Corner = tuple[Any, Any, Any]


def solve(n: Any, table: Any, bound: str, corner: Corner, scale: str, shift: Any) -> Any:
    """Current through the string at a corner (feed, series and source resistance).

    A drive may hold its level up to ``source_from`` and drop in its source resistance above: two straight
    lines, of which the lower voltage, and so the smaller current, holds.
    """
    feed, series, source = corner
    held = load_line(table, bound, feed, series, scale, shift, n.in_series)
    unloaded = feed + n.source_from * source
    behind = load_line(table, bound, unloaded, series + source, scale, shift, n.in_series)
    return prefer(smaller(held, behind), held)


def string_voltage(n: Any, current: Any, corner: Corner) -> Any:
    """Voltage that a corner leaves for the string at a current."""
    feed, series, source = corner
    held = feed - current * series
    return prefer(smaller(held, feed + n.source_from * source - current * (series + source)), held)


def voltage_above(table: Any, current: Any) -> Any:
    """Voltage that the highest bin does not exceed: beyond its points in proportion to the current."""
    rising = last(table, "i_f", "max") * current / last_x(table, "i_f", "max")
    beyond = larger(first(table, "i_f", "max"), rising)
    return prefer(between(table, "i_f", "max", current, SEMI_LOG), beyond)


def voltage_below(table: Any, current: Any) -> Any:
    """Voltage that the lowest bin does not fall under: below its points in proportion to the current."""
    rising = first(table, "i_f", "min") * current / first_x(table, "i_f", "min")
    beyond = smaller(last(table, "i_f", "min"), rising)
    return prefer(between(table, "i_f", "min", current, LINEAR), beyond)


def line_power(low: Any, high: Any, feed: Any, resistance: Any) -> Any:
    """Largest power from a feed behind a resistance into a voltage between ``low`` and ``high``."""
    volts = larger(low, smaller(high, feed / 2.0))
    return volts * light.series_current(feed, volts, resistance)


def light_at(p: Any, table: Any, bound: str, current: Any) -> Any:
    """Light at a current: between stated points, else from the nearest one along the relative curve.

    Beyond both it is missing; light is never taken in proportion to the current.
    """

    def relative(at: Any) -> Any:
        return between(p.relative_intensity, "i_f", "typ", at, LOG_LOG)

    def along(stated: Any, at: Any) -> Any:
        return stated * relative(current) / relative(at)

    low, high = first_x(table, "i_f", bound), last_x(table, "i_f", bound)
    from_first = keep(along(first(table, "i_f", bound), low), current, low)
    outside = prefer(from_first, along(last(table, "i_f", bound), high))
    return prefer(between(table, "i_f", bound, current, LOG_LOG), outside)
