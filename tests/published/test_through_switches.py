"""Published numbers through whole requirements of switches: MOSFETs and NPN sinks."""

import math

import pytest

from partcheck.policy import ECSS, NASA

from ._case import MEMORY, NOTEBOOK, READ, SECOND_HAND, celsius
from .through import Through

T25 = celsius(25)
VISHAY = "Vishay doc 91021 (IRF540), absolute-maximum table, note b"
IR_9307 = "International Rectifier PD-9.307O (IRF530), absolute-maximum table"
MALVINO, JACOB = "Malvino & Bates, Electronic Principles, ", "Jacob, Power Electronics: Principles & Applications, "
MIL_975 = "MIL-STD-975M (NASA, 5 Aug 1994), Appendix A, transistors"
ECSS_30 = "ECSS-Q-ST-30-11C Rev 1/2, transistors and diodes clauses"
EEE_INST = "NASA/TP-2003-212242 (EEE-INST-002), derating tables"
NO_EDGES = {"switch_frequency": 0.0, "edge_current": 0.0, "start_current": 0.0, "starts": 0.0, "start_time": 0.0}
AVALANCHE = {"drain_clamped": None, "avalanche_rate": 1.0}


def heated(resistance: float, theta: float, current: float) -> dict[str, object]:
    """A MOSFET of a plain on-resistance, hot or cold, behind one thermal resistance."""
    return {
        "facts": {
            **NO_EDGES, "ambient_max": T25, "ambient_min": T25, "theta_mounted": theta, "load_current": current,
            "heat_current": current, "least_current": current,
        },
        "values": {"vgs_th_tempco": -1e-9},
        "tables": {
            "rds_on": [{"vgs": 4.5, "id": 100.0, "max": resistance}],
            "rds_on_factor": [{"tj": T25, "max": 1.0}, {"tj": celsius(175), "max": 1.0}],
        },
    }  # fmt: skip


def on_resistance(volts: float, ohms: float, resistance: float) -> dict[str, object]:
    """The same as a load on a supply sets its current."""
    return heated(resistance, 1e-6, volts / (ohms + resistance))


MOSFET = [
    Through("mosfet-switch", "avalanche-energy", "M-01", "demand", 0.230, 0.00217, VISHAY, READ,
            {**AVALANCHE, "unclamped_inductance": 0.44e-3, "coil_current": 28.0, "drain_peak": 25.0}, {"vds_max": 100.0}),
    Through("mosfet-switch", "avalanche-energy", "M-04", "demand", 0.069, 0.00725, IR_9307, READ,
            {**AVALANCHE, "unclamped_inductance": 0.528e-3, "coil_current": 14.0, "drain_peak": 25.0}, {"vds_max": 100.0}),
    Through("mosfet-switch", "stray-spike", "M-01", "demand", 0.230, 0.00217, VISHAY, READ,
            {"stray_inductance": 0.44e-3, "spike_current": 28.0, "drain_peak": 25.0, "spike_rate": 1.0, "line_peak": 900.0},
            {"vds_max": 100.0}, note="its inductance as that of a cable"),
    Through("mosfet-switch", "on-drop", "M-18", "demand", 0.12, 0.0417, MALVINO + "Example 14-3, p. 490", NOTEBOOK,
            **on_resistance(20.0, 1000.0, 6.0)),
    Through("mosfet-switch", "on-drop", "M-15", "demand", 28.0 - 26.73, 0.005, JACOB + "Example 6.9, p. 298", NOTEBOOK,
            **on_resistance(28.0, 12.0, 0.57), note="28 V less the printed 26.73 V at the load, half a hundredth of a volt"),
    Through("mosfet-switch", "drain-current", "M-21", "demand", 2.71, 0.00185, MALVINO + "Example 14-10, p. 503", NOTEBOOK,
            **on_resistance(30.0, 10.0, 1.07), note="current worked out from its supply and resistances"),
    Through("mosfet-switch", "junction-rise", "M-53", "demand", 125.0, 0.0061, "ON MMBF170/D (BS170)", READ,
            **heated(0.83 / 0.25, 150.0, 0.5), note="0.83 W at 25 °C from 150 K/W are 125 K up to the limit of 150 °C"),
    Through("mosfet-switch", "junction-rise", "M-51", "demand", 125.0, 0.0061, "NXP 2N7002 Rev 7, solder point", READ,
            **heated(0.83 / 0.25, 150.0, 0.5), note="0.83 W at 25 °C from 150 K/W are 125 K up to the limit of 150 °C"),
    Through("mosfet-switch", "junction-rise", "M-56", "demand", 125.0, 0.04, "IR IRLML6344 datasheet", READ,
            **heated(1.3 / 0.25, 100.0, 0.5), note="1.3 W, printed with two digits"),
    Through("mosfet-switch", "drain-voltage", "D-01", "capability", 75.0, 1e-6, MIL_975, SECOND_HAND,
            values={"vds_max": 100.0}, policy=NASA),
    Through("mosfet-switch", "drain-voltage", "D-13", "capability", 45.0, 1e-6, MIL_975, SECOND_HAND,
            values={"vds_max": 60.0}, policy=NASA, note="a part of 60 V"),
    Through("mosfet-switch", "gate-voltage", "D-01", "capability", 12.0, 1e-6, MIL_975, SECOND_HAND,
            values={"vgs_max": 20.0}, policy=NASA),
    Through("mosfet-switch", "drain-current", "D-01", "capability", 10.5, 1e-6, MIL_975, SECOND_HAND,
            {**NO_EDGES, "ambient_max": T25, "load_current": 1e-6, "heat_current": 1e-6},
            tables={"id_max": [{"temperature": celsius(100), "reference": "case", "max": 14.0}]}, policy=NASA),
    Through("mosfet-switch", "drain-voltage", "D-11", "capability", 80.0, 1e-6, ECSS_30, MEMORY,
            values={"vds_max": 100.0}, policy=ECSS, note="80 % of 100 V (ours)"),
    Through("mosfet-switch", "gate-voltage", "D-11", "capability", 15.0, 1e-6, ECSS_30, MEMORY,
            values={"vgs_max": 20.0}, policy=ECSS, note="75 % of 20 V (ours)"),
]  # fmt: skip

