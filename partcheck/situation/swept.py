"""A board under many circuit values at once: numbers of the board are arrays, one value per circuit tried.

The same facts and formulas as for one board; quantities and verdicts come from the column reading, with one part
and many circuits instead of many parts and one circuit. What does not depend on a varied value stays one number.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.board import Board
from partcheck.parts.part import Part
from partcheck.policy import Policy
from partcheck.readings.columns import Floats
from partcheck.readings.uses import facts_under
from partcheck.readings.verdicts import columns_of, judge_points, open_points
from partcheck.requirement import Fact, Role
from partcheck.situation.enclosure import settle
from partcheck.situation.situation import Situation

NO_PART: dict[str, Any] = {}
EVERYWHERE: dict[str, Collection[str]] = {}


@dataclass(frozen=True)
class Spot:
    """One place or link under every circuit: ids of the requirements that are asked, and what became of each.

    ``verdicts`` and ``headrooms`` have the shape (requirements, circuits).
    """

    ref: str
    role: Role
    part: Part | None
    ids: tuple[str, ...]
    verdicts: NDArray[np.int8]
    headrooms: Floats
    as_fitted: bool = False
    """True for the part that the board itself has in the place."""

    def counted(self) -> NDArray[np.int8]:
        """The verdicts with a failing footprint requirement left aside, but of the part as fitted."""
        made = self.verdicts.copy()
        for i, id_ in enumerate(self.ids):
            if self.role.requirements[id_].change and not self.as_fitted:
                made[i][made[i] == 0] = 3
        return made


class Swept(Situation):
    """A situation whose board holds arrays of ``count`` values."""

    def __init__(
        self, board: Board, fitted: Mapping[str, Part | None], policy: Policy, inside_rise: Any = 0.0, count: int = 1
    ) -> None:
        super().__init__(board, fitted, policy, inside_rise)
        self._ways = None  # every circuit at once has no other board to share with
        self.count = count
        self._columns: dict[int, Mapping[str, Any]] = {}
        self._opened: dict[str, tuple[Any, Any]] = {}

    def again(self, inside_rise: Any) -> "Swept":
        """The same board with other air inside, everything made anew."""
        made = Swept(self.board, self.fitted, self.policy, inside_rise, self.count)
        made.drawn, made._columns = self.drawn, self._columns
        return made

    def _part_columns(self, ref: str, role: Role) -> Mapping[str, Any]:
        if not role.kind:
            return NO_PART
        part = self.fitted.get(ref) or Part(role.kind, "", "", {})
        key = id(self.fitted.get(ref)) if self.fitted.get(ref) is not None else hash(role.kind)
        if key not in self._columns:
            self._columns[key] = columns_of(role.kind, [part])
        return self._columns[key]

    def points(self, ref: str, role: Role, facts: Mapping[str, Fact]) -> tuple[Any, Any]:
        """The column views of the fitted part in its place."""
        if ref not in self._opened:
            self._opened[ref] = open_points(role, self._part_columns(ref, role), facts)
        return self._opened[ref]

    def _quantity(self, ref: str, name: str) -> Fact:
        facts = self.facts(ref)
        p, _ = self.points(ref, facts.role, facts)
        with np.errstate(all="ignore"):
            value = np.asarray(getattr(p, name), dtype=float)
        read = facts_under(facts.role, name)
        bounded = tuple(dict.fromkeys(lacking for one in read for lacking in facts[one].bounded))
        return Fact(float(value.reshape(-1)[0]) if value.size == 1 else value, f"{name} of {ref}", bounded=bounded)

    def forget(self) -> None:
        """Let go of everything that was made: it knows the situation, and would stay until cycles are looked for."""
        for made in (self._once, self._facts, self._views, self._opened):
            made.clear()

    def spots(
        self, only: frozenset[str] | None = None, ids: Mapping[str, Collection[str]] = EVERYWHERE
    ) -> Iterator[Spot]:
        """Every place and link judged, or those named in ``only``; of a place in ``ids`` these requirements alone."""
        for ref in self.board.role:
            if only is None or ref in only:
                facts = self.facts(ref)
                yield self._spot(ref, facts.role, facts, ids.get(ref))
        for name, role, facts in self.links():
            if only is None or name in only:
                yield self._spot(name, role, facts, ids.get(name))

    def _spot(self, ref: str, role: Role, facts: Mapping[str, Fact], only: Collection[str] | None) -> Spot:
        opened, tight = self.points(ref, role, facts), self.policy.value("tight")
        with np.errstate(all="ignore"):
            ids, verdicts, headrooms = judge_points(role, opened, facts, self.count, tight, only)
        return Spot(ref, role, self.fitted.get(ref), tuple(ids), verdicts, headrooms, self.as_drawn(ref))


def sweep(situation: Situation, board: Board, count: int) -> Swept:
    """The fitted parts of a situation on a board that holds arrays of ``count`` values."""
    made = Swept(board, situation.fitted, situation.policy, 0.0, count)
    made.drawn = situation.drawn
    settled = settle(made)
    assert isinstance(settled, Swept)
    return settled


__all__ = ["Spot", "Swept", "sweep"]
