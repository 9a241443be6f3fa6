"""Facts of both ends of a current's path: what reaches the load, or drives it backwards; how far the return is lifted.

LEDs, the input of another device and electronics are made for one direction. What hangs beside them on their switch may
lift its node over their rail while it is off, or when it opens; LEDs answer as fast as the wave on a cable, too.
"""

from collections.abc import Iterator
from typing import Any

from partcheck.board import Board
from partcheck.board.loads import Coil, LedString, Motor, OneWay
from partcheck.operations import NAN
from partcheck.requirement import Fact
from partcheck.situation import current_path
from partcheck.situation.facts import NOT_STATED, PlaceFacts, stated
from partcheck.situation.nodes import Node, feed_of


class LoadFacts(PlaceFacts):
    """Facts of a load; its reference is ``load FV1``."""

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Any]]:
        """Every load that states a voltage it needs, or that may be driven backwards."""
        for name, load in board.load.items():
            if load.least_voltage is not None or _may_be_lifted(board, name):
                yield f"load {name}", load

    @property
    def name(self) -> str:
        """The load's name on the board."""
        return self.ref.removeprefix("load ")

    def reaches(self) -> Fact:
        return current_path.voltage_at(self.situation, self.name)

    def least_voltage(self) -> Fact:
        return current_path.voltage_needed(self.situation, self.name)

    def driven_back(self) -> Fact:
        switch = self.board.switch_of(self.name)
        if switch is None or not _may_be_lifted(self.board, self.name):
            return NOT_STATED
        return Node(self, switch).above(feed_of(self.board, self.name), isinstance(self.place, LedString))

    def reverse_limit(self) -> Fact:
        limit = getattr(self.place, "reverse_limit", None)
        if limit is None:
            return Fact(NAN, "", (f"{self.name}.reverse_limit",))
        return Fact(limit, f"{self.name}.reverse_limit")


def _may_be_lifted(board: Board, name: str) -> bool:
    """True for a load of one direction with a coil, another feed, or for LEDs a cable, on its switch's node."""
    load, switch = board.load[name], board.switch_of(name)
    if switch is None or not isinstance(load, OneWay):
        return False
    beside = [other for other in board.role[switch].load if other != name]  # type: ignore[union-attr]
    feeds = {feed_of(board, other) for other in beside} - {feed_of(board, name)}
    loads = [board.load[other] for other in (*beside, name) if other in board.load]
    wired = isinstance(load, LedString) and any(one.cable is not None for one in loads)
    return bool(feeds) or wired or any(isinstance(one, Coil | Motor) for one in loads)


class GroundFacts(PlaceFacts):
    """Facts of the return that the switches share; its reference is ``ground``."""

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Any]]:
        """The ground of a board that limits its lift."""
        if board.limits.ground_lift is not None:
            yield "ground", board.ground

    def lift(self) -> Fact:
        return current_path.ground_lift(self.situation)

    def ground_lift(self) -> Fact:
        return stated(self.board.limits.ground_lift, "limits.ground_lift")
