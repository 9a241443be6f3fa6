"""The kinds of value a board file states: a number with a unit, or a range with both ends."""

from typing import Annotated, Any, NamedTuple

from pydantic import BeforeValidator, WithJsonSchema

from partcheck.errors import ValueSlip
from partcheck.units import Span, parse, parse_span, show, show_span

REPAIR = "a text with its unit, or a number in SI"


NARROWEST = 1e-5
"""Spread over value that a passive states at least: a thousandth of a per cent each way; finer ones are not made."""


class Measure(NamedTuple):
    """What a key is measured in and its range, kept beside its type for whoever writes a value or tries one."""

    unit: str
    spread: bool
    low: float
    high: float


def _bounds(unit: str, low: float, high: float) -> str:
    return f"allowed is {show(low, unit)} to {show(high, unit)}"


def _named(unit: str) -> str:
    return unit or "no unit (a share may be in %)"


def _in_range(value: float, unit: str, low: float, high: float) -> None:
    if not low <= value <= high:
        raise ValueError(f"{show(value, unit)} is out of range: {_bounds(unit, low, high)}")


class _Wanted(NamedTuple):
    """What a range must obey."""

    unit: str
    low: float
    high: float
    tolerance: bool
    most_from: float
    least_to: float
    wide: bool

    def words(self) -> str:
        """The same, for the documents."""
        made = f"a range in {_named(self.unit)}{' with its tolerance' if self.tolerance else ''}"
        made += f", {show(self.low, self.unit)} to {show(self.high, self.unit)}"
        if self.most_from > self.low:
            made += f", its largest at least {show(self.most_from, self.unit)}"
        if self.least_to < self.high:
            made += f", its least at most {show(self.least_to, self.unit)}"
        return made + (", both ends different" if self.wide else "")

    def check(self, span: Span) -> None:
        """Raise ``ValueError`` where it does not."""
        unit = self.unit
        for value in span:
            _in_range(value, unit, self.low, self.high)
        told = show_span(span, unit)
        if self.tolerance and span.min == span.max:
            raise ValueError(f"{told} states no tolerance; write it with one, as in '{told} ±5 %'")
        if self.tolerance and span.max - span.min < NARROWEST * span.max:
            raise ValueError(f"{told} states a tolerance finer than any part has; write the one of its datasheet")
        if span.max < self.most_from:
            raise ValueError(
                f"{told} is practically nothing; its upper end must be at least {show(self.most_from, unit)}"
            )
        if span.min > self.least_to:
            raise ValueError(f"{told} never lets go; its lower end must be at most {show(self.least_to, unit)}")
        if self.wide and span.min == span.max:
            raise ValueError(f"{told} is a single value, which nothing can meet; write a window, least..largest")


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
    return Annotated[float, BeforeValidator(read), WithJsonSchema(schema), Measure(unit, False, low, high)]


def spread(
    unit: str,
    low: float,
    high: float,
    *,
    tolerance: bool = False,
    most_from: float | None = None,
    least_to: float | None = None,
    wide: bool = False,
) -> Any:
    """A range of a value: ``"12 V ±5 %"``, ``"-10..45 °C"``, ``{min = , typ = , max = }``.

    With ``tolerance`` a value that states no spread, or an absurdly small one, is refused: a passive has one. The
    largest end is no less than ``most_from``, the least no more than ``least_to``. With ``wide`` both ends may not be
    the same: it is a window.
    """
    most_from, least_to = (low if most_from is None else most_from), (high if least_to is None else least_to)
    wanted = _Wanted(unit, low, high, tolerance, most_from, least_to, wide)

    def read(raw: Any) -> Span:
        if isinstance(raw, Span):
            return raw
        if isinstance(raw, bool) or not isinstance(raw, str | int | float | dict):
            raise ValueError(f"wants {REPAIR} ({unit or 'no unit'})")
        try:
            span = parse_span(raw, unit)
        except ValueSlip as slip:
            raise ValueError(str(slip)) from None
        wanted.check(span)
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
        "x-takes": wanted.words(),
    }
    return Annotated[Span, BeforeValidator(read), WithJsonSchema(schema), Measure(unit, True, low, high)]


