"""Resistors that would cure: for parts that do not meet as drawn, another preferred value with which they do better."""

from collections import ChainMap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.judge.place import tight
from partcheck.jobs.screen.parts import Screened, facts_by_value, same, screen_known
from partcheck.jobs.screen.reads import compared, facts_read
from partcheck.jobs.screen.resistors import ResistorChange, other_values
from partcheck.parts import Part
from partcheck.readings.columns import Floats
from partcheck.readings.verdicts import judge_columns, tiled
from partcheck.requirement import Role, Verdict
from partcheck.situation import Situation
from partcheck.stock.columns import Places
from partcheck.stock.known import Known
from partcheck.stock.stock import Columns, Listed, some

PROBES = 5
"""Values, from the least to the largest, that tell whether a headroom runs one way."""
TOGETHER = 4096
"""So many parts times values are judged in one go."""
_Facts = ChainMap[str, Any]
"""The facts of a place with one resistor: first those that it changes."""


@dataclass
class Cures:
    """For each known part the resistor with which it does best, by its place in ``changes`` (-1: none does better)."""

    changes: Sequence[ResistorChange]
    which: NDArray[np.int16]
    verdict: NDArray[np.int8]
    """Its verdict with that resistor, or as drawn where there is none."""

    def of(self, place: int) -> ResistorChange | None:
        """The resistor for one part."""
        return self.changes[self.which[place]] if self.which[place] >= 0 else None


def cure_by_resistor(situation: Situation, ref: str, screened: Screened, wanted: Places) -> Cures:
    """For parts that do not meet as drawn: the nearest preferred resistor with which they do better.

    For a base resistor the largest of the best is offered, as it saves current; else the nearest to the drawn one.
    No resistor helps against what no resistor changes, nor against a requirement that both ends of the series leave
    as bad while its headroom runs one way between them; so most parts need not be tried with every value.
    """
    changes = list(other_values(situation.board, ref))
    made = Cures(changes, np.full(screened.known.count, -1, np.int16), screened.overall.copy())
    role = screened.role
    if not changes or not len(wanted):
        return made
    if role.name == "npn-sink":
        changes.sort(key=lambda change: -change.value)
    drawn, by_value = situation.facts(ref), facts_by_value(situation, ref, changes, 1)
    varying = frozenset(
        n for n, value in by_value.items() if isinstance(value, np.ndarray) or not same(value, drawn[n].value)
    )
    moved = {id_: r for id_, r in role.requirements.items() if facts_read(role, drawn, id_) & varying}
    if not moved:
        return made
    ceiling = np.full(screened.known.count, int(Verdict.MEETS), np.int8)
    for i, id_ in enumerate(screened.ids):
        if id_ not in moved:
            found = screened.verdicts[i]
            if role.requirements[id_].change:  # another land pattern is a change, but one that is not known stays open
                found = np.where(found == Verdict.FAILS, np.int8(Verdict.MEETS), found)
            np.minimum(ceiling, found, out=ceiling)
    wanted = wanted[ceiling[wanted] > screened.overall[wanted]]
    facts, least = [_at(by_value, k) for k in range(len(changes))], tight(situation)
    rising = [facts[k] for k in sorted(range(len(changes)), key=lambda k: changes[k].value)]
    for i, id_ in enumerate(screened.ids):
        if id_ in moved and not role.requirements[id_].change:
            alone = replace(role, requirements={id_: moved[id_]})
            wanted = _not_hopeless(alone, screened, rising, least, wanted, screened.verdicts[i])
    part_of_role = replace(role, requirements=moved)
    for stretch, columns in screened.known.picked(wanted):
        places = wanted[stretch]
        _try(part_of_role, columns, facts, least, places, ceiling[places], made)
    return made


