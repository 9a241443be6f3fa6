"""The six questions that need no board file: what is asked for each, in the order in which a person thinks of it."""

from collections.abc import Callable
from dataclasses import dataclass

from partcheck.jobs.ask import writing as w
from partcheck.jobs.ask.questions import Given, OneOf, PartOf, Question


@dataclass(frozen=True)
class AskTopic:
    """A kind of question: the part it is about, what to ask, and how the board is written."""

    name: str
    title: str
    kind: str
    ref: str
    questions: tuple[Question, ...]
    write: Callable[[w.Draft], None]
    beside: tuple[str, ...] = ()
    """Places of the board that are judged with it."""

    def question(self, name: str) -> Question:
        """The question of that name."""
        return next(q for q in self.questions if q.name == name)


COIL, LAMP, MOTOR, RESISTOR = "coil", "lamp", "motor", "resistor"
LOADS = OneOf(
    (COIL, LAMP, MOTOR, RESISTOR),
    {
        "valve": COIL, "relay": COIL, "solenoid": COIL, "contactor": COIL, "bulb": LAMP, "pump": MOTOR, "fan": MOTOR,
        "heater": RESISTOR, "resistive": RESISTOR,
    },
)  # fmt: skip


def load_of(given: Given) -> str:
    """The kind of load: as stated, else by what only one kind has."""
    if given.get("load"):
        return LOADS.also.get(given["load"].casefold(), given["load"].casefold())
    if given.get("stall-current"):
        return MOTOR
    if given.get("inrush-factor"):
        return LAMP
    return COIL if any(given.get(name) for name in ("inductance", "diode", "tvs")) else RESISTOR


def _stated(given: Given, name: str) -> bool:
    return bool(given.get(name)) and given[name].casefold() not in ("none", "no", "-")


def _of_load(*kinds: str) -> Callable[[Given], bool]:
    return lambda given: load_of(given) in kinds


def _chopped(given: Given) -> bool:
    return _stated(given, "frequency")


def _always(_: Given) -> bool:
    return True


def _part(kind: str, word: str) -> Question:
    return Question("part", f"{word} to judge", PartOf(kind), "PART", otherwise="none: what would do")


AMBIENT = Question("ambient", "Air around the board, coldest..hottest", "Air", "5..45 °C", otherwise="0..50 °C")
COPPER = Question("copper-area", "Copper at the part, for its cooling", "CopperArea", "1 cm²")
THETA = Question("theta", "Junction to ambient as mounted, where you know it", "Theta", "90 K/W")
VOLTAGE = Question("voltage", "Supply of the load", "RailVolts", "12 V", spread="±5 %", needed=_always)
LOAD = Question("load", "What it switches: coil, lamp, motor or resistor", LOADS, "valve")
RESISTANCE = Question(
    "resistance", "Resistance of the load (at 20 °C), or its current", "Resistor", "24 Ω",
    spread="±10 %", wanted=_of_load(COIL, RESISTOR),
)  # fmt: skip
CURRENT = Question(
    "current", "Current of the load (of a motor: running)", "Drawn", "0.5 A", spread="±10 %",
    needed=lambda given: not _stated(given, "resistance"),
    wanted=lambda given: not _stated(given, "resistance"), instead="--resistance",
)  # fmt: skip
INDUCTANCE = Question(
    "inductance", "Inductance of the load", "Henry", "60 mH", spread="±20 %", wanted=_of_load(COIL, MOTOR)
)
STALL = Question(
    "stall-current", "Current with the shaft held", "AmpereLimit", "2 A", needed=_of_load(MOTOR), wanted=_of_load(MOTOR)
)
INRUSH = Question(
    "inrush-factor", "Cold current as a multiple of the hot one", "InrushFactor", "10", otherwise="15",
    wanted=_of_load(LAMP),
)  # fmt: skip
INRUSH_TIME = Question(
    "inrush-time", "How long the inrush lasts", "InrushTime", "50 ms", otherwise="0.1 s", wanted=_of_load(LAMP)
)
DIODE = Question(
    "diode", "Flyback diode across the load", PartOf("diode"), "PART",
    wanted=lambda given: load_of(given) in (COIL, MOTOR) and not _stated(given, "tvs"),
)  # fmt: skip
TVS = Question(
    "tvs", "Zener or TVS across the switch instead of a diode", PartOf("diode"), "PART",
    wanted=lambda given: load_of(given) in (COIL, MOTOR) and not _stated(given, "diode"),
)  # fmt: skip
DRIVE = Question("drive", "High level of what drives it", "LevelHigh", "5 V", spread="±5 %", needed=_always)
DRIVE_LOW = Question("drive-low", "Low level of what drives it", "LevelLow", "0..0.2 V", otherwise="0..0.2 V")
DRIVE_RESISTANCE = Question(
    "drive-resistance", "Output resistance of what drives it", "Resistances", "20..60 Ω", otherwise="0..100 Ω"
)
EDGE = Question("edge-time", "Rise and fall time of what drives it", "EdgeTimes", "5..20 ns", otherwise="0..100 ns",
                wanted=_chopped)  # fmt: skip
