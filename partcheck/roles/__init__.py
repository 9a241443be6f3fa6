"""What each place on a board demands of the part that fills it; one file per role."""

from partcheck.requirement import Role
from partcheck.roles import mosfet_switch

ROLES: dict[str, Role] = {module.role.name: module.role for module in (mosfet_switch,)}

__all__ = ["ROLES"]
