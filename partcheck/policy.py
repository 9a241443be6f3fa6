"""Derating policies: named sets of factors, each with its source. A policy changes capability, not physics.

Every value a policy may state is declared once in :data:`VALUES`. A policy that states no factor falls back on
``datasheet`` (the limits themselves), and :attr:`Policy.fallen_back` says where. A user writes a policy in TOML::

    name = "workshop"
    base = "bench"
    source = "our own rules, 2024"
    [values]
    vds = 0.7
    [assumed]
    rds_on_factor = 2.0
"""

import difflib
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from partcheck.errors import PolicyError, ValueSlip
from partcheck.inputs import NotRead, is_pipe, objection, read_bytes, read_toml
from partcheck.units import parse

COMMON = "common practice, no published source"
FROM_MEMORY = "(from memory)"
"""How the source of a value ends that nobody has read in the publication itself."""
NAN = math.nan


@dataclass(frozen=True)
class PolicyValue:
    """What a policy may state: unit, meaning, the value of the bare datasheet, plausible range."""

    unit: str
    meaning: str
    datasheet: float
    low: float = 0.0
    high: float = 1.0


VALUES: dict[str, PolicyValue] = {
    "vds": PolicyValue("", "share of the drain-source rating", 1.0),
    "vgs": PolicyValue("", "share of the gate-source rating", 1.0),
    "id": PolicyValue("", "share of the drain current ratings", 1.0),
    "mosfet_power": PolicyValue("", "share of the power a MOSFET may dissipate", 1.0),
    "avalanche": PolicyValue("", "share of avalanche energy and current ratings", 1.0),
    "vceo": PolicyValue("", "share of the collector-emitter rating", 1.0),
    "ic": PolicyValue("", "share of the collector current ratings", 1.0),
    "ib": PolicyValue("", "share of the base current rating", 1.0),
    "bjt_power": PolicyValue("", "share of the power a transistor may dissipate", 1.0),
    "diode_vr": PolicyValue("", "share of a diode's reverse voltage", 1.0),
    "diode_if": PolicyValue("", "share of a diode's forward current ratings", 1.0),
    "diode_power": PolicyValue("", "share of the power a diode may dissipate", 1.0),
    "clamp_energy": PolicyValue("", "share of a clamp's pulse energy and power", 1.0),
    "led_if": PolicyValue("", "share of an LED's current ratings", 1.0),
    "led_power": PolicyValue("", "share of the power an LED may dissipate", 1.0),
    "regulator_vin": PolicyValue("", "share of a regulator's input voltage", 1.0),
    "regulator_iout": PolicyValue("", "share of a regulator's output current", 1.0),
    "regulator_power": PolicyValue("", "share of the power a regulator may dissipate", 1.0),
    "terminal_current": PolicyValue("", "share of a terminal's current", 1.0),
    "terminal_voltage": PolicyValue("", "share of a terminal's voltage", 1.0),
    "resistor_power": PolicyValue("", "share of a resistor's power", 1.0),
    "wire_current": PolicyValue("", "share of a wire's current", 1.0),
    "drive_current": PolicyValue("", "share of a drive output's current", 1.0),
    "source_current": PolicyValue("", "share of what a source delivers", 1.0),
    "tj_guard": PolicyValue("K", "how far the junction stays below its rating", 0.0, 0, 100),
    "tj_ceiling": PolicyValue("°C", "highest junction temperature whatever the rating", math.inf, 323.15, 600),
    "tight": PolicyValue("", "headroom below which a requirement that meets is called tight", 0.0),
    "gate_overdrive": PolicyValue("V", "gate voltage wanted above the largest threshold", 0.0, 0, 10),
    "gain_overdrive": PolicyValue("", "base current wanted above what the gain requires", 1.3, 1.3, 20),
    "noise": PolicyValue("V", "noise on a drive's low level", 0.0, 0, 3),
    "edge_margin_on": PolicyValue("", "factor by which turn-on edges are taken to be longer", 2.8, 1, 10),
    "edge_margin_off": PolicyValue("", "factor by which turn-off edges are taken to be longer", 1.65, 1, 10),
    "pole_share": PolicyValue("", "largest share of one of two parallel poles without stated resistances", 1.0, 0.5),
}

