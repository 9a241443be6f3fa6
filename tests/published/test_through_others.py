"""Published numbers through whole requirements of clamps, indicators, regulators, terminals, tracks, and more of switches."""

import math
from dataclasses import replace

import pytest

from partcheck.policy import BENCH, DATASHEET, ECSS, NASA, Policy

from ._case import DERIVED, FILE, MEMORY, NOTEBOOK, READ, SEARCH, SECOND_HAND, celsius
from .test_through_switches import (
    ECSS_30,
    EEE_INST,
    FLOYD,
    MALVINO,
    MIL_975,
    NO_EDGES,
    PLAIN_GAIN,
    SATURATED,
    T25,
    driven,
    heated,
)
from .through import Through

JACOB = "Jacob, Power Electronics: Principles & Applications, "
SEDRA = "Sedra & Smith, Microelectronic Circuits, "
BELL = "D. A. Bell, Electronic Devices and Circuits, Example 21.3, p. 951"
CLOSED = "closed solution of L·di/dt + R·i + V = 0 (no printed example found)"
PHILIPS = "Philips 2N2222/2N2222A datasheet (1997), ICBO rows"
TPS = "Texas Instruments TPS793xx, dissipation-rating table"
TOSHIBA = "Toshiba Semiconductor, LDO e-learning pages"
NISSHINBO = "Nisshinbo Micro Devices, frequently asked questions"
ERNI = "ERNI derating report to IEC 60512-5-2 test 5b, IDC terminal, AWG 22, upper limit 150 °C"
MODULE = "ERNI derating report, power module"
CONNECTOR = "ECSS-Q-ST-30-11C Rev.2 (23 June 2021), Table 6-10"
IPC_2221 = "IPC-2221 section 6.2 as reprinted by board makers"


def plain(**values: float) -> Policy:
    """The datasheet's own limits with the values of the document: what a book divides by nothing is divided by one."""
    return replace(DATASHEET, name="as printed", values={**DATASHEET.values, **values})


def assuming(**assumed: float) -> Policy:
    """The datasheet's own limits, with what the document assumes."""
    return replace(DATASHEET, name="as printed", assumed=assumed)


# ---- clamps

ACROSS_THE_SWITCH = {
    "forward": 0.0, "forward_current": None, "breaks_at_switch": 1.0, "reverse_rail": None, "standoff_rail": 12.0,
    "breakdown_current": 0.12, "breakdown_tempco": 0.0, "release_behind": 0.0, "release_current": 0.12, "release_end": 1e-12,
    "release_inductance": 1.0, "release_resistance": 100.0, "release_time": 0.05, "ambient_min": T25, "ambient_max": T25,
}  # fmt: skip
CLAMPS = [
    Through("clamp", "release-time", "F-10", "demand", 3.947e-3, 0.001, CLOSED, DERIVED + "; inputs ours",
            ACROSS_THE_SWITCH, {"construction": "zener", "vbr_min": 24.8, "vbr_max": 24.8}),
    Through("clamp", "reverse-voltage", "D-11", "capability", 75.0, 1e-6, ECSS_30, MEMORY, values={"vrrm": 100.0},
            policy=ECSS, note="75 % of 100 V (ours)"),
    Through("clamp", "reverse-voltage", "D-12", "capability", 70.0, 1e-6, EEE_INST, MEMORY, values={"vrrm": 100.0},
            policy=NASA, note="70 % of 100 V (ours)"),
    Through("clamp", "peak-current", "D-11", "capability", 7.5, 1e-6, ECSS_30, MEMORY, values={"ifrm": 10.0}, policy=ECSS,
            note="75 % of 10 A (ours)"),
    Through("clamp", "peak-current", "D-12", "capability", 5.0, 1e-6, EEE_INST, MEMORY, values={"ifrm": 10.0}, policy=NASA,
            note="50 % of 10 A (ours)"),
    Through("clamp", "average-current", "D-12", "capability", 0.5, 1e-6, EEE_INST, MEMORY,
            tables={"if_av": [{"temperature": celsius(75), "reference": "ambient", "max": 1.0}]}, policy=NASA,
            note="50 % of 1 A (ours)"),
    Through("clamp", "recovery", "F-17", "demand", 50e-9, 1e-6, "UF4001-UF4007 datasheet", READ, values={"trr_max": 50e-9}),
    Through("clamp", "average-power", "F-19", "capability", 0.5, 0.001, "MIL-PRF-19500/500", SEARCH,
            {**ACROSS_THE_SWITCH, "ambient_max": celsius(100)},
            {"construction": "tvs", "vbr_min": 24.8, "vbr_max": 24.8, "power_max": 1.0, "tj_max": celsius(175)},
            note="1 W at 25 °C less 6.67 mW/K, at 100 °C (ours)"),
    Through("clamp", "average-current", "F-11", "capability", 1.0, 1e-6, "Fairchild 1N4001-1N4007 (Nov 2014)", READ,
            {"ambient_max": celsius(75)},
            tables={"if_av": [{"temperature": celsius(75), "reference": "ambient", "max": 1.0}]}),
    Through("clamp", "junction-rise", "D-11", "capability", 62.5, 1e-6, ECSS_30, MEMORY, {"ambient_max": T25},
            {"tj_max": celsius(150)}, {"zth": [{"pulse_width": 1.0, "reference": "ambient", "max": 0.01}]}, policy=ECSS,
            note="half of the power is half of the 125 K (ours)"),
]  # fmt: skip

