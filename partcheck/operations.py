"""Operations beyond + - * / that a formula may use; each reading says how it does them.

A formula is an ordinary function of numbers. The same function is called with plain floats, with
traced numbers (an explanation), with NumPy columns (every part at once) and, in tests, with
quantities that carry dimensions. An operation that a reading has not
registered raises :class:`UnknownReading`: nothing falls through. Missing in, missing out: the missing
value is NaN, and no operation here fills one, except :data:`assume`, which says so.
"""

import math
from collections.abc import Callable, Collection
from typing import Any, Protocol

NAN = math.nan


class Value(Protocol):
    """A number in any reading. It has no comparison, so that a formula cannot branch on it."""

    def __add__(self, other: Any, /) -> "Value": ...
    def __radd__(self, other: Any, /) -> "Value": ...
    def __sub__(self, other: Any, /) -> "Value": ...
    def __rsub__(self, other: Any, /) -> "Value": ...
    def __mul__(self, other: Any, /) -> "Value": ...
    def __rmul__(self, other: Any, /) -> "Value": ...
    def __truediv__(self, other: Any, /) -> "Value": ...
    def __rtruediv__(self, other: Any, /) -> "Value": ...


class UnknownReading(TypeError):
    """No reading of this operation is registered for these arguments."""


class Operation:
    """A named operation, dispatched on every argument: a float yields to any richer kind of number.

    ``form`` is how an explanation writes it, with ``{0}``, ``{1}`` for the arguments. A second
    registration of one kind is refused.
    """

    registry: dict[str, "Operation"] = {}

    def __init__(self, name: str, form: str, plain: Callable[..., Any]) -> None:
        self.name, self.form, self.plain = name, form, plain
        self._readings: list[tuple[type, Callable[..., Any]]] = []
        self._chosen: dict[tuple[type, ...], Callable[..., Any]] = {}
        Operation.registry[name] = self

    def register(self, kind: type, reading: Callable[..., Any]) -> None:
        """Say how numbers of ``kind`` do this operation."""
        if any(kind is known for known, _ in self._readings):
            raise ValueError(f"{self.name} already has a reading for {kind.__name__}")
        self._readings.append((kind, reading))
        self._chosen.clear()

    def __call__(self, *arguments: Any) -> Any:
        kinds = tuple(map(type, arguments))
        reading = self._chosen.get(kinds)  # what was chosen for these types holds until another reading is registered
        if reading is None:
            reading = self._chosen[kinds] = self._choose(kinds)
        return reading(*arguments)

    def _choose(self, kinds: tuple[type, ...]) -> Callable[..., Any]:
        for kind, reading in self._readings:
            if any(issubclass(given, kind) for given in kinds):
                return reading
        if not all(issubclass(given, (float, int, str, frozenset)) for given in kinds):
            raise UnknownReading(f"{self.name} has no reading for ({', '.join(kind.__name__ for kind in kinds)})")
        return self.plain


_IN_ONE: list[tuple[type, Callable[..., Any]]] = []


def in_one(formula: Callable[..., Any], *inputs: Any) -> Any:
    """``formula(*inputs)``; a reading may work out the number first, and how it came about when that is asked for.

    For formulas of many steps of which a result shows few. The formula reads nothing but its inputs.
    """
    for kind, reading in _IN_ONE:
        if any(isinstance(given, kind) for given in inputs):
            return reading(formula, inputs)
    return formula(*inputs)


def read_in_one(kind: type, reading: Callable[..., Any]) -> None:
    """Say how inputs of ``kind`` go through a formula in one: ``reading(formula, inputs)``."""
    _IN_ONE.append((kind, reading))


def _sqrt(x: float) -> float:
    return math.sqrt(x) if x >= 0 else NAN


def _ln(x: float) -> float:
    return math.log(x) if x > 0 else NAN


def _exp(x: float) -> float:
    return math.exp(x) if x < 700 else math.inf if x == x else NAN


def _power(x: float, exponent: float) -> float:
    if not x > 0:
        return NAN
    try:
        return float(x**exponent)
    except OverflowError:
        return math.inf


def _larger(a: float, b: float) -> float:
    return NAN if a != a or b != b else max(a, b)


def _smaller(a: float, b: float) -> float:
    return NAN if a != a or b != b else min(a, b)


def _keep(value: float, low: float, high: float) -> float:
    return value if low <= high else NAN


def _member(x: str | float | None, allowed: Collection[str]) -> float:
    if not isinstance(x, str) or not x:
        return NAN
    return 1.0 if x in allowed else 0.0


class Count:
    """How often something happened."""

    number = 0


ASSUMED = Count()
"""How often a plain number was assumed so far."""


def _assume(stated: float, assumed: float) -> float:
    if stated == stated:
        return stated
    ASSUMED.number += 1
    return assumed


def _prefer(a: float, b: float) -> float:
    return a if a == a else b


def _per_time(rate: float, value: float) -> float:
    return 0.0 if rate == 0 else rate * value


def _none_stated(x: float) -> float:
    return 0.0 if x != x else NAN


sqrt = Operation("sqrt", "√({0})", _sqrt)
ln = Operation("ln", "ln({0})", _ln)
exp = Operation("exp", "exp({0})", _exp)
power = Operation("power", "({0})^{1}", _power)
larger = Operation("larger", "larger of ({0}, {1})", _larger)
smaller = Operation("smaller", "smaller of ({0}, {1})", _smaller)
keep = Operation("keep", "{0} given {1} ≤ {2}", _keep)
"""``keep(value, low, high)``: the value where low <= high, else missing."""
member = Operation("member", "{0} is one of {1}", _member)
"""``member(text, allowed)``: 1 if the text is in ``allowed``, 0 if not, missing if it is not stated."""
assume = Operation("assume", "{0}, else assumed {1}", _assume)
"""``assume(stated, assumed)``: the stated value, or what the policy in force assumes; never silent."""
prefer = Operation("prefer", "{0}, else {1}", _prefer)
"""``prefer(a, b)``: ``a`` where it is stated, else ``b``: two statements of one thing, neither a guess."""
none_stated = Operation("none_stated", "0 as {0} is not stated", _none_stated)
"""``none_stated(x)``: zero where ``x`` is not stated at all (a part without that ability), else missing."""
per_time = Operation("per_time", "{0} · {1}", _per_time)
"""``per_time(rate, value)``: rate times value, and zero, whatever the value, where it never happens."""
