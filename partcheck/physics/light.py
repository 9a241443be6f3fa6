"""Light: the current of an LED, its flux, and how a change of brightness looks.

Currents A, voltages V, luminous intensity cd, luminous flux lm.
"""

import math
from typing import Final

from partcheck.physics import Number


def series_current(supply: Number, drop: Number, resistance: Number) -> Number:
    """Current in A through a series resistor.

    ``supply`` V (V); ``drop`` (V), everything else in series, at this very current;
    ``resistance`` R (Ω). Result (V − drop)/R.
    Source: Kirchhoff's voltage law; Malvino & Bates, Electronic Principles, Example 14-4, p. 492.

    >>> series_current(20.0, 2.0, 1000.0)
    0.018
    """
    return (supply - drop) / resistance


def lightness(ratio: float) -> float:
    """CIE 1976 lightness L* (0 to 100) of a luminance ``ratio`` Y/Yn to white; NaN for one below zero.

    The standard has two branches, which a formula may not, so this is for plain floats only.
    Source: CIE 15, ISO/CIE 11664-4: 116·(Y/Yn)^(1/3) − 16 above (6/29)³, (29/3)³·Y/Yn below.

    >>> round(lightness(0.5), 3)
    76.069
    """
    if not ratio >= 0:
        return math.nan
    if ratio <= (6 / 29) ** 3:
        return (29 / 3) ** 3 * ratio
    return 116 * math.cbrt(ratio) - 16


INDICATIVE: Final = "indicative: CIE 1976 lightness is for lit surfaces"
"""What is to be said beside each comparison by eye."""
_WORDS: Final = (
    (1.0, "as bright as before", "as bright as before"),
    (0.9, "a little dimmer", "a little brighter"),
    (0.75, "about three quarters as bright", "about a third brighter"),
    (0.5, "about half as bright", "about twice as bright"),
    (1 / 3, "about a third as bright", "about three times as bright"),
    (0.2, "about a fifth as bright", "about five times as bright"),
    (0.1, "about a tenth as bright", "about ten times as bright"),
)


def as_seen(ratio: float) -> str:
    """How light of ``ratio`` times the former strikes the eye, in a plain sentence; plain floats only.

    The brighter of the two is taken as white and the other's lightness read off. That is a scale for
    lit surfaces, not for lamps, so the sentence calls itself indicative.
    Source: :func:`lightness`; the words are our own (common practice, no published source).

    >>> as_seen(5.4)
    'about twice as bright to the eye (indicative: CIE 1976 lightness is for lit surfaces)'
    """
    if not ratio >= 0:
        return "not known"
    return f"{seen(ratio)} to the eye ({INDICATIVE})"


def seen(ratio: float) -> str:
    """The same in a few words, for where what makes it indicative is said beside it.

    Source: that of :func:`as_seen`.

    >>> seen(5.4)
    'about twice as bright'
    """
    if not ratio >= 0:
        return "not known"
    brighter = ratio > 1
    share = lightness(1 / ratio if brighter else ratio) / 100
    if share < 0.07:
        return "far brighter" if brighter else "far dimmer"
    nearest = min(_WORDS, key=lambda row: abs(math.log(row[0] / share)))
    return nearest[2] if brighter else nearest[1]
