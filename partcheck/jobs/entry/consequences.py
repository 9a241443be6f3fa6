"""What the values of a part are for, and what a missing one leaves unproven: in general, and on boards of one's own."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from partcheck.board import ROLE_KINDS, read_board
from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.judge.setup import setup_of
from partcheck.parts import Part
from partcheck.policy import BENCH, Policy
from partcheck.readings.uses import left_unproven, read_by
from partcheck.requirement import Role, Verdict
from partcheck.roles import ROLES


def roles_of(kind: str) -> list[Role]:
    """The roles that a part of this kind can fill."""
    return [role for role in ROLES.values() if role.kind == kind]


@cache
def uses(kind: str) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """For each value or table of a kind: the requirements that read it, by role.

    ``uses("mosfet")["vds_max"]["mosfet-switch"]`` has ``drain-voltage``.
    """
    made: dict[str, dict[str, tuple[str, ...]]] = {}
    for role in roles_of(kind):
        for name, ids in read_by(role).items():
            made.setdefault(name, {})[role.name] = ids
    return made


def unproven(part: Part, policy: Policy = BENCH) -> dict[str, dict[str, tuple[str, ...]]]:
    """By role: the requirements that stay unproven where a board asks them, and the values missing for each."""
    return {role.name: left_unproven(role, part, policy) for role in roles_of(part.kind)}


@dataclass(frozen=True)
class OnBoard:
    """Places of a board where a part would leave the same requirements unproven, or fail the same."""

    board: str
    places: tuple[str, ...]
    unproven: tuple[str, ...]
    fails: tuple[str, ...]


def on_board(board: Path, part: Part, catalog: str | None) -> list[OnBoard]:
    """How the part would do in every place of a board that takes its kind; one entry for places that are alike."""
    read = read_board(board)
    setup = setup_of(read, catalog=None if read.board.parts else catalog)  # its own parts, else those beside this one
    found: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for ref, place in setup.board_file.board.role.items():
        if ROLE_KINDS[place.role] != part.kind:
            continue
        judged = judge_place(setup.situation, ref, part)
        left, failed = (
            tuple(f.id for f in judged.with_verdict(verdict)) for verdict in (Verdict.UNPROVEN, Verdict.FAILS)
        )
        found.setdefault((left, failed), []).append(ref)
    return [OnBoard(board.name, tuple(places), *ids) for ids, places in found.items()]


def missing_by_value(left: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    """The other way round: each missing value, and the requirements that want it; the most wanted first."""
    made: dict[str, list[str]] = {}
    for id_, missing in left.items():
        for name in missing:
            made.setdefault(name, []).append(id_)
    return dict(sorted(made.items(), key=lambda item: -len(item[1])))