# ---- indicators


def lit(supply: float, drop: float, resistor: float, switch: float = 0.0) -> dict[str, object]:
    """An LED of one forward voltage at every current, at 25 °C."""
    ends = ("min", "typ", "max")
    curve = [{"i_f": i_f, "min": drop, "typ": drop, "max": drop} for i_f in (1e-6, 0.001, 0.05)]
    return {
        "facts": {
            **{f"feed_{end}": supply for end in ends}, **{f"resistor_{end}": resistor for end in ends},
            **{f"switch_drop_{end}": switch for end in ends}, "ambient_max": T25, "ambient_min": T25, "on_duty": 1.0,
            "chopped_duty": None, "pulse_width": None,
        },
        "values": {"vf_tempco_min": -1e-12},
        "tables": {"vf": curve},
    }  # fmt: skip


LITE_ON = "Lite-On LTST-C170TBKT datasheet, absolute maximum ratings"
INDICATORS = [
    *(Through("indicator", id_, row, "demand", amperes, rel, source, NOTEBOOK, **lit(*circuit))
      for id_ in ("forward-current", "drive-current")
      for row, amperes, rel, source, circuit in [
          ("L-01", 21.82e-3, 0.000229, MALVINO + "Example 5-12", (50.0, 2.0, 2200.0)),
          ("L-02", 14.89e-3, 0.000336, MALVINO + "Example 5-13", (9.0, 2.0, 470.0)),
          ("L-03", 18.0e-3, 0.00278, MALVINO + "Example 14-4, p. 492", (20.0, 2.0, 1000.0)),
          ("L-04", 10.59e-3, 0.0005, BELL, (9.0, 1.6, 680.0, 0.2))]),
    Through("indicator", "least-current", "L-01", "current_min", 21.82e-3, 0.000229, MALVINO + "Example 5-12", NOTEBOOK,
            **lit(50.0, 2.0, 2200.0)),
    Through("indicator", "forward-current", "L-19", "capability", 5.0e-3, 1e-6, LITE_ON, READ, {"ambient_max": celsius(85)},
            tables={"if_max": [{"temperature": T25, "max": 20e-3}, {"temperature": celsius(105), "max": 1e-12}]},
            note="falls by 0.25 mA/K from 20 mA at 25 °C, so to nothing at 105 °C (ours)"),
    Through("indicator", "forward-current", "D-11", "capability", 10e-3, 1e-6, ECSS_30, MEMORY, {"ambient_max": T25},
            tables={"if_max": [{"temperature": T25, "max": 20e-3}]}, policy=ECSS, note="50 % of 20 mA (ours)"),
]  # fmt: skip

# ---- regulators


