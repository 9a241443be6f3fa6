"""What each place on a board demands of the part that fills it; one file per role."""

from partcheck.requirement import Role
from partcheck.roles import clamp, conductor, indicator, mosfet_switch, npn_sink, path_ends, regulator, supply, terminal

ROLES: dict[str, Role] = {
    module.role.name: module.role for module in (mosfet_switch, clamp, indicator, npn_sink, regulator, terminal)
}

LINK_ROLES: dict[str, Role] = {
    made.name: made
    for made in (supply.rail, supply.chip, conductor.cable, conductor.track, path_ends.load, path_ends.ground)
}
"""What no catalog part fills: the board's own sums, wires, tracks, what reaches a load, how far the return lifts."""

__all__ = ["LINK_ROLES", "ROLES"]
