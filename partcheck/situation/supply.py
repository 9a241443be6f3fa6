"""Facts of a rail and of a chip that drives: the board's own sums."""

from collections.abc import Iterator
from typing import Any

from partcheck.board import Board
from partcheck.board.fields import MOST_VOLTS
from partcheck.board.relations import LEVEL_SLACK
from partcheck.requirement import Fact
from partcheck.situation import crossfeed, sums
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, stated
from partcheck.situation.many import highest
from partcheck.situation.stores import rail_surge


class RailFacts(PlaceFacts):
    """Facts of a rail; its reference is ``rail V12``."""

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Any]]:
        """Every rail."""
        return ((f"rail {name}", rail) for name, rail in board.rail.items())

    @property
    def name(self) -> str:
        """The rail's name on the board."""
        return self.ref.removeprefix("rail ")

    def where(self, key: str) -> str:
        """How a key of this rail is written in an explanation."""
        return f"rail.{self.name}.{key}"

    def rail_current(self) -> Fact:
        return self.situation.rail_current(self.name)

    def source_limit(self) -> Fact:
        return stated(self.place.current, self.where("current"))

    def lasting_current(self) -> Fact:
        return sums.sum_at_once(self.situation, sums.rail_items(self.situation, self.name, peaks=False))

    def fuse_limit(self) -> Fact:
        return stated(self.place.fault_current, self.where("fault_current"))

    def pushed_current(self) -> Fact:
        return crossfeed.pushed_into(self.situation, self.name)

    def sunk_current(self) -> Fact:
        return crossfeed.sunk_by(self.situation, self.name)

    def board_low(self) -> Fact:
        return self.situation.rail(self.name).least

    def board_high(self) -> Fact:
        return self.situation.rail_peak(self.name)

    def surge(self) -> Fact:
        return rail_surge(self.situation, self.name)

    def surge_limit(self) -> Fact:
        return Fact(MOST_VOLTS, "the voltage for which this tool is made")

    def accepts_low(self) -> Fact:
        span = self.place.accepts
        return NOT_STATED if span is None else Fact(span.min, self.where("accepts, lowest"))

    def accepts_high(self) -> Fact:
        span = self.place.accepts
        return NOT_STATED if span is None else Fact(span.max, self.where("accepts, highest"))


class ChipFacts(PlaceFacts):
    """Facts of a chip of drive outputs; its reference is ``chip U2``."""

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Any]]:
        """Every chip."""
        return ((f"chip {name}", chip) for name, chip in board.chip.items())

    @property
    def name(self) -> str:
        """The chip's name on the board."""
        return self.ref.removeprefix("chip ")

    def where(self, key: str) -> str:
        """How a key of this chip is written in an explanation."""
        return f"chip.{self.name}.{key}"

    def chip_current(self) -> Fact:
        return sums.chip_current(self.situation, self.name)

    def total_limit(self) -> Fact:
        return stated(self.place.total_current, self.where("total_current"))

    def highest_level(self) -> Fact:
        levels = [
            Fact(drive.high.max, f"drive.{name}.high, largest")
            for name, drive in self.board.drive.items()
            if drive.chip == self.name
        ]
        return highest(levels) if levels else NOT_STATED

    def level_limit(self) -> Fact:
        if self.place.supply is None:
            return NOT_STATED
        supply = self.situation.rail(self.place.supply).largest
        return combine(LEVEL_SLACK * supply.value, f"{LEVEL_SLACK} · {supply.source}", supply)
