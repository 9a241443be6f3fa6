"""What is sure of an LED's light outside its stated points: enough to prove a brightness, too loose to be told as one.

At a steady junction the light of an LED follows the recombination rates A·n + B·n² + C·n³, of which the second is
light: its slope against the current on log-log paper falls from 2 towards 2/3. So light rises with the current
everywhere, and where its slope has come down to 1 it rises no faster than the current from there on (derivation from
the rate equation; textbook of Schubert, Light-Emitting Diodes, from memory).
"""

from typing import Any

from partcheck.operations import keep, prefer
from partcheck.points import LOG_LOG, between, first, first_x, greatest, last, last_x
from partcheck.roles.led_intensity import role

__all__ = ["light_at_least", "light_at_most", "role"]
quantity = role.quantity

SHORT_OF_END = 0.9
"""Share of the last stated current from which the slope at the end of a curve is taken."""


def _relative_at(p: Any, current: Any) -> Any:
    return between(p.relative_intensity, "i_f", "typ", current, LOG_LOG)


def _in_proportion(table: Any, bound: str, current: Any) -> Any:
    """Light beyond the last point in proportion to the current, where the curve there is no steeper than that."""
    end, top = last_x(table, "i_f", bound), last(table, "i_f", bound)
    near = between(table, "i_f", bound, SHORT_OF_END * end, LOG_LOG)
    return keep(keep(top * current / end, SHORT_OF_END * top, near), end, current)


def light_at_most(p: Any, table: Any, current: Any) -> Any:
    """Light of the brightest bin that is not exceeded outside the stated points.

    Beyond the last one, of the table or the relative curve, in proportion to the current; under the first one that.
    """
    end, start = last_x(table, "i_f", "max"), first_x(table, "i_f", "max")
    along = last(table, "i_f", "max") * _in_proportion(p.relative_intensity, "typ", current) / _relative_at(p, end)
    beyond = prefer(along, _in_proportion(table, "max", current))
    lowest = keep(first(p.relative_intensity, "i_f", "typ"), current, first_x(p.relative_intensity, "i_f", "typ"))
    under = prefer(first(table, "i_f", "max") * lowest / _relative_at(p, start), first(table, "i_f", "max"))
    return prefer(beyond, keep(under, current, start))


def light_at_least(p: Any, table: Any, current: Any) -> Any:
    """Light of the dimmest bin that is reached beyond the last point: that of the last point.

    Only up to the largest rated current, for beyond it a chip may be so hot that its light falls.
    """
    end, top = last_x(table, "i_f", "min"), last(table, "i_f", "min")
    curve_end = last_x(p.relative_intensity, "i_f", "typ")
    along = top * last(p.relative_intensity, "i_f", "typ") / _relative_at(p, end)
    reached = prefer(keep(along, curve_end, current), keep(top, end, current))
    return keep(reached, current, greatest(p.if_max, lambda row: row.max))


@quantity("cd")
def proved_low(p: Any, n: Any) -> Any:
    """Least luminous intensity; outside the stated points what is sure of it, if that is enough."""
    sure = n.light_duty_min * light_at_least(p, p.iv_low, p.current_min)
    return prefer(p.intensity_min, keep(sure, n.brightness_low, sure))


@quantity("cd")
def proved_high(p: Any, n: Any) -> Any:
    """Largest luminous intensity; outside the stated points what is sure of it, if that is enough."""
    sure = n.light_duty_max * light_at_most(p, p.iv_high, p.current_max)
    return prefer(p.intensity_max, keep(sure, sure, n.brightness_high))


@quantity("cd")
def proved_hot(p: Any, n: Any) -> Any:
    """Least luminous intensity in the hottest air; outside the stated points what is sure of it, if that is enough."""
    sure = n.light_duty_min * light_at_least(p, p.iv_low, p.current_min_hot) * p.light_left
    return prefer(p.intensity_hot, keep(sure, n.brightness_low, sure))
