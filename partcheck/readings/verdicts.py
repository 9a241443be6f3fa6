"""Every part at once, judged: the columns of a list of parts against every requirement that is asked."""

import math
import sys
from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.parts.part import Part
from partcheck.readings.columns import Floats
from partcheck.readings.uses import facts_read
from partcheck.requirement import Requirement, Role, Verdict, pairs, views
from partcheck.stock.columns import ColumnTable, Words
from partcheck.stock.stock import Columns, Listed, stretch

CHUNK = 1 << 14


def columns_of(kind: str, parts: Sequence[Part]) -> Columns:
    """All single values and tables of parts of one kind, as columns by name."""
    return Listed(kind, parts).columns


def tiled(columns: Columns, times: int) -> Columns:
    """The columns of the same parts, ``times`` after each other."""

    def made(name: str) -> Any:
        column = columns[name]
        return column.tiled(times) if isinstance(column, Words | ColumnTable) else np.tile(column, times)

    return Columns(columns.kind, made)


def _headroom(demand: Floats, capability: Floats) -> Floats:
    meets = demand <= capability
    made = 1 - demand / capability
    made = np.where(capability <= 0, np.where(meets, math.nan, -math.inf), made)
    made = np.where(np.isinf(capability) & (capability > 0), 1.0, made)
    return np.where(np.isnan(demand) | np.isnan(capability), math.nan, made)


class JudgedColumns:
    """Verdicts (int8) and headrooms, shape (requirements, parts), rows in the order of ``ids``."""

    def __init__(self, ids: Sequence[str], verdicts: NDArray[np.int8], headrooms: Floats) -> None:
        self.ids, self.verdicts, self.headrooms = tuple(ids), verdicts, headrooms

    def overall(self, role: Role) -> NDArray[np.int8]:
        """The verdict of each part, footprint changes left aside."""
        made = self.verdicts.copy()
        for i, id_ in enumerate(self.ids):
            if role.requirements[id_].change:
                made[i][made[i] == Verdict.FAILS] = Verdict.MEETS
        worst: NDArray[np.int8] = made.min(axis=0, initial=int(Verdict.MEETS))
        return worst


def _number(value: Any, low: int, high: int) -> Any:
    if isinstance(value, np.ndarray):
        return value[low:high]
    if value is None:
        return np.float64(math.nan)
    return np.float64(value) if isinstance(value, float | int) else value


def judge_columns(
    role: Role, columns: Mapping[str, Any], facts: Mapping[str, Any], rows: int, tight: float, chunk: int = CHUNK
) -> JudgedColumns:
    """Judge every part against every requirement that is asked.

    ``columns`` as made by :func:`columns_of` (only the names that the role touches are needed), ``facts``
    plain values by name (None where the board does not state one), or arrays with one value per row.
    """
    asked = [r for r in role.requirements.values() if role.asked(r, facts)]
    verdicts = np.empty((len(asked), rows), np.int8)
    headrooms = np.empty((len(asked), rows))
    with np.errstate(all="ignore"):
        for low in range(0, rows, chunk):
            high = min(low + chunk, rows)
            p, n = views(
                role,
                lambda name, low=low, high=high: stretch(columns[name], low, high),  # type: ignore[misc]
                lambda name, low=low, high=high: _number(facts.get(name), low, high),  # type: ignore[misc]
            )
            for i, requirement in enumerate(asked):
                _judge_chunk(requirement, p, n, tight, verdicts[i, low:high], headrooms[i, low:high])
    _unknown_beyond_bounds(role, asked, dict.fromkeys(getattr(facts, "bounds", ()), True), verdicts, headrooms)
    return JudgedColumns([r.id for r in asked], verdicts, headrooms)


def _judge_chunk(requirement: Requirement, p: Any, n: Any, tight: float, verdict: Any, headroom: Any) -> None:
    for k, (demand, capability) in enumerate(pairs(requirement, p, n)):
        d, c = np.asarray(demand, dtype=float), np.asarray(capability, dtype=float)
        meets, fails = d <= c, d > c
        h = _headroom(d, c)
        meets = meets & ~(np.isinf(c) & np.isinf(d))
        near = False if requirement.discrete else h < tight
        made = np.where(fails, 0, np.where(meets, np.where(near, 2, 3), 1)).astype(np.int8)
        if requirement.discrete:
            h = np.full_like(h, math.nan)
        if k == 0:
            verdict[:] = made
            headroom[:] = h
        else:
            worse = np.broadcast_to((made < verdict) | ((made == verdict) & (h < headroom)), verdict.shape)
            np.copyto(headroom, np.broadcast_to(h, verdict.shape), where=worse)
            np.minimum(verdict, made, out=verdict)


def _unknown_beyond_bounds(
    role: Role, asked: Sequence[Requirement], bounds: Mapping[str, Any], verdicts: Any, headrooms: Any
) -> None:
    """What fails with a fact that is no more than a bound is not known to fail; True, or a mark for each column."""
    if not bounds:
        return
    read = facts_read(role)
    for i, requirement in enumerate(asked):
        for name in read[requirement.id] & bounds.keys():
            failing = (verdicts[i] == Verdict.FAILS) & bounds[name]
            verdicts[i][failing], headrooms[i][failing] = Verdict.UNPROVEN, math.nan


def _where(names: Sequence[str]) -> Any:
    """In which of many circuits a fact is no more than a bound."""
    made: Any = False
    for name in names:
        made = made | np.asarray(getattr(name, "where", True))
    return made


def open_points(role: Role, columns: Mapping[str, Any], facts: Mapping[str, Any]) -> tuple[Any, Any]:
    """The views of one part in a place whose facts are numbers or arrays, one value per circuit."""
    return views(role, lambda name: columns[name], lambda name: _number(facts[name].value, 0, sys.maxsize))


def judge_points(
    role: Role,
    opened: tuple[Any, Any],
    facts: Mapping[str, Any],
    count: int,
    tight: float,
    only: Collection[str] | None = None,
) -> tuple[list[str], NDArray[np.int8], Floats]:
    """Judge one part in ``count`` circuits: the ids that are asked, verdicts and headrooms (requirements, circuits).

    ``only`` names the requirements to look at; None stands for all.
    """
    some = [r for r in role.requirements.values() if only is None or r.id in only]
    wanted = [r for r in some if all(facts[name].value is not None for name in r.asks)]
    verdicts = np.empty((len(wanted), count), np.int8)
    headrooms = np.empty((len(wanted), count))
    with np.errstate(all="ignore"):
        for i, requirement in enumerate(wanted):
            _judge_chunk(requirement, *opened, tight, verdicts[i], headrooms[i])
    read = facts_read(role)
    looked_at = frozenset[str]().union(*(read[r.id] for r in wanted))
    bounds = {name: _where(facts[name].bounded) for name in facts if name in looked_at and facts[name].bounded}
    _unknown_beyond_bounds(role, wanted, bounds, verdicts, headrooms)
    return [r.id for r in wanted], verdicts, headrooms