ASSUMED: dict[str, PolicyValue] = {
    "rds_on_factor": PolicyValue("", "on-resistance at 150 °C relative to 25 °C", NAN, 1, 4),
    "vgs_th_tempco": PolicyValue("V/K", "threshold against temperature", NAN, -0.02, 0),
    "rg_int_spread": PolicyValue("", "largest internal gate resistance over the typical", NAN, 1, 10),
    "hfe_factor": PolicyValue("", "gain at -55 °C relative to 25 °C; straight between", NAN, 0.05, 1),
    "hfe_hot_factor": PolicyValue("", "gain at 125 °C relative to 25 °C; straight between", NAN, 1, 5),
    "vbe_off": PolicyValue("V", "base-emitter voltage at 25 °C under which a silicon transistor is off", NAN, 0.2, 0.6),
    "rbsoa_share": PolicyValue("", "share of ic_max usable up to vceo at turn-off, where no area is stated", NAN, 0, 1),
    "leakage_doubling": PolicyValue("K", "temperature step that doubles a leakage", NAN, 5, 15),
    "vf_tempco": PolicyValue("V/K", "LED forward voltage against temperature", NAN, -0.01, 0),
    "light_factor": PolicyValue("1/K", "loss of light per kelvin above 25 °C", NAN, 0, 0.02),
    "square_root_law": PolicyValue("", "1: a current rating falls with the root of the temperature left", NAN, 1, 1),
    "gate_capacitance": PolicyValue(
        "F", "gate charge over the voltage that drives it off, for a MOSFET that does not state them", NAN, 1e-12, 1e-3
    ),
    "drive_resistance": PolicyValue("Ω", "drive and inner gate resistance, where one is not stated", NAN, 1, 1e6),
    "drive_edge": PolicyValue("s", "rise and fall time of a drive output that states none", NAN, 1e-9, 1e-3),
    "drive_leakage": PolicyValue("A", "what an output leaks while nothing drives it", NAN, 1e-9, 1e-2),
    "eas_repeats": PolicyValue("", "1: a single-pulse avalanche energy is used for repeated pulses", NAN, 0, 1),
    "track_fit": PolicyValue("", "1: the published track fit is used", NAN, 1, 1),
    "vfr": PolicyValue("V", "forward recovery peak of a diode whose datasheet states none", NAN, 0.5, 100),
    "cable_inductance": PolicyValue("H/m", "loop of a cable, per metre; its wires run side by side", NAN, 1e-7, 1e-5),
    "winding_rise": PolicyValue(
        "K", "rise of a coil's winding over the hottest air, where its temperature is not stated", NAN, 0, 200
    ),
    "cout_max": PolicyValue("F", "largest output capacitor of a regulator that states none", NAN, 1e-6, 1),
}


@dataclass(frozen=True)
class Policy:
    """A set of derating values in force, with the source of each."""

    name: str
    title: str
    values: Mapping[str, float]
    sources: Mapping[str, str]
    assumed: Mapping[str, float] = field(default_factory=dict)
    assumed_sources: Mapping[str, str] = field(default_factory=dict)

    def value(self, name: str) -> float:
        """The value in force, SI; the datasheet's own where the policy states none."""
        return self.values.get(name, VALUES[name].datasheet)

    def source(self, name: str) -> str:
        """Where the value comes from."""
        if name in self.sources:
            return f"policy {self.name}: {self.sources[name]}"
        return f"policy {self.name} states none: the datasheet's own limit"

    def assumption(self, name: str) -> float:
        """The value that may be assumed, SI; NaN where the policy allows no assumption."""
        return self.assumed.get(name, NAN)

    @property
    def unchecked(self) -> tuple[str, ...]:
        """The values that are told as a publication's and were written down from memory, not from its pages."""
        return tuple(name for name in self.values if self.sources.get(name, "").endswith(FROM_MEMORY))

    @property
    def fallen_back(self) -> tuple[str, ...]:
        """The values for which this policy states nothing."""
        return tuple(name for name in VALUES if name not in self.values)


def _all(names: Mapping[str, float], source: str) -> dict[str, str]:
    return dict.fromkeys(names, source)


_DATASHEET = {"edge_margin_on": 2.8, "edge_margin_off": 1.65, "gain_overdrive": 1.3, "pole_share": 1.0}
DATASHEET = Policy("datasheet", "The limits of the datasheets themselves", _DATASHEET, _all(_DATASHEET, COMMON))

