"""Examples of a track: no part fills it, so every example varies what the board states."""

from tests.examples.roles import Example

ROLE = "track"
PART = None
FACTS = {
    "heating_current": 1.0,
    "fault_current": 2.0,
    "start_current": 9.0,
    "start_rise": 0.0,
    "ambient_max": 318.15,
    "width": 1e-3,
    "thickness": 35e-6,
    "fit_factor": 0.048,
    "fit_width": 10e-3,
    "fit_rise": 100.0,
    "kelvin": 1.0,
    "square_mil": 6.4516e-10,
    "ampere": 1.0,
    "rise_allowed": 20.0,
    "laminate_limit": 403.15,
    "spacing": 0.7e-3,
    "clearance_needed": 0.64e-3,
}
EXAMPLES = {
    "track-rise": Example("fact:heating_current", 3.24, 3.25, "fact:heating_current"),
    "clearance": Example("fact:spacing", 0.645e-3, 0.635e-3, "fact:clearance_needed"),
    "fault-current": Example("fact:fault_current", 6.12, 6.14, "fact:fault_current"),
}