def regulated(
    vin: float, vout: float, load: float, theta: float, ambient: float = 25.0, tj_max: float = 125.0
) -> dict[str, object]:
    """A regulator of one output voltage that takes nothing for itself."""
    return {
        "facts": {"input_max": vin, "input_min": vin, "load_current": load, "ambient_max": celsius(ambient),
                  "theta_mounted": theta, "battery": 1.0, "feed_resistance": 0.0},
        "values": {"v_out_min": vout, "v_out_typ": vout, "v_out_max": vout, "load_regulation_max": 0.0, "iq_max": 0.0,
                   "tj_max": celsius(tj_max)},
    }  # fmt: skip


def allowed(row: str, watts: float, rel: float, theta: float, ambient: float, source: str, seen: str,
            tj_max: float = 125.0, note: str = "") -> Through:  # fmt: skip
    """Heat that brings a junction to its limit, of which a regulator's current follows."""
    return Through("regulator", "output-current", row, "heat_allowed", watts, rel, source, seen,
                   **regulated(12.0, 5.0, 0.1, theta, ambient, tj_max), note=note)  # fmt: skip


REGULATORS = [
    Through("regulator", "junction-rise", "R-10", "demand", 37.5, 0.0014, TOSHIBA, SEARCH + "; result ours",
            **regulated(3.6, 1.8, 0.1, 208.3, 40.0), note="from 40 °C to the printed 77.5 °C"),
    Through("regulator", "junction-rise", "R-10", "dissipation", 0.18, 0.0278, TOSHIBA, SEARCH + "; result ours",
            **regulated(3.6, 1.8, 0.1, 208.3, 40.0)),
    Through("regulator", "junction-rise", "R-16", "dissipation", 5.0, 0.01, JACOB + "Example 1.6a, p. 29", NOTEBOOK,
            **regulated(15.0, 5.0, 0.5, 1.0)),
    Through("regulator", "junction-rise", "R-17", "dissipation", 3.5, 0.0143, JACOB + "Example 4.3, p. 168", NOTEBOOK,
            **regulated(12.0, 5.0, 0.5, 1.0)),
    Through("regulator", "junction-rise", "R-04", "demand", 65.0, 0.009, "Franco, Example 11.15, p. 532", NOTEBOOK,
            **regulated(12.0, 5.0, 0.8, 6.0 + 5.0 + 0.6, 60.0),
            note="the printed 6 K/W of the sink with 5.6 K/W to it: from 60 °C to the limit of 125 °C"),
    Through("regulator", "dropout", "R-05", "demand", 7.5, 0.0067, "Franco, Example 11.9, p. 520", NOTEBOOK,
            {**regulated(8.0, 5.0, 0.1, 1.0)["facts"]}, {**regulated(8.0, 5.0, 0.1, 1.0)["values"]},  # type: ignore[dict-item]
            {"dropout": [{"iout": 0.5, "max": 2.5}]}),
    Through("regulator", "junction-rise", "R-18", "demand", 85.0, 0.001, JACOB + "Example 4.6, p. 179", NOTEBOOK,
            **regulated(12.0, 5.0, 2.92 / 7.0, 24.61 + 2.5 + 2.0, 40.0), note="from 40 °C to the limit of 125 °C"),
    Through("regulator", "input-voltage", "D-03", "capability", 28.0, 1e-6, MIL_975, SECOND_HAND, values={"vin_max": 35.0},
            policy=NASA, note="80 % of 35 V (ours)"),
    allowed("R-06", 0.215, 0.03, 255.0, 70.0, TPS, READ, note="the maker multiplies the rounded slope"),
    allowed("R-07", 0.310, 0.03, 180.0, 70.0, TPS, READ, note="the maker multiplies the rounded slope"),
    allowed("R-08", 0.296, 0.03, 190.0, 70.0, TPS, READ, note="the maker multiplies the rounded slope"),
    allowed("R-11", 1.0, 0.05, 40.0, 85.0, NISSHINBO, SEARCH),
    allowed("R-19", 10.0, 0.005, 8.5, 40.0, JACOB + "Example 4.7, p. 180", NOTEBOOK),
    allowed("R-20", 1.6, 0.0312, 62.5, 50.0, SEDRA + "Example 14.4, p. 1251", NOTEBOOK, 150.0),
    Through("regulator", "input-voltage", "D-12", "capability", 28.0, 1e-6, EEE_INST, MEMORY, values={"vin_max": 35.0},
            policy=NASA, note="80 % of 35 V (ours)"),
    Through("regulator", "output-current", "D-12", "current_by_rating", 0.8, 1e-6, EEE_INST, MEMORY,
            values={"iout_max": 1.0}, policy=NASA, note="80 % of 1 A (ours)"),
]  # fmt: skip

