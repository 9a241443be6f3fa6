"""How long a MOSFET's edges last and what they cost: the charge of each part, moved by the voltage it really sees.

Turning on, the gate goes from the threshold to the plateau while the current rises, with the drive's level less the
plateau left at the end; then the plateau charge passes with that same voltage while the drain falls. Turning off, it
goes backwards, against the drive's low level. A current that rises with the square of the gate voltage, and a drain
whose capacitance falls with its voltage, both stay under the straight edges that are counted here.

Other gates on the same output take their charge through the same source resistance Rs. By Kirchhoff's voltage law, over
the time in which a gate's own charge Q moves, (Rg + Rs)·Q + Rs·Q_others = ∫(drive - gate) dt, so that it lasts no
longer than alone and Rs·Q_others over the least voltage left (derivation).

``SPREAD`` and ``MARGIN`` hold against transistors simulated with charges up to the stated ones: steepness within a
tenth of the typical swing, capacitances that fall with the drain voltage by any law from its power 0.3 to 0.9, charge
stated at half of the rated voltage and the drain at four fifths of it (tests/roles/test_device_edges.py).
"""

from typing import Any

from partcheck.operations import assume, keep, larger, per_time, prefer, smaller, sqrt
from partcheck.physics import switching
from partcheck.points import least
from partcheck.roles.slow_edges import own_edge

SPREAD = 0.1
"""Share by which the swing from threshold to plateau may differ from the typical one."""
MARGIN = 1.25
"""Charge at a higher drain voltage than in the maker's test, and what lies beyond the flat part of the plateau."""
TOTAL_MARGIN = 1.5
"""As above, where only the total gate charge is stated: it may have been measured at less than the drive's level."""


def swing(p: Any, share: Any) -> Any:
    """Gate voltage from the threshold to the plateau of a share of the current at which the plateau is stated."""
    return (p.v_plateau_typ - p.vgs_th_typ) * sqrt(share)


def resistance(p: Any, n: Any) -> Any:
    """Largest resistance from the drive to the gate."""
    return n.source_max + n.gate_resistor_max + p.gate_resistance_inside


def charging(p: Any, n: Any, volts: Any) -> Any:
    """Time to move the gate charges with ``volts`` over the gate resistance; missing where none are left."""
    time = switching.charge_time(p.qgd_max + p.qgs_max, resistance(p, n), volts)
    return keep(time + beside(n, n.source_max, volts), 0.0 * volts, volts)


def beside(n: Any, source: Any, volts: Any) -> Any:
    """Time that the charges of the other gates on the output add; none where there are none.

    Missing where no ``volts`` are left to move them.
    """
    return per_time(n.drive_other_charge, keep(source / volts, 0.0 * volts, volts))


def _input_capacitance(p: Any) -> Any:
    """Largest capacitance under the plateau: the charge up to it over the lowest plateau."""
    return p.qgs_max / (p.vgs_th_min + (1.0 - SPREAD) * swing(p, 1.0))


def _part_time(p: Any, n: Any, threshold: Any, plateau: Any, level: Any, volts: Any) -> Any:
    """Threshold to plateau or back and the plateau charge, with its margin; missing where no ``volts`` are left."""
    current = switching.capacitor_time(_input_capacitance(p), resistance(p, n), threshold, level, plateau)
    voltage = switching.charge_time(p.qgd_max, resistance(p, n), volts)
    return keep(MARGIN * (current + voltage) + beside(n, n.source_max, volts), 0.0 * volts, volts)


