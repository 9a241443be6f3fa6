"""One part, explained: numbers that remember the formula that made them.

A :class:`Traced` number keeps its operands, so that after the calculation the explanation can be written
in symbols and in digits, the values that were missing or assumed named, and the datasheet rows found.
The text is made only when it is asked for.
"""

import math
import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from partcheck import points
from partcheck.operations import ASSUMED, NAN, Operation, read_in_one
from partcheck.points import PointTable, Row
from partcheck.units import show

_MARKS = {"+": 1, "−": 1, "·": 2, "/": 2}


@dataclass(frozen=True)
class Leaf:
    """A number that was stated: where, and under which name.

    ``axis`` marks the condition of a row, told with the row. ``missing`` is what has to be looked up where the
    number is not known; ``assumed`` what it rests on besides stated values; ``from_part`` marks a datasheet value.
    ``bounded`` names what would have to be known for it to be more than a bound on the safe side.
    """

    name: str
    unit: str
    source: str = ""
    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    from_part: bool = False
    axis: bool = False
    bounded: tuple[str, ...] = ()

    def __init__(
        self,
        name: str,
        unit: str,
        source: str = "",
        missing: tuple[str, ...] = (),
        assumed: tuple[str, ...] = (),
        from_part: bool = False,
        axis: bool = False,
        bounded: tuple[str, ...] = (),
    ) -> None:
        made = self.__dict__  # a board makes thousands: half the time of a frozen class's own way
        made["name"], made["unit"], made["source"], made["missing"] = name, unit, source, missing
        made["assumed"], made["from_part"], made["axis"], made["bounded"] = assumed, from_part, axis, bounded


class Traced:
    """A number, and how it came about: an operation on operands, a stated leaf, or a named result."""

    __slots__ = ("args", "clean", "how", "name", "unit", "value")
    clean: bool
    """Set, and True, where nothing assumed and no bound was found under it (:mod:`partcheck.readings.story`)."""

    def __init__(self, value: Any, how: Any = None, args: tuple[Any, ...] = (), name: str = "", unit: str = "") -> None:
        self.value, self.how, self.args, self.name, self.unit = value, how, args, name, unit

    def __bool__(self) -> bool:
        raise TypeError("a formula may not branch on a value")

    def __neg__(self) -> "Traced":
        return 0 - self

    def __add__(self, other: Any) -> "Traced":
        value = other.value if isinstance(other, Traced) else other
        return Traced(self.value + value, "+", (self, other))

    def __radd__(self, other: Any) -> "Traced":
        return Traced(other + self.value, "+", (other, self))

    def __sub__(self, other: Any) -> "Traced":
        value = other.value if isinstance(other, Traced) else other
        return Traced(self.value - value, "−", (self, other))

    def __rsub__(self, other: Any) -> "Traced":
        return Traced(other - self.value, "−", (other, self))

    def __mul__(self, other: Any) -> "Traced":
        value = other.value if isinstance(other, Traced) else other
        return Traced(self.value * value, "·", (self, other))

    def __rmul__(self, other: Any) -> "Traced":
        return Traced(other * self.value, "·", (other, self))

    def __truediv__(self, other: Any) -> "Traced":
        value = other.value if isinstance(other, Traced) else other
        return Traced(_divide(self.value, value), "/", (self, other))

    def __rtruediv__(self, other: Any) -> "Traced":
        return Traced(_divide(other, self.value), "/", (other, self))

    def operands(self) -> Iterator["Traced"]:
        """The traced numbers directly under this one."""
        for argument in self.args:
            if isinstance(argument, Traced):
                yield argument
            elif isinstance(argument, TracedTable):
                yield as_traced(argument)


class Later(Traced):
    """A number that is worked out already, and how it came about as soon as that is asked for.

    ``inputs`` is all that its formula read; None where the formula itself assumed something.
    """

    __slots__ = ("_make", "inputs")

    def __init__(self, value: Any, make: Callable[[], Traced], inputs: tuple[Any, ...] | None) -> None:
        self.value, self._make, self.inputs = value, make, inputs

    def __getattr__(self, name: str) -> Any:
        """What is not known yet: how it came about."""
        if name not in _LATER:
            raise AttributeError(name)
        made = self._make()
        self.how, self.args, self.name, self.unit = made.how, made.args, made.name, made.unit
        return getattr(self, name)


_LATER = ("args", "how", "name", "unit")


def _in_one(formula: Callable[..., Any], inputs: tuple[Any, ...]) -> Traced:
    """The number in plain floats, and the trace of the same formula later."""
    assumed = ASSUMED.number
    try:
        value = formula(*map(untraced, inputs))
    except ZeroDivisionError:  # traced numbers divide by zero
        made: Traced = formula(*inputs)
        return made
    return Later(value, lambda: formula(*inputs), inputs if ASSUMED.number == assumed else None)


def untraced(x: Any) -> Any:
    """The value of a traced number or table; anything else as it is."""
    return x.value if isinstance(x, Traced) else x.table if isinstance(x, TracedTable) else x


def _divide(a: float, b: float) -> float:
    if b == 0:
        return NAN if a != a or a == 0 else math.copysign(math.inf, a)
    return a / b


