"""A board file as a whole: what stands beside what, and that every name it uses exists."""

import difflib
from collections.abc import Iterator, Mapping
from typing import Any, Literal

from pydantic import Field

from partcheck.board.index import Index
from partcheck.board.loads import AnyLoad, Chopped, Coil
from partcheck.board.relations import contradictions
from partcheck.board.roles import AnyRole, Clamp, Indicator, Regulator, Switch, Terminal, Track
from partcheck.board.surroundings import (
    AtOnce,
    BoardEntry,
    Chip,
    Drive,
    Ground,
    Limits,
    Rail,
    ReplacementResistor,
    Surroundings,
)

Path = tuple[str | int, ...]
ROLE_KINDS = {
    "mosfet-switch": "mosfet",
    "npn-sink": "bjt",
    "indicator": "led",
    "clamp": "diode",
    "regulator": "regulator",
    "terminal": "terminal",
}


class Board(BoardEntry):
    """A board file: rails, drives, loads, and the places that parts fill."""

    format: Literal[1] = Field(description="version of this format: 1")
    name: str = Field(min_length=1, description="name of the board")
    revision: str = Field("", description="revision of the board")
    series: Literal["E3", "E6", "E12", "E24", "E48", "E96", "E192"] = Field(
        "E24", description="IEC 60063 series from which new resistor values are taken"
    )
    policy: str = Field("", description="derating policy to use unless another is asked for")
    parts: list[str] = Field(default=[], description="files or folders of parts, relative to this file")
    part: list[dict[str, Any]] = Field(default=[], description="parts given here, as in a parts JSON file")
    surroundings: Surroundings
    limits: Limits = Field(default_factory=Limits)  # type: ignore[arg-type]
    replacement_resistor: ReplacementResistor = Field(default_factory=ReplacementResistor)  # type: ignore[arg-type]
    ground: Ground = Field(default_factory=Ground)  # type: ignore[arg-type]
    rail: dict[str, Rail] = Field(min_length=1)
    chip: dict[str, Chip] = {}
    drive: dict[str, Drive] = {}
    load: dict[str, AnyLoad] = {}
    role: dict[str, AnyRole] = Field(min_length=1)
    track: dict[str, Track] = {}
    at_once: list[AtOnce] = []

    @property
    def index(self) -> Index:
        """Who stands where; made anew once the board has other places (a changed copy has a table of its own)."""
        made: Index | None = self.__dict__.get("_index")
        if made is None or made.role is not self.role:
            made = self.__dict__["_index"] = Index(self.role)
        return made

    def switches(self) -> Iterator[tuple[str, Switch]]:
        """The low-side switches, by reference."""
        return iter(self.index.switches)

    def of_type(self, kind: type[Any]) -> Iterator[tuple[str, Any]]:
        """The roles of one class, by reference."""
        return iter(self.index.of_type(kind))

    def switch_of(self, load: str) -> str | None:
        """Reference of the switch that pulls this load (or indicator)."""
        return self.index.switch_of.get(load)

    def switched_by(self) -> Mapping[str, str]:
        """A switch or indicator of the same drive, by load or indicator: those of one are on or off together."""
        return self.index.switched_by

    def drives_of(self, name: str) -> list[str]:
        """The drives that turn a load or an indicator on and off: its switch's, and the one that feeds it."""
        feeding = getattr(self.role.get(name), "drive", None)
        switch = self.switch_of(name)
        pulling = getattr(self.role[switch], "drive", None) if switch is not None else None
        return [drive for drive in dict.fromkeys((pulling, feeding)) if drive is not None]

    def on_drive(self, drive: str) -> list[str]:
        """Every load and indicator that goes on and off with a drive."""
        return self.index.on_drive(drive)

    def chopped_on(self, drive: str) -> Iterator[tuple[str, Chopped]]:
        """Each load and indicator of a drive that states its chopping."""
        for name in self.on_drive(drive):
            entry = self.load.get(name) or self.role.get(name)
            chopped = getattr(entry, "chopped", None)
            if chopped is not None:
                yield name, chopped

    def clamps_of(self, load: str) -> list[str]:
        """References of the clamps that take this load's energy."""
        return list(self.index.clamps_of.get(load, ()))


