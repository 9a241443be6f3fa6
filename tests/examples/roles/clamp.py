"""The edge of each requirement of a clamp: a valve of 24 Ω and 0.1 H on 12 V (numbers invented).

The example part is a flyback diode across the load; ``TVS`` and ``BREAKDOWN`` make it one across the switch.
"""

from typing import Any

from partcheck.parts.part import Part, point_table
from tests.examples.roles import Example

ROLE = "clamp"
RATED = [{"temperature": 348.15, "reference": "ambient", "max": 2.0}]
PART = Part(
    "diode",
    "DX-4004",
    "Example",
    {
        "package": "DO-41",
        "pin_order": "K-A",
        "construction": "rectifier",
        "vrrm": 100.0,
        "ifrm": 10.0,
        "trr_max": 100e-9,
        "vfr_max": 5.0,
        "tj_max": 423.15,
    },
    {
        "vf": point_table("diode", "vf", [{"i_f": 0.1, "max": 0.8}, {"i_f": 1.0, "max": 1.0}]),
        "if_av": point_table("diode", "if_av", RATED),
        "ir": point_table("diode", "ir", [{"tj": 298.15, "max": 5e-6}, {"tj": 403.15, "max": 1e-4}]),
        "theta_ja": point_table("diode", "theta_ja", [{"copper_area": 0, "mounting": "free-air", "max": 80.0}]),
    },
)
BRIEF: dict[str, Any] = {"zth": [{"pulse_width": 0.1, "reference": "ambient", "max": 0.01}]}
"""A transient impedance so small that the mean heat decides."""
FACTS: dict[str, Any] = {
    "ambient_max": 318.15,
    "ambient_min": 263.15,
    "t25": 298.15,
    "copper_area": 0.0,
    "footprint": frozenset({"DO-41"}),
    "pins": frozenset({"K-A"}),
    "tj_ceiling": float("inf"),
    "coil_current": 0.6,
    "lasting_current": 0.6,
    "start_current": 0.6,
    "starts": 0.0,
    "start_time": float("inf"),
    "start_share": 0.0,
    "long_start": 0.0,
    "turn_off_time": 0.0,
    "inductance": 0.12,
    "slowest_inductance": 0.12,
    "loop_resistance": 20.0,
    "decay_end": 0.006,
    "rail_max": 12.6,
    "supply_behind": 0.0,
    "fed_behind": 0.0,
    "release_behind": 0.0,
    "leakage_beside": 0.0,
    "partner_low": 0.0,
    "partner_high": 0.0,
    "forward": 1.0,
    "breaks_at_switch": 0.0,
    "breaks_at_load": 0.0,
    "forward_current": 0.6,
    "reverse_rail": 12.6,
    "blocks": 1.0,
    "blocking_rail": 12.6,
    "pulse_rate": 50.0,
    "flow_share": 0.8,
    "off_time": 0.016,
    "release_time": 0.05,
    "release_current": 0.6,
    "release_end": 0.06,
    "release_inductance": 0.12,
    "release_resistance": 20.0,
    "beside_resistance": 1e12,
    "beside_inductance": 0.0,
    "beside_behind": 0.0,
    "recovery_allowed": 200e-9,
    "recovery_rate": 0.0,
    "switch_limit": 48.0,
    "case_still": 0.01,
    "junction_still": 0.001,
    "die_impedance": 40.0,
    "settled_time": 1000.0,
    "drop_tempco": 0.002,
    "breakdown_tempco": 0.001,
    "zener_hot": 453.15,
    "constructions": frozenset({"rectifier", "fast-rectifier", "schottky", "signal"}),
}
TVS: dict[str, Any] = {
    "construction": "tvs",
    "standoff": 26.0,
    "vbr_min": 30.0,
    "vbr_max": 33.0,
    "power_max": 5.0,
    "pulse_energy": 0.5,
    "repetitive_energy": 0.2,
}
TVS_TABLES: dict[str, Any] = {
    "clamping": [{"ipp": 1.0, "max": 40.0}],
    "pulse_power": [{"pulse_width": 1e-3, "max": 600.0}, {"pulse_width": 0.01, "max": 200.0}],
    "zth": [{"pulse_width": 0.01, "reference": "ambient", "max": 2.0}],
}
BREAKDOWN: dict[str, Any] = {
    "supply_behind": 12.6,
    "release_behind": 12.6,
    "decay_end": 0.0,
    "forward": 0.0,
    "breaks_at_switch": 1.0,
    "forward_current": None,
    "breakdown_current": 0.6,
    "reverse_rail": None,
    "standoff_rail": 12.6,
    "pulse_rate": 10.0,
    "repeat_rate": 10.0,
    "flow_share": 1.0,
    "off_time": 0.1,
    "recovery_allowed": None,
    "off_leakage": 1e-3,
    "switch_limit": None,
    "constructions": frozenset({"zener", "tvs", "tvs-bidirectional"}),
}


def breaking(vary: Any, meets: Any, fails: Any, missing: str, **more: Any) -> Example:
    """An example of a TVS across the switch."""
    facts, values, tables = (more.get(name, {}) for name in ("facts", "values", "tables"))
    return Example(vary, meets, fails, missing, {**BREAKDOWN, **facts}, {**TVS, **values}, {**TVS_TABLES, **tables})


# The edges follow from the numbers above and the bench policy: 0.8 of diode and clamp ratings, junction 20 K
# under its rating. Release: 0.12 H / 20 Ω · ln((12 V + V) / (1.2 V + V)) is 3 ms at V = 15.45 V: 28.05 V less
# the rail, and 3.5 % for the cold. Leakage: 45 °C + 80 K/W · (0.137 W + 12.6 V · I) is 130 °C at 73.5 mA.
EXAMPLES = {
    "reverse-voltage": Example("vrrm", 15.76, 15.74, "vrrm"),
    "standoff": breaking("standoff", 12.61, 12.59, "standoff"),
    "stays-blocked": breaking("vbr_min", 30.0, 29.9, "vbr_min", facts={"off_voltage": 40.9, "off_rail": 12.0}),
    "peak-current": Example(("if_av", 0, "max"), 0.751, 0.749, "if_av", values={"ifrm": None}),
    "average-current": Example(("if_av", 0, "max"), 0.2098, 0.2088, "if_av"),
    "junction-rise": Example(("theta_ja", 0, "max"), 622.0, 625.0, "theta_ja", tables=BRIEF),
    "off-heat": Example(("ir", 1, "max"), 0.0732, 0.0738, "ir"),
    "release-time": breaking("vbr_min", 29.1, 29.0, "vbr_min", facts={"release_time": 0.003}),
    "recovery": Example("trr_max", 199e-9, 201e-9, "trr_max"),
    "leakage": breaking(("ir", 1, "max"), 0.997e-3, 1.003e-3, "ir"),
    "forward-recovery": Example("vfr_max", 35.3, 35.5, "fact:rail_max"),
    "pulse-energy": breaking("pulse_energy", 0.0486, 0.0482, "pulse_energy", tables={"pulse_power": []}),
    "clamp-repeat": breaking("repetitive_energy", 0.0486, 0.0482, "repetitive_energy", tables={"zth": []}),
    "average-power": breaking("power_max", 0.389, 0.386, "power_max"),
    "construction": Example("construction", "rectifier", "zener", "construction"),
    "package": Example("package", "DO-204AL", "SMA", "package"),
    "pin-order": Example("pin_order", "K-A", "A-K", "pin_order"),
}
