"""The edge of each requirement of an NPN low-side sink: a 12 V coil of 40 mA from 5 V logic (numbers invented)."""

import math

from partcheck.parts.part import Part, point_table
from tests.examples.roles import Example

ROLE = "npn-sink"
K0 = 273.15
PART = Part(
    "bjt",
    "NX-40",
    "Example",
    {
        "package": "TO-92",
        "pin_order": "E-B-C",
        "polarity": "NPN",
        "vceo": 45.0,
        "vcbo": 60.0,
        "vebo": 6.0,
        "ic_max": 0.2,
        "icm": 0.4,
        "icm_width": 0.01,
        "ib_max": 0.02,
        "tj_max": K0 + 150,
    },
    {
        "hfe": point_table(
            "bjt",
            "hfe",
            [
                {"ic": 0.001, "vce": 1.0, "min": 60.0},
                {"ic": 0.01, "vce": 1.0, "min": 100.0, "max": 300.0},
                {"ic": 0.1, "vce": 1.0, "min": 40.0},
            ],
        ),
        "hfe_factor": point_table(
            "bjt",
            "hfe_factor",
            [{"tj": K0 - 55, "min": 0.5, "max": 0.8}, {"tj": K0 + 150, "min": 1.2, "max": 2.2}],
        ),
        "vce_sat": point_table(
            "bjt", "vce_sat", [{"ic": 0.01, "ib": 0.0005, "max": 0.2}, {"ic": 0.05, "ib": 0.0025, "max": 0.3}]
        ),
        "vbe_sat": point_table(
            "bjt", "vbe_sat", [{"ic": 0.01, "ib": 0.0005, "max": 0.85}, {"ic": 0.05, "ib": 0.0025, "max": 0.95}]
        ),
        "vbe_on": point_table("bjt", "vbe_on", [{"ic": 0.002, "vce": 5.0, "min": 0.58, "max": 0.7}]),
        "icbo": point_table("bjt", "icbo", [{"tj": K0 + 25, "max": 15e-9}, {"tj": K0 + 100, "max": 1e-6}]),
        "rbsoa": point_table("bjt", "rbsoa", [{"vce": 20.0, "max": 0.2}, {"vce": 45.0, "max": 0.1}]),
        "theta_ja": point_table("bjt", "theta_ja", [{"copper_area": 0, "mounting": "free-air", "max": 250.0}]),
        "zth": point_table("bjt", "zth", [{"pulse_width": 0.01, "reference": "ambient", "max": 60.0}]),
    },
)
FACTS = {
    "ambient_max": K0 + 45,
    "ambient_min": K0 - 10,
    "t25": K0 + 25,
    "tj_ceiling": K0 + 200,
    "copper_area": 0.0,
    "footprint": frozenset({"TO-92"}),
    "pins": frozenset({"E-B-C"}),
    "rail_max": 12.6,
    "load_current": 0.04,
    "heat_current": 0.04,
    "on_duty": 1.0,
    "on_time": math.inf,
    "case_still": 0.01,
    "junction_still": 0.001,
    "die_impedance": 40.0,
    "settled_time": 1000.0,
    "edge_counts": 1.0,
    "edge_brief": 40e-6,
    "starts": 1.0,
    "start_current": 0.045,
    "start_time": 0.005,
    "start_share": 0.0,
    "long_start": 0.0,
    "edge_current": 0.04,
    "inrush_current": 0.045,
    "inrush_time": 0.005,
    "collector_peak": 13.7,
    "clamped": 1.0,
    "turnoff_voltage": 13.7,
    "coil_current": 0.04,
    "drive_high_min": 4.4,
    "drive_high_max": 5.1,
    "drive_low_max": 0.1,
    "high_at": 0.0,
    "drive_other": 0.0,
    "source_min": 30.0,
    "source_max": 60.0,
    "base_resistor_min": 1425.0,
    "base_resistor_max": 1575.0,
    "base_emitter_min": 9500.0,
    "base_emitter_max": 10500.0,
    "drive_floats": 1.0,
    "drive_leakage": 1e-6,
    "beside_leakage": 0.0,
    "hold_max": 10500.0,
    "pin_limit": 0.01,
    "lift": 0.05,
    "off_lift": 0.0,
    "noise": 0.1,
    "allowed_drop": 0.5,
    "off_leakage": 0.001,
    "clamp_leakage": 0.0,
    "passing_off": 0.0005,
    "passing_limit": 0.001,
    "off_current": 0.001,
    "switch_frequency": 0.0,
    "recovered_charge": 0.0,
    "switching_time": 20e-6,
    "least_switching_time": 1e-9,
    "drive_edge": 20e-9,
    "edge_limit": 30e-6,
    "edge_least": 0.5e-9,
    "base_reverse": 1.2,
    "base_resistor_rating": 0.1,
    "base_emitter_rating": 0.1,
    "resistor_full_power_to": K0 + 70,
    "resistor_no_power_at": K0 + 155,
    "vbe_tempco": 0.002,
    "kelvin_voltage": 8.617333e-5,
    "band_gap": 1.205,
    "polarity_wanted": frozenset({"NPN"}),
}
ALTERNATIVES = {
    "base-current": ("ib_max",),  # without a rating the base current of the saturation rows counts
    "inrush": ("icm", "icm_width"),  # without a peak rating nothing is proven, with too small a one it fails
}
BOARD_SIDE = ("pin-current",)
"""Without any value of the part Ohm's law on the board's side alone bounds it."""
EXAMPLES = {
    "collector-voltage": Example("vceo", 17.24, 17.01, "vceo"),
    "collector-current": Example("ic_max", 0.05035, 0.04965, "ic_max"),
    "gain": Example(("hfe", 2, "min"), 21.81, 21.5, "hfe"),
    "saturation": Example(("vce_sat", 1, "max"), 0.522, 0.5294, "vce_sat"),
    "base-current": Example(
        "ib_max", 0.003953, 0.003898, "ib_max", tables={"vce_sat": [{"ic": 0.05, "ib": 0.0025, "max": 0.3}]}
    ),
    "pin-current": Example("fact:pin_limit", 0.003514, 0.003465, "fact:drive_other"),
    "junction-rise": Example(("theta_ja", 0, "max"), 289.8, 293.9, "theta_ja", facts={"ambient_max": K0 + 124}),
    "pulse-rise": Example(
        ("zth", 0, "max"),
        97.21,
        98.58,
        "vce_sat",
        facts={"ambient_max": K0 + 126, "heat_current": 0.005, "start_current": 0.05, "edge_current": 0.005},
    ),
    "stays-off": Example(("vbe_on", 0, "min"), 0.4236, 0.4177, "icbo", facts={"drive_low_max": 0.3}),
    "undriven-base": Example(
        ("icbo", 0, "max"),
        1.357e-06,
        1.371e-06,
        "icbo",
        facts={"hold_max": 49350.0, "drive_leakage": 9e-6},
        tables={"icbo": [{"tj": K0 + 100, "max": 1e-06}]},
    ),
    "cross-feed": Example("fact:passing_off", 0.99e-3, 1.01e-3, "fact:passing_off"),
    "off-leakage": Example(
        ("hfe", 1, "max"),
        804.0,
        815.3,
        "icbo",
        facts={"base_emitter_max": float("inf"), "hold_max": float("inf"), "drive_leakage": 0.0},
        tables={"icbo": [{"tj": K0 + 100, "max": 1e-06}]},
    ),
    "inrush": Example(
        "icm",
        0.3776,
        0.3724,
        "icm",
        facts={"inrush_current": 0.3},
        tables={
            "hfe": [{"ic": 0.3, "vce": 1.0, "min": 500.0}],
            "vbe_sat": [{"ic": 0.3, "ib": 0.03, "max": 1.2}],
        },
    ),
    "turnoff-locus": Example(
        ("rbsoa", 0, "max"), 0.05035, 0.04965, "fact:turnoff_voltage", tables={"rbsoa": [{"vce": 20.0, "max": 0.2}]}
    ),
    "edge-time": Example("fact:edge_limit", 20.1e-6, 19.9e-6, "fact:switching_time"),
    "slow-edge": Example(("zth", 0, "max"), 5.588, 5.611, "zth", facts={"drive_edge": 0.5e-3, "collector_peak": 320.0}),
    "fastest-edge": Example("fact:edge_least", 0.99e-9, 1.01e-9, "fact:least_switching_time"),
    "base-resistor-power": Example("fact:base_resistor_rating", 0.03073, 0.03012, "fact:base_resistor_rating"),
    "base-emitter-power": Example("fact:base_emitter_rating", 0.007681, 0.007529, "fact:base_emitter_rating"),
    "base-reverse": Example("vebo", 1.51, 1.49, "vebo"),
    "polarity": Example("polarity", "NPN", "PNP", "polarity"),
    "package": Example("package", "TO-92", "SOT-23", "package"),
    "pin-order": Example("pin_order", "E-B-C", "C-B-E", "pin_order"),
}