# ---- terminals and tracks


def curve(rows: dict[float, float]) -> list[dict[str, object]]:
    return [{"temperature": celsius(at), "basis": "base", "max": amperes} for at, amperes in rows.items()]


BASE = {20: 21.9, 30: 21.1, 40: 20.2, 50: 19.3, 60: 18.4, 70: 17.4, 80: 16.3, 90: 15.1, 100: 13.8}
TERMINALS = [
    *(Through("terminal", id_, "C-22", "capability", amperes, 0.0005, ERNI, SEARCH, {"ambient_max": celsius(at)},
              {"rated_current": 30.0}, {"current": curve(BASE)}, note="temperature axis inferred from the plot")
      for id_ in ("pole-current", "return-current", "fault-current") for at, amperes in [(60, 14.72), (100, 11.04)]),
    Through("terminal", "pole-current", "C-24", "capability", 12.64, 0.0005, MODULE, SEARCH, {"ambient_max": T25},
            {"rated_current": 30.0}, {"current": curve({25.0: 15.8})}, note="temperature ours"),
    Through("terminal", "pole-current", "C-23", "capability", 18.4, 0.017, ERNI, SEARCH, {"ambient_max": celsius(60)},
            {"rated_current": 21.9, "rated_ambient": celsius(20), "t_max": celsius(150)}, {"current": []},
            policy=assuming(square_root_law=1.0), note="the law, within 1.7 %"),
    Through("terminal", "pole-current", "D-09", "capability", 5.0, 1e-6, CONNECTOR, FILE, {"ambient_max": T25},
            {"rated_current": 10.0, "rated_ambient": celsius(70)}, {"current": []}, policy=ECSS, note="10 A (ours)"),
    Through("terminal", "rated-voltage", "D-09", "capability", 225.0, 1e-6, CONNECTOR, FILE,
            values={"rated_voltage": 300.0}, policy=ECSS, note="300 V (ours)"),
]  # fmt: skip
MIL = 25.4e-6
TRACKS = [
    Through("track", "track-rise", "C-18", "demand", 10.0, 0.02, IPC_2221, SEARCH,
            {"heating_current": 1.0, "width": mils * MIL, "thickness": 1.378 * MIL, "fit_factor": factor}, policy=assuming(track_fit=1.0),
            note=f"{layer} layer: width printed with three digits, a fifth of a mil makes 2 %")
    for layer, mils, factor in [("outer", 11.8, 0.048), ("inner", 30.8, 0.024)]
]  # fmt: skip

# ---- switches


def base_resistor(level: float, vbe: float, collector: float, gain: float, overdrive: float) -> dict[str, object]:
    made = driven(level, vbe, 1.0, collector, gain)
    return {**made, "policy": plain(gain_overdrive=overdrive)}


def warm(ambient: float, theta: float) -> dict[str, object]:
    return {
        **NO_EDGES,
        "ambient_max": celsius(ambient),
        "load_current": 1e-6,
        "heat_current": 1e-6,
        "theta_mounted": theta,
    }


