"""A linear regulator: its heat, the input it needs, and what heat leaves of its current.

Voltages V, currents A, powers W.
"""

from partcheck.physics import Number


def regulator_heat(vin: Number, vout: Number, iout: Number, iq: Number) -> Number:
    """Heat in W of a linear regulator.

    ``vin`` VI and ``vout`` VO (V); ``iout`` (A) load; ``iq`` (A) quiescent or ground current.
    Result (VI − VO)·Iout + VI·Iq. Source: Texas Instruments LM1117, SNOS412N, thermal section.

    >>> round(regulator_heat(12.0, 5.0, 0.8, 0.005), 6)
    5.66
    """
    return (vin - vout) * iout + vin * iq


def input_needed(vout: Number, dropout: Number) -> Number:
    """The least input in V: ``vout`` VO (V), its maximum, and ``dropout`` (V) at the load.

    Result VO + dropout. Source: definition of the dropout voltage; Franco, Example 11.9, p. 520.

    >>> input_needed(5.0, 2.5)
    7.5
    """
    return vout + dropout


def current_by_heat(power: Number, vin: Number, vout: Number, iq: Number) -> Number:
    """The load current in A that makes a given heat.

    ``power`` P (W) allowed; ``vin`` VI and ``vout`` VO (V); ``iq`` (A).
    Result (P − VI·Iq)/(VI − VO). Source: :func:`regulator_heat` solved for the load.

    >>> round(current_by_heat(5.66, 12.0, 5.0, 0.005), 6)
    0.8
    """
    return (power - vin * iq) / (vin - vout)


def input_by_heat(power: Number, vout: Number, iout: Number, iq: Number) -> Number:
    """The input in V that makes a given heat: the highest at which the regulator stays cool.

    ``power`` P (W) allowed; ``vout`` VO (V); ``iout`` and ``iq`` (A).
    Result (P + VO·Iout)/(Iout + Iq). Source: :func:`regulator_heat` solved for the input.

    >>> round(input_by_heat(5.66, 5.0, 0.8, 0.005), 6)
    12.0
    """
    return (power + vout * iout) / (iout + iq)


def adjusted_output(v_ref: Number, across: Number, other: Number) -> Number:
    """The output in V that two resistors set, without the adjust pin's own current.

    ``v_ref`` Vref (V) the reference; ``across`` (Ω) the resistor on which it stands, ``other`` (Ω) the other of the
    two. The adjust pin's current adds its product with ``other``. Result Vref·(1 + other/across).
    Source: Kirchhoff's current law at the adjust pin; Texas Instruments LM317, SLVS044 (from memory),
    Vo = Vref·(1 + R2/R1) + Iadj·R2.

    >>> adjusted_output(1.25, 240.0, 720.0)
    5.0
    """
    return v_ref * (1.0 + other / across)
