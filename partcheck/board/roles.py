"""The places on a board that parts fill, and the tracks between them."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from partcheck.board import fields as f
from partcheck.board.loads import Chopped
from partcheck.board.surroundings import BoardEntry
from partcheck.units import Span


class FittedPart(BoardEntry):
    """A part by number, and maker where two makers share a number."""

    part_number: str = Field(min_length=1)
    maker: str = ""


def _number_alone(raw: object) -> object:
    return {"part_number": raw} if isinstance(raw, str) else raw


Fitted = Annotated[
    FittedPart,
    BeforeValidator(_number_alone),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string"},
                {
                    "type": "object",
                    "properties": {"part_number": {"type": "string"}, "maker": {"type": "string"}},
                    "required": ["part_number"],
                    "additionalProperties": False,
                },
            ],
            "x-takes": "a part number, or { part_number, maker }",
        }
    ),
]


class Place(BoardEntry):
    """What every place may state."""

    fitted: Fitted | None = Field(None, description="part number, or { part_number, maker }")
    footprint: f.Packages = Field(default=[], description="package or packages that the land pattern takes")
    pin_order: str = Field("", description="pin functions by pin number, such as G-D-S")
    theta_ja: f.Theta | None = Field(None, description="junction to ambient as mounted here")
    copper_area: f.CopperArea | None = Field(None, description="copper at the part, to choose theta_ja")
    use_factor: f.UseFactor | None = Field(None, description="own largest share of any rating")
    tj_limit: f.Temperature | None = Field(None, description="own highest junction temperature")
    note: str = ""


class Switch(Place):
    """A low-side switch: one drive, one or more things between the rail and it."""

    drive: str = Field(description="drive that turns it on")
    load: f.Names = Field(min_length=1, description="load or loads, and indicators, that it switches")
    lift: f.Volt | None = Field(None, description="lift of its return above the drive's ground, stated directly")
    resistor_full_power_to: f.Temperature = Field(
        343.15, description="ambient up to which its resistors carry full power"
    )
    resistor_no_power_at: f.Temperature = Field(428.15, description="ambient at which they carry none")

    @property
    def holds_off(self) -> Span | None:
        """The resistor that holds it off while nothing drives it; None where none is fitted."""
        return None


class MosfetSwitch(Switch):
    """A MOSFET that pulls a load to ground."""

    role: Literal["mosfet-switch"]
    gate_resistor: f.Resistor | None = Field(None, description="in series with the gate")
    pulldown: f.Resistor | None = Field(None, description="from gate to ground")
    pulldown_side: Literal["gate", "drive"] = Field("gate", description="side of the gate resistor it sits on")
    pulldown_power: f.Watt | None = Field(None, description="power rating of the pull-down; where left out, not asked")

    @model_validator(mode="after")
    def _rated(self) -> "MosfetSwitch":
        if self.pulldown_power is not None and self.pulldown is None:
            raise ValueError("pulldown_power rates a pull-down that is not stated; state pulldown as well")
        return self

    @property
    def holds_off(self) -> Span | None:
        """Its pull-down."""
        return self.pulldown


class NpnSink(Switch):
    """An NPN transistor that pulls a load to ground."""

    role: Literal["npn-sink"]
    base_resistor: f.Resistor = Field(description="in series with the base")
    base_emitter_resistor: f.Resistor | None = Field(None, description="from base to emitter")
    base_resistor_power: f.Watt | None = Field(
        None, description="power rating of the base resistor; where left out, not asked"
    )
    base_emitter_power: f.Watt | None = Field(
        None, description="power rating of the base-emitter resistor; where left out, not asked"
    )

    @model_validator(mode="after")
    def _rated(self) -> "NpnSink":
        if self.base_emitter_power is not None and self.base_emitter_resistor is None:
            raise ValueError(
                "base_emitter_power rates a resistor that is not stated; state base_emitter_resistor as well"
            )
        return self

    @property
    def holds_off(self) -> Span | None:
        """Its base-emitter resistor."""
        return self.base_emitter_resistor


class Indicator(Place):
    """An LED behind a resistor."""

    role: Literal["indicator"]
    rail: str | None = Field(None, description="rail that feeds it")
    drive: str | None = Field(None, description="drive output that feeds it")
    switch: str | None = Field(None, description="low-side switch in series")
    switch_voltage: f.Drops | None = Field(None, description="a generic switch in series: its fixed drop")
    switch_resistance: f.Resistances | None = Field(None, description="a generic switch in series: its resistance")
    in_series: int = Field(1, ge=1, le=40, description="how many LEDs in series")
    resistor: f.Resistor = Field(description="series resistor, with tolerance")
    resistor_power: f.Watt | None = Field(None, description="power rating; where left out, not asked")
    resistor_full_power_to: f.Temperature = Field(343.15, description="ambient up to which it carries full power")
    resistor_no_power_at: f.Temperature = Field(428.15, description="ambient at which it carries none")
    least_current: f.AmpereLimit | None = Field(None, description="least current through the LED")
    brightness: f.Candelas | None = Field(None, description="wanted luminous intensity, least..largest")
    wavelength: f.Wavelengths | None = Field(None, description="wanted dominant wavelength, shortest..longest")
    viewing_angle: f.Angles | None = Field(None, description="wanted full viewing angle, least..largest")
    current_spread: f.Ratio | None = Field(None, description="largest ratio of largest to least current")
    reverse_voltage: f.ReverseVolt | None = Field(None, description="reverse voltage it may see")
    dark_current: f.AmpereLimit | None = Field(None, description="largest current at which it must look dark")
    chopped: Chopped | None = Field(None, description="pulse-width modulation")
    rate: f.Rate | None = Field(None, description="how often it blinks")

    @model_validator(mode="after")
    def _one_feed(self) -> "Indicator":
        if (self.rail is None) == (self.drive is None):
            both = "it states both rail and drive; state the one of them that feeds it"
            raise ValueError("state what feeds it: rail or drive" if self.rail is None else both)
        if self.switch is not None and (self.switch_voltage or self.switch_resistance):
            raise ValueError("state switch (a reference) or a generic switch, not both")
        return self


class Clamp(Place):
    """A diode, Zener or TVS that takes a coil's current when its switch opens."""

    role: Literal["clamp"]
    load: str = Field(description="the load whose energy it takes")
    across: Literal["load", "switch"] = Field("load", description="where it sits")
    conducts: Literal["forward", "breakdown"] = Field("forward", description="as a diode, or by breaking down")
    in_series_with: str | None = Field(None, description="the other part of a diode-plus-Zener clamp")
    position: Literal["board", "load"] = Field("board", description="at the board, or at the far end of the cable")


