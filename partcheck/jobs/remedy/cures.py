"""Cures: for what does not meet, the value of one circuit quantity at which it just does.

Each quantity is varied alone over the whole board; the value nearest to where it stands, at which the requirement
meets and nothing else gets worse, is narrowed down, rounded to the safe side and judged once more as it is told.
"""

import json
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from partcheck.board import Board
from partcheck.board.surroundings import AtOnce
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.sweep.boundary import Bracket, grid, narrowed, to_tell
from partcheck.jobs.sweep.quantities import Adjustable, adjustables
from partcheck.jobs.sweep.run import TriedValues, Where, judge_swept, lost, run
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.paths import rail_of
from partcheck.situation.swept import Swept, sweep


@dataclass(frozen=True)
class Cure:
    """One change that makes a requirement meet, with nothing else made worse.

    ``key`` names the quantity, ``of`` the place, load or rail it belongs to; ``before`` and ``value`` in ``unit``;
    ``sets`` what to write in the board file; ``verdict`` and ``headroom`` are the requirement's, ``overall`` is the
    whole board's, each with the cure.
    """

    where: Where
    words: str
    key: str
    of: str
    unit: str
    before: float
    value: float
    sets: tuple[tuple[str, str], ...]
    verdict: Verdict
    headroom: float
    overall: Verdict

    def __str__(self) -> str:
        return self.words


def failing(places: Iterable[Judged]) -> list[Where]:
    """What fails or is unproven, and counts."""
    return [
        (place.ref, finding.id)
        for place in places
        for finding in place.findings
        if finding.counts and finding.verdict < Verdict.TIGHT
    ]


def cures(situation: Situation, wanted: Sequence[Where]) -> dict[Where, list[Cure]]:
    """The cures of each requirement, those of its own place first, then the smallest change first."""
    made: dict[Where, list[Cure]] = {where: [] for where in wanted}
    if not wanted:
        return made
    quantities = adjustables(situation)
    values = [grid(quantity) for quantity in quantities]
    tried = run(situation, list(zip(quantities, values, strict=True)))
    found: list[tuple[Where, Bracket]] = []
    for where in wanted:
        if where in tried.row:
            good = _cured(tried, where)
            for quantity, tries, place in zip(quantities, values, tried.slices, strict=True):
                found += [
                    (where, replace(bracket, places=_changing(tried, place, tries, bracket, where)))
                    for bracket in _crossings(quantity, tries, good[place], where)
                ]
    narrow = narrowed(situation, [bracket for _, bracket in found])
    told = [(where, bracket, to_tell(bracket)) for (where, _), bracket in zip(found, narrow, strict=True)]
    again = run(situation, [(bracket.quantity, np.array([value])) for _, bracket, value in told])
    for (where, bracket, value), place in zip(told, again.slices, strict=True):
        column = place.start
        if _cured(again, where)[column]:
            made[where].append(_cure(situation, where, bracket.quantity, value, again, column))
    fewer = _fewer_at_once(situation, tried, wanted)
    for where in wanted:
        made[where] += fewer[where]
        made[where].sort(key=lambda cure: _order(situation, where, cure))
    return made


def _cured(tried: TriedValues, where: Where) -> NDArray[np.bool_]:
    good: NDArray[np.bool_] = (tried.verdicts[tried.row[where]] >= Verdict.TIGHT) & (tried.worse == 0)
    return good


def _changing(
    tried: TriedValues, place: slice, values: NDArray[np.float64], bracket: Bracket, where: Where
) -> frozenset[str]:
    """The places and links that meet at one end of a bracket and not at the other: they set where it is narrowed to.

    What comes and goes in between is found where the value that is told is judged once more on the whole board.
    """
    inside, outside = (tried.verdicts[:, _column(place, values, end)] for end in (bracket.inside, bracket.outside))
    rows = np.flatnonzero((inside >= Verdict.TIGHT) != (outside >= Verdict.TIGHT))
    return frozenset({where[0], *(tried.where[row][0] for row in rows)})


def _column(place: slice, values: NDArray[np.float64], value: float) -> int:
    """Where a value was tried; the board as it stands where it is none of them."""
    found = np.flatnonzero(values == value)
    return place.start + int(found[0]) if len(found) else 0


def _crossings(
    quantity: Adjustable, values: NDArray[np.float64], good: NDArray[np.bool_], where: Where
) -> list[Bracket]:
    """The crossing nearest to where the quantity stands, on each side of it."""

    def holds(tried: TriedValues) -> NDArray[np.bool_]:
        return _cured(tried, where)

    base, made = quantity.base, []
    if base != base:  # not stated: the largest that holds
        base = math.inf
    below, above = np.flatnonzero(good & (values < base)), np.flatnonzero(good & (values > base))
    if len(below):
        i = int(below[-1])
        outside = values[i + 1] if i + 1 < len(values) else values[i]
        made.append(Bracket(quantity, holds, float(values[i]), float(outside)))
    if len(above):
        i = int(above[0])
        outside = values[i - 1] if i > 0 else quantity.base
        made.append(Bracket(quantity, holds, float(values[i]), float(outside)))
    return made


