"""Examples of a load: no part fills it, so every example varies what the board states."""

from tests.examples.roles import Example

ROLE = "load"
PART = None
FACTS = {"reaches": 11.0, "least_voltage": 9.5, "driven_back": 4.5, "reverse_limit": 5.0}
EXAMPLES = {
    "least-voltage": Example("fact:reaches", 9.51, 9.49, "fact:reaches"),
    "reverse-voltage": Example("fact:reverse_limit", 4.51, 4.49, "fact:reverse_limit"),
}
