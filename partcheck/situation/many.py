"""Choosing among numbers that may be one or many.

A fact is one number, or, where a circuit value is varied, an array with one number per value tried. What a formula
may not do, facts may: choose the largest, the least, the known. These do it for both; NaN is a missing number.
NumPy is loaded only when there is an array.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Any

from partcheck import units
from partcheck.requirement import Fact


def many(value: Any) -> bool:
    """True for an array: one number for each circuit value that is tried."""
    return hasattr(value, "dtype")


def unknown(value: Any) -> bool:
    """True where a number is missing; of many, where all are."""
    return bool((value != value).all()) if many(value) else bool(value != value)


def known_or(value: Any, otherwise: float) -> Any:
    """The number, and ``otherwise`` where it is missing."""
    if many(value):
        import numpy as np

        return np.where(np.isnan(value), otherwise, value)
    return value if value == value else otherwise


def show(value: Any, unit: str) -> str:
    """A number with its unit, for a source; many numbers are not written out."""
    return "…" if many(value) else units.show(value, unit)


def at_least(value: Any, least: float) -> Any:
    """The number, or ``least`` where it is smaller; missing stays missing."""
    if many(value):
        import numpy as np

        return np.maximum(value, least)
    return value if value != value else max(value, least)


def ratio(a: Any, b: Any) -> Any:
    """``a / b``, and infinity where ``b`` is zero."""
    if many(a) or many(b):
        import numpy as np

        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(np.equal(b, 0), math.inf, np.divide(a, b))
    return a / b if b != 0 else math.inf


def sum_of(values: Iterable[Any]) -> Any:
    """The sum; missing where one is."""
    listed = list(values)
    return sum(listed[1:], listed[0]) if any(map(many, listed)) else math.fsum(listed)


def largest_of(values: Iterable[Any]) -> Any:
    """The largest; missing where one is."""
    return _extreme(list(values), "maximum", max)


def least_of(values: Iterable[Any]) -> Any:
    """The least; missing where one is."""
    return _extreme(list(values), "minimum", min)


def _extreme(values: Sequence[Any], name: str, pick: Any) -> Any:
    if any(map(many, values)):
        import numpy as np

        return getattr(np, name).reduce(np.broadcast_arrays(*values))
    return math.nan if any(v != v for v in values) else pick(values)


def highest(facts: Iterable[Fact]) -> Fact:
    """The largest of some facts; a missing one may be larger than any."""
    listed = list(facts)
    if any(many(fact.value) for fact in listed):
        return _joined(listed, largest_of(_numbers(listed)))
    return max(listed, key=lambda fact: _or(fact.value, math.inf))


def lowest(facts: Iterable[Fact]) -> Fact:
    """The least of some facts; a missing one may be less than any."""
    listed = list(facts)
    if any(many(fact.value) for fact in listed):
        return _joined(listed, least_of(_numbers(listed)))
    return min(listed, key=lambda fact: _or(fact.value, -math.inf))


def lowest_known(facts: Iterable[Fact]) -> Fact:
    """The least of those that are known."""
    listed = list(facts)
    if any(many(fact.value) for fact in listed):
        import numpy as np

        return _joined(listed, np.fmin.reduce(np.broadcast_arrays(*_numbers(listed))))
    return min(listed, key=lambda fact: _or(fact.value, math.inf))


def _numbers(facts: Sequence[Fact]) -> list[Any]:
    return [math.nan if fact.value is None else fact.value for fact in facts]


def _or(value: Any, otherwise: float) -> float:
    return otherwise if value is None or value != value else float(value)


def _joined(facts: Sequence[Fact], value: Any) -> Fact:
    return Fact(value, "", *names_under(facts))


class Partly(str):
    """The name of a missing value that leaves only some of many circuits with a bound; ``where`` marks those."""

    where: Any

    def __new__(cls, name: str, where: Any) -> "Partly":
        """The name with its mark."""
        made = super().__new__(cls, name)
        made.where = where
        return made


def some_unknown(value: Any) -> bool:
    """True where a number is missing; of many, where one is."""
    return bool((value != value).any()) if many(value) else bool(value != value)


def bounded_by(made: Fact, most: Fact, source: str, lacking: Sequence[str]) -> Fact:
    """A fact with a bound for what is missing of it, for want of ``lacking``; as it is where there is no bound."""
    if unknown(most.value) or not some_unknown(made.value):
        return made
    if not many(made.value):
        return Fact(most.value, source, most.missing, most.assumed, (*most.bounded, *lacking))
    marked = [Partly(name, made.value != made.value) for name in lacking]
    value = known_or(made.value, most.value)
    return Fact(value, source, most.missing, most.assumed, (*made.bounded, *most.bounded, *marked))


def names_under(facts: Sequence[Fact]) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """What is missing, assumed and no more than a bound under some facts, each name once."""
    missing = tuple(dict.fromkeys(name for fact in facts for name in fact.missing))
    assumed = tuple(dict.fromkeys(name for fact in facts for name in fact.assumed))
    return missing, assumed, tuple(dict.fromkeys(name for fact in facts for name in fact.bounded))


def rounded_up(value: Any, step: float) -> Any:
    """The next multiple of ``step``."""
    if many(value):
        import numpy as np

        return np.ceil(value / step) * step
    return math.ceil(value / step) * step if math.isfinite(value) else value


def nowhere_above(value: Any, limit: Any) -> bool:
    """True where no number exceeds its limit; a missing one exceeds none."""
    return not bool((value > limit).any()) if many(value) or many(limit) else not value > limit


def all_same(one: Any, other: Any) -> bool:
    """True where no number differs from the other; a missing one is the same as a missing one."""
    if many(one) or many(other):
        import numpy as np

        return bool(np.all((one == other) | ((one != one) & (other != other))))
    return bool(one == other or (one != one and other != other))


def if_reaching(value: Any, level: Any, needed: Any) -> Any:
    """The number where a level reaches what is needed or is missing, else zero."""
    if many(value) or many(level) or many(needed):
        import numpy as np

        return np.where(np.less(level, needed), 0.0, value)
    return 0.0 if level < needed else value


def known_below(value: float, limit: Any) -> Any:
    """The number where it is below a limit; missing where it is not."""
    if many(limit):
        import numpy as np

        return np.where(np.less_equal(limit, value), math.nan, value)
    return math.nan if limit <= value else value


def known_above(value: Any, limit: Any) -> Any:
    """The number where it is above a limit; missing where it is not, or the limit is."""
    if many(limit) or many(value):
        import numpy as np

        return np.where(np.greater(value, limit), value, math.nan)
    return value if value > limit else math.nan


def if_above(value: Any, limit: float) -> Any:
    """The number where it is above a limit, else zero."""
    if many(value):
        import numpy as np

        return np.where(value > limit, value, 0.0)
    return value if value > limit else 0.0


def one_above(value: Any, limit: float) -> Any:
    """1 where the number is above a limit, else 0; missing stays missing."""
    if many(value):
        import numpy as np

        return np.where(np.isnan(value), math.nan, np.where(value > limit, 1.0, 0.0))
    return value if value != value else float(value > limit)


def either(condition: Any, one: Any, other: Any) -> Any:
    """One number where the condition holds, else the other."""
    if many(condition):
        import numpy as np

        return np.where(condition, one, other)
    return one if condition else other
