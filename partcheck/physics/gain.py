"""A bipolar transistor as a saturated switch, and its base circuit.

Voltages V, currents A, resistances Ω, temperatures K; gains have no unit.
"""

from partcheck.operations import exp, keep, larger, ln, power, prefer, smaller
from partcheck.physics import K25, Number


def base_current(level: Number, vbe: Number, resistance: Number) -> Number:
    """Current in A into the base through one resistance.

    ``level`` V (V) of the drive; ``vbe`` VBE (V); ``resistance`` R (Ω), base resistor and source
    resistance together. Result (V − VBE)/R.
    Source: Kirchhoff's voltage law; Millman & Halkias, Integrated Electronics, Example 5.2, p. 134.

    >>> round(base_current(5.0, 0.8, 50e3) * 1e6, 6)
    84.0
    """
    return (level - vbe) / resistance


def driven_current(level: Number, vbe: Number, resistor: Number, source: Number, holds: Number) -> Number:
    """Current in A from a drive through a base resistor, where the level is stated at a current.

    ``level`` V (V), which holds up to ``holds`` Ih (A), zero for an unloaded level; ``vbe`` VBE (V); ``resistor``
    R (Ω); ``source`` Rs (Ω), in which only the current above Ih drops. Result: the smaller of (V − VBE)/R and
    (V + Ih·Rs − VBE)/(R + Rs); with no ``source`` stated the first, and missing above Ih.
    Source: Kirchhoff's voltage law on both sides of Ih, where the two agree.

    >>> round(driven_current(4.5, 0.8, 1000.0, 50.0, 2e-3) * 1e3, 4)
    3.619
    """
    straight = base_current(level, vbe, resistor)
    loaded = base_current(level + holds * source, vbe, resistor + source)
    current: Number = prefer(smaller(straight, loaded), keep(straight, straight, holds))
    return current


def driven_resistor(level: Number, vbe: Number, current: Number, source: Number, holds: Number) -> Number:
    """The largest base resistor in Ω with which :func:`driven_current` still gives a current.

    ``level`` V (V); ``vbe`` VBE (V); ``current`` I (A); ``source`` Rs (Ω); ``holds`` Ih (A).
    Result: the smaller of (V − VBE)/I and (V + Ih·Rs − VBE)/I − Rs.
    Source: as :func:`driven_current`, solved for R.

    >>> round(driven_resistor(4.5, 0.8, 3.619e-3, 50.0, 2e-3))
    1000
    """
    straight = base_resistor(level, vbe, current)
    loaded = base_resistor(level + holds * source, vbe, current) - source
    resistor: Number = prefer(smaller(straight, loaded), keep(straight, current, holds))
    return resistor


def forced_gain(ic: Number, ib: Number) -> Number:
    """The gain that the circuit forces: ``ic`` IC (A) over ``ib`` IB (A).

    Source: definition; Sedra & Smith, Microelectronic Circuits, Example 5.5, p. 423.

    >>> forced_gain(0.1, 0.005)
    20.0
    """
    return ic / ib


def base_needed(ic: Number, hfe: Number, overdrive: Number = 1.0) -> Number:
    """Base current in A for a collector current with so many times the least drive.

    ``ic`` IC (A); ``hfe`` hFE (1), its minimum at that current; ``overdrive`` (1).
    Result IC·overdrive/hFE. Source: Sedra & Smith, Microelectronic Circuits, Example 5.3, p. 420.

    >>> round(base_needed(9.8e-3, 50.0, 10.0) * 1e3, 6)
    1.96
    """
    return ic * overdrive / hfe


def base_resistor(level: Number, vbe: Number, ib: Number) -> Number:
    """The largest resistance in Ω in the base circuit that still gives a base current.

    ``level`` V (V) of the drive; ``vbe`` VBE (V); ``ib`` IB (A). Result (V − VBE)/IB.
    Source: Kirchhoff's voltage law; Sedra & Smith, Microelectronic Circuits, Example 5.3, p. 420.

    >>> round(base_resistor(5.0, 0.7, 1.96e-3))
    2194
    """
    return (level - vbe) / ib


