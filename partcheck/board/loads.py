"""What a channel switches: coils, lamps, motors, heaters, LED strings, inputs of other devices, electronics."""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, model_validator

from partcheck.board import fields as f
from partcheck.board.measured import Reading, measured_span
from partcheck.board.surroundings import BoardEntry, Cable
from partcheck.units import Span


class Chopped(BoardEntry):
    """A load that is switched on and off faster than it answers."""

    frequency: f.Hertz = Field(description="of the chopping")
    duty: f.Duties = Field(description="share of the time on, least..largest")
    group: str = Field("", description="loads of one group are chopped in phase")


class Load(BoardEntry):
    """What every load may state."""

    rail: str = Field(description="rail that feeds it")
    count: int = Field(1, ge=1, le=1000, description="how many are in parallel on this one channel")
    current: f.Drawn | None = Field(None, description="current of one load, stated directly")
    extra_current: f.Amperes | None = Field(None, description="further current on the same channel")
    allowed_drop: f.VoltLimit | None = Field(None, description="largest drop across the switch")
    least_voltage: f.VoltLimit | None = Field(
        None, description="least voltage across the load at which it works; of a coil with its winding at 20 °C"
    )
    off_leakage: f.Ampere | None = Field(None, description="largest current through it while off")
    rate: f.Rate | None = Field(None, description="how often it is switched off")
    chopped: Chopped | None = Field(None, description="pulse-width modulation")
    edge_limit: f.EdgeTime | None = Field(None, description="longest switching edge allowed")
    edge_least: f.EdgeTime | None = Field(None, description="shortest switching edge allowed (ringing)")
    cable: Cable | None = Field(None, description="wire to it")
    alternating: bool = Field(False, description="true is refused: this tool is for direct current")

    @model_validator(mode="after")
    def _direct_current(self) -> "Load":
        if self.alternating:
            raise ValueError("an a.c. load is outside this tool, which is for direct current only")
        return self


class Measured(Load):
    """A load of which a person may measure the resistance with a meter, which then stands for the stated one."""

    COPPER: ClassVar[bool] = True
    """A winding, whose resistance rises with its temperature as copper's does."""
    measured: Reading | None = Field(
        None,
        description="resistance of this very piece as measured, at its temperature then, in place of resistance; "
        "without a tolerance of the meter ±2 % is taken, and of one temperature ±2 K",
    )

    @model_validator(mode="before")
    @classmethod
    def _by_measurement(cls, data: Any) -> Any:
        if not isinstance(data, dict) or data.get("measured") is None:
            return data
        stated = data.get("resistance")
        if stated is not None and not isinstance(stated, Span):
            raise ValueError(
                "state resistance or measured, not both: a measured value takes the place of the datasheet's spread"
            )
        try:
            return data | {"resistance": measured_span(data["measured"], cls.COPPER)}
        except ValueError:  # told of its own key
            return data | {"resistance": Span(1.0, 1.0, 2.0)}

    @model_validator(mode="after")
    def _worked_out(self) -> "Measured":
        if self.measured is not None:
            self.__pydantic_fields_set__.discard("resistance")  # worked out, not stated
        return self


class Coil(Measured):
    """A valve, relay or solenoid."""

    sort: Literal["coil"]
    resistance: f.Resistor = Field(description="of the winding at 20 °C, with tolerance; left out where it is measured")
    inductance: f.Henry | None = Field(None, description="with tolerance")
    winding_temperature: f.Temperatures | None = Field(None, description="coldest..hottest; where left out, ambient")
    release_time: f.ReleaseTime | None = Field(None, description="longest time allowed to let go")
    release_level: f.AmpereLimit | None = Field(
        None, description="current of one load at which it has certainly let go"
    )

    @model_validator(mode="after")
    def _whole_release(self) -> "Coil":
        if (self.release_time is None) != (self.release_level is None):
            raise ValueError("state release_time and release_level together")
        if self.release_time is not None and self.inductance is None:
            raise ValueError("release_time needs the inductance")
        return self


class Lamp(Load):
    """A filament lamp: cold it draws many times its hot current."""

    sort: Literal["lamp"]
    current: f.Drawn = Field(description="hot current of one at the highest rail voltage")
    inrush_factor: f.InrushFactor = Field(description="cold current as a multiple of the hot one")
    inrush_time: f.InrushTime = Field(description="how long the inrush lasts")


class Motor(Measured):
    """A direct-current motor."""

    sort: Literal["motor"]
    current: f.Drawn = Field(description="running current")
    stall_current: f.AmpereLimit = Field(description="current of one with the shaft held, at the highest rail")
    stall_time: f.InrushTime | None = Field(None, description="longest start or stall; where left out, for ever")
    inductance: f.Henry | None = Field(None, description="of the winding, with tolerance")
    resistance: f.Resistor | None = Field(
        None, description="of the winding, with tolerance; left out where it is measured"
    )


class Resistive(Measured):
    """A heater or another plain resistance."""

    COPPER: ClassVar[bool] = False
    sort: Literal["resistive"]
    resistance: f.Resistor | None = Field(None, description="with tolerance; left out where it is measured")

    @model_validator(mode="after")
    def _some_current(self) -> "Resistive":
        if self.resistance is None and self.current is None:
            raise ValueError("state resistance, measured or current")
        return self


class OneWay(Load):
    """What the loads state that harm may come to when their current would flow backwards."""

    reverse_limit: f.ReverseLimit | None = Field(
        None,
        description="largest reverse voltage that it withstands, its switched end above its rail; needed where other "
        "loads on its switch may lift that end that far",
    )


class LedString(OneWay):
    """LEDs outside the board, behind their own resistor or with a stated current."""

    sort: Literal["led-string"]
    forward_voltage: f.Drops | None = Field(None, description="of the whole string, at its current")
    resistance: f.Resistor | None = Field(None, description="in series with the string, with tolerance")

    @model_validator(mode="after")
    def _some_current(self) -> "LedString":
        if self.current is None and (self.forward_voltage is None or self.resistance is None):
            raise ValueError("state current, or forward_voltage and resistance")
        return self


class LogicInput(OneWay):
    """The input of another device, pulled down by the channel."""

    sort: Literal["logic-input"]
    current: f.Drawn = Field(description="what it sources while pulled low")
    low_level: f.VoltLimit | None = Field(None, description="highest voltage that it still reads as low")


class Capacitive(OneWay):
    """Electronics, or anything else with a capacitor at its input: at each start it charges."""

    sort: Literal["capacitive"]
    current: f.Drawn = Field(description="running current of one, at any voltage of its rail")
    capacitance: f.Farad | None = Field(
        None, description="at its input, with tolerance; without it its start is unproven"
    )
    series_resistance: f.SeriesResistances | None = Field(
        None,
        description="of that capacitor and what lies ahead of it in the load, least..largest, without the cable; "
        "without it its start is unproven",
    )


AnyLoad = Annotated[Coil | Lamp | Motor | Resistive | LedString | LogicInput | Capacitive, Field(discriminator="sort")]
