"""Screw terminal: what a board demands of the part that takes wires from outside.

One part serves all poles, so each requirement is asked of the pole that is worst for it. Corners: largest
currents of what may be on at once, highest voltages, hottest air, and of poles in parallel the least equal
split that the stated contact resistances (else the policy) allow.
"""

from typing import Any

from partcheck.operations import assume, keep, larger, none_stated, prefer, smaller
from partcheck.physics import conductors
from partcheck.points import greatest, last
from partcheck.roles.common import BOARD_SOURCE, new_role

role = new_role("terminal", "terminal", "Screw terminal")
fact, quantity, requirement = role.fact, role.quantity, role.requirement

CURVE = "current against ambient temperature, IEC 60512-5-2 test 5b; factor of the policy"
BASE, DERATED = 0.0, 1.0
"""Places of the words in the column ``basis`` of the part's current table."""

for _what, _words in (
    ("pole", "current through the worst supply, feed or switched pole"),
    ("return", "heating current through the worst return pole"),
    ("fault", "current that a fault drives through the worst pole"),
):
    fact(f"{_what}_current", "A", _words)
    fact(f"{_what}_shared", "A", f"{_words}s in parallel, together")
    fact(f"{_what}_count", "", "number of those poles in parallel")
fact("contact_current", "A", "largest momentary current of a group, over the number of its poles")
fact("contact_drop", "V", "largest drop allowed across one pole")
fact("pole_voltage", "V", "highest voltage between a pole and its neighbour")
fact("spacing", "m", "least gap between the metal of neighbouring poles")
fact("clearance_needed", "m", "gap that the spacing table asks for at that voltage")
fact("wire", "m²", "cross-section clamped in it")
fact("land_pitch", "m", "pitch of the land pattern")
fact("poles_needed", "", "highest number of a pole in use")


def _worst(p: Any, n: Any, lone: Any, shared: Any, poles: Any) -> Any:
    """Largest current of one pole.

    Poles in parallel split by the stated ends of contact resistance, else as the policy says for two.
    """
    stated = conductors.pole_share(p.contact_resistance_min, p.contact_resistance_max, poles)
    share = prefer(stated, conductors.pole_share_of_more(n.k_pole_share, poles))
    return larger(lone, shared * share)


@quantity("A")
def worst_pole(p: Any, n: Any) -> Any:
    """Largest current of one supply, feed or switched pole."""
    return _worst(p, n, n.pole_current, n.pole_shared, n.pole_count)


@quantity("A")
def worst_return(p: Any, n: Any) -> Any:
    """Largest heating current of one return pole."""
    return _worst(p, n, n.return_current, n.return_shared, n.return_count)


@quantity("A")
def worst_fault(p: Any, n: Any) -> Any:
    """Largest current of one pole in a fault."""
    return _worst(p, n, n.fault_current, n.fault_shared, n.fault_count)


@quantity("A")
def curve_current(p: Any, n: Any) -> Any:
    """Current at the next stated hotter ambient: the maker's derated curve, else 0.8 of the base curve."""

    def stated(row: Any) -> Any:
        return keep(row.max, n.ambient_max, row.temperature)

    derated = greatest(p.current, lambda row: keep(stated(row), DERATED, row.basis))
    base = greatest(p.current, lambda row: keep(conductors.connector_derating(stated(row)), row.basis, BASE))
    return prefer(derated, base)


@quantity("A")
def lone_rating(p: Any, n: Any) -> Any:
    """Current of a part without any curve: its rating, which holds up to its rated ambient.

    Beyond that the square-root law, only where the policy assumes it.
    """
    stated = keep(p.rated_current, n.ambient_max, p.rated_ambient)
    law = conductors.connector_current(p.rated_current, p.rated_ambient, p.t_max, n.ambient_max)
    return assume(stated, law * n.assumed_square_root_law)


@quantity("A")
def pole_allowed(p: Any, n: Any) -> Any:
    """Current that one pole carries in the hottest air, never above its rating."""
    lone = p.lone_rating + none_stated(last(p.current, "temperature", "max"))
    missing = smaller(p.curve_current, p.lone_rating)  # names both ways to prove it
    return smaller(prefer(p.curve_current, prefer(lone, missing)), p.rated_current)


