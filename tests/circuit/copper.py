"""Wires and poles over time: what warms them, with the starts and the chopping of what they carry."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from partcheck.board.loads import Coil
from partcheck.board.roles import Terminal
from tests.circuit.heat import Ladder, chopping, start_of, with_starts
from tests.circuit.solver import Seen, Solved

Array = NDArray[np.float64]
WARMS_IN = (30.0, 300.0)
"""s: time constant of a wire or a pole, thin to thick."""


@dataclass
class Carried:
    """Effective current of a wire or pole, and what it may carry, A."""

    ref: str
    current: Array
    allowed: Array


def conductors(seen: Seen) -> Iterator[Carried]:
    """Cables with a typed rating, and the poles of terminals with a derated curve."""
    running, starting = with_starts(seen, False), with_starts(seen, True)
    board, wiring = seen.wiring.board, seen.wiring
    for name, load in board.load.items():
        if load.cable is not None and load.cable.rating is not None and board.switch_of(name) is not None:
            allowed = np.full(wiring.draws.size, load.cable.rating)
            yield Carried(f"cable {name}", _of_load(seen, name, running, starting), allowed)
    for ref, role in board.of_type(Terminal):
        allowed = _pole_allowed(seen, ref)
        for pole in role.poles:
            if len(pole.pole) > 1 or allowed is None:
                continue
            if pole.side in ("feed", "switched") and len(pole.load) == 1 and board.switch_of(pole.load[0]):
                yield Carried(ref, _of_load(seen, pole.load[0], running, starting), allowed)
            elif pole.rail is not None and board.rail[pole.rail].regulator is None:
                yield Carried(ref, _of_rail(seen, pole.rail, running, starting), allowed)


def _pole_allowed(seen: Seen, ref: str) -> Array | None:
    part = seen.wiring.parts[ref]
    points = [(row.temperature, row.max) for row in part.table("current").rows() if row.basis == 1]
    if not points:
        return None
    curve = np.interp(seen.wiring.ambient, *zip(*points, strict=True))
    return np.minimum(curve, part.number("rated_current"))


def _of_load(seen: Seen, name: str, running: Solved, starting: Solved) -> Array:
    key = f"{name} feed"
    ref = str(seen.wiring.board.switch_of(name))
    longest, rate = start_of(seen.wiring.board, [name])
    squares = _squares(seen, running.net.currents[key], starting.net.currents[key], longest, rate, f"wire {name}")
    chopped = chopping(seen.wiring.board, ref)
    if chopped is not None:
        duty = seen.wiring.draws.of(f"{ref} duty", chopped.duty)
        load = seen.wiring.board.load[name]
        if isinstance(load, Coil) and np.any(seen.wiring.flowing(name) < 1.0):
            # its mean current flows all the time through a cable with the clamp at the board
            squares = squares * (
                np.minimum(duty / seen.wiring.flowing(name), 1.0) ** 2 if _near(seen, name) else duty**2
            )
        elif chopped.frequency > 1 / WARMS_IN[0]:
            squares = squares * duty**2
        else:
            squares = squares * duty
    return np.sqrt(squares)


def _near(seen: Seen, name: str) -> bool:
    """True where every clamp of a load sits at the board."""
    board = seen.wiring.board
    return all(board.role[ref].position == "board" for ref in board.clamps_of(name))  # type: ignore[union-attr]


def _of_rail(seen: Seen, name: str, running: Solved, starting: Solved) -> Array:
    board = seen.wiring.board
    key = f"rail {name} feed" if f"rail {name} feed" in running.net.currents else f"rail {name} source"
    sign = 1.0 if key.endswith("feed") else -1.0
    loads = [load for load in board.load if board.load[load].rail == name]
    if any(chopping(board, str(board.switch_of(load))) is not None for load in loads if board.switch_of(load)):
        return np.zeros(seen.wiring.draws.size)
    longest, rate = start_of(board, loads)
    run, start = sign * running.net.currents[key], sign * starting.net.currents[key]
    return np.sqrt(_squares(seen, run, start, longest, rate, f"rail {name}"))


def _squares(seen: Seen, run: Array, start: Array, longest: float, rate: float, name: str) -> Array:
    """Square of the current as a body of its time constant feels it at the end of a start."""
    low, high = run**2, np.maximum(start**2, run**2)
    if longest == 0:
        return low
    size = seen.wiring.draws.size
    body = Ladder([np.ones(size)], [seen.wiring.draws.log_between(f"{name} warms in", *WARMS_IN)])
    length = np.full(size, max(longest, 1e-6))
    return body.peak(low, high, length, np.maximum(length, 1.0 / max(rate, 1e-9)))
