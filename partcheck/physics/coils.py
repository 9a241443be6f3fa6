"""Coils: winding resistance, how the current dies through a clamp, and what takes its energy.

Inductances H, resistances Ω, currents A, voltages V, temperatures K, times s, energies J.
"""

import math

from partcheck.operations import exp, keep, larger, ln, prefer, smaller
from partcheck.physics import K20, Number

COPPER_ALPHA = 0.00393
"""Temperature coefficient of copper at 20 °C, 1/K: IEC 60028 annealed copper (from memory)."""


def winding_resistance(
    r20: Number, temperature: Number, reference: Number = K20, alpha: Number = COPPER_ALPHA
) -> Number:
    """Resistance in Ω of a copper winding at another temperature.

    ``r20`` R (Ω) at ``reference`` (K); ``temperature`` T (K) of the copper; ``alpha`` α (1/K) at that
    reference. Result R·(1 + α·(T − reference)). α = 0.004 (IEC 60228) is a little worse both cold
    and hot.
    Source: IEC 60028 (from memory); Bird, Examples 3.8 and 3.11, for the law.

    >>> round(winding_resistance(60.0, 263.15), 2)
    52.93
    """
    return r20 * (1 + alpha * (temperature - reference))


def stored_energy(inductance: Number, current: Number) -> Number:
    """Energy in J in a coil: ``inductance`` L (H), ``current`` I (A). Result ½·L·I².

    It is what a clamp across the coil takes at most; one across the switch takes more.
    Source: Texas Instruments SLPS632, absolute-maximum table, rates avalanche this way.

    >>> round(stored_energy(0.1e-3, 81.0), 4)
    0.3281
    """
    return inductance * current * current / 2


def avalanche_energy(inductance: Number, current: Number, breakdown: Number, supply: Number) -> Number:
    """Energy in J that the switch takes when nothing clamps the coil.

    ``inductance`` L (H); ``current`` I (A); ``breakdown`` BV (V), the rated voltage, since a higher one
    gives less; ``supply`` V (V). Result ½·L·I²·BV/(BV − V); missing where the supply is above BV: there
    the rail itself is too high. The winding's resistance is left out, which errs high.
    Source: Vishay doc 91021, absolute-maximum table, note b.

    >>> round(avalanche_energy(0.44e-3, 28.0, 100.0, 25.0), 4)
    0.23
    """
    energy = stored_energy(inductance, current) * breakdown / (breakdown - supply)
    kept: Number = keep(energy, supply, breakdown)
    return kept


def time_constant(inductance: Number, resistance: Number) -> Number:
    """Time constant in s of a coil: ``inductance`` L (H), ``resistance`` R (Ω) of its whole loop.

    Result L/R. Source: OpenStax University Physics vol. 2, RL circuits.

    >>> time_constant(0.1, 50.0)
    0.002
    """
    return inductance / resistance


def decay_time(inductance: Number, resistance: Number, start: Number, end: Number, opposing: Number) -> Number:
    """Time in s for a coil's current to fall, from switching off.

    ``inductance`` L (H); ``resistance`` R (Ω) of the winding; ``start`` and ``end`` (A); ``opposing`` V
    (V) against the current: the clamp voltage for a clamp across the coil, clamp less supply for one
    across the switch, 0 for an ideal diode. Result L/R·ln((start·R + V)/(end·R + V)): zero where the
    current is there already, infinite where the clamp, below the supply, never brings it there.
    Source: solution of L·di/dt + R·i + V = 0 (derivation; a test integrates it).

    >>> round(decay_time(1.0, 100.0, 0.12, 0.0, 24.8) * 1e3, 3)
    3.947
    """
    left = end * resistance + opposing
    logarithm: Number = larger(ln((start * resistance + opposing) / left), 0.0)
    constant = time_constant(inductance, resistance)
    # A clamp below the supply never brings the current to the end: both brackets may then be negative.
    never = keep(constant * math.inf, left, opposing * 0.0)
    kept: Number = prefer(keep(constant * logarithm, opposing * 0.0, left), never)
    return kept


