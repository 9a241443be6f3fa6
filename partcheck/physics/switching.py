"""A MOSFET as a switch: what the gate gets, what it carries, what an edge costs.

Voltages V, currents A, resistances Ω, charges C, times s, energies J.
"""

from partcheck.operations import exp, larger, ln, smaller, sqrt
from partcheck.physics import Number

STORED = 0.4054651081081644
"""ln 1.5: storage time over lifetime of a diode that is taken back with twice its current."""


def overdrive(vgs: Number, vgs_th: Number) -> Number:
    """Gate voltage beyond the threshold, in V.

    ``vgs`` (V); ``vgs_th`` (V), its maximum for the worst case. Result Vov = VGS − VGS(th).
    Source: square-law transistor; Sedra & Smith, Microelectronic Circuits (from memory, no page).

    >>> overdrive(4.5, 2.0)
    2.5
    """
    return vgs - vgs_th


def channel_drop(current: Number, resistance: Number, measured_at: Number, overdrive: Number, left: Number) -> Number:
    """Largest drain-source voltage in V that a stated on-resistance allows at another current and overdrive.

    ``current`` I (A); ``resistance`` R (Ω), stated at ``measured_at`` I0 (A; zero where none is stated) with
    ``overdrive`` Vov (V) of the gate; ``left`` V (V) what is left of that, at most Vov.
    Result V − √(V² − 2·I·R·(Vov − i0·R/2)) with i0 the least of I0, I and Vov/R: just I·R where I ≤ I0 and V = Vov;
    missing where the transistor passes no such current, or is not on at all.
    Source: square law I = k·(V·Vds − Vds²/2), k from the stated point (derivation). Resistance in series with the
    channel, which does not narrow, is taken as channel: with i0 ≤ I that is the worse end (derivation).

    >>> round(channel_drop(10.0, 0.1, 0.0, 2.5, 2.5), 4)
    1.382
    >>> round(channel_drop(4.0, 0.1, 5.0, 2.5, 2.5), 9)
    0.4
    """
    known: Number = smaller(smaller(measured_at, current), overdrive / resistance)
    taken = 2 * current * resistance * (overdrive - known * resistance / 2)
    # √V·√(V − …/V), not √(V² − …): the square would let a negative overdrive through.
    drop: Number = left - sqrt(left) * sqrt(left - taken / left)
    return drop


def channel_limit(resistance: Number, measured_at: Number, overdrive: Number, left: Number) -> Number:
    """The largest current in A for which :func:`channel_drop` has an answer: where the channel saturates.

    ``resistance`` R (Ω), ``measured_at`` I0 (A), ``overdrive`` Vov (V), ``left`` V (V) as there.
    Result V²/(2·R·(Vov − i0·R/2)) with i0 the smaller of I0 and Vov/R. Source: as :func:`channel_drop`.

    >>> channel_limit(0.1, 0.0, 2.5, 2.5)
    12.5
    """
    known: Number = smaller(measured_at, overdrive / resistance)
    return left * left / (2 * resistance * (overdrive - known * resistance / 2))


def recovered_charge(current: Number, recovery_time: Number) -> Number:
    """Largest charge in C that a diode gives back when its current is taken over.

    ``current`` I (A) before; ``recovery_time`` trr (s), as measured from half the current that it is taken back with,
    the mildest of the usual conditions. Result I·trr/ln 1.5. Source: charge control dQ/dt = i − Q/τ, whose storage
    time τ·ln(1 + IF/IR) is part of trr (derivation); that hot diodes store more than at 25 °C is not counted.

    >>> round(recovered_charge(2.0, 2e-6), 8)
    9.87e-06
    """
    return current * recovery_time / STORED


def divided(level: Number, series: Number, pulldown: Number) -> Number:
    """Voltage in V after a resistor in series and one to ground.

    ``level`` V (V) before; ``series`` Rs (Ω); ``pulldown`` Rp (Ω). Result V·Rp/(Rs + Rp).
    Source: Kirchhoff's laws (voltage divider).

    >>> divided(5.0, 1000.0, 9000.0)
    4.5
    """
    return level * pulldown / (series + pulldown)


def charge_time(charge: Number, resistance: Number, volts: Number) -> Number:
    """Time in s to move a gate charge through a resistance with a steady voltage across it.

    ``charge`` Q (C); ``resistance`` R (Ω), gate resistor, source and internal resistance together;
    ``volts`` V (V): drive less plateau, or plateau less drive low. Result Q·R/V.
    Source: t = Q/I; Jacob, Power Electronics, Example 6.10, p. 305.

    >>> round(charge_time(44e-9, 100.0, 4.0) * 1e6, 3)
    1.1
    """
    return charge * resistance / volts


def below_threshold(current: Number, beyond: Number, slope: Number, thermal: Number) -> Number:
    """Drain current in A of a channel under its threshold.

    ``current`` I (A) at the threshold; ``beyond`` V (V), gate voltage less threshold, negative under it;
    ``slope`` n (1); ``thermal`` VT (V). Result I·exp(V/(n·VT)).
    Source: weak inversion; Sze, Physics of Semiconductor Devices (from memory, no page).

    >>> round(below_threshold(1e-3, -0.1, 2.0, 0.025) * 1e6, 1)
    135.3
    """
    flowing: Number = current * exp(beyond / (slope * thermal))
    return flowing


def lifted_gate(charge: Number, threshold: Number, slope: Number, resistance: Number) -> Number:
    """Highest voltage in V to which a rising drain lifts a gate that a resistance holds.

    ``charge`` Q_gd (C); ``threshold`` V_th (V), the least; ``slope`` dV/dt of the drain (V/s); ``resistance`` R (Ω)
    from gate to source. Result R·(Q_gd/V_th)·dV/dt. A gate that R holds never stands above R·C·dV/dt. The gate-drain
    capacitance C falls as the drain rises over the gate, so that it is largest where the two are level; the plateau
    ends in the ohmic region, with the drain more than V_th under the gate, and so moves at least C·V_th.
    Source: Kirchhoff's current law at the gate; the bound of C by the plateau is a derivation.

    >>> round(lifted_gate(5e-9, 1.0, 12e3, 10e3), 3)
    0.6
    """
    return resistance * charge / threshold * slope


def capacitor_time(capacitance: Number, resistance: Number, start: Number, final: Number, reached: Number) -> Number:
    """Time in s in which a capacitance charged through a resistance gets from one voltage to another.

    ``capacitance`` C (F); ``resistance`` R (Ω); ``start`` (V); ``final`` (V), where it would end up;
    ``reached`` (V). Result R·C·ln((final − start)/(final − reached)): zero where it was there already,
    missing where it never gets there.
    Source: RC charging; NXP UM10204 section 7.1 prints the factor ln(7/3) from 0.3 to 0.7.

    >>> round(capacitor_time(1.0, 1.0, 0.3, 1.0, 0.7), 4)
    0.8473
    """
    span: Number = larger(ln((final - start) / (final - reached)), 0.0)
    return resistance * capacitance * span


def edge_energy(voltage: Number, current: Number, time: Number) -> Number:
    """Energy in J lost in the switch during one edge with an inductive, clamped load.

    ``voltage`` V (V) and ``current`` I (A), both whole; ``time`` t (s) of the edge. Result V·I·t/2. A
    resistive load loses a third of this: the larger number is used for all.
    Source: common practice (straight edges, one after the other); no published source.

    >>> round(edge_energy(12.0, 2.0, 1e-6) * 1e6, 3)
    12.0
    """
    return voltage * current * time / 2
