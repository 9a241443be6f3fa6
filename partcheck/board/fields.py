"""The kinds of value a board file states: a number with a unit, or a range with both ends."""

from typing import Annotated, Any, NamedTuple

from pydantic import BeforeValidator, WithJsonSchema

from partcheck.errors import ValueSlip
from partcheck.units import Span, parse, parse_span, show, show_span

REPAIR = "a text with its unit, or a number in SI"


class Measure(NamedTuple):
    """What a key is measured in, kept beside its type for whoever writes a value rather than reads one."""

    unit: str
    spread: bool


def _bounds(unit: str, low: float, high: float) -> str:
    return f"allowed is {show(low, unit)} to {show(high, unit)}"


def _named(unit: str) -> str:
    return unit or "no unit (a share may be in %)"


def _in_range(value: float, unit: str, low: float, high: float) -> None:
    if not low <= value <= high:
        raise ValueError(f"{show(value, unit)} is out of range: {_bounds(unit, low, high)}")


def number(unit: str, low: float, high: float) -> Any:
    """A single value: ``number("V", 0, 120)`` reads ``"12 V"`` as 12.0."""

    def read(raw: Any) -> float:
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            raise ValueError(f"wants {REPAIR} ({unit or 'no unit'})")
        try:
            value = parse(raw, unit)
        except ValueSlip as slip:
            raise ValueError(str(slip)) from None
        _in_range(value, unit, low, high)
        return value

    schema = {
        "anyOf": [{"type": "string"}, {"type": "number"}],
        "x-takes": f"a value in {_named(unit)}, {show(low, unit)} to {show(high, unit)}",
    }
    return Annotated[float, BeforeValidator(read), WithJsonSchema(schema), Measure(unit, False)]


def spread(unit: str, low: float, high: float, *, tolerance: bool = False) -> Any:
    """A range of a value: ``"12 V ±5 %"``, ``"-10..45 °C"``, ``{min = , typ = , max = }``.

    With ``tolerance`` a value that states no spread is refused: a passive has one.
    """

    def read(raw: Any) -> Span:
        if isinstance(raw, Span):
            return raw
        if isinstance(raw, bool) or not isinstance(raw, str | int | float | dict):
            raise ValueError(f"wants {REPAIR} ({unit or 'no unit'})")
        try:
            span = parse_span(raw, unit)
        except ValueSlip as slip:
            raise ValueError(str(slip)) from None
        for value in span:
            _in_range(value, unit, low, high)
        if tolerance and span.min == span.max and span.max != 0:
            raise ValueError(
                f"{show_span(span, unit)} states no tolerance; write it with one, as in '{show_span(span, unit)} ±5 %'"
            )
        return span

    ends = {"anyOf": [{"type": "string"}, {"type": "number"}]}
    schema = {
        "anyOf": [
            {"type": "string"},
            {"type": "number"},
            {
                "type": "object",
                "properties": {"min": ends, "typ": ends, "max": ends},
                "required": ["min", "max"],
                "additionalProperties": False,
            },
        ],
        "x-takes": f"a range in {_named(unit)}{' with its tolerance' if tolerance else ''}, "
        f"{show(low, unit)} to {show(high, unit)}",
    }
    return Annotated[Span, BeforeValidator(read), WithJsonSchema(schema), Measure(unit, True)]


K0 = 273.15
MOST_VOLTS = 120.0
"""Highest rail this tool accepts, V d.c.: the extra-low-voltage limit for ripple-free d.c. (IEC 61140)."""

RailVolts = spread("V", 0.5, MOST_VOLTS)
Volts = spread("V", 0, 1000)
Volt = number("V", 0, 1000)
Ampere = number("A", 0, 1000)
Amperes = spread("A", 0, 1000)
Watt = number("W", 1e-4, 10000)
Temperature = number("°C", K0 - 65, K0 + 300)
Temperatures = spread("°C", K0 - 65, K0 + 300)
Resistor = spread("Ω", 1e-3, 1e8, tolerance=True)
Resistances = spread("Ω", 0, 1e8)
Resistance = number("Ω", 0, 1e8)
Henry = spread("H", 1e-9, 1000, tolerance=True)
Farad = spread("F", 1e-12, 1, tolerance=True)
Seconds = spread("s", 0, 1e6)
Second = number("s", 1e-12, 1e6)
Hertz = number("Hz", 1e-3, 1e7)
Rate = number("1/s", 0, 1e6)
Metre = number("m", 1e-6, 1000)
SquareMetre = number("m²", 0, 1)
Theta = number("K/W", 0, 2000)
Kelvin = number("K", 0, 300)
Share = number("", 0, 1)
Shares = spread("", 0, 1)
Factor = number("", 0, 1000)
Candelas = spread("cd", 0, 1000)
Wavelengths = spread("m", 1e-7, 2e-6)
Angles = spread("°", 0, 180)


def measure_of(annotation: Any, metadata: Any = ()) -> Measure | None:
    """The measure of a key, from its annotation; None for a word, a list or a table."""
    for item in (*metadata, *getattr(annotation, "__metadata__", ())):
        if isinstance(item, Measure):
            return item
    found = (measure_of(inner) for inner in getattr(annotation, "__args__", ()))
    return next((made for made in found if made is not None), None)


def listed(what: str, item: Any = str) -> Any:
    """One thing, or a list of them: ``"valve"`` reads as ``["valve"]``."""
    kind = {"type": "integer" if item is int else "string"}

    def read(raw: Any) -> Any:
        return [raw] if isinstance(raw, item) and not isinstance(raw, bool) else raw

    schema = {"anyOf": [kind, {"type": "array", "items": kind}], "x-takes": f"{what}, or a list of them"}
    return Annotated[list[item], BeforeValidator(read), WithJsonSchema(schema)]


Names = listed("a name")
Packages = listed("a package name")
Numbers = listed("a whole number", int)