class TracedTable:
    """A point table whose readings name the rows that they used."""

    def __init__(self, table: PointTable, leaf: Leaf, units: Mapping[str, str]) -> None:
        self.table, self.leaf, self.units = table, leaf, units
        self.empty = len(table) == 0
        self._rows: list[Row] | None = None

    def rows(self) -> Iterator[Row]:
        """Each row with traced columns, named after the conditions it is stated at."""
        if self._rows is None:
            self._rows = list(self._traced_rows())
        return iter(self._rows)

    def _traced_rows(self) -> Iterator[Row]:
        axes = [name for name in self.table.columns if name not in ("min", "typ", "max")]
        for row in self.table.rows():
            at = ", ".join(
                f"{name} {show(getattr(row, name), self.units[name])}"
                for name in axes
                if self.units.get(name) is not None and getattr(row, name) == getattr(row, name)
            )
            yield Row(
                {
                    name: Traced(
                        getattr(row, name),
                        Leaf(
                            f"{self.leaf.name}_{name}[{at}]" if name in ("min", "typ", "max") else name,
                            self.units.get(name) or "",
                            self.leaf.source,
                            (f"{self.leaf.name} {name}",),
                            from_part=True,
                            axis=name not in ("min", "typ", "max"),
                        ),
                    )
                    for name in self.table.columns
                }
            )


def as_traced(table: TracedTable) -> Traced:
    """A table as a number to tell of: how many points it states; missing where it states none."""
    stated = f"{len(table.table)} point" + "s" * (len(table.table) > 1)
    return Traced(NAN if table.empty else stated, table.leaf)


def _numbers(operation: Operation) -> Callable[..., Traced]:
    """How traced numbers do an operation on numbers alone: on their values, remembering the operands."""
    plain = operation.plain

    def of_two(a: Any, b: Any) -> Traced:  # these two are most of all
        x, y = a.value if isinstance(a, Traced) else a, b.value if isinstance(b, Traced) else b
        return Traced(plain(x, y), operation, (a, b))

    def of_three(a: Any, b: Any, c: Any) -> Traced:
        x, y = a.value if isinstance(a, Traced) else a, b.value if isinstance(b, Traced) else b
        return Traced(plain(x, y, c.value if isinstance(c, Traced) else c), operation, (a, b, c))

    def reading(*arguments: Any) -> Traced:
        return Traced(plain(*[x.value if isinstance(x, Traced) else x for x in arguments]), operation, arguments)

    count = getattr(getattr(plain, "__code__", None), "co_argcount", 0)
    readings: dict[int, Callable[..., Traced]] = {2: of_two, 3: of_three}
    return readings.get(count, reading)


def _generic(operation: Operation) -> Callable[..., Traced]:
    """How traced numbers do any operation, on tables too."""

    def reading(*arguments: Any) -> Traced:
        plain = [x.value if isinstance(x, Traced) else x.table if isinstance(x, TracedTable) else x for x in arguments]
        return Traced(operation(*plain), operation, arguments)

    return reading


def _assumed(stated: Any, assumed: Any) -> Traced:
    value, other = untraced(stated), untraced(assumed)
    if value == value:
        return stated if isinstance(stated, Traced) else Traced(value, Leaf("", ""))
    if other != other:
        return stated if isinstance(stated, Traced) else Traced(value, Leaf("", ""))
    return Traced(other, Operation.registry["assume"], (stated, assumed))


def _preferred(a: Any, b: Any) -> Any:
    value = untraced(a)
    return a if value == value else b


def _assume_row(table: TracedTable, axis: str, at: float, column: str, value: Any) -> TracedTable:
    filled = points.assumed_table(table.table, axis, at, column, untraced(value))
    if filled is table.table:
        return table
    assumed = value.how.assumed if isinstance(value, Traced) and isinstance(value.how, Leaf) else ()
    leaf = Leaf(table.leaf.name, table.leaf.unit, "assumed by the policy", table.leaf.missing, assumed)
    return TracedTable(filled, leaf, table.units)


def _per_time(rate: Any, value: Any) -> Any:
    if untraced(rate) == 0:
        return Traced(0.0, Leaf("0", ""))
    return Traced(
        Operation.registry["per_time"](untraced(rate), untraced(value)), Operation.registry["per_time"], (rate, value)
    )


def _with_point(table: TracedTable, axis: str, at: float, column: str, value: float) -> TracedTable:
    return TracedTable(points.with_point(table.table, axis, at, column, value), table.leaf, table.units)


def _shifted(table: TracedTable, axis: str, bound: str, by: str) -> TracedTable:
    leaf = replace(table.leaf, name=f"{table.leaf.name}_{bound}", missing=(f"{table.leaf.name} {bound}",))
    return TracedTable(points.shifted(table.table, axis, bound, by), leaf, table.units)