K0 = 273.15
LEAST_HIGH = 0.1
"""Lowest high level of a drive, V."""
MOST_VOLTS = 120.0
"""Highest rail this tool accepts, V d.c.: the extra-low-voltage limit for ripple-free d.c. (IEC 61140)."""

# ---- supplies and signals
RailVolts = spread("V", 0.5, MOST_VOLTS)
RailVolt = number("V", 0.5, 1000)
LevelHigh = spread("V", LEAST_HIGH, MOST_VOLTS)
Accepts = spread("V", 0, MOST_VOLTS, most_from=0.3, wide=True)
LevelLow = spread("V", 0, MOST_VOLTS)
Drops = spread("V", 0, MOST_VOLTS)
Volt = number("V", 0, MOST_VOLTS)
ReverseVolt = number("V", 0, 1000)
ReverseLimit = number("V", 1e-4, 1000)
VoltLimit = number("V", 1e-4, MOST_VOLTS)
"""A limit of none would be met by nothing, and one of next to none is a slip of the pen."""

# ---- currents
Ampere = number("A", 0, 1000)
Amperes = spread("A", 0, 1000)
Drawn = spread("A", 0, 1000, most_from=1e-9)
"""What a load draws: something."""
AmpereLimit = number("A", 1e-9, 1000)
SupplyLimit = number("A", 1e-6, 1000)
FuseIntegral = number("A²s", 1e-6, 1e6)

# ---- heat
Watt = number("W", 1e-4, 10000)
Temperature = number("°C", K0 - 65, K0 + 300)
Temperatures = spread("°C", K0 - 65, K0 + 300)
Air = spread("°C", K0 - 65, K0 + 150)
Theta = number("K/W", 0.01, 2000)
EnclosureTheta = number("K/W", 0, 1000)
Rise = number("K", 0.1, 200)

# ---- passives
Resistor = spread("Ω", 1e-3, 1e8, tolerance=True)
Resistances = spread("Ω", 0, 1e8)
SeriesResistances = spread("Ω", 1e-3, 1e4)
"""Ahead of a capacitor: with none at all no current would be large enough."""
Resistance = number("Ω", 0, 1000)
Henry = spread("H", 1e-9, 1000, tolerance=True)
Farad = spread("F", 1e-12, 1, tolerance=True)
Tolerance = number("", 1e-5, 0.5)

# ---- time
EdgeTimes = spread("s", 0, 1e-3)
EdgeTime = number("s", 1e-9, 1)
ReleaseTime = number("s", 1e-5, 1000)
RiseTime = number("s", 1e-7, 100)
InrushTime = number("s", 1e-4, 1e6)
Hertz = number("Hz", 1e-3, 1e7)
Rate = number("1/s", 0, 1e6)
Duties = spread("", 0, 1, most_from=1e-3, least_to=0.999)
"""A share of none never turns on, and a share of all never off: neither is chopping."""

# ---- copper and distances
CableLength = number("m", 1e-3, 1000)
BoardLength = number("m", 1e-5, 2)
Width = number("m", 2e-5, 0.5)
Thickness = number("m", 1e-6, 1e-2)
Gap = number("m", 1e-6, 0.2)
Wire = number("m²", 1e-9, 1e-3)
CopperArea = number("m²", 0, 0.1)

# ---- shares and light
UseFactor = number("", 0.05, 1)
InrushFactor = number("", 1, 100)
Ratio = number("", 1, 1000)
Candelas = spread("cd", 0, 1000, most_from=1e-9, wide=True)
Wavelengths = spread("m", 1e-7, 2e-6, wide=True)
Angles = spread("°", 0, 180, most_from=0.1)


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
