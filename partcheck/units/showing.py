"""Values for a reader, and for JSON."""

import math
from functools import lru_cache
from typing import Final

from partcheck.units.known import PREFIXES, UNITS, ZERO_CELSIUS, Span, record_of

_SHOWN: Final = {power: letter for letter, power in PREFIXES.items()} | {0: ""}


_TOP: Final = {"s": 0}  # nobody reads kiloseconds


@lru_cache(maxsize=1 << 14)
def show(value: float | None, unit: str, digits: int = 4) -> str:
    """The value for a reader, to ``digits`` significant digits; ``?`` when it is not known.

    >>> show(0.99996, "Ω"), show(233.15, "°C"), show(6e-7, "m²"), show(None, "V")
    ('1 Ω', '-40 °C', '0.6 mm²', '?')
    """
    record_of(unit)
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


def to_json(value: float | None, unit: str) -> float | None:
    """The number for a JSON file, in ``json_unit(unit)``; None when it is not a finite number.

    >>> to_json(358.15, "°C"), to_json(float("inf"), "V")
    (85.0, None)
    """
    record_of(unit)
    if value is None or not math.isfinite(value):
        return None
    return round(value - ZERO_CELSIUS, 9) if unit == "°C" else value


def json_unit(unit: str) -> str:
    """The unit ``to_json`` writes in: the canonical one, so °C for a temperature and m for a length."""
    return record_of(unit).symbol


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
