"""The edge of the one requirement of a chip that drives (numbers invented)."""

from tests.examples.roles import Example

ROLE = "chip"
PART = None
FACTS = {"chip_current": 0.05, "total_limit": 0.1}
EXAMPLES = {"chip-current": Example("fact:chip_current", 0.0899, 0.0901, "fact:chip_current")}