def _unknown(what: str, name: str, known: Iterator[str] | list[str]) -> str:
    names = list(known)
    close = difflib.get_close_matches(name, names, 1, 0.5)
    hint = f"did you mean {close[0]!r}?" if close else f"known: {', '.join(names) or 'none'}"
    return f"there is no {what} {name!r}; {hint}"


def problems(board: Board) -> Iterator[tuple[Path, str]]:
    """Every name that refers to nothing, every name used twice, every load with two switches, every contradiction."""
    yield from contradictions(board)
    yield from _doubled(board)
    yield from _supply_problems(board)
    things = [*board.load, *(ref for ref, _ in board.of_type(Indicator))]
    for name, load in board.load.items():
        if load.rail not in board.rail:
            yield ("load", name, "rail"), _unknown("rail", load.rail, list(board.rail))
    yield from _group_problems(board, things)
    for ref, role in board.role.items():
        for key, message in _role_problems(board, ref, role, things):
            yield ("role", ref, key), message
    for name, track in board.track.items():
        for load in track.load:
            if load not in things:
                yield ("track", name, "load"), _unknown("load or indicator", load, things)
        if track.rail is not None and track.rail not in board.rail:
            yield ("track", name, "rail"), _unknown("rail", track.rail, list(board.rail))


def _group_problems(board: Board, things: list[str]) -> Iterator[tuple[Path, str]]:
    grouped: set[str] = set()
    for i, group in enumerate(board.at_once):
        for name in dict.fromkeys(group.of):
            if name not in things:
                yield ("at_once", i, "of"), _unknown("load or indicator", name, things)
            elif name in grouped:
                yield ("at_once", i, "of"), f"{name!r} is in two at_once groups; put it in one"
            grouped.add(name)


def _doubled(board: Board) -> Iterator[tuple[Path, str]]:
    seen: dict[str, str] = {}
    for table in ("rail", "chip", "load", "role", "track"):
        for name in getattr(board, table):
            if name in seen and {table, seen[name]} != {"rail", "load"}:
                yield (table, name), f"the reference {name!r} is used twice, in [{seen[name]}] and in [{table}]"
            seen.setdefault(name, table)
    switched: dict[str, str] = {}
    for ref, role in board.switches():
        for load in role.load:
            if load in switched:
                yield ("role", ref, "load"), f"{load!r} is switched by {switched[load]} already"
            switched[load] = ref


def _supply_problems(board: Board) -> Iterator[tuple[Path, str]]:
    for name, rail in board.rail.items():
        if rail.regulator is None:
            continue
        role = board.role.get(rail.regulator)
        if not isinstance(role, Regulator):
            yield (
                ("rail", name, "regulator"),
                _unknown("regulator", rail.regulator, [r for r, _ in board.of_type(Regulator)]),
            )
        elif role.output != name:
            yield ("rail", name, "regulator"), f"{rail.regulator} makes the rail {role.output!r}, not {name!r}"
    for name, chip in board.chip.items():
        if chip.supply is not None and chip.supply not in board.rail:
            yield ("chip", name, "supply"), _unknown("rail", chip.supply, list(board.rail))
    for name, drive in board.drive.items():
        if drive.chip is not None and drive.chip not in board.chip:
            yield ("drive", name, "chip"), _unknown("chip", drive.chip, list(board.chip))


def _in_a_ring(board: Board, ref: str) -> bool:
    """True where a regulator is fed, through others, by the rail that it makes."""
    seen: set[str] = set()
    name: str | None = ref
    while name is not None and name not in seen:
        seen.add(name)
        role = board.role.get(name)
        feed = board.rail.get(role.input) if isinstance(role, Regulator) else None
        name = feed.regulator if feed is not None else None
    return name == ref