SATURATED = {"lift": 0.0, "ambient_min": T25, "high_at": 0.0, "source_max": 0.0, "source_min": 0.0,
             "base_emitter_max": 1e12, "base_emitter_min": 1e12, "drive_other": 0.0}  # fmt: skip
PLAIN_GAIN = {
    "hfe_factor": [{"tj": celsius(-55), "min": 1.0, "max": 1.0}, {"tj": celsius(150), "min": 1.0, "max": 1.0}]
}


def driven(level: float, vbe: float, resistor: float, collector: float, gain: float) -> dict[str, object]:
    """An NPN of plain gain and base-emitter voltage behind a base resistor."""
    return {
        "facts": {**SATURATED, "drive_high_min": level, "drive_high_max": level, "base_resistor_max": resistor,
                  "base_resistor_min": resistor, "load_current": collector, "heat_current": collector},
        "tables": {
            "hfe": [{"ic": collector, "vce": 1.0, "min": gain}], **PLAIN_GAIN,
            "vbe_sat": [{"ic": collector, "ib": 1.0, "max": vbe}],
            "vbe_on": [{"ic": collector / 1e6, "vce": 5.0, "min": vbe, "max": vbe}],
        },
    }  # fmt: skip


FLOYD, MILLMAN = "Floyd, Electronic Devices, Example 4.9, p. 132", "Millman & Halkias, Integrated Electronics"
NPN = [
    Through("npn-sink", "gain", "B-06", "capability", 10e-3, 1e-6, FLOYD, NOTEBOOK,
            **driven(5.0, 0.7, 86e3, 10e-3, 200.0), note="50 µA through 86 kΩ carry 10 mA at a gain of 200"),
    Through("npn-sink", "gain", "B-09", "capability", 4.0e-3, 1e-6, MALVINO + "Example 7-7, p. 235", NOTEBOOK,
            **driven(10.0, 1e-9, 100e3, 4e-3, 40.0), note="no base-emitter voltage counted there"),
    Through("npn-sink", "gain", "B-08", "capability", 8.4e-3, 1e-3, MILLMAN + ", saturation test", NOTEBOOK,
            **driven(5.0, 0.8, 50e3, 3.27e-3, 100.0), note="84 µA, printed as 0.08 mA, times 100 (ours)"),
    Through("npn-sink", "collector-voltage", "D-01", "capability", 75.0, 1e-6, MIL_975, SECOND_HAND,
            {"clamped": 1.0}, {"vceo": 100.0}, policy=NASA),
    Through("npn-sink", "collector-current", "D-01", "capability", 10.5, 1e-6, MIL_975, SECOND_HAND,
            values={"ic_max": 14.0}, policy=NASA),
    Through("npn-sink", "collector-current", "D-11", "capability", 0.15, 1e-6, ECSS_30, MEMORY,
            values={"ic_max": 0.2}, policy=ECSS, note="75 % of 0.2 A (ours)"),
    Through("npn-sink", "junction-rise", "D-12", "capability", 75.0, 1e-6, EEE_INST, MEMORY,
            {"ambient_max": T25}, {"tj_max": celsius(150)}, policy=NASA,
            note="60 % of the power is 60 % of the 125 K (ours)"),
]  # fmt: skip


@pytest.mark.parametrize("case", [*MOSFET, *NPN], ids=lambda case: case.name)
def test_printed(case: Through) -> None:
    assert math.isfinite(case.got()), f"{case.name} gives no number"
    case.check()
