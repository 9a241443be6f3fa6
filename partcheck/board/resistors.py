"""Putting a new resistor in the place of one that a board states: its value, and its power where that is stated."""

from typing import Any

from partcheck.board.roles import Place
from partcheck.board.surroundings import ReplacementResistor
from partcheck.units import Span

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