SWITCHES = [
    *(Through("npn-sink", "gain", row, "hfe_cold", least, 1e-6, source, READ,
              {**SATURATED, "load_current": at, "heat_current": at},
              tables={"hfe": [{"ic": ic, "vce": 1.0, "min": gain} for ic, gain in rows], **PLAIN_GAIN})
      for row, at, least, source, rows in [
          ("B-15", 0.1, 30.0, "onsemi 2N3903/D Rev. 9", [(0.01, 100.0), (0.05, 60.0), (0.1, 30.0)]),
          ("B-17", 0.5, 40.0, "CDIL BC337/338 datasheet", [(0.1, 100.0), (0.5, 40.0)])]),
    *(Through("mosfet-switch", "junction-rise", row, "hot_factor", factor, 0.001, source, READ + "; ratio ours",
              {**warm(at, 1e-9), "ambient_min": T25},
              tables={"rds_on_factor": [{"tj": T25, "max": 1.0}, {"tj": celsius(at), "max": hot / cold}]})
      for row, at, factor, cold, hot, source in [
          ("M-25", 150.0, 1.85, 5.0, 9.25, "NXP 2N7002 Rev. 7"), ("M-26", 125.0, 1.434, 26.5, 38.0, "AO3400A Rev. 3.1")]),
    Through("mosfet-switch", "drain-voltage", "M-32", "capability", 48.0, 1e-6, "Renesas knowledge base on V_DS (2007)", SEARCH,
            values={"vds_max": 60.0}, policy=BENCH, note="80 % of a part of 60 V (ours)"),
    Through("npn-sink", "gain", "B-01", "base_resistor_largest", 2200.0, 0.0227, SEDRA + "Example 5.3, p. 420", NOTEBOOK,
            **base_resistor(5.0, 0.7, 9.8e-3, 50.0, 10.0)),
    Through("npn-sink", "gain", "B-03", "base_resistor_largest", 48.5, 0.00103, JACOB + "Example 6.1, p. 274", NOTEBOOK,
            **base_resistor(5.0, 0.6, 27.2 / 15.0, 20.0, 1.0), note="the notebook prints 4.85, a slip of scale"),
    Through("npn-sink", "gain", "B-06", "base_resistor_largest", 86e3, 0.00581, FLOYD, NOTEBOOK,
            **base_resistor(5.0, 0.7, 10e-3, 200.0, 1.0)),
    Through("npn-sink", "gain", "B-06", "base_current_min", 50e-6, 0.01, FLOYD, NOTEBOOK, **driven(5.0, 0.7, 86e3, 10e-3, 200.0)),
    Through("npn-sink", "gain", "B-05", "base_resistor_largest", 59e3, 0.01, BELL, NOTEBOOK,
            **base_resistor(7.0, 0.7, 7.2 / 680.0, 100.0, 1.0), note="59.5 kΩ printed cut to 59"),
    Through("npn-sink", "saturation", "B-09", "forced_gain", 40.0, 0.0125, MALVINO + "Example 7-7, p. 235", NOTEBOOK,
            **driven(10.0, 1e-9, 100e3, 4e-3, 40.0), note="no base-emitter voltage counted there"),
    Through("npn-sink", "gain", "B-08", "base_current_min", 84e-6, 1e-3, "Millman & Halkias, Integrated Electronics, "
            "Example 5.2, p. 134", NOTEBOOK, **driven(5.0, 0.8, 50e3, 3.27e-3, 100.0), note="0.08 mA printed, the digits ours"),
    Through("mosfet-switch", "edge-time", "M-16", "demand", 1.1e-6, 0.0455, JACOB + "Example 6.10, p. 305", NOTEBOOK,
            {**NO_EDGES, "ambient_max": T25, "ambient_min": T25, "theta_mounted": 1e-9, "drive_high_min": 2.0,
             "drive_high_max": 2.0, "drive_low_max": 0.0, "lift": 0.0, "noise": 0.0, "pulldown_min": 1e12,
             "pulldown_max": 1e12, "divider_series": 25.0, "source_max": 0.0, "gate_resistor_max": 25.0, "drive_edge": 0.0},
            {"qgd_max": 44e-9, "qgs_max": 1e-18, "v_plateau_typ": 1.0, "vgs_th_typ": 1.0, "vgs_th_min": 1.0, "vgs_th_max": 1.0,
             "vgs_th_tempco": -1e-12, "rg_int_max": 1e-9}, policy=plain(edge_margin_on=1.0, edge_margin_off=1.0),
            note="40 mA as 1 V over 25 Ω, without the margins for the spread of a real gate"),
    Through("npn-sink", "off-leakage", "B-13", "icbo_hot", 640e-9, 0.000781, MALVINO + "Example 2-6, p. 51", NOTEBOOK,
            {"ambient_max": celsius(95), "theta_mounted": 1e-9}, tables={"icbo": [{"tj": T25, "max": 5e-9}]},
            policy=assuming(leakage_doubling=10.0)),
    Through("npn-sink", "off-leakage", "B-14", "icbo_hot", 10e-6, 1e-6, PHILIPS, READ,
            {"ambient_max": celsius(149.9), "theta_mounted": 1e-9},
            tables={"icbo": [{"tj": T25, "max": 10e-9}, {"tj": celsius(150), "max": 10e-6}]},
            policy=assuming(leakage_doubling=10.0), note="the stated row, not the 57.9 µA of a doubling each 10 K"),
    *(Through("mosfet-switch", "drain-current", row, "capability", hot, rel, source, READ, warm(at, 1.0),
              {"tj_max": celsius(tj_max)}, {"id_max": [{"temperature": T25, "reference": "ambient", "max": cold}]},
              policy=assuming(square_root_law=1.0), note="as if rated against air of the case's temperature")
      for row, cold, tj_max, at, hot, rel, source in [
          ("M-41", 28.0, 175, 100, 20.0, 0.025, "Vishay doc 91021"), ("M-42", 10.0, 150, 100, 6.3, 0.0159, "Vishay doc 91054"),
          ("M-43", 8.0, 150, 100, 5.1, 0.0196, "Vishay doc 91070"), ("M-51", 0.3, 150, 100, 0.19, 0.01, "NXP 2N7002 Rev. 7")]),
    *(Through("mosfet-switch", "fully-on", "M-27", "demand", volts, 1e-6, source, READ, {"drive_high_min": level},
              tables={"rds_on": [{"vgs": vgs, "id": 1.0, "max": ohms} for vgs, ohms in rows]},
              note=f"a drive of {level} V")
      for volts, level, source, rows in [
          (10.0, 5.0, "International Rectifier PD-91341B (IRF540N)", [(10.0, 0.044)]),
          (4.0, 5.0, "International Rectifier PD-9.1346B (IRLZ44N)", [(4.0, 0.035), (5.0, 0.025), (10.0, 0.022)]),
          (2.5, 3.3, "Alpha & Omega AO3400A Rev. 3.1", [(2.5, 0.048), (4.5, 0.032), (10.0, 0.0265)])]),
    *(Through("mosfet-switch", "gate-voltage", "M-28", "capability", volts, 1e-6, source, READ, values={"vgs_max": volts})
      for volts, source in [(16.0, "International Rectifier PD-9.1346B (IRLZ44N)"), (30.0, "NXP 2N7002 Rev. 7"),
                            (18.0, "STMicroelectronics 2N7000/2N7002 Rev. 7")]),
    Through("mosfet-switch", "off-leakage", "M-29", "off_leakage_hot", 250e-6, 1e-6, "International Rectifier PD-91341B", READ,
            {**warm(149.0, 1e-9), "drive_low_max": 0.0, "noise": 0.0, "drive_floats": None},
            tables={"idss": [{"tj": T25, "max": 25e-6}, {"tj": celsius(150), "max": 250e-6}]}),
    Through("mosfet-switch", "drain-current", "M-22", "demand", 0.95, 0.00526, MALVINO + "Example 14-11, p. 503", NOTEBOOK,
            **heated(0.5, 1e-6, 10.0 / 10.5), note="current worked out from its supply and resistances"),
    *(Through("mosfet-switch", "junction-rise", row, "demand", 125.0, rel, source, READ, **heated(watts / 0.25, theta, 0.5),
              note=f"{watts} W at 25 °C from {theta} K/W are 125 K up to the limit")
      for row, watts, theta, rel, source in [
          ("M-52", 1.0, 125.0, 0.05, "STMicroelectronics 2N7000/2N7002 Rev. 7"),
          ("M-54", 0.3, 417.0, 0.05, "ON Semiconductor MMBF170/D")]),
]  # fmt: skip


@pytest.mark.parametrize(
    "case", [*CLAMPS, *INDICATORS, *REGULATORS, *TERMINALS, *TRACKS, *SWITCHES], ids=lambda case: case.name
)
def test_printed(case: Through) -> None:
    assert math.isfinite(case.got()), f"{case.name} gives no number"
    case.check()
