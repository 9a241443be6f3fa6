"""The resistors beside a switch: whether they carry the power of the drive's highest level."""

from typing import Any

from partcheck.physics import heat
from partcheck.requirement import Role

SOURCE = "Joule's law; derating curve of the resistor (IEC 60115-1); factor of the policy"


def _allowed(n: Any, rating: Any) -> Any:
    """A power rating in the hottest air, with the policy's share."""
    left = heat.resistor_rating(rating, n.resistor_full_power_to, n.resistor_no_power_at, n.ambient_max)
    return n.k_resistor_power * left


def _add_derating(role: Role) -> None:
    role.fact("resistor_full_power_to", "°C", "air up to which its resistors carry full power")
    role.fact("resistor_no_power_at", "°C", "air at which they carry none")


def add_pulldown_power(role: Role) -> None:
    """Declare ``pulldown-power`` of a MOSFET switch."""
    role.fact("pulldown_rating", "W", "power rating of the pull-down")
    _add_derating(role)

    def pulldown_power(p: Any, n: Any) -> Any:
        """The pull-down stays under its derated power at the hottest air.

        The highest level of the drive over the least resistance without a break, with nothing ahead of it.
        """
        return n.drive_high_max * n.drive_high_max / n.pulldown_min, _allowed(n, n.pulldown_rating)

    cure = "a pull-down of a higher power rating or a larger value"
    role.requirement("W", SOURCE, asks=["pulldown_rating"], cure=cure)(pulldown_power)


def add_base_power(role: Role) -> None:
    """Declare ``base-resistor-power`` and ``base-emitter-power`` of an NPN sink."""
    role.fact("base_resistor_rating", "W", "power rating of the base resistor")
    role.fact("base_emitter_rating", "W", "power rating of the base-emitter resistor")
    _add_derating(role)

    def base_resistor_power(p: Any, n: Any) -> Any:
        """The base resistor stays under its derated power at the hottest air.

        The highest level of the drive over the least resistance without a break: a base that drops nothing.
        """
        return n.drive_high_max * n.drive_high_max / n.base_resistor_min, _allowed(n, n.base_resistor_rating)

    def base_emitter_power(p: Any, n: Any) -> Any:
        """The base-emitter resistor stays under its derated power at the hottest air.

        The most that a base resistor leaves to any resistor behind it, a quarter of its own: a base that takes nothing.
        """
        most = n.drive_high_max * n.drive_high_max / (4.0 * n.base_resistor_min)
        return most, _allowed(n, n.base_emitter_rating)

    cure = "a resistor of a higher power rating, a larger base resistor, or a lower drive level"
    role.requirement("W", SOURCE, asks=["base_resistor_rating"], cure=cure)(base_resistor_power)
    role.requirement("W", f"{SOURCE}; matched load (maximum power transfer)", asks=["base_emitter_rating"], cure=cure)(
        base_emitter_power
    )
