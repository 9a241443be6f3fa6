"""A channel as people list it, one row each, and the keys of a board file that such a row states."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import TypeAdapter, ValidationError

from partcheck.board import fields as f
from partcheck.errors import ValueSlip
from partcheck.units import parse_span, show

SORTS = {
    "coil": ("coil", "valve", "solenoid", "relay", "contactor", "magnet", "brake", "clutch"),
    "motor": ("motor", "pump", "fan", "stirrer", "blower", "conveyor"),
    "lamp": ("lamp", "bulb", "filament"),
    "led-string": ("led-string", "led string", "led strip", "led", "light strip", "beacon"),
    "logic-input": ("logic-input", "logic input", "input", "plc", "signal"),
    "resistive": ("resistive", "heater", "resistor", "cartridge", "heating"),
    "capacitive": ("capacitive", "electronics", "controller", "module", "converter", "display", "camera", "sensor"),
}
"""Words by which the sort of a load is known; the first is the format's own."""
SWITCHES = {"mosfet-switch": ("mosfet", "fet", "nmos"), "npn-sink": ("npn", "bjt", "bipolar")}
NONE = ("-", "–", "—", "none", "no", "n/a", "na")


class BadChannel(ValueError):
    """What was stated cannot stand; the sentence says why and what to write instead."""


@dataclass(frozen=True)
class ChannelValue:
    """What a value of a channel must be: the type of the board's field, and what is assumed where it is left out.

    ``spread`` is added to a value that states no tolerance; that is assumed, too.
    """

    meaning: str
    takes: Any = None
    unit: str = ""
    spread: str = ""
    otherwise: str = ""
    example: str = ""


VALUES = {
    "load": ChannelValue("name of the load", example="FV1"),
    "sort": ChannelValue(
        "what it is: coil (valve, relay), motor, lamp, led-string, logic-input, capacitive or resistive",
        example="valve",
    ),
    "voltage": ChannelValue("voltage of its supply", f.RailVolts, "V", "±10 %", example="12 V ±5 %"),
    "current": ChannelValue("current of one", f.Drawn, "A", "±10 %", example="0.33 A"),
    "resistance": ChannelValue("resistance, of a winding at 20 °C", f.Resistor, "Ω", "±10 %", example="36 Ω ±8 %"),
    "inductance": ChannelValue("inductance of a coil or motor", f.Henry, "H", "±30 %", example="60 mH ±20 %"),
    "stall_current": ChannelValue("current of a motor with its shaft held", f.AmpereLimit, "A", example="3 A"),
    "capacitance": ChannelValue("capacitor at the input of electronics", f.Farad, "F", "±20 %", example="100 µF ±20 %"),
    "series_resistance": ChannelValue(
        "resistance ahead of that capacitor, its own counted, least..largest",
        f.SeriesResistances,
        "Ω",
        example="1..3 Ω",
    ),
    "rate": ChannelValue("how often it is switched off", f.Rate, "1/s", otherwise="1 /s", example="1 /s"),
    "cable_length": ChannelValue("length of its cable, one way", f.CableLength, "m", example="3 m"),
    "wire": ChannelValue("cross-section of its cable", f.Wire, "m²", otherwise="0.5 mm²", example="0.75 mm²"),
    "switch": ChannelValue("part that switches it", example="TALQ-30N52"),
    "switch_kind": ChannelValue("mosfet or npn", otherwise="mosfet", example="mosfet"),
    "drive": ChannelValue("logic output that turns it on", example="OUT1"),
    "resistor": ChannelValue("gate or base resistor", f.Resistor, "Ω", "±5 %", example="470 Ω"),
    "hold_off": ChannelValue("pull-down or base-emitter resistor", f.Resistor, "Ω", "±5 %", example="100 kΩ"),
    "clamp": ChannelValue("diode across the load", example="ARFJ-S60A"),
    "indicator": ChannelValue("LED beside the load", example="HOLL-3A60"),
    "indicator_resistor": ChannelValue("resistor of that LED", f.Resistor, "Ω", "±5 %", example="2.7 kΩ"),
    "terminal": ChannelValue("terminal: its part, or a reference with its poles as in J2-3,4", example="J2-3,4"),
}
PARTS = ("switch", "clamp", "indicator", "terminal")
_QUANTITY = re.compile(r"[\d.,]+ *[mkMµun]?(?:Ω|[Oo]hms?|V|A|H|F)(?: .*)?")
_REFERENCE = re.compile(r"[QDJU]\d+")
NEEDED = ("load", "voltage")
ASSUMED_LAMP = {"inrush_factor": 15, "inrush_time": "0.1 s"}
"""A cold filament draws 10 to 15 times its hot current, for some tens of milliseconds (common practice, no source)."""