def _cure(
    situation: Situation, where: Where, quantity: Adjustable, value: float, tried: TriedValues, column: int
) -> Cure:
    row = tried.row[where]
    return Cure(
        where,
        _words(quantity, value),
        quantity.key,
        quantity.of,
        quantity.unit,
        quantity.base,
        value,
        tuple(quantity.setting(situation.board, value)),
        Verdict(int(tried.verdicts[row, column])),
        float(tried.headrooms[row, column]),
        Verdict(int(tried.overall[column])),
    )


def _words(quantity: Adjustable, value: float) -> str:
    if quantity.choices:
        return f"{quantity.name} {quantity.shown(value)} instead of {quantity.shown(quantity.base)}"
    if quantity.base != quantity.base:
        return f"{quantity.name} at most {quantity.shown(value)} (not stated yet)"
    side = "at most" if value < quantity.base else "at least"
    return f"{quantity.name} {side} {quantity.shown(value)} (now {quantity.shown(quantity.base)})"


def _order(situation: Situation, where: Where, cure: Cure) -> tuple[bool, float, str]:
    if cure.before == cure.before and cure.before > 0 and cure.value > 0:
        step = abs(math.log(cure.value / cure.before))
    else:
        step = math.inf
    return cure.of not in near(situation, where[0]), step, cure.words


def near(situation: Situation, ref: str) -> set[str]:
    """What belongs to a place: itself, its loads, their rails, its drive."""
    place = situation.board.role.get(ref)
    made = {ref, ref.partition(" ")[2] or ref}
    if place is None:
        return made
    loads = getattr(place, "load", [])
    for name in [loads] if isinstance(loads, str) else loads:
        made |= {name, rail_of(situation, name) or name}
    made |= {str(getattr(place, key)) for key in ("drive", "rail", "input", "switch") if getattr(place, key, None)}
    return made


# ---- how many at once


def _fewer_at_once(situation: Situation, before: TriedValues, wanted: Sequence[Where]) -> dict[Where, list[Cure]]:
    """The largest number of loads on at once with which each meets: of each group, or of a rail's free loads."""
    made: dict[Where, list[Cure]] = {where: [] for where in wanted}
    for names, most, others in _groups(situation.board):

        def with_only(
            count: int, open_: Sequence[Where], names: list[str] = names, others: list[AtOnce] = others
        ) -> tuple[Swept, list[Where]]:
            board = situation.board.model_copy(update={"at_once": [*others, AtOnce(of=names, most=count)]})
            swept = sweep(situation, board, 1)
            tried = judge_swept(swept, only=frozenset(ref for ref, _ in open_))
            return swept, [where for where in open_ if tried.verdicts[tried.row[where], 0] >= Verdict.TIGHT]

        open_ = [where for where in wanted if where in before.row]
        if most > 2 and open_:  # fewer loads draw no more: what one alone leaves failing, no larger number cures
            _, open_ = with_only(1, open_)
        for count in range(most - 1, 0, -1):
            if not open_:
                break
            swept, cured = with_only(count, open_)
            if not cured:
                continue
            tried = judge_swept(swept)  # the rest of the board, for what it would make worse
            both = [(i, before.row[where]) for i, where in enumerate(tried.where) if where in before.row]
            rows, was = zip(*both, strict=True)  # a value that was tried may ask for more than the board as it stands
            if lost(tried.verdicts[list(rows)], before.verdicts[list(was), :1])[0]:
                continue
            for where in cured:
                made[where].append(_at_once_cure(where, names, most, count, tried))
            open_ = [where for where in open_ if where not in cured]
    return made


def _at_once_cure(where: Where, names: list[str], most: int, count: int, tried: TriedValues) -> Cure:
    row = tried.row[where]
    group = f"{{ of = {json.dumps(names)}, most = {count} }}"
    return Cure(
        where,
        f"no more than {count} of {', '.join(names)} on at once (now {most})",
        "at-once",
        "",
        "",
        float(most),
        float(count),
        (("at_once", group),),
        Verdict(int(tried.verdicts[row, 0])),
        float(tried.headrooms[row, 0]),
        Verdict(int(tried.overall[0])),
    )


def _groups(board: Board) -> Iterator[tuple[list[str], int, list[AtOnce]]]:
    """Loads of which fewer may be on: names, how many may be now, and the groups that stay."""
    grouped = {name for group in board.at_once for name in group.of}
    for i, group in enumerate(board.at_once):
        yield list(group.of), group.most, [other for k, other in enumerate(board.at_once) if k != i]
    for rail in board.rail:
        free = [name for name in board.load if board.load[name].rail == rail and name not in grouped]
        if len(free) > 1:
            yield free, len(free), list(board.at_once)
