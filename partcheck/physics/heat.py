"""Heat: thermal resistance, junction temperature, and what is left of a rating when it is warm.

Temperatures are absolute (K), thermal resistances K/W, powers W, currents A.
"""

from partcheck.operations import smaller, sqrt
from partcheck.physics import K25, Number


def rise(theta: Number, power: Number) -> Number:
    """How much warmer a steady power makes a part than the far end of its thermal resistance, in K.

    ``theta`` θ (K/W) thermal resistance; ``power`` P (W) heat. Result ΔT = θ·P.
    Source: heat flow ΔT = R·P, JESD51.

    >>> rise(62.5, 1.0)
    62.5
    """
    return theta * power


def junction(ambient: Number, theta: Number, power: Number) -> Number:
    """Junction temperature in K.

    ``ambient`` Ta (K) at the far end of ``theta`` θ (K/W), which is ambient, case or solder point;
    ``power`` P (W). Result Tj = Ta + θ·P. Source: JESD51; STM32F103 datasheet, section 6.2.2.

    >>> round(junction(355.15, 46.0, 0.447), 2)
    375.71
    """
    return ambient + theta * power


def power_allowed(tj_max: Number, ambient: Number, theta: Number) -> Number:
    """The power in W that brings the junction just to its limit; zero or less when ambient is there already.

    ``tj_max`` Tj,max (K); ``ambient`` Ta (K); ``theta`` θ (K/W). Result P = (Tj,max − Ta)/θ.
    Source: heat flow ΔT = R·P, JESD51.

    >>> power_allowed(423.15, 323.15, 62.5)
    1.6
    """
    return (tj_max - ambient) / theta


def derated_power(power_25: Number, slope: Number, temperature: Number, t_rated: Number = K25) -> Number:
    """A power rating brought to another temperature along the maker's slope, in W.

    ``power_25`` P25 (W) rated at ``t_rated`` (K); ``slope`` k (W/K), a positive number; ``temperature``
    T (K). Result P25 − k·(T − Trated), and never above P25: a rating does not grow in the cold.
    Source: derating as datasheets print it; Malvino & Bates, Electronic Principles, Example 12-14.

    >>> derated_power(0.625, 0.005, 323.15)
    0.5
    """
    derated: Number = smaller(power_25, power_25 - slope * (temperature - t_rated))
    return derated


def square_root_law(current_25: Number, tj_max: Number, temperature: Number, t_rated: Number = K25) -> Number:
    """A current rating brought to another temperature where the loss is I²·R, in A.

    ``current_25`` I25 (A) rated at ``t_rated`` Trated (K); ``tj_max`` Tj,max (K); ``temperature`` T (K).
    Result I25·√(Tj,max − T)/√(Tj,max − Trated): zero at Tj,max, missing above it, and never above I25.
    Source: Fairchild IRF640N datasheet (2002, Rev. B), figure 4, I25·√((175 − Tc)/150).

    >>> round(square_root_law(28.0, 448.15, 373.15), 2)
    19.8
    """
    # Two roots, not the root of a ratio: a limit below both temperatures would make that ratio positive.
    law: Number = smaller(current_25, current_25 * sqrt(tj_max - temperature) / sqrt(tj_max - t_rated))
    return law


def pulse_rise(power: Number, zth: Number) -> Number:
    """Rise in K at the end of one rectangular pulse.

    ``power`` P (W) while it lasts; ``zth`` Zθ (K/W) transient thermal impedance at its length.
    Result ΔT = P·Zθ. Source: definition of transient thermal impedance, JESD51.

    >>> pulse_rise(20.0, 1.5)
    30.0
    """
    return power * zth


def train_share(duty: Number, single: Number) -> Number:
    """Share of the steady rise that a train of equal pulses reaches at the end of one, at most.

    ``duty`` D (1) the share of the time that the pulses take; ``single`` z (1) the share that one pulse reaches by
    itself. Result D + (1 − D)·z, which no thermal ladder exceeds.
    Source: the usual approximation of transient impedance curves for repeated pulses, common practice; that it is a
    bound is derived in ``roles/transient.py``.

    >>> train_share(0.25, 0.2)
    0.4
    """
    return duty + (1 - duty) * single


def rating_left(tj_max: Number, start: Number, t_rated: Number = K25) -> Number:
    """Share of a pulse rating that is left where the junction starts hot.

    ``tj_max`` Tj,max (K); ``start`` T (K), at which the pulse starts; ``t_rated`` (K), at which it is rated.
    Result (Tj,max − T)/(Tj,max − Trated).
    Source: pulse heating ΔT = P·Zθ from a start temperature, JESD51-14; derating as datasheets print it.

    >>> round(rating_left(423.15, 373.15), 2)
    0.4
    """
    return (tj_max - start) / (tj_max - t_rated)


def resistor_rating(power: Number, full_to: Number, none_at: Number, temperature: Number) -> Number:
    """What is left of a resistor's power rating in warm air, in W; zero or less from ``none_at`` upward.

    ``power`` P (W) carried up to ``full_to`` T1 (K); ``none_at`` T2 (K), where none is left, with a straight
    line between; ``temperature`` T (K). Result P·(T2 − T)/(T2 − T1), never above P.
    Source: derating curve of IEC 60115-1, full power to 70 °C, straight to the highest film temperature.

    >>> round(resistor_rating(0.125, 343.15, 428.15, 385.65), 6)
    0.0625
    """
    left: Number = smaller(power, power * (none_at - temperature) / (none_at - full_to))
    return left
