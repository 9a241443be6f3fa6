"""A MOSFET that is off: what leaks at no gate voltage, and what its channel passes a little under its threshold."""

from typing import Any

from partcheck.operations import exp, keep, larger, none_stated, prefer, smaller
from partcheck.physics import switching
from partcheck.points import least
from partcheck.roles.mosfet_numbers import role
from partcheck.roles.off_state import leaks_onto

__all__ = ["role"]

quantity = role.quantity


@quantity("V")
def gate_off(p: Any, n: Any) -> Any:
    """Highest gate voltage while off: the low level with noise, or what leaks through the pull-down, undriven."""
    floating = (p.igss_max + leaks_onto(n)) * n.hold_max + p.igss_max * n.gate_resistor_max
    driven = n.gate_low_max * (1.0 + none_stated(n.drive_floats))
    return prefer(driven, larger(n.gate_low_max, n.drive_floats * floating))


@quantity("A")
def idss_hot(p: Any, n: Any) -> Any:
    """Largest leakage at no gate voltage, at the next stated junction temperature above the hottest."""
    return least(p.idss, lambda row: keep(row.max, p.tj_peak, row.tj))


@quantity("A")
def channel_off(p: Any, n: Any) -> Any:
    """Largest current that the gate voltage adds to that leakage; nothing at none.

    From the least hot threshold down it falls by the largest slope factor; from what passes at no gate voltage up it
    rises no faster than an ideal one.
    """
    volts, thermal = larger(p.gate_off, 0.0 * n.gate_low_max), n.kelvin_voltage * larger(p.tj_peak, n.t25)
    fallen = switching.below_threshold(n.threshold_current, volts - p.vgs_th_hot, n.threshold_slope, thermal)
    risen = p.idss_hot * (exp(volts / thermal) - 1.0)
    return prefer(smaller(fallen, risen), risen)


@quantity("A")
def off_leakage_hot(p: Any, n: Any) -> Any:
    """Largest current that passes while off: leakage, and what the channel passes under its threshold."""
    return p.idss_hot + p.channel_off
