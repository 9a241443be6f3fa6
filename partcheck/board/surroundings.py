"""What surrounds the parts: air, copper, rails, chips, drives, and what may be on at once."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from partcheck.board import fields as f


class BoardEntry(BaseModel):
    """Any table of a board file: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, populate_by_name=True, defer_build=True)


class Surroundings(BoardEntry):
    """Air, copper and place."""

    ambient: f.Air = Field(description="air outside the enclosure, coldest..hottest")
    copper: f.Temperature | None = Field(
        None, description="hottest board copper; where left out, the allowed rise over ambient"
    )
    enclosure_theta: f.EnclosureTheta | None = Field(
        None,
        description="air inside over air outside, per watt of all parts, poles, tracks and the return; "
        "cables and sources lie outside",
    )
    wet: bool = Field(False, description="true where terminals may be touched with wet hands")
    unattended: bool = Field(False, description="true where a load may move or heat with nobody near")


class Limits(BoardEntry):
    """Demands of the whole board; what is left out is not asked."""

    noise: f.Volt | None = Field(None, description="noise on a drive's low level; where left out, the policy's")
    ground_lift: f.VoltLimit | None = Field(
        None, description="largest allowed voltage across the shared return, poles included"
    )
    contact_drop: f.VoltLimit | None = Field(None, description="largest allowed drop across one terminal pole")
    track_rise: f.Rise | None = Field(None, description="largest allowed rise of a track; where left out, 20 K")
    clearance_column: Literal["B1", "B2", "B3", "B4", "A5", "A6", "A7"] | None = Field(
        None,
        description="column of the spacing table for clearances: B1, B2, B3, B4, A5, A6 or A7 of IPC-2221 table 6-1",
    )
    clearance_table: Literal["widest", "ansi-ipc-d-275", "ipc-2221"] = Field(
        "widest", description="spacing table: the newer, its predecessor, or the wider spacing of the two"
    )


class ReplacementResistor(BoardEntry):
    """The resistors that are at hand when a value has to change."""

    tolerance: f.Tolerance = Field(0.01, description="as a share or in %")
    power: f.Watt = Field(0.125, description="power rating")
    full_power_to: f.Temperature = Field(343.15, description="ambient up to which it carries full power")
    no_power_at: f.Temperature = Field(428.15, description="ambient at which it carries none")


class Ground(BoardEntry):
    """The return that all switches share."""

    resistance: f.Resistance = Field(0.0, description="largest resistance between the drives' ground and the switches")
    drive_rises: bool = Field(False, description="true where the drives' own ground is lifted with the return")


class Cable(BoardEntry):
    """Wire to a load or from a source."""

    length: f.CableLength = Field(description="length one way")
    wire: f.Wire = Field(description="copper cross-section, '0.75 mm2' or '20 AWG'")
    temperature: f.Temperatures | None = Field(None, description="of the copper; where left out, ambient..+20 K")
    path: Literal["round-trip", "single"] = Field("round-trip", description="single where only one leg is wire")
    inductance: f.Henry | None = Field(
        None, description="of the whole loop; where left out, as the policy assumes for the length"
    )
    rating: f.SupplyLimit | None = Field(None, description="allowed current, typed by the user")
    table: Literal["chassis", "power-transmission", "mil-std-975m-single"] | None = Field(
        None, description="published table from which the allowed current is read"
    )
    insulation: f.Temperature | None = Field(
        None,
        description="rated temperature of its insulation; mil-std-975m-single is for 200 °C, and allows less for less: "
        "unproven without",
    )

    @property
    def legs(self) -> int:
        """How many times the length the current runs."""
        return 2 if self.path == "round-trip" else 1