def _not_hopeless(
    alone: Role,
    screened: Screened,
    facts: Sequence[_Facts],
    least: float,
    wanted: Places,
    verdict: NDArray[np.int8],
) -> Places:
    """Those of the parts for which some resistor makes the one requirement better than the part is as drawn."""
    blocked = wanted[verdict[wanted] <= screened.overall[wanted]]
    hopeless = np.zeros(screened.known.count, bool)
    single = compared(alone, facts[0]) == 1
    few = [facts[round(k * (len(facts) - 1) / (PROBES - 1))] for k in range(PROBES)]
    for stretch, columns in screened.known.picked(blocked):
        places = blocked[stretch]
        best, one_way = _over(alone, columns, few, len(places), least)
        unsure = np.flatnonzero((best <= screened.overall[places]) & ~(one_way & single))
        if len(unsure):
            best[unsure], _ = _over(alone, _those(columns, unsure), facts, len(unsure), least)
        hopeless[places[best <= screened.overall[places]]] = True
    return wanted[~hopeless[wanted]]


def _over(
    role: Role, columns: Columns, facts: Sequence[_Facts], count: int, least: float
) -> tuple[NDArray[np.int8], NDArray[np.bool_]]:
    """The best verdict of each part over these facts, and whether its headroom only rises or only falls along them."""
    made = [_side_by_side(role, columns, few, count, least) for few in _batches(facts, count)]
    rooms, verdicts = (np.concatenate([each[k] for each in made]) for k in (1, 0))
    with np.errstate(invalid="ignore"):
        steps = np.where(rooms[1:] == rooms[:-1], 0.0, np.diff(rooms, axis=0))
    one_way = (steps >= 0).all(axis=0) | (steps <= 0).all(axis=0) | np.isnan(rooms).all(axis=0)
    return verdicts.max(axis=0), one_way


def _batches(facts: Sequence[_Facts], count: int) -> Iterator[Sequence[_Facts]]:
    """The values, as many at a time as are judged with so many parts in one go."""
    size = max(1, TOGETHER // max(1, count))
    return (facts[k : k + size] for k in range(0, len(facts), size))


def _side_by_side(
    role: Role, columns: Columns, facts: Sequence[_Facts], count: int, least: float
) -> tuple[NDArray[np.int8], Floats]:
    """The verdict and the least headroom of each part with each of a few values, shape (values, parts)."""
    times = len(facts)
    numbers: _Facts = facts[0]
    if times > 1:
        own = {name: np.repeat([each[name] for each in facts], count) for name in facts[0].maps[0]}
        columns, numbers = tiled(columns, times), ChainMap(own, *facts[0].maps[1:])
    judged = judge_columns(role, columns, numbers, count * times, least)
    rooms = judged.headrooms.min(axis=0, initial=np.inf)
    return judged.overall(role).reshape(times, count), rooms.reshape(times, count)


def _try(
    role: Role,
    columns: Columns,
    facts: Sequence[_Facts],
    least: float,
    places: Places,
    ceiling: NDArray[np.int8],
    made: Cures,
) -> None:
    """Value after value, those parts left aside that cannot do better any more."""
    first = 0
    while first < len(facts) and len(places):
        few = next(_batches(facts[first:], len(places)))
        for k, found in enumerate(_side_by_side(role, columns, few, len(places), least)[0], first):
            verdict = np.minimum(found, ceiling)
            better = verdict > made.verdict[places]
            made.verdict[places[better]] = verdict[better]
            made.which[places[better]] = k
        first += len(few)
        left = np.flatnonzero(made.verdict[places] < ceiling)
        if len(left) < 0.7 * len(places):
            columns = _those(columns, left)
            places, ceiling = places[left], ceiling[left]


def _those(columns: Columns, left: Places) -> Columns:
    return Columns(columns.kind, lambda name: some(columns[name], left))


def _at(by_value: Mapping[str, Any], place: int) -> _Facts:
    own = {name: float(value[place]) for name, value in by_value.items() if isinstance(value, np.ndarray)}
    return ChainMap(own, dict(by_value))


def proposed_resistor(situation: Situation, ref: str, part: Part) -> ResistorChange | None:
    """The resistor that a swap proposes beside this one part; None where it needs or finds none."""
    kind = situation.facts(ref).role.kind
    alone = screen_known(Known(kind, [(Listed(kind, [part]), None)]), situation, ref)
    wanted = np.flatnonzero(alone.overall < Verdict.TIGHT)
    return cure_by_resistor(situation, ref, alone, wanted).of(0)
