"""The least resistance of a cable, where less is worse: what limits a start, or damps a ringing."""

from typing import TYPE_CHECKING, Any

from partcheck.board.surroundings import Cable
from partcheck.physics import conductors

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

THICKER = 1.1
"""A wire may be so much thicker than stated, where less resistance is worse (common practice, no published source)."""


def cold_ohms(situation: "Situation", cable: Cable) -> Any:
    """Least resistance of a cable, all its legs, cold and a tenth thicker than stated, Ω."""
    coldest = cable.temperature.min if cable.temperature is not None else situation.board.surroundings.ambient.min
    return conductors.copper_resistance(cable.length, cable.wire, coldest) * cable.legs / THICKER
