"""A capacitor that is switched onto a rail: how much it draws at first, and for how long that counts.

Capacitances F, voltages V, currents A, resistances Ω, times s.
"""

from partcheck.physics import Number


def charging_peak(volts: Number, resistance: Number) -> Number:
    """Largest current in A of an empty capacitor that is switched onto a rail.

    ``volts`` V (V) of the rail; ``resistance`` R (Ω) of all that lies in the loop. Result V/R: the current is largest
    where it does not change, so that an inductance drops nothing there, and the capacitor's own voltage only lowers it.
    Source: Kirchhoff's voltage law on a series circuit (derivation; tests/situation/test_capacitive.py integrates it).

    >>> charging_peak(12.0, 0.5)
    24.0
    """
    return volts / resistance


def charging_time(resistance: Number, capacitance: Number) -> Number:
    """Length in s of a rectangle of the largest current that warms no less than the charging does.

    ``resistance`` R (Ω), the least of the loop; ``capacitance`` C (F), the largest. Result 2·R·C. The rectangle carries
    2·C·V, no less than what flows forward even where the loop rings up to twice the rail; and makes 2·C·V² of heat in
    R, four times the ½·C·V² of every charging: the rail gives C·V², and half of it is stored. Of all pulses with no
    larger current, and no more charge and heat, a rectangle warms a body most, if what the body still feels of a short
    pulse only falls with time: every body of resistances and heat capacities. A larger resistance lowers the current
    and leaves the charge as it is.
    Source: energy balance of a capacitor that is charged through a resistor (Nilsson & Riedel, Electric Circuits; from
    memory, no page); rearrangement of a pulse against a falling response (derivation;
    tests/situation/test_capacitive.py integrates it).

    >>> round(charging_time(0.5, 100e-6), 9)
    0.0001
    """
    return 2 * resistance * capacitance
