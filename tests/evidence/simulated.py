"""Boards of the circuit reference: how near a place that is told meets or tight comes to what is allowed.

Each thing that the reference looks at stands for the requirements of the place that it is measured on.
"""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from partcheck.board.models import Board
from tests.circuit.boards import random_board, written
from tests.circuit.measure import Measure
from tests.circuit.search import violations
from tests.circuit.solver import parts_of
from tests.evidence.published import rounded

MEASURED: dict[str, dict[str, tuple[str, ...]]] = {
    "mosfet-switch": {
        "drain voltage": ("drain-voltage",), "drain current": ("drain-current",), "pulse current": ("inrush",),
        "avalanche energy": ("avalanche-energy", "stray-spike"), "avalanche current": ("avalanche-current", "stray-current"),
        "junction": ("junction-rise", "pulse-rise"), "small resistor": ("pulldown-power",),
    },
    "npn-sink": {
        "drain voltage": ("collector-voltage",), "collector current": ("collector-current",), "pulse current": ("inrush",),
        "junction": ("junction-rise", "pulse-rise"), "small resistor": ("base-resistor-power",),
    },
    "clamp": {
        "diode backwards": ("reverse-voltage",), "diode peak": ("peak-current",),
        "clamp energy": ("pulse-energy", "clamp-repeat"), "clamp conducts for ever": ("standoff", "stays-blocked"),
        "junction": ("junction-rise",),
    },
    "indicator": {
        "LED backwards": ("reverse-voltage",), "LED backwards in a spike": ("reverse-voltage",),
        "LED current": ("forward-current",), "LED too dark": ("least-current",), "LED resistor": ("resistor-power",),
        "junction": ("junction-rise",),
    },
    "regulator": {"junction": ("junction-rise",)},
    "terminal": {"wire or pole": ("pole-current",)},
    "cable": {"wire or pole": ("wire-current",)},
    "rail": {"rail lifted": ("back-feed",), "absent rail fed": ("back-feed",)},
    "ground": {"ground lift": ("ground-lift",)},
}  # fmt: skip
"""For each role, which of its requirements a measure on such a place is about."""
OF_THE_LOAD: dict[str, tuple[tuple[str, str], ...]] = {
    "drop of the switch": (("mosfet-switch", "on-drop"), ("npn-sink", "saturation")),
    "low level": (("mosfet-switch", "on-drop"), ("npn-sink", "saturation")),
    "least voltage": (("load", "least-voltage"),),
    "current when off": (("mosfet-switch", "off-leakage"), ("npn-sink", "off-leakage")),
    "stays on": (("mosfet-switch", "stays-off"), ("npn-sink", "stays-off")),
    "load backwards": (("load", "reverse-voltage"),),
    "release": (("mosfet-switch", "release-time"), ("clamp", "release-time")),
}
"""Measures on a load: who answers for them; of two roles the one whose part is there."""
OF_THE_DRIVE = {"npn-sink": "pin-current", "indicator": "drive-current"}
"""What the measure ``pin``, a steady current, is about: that of each role that the drive feeds."""
HOW = {"points": 48, "rounds": 1, "searched": 1}


def _role_of(board: Board, ref: str) -> str:
    if ref in board.role:
        return board.role[ref].role
    return "cable" if ref.startswith("cable ") else "ground" if ref == "return" else "rail" if ref in board.rail else ""


def about(board: Board, measure: Measure) -> set[str]:
    """The requirements that a measure is about, by role and id."""
    if measure.kind == "pin":
        users = {role.role for role in board.role.values() if getattr(role, "drive", None) == measure.ref}
        return {f"{role} {OF_THE_DRIVE[role]}" for role in users if role in OF_THE_DRIVE}
    if measure.kind in OF_THE_LOAD:
        refs = {board.switch_of(measure.ref), *board.clamps_of(measure.ref)} if measure.ref in board.load else set()
        roles = {board.role[ref].role for ref in refs if ref is not None} | {"load"}
        clamped = measure.kind == "release" and "clamp" in roles
        roles -= {"mosfet-switch", "npn-sink"} if clamped else set()
        return {f"{role} {id_}" for role, id_ in OF_THE_LOAD[measure.kind] if role in roles}
    role = _role_of(board, measure.ref)
    return {f"{role} {id_}" for id_ in MEASURED.get(role, {}).get(measure.kind, ())}


def simulate(boards: int, folder: Path, minutes: float, tell: Callable[[int], None]) -> dict[str, Any]:
    """Of each requirement what was measured, at how many places judged meets or tight, and the largest share of the allowed.

    No board is begun after so many minutes.
    """
    end = time.monotonic() + 60 * minutes
    worst: dict[str, dict[str, dict[tuple[int, str], float]]] = {}
    done = 0
    for seed in range(boards):
        path = folder / "board.toml"
        path.write_text(written(random_board(seed)), encoding="utf-8")
        board, _ = parts_of(path)

        def passed(measure: Measure, share: float, board: Board = board, seed: int = seed) -> None:
            for requirement in about(board, measure):
                places = worst.setdefault(requirement, {}).setdefault(measure.kind, {})
                places[seed, measure.ref] = max(share, places.get((seed, measure.ref), 0.0))

        violations(path, seed, **HOW, passed=passed)  # type: ignore[arg-type]
        done = seed + 1
        tell(done)
        if time.monotonic() > end:
            break
    found = {
        requirement: [
            {"what": kind, "places": len(places), "worst": rounded(max(places.values()))}
            for kind, places in sorted(kinds.items())
        ]
        for requirement, kinds in sorted(worst.items())
    }
    return {"boards": done, "points": HOW["points"], "requirements": found}
