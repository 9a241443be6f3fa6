"""The role as a small schematic, with its values and references: the part in question in the accent colour.

Words from outside never reach the drawing library, which would read them as markup: stand-ins of the same length
are drawn, and the escaped words put in their place afterwards.
"""

import re
from collections.abc import Callable
from typing import Any
from xml.sax.saxutils import escape

from partcheck.board import BoardFile
from partcheck.board.loads import Capacitive, Coil, Lamp, LedString, LogicInput, Motor
from partcheck.board.roles import Clamp, Indicator, MosfetSwitch, NpnSink, Regulator, Terminal
from partcheck.jobs.judge.place import Judged
from partcheck.report.html.pictures.drawing import ACCENT, INK, MUTED, Drawing, brief, tidy
from partcheck.situation import Situation
from partcheck.units import show_span

FIRST = 0xE000
MOST_POLES = 24


class DrawingSheet:
    """A drawing that keeps the words apart."""

    def __init__(self) -> None:
        import schemdraw
        import schemdraw.elements as elements

        schemdraw.use("svg")
        schemdraw.svgconfig.text = "text"
        self.e: Any = elements
        self.drawing = schemdraw.Drawing(show=False)
        self.drawing.config(color=INK, fontsize=12, font="sans-serif", unit=2.4, lw=1.5, inches_per_unit=0.5)
        self.words: list[str] = []

    def put(self, element: Any) -> Any:
        """Add an element."""
        return self.drawing.add(element)

    def text(self, *lines: object) -> str:
        """Stand-ins for lines of text."""
        made = []
        for line in lines:
            word = brief(line, 34)
            if word:
                made.append(chr(FIRST + len(self.words)) + "m" * (len(word) - 1))
                self.words.append(word)
        return "\n".join(made)

    def note(self, at: Any, *lines: object, align: str = "left", colour: str = MUTED) -> None:
        """Words at a place."""
        self.put(
            self.e.Label().at(at).label(self.text(*lines), halign=align, valign="center", color=colour, fontsize=11.5)
        )

    def dots(self, *places: Any) -> None:
        """Joints."""
        for place in places:
            self.put(self.e.Dot(radius=0.07).at(place))

    def svg(self) -> str:
        """The drawing with its words."""
        raw: str = self.drawing.get_imagedata("svg").decode("utf-8")
        raw = re.sub(r'\s(font-family|font-weight)="[^"]*"', "", raw)
        made = tidy(raw)
        return re.sub("[\ue000-\uf8ff]m*", lambda found: escape(self.words[ord(found[0][0]) - FIRST]), made)


def drawn(situation: Situation, judged: Judged) -> Drawing | None:
    """The schematic of a place; None for what is no part (a cable, a rail)."""
    place = situation.board.role.get(judged.ref)
    how: Callable[[DrawingSheet, Situation, Judged], str] | None = next(
        (draw for kind, draw in DRAWN.items() if isinstance(place, kind)), None
    )
    if how is None:
        return None
    sheet = DrawingSheet()
    told = how(sheet, situation, judged)
    return Drawing(sheet.svg().replace("<svg ", '<svg class="drawing" ', 1), f"{judged.ref} in its place", told)


def _part(situation: Situation, judged: Judged) -> str:
    return judged.part.part_number if judged.part is not None else "no part"


def _fitted(situation: Situation, ref: str) -> str:
    part = situation.fitted.get(ref)
    return part.part_number if part is not None else "no part"


def _span(span: Any, unit: str) -> str:
    return show_span(span, unit) if span is not None else ""


def _volts(situation: Situation, rail: str) -> str:
    stated = situation.board.rail[rail].voltage
    if stated is not None:
        return show_span(stated, "V")
    return f"from {situation.board.rail[rail].regulator}"


# ---- switches


def _switch(sheet: DrawingSheet, situation: Situation, judged: Judged) -> str:
    return channel(sheet, situation, judged.ref, judged.ref, _part(situation, judged))


