"""Copper between the parts: resistance of cables, hot."""

from typing import TYPE_CHECKING, Any

from partcheck.board.surroundings import Cable
from partcheck.physics import conductors
from partcheck.physics.conductor_data import WORST_WIRE

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

CABLE_RISE = 20.0
"""K over the hottest air, where no copper temperature is stated (common practice, no published source)."""


def cable_temperature(situation: "Situation", cable: Cable) -> Any:
    """Hottest copper of a cable, K."""
    if cable.temperature is not None:
        return cable.temperature.max
    return situation.board.surroundings.ambient.max + CABLE_RISE


def cable_resistance(situation: "Situation", cable: Cable) -> Any:
    """Largest resistance of a cable, all its legs, hot, Ω.

    As much as IEC 60228 allows a flexible wire of its nominal area: 16 % more than ideal copper.
    """
    one = conductors.copper_resistance(cable.length, cable.wire, cable_temperature(situation, cable))
    return WORST_WIRE * one * cable.legs
