"""A further channel for a board that is there: one of its own, or like another of the board."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from partcheck.board import BoardFile
from partcheck.board.locate import Path, key_lines
from partcheck.board.names import numbered
from partcheck.board.roles import Clamp, Indicator, MosfetSwitch
from partcheck.board.short import NAMED
from partcheck.board.writing import edited_board
from partcheck.jobs.boards.channels import VALUES, BadChannel, Channel
from partcheck.jobs.boards.start import BoardStart, begun
from partcheck.units import parse_span

Entries = dict[Path, dict[str, Any]]
LOAD_KEYS = ("sort", "resistance", "current", "stall_current", "inductance", "rate")


class Added:
    """The tables of a new channel, by their path, and comments on what was assumed."""

    def __init__(self, file: BoardFile) -> None:
        self.file, self.board = file, file.board
        self.taken = {name for table in NAMED for name in getattr(file.board, table)}
        self.entries: Entries = {}
        self.comments: dict[Path, str] = {}
        self.notes: list[str] = []

    def free(self, like: str) -> str:
        """The next name that is free: after ``Q4`` the first of ``Q5``, ``Q6`` ..."""
        start, number = numbered(like) or (like, 1)
        numbers = [found[1] for name in self.taken if (found := numbered(name)) is not None and found[0] == start]
        name = f"{start}{max([number, *numbers]) + 1}"
        self.taken.add(name)
        return name

    def text(self) -> str:
        """The board's text with the new tables, and the comments beside their keys."""
        text = edited_board(self.file.text, list(self.entries.items()))
        lines = text.split("\n")
        where = key_lines(text)
        for path, words in self.comments.items():
            if path in where and "#" not in lines[where[path] - 1]:
                ending = "\r" if lines[where[path] - 1].endswith("\r") else ""
                lines[where[path] - 1] = f"{lines[where[path] - 1].rstrip()}  # {words}{ending}"
        text = "\n".join(lines)
        tomllib.loads(text)
        return text


def like_another(file: BoardFile, load: str, values: Mapping[str, str]) -> Added:
    """A channel like that of ``load``; ``values`` state what differs, as texts of a list of channels do."""
    made = Added(file)
    switch = file.board.switch_of(load)
    if switch is None:
        raise BadChannel(f"no switch of this board pulls {load}, so there is no channel to be like; name another")
    role: Any = file.board.role[switch]
    if [name for name in role.load if name in file.board.load] != [load]:
        raise BadChannel(f"{switch} switches more than {load}; a channel to be like has one load")
    differs = Channel()
    for name, text in values.items():
        differs.put(name, text)
    name = differs["load"] or made.free(load)
    _refuse_taken(made, name, differs["load"])
    drive = differs["drive"] or made.free(role.drive)
    names = {load: name, switch: made.free(switch), role.drive: drive}
    beside = list(_beside(file, load, role.load))
    names |= {ref: made.free(ref) for ref in beside}
    made.entries["load", name] = {"like": load, **_load_keys(made, load, differs)}
    if drive not in file.board.drive:
        made.entries["drive", drive] = {"like": role.drive}
    stated = [names[other] for other in role.load]
    keys = _switch_keys(made, names[switch], role, differs)
    made.entries["role", names[switch]] = {
        "like": switch,
        "drive": drive,
        "load": stated if len(stated) > 1 else name,
        **keys,
    }
    for ref in beside:
        made.entries["role", names[ref]] = _place_beside(file, ref, names, differs)
    if any(load in pole.load for place in file.board.role.values() for pole in getattr(place, "poles", ())):
        made.notes.append(f"no terminal has a pole for {name} yet; add it to the poles of its terminal")
    cable = file.board.load[load].cable
    if differs["cable_length"] and cable is not None and cable.inductance is not None:
        made.notes.append(f"the cable of {name} keeps the inductance stated for that of {load}; state its own")
    made.comments |= {("load", name, key): words for key, words in differs.assumed.items()}
    return made


def _refuse_taken(made: Added, name: str, stated: str) -> None:
    if stated and stated in made.taken:
        raise BadChannel(f"the name {name!r} is taken on this board; give the load another")
    made.taken.add(name)