def channel(sheet: DrawingSheet, situation: Situation, switch: str, subject: str, part: str) -> str:
    """A low-side switch with its load, its clamps and its input; ``subject`` is drawn in the accent colour."""
    e, board = sheet.e, situation.board
    place: Any = board.role[switch]
    mosfet = isinstance(place, MosfetSwitch)
    own = ACCENT if subject == switch else INK
    device = sheet.put((e.NFet().reverse() if mosfet else e.BjtNpn(circle=True)).right().color(own))
    top, bottom, control = (
        (device.drain, device.source, device.gate) if mosfet else (device.collector, device.emitter, device.base)
    )
    name = part if subject == switch else _fitted(situation, switch)
    sheet.note((top[0] + 0.45, (top[1] + bottom[1]) / 2), switch, name, colour=own)
    sheet.put(e.Line().down().at(bottom).length(0.45))
    sheet.put(e.Ground())
    node = sheet.put(e.Line().up().at(top).length(0.5)).end
    loads = [name for name in place.load if name in board.load]
    rail = _loads(sheet, situation, place, node, loads)
    clamps = _clamps(sheet, situation, loads, node, subject)
    _input(sheet, board.drive[place.drive], place, control, bottom)
    beside = [name for name in place.load if name not in loads]
    words = [f"{switch} ({name}) pulls {', '.join(place.load)} to ground", f"driven by {place.drive}"]
    if rail:
        words.insert(1, f"on {rail}")
    if clamps:
        words.append(f"clamped by {', '.join(clamps)}")
    if beside:
        words.append(f"{', '.join(beside)} is beside the load")
    return "; ".join(words) + "."


def _loads(sheet: DrawingSheet, situation: Situation, place: Any, node: Any, loads: list[str]) -> str:
    e, board = sheet.e, situation.board
    if not loads:
        sheet.put(e.Line().up().at(node).length(1.2))
        sheet.note((node[0] + 0.2, node[1] + 1.3), *place.load)
        return ""
    load = board.load[loads[0]]
    shapes = {Coil: e.Inductor2, Lamp: e.Lamp, Motor: e.Motor, LedString: e.LED, LogicInput: e.RBox, Capacitive: e.RBox}
    shape = shapes.get(type(load), e.Resistor)
    made = sheet.put(shape().up().at(node))
    supply = sheet.put(e.Line().up().length(0.35))
    sheet.put(e.Vdd().at(supply.end).label(sheet.text(f"{load.rail} {_volts(situation, load.rail)}")))
    state = situation.load(loads[0])
    stated = (("resistance", "Ω"), ("inductance", "H"), ("capacitance", "F"))
    facts = [loads[0], *(_span(getattr(load, key, None), unit) for key, unit in stated)]
    if state.largest.value == state.largest.value:
        from partcheck.units import show

        facts.append(f"at most {show(state.largest.value, 'A')}")
    beside = [f"and {name}" for name in place.load if name != loads[0]]
    middle = (made.start[1] + made.end[1]) / 2
    sheet.note((node[0] - 0.5, middle), *facts, *beside, align="right", colour=INK)
    return str(load.rail)


def _clamps(sheet: DrawingSheet, situation: Situation, loads: list[str], node: Any, subject: str) -> list[str]:
    """The clamps of these loads: across the load from its foot to the rail, across the switch to ground."""
    e, board = sheet.e, situation.board
    found = [(ref, clamp) for ref, clamp in board.of_type(Clamp) if clamp.load in loads]
    if not found:
        return []
    across = 1.9
    sheet.dots(node)
    series = [pair for pair in found if pair[1].in_series_with is not None]
    column = 0
    for ref, clamp in found:
        colour = ACCENT if ref == subject else INK
        shape = e.Zener if clamp.conducts == "breakdown" else e.Diode
        x = node[0] + (3.6 if clamp.across == "switch" else across) + 1.9 * column  # clear of the switch's name
        if clamp.across == "switch":
            sheet.put(e.Line().at(node).to((x, node[1])))
            sheet.put(shape().at((x, node[1])).to((x, node[1] - 2.0)).reverse().color(colour))
            sheet.put(e.Ground().at((x, node[1] - 2.0)))
            sheet.note((x + 0.4, node[1] - 1.0), ref, _fitted(situation, ref), colour=colour)
            column += 1
            continue
        if (ref, clamp) in series[1:]:
            continue
        sheet.put(e.Line().at(node).to((x, node[1])))
        if series and (ref, clamp) == series[0] and len(series) > 1:
            other = series[1]
            self_up = shape().at((x, node[1])).to((x, node[1] + 1.2)).color(colour)
            sheet.put(self_up.reverse() if clamp.conducts == "breakdown" else self_up)
            second = (e.Zener if other[1].conducts == "breakdown" else e.Diode)()
            second = second.at((x, node[1] + 1.2)).to((x, node[1] + 2.4)).color(ACCENT if other[0] == subject else INK)
            sheet.put(second.reverse() if other[1].conducts == "breakdown" else second)
            sheet.note(
                (x + 0.4, node[1] + 1.8),
                other[0],
                _fitted(situation, other[0]),
                colour=ACCENT if other[0] == subject else INK,
            )
            sheet.note((x + 0.4, node[1] + 0.6), ref, _fitted(situation, ref), colour=colour)
        else:
            made = shape().at((x, node[1])).to((x, node[1] + 2.4)).color(colour)
            sheet.put(made.reverse() if clamp.conducts == "breakdown" else made)
            sheet.note((x + 0.4, node[1] + 1.2), ref, _fitted(situation, ref), colour=colour)
        sheet.put(e.Line().at((x, node[1] + 2.4)).to((node[0], node[1] + 2.4)))
        sheet.dots((node[0], node[1] + 2.4))
        column += 1
    return [ref for ref, _ in found]


