"""Preferred values of IEC 60063, for resistors that have to be bought. Plain floats only.

A value within one part in 10⁹ of a preferred one is taken as it, so that the noise of a calculation
does not push a resistor one step away. A value that is not a positive number has no neighbours (NaN).
"""

import math
from typing import Final

from partcheck.errors import UsageError

_E24_DIGITS: Final = "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91"
_E192_DIGITS: Final = (
    "100 101 102 104 105 106 107 109 110 111 113 114 115 117 118 120 121 123 124 126 127 129 130 132 "
    "133 135 137 138 140 142 143 145 147 149 150 152 154 156 158 160 162 164 165 167 169 172 174 176 "
    "178 180 182 184 187 189 191 193 196 198 200 203 205 208 210 213 215 218 221 223 226 229 232 234 "
    "237 240 243 246 249 252 255 258 261 264 267 271 274 277 280 284 287 291 294 298 301 305 309 312 "
    "316 320 324 328 332 336 340 344 348 352 357 361 365 370 374 379 383 388 392 397 402 407 412 417 "
    "422 427 432 437 442 448 453 459 464 470 475 481 487 493 499 505 511 517 523 530 536 542 549 556 "
    "562 569 576 583 590 597 604 612 619 626 634 642 649 657 665 673 681 690 698 706 715 723 732 741 "
    "750 759 768 777 787 796 806 816 825 835 845 856 866 876 887 898 909 920 931 942 953 965 976 988"
)
_E24: Final = tuple(map(int, _E24_DIGITS.split()))
_E192: Final = tuple(map(int, _E192_DIGITS.split()))

SERIES: Final = {
    "E3": _E24[::8],
    "E6": _E24[::4],
    "E12": _E24[::2],
    "E24": _E24,
    "E48": _E192[::4],
    "E96": _E192[::2],
    "E192": _E192,
}
"""The significant digits of one decade of each series. Source: IEC 60063."""

_SAME: Final = 1e-9


def _decade(name: str) -> tuple[int, ...]:
    if name not in SERIES:
        raise UsageError(f"{name!r} is not a series of IEC 60063; use one of {', '.join(SERIES)}")
    return SERIES[name]


def _around(name: str, low: float, high: float) -> list[float]:
    """The preferred values from a decade below ``low`` to a decade above ``high``, ascending."""
    digits = _decade(name)
    shift = len(str(digits[0])) - 1
    first, last = math.floor(math.log10(low)) - 1, math.floor(math.log10(high)) + 1
    # Through the text, so that 4.7 kΩ is the float 4700.0 and no neighbour of it.
    return [float(f"{d}e{power - shift}") for power in range(first, last + 1) for d in digits]


def series_values(name: str, low: float, high: float) -> list[float]:
    """The preferred values from ``low`` to ``high``, both included, ascending.

    ``name`` is E3 to E192, anything else raises UsageError. Source: IEC 60063.

    >>> series_values("E6", 100.0, 1000.0)
    [100.0, 150.0, 220.0, 330.0, 470.0, 680.0, 1000.0]
    """
    if not (0 < low <= high < math.inf):
        _decade(name)
        return []
    return [v for v in _around(name, low, high) if low * (1 - _SAME) <= v <= high * (1 + _SAME)]


def at_most(name: str, value: float) -> float:
    """The largest preferred value not above ``value``. Source: IEC 60063.

    >>> at_most("E12", 720.0)
    680.0
    """
    return max(series_values(name, value / 10, value), default=math.nan)


def at_least(name: str, value: float) -> float:
    """The smallest preferred value not below ``value``. Source: IEC 60063.

    >>> at_least("E12", 720.0)
    820.0
    """
    return min(series_values(name, value, value * 10), default=math.nan)
