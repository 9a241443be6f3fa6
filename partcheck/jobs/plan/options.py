"""What may be changed at one place: another part, another resistor, a clamp drawn on the other side."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from partcheck.board import Board
from partcheck.board.roles import Clamp
from partcheck.jobs.judge.place import tight
from partcheck.jobs.screen.parts import Plain, facts_by_value
from partcheck.jobs.screen.reads import facts_read
from partcheck.jobs.screen.resistors import ResistorChange, other_values, with_resistor
from partcheck.parts import Part
from partcheck.parts.packages import canonical
from partcheck.ranking import ENOUGH
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Fact, Role, Verdict, views
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from partcheck.situation.memory import SIDE

ADDS = {"indicator": "current_max", "npn-sink": "base_current_max", "regulator": "iq_largest"}
"""The current with which a place takes part in rails, returns and chips."""
LAND_PATTERN = ("package", "pin-order", "pitch")


@dataclass(frozen=True, eq=False)
class Option:
    """A change at one place; ``part`` is None where the fitted one stays."""

    ref: str
    part: Part | None
    resistor: ResistorChange | None
    moved: bool
    pattern: str
    """The land-pattern requirements that a new part does not fit, joined; empty where it drops in."""
    headroom: float
    amount: float = math.nan
    """What it adds to the sums of the board (:data:`ADDS`), A."""

    @property
    def patterns(self) -> int:
        """1 where the land pattern or the pin order changes."""
        return 1 if self.pattern else 0

    @cached_property
    def size(self) -> int:
        """How many changes it is: part, resistor, land pattern, side of the clamp."""
        return (self.part is not None) + (self.resistor is not None) + self.moved + self.patterns

    @property
    def price(self) -> float:
        """What the new part costs; without bound where that is not known."""
        if self.part is None:
            return 0.0
        price = self.part.number("price")
        return price if price == price else math.inf

    @cached_property
    def key(self) -> tuple[float | str, ...]:
        """Sorts the smallest change first, then the cheapest, then the one with most headroom at its place."""
        number = self.part.part_number if self.part is not None else ""
        room = round(max(min(self.headroom, ENOUGH), -10.0), 2) if self.headroom == self.headroom else 0.0
        near = abs(math.log(self.resistor.value / self.resistor.before.typ)) if self.resistor is not None else 0.0
        return (self.size, self.patterns, self.price, -room, number, near)

    def words(self) -> list[str]:
        """What changes, in words."""
        made = []
        if self.part is not None:
            made.append(self.part.name)
        if self.moved:
            breakdown = self.part is not None and self.part.word("construction") in (
                "zener",
                "tvs",
                "tvs-bidirectional",
            )
            made.append("now across the switch" if breakdown else "now across the load")
        if self.resistor is not None:
            made.append(str(self.resistor))
        if "package" in self.pattern and self.part is not None:
            made.append(f"land pattern for {canonical(self.part.word('package'))}")
        elif "pin-order" in self.pattern and self.part is not None:
            made.append(f"pin order {self.part.word('pin_order')}")
        elif self.pattern:
            made.append("land pattern")
        return made


@dataclass(frozen=True)
class Seen:
    """An option in the surroundings of one situation: each requirement's verdict, and what that rests on."""

    verdicts: Mapping[str, int]
    rests: Mapping[str, frozenset[str]]

    @property
    def bad(self) -> list[str]:
        """The requirements that do not meet."""
        return [id_ for id_, verdict in self.verdicts.items() if verdict < Verdict.TIGHT]


def usable(part: Part) -> bool:
    """False for a part that is obsolete or out of stock and not on hand."""
    gone = part.word("status") in ("obsolete", "out-of-stock")
    return not gone or part.number("quantity") > 0


def can_move(board: Board, ref: str) -> bool:
    """True for a clamp at the board that stands alone: it may sit across the load or across the switch."""
    role = board.role[ref]
    return isinstance(role, Clamp) and role.in_series_with is None and role.position == "board"


