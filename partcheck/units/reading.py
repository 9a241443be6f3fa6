"""Texts to values and spans; what could be read in two ways is refused."""

import math
import re
from collections.abc import Mapping
from typing import Final

from partcheck.errors import ValueSlip
from partcheck.units.known import LONGEST, Span, quoted, record_of
from partcheck.units.quantity import LETTERED, QUANTITY, TOLERANCES, labels_of, plain_text, read_quantity, tidy
from partcheck.units.refusing import slip, why_refused
from partcheck.units.showing import _digits, _shift, show, show_span

_WHICH_UNIT: Final = "it does not say which unit each number has"


def parse(text: str | float, unit: str) -> float:
    """Read one quantity as a float in the stored unit; raise ValueSlip for anything in doubt.

    >>> parse("1.2 mm²", "m²"), parse("85 °C", "°C"), parse(0.5, "")
    (1.2e-06, 358.15, 0.5)
    """
    record_of(unit)
    plain = plain_text(text)
    if plain is None:
        raise slip(text, unit, "it is neither a text nor a number")
    plain = _direct(plain, unit)
    value = read_quantity(plain, unit)
    if value is None:
        raise slip(text, unit, *why_refused(plain, unit))
    if not math.isfinite(value):
        raise slip(text, unit, "it is not a finite number")
    if unit == "°C" and value < 0.0:
        raise slip(text, unit, "it is below absolute zero")
    return value


def parse_span(text: str | float | Mapping[str, str | float], unit: str) -> Span:
    """Read a quantity with its tolerance, range or table as a Span; raise ValueSlip if in doubt.

    Written as ``12 V``, ``12 V ±5 %``, ``12 V +10 % -5 %``, ``20..50 mΩ``, ``11.4..12..12.6 V``, an IEC
    60062 code with its tolerance letter (``4K7K``) or a mapping with min, max and perhaps typ; a typ
    that is not said is the middle.

    >>> parse_span("-10..45 °C", "°C")
    Span(min=263.15, typ=290.65, max=318.15)
    """
    record_of(unit)
    if isinstance(text, Mapping):
        return _span_of_mapping(text, unit)
    plain = plain_text(text)
    if plain is not None:
        plain = text = _direct(plain, unit) if isinstance(text, str) else plain
    span = _span_of_text(plain, unit) if plain is not None and isinstance(text, str) else None
    if span is None:  # a single value
        value = parse(text, unit)
        return Span(value, value, value)
    return span


_DIRECT: Final = re.compile(r"(?<=[VA]) ?(?:DC|dc|d\.c\.)(?![A-Za-z])")
_ALTERNATING: Final = re.compile(r"[VA] ?(?:AC|ac|a\.c\.|rms|RMS|r\.m\.s\.|eff)(?![A-Za-z])|[VA] ?~|~ *$|^ *~")


def _direct(plain: str, unit: str) -> str:
    """A voltage or current without the letters that say it is a direct one; an alternating one is refused.

    >>> parse("24 VDC", "V")
    24.0
    """
    if unit not in ("V", "A"):
        return plain
    if _ALTERNATING.search(plain):
        why = "this tool is for direct current up to 120 V only, and mains and a.c. are licensed work"
        raise slip(plain, unit, why, "a direct voltage or current")
    return _DIRECT.sub("", plain)


def suggest(value: float, unit: str, low: float, high: float) -> str | None:
    """The text of a value a slipped prefix away that does lie in low..high, or None.

    A ratio is tried as a percentage and an area in mm² steps; a temperature has no prefix to slip.

    >>> suggest(470e6, "Ω", 1e-3, 10.0), suggest(50.0, "", 0.0, 1.0)
    ('470 mΩ', '50 %')
    """
    if unit == "°C" or not math.isfinite(value) or value == 0.0 or low <= value <= high:
        return None
    if unit == "":
        return f"{_digits(value, 6)} %" if low <= value / 100 <= high else None
    for power in (6, -6) if unit == "m²" else (3, -3, 6, -6, 9, -9, 12, -12):
        other = _shift(value, power)
        if low <= other <= high:
            return show(other, unit, 6)
    return None


def _span_of_mapping(table: Mapping[str, str | float], unit: str) -> Span:
    strange = [key for key in table if key not in ("min", "typ", "max")]
    missing = [key for key in ("min", "max") if key not in table]
    if strange or missing:
        why = f"{quoted(strange[0])} is not one of its keys" if strange else f"it has no {missing[0]}"
        raise slip(dict(table), unit, why, "min and max, and perhaps typ")
    low, high = parse(table["min"], unit), parse(table["max"], unit)
    return _ordered(dict(table), low, parse(table["typ"], unit) if "typ" in table else None, high, unit)


