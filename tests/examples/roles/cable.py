"""Examples of a cable: no part fills it, so every example varies what the board states."""

from tests.examples.roles import Example

ROLE = "cable"
PART = None
FACTS = {
    "heating_current": 2.0,
    "fault_current": 3.0,
    "wire_allowed": 4.0,
    "resistance": 0.5,
    "left_to_wire": 10.8,
    "least_voltage": 9.5,
    "load_current": 2.2,
}
EXAMPLES = {
    "wire-current": Example("fact:wire_allowed", 2.01, 1.99, "fact:wire_allowed"),
    "wire-drop": Example("fact:resistance", 0.590, 0.592, "fact:left_to_wire"),
    "fault-current": Example("fact:fault_current", 3.99, 4.01, "fact:wire_allowed"),
}