def moved(board: Board, ref: str) -> Board:
    """The board with a clamp on the other side: a diode across the load, a breaking-down one across the switch."""
    role = board.role[ref]
    across = "load" if getattr(role, "across", "") == "switch" else "switch"
    conducts = "forward" if across == "load" else "breakdown"
    other = role.model_copy(update={"across": across, "conducts": conducts})
    return board.model_copy(update={"role": {**board.role, ref: other}})


def board_with(board: Board, option: Option) -> Board:
    """The board with an option's resistor and side; its part is not in the model."""
    if option.moved:
        board = moved(board, option.ref)
    return with_resistor(board, option.ref, option.resistor) if option.resistor is not None else board


def with_option(situation: Situation, option: Option) -> Situation:
    """The board with an option taken."""
    board = board_with(situation.board, option)
    part = option.part if option.part is not None else situation.fitted.get(option.ref)
    if board.surroundings.enclosure_theta:
        fresh = Situation(board, {**situation.fitted, option.ref: part}, situation.policy)
        fresh.drawn = situation.drawn
        return settle(fresh)
    return situation.replaced(option.ref, part, board, here_only=True)


# ---- what a requirement rests on


def rests_on(situation: Situation, ref: str, role: Role, facts: Mapping[str, Fact], id_: str) -> frozenset[str]:
    """The places whose parts, besides the place's own, a requirement rests on."""
    found: set[str] = set()
    for name in facts_read(role, facts, id_):
        if name.startswith(("k_", "assumed_")):
            continue
        if name == "ambient_max" and situation.board.surroundings.enclosure_theta:
            found |= set(situation.board.role)
        found |= situation.fact_rests_on(ref, name, facts)
    return resting(situation.board, found)


def resting(board: Board, found: Iterable[str]) -> frozenset[str]:
    """The places among what a fact rests on; the side of a clamp counts where it may be moved."""
    made = set()
    for name in found:
        if not name.startswith(SIDE):
            made.add(name)
        elif can_move(board, name.removeprefix(SIDE)):
            made.add(name.removeprefix(SIDE))
    return frozenset(made)


# ---- the options of a place


@dataclass(frozen=True)
class PlaceOptions:
    """A place and what could be put there: its options, and what became of each by itself."""

    options: tuple[Option, ...]
    seen: tuple[Seen, ...]
    tried: int
    """How many parts were compared."""
    nearest: tuple[Option, ...] = ()
    """Where no option is left: those that fail by the fewest requirements."""


def place_options(parts: Sequence[Part], situation: Situation, ref: str) -> PlaceOptions:
    """The options at a place that no requirement excludes which rests on that place alone."""
    own = situation.fitted.get(ref)
    others = [part for part in parts if usable(part) and (own is None or part.key != own.key)]
    made: list[Option] = []
    seen: list[Seen] = []
    misses: list[tuple[int, int, Option]] = []
    for move in (False, True) if can_move(situation.board, ref) else (False,):
        plain = [Option(ref, part, None, move, "", math.nan) for part in others]
        stays = [Option(ref, None, None, move, "", math.nan)] if own is not None else []
        rows = judge_options(situation, [*stays, *plain])
        role = situation.facts(ref).role
        values = list(other_values(situation.board, ref))
        varying = _varying(situation, ref, values) if values else frozenset()
        more: list[Option] = []
        for option, one in rows:
            sure = {id_ for id_ in one.bad if not one.rests[id_]}
            if option.part is not None or option.moved:
                if sure:
                    fails = sum(1 for id_ in one.bad if one.verdicts[id_] == Verdict.FAILS)
                    misses.append((fails, len(one.bad), option))
                else:
                    made.append(option)
                    seen.append(one)
            facts = situation.facts(ref)
            if all(facts_read(role, facts, id_) & varying for id_ in sure):
                more += [replace(option, resistor=value) for value in values]
        for option, one in judge_options(situation, more):
            if all(one.rests[id_] for id_ in one.bad):
                made.append(option)
                seen.append(one)
    misses.sort(key=lambda miss: (miss[0], miss[1], miss[2].key))
    return PlaceOptions(tuple(made), tuple(seen), len(others), tuple(option for _, _, option in misses[:6]))