def _input(sheet: DrawingSheet, drive: Any, place: Any, control: Any, bottom: Any) -> None:
    """The resistors ahead of a gate or a base, and the drive."""
    e = sheet.e
    mosfet = isinstance(place, MosfetSwitch)
    ahead = place.gate_resistor if mosfet else place.base_resistor
    down = place.pulldown if mosfet else place.base_emitter_resistor
    at_drive = mosfet and place.pulldown_side == "drive"
    joint = (control[0] - 0.6, control[1])
    sheet.put(e.Line().at(control).to(joint))
    far = (joint[0] - 2.4, joint[1])
    if ahead is not None:
        sheet.put(e.Resistor().at(joint).to(far).label(sheet.text(_span(ahead, "Ω")), loc="top", ofst=0.15, color=INK))
    else:
        sheet.put(e.Line().at(joint).to(far))
    if down is not None:
        x = far[0] if at_drive else joint[0]
        sheet.dots((x, joint[1]))
        sheet.put(e.Resistor().at((x, joint[1])).to((x, joint[1] - 2.0)))
        sheet.put(e.Ground().at((x, joint[1] - 2.0)))
        sheet.note((x - 0.45, joint[1] - 1.0), _span(down, "Ω"), align="right", colour=INK)
    end = sheet.put(e.Line().at(far).to((far[0] - 0.4, far[1]))).end
    sheet.put(e.Dot(open=True).at(end))
    sheet.note((end[0] - 0.2, end[1]), place.drive, show_span(drive.high, "V"), align="right", colour=INK)


def _clamp(sheet: DrawingSheet, situation: Situation, judged: Judged) -> str:
    place: Any = situation.board.role[judged.ref]
    switch = situation.board.switch_of(place.load)
    where = "across the load" if place.across == "load" else "across the switch of"
    how = "conducting forward" if place.conducts == "forward" else "breaking down"
    told = (
        f"{judged.ref} ({_part(situation, judged)}) sits {where} {place.load} and takes its current at turn-off, {how}"
    )
    if switch is None:
        sheet.put(sheet.e.Diode().up().color(ACCENT).label(sheet.text(judged.ref)))
        return f"{told}."
    channel(sheet, situation, switch, judged.ref, "")
    return f"{told}; {switch} switches it."


# ---- the others


def _indicator(sheet: DrawingSheet, situation: Situation, judged: Judged) -> str:
    e = sheet.e
    place: Any = situation.board.role[judged.ref]
    if place.rail is not None:
        feed = f"{place.rail} {_volts(situation, place.rail)}"
        sheet.put(e.Vdd().label(sheet.text(feed)))
    else:
        feed = f"{place.drive} {show_span(situation.board.drive[place.drive].high, 'V')}"
        sheet.put(e.Dot(open=True).label(sheet.text(feed), loc="top"))
    resistor = sheet.put(e.Resistor().down())
    sheet.note((resistor.center[0] + 0.45, resistor.center[1]), _span(place.resistor, "Ω"), colour=INK)
    led = sheet.put(e.LED().down().color(ACCENT))
    many = [f"{place.in_series} in series"] if place.in_series > 1 else []
    sheet.note((led.center[0] + 1.0, led.center[1]), judged.ref, _part(situation, judged), *many, colour=ACCENT)
    end = sheet.put(e.Line().down().length(0.5)).end
    if place.switch is not None:
        foot = f"{place.switch} {_fitted(situation, place.switch)}"
        sheet.put(e.Dot(open=True).at(end))
        sheet.note((end[0] + 0.3, end[1]), "to", foot, colour=INK)
    else:
        foot = "ground"
        sheet.put(e.Ground())
    through = _span(place.resistor, "Ω")
    return f"{judged.ref} ({_part(situation, judged)}) is fed from {feed} through {through} and goes to {foot}."


