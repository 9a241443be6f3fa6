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
from partcheck.readings.explain import open_views
from partcheck.readings.trace import Traced, tell
from partcheck.requirement import Fact
from partcheck.roles import ROLES
from partcheck.situation.facts import PlaceFacts, combine
from partcheck.situation.loads import LoadState, load_state


@dataclass(frozen=True)
class RailState:
    """A rail at the board: least, typical and largest voltage, V; ``least`` with every current drawn."""

    name: str
    largest: Fact
    typical: Fact
    unloaded_least: Fact
    situation: "Situation"

    @cached_property
    def least(self) -> Fact:
        """Lowest voltage at the board, with every other current in its feed."""
        return self.situation.rail_under_load(self.name)


class Situation:
    """What every place of a board faces."""

    def __init__(self, board: Board, fitted: Mapping[str, Part | None], policy: Policy, inside_rise: float = 0.0) -> None:
        self.board, self.fitted, self.policy, self.inside_rise = board, dict(fitted), policy, inside_rise
        self._rails: dict[str, RailState] = {}
        self._loads: dict[str, LoadState] = {}
        self._facts: dict[str, PlaceFacts] = {}
        self._views: dict[str, tuple[Any, Any]] = {}
        self._quantities: dict[tuple[str, str], Fact] = {}

    def replaced(self, ref: str, part: Part | None) -> "Situation":
        """The same board with another part in one place."""
        return Situation(self.board, {**self.fitted, ref: part}, self.policy, self.inside_rise)

    # ---- facts and quantities of a place

    def facts(self, ref: str) -> PlaceFacts:
        """The facts of a place, by its reference."""
        if ref not in self._facts:
            from partcheck.situation.places import place_facts  # the classes there need this one

            self._facts[ref] = place_facts(self, ref)
        return self._facts[ref]

    def views(self, ref: str) -> tuple[Any, Any]:
        """The traced views of the fitted part in its place."""
        if ref not in self._views:
            facts = self.facts(ref)
            self._views[ref] = open_views(facts.role, self.fitted.get(ref), facts)
        return self._views[ref]

    def quantity(self, ref: str, name: str) -> Fact:
        """A quantity of the part fitted at ``ref``, as a fact for another place."""
        key = (ref, name)
        if key not in self._quantities:
            part = self.fitted.get(ref)
            p, _ = self.views(ref)
            made = getattr(p, name)
            value = float(made.value) if isinstance(made, Traced) else float(made)
            story = tell(made)
            missing = tuple(f"{ref}: {item}" for item in story.missing) if value != value else ()
            if value != value and not missing:
                missing = (f"{ref}: {name}",)
            label = f"{ref}.{name}" + (f" of {part.part_number}" if part is not None else " (no part)")
            self._quantities[key] = Fact(value, label, missing, story.assumed)
        return self._quantities[key]

    # ---- rails

    def rail(self, name: str) -> RailState:
        """The state of a rail at the board."""
        if name not in self._rails:
            rail = self.board.rail[name]
            if rail.regulator is not None:
                outs = [self.quantity(rail.regulator, q) for q in ("v_out_low", "v_out_typ", "v_out_high")]
                self._rails[name] = RailState(name, outs[2], outs[1], outs[0], self)
            else:
                assert rail.voltage is not None
                low, typ, high = (
                    Fact(value, f"rail.{name}.voltage, {end}")
                    for value, end in zip(rail.voltage, ("least", "typical", "largest"), strict=True)
                )
                self._rails[name] = RailState(name, high, typ, low, self)
        return self._rails[name]

    def feed_resistance(self, name: str) -> Fact:
        """Largest resistance between source and board: the source's own and the hot feed's."""
        from partcheck.situation.links import cable_resistance

        rail = self.board.rail[name]
        ohms = rail.source_resistance.max if rail.source_resistance is not None else 0.0
        if rail.feed_resistance is not None:
            ohms += rail.feed_resistance.max
        if rail.feed is not None:
            ohms += cable_resistance(self, rail.feed)
        return Fact(ohms, f"rail.{name}: source and feed, hot")

    def rail_under_load(self, name: str) -> Fact:
        """Lowest voltage at the board: source at its least, less feed and protection drop at the largest current."""
        state, rail = self.rail(name), self.board.rail[name]
        if rail.regulator is not None:
            return state.unloaded_least
        ohms = self.feed_resistance(name)
        drop = rail.protection_drop.max if rail.protection_drop is not None else 0.0
        if ohms.value == 0:
            return combine(state.unloaded_least.value - drop, f"{state.unloaded_least.source}, less protection_drop")
        current = self.rail_current(name)
        return combine(
            state.unloaded_least.value - drop - ohms.value * current.value,
            f"{state.unloaded_least.source}, less the drop of {current.source}",
            state.unloaded_least,
            current,
        )

    # ---- loads

    def load(self, name: str) -> LoadState:
        """The state of a load or of an indicator that a switch pulls."""
        if name not in self._loads:
            self._loads[name] = load_state(self, name)
        return self._loads[name]

    def loads_on(self, rail: str) -> list[str]:
        """Loads, and switched or plain indicators, that this rail feeds."""
        names = [name for name, load in self.board.load.items() if load.rail == rail]
        return names + [ref for ref, led in self.board.of_type(Indicator) if led.rail == rail]

    def rail_current(self, name: str) -> Fact:
        """Largest current out of a rail, inrush and stall counted, of what may be on at once."""
        from partcheck.situation.sums import rail_current

        return rail_current(self, name)


def load_model(situation: Situation, name: str) -> AnyLoad | None:
    """The board's statement of a load; None for an indicator."""
    return situation.board.load.get(name)


__all__ = ["ROLES", "RailState", "Situation", "load_model", "math"]