@requirement(
    "A",
    CURVE,
    cure="a lower load current, more poles in parallel, cooler air, or a part with a higher current",
    asks=["pole_current"],
)
def pole_current(p: Any, n: Any) -> Any:
    """The worst supply, feed or switched pole carries its current in the hottest air.

    The maker's derated curve is used as it is; of a base curve 0.8; each at the next stated hotter ambient,
    and never above the rated current. A lone rated current holds up to its stated ambient; above that, or
    with none stated, it proves nothing, unless the policy assumes the square-root law. At a feed or
    switched pole the current of a chopped load counts in full, as its flyback diode keeps it flowing in the wires; at a
    supply pole its r.m.s. does. Poles in parallel share by the worst split of their contact resistances; wires of
    unequal length are not counted.
    """
    return p.worst_pole, n.k_terminal_current * p.pole_allowed


@requirement(
    "A",
    CURVE,
    cure="more return poles, fewer loads at once, cooler air, or a part with a higher current",
    asks=["return_current"],
)
def return_current(p: Any, n: Any) -> Any:
    """The worst return pole carries everything that is on at once.

    Root mean square where loads are chopped, all in phase: currents add before they are squared. Poles in
    parallel share by the worst split of their contact resistances where both ends are stated, else by the
    policy's share. Read against the same current as pole-current.
    """
    return p.worst_return, n.k_terminal_current * p.pole_allowed


@requirement(
    "V",
    "rated voltage of the terminal; Kirchhoff at turn-off; factor of the policy",
    cure="a lower rail, a clamp with a lower drop, or a part with a higher rated voltage",
)
def rated_voltage(p: Any, n: Any) -> Any:
    """The highest voltage between neighbouring poles stays under the rating.

    Highest rail, or the drain peak with the clamp conducting, against a neighbour at ground: any rail may be
    off and any switch on. A coil that nothing clamps drives its pole to 1.3 times the rating of the switch.
    """
    return n.pole_voltage, n.k_terminal_voltage * p.rated_voltage


@requirement(
    "m",
    "published spacing tables, ANSI/IPC-D-275 and IPC-2221 table 6-1, as far as they were seen",
    asks=["clearance_needed", "spacing"],
    cure="wider land patterns, a lower peak voltage, or a larger pitch",
)
def clearance(p: Any, n: Any) -> Any:
    """The gap between neighbouring poles is as wide as the spacing table asks at the peak voltage.

    A voltage that no row covers proves nothing. The board states the gap and the column.
    """
    return n.clearance_needed, n.spacing


@requirement(
    "m²",
    "wire range of the terminal's datasheet",
    asks=["wire"],
    discrete=True,
    cure="another wire, a ferrule, or a part that takes this wire",
)
def wire_range(p: Any, n: Any) -> Any:
    """The wire lies inside the range that the terminal takes."""
    return [(p.wire_area_min, n.wire), (n.wire, p.wire_area_max)]


@requirement(
    "m",
    BOARD_SOURCE,
    asks=["land_pitch"],
    change="footprint",
    discrete=True,
    cure="another land pattern on the board",
)
def pitch(p: Any, n: Any) -> Any:
    """The pitch is that of the land pattern, within 1 %.

    5.00 mm and 5.08 mm are different pitches. Another one is a change of the board.
    """
    return [(p.pitch, 1.01 * n.land_pitch), (0.99 * n.land_pitch, p.pitch)]


@requirement("", "the wires that the board states", discrete=True, cure="a part with more poles, or a second one")
def poles(p: Any, n: Any) -> Any:
    """The part has every pole that the board uses.

    Its drawing tells whether one with more poles has room on the board.
    """
    return n.poles_needed, p.poles


@requirement(
    "V",
    "Ohm's law with the largest contact resistance",
    asks=["contact_drop"],
    cure="more poles in parallel, a lower current, or a part with a lower contact resistance",
)
def contact_drop(p: Any, n: Any) -> Any:
    """The drop across a pole stays under what the board allows, inrush and stall counted.

    Poles in parallel drop most when all have the largest resistance.
    """
    return n.contact_current * p.contact_resistance_max, n.contact_drop


@requirement(
    "A",
    "what limits the fault must not exceed what the path carries; " + CURVE,
    asks=["fault_current"],
    cure="a smaller fuse or current limit, more poles in parallel, or a part with a higher current",
)
def fault_current(p: Any, n: Any) -> Any:
    """The fuse or source limit stays under what a pole carries indefinitely.

    A short that the source feeds for longer than an instant; loads of other rails go on through the same pole.
    """
    return p.worst_fault, n.k_terminal_current * p.pole_allowed
