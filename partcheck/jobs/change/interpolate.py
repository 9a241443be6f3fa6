"""Half-way boards: the numbers of two boards mixed, to find where on the way a requirement gives way.

Words, references and parts do not mix: where those differ the second board's stand from the start. A whole
number (how many) takes each step when the share of the way reaches it.
"""

import math
from collections.abc import Callable, Iterator
from typing import Any

from pydantic import BaseModel

from partcheck.board import Board
from partcheck.board.models import Path
from partcheck.units import Span

FINENESS = 1 / 1024
"""Share of the way to which a boundary is found."""
GRID = 8
"""Equal steps looked at first, so that a requirement that comes and goes is met where it first gives way."""


def mixed(before: Any, after: Any, share: Any) -> Any:
    """A value ``share`` of the way from one to another; what does not mix is the second.

    ``share`` may be an array of shares where the two differ in floats alone.
    """
    if before == after or type(before) is not type(after):
        return after
    if isinstance(after, BaseModel):
        names = type(after).model_fields
        return after.model_copy(
            update={name: mixed(getattr(before, name), getattr(after, name), share) for name in names}
        )
    if isinstance(after, dict):
        return {key: mixed(before[key], value, share) if key in before else value for key, value in after.items()}
    if isinstance(after, Span):
        return Span(*(_number(b, a, share) for b, a in zip(before, after, strict=True)))
    if isinstance(after, list) and len(before) == len(after):
        return [mixed(b, a, share) for b, a in zip(before, after, strict=True)]
    if isinstance(after, bool):
        return after
    if isinstance(after, int):
        return before + math.trunc(share * (after - before) + math.copysign(1e-9, after - before))
    return _number(before, after, share) if isinstance(after, float) else after


def _number(before: float, after: float, share: Any) -> Any:
    if before == after:
        return after
    if hasattr(share, "dtype"):
        made = before + share * (after - before)
        made[share == 1] = after
        made.setflags(write=False)  # a fact that added to one in place would change the board
        return made
    return after if share == 1 else before + share * (after - before)


def board_between(before: Board, after: Board, share: Any) -> Board:
    """The board ``share`` of the way, which may be an array of shares."""
    made: Board = mixed(before, after, share)
    return made


def differences(before: Any, after: Any, path: Path = ()) -> Iterator[tuple[Path, object, object]]:
    """Every value in which two boards differ, with its path."""
    if before == after:
        return
    if isinstance(after, BaseModel) and type(before) is type(after):
        for name in type(after).model_fields:
            yield from differences(getattr(before, name), getattr(after, name), (*path, name))
    elif isinstance(after, dict) and isinstance(before, dict):
        for key in dict.fromkeys([*before, *after]):
            yield from differences(before.get(key), after.get(key), (*path, key))
    elif isinstance(after, list) and isinstance(before, list) and len(after) == len(before):
        for i, (b, a) in enumerate(zip(before, after, strict=True)):
            yield from differences(b, a, (*path, i))
    else:
        yield path, before, after


def mixes(before: object, after: object) -> bool:
    """True where a value has steps between the two."""
    if isinstance(before, bool) or isinstance(after, bool) or type(before) is not type(after):
        return False
    return isinstance(after, Span | float | int)


def first_share(gives_way: Callable[[float], bool]) -> float:
    """The smallest share of the way at which something has given way, to :data:`FINENESS`; it has at the end.

    Looked for in equal steps first, then halved; a boundary that is a step lies at the share returned.
    """
    low, high = 0.0, 1.0
    if gives_way(0.0):
        return 0.0
    for i in range(1, GRID + 1):
        if gives_way(i / GRID):
            low, high = (i - 1) / GRID, i / GRID
            break
    while high - low > FINENESS:
        middle = (low + high) / 2
        if gives_way(middle):
            high = middle
        else:
            low = middle
    return high
