"""The formula of each requirement in names, and the physics that it runs through: its own, and that of the board's facts."""

from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import FrameType
from typing import Any

from partcheck.errors import PartcheckError
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.policy import BENCH
from partcheck.readings.explain import explain
from partcheck.readings.uses import facts_asked
from partcheck.situation.facts import PlaceFacts
from partcheck.situation.memory import Memory
from partcheck.situation.situation import Situation
from tests.circuit.boards import random_board, written
from tests.command import BOARD, SAMPLES
from tests.evidence.published import physics_name, physics_of, profiled
from tests.published.through import ALL_ROLES
from tests.roles.test_every_requirement import MODULES, facts_of

FOUND = Path(__file__).parents[1] / "circuit" / "found"
DRAWN = 6
"""Random boards beside the sample board and those that were found."""


def _stated(name: str, id_: str) -> tuple[object, object, object]:
    """Role with that requirement alone, part and facts of its example."""
    from dataclasses import replace

    from partcheck.parts import Part, point_table

    role, module = ALL_ROLES[name], MODULES[name]
    example, part = module.EXAMPLES[id_], module.PART
    if part is not None:
        tables = {table: point_table(part.kind, table, rows) for table, rows in example.tables.items()}
        part = Part(
            part.kind, part.part_number, part.maker, {**part.values, **example.values}, {**part.tables, **tables}
        )
    wanted = replace(role, requirements={id_: role.requirements[id_]})
    policy = getattr(module, "POLICY", BENCH)
    return wanted, part, facts_of(wanted, dict(module.FACTS) | dict(example.facts), policy, {})


def formulas() -> dict[str, dict[str, str]]:
    """Demand and capability of each requirement in names, as its example is explained."""
    made = {}
    for name, role in ALL_ROLES.items():
        for id_ in role.requirements:
            wanted, part, facts = _stated(name, id_)
            worst = explain(wanted, part, facts, 0.0)[0].compared[0]  # type: ignore[arg-type]
            made[f"{name} {id_}"] = {"demand": worst.demand_symbols, "capability": worst.capability_symbols}
    return made


def _boards(folder: Path) -> Iterator[Setup]:
    yield open_setup(BOARD, [SAMPLES])
    for seed in range(DRAWN):
        (folder / f"{seed}.toml").write_text(written(random_board(seed)), encoding="utf-8")
    for path in (*sorted(FOUND.glob("*.toml")), *sorted(folder.glob("*.toml"))):
        try:
            yield open_setup(path)
        except PartcheckError:
            continue


def _places(situation: Situation) -> Iterator[tuple[str, PlaceFacts]]:
    for ref, role in situation.board.role.items():
        yield role.role, situation.facts(ref)
    for _, role, facts in situation.links():
        yield role.name, facts


def _facts(folder: Path) -> dict[tuple[str, str], set[str]]:
    """The physics that the facts of a role call on some board; not what the facts under them call."""
    made: dict[tuple[str, str], set[str]] = defaultdict(set)
    for setup in _boards(folder):
        settled = setup.situation
        fresh = Situation(settled.board, settled.fitted, settled.policy, settled.inside_rise)
        places = {facts.ref: (name, facts) for name, facts in _places(fresh)}
        keys: list[tuple[Any, ...]] = []

        def look(frame: FrameType, event: str, _: Any, keys: Any = keys, places: Any = places) -> None:
            if frame.f_code is Memory.once.__code__:
                if event == "call":
                    keys.append(frame.f_locals["key"])
                elif event == "return":
                    keys.pop()
            elif event == "call" and keys and len(keys[-1]) == 3 and keys[-1][1] == "fact":
                called = physics_name(frame.f_code)
                if called:
                    made[places[keys[-1][0]][0], keys[-1][2]].add(called)

        with profiled(look):
            for _, facts in places.values():
                for fact in facts.role.facts:
                    facts.get(fact)
    return made


def functions(folder: Path) -> dict[str, list[str]]:
    """The physics of each requirement; ``folder`` is for boards that are drawn."""
    of_facts, made = _facts(folder), {}
    for name, role in ALL_ROLES.items():
        for id_ in role.requirements:
            wanted, part, facts = _stated(name, id_)
            own = physics_of(lambda w=wanted, p=part, f=facts: explain(w, p, f, 0.0))  # type: ignore[misc]
            made[f"{name} {id_}"] = sorted(own.union(*(of_facts[name, fact] for fact in facts_asked(role, id_))))
    return made
