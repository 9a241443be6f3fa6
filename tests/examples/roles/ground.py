"""Examples of the shared return: no part fills it, so every example varies what the board states."""

from tests.examples.roles import Example

ROLE = "ground"
PART = None
FACTS = {"lift": 0.05, "ground_lift": 0.1}
EXAMPLES = {"ground-lift": Example("fact:lift", 0.0995, 0.1005, "fact:lift")}
