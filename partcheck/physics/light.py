"""Light: the current of an LED, its flux, and how a change of brightness looks.

Currents A, voltages V, luminous intensity cd, luminous flux lm.
"""

import math
from typing import Final

from partcheck.operations import smaller
from partcheck.physics import Number

KM: Final = 683.0
"""Luminous efficacy at 540 THz in lm/W (definition, SI brochure)."""


def series_current(supply: Number, drop: Number, resistance: Number) -> Number:
    """Current in A through a series resistor.

    ``supply`` V (V); ``drop`` (V), everything else in series, at this very current;
    ``resistance`` R (Ω). Result (V − drop)/R.
    Source: Kirchhoff's voltage law; Malvino & Bates, Electronic Principles, Example 14-4, p. 492.

    >>> series_current(20.0, 2.0, 1000.0)
    0.018
    """
    return (supply - drop) / resistance


def series_resistor(supply: Number, drop: Number, current: Number) -> Number:
    """Resistance in Ω that sets a current.

    ``supply`` V (V); ``drop`` (V), everything else in series, at this very current; ``current`` I (A).
    Result (V − drop)/I. Source: Kirchhoff's voltage law; D. A. Bell, Electronic Devices and Circuits,
    Example 21.3, p. 951.

    >>> round(series_resistor(9.0, 1.8, 0.010), 6)
    720.0
    """
    return (supply - drop) / current


def linear_derating(current: Number, slope: Number, temperature: Number, start: Number) -> Number:
    """A current rating that falls in a straight line above a temperature, in A.

    ``current`` I (A) up to ``start`` (K); ``slope`` k (A/K), a positive number; ``temperature`` T (K).
    Result I − k·(T − start), never above I; less than zero where nothing is left.
    Source: Lite-On LTST-C170TBKT datasheet, absolute maximum ratings.

    >>> round(linear_derating(0.020, 0.25e-3, 358.15, 298.15), 6)
    0.005
    """
    derated: Number = smaller(current, current - slope * (temperature - start))
    return derated


def lambertian_flux(intensity: Number) -> Number:
    """Luminous flux in lm of a wide emitter from its intensity on the axis (cd).

    Result π·I. Within 15 % of printed pairs from a viewing angle of 120° upward; a narrow emitter
    does not follow it, nor the solid angle of its cone: there the flux must be stated.
    Source: cosine law; OSRAM LH R974 datasheet, brightness groups, for the 15 %.

    >>> round(lambertian_flux(0.0146), 4)
    0.0459
    """
    return math.pi * intensity


def photopic_efficacy(v_lambda: Number, km: Number = KM) -> Number:
    """Luminous flux per radiant power of light of one wavelength, in lm/W.

    ``v_lambda`` V(λ) (1) of the CIE 1924 observer; ``km`` Km (lm/W). Result Km·V(λ).
    Source: SI brochure, definition of the candela.

    >>> round(photopic_efficacy(0.321), 1)
    219.2
    """
    return km * v_lambda


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


_INDICATIVE: Final = "(indicative: CIE 1976 lightness is for lit surfaces)"
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
    brighter = ratio > 1
    share = lightness(1 / ratio if brighter else ratio) / 100
    if share < 0.07:
        words = "far brighter" if brighter else "far dimmer"
    else:
        nearest = min(_WORDS, key=lambda row: abs(math.log(row[0] / share)))
        words = nearest[2] if brighter else nearest[1]
    return f"{words} to the eye {_INDICATIVE}"
