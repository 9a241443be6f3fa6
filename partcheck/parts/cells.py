"""One cell of a sheet, or one value of a JSON file, read as its declaration asks."""

import re
import unicodedata
from functools import lru_cache
from typing import Any

from partcheck.errors import ValueSlip
from partcheck.parameters import Axis, Parameter, Table
from partcheck.parts.problems import did_you_mean, quoted
from partcheck.units import UNITS, parse, show, suggest

_NOTHING_SAID = frozenset({"-", "--", "–", "—", "?", "n/a", "na", "none", "nil", "null", "tbd", "x"})
_BOTH = r"(?:±|\+ ?/ ?-) ?"
_EITHER_SIGN = re.compile(rf"{_BOTH}(?=[0-9.])")
_BARE = re.compile(rf"(?:{_BOTH}|[+-])?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_ZERO = re.compile(r"0+(?:\.0*)?")
_SAME = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u200a": " "})
_COMMA = re.compile(rf"({_BOTH}|[+-]?)([0-9]*)(?:,([0-9]+))?(?![0-9]*[.,'’][0-9])([^0-9].*)?")
_CONTROLS = frozenset({"Cc", "Cf", "Cs"})

SPREADSHEET_ERRORS = frozenset(
    {
        "#DIV/0!",
        "#N/A",
        "#NAME?",
        "#NULL!",
        "#NUM!",
        "#REF!",
        "#VALUE!",
        "#SPILL!",
        "#CALC!",
        "#GETTING_DATA",
    }
)

Declared = Parameter | Axis | Table


NOT_STATED = "leave it empty if the datasheet does not state it"


class Refused(Exception):
    """A cell that cannot stand: what is wrong with it, and what to write instead."""

    def __init__(self, reason: str, suggestion: str = "") -> None:
        super().__init__(reason)
        self.reason, self.suggestion = reason, suggestion


_parsed = lru_cache(maxsize=8192)(parse)  # a sheet says "10 V" many times over


def stated(cell: Any) -> bool:
    """Whether a cell says anything: not ``None`` and not blank."""
    return bool(cell) and not cell.isspace() if isinstance(cell, str) else cell is not None


@lru_cache(maxsize=65536)
def with_unit(cell: str, label: str) -> str:
    """The cell with its header's unit if it is a bare number: ``with_unit("28", "mΩ") == "28 mΩ"``."""
    plain = cell.translate(_SAME).strip()
    return f"{plain} {label}" if _BARE.fullmatch(plain) else cell


def with_point(cell: str) -> str:
    """A number typed with a decimal comma as one with a point: ``with_point("1,5 V") == "1.5 V"``.

    Raises :class:`Refused` where a point or a second comma leaves open which of them is the decimal one.
    """
    plain = cell.translate(_SAME).strip()
    match = _COMMA.fullmatch(plain)
    if match is None:
        clear = "write it without thousands separators, with a decimal comma"
        raise Refused("has a point or a second comma where a decimal comma is expected", clear)
    sign, whole, part, rest = (group or "" for group in match.groups())
    return f"{sign}{whole}.{part}{rest}" if part else plain


def check_label(label: str, unit: str) -> None:
    """Raise :class:`Refused` unless ``label`` may stand in a header as the unit of bare numbers."""
    try:
        parse(f"1 {label}", unit)
    except ValueSlip as slip:
        wanted = f"use one of {', '.join(filter(None, UNITS[unit].spellings))}" if unit else "leave the brackets out"
        raise Refused(f"has the unit {quoted(label)}, which does not suit it", wanted) from slip


def read(cell: Any, declared: Declared) -> float | str:
    """The value of a stated cell: SI number, or word. Raises :class:`Refused`.

    ``read("28 mΩ", table) == 0.028``. A number that is not a text is SI already (a temperature: °C).
    """
    if isinstance(declared, Table) or not declared.is_text:
        return _number(cell, declared)
    return _choice(cell, declared.choices) if declared.choices else _text(cell)


def _number(cell: Any, declared: Declared) -> float:
    unit, low, high = declared.unit, declared.low, declared.high
    if isinstance(cell, str) and isinstance(declared, Parameter) and declared.magnitude:
        both = _EITHER_SIGN.match(plain := cell.translate(_SAME).strip())
        cell = plain[both.end() :] if both else cell
    if declared.name in ("price", "quantity") and isinstance(cell, str) and re.search("%|ppm", cell):
        raise Refused("is a part of something, and a plain number is wanted", "write the number itself")
    try:
        if isinstance(cell, str) and not UNITS[unit].bare and _ZERO.fullmatch(cell.strip()):
            cell = f"0 {unit}"  # no copper at all is none in any unit
        value = _parsed(cell, unit) if isinstance(cell, str) else _si(cell, unit)
    except ValueSlip as slip:
        raise _refused(slip, cell) from slip
    if low <= value <= high:
        return value + 0.0  # no negative zero
    raise Refused(f"is outside {show(low, unit)}..{show(high, unit)}", _instead(value, declared))


def _si(cell: Any, unit: str) -> float:
    if isinstance(cell, int | float) and not isinstance(cell, bool) and not UNITS[unit].bare:
        return parse(f"{cell!r} {unit}", unit)
    return parse(cell, unit)


def _refused(slip: ValueSlip, cell: Any) -> Refused:
    """The slip of a number, cut into reason and suggestion; whole where it does not say what to write."""
    reason, found, instead = str(slip).rpartition("; write ")
    if isinstance(cell, str) and cell.strip().casefold() in _NOTHING_SAID:
        return Refused("is not a number", NOT_STATED)
    if not found:
        return Refused(f"cannot be read: {slip}")
    head = f"{quoted(cell.strip() if isinstance(cell, str) else cell)} "
    return Refused(
        reason.removeprefix(head) if reason.startswith(head) else f"cannot be read: {reason}",
        f"write {instead}",
    )


def _instead(value: float, declared: Declared) -> str:
    unit, low, high = declared.unit, declared.low, declared.high
    if low <= -value <= high:
        return f"did you mean {show(-value, unit)}?"
    if unit == "" and low >= 1:  # a count or a gain is never meant in per cent
        return ""
    near = suggest(value, unit, low, high) if high <= 100 or unit else None
    return f"did you mean {near}?" if near else ""


def _text(cell: Any) -> str:
    """A free text on one line, as written apart from runs of spaces and line breaks."""
    if not isinstance(cell, str):
        raise Refused("is not text", "write it in quotes")
    text = " ".join(cell.split())
    if not (text.isascii() and text.isprintable()) and not _CONTROLS.isdisjoint(map(unicodedata.category, text)):
        raise Refused("holds an invisible character", f"write {quoted(_visible(text))}")
    return text


def _visible(text: str) -> str:
    return "".join(letter for letter in text if unicodedata.category(letter) not in _CONTROLS)


def _choice(cell: Any, choices: tuple[str, ...]) -> str:
    text = _text(cell)
    if text in choices:
        return text
    for choice in choices:
        if choice.casefold() == text.casefold():
            return choice
    listed = ", ".join(choices)
    raise Refused(f"is not one of {listed}", did_you_mean(text, choices, "write one of these or leave it empty"))
