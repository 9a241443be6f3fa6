"""What lies under a traced number: named steps, stated values, what is missing, what is assumed."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from partcheck.operations import Operation
from partcheck.readings.trace import Later, Leaf, Traced, TracedTable, as_traced, digits, symbols, untraced


@dataclass(frozen=True)
class Step:
    """A named intermediate value; its formula is written when it is asked for."""

    name: str
    unit: str
    value: float | None
    inner: Any

    @property
    def symbols(self) -> str:
        """The formula in names."""
        return symbols(self.inner)

    @property
    def digits(self) -> str:
        """The formula in numbers."""
        return digits(self.inner)


@dataclass(frozen=True)
class Origin:
    """A stated number that a result rests on, and where it was stated."""

    name: str
    unit: str
    value: Any
    source: str
    from_part: bool


@dataclass(frozen=True)
class Story:
    """All that lies under one or more numbers, each thing once, in order of use."""

    steps: tuple[Step, ...]
    origins: tuple[Origin, ...]
    missing: tuple[str, ...]
    assumed: tuple[str, ...]
    bounded: tuple[str, ...] = ()


NOTHING = Story((), (), (), ())
"""Nothing to tell."""


def _unknown_condition(tried: Any) -> bool:
    """True where a row could not be tried because a number of the circuit is missing, not one of the row."""
    if not isinstance(tried, Traced):
        return False
    for operand in tried.operands():
        if isinstance(operand.how, Leaf):
            if _circuit_gap(operand):
                return True
        elif (operand.name and _missing(operand.value)) or (not operand.name and _unknown_condition(operand)):
            return True
    return False


def _circuit_gap(x: Traced) -> bool:
    """True for a missing number of the board."""
    return isinstance(x.how, Leaf) and not x.how.from_part and not x.how.axis and _missing(x.value)


def _missing(value: Any) -> bool:
    return isinstance(value, float) and value != value


_NONE_STATED, _ASSUME = Operation.registry["none_stated"], Operation.registry["assume"]
NO_RESULT = "at these numbers (its formula has no result)"
"""Behind the name of a result that is missing although everything it is made of is known."""


def causes(missing: Iterable[str]) -> tuple[str, ...]:
    """What is missing, without formulas that have no result, which follow from it; else these alone."""
    names = tuple(dict.fromkeys(missing))
    return tuple(name for name in names if not name.endswith(NO_RESULT)) or names


class _Teller:
    def __init__(self) -> None:
        self.seen: set[int] = set()
        self.steps: dict[str, Step] = {}
        self.origins: dict[str, Origin] = {}
        self.missing: dict[str, None] = {}
        self.assumed: dict[str, None] = {}
        self.bounded: dict[str, None] = {}
        self.within: list[str] = []

    def visit(self, x: Any) -> None:
        if not isinstance(x, Traced) or id(x) in self.seen:
            return
        self.seen.add(id(x))
        how = x.how
        if isinstance(how, Leaf):
            self.leaf(x, how)
            return
        if how is _NONE_STATED and x.value == x.value:
            return  # that it is blank is the statement, not a gap
        if how is _ASSUME:
            names = assumptions(x.args[1]) or (f"{symbols(x.args[1])} = {digits(x.args[1])}",)
            self.visit(x.args[1])
            self.assumed.update(dict.fromkeys(names))
            return
        if how == "no row":
            self.no_row(x)
        else:
            self.under(x, how)
        if x.name:
            inner = x.args[0]
            value = x.value if isinstance(x.value, float | int) and x.value == x.value else None
            self.steps[x.name] = Step(x.name, x.unit, value, inner)

    def under(self, x: Traced, how: Any) -> None:
        """The operands of a number, and whether it is missing although they are known."""
        if x.name:
            self.within.append(x.name)
        seen = self.seen
        for argument in x.args:
            if isinstance(argument, Traced):
                if id(argument) not in seen:
                    self.visit(argument)
            elif isinstance(argument, TracedTable):
                self.leaf(as_traced(argument), argument.leaf)
        if isinstance(how, Operation) and x.value != x.value:
            self.gap(x)
        if x.name:
            self.within.pop()

    def no_row(self, x: Traced) -> None:
        """Name a table of which no row applies, unless that rests on a missing number of the circuit."""
        for tried in x.args[1:]:
            self.conditions(tried)
        if not any(_unknown_condition(tried) for tried in x.args[1:]):
            self.missing.setdefault(x.args[0].leaf.missing[0] + " at these conditions")

    def gap(self, x: Traced) -> None:
        """Name a result that is missing although all its operands are known."""
        if all(untraced(a) == untraced(a) for a in x.args if isinstance(a, Traced)) and not any(
            a.empty for a in x.args if isinstance(a, TracedTable)
        ):
            self.missing.setdefault(f"{self.within[-1] if self.within else 'a number'} {NO_RESULT}")

    def conditions(self, tried: Any) -> None:
        """Under a row that did not apply only the board's side is worth telling."""
        if isinstance(tried, Traced):
            for operand in tried.operands():
                if operand.name or (isinstance(operand.how, Leaf) and _circuit_gap(operand)):
                    self.visit(operand)
                elif not isinstance(operand.how, Leaf):
                    self.conditions(operand)

    def leaf(self, x: Traced, how: Leaf) -> None:
        if isinstance(x.value, float) and x.value != x.value:
            for name in how.missing:
                self.missing.setdefault(name)
        for name in how.assumed:
            self.assumed.setdefault(name)
        for name in how.bounded:
            self.bounded.setdefault(name)
        if how.name and how.name not in ("value", "0") and not how.axis and not isinstance(x.value, frozenset):
            self.origins.setdefault(how.name, Origin(how.name, how.unit, x.value, how.source, how.from_part))


def assumptions(*numbers: Any) -> tuple[str, ...]:
    """What is assumed anywhere under these numbers, each once."""
    teller = _Teller()
    for number in numbers:
        teller.visit(number)
    return tuple(teller.assumed)


def bounds_under(*numbers: Any) -> tuple[str, ...]:
    """What would have to be known for all of these numbers to be more than bounds, each once: one walk for all."""
    teller = _Teller()
    for number in numbers:
        teller.visit(number)
    return tuple(teller.bounded)


def rests_on_stated(*numbers: Any) -> bool:
    """True where nothing is assumed and no bound stands anywhere under these numbers.

    False says that something may: then the whole story tells what.
    """
    seen: set[int] = set()
    return all(_stated(number, seen) for number in numbers)


def _stated(x: Any, seen: set[int]) -> bool:
    if isinstance(x, TracedTable):
        return not (x.leaf.assumed or x.leaf.bounded)
    if not isinstance(x, Traced) or id(x) in seen:
        return True
    seen.add(id(x))
    if getattr(x, "clean", False):  # found so before
        return True
    if isinstance(x, Later) and x.value == x.value:  # no need to work out how it came about
        if x.inputs is None or not all(_stated(each, seen) for each in x.inputs):
            return False
        x.clean = True
        return True
    how = x.how
    if isinstance(how, Leaf):
        return not (how.assumed or how.bounded)
    if how is _ASSUME or not all(_stated(argument, seen) for argument in x.args):
        return False
    if x.name:
        x.clean = True
    return True


def tell(*numbers: Any) -> Story:
    """Everything under these numbers: named steps, stated values, what is missing, what is assumed."""
    teller = _Teller()
    for number in numbers:
        teller.visit(number)
    return Story(
        tuple(teller.steps.values()),
        tuple(teller.origins.values()),
        causes(teller.missing),
        tuple(teller.assumed),
        tuple(teller.bounded),
    )
