"""How long one edge of a MOSFET may last before it overheats the junction: by its safe operating area, or by heat.

What the area holds for a longer pulse it holds for a shorter one.
"""

from typing import Any

from partcheck.operations import keep, larger
from partcheck.points import greatest
from partcheck.roles.common import larger_known
from partcheck.roles.mosfet_numbers import role
from partcheck.roles.slow_edges import allowed, by_heat, when_asked

__all__ = ["role"]

quantity = role.quantity


def _current(n: Any) -> Any:
    """Largest current while an edge lasts, starts and stalls counted."""
    return larger(n.load_current, n.start_current)


@quantity("s")
def edge_longest(p: Any, n: Any) -> Any:
    """The longer of the two longest edges."""
    return when_asked(n, larger(p.edge_on, p.edge_off))


@quantity("s")
def edge_by_area(p: Any, n: Any) -> Any:
    """Longest pulse for which the safe operating area holds the edge, at the hottest junction; missing if none."""

    def holds(row: Any) -> Any:
        held = n.k_id * row.max * p.avalanche_factor
        return keep(keep(row.pulse_width, _current(n), held), n.drain_peak, row.vds)

    return greatest(p.soa, holds)


@quantity("s")
def edge_by_heat(p: Any, n: Any) -> Any:
    """Longest pulse of up to 1 ms that keeps the hottest junction within its limit."""
    return by_heat(p, n, n.drain_peak, _current(n))


@quantity("s")
def edge_allowed(p: Any, n: Any) -> Any:
    """Longest edge allowed; missing where nothing proves it and nothing speaks against it."""
    proved, longest = larger_known(p.edge_by_area, p.edge_by_heat), p.edge_longest
    area = greatest(p.soa, lambda row: keep(keep(n.edge_brief, longest, row.pulse_width), n.drain_peak, row.vds))
    return allowed(p, n, longest, proved, area)
