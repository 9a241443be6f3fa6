"""From answers to the text of a board file: what a person would write, each assumed value with a comment."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePath

from partcheck.errors import UsageError
from partcheck.jobs.ask.questions import Answer

Path = tuple[str | int, ...]
SORTS = {"coil": "coil", "lamp": "lamp", "motor": "motor", "resistor": "resistive"}
HEAD = (
    "# One question to partcheck, as a board file: a start for a board of your own.",
    "# What is marked as assumed was not stated: look it up, and write what is true.",
)


def quoted(text: str) -> str:
    """A text as TOML writes it."""
    return json.dumps(text, ensure_ascii=False)


@dataclass
class Draft:
    """A board file that is being written; ``keys`` remember which question each key answers."""

    answers: Mapping[str, Answer]
    load: str
    fitted: Mapping[str, str]
    """Part numbers as the catalog writes them, by question."""
    lines: list[str] = field(default_factory=list)
    keys: dict[Path, str] = field(default_factory=dict)
    derived: list[tuple[str, str, str]] = field(default_factory=list)
    """What was worked out from other answers: option, value, why."""
    table: tuple[str, ...] = ()

    def open(self, *names: str) -> None:
        """Begin a table."""
        self.table = names
        self.lines += ["", f"[{'.'.join(names)}]"]

    def put(self, key: str, value: str, comment: str = "", question: str = "") -> None:
        """State a key whose value is written as TOML."""
        self.keys[(*self.table, key)] = question
        self.lines.append(f"{key} = {value}" + (f"  # {comment}" if comment else ""))

    def text(self, name: str) -> str:
        """The answer to a question; empty where there is none."""
        found = self.answers.get(name)
        return found.text if found is not None else ""

    def state(self, key: str, name: str, plain: bool = False) -> None:
        """State a key as a question was answered; nothing where it was not."""
        found = self.answers.get(name)
        if found is None or not found.text:
            return
        comment = f"assumed: {found.assumed}" if found.assumed else ""
        self.put(key, found.text if plain else quoted(found.text), comment, name)

    def fit(self, name: str = "part") -> None:
        """State the part fitted, where one is named."""
        if name in self.fitted:
            maker, _, number = self.fitted[name].rpartition(":")
            value = quoted(number)
            if maker:
                value = f"{{ part_number = {quoted(number)}, maker = {quoted(maker)} }}"
            self.put("fitted", value, question=name)

    def place(self) -> None:
        """How the part asked about is cooled."""
        self.state("copper_area", "copper-area")
        self.state("theta_ja", "theta")


def board_text(draft: Draft, title: str, parts: list[PurePath], policy: str = "") -> str:
    """The whole file; the tables were written into ``draft``."""
    top = [*HEAD, "format = 1", f"name = {quoted(title)}"]
    if parts:
        top.append(f"parts = [{', '.join(quoted(path.as_posix()) for path in parts)}]")
    if policy:
        top.append(f"policy = {quoted(policy)}")
    return "\n".join([*top, *draft.lines]) + "\n"


def _surroundings(draft: Draft) -> None:
    draft.open("surroundings")
    draft.state("ambient", "ambient")


def _supply(draft: Draft) -> None:
    draft.open("rail", "SUPPLY")
    draft.state("voltage", "voltage")


def _drive(draft: Draft) -> None:
    draft.open("drive", "OUT1")
    draft.state("high", "drive")
    draft.state("low", "drive-low")
    draft.state("source_resistance", "drive-resistance")
    draft.state("edge_time", "edge-time")
    draft.state("pin_current", "pin-current")
    if draft.text("undriven"):
        draft.put("floats", "false" if draft.text("undriven") == "never" else "true", question="undriven")


def _load(draft: Draft) -> None:
    draft.open("load", "LOAD1")
    draft.put("sort", quoted(SORTS[draft.load]), question="load")
    draft.put("rail", quoted("SUPPLY"))
    if draft.load == "coil" and not draft.text("resistance"):
        _winding(draft)
    else:
        if draft.load in ("coil", "resistor"):
            draft.state("resistance", "resistance")
        if not (draft.load in ("coil", "resistor") and draft.text("resistance")):
            draft.state("current", "current")
    if draft.load in ("coil", "motor"):
        draft.state("inductance", "inductance")
    if draft.load == "motor":
        draft.state("stall_current", "stall-current")
    if draft.load == "lamp":
        draft.state("inrush_factor", "inrush-factor", plain=True)
        draft.state("inrush_time", "inrush-time")
    if draft.text("frequency"):
        draft.open("load", "LOAD1", "chopped")
        draft.state("frequency", "frequency")
        draft.state("duty", "duty")
    else:
        draft.state("rate", "rate")


def _winding(draft: Draft) -> None:
    """The winding by the current it draws, as its label states both."""
    from partcheck.units import parse_span, show

    volts, drawn = parse_span(draft.text("voltage"), "V"), parse_span(draft.text("current"), "A")
    if drawn.min <= 0:
        raise UsageError("--current: a coil that draws nothing has no resistance to work out; state --resistance")
    ohms = (volts.typ / drawn.max, volts.typ / drawn.typ, volts.typ / drawn.min)
    value = "..".join(f"{number:.4g}" for number in ohms) + " Ω"
    why = f"from {show(volts.typ, 'V')} and {draft.text('current')}, at 20 °C"
    draft.put("resistance", quoted(value), f"assumed: {why}", "current")
    draft.derived.append(("--resistance", value, why))


def _switch(draft: Draft, role: str, part: str | None = "part") -> None:
    draft.open("role", "Q1")
    draft.put("role", quoted(role))
    if part is not None:
        draft.fit(part)
    draft.put("drive", quoted("OUT1"))
    draft.put("load", quoted("LOAD1"))


def _clamp(draft: Draft, name: str, across_switch: bool) -> None:
    draft.open("role", "D1")
    draft.put("role", quoted("clamp"))
    draft.fit(name)
    draft.put("load", quoted("LOAD1"))
    if across_switch:
        draft.put("across", quoted("switch"))
        draft.put("conducts", quoted("breakdown"))


def _channel(draft: Draft) -> None:
    _surroundings(draft)
    _supply(draft)
    _drive(draft)
    _load(draft)


def _clamps(draft: Draft) -> None:
    for name in ("diode", "tvs"):
        if name in draft.fitted:
            _clamp(draft, name, across_switch=name == "tvs")


def mosfet(draft: Draft) -> None:
    """A MOSFET channel."""
    _channel(draft)
    _switch(draft, "mosfet-switch")
    draft.state("gate_resistor", "gate-resistor")
    draft.state("pulldown", "pulldown")
    draft.place()
    _clamps(draft)


def npn(draft: Draft) -> None:
    """An NPN channel."""
    _channel(draft)
    _switch(draft, "npn-sink")
    draft.state("base_resistor", "base-resistor")
    draft.state("base_emitter_resistor", "base-emitter-resistor")
    draft.place()
    _clamps(draft)


def led(draft: Draft) -> None:
    """An LED on a supply, or on an output."""
    from partcheck.units import parse_span

    _surroundings(draft)
    if draft.text("voltage"):
        _supply(draft)
    else:
        draft.open("rail", "LOGIC")
        most = parse_span(draft.text("drive"), "V").max
        draft.put("voltage", quoted(f"{most:g} V"), "the supply of the output", "drive")
        _drive(draft)
    draft.open("role", "D1")
    draft.put("role", quoted("indicator"))
    draft.fit()
    draft.put("rail" if draft.text("voltage") else "drive", quoted("SUPPLY" if draft.text("voltage") else "OUT1"))
    draft.state("resistor", "resistor")
    draft.state("resistor_power", "resistor-power")
    draft.state("in_series", "in-series", plain=True)
    draft.state("brightness", "brightness")
    draft.state("least_current", "least-current")


def regulator(draft: Draft) -> None:
    """A regulator between two rails."""
    _surroundings(draft)
    draft.open("rail", "IN")
    draft.state("voltage", "input")
    draft.open("rail", "OUT")
    draft.put("regulator", quoted("U1"))
    draft.state("logic_current", "current")
    draft.state("accepts", "output")
    draft.open("role", "U1")
    draft.put("role", quoted("regulator"))
    draft.fit()
    draft.put("input", quoted("IN"))
    draft.put("output", quoted("OUT"))
    draft.state("output_capacitor", "output-capacitor")
    draft.state("output_esr", "output-esr")
    draft.state("upper_resistor", "upper-resistor")
    draft.state("lower_resistor", "lower-resistor")
    draft.place()


def diode(draft: Draft) -> None:
    """A clamp of a coil; the switch is known where it is named."""
    _surroundings(draft)
    _supply(draft)
    draft.open("drive", "OUT1")
    draft.put("high", quoted("5 V ±5 %"), "assumed: nothing of the diode rests on it")
    draft.put("low", quoted("0..0.2 V"), "assumed: nothing of the diode rests on it")
    draft.put("source_resistance", quoted("0..100 Ω"), "assumed: nothing of the diode rests on it")
    _load(draft)
    _switch(draft, "mosfet-switch", "mosfet")
    _clamp(draft, "part", draft.text("across") == "switch")
    draft.place()


def terminal(draft: Draft) -> None:
    """A pole for the supply and one for its return."""
    _surroundings(draft)
    if draft.text("contact-drop"):
        draft.open("limits")
        draft.state("contact_drop", "contact-drop")
    _supply(draft)
    draft.state("other_current", "current")
    draft.open("role", "J1")
    draft.put("role", quoted("terminal"))
    draft.fit()
    draft.state("wire", "wire")
    draft.state("pitch", "pitch")
    draft.put(
        "poles", '[{ pole = 1, side = "supply", rail = "SUPPLY" }, { pole = 2, side = "return", rail = "SUPPLY" }]'
    )