_BENCH = {
    "vds": 0.8,
    "vgs": 0.9,
    "id": 0.8,
    "mosfet_power": 1.0,
    "avalanche": 0.8,
    "vceo": 0.8,
    "ic": 0.8,
    "ib": 0.8,
    "bjt_power": 1.0,
    "diode_vr": 0.8,
    "diode_if": 0.8,
    "diode_power": 1.0,
    "clamp_energy": 0.8,
    "led_if": 0.8,
    "led_power": 1.0,
    "regulator_vin": 0.9,
    "regulator_iout": 0.9,
    "regulator_power": 1.0,
    "terminal_current": 0.9,
    "terminal_voltage": 1.0,
    "resistor_power": 0.6,
    "wire_current": 1.0,
    "drive_current": 0.9,
    "source_current": 0.9,
    "tj_guard": 20.0,
    "tight": 0.1,
    "gate_overdrive": 0.5,
    "gain_overdrive": 1.5,
    "noise": 0.1,
    "edge_margin_on": 2.8,
    "edge_margin_off": 1.65,
    "pole_share": 0.6,
}
_BENCH_ASSUMED = {
    "rds_on_factor": 2.6,
    "vgs_th_tempco": -0.006,
    "rg_int_spread": 2.0,
    "hfe_factor": 0.45,
    "hfe_hot_factor": 2.0,
    "vbe_off": 0.4,
    "rbsoa_share": 0.5,
    "leakage_doubling": 10.0,
    "vf_tempco": -0.005,
    "light_factor": 0.01,
    "square_root_law": 1.0,
    "gate_capacitance": 200e-9,
    "drive_resistance": 200.0,
    "drive_edge": 1e-6,
    "drive_leakage": 1e-6,
    "eas_repeats": 1.0,
    "track_fit": 1.0,
    "vfr": 10.0,
    "cable_inductance": 1.5e-6,
    "winding_rise": 60.0,
    "cout_max": 1.0,
}
_BENCH_ASSUMED_SOURCES = {
    **_all(_BENCH_ASSUMED, COMMON),
    "rds_on_factor": "largest factor found in print, a textbook worst case (from memory)",
    "hfe_factor": "2N2222 datasheet curves give 0.47 at -55 °C (Philips 1997); rounded down",
    "drive_edge": "common practice, no published source: logic outputs, not those behind a filter or a coupler",
    "drive_leakage": "common practice, no published source: logic outputs without a pull-up in reset",
    "leakage_doubling": "Malvino & Bates, Electronic Principles, Example 2-6: doubles each 10 K",
    "square_root_law": "Fairchild IRF640N datasheet, figure 4: current falls with the root of Tjmax - Tc",
    "cable_inductance": "two-wire line, mu0/pi (ln(D/r) + 1/4), up to 33 radii apart; wires laid apart have more",
    "track_fit": "IPC-2221 section 6.2 fit; outside 70 % of its current, as newer charts allow",
}
BENCH = Policy(
    "bench",
    "Common bench practice",
    _BENCH,
    {
        **_all(_BENCH, COMMON),
        "vds": "Renesas knowledge base on V_DS (2007): use within 80 %; otherwise common practice",
    },
    _BENCH_ASSUMED,
    _BENCH_ASSUMED_SOURCES,
)

_ECSS = {
    "vceo": 0.75,
    "ic": 0.75,
    "bjt_power": 0.65,
    "vds": 0.8,
    "vgs": 0.75,
    "id": 0.75,
    "mosfet_power": 0.65,
    "diode_if": 0.75,
    "diode_vr": 0.75,
    "diode_power": 0.5,
    "led_if": 0.5,
    "tj_guard": 40.0,
    "tj_ceiling": 383.15,
    "terminal_current": 0.5,
    "terminal_voltage": 0.75,
    "tight": 0.1,
}
_ECSS_MEMORY = "ECSS-Q-ST-30-11C Rev.1/2, transistors and diodes clauses (from memory)"
ECSS = Policy(
    "ecss",
    "European space standard ECSS-Q-ST-30-11C",
    _ECSS,
    {
        **_all(_ECSS, _ECSS_MEMORY),
        "terminal_current": "ECSS-Q-ST-30-11C Rev.2 (23 June 2021) table 6-10, read as transcribed: current 50 %",
        "terminal_voltage": "ECSS-Q-ST-30-11C Rev.2 table 6-10, read as transcribed: 75 % of the working voltage",
        "tight": COMMON,
    },
)

