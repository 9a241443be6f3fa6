"""A board begun from channels: the data of a board file, and a comment wherever something was assumed."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from partcheck.board.compose import compose
from partcheck.board.locate import Path
from partcheck.jobs.boards.channels import ASSUMED_LAMP, BadChannel, Channel
from partcheck.units import parse_span

POLES = re.compile(r"([A-Za-z]+\d+)\s*[-:./ ]\s*(\d+)(?:\s*[,/&+]\s*(\d+))?")
REFERENCE = re.compile(r"[A-Za-z]{1,2}\d{1,3}")
ASSUMED = "assumed"


@dataclass
class BoardStart:
    """What stands around the channels; what is empty is assumed and marked, or left out."""

    name: str = "a board"
    parts: list[str] = field(default_factory=list)
    ambient: str = ""
    logic: str = ""
    """Voltage of the logic that drives the switches, with its tolerance."""
    supplies: dict[str, dict[str, str]] = field(default_factory=dict)
    """Rails that are stated already: name to keys."""
    assumed: dict[Path, str] = field(default_factory=dict)
    """Comments on what is stated here."""
    regulator: dict[str, str] = field(default_factory=dict)
    """Part, input rail and capacitor of the regulator that makes the logic's supply."""
    panel: list[dict[str, str]] = field(default_factory=list)
    """Lamps that hang on no load: part, resistor, and the rail or the drive that feeds each."""


@dataclass
class Begun:
    """The data of the board and its comments."""

    data: dict[str, Any]
    comments: dict[Path, str]

    def text(self, head: Sequence[str]) -> str:
        """The board file."""
        return compose(self.data, self.comments, head)