def _beside(file: BoardFile, load: str, on_switch: list[str]) -> Iterator[str]:
    """The clamps of a load and the lamps on its switch."""
    yield from (ref for ref, clamp in file.board.of_type(Clamp) if clamp.load == load)
    yield from (ref for ref in on_switch if isinstance(file.board.role.get(ref), Indicator))


def _load_keys(made: Added, load: str, differs: Channel) -> dict[str, Any]:
    keys: dict[str, Any] = {key: differs[key] for key in LOAD_KEYS if differs[key]}
    if "resistance" in keys and getattr(made.board.load[load], "measured", None) is not None:
        keys["without"] = ["measured"]
    if differs["voltage"]:
        keys["rail"] = _rail(made, differs["voltage"])
    inner = {"length": differs["cable_length"], "wire": differs["wire"]}
    stated = {key: text for key, text in inner.items() if text}
    if stated and made.board.load[load].cable is None:
        stated = {"wire": VALUES["wire"].otherwise} | stated
    return keys | ({"cable": stated} if stated else {})


def _rail(made: Added, volts: str) -> str:
    """The rail of that voltage, or a new one."""
    span = parse_span(volts, "V")
    for name, rail in made.board.rail.items():
        if rail.voltage is not None and rail.voltage.typ == span.typ:
            return name
    name = f"V{span.typ:g}".replace(".", "_")
    while name in made.taken:
        name += "b"
    made.taken.add(name)
    made.entries["rail", name] = {"voltage": volts}
    return name


def _switch_keys(made: Added, ref: str, role: Any, differs: Channel) -> dict[str, str]:
    mosfet = isinstance(role, MosfetSwitch)
    names = ("gate_resistor", "pulldown") if mosfet else ("base_resistor", "base_emitter_resistor")
    keys = {"fitted": differs["switch"]} if differs["switch"] else {}
    for key, name in zip(names, ("resistor", "hold_off"), strict=True):
        if differs[name]:
            keys[key] = differs[name]
            if name in differs.assumed:
                made.comments["role", ref, key] = differs.assumed[name]
    return keys


def _place_beside(file: BoardFile, ref: str, names: Mapping[str, str], differs: Channel) -> dict[str, Any]:
    """A clamp or a lamp like another, with its references to this channel's own."""
    stated = file.stated["role"][ref]
    keys = {
        key: names[value]
        for key, value in stated.items()
        if isinstance(value, str) and value in names and key != "fitted"
    }
    column = "clamp" if isinstance(file.board.role[ref], Clamp) else "indicator"
    if differs[column]:
        keys["fitted"] = differs[column]
    if column == "indicator" and differs["indicator_resistor"]:
        keys["resistor"] = differs["indicator_resistor"]
    return {"like": ref, **keys}


def of_its_own(file: BoardFile, values: Mapping[str, str]) -> Added:
    """A channel that is like none: its tables are those of a new board, under names that are free here."""
    made, channel = Added(file), Channel()
    for name, text in values.items():
        channel.put(name, text)
    channel.complete()
    _refuse_taken(made, channel["load"], channel["load"])
    stated_drive = channel["drive"]
    new = begun(BoardStart(), [channel])
    names: dict[str, str] = {}
    for table in ("rail", "drive", "load", "role"):
        for name in new.data.get(table, {}):
            if table == "rail":
                names[name] = _rail(made, channel["voltage"])
            elif table == "load" or name == stated_drive:
                names[name] = name
            else:
                names[name] = made.free(re.sub(r"\d+$", "0", name)) if name in made.taken else name
                made.taken.add(names[name])
    for table in ("drive", "load", "role"):
        for name, entry in new.data.get(table, {}).items():
            if table == "drive" and name in file.board.drive and name == stated_drive:
                continue
            made.entries[table, names[name]] = {key: _renamed(key, value, names) for key, value in entry.items()}
    made.comments |= {
        (path[0], names[str(path[1])], *path[2:]): words for path, words in new.comments.items() if path[1] in names
    }
    return made


def _renamed(key: str, value: Any, names: Mapping[str, str]) -> Any:
    """References to the new board's names as the old board has them; part numbers and values stay."""
    if key in ("fitted", "role", "sort"):
        return value
    if isinstance(value, list):
        return [_renamed("load", inner, names) for inner in value]
    if isinstance(value, Mapping):
        return {name: _renamed(name, inner, names) for name, inner in value.items()}
    return names.get(value, value) if isinstance(value, str) else value
