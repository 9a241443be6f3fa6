"""A MOSFET while a supply comes up: the rising drain lifts the gate through the gate-drain capacitance.

It may not be driven yet, so that the resistor which holds it in reset has to hold it against that as well; or it is
driven off already, and is lifted from the drive's low level.
"""

from typing import Any

from partcheck.operations import none_stated, prefer
from partcheck.physics import switching
from partcheck.roles.mosfet_short import role  # what it asks stands behind what is asked of every switch
from partcheck.roles.off_state import leaks_onto

__all__ = ["role"]

role.fact("drain_slope", "V/s", "how steeply the drain may rise as the supplies come up")
role.fact("undriven_gate", "Ω", "largest resistance from the gate to ground while nothing drives it")
role.fact("driven_gate", "Ω", "largest resistance from the gate to the drive's low level, or to ground")


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
    through all that lies between gate and ground: the pull-down while nothing drives it; and, with the drive at its
    highest low level with noise, through source and gate resistor.
    """

    def lifted(ohms: Any) -> Any:
        return switching.lifted_gate(p.qgd_max, p.vgs_th_min, n.drain_slope, ohms) + p.igss_max * ohms

    floating = n.drive_floats * (lifted(n.undriven_gate) + leaks_onto(n) * n.undriven_gate)
    never = p.vgs_th_hot * none_stated(n.drive_floats)
    return [
        (n.gate_low_max + lifted(n.driven_gate), p.vgs_th_hot),
        (prefer(never, floating), p.vgs_th_hot),
    ]