class _Builder:
    def __init__(self, start: BoardStart, channels: Sequence[Channel]) -> None:
        self.start, self.channels = start, channels
        self.data: dict[str, Any] = {}
        self.comments: dict[Path, str] = {}
        self.rails: dict[str, str] = {}

    def build(self) -> Begun:
        """Everything, table by table."""
        start = self.start
        self.data |= {"format": 1, "name": start.name}
        if start.parts:
            self.data["parts"] = start.parts
        self.data["surroundings"] = {"ambient": start.ambient or "5..45 °C"}
        if not start.ambient:
            self.comments["surroundings", "ambient"] = ASSUMED
        self.data |= {table: {} for table in ("rail", "drive", "load", "role")}
        self._supplies()
        self._drives()
        for channel in self.channels:
            self._load(channel)
        self._roles()
        self._terminals()
        self.data = {key: value for key, value in self.data.items() if value != {}}
        self.comments |= self.start.assumed
        return Begun(self.data, self.comments)

    # ---- supplies and drives

    def _supplies(self) -> None:
        for name, keys in self.start.supplies.items():
            self.data["rail"][name] = dict(keys)
            self.rails[keys.get("voltage", name)] = name
        for channel in self.channels:
            if channel["voltage"] in self.rails:
                continue
            volts = parse_span(channel["voltage"], "V").typ
            name = self._free("rail", f"V{f'{volts:g}'.replace('.', '_')}")
            self.data["rail"][name] = {"voltage": channel["voltage"]}
            self.rails[channel["voltage"]] = name
            if "voltage" in channel.assumed:
                self.comments["rail", name, "voltage"] = channel.assumed["voltage"]
        if self.start.regulator:
            self._regulator()

    def _regulator(self) -> None:
        made = self.start.regulator
        name = made.get("output") or self._free("rail", "LOGIC")
        rail: dict[str, Any] = {"regulator": "U1"}
        rail |= {key: made[key] for key in ("logic_current", "accepts") if made.get(key)}
        self.data["rail"][name] = rail
        source = made.get("input") or next(iter(self.data["rail"]))
        role = {"role": "regulator", "fitted": made.get("part"), "input": source, "output": name}
        role |= {key: made.get(key) for key in ("output_capacitor", "output_esr")}
        self.data["role"]["U1"] = {key: value for key, value in role.items() if value}

    def _free(self, table: str, name: str) -> str:
        """The name, or with a further letter where it is taken."""
        taken = {known for entries in self.data.values() if isinstance(entries, dict) for known in entries}
        made, further = name, iter("abcdefghijklmnopqrstuvwxyz")
        while made in taken:
            made = f"{name}{next(further)}"
        return made

    def _drives(self) -> None:
        logic = self.start.logic or "5 V ±5 %"
        span = parse_span(logic, "V")
        levels = {"high": logic, "low": "0..0.2 V", "source_resistance": "20..100 Ω"}
        for i, channel in enumerate(self.channels, 1):
            channel.values["drive"] = channel["drive"] or f"OUT{i}"
        fed = [lamp["drive"] for lamp in self.start.panel if lamp.get("drive")]
        for name in [*(channel["drive"] for channel in self.channels), *fed]:
            self.data["drive"].setdefault(name, dict(levels))
            self.comments |= {("drive", name, key): ASSUMED for key in levels if key != "high" or not self.start.logic}
        if span.exact and self.start.logic:
            raise BadChannel(f"the logic's {logic} states no tolerance; write it with one, as in '{logic} ±5 %'")

    # ---- loads

    def _load(self, channel: Channel) -> None:
        name, sort = channel["load"], channel["sort"]
        if name in self.data["load"]:
            raise BadChannel(f"the load {name!r} is listed twice; give each a name of its own")
        load: dict[str, Any] = {"sort": sort, "rail": self.rails[channel["voltage"]]}
        keys = ["resistance", "current", "inductance", "stall_current", "rate"]
        keys += ["capacitance", "series_resistance"] if sort == "capacitive" else []
        for key in keys:
            if channel[key] and not (key == "inductance" and sort not in ("coil", "motor")):
                load[key] = channel[key]
        if sort not in ("coil", "motor", "resistive", "led-string"):
            load.pop("resistance", None)
        if sort != "motor":
            load.pop("stall_current", None)
        if sort == "lamp":
            load |= ASSUMED_LAMP
            self.comments |= {("load", name, key): ASSUMED for key in ASSUMED_LAMP}
        if channel["cable_length"]:
            load["cable"] = {"length": channel["cable_length"], "wire": channel["wire"]}
            if "wire" in channel.assumed:
                self.comments["load", name, "cable"] = "wire assumed"
        self.data["load"][name] = load
        self.comments |= {("load", name, key): words for key, words in channel.assumed.items() if key in load}

    # ---- places

    def _roles(self) -> None:
        """Switches, clamps and lamps, each kind numbered in the order of the channels."""
        clamps = sum(bool(channel["clamp"]) for channel in self.channels)
        lamps = iter(range(clamps + 1, 10_000))
        led = {id(channel): f"D{next(lamps)}" for channel in self.channels if channel["indicator"]}
        for kind in ("mosfet-switch", "npn-sink"):
            for i, channel in enumerate(self.channels, 1):
                if channel["switch_kind"] == kind:
                    self._switch(f"Q{i}", channel, led.get(id(channel), ""))
        ref = iter(range(1, 10_000))
        for channel in self.channels:
            if channel["clamp"]:
                self.data["role"][f"D{next(ref)}"] = {
                    "role": "clamp",
                    "fitted": channel["clamp"],
                    "load": channel["load"],
                }
        for i, channel in enumerate(self.channels, 1):
            if channel["indicator"]:
                self._lamp(led[id(channel)], self.rails[channel["voltage"]], channel, f"Q{i}")
        for lamp in self.start.panel:
            own = f"D{next(lamps)}"
            made = {
                "role": "indicator",
                "fitted": lamp.get("part"),
                "rail": lamp.get("rail"),
                "drive": lamp.get("drive"),
            }
            made["resistor"] = lamp["resistor"]
            self.data["role"][own] = {key: value for key, value in made.items() if value}
            if lamp.get("assumed"):
                self.comments["role", own, "resistor"] = lamp["assumed"]

    def _switch(self, ref: str, channel: Channel, lamp: str) -> None:
        mosfet = channel["switch_kind"] == "mosfet-switch"
        keys = ("gate_resistor", "pulldown") if mosfet else ("base_resistor", "base_emitter_resistor")
        role: dict[str, Any] = {"role": channel["switch_kind"], "fitted": channel["switch"], "drive": channel["drive"]}
        role["load"] = [channel["load"], lamp] if lamp else channel["load"]
        for key, name in zip(keys, ("resistor", "hold_off"), strict=True):
            role[key] = channel[name]
            if name in channel.assumed:
                self.comments["role", ref, key] = channel.assumed[name]
        self.data["role"][ref] = {key: value for key, value in role.items() if value}

    def _lamp(self, ref: str, rail: str, channel: Channel, switch: str) -> None:
        role = {"role": "indicator", "fitted": channel["indicator"], "rail": rail, "switch": switch}
        self.data["role"][ref] = role | {"resistor": channel["indicator_resistor"]}
        if "indicator_resistor" in channel.assumed:
            self.comments["role", ref, "resistor"] = channel.assumed["indicator_resistor"]

    def _terminals(self) -> None:
        """Terminals named with their poles, named alone, or one of a part number for each channel."""
        poles: dict[str, list[dict[str, Any]]] = {}
        for channel in self.channels:
            stated, load = channel["terminal"], channel["load"]
            found = POLES.fullmatch(stated)
            if not stated:
                continue
            if found is not None:
                numbers = [int(number) for number in found.groups()[1:] if number]
                ref, sides = found[1], ("feed", "switched") if len(numbers) == 2 else ("switched",)
            elif REFERENCE.fullmatch(stated):
                ref, sides = stated, ("feed", "switched")
                next_free = 1 + max((pole["pole"] for pole in poles.get(ref, [])), default=0)
                numbers = [next_free, next_free + 1]
            else:
                ref, sides, numbers = self._own_terminal(stated), ("feed", "switched"), [1, 2]
            mine = poles.setdefault(ref, [])
            for number, side in zip(numbers, sides, strict=True):
                if any(pole["pole"] == number for pole in mine):
                    raise BadChannel(
                        f"pole {number} of {ref} is given twice, the second time to {load}; give each its own"
                    )
                mine.append({"pole": number, "side": side, "load": load})
        for ref, listed in poles.items():
            stated_part = self.data["role"].get(ref, {"role": "terminal"})
            self.data["role"][ref] = stated_part | {"poles": listed}

    def _own_terminal(self, part: str) -> str:
        number = 1
        while f"J{number}" in self.data["role"]:
            number += 1
        self.data["role"][f"J{number}"] = {"role": "terminal", "fitted": part}
        return f"J{number}"


def begun(start: BoardStart, channels: Sequence[Channel]) -> Begun:
    """The board of these channels; :class:`BadChannel` where they contradict each other."""
    return _Builder(start, channels).build()


def assumed(made: Begun) -> Iterator[str]:
    """What was assumed, as sentences: key, value and words, alike ones once."""
    seen: dict[str, int] = {}
    for path, words in made.comments.items():
        if ASSUMED in words:
            value = made.data
            for step in path:
                value = value[step]  # type: ignore[index]
            key = f"{path[0]} {str(path[-1]).replace('_', ' ')}"
            said = f"{key}: {value if not isinstance(value, dict) else value.get('wire')}"
            said += f", {words}" if "assumed:" in words else ""
            seen[said] = seen.get(said, 0) + 1
    for said, count in seen.items():
        yield f"{said} ({count} times)" if count > 1 else said


__all__ = ["Begun", "BoardStart", "assumed", "begun"]
