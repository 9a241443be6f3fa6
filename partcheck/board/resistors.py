"""Putting a new resistor in the place of one that a board states: its value, and its power where that is stated."""

from typing import Any

from partcheck.board.models import Board
from partcheck.board.roles import Place
from partcheck.board.surroundings import ReplacementResistor
from partcheck.physics.preferred import series_values
from partcheck.units import Span

BESIDE: dict[str, tuple[str, ...]] = {
    "mosfet-switch": ("gate_resistor", "pulldown"),
    "npn-sink": ("base_resistor", "base_emitter_resistor"),
    "indicator": ("resistor",),
}
"""The resistors beside a part, by its role; the first is the one that a swap may change."""
SAME = 0.02
"""A preferred value this near to a stated one is the stated one, rounded otherwise."""
DERATING = ("resistor_full_power_to", "resistor_no_power_at")


def power_key(key: str) -> str:
    """The key that states the power rating of the resistor at a key: ``pulldown_power`` of ``pulldown``."""
    return "base_emitter_power" if key == "base_emitter_resistor" else f"{key}_power"


def replaced(place: Place, key: str, value: Any, new: ReplacementResistor) -> dict[str, Any]:
    """The keys of a place that change with another resistor at one of them, with their values.

    ``value`` in Ω. Two resistors of one switch share the air in which they are derated: the cooler of both counts.
    """
    update: dict[str, Any] = {key: Span(value * (1 - new.tolerance), value, value * (1 + new.tolerance))}
    if getattr(place, power_key(key), None) is None:
        return update
    update[power_key(key)] = new.power
    for name, own in zip(DERATING, (new.full_power_to, new.no_power_at), strict=True):
        shared = key != "resistor"
        update[name] = min(own, getattr(place, name)) if shared else own
    return update


def other_values(board: Board, drawn: Span, far: float) -> list[float]:
    """The values of the board's series up to a factor ``far`` from the drawn one, Ω, more than its rounding away."""
    values = series_values(board.series, drawn.typ / far, drawn.typ * far)
    return [value for value in values if abs(value / drawn.typ - 1) > SAME]
