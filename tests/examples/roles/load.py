"""Examples of a load: no part fills it, so every example varies what the board states."""

from tests.examples.roles import Example

ROLE = "load"
PART = None
FACTS = {"reaches": 11.0, "least_voltage": 9.5}
EXAMPLES = {"least-voltage": Example("fact:reaches", 9.51, 9.49, "fact:reaches")}
