"""Facts of cables and tracks, which no catalog part fills."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from partcheck.board import Board
from partcheck.board.roles import Track
from partcheck.physics import conductors
from partcheck.physics.conductor_data import SQUARE_MIL
from partcheck.requirement import Fact, Role
from partcheck.situation import clearance, copper, current_path, paths
from partcheck.situation.copper import Run
from partcheck.situation.facts import NOT_STATED, PlaceFacts, stated

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

LAMINATE = 403.15
"""K: temperature limit of common FR-4 laminate, 130 °C (UL; from memory)."""


class CableFacts(PlaceFacts):
    """Facts of the cable of a load, or of the feed of a rail."""

    def __init__(self, situation: "Situation", ref: str, role: Role, place: Run) -> None:
        super().__init__(situation, ref, role, place.cable)
        self.run, self.load, self.rail = place, place.load, place.rail

    def where(self, key: str) -> str:
        """How a key of this cable is written in an explanation."""
        return self.run.where(key)

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Run]]:
        """Every load cable and rail feed of a board."""
        for name, load in board.load.items():
            if load.cable is not None:
                yield (run := Run(load.cable, load.rail, name)).name, run
        for name, rail in board.rail.items():
            if rail.feed is not None:
                yield (run := Run(rail.feed, name)).name, run

    def heating_current(self) -> Fact:
        return copper.cable_heating(self.situation, self.run)

    def fault_current(self) -> Fact:
        return paths.fault(self.situation, self.rail, [])

    def wire_allowed(self) -> Fact:
        return copper.wire_allowed(self.run)

    def resistance(self) -> Fact:
        return copper.cable_resistance(self.situation, self.run)

    def load_current(self) -> Fact:
        if self.load is None:
            return NOT_STATED
        return next(
            link.current for link in current_path.path_of(self.situation, self.load) if link.stage == current_path.CABLE
        )

    def left_to_wire(self) -> Fact:
        if self.load is None:
            return NOT_STATED
        return current_path.voltage_at(self.situation, self.load, current_path.CABLE)

    def least_voltage(self) -> Fact:
        return current_path.voltage_needed(self.situation, self.load) if self.load is not None else NOT_STATED


class TrackFacts(PlaceFacts):
    """Facts of a copper track."""

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Track]]:
        """Every track of a board."""
        return ((f"track {name}", track) for name, track in board.track.items())

    def where(self, key: str) -> str:
        """How a key of this track is written in an explanation."""
        return f"track.{self.ref.removeprefix('track ')}.{key}"

    def heating_current(self) -> Fact:
        return copper.track_heating(self.situation, self.place)

    def start_current(self) -> Fact:
        return copper.track_start(self.situation, self.place)[0]

    def start_rise(self) -> Fact:
        return copper.track_start(self.situation, self.place)[1]

    def fault_current(self) -> Fact:
        return paths.fault(self.situation, self.place.rail, self.place.load)

    def width(self) -> Fact:
        return Fact(self.place.width, self.where("width"))

    def thickness(self) -> Fact:
        return Fact(self.place.thickness, self.where("thickness"))

    def fit_factor(self) -> Fact:
        outside = ", 70 % of its current as newer charts allow" if self.place.layer == "external" else ""
        return Fact(copper.fit_factor(self.place), f"IPC-2221 fit, {self.place.layer} layer{outside}")

    def fit_width(self) -> Fact:
        return Fact(conductors.TRACK_WIDTH_MAX, "end of the IPC-2221 fit")

    def fit_rise(self) -> Fact:
        return Fact(conductors.TRACK_RISE_MAX, "end of the IPC-2221 fit")

    def kelvin(self) -> Fact:
        return Fact(1.0, "unit of the fit")

    def ampere(self) -> Fact:
        return Fact(1.0, "unit of the fit")

    def square_mil(self) -> Fact:
        return Fact(SQUARE_MIL, "unit of the fit")

    def rise_allowed(self) -> Fact:
        return copper.rise_allowed(self.situation)

    def laminate_limit(self) -> Fact:
        return Fact(LAMINATE, "common FR-4 laminate")

    def spacing(self) -> Fact:
        return stated(self.place.spacing, self.where("spacing"))

    def clearance_needed(self) -> Fact:
        return clearance.spacing_needed(self.situation, clearance.board_peak(self.situation))
