"""Wires and tracks, which no catalog part fills: what the board's currents ask of them.

Corners: largest currents of what may be on at once, hot copper, least supply. Formulas ignore ``p``.
"""

from typing import Any

from partcheck.operations import keep, prefer, smaller
from partcheck.physics import conductors
from partcheck.roles.common import board_role

WIRING = "the current that the board or a published table allows the wire; factor of the policy"
FIT = "IPC-2221 section 6.2 fit as reprinted by board makers; valid to 35 A, 100 K and 10 mm"

cable = board_role("cable", "Cable")
track = board_role("track", "Track")


for _role in (cable, track):
    _role.fact("heating_current", "A", "largest current that warms it")
    _role.fact("fault_current", "A", "current that a fault drives through it")

cable.fact("wire_allowed", "A", "current that the wire may carry, typed or from the chosen table")
cable.fact("resistance", "Ω", "largest resistance of all legs, hot")
cable.fact("left_to_wire", "V", "voltage that all the rest of the path leaves to wire and load, least")
cable.fact("least_voltage", "V", "least voltage at which the load works, of a coil with its winding hot")
cable.fact("load_current", "A", "largest current of the load at the least rail, stall counted")

track.fact("start_current", "A", "largest current of a start or of a pulse of chopping")
track.fact("start_rise", "K", "by how much that warms its copper alone while it lasts; none where it counts as lasting")
track.fact("ambient_max", "°C", "hottest air at the track")
track.fact("width", "m", "least finished width")
track.fact("thickness", "m", "least finished copper")
track.fact("fit_factor", "", "factor of the fit for the layer")
track.fact("fit_width", "m", "width up to which the fit holds")
track.fact("fit_rise", "K", "rise up to which the fit holds")
track.fact("kelvin", "K", "unit of the fit")
track.fact("square_mil", "m²", "unit of the fit")
track.fact("ampere", "A", "unit of the fit")
track.fact("rise_allowed", "K", "largest rise allowed")
track.fact("laminate_limit", "°C", "highest temperature of the laminate")
track.fact("spacing", "m", "least gap to its neighbour")
track.fact("clearance_needed", "m", "gap that the spacing table asks for")


@cable.requirement("A", WIRING, asks=["wire_allowed"], cure="a thicker wire, or a lower current")
def wire_current(p: Any, n: Any) -> Any:
    """The wire carries its current.

    The typed rating, else the chosen published table at the next smaller gauge, times the factor of the
    policy. Published tables differ seven to one for one gauge: local wiring rules decide, not this number. A
    chopped load counts in full. A start of up to 1 s adds what it warms the copper if no heat leaves it, where what
    is allowed warms it by 20 K (common practice), but no more than its own current.
    """
    return n.heating_current, n.k_wire_current * n.wire_allowed


@cable.requirement(
    "V",
    "Ohm's law with hot copper of the largest resistance that IEC 60228 allows",
    asks=["least_voltage"],
    cure="a thicker or shorter wire, a higher rail, or a switch with a lower drop",
)
def wire_drop(p: Any, n: Any) -> Any:
    """The wire leaves the load the voltage it needs.

    Both legs with hot copper at the load's largest current at the least rail, stall counted and a lamp's inrush
    not, against what source, feed, contacts, tracks, switch and return leave, less the least voltage of the load.
    A wire that carries more than it may is hotter than is known: its drop is unproven.
    """
    return n.load_current * n.resistance, n.left_to_wire - n.least_voltage


@cable.requirement(
    "A",
    "what limits the fault must not exceed what the wire carries; " + WIRING,
    asks=["fault_current", "wire_allowed"],
    cure="a smaller fuse or current limit, or a thicker wire",
)
def fault_current(p: Any, n: Any) -> Any:
    """The fuse or source limit stays under what the wire carries without end.

    Local wiring rules decide how wires are protected.
    """
    return n.fault_current, n.k_wire_current * n.wire_allowed


@track.need("m²")
def area(n: Any) -> Any:
    """Least cross-section, where the fit holds for the width."""
    return keep(conductors.track_area(n.width, n.thickness), n.width, n.fit_width)


def _rise(n: Any, current: Any) -> Any:
    return n.assumed_track_fit * conductors.track_rise(current, n.area, n.fit_factor, n.kelvin, n.square_mil, n.ampere)


@track.requirement("K", FIT, cure="a wider track, thicker copper, or a lower current")
def track_rise(p: Any, n: Any) -> Any:
    """The track warms by no more than the board allows.

    Only where the policy assumes the published fit; on outer layers with 70 % of its current, as newer measured
    charts allow. Rise goes with the current to the power 1/0.44. Beyond 35 A or 10 mm the fit says nothing;
    above 100 K it says too hot, and no limit above 100 K is proved by it. The 20 K that stand for an unstated
    limit are common practice. A start or a pulse of up to 1 s adds what it warms the copper if no heat leaves it,
    but no more than it would if it lasted.
    """
    warmed = _rise(n, n.heating_current) + n.start_rise
    return prefer(smaller(warmed, _rise(n, n.start_current)), warmed), keep(n.rise_allowed, n.rise_allowed, n.fit_rise)


@track.requirement(
    "m",
    "published spacing tables, ANSI/IPC-D-275 and IPC-2221 table 6-1, as far as they were seen",
    asks=["clearance_needed", "spacing"],
    cure="a wider gap or a lower peak voltage",
)
def clearance(p: Any, n: Any) -> Any:
    """The gap to the neighbour is as wide as the spacing table asks.

    At the highest voltage anywhere on the board, clamps included, since the board does not state what the
    neighbour is. A voltage that no row covers proves nothing.
    """
    return n.clearance_needed, n.spacing


def fault_current_(p: Any, n: Any) -> Any:
    """The fuse or source limit does not overheat the track.

    The rise at the fault current stays under what is left to the laminate's limit, and under the 100 K at
    which the fit ends. The fault is taken as lasting.
    """
    return _rise(n, n.fault_current), smaller(n.fit_rise, n.laminate_limit - n.ambient_max)


fault_current_.__name__ = "fault_current"
track.requirement(
    "K",
    FIT + "; UL temperature limit of common FR-4 laminate, 130 °C (from memory)",
    asks=["fault_current"],
    cure="a smaller fuse or current limit, a wider track, or thicker copper",
)(fault_current_)
