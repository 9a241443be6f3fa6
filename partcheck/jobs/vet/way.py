"""The way from one board to another: where on it a requirement stops to meet, and what the values have reached there.

Where all that changes may be varied for many circuits at once, every share of the way is judged in one run, so that
nothing between two of them is stepped over. Otherwise shares are looked at one by one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from partcheck.board import Board
from partcheck.board.fields import measure_of
from partcheck.jobs.change.interpolate import FINENESS, GRID, board_between, differences, first_share, mixes
from partcheck.jobs.judge.place import tight
from partcheck.jobs.sweep.run import LARGEST
from partcheck.readings.explain import Finding, judge, open_views
from partcheck.readings.explain import asked as asked_here
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from partcheck.situation.swept import sweep
from partcheck.units import Span

KEPT = 10
"""So many boards between the coarse steps of a way are kept, judged as far as was asked."""
SWEPT = {
    "rail": {"voltage"},
    "load": {"current", "extra_current", "stall_current", "resistance", "inductance", "rate"},
    "drive": {"high"},
    "surroundings": {"ambient"},
}
"""What a board of many circuits may vary: the keys that :mod:`partcheck.jobs.sweep.quantities` sets."""
Where = tuple[str, str]
"""A requirement of a place: reference and id."""


@dataclass(frozen=True)
class At:
    """What a changing value has reached at some share of the way."""

    key: str
    unit: str
    value: Span


@dataclass(frozen=True)
class GivenWay:
    """A requirement that met before and does not any more: where, and how far the change goes until then.

    ``share`` is None where nothing that changes has steps in between; ``at`` is what the values have reached.
    """

    ref: str
    before: Finding | None
    after: Finding
    share: float | None
    at: tuple[At, ...]


class Way:
    """The way from one board to another, judged at any share of it.

    A load that moves to another rail goes there by a rail of its own, whose numbers are on the way from the one
    to the other; what its current adds to in the new rail has no steps then.
    """

    def __init__(self, before: Situation, after: Situation, load: str) -> None:
        self.after, self.load = after, load
        self.boards = before.board, after.board
        self.rail: str | None = None
        if _both_from_outside(before.board, after.board, load):
            self.rail = f"{before.board.load[load].rail} to {after.board.load[load].rail}"
            self.boards = (_apart(before.board, load, self.rail), _apart(after.board, load, self.rail))
        numbers = [path for path, old, new in differences(*self.boards) if mixes(old, new)]
        self.numbers = sorted(numbers, key=lambda path: path[-1] != "voltage")
        self._situations: dict[float, Situation] = {}

    def situation(self, share: float) -> Situation:
        """The board at that share of the way, with the parts of the changed one."""
        if share == 1 and self.rail is None:
            return self.after
        if share not in self._situations:
            made = Situation(board_between(*self.boards, share), self.after.fitted, self.after.policy)
            made.drawn = self.after.drawn
            self._situations[share] = settle(made)
            fine = [known for known in self._situations if known * GRID % 1]
            if len(fine) > KEPT:  # a judged board is large; the next requirement asks for the coarse steps again
                del self._situations[fine[0]]
        return self._situations[share]

    def finding(self, share: float, ref: str, requirement: str) -> Finding | None:
        """One requirement at that share of the way; None where it is not asked there."""
        situation = self.situation(share)
        if ref in situation.board.role:
            facts = situation.facts(ref)
            role, opened = facts.role, situation.views(ref)
        else:
            role, facts = next((role, facts) for name, role, facts in situation.links() if name == ref)
            opened = open_views(role, None, facts)
        rule = role.requirements[requirement]
        return judge(rule, *opened, tight(situation)) if asked_here(rule, facts) else None

    def given(self, lost: Sequence[tuple[str, Finding | None, Finding]]) -> list[GivenWay]:
        """Where each of some requirements (reference, finding before and after) stops to meet."""
        found = self._swept([(ref, new.id) for ref, _, new in lost]) if lost else {}
        return [self._given(*item, found.get((item[0], item[2].id))) for item in lost]

    def _given(self, ref: str, old: Finding | None, new: Finding, verdicts: NDArray[np.int8] | None) -> GivenWay:
        floor = Verdict.TIGHT if old is None else min(old.verdict, Verdict.TIGHT)
        if verdicts is not None and verdicts[-1] < floor:
            share = int(np.argmax(verdicts < floor)) * FINENESS
            return GivenWay(ref, old, new, share, tuple(self.at(share)))

        def gone(share: float) -> bool:
            found = self.finding(share, ref, new.id)
            return found is not None and found.verdict < floor

        if not self.numbers or not gone(1.0):
            return GivenWay(ref, old, new, None, ())
        share = first_share(gone)
        return GivenWay(ref, old, new, share, tuple(self.at(share)))

    def _swept(self, wanted: Sequence[Where]) -> dict[Where, NDArray[np.int8]]:
        """The verdict of each requirement at every share; empty where something that changes is not varied so."""
        if not self.numbers or not all(path[-1] in SWEPT.get(str(path[0]), ()) for path in self.numbers):
            return {}
        ids: dict[str, set[str]] = {}
        for ref, requirement in wanted:
            ids.setdefault(ref, set()).add(requirement)
        shares = np.arange(round(1 / FINENESS) + 1) * FINENESS
        pieces: dict[Where, list[NDArray[np.int8]]] = {}
        for some in np.array_split(shares, 1 + len(shares) * len(self.after.board.role) // LARGEST):
            made = sweep(self.after, board_between(*self.boards, some), len(some))
            for spot in made.spots(frozenset(ids), ids):
                for requirement, verdicts in zip(spot.ids, spot.verdicts, strict=True):
                    pieces.setdefault((spot.ref, requirement), []).append(verdicts)
            made.forget()
        found = {where: np.concatenate(row) for where, row in pieces.items()}
        return {where: row for where, row in found.items() if len(row) == len(shares)}

    def at(self, share: float) -> list[At]:
        """What each changing value has reached."""
        board = board_between(*self.boards, share)
        made = []
        for path in self.numbers:
            if self.rail is not None and path[:2] == ("rail", self.rail) and path[2] != "voltage":
                continue
            value = _value(board, path)
            key = "".join(f"[{s}]" if isinstance(s, int) else f".{s}" for s in path).lstrip(".")
            key = key.replace(f"rail.{self.rail}.voltage", f"rail of {self.load}")
            number = float(value) if isinstance(value, int | float) else math.nan
            made.append(At(key, _unit(board, path), value if isinstance(value, Span) else Span(number, number, number)))
        return made


def _both_from_outside(before: Board, after: Board, load: str) -> bool:
    """True where the load moves from one outside supply to another."""
    ends = before.load[load].rail, after.load[load].rail
    return ends[0] != ends[1] and all(
        board.rail[name].voltage is not None for board, name in zip((before, after), ends, strict=True)
    )


def _apart(board: Board, load: str, rail: str) -> Board:
    """The board with the load on a rail of its own that is like the one it hangs on."""
    like = board.rail[board.load[load].rail]
    moved = board.load[load].model_copy(update={"rail": rail})
    return board.model_copy(update={"rail": {**board.rail, rail: like}, "load": {**board.load, load: moved}})


def _value(board: object, path: Sequence[str | int]) -> object:
    node = board
    for step in path:
        node = node[step] if isinstance(node, dict | list) else getattr(node, str(step))  # type: ignore[index]
    return node


def _unit(board: object, path: Sequence[str | int]) -> str:
    parent = _value(board, path[:-1])
    field = type(parent).model_fields.get(str(path[-1])) if isinstance(parent, BaseModel) else None
    measure = measure_of(field.annotation, field.metadata) if field is not None else None
    return measure.unit if measure is not None else ""
