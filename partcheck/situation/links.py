"""Copper between the parts: resistance of cables, hot."""

from typing import TYPE_CHECKING

from partcheck.board.surroundings import Cable
from partcheck.physics import conductors

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

CABLE_RISE = 20.0
"""K over the hottest air, where the board states no copper temperature (common practice, no published source)."""


def cable_temperature(situation: "Situation", cable: Cable) -> float:
    """Hottest copper of a cable, K."""
    if cable.temperature is not None:
        return cable.temperature.max
    return situation.board.surroundings.ambient.max + CABLE_RISE


def cable_resistance(situation: "Situation", cable: Cable) -> float:
    """Largest resistance of a cable, all its legs, hot, Ω."""
    one = conductors.copper_resistance(cable.length, cable.wire, cable_temperature(situation, cable))
    return float(one) * cable.legs  # type: ignore[arg-type]
