"""A board with its fitted parts and a policy: what each place faces, and what sums where.

Facts and cross-role numbers are made when first asked for. The direction keeps this free of circles: the
largest voltages depend on no current, the largest currents on the largest voltages, the least voltages on the
largest currents.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from partcheck.board import Board
from partcheck.board.loads import AnyLoad
from partcheck.board.roles import Indicator
from partcheck.parts.part import Part
from partcheck.policy import Policy
from partcheck.readings.explain import Finding, asked, judge, open_views
from partcheck.readings.story import tell
from partcheck.readings.trace import Traced
from partcheck.requirement import Fact, Requirement, Role
from partcheck.roles import ROLES
from partcheck.situation import current_path, sums
from partcheck.situation.bounds import or_bound
from partcheck.situation.facts import PlaceFacts
from partcheck.situation.loads import LoadState, load_state
from partcheck.situation.many import highest, many, unknown
from partcheck.situation.memory import BESIDE, FINDING, LISTS, SIDE, VIEW, Key, Memory
from partcheck.situation.places import link_facts, place_facts
from partcheck.situation.stores import rail_surge


@dataclass(frozen=True)
class RailState:
    """A rail at the board: least, typical and largest voltage, V; ``least`` with every current drawn."""

    name: str
    largest: Fact
    typical: Fact
    unloaded_least: Fact
    situation: "Situation"

    @property
    def least(self) -> Fact:
        """Lowest voltage at the board, with every other current in its feed."""
        made: Fact = self.situation.once(("least", self.name), lambda: self.situation.rail_under_load(self.name))
        return made


NO_PART = "no part with known values is fitted"
"""What is missing of a place whose part is not known."""


class Situation(Memory):
    """What every place of a board faces.

    ``fitted`` is what stands in each place; ``drawn`` what the board file has there, which tells the land pattern
    where a place states none.
    """

    def __init__(self, board: Board, fitted: Mapping[str, Part | None], policy: Policy, inside_rise: Any = 0.0) -> None:
        super().__init__()
        self.board, self.fitted, self.policy = board, dict(fitted), policy
        self.inside: Fact = inside_rise if isinstance(inside_rise, Fact) else Fact(inside_rise)
        """By how much the air inside is hotter than outside, K, and what would have to be known of it exactly."""
        self.drawn: Mapping[str, Part | None] = self.fitted
        self._facts: dict[str, PlaceFacts] = {}
        self._views: dict[str, tuple[Any, Any]] = {}
        self.is_unbroken = False
        """True where every chopped coil counts with its direct current."""

    @property
    def inside_rise(self) -> Any:
        """By how much the air inside is hotter than outside, K."""
        return self.inside.value

    @cached_property
    def unbroken(self) -> "Situation":
        """The same board in the same air with every chopped coil counted as if it were on without a break."""
        made = self.again(self.inside)
        made.is_unbroken = True
        return made

    def replaced(self, ref: str, part: Part | None, board: Board | None = None, here_only: bool = False) -> "Situation":
        """The same board, or one with a changed value, with another part in one place.

        ``here_only`` says that ``board`` differs in the entry of that place alone: what does not rest on it stands.
        """
        made = Situation(board or self.board, {**self.fitted, ref: part}, self.policy, self.inside)
        made.drawn = self.drawn
        if board is None or here_only:  # facts that do not rest on the part stand
            made._bits = self._bits
            gone = self.any_of((ref, SIDE + ref) if board is None else (ref, SIDE + ref, BESIDE + ref))
            made._once = {
                key: held
                for key, held in self._once.items()
                if (
                    not held[1] & gone
                    and key[0] != ref
                    and (isinstance(held[0], Fact) or key[1] in JUDGED or _is_list(key, held[0]))
                )
                or (key[1] == "board-only" and not (here_only and key[0] == ref))
            }
        return made

    def again(self, inside_rise: Any) -> "Situation":
        """The same board with other air inside, everything made anew."""
        made = type(self)(self.board, self.fitted, self.policy, inside_rise)
        made.drawn = self.drawn
        return made

    def apart(self, count: int = 1) -> list["Situation"]:
        """The same situation so many times, to make the facts of one place anew while the rest stays as it is made."""
        rest = {key: value for key, value in self._once.items() if "fact" not in key}
        several = [Situation(self.board, self.fitted, self.policy, self.inside) for _ in range(count)]
        for made in several:
            made.drawn, made._bits = self.drawn, self._bits
            made._facts, made._views, made._once = dict(self._facts), dict(self._views), dict(rest)
        return several

    # ---- facts and quantities of a place

    def facts(self, ref: str) -> PlaceFacts:
        """The facts of a place, by its reference."""
        if ref not in self._facts:
            self._facts[ref] = place_facts(self, ref)
        return self._facts[ref]

    def views(self, ref: str) -> tuple[Any, Any]:
        """The traced views of the fitted part in its place."""
        if ref not in self._views:
            facts = self.facts(ref)
            self._views[ref] = open_views(
                facts.role,
                self.fitted.get(ref),
                facts,
                lambda name, make: self.once((ref, VIEW, name), make),
            )
        return self._views[ref]

    def own_quantity(self, ref: str, name: str) -> Fact:
        """A quantity of the part fitted at ``ref`` as its values tell it; missing where they do not."""
        made: Fact = self.once((ref, name, "own"), lambda: self._quantity(ref, name))
        self.reads(ref)
        return made

    def link_views(self, name: str, role: Role, facts: Mapping[str, Fact]) -> tuple[Any, Any]:
        """The traced views of what no part fills."""
        return open_views(role, None, facts, lambda view, make: self.once((name, VIEW, view), make))

    def finding(
        self, ref: str, requirement: Requirement, facts: Mapping[str, Fact], opened: tuple[Any, Any]
    ) -> Finding | None:
        """What became of one requirement of a place or link, with its views; None where it is not asked."""
        tight = self.policy.value("tight")

        def find() -> Finding | None:
            return judge(requirement, *opened, tight) if asked(requirement, facts) else None

        made: Finding | None = self.once((ref, FINDING, requirement.id), find)
        return made

    def finding_rests_on(self, ref: str, requirement: Requirement, used: str, beside: bool) -> bool:
        """True where a requirement, once judged, rests on the part at ``used``, or with ``beside`` on a resistor."""
        kept = self._once.get((ref, FINDING, requirement.id))
        return kept is None or bool(kept[1] & self.any_of((used, BESIDE + used) if beside else (used,)))

    def quantity(self, ref: str, name: str) -> Fact:
        """The same as a fact for another place: where it is missing, what the circuit alone bounds it by."""
        made: Fact = self.once((ref, name), lambda: or_bound(self, ref, name, self._quantity(ref, name)))
        self.reads(ref)
        return made

    def _quantity(self, ref: str, name: str) -> Fact:
        part = self.fitted.get(ref)
        p, _ = self.views(ref)
        made = getattr(p, name)
        value = float(made.value) if isinstance(made, Traced) else float(made)
        story = tell(made)
        missing = tuple(f"{ref}: {item}" for item in story.missing) if value != value else ()
        if part is None:
            missing = (f"{ref}: {NO_PART}",)
        elif value != value and not missing:
            missing = (f"{ref}: {name}",)
        label = f"{ref}.{name}" + (f" of {part.part_number}" if part is not None else " (no part)")
        return Fact(value, label, missing, story.assumed, story.bounded)

    def links(self) -> list[tuple[str, Role, PlaceFacts]]:
        """What no catalog part fills but is judged all the same: name (``rail V12``), role and facts of each."""
        return list(link_facts(self))

    # ---- rails

    def rail(self, name: str) -> RailState:
        """The state of a rail at the board."""
        made: RailState = self.once(("rail", name), lambda: self._rail(name))
        return made

    def _rail(self, name: str) -> RailState:
        rail = self.board.rail[name]
        if rail.regulator is not None:
            outs = [self.quantity(rail.regulator, q) for q in ("v_out_low", "v_out_nominal", "v_out_high")]
            return RailState(name, outs[2], outs[1], outs[0], self)
        assert rail.voltage is not None
        low, typ, high = (
            Fact(value, f"rail.{name}.voltage, {end}")
            for value, end in zip(rail.voltage, ("least", "typical", "largest"), strict=True)
        )
        return RailState(name, high, typ, low, self)

    def rail_peak(self, name: str) -> Fact:
        """Highest voltage of a rail at any moment: a transient counted, and what its feed adds when loads go off."""
        made: Fact = self.once(("rail peak", name), lambda: self._rail_peak(name))
        return made

    def _rail_peak(self, name: str) -> Fact:
        largest, transient, surge = self.rail(name).largest, self.board.rail[name].transient, rail_surge(self, name)
        ends = [largest]
        if transient is not None and (many(largest.value) or not transient <= largest.value):
            ends.append(Fact(transient, f"rail.{name}.transient", largest.missing, largest.assumed, largest.bounded))
        if surge.value is not None and (transient is None or not unknown(surge.value)):
            ends.append(surge)  # beside a stated transient what is unknown is reported at the rail itself
        return highest(reversed(ends))

    def feed_resistance(self, name: str) -> Fact:
        """Largest resistance between source and board, both ways: the source's own, the hot feed's, contacts'."""
        return current_path.feed_resistance(self, name)

    def rail_under_load(self, name: str) -> Fact:
        """Lowest voltage at the board: source at its least, less every drop of the largest current on the way."""
        return current_path.rail_least(self, name)

    # ---- loads

    def load(self, name: str) -> LoadState:
        """The state of a load or of an indicator that a switch pulls."""
        made: LoadState = self.once(("load", name), lambda: load_state(self, name))
        return made

    def loads_on(self, rail: str) -> list[str]:
        """Loads, and switched or plain indicators, that this rail feeds."""
        names = [name for name, load in self.board.load.items() if load.rail == rail]
        return names + [ref for ref, led in self.board.of_type(Indicator) if led.rail == rail]

    def rail_current(self, name: str) -> Fact:
        """Largest current out of a rail, inrush and stall counted, of what may be on at once."""
        return sums.rail_current(self, name)


JUDGED = frozenset({FINDING, VIEW})


def _is_list(key: Key, value: Any) -> bool:
    """True for the links of a path and the currents of a rail: they know facts alone, and no situation."""
    return key[0] in LISTS and isinstance(value, tuple | list)


def load_model(situation: Situation, name: str) -> AnyLoad | None:
    """The board's statement of a load; None for an indicator."""
    return situation.board.load.get(name)


__all__ = ["ROLES", "RailState", "Situation", "load_model", "math"]
