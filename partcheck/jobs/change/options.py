"""What a user asks of a load in a few words, turned into keys and values of the board file."""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from partcheck.board import Board
from partcheck.board.fields import Measure, measure_of
from partcheck.board.loads import Coil, LedString, Motor, Resistive
from partcheck.board.measured import as_stated
from partcheck.board.models import Path
from partcheck.board.surroundings import Rail
from partcheck.errors import UsageError, ValueSlip
from partcheck.inputs import NotRead, read_toml
from partcheck.jobs.judge.setup import Setup
from partcheck.units import ZERO_CELSIUS, Span, parse_span, show

Value = tuple[Path, object, str]
"""A path in the board file, what shall stand there, and a word about it."""
DIGITS = 7
"""Digits of a value that is worked out: more than any tolerance can tell."""
FIXED = ("format", "parts", "part", "policy")
"""Keys of the file that do not change a circuit; a command has options for two of them."""


@dataclass(frozen=True)
class Asked:
    """What was asked for, as typed; None is left as it is."""

    voltage: str | None = None
    current: str | None = None
    resistance: str | None = None
    inductance: str | None = None
    count: int | None = None
    at_once: int | None = None
    duty: str | None = None
    frequency: str | None = None
    cable_length: str | None = None
    wire: str | None = None
    sets: tuple[str, ...] = ()


class Asking:
    """Works out what ``asked`` means for one load of a board."""

    def __init__(self, setup: Setup, load: str, asked: Asked) -> None:
        self.setup, self.name, self.asked = setup, load, asked
        self.board = setup.board_file.board
        self.load = self.board.load[load]
        self.notes: list[str] = []
        self.data = setup.board_file.stated
        self.typed: dict[Path, str] = {}
        for path, text in map(self._split, asked.sets):
            if path in self.typed:
                raise UsageError(f"--set asks for {'.'.join(map(str, path))} twice; say it once")
            self.typed[path] = text

    # ---- --set

    def _split(self, text: str) -> tuple[Path, str]:
        """The path and the text of ``KEY=VALUE``."""
        key, equals, value = text.partition("=")
        words = key.strip().split(".")
        if not equals or not all(words) or not value.strip():
            raise UsageError(f"--set {text!r} is not KEY=VALUE; write it as in --set least_voltage='16 V'")
        if words[0] in FIXED and len(words) == 1:
            raise UsageError(f"--set cannot change {words[0]!r} of a board; edit the file, or use --parts or --policy")
        own = words[0] in type(self.load).model_fields
        if (own and (len(words) == 1 or words[0] not in Board.model_fields)) or (
            len(words) == 1 and words[0] not in Board.model_fields
        ):
            words = ["load", self.name, *words]
        return self._path(words), value.strip()

    def _path(self, words: list[str]) -> Path:
        """The words as a path in the file: a number counts where the file has a list."""
        path: Path = ()
        node: Any = self.data
        for word in words:
            if isinstance(node, list):
                if not word.isdigit() or int(word) >= len(node):
                    raise UsageError(
                        f"--set: {'.'.join(map(str, path))} is a list of {len(node)}; name one by its "
                        f"number, 0 to {len(node) - 1}, not {word!r}"
                    )
                path, node = (*path, int(word)), node[int(word)]
            elif isinstance(node, dict):
                path, node = (*path, word), node.get(word, {})
            else:
                raise UsageError(f"--set: {'.'.join(map(str, path))} is one value and has no {word!r} in it")
        return path

    def values(self) -> Iterator[Value]:
        """Every value that the board file shall have; that of a measured winding in the key that rules it."""
        for path, value, note in self._values():
            stated, text = as_stated(self.board, path, str(value)) if path[-1] == "resistance" else (path, value)
            yield stated, text, note

    def _values(self) -> Iterator[Value]:
        asked = self.asked
        if asked.voltage is not None:
            yield self._voltage(asked.voltage)
        if asked.current is not None:
            yield from self._current(asked.current)
        here: Path = ("load", self.name)
        for key, text in (("resistance", asked.resistance), ("inductance", asked.inductance)):
            if text is not None:
                yield self._kept((*here, key), text)
        if asked.count is not None:
            yield (*here, "count"), asked.count, ""
        if asked.at_once is not None:
            yield self._group(), asked.at_once, ""
        for table, key, text in (
            ("chopped", "duty", asked.duty),
            ("chopped", "frequency", asked.frequency),
            ("cable", "length", asked.cable_length),
            ("cable", "wire", asked.wire),
        ):
            if text is not None:
                stated = getattr(self.load, table) is not None
                yield self._kept((*here, table, key), text) if stated else ((*here, table, key), text, "")
        for path, text in self.typed.items():
            yield self._kept(path, text)

    # ---- what the options mean

    @property
    def rail(self) -> str:
        """The rail of the load, as asked."""
        return self.typed.get(("load", self.name, "rail"), self.load.rail).strip("'\"")

    def _rail(self) -> Rail:
        if self.rail not in self.board.rail:
            raise UsageError(f"there is no rail {self.rail!r} on this board; it has {', '.join(self.board.rail)}")
        return self.board.rail[self.rail]

    def _voltage(self, text: str) -> Value:
        rail = self._rail()
        if rail.regulator is not None:
            raise UsageError(
                f"the rail {self.rail} is made by the regulator {rail.regulator} and has no voltage of its own; "
                f"put {self.name} on another rail (--set rail=NAME) or another part in {rail.regulator}"
            )
        return self._kept(("rail", self.rail, "voltage"), text)

    def _volts(self) -> float:
        """Typical voltage of the rail, as asked."""
        text = self.asked.voltage or self.typed.get(("rail", self.rail, "voltage"))
        if text is not None:
            return parse_span(text, "V").typ
        self._rail()
        volts = float(self.setup.situation.rail(self.rail).typical.value)
        if volts != volts:
            raise UsageError(f"the voltage of the rail {self.rail} is not known, so no current can be set on it")
        return volts

    def _current(self, text: str) -> Iterator[Value]:
        """A current, through the key that rules it."""
        load, here = self.load, ("load", self.name)
        span = _span(text, "A", "--current")
        if (*here, "current") in self.typed:
            raise UsageError(f"the current of {self.name} is asked for twice; say it once")
        if load.current is None and isinstance(load, Coil | Resistive | LedString):
            if self.asked.resistance is not None or (*here, "resistance") in self.typed:
                raise UsageError(f"the resistance of {self.name} determines its current; ask for one of the two")
            yield self._through_resistance(load, span)
            return
        value = self._kept((*here, "current"), text)
        yield value
        present = load.current.typ if load.current is not None else 0.0
        ratio = span.typ / present if present and span.typ else 1.0
        if isinstance(load, Motor) and (*here, "stall_current") not in self.typed:
            yield (*here, "stall_current"), show(load.stall_current * ratio, "A", DIGITS), "in the same ratio"
        resistance = getattr(load, "resistance", None)
        stated = self.asked.resistance is not None or (*here, "resistance") in self.typed
        if isinstance(load, Coil | Motor) and resistance is not None and not stated:
            path = (*here, "resistance")
            yield path, _with_spread(show(resistance.typ / ratio, "Ω", DIGITS), resistance, "Ω"), "in the inverse ratio"

    def _through_resistance(self, load: Any, wanted: Span) -> Value:
        """The resistance with which a load draws a current at the typical voltage and 20 °C."""
        volts = self._volts()
        if isinstance(load, LedString) and load.forward_voltage is not None:
            volts -= load.forward_voltage.typ
        if not (wanted.min > 0 and volts > 0):
            raise UsageError(f"no resistance lets {self.name} draw {show(wanted.min, 'A')} at {show(volts, 'V')}")
        ends = Span(volts / wanted.max, volts / wanted.typ, volts / wanted.min)
        spread = load.resistance if wanted.exact else ends
        text = _with_spread(show(ends.typ, "Ω", DIGITS), spread, "Ω")
        at = " and 20 °C" if isinstance(load, Coil) else ""
        kept = ", tolerance kept" if wanted.exact else ""
        whole = " without a break" if load.chopped is not None else ""
        note = f"draws {show(wanted.typ, 'A')} at {show(volts, 'V')}{at}{whole}{kept}; the worst case is larger"
        return ("load", self.name, "resistance"), text, note

    def _group(self) -> Path:
        switch = self.board.switch_of(self.name)
        together = set(self.board.role[switch].load) if switch is not None else {self.name}  # type: ignore[union-attr]
        for names in ({self.name}, together):
            for i, group in enumerate(self.board.at_once):
                if names & set(group.of):
                    return ("at_once", i, "most")
        raise UsageError(
            f"{self.name} is in no at_once group of {self.setup.board_file.path}: everything may already be "
            "on together; add such a group to the file first"
        )

    # ---- values

    def _kept(self, path: Path, text: str) -> Value:
        """A typed value; without a spread of its own it keeps the spread of the present one."""
        present, measure = _present(self.board, path)
        if measure is None:
            return path, _as_toml(text, present), ""
        if not isinstance(present, Span) or present.exact or measure.unit == "":
            return path, text, ""
        try:
            typed = parse_span(text, measure.unit)
        except ValueSlip:
            return path, text, ""  # the reader of the file says what is wrong, and where
        if not typed.exact or "±" in text:
            return path, text, ""
        return path, _with_spread(text, present, measure.unit), "the spread is that of the present value"


