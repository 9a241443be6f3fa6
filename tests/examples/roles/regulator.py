"""The edge of each requirement of a linear regulator: a 5 V logic supply from 12 V, 100 mA (numbers invented)."""

import math

from partcheck.parts.part import Part, point_table
from tests.examples.roles import Example

ROLE = "regulator"
PART = Part(
    "regulator",
    "RX-5",
    "Example",
    {
        "package": "SOT-223",
        "pin_order": "GND-OUT-IN",
        "topology": "linear",
        "output": "fixed",
        "v_out_min": 4.9,
        "v_out_typ": 5.0,
        "v_out_max": 5.1,
        "load_regulation_max": 0.02,
        "vin_max": 26.0,
        "vin_transient": 40.0,
        "iout_max": 0.8,
        "iout_min": 0.002,
        "iq_max": 0.005,
        "cout_min": 10e-6,
        "cout_max": 100e-6,
        "esr_min": 0.01,
        "esr_max": 1.0,
        "v_reverse_max": 1.0,
        "tj_max": 423.15,
    },
    {
        "dropout": point_table("regulator", "dropout", [{"iout": 0.05, "max": 1.0}, {"iout": 0.5, "max": 1.2}]),
        "theta_ja": point_table("regulator", "theta_ja", [{"copper_area": 0, "mounting": "minimum", "max": 60.0}]),
    },
)
FACTS = {
    "ambient_max": 318.15,
    "ambient_min": 263.15,
    "t25": 298.15,
    "tj_ceiling": math.inf,
    "copper_area": 0.0,
    "footprint": frozenset({"SOT-223"}),
    "pins": frozenset({"GND-OUT-IN"}),
    "input_max": 12.6,
    "input_min": 10.0,
    "input_transient": 20.0,
    "feed_resistance": 0.2,
    "load_current": 0.1,
    "least_load": 0.01,
    "accepts_low": 4.5,
    "accepts_high": 5.5,
    "capacitor_min": 17.6e-6,
    "capacitor_max": 26.4e-6,
    "capacitor_unsaid": math.nan,
    "esr_unsaid": math.nan,
    "esr_fitted_min": 0.05,
    "esr_fitted_max": 0.5,
    "battery": 0.02,
    "other_quiescent": 0.001,
    "back_feed": 0.5,
    "output_wanted": frozenset({"fixed"}),
}
ADJUSTABLE = {
    "output": "adjustable",
    "v_out_min": None,
    "v_out_typ": None,
    "v_out_max": None,
    "load_regulation_max": None,
    "v_ref_min": 1.2,
    "v_ref_typ": 1.25,
    "v_ref_max": 1.3,
    "v_ref_from": "output",
    "i_adj_max": 100e-6,
}
RESISTORS = {
    "upper_min": 237.6,
    "upper_typ": 240.0,
    "upper_max": 242.4,
    "lower_min": 712.8,
    "lower_typ": 720.0,
    "lower_max": 727.2,
    "output_wanted": frozenset({"adjustable"}),
}

# The edges follow from the numbers above: 0.9 is the bench policy's share of input voltage and output current.
EXAMPLES = {
    "input-voltage": Example("vin_max", 14.01, 13.99, "vin_max"),
    "input-transient": Example("vin_max", 22.25, 22.2, "vin_max", values={"vin_transient": None}),
    "dropout": Example(("dropout", 1, "max"), 4.87, 4.89, "dropout"),
    "output-current": Example("iout_max", 0.112, 0.111, "iout_max"),
    "minimum-load": Example("iout_min", 0.0099, 0.0101, "iout_min", values=ADJUSTABLE,
                            facts={**RESISTORS, "least_load": 0.01 - (1.2 / 242.4 - 100e-6)}),
    "output-tolerance": Example("v_out_max", 5.479, 5.481, "v_out_max"),
    "junction-rise": Example(("theta_ja", 0, "max"), 101.7, 101.9, "theta_ja"),
    "output-capacitor": Example("cout_min", 17.5e-6, 17.7e-6, "cout_min"),
    "output-esr": Example("esr_max", 0.501, 0.499, "esr_max"),
    "quiescent": Example("iq_max", 0.01899, 0.01901, "iq_max"),
    "back-feed": Example("v_reverse_max", 0.501, 0.499, "v_reverse_max"),
    "output": Example("output", "fixed", "adjustable", "output"),
    "package": Example("package", "SOT-223", "TO-220", "package"),
    "pin-order": Example("pin_order", "GND-OUT-IN", "IN-GND-OUT", "pin_order"),
}  # fmt: skip
