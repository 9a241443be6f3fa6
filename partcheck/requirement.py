"""The vocabulary in which a role says what it demands of a part.

A **role** (``roles/*.py``) is four tables of declarations:

* *facts*: what the board states or couples, as numbers (``rail_max``, V);
* *needs*: what follows from facts alone, ``f(n)``;
* *quantities*: what follows from a part in its place, ``f(p, n)``;
* *requirements*: ``f(p, n) -> (demand, capability)``, or a list of such pairs of which the worst counts.

A requirement holds when demand <= capability. Its docstring is shown to the user: the first line is the
claim, the rest says how the datasheet is read. One without a source raises when it is declared.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any

from partcheck.operations import Value

Pair = tuple[Any, Any]
Formula = Callable[[Any, Any], Pair | Sequence[Pair]]


class Verdict(IntEnum):
    """How a requirement ends; a part's verdict is its worst one, so *and* is ``min``."""

    FAILS = 0
    UNPROVEN = 1
    TIGHT = 2
    MEETS = 3

    @property
    def word(self) -> str:
        """The verdict as it is printed."""
        return self.name.lower()

    def __str__(self) -> str:
        return self.word

    def __format__(self, form: str) -> str:
        return format(self.word, form)


def compare(demand: float, capability: float, tight: float) -> tuple[Verdict, float]:
    """Verdict and headroom of one pair; a missing number (NaN) satisfies neither comparison.

    Headroom is 1 - demand/capability. A capability of zero or less leaves none where it meets (NaN)
    and minus infinity where it fails. ``tight`` is the least headroom that is not called tight.

    >>> compare(30.0, 60.0, 0.1)
    (<Verdict.MEETS: 3>, 0.5)
    """
    if demand != demand or capability != capability:
        return Verdict.UNPROVEN, math.nan
    meets = demand <= capability
    if capability <= 0:
        return (Verdict.MEETS, math.nan) if meets else (Verdict.FAILS, -math.inf)
    if math.isinf(capability):
        return (Verdict.MEETS, 1.0) if not math.isinf(demand) else (Verdict.UNPROVEN, math.nan)
    headroom = 1 - demand / capability
    if not meets:
        return Verdict.FAILS, headroom
    return (Verdict.TIGHT if headroom < tight else Verdict.MEETS), headroom


@dataclass(frozen=True)
class Fact:
    """A number or word that the board supplies, and where it comes from.

    ``value`` is None where the board does not state it (a demand that is then not asked) and NaN where
    it rests on something missing, named in ``missing``; ``assumed`` is what it rests on besides stated
    values. A number that is no more than a bound on the safe side names in ``bounded`` the values without which it
    is not known exactly: what it meets is proved, what it exceeds is not known.
    """

    value: Any
    source: str = ""
    missing: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    bounded: tuple[str, ...] = ()

    def __init__(
        self,
        value: Any,
        source: str = "",
        missing: tuple[str, ...] = (),
        assumed: tuple[str, ...] = (),
        bounded: tuple[str, ...] = (),
    ) -> None:
        made = self.__dict__  # a board makes thousands: half the time of a frozen class's own way
        made["value"], made["source"], made["missing"], made["assumed"] = value, source, missing, assumed
        made["bounded"] = bounded


@dataclass(frozen=True)
class Named:
    """A fact, need or quantity: its unit and what it means."""

    name: str
    unit: str
    meaning: str
    formula: Callable[..., Any] | None = None


@dataclass(frozen=True)
class Requirement:
    """One thing a role demands.

    ``asks`` names the facts without which the requirement is not asked (a demand the board does not
    state); ``cure`` says in words what would correct a failure; a ``change`` marks a requirement whose
    failure is a change of the board (another footprint), not an unfit part; ``discrete`` one that is met or
    not, without headroom.
    """

    id: str
    unit: str
    claim: str
    reading: str
    source: str
    formula: Formula
    asks: tuple[str, ...] = ()
    cure: str = ""
    change: str = ""
    discrete: bool = False


