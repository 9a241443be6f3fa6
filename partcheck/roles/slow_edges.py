"""How long one edge of a switch may last before it overheats the junction, by heat alone.

While an edge lasts the part has no more than the largest current at the highest voltage, and a pulse of that power
warms it no less than any shape under it (derivation: the impedance only grows). Beyond 1 ms the current gathers in
spots of which no mean impedance tells.
"""

from typing import Any

from partcheck.operations import assume, keep, larger, prefer, smaller
from partcheck.points import greatest
from partcheck.requirement import Role
from partcheck.roles.common import larger_known
from partcheck.roles.transient import die_share

SOURCE = "pulse heating dT = P Zth (JESD51-14); 20 µs and 1 kΩ are common practice, no published source"


def add_slow_edges(role: Role) -> None:
    """Declare the facts about an edge that may warm a junction."""
    role.fact("edge_counts", "", "1 where one edge may warm a junction")
    role.fact("edge_brief", "s", "an edge so short that it is harmless")


def own_edge(n: Any) -> Any:
    """Longest rise or fall of the drive itself; of one that states none what the policy assumes."""
    return assume(n.drive_edge, n.assumed_drive_edge)


def by_heat(p: Any, n: Any, volts: Any, current: Any) -> Any:
    """Longest pulse of up to 1 ms at full current and voltage that keeps the hottest junction within its limit.

    By the stated transient impedance, the steady resistance to the case, or the impedance of a small die, which grows
    with the root of time.
    """
    room, power = p.tj_limit - p.tj_peak, volts * current

    def holds(row: Any) -> Any:
        longest = row.pulse_width * room / (power * row.max)  # longer in proportion: it warms ever slower
        return smaller(keep(longest, power * row.max, room), n.junction_still)

    share = room / (power * n.die_impedance)
    die = keep(smaller(share * share, 1.0) * n.junction_still, 0.0 * room, room)
    usual = keep(die, 0.0, die_share(p, n, n.junction_still))
    case = keep(n.junction_still, power * p.theta_jc, room)
    return larger_known(larger_known(case, usual), greatest(p.zth, holds))


def allowed(p: Any, n: Any, longest: Any, proved: Any, area: Any = None) -> Any:
    """Longest edge allowed, s; missing where it is longer than what anything proves and nothing speaks against it.

    What is harmless is allowed in any case. Where a transient impedance or, in ``area``, a safe operating area is
    stated for a pulse as long, and does not prove it, nothing more is.
    """
    brief = n.edge_brief
    impedance = greatest(p.zth, lambda row: keep(keep(brief, longest, row.pulse_width), longest, n.junction_still))
    stated = impedance if area is None else larger_known(area, impedance)
    refused = larger_known(stated, larger(proved, stated))
    enough = larger_known(keep(proved, longest, proved), keep(brief, longest, brief))
    return prefer(_unless_asked(n, brief), prefer(enough, refused))


def when_asked(n: Any, longest: Any) -> Any:
    """The longest edge; none where many values are tried and this one is not asked for it."""
    return prefer(_unless_asked(n, 0.0 * n.edge_brief), longest)


def _unless_asked(n: Any, value: Any) -> Any:
    return keep(value, n.edge_counts, 0.0)