class Rail(BoardEntry):
    """A supply: from outside, or from a regulator of the board."""

    voltage: f.RailVolts | None = Field(None, description="at the source; left out where a regulator makes it")
    regulator: str | None = Field(None, description="reference of the regulator that makes this rail")
    alternating: bool = Field(False, description="true is refused: this tool is for direct current")
    current: f.SupplyLimit | None = Field(None, description="what the source may deliver")
    fault_current: f.SupplyLimit | None = Field(
        None, description="what a short draws for longer than an instant (fuse, limit)"
    )
    fuse_i2t: f.FuseIntegral | None = Field(
        None, description="largest I²t that its fuse lets through in a short, melting and arc together"
    )
    source_resistance: f.Resistances | None = Field(None, description="of the source")
    protection_drop: f.Drops | None = Field(None, description="drop of a diode between source and board")
    feed: Cable | None = Field(None, description="wire between source and board")
    feed_resistance: f.Resistances | None = Field(None, description="of the feed, typed instead of a wire")
    capacitance: f.Farad | None = Field(
        None,
        description="on the board, with tolerance; takes the feed's current when loads go off, empties into a short",
    )
    capacitance_esr: f.Resistances | None = Field(None, description="series resistance of that capacitance")
    transient: f.RailVolt | None = Field(
        None,
        description="highest short voltage at the board; it appears across open switches, diodes, inputs, terminals",
    )
    rise_time: f.RiseTime | None = Field(
        None,
        description="time in which it would come up if it rose all the way as steeply as it does anywhere (switched "
        "on, plugged in); where it is stated, MOSFETs on it must stay off meanwhile",
    )
    logic_current: f.Amperes | None = Field(None, description="what the logic on this rail takes")
    accepts: f.Accepts | None = Field(None, description="supply that the logic on this rail accepts")
    other_current: f.Amperes | None = Field(None, description="anything else this rail feeds on the board")
    battery: f.AmpereLimit | None = Field(None, description="largest quiescent current a battery allows")

    @model_validator(mode="after")
    def _one_source(self) -> "Rail":
        if self.alternating:
            raise ValueError("an a.c. supply is outside this tool, which is for direct current only")
        if (self.voltage is None) == (self.regulator is None):
            raise ValueError("state either voltage (a supply from outside) or regulator (a rail made on the board)")
        if self.feed is not None and self.feed_resistance is not None:
            raise ValueError("state feed or feed_resistance, not both")
        return self


class Chip(BoardEntry):
    """A package of drive outputs, with its limits."""

    supply: str | None = Field(None, description="rail that feeds its outputs")
    pin_current: f.SupplyLimit | None = Field(None, description="largest current of one output")
    total_current: f.SupplyLimit | None = Field(None, description="largest current of all outputs together")


class Drive(BoardEntry):
    """A logic output.

    ``high`` and ``low`` are unloaded levels where ``source_resistance`` is stated alone; levels at a current up
    to ``high_at`` where that is stated. With both, only the current above ``high_at`` drops in the resistance.
    No level is counted higher than the supply of the chip, and one that reaches the usual supply reaches the largest.
    """

    chip: str | None = Field(None, description="the chip it belongs to")
    high: f.LevelHigh = Field(description="high level, least..largest")
    low: f.LevelLow = Field(description="low level, least..largest")
    high_at: f.Ampere | None = Field(None, description="current up to which the high level is stated")
    source_resistance: f.Resistances | None = Field(None, description="output resistance")
    edge_time: f.EdgeTimes | None = Field(None, description="its own rise and fall time")
    pin_current: f.SupplyLimit | None = Field(None, description="largest current; where left out, the chip's")
    floats: bool | None = Field(
        None,
        description="true where it may be undriven (reset, open connector), false where it never is; where left "
        "out it may be, and a pull-down or base-emitter resistor has to hold what it drives",
    )
    leakage: f.Ampere | None = Field(
        None,
        description="largest current of the output while it is undriven, a pull-up in reset and LEDs that leak "
        "backwards counted; where left out, as the policy assumes",
    )

    @model_validator(mode="after")
    def _known_strength(self) -> "Drive":
        if self.high_at is None and self.source_resistance is None:
            raise ValueError("state high_at (the current at which the high level holds) or source_resistance")
        return self


class AtOnce(BoardEntry):
    """Of these loads (and indicators), no more than so many are on at the same time."""

    of: list[str] = Field(min_length=1, description="names of loads and references of indicators")
    most: int = Field(ge=1, le=1000, description="how many of them at once; the largest currents count")