@dataclass
class Role:
    """A place on a board, and what it asks of the part that fills it."""

    name: str
    kind: str
    title: str
    facts: dict[str, Named] = field(default_factory=dict)
    needs: dict[str, Named] = field(default_factory=dict)
    quantities: dict[str, Named] = field(default_factory=dict)
    requirements: dict[str, Requirement] = field(default_factory=dict)
    results: tuple[str, ...] = ()
    """Quantities that are told with every explanation, typical values among them."""

    def fact(self, name: str, unit: str, meaning: str) -> None:
        """Declare a number or word that the board supplies."""
        if name in self.facts:
            raise ValueError(f"{self.name}: fact {name} is declared twice")
        self.facts[name] = Named(name, unit, meaning)

    def need(self, unit: str) -> Callable[[Callable[[Any], Any]], Callable[[Any], Any]]:
        """Declare a number that follows from the facts: ``f(n)``."""

        def keep(formula: Callable[[Any], Any]) -> Callable[[Any], Any]:
            name = formula.__name__
            self.needs[name] = Named(name, unit, _first_line(formula), formula)
            return formula

        return keep

    def quantity(self, unit: str) -> Callable[[Callable[[Any, Any], Any]], Callable[[Any, Any], Any]]:
        """Declare a number that follows from a part in its place: ``f(p, n)``."""

        def keep(formula: Callable[[Any, Any], Any]) -> Callable[[Any, Any], Any]:
            name = formula.__name__
            self.quantities[name] = Named(name, unit, _first_line(formula), formula)
            return formula

        return keep

    def requirement(
        self,
        unit: str,
        source: str,
        *,
        asks: Sequence[str] = (),
        cure: str = "",
        change: str = "",
        discrete: bool = False,
    ) -> Callable[[Formula], Formula]:
        """Declare a requirement; its id is the function's name with hyphens."""

        def keep(formula: Formula) -> Formula:
            id_ = formula.__name__.replace("_", "-")
            if not source or not formula.__doc__:
                raise ValueError(f"{self.name}.{id_}: a requirement needs a source and a claim")
            unknown = [name for name in asks if name not in self.facts]
            if unknown:
                raise ValueError(f"{self.name}.{id_} asks for undeclared facts {unknown}")
            claim, _, reading = _clean(formula.__doc__).partition("\n")
            reading = " ".join(reading.split())
            self.requirements[id_] = Requirement(
                id_, unit, claim.rstrip("."), reading, source, formula, tuple(asks), cure, change, discrete
            )
            return formula

        return keep

    def named(self, name: str) -> Named | None:
        """The declaration of a fact, need or quantity."""
        return self.quantities.get(name) or self.needs.get(name) or self.facts.get(name)

    def asked(self, requirement: Requirement, facts: Mapping[str, Any]) -> bool:
        """True where the board states every demand that the requirement asks for."""
        return all(facts.get(name) is not None for name in requirement.asks)


def _clean(text: str) -> str:
    return "\n".join(line.strip() for line in text.strip().splitlines())


def _first_line(formula: Callable[..., Any]) -> str:
    if not formula.__doc__:
        raise ValueError(f"{formula.__name__} needs a docstring that says what it is")
    return _clean(formula.__doc__).partition("\n")[0].rstrip(".")


class View:
    """Values by attribute: looked up with ``get``, or made once by a declared formula."""

    _get: Callable[[str], Any]
    _made: Mapping[str, Named]
    _arguments: tuple[Any, ...]
    _record: Callable[[Named, Any], Any]
    _once: Callable[[str, Callable[[], Any]], Any] | None

    def __init__(
        self,
        get: Callable[[str], Any],
        made: Mapping[str, Named],
        *arguments: Any,
        record: Callable[[Named, Any], Any] = lambda named, value: value,
        once: Callable[[str, Callable[[], Any]], Any] | None = None,
    ) -> None:
        self.__dict__.update(_get=get, _made=made, _arguments=arguments, _record=record, _once=once)

    def __getattr__(self, name: str) -> Value:
        if name.startswith("__"):
            raise AttributeError(name)
        named = self._made.get(name)
        value: Value
        if named is None and (self._once is None or self._arguments):  # what the part itself states
            value = self.__dict__[name] = self._get(name)
        elif named is None:
            assert self._once is not None
            value = self._once(name, lambda: self._get(name))
        elif self._once is None:
            value = self.__dict__[name] = self._make(named)
        else:  # whoever remembers it hears of every reading, also of a repeated one
            value = self._once(name, lambda: self._make(named))
        return value

    def _make(self, named: Named) -> Any:
        assert named.formula is not None
        return self._record(named, named.formula(self, *self._arguments))


def kept(p: Any, name: str, of: Any, make: Callable[[], Any]) -> Any:
    """What a formula works out of the part in its place ``p`` and one number ``of``, made once for both.

    It is remembered as a quantity is, so that whoever reads it rests on what it rests on, but it is no step of an
    explanation. Readers that are no :class:`View` make it anew.
    """
    if not isinstance(p, View):
        return make()
    key = f"{name} {id(of)}"  # the number is kept with it, so that no other one comes to have its id
    if p._once is not None:
        return p._once(key, lambda: (of, make()))[1]
    if key not in p.__dict__:
        p.__dict__[key] = of, make()
    return p.__dict__[key][1]


def views(
    role: Role,
    part: Callable[[str], Any],
    board: Callable[[str], Any],
    record: Callable[[Named, Any], Any] = lambda named, value: value,
    once: Callable[[str, Callable[[], Any]], Any] | None = None,
) -> tuple[Any, Any]:
    """The part in its place ``p`` and the board's needs ``n``, as a role's formulas take them.

    ``once(name, make)`` may remember the needs and quantities; without it each view does so itself.
    """
    n = View(board, role.needs, record=record, once=once)
    return View(part, role.quantities, n, record=record, once=once), n


def settle(requirement: Requirement, verdict: Verdict, headroom: float) -> tuple[Verdict, float]:
    """A discrete requirement has no headroom and is never tight."""
    if requirement.discrete:
        return (Verdict.MEETS if verdict is Verdict.TIGHT else verdict), math.nan
    return verdict, headroom


def pairs(requirement: Requirement, p: Any, n: Any) -> list[Pair]:
    """The demand-capability pairs of a requirement; one pair where it returns just that."""
    made = requirement.formula(p, n)
    return [made] if isinstance(made, tuple) else list(made)
