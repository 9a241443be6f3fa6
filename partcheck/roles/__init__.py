"""What each place on a board demands of the part that fills it; one file per role.

::

    mosfet_switch.py  its numbers in mosfet_numbers.py  mosfet_channel.py  mosfet_edges.py  mosfet_heat.py
                      mosfet_off.py  mosfet_slow.py  mosfet_short.py  mosfet_plug_in.py
    npn_sink.py       its numbers in npn_quantities.py  npn_saturation.py  npn_off.py
    clamp.py          its numbers in clamp_numbers.py  clamp_heat.py
    indicator.py      its numbers in led_numbers.py  led_intensity.py  led_light.py  led_string.py
    regulator.py      its numbers in regulator_numbers.py
    terminal.py
    supply.py         rails and chips; conductor.py: cables and tracks; path_ends.py: load and return; none has a part
    off_state.py      what a switch that is off lets flow; slow_edges.py: how long one edge may last
    small_resistors.py  the resistors beside a switch
    transient.py      how far a junction warms in pulses
    common.py         what every role shares
"""

from partcheck.requirement import Role
from partcheck.roles import (
    clamp,
    conductor,
    indicator,
    mosfet_plug_in,
    npn_sink,
    path_ends,
    regulator,
    supply,
    terminal,
)

ROLES: dict[str, Role] = {
    module.role.name: module.role for module in (mosfet_plug_in, clamp, indicator, npn_sink, regulator, terminal)
}

LINK_ROLES: dict[str, Role] = {
    made.name: made
    for made in (supply.rail, supply.chip, conductor.cable, conductor.track, path_ends.load, path_ends.ground)
}
"""What no catalog part fills: the board's own sums, wires, tracks, what reaches a load, how far the return lifts."""

__all__ = ["LINK_ROLES", "ROLES"]