def _span(text: str, unit: str, option: str) -> Span:
    try:
        return parse_span(text, unit)
    except ValueSlip as slip:
        raise UsageError(f"{option}: {slip}") from None


def _with_spread(text: str, like: Span, unit: str) -> str:
    """A value with the spread of another: relative, or of a temperature in kelvin."""
    if like.exact or like.typ <= 0:
        return text
    if unit == "°C":
        typ = parse_span(text, unit).typ
        ends = (typ + end - like.typ - ZERO_CELSIUS for end in like)
        return "..".join(f"{end:.6g}" for end in ends) + " °C"
    up, down = _percent(like.max / like.typ - 1), _percent(1 - like.min / like.typ)
    return f"{text} ±{up} %" if up == down else f"{text} +{up} % -{down} %"


def _percent(share: float) -> str:
    """A share in per cent with two decimals, rounded up: no spread gets narrower."""
    return f"{math.ceil(round(share * 1e4, 6)) / 100:g}"


def _present(board: Board, path: Path) -> tuple[object, Measure | None]:
    """What the board states at a path, and how that key is measured; None where that is not known."""
    node: Any = board
    measure = None
    for step in path:
        measure = None
        if isinstance(node, BaseModel) and isinstance(step, str):
            field = type(node).model_fields.get(step)
            if field is None:
                return None, None
            measure = measure_of(field.annotation, field.metadata)
            node = getattr(node, step)
        else:
            try:
                node = node[step]
            except (KeyError, IndexError, TypeError):
                return None, None
    return node, measure


def _as_toml(text: str, present: object) -> object:
    """A value that is no quantity: whole number, true or false, list or table as TOML has them, else a text."""
    try:
        value: object = read_toml(f"value = {text}")["value"]
    except (tomllib.TOMLDecodeError, NotRead):
        return text
    if isinstance(present, str) and not isinstance(value, str):
        return text
    return value if isinstance(value, bool | int | float | str | list | dict) else text