def _role_problems(board: Board, ref: str, role: Any, things: list[str]) -> Iterator[tuple[str, str]]:
    if isinstance(role, Switch):
        yield from _switch_problems(board, ref, role, things)
    elif isinstance(role, Indicator):
        yield from _indicator_problems(board, ref, role)
    elif isinstance(role, Clamp):
        yield from _clamp_problems(board, ref, role)
    elif isinstance(role, Regulator):
        yield from _regulator_problems(board, ref, role)
    elif isinstance(role, Terminal):
        yield from _terminal_problems(board, role, things)


def _switch_problems(board: Board, ref: str, role: Switch, things: list[str]) -> Iterator[tuple[str, str]]:
    if role.drive not in board.drive:
        yield "drive", _unknown("drive", role.drive, list(board.drive))
    for load in role.load:
        if load not in things:
            yield "load", _unknown("load or indicator", load, things)
        indicator = board.role.get(load)
        if isinstance(indicator, Indicator) and indicator.switch != ref:
            yield "load", f"{ref} switches {load}, so {load} must state switch = {ref!r}"


def _regulator_problems(board: Board, ref: str, role: Regulator) -> Iterator[tuple[str, str]]:
    for key, rail in (("input", role.input), ("output", role.output)):
        if rail not in board.rail:
            yield key, _unknown("rail", rail, list(board.rail))
    if role.input == role.output:
        yield "output", "a regulator cannot feed itself"
    elif role.output in board.rail and board.rail[role.output].regulator != ref:
        yield "output", f"the rail {role.output!r} must state regulator = {ref!r}"
    elif _in_a_ring(board, ref):
        yield "input", "the regulators feed each other in a loop; one of them must be fed from outside"


def _indicator_problems(board: Board, ref: str, role: Indicator) -> Iterator[tuple[str, str]]:
    if role.rail is not None and role.rail not in board.rail:
        yield "rail", _unknown("rail", role.rail, list(board.rail))
    if role.drive is not None and role.drive not in board.drive:
        yield "drive", _unknown("drive", role.drive, list(board.drive))
    if role.switch is not None:
        switch = board.role.get(role.switch)
        if not isinstance(switch, Switch):
            yield "switch", _unknown("switch", role.switch, [r for r, _ in board.switches()])
        elif ref not in switch.load:
            yield "switch", f"{role.switch} must list {ref!r} among its loads"


def _clamp_problems(board: Board, ref: str, role: Clamp) -> Iterator[tuple[str, str]]:
    if role.load not in board.load:
        yield "load", _unknown("load", role.load, list(board.load))
    elif board.switch_of(role.load) is None:
        yield "load", f"no switch of this board pulls {role.load!r}, so there is nothing to clamp"
    if role.in_series_with is not None:
        other = board.role.get(role.in_series_with)
        if not isinstance(other, Clamp) or role.in_series_with == ref:
            yield (
                "in_series_with",
                _unknown("clamp", role.in_series_with, [r for r, _ in board.of_type(Clamp) if r != ref]),
            )
        elif other.in_series_with != ref or other.load != role.load or other.across != role.across:
            yield (
                "in_series_with",
                f"{role.in_series_with} must state the same load and place, and in_series_with = {ref!r}",
            )
        elif other.conducts == role.conducts:
            yield (
                "in_series_with",
                "in a pair one part conducts forward and the other breaks down; state conducts for each",
            )
    elif role.across == "switch" and role.conducts == "forward":
        yield (
            "conducts",
            "a clamp that conducts forward across the switch would carry the load for ever; state 'breakdown'",
        )


def _terminal_problems(board: Board, role: Terminal, things: list[str]) -> Iterator[tuple[str, str]]:
    used: set[int] = set()
    for pole in role.poles:
        for number in pole.pole:
            if number in used:
                yield "poles", f"pole {number} is used twice"
            used.add(number)
        if pole.rail is not None and pole.rail not in board.rail:
            yield "poles", _unknown("rail", pole.rail, list(board.rail))
        for load in pole.load:
            if load not in things:
                yield "poles", _unknown("load or indicator", load, things)


__all__ = ["ROLE_KINDS", "Board", "Coil", "Path", "problems"]
