"""One number with its unit, read strictly: the rules, without a word about what breaks them."""

import math
import re
from collections.abc import Mapping
from functools import cache
from typing import Final

from partcheck.units.known import LONGEST, PREFIXES, UNITS, ZERO_CELSIUS, record_of

# Spelled out instead of NFKC, which would also turn "5² V" into "52 V".
_SAME: Final = str.maketrans({
    "\u03bc": "µ", "\u2126": "Ω", "\u2212": "-", "\u2026": "..", "\u2103": "°C", "\u22c5": "·",
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u200a": " ",
})  # fmt: skip


QUANTITY: Final = re.compile(
    r"(?P<number>[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
    r"(?:[eE](?P<power>[+-]?[0-9]{1,3})(?![0-9]))?(?P<gap> *)(?P<label>.*)",
    re.DOTALL,
)


AWG: Final = re.compile(r"(?:AWG *(0|[1-9][0-9]?)|(0|[1-9][0-9]?) *AWG)")  # "00" is gauge 2/0, not 0


THINNEST: Final = 40


# IEC 60062: the multiplier letter stands where the decimal point would.
CODES: Final = {
    "Ω": re.compile(r"(?=[0-9]|R[0-9])([0-9]*)([RKkMGm])([0-9]*)(?: *(?:Ω|[oO]hms?))?"),
    "F": re.compile(r"([0-9]*)([pnuµm])([0-9]+)F?"),
    "H": re.compile(r"([0-9]*)([nuµm])([0-9]+)H?"),
}


# Right after M, G, m or k a tolerance letter would spell a unit (47mF, 10kJ), so digits must part them.
LETTERED: Final = re.compile(r"(R[0-9]+|[0-9]+[RK][0-9]*|[0-9]+[kMGm][0-9]+)([BCDFGJKM])")


TOLERANCES: Final = {"B": 0.1, "C": 0.25, "D": 0.5, "F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0, "M": 20.0}
"""IEC 60062 tolerance letters in percent (from memory)."""


@cache
def is_unit(label: str, unit: str | None = None) -> bool:
    """Whether a label may stand behind a number asked for in ``unit``; without one, in any unit.

    >>> is_unit("mΩ"), is_unit("mΩ", "V"), is_unit("on")
    (True, False, False)
    """
    plain = plain_text(label)
    wanted = UNITS if unit is None else (unit,)
    return bool(plain) and any(plain in labels_of(each) for each in wanted)


@cache
def unit_power(label: str, unit: str) -> int:
    """By which power of ten a label differs from the unit it is asked in: ``unit_power("mΩ", "Ω") == -3``."""
    return labels_of(unit).get(label, (1.0, 0))[1]


def awg_area(gauge: int) -> float:
    """Copper area in m² of an American wire gauge (ASTM B258): 20 AWG is 0.5176 mm²."""
    diameter = 0.127e-3 * math.pow(92.0, (36 - gauge) / 39)
    return math.pi * diameter**2 / 4


def plain_text(text: object) -> str | None:
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
def labels_of(unit: str) -> Mapping[str, tuple[float, int]]:
    """Everything that may follow a number asked for in ``unit``, as (factor, power of ten)."""
    record = record_of(unit)
    labels = dict.fromkeys(record.spellings, (1.0, 0)) | dict(record.extra)
    if record.prefixed:
        names = (*record.spellings, "")
        labels |= {letter + name: (1.0, power) for letter, power in PREFIXES.items() for name in names}
    return labels | ({"": (1.0, 0)} if record.bare else {})


def read_quantity(plain: str, unit: str) -> float | None:
    """The value, perhaps not finite; None if the text does not follow the rules."""
    if len(plain) > LONGEST:
        return None
    code = CODES[unit].fullmatch(plain) if unit in CODES else None
    if code:
        power = {"R": 0, "K": 3}.get(code[2], PREFIXES.get(code[2], 0))
        return float(f"{code[1] or 0}.{code[3] or 0}e{power}")
    wire = AWG.fullmatch(plain) if unit == "m²" else None
    if wire:
        gauge = int(wire[1] or wire[2])
        return awg_area(gauge) if gauge <= THINNEST else None
    match = QUANTITY.fullmatch(plain)
    scale = labels_of(unit).get(match["label"]) if match else None
    if match is None or scale is None or (match["gap"] and not match["label"]) or _is_metre(match, unit):
        return None
    # The power of ten goes through the text, so that "4.7 µF" is the float 4.7e-6 and no neighbour.
    value = float(f"{match['number']}e{int(match['power'] or 0) + scale[1]}") * scale[0]
    return tidy(value + ZERO_CELSIUS) if unit == "°C" and match["label"] != "K" else value


def _is_metre(match: re.Match[str], unit: str) -> bool:
    """A lone m: metres when it stands apart, and minutes or milli when a time is asked for."""
    return match["label"] == "m" and unit != "m" and (unit == "s" or bool(match["gap"]))


def tidy(value: float) -> float:
    """Free of the last-digit noise of a sum, so that 12 V less 5 % is 11.4 V."""
    return float(f"{value:.14g}")
