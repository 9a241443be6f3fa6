"""Facts of one place, made when they are first asked for.

Each role has a class in this package; each fact that the role declares is a method of that name which returns
a :class:`Fact`: the number, where it comes from, what is missing, what is assumed. Policy values are facts too.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from partcheck.board.relations import lacks_logic_current
from partcheck.parts.packages import canonical, pins
from partcheck.policy import VALUES
from partcheck.requirement import Fact, Role
from partcheck.situation.many import many, names_under, show, sum_of

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

NOT_STATED = Fact(None)


def stated(value: Any, source: str) -> Fact:
    """A number that the board states; not stated where it is None."""
    return NOT_STATED if value is None else Fact(value, source)


def combine(value: Any, source: str, *parts: Fact) -> Fact:
    """A number worked out of other facts: it is missing, assumed or a bound where one of them is."""
    return Fact(value, source, *names_under(parts))


def total(parts: Iterable[tuple[str, Fact]], unit: str) -> Fact:
    """The sum of named facts; its source lists them: ``Q1 0.5 A + D4 12 mA``."""
    listed = [(name, fact) for name, fact in parts if many(fact.value) or fact.value is None or fact.value != 0]
    value = sum_of(math.nan if fact.value is None else fact.value for _, fact in listed) if listed else 0.0
    text = " + ".join(f"{name} {show(fact.value, unit)}" for name, fact in listed) or "nothing"
    return combine(value, text, *(fact for _, fact in listed))


def hottest_air(situation: "Situation") -> Fact:
    """Hottest air at the board, inside its enclosure, K."""
    outside, extra = situation.board.surroundings.ambient.max, situation.inside_rise
    if not many(extra) and extra != extra:
        logic = [
            f"rail.{name}.logic_current" for name in situation.board.rail if lacks_logic_current(situation.board, name)
        ]
        return Fact(math.nan, "", (*logic, "the heat of every part in the enclosure"))
    source = "surroundings.ambient, hottest"
    if many(extra) or extra:
        source += f", and {show(extra, 'K')} inside the enclosure"
    return Fact(outside + extra, source, bounded=situation.inside.bounded)


Made = TypeVar("Made")


class once_property(Generic[Made]):  # noqa: N801  (used as a decorator, like property)
    """A property of a place that is made once, and of which the situation knows what it rests on."""

    def __init__(self, make: Callable[[Any], Made]) -> None:
        self.make, self.__doc__ = make, make.__doc__

    def __get__(self, place: "PlaceFacts", owner: object = None) -> Made:
        made: Made = place.situation.once((place.ref, self.make.__name__), lambda: self.make(place))
        return made


class PlaceFacts(Mapping[str, Fact]):
    """The facts of one place of the board, by name; what every role has is here."""

    def __init__(self, situation: "Situation", ref: str, role: Role, place: Any) -> None:
        self.situation, self.ref, self.role, self.place = situation, ref, role, place
        self.board, self.policy = situation.board, situation.policy

    def __getitem__(self, name: str) -> Fact:
        if name not in self.role.facts:
            raise KeyError(name)
        made: Fact = self.situation.once((self.ref, "fact", name), lambda: self._make(name))
        return made

    def __contains__(self, name: object) -> bool:  # without making it, as the way of a mapping would
        return name in self.role.facts

    def __iter__(self) -> Iterator[str]:
        return iter(self.role.facts)

    def __len__(self) -> int:
        return len(self.role.facts)

    def _make(self, name: str) -> Fact:
        if name.startswith("k_"):
            return self._policy_value(name[2:])
        if name.startswith("assumed_"):
            return self._assumption(name[8:])
        made: Fact = getattr(self, name)()
        return made

    def _policy_value(self, name: str) -> Fact:
        value, source = self.policy.value(name), self.policy.source(name)
        own = getattr(self.place, "use_factor", None)
        share = VALUES[name].unit == "" and VALUES[name].high <= 1 and name not in ("tight", "pole_share")
        if share and own is not None and own < value:
            return Fact(own, f"{self.ref}.use_factor")
        return Fact(value, source)

    def _assumption(self, name: str) -> Fact:
        value = self.policy.assumption(name)
        source = self.policy.assumed_sources.get(name, "")
        if value != value:
            return Fact(value, f"policy {self.policy.name} assumes none", (f"{name} (the policy assumes none)",))
        return Fact(value, source, (), (f"{name} = {value:g} ({source})",))

    def where(self, key: str) -> str:
        """How a key of this place is written in an explanation."""
        return f"{self.ref}.{key}"

    # ---- what every role has

    def t25(self) -> Fact:
        return Fact(298.15, "reference of datasheets")

    def ambient_max(self) -> Fact:
        return hottest_air(self.situation)

    def ambient_min(self) -> Fact:
        return Fact(self.board.surroundings.ambient.min, "surroundings.ambient, coldest")

    def theta_mounted(self) -> Fact:
        value = getattr(self.place, "theta_ja", None)
        missing = (f"theta_ja of {self.ref} as mounted",)
        return Fact(math.nan, "", missing) if value is None else Fact(value, self.where("theta_ja"))

    def copper_area(self) -> Fact:
        value = getattr(self.place, "copper_area", None)
        return Fact(0.0, "no copper area stated") if value is None else Fact(value, self.where("copper_area"))

    def tj_ceiling(self) -> Fact:
        own, policy = getattr(self.place, "tj_limit", None), self.policy.value("tj_ceiling")
        if own is not None and own < policy:
            return Fact(own, self.where("tj_limit"))
        return Fact(policy, self.policy.source("tj_ceiling"))

    def footprint(self) -> Fact:
        names = getattr(self.place, "footprint", [])
        if names:
            return Fact(frozenset(map(canonical, names)), self.where("footprint"))
        drawn = self.situation.drawn.get(self.ref)
        package = drawn.word("package") if drawn is not None else ""
        return stated(frozenset({canonical(package)}) if package else None, "package of the part as drawn")

    def pins(self) -> Fact:
        order = getattr(self.place, "pin_order", "")
        if order:
            return Fact(frozenset({pins(order)}), self.where("pin_order"))
        drawn = self.situation.drawn.get(self.ref)
        order = drawn.word("pin_order") if drawn is not None else ""
        return stated(frozenset({pins(order)}) if order else None, "pin order of the part as drawn")