def decay_time_beside(
    inductance: Number,
    resistance: Number,
    start: Number,
    end: Number,
    opposing: Number,
    beside: Number,
    beside_inductance: Number,
    behind: Number,
) -> Number:
    """Time in s for a coil's current to fall while another load on its switch carries some of it on.

    ``beside`` R_b (Ω) and ``beside_inductance`` L_b (H) of that load, on a rail that lies ``behind`` V_b (V) below the
    coil's own (0 on the same rail); the rest as :func:`decay_time`. While the load beside takes less than all the
    current, the clamp holds ``opposing``; from the current (V + V_b)/R_b on it conducts no more, and the current falls
    through the load beside alone. Never faster than in the circuit: the inductance beside only delays what that load
    takes. Source: solution of the two circuits in turn (derivation; tests/circuit simulates them).

    >>> round(decay_time_beside(0.19, 160.0, 0.08, 0.008, 34.0, 160.0, 0.0, 0.0) * 1e3, 3)
    1.367
    """
    handed: Number = smaller(larger((opposing + behind) / beside, end), larger(start, end))
    clamped: Number = decay_time(inductance, resistance, start, handed, opposing)
    rest: Number = decay_time(inductance + beside_inductance, resistance + beside, handed, end, 0.0 - behind)
    return clamped + rest


def decayed(inductance: Number, resistance: Number, start: Number, time: Number, opposing: Number) -> Number:
    """Current in A that is left of ``start`` (A) after ``time`` t (s); the rest as :func:`decay_time`.

    Result (start + V/R)·exp(−t·R/L) − V/R, and not below zero, since a clamp does not turn it round.
    Source: solution of L·di/dt + R·i + V = 0; OpenStax College Physics, RL circuits, for V = 0.

    >>> round(decayed(7.5e-3, 3.0, 10.0, 5e-3, 0.0), 3)
    1.353
    """
    asymptote = opposing / resistance
    fallen = exp(0 - time / time_constant(inductance, resistance))
    current: Number = larger((start + asymptote) * fallen - asymptote, start * 0.0)
    return current


def clamped_charge(inductance: Number, resistance: Number, start: Number, time: Number, opposing: Number) -> Number:
    """Charge in C that flows through the clamp in the first ``time`` t (s) after switching off.

    The rest as :func:`decay_time`; nothing flows once the current is gone. Result
    (L·(I − i(t)) − V·t')/R with i(t) of :func:`decayed` and t' the time for which current flows.
    Source: L·di/dt + R·i + V = 0 integrated over t (derivation; a test integrates it).

    >>> round(clamped_charge(0.1, 24.0, 0.5, 1.0, 24.0) * 1e6, 1)
    393.9
    """
    # A millionth of a millionth of the current counts as gone, so that an ideal diode has an end as well.
    gone = decay_time(inductance, resistance, start, start * 1e-12, opposing)
    left = decayed(inductance, resistance, start, time, opposing)
    flowing: Number = smaller(time, gone)
    return (inductance * (start - left) - opposing * flowing) / resistance


def total_charge(inductance: Number, resistance: Number, start: Number, opposing: Number) -> Number:
    """Charge in C that flows through the clamp until the current is gone.

    As :func:`clamped_charge` without an end; ``opposing`` V (V) above zero. With a steady clamp voltage the
    clamp takes that voltage times this charge. Result (L·I − V·t)/R with t of :func:`decay_time`.
    Source: as :func:`clamped_charge`.

    >>> round(total_charge(0.1, 24.0, 0.5, 24.0) * 1e6, 1)
    393.9
    """
    time = decay_time(inductance, resistance, start, start * 0.0, opposing)
    return (inductance * start - opposing * time) / resistance


def chopped_peak(direct: Number, duty: Number, pulses: Number) -> Number:
    """Highest current in A of a coil that is chopped for long and flows on through a diode while off.

    ``direct`` I (A): rail over resistance, what it would draw without a break; ``duty`` d the share of the time on;
    ``pulses`` x = R/(L·f): the period over its time constant. Result I·(1 − e^(−d·x))/(1 − e^(−x)), between d·I and
    I: it grows towards I while on, and dies towards nothing while off. What the diode drops makes it less; a larger
    resistance or inductance too, and a smaller duty.
    Source: periodic solution of L di/dt + R·i = v (derivation; tests/situation/test_holding.py integrates it).

    >>> round(chopped_peak(1.0, 0.4, 0.1), 4)
    0.412
    """
    made: Number = direct * (1 - exp(0 - duty * pulses)) / (1 - exp(0 - pulses))
    return made