PIN_CURRENT = Question(
    "pin-current", "Largest current of the pin that drives it", "SupplyLimit", "20 mA", otherwise="20 mA"
)
RATE = Question(
    "rate", "How often it is switched off", "Rate", "1 /s", otherwise="1 /s", wanted=lambda given: not _chopped(given)
)
FREQUENCY = Question("frequency", "Frequency of pulse-width modulation", "Hertz", "4 kHz")
DUTY = Question(
    "duty", "Share of the time on while chopped", "Duties", "0.1..0.9", otherwise="0.01..0.99", wanted=_chopped
)
PULLDOWN = Question("pulldown", "Resistor from gate to ground", "Resistor", "100 kΩ", spread="±5 %")
UNDRIVEN = Question(
    "undriven", "Is what drives it ever undriven, as in reset: yes or never",
    OneOf(("yes", "never"), {"true": "yes", "false": "never", "reset": "yes"}), "yes",
    wanted=lambda given: not (_stated(given, "pulldown") or _stated(given, "base-emitter-resistor")),
)  # fmt: skip
OUTPUT = (DRIVE_LOW, DRIVE_RESISTANCE, PIN_CURRENT)
SUPPLIES = (*OUTPUT, UNDRIVEN)
LOAD_QUESTIONS = (LOAD, VOLTAGE, RESISTANCE, CURRENT, INDUCTANCE, STALL, INRUSH, INRUSH_TIME)
USE = (RATE, FREQUENCY, DUTY, AMBIENT)

MOSFET = AskTopic(
    "mosfet",
    "a MOSFET that switches a load to ground",
    "mosfet",
    "Q1",
    (
        _part("mosfet", "MOSFET"), *LOAD_QUESTIONS, DIODE, TVS, DRIVE,
        Question("gate-resistor", "Resistor in series with the gate", "Resistor", "1.5 kΩ",
                 spread="±5 %"),
        PULLDOWN, *SUPPLIES, EDGE, *USE, COPPER, THETA,
    ),
    w.mosfet,
    ("D1",),
)  # fmt: skip
NPN = AskTopic(
    "npn",
    "an NPN transistor that switches a load to ground",
    "bjt",
    "Q1",
    (
        _part("bjt", "NPN transistor"), *LOAD_QUESTIONS, DIODE, TVS, DRIVE,
        Question("base-resistor", "Resistor in series with the base", "Resistor", "1 kΩ", spread="±5 %",
                 needed=_always),
        Question("base-emitter-resistor", "Resistor from base to emitter", "Resistor", "10 kΩ",
                 spread="±5 %"),
        *SUPPLIES, EDGE, *USE, COPPER, THETA,
    ),
    w.npn,
    ("D1",),
)  # fmt: skip


