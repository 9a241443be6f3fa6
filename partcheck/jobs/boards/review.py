"""A board file looked through without any part: what it states, and what it leaves out that will be asked for."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from partcheck.board import BoardFile
from partcheck.board.roles import Indicator
from partcheck.board.schema import entry_schema
from partcheck.policy import DEFAULT, Policy, find_policy
from partcheck.requirement import Fact, Role
from partcheck.roles import LINK_ROLES, ROLES
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle

_SPARED = {"edge_time", "reverse_limit", "upper_resistor", "lower_resistor", "theta_ja"}
"""Keys that may be asked for and seldom are: whether they are rests on the part."""


@cache
def _keys() -> frozenset[str]:
    """Every key of the format."""
    return frozenset(key for model in entry_schema()["$defs"].values() for key in model.get("properties", {}))


@dataclass(frozen=True)
class LeftOut:
    """A value that the board leaves out and that is asked for: its key, what it is, and where it is asked."""

    key: str
    meaning: str
    places: tuple[str, ...]


@dataclass(frozen=True)
class Reviewed:
    """A board file that reads: what it leaves out, and what stands in it without use."""

    board_file: BoardFile
    left_out: tuple[LeftOut, ...]
    without_part: tuple[str, ...]
    not_switched: tuple[str, ...]
    idle_drives: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """True where nothing is left out that a judgement would lack."""
        return not self.left_out and not self.without_part


def review(board_file: BoardFile) -> Reviewed:
    """Look through a board file that reads."""
    board = board_file.board
    drives = {role.drive for _, role in board.switches()} | {led.drive for _, led in board.of_type(Indicator)}
    return Reviewed(
        board_file,
        tuple(_left_out(board_file)),
        tuple(ref for ref, role in board.role.items() if role.fitted is None),
        tuple(load for load in board.load if board.switch_of(load) is None),
        tuple(drive for drive in board.drive if drive not in drives),
    )


def situation_of(board_file: BoardFile) -> Situation:
    """The board with no part known."""
    board = board_file.board
    policy = board.policy or DEFAULT
    if policy.endswith(".toml"):
        policy = str(board_file.folder / policy)
    return settle(Situation(board, dict.fromkeys(board.role), find_policy(policy)))


def _left_out(board_file: BoardFile) -> Iterator[LeftOut]:
    """Every key that some fact of the board lacks, in the order of the places."""
    situation = situation_of(board_file)
    found: dict[str, dict[str, str]] = {}
    for ref, place in board_file.board.role.items():
        _look(found, ref, ROLES[place.role], situation.facts(ref), situation.policy)
    for name, link, facts in situation.links():
        _look(found, name, LINK_ROLES.get(link.name, link), facts, situation.policy)
    for key, places in found.items():
        entry = key.rpartition(".")[0].partition(".")[0]
        key = f"load.{key}" if entry in board_file.board.load else key
        yield LeftOut(key, next(iter(places.values())), tuple(places))


def _look(found: dict[str, dict[str, str]], ref: str, role: Role, facts: Mapping[str, Fact], policy: Policy) -> None:
    asked_if_stated = {name for rule in role.requirements.values() for name in rule.asks}
    for name, named in role.facts.items():
        if name in asked_if_stated or name in policy.assumed:  # what the policy assumes is not lacking
            continue
        for missing in facts[name].missing:
            if (key := missing.rpartition(".")[2]) in _keys() and key not in _SPARED:
                found.setdefault(missing, {}).setdefault(ref, named.meaning)
