"""What every role shares: policy factors and surroundings as facts, the heat path, the footprint."""

from typing import Any

from partcheck.operations import keep, larger, member, prefer, smaller
from partcheck.points import least
from partcheck.policy import ASSUMED, VALUES
from partcheck.requirement import Role

HEAT_SOURCE = "heat flow dT = R P (JESD51); limits: absolute maximum ratings"
BOARD_SOURCE = "the land pattern of the board; package names by the JEDEC outlines"


def new_role(name: str, kind: str, title: str) -> Role:
    """A role with the facts that every role has: surroundings, policy, footprint, heat path."""
    role = Role(name, kind, title)
    role.fact("ambient_max", "°C", "hottest air at the part")
    role.fact("ambient_min", "°C", "coldest air at the part")
    role.fact("t25", "°C", "25 °C, at which datasheets state their values")
    role.fact("theta_mounted", "K/W", "thermal resistance as mounted, stated by the board")
    role.fact("copper_area", "m²", "copper at the part")
    role.fact("tj_ceiling", "°C", "highest junction temperature of the policy and the role")
    role.fact("footprint", "", "packages that the land pattern takes")
    role.fact("pins", "", "pin order that the land pattern takes")
    _add_policy(role)
    return role


def board_role(name: str, title: str) -> Role:
    """A role that no catalog part fills (a rail, a chip, a wire): only the policy's facts; formulas ignore ``p``."""
    role = Role(name, "", title)
    _add_policy(role)
    return role


def _add_policy(role: Role) -> None:
    for value_name, value in VALUES.items():
        if value_name != "tj_ceiling":
            role.fact(f"k_{value_name}", value.unit, f"policy: {value.meaning}")
    for value_name, value in ASSUMED.items():
        role.fact(f"assumed_{value_name}", value.unit, f"assumed by the policy: {value.meaning}")


MULTILAYER = 2.0
"""Place of the first mounting in ``parameters.common.MOUNTINGS`` that proves nothing on a small board, less one."""


def smaller_known(a: Any, b: Any) -> Any:
    """The smaller of two bounds; where one is missing the other. Where both are, the last names what is missing."""
    return prefer(smaller(a, b), prefer(a, b))


def larger_known(a: Any, b: Any) -> Any:
    """The larger of two bounds; where one is missing the other. Where both are, the last names what is missing."""
    return prefer(larger(a, b), prefer(a, b))


def add_heat(role: Role, power_factor: str) -> None:
    """Declare the heat path: ``theta``, ``tj_limit``, ``heat_room``; ``power_factor`` names the policy value."""

    def theta(p: Any, n: Any) -> Any:
        """Junction to ambient: as mounted, else as stated for no more copper than there is here.

        Rows of a multilayer test board or for a short time do not count.
        """
        stated = least(
            p.theta_ja,
            lambda row: keep(keep(row.max, row.copper_area, n.copper_area), row.mounting, MULTILAYER),
        )
        return prefer(n.theta_mounted, stated)

    def tj_limit(p: Any, n: Any) -> Any:
        """Highest junction temperature allowed."""
        return smaller(p.tj_max - n.k_tj_guard, n.tj_ceiling)

    def rise_limit(p: Any, n: Any) -> Any:
        """Highest rise of the junction over the hottest air."""
        return smaller(p.tj_limit - n.ambient_max, getattr(n, power_factor) * (p.tj_max - n.ambient_max))

    role.quantity("K/W")(theta)
    role.quantity("°C")(tj_limit)
    role.quantity("K")(rise_limit)


def add_footprint(role: Role, pin_order: bool = True) -> None:
    """Declare ``package`` and, where leads have an order, ``pin-order``."""

    def package(p: Any, n: Any) -> Any:
        """The package fits the land pattern.

        Names are compared through the published equivalences. Another package is a change of the board.
        """
        return 1.0, member(p.package, n.footprint)

    def pin_order_(p: Any, n: Any) -> Any:
        """The pins come in the order of the land pattern.

        Compared pin by pin; the same package with another order is not a drop-in.
        """
        return 1.0, member(p.pin_order, n.pins)

    role.requirement(
        "",
        BOARD_SOURCE,
        asks=["footprint"],
        change="footprint",
        discrete=True,
        cure="another land pattern on the board",
    )(package)
    if pin_order:
        pin_order_.__name__ = "pin_order"
        role.requirement(
            "",
            BOARD_SOURCE,
            asks=["pins"],
            change="footprint",
            discrete=True,
            cure="another land pattern, or crossed leads",
        )(pin_order_)


def reached(start: Any, tj: Any, ambient: Any) -> Any:
    """Rise over ambient of a junction that starts at ``start`` and reaches ``tj``; never under zero."""
    return larger(tj, start) - ambient
