"""Which class makes the facts of which role."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from partcheck.requirement import Role
from partcheck.roles import LINK_ROLES, ROLES
from partcheck.situation.clamp import ClampFacts
from partcheck.situation.conductor import CableFacts, TrackFacts
from partcheck.situation.facts import PlaceFacts
from partcheck.situation.indicator import IndicatorFacts
from partcheck.situation.npn import NpnFacts
from partcheck.situation.path_ends import GroundFacts, LoadFacts
from partcheck.situation.regulator import RegulatorFacts
from partcheck.situation.supply import ChipFacts, RailFacts
from partcheck.situation.switch import MosfetFacts
from partcheck.situation.terminal import TerminalFacts

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

FACTS: dict[str, type[PlaceFacts]] = {
    "mosfet-switch": MosfetFacts,
    "clamp": ClampFacts,
    "indicator": IndicatorFacts,
    "npn-sink": NpnFacts,
    "regulator": RegulatorFacts,
    "terminal": TerminalFacts,
}

LINKS: dict[str, Any] = {
    "rail": RailFacts,
    "chip": ChipFacts,
    "cable": CableFacts,
    "track": TrackFacts,
    "load": LoadFacts,
    "ground": GroundFacts,
}
"""What no catalog part fills, by the role in ``LINK_ROLES``: a class of facts whose ``found(board)`` lists the
reference and the board's entry of each."""


def place_facts(situation: "Situation", ref: str) -> PlaceFacts:
    """The facts of the place with this reference."""
    place = situation.board.role[ref]
    return FACTS[place.role](situation, ref, ROLES[place.role], place)


def link_facts(situation: "Situation") -> Iterator[tuple[str, Role, PlaceFacts]]:
    """Each link of the board that no part fills: its name, its role, its facts."""
    for name, kind in LINKS.items():
        for ref, place in kind.found(situation.board):
            yield ref, LINK_ROLES[name], kind(situation, ref, LINK_ROLES[name], place)