def _regulator(sheet: DrawingSheet, situation: Situation, judged: Judged) -> str:
    e = sheet.e
    place: Any = situation.board.role[judged.ref]
    source = sheet.put(e.Dot(open=True))
    sheet.note(
        (source.center[0] - 0.2, source.center[1]),
        place.input,
        _volts(situation, place.input),
        align="right",
        colour=INK,
    )
    line = sheet.put(e.Line().right().length(1.2))
    x, y = line.end
    left, right, low, high = x, x + 3.0, y - 1.5, y + 0.7
    for a, b in (
        ((left, low), (right, low)),
        ((right, low), (right, high)),
        ((right, high), (left, high)),
        ((left, high), (left, low)),
    ):
        sheet.put(e.Line().at(a).to(b).color(ACCENT))
    sheet.note(
        ((left + right) / 2, (low + high) / 2), judged.ref, _part(situation, judged), align="center", colour=ACCENT
    )
    sheet.put(e.Line().at(((left + right) / 2, low)).to(((left + right) / 2, low - 0.5)))
    sheet.put(e.Ground())
    node = sheet.put(e.Line().at((right, y)).to((right + 1.2, y))).end
    if place.output_capacitor is not None:
        sheet.dots(node)
        sheet.put(e.Capacitor().at(node).to((node[0], node[1] - 2.0)))
        sheet.put(e.Ground())
        sheet.note(
            (node[0] + 0.5, node[1] - 1.0),
            _span(place.output_capacitor, "F"),
            f"ESR {_span(place.output_esr, 'Ω')}" if place.output_esr else "",
            colour=INK,
        )
    end = sheet.put(e.Line().at(node).to((node[0] + 1.6, node[1]))).end
    sheet.put(e.Dot(open=True).at(end))
    sheet.note((end[0] + 0.2, end[1]), place.output, colour=INK)
    volts = _volts(situation, place.input)
    return f"{judged.ref} ({_part(situation, judged)}) makes {place.output} from {place.input} ({volts})."


def _terminal(sheet: DrawingSheet, situation: Situation, judged: Judged) -> str:
    e = sheet.e
    place: Any = situation.board.role[judged.ref]
    poles = [(number, pole) for pole in place.poles for number in pole.pole][:MOST_POLES]
    for row, (number, pole) in enumerate(sorted(poles, key=lambda pair: pair[0])):
        y = -0.8 * row
        sheet.put(e.Dot(open=True, radius=0.16).at((0, y)).color(ACCENT))
        sheet.note((-0.4, y), number, align="right", colour=INK)
        sheet.put(e.Line().at((0.2, y)).to((1.2, y)).color(MUTED))
        sheet.note((1.4, y), f"{pole.side}: {', '.join(pole.load) or pole.rail}", colour=INK)
    height = 0.8 * (len(poles) - 1)
    for a, b in (
        ((-1.1, 0.5), (0.5, 0.5)),
        ((0.5, 0.5), (0.5, -height - 0.5)),
        ((0.5, -height - 0.5), (-1.1, -height - 0.5)),
        ((-1.1, -height - 0.5), (-1.1, 0.5)),
    ):
        sheet.put(e.Line().at(a).to(b).color(ACCENT))
    sheet.note((-0.3, 0.85), f"{judged.ref} {_part(situation, judged)}", align="center", colour=ACCENT)
    told = "; ".join(f"pole {n} {pole.side} {', '.join(pole.load) or pole.rail}" for n, pole in poles)
    return f"{judged.ref} ({_part(situation, judged)}): {told}."


DRAWN: dict[type, Callable[[DrawingSheet, Situation, Judged], str]] = {
    MosfetSwitch: _switch,
    NpnSink: _switch,
    Clamp: _clamp,
    Indicator: _indicator,
    Regulator: _regulator,
    Terminal: _terminal,
}


def of_channel(board_file: BoardFile, switch: str) -> Drawing:
    """A switch with what hangs on it, as the file states it; the parts are known by their numbers alone."""
    from partcheck.board import ROLE_KINDS
    from partcheck.jobs.boards.review import situation_of
    from partcheck.parts import Part

    situation = situation_of(board_file)
    for ref, place in board_file.board.role.items():
        if place.fitted is not None:
            situation.fitted[ref] = Part(ROLE_KINDS[place.role], place.fitted.part_number, place.fitted.maker, {})
    sheet = DrawingSheet()
    told = channel(sheet, situation, switch, switch, _fitted(situation, switch))
    return Drawing(
        sheet.svg().replace("<svg ", '<svg class="drawing" ', 1), f"{switch} and what is connected to it", told
    )
