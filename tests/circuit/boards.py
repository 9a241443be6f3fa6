"""Boards drawn at random: several rails, things beside each other on one switch, strings, shared drives, long cables."""

from random import Random
from typing import Any

from tests.circuit import stock

Table = dict[str, Any]


SORTS = [
    "coil", "coil", "coil", "coil", "resistive", "resistive", "lamp", "motor", "logic-input", "led-string", "capacitive",
]  # fmt: skip


def random_board(seed: int) -> Table:
    """The tables of one board file."""
    return _Drawing(seed).board()


class _Drawing:
    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)
        self.policy = self.chance.choice(["datasheet", "bench"])
        self.main = self.chance.choice([12.0, 12.0, 24.0])
        self.logic = self.chance.choice([5.0, 5.0, 3.3])
        self.made: Table = {
            "format": 1, "name": f"drawn at random, {seed}", "policy": self.policy,
            "surroundings": {"ambient": self.chance.choice(["0..40 °C", "-20..50 °C", "15..35 °C"])},
            "part": [], "rail": {}, "chip": {}, "drive": {}, "load": {}, "role": {}, "track": {},
        }  # fmt: skip

    def board(self) -> Table:
        """Rails, then switch after switch with what hangs on it."""
        self._rails()
        for k in range(1, self.chance.choice([1, 1, 1, 2, 2, 3]) + 1):
            self._channel(k)
        if self.chance.random() < 0.3:
            self._indicator("DL", {"drive": self._drive("LED")}, self.logic)
        if self.chance.random() < 0.4:
            self._terminals()
        if self.chance.random() < 0.3:
            self._tracks()
        switched = list(self.made["load"])
        if len(switched) > 2 and self.chance.random() < 0.4:
            self.made["at_once"] = [{"of": switched, "most": self.chance.randint(1, len(switched) - 1)}]
        return {key: value for key, value in self.made.items() if value not in ({}, [])}

    def _fit(self, ref: str, part: Table, role: Table) -> None:
        self.made["part"].append(part)
        self.made["role"][ref] = {"fitted": part["part_number"], **role}

    def _rails(self) -> None:
        chance, rails = self.chance, self.made["rail"]
        rails["MAIN"] = {"voltage": self._span(self.main, chance.choice([0.03, 0.05, 0.1]))}
        if chance.random() < 0.5:
            rails["MAIN"]["source_resistance"] = chance.choice(["10..30 mΩ", "50..150 mΩ"])
        if chance.random() < 0.3:
            rails["MAIN"]["feed"] = {"length": f"{chance.choice([0.5, 2, 5])} m", "wire": "1.5 mm²", "rating": "10 A"}
        if chance.random() < 0.2:
            rails["MAIN"]["protection_drop"] = "0.3..0.6 V"
        if chance.random() < 0.5:
            rails["LOGIC"] = {"regulator": "U1"}
            role = {"role": "regulator", "input": "MAIN", "output": "LOGIC", "theta_ja": chance.choice([25, 50, 100, 200]),
                    "output_capacitor": "22 µF ±20 %", "output_esr": "0.01..1 Ω"}  # fmt: skip
            self._fit("U1", stock.regulator(chance, self.logic), role)
        else:
            rails["LOGIC"] = {"voltage": self._span(self.logic, 0.03)}
        rails["LOGIC"]["logic_current"] = chance.choice(["1..5 mA", "5..30 mA"])
        if chance.random() < 0.4:
            rails["OTHER"] = {"voltage": self._span(chance.choice([5.0, 9.0, 12.0, 24.0]), 0.05)}
        self.made["chip"]["CPU"] = {"supply": "LOGIC", "pin_current": "20 mA", "total_current": "120 mA"}

    def _span(self, typical: float, share: float) -> str:
        return f"{typical * (1 - share):.4g}..{typical:.4g}..{typical * (1 + share):.4g} V"

    def _drive(self, name: str) -> str:
        chance = self.chance
        strong = chance.random() < 0.3
        self.made["drive"][name] = {
            "chip": "CPU", "high": f"{self.logic * 0.955:.4g}..{self.logic * 0.97:.4g} V", "low": "0..0.1 V",
            "source_resistance": "5..15 Ω" if strong else "20..60 Ω", "edge_time": "5..20 ns",
        }  # fmt: skip
        if chance.random() < 0.3:
            self.made["drive"][name]["floats"] = True
        return name

    # ---- channels

    def _channel(self, k: int) -> None:
        chance = self.chance
        light = chance.random() < 0.4
        rail = "MAIN" if chance.random() < 0.8 or "OTHER" not in self.made["rail"] else "OTHER"
        loads = [self._load(f"L{k}", rail, light)]
        if chance.random() < 0.22:
            other = chance.choice([name for name in self.made["rail"] if name != "LOGIC" or not light])
            loads.append(self._load(f"M{k}", other, light))
            for name in loads:  # one switch has one way of chopping
                self.made["load"][name].pop("chopped", None)
        current = sum(self._current(name) for name in loads)
        volts = max(self._volts(self.made["load"][name]["rail"]) for name in loads)
        ref = f"Q{k}"
        clamps = [name for name in loads if self.made["load"][name]["sort"] in ("coil", "motor")]
        peak = volts
        for name in clamps:
            peak = max(peak, self._clamp(name, ref, volts))
        for letter in "AB"[: chance.choice([0, 0, 1, 1, 2])]:
            led = f"D{k}{letter}"
            feed: Table = {"rail": rail if chance.random() < 0.6 else chance.choice(list(self.made["rail"]))}
            if chance.random() < 0.15:
                feed = {"drive": self._drive(f"PIN{led}")}
            fed = self._volts(feed["rail"]) if "rail" in feed else self.logic
            self._indicator(led, {**feed, "switch": ref}, fed)
            loads.append(led)
        drive = (
            next(iter(self.made["drive"])) if self.made["drive"] and chance.random() < 0.15 else self._drive(f"P{k}")
        )
        self._switch(ref, light, loads, drive, current + 0.02, peak)

    def _switch(self, ref: str, light: bool, loads: list[str], drive: str, current: float, volts: float) -> None:
        chance = self.chance
        role: Table = {"load": loads, "drive": drive}
        if light:
            role |= {"role": "npn-sink", "theta_ja": self._theta(0.3 * current + 0.85 * current / 15, 150, 500)}
            base = (self.logic * 0.95 - 0.85) / (current / chance.choice([9, 12, 18]))
            role["base_resistor"] = f"{max(base, 200):.3g} Ω ±5 %"
            if chance.random() < 0.6:
                role["base_emitter_resistor"] = chance.choice(["10 kΩ ±5 %", "47 kΩ ±5 %"])
            heat = self.logic**2 / float(role["base_resistor"].split()[0])
            role["base_resistor_power"] = f"{heat * chance.choice([1.05, 1.8, 1.8, 3]):.3g} W"
            self._fit(ref, stock.npn(chance, volts, current, self.policy == "datasheet"), role)
            return
        part = stock.mosfet(chance, volts, current, self.logic * 0.95, self.policy == "datasheet")
        heat = current**2 * part["rds_on"][0]["max"] * 1.7
        role |= {"role": "mosfet-switch", "theta_ja": self._theta(heat, 40, 120)}
        role["gate_resistor"] = chance.choice(["330 Ω ±5 %", "470 Ω ±5 %"])
        role["pulldown"] = "100 kΩ ±5 %"
        role["pulldown_power"] = "31 mW"
        self._fit(ref, part, role)

    def _theta(self, heat: float, low: float, high: float) -> float:
        """A usual resistance, or one that brings the junction near its limit."""
        if self.chance.random() < 0.5:
            return self.chance.choice([low, high])
        return round(min(max(85 / heat * self.chance.choice([0.3, 0.6, 0.9, 1.1]), 5.0), 1500.0), 1)

    def _volts(self, rail: str) -> float:
        if rail == "LOGIC":
            return self.logic
        return float(self.made["rail"][rail]["voltage"].removesuffix(" V").split("..")[-1])

    def _current(self, name: str) -> float:
        """Largest current of a load drawn here."""
        return self._current_of(self.made["load"][name])

    def _current_of(self, load: Table) -> float:
        if load["sort"] == "motor":
            return float(load["stall_current"]) * load.get("count", 1)
        if load["sort"] == "capacitive":  # a switch that may carry its start
            return self._volts(load["rail"]) / float(load["series_resistance"].split("..")[0]) / 3
        if "current" in load:
            return float(load["current"].removesuffix(" A").split("..")[-1]) * load.get("count", 1)
        return self._volts(load["rail"]) / float(load["resistance"].split()[0]) / 0.85 * load.get("count", 1)

    def _load(self, name: str, rail: str, light: bool) -> str:
        chance, volts = self.chance, self._volts(rail)
        amperes = chance.choice([0.01, 0.03, 0.08]) if light else chance.choice([0.2, 0.5, 1.0, 2.0])
        if rail == "LOGIC":
            amperes = min(amperes, 0.03)
        sort = chance.choice(SORTS)
        if sort in ("lamp", "motor", "capacitive") and light:
            sort = "resistive"
        load: Table = {"sort": sort, "rail": rail}
        ohms = volts / amperes
        if sort == "coil":
            load |= {
                "resistance": f"{ohms:.4g} Ω ±8 %",
                "inductance": f"{ohms * chance.choice([0.3, 1, 3]):.4g} mH ±20 %",
            }
            if chance.random() < 0.5:
                load["winding_temperature"] = "0..80 °C"
            tau = float(load["inductance"].split()[0]) / 1000 / ohms
            if chance.random() < 0.6:
                share = chance.choice([0.1, 0.3])
                load |= {
                    "release_level": f"{amperes * share:.4g} A",
                    "release_time": f"{tau * chance.choice([1, 2, 3.5]):.4g} s",
                }
        elif sort == "resistive":
            load["resistance"] = f"{ohms:.4g} Ω ±5 %"
        elif sort == "lamp":
            load |= {
                "current": f"{amperes * 0.8:.4g}..{amperes:.4g} A",
                "inrush_factor": chance.choice([6, 10]),
                "inrush_time": "30 ms",
            }
        elif sort == "motor":
            load |= {"current": f"{amperes * 0.3:.4g}..{amperes * 0.5:.4g} A", "stall_current": amperes,
                     "inductance": "2 mH ±30 %", "resistance": f"{ohms:.4g} Ω ±10 %"}  # fmt: skip
            if chance.random() < 0.6:
                load["stall_time"] = chance.choice(["0.2 s", "2 s", "60 s"])
        elif sort == "capacitive":
            share = chance.choice([0.3, 0.7])
            series = ohms * chance.choice([0.1, 0.3, 0.8])
            load |= {
                "current": f"{amperes * 0.2:.4g}..{amperes * share:.4g} A",
                "capacitance": f"{chance.choice([10, 100, 2200])} µF ±20 %",
                "series_resistance": f"{series:.4g}..{series * 1.5:.4g} Ω",
            }
        elif sort == "led-string":
            load |= {
                "forward_voltage": f"{volts * 0.5:.3g}..{volts * 0.6:.3g} V",
                "resistance": f"{ohms * 0.5:.4g} Ω ±5 %",
            }
        else:
            load |= {"current": f"{amperes * 0.4:.4g}..{amperes * 0.5:.4g} A", "low_level": "0.8 V"}
        if chance.random() < 0.1:
            load["count"] = 2
        if chance.random() < 0.08:
            load["extra_current"] = f"0..{amperes * 0.1:.3g} A"
        if sort in ("coil", "motor", "lamp", "capacitive"):
            load["rate"] = chance.choice([0.01, 0.2, 2])
        if sort in ("coil", "motor", "resistive") and chance.random() < 0.15:
            load["chopped"] = {
                "frequency": f"{chance.choice([0.01, 0.5, 20, 400, 4000])} Hz",
                "duty": chance.choice(["0.1..0.5", "0.3..0.9"]),
            }
            load["edge_limit"] = "50 µs"
        if sort in ("led-string", "logic-input", "capacitive"):
            load["reverse_limit"] = chance.choice(["1.5 V", "6 V", "30 V"])
        self._asked(load, volts, light)
        self.made["load"][name] = load
        return name

    def _asked(self, load: Table, volts: float, light: bool) -> None:
        chance = self.chance
        if chance.random() < 0.5:
            load["cable"] = {
                "length": f"{chance.choice([0.5, 2, 5, 10])} m",
                "wire": "0.75 mm²",
                "rating": f"{max(self._current_of(load) * chance.choice([0.5, 0.9, 1.1, 2]), 0.05):.3g} A",
            }
            if chance.random() < 0.6:
                load["cable"]["inductance"] = f"{float(load['cable']['length'].split()[0]) * 0.7:.3g} µH ±30 %"
        if chance.random() < 0.4:
            load["least_voltage"] = f"{volts * chance.choice([0.75, 0.82, 0.86]):.4g} V"
        if chance.random() < 0.4:
            load["allowed_drop"] = chance.choice(["0.5 V", "0.9 V", "1.2 V"] if light else ["0.15 V", "0.3 V", "0.5 V"])
        if chance.random() < 0.5:
            load["off_leakage"] = chance.choice(["0.5 mA", "2 mA"])

    # ---- what hangs beside

    def _clamp(self, name: str, switch: str, volts: float) -> float:
        """A clamp of some shape; gives the highest voltage that it lets the drain reach."""
        chance, load = self.chance, self.made["load"][name]
        current, rail = self._current(name), self._volts(load["rail"])
        shapes = ["diode", "diode", "diode", "tvs across switch", "pair", "bidirectional"]
        shape = chance.choice(shapes if current < 0.15 else [*shapes, "none"])
        role: Table = {"role": "clamp", "load": name, "theta_ja": chance.choice([60, 100])}
        if chance.random() < 0.15 and shape == "diode":
            role["position"] = "load"
        if shape == "diode":
            self._fit(f"D{name}", stock.diode(chance, rail, current), role)
            return rail + 2
        zener = chance.choice([5.0, 12.0, 20.0])
        if shape == "pair":
            self._fit(f"D{name}", stock.diode(chance, rail, current), {**role, "in_series_with": f"Z{name}"})
            other = {**role, "conducts": "breakdown", "in_series_with": f"D{name}"}
            self._fit(f"Z{name}", stock.breakdown(chance, zener, current), other)
            return rail + zener * 1.3 + 2
        if shape == "bidirectional":
            stands = rail * chance.choice([1.2, 1.6])
            self._fit(f"Z{name}", stock.breakdown(chance, stands, current, True), {**role, "conducts": "breakdown"})
            return rail + stands * 1.3
        if shape == "tvs across switch":
            top = volts * 1.2 + zener
            role |= {"across": "switch", "conducts": "breakdown"}
            self._fit(f"Z{name}", stock.breakdown(chance, top, current), role)
            return top * 1.3
        return volts * 2

    def _indicator(self, ref: str, feed: Table, volts: float) -> None:
        chance = self.chance
        part = stock.led(chance)
        series = chance.choice([1, 1, 1, 2, 3]) if volts > 8 else 1
        current = chance.choice([0.002, 0.005, 0.01])
        ohms = max((volts - series * part["vf"][2]["typ"]) / current, 100.0)
        role: Table = {
            "role": "indicator",
            **feed,
            "in_series": series,
            "resistor": f"{ohms:.4g} Ω ±5 %",
            "theta_ja": 400,
        }
        if chance.random() < 0.5:
            role["resistor_power"] = "0.25 W"
        if chance.random() < 0.5:
            role["least_current"] = f"{current * chance.choice([0.25, 0.4, 0.6]):.4g} A"
        self._fit(ref, part, role)

    def _terminals(self) -> None:
        poles: list[Table] = [
            {"pole": 1, "side": "supply", "rail": "MAIN"},
            {"pole": 2, "side": "return", "rail": "MAIN"},
        ]
        for name in self.made["load"]:
            poles.append({"pole": len(poles) + 1, "side": "feed", "load": name})
            poles.append({"pole": len(poles) + 1, "side": "switched", "load": name})
        self._fit("J1", stock.terminal(self.chance), {"role": "terminal", "poles": poles, "wire": "0.75 mm²"})

    def _tracks(self) -> None:
        chance = self.chance
        self.made["track"]["common"] = {
            "width": f"{chance.choice([1, 3, 6])} mm", "thickness": "32 µm", "length": f"{chance.choice([30, 80])} mm", "rail": "MAIN",
        }  # fmt: skip
        if chance.random() < 0.5:
            self.made["ground"] = {"resistance": chance.choice(["2 mΩ", "10 mΩ", "40 mΩ"])}


def written(board: Table) -> str:
    """The board as the text of a board file."""
    lines = [
        f"{key} = {_value(value)}"
        for key, value in board.items()
        if not isinstance(value, dict) and key not in ("part", "at_once")
    ]
    for group in board.get("at_once", []):
        lines += ["", "[[at_once]]", *_lines(group)]
    for key, value in board.items():
        if isinstance(value, dict):
            flat = key in ("surroundings", "limits", "ground", "replacement_resistor")
            for name, table in {"": value}.items() if flat else value.items():
                lines += ["", f"[{key}]" if flat else f"[{key}.{name}]", *_lines(table)]
    for part in board.get("part", []):
        lines += ["", "[[part]]", *_lines(part)]
    return "\n".join(lines) + "\n"


def _lines(table: Table) -> list[str]:
    return [f"{key} = {_value(value)}" for key, value in table.items()]


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, dict):
        return "{ " + ", ".join(_lines(value)) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
