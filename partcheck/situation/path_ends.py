"""Facts of both ends of a current's path: what reaches the load, and how far the shared return is lifted."""

from collections.abc import Iterator
from typing import Any

from partcheck.board import Board
from partcheck.requirement import Fact
from partcheck.situation import current_path
from partcheck.situation.facts import PlaceFacts, stated


class LoadFacts(PlaceFacts):
    """Facts of a load; its reference is ``load FV1``."""

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Any]]:
        """Every load that states a voltage it needs."""
        return ((f"load {name}", load) for name, load in board.load.items() if load.least_voltage is not None)

    @property
    def name(self) -> str:
        """The load's name on the board."""
        return self.ref.removeprefix("load ")

    def reaches(self) -> Fact:
        return current_path.voltage_at(self.situation, self.name)

    def least_voltage(self) -> Fact:
        return current_path.voltage_needed(self.situation, self.name)


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
