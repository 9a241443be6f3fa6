"""What a cable alone does when its switch opens: a loop of inductance, copper and load that rings into the open node.

v and i of a series circuit, i(0) the load's current and v(0) that of the closed switch:
L di/dt = V - R i - v, C dv/dt = i. The switch opens at once, as nothing stated says it does not.
"""

import numpy as np
from numpy.typing import NDArray

from partcheck.board.models import Board
from tests.circuit.solver import Seen, inductance, stray

Array = NDArray[np.float64]
CABLE_FARADS = 50e-12
"""F/m of a pair of wires."""
STEPS = 160


def stray_peaks(seen: Seen) -> dict[str, Array]:
    """Highest voltage of the nodes of switches where a cable is left to them; limited by the switch's breakdown."""
    board, net, made = seen.wiring.board, seen.still.net, {}
    for ref, role in board.switches():
        if _clamped(board, ref):
            continue
        peak = np.zeros(seen.wiring.draws.size)
        for name in role.load:
            if name not in board.load or board.load[name].cable is None or inductance(seen.wiring, name) is not None:
                continue
            feed = net.volt(f"rail {board.load[name].rail}")
            current = np.where(seen.opened[ref], net.currents[f"{name} feed"], 0.0)
            peak = np.maximum(peak, _ringing(seen, ref, name, feed, np.maximum(current, 0.0)))
        if peak.any():
            made[ref] = peak
    return made


def _clamped(board: Board, ref: str) -> bool:
    """True where a clamp at the board sits on the switch's node."""
    names = board.role[ref].load  # type: ignore[union-attr]
    clamps = [board.role[clamp] for name in names for clamp in board.clamps_of(name)]
    return any(clamp.position == "board" for clamp in clamps)  # type: ignore[union-attr]


def _ringing(seen: Seen, ref: str, name: str, feed: Array, current: Array) -> Array:
    draws, part = seen.wiring.draws, seen.wiring.parts[ref]
    henries = np.maximum(stray(seen.wiring, name), 1e-9)
    length = seen.wiring.board.load[name].cable.length  # type: ignore[union-attr]
    own = part.number("coss_typ") if part.number("coss_typ") > 0 else 10e-12
    farads = (own + CABLE_FARADS * length) * draws.between(f"{name} node farads", 0.5, 1.5)
    ohms = np.where(current > 1e-6, feed / np.maximum(current, 1e-6), 1e6)
    step = 0.05 * np.sqrt(henries * farads)
    v, i, peak = np.zeros_like(feed), current, np.zeros_like(feed)
    for _ in range(STEPS):  # implicit in the resistance, so that a heavy load is no matter
        i = (i + step / henries * (feed - v)) / (1 + step * ohms / henries)
        v = v + step / farads * i
        peak = np.maximum(peak, v)
    rating = part.number("vds_max") if ref in seen.wiring.mosfets else part.number("vceo")
    return np.where(current > 1e-6, np.minimum(peak, 1.3 * rating), 0.0)
