"""Looks for points at which a place that is told meets or tight is violated, and makes the board that shows it small."""

import copy
import time
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from tests.circuit.boards import written
from tests.circuit.draws import Draws
from tests.circuit.measure import Measure
from tests.circuit.solver import parts_of, simulate
from tests.circuit.verdicts import Told, told
from tests.circuit.violations import measures

MARGIN = 1.01
"""The solver and the printed values are good for a per cent."""
PATIENCE = 120.0
"""s: a board is made no smaller after that time."""
CLOSE = 0.6
"""A measure above this share of what is allowed is worth a search."""
Table = dict[str, Any]


@dataclass(frozen=True)
class Violation:
    """A place that is told meets or tight and is not so at one point."""

    kind: str
    ref: str
    share: float
    point: dict[str, float]

    def __str__(self) -> str:
        ends = ", ".join(f"{name} {value:.2g}" for name, value in sorted(self.point.items()))
        return f"{self.kind} of {self.ref}: {self.share:.3g} of what is allowed, at {ends}"


def violations(
    path: Path,
    seed: int,
    points: int = 48,
    rounds: int = 1,
    searched: int = 1,
    start: dict[str, float] | None = None,
    passed: Callable[[Measure, float], None] = lambda measure, share: None,
) -> list[Violation]:
    """Violations of what a board file is told; each kind and place once, at the worst point found.

    The first point drawn is ``start`` where one is given. ``passed`` hears of every measure whose places are told meets
    or tight, with its largest share.
    """
    answer = told(path)
    if isinstance(answer, str):
        return []
    board, parts = parts_of(path)
    worst: dict[tuple[str, str], Violation] = {}

    def look(draws: Draws) -> list[tuple[float, Measure, int]]:
        found = []
        for measure in measures(simulate(board, parts, draws)):
            if not answer.passed(*measure.answers):
                continue
            at = int(np.argmax(measure.share))
            share = float(measure.share[at])
            passed(measure, share)
            key = measure.kind, measure.ref
            if share > MARGIN and (key not in worst or share > worst[key].share):
                point = {name: float(column[at]) for name, column in draws.columns.items()}
                worst[key] = Violation(*key, share, point)
            found.append((share, measure, at))
        return found

    draws = Draws(points, seed, first=start or {})
    close = [item for item in look(draws) if CLOSE < item[0] <= MARGIN]
    for _, measure, at in sorted(close, key=lambda item: -item[0])[:searched]:
        _climb(look, draws, measure, at, rounds)
    return list(worst.values())


def _climb(
    look: Callable[[Draws], list[tuple[float, Measure, int]]], draws: Draws, wanted: Measure, at: int, rounds: int
) -> None:
    """Move one value after the other to the end that makes it worse: all that help at once, then one at a time."""
    for _ in range(rounds):
        tried = draws.around(at)
        found = [(made, k) for _, made, k in look(tried) if (made.kind, made.ref) == (wanted.kind, wanted.ref)]
        if not found:
            return
        share, best = found[0][0].share, found[0][1]
        base, together = share[-1], {}
        for k, (name, column) in enumerate(tried.columns.items()):
            if 2 * k + 1 >= len(share):
                break
            low, high = share[2 * k], share[2 * k + 1]
            value = 0.0 if low > max(base, high) else 1.0 if high > base else column[-1]
            together[name] = np.array([value, column[best]])
        both = Draws(2, draws.seed, together)
        again = [(made, k) for _, made, k in look(both) if (made.kind, made.ref) == (wanted.kind, wanted.ref)]
        if not again or again[0][0].share.max() <= base * 1.0001:
            return
        draws, at = both, again[0][1]


# ---- small boards


def shrink(path: Path, found: Violation, seed: int) -> str:
    """The text of the smallest board, by leaving things out one after the other, that still shows the violation."""
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    start = time.monotonic()

    def shows(made: Table) -> bool:
        if time.monotonic() - start > PATIENCE:
            return False
        path.write_text(written(made), encoding="utf-8")
        try:
            again = violations(path, seed, **how, start=found.point)
        except (KeyError, StopIteration, AttributeError):
            return False
        return any(one.kind == found.kind and one.share > MARGIN for one in again)

    how, again = {"points": 12, "rounds": 0, "searched": 0}, True
    while again:
        again = False
        for smaller in _smaller(table):
            if shows(smaller):
                table, again = smaller, True
                break
    text = written(table)
    path.write_text(text, encoding="utf-8")
    return text


def _smaller(table: Table) -> Iterator[Table]:
    for ref in list(table["role"]):
        yield _without(table, ref)
    for name in list(table.get("load", {})):
        yield _without(table, name)
    for section in ("track", "drive", "rail", "chip"):
        for name in list(table.get(section, {})):
            made = copy.deepcopy(table)
            del made[section][name]
            yield made
    for section in ("rail", "load", "role", "drive"):
        for name, entry in table.get(section, {}).items():
            for key in entry:
                made = copy.deepcopy(table)
                del made[section][name][key]
                yield made
    for key in ("at_once", "ground"):
        if key in table:
            made = copy.deepcopy(table)
            del made[key]
            yield made


def _without(table: Table, name: str) -> Table:
    """The tables without one role or load, and without what refers to it."""
    made = copy.deepcopy(table)
    gone = {name}
    for ref, role in list(made["role"].items()):
        if ref == name and "load" in role and role["role"] != "clamp":
            gone |= set(role["load"])
    for ref, role in list(made["role"].items()):
        if role["role"] == "clamp" and role["load"] in gone:
            gone.add(ref)
    for ref, role in list(made["role"].items()):
        if ref in gone:
            del made["role"][ref]
        elif role["role"] in ("mosfet-switch", "npn-sink"):
            role["load"] = [load for load in role["load"] if load not in gone]
            if not role["load"]:
                del made["role"][ref]
        elif role["role"] == "terminal":
            role["poles"] = [pole for pole in role["poles"] if pole.get("load") not in gone]
    made["load"] = {load: entry for load, entry in made.get("load", {}).items() if load not in gone}
    for group in made.get("at_once", []):
        group["of"] = [load for load in group["of"] if load not in gone]
    made["at_once"] = [group for group in made.get("at_once", []) if group["of"]]
    used = {role.get("fitted") for role in made["role"].values()}
    made["part"] = [part for part in made["part"] if part["part_number"] in used]
    return {key: value for key, value in made.items() if value not in ({}, [])}


__all__ = ["Told", "Violation", "shrink", "violations"]
