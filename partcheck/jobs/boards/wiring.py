"""The way of the current of every load and lamp as a board draws it: from the source and back to it."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from partcheck.board import Board, BoardFile
from partcheck.board.roles import Clamp, Indicator, MosfetSwitch, Switch, Terminal
from partcheck.jobs.boards.listing import written
from partcheck.situation.current_path import passes
from partcheck.situation.paths import pole_label, rails_behind

Words = tuple[str, ...]


@dataclass(frozen=True)
class Stop:
    """One thing that the current passes: what it is, its name on the board, and what the board states of it."""

    stage: str
    name: str
    words: Words = ()


@dataclass(frozen=True)
class WiredChannel:
    """A load, or a lamp that hangs on none: the way of its current, and what stands beside it."""

    name: str
    stops: tuple[Stop, ...]
    clamps: tuple[Stop, ...] = ()
    lamps: tuple[Stop, ...] = ()
    drive: tuple[Stop, ...] = ()

    @property
    def load(self) -> Stop:
        """The load itself."""
        return next(stop for stop in self.stops if stop.stage == "load")

    @property
    def switch(self) -> Stop | None:
        """What pulls it to ground; None where nothing does."""
        return next((stop for stop in self.stops if stop.stage == "switch"), None)

    @property
    def likeness(self) -> tuple[Any, ...]:
        """What two channels have in common that are drawn the same."""
        parts = (self.stops, self.clamps, self.lamps, self.drive)
        return tuple(tuple((stop.stage, stop.words) for stop in part) for part in parts)


@dataclass
class Alike:
    """Channels that are drawn the same, in the order of the file."""

    channels: list[WiredChannel] = field(default_factory=list)

    @property
    def first(self) -> WiredChannel:
        """The one that stands for all."""
        return self.channels[0]

    def names(self, pick: str, i: int) -> list[str]:
        """The names of one stop, of every channel."""
        return list(dict.fromkeys(getattr(channel, pick)[i].name for channel in self.channels))


def drawn(board_file: BoardFile) -> list[Alike]:
    """Every channel of a board, alike ones together."""
    made: dict[tuple[Any, ...], Alike] = {}
    wires = _Wires(board_file)
    for channel in wires.channels():
        made.setdefault(channel.likeness, Alike()).channels.append(channel)
    return list(made.values())


class _Wires:
    """Walks a board as it is drawn; nothing is worked out."""

    def __init__(self, board_file: BoardFile) -> None:
        self.board: Board = board_file.board
        self.stated = board_file.stated

    def channels(self) -> Iterator[WiredChannel]:
        """Every load, then every lamp that no load has beside it."""
        for load in self.board.load:
            yield WiredChannel(load, tuple(self._stops(load)), self._clamps(load), self._lamps(load), self._drive(load))
        beside = {ref for load in self.board.load for ref in self._beside(load)}
        for ref, led in self.board.of_type(Indicator):
            if ref not in beside:
                yield WiredChannel(ref, tuple(self._lamp_stops(ref, led)), drive=self._drive(ref))

    def _stops(self, name: str) -> Iterator[Stop]:
        load = self.board.load[name]
        yield from self._ahead(load.rail)
        yield from self._way(name, load.rail, "feed")
        if load.cable is not None:
            words = (written(self._key("load", name, "cable", key)) for key in ("length", "wire"))
            yield Stop("cable", "", tuple(words))
        yield Stop("load", name, tuple(self._load_words(name)))
        yield from self._way(name, load.rail, "switched")
        yield from self._foot(name, load.rail)

    def _lamp_stops(self, ref: str, led: Indicator) -> Iterator[Stop]:
        if led.rail is not None:
            yield from self._ahead(led.rail)
        elif led.drive is not None:
            yield Stop("drive", led.drive, (written(self._key("drive", led.drive, "high")),))
        yield Stop("resistor", "", (written(self._key("role", ref, "resistor")),))
        yield Stop("load", ref, self._part(ref, "LED"))
        if led.switch is None and (led.switch_voltage is not None or led.switch_resistance is not None):
            yield Stop("switch", "a switch", ())
        yield from self._foot(ref, led.rail)

    def _ahead(self, rail: str) -> Iterator[Stop]:
        for behind in rails_behind(self.board, rail):
            made = self.board.rail[behind]
            if made.regulator is not None:
                yield Stop("regulator", made.regulator, self._part(made.regulator))
                yield Stop("rail", behind)
                continue
            yield Stop("rail", behind, (written(self._key("rail", behind, "voltage")),))
            if made.protection_drop is not None:
                yield Stop("diode", "", (written(self._key("rail", behind, "protection_drop")),))
            if made.feed is not None:
                words = (written(self._key("rail", behind, "feed", key)) for key in ("length", "wire"))
                yield Stop("feed", "", tuple(words))
            yield from self._poles("supply", None, [behind])

    def _way(self, load: str | None, rail: str | None, side: str) -> Iterator[Stop]:
        tracks = list(self._tracks(side, load, [rail]))
        poles = list(self._poles(side, load, [rail]))
        yield from (*tracks, *poles) if side == "feed" else (*poles, *tracks)

    def _foot(self, name: str, rail: str | None) -> Iterator[Stop]:
        switch = self.board.switch_of(name)
        if switch is not None:
            yield Stop("switch", switch, self._part(switch))
        rails = rails_behind(self.board, rail) if rail is not None else []
        yield from self._tracks("return", name, rails)
        if self.board.ground.resistance:
            yield Stop("ground", "", (written(self.stated["ground"]["resistance"]),))
        yield from self._poles("return", name, rails)

    def _tracks(self, side: str, load: str | None, rails: list[Any]) -> Iterator[Stop]:
        for name, track in self.board.track.items():
            if track.side == side and passes(track, load, rails):
                yield Stop("track", name, (written(self._key("track", name, "width")),))

    def _poles(self, side: str, load: str | None, rails: list[Any]) -> Iterator[Stop]:
        for ref, terminal in self.board.of_type(Terminal):
            for pole in terminal.poles:
                if pole.side == side and passes(pole, load, rails):
                    yield Stop("pole", f"{ref} {pole_label(pole)}".partition(" (")[0])

    def _load_words(self, name: str) -> Iterator[str]:
        load = self.board.load[name]
        yield load.sort if load.count == 1 else f"{load.count} × {load.sort}"
        for key in ("resistance", "inductance", "current", "forward_voltage"):
            if getattr(load, key, None) is not None:
                yield written(self._key("load", name, key))

    def _clamps(self, load: str) -> tuple[Stop, ...]:
        made = []
        for ref, clamp in self.board.of_type(Clamp):
            if clamp.load == load:
                how = ("breaks down",) if clamp.conducts == "breakdown" else ()
                made.append(Stop("clamp", ref, (*self._part(ref), f"across the {clamp.across}", *how)))
        return tuple(made)

    def _beside(self, load: str) -> list[str]:
        """The lamps on the switch of a load; where it switches several loads, at the first of them."""
        place = self.board.role.get(self.board.switch_of(load) or "")
        if not isinstance(place, Switch) or next(name for name in place.load if name in self.board.load) != load:
            return []
        return [ref for ref in place.load if ref not in self.board.load]

    def _lamps(self, load: str) -> tuple[Stop, ...]:
        made = []
        for ref in self._beside(load):
            led: Any = self.board.role[ref]
            resistor = written(self._key("role", ref, "resistor"))
            made.append(Stop("lamp", ref, (*self._part(ref), resistor, f"from {led.rail or led.drive}")))
        return tuple(made)

    def _drive(self, name: str) -> tuple[Stop, ...]:
        switch = self.board.switch_of(name)
        place: Any = self.board.role.get(switch or "")
        if switch is None or place is None:
            return ()
        drive = Stop("drive", place.drive, (written(self._key("drive", place.drive, "high")),))
        mosfet = isinstance(place, MosfetSwitch)
        keys = ("gate_resistor", "pulldown") if mosfet else ("base_resistor", "base_emitter_resistor")
        ahead, down = (
            (written(self._key("role", switch, key)),) if getattr(place, key) is not None else () for key in keys
        )
        return (drive, Stop("series resistor", "", ahead), Stop("hold-off resistor", "", down))

    def _part(self, ref: str, otherwise: str = "no part") -> Words:
        fitted = self.board.role[ref].fitted
        return (fitted.part_number if fitted is not None else otherwise,)

    def _key(self, *path: str) -> Any:
        found: Any = self.stated
        for step in path:
            found = found[step]
        return found
