"""Parts drawn at random for random boards: plausible datasheets, some of which leave out what many leave out."""

from random import Random
from typing import Any

Record = dict[str, Any]
NUMBERS = "0123456789"


def _named(kind: str, chance: Random) -> Record:
    return {"kind": kind, "part_number": kind[:2].upper() + "".join(chance.choices(NUMBERS, k=6)), "maker": "Invented"}


def mosfet(chance: Random, volts: float, amperes: float, drive: float, whole: bool) -> Record:
    """A MOSFET for a rail, a current and a drive level, with more or less in hand."""
    part = _named("mosfet", chance)
    vds = volts * chance.choice([1.3, 1.7, 2.5, 4.0])
    low = 4.5 if drive > 4.6 else 2.5
    ohms = 0.15 / amperes * chance.choice([0.1, 0.3, 0.6, 1.0, 1.6])
    least = chance.uniform(0.5, 1.2) if low > 3 else chance.uniform(0.4, 0.7)
    most = least + chance.uniform(0.4, 1.2) if low > 3 else least + chance.uniform(0.2, 0.6)
    part |= {
        "polarity": "N", "vds_max": round(vds), "vgs_max": 12.0, "tj_max": "150 °C",
        "vgs_th": {"min": least, "typ": (least + most) / 2, "max": most},
        "rds_on": [
            {"vgs": low, "id": 0.5 * amperes, "max": ohms},
            {"vgs": 10.0 if low > 3 else 4.5, "id": amperes, "max": 0.7 * ohms},
        ],
        "id_max": [
            {"temperature": f"{t} °C", "reference": "ambient", "max": amperes * factor * 4}
            for t, factor in ((25, 1.0), (70, 0.8), (100, 0.6), (130, 0.3))
        ],
        "idm": [{"pulse_width": w, "max": amperes * 16} for w in (1e-3, 0.1)],
        "soa": [
            {"pulse_width": w, "vds": round(vds), "max": amperes * share}
            for w, share in ((1e-4, 20.0), (1e-3, 12.0), (1e-2, 7.0), (0.1, 4.0), (1.0, 2.5))
        ],
        "idss": [{"tj": "150 °C", "max": chance.choice([20e-6, 100e-6, 500e-6])}],
        "qgd_typ": 3e-9, "qgd_max": 5e-9, "qgs_max": 2e-9, "qg_max": 12e-9, "rg_int_max": 3.0, "rg_int_typ": 1.5,
        "v_plateau_typ": most + 0.5, "plateau_id": amperes, "igss_max": 1e-7, "coss_typ": 80e-12, "crss_typ": 20e-12,
    }  # fmt: skip
    if whole or chance.random() < 0.6:
        part["rds_on_factor"] = [{"tj": "100 °C", "max": 1.45}, {"tj": "150 °C", "max": chance.uniform(1.7, 2.2)}]
    if whole or chance.random() < 0.6:
        part["vgs_th_tempco"] = -chance.uniform(0.002, 0.006)
    if chance.random() < 0.5:
        part |= {"eas": 0.1 * amperes, "eas_start": "25 °C", "ias": amperes * 3}
        if chance.random() < 0.7:
            part["ear"] = 0.02 * amperes
    if chance.random() < 0.5:
        part["zth"] = _impedance(chance, 80.0)
    return part


def _impedance(chance: Random, theta: float) -> list[Record]:
    share = chance.uniform(0.9, 1.0)
    return [
        {"pulse_width": w, "reference": "ambient", "max": theta * share * f}
        for w, f in ((1e-4, 0.004), (1e-3, 0.015), (1e-2, 0.05), (0.1, 0.12), (1.0, 0.3), (10.0, 0.6), (100.0, 0.95))
    ]


def npn(chance: Random, volts: float, amperes: float, whole: bool) -> Record:
    """An NPN transistor for a rail and a current."""
    part = _named("bjt", chance)
    rating = max(amperes * chance.choice([1.2, 2.0, 4.0]), 0.02)
    least = chance.choice([60.0, 100.0, 160.0])
    points = [(0.001 * rating, 0.7), (0.02 * rating, 0.9), (0.2 * rating, 1.0), (0.6 * rating, 0.7), (rating, 0.4)]
    part |= {
        "polarity": "NPN", "vceo": round(volts * chance.choice([1.2, 1.6, 2.5])), "vebo": 5.0, "ic_max": rating,
        "icm": rating * 2, "icm_width": 1e-3, "ib_max": rating / 5, "tj_max": "150 °C",
        "hfe": [{"ic": i, "vce": 1.0, "min": least * f, "max": least * f * 2.5} for i, f in points],
        "vce_sat": [
            {"ic": 0.1 * rating, "ib": 0.005 * rating, "max": 0.3}, {"ic": 0.4 * rating, "ib": 0.02 * rating, "max": 0.5},
            {"ic": rating, "ib": 0.1 * rating, "max": 0.7},
        ],
        "vbe_sat": [
            {"ic": 0.1 * rating, "ib": 0.01 * rating, "min": 0.65, "max": 0.85},
            {"ic": rating, "ib": 0.1 * rating, "min": 0.75, "max": 1.2},
        ],
        "vbe_on": [{"ic": 0.01 * rating, "vce": 5.0, "min": 0.56, "max": 0.7}],
        "icbo": [{"tj": "150 °C", "max": chance.choice([1e-7, 1e-6, 5e-6])}],
        "rbsoa": [{"vce": round(volts * 1.2), "max": rating}, {"vce": round(volts * 2.5), "max": rating * 0.5}],
    }  # fmt: skip
    part["rbsoa"] = part["rbsoa"][: 1 + (part["vceo"] > volts * 2.4)]
    if whole or chance.random() < 0.6:
        part["hfe_factor"] = [{"tj": "-55 °C", "min": 0.5, "max": 0.7}, {"tj": "150 °C", "min": 1.1, "max": 1.9}]
    if chance.random() < 0.5:
        part["zth"] = _impedance(chance, 200.0)
    return part