_NASA = {
    "bjt_power": 0.6,
    "mosfet_power": 0.6,
    "ic": 0.75,
    "id": 0.75,
    "vceo": 0.75,
    "vds": 0.75,
    "vgs": 0.6,
    "diode_vr": 0.7,
    "diode_if": 0.5,
    "regulator_vin": 0.8,
    "regulator_iout": 0.8,
    "tj_guard": 40.0,
    "tj_ceiling": 398.15,
    "tight": 0.1,
}
NASA = Policy(
    "nasa-goddard",
    "NASA Goddard EEE-INST-002",
    _NASA,
    {**_all(_NASA, "NASA/TP-2003-212242 EEE-INST-002 derating tables (from memory)"), "tight": COMMON},
)

POLICIES: dict[str, Policy] = {p.name: p for p in (DATASHEET, BENCH, ECSS, NASA)}
DEFAULT = "bench"
MOST_BYTES = 1_000_000
MOST_BASES = 8
"""Policies on top of each other."""


def find_policy(name: str, bases: tuple[str, ...] = ()) -> Policy:
    """A policy by its name, or from a TOML file or pipe (``.toml``, ``-``); ``bases`` are those based on it."""
    if name.endswith(".toml") or is_pipe(Path(name)):
        return read_policy(Path(name), bases or (name,))
    if name in POLICIES:
        return POLICIES[name]
    close = difflib.get_close_matches(name, POLICIES, 1, 0.4)
    hint = f"did you mean {close[0]!r}?" if close else f"known: {', '.join(POLICIES)}, or a file ending in .toml"
    raise PolicyError(f"there is no policy {name!r}; {hint}")


def _data(path: Path) -> dict[str, Any]:
    try:
        raw = read_bytes(path, MOST_BYTES, "policy file")
    except NotRead as slip:
        raise PolicyError(str(slip)) from None
    return read_toml(raw.decode("utf-8-sig"))


def read_policy(path: Path, bases: tuple[str, ...] = ()) -> Policy:
    """Read a user's policy; every slip is one sentence that names the file and key."""
    try:
        if why := objection(path, MOST_BYTES, "policy file"):
            raise PolicyError(why)
        data = _data(path)
    except FileNotFoundError:
        raise PolicyError(f"there is no policy file {path}; check the name") from None
    except (OSError, UnicodeDecodeError) as slip:
        raise PolicyError(f"{path} cannot be read as a policy ({slip.__class__.__name__}); check the file") from None
    except tomllib.TOMLDecodeError as slip:
        raise PolicyError(f"{path}: this is not TOML ({slip})") from None
    except NotRead as slip:
        raise PolicyError(f"{path}: {slip}") from None
    unknown = set(data) - {"name", "title", "base", "source", "values", "assumed"}
    if unknown:
        raise PolicyError(
            f"{path}: there is no key {min(unknown)!r} in a policy; known: name, title, base, source, values, assumed"
        )
    if not isinstance(data.get("name"), str) or not isinstance(data.get("source"), str) or not data["source"].strip():
        raise PolicyError(f"{path}: a policy states its name and the source of its numbers, each as a text")
    name = str(data.get("base", "datasheet"))
    if len(bases) == MOST_BASES or name in bases:
        told = " on ".join([*bases[-2:], name])
        raise PolicyError(
            f"{path} is based on itself or on too many others ({told}); base it on one of {', '.join(POLICIES)}"
        )
    base = find_policy(name, (*bases, name))
    values = _numbers(path, "values", data.get("values", {}), VALUES)
    assumed = _numbers(path, "assumed", data.get("assumed", {}), ASSUMED)
    source = data["source"]
    return Policy(
        data["name"],
        str(data.get("title", data["name"])),
        {**base.values, **values},
        {**base.sources, **_all(values, source)},
        {**base.assumed, **assumed},
        {**base.assumed_sources, **_all(assumed, source)},
    )


def _numbers(path: Path, table: str, data: Any, known: Mapping[str, PolicyValue]) -> dict[str, float]:
    if not isinstance(data, dict):
        raise PolicyError(f"{path}: {table} is a table of names and numbers")
    made: dict[str, float] = {}
    for name, raw in data.items():
        if name not in known:
            close = difflib.get_close_matches(name, known, 1, 0.4)
            hint = f"did you mean {close[0]!r}?" if close else f"known: {', '.join(known)}"
            raise PolicyError(f"{path}: {table}.{name}: there is no such value; {hint}")
        declared = known[name]
        try:
            value = parse(raw, declared.unit)
        except ValueSlip as slip:
            raise PolicyError(f"{path}: {table}.{name}: {slip}") from None
        if not declared.low <= value <= declared.high:
            raise PolicyError(
                f"{path}: {table}.{name} = {raw} is out of range; allowed is {declared.low:g} to {declared.high:g}"
            )
        made[name] = value
    return made