def _varying(situation: Situation, ref: str, values: Sequence[ResistorChange]) -> frozenset[str]:
    """The facts of a place that another resistor changes."""
    facts, drawn = facts_by_value(situation, ref, values, 1), situation.facts(ref)
    return frozenset(n for n, value in facts.items() if isinstance(value, np.ndarray) or value != drawn[n].value)


def judge_options(situation: Situation, options: Sequence[Option]) -> list[tuple[Option, Seen]]:
    """Options of one place judged there by themselves, with their land pattern, headroom and current filled in."""
    made: dict[int, tuple[Option, Seen]] = {}
    for move in (False, True):
        for drawn in (True, False):
            block = [i for i, o in enumerate(options) if o.moved is move and (o.resistor is None) is drawn]
            if block:
                made |= dict(zip(block, _block(situation, [options[i] for i in block], move, drawn), strict=True))
    return [made[i] for i in range(len(options))]


def _block(situation: Situation, options: Sequence[Option], move: bool, drawn: bool) -> list[tuple[Option, Seen]]:
    ref = options[0].ref
    own = situation.fitted.get(ref)
    here = situation.replaced(ref, own, moved(situation.board, ref), here_only=True) if move else situation
    facts = here.facts(ref)
    role = facts.role
    chosen = [o.part if o.part is not None else own for o in options]
    columns = columns_of(role.kind, [part for part in chosen if part is not None])
    numbers: Mapping[str, Any] = Plain(facts)
    if not drawn:
        values = list(dict.fromkeys(o.resistor for o in options if o.resistor is not None))
        which = np.array([values.index(o.resistor) for o in options if o.resistor is not None])
        by_value = facts_by_value(here, ref, values, 1)
        numbers = {name: v[which] if isinstance(v, np.ndarray) and v.shape else v for name, v in by_value.items()}
    judged = judge_columns(role, columns, numbers, len(options), tight(here))
    amounts = _amounts(role, columns, numbers, len(options))
    rooms = _least_headroom(role, judged)
    grounds = {id_: rests_on(here, ref, role, facts, id_) for id_ in judged.ids}
    changes = {id_ for id_ in judged.ids if role.requirements[id_].change}
    made = []
    for row, (option, verdicts) in enumerate(zip(options, judged.verdicts.T.tolist(), strict=True)):
        found = dict(zip(judged.ids, verdicts, strict=True))
        misfit = [id_ for id_ in LAND_PATTERN if id_ in changes and found.get(id_) == Verdict.FAILS]
        for id_ in misfit:
            found[id_] = int(Verdict.MEETS)
        pattern = " ".join(misfit) if option.part is not None else ""
        full = replace(option, pattern=pattern, headroom=float(rooms[row]), amount=amounts[row])
        made.append((full, Seen(found, grounds)))
    return made


def _amounts(role: Role, columns: Mapping[str, Any], facts: Mapping[str, Any], count: int) -> list[float]:
    name = ADDS.get(role.name)
    if name is None:
        return [math.nan] * count

    def number(fact: str) -> Any:
        value = facts.get(fact)
        return np.float64(math.nan) if value is None else np.float64(value) if isinstance(value, float) else value

    with np.errstate(all="ignore"):
        p, _ = views(role, lambda column: columns[column], number)
        made = np.broadcast_to(np.asarray(getattr(p, name), dtype=float), (count,))
    return [float(value) for value in made]


def _least_headroom(role: Role, judged: Any) -> Any:
    keep = [k for k, id_ in enumerate(judged.ids) if not role.requirements[id_].change]
    rooms = judged.headrooms[keep]
    return np.where(np.isnan(rooms), np.inf, rooms).min(axis=0, initial=math.inf)
