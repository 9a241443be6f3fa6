"""Facts of cables and tracks, which no catalog part fills."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from partcheck.board import Board
from partcheck.board.roles import Track
from partcheck.board.surroundings import Cable
from partcheck.physics import conductors
from partcheck.physics.conductor_data import SQUARE_MIL, WIRE_TABLES
from partcheck.requirement import Fact, Role
from partcheck.situation import clearance, paths
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, stated
from partcheck.situation.links import cable_resistance, cable_temperature
from partcheck.situation.many import many, show
from partcheck.situation.sums import return_heating, return_peak

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

BUNDLED = "mil-std-975m-single"
"""The one table whose source gives a factor for wires that lie side by side."""
USUAL_RISE = 20.0
"""K: rise of a track where the board states no limit (common practice, no published source)."""
LAMINATE = 403.15
"""K: temperature limit of common FR-4 laminate, 130 °C (UL; from memory)."""


@dataclass(frozen=True)
class Run:
    """A cable, and what it leads to: a load, or with none the whole rail."""

    cable: Cable
    rail: str
    load: str | None = None


class CableFacts(PlaceFacts):
    """Facts of the cable of a load, or of the feed of a rail."""

    def __init__(self, situation: "Situation", ref: str, role: Role, place: Run) -> None:
        super().__init__(situation, ref, role, place.cable)
        self.load, self.rail = place.load, place.rail

    def where(self, key: str) -> str:
        """How a key of this cable is written in an explanation."""
        return f"{self.load}.cable.{key}" if self.load is not None else f"rail.{self.rail}.feed.{key}"

    @staticmethod
    def found(board: Board) -> Iterator[tuple[str, Run]]:
        """Every load cable and rail feed of a board."""
        for name, load in board.load.items():
            if load.cable is not None:
                yield f"cable {name}", Run(load.cable, load.rail, name)
        for name, rail in board.rail.items():
            if rail.feed is not None:
                yield f"feed {name}", Run(rail.feed, name)

    def heating_current(self) -> Fact:
        if self.load is not None:
            return paths.load_heating(self.situation, [self.load])
        return return_heating(self.situation, self.rail, [])

    def load_current(self) -> Fact:
        return self.situation.load(self.load).largest if self.load is not None else NOT_STATED

    def fault_current(self) -> Fact:
        return paths.fault(self.situation, self.rail, [])

    def wire_allowed(self) -> Fact:
        if self.place.rating is not None:
            return Fact(self.place.rating, self.where("rating"))
        table = self.place.table
        if table is None:
            return NOT_STATED
        amperes = conductors.wire_current(table, self.place.wire)
        area = show(self.place.wire, "m²")
        if amperes is None:
            return Fact(math.nan, "", (f"a row of the table {table} for {area} or less",))
        source = f"table {table}, {area} ({WIRE_TABLES[table].note})"
        if table == BUNDLED:  # its single wire at 70 °C in vacuum, insulation for 200 °C
            amperes *= conductors.bundle_factor(self.place.legs) or 1.0
            source += f", {self.place.legs} in a bundle"
        return Fact(amperes, source)

    def resistance(self) -> Fact:
        hot = show(cable_temperature(self.situation, self.place), "°C")
        legs = "both legs" if self.place.legs == 2 else "one leg"
        return Fact(cable_resistance(self.situation, self.place), f"{self.ref}: {legs} at {hot}, IEC 60228 class 5")

    def rail_least(self) -> Fact:
        return self.situation.rail(self.rail).least

    def on_drop(self) -> Fact:
        ref = self.board.switch_of(self.load) if self.load is not None else None
        if ref is None:
            return Fact(0.0, "no switch in series")
        drop, lift = self.situation.quantity(ref, "on_drop_hot"), self.situation.facts(ref)["lift"]
        if not many(lift.value) and lift.value == 0:
            return drop
        return combine(drop.value + lift.value, f"{drop.source} + lift of {show(lift.value, 'V')}", drop, lift)

    def least_voltage(self) -> Fact:
        value = self.board.load[self.load].least_voltage if self.load is not None else None
        return stated(value, f"{self.load}.least_voltage")


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
        if self.place.rail is not None:
            return return_heating(self.situation, self.place.rail, self.place.load)
        return paths.load_heating(self.situation, self.place.load)

    def peak_current(self) -> Fact:
        return return_peak(self.situation, self.place.rail, self.place.load)

    def fault_current(self) -> Fact:
        return paths.fault(self.situation, self.place.rail, self.place.load)

    def width(self) -> Fact:
        return Fact(self.place.width, self.where("width"))

    def thickness(self) -> Fact:
        return Fact(self.place.thickness, self.where("thickness"))

    def fit_factor(self) -> Fact:
        outside = self.place.layer == "external"
        factor = conductors.TRACK_OUTSIDE if outside else conductors.TRACK_INSIDE
        return Fact(factor, f"IPC-2221 fit, {self.place.layer} layer")

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
        limit = self.board.limits.track_rise
        return Fact(USUAL_RISE, "usual limit") if limit is None else Fact(limit, "limits.track_rise")

    def laminate_limit(self) -> Fact:
        return Fact(LAMINATE, "common FR-4 laminate")

    def resistance(self) -> Fact:
        if self.place.length is None:
            return Fact(math.nan, "", (self.where("length"),))
        copper, length = self._copper(), self.place.length
        area = conductors.track_area(self.place.width, self.place.thickness)
        ohms = conductors.copper_resistance(length, area, copper.value)
        source = f"{self.ref}: {show(length, 'm')} at {show(copper.value, '°C')} ({copper.source})"
        return combine(ohms, source, copper)

    def _copper(self) -> Fact:
        """Hottest copper of the track."""
        stated_ = self.board.surroundings.copper
        if stated_ is not None:
            return Fact(stated_, "surroundings.copper")
        air, rise = self["ambient_max"], self["rise_allowed"]
        return combine(air.value + rise.value, "hottest air and the rise allowed", air)

    def ground_lift(self) -> Fact:
        returns = self.place.rail is not None and self.place.length is not None
        limit = self.board.limits.ground_lift if returns else None
        return stated(limit, "limits.ground_lift")

    def spacing(self) -> Fact:
        return stated(self.place.spacing, self.where("spacing"))

    def clearance_needed(self) -> Fact:
        return clearance.spacing_needed(self.situation, clearance.board_peak(self.situation))
