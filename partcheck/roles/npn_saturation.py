"""The drop of a saturated NPN at a current and a forced gain, 25 °C: rows, the junctions' curve, the chord to the edge.

* A stated row counts where it was driven no harder than here, at no less current.
* From a row driven harder the Ebers-Moll equations say how the drop grows: by the thermal voltage times logarithms of
  the forced gain over that of the row and of what is left to the edge of saturation. ``CURVE_MARGIN`` times that is
  counted, and the gain at the edge is taken lower than at the voltage at which it is stated (``EARLY``). Where the
  gain is stated only above ``NEAR`` a thick collector may drop volts before it is reached: the curve does not count.
* The straight line from such a row to the edge, at the voltage at which the gain there is stated; as a chord it lies
  above the curve.
* The straight line in current from a row of less to one of more, both brought to the circuit's forced gain by the rules
  above. At one forced gain the drop bends upward over the current: by Gummel and Poon 1/β is the sum of a falling
  power of the current, a constant and a term in proportion to it, and -ln(1 - forced/β) keeps that shape (derivation).

Each holds, so the least counts. tests/roles/test_device_bipolar.py simulates transistors with high injection, Early
effect, leakage of the emitter junction and series resistances.
"""

from typing import Any, NamedTuple

from partcheck.operations import in_one, keep, larger, ln, prefer, smaller
from partcheck.physics import gain as bipolar
from partcheck.points import LOG_LOG, between, first, first_x, greatest, last_x, least
from partcheck.roles.common import larger_known, smaller_known

CURVE_MARGIN = 3.0
"""Times the growth of the drop by the junctions' equations (common practice, no published source)."""
EARLY = 1000.0
"""Thermal voltages, 26 V: least Early voltage of small transistors (common practice, no published source)."""
NARROW = 1e-9
"""Share of its current by which a row stands above another that is the same: next to nothing, so that it divides."""
NEAR = 200.0
"""Thermal voltages, 5.1 V, up to which a gain must be stated to say something of saturation (common practice)."""


def gain_at(p: Any, current: Any) -> Any:
    """Least gain at 25 °C at a current: between stated points; under the first one only what that one guarantees.

    A base current that carries the first row's current carries any smaller one too.
    """
    start = first_x(p.hfe, "ic", "min")
    under = keep(first(p.hfe, "ic", "min") * current / start, current, start)
    return prefer(between(p.hfe, "ic", "min", current, LOG_LOG), under)


class Edge(NamedTuple):
    """Where saturation ends: the gain that is sure there, and the voltage V at which it is stated."""

    gain: Any
    vce: Any


class SaturationStart(NamedTuple):
    """A stated row of saturation: its forced gain, and its largest voltage V."""

    gain: Any
    vce: Any


def _least_driven(p: Any, current: Any) -> SaturationStart:
    """Of the rows stated at no less than a current, the one driven least hard."""
    gain = greatest(p.vce_sat, lambda row: keep(keep(row.ic / row.ib, row.max, row.max), current, row.ic))
    return SaturationStart(
        gain, least(p.vce_sat, lambda row: keep(keep(row.max, current, row.ic), gain, row.ic / row.ib))
    )


def _lowest(p: Any, current: Any) -> SaturationStart:
    """Of the rows stated at no less than a current, the one with the lowest drop."""
    vce = least(p.vce_sat, lambda row: keep(row.max, current, row.ic))
    return SaturationStart(
        greatest(p.vce_sat, lambda row: keep(keep(row.ic / row.ib, current, row.ic), row.max, vce)), vce
    )


def _edge_here(p: Any, current: Any) -> Edge:
    """The gain at the current, at the higher voltage of the two rows between which it is read."""
    above = least(p.hfe, lambda row: keep(keep(row.ic, row.min, row.min), current, row.ic))
    below = greatest(p.hfe, lambda row: keep(keep(row.ic, row.min, row.min), row.ic, current))

    def volts(at: Any) -> Any:
        return greatest(p.hfe, lambda row: keep(keep(keep(row.vce, row.min, row.min), at, row.ic), row.ic, at))

    high, low = volts(above), volts(below)
    return Edge(gain_at(p, current) * p.cold_factor, larger_known(high, low))


def _to(p: Any, n: Any, forced: Any, start: SaturationStart, edge: Edge) -> Any:
    """The least of curve and line from a stated row to an edge."""
    thermal = n.kelvin_voltage * n.t25
    held = edge.gain / (1.0 + edge.vce / (EARLY * thermal))
    grown = ln((1.0 + forced) / (1.0 + start.gain)) + ln(held / (held - forced))
    curve = keep(start.vce + CURVE_MARGIN * thermal * larger(grown, 0.0 * grown), edge.vce, NEAR * thermal)
    line = bipolar.saturation_line(forced, start.gain, start.vce, edge.gain, edge.vce)
    return smaller_known(curve, line)


def _at(p: Any, n: Any, current: Any, forced: Any) -> Any:
    """Drop at a current and a forced gain by the rows of no less current; the edge of saturation is one of two.

    That of the current itself, or that of a row of more current, whose base current carries this one too.
    """
    known = least(p.vce_sat, lambda row: keep(keep(row.max, current, row.ic), forced, row.ic / row.ib))
    here = _edge_here(p, current)
    for start in (_least_driven(p, current), _lowest(p, current)):

        def to_row(row: Any, start: SaturationStart = start) -> Any:
            edge = Edge(row.min * p.cold_factor * current / row.ic, row.vce)
            return keep(_to(p, n, forced, start, edge), current, row.ic)

        known = smaller_known(known, smaller_known(_to(p, n, forced, start, here), least(p.hfe, to_row)))
    return known


def _between_rows(p: Any, n: Any, current: Any, forced: Any) -> Any:
    """Drop on straight lines in current, from the nearest row below to the nearest and the last above.

    The drops at their ends are brought to this forced gain.
    """
    below = greatest(p.vce_sat, lambda row: keep(keep(row.ic, row.max, row.max), row.ic, current))
    nearest = least(p.vce_sat, lambda row: keep(keep(row.ic, row.max, row.max), current, row.ic))
    start = _at(p, n, below, forced)

    def to(above: Any) -> Any:
        width = larger(NARROW * above, above - below)
        return start + (_at(p, n, above, forced) - start) * (current - below) / width

    last = last_x(p.vce_sat, "ic", "max")
    return smaller_known(to(nearest), keep(to(last), current, last))


class _Part(NamedTuple):
    vce_sat: Any
    hfe: Any
    cold_factor: Any


class _Needs(NamedTuple):
    kelvin_voltage: Any
    t25: Any
    rail_max: Any


def drop(p: Any, n: Any, current: Any, base: Any) -> Any:
    """Drop at a collector current with a least base current; all of the rail where it is not saturated, never more."""
    stated = p.vce_sat, p.hfe, p.cold_factor, n.kelvin_voltage, n.t25, n.rail_max
    return in_one(lambda *given: _drop(_Part(*given[:3]), _Needs(*given[3:6]), *given[6:]), *stated, current, base)


def _drop(p: Any, n: Any, current: Any, base: Any) -> Any:
    forced = keep(bipolar.forced_gain(current, base), 0.0 * base, base)
    known = smaller_known(_at(p, n, current, forced), _between_rows(p, n, current, forced))
    beyond = keep(
        keep(n.rail_max, known_vce := _lowest(p, current).vce, known_vce), _edge_here(p, current).gain * base, current
    )
    return prefer(smaller(known, n.rail_max), prefer(beyond, known))  # the last names what is missing
