"""Judge one part in its place with traced numbers: verdict, numbers, and all that lies under them."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from partcheck.operations import NAN
from partcheck.parameters import KINDS
from partcheck.parts.packages import canonical, pins
from partcheck.parts.part import Part
from partcheck.readings.story import Story, causes, rests_on_stated, tell
from partcheck.readings.trace import Leaf, Traced, TracedTable, digits, symbols
from partcheck.requirement import Fact, Named, Requirement, Role, Verdict, compare, pairs, settle, views


class Compared:
    """One demand against one capability, in numbers and, when asked for, as formulas."""

    def __init__(self, requirement: Requirement, demand: Any, capability: Any, tight: float) -> None:
        self.traced = (demand, capability)
        self.demand, self.capability = _value(demand), _value(capability)
        self.verdict, self.headroom = settle(requirement, *compare(self.demand, self.capability, tight))
        self.bounded: tuple[str, ...] = ()
        if self.verdict is Verdict.FAILS:
            self.bounded = () if rests_on_stated(demand, capability) else tell(demand, capability).bounded
            if self.bounded:  # what a bound exceeds is not known
                self.verdict, self.headroom = Verdict.UNPROVEN, math.nan

    @property
    def demand_symbols(self) -> str:
        """The demand as a formula in names."""
        return symbols(self.traced[0])

    @property
    def demand_digits(self) -> str:
        """The demand as a formula in numbers."""
        return digits(self.traced[0])

    @property
    def capability_symbols(self) -> str:
        """The capability as a formula in names."""
        return symbols(self.traced[1])

    @property
    def capability_digits(self) -> str:
        """The capability as a formula in numbers."""
        return digits(self.traced[1])


@dataclass(frozen=True)
class Finding:
    """What became of one requirement; ``compared[0]`` is its worst pair."""

    requirement: Requirement
    compared: tuple[Compared, ...]
    as_fitted: bool = False
    """True for the part that the board itself has in the place: nothing is left to change for it."""

    @property
    def verdict(self) -> Verdict:
        """The worst pair's verdict."""
        return self.compared[0].verdict

    @property
    def headroom(self) -> float:
        """The worst pair's headroom."""
        return self.compared[0].headroom

    @cached_property
    def story(self) -> Story:
        """All that lies under its numbers."""
        told = tell(*(number for made in self.compared for number in made.traced))
        lacking = dict.fromkeys(name for made in self.compared for name in made.bounded)
        return replace(told, missing=causes((*told.missing, *lacking))) if lacking else told

    @property
    def id(self) -> str:
        """The requirement's id."""
        return self.requirement.id

    @property
    def counts(self) -> bool:
        """False where a failure is a change of the board that a candidate asks for, not an unfit part."""
        return self.as_fitted or not (self.requirement.change and self.verdict is Verdict.FAILS)


def part_reader(kind_name: str, part: Part | None) -> Callable[[str], Any]:
    """How a formula reads a part's values and tables as traced numbers; without a part all are missing."""
    if not kind_name:
        return lambda name: Traced(NAN, Leaf(name, "", missing=(name,)))
    kind = KINDS[kind_name]
    if part is None:
        part = Part(kind_name, "", "", {})
    columns, tables = kind.columns(), {table.name: table for table in kind.tables}

    def read(name: str) -> Any:
        if name in tables:
            declared = tables[name]
            units: dict[str, Any] = dict.fromkeys(declared.bounds, declared.unit)
            units |= {axis.name: None if axis.is_text else axis.unit for axis in declared.axes}
            leaf = Leaf(name, declared.unit, part.source(name), (name,), from_part=True)
            return TracedTable(part.table(name), leaf, units)
        declaration = columns[name]
        value: Any = part.values.get(name)
        if name == "package" and value:
            value = canonical(str(value))
        if name == "pin_order" and value:
            value = pins(str(value))
        if value is None or value == "":
            value = NAN
        leaf = Leaf(name, declaration.unit, part.source(name), (name,), from_part=True)
        return Traced(value, leaf)

    return read


def fact_reader(role: Role, facts: Mapping[str, Fact]) -> Callable[[str], Any]:
    """How a formula reads the board's facts as traced numbers."""

    def read(name: str) -> Traced:
        declared = role.facts[name]
        fact = facts.get(name)
        if fact is None or fact.value is None:
            return Traced(NAN, Leaf(name, declared.unit, "", (f"the board's {declared.meaning}",)))
        missing = fact.missing or (f"the board's {declared.meaning}",)
        return Traced(fact.value, Leaf(name, declared.unit, fact.source, missing, fact.assumed, bounded=fact.bounded))

    return read


def _name(named: Named, value: Any) -> Any:
    if isinstance(value, TracedTable):
        return value
    inner = value if isinstance(value, Traced) else Traced(value, Leaf("", named.unit))
    return Traced(inner.value, "=", (inner,), named.name, named.unit)


def open_views(
    role: Role,
    part: Part | None,
    facts: Mapping[str, Fact],
    once: Callable[[str, Callable[[], Any]], Any] | None = None,
) -> tuple[Any, Any]:
    """The traced views ``p`` and ``n`` of a part in its place."""
    return views(role, part_reader(role.kind, part), fact_reader(role, facts), _name, once)


def _value(x: Any) -> float:
    return float(x.value) if isinstance(x, Traced) else float(x)


def judge(requirement: Requirement, p: Any, n: Any, tight: float) -> Finding:
    """Judge one requirement on opened views."""
    compared = [Compared(requirement, demand, capability, tight) for demand, capability in pairs(requirement, p, n)]
    compared.sort(key=lambda made: (made.verdict, made.headroom if made.headroom == made.headroom else math.inf))
    return Finding(requirement, tuple(compared))


def explain(
    role: Role, part: Part | None, facts: Mapping[str, Fact], tight: float, opened: tuple[Any, Any] | None = None
) -> list[Finding]:
    """Every requirement that is asked of ``part`` here, judged and explained; ``opened`` are its views, if open."""
    p, n = opened or open_views(role, part, facts)
    return [judge(r, p, n, tight) for r in role.requirements.values() if asked(r, facts)]


def asked(requirement: Requirement, facts: Mapping[str, Fact]) -> bool:
    """True where the board states every demand that the requirement asks for."""
    return all(name in facts and facts[name].value is not None for name in requirement.asks)


def not_asked(role: Role, facts: Mapping[str, Fact]) -> list[Requirement]:
    """The requirements whose demand the board does not state."""
    return [r for r in role.requirements.values() if not asked(r, facts)]


def verdict_of(findings: list[Finding]) -> Verdict:
    """The verdict of a part: its worst requirement's, footprint changes left aside."""
    return min((f.verdict for f in findings if f.counts), default=Verdict.MEETS)
