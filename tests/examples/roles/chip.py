"""The edge of the requirements of a chip that drives (numbers invented)."""

from tests.examples.roles import Example

ROLE = "chip"
PART = None
FACTS = {"chip_current": 0.05, "total_limit": 0.1, "highest_level": 5.0, "level_limit": 5.25}
EXAMPLES = {
    "chip-current": Example("fact:chip_current", 0.0899, 0.0901, "fact:chip_current"),
    "high-level": Example("fact:highest_level", 5.25, 5.26, "fact:level_limit"),
}
