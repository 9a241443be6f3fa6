"""Numbers with units: strict reading, tolerant of spelling, never of doubt.

Values are SI floats, with two habits of the trade: a temperature (unit ``°C``) is kept in kelvin and
an angle (unit ``°``) in degrees.  What could be read in two ways is refused with one sentence that
says what was read, what is wanted and what to write instead.

>>> parse("28 mΩ", "Ω"), parse("4k7", "Ω"), parse_span("12 V ±5 %", "V").min
(0.028, 4700.0, 11.4)
>>> show(0.0085, "Ω"), suggest(28.0, "Ω", 1e-4, 1.0)
('8.5 mΩ', '28 mΩ')
"""

import math
import re
import unicodedata
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Final, NamedTuple

from partcheck.errors import ValueSlip

ZERO_CELSIUS: Final = 273.15
"""Kelvin at 0 °C (the definition of the Celsius scale)."""

_PREFIXES: Final = {"p": -12, "n": -9, "u": -6, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9, "T": 12}
_SHOWN: Final = {power: letter for letter, power in _PREFIXES.items()} | {0: ""}
_TOP: Final = {"s": 0}  # nobody reads kiloseconds

# Spelled out instead of NFKC, which would also turn "5² V" into "52 V".
_SAME: Final = str.maketrans({
    "\u03bc": "µ", "\u2126": "Ω", "\u2212": "-", "\u2026": "..", "\u2103": "°C", "\u22c5": "·",
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u200a": " ",
})  # fmt: skip

_QUANTITY: Final = re.compile(
    r"(?P<number>[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
    r"(?:[eE](?P<power>[+-]?[0-9]{1,3})(?![0-9]))?(?P<gap> *)(?P<label>.*)",
    re.DOTALL,
)
_AWG: Final = re.compile(r"(?:AWG *(0|[1-9][0-9]?)|(0|[1-9][0-9]?) *AWG)")  # "00" is gauge 2/0, not 0
_THINNEST: Final = 40
_LONGEST: Final = 80  # characters of a value, and of a text quoted in a message

