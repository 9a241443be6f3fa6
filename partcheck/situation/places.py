"""Which class makes the facts of which role."""

from typing import TYPE_CHECKING

from partcheck.roles import ROLES
from partcheck.situation.facts import PlaceFacts
from partcheck.situation.switch import MosfetFacts

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

FACTS: dict[str, type[PlaceFacts]] = {
    "mosfet-switch": MosfetFacts,
}


def place_facts(situation: "Situation", ref: str) -> PlaceFacts:
    """The facts of the place with this reference."""
    place = situation.board.role[ref]
    return FACTS[place.role](situation, ref, ROLES[place.role], place)
