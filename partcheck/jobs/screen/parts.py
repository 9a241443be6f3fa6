"""Every known part against one place, at once: verdicts, headrooms, and what fails how often."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.judge.place import board_only, tight
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.screen.resistors import ResistorChange, with_resistor
from partcheck.readings.columns import Floats
from partcheck.readings.verdicts import judge_columns
from partcheck.requirement import Fact, Role, Verdict
from partcheck.situation import Situation
from partcheck.stock.known import Known


class Plain(Mapping[str, Any]):
    """Facts as bare numbers, each made when it is asked for."""

    def __init__(self, facts: Mapping[str, Fact]) -> None:
        self.facts = facts
        self.bounds: set[str] = set()
        """Those asked for so far that are no more than a bound."""

    def __getitem__(self, name: str) -> Any:
        fact = self.facts[name]
        if fact.bounded:
            self.bounds.add(name)
        return fact.value

    def __iter__(self) -> Iterator[str]:
        return iter(self.facts)

    def __len__(self) -> int:
        return len(self.facts)


@dataclass
class Screened:
    """What became of every known part, one column each: of what is judged only what an order or a count rests on."""

    role: Role
    known: Known
    ids: tuple[str, ...]
    verdicts: NDArray[np.int8]
    """Shape (requirements, parts), rows in the order of ``ids``."""
    overall: NDArray[np.int8]
    least: Floats
    """The least known headroom among the requirements that a part has a say in; 0 where none is known."""
    failing: NDArray[np.int16]
    """How many requirements it fails, changes of the land pattern left aside."""
    worst: Floats
    """By how much of its capability it exceeds what it fails most; infinite where that cannot be said."""

    def failures(self, among: NDArray[np.bool_]) -> dict[str, int]:
        """How many of these parts fail each requirement, the most frequent first."""
        made: dict[str, int] = {}
        for i, id_ in enumerate(self.ids):
            number = int(((self.verdicts[i] == Verdict.FAILS) & among).sum())
            if number and not self.role.requirements[id_].change:
                made[id_] = number
        return dict(sorted(made.items(), key=lambda item: (-item[1], item[0])))


def screen(setup: Setup, situation: Situation, ref: str) -> Screened:
    """Judge every known part of the right kind in the place ``ref``."""
    facts = situation.facts(ref)
    return screen_known(setup.parts.known(facts.role.kind), situation, ref)


def screen_known(known: Known, situation: Situation, ref: str) -> Screened:
    """Judge these parts in the place ``ref``, some thousand at a time: little is needed beside their columns."""
    facts = situation.facts(ref)
    role, numbers = facts.role, Plain(facts)
    ids = [r.id for r in role.requirements.values() if role.asked(r, numbers)]
    decided = board_only(situation, ref)
    own = [i for i, id_ in enumerate(ids) if id_ not in decided]
    counted = [i for i, id_ in enumerate(ids) if not role.requirements[id_].change]
    count = known.count
    made = Screened(
        role,
        known,
        tuple(ids),
        np.empty((len(ids), count), np.int8),
        np.empty(count, np.int8),
        np.empty(count),
        np.empty(count, np.int16),
        np.empty(count),
    )
    for low, high, columns in known.pieces():
        judged = judge_columns(role, columns, numbers, high - low, tight(situation))
        made.verdicts[:, low:high] = judged.verdicts
        made.overall[low:high] = judged.overall(role)
        made.least[low:high] = _least(judged.headrooms[own])
        fails, short = judged.verdicts[counted] == Verdict.FAILS, -judged.headrooms[counted]
        made.failing[low:high] = fails.sum(axis=0)
        short = np.where(fails, np.where(np.isnan(short), np.inf, short), -np.inf)
        made.worst[low:high] = short.max(axis=0, initial=-np.inf)
    return made


def _least(headrooms: Floats) -> Floats:
    least: Floats = np.where(np.isnan(headrooms), np.inf, headrooms).min(axis=0, initial=np.inf)
    return np.where(np.isinf(least) & (least > 0), 0.0, least)


def facts_by_value(situation: Situation, ref: str, changes: Sequence[ResistorChange], count: int) -> dict[str, Any]:
    """The facts of the place for every resistor value: arrays where they differ, plain numbers where not."""
    base = situation.facts(ref)
    boards = [with_resistor(situation.board, ref, change).role[ref] for change in changes]
    apart = situation.apart(len(boards))
    places = [type(base)(own, ref, base.role, place) for own, place in zip(apart, boards, strict=True)]
    made: dict[str, Any] = {}
    ends = [places[0], places[-1], places[len(places) // 2], places[max(0, len(places) - 2)]]
    for name in base:
        if name.startswith(("k_", "assumed_")):
            made[name] = base[name].value
            continue
        if all(same(place[name].value, base[name].value) for place in ends):  # no resistor counts here
            made[name] = base[name].value
            continue
        values = [place[name].value for place in places]
        if all(isinstance(v, float) for v in values) and not all(same(v, values[0]) for v in values):
            made[name] = np.repeat(np.array(values, dtype=float), count)
        else:
            made[name] = values[0]
    return made


def same(a: Any, b: Any) -> bool:
    """Whether two facts are equal; what is missing twice is."""
    return bool(a == b) or bool(a != a and b != b)
