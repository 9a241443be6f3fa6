"""The edge of each requirement of an indicator (numbers invented).

A red LED behind 1 kΩ at 12 V, chopped to a half.
"""

from partcheck.parts.part import Part, point_table
from tests.examples.roles import Example

ROLE = "indicator"
VF = [
    {"i_f": 0.002, "typ": 1.75},
    {"i_f": 0.005, "typ": 1.82},
    {"i_f": 0.010, "typ": 1.90},
    {"i_f": 0.020, "min": 1.80, "typ": 2.00, "max": 2.40},
    {"i_f": 0.030, "typ": 2.08},
]
PART = Part(
    "led",
    "LX-3R",
    "Example",
    {
        "package": "LED-3MM",
        "pin_order": "A-K",
        "colour": "red",
        "dominant_wavelength_min": 620e-9,
        "dominant_wavelength_max": 630e-9,
        "viewing_angle": 60.0,
        "if_peak": 0.1,
        "if_peak_duty": 0.6,
        "if_peak_width": 0.001,
        "vr_max": 8.0,
        "vf_tempco_min": -0.003,
        "tj_max": 378.15,
    },
    {
        "vf": point_table("led", "vf", VF),
        "iv": point_table("led", "iv", [{"i_f": 0.02, "min": 0.2, "typ": 0.3, "max": 0.5}]),
        "flux": point_table("led", "flux", [{"i_f": 0.02, "min": 0.2, "typ": 0.3, "max": 0.5}]),
        "relative_intensity": point_table(
            "led",
            "relative_intensity",
            [{"i_f": 0.005, "typ": 0.27}, {"i_f": 0.01, "typ": 0.53}, {"i_f": 0.02, "typ": 1.0}],
        ),
        "light_factor": point_table(
            "led", "light_factor", [{"temperature": 298.15, "min": 1.0}, {"temperature": 343.15, "min": 0.6}]
        ),
        "if_max": point_table(
            "led", "if_max", [{"temperature": 298.15, "max": 0.03}, {"temperature": 323.15, "max": 0.025}]
        ),
        "theta_ja": point_table("led", "theta_ja", [{"copper_area": 0, "mounting": "free-air", "max": 400.0}]),
    },
)
FACTS = {
    "ambient_max": 318.15,
    "ambient_min": 263.15,
    "t25": 298.15,
    "tj_ceiling": float("inf"),
    "copper_area": 0.0,
    "footprint": frozenset({"LED-3MM"}),
    "pins": frozenset({"A-K"}),
    "feed_min": 11.4,
    "feed_typ": 12.0,
    "feed_max": 12.6,
    "switch_drop_min": 0.0,
    "switch_drop_typ": 0.0,
    "switch_drop_max": 0.2,
    "switch_resistance_min": 0.0,
    "switch_resistance_typ": 0.0,
    "switch_resistance_max": 0.0,
    "output_min": 0.0,
    "output_typ": 0.0,
    "output_max": 0.0,
    "resistor_min": 950.0,
    "resistor_typ": 1000.0,
    "resistor_max": 1050.0,
    "resistor_rating": 0.25,
    "resistor_full_power_to": 343.15,
    "resistor_no_power_at": 428.15,
    "in_series": 1.0,
    "on_duty": 0.5,
    "resistor_duty": 0.5,
    "on_time": 0.0005,
    "junction_still": 0.001,
    "die_impedance": 40.0,
    "case_still": 0.01,
    "hottest_led": 423.15,
    "light_duty_min": 0.5,
    "light_duty_typ": 0.5,
    "light_duty_max": 0.5,
    "chopped_duty": 0.5,
    "pulse_width": 0.0005,
    "drive_feeds": 1.0,
    "pin_limit": 0.02,
    "level_holds_to": float("inf"),
    "least_current": 0.007,
    "brightness_low": 0.02,
    "brightness_high": 0.2,
    "wavelength_low": 615e-9,
    "wavelength_high": 635e-9,
    "angle_low": 40.0,
    "angle_high": 80.0,
    "spread_limit": 1.6,
    "reverse_voltage": 5.0,
    "dark_current": 10e-6,
    "goes_off": 1.0,
    "leakage_hot": 1e-6,
    "low_current": 0.0,
    "drive_floats": 0.0,
    "drive_leakage": 0.0,
    "feed_rise": 2.85,
}
WEAK = {"if_max": [{"temperature": 298.15, "max": 0.014}, {"temperature": 323.15, "max": 0.012}]}
"""A continuous rating that the peak of 11.5 mA exceeds once derated, so that the pulse ratings count."""

# Largest current 11.537 mA, least 8.395 mA. 0.8 is the bench policy's share of LED currents and of reverse
# voltage, 0.9 of a drive's current, 0.6 of a resistor's power.
EXAMPLES = {
    "forward-current": Example(("if_max", 1, "max"), 0.00153, 0.0015, "if_max"),
    "pulse-current": Example("if_peak", 0.01443, 0.01441, "if_peak", tables=WEAK),
    "transient-current": Example(("if_max", 1, "max"), 0.01523, 0.01519, "if_max"),
    "least-current": Example(("vf", 3, "max"), 2.40, 2.41, "vf", facts={"least_current": 0.00839}),
    "brightness-low": Example(("iv", 0, "min"), 0.0896, 0.0893, "relative_intensity"),
    "brightness-high": Example(("iv", 0, "max"), 0.661, 0.663, "iv"),
    "brightness-hot": Example(("light_factor", 1, "min"), 0.443, 0.441, "iv"),
    "colour": Example("dominant_wavelength_min", 615.1e-9, 614.9e-9, "dominant_wavelength_max"),
    "viewing-angle": Example("viewing_angle", 79.9, 80.1, "viewing_angle"),
    "current-spread": Example(("vf", 3, "min"), 1.80, 1.79, "vf", facts={"spread_limit": 1.375}),
    "resistor-power": Example(("vf", 3, "min"), 1.798, 1.794, "vf", facts={"resistor_rating": 0.1055}),
    "drive-current": Example(("vf", 3, "min"), 1.80, 1.797, "vf", facts={"pin_limit": 0.01282}),
    "reverse-voltage": Example("vr_max", 6.26, 6.24, "vr_max"),
    "off-glow": Example("fact:leakage_hot", 9.9e-6, 10.1e-6, "fact:leakage_hot"),
    "junction-rise": Example(("theta_ja", 0, "max"), 1591.0, 1593.0, "theta_ja", facts={"on_duty": 1.0}),
    "package": Example("package", "LED-3MM", "LED-5MM", "package"),
    "pin-order": Example("pin_order", "A-K", "K-A", "pin_order"),
}
