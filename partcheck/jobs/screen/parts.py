"""Every known part against one place, at once: verdicts, what fails how often, and resistors that would cure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from partcheck.jobs.judge.place import tight
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.screen.resistors import ResistorChange, other_values, with_resistor
from partcheck.parts import Part
from partcheck.readings.columns import Judged, columns_of, judge_columns, tiled
from partcheck.requirement import Fact, Role, Verdict
from partcheck.situation import Situation

LARGE = 5000
"""Parts of one kind in a catalog above which certain failures are left in the database."""


class Plain(Mapping[str, Any]):
    """Facts as bare numbers, each made when it is asked for."""

    def __init__(self, facts: Mapping[str, Fact]) -> None:
        self.facts = facts

    def __getitem__(self, name: str) -> Any:
        return self.facts[name].value

    def __iter__(self) -> Iterator[str]:
        return iter(self.facts)

    def __len__(self) -> int:
        return len(self.facts)


@dataclass
class Screened:
    """What became of every known part: those loaded, and the certain failures left in the database."""

    parts: list[Part]
    judged: Judged
    overall: Any
    hidden: int = 0
    hidden_failures: dict[str, int] = field(default_factory=dict)

    def failures(self, role: Role, leave_out: Sequence[int]) -> dict[str, int]:
        """How many parts fail each requirement, those at the indices ``leave_out`` not counted."""
        counted = np.ones(len(self.parts), bool)
        counted[list(leave_out)] = False
        made = dict(self.hidden_failures)
        for i, id_ in enumerate(self.judged.ids):
            if role.requirements[id_].change:
                continue
            number = int(((self.judged.verdicts[i] == Verdict.FAILS) & counted).sum())
            if number:
                made[id_] = made.get(id_, 0) + number
        return dict(sorted(made.items(), key=lambda item: (-item[1], item[0])))


def screen(setup: Setup, situation: Situation, ref: str) -> Screened:
    """Judge every known part of the right kind in the place ``ref``."""
    facts = situation.facts(ref)
    parts, hidden, hidden_failures = _load(setup, facts.role, Plain(facts))
    columns = columns_of(facts.role.kind, parts)
    judged = judge_columns(facts.role, columns, Plain(facts), len(parts), tight(situation))
    return Screened(parts, judged, judged.overall(facts.role), hidden, hidden_failures)


def _load(setup: Setup, role: Role, facts: Mapping[str, Any]) -> tuple[list[Part], int, dict[str, int]]:
    catalog = setup.parts.catalog
    if catalog is None or catalog.count()[role.kind] <= LARGE:
        return setup.parts.of_kind(role.kind), 0, {}
    from partcheck.readings.sql import failure_counts, keep_clause

    table = catalog.table(role.kind)
    kept = catalog.parts(role.kind, keep_clause(role, table, facts))
    total, counts = catalog.tally(role.kind, failure_counts(role, table, facts))
    mine = [part for part in setup.parts.given if part.kind == role.kind]
    keys = {part.key for part in mine}
    hidden = total - len(kept)
    return mine + [p for p in kept if p.key not in keys], hidden, {id_: n for id_, n in counts.items() if n}


def cure_by_resistor(
    situation: Situation, ref: str, screened: Screened, wanted: Sequence[int]
) -> dict[int, ResistorChange]:
    """For parts that do not meet as drawn: the nearest preferred resistor with which they do better.

    For a base resistor the largest of the best is offered, as it saves current; else the nearest to the drawn one.
    """
    changes = list(other_values(situation.board, ref))
    if not changes or not wanted:
        return {}
    role = situation.facts(ref).role
    picked = [screened.parts[i] for i in wanted]
    columns = tiled(columns_of(role.kind, picked), len(changes))
    facts = facts_by_value(situation, ref, changes, len(picked))
    judged = judge_columns(role, columns, facts, len(picked) * len(changes), tight(situation))
    overall = judged.overall(role).reshape(len(changes), len(picked))
    made: dict[int, ResistorChange] = {}
    for k, index in enumerate(wanted):
        best = overall[:, k].max()
        if best <= screened.overall[index] or best <= Verdict.FAILS:
            continue
        good = [change for change, verdict in zip(changes, overall[:, k], strict=True) if verdict == best]
        largest = role.name == "npn-sink"
        made[index] = max(good, key=lambda change: change.value) if largest else good[0]
    return made


def proposed_resistor(situation: Situation, ref: str, part: Part) -> ResistorChange | None:
    """The resistor that a swap proposes beside this one part; None where it needs or finds none."""
    facts = situation.facts(ref)
    judged = judge_columns(facts.role, columns_of(facts.role.kind, [part]), Plain(facts), 1, tight(situation))
    alone = Screened([part], judged, judged.overall(facts.role), 0, {})
    return cure_by_resistor(situation, ref, alone, [0] if alone.overall[0] < Verdict.TIGHT else []).get(0)


def facts_by_value(situation: Situation, ref: str, changes: Sequence[ResistorChange], count: int) -> dict[str, Any]:
    """The facts of the place for every resistor value: arrays where they differ, plain numbers where not."""
    base = situation.facts(ref)
    boards = [with_resistor(situation.board, ref, change).role[ref] for change in changes]
    places = [type(base)(situation.apart(), ref, base.role, place) for place in boards]
    made: dict[str, Any] = {}
    ends = [places[0], places[-1], places[len(places) // 2], places[max(0, len(places) - 2)]]
    for name in base:
        if name.startswith(("k_", "assumed_")):
            made[name] = base[name].value
            continue
        if all(place[name].value == base[name].value for place in ends):  # no resistor counts here
            made[name] = base[name].value
            continue
        values = [place[name].value for place in places]
        if all(isinstance(v, float) for v in values) and any(v != values[0] for v in values):
            made[name] = np.repeat(np.array(values, dtype=float), count)
        else:
            made[name] = values[0]
    return made
