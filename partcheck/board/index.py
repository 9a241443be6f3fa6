"""Who stands where on a board, looked up instead of searched for: switches, what they pull, what a drive feeds."""

from collections.abc import Mapping
from typing import Any

from partcheck.board.roles import Clamp, Indicator, MosfetSwitch, NpnSink, Switch


class Index:
    """The places of a board by class, load and drive; it holds for as long as the board has these very places."""

    def __init__(self, role: Mapping[str, Any]) -> None:
        self.role = role
        self._of_type: dict[type[Any], list[tuple[str, Any]]] = {}
        self.switches: list[tuple[str, Switch]] = [
            (ref, place) for ref, place in role.items() if isinstance(place, MosfetSwitch | NpnSink)
        ]
        self.switch_of: dict[str, str] = {}
        self.pulled: dict[str, list[str]] = {}
        for ref, switch in self.switches:
            self.pulled.setdefault(switch.drive, []).extend(switch.load)
            for load in switch.load:
                self.switch_of.setdefault(load, ref)
        self.fed: dict[str, list[str]] = {}
        for ref, led in self.of_type(Indicator):
            if led.drive is not None:
                self.fed.setdefault(led.drive, []).append(ref)
        self.clamps_of: dict[str, list[str]] = {}
        for ref, clamp in self.of_type(Clamp):
            self.clamps_of.setdefault(clamp.load, []).append(ref)
        self.switched_by = self._switched_by()

    def of_type(self, kind: type[Any]) -> list[tuple[str, Any]]:
        """The places of one class, by reference."""
        made = self._of_type.get(kind)
        if made is None:
            made = self._of_type[kind] = [(ref, place) for ref, place in self.role.items() if isinstance(place, kind)]
        return made

    def on_drive(self, drive: str) -> list[str]:
        """Every load and indicator that goes on and off with a drive."""
        return list(dict.fromkeys([*self.pulled.get(drive, ()), *self.fed.get(drive, ())]))

    def _switched_by(self) -> dict[str, str]:
        """The unit with which each load and indicator is on or off: what hangs on one drive is on together."""
        units: dict[str, str] = {}
        for ref, switch in self.switches:
            units.setdefault(switch.drive, ref)
        for drive, refs in self.fed.items():
            units.setdefault(drive, refs[0])
        fed = {ref: units[drive] for drive, refs in self.fed.items() for ref in refs}
        return fed | {load: units[switch.drive] for _, switch in self.switches for load in switch.load}
