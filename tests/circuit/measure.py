"""One thing that must not happen, and the places that answer for it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partcheck.board.models import Board

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Measure:
    """One thing that must not go above 1."""

    kind: str
    ref: str
    share: Array
    answers: tuple[str, ...]


def beside(board: Board, ref: str) -> tuple[str, ...]:
    """A switch with all that hangs on it: indicators, and the clamps of its loads and their cables."""
    loads = board.role[ref].load  # type: ignore[union-attr]
    clamps = [clamp for load in loads for clamp in board.clamps_of(load)]
    return (ref, *(name for name in loads if name in board.role), *clamps, *(f"cable {name}" for name in loads))


def upstream(board: Board, rail: str | None) -> tuple[str, ...]:
    """What stands between a rail and its source."""
    made: list[str] = []
    while rail is not None:
        made += [f"supply {rail}", f"feed {rail}"]
        regulator = board.rail[rail].regulator
        made += [regulator] if regulator is not None else []
        rail = board.role[regulator].input if regulator is not None else None  # type: ignore[union-attr]
    return tuple(made)


def driven(board: Board, ref: str) -> tuple[str, ...]:
    """A switch and what feeds its drive."""
    chip = board.drive[board.role[ref].drive].chip  # type: ignore[union-attr,index]
    if chip is None:
        return (ref,)
    return (ref, f"chip {chip}", *upstream(board, board.chip[chip].supply))
