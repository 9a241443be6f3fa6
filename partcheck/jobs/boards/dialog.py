"""What `board new` asks, in order, and the board that the answers make; nothing here is typed or printed.

The questions follow from the answers so far, so that going back, leaving and going on are the same list, shorter or
longer. An empty answer skips: nothing is stated, or the value in brackets is taken.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from itertools import count

from partcheck.board import fields as f
from partcheck.board.names import numbered
from partcheck.errors import ValueSlip
from partcheck.jobs.boards.channels import VALUES, BadChannel, Channel, ChannelValue, checked
from partcheck.jobs.boards.start import Begun, BoardStart, begun
from partcheck.units import ZERO_CELSIUS, parse_span, show, show_span

Answers = Mapping[str, str]
CHANNEL = (
    "sort", "voltage", "resistance", "current", "stall_current", "inductance", "rate", "cable_length", "wire",
    "switch_kind", "switch", "resistor", "hold_off", "clamp", "indicator", "indicator_resistor", "terminal",
)  # fmt: skip
"""The questions about a channel after its name and how many of it there are."""
ONLY = {
    "resistance": ("coil", "resistive"),
    "stall_current": ("motor",),
    "inductance": ("coil", "motor"),
    "rate": ("coil",),
    "clamp": ("coil", "motor"),
}
"""Sorts of load of which a question is asked."""
WIDE = 1.5
"""So many times its least voltage one supply hardly ever reaches."""
USUAL = {
    "voltage": (1.5, 60.0),
    "current": (1e-4, 50.0),
    "stall_current": (1e-3, 100.0),
    "resistance": (0.1, 1e5),
    "inductance": (1e-6, 20.0),
    "rate": (1e-5, 1e3),
    "cable_length": (0.01, 300.0),
    "resistor": (1.0, 1e6),
    "hold_off": (100.0, 1e7),
    "indicator_resistor": (10.0, 1e6),
    "ambient": (ZERO_CELSIUS - 40, ZERO_CELSIUS + 85),
}
"""What the boards meant here mostly have, by key (common practice); beyond it a slip of the unit is likely."""
TITLES = {
    "board": "The board",
    "supply": "Supplies",
    "logic": "Logic",
    "channel": "Channels",
    "lamp": "Indicators of their own",
    "regulator": "Regulator",
}
CURRENT = ChannelValue("largest current it may deliver", f.SupplyLimit, "A", example="5 A")
AMBIENT = ChannelValue("air around the board", f.Air, "°C", otherwise="5..45 °C", example="-10..50 °C")
LOGIC = ChannelValue("supply of the logic that drives the switches", f.LevelHigh, "V", "±5 %", "5 V ±5 %", "3.3 V ±5 %")
CAPACITOR = ChannelValue("its output capacitor", f.Farad, "F", "±20 %", example="22 µF ±20 %")
ESR = ChannelValue("series resistance of that capacitor", f.Resistances, "Ω", example="0.5..1.5 Ω")
MOST = 200
"""Channels alike that one answer may ask for."""


@dataclass(frozen=True)
class BoardQuestion:
    """One line to ask: its id, its words, and what is taken for an empty answer."""

    id: str
    words: str
    example: str = ""
    otherwise: str = ""
    check: Callable[[str], object] = str
    """Raises :class:`BadChannel` where what was typed cannot stand."""
    odd: Callable[[str], str] = lambda _: ""
    """Why what was typed can stand, and is so unusual that it is asked about; empty where it is not."""
    part: str = ""
    """The kind of part whose number is asked for."""

    @property
    def group(self) -> str:
        """What it belongs to: board, supply, channel ..."""
        return self.id.partition(".")[0]


def _value(wanted: ChannelValue) -> Callable[[str], object]:
    return lambda text: checked(wanted, text)


def odd_value(wanted: ChannelValue, usual: tuple[float, float]) -> Callable[[str], str]:
    """Tells of a value that a small board hardly ever has, or of a supply that is two: ``5..45 V``."""

    def told(text: str) -> str:
        try:
            stated = checked(wanted, text)[0]
            span = parse_span(stated, wanted.unit)
        except (BadChannel, ValueSlip):
            return ""
        low, high = usual
        if not low <= span.min <= span.max <= high:
            mostly = f"mostly it is {show(low, wanted.unit)} to {show(high, wanted.unit)}"
            return f"{show_span(span, wanted.unit)} is unusual: {mostly}"
        if wanted.unit == "°C" and span.min == span.max:
            return f"the air is {show(span.min, '°C')}, neither colder nor hotter, as in 5..45 °C"
        if wanted.unit == "V" and span.max > WIDE * span.min:
            return f"{show_span(span, 'V')} is one supply that may be anywhere between"
        return ""

    return told


def questions(answers: Answers) -> Iterator[BoardQuestion]:
    """Every question in order, as the answers so far have it; the first that is not answered is the next to ask."""
    yield BoardQuestion("board.name", "Name of the board", "filling line", "a board")
    yield BoardQuestion("board.parts", "Folder or file of part sheets", "catalog_samples", "your catalog")
    yield _asked("board.ambient", AMBIENT)
    for i in count(1):
        words = "Voltage of the supply" if i == 1 else "Voltage of a further supply"
        yield BoardQuestion(
            f"supply.{i}.voltage", words, "12 V ±5 %", "none" if i > 1 else "", _value(VALUES["voltage"]),
            _odd("voltage", VALUES["voltage"]),
        )  # fmt: skip
        if not answers.get(f"supply.{i}.voltage"):
            break
        yield _asked(f"supply.{i}.current", CURRENT)
    yield _asked("logic.voltage", LOGIC)
    for i in count(1):
        yield BoardQuestion(
            f"channel.{i}.load", "Name of a load, or of the first of several alike", "FV1", "no further load"
        )
        if not answers.get(f"channel.{i}.load"):
            break
        yield from _channel(answers, i)
    for i in count(1):
        words, resistor = "Resistor of an indicator LED that belongs to no load", _value(VALUES["indicator_resistor"])
        yield BoardQuestion(f"lamp.{i}.resistor", words, "1 kΩ ±5 %", "no further indicator", resistor)
        if not answers.get(f"lamp.{i}.resistor"):
            break
        yield BoardQuestion(f"lamp.{i}.part", "Its LED", "HOLL-3A60", part="led")
        yield BoardQuestion(f"lamp.{i}.drive", "Logic output that feeds it", "ALIVE", "the first supply")
    yield BoardQuestion(
        "regulator.part", "Regulator that makes the logic's supply (yes, or its part)", "ARFJ-L50C", "none"
    )
    if answers.get("regulator.part"):
        yield _asked("regulator.output_capacitor", CAPACITOR)
        yield _asked("regulator.output_esr", ESR)


def _asked(id_: str, wanted: ChannelValue) -> BoardQuestion:
    words = wanted.meaning[0].upper() + wanted.meaning[1:]
    return BoardQuestion(
        id_, words, wanted.example, wanted.otherwise, _value(wanted), _odd(id_.rpartition(".")[2], wanted)
    )


def _odd(key: str, wanted: ChannelValue) -> Callable[[str], str]:
    return odd_value(wanted, USUAL[key]) if key in USUAL else lambda _: ""


def one_channel(answers: Answers) -> Iterator[BoardQuestion]:
    """The questions about a single channel, of a board that is there."""
    yield BoardQuestion("channel.1.load", "Name of the new load", "FV9")
    if answers.get("channel.1.load"):
        yield from (question for question in _channel(answers, 1) if not question.id.endswith(".count"))


def stated(answers: Answers) -> dict[str, str]:
    """What was answered about that channel, by key."""
    said = {key: answers.get(f"channel.1.again-{key}") or answers.get(f"channel.1.{key}", "") for key in CHANNEL}
    return {"load": answers.get("channel.1.load", "")} | {key: text for key, text in said.items() if text}


def _channel(answers: Answers, i: int) -> Iterator[BoardQuestion]:
    here = f"channel.{i}"
    yield BoardQuestion(f"{here}.count", "How many alike, numbered on from this one", "16", "1", _number)
    for key in CHANNEL:
        channel = channel_of(answers, i)
        if not _is_wanted(key, channel):
            continue
        wanted = VALUES[key]
        words = wanted.meaning[0].upper() + wanted.meaning[1:]
        yield BoardQuestion(
            f"{here}.{key}", words, wanted.example, _usual(key, channel, answers), _put(channel, key),
            _odd(key, wanted), _kind(key, channel),
        )  # fmt: skip
    while True:
        channel = channel_of(answers, i)
        try:
            channel.complete()
        except BadChannel as slip:
            key = str(slip).partition(" ")[0]
            again = f"{here}.again-{key}"
            yield BoardQuestion(again, f"{slip}", VALUES[key].example, "leaves this load out", _put(channel, key))
            if not answers.get(again):
                return
            continue
        return


def _kind(key: str, channel: Channel) -> str:
    """The kind of part whose number a key takes; empty where it takes none, or more than a number."""
    if key == "switch":
        return "bjt" if channel["switch_kind"] == "npn-sink" else "mosfet"
    return {"clamp": "diode", "indicator": "led"}.get(key, "")


def _is_wanted(key: str, channel: Channel) -> bool:
    if key in ONLY and channel["sort"] and channel["sort"] not in ONLY[key]:
        return False
    needs = {"wire": "cable_length", "indicator_resistor": "indicator"}
    if key == "current":
        return not channel["resistance"]
    return key not in needs or bool(channel[needs[key]])


def _usual(key: str, channel: Channel, answers: Answers) -> str:
    """What an empty answer takes."""
    if key == "voltage":
        return answers.get("supply.1.voltage", "")
    if key == "sort":
        guess = Channel({"load": channel["load"], "voltage": "1 V", "current": "1 A", "stall_current": ""})
        with suppress(BadChannel):
            guess.complete()
        return guess["sort"]
    return VALUES[key].otherwise


def _put(channel: Channel, key: str) -> Callable[[str], object]:
    return lambda text: Channel(dict(channel.values)).put(key, text)


def _number(text: str) -> None:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= MOST):
        raise BadChannel(f"{text!r} is not a number from 1 to {MOST}")


# ---- the board that the answers make


def channel_of(answers: Answers, i: int) -> Channel:
    """The channel of the answers so far, not yet complete."""
    channel = Channel()
    here = f"channel.{i}."
    channel.put("load", answers.get(f"{here}load", ""))
    for key in CHANNEL:
        text = answers.get(f"{here}again-{key}") or answers.get(f"{here}{key}", "")
        if not text and f"{here}{key}" in answers and key in ("voltage", "sort"):
            text = _usual(key, channel, answers)
        if text:
            channel.put(key, text)
    return channel


def made(answers: Answers) -> Begun:
    """The board of the answers; :class:`BadChannel` where they make none."""
    start = BoardStart(answers.get("board.name") or "a board", ambient=answers.get("board.ambient", ""))
    start.parts = [answers["board.parts"]] if answers.get("board.parts") else []
    if answers.get("logic.voltage"):
        start.logic = checked(LOGIC, answers["logic.voltage"])[0]
    for i in count_while(answers, "supply", "voltage"):
        volts, spread = checked(VALUES["voltage"], answers[f"supply.{i}.voltage"])
        name = _rail_name(volts, start)
        keys = {"voltage": volts, "current": answers.get(f"supply.{i}.current", "")}
        start.supplies[name] = {key: text for key, text in keys.items() if text}
        if spread:
            start.assumed["rail", name, "voltage"] = f"{spread} assumed"
    channels = [channel for i in count_while(answers, "channel", "load") for channel in _alike(answers, i)]
    for i in count_while(answers, "lamp", "resistor"):
        resistor, spread = checked(VALUES["indicator_resistor"], answers[f"lamp.{i}.resistor"])
        lamp = {"resistor": resistor, "part": answers.get(f"lamp.{i}.part", "")}
        lamp["assumed"] = f"{spread} assumed" if spread else ""
        feed = answers.get(f"lamp.{i}.drive")
        start.panel.append(lamp | ({"drive": feed} if feed else {"rail": next(iter(start.supplies), "")}))
    regulator = answers.get("regulator.part", "")
    if regulator:
        stated = {"output_capacitor": CAPACITOR, "output_esr": ESR}
        keys = {
            key: checked(w, answers[f"regulator.{key}"])[0]
            for key, w in stated.items()
            if answers.get(f"regulator.{key}")
        }
        start.regulator = keys | {"part": "" if regulator.casefold() in ("yes", "y") else regulator}
    if not start.supplies and not channels:
        raise BadChannel("neither a supply nor a load is stated yet; a board needs at least one of them")
    if not channels and not start.panel and not regulator:
        raise BadChannel("no load, indicator or regulator is stated yet; a board needs at least one of them")
    return begun(start, channels)


def count_while(answers: Answers, table: str, key: str) -> Iterator[int]:
    """The numbers of a table's entries that are answered."""
    for i in count(1):
        if not answers.get(f"{table}.{i}.{key}"):
            return
        yield i


def _rail_name(volts: str, start: BoardStart) -> str:
    name = "V" + volts.split()[0].partition("..")[0].replace(".", "_").rstrip("Vv")
    made_name, further = name, iter("abcdefgh")
    while made_name in start.supplies:
        made_name = name + next(further)
    return made_name


def _alike(answers: Answers, i: int) -> Iterator[Channel]:
    """The channels of one round of questions, numbered on; none where it was left out."""
    copies = int(answers.get(f"channel.{i}.count") or 1)
    first = channel_of(answers, i)
    name, number = numbered(first["load"]) or (first["load"], 1)
    for n in range(copies):
        channel = channel_of(answers, i)
        if copies > 1:
            channel.values["load"] = f"{name}{number + n}"
        try:
            channel.complete()
        except BadChannel:
            return
        yield channel


__all__ = ["TITLES", "BoardQuestion", "channel_of", "made", "one_channel", "questions", "stated"]
