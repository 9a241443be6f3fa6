"""Cables as stores of energy: their inductance, how high they drive an open end, the rise behind a feed.

Inductances H, inductances per length H/m, capacitances F, currents A, voltages V, lengths m.
"""

from partcheck.operations import exp, smaller, sqrt
from partcheck.physics import Number

LIGHT_SPEED = 299792458.0
"""m/s: speed of light (SI definition)."""
RINGING = 1.3
"""How far an open end may ring over the first step of the wave, where a plain resistor sits at the far end.

Largest of simulated lines with any capacitance at the open end and a resistor of at least 1/500 of the wave impedance;
with 1/20 it is 1.02 (tests/situation/test_stores.py).
"""
RINGING_CAPACITIVE = 2.0
"""The same over the rail, where the far end may hold a capacitor, an LED, or a coil behind a clamp.

Largest of simulated lines with any of these, and at least 1/100 of the line's own capacitance at the open end: a
transistor has some picofarads, a cable some hundred (tests/situation/test_stores.py).
"""


def wave_impedance_limit(per_length: Number, speed: Number = LIGHT_SPEED) -> Number:
    """Highest wave impedance in Ω that a line may have.

    ``per_length`` L' (H/m) of the loop; ``speed`` c (m/s) of light. Result c·L': the wave impedance is L' times the
    speed of the wave, and no wave is faster than light.
    Source: Z0 = sqrt(L'/C'), v = 1/sqrt(L'·C') of the telegrapher's equations (derivation).

    >>> round(wave_impedance_limit(1.5e-6), 1)
    449.7
    """
    return per_length * speed


def surge_rise(current: Number, inductance: Number, capacitance: Number) -> Number:
    """Rise in V over the source when the current of a feed has to go into a capacitor.

    ``current`` I (A) that is switched off; ``inductance`` L (H) of the feed; ``capacitance`` C (F) behind it.
    Result I·sqrt(L/C). The feed's resistance only lowers it.
    Source: energy ½·L·I² = ½·C·U² of a series circuit (derivation; a test integrates it).

    >>> round(surge_rise(3.0, 2.25e-6, 376e-6), 3)
    0.232
    """
    made: Number = current * sqrt(inductance / capacitance)
    return made


def repetition_factor(resistance: Number, inductance: Number, capacitance: Number) -> Number:
    """How far repeated steps of current may add up, relative to one, where they meet the ringing of a feed.

    ``resistance`` R (Ω), the least of the loop; ``inductance`` L (H); ``capacitance`` C (F). Result 1/(1 − q) with
    q = exp(−π·ζ/sqrt(1 − ζ²)), what is left of the ringing after half a period, and ζ = R/2·sqrt(C/L).
    Source: sum of the series of half periods, each met by the next step (derivation; a test integrates it).

    >>> round(repetition_factor(0.08, 2.25e-6, 376e-6), 2)
    1.18
    """
    damping = smaller(resistance / 2 * sqrt(capacitance / inductance), 0.9999)
    left = exp(0 - 3.141592653589793 * damping / sqrt(1 - damping * damping))
    made: Number = 1 / (1 - left)
    return made