@dataclass
class Channel:
    """One channel: its values as a board file writes them, and of which of them it was assumed what."""

    values: dict[str, str] = field(default_factory=dict)
    assumed: dict[str, str] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        return self.values.get(name, "")

    def put(self, name: str, text: str) -> None:
        """State a value; :class:`BadChannel` where it cannot stand. An empty text and ``-`` state nothing."""
        text = " ".join(text.split())
        self.values.pop(name, None)
        self.assumed.pop(name, None)
        if not text or text.casefold() in NONE:
            return
        if name == "sort":
            text = _known(text, SORTS, "sort of load")
        elif name == "switch_kind":
            text = _known(text, SWITCHES, "switch")
        elif name == "load" and (".." in text or _REFERENCE.fullmatch(text)):
            raise BadChannel(f"{text!r} reads as a range or as the reference of a part; give the load another name")
        elif name in PARTS and _QUANTITY.fullmatch(text):
            raise BadChannel(f"{text!r} is a value, not a part number ({VALUES[name].meaning}); write its part number")
        self.values[name], spread = checked(VALUES[name], text)
        if spread:
            self.assumed[name] = f"{spread} assumed"

    def complete(self) -> None:
        """Assume what is left out and can be; :class:`BadChannel` where what is left out is needed."""
        for name in NEEDED:
            if not self[name]:
                raise BadChannel(f"{name} is missing ({VALUES[name].meaning}); state it")
        if not self["sort"]:
            self.values["sort"] = _guessed(self)
            self.assumed["sort"] = "assumed by its name and values"
        if not self["switch_kind"]:
            self.values["switch_kind"] = "mosfet-switch"
        sort = self["sort"]
        if sort == "coil" and not self["resistance"]:
            self._winding()
        self._refuse_gaps(sort)
        for name, wanted in (("rate", sort == "coil"), ("wire", bool(self["cable_length"]))):
            if wanted and not self[name]:
                self.values[name] = VALUES[name].otherwise
                self.assumed[name] = "assumed"

    def _refuse_gaps(self, sort: str) -> None:
        """Refuse a channel that leaves out what nothing can be assumed for."""
        if sort in ("lamp", "led-string", "logic-input", "motor", "capacitive") and not self["current"]:
            raise BadChannel(f"current is missing; a {sort} states what it draws")
        if sort == "motor" and not self["stall_current"]:
            raise BadChannel(
                "stall_current is missing (stall current); a motor states what it draws with its shaft held"
            )
        if sort == "resistive" and not self["resistance"] and not self["current"]:
            raise BadChannel("resistance or current is missing; state one of them")
        if self["indicator"] and not self["indicator_resistor"]:
            raise BadChannel(
                f"indicator_resistor is missing (LED resistor, as in 2.2 kΩ); the LED {self['indicator']} needs one"
            )
        if self["switch_kind"] == "npn-sink" and not self["resistor"]:
            raise BadChannel("resistor is missing; an NPN has a base resistor")

    def _winding(self) -> None:
        """The winding by the current it draws at its voltage, as labels state both."""
        if not self["current"]:
            raise BadChannel("resistance is missing; a coil states it, or the current it draws")
        volts, drawn = parse_span(self["voltage"], "V"), parse_span(self["current"], "A")
        ends = (volts.typ / drawn.max, volts.typ / drawn.typ, volts.typ / drawn.min)
        self.values["resistance"] = "..".join(f"{end:.4g}" for end in ends) + " Ω"
        self.assumed["resistance"] = f"assumed: {show(volts.typ, 'V')} over {self.values.pop('current')}, at 20 °C"
        self.assumed.pop("current", None)


def checked(wanted: ChannelValue, text: str) -> tuple[str, str]:
    """A value as a board file writes it, and the tolerance that was added; :class:`BadChannel` where it may not."""
    if wanted.takes is None:
        return text, ""
    spread = ""
    if wanted.spread:
        try:
            spread = wanted.spread if parse_span(text, wanted.unit).exact else ""
        except ValueSlip as slip:
            raise BadChannel(str(slip)) from None
    made = f"{text} {spread}".strip()
    try:
        TypeAdapter(wanted.takes).validate_python(made)
    except ValidationError as slips:
        raise BadChannel(str(slips.errors()[0]["msg"]).removeprefix("Value error, ")) from None
    return made, spread


def _known(text: str, known: Mapping[str, tuple[str, ...]], what: str) -> str:
    """The format's own word for one of the trade's."""
    plain = text.casefold().replace("_", " ").strip()
    for own, words in known.items():
        if plain in (own, *words) or plain.rstrip("s") in words:
            return own
    usual = ", ".join(words[0] for words in known.values())
    raise BadChannel(f"{text!r} is not a known {what}; write one of {usual}")


def _guessed(channel: Channel) -> str:
    """The sort of a load by its name, else by what it states: an inductance makes a coil."""
    name = channel["load"].casefold()
    for own, words in SORTS.items():
        if any(word in name for word in words):
            return own
    if channel["stall_current"]:
        return "motor"
    return "coil" if channel["inductance"] else "resistive"
