"""The units that values can be asked in, and what a value with its spread is."""

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

from partcheck.errors import ValueSlip

ZERO_CELSIUS: Final = 273.15
"""Kelvin at 0 °C (the definition of the Celsius scale)."""


PREFIXES: Final = {"p": -12, "n": -9, "u": -6, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9, "T": 12}


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
        Unit("V/s", "how steeply a voltage rises", "12 kV/s", ("V/s",)),
        Unit("1/K", "a temperature coefficient", "0.004 /K", ("1/K", "/K", "1/°C", "/°C", "/degC"),
             prefixed=False, extra=_PER_KELVIN),
        Unit("A/V", "a transconductance", "5 A/V", ("A/V", "S")),
        Unit("m", "a length", "5 mm", ("m",), prefixed=False, bare=False, extra=_LENGTHS),
        Unit("m²", "an area", "1.5 mm²", ("m²", "m2", "m^2"), prefixed=False, bare=False, extra=_AREAS),
        Unit("cd", "a luminous intensity", "800 mcd", ("cd",)),
        Unit("lm", "a luminous flux", "3 lm", ("lm",)),
        Unit("°", "an angle", "120°", ("°", "deg"), prefixed=False, factor=math.pi / 180,
             extra={"rad": (180 / math.pi, 0)}),
        Unit("", "a plain number", "0.5 or 50 %", (), prefixed=False, extra={"%": (1.0, -2), "ppm": (1.0, -6)}),
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


LONGEST: Final = 80  # characters of a value, and of a text quoted in a message


def quoted(text: object) -> str:
    """On one line and not too long, whatever was typed."""
    shown = repr(text) if isinstance(text, str) else " ".join(repr(text).split())
    return shown if len(shown) <= LONGEST else f"{shown[: LONGEST - 4]}...{shown[-1]}"


def record_of(unit: str) -> Unit:
    if unit not in UNITS:
        known = ", ".join(filter(None, UNITS))
        raise ValueSlip(f"{quoted(unit)} is not a unit known here; use one of {known}")
    return UNITS[unit]