def _best(operation: Operation, pick: Callable[[float, float], bool]) -> Callable[..., Traced]:
    def reading(table: TracedTable, formula: Callable[[Row], Any]) -> Traced:
        best: Traced | None = None
        tried: list[Traced] = []
        for row in table.rows():
            made = formula(row)
            made = made if isinstance(made, Traced) else Traced(made, Leaf("", ""))
            tried.append(made)
            if made.value == made.value and (best is None or pick(made.value, best.value)):
                best = made
        if best is not None:
            return best
        return Traced(NAN, "no row", (table, *tried))

    return reading


def _solved(operation: Operation) -> Callable[..., Traced]:
    def reading(table: Any, y: str, start: Any, theta: Any, limit: Any, loss: Any) -> Traced:
        def power(value: float, temperature: float) -> float:
            result: float = untraced(loss(Traced(value, Leaf("value", "")), Traced(temperature, Leaf("T", "°C"))))
            return result

        plain = untraced(table)
        value = points.equilibrium(plain, y, untraced(start), untraced(theta), untraced(limit), power)
        factor = points.between(plain, "tj", y, value, points.LINEAR)
        if factor != factor:  # no equilibrium, or under the first row: the formula is shown at an end of the table
            factor = (points.last if value == math.inf else points.first)(plain, "tj", y)
        temperature = points.last_x(plain, "tj", y) if value == math.inf or value != value else value
        leaf = table.leaf if isinstance(table, TracedTable) else Leaf("value", "")
        shown = Leaf(leaf.name, leaf.unit, leaf.source, leaf.missing, leaf.assumed, from_part=leaf.from_part)
        return Traced(
            value,
            operation,
            (table, y, start, theta, limit, loss(Traced(factor, shown), Traced(temperature, Leaf("T", "°C")))),
        )

    return reading


for _operation in list(Operation.registry.values()):
    if _operation.name == "assume":
        _operation.register(Traced, _assumed)
    elif _operation.name == "prefer":
        _operation.register(Traced, _preferred)
    elif _operation.name == "per_time":
        _operation.register(Traced, _per_time)
    elif _operation.name == "with_point":
        _operation.register(TracedTable, _with_point)
    elif _operation.name == "shifted":
        _operation.register(TracedTable, _shifted)
    elif _operation.name == "assume_row":
        _operation.register(TracedTable, _assume_row)
    elif _operation.name in ("least", "greatest"):
        _operation.register(TracedTable, _best(_operation, operator.lt if _operation.name == "least" else operator.gt))
    elif _operation.name == "equilibrium":
        _operation.register(TracedTable, _solved(_operation))
        _operation.register(Traced, _solved(_operation))
    else:
        _operation.register(TracedTable, _generic(_operation))
        _operation.register(Traced, (_generic if _operation.name in points.OF_TABLES else _numbers)(_operation))

read_in_one(TracedTable, _in_one)


# ---- the text of a formula ------------------------------------------------------------------------


def _digits(x: Any, unit: str) -> str:
    return _number(x) if isinstance(x, str | frozenset) else show(x, unit)


def _number(x: Any) -> str:
    if isinstance(x, float | int):
        return f"{x:.6g}".replace("-", "−") if x < 0 else f"{x:.6g}"
    if isinstance(x, frozenset):
        return " or ".join(sorted(map(str, x)))
    return str(x)


def _render(x: Any, digits: bool) -> tuple[str, int]:
    """The text of an operand and how tightly its outermost operator binds."""
    if isinstance(x, TracedTable):
        return x.leaf.name, 3
    if not isinstance(x, Traced):
        return _number(x), 3
    if x.name:
        return (_digits(x.value, x.unit) if digits else x.name), 3
    how = x.how
    if isinstance(how, Leaf):
        return (_digits(x.value, how.unit) if digits or not how.name else how.name), 3
    if how == "no row":
        return f"no stated row of {x.args[0].leaf.name} applies", 3
    if isinstance(how, Operation) and how.name != "per_time":
        return _called(x, how, digits)
    return _dyadic(x, "·" if isinstance(how, Operation) else how, digits)  # per_time: a product


def _called(x: Traced, how: Operation, digits: bool) -> tuple[str, int]:
    if how.name == "keep" and x.value == x.value:  # the conditions hold: they are told in words elsewhere
        return _render(x.args[0], digits)
    if how.name == "assume":
        return _render(x.args[1], digits)
    if how.name == "none_stated" and digits and x.value == x.value:
        return "0", 3
    form = how.form.format(*(_render(a, digits)[0] for a in x.args))
    return form, 1 if how.name in ("keep", "assume") else 3


def _dyadic(x: Traced, mark: str, digits: bool) -> tuple[str, int]:
    rank = _MARKS[mark]
    left, left_rank = _render(x.args[0], digits)
    right, right_rank = _render(x.args[1], digits)
    if left_rank < rank:
        left = f"({left})"
    if right_rank < rank + (mark in "−/"):
        right = f"({right})"
    return f"{left} {mark} {right}", rank


def symbols(x: Any) -> str:
    """The formula in names: ``symbols(rail_max + drop)`` is ``'rail_max + drop'``."""
    return _render(x, False)[0]


def digits(x: Any) -> str:
    """The formula in numbers: ``'12.6 V + 0.9 V'``."""
    return _render(x, True)[0]