def junction_voltage(v25: Number, slope: Number, temperature: Number, t_rated: Number = K25) -> Number:
    """Forward voltage in V of a junction at another temperature and the same current.

    ``v25`` (V) at ``t_rated`` (K); ``slope`` (V/K) by which it **falls** per kelvin, usually 0.002;
    ``temperature`` T (K). Result V25 − slope·(T − Trated).
    Source: Malvino & Bates, Electronic Principles, Example 2-5, p. 49.

    >>> round(junction_voltage(0.7, 0.002, 373.15), 6)
    0.55
    """
    return v25 - slope * (temperature - t_rated)


def junction_voltage_at_current(v1: Number, i1: Number, i2: Number, vt: Number) -> Number:
    """Forward voltage in V of a junction at another current and the same temperature.

    ``v1`` (V) at ``i1`` (A); ``i2`` (A); ``vt`` VT (V), thermal voltage, 25 mV near 20 °C.
    Result V1 + VT·ln(I2/I1). Source: Sedra & Smith, Microelectronic Circuits, Example 5.1, p. 395.

    >>> round(junction_voltage_at_current(0.7, 1e-3, 2e-3, 0.025), 3)
    0.717
    """
    voltage: Number = v1 + vt * ln(i2 / i1)
    return voltage


def junction_current(
    v: Number, v1: Number, i1: Number, temperature: Number, t1: Number, per_kelvin: Number, gap: Number
) -> Number:
    """Current in A of a junction at another voltage and temperature than the one at which it is known.

    ``v`` V (V) at ``temperature`` T (K); ``v1`` (V) at ``i1`` (A) and ``t1`` (K); ``per_kelvin`` k/q (V/K);
    ``gap`` Eg (V) of the band gap. Result I1·(T/T1)³·exp((V − V1·T/T1 + Eg·(T/T1 − 1))/(k·T/q)).
    Source: law of the saturation current in SPICE, exponent 3 (from memory, no page).

    >>> round(junction_current(0.6, 0.55, 2e-3, 298.15, 298.15, 8.617333e-5, 1.205) * 1e3, 2)
    14.0
    >>> round(junction_current(0.5, 0.55, 2e-3, 323.15, 298.15, 8.617333e-5, 1.205) * 1e3, 2)
    3.04
    """
    grown = temperature / t1
    exponent = (v - v1 * grown + gap * (grown - 1)) / (per_kelvin * temperature)
    current: Number = i1 * power(grown, 3.0) * exp(exponent)
    return current


def saturation_line(forced: Number, row_gain: Number, row_vce: Number, edge_gain: Number, edge_vce: Number) -> Number:
    """Collector-emitter voltage in V of a transistor driven less hard than its saturation row.

    ``forced`` (1) the circuit's forced gain; ``row_gain`` (1) IC/IB of the row and ``row_vce`` (V) its
    saturation voltage; ``edge_gain`` (1) the gain at the edge of saturation, and ``edge_vce`` (V) at which
    it is stated. Result: on the straight line between the two points, missing beyond the edge, and
    never below the row's own voltage, which is what a harder drive is allowed.
    Source: common practice, no published source.

    >>> round(saturation_line(30.0, 10.0, 0.2, 50.0, 1.0), 6)
    0.6
    """
    line = row_vce + (edge_vce - row_vce) * (forced - row_gain) / (edge_gain - row_gain)
    kept: Number = keep(larger(line, row_vce), forced, edge_gain)
    return kept


def leakage_at(i1: Number, t1: Number, temperature: Number, doubling: Number) -> Number:
    """Leakage current in A at another temperature.

    ``i1`` (A) at ``t1`` (K); ``temperature`` T (K); ``doubling`` (K), the step that doubles it.
    Result I1·2^((T − T1)/doubling).
    Source: rule with 10 K, Malvino & Bates, Electronic Principles, Example 2-6, p. 51; maxima of one
    datasheet double every 12.5 K (Philips 2N2222, 1997), so 10 K errs high going up.

    >>> round(leakage_at(5e-9, 298.15, 368.15, 10.0) * 1e9, 3)
    640.0
    """
    current: Number = i1 * power(2.0, (temperature - t1) / doubling)
    return current


def common_emitter_leakage(icbo: Number, hfe: Number) -> Number:
    """Collector current in A of a transistor with its base left open.

    ``icbo`` ICBO (A), hot; ``hfe`` hFE (1), its maximum. Result ICBO·(1 + hFE).
    Source: transistor equations (ICEO); Millman & Halkias, Integrated Electronics (from memory, no page).

    >>> round(common_emitter_leakage(1e-6, 400.0) * 1e6, 6)
    401.0
    """
    return icbo * (1 + hfe)