class Regulator(Place):
    """A linear regulator."""

    role: Literal["regulator"]
    input: str = Field(description="rail that feeds it")
    output: str = Field(description="rail that it makes")
    output_capacitor: f.Farad | None = Field(None, description="fitted, with tolerance")
    output_esr: f.Resistances | None = Field(None, description="series resistance of that capacitor")
    upper_resistor: f.Resistor | None = Field(None, description="adjustable part: output to adjust pin")
    lower_resistor: f.Resistor | None = Field(None, description="adjustable part: adjust pin to ground")
    back_feed: f.Volt | None = Field(None, description="how far the output may be above the input")


class Pole(BoardEntry):
    """One pole, or several in parallel, of a terminal."""

    pole: f.Numbers = Field(min_length=1, description="number, or numbers of poles in parallel")
    side: Literal["supply", "feed", "switched", "return"] = Field(
        description="supply: a rail comes in; feed: a load's rail goes out; switched: back from the load; "
        "return: to the source"
    )
    rail: str | None = Field(None, description="for supply and return: the rail whose current passes")
    load: f.Names = Field(default=[], description="for feed and switched: the load or loads; for return: only these")

    @model_validator(mode="after")
    def _something_passes(self) -> "Pole":
        if self.side in ("feed", "switched") and not self.load:
            raise ValueError(f"a {self.side} pole names the load that passes through it")
        if self.side in ("supply", "return") and self.rail is None and not self.load:
            raise ValueError(f"a {self.side} pole names the rail whose current passes through it")
        return self


class Terminal(Place):
    """A screw terminal to the outside."""

    role: Literal["terminal"]
    poles: list[Pole] = Field(min_length=1, description="what passes through which pole")
    wire: f.Wire | None = Field(None, description="cross-section clamped in it")
    pitch: f.Gap | None = Field(None, description="pitch of the land pattern")
    spacing: f.Gap | None = Field(None, description="least gap between neighbouring poles' metal")
    ambient: f.Temperature | None = Field(None, description="air at the terminal, where it differs")


AnyRole = Annotated[MosfetSwitch | NpnSink | Indicator | Clamp | Regulator | Terminal, Field(discriminator="role")]


class Track(BoardEntry):
    """A copper track that carries load current."""

    width: f.Width = Field(description="finished, least")
    thickness: f.Thickness = Field(description="finished copper, least")
    length: f.BoardLength | None = Field(None, description="for its drop; where left out, drops over it are unproven")
    layer: Literal["external", "internal"] = Field("external", description="outer or inner layer")
    load: f.Names = Field(default=[], description="loads whose current it carries")
    rail: str | None = Field(None, description="carries the current of this whole rail, or of its loads named in load")
    side: Literal["feed", "switched", "return"] = Field(
        "return", description="where it lies: from the rail to a load, from a load to its switch, or on the way back"
    )
    spacing: f.Gap | None = Field(None, description="least gap to its neighbour")

    @model_validator(mode="after")
    def _something_passes(self) -> "Track":
        if not self.load and self.rail is None:
            raise ValueError("name the load, or the rail, whose current passes through it")
        return self