def _from_pin(given: Given) -> bool:
    return not _stated(given, "voltage")


LED = AskTopic(
    "led",
    "an LED with its resistor",
    "led",
    "D1",
    (
        _part("led", "LED"),
        Question("voltage", "Supply of LED and resistor, where they have one", "RailVolts", "12 V",
                 spread="±5 %"),
        Question("drive", "High level of the output that feeds them", "LevelHigh", "5 V", spread="±5 %",
                 needed=_from_pin, wanted=_from_pin, instead="--voltage"),
        Question("resistor", "Series resistor", "Resistor", "2.7 kΩ", spread="±5 %", needed=_always),
        Question("resistor-power", "Power rating of the resistor", "Watt", "0.25 W", otherwise="0.125 W"),
        Question("in-series", "How many LEDs in series", OneOf(tuple(map(str, range(1, 41))), {}), "2",
                 otherwise="1"),
        Question("brightness", "Wanted luminous intensity", "Candelas", "5..80 mcd"),
        Question("least-current", "Least current at which it counts as lit", "AmpereLimit", "1 mA", otherwise="0.1 mA"),
        *(Question(q.name, q.words.replace("drives it", "feeds it"), q.takes, q.example, q.otherwise,
                   wanted=_from_pin) for q in OUTPUT),
        AMBIENT,
    ),
    w.led,
)  # fmt: skip
REGULATOR = AskTopic(
    "regulator",
    "a linear regulator with its load",
    "regulator",
    "U1",
    (
        _part("regulator", "regulator"),
        Question("input", "Voltage at its input", "RailVolts", "12 V", spread="±5 %", needed=_always),
        Question("output", "Voltage that its load accepts", "Accepts", "5 V", spread="±5 %", needed=_always),
        Question("current", "Current of its load, least..largest", "Drawn", "20..100 mA", needed=_always),
        Question("output-capacitor", "Capacitor at its output", "Farad", "10 µF", spread="±20 %"),
        Question("output-esr", "Series resistance of that capacitor", "Resistances", "0.05..0.5 Ω",
                 wanted=lambda given: _stated(given, "output-capacitor")),
        Question("upper-resistor", "Adjustable part only: output to adjust pin", "Resistor", "240 Ω", spread="±1 %"),
        Question("lower-resistor", "Adjustable part only: adjust pin to ground", "Resistor", "720 Ω", spread="±1 %"),
        AMBIENT, COPPER, THETA,
    ),
    w.regulator,
    ("rail OUT",),
)  # fmt: skip
DIODE_TOPIC = AskTopic(
    "diode",
    "a diode across a coil",
    "diode",
    "D1",
    (
        _part("diode", "diode"), VOLTAGE, RESISTANCE, CURRENT, INDUCTANCE,
        Question("across", "Where it sits: load, or switch (a Zener or TVS)",
                 OneOf(("load", "switch"), {"coil": "load"}), "load", otherwise="load"),
        Question("mosfet", "MOSFET that switches the coil", PartOf("mosfet"), "PART"),
        *USE, COPPER, THETA,
    ),
    w.diode,
)  # fmt: skip
TERMINAL = AskTopic(
    "terminal",
    "a screw terminal at a current",
    "terminal",
    "J1",
    (
        _part("terminal", "terminal"),
        Question("current", "Largest current through a pole", "AmpereLimit", "5 A", needed=_always),
        Question("voltage", "Voltage between its poles", "RailVolts", "24 V", spread="±5 %", needed=_always),
        Question("wire", "Wire clamped in it", "Wire", "0.75 mm²"),
        Question("pitch", "Pitch of the land pattern", "Gap", "5.08 mm"),
        Question("contact-drop", "Largest drop across one pole", "VoltLimit", "50 mV"),
        AMBIENT,
    ),
    w.terminal,
)  # fmt: skip

TOPICS = {topic.name: topic for topic in (MOSFET, NPN, LED, REGULATOR, DIODE_TOPIC, TERMINAL)}
