"""A board with its fitted parts and a policy: what each place faces, and what sums where.

Facts and cross-role numbers are made when first asked for. The direction keeps this free of circles: the
largest voltages depend on no current, the largest currents on the largest voltages, the least voltages on the
largest currents.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from partcheck.board import Board
from partcheck.board.loads import AnyLoad
from partcheck.board.roles import Indicator
from partcheck.parts.part import Part
from partcheck.policy import Policy
from partcheck.readings.explain import Finding, asked, judge, open_views
from partcheck.readings.story import NOTHING, rests_on_stated, tell
from partcheck.readings.trace import Traced
from partcheck.requirement import Fact, Requirement, Role
from partcheck.roles import ROLES
from partcheck.situation import current_path, sums
from partcheck.situation.bounds import or_bound
from partcheck.situation.facts import PlaceFacts
from partcheck.situation.loads import LoadState, load_state
from partcheck.situation.many import highest, many, unknown
from partcheck.situation.memory import BESIDE, FINDING, LISTS, SIDE, VIEW, Held, Key, Memory, Occupied
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


BOARD_TABLES = ("rail.", "chip.", "drive.", "load.", "track.", "ground.", "surroundings.")
"""What a name that is missing begins with where the board file states it, whatever place asked."""
NO_PART = "no part with known values is fitted"
"""What is missing of a place whose part is not known."""


class Situation(Memory):
    """What every place of a board faces.

    ``fitted`` is what stands in each place; ``drawn`` what the board file has there, which tells the land pattern
    where a place states none. ``noting`` is for a board of which many parts will be exchanged: what each value is made
    of is noted then, which costs a fifth of the first answer and saves a third to four fifths of later ones.
    """

    def __init__(
        self,
        board: Board,
        fitted: Mapping[str, Part | None],
        policy: Policy,
        inside_rise: Any = 0.0,
        noting: bool = False,
    ) -> None:
        super().__init__(noting)
        self.board, self.fitted, self.policy = board, dict(fitted), policy
        self.inside: Fact = inside_rise if isinstance(inside_rise, Fact) else Fact(inside_rise)
        """By how much the air inside is hotter than outside, K, and what would have to be known of it exactly."""
        self.drawn: Mapping[str, Part | None] = self.fitted
        self._facts: dict[str, PlaceFacts] = {}
        self._views: dict[str, tuple[Any, Any]] = {}
        self._links: dict[str, PlaceFacts] | None = None
        self._occupied_here: dict[str, Occupied] = {}
        self._all_occupied: dict[tuple[str, int, str], Occupied] = {}
        """Places as they are here, and as they are on any board that was made of the same one."""
        self._exchanged: str | None = None
        """The place with another part or resistor than on the board before."""
        self._beside_too, self._gone = False, 0
        """Whether its resistor is another one, and what of the board before rests on the place."""
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
        made = Situation(board or self.board, {**self.fitted, ref: part}, self.policy, self.inside, self.noting)
        made.drawn = self.drawn
        if board is None or here_only:  # facts that do not rest on the part stand
            made._bits, made._ways, made._before = self._bits, self._ways, self
            made._exchanged, made._beside_too = ref, board is not None
            made._all_occupied = self._all_occupied
            made._occupied_here = {name: spot for name, spot in self._occupied_here.items() if not name.endswith(ref)}
            made._gone = self.any_of((ref, SIDE + ref) if board is None else (ref, SIDE + ref, BESIDE + ref))
        return made

    # ---- what the memory asks

    def _stands(self, key: Key, held: Held) -> bool:
        if self._exchanged is None:  # the facts of one place are made anew, all else stands
            return "fact" not in key
        if key[1] == "board-only":
            return not (self._beside_too and key[0] == self._exchanged)
        return not held.used & self._gone and key[0] != self._exchanged and self._keeps(key, held.value)

    def _keeps(self, key: Key, value: Any) -> bool:
        return isinstance(value, Fact) or (len(key) == 3 and key[1] in JUDGED) or _is_list(key, value)

    def _named(self, key: Key) -> bool:
        if len(key) == 3:  # what a formula keeps for one number (``kept``) has a blank in its name
            return key[1] in ("fact", FINDING) or key[2] == "own" or (key[1] == VIEW and " " not in key[2])
        if len(key) != 2:
            return False
        place = self.board.role.get(key[0])
        return key[0] in ("least", "rail peak") if place is None else key[1] in ROLES[place.role].quantities

    def _ask(self, key: Key) -> None:
        name, what = key[0], key[1]
        if len(key) == 2 and name not in self.board.role:
            self.rail_peak(what) if name == "rail peak" else self.rail(what).least
        elif len(key) == 2:
            self.quantity(name, what)
        elif key[2] == "own":
            self.own_quantity(name, what)
        elif what == "fact":
            self._facts_of(name)[key[2]]
        else:
            facts = self._facts_of(name)
            p, n = self.views(name) if name in self.board.role else self.link_views(name, facts.role, facts)
            getattr(p if key[2] in facts.role.quantities else n, key[2])

    def _facts_of(self, name: str) -> PlaceFacts:
        """The facts of a place or link."""
        if name in self.board.role:
            return self.facts(name)
        if self._links is None:
            self._links = {link: facts for link, _, facts in self.links()}
        return self._links[name]

    def _occupied(self, name: str) -> Occupied:
        spot = self._occupied_here.get(name)
        if spot is None:
            ref = name.removeprefix(SIDE).removeprefix(BESIDE)
            part, entry = self.fitted.get(ref) if ref == name else None, self.board.role.get(ref)
            # the part is kept with it, so that no other one comes to have its id
            spot = self._occupied_here[name] = self._all_occupied.setdefault(
                (ref, id(part), repr(entry)), Occupied(part, entry)
            )
        return spot

    def _own(self, key: Key) -> str:
        place = self.board.role.get(key[0])
        if place is None or (key[1] == VIEW and key[2] not in ROLES[place.role].quantities and " " not in key[2]):
            return ""  # what follows from facts alone reads these by name
        return key[0]

    def again(self, inside_rise: Any) -> "Situation":
        """The same board with other air inside, everything made anew."""
        made = type(self)(self.board, self.fitted, self.policy, inside_rise, self.noting)
        made.drawn = self.drawn
        return made

    def apart(self, count: int = 1) -> list["Situation"]:
        """The same situation so many times, to make the facts of one place anew while the rest stays as it is made."""
        several = [Situation(self.board, self.fitted, self.policy, self.inside) for _ in range(count)]
        for made in several:
            made.drawn, made._bits, made._before, made._ways = self.drawn, self._bits, self, None
            made._facts, made._views = dict(self._facts), dict(self._views)
        return several

    def as_drawn(self, ref: str) -> bool:
        """True where the place has the part that the board file has there."""
        return self.fitted.get(ref) is not None and self.fitted.get(ref) is self.drawn.get(ref)

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
        made: Fact = self.once((ref, name, "own"), lambda: self._read_here(ref, lambda: self._quantity(ref, name)))
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
        kept = self._known((ref, FINDING, requirement.id))
        return kept is None or bool(kept.used & self.any_of((used, BESIDE + used) if beside else (used,)))

    def quantity(self, ref: str, name: str) -> Fact:
        """The same as a fact for another place: where it is missing, what the circuit alone bounds it by."""
        made: Fact = self.once(
            (ref, name), lambda: self._read_here(ref, lambda: or_bound(self, ref, name, self._quantity(ref, name)))
        )
        return made

    def _read_here(self, ref: str, make: Callable[[], Fact]) -> Fact:
        self.reads(ref)
        return make()

    def _quantity(self, ref: str, name: str) -> Fact:
        part = self.fitted.get(ref)
        p, _ = self.views(ref)
        made = getattr(p, name)
        value = float(made.value) if isinstance(made, Traced) else float(made)
        story = tell(made) if value != value or not rests_on_stated(made) else NOTHING
        missing = (
            tuple(item if item.startswith(BOARD_TABLES) else f"{ref}: {item}" for item in story.missing)
            if value != value
            else ()
        )
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