def led(chance: Random) -> Record:
    """An indicator LED."""
    part = _named("led", chance)
    typical = chance.choice([1.9, 2.1, 3.0])
    spread, slope, ohms = chance.uniform(0.1, 0.35), 0.045, chance.uniform(4.0, 12.0)
    test = 0.02

    def at(current: float) -> float:
        from math import log

        return typical + slope * log(current / test) + ohms * (current - test)

    part |= {
        "colour": "amber", "vr_max": chance.choice([5.0, 5.0, 12.0, 60.0]), "tj_max": "110 °C",
        "vf": [
            {"i_f": i, "min": at(i) - spread, "typ": at(i), "max": at(i) + spread} for i in (1e-4, 1e-3, 0.005, 0.02)
        ],
        "vf_tempco": {"min": -0.004, "max": -0.0015},
        "if_max": [{"temperature": "25 °C", "max": 0.03}, {"temperature": "60 °C", "max": 0.02},
                   {"temperature": "85 °C", "max": 0.01}],
        "iv": [{"i_f": i, "min": 0.05 * i / test, "typ": 0.1 * i / test, "max": 0.2 * i / test} for i in (1e-3, 0.02)],
    }  # fmt: skip
    return part


def diode(chance: Random, volts: float, amperes: float, fast: bool = False) -> Record:
    """A flyback diode."""
    part = _named("diode", chance)
    schottky = fast or chance.random() < 0.5
    top = 0.5 if schottky else 1.0
    part |= {
        "construction": "schottky" if schottky else "fast-rectifier",
        "vrrm": max(round(volts * chance.choice([1.15, 1.6, 3.0])), 6), "ifrm": amperes * chance.choice([1.2, 3.0]),
        "trr_max": 1e-8 if schottky else 2e-7, "vfr_max": 1.0 if schottky else 2.5, "tj_max": "150 °C",
        "vf": [{"i_f": amperes * s, "max": top * f} for s, f in ((0.1, 0.7), (1.0, 1.0), (3.0, 1.3))],
        "if_av": [{"temperature": f"{t} °C", "reference": "ambient", "max": amperes * f}
                  for t, f in ((25, 1.5), (70, 1.3), (100, 1.0))],
        "ir": [{"tj": f"{t} °C", "max": i * (40 if schottky else 1)} for t, i in ((25, 1e-6), (100, 2e-5), (150, 2e-4))],
    }  # fmt: skip
    return part


def breakdown(chance: Random, volts: float, amperes: float, both: bool = False) -> Record:
    """A Zener or TVS that breaks down at about that voltage."""
    part = _named("diode", chance)
    power = chance.choice([400.0, 600.0])
    clamp = volts * chance.uniform(1.2, 1.4)
    part |= {
        "construction": "tvs-bidirectional" if both else "tvs", "standoff": round(volts * 0.88, 2),
        "vbr_min": volts * 0.97, "vbr_max": volts * 1.08, "tj_max": "150 °C", "power_max": 3.0,
        "clamping": [{"ipp": power / clamp * s, "max": volts * 1.08 + (clamp - volts * 1.08) * s} for s in (0.05, 0.3, 1.0)],
        "pulse_power": [{"pulse_width": w, "max": power * s} for w, s in ((1e-4, 3.0), (1e-3, 1.0), (1e-2, 0.3), (0.1, 0.1))],
        "repetitive_energy": 0.1, "pulse_energy": 0.4,
        "vf": [{"i_f": amperes * s, "max": 1.0 * f} for s, f in ((0.1, 0.8), (1.0, 1.0), (3.0, 1.3))],
        "ir": [{"tj": f"{t} °C", "max": i} for t, i in ((25, 1e-6), (150, 1e-4))],
    }  # fmt: skip
    return part


def regulator(chance: Random, volts: float) -> Record:
    """A fixed linear regulator for 5 V or 3.3 V."""
    part = _named("regulator", chance)
    part |= {
        "topology": "linear", "output": "fixed", "v_out": {"min": volts * 0.97, "typ": volts, "max": volts * 1.03},
        "vin_max": 35.0, "iout_max": chance.choice([0.1, 0.5, 1.0]), "iq_max": 0.006, "tj_max": "125 °C",
        "cout_min": 4.7e-6, "esr_min": 0.0, "esr_max": 2.0, "cout_max": 1e-3,
        "dropout": [{"iout": i, "max": v} for i, v in ((0.01, 0.4), (0.1, 0.8), (0.5, 1.1), (1.0, 1.3))],
    }  # fmt: skip
    return part


def terminal(chance: Random) -> Record:
    """A screw terminal."""
    part = _named("terminal", chance)
    part |= {
        "pitch": 0.00508, "poles": 12, "rated_current": 10.0, "rated_voltage": 150.0, "t_max": "105 °C",
        "contact_resistance_min": 0.0005, "contact_resistance_max": chance.choice([0.005, 0.02, 0.05]),
        "wire_area_min": "0.2 mm²", "wire_area_max": "2.5 mm²",
        "current": [{"temperature": f"{t} °C", "basis": "derated", "max": i} for t, i in ((40, 10.0), (70, 7.0), (90, 4.0))],
    }  # fmt: skip
    return part