def _span_of_text(plain: str, unit: str) -> Span | None:
    """The span of a text that says a range or a tolerance; None if it can only be a single value."""
    plain = re.sub(r"\+ ?/ ?-", "±", plain)
    if len(plain) > LONGEST:
        return None
    if ".." in plain:
        return _span_of_range(plain, unit)
    lettered = LETTERED.fullmatch(plain) if unit == "Ω" else None
    if lettered:
        percent = f"{TOLERANCES[lettered[2]]} %"
        return _around(plain, lettered[1], percent, percent, unit)
    both = re.fullmatch(r"([^±]+?) *± *([^±]+)", plain)
    if both:
        return _around(plain, both[1], both[2], both[2], unit)
    sides = re.fullmatch(r"(.*[^ ]) *([+-]) ?([0-9.][^+-]*?)(?: +| */ *)([+-]) ?([0-9.][^+-]*)", plain)
    if sides and sides[2] != sides[4]:
        up, down = (sides[3], sides[5]) if sides[2] == "+" else (sides[5], sides[3])
        return _around(plain, sides[1], up, down, unit)
    if read_quantity(plain, unit) is None:
        _refuse_half_said(plain, unit)
    return None


def _span_of_range(plain: str, unit: str) -> Span:
    parts = [part.strip() for part in plain.split("..")]
    if "..." in plain or "±" in plain or not 2 <= len(parts) <= 3 or not all(parts):
        # "0...5" would otherwise be read as 0 to 0.5
        why = "a range is two or three numbers, two dots between each and no tolerance"
        raise slip(plain, unit, why, "for example '4.5..5.5' and the unit")
    numbers = [QUANTITY.fullmatch(part) for part in parts]
    bare = [number is not None and not number["label"] for number in numbers]
    last, tail = numbers[-1], ""
    if any(bare) and not all(bare):
        if bare[-1] or last is None or last["label"] not in {*labels_of(unit), "AWG"}:
            raise slip(plain, unit, _WHICH_UNIT, "the unit after the last number")
        tail = last["gap"] + last["label"]
    values = [parse(part + tail if alone else part, unit) for part, alone in zip(parts, bare, strict=True)]
    low, *middle, high = values
    return _ordered(plain, low, middle[0] if middle else None, high, unit)


def _around(plain: str, middle: str, up: str, down: str, unit: str) -> Span:
    """The span of a middle value and what it may gain and lose."""
    typ = parse(middle, unit)
    more, less = (_deviation(plain, middle, typ, side.strip(), unit) for side in (up, down))
    return _ordered(plain, min(typ, tidy(typ - less)), typ, max(typ, tidy(typ + more)), unit)


def _deviation(plain: str, middle: str, typ: float, side: str, unit: str) -> float:
    if side.startswith(("-", "+")):
        raise slip(plain, unit, "a tolerance has no sign of its own", "'±' and a positive number")
    if side.endswith(("%", "ppm")):
        if unit in ("°C", ""):  # 5 % of 20 °C means nothing, 50 % ±5 % could mean two things
            clear = "a range such as '0.4..0.6'" if unit == "" else "for example '±2 K'"
            raise slip(plain, unit, "a percentage of it is not clear", clear)
        return abs(typ) * parse(side, "")
    number, whole = QUANTITY.fullmatch(side), QUANTITY.fullmatch(middle)
    if unit and any(part and not part["label"] for part in (number, whole)):
        raise slip(plain, unit, _WHICH_UNIT, f"the unit ({unit}) or % after each")
    if unit == "°C":  # 25 °C ±2 °C deviates by a difference of 2 K
        return parse(re.sub(r"(?:°|deg)C$", "K", side), "K")
    return parse(side, unit)


def _refuse_half_said(plain: str, unit: str) -> None:
    """Raise for a tolerance without its sign or one side, and for a range with a dash."""
    loose = re.fullmatch(r"(.*[^ +-]) +[+-]? ?([0-9.]+ *(?:%|ppm))", plain)
    dashed = re.fullmatch(r"([+-]?[0-9.]+[^-–—~]*?) *(?:[-–—~]|to) *([0-9.]+[^-–—~]*)", plain)
    for found, joint, why in (
        (loose, " ±", "a tolerance says both its sides"),
        (dashed, "..", "a range has two dots"),
    ):
        if found is None or "±" in plain:
            continue
        instead = found[1] + joint + found[2]
        try:
            parse_span(instead, unit)
        except ValueSlip:
            continue
        raise slip(plain, unit, why, instead)


def _ordered(text: object, low: float, typ: float | None, high: float, unit: str) -> Span:
    if typ is None:
        typ = low if low == high else tidy(low / 2 + high / 2)
    span = Span(low, typ, high)
    if not all(map(math.isfinite, span)):
        raise slip(text, unit, "it is not finite")
    if unit == "°C" and low < 0.0:
        raise slip(text, unit, "it reaches below absolute zero")
    if not low <= typ <= high:
        why = f"min {show(low, unit)}, typ {show(typ, unit)} and max {show(high, unit)} do not rise"
        raise slip(text, unit, why, show_span(Span(*sorted(span)), unit))
    return span
