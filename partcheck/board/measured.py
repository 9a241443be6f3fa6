"""A resistance as it was measured: ``48.2 Ω ±0.5 % at 23 °C``; a winding's is brought to 20 °C, uncertain as it is.

The meter's tolerance stands for the datasheet's spread. Where it is not stated, and for the temperature of the winding,
what a hand-held meter and a thermometer beside the coil can be trusted with is taken (common practice, no source).
"""

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from partcheck.board.locate import Path
from partcheck.errors import ValueSlip
from partcheck.physics.coils import winding_resistance
from partcheck.units import Span, parse_span, show

METER = 0.02
"""Share that a reading may be off where no tolerance is stated: a hand-held meter with its digits and leads."""
THERMOMETER = 2.0
"""K by which the winding may be warmer or cooler than one stated temperature says."""
LEAST_PLAIN = 10.0
"""Ω: below that the leads of a meter count, and its tolerance has to be stated."""
LOW, HIGH = 1e-3, 1e8
COLDEST, HOTTEST = 233.15, 423.15
"""K: between these a winding is measured."""
EXACTLY = " at 20..20 °C"
"""What a value that is known at 20 °C ends with."""
_AT = re.compile(r"(.+?)\s+(?:at|@)\s+(.+)", re.DOTALL)


def measured_span(text: str, copper: bool = True) -> Span:
    """Least, usual and largest resistance at 20 °C, Ω, of a reading; ``ValueError`` with a sentence where it is none.

    Without ``copper`` (a heater) it counts as it was read, at every temperature.

    >>> [round(end, 2) for end in measured_span("50 Ω ±1 % at 20..20 °C")]
    [49.5, 50.0, 50.5]
    """
    found = _AT.fullmatch(text.strip()) if isinstance(text, str) else None
    if found is None:
        raise ValueError("needs the reading and the temperature at which it was taken, as in '48.2 Ω ±0.5 % at 23 °C'")
    try:
        read, temperature = parse_span(found[1], "Ω"), parse_span(found[2], "°C")
    except ValueSlip as slip:
        raise ValueError(str(slip)) from None
    if not LOW <= read.min <= read.max <= HIGH:
        raise ValueError(f"{found[1]} is out of range: allowed is {show(LOW, 'Ω')} to {show(HIGH, 'Ω')}")
    if not COLDEST <= temperature.min <= temperature.max <= HOTTEST:
        raise ValueError(f"{found[2]} is out of range: allowed is {show(COLDEST, '°C')} to {show(HOTTEST, '°C')}")
    if read.exact:
        if read.typ < LEAST_PLAIN:
            raise ValueError(
                f"{found[1]} states no tolerance, and below {show(LEAST_PLAIN, 'Ω')} the leads count; write that "
                f"of the meter with its leads, as in '{found[1]} ±5 % at {found[2]}'"
            )
        read = Span(read.typ * (1 - METER), read.typ, read.typ * (1 + METER))
    if not copper:
        return read
    if temperature.exact and ".." not in found[2]:
        temperature = Span(temperature.typ - THERMOMETER, temperature.typ, temperature.typ + THERMOMETER)
    low, middle, high = (float(winding_resistance(1.0, end)) for end in temperature)  # type: ignore[arg-type]
    return Span(read.min / high, read.typ / middle, read.max / low)


def told(text: str, copper: bool = True) -> str:
    """A reading for an explanation, with what was taken of its uncertainty."""
    found = _AT.fullmatch(text.strip())
    assert found is not None
    meter = f", meter ±{METER * 100:g} % taken" if parse_span(found[1], "Ω").exact else ""
    thermometer = f", ±{THERMOMETER:g} K taken" if copper and ".." not in found[2] else ""
    return f"measured {found[1]} at {found[2]}{meter}{thermometer}"


def as_stated(board: Any, path: Path, text: str) -> tuple[Path, str]:
    """The key that rules a load's ``resistance``, and its text there: of a measured winding the measured one."""
    load = board.load.get(path[1]) if path[0] == "load" and path[2:] == ("resistance",) else None
    if getattr(load, "measured", None) is None:
        return path, text
    return (*path[:2], "measured"), text + EXACTLY


def _read(raw: object) -> object:
    measured_span(raw)  # type: ignore[arg-type]
    return raw


Reading = Annotated[
    str,
    BeforeValidator(_read),
    WithJsonSchema({"type": "string", "x-takes": "a reading in Ω and its temperature: `48.2 Ω ±0.5 % at 23 °C`"}),
]
