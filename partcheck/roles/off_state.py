"""What a low-side switch that is off still lets flow: between the feeds of what hangs on it, and through clamps."""

from typing import Any

from partcheck.operations import assume
from partcheck.requirement import Role


def add_off_state(role: Role) -> None:
    """Declare ``cross-feed`` and the facts about all that hangs on the switch's node."""
    role.fact("clamp_leakage", "A", "largest leakage of the clamps across the switch")
    role.fact("passing_off", "A", "largest current through a load while the switch is off, from another feed")
    role.fact("passing_limit", "A", "largest current at which a load counts as off")

    def cross_feed(p: Any, n: Any) -> Any:
        """While the switch is off, what is connected to it passes no current from one feed into another.

        Asked where loads on different rails, or a load and an LED on a logic pin, meet at the switch. The higher feed
        at its largest, the lower at its least, or at nothing where it may be absent meanwhile; least resistances in
        series. An LED and a diode pass it one way only. Against the least stated leakage of a load or dark current of
        an LED; where none is stated, a thousandth of the load current.
        """
        return n.passing_off, n.passing_limit

    role.requirement(
        "A",
        "Kirchhoff and Ohm on the loads that meet at the switch; a thousandth counts as off: common practice, "
        "no published source",
        asks=["passing_off"],
        cure="one rail for everything on the switch, or a switch of its own for each rail",
    )(cross_feed)


def add_undriven(role: Role, leakage: str) -> None:
    """Declare what holds a switch off while nothing drives it; ``leakage`` names that of its gate or base."""
    role.fact("drive_floats", "", "1 where the drive may be undriven")
    role.fact("drive_leakage", "A", "largest current that the drive leaks while it floats")
    role.fact(
        "beside_leakage", "A", "largest leakage of other gates and bases on the same output, which no resistor takes"
    )
    role.fact("hold_max", "Ω", "largest resistance to ground while nothing drives it")

    def undriven_leakage(p: Any, n: Any) -> Any:
        """Largest leakage of its gate or base."""
        return getattr(p, leakage)

    role.quantity("A")(undriven_leakage)


def leaks_onto(n: Any) -> Any:
    """Largest current that the output and what else hangs on it leak while nothing drives it."""
    return assume(n.drive_leakage, n.assumed_drive_leakage) + n.beside_leakage
