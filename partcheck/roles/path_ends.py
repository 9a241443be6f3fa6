"""Both ends of a current's path, which no catalog part fills: the load, and the return that all share.

Corners: least source, largest resistances, hot copper, the currents that flow there, inrush and stall of what may be
on beside it counted. Formulas ignore the part. tests/situation/test_paths.py solves random paths as a network; none of
what is told to reach a load is above what is solved.
"""

from typing import Any

from partcheck.operations import keep, prefer
from partcheck.roles.common import board_role

load = board_role("load", "Load")
ground = board_role("ground", "Shared return")

load.fact("reaches", "V", "least voltage that reaches the load")
load.fact("least_voltage", "V", "least voltage at which it works, of a coil with its winding hot")
load.fact("driven_back", "V", "how far its switched end may be above its rail")
load.fact("reverse_limit", "V", "largest reverse voltage that it withstands")

ground.fact("lift", "V", "largest voltage across the shared return")
ground.fact("ground_lift", "V", "largest voltage allowed across the shared return")


@load.requirement(
    "V",
    "Ohm's law along the path; pull-in needs a current, so its voltage rises as copper does (common practice)",
    asks=["least_voltage"],
    cure="a higher or stiffer rail, thicker or shorter copper, fewer loads at once, or a switch with a lower drop",
)
def least_voltage(p: Any, n: Any) -> Any:
    """The load gets the voltage it needs.

    The source at its least, less protection, feed, contacts, tracks, cable, switch and return, each at its largest
    resistance and with what flows through it at that moment: this load, and all that may be on beside it. A coil is
    asked with its winding hot: it pulls in by its current, so that it needs more voltage in proportion to its
    resistance. Poles that the board does not draw are not counted.
    """
    return n.least_voltage, n.reaches


@load.requirement(
    "V",
    "Kirchhoff's voltage law around the node of its switch; limit of the load",
    asks=["driven_back"],
    cure="a switch of its own, a clamp with a lower drop at the coil beside it, or a diode in series",
)
def reverse_voltage(p: Any, n: Any) -> Any:
    """What else is on the load's switch reverses it by no more than it withstands.

    Asked of strings of LEDs, inputs of other devices and electronics. While the switch is off the highest of the other
    feeds may hold its node up, with the load's own rail at its least, or absent; when it opens, coils lift it until a
    clamp conducts. Of LEDs the wave on a cable counts as well.
    """
    never = keep(0.0 * n.driven_back, n.driven_back, 0.0 * n.driven_back)
    return n.driven_back, prefer(never, n.reverse_limit)


@ground.requirement(
    "V",
    "Ohm's law with hot copper and the largest contact resistance",
    asks=["ground_lift"],
    cure="wider or shorter tracks, thicker copper, more return poles, or fewer loads at once",
)
def ground_lift(p: Any, n: Any) -> Any:
    """The shared return is lifted by no more than the board allows.

    Peak currents of all that is on at once, inrush and stall counted, over all tracks and poles on the way back in
    series, of the load whose way drops most. The tracks, and the resistance that the board states for the return as
    a whole, are the same copper: the larger drop of the two counts.
    """
    return n.lift, n.ground_lift
