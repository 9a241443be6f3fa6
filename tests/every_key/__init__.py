"""A board that states every key of the format, and what tries each of them."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import BaseModel

from partcheck.board.edit import edited
from partcheck.board.fields import K0, Measure, measure_of
from partcheck.board.models import Board
from partcheck.board.read import parse_board
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.place import Judged, judge_link, judge_place
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle

FILE = Path(__file__).parents[2] / "partcheck" / "formats" / "board.example.toml"
Way = tuple[str | int, ...]


class Key(NamedTuple):
    """One key where the board states it: its path, the table that declares it, and its field."""

    path: Way
    owner: str
    name: str
    field: Any
    value: Any

    @property
    def label(self) -> str:
        """The table and the key: ``Coil.resistance``."""
        return f"{self.owner}.{self.name}"

    @property
    def measure(self) -> Measure | None:
        """The measure and range of a number; None for a word or a table."""
        return measure_of(self.field.annotation, self.field.metadata)


def owner_of(model: type[BaseModel], name: str) -> str:
    """The table that declares a key: ``Load`` for what every load may state."""
    return next(base.__name__ for base in reversed(model.__mro__) if name in getattr(base, "__annotations__", {}))


def stated(node: Any, path: Way = ()) -> Iterator[Key]:
    """Every key that a board states, from its models."""
    if isinstance(node, BaseModel):
        for name in type(node).model_fields:
            if name in node.model_fields_set:
                value = getattr(node, name)
                yield Key((*path, name), owner_of(type(node), name), name, type(node).model_fields[name], value)
                yield from stated(value, (*path, name))
    elif isinstance(node, dict):
        for name, inner in node.items():
            yield from stated(inner, (*path, name))
    elif isinstance(node, list):
        for i, inner in enumerate(node):
            yield from stated(inner, (*path, i))


def tables(annotation: Any) -> Iterator[type[BaseModel]]:
    """Every table of the format, from an annotation on."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
        for field in annotation.model_fields.values():
            yield from tables(field.annotation)
    for inner in getattr(annotation, "__args__", ()):
        yield from tables(inner)


def declared() -> dict[str, Any]:
    """Every key of the format by its label, from the models alone."""
    return {
        f"{owner_of(model, name)}.{name}": field
        for model in tables(Board)
        for name, field in model.model_fields.items()
    }


def written(value: float, unit: str) -> str:
    """A number as a board file takes it, to the last digit."""
    return f"{value - K0 if unit == '°C' else value!r} {unit}".strip()


def way(key: str) -> Way:
    """The path of a dotted key."""
    return tuple(key.split("."))


@cache
def opened() -> Setup:
    """The board with its parts, read once in a process."""
    return open_setup(FILE)


def board_with(changes: list[tuple[Way, object]]) -> Board:
    """The board read anew with some values changed; ``BoardError`` where they are refused."""
    return parse_board(edited(FILE.read_text(encoding="utf-8"), changes), FILE).board


class Outcome(NamedTuple):
    """What became of one requirement: its verdict, and each demand against its capability."""

    verdict: Verdict
    pairs: tuple[tuple[float, float], ...]


Outcomes = dict[tuple[str, str], Outcome]


def outcomes(setup: Setup, board: Board, settled: bool = True) -> Outcomes:
    """Every requirement that the board asks; where not ``settled``, with the air inside as cool as outside, in half the time."""
    situation = Situation(board, setup.fitted, setup.policy)
    places, links = judge_board(settle(situation) if settled else situation)
    return {key: outcome for judged in (*places, *links) for key, outcome in of_one(judged).items()}


def of_one(judged: Judged) -> Outcomes:
    """Every requirement of one place or link."""
    return {
        (judged.ref, finding.id): Outcome(finding.verdict, tuple((c.demand, c.capability) for c in finding.compared))
        for finding in judged.findings
    }


def one_by_one(situation: Situation, path: Way) -> Iterator[tuple[str, Outcomes]]:
    """Place by place what a board as it is told asks, the air inside as cool as outside; what a path names comes first."""
    named = set(path)
    board = situation.board

    def far(ref: str) -> bool:
        role = board.role[ref]
        stated = {ref, *(str(value) for name in type(role).model_fields for value in _listed(getattr(role, name)))}
        return not stated & named

    for ref in sorted(board.role, key=far):
        yield ref, of_one(judge_place(situation, ref))
    for name, role, facts in situation.links():
        yield name, of_one(judge_link(situation, name, role, facts))


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]