def energy(p: Any, n: Any, volts: Any, current: Any, hot: Any) -> Any:
    """Largest energy of one turn-on and one turn-off; ``hot`` is the lowest threshold, of a hot junction.

    A threshold near the low level would end the turn-off late; then all of the charge at the plateau counts, as for
    the longest edge. What the output capacitance stores comes back as heat at the turn-on: twice that at constant
    capacitance, as it grows at low voltage. Of one that states none a large usual one is counted where it is harmless.
    """
    part = swing(p, current / p.plateau_id)
    highest, lowest = p.vgs_th_cold + (1.0 + SPREAD) * part, hot + (1.0 - SPREAD) * part
    on = _part_time(p, n, p.vgs_th_cold, highest, n.gate_high_min, n.gate_high_min - highest)
    off = _part_time(p, n, lowest, hot, n.gate_low_max, lowest - n.gate_low_max)
    whole = n.k_edge_margin_off * charging(p, n, lowest - n.gate_low_max)
    off = prefer(smaller(off, whole), whole)
    straight = switching.edge_energy(volts, current, on + off + 2.0 * own_edge(n))
    return straight + _output_capacitance(p, n, volts) * volts * volts


def _output_capacitance(p: Any, n: Any, volts: Any) -> Any:
    """Largest output capacitance; a usual one where its heat is next to nothing, else what is not stated is missing."""
    rise = n.usual_output * volts * volts * n.switch_frequency * p.theta
    return prefer(p.coss_max, prefer(keep(n.usual_output, rise, n.little_rise), p.coss_max))


def turn_off(p: Any, n: Any, current: Any) -> Any:
    """Longest time from the drive's low level to a drain that has risen.

    All of the charge at the highest level, with the voltage at the lowest plateau, which half of the current may set:
    what is stated for threshold and plateau raised in proportion to the level, since a gate's charge grows no faster
    than that, else the total.
    """
    threshold = prefer(p.vgs_th_hot, p.vgs_th_hot_ceiling)
    share = smaller(0.5 * current / p.plateau_id, 1.0)
    plateau = prefer(threshold + (1.0 - SPREAD) * swing(p, share), threshold)
    capacitance = assume(_gate_capacitance(p, n, plateau, p.rds_on_vgs), n.assumed_gate_capacitance)
    ahead = assume(n.source_max + p.gate_resistance_inside, n.assumed_drive_resistance)
    return capacitance * (ahead + n.gate_resistor_max) + beside(n, ahead, plateau - n.gate_low_max)


def turn_off_bound(p: Any, n: Any) -> Any:
    """No less than :func:`turn_off` at any smaller current, with the drive's own edge; nothing is assumed of the gate.

    The plateau is as low as the hot threshold, and the charge that of the lowest stated gate voltage.
    """
    threshold = prefer(p.vgs_th_hot, p.vgs_th_hot_ceiling)
    lowest = least(p.rds_on, lambda row: keep(row.vgs, row.max, row.max))
    own = _gate_capacitance(p, n, threshold, lowest) * resistance(p, n)
    return own + beside(n, n.source_max, threshold - n.gate_low_max) + n.drive_edge


def whole_charge(p: Any, n: Any, vgs: Any) -> Any:
    """Largest charge of the gate at the highest level, as it flows off or onto it; ``vgs`` of the total stated."""
    flat = prefer(p.vgs_th_min + (1.0 - SPREAD) * swing(p, 1.0), p.vgs_th_min)
    parts = MARGIN * (p.qgs_max + p.qgd_max) * n.drive_high_max / flat
    return prefer(parts, TOTAL_MARGIN * p.qg_max * n.drive_high_max / vgs)


def _gate_capacitance(p: Any, n: Any, plateau: Any, vgs: Any) -> Any:
    """All of the charge at the highest level over what the lowest ``plateau`` leaves; else of the total at ``vgs``."""
    charge = whole_charge(p, n, vgs)
    volts = plateau - n.gate_low_max
    return keep(charge / volts, 0.0 * volts, volts)


def turn_on(p: Any, n: Any, current: Any) -> Any:
    """Longest turn-on edge: threshold-to-plateau and plateau charge at the highest plateau."""
    plateau = p.vgs_th_cold + swing(p, larger(current / p.plateau_id, 1.0))
    return n.k_edge_margin_on * charging(p, n, n.gate_high_min - plateau) + own_edge(n)
