"""A shorted load until the fuse acts: what flows through its switch at most and at least, and what the fuse lets by.

The short may lie anywhere between the board and the load, so nothing of the load and its cable limits the largest
current, and all of the path the least. Of several loads the worst of each number counts.
"""

import math
from typing import Any

from partcheck.requirement import Fact
from partcheck.situation import current_path
from partcheck.situation.cold_copper import cold_ohms
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, once_property, total
from partcheck.situation.many import highest, lowest, many, ratio, show

FUSE_ACTS = 0.01
"""s: up to which the I²t of a fuse is stated (IEC 60127-1, melting at ten times its rating; from memory)."""


class ShortedFacts(PlaceFacts):
    """Facts of a switch of which a load is shorted."""

    @once_property
    def fused(self) -> list[str]:
        """The loads that it pulls whose rail states what its fuse lets through."""
        loads: list[str] = [name for name in self.place.load if name in self.board.load]
        return [name for name in loads if self.board.rail[self.board.load[name].rail].fuse_i2t is not None]

    def _rails(self) -> list[str]:
        return list(dict.fromkeys(self.board.load[name].rail for name in self.fused))

    def short_rail(self) -> Fact:
        return highest(self.situation.rail(name).largest for name in self._rails()) if self.fused else NOT_STATED

    def fuse_i2t(self) -> Fact:
        stated = [Fact(self.board.rail[name].fuse_i2t, f"rail.{name}.fuse_i2t") for name in self._rails()]
        return highest(stated) if stated else NOT_STATED

    def fuse_acts(self) -> Fact:
        return Fact(FUSE_ACTS, "a fuse's I²t holds for shorts that it ends within 10 ms (IEC 60127-1; from memory)")

    def short_current(self) -> Fact:
        return highest(map(self._largest, self._rails())) if self.fused else NOT_STATED

    def _largest(self, name: str) -> Fact:
        """The rail at its largest over the least of what lies between its source and the board, A."""
        rail, volts = self.board.rail[name], self.situation.rail(name).largest
        least: Any = rail.source_resistance.min if rail.source_resistance is not None else 0.0
        if rail.feed_resistance is not None:
            least = least + rail.feed_resistance.min
        if rail.feed is not None:
            least = least + cold_ohms(self.situation, rail.feed)
        if not many(least) and not least > 0:
            return Fact(math.nan, "", (f"rail.{name}.source_resistance",))
        return combine(ratio(volts.value, least), f"{name} {show(volts.value, 'V')} over {show(least, 'Ω')}", volts)

    def short_volts(self) -> Fact:
        """What is left of the rail at its least behind a protection diode, V."""
        return lowest(map(self._behind_diode, self.fused)) if self.fused else NOT_STATED

    def _behind_diode(self, load: str) -> Fact:
        least = current_path.source_least(self.situation, self.board.load[load].rail)
        lost = [link.drop for link in self._path(load) if link.resistance.value is None]
        drop = total([("protection", one) for one in lost], "V")
        return combine(least.value - drop.value, f"{least.source}, less {drop.source}", least, drop)

    def short_resistance(self) -> Fact:
        """All that lies in the path but the switch and the load, Ω."""
        return highest(map(self._resistance, self.fused)) if self.fused else NOT_STATED

    def _resistance(self, load: str) -> Fact:
        links = [link for link in self._path(load) if link.resistance.value is not None]
        return total([(link.name, link.resistance) for link in links], "Ω")

    def _path(self, load: str) -> list[current_path.Link]:
        links = current_path.path_of(self.situation, load)
        return [link for link in links if link.stage != current_path.SWITCH]