# IEC 60062: the multiplier letter stands where the decimal point would.
_CODES: Final = {
    "Ω": re.compile(r"(?=[0-9]|R[0-9])([0-9]*)([RKkMGm])([0-9]*)(?: *(?:Ω|[oO]hms?))?"),
    "F": re.compile(r"([0-9]*)([pnuµm])([0-9]+)F?"),
    "H": re.compile(r"([0-9]*)([nuµm])([0-9]+)H?"),
}
# Right after M, G, m or k a tolerance letter would spell a unit (47mF, 10kJ), so digits must part them.
_LETTERED: Final = re.compile(r"(R[0-9]+|[0-9]+[RK][0-9]*|[0-9]+[kMGm][0-9]+)([BCDFGJKM])")
_TOLERANCES: Final = {"B": 0.1, "C": 0.25, "D": 0.5, "F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0, "M": 20.0}
"""IEC 60062 tolerance letters in percent (from memory)."""


class Unit(NamedTuple):
    """A unit that values can be asked in.

    ``spellings`` name the unit itself; with ``prefixed`` each may carry an SI prefix and a prefix may
    stand alone (``1.5k``).  ``extra`` holds further labels as (factor, power of ten).  ``bare`` tells
    whether a number alone will do.  ``factor`` takes the stored value to SI.
    """

    symbol: str
    meaning: str
    example: str
    spellings: tuple[str, ...]
    prefixed: bool = True
    factor: float = 1.0
    bare: bool = True
    extra: Mapping[str, tuple[float, int]] = MappingProxyType({})


_RATES: Final = {
    "Hz": (1.0, 0), "kHz": (1.0, 3), "MHz": (1.0, 6), "/min": (1 / 60, 0), "1/min": (1 / 60, 0),
    "/h": (1 / 3600, 0), "1/h": (1 / 3600, 0),
}  # fmt: skip
_LENGTHS: Final = {
    "nm": (1.0, -9), "µm": (1.0, -6), "um": (1.0, -6), "mm": (1.0, -3), "cm": (1.0, -2),
    "km": (1.0, 3), "in": (25.4, -3), "mil": (25.4, -6),
}  # fmt: skip
_AREAS: Final = {f"{name}{square}": power for square in ("²", "2", "^2")
                 for name, power in (("mm", (1.0, -6)), ("cm", (1.0, -4)))}  # fmt: skip
_PER_KELVIN: Final = {f"{part}/{kelvin}": (1.0, power) for kelvin in ("K", "°C", "degC")
                      for part, power in (("ppm", -6), ("%", -2))}  # fmt: skip

UNITS: Final[Mapping[str, Unit]] = {
    unit.symbol: unit
    for unit in (
        Unit("V", "a voltage", "12 V", ("V",)),
        Unit("A", "a current", "20 mA", ("A",)),
        Unit("Ω", "a resistance", "28 mΩ", ("Ω", "ohm", "Ohm", "ohms", "Ohms")),
        Unit("W", "a power", "250 mW", ("W",)),
        Unit("F", "a capacitance", "10 µF", ("F",)),
        Unit("H", "an inductance", "4.7 µH", ("H",)),
        Unit("C", "a charge", "45 nC", ("C",)),
        Unit("J", "an energy", "30 mJ", ("J",)),
        Unit("s", "a time", "20 ms", ("s",), extra={"min": (60.0, 0), "h": (3600.0, 0)}),
        Unit("Hz", "a frequency", "20 kHz", ("Hz",)),
        Unit("K", "a temperature difference", "40 K", ("K",), prefixed=False),
        Unit("°C", "a temperature", "85 °C", ("°C", "degC"), prefixed=False, extra={"K": (1.0, 0)}),
        Unit("K/W", "a thermal resistance", "62 K/W", ("K/W", "°C/W", "degC/W"), prefixed=False),
        Unit("V/K", "a voltage per kelvin", "-2 mV/K", ("V/K", "V/°C", "V/degC")),
        Unit("1/K", "a temperature coefficient", "0.004 /K", ("1/K", "/K", "1/°C", "/°C", "/degC"),
             prefixed=False, extra=_PER_KELVIN),
        Unit("A/V", "a transconductance", "5 A/V", ("A/V", "S")),
        Unit("m", "a length", "5 mm", ("m",), prefixed=False, bare=False, extra=_LENGTHS),
        Unit("m²", "an area", "1.5 mm²", ("m²", "m2", "m^2"), prefixed=False, bare=False, extra=_AREAS),
        Unit("cd", "a luminous intensity", "800 mcd", ("cd",)),
        Unit("lm", "a luminous flux", "3 lm", ("lm",)),
        Unit("°", "an angle", "120°", ("°", "deg"), prefixed=False, factor=math.pi / 180,
             extra={"rad": (180 / math.pi, 0)}),
        Unit("", "a ratio", "0.5 or 50 %", (), prefixed=False, extra={"%": (1.0, -2), "ppm": (1.0, -6)}),
        Unit("N·m", "a torque", "0.5 N·m", ("N·m", "Nm", "N*m")),
        Unit("Ω/m", "a resistance per length", "34 mΩ/m", ("Ω/m", "ohm/m", "Ohm/m"),
             extra={"Ω/km": (1.0, -3), "ohm/km": (1.0, -3), "Ohm/km": (1.0, -3)}),
        Unit("H/m", "an inductance per length", "0.7 µH/m", ("H/m",)),
        Unit("A²s", "a fuse integral I²t", "50 A²s", ("A²s", "A2s", "A^2s", "A²·s"), prefixed=False),
        Unit("1/s", "a rate", "2 /s", ("1/s", "/s"), prefixed=False, extra=_RATES),
    )
}  # fmt: skip


class Span(NamedTuple):
    """The least, usual and greatest value of a quantity, in the stored unit."""

    min: float
    typ: float
    max: float

    @property
    def exact(self) -> bool:
        """True when no tolerance was given: ``12 V`` as against ``12 V ±5 %``."""
        return self.min == self.max


def parse(text: str | float, unit: str) -> float:
    """Read one quantity as a float in the stored unit; raise ValueSlip for anything in doubt.

    >>> parse("1.2 mm²", "m²"), parse("85 °C", "°C"), parse(0.5, "")
    (1.2e-06, 358.15, 0.5)
    """
    _record(unit)
    plain = _plain_text(text)
    if plain is None:
        raise _slip(text, unit, "it is neither a text nor a number")
    value = _read(plain, unit)
    if value is None:
        raise _slip(text, unit, *_why(plain, unit))
    if not math.isfinite(value):
        raise _slip(text, unit, "it is not a finite number")
    if unit == "°C" and value < 0.0:
        raise _slip(text, unit, "it is below absolute zero")
    return value


def parse_span(text: str | float | Mapping[str, str | float], unit: str) -> Span:
    """Read a quantity with its tolerance, range or table as a Span; raise ValueSlip if in doubt.

    Written as ``12 V``, ``12 V ±5 %``, ``12 V +10 % -5 %``, ``20..50 mΩ``, ``11.4..12..12.6 V``, an IEC
    60062 code with its tolerance letter (``4K7K``) or a mapping with min, max and perhaps typ; a typ
    that is not said is the middle.

    >>> parse_span("-10..45 °C", "°C")
    Span(min=263.15, typ=290.65, max=318.15)
    """
    _record(unit)
    if isinstance(text, Mapping):
        return _span_of_mapping(text, unit)
    plain = _plain_text(text)
    span = _span_of_text(plain, unit) if plain is not None and isinstance(text, str) else None
    if span is None:  # a single value
        value = parse(text, unit)
        return Span(value, value, value)
    return span


def show(value: float | None, unit: str, digits: int = 4) -> str:
    """The value for a reader, to ``digits`` significant digits; ``?`` when it is not known.

    >>> show(0.99996, "Ω"), show(233.15, "°C"), show(6e-7, "m²"), show(None, "V")
    ('1 Ω', '-40 °C', '0.6 mm²', '?')
    """
    _record(unit)
    if value is None or math.isnan(value):
        return "?"
    rounded = _rounded(value, unit, digits)
    if math.isinf(rounded):
        return _joined("∞" if value > 0 else "−∞", unit, 0)
    power = _power(rounded, unit)
    return _joined(_digits(_shift(rounded, power), digits), unit, power)


def show_span(span: Span, unit: str) -> str:
    """The span for a reader, in one unit where its ends are of like size: ``11.4..12..12.6 V``."""
    if span.exact or all(math.isnan(value) for value in span):
        return show(span.typ, unit)
    digits = _telling_digits(span)
    rounded = [_rounded(value, unit, digits) for value in span]
    if all(math.isfinite(value) for value in rounded):
        power = _power(max(rounded, key=abs), unit)
        shifted = [_shift(value, power) for value in rounded]
        if all(value == 0.0 or abs(value) >= 0.01 for value in shifted):
            return _joined("..".join(_digits(value, digits) for value in shifted), unit, power)
    return "..".join(show(value, unit, digits) for value in span)


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


def to_json(value: float | None, unit: str) -> float | None:
    """The number for a JSON file, in ``json_unit(unit)``; None when it is not a finite number.

    >>> to_json(358.15, "°C"), to_json(float("inf"), "V")
    (85.0, None)
    """
    _record(unit)
    if value is None or not math.isfinite(value):
        return None
    return round(value - ZERO_CELSIUS, 9) if unit == "°C" else value


def json_unit(unit: str) -> str:
    """The unit ``to_json`` writes in: the canonical one, so °C for a temperature and m for a length."""
    return _record(unit).symbol


@cache
def is_unit(label: str, unit: str | None = None) -> bool:
    """Whether a label may stand behind a number asked for in ``unit``; without one, in any unit.

    >>> is_unit("mΩ"), is_unit("mΩ", "V"), is_unit("on")
    (True, False, False)
    """
    plain = _plain_text(label)
    wanted = UNITS if unit is None else (unit,)
    return bool(plain) and any(plain in _labels(each) for each in wanted)


@cache
def unit_power(label: str, unit: str) -> int:
    """By which power of ten a label differs from the unit it is asked in: ``unit_power("mΩ", "Ω") == -3``."""
    return _labels(unit).get(label, (1.0, 0))[1]


def awg_area(gauge: int) -> float:
    """Copper area in m² of an American wire gauge (ASTM B258): 20 AWG is 0.5176 mm²."""
    diameter = 0.127e-3 * math.pow(92.0, (36 - gauge) / 39)
    return math.pi * diameter**2 / 4


_WHICH_UNIT: Final = "it does not say which unit each number has"

# --- reading ---------------------------------------------------------------------------------------


def _record(unit: str) -> Unit:
    if unit not in UNITS:
        known = ", ".join(filter(None, UNITS))
        raise ValueSlip(f"{_quote(unit)} is not a unit known here; use one of {known}")
    return UNITS[unit]


def _plain_text(text: object) -> str | None:
    """The text with look-alike characters made one; None if it is no text and no number."""
    if isinstance(text, str):
        return text.strip().translate(_SAME).strip()
    if isinstance(text, bool) or not isinstance(text, int | float):
        return None
    try:
        return repr(float(text))
    except OverflowError:
        return "inf"


@cache
def _labels(unit: str) -> Mapping[str, tuple[float, int]]:
    """Everything that may follow a number asked for in ``unit``, as (factor, power of ten)."""
    record = _record(unit)
    labels = dict.fromkeys(record.spellings, (1.0, 0)) | dict(record.extra)
    if record.prefixed:
        names = (*record.spellings, "")
        labels |= {letter + name: (1.0, power) for letter, power in _PREFIXES.items() for name in names}
    return labels | ({"": (1.0, 0)} if record.bare else {})


def _read(plain: str, unit: str) -> float | None:
    """The value, perhaps not finite; None if the text does not follow the rules."""
    if len(plain) > _LONGEST:
        return None
    code = _CODES[unit].fullmatch(plain) if unit in _CODES else None
    if code:
        power = {"R": 0, "K": 3}.get(code[2], _PREFIXES.get(code[2], 0))
        return float(f"{code[1] or 0}.{code[3] or 0}e{power}")
    wire = _AWG.fullmatch(plain) if unit == "m²" else None
    if wire:
        gauge = int(wire[1] or wire[2])
        return awg_area(gauge) if gauge <= _THINNEST else None
    match = _QUANTITY.fullmatch(plain)
    scale = _labels(unit).get(match["label"]) if match else None
    if match is None or scale is None or (match["gap"] and not match["label"]) or _is_metre(match, unit):
        return None
    # The power of ten goes through the text, so that "4.7 µF" is the float 4.7e-6 and no neighbour.
    value = float(f"{match['number']}e{int(match['power'] or 0) + scale[1]}") * scale[0]
    return _tidy(value + ZERO_CELSIUS) if unit == "°C" and match["label"] != "K" else value


def _is_metre(match: re.Match[str], unit: str) -> bool:
    """A lone m: metres when it stands apart, and minutes or milli when a time is asked for."""
    return match["label"] == "m" and unit != "m" and (unit == "s" or bool(match["gap"]))


def _span_of_mapping(table: Mapping[str, str | float], unit: str) -> Span:
    strange = [key for key in table if key not in ("min", "typ", "max")]
    missing = [key for key in ("min", "max") if key not in table]
    if strange or missing:
        why = f"{_quote(strange[0])} is not one of its keys" if strange else f"it has no {missing[0]}"
        raise _slip(dict(table), unit, why, "min and max, and perhaps typ")
    low, high = parse(table["min"], unit), parse(table["max"], unit)
    return _ordered(dict(table), low, parse(table["typ"], unit) if "typ" in table else None, high, unit)


def _span_of_text(plain: str, unit: str) -> Span | None:
    """The span of a text that says a range or a tolerance; None if it can only be a single value."""
    plain = re.sub(r"\+ ?/ ?-", "±", plain)
    if len(plain) > _LONGEST:
        return None
    if ".." in plain:
        return _span_of_range(plain, unit)
    lettered = _LETTERED.fullmatch(plain) if unit == "Ω" else None
    if lettered:
        percent = f"{_TOLERANCES[lettered[2]]} %"
        return _around(plain, lettered[1], percent, percent, unit)
    both = re.fullmatch(r"([^±]+?) *± *([^±]+)", plain)
    if both:
        return _around(plain, both[1], both[2], both[2], unit)
    sides = re.fullmatch(r"(.*[^ ]) *([+-]) ?([0-9.][^+-]*?)(?: +| */ *)([+-]) ?([0-9.][^+-]*)", plain)
    if sides and sides[2] != sides[4]:
        up, down = (sides[3], sides[5]) if sides[2] == "+" else (sides[5], sides[3])
        return _around(plain, sides[1], up, down, unit)
    if _read(plain, unit) is None:
        _refuse_half_said(plain, unit)
    return None


def _span_of_range(plain: str, unit: str) -> Span:
    parts = [part.strip() for part in plain.split("..")]
    if "..." in plain or "±" in plain or not 2 <= len(parts) <= 3 or not all(parts):
        # "0...5" would otherwise be read as 0 to 0.5
        why = "a range is two or three numbers, two dots between each and no tolerance"
        raise _slip(plain, unit, why, "for example '4.5..5.5' and the unit")
    numbers = [_QUANTITY.fullmatch(part) for part in parts]
    bare = [number is not None and not number["label"] for number in numbers]
    last, tail = numbers[-1], ""
    if any(bare) and not all(bare):
        if bare[-1] or last is None or last["label"] not in {*_labels(unit), "AWG"}:
            raise _slip(plain, unit, _WHICH_UNIT, "the unit after the last number")
        tail = last["gap"] + last["label"]
    values = [parse(part + tail if alone else part, unit) for part, alone in zip(parts, bare, strict=True)]
    low, *middle, high = values
    return _ordered(plain, low, middle[0] if middle else None, high, unit)


def _around(plain: str, middle: str, up: str, down: str, unit: str) -> Span:
    """The span of a middle value and what it may gain and lose."""
    typ = parse(middle, unit)
    more, less = (_deviation(plain, middle, typ, side.strip(), unit) for side in (up, down))
    return _ordered(plain, min(typ, _tidy(typ - less)), typ, max(typ, _tidy(typ + more)), unit)


def _deviation(plain: str, middle: str, typ: float, side: str, unit: str) -> float:
    if side.startswith(("-", "+")):
        raise _slip(plain, unit, "a tolerance has no sign of its own", "'±' and a positive number")
    if side.endswith(("%", "ppm")):
        if unit in ("°C", ""):  # 5 % of 20 °C means nothing, 50 % ±5 % could mean two things
            clear = "a range such as '0.4..0.6'" if unit == "" else "for example '±2 K'"
            raise _slip(plain, unit, "a percentage of it is not clear", clear)
        return abs(typ) * parse(side, "")
    number, whole = _QUANTITY.fullmatch(side), _QUANTITY.fullmatch(middle)
    if unit and any(part and not part["label"] for part in (number, whole)):
        raise _slip(plain, unit, _WHICH_UNIT, f"the unit ({unit}) or % after each")
    if unit == "°C":  # 25 °C ±2 °C deviates by a difference of 2 K
        return parse(re.sub(r"(?:°|deg)C$", "K", side), "K")
    return parse(side, unit)


def _refuse_half_said(plain: str, unit: str) -> None:
    """Raise for a tolerance without its sign or one side, and for a range with a dash."""
    loose = re.fullmatch(r"(.*[^ +-]) +[+-]? ?([0-9.]+ *(?:%|ppm))", plain)
    dashed = re.fullmatch(r"([+-]?[0-9.]+[^-–—~]*?) *(?:[-–—~]|to) *([0-9.]+[^-–—~]*)", plain)
    for slip, joint, why in (
        (loose, " ±", "a tolerance says both its sides"),
        (dashed, "..", "a range has two dots"),
    ):
        if slip is None or "±" in plain:
            continue
        instead = slip[1] + joint + slip[2]
        try:
            parse_span(instead, unit)
        except ValueSlip:
            continue
        raise _slip(plain, unit, why, instead)


def _ordered(text: object, low: float, typ: float | None, high: float, unit: str) -> Span:
    if typ is None:
        typ = low if low == high else _tidy(low / 2 + high / 2)
    span = Span(low, typ, high)
    if not all(map(math.isfinite, span)):
        raise _slip(text, unit, "it is not finite")
    if unit == "°C" and low < 0.0:
        raise _slip(text, unit, "it reaches below absolute zero")
    if not low <= typ <= high:
        why = f"min {show(low, unit)}, typ {show(typ, unit)} and max {show(high, unit)} do not rise"
        raise _slip(text, unit, why, show_span(Span(*sorted(span)), unit))
    return span


def _tidy(value: float) -> float:
    """Free of the last-digit noise of a sum, so that 12 V less 5 % is 11.4 V."""
    return float(f"{value:.14g}")


# --- refusing --------------------------------------------------------------------------------------


def _quote(text: object) -> str:
    """On one line and not too long, whatever was typed."""
    shown = repr(text) if isinstance(text, str) else " ".join(repr(text).split())
    return shown if len(shown) <= _LONGEST else f"{shown[: _LONGEST - 4]}...{shown[-1]}"


def _slip(text: object, unit: str, why: str, instead: str = "") -> ValueSlip:
    record = UNITS[unit]
    wanted = f"{record.meaning} in {unit}" if unit else record.meaning
    instead = instead or f"for example {record.example}"
    sentence = f"{_quote(text)} is not {wanted}: {why}; write {instead}"
    return ValueSlip("".join(char if char.isprintable() else " " for char in sentence))


def _why(plain: str, unit: str) -> tuple[str, str]:
    """What is wrong with a text that ``_read`` gave up on, and what to write ("" for the example)."""
    why, instead = _about_number(plain) or _about_code(plain, unit) or _about_label(plain, unit)
    return why, instead if instead and all(_read(each, unit) is not None for each in instead.split(" or ")) else ""


def _about_number(plain: str) -> tuple[str, str] | None:
    if not plain:
        return "it is empty", ""
    if len(plain) > _LONGEST:
        return f"it is longer than {_LONGEST} characters", ""
    if re.match(r"[+-]?(?:nan|inf|∞)", plain, re.IGNORECASE):
        return "it is not a finite number", ""
    ascii_digits = "".join(str(unicodedata.decimal(char, char)) for char in plain)
    if ascii_digits != plain:
        return "its digits are not the plain 0 to 9", ascii_digits
    if re.match(r"[+-]?[0-9]{1,3}(?:[ ,'’_][0-9]{3})+(?![0-9])", plain):
        return _about_thousands(plain)
    if re.match(r"[+-]?[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]", plain):
        return "it has points between thousands and a decimal comma", plain.replace(".", "").replace(",", ".", 1)
    if re.match(r"[+-]?[0-9]*,[0-9]", plain):
        return "a comma is not a decimal point", plain.replace(",", ".", 1)
    if "_" in plain:
        return "an underscore is no part of a number", plain.replace("_", "")
    return None


def _about_thousands(plain: str) -> tuple[str, str]:
    """What to write for ``1,500``: nothing that may be another number than was meant."""
    point = plain.replace(",", ".", 1)
    if re.match(r"[+-]?0[0-9]*,", plain):  # nobody separates thousands after a nought
        return "a comma is not a decimal point", point
    if re.match(r"[+-]?[0-9]+,[0-9]{3}(?![0-9.,'’_ ]*[0-9])", plain):
        return "it may have a thousands separator or a decimal comma", f"{plain.replace(',', '', 1)} or {point}"
    number = re.match(
        r"([+-]?[0-9]+)((?:([ ,'’_])[0-9]{3})(?:\3[0-9]{3})*)(?:([.,])([0-9]+))?(?![0-9]|[.,'’_][0-9])", plain
    )
    if number is None or number[3] == number[4]:
        return "it may have a thousands separator", ""
    whole = number[1] + number[2].replace(number[3], "") + (f".{number[5]}" if number[4] else "")
    return "it may have a thousands separator", whole + plain[number.end() :]


def _about_code(plain: str, unit: str) -> tuple[str, str] | None:
    if unit == "Ω" and _LETTERED.fullmatch(plain):
        return "its last letter is a tolerance and one value is wanted", plain[:-1]
    if unit == "m²" and "AWG" in plain.upper():
        return f"a wire gauge is written 20 AWG, a whole number from 0 to {_THINNEST}", ""
    infix = re.fullmatch(r"([0-9]+)([^0-9 .]+)([0-9]+)", plain)
    pointed = f"{infix[1]}.{infix[3]} {infix[2]}" if infix else ""
    return None if _read(pointed, unit) is None else ("a letter is no decimal point here", pointed)


_CONFUSED: Final = {
    ("°C", "C"): ("C is the coulomb", "°C"),
    ("K", "°C"): ("°C is for a temperature and a difference is wanted", "K"),
    ("K", "degC"): ("degC is for a temperature and a difference is wanted", "K"),
    ("s", "m"): ("m alone may be milli or minutes", "ms"),
}


def _about_label(plain: str, unit: str) -> tuple[str, str]:
    match = _QUANTITY.fullmatch(plain)
    if match is None:
        return "it does not start with a number", ""
    label, number = match["label"], plain[: match.start("gap")]
    if not label:
        return "a number alone does not say its unit", ""
    if (unit, label) in _CONFUSED:
        why, instead = _CONFUSED[unit, label]
        return why, f"{number} {instead}"
    alike = [name for name in _labels(unit) if name and name.casefold() == label.casefold()]
    if len(alike) == 1:
        return f"{_quote(label)} is spelled {_quote(alike[0])}", f"{number} {alike[0]}"
    for other in UNITS.values():
        if label == other.symbol or (label not in _PREFIXES and label in _labels(other.symbol)):
            return f"{_quote(label)} belongs to {other.meaning}", ""
    if re.search(r"[0-9]", label):
        return "one number and its unit are wanted", ""
    return f"{_quote(label)} is not a unit for it", ""


# --- showing ---------------------------------------------------------------------------------------


def _rounded(value: float, unit: str, digits: int) -> float:
    """Rounded before the prefix is chosen, so that 999.96 mΩ carries to 1 Ω."""
    shown = round(value - ZERO_CELSIUS, 6) if unit == "°C" else value
    return float(f"{shown:.{digits - 1}e}")


def _power(value: float, unit: str) -> int:
    """The power of ten whose prefix suits the value."""
    if unit == "m":
        return -9 if 0.0 < abs(value) < 2e-6 else -3 if abs(value) < 1.0 else 0
    if unit == "m²":
        return -6 if abs(value) < 1.0 else 0
    if value == 0.0 or not UNITS[unit].prefixed:
        return 0
    exponent = int(f"{value:e}".split("e")[1])
    return max(-12, min(exponent // 3 * 3, _TOP.get(unit, 12)))


def _telling_digits(span: Span) -> int:
    """Digits that tell the ends apart: four for 12 V ±5 %, seven for 25 MHz ±50 ppm."""
    size = max(abs(span.min), abs(span.max))
    spread = span.max / size - span.min / size if 0.0 < size < math.inf else 1.0
    return min(9, max(4, 3 - math.floor(math.log10(spread)))) if spread > 0.0 else 4


def _shift(value: float, power: int) -> float:
    """value / 10**power, by a whole power of ten so that nothing is rounded twice."""
    return value / 10.0**power if power >= 0 else value * 10.0**-power


def _digits(value: float, digits: int) -> str:
    """Significant digits without trailing zeros, and without an exponent while that stays legible."""
    text = f"{value:.{digits - 1}e}"
    exponent = int(text.split("e")[1])
    if float(text) == 0.0:
        return "0"
    if -6 <= exponent < 9:
        text = f"{float(text):.{max(0, digits - 1 - exponent)}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    return f"{float(text):.{digits}g}".replace("e+", "e")


def _joined(number: str, unit: str, power: int) -> str:
    if unit in ("", "°"):
        return number + unit
    symbol = unit.removeprefix("1") if unit.startswith("1/") else unit
    if unit == "m²" and power == -6:
        return f"{number} mm²"
    letter = _SHOWN[power]
    return f"{number} {letter}{symbol}"
