"""A MOSFET while its supply comes up: the rising drain lifts the gate through the gate-drain capacitance.

It may not be driven yet, so that the resistor which holds it in reset has to hold it against that as well.
"""

from typing import Any

from partcheck.physics import switching
from partcheck.roles.mosfet_short import role  # what it asks stands behind what is asked of every switch
from partcheck.roles.off_state import leaks_onto

__all__ = ["role"]

role.fact("drain_slope", "V/s", "how steeply the drain may rise as the supplies come up")


@role.requirement(
    "V",
    "Kirchhoff's current law at the gate, R·C·dV/dt, with C bounded by the plateau charge (derivation)",
    asks=["drain_slope"],
    cure="a smaller pull-down, a supply that comes up more slowly, or a part with less gate-drain charge",
)
def plug_in_hold(p: Any, n: Any) -> Any:
    """While its supply comes up the rising drain does not lift the gate to the smallest hot threshold.

    Asked where the rails state `rise_time`. The gate-drain capacitance is largest with the drain level with the gate;
    the largest plateau charge over the least threshold bounds it. Its current at the steepest rise, and what leaks,
    through all that lies between gate and ground: the drive itself where it is never undriven, else the pull-down.
    """
    ohms = n.hold_max + n.gate_resistor_max
    lifted = switching.lifted_gate(p.qgd_max, p.vgs_th_min, n.drain_slope, ohms)
    return lifted + (p.igss_max + leaks_onto(n)) * ohms, p.vgs_th_hot
