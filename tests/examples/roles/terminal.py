"""Examples of the screw terminal: a five-pole block with the maker's derated curve."""

from partcheck.parts.part import Part, point_table
from tests.examples.roles import Example

ROLE = "terminal"
PART = Part(
    "terminal",
    "TB-5",
    "Invented",
    {
        "pitch": 5.08e-3,
        "poles": 5.0,
        "rated_current": 12.0,
        "rated_voltage": 250.0,
        "wire_area_min": 0.2e-6,
        "wire_area_max": 2.5e-6,
        "t_max": 378.15,
        "contact_resistance_min": 2e-3,
        "contact_resistance_max": 5e-3,
    },
    {
        "current": point_table(
            "terminal",
            "current",
            [
                {"temperature": 303.15, "basis": "derated", "max": 12.0},
                {"temperature": 323.15, "basis": "derated", "max": 10.0},
                {"temperature": 343.15, "basis": "derated", "max": 7.0},
            ],
        )
    },
)
FACTS = {
    "ambient_max": 318.15,  # the 50 °C row counts: 10 A, 9 A of them used
    "pole_current": 4.0,
    "pole_shared": 0.0,
    "pole_count": 1.0,
    "return_current": 0.0,
    "return_shared": 9.0,
    "return_count": 2.0,  # the better contact takes 5/7 of it
    "fault_current": 5.0,
    "fault_shared": 6.0,
    "fault_count": 2.0,
    "contact_current": 5.0,
    "contact_drop": 0.05,
    "pole_voltage": 40.0,
    "spacing": 1e-3,
    "clearance_needed": 0.64e-3,
    "wire": 0.75e-6,
    "land_pitch": 5.08e-3,
    "poles_needed": 5.0,
}
EXAMPLES = {
    "pole-current": Example(("current", 2, "max"), 4.46, 4.43, "current", facts={"ambient_max": 333.15}),
    "return-current": Example(
        "contact_resistance_max",
        4.99e-3,
        5.01e-3,
        "rated_current",
        facts={"return_shared": 9.0 * 7 / 5},
    ),
    "rated-voltage": Example("rated_voltage", 40.2, 39.8, "rated_voltage"),
    "clearance": Example("fact:spacing", 0.645e-3, 0.635e-3, "fact:clearance_needed"),
    "wire-range": Example("wire_area_max", 0.751e-6, 0.749e-6, "wire_area_min"),
    "pitch": Example("pitch", 5.03e-3, 5.02e-3, "pitch"),
    "poles": Example("poles", 5.0, 4.0, "poles"),
    "contact-drop": Example("contact_resistance_max", 9.95e-3, 10.05e-3, "contact_resistance_max"),
    "fault-current": Example(("current", 2, "max"), 5.56, 5.54, "current", facts={"ambient_max": 333.15}),
}
