"""A shorted load until the fuse acts: what flows through its switch at most and at least, and what the fuse lets by.

The short may lie anywhere between the board and the load, so nothing of the load and its cable limits the largest
current, and all of the path the least. Of several loads the worst of each number counts. The capacitance on the board
empties into the short: it adds to the largest current, and while it lasts the source gives less and the fuse waits. The
inductance of feed and cable delays it as well; that of the source itself is not stated and left out.
"""

import math
from typing import Any

from partcheck.board.loads import Capacitive, Motor
from partcheck.requirement import Fact
from partcheck.situation import current_path
from partcheck.situation.cold_copper import cold_ohms
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, once_property, total
from partcheck.situation.many import bounded_by, highest, lowest, many, ratio, show
from partcheck.situation.stores import load_cable_inductance, loop_inductance

SETTLING = 1.5
"""Time constants by which a current that rises to its end takes longer to an I²t than that current from the start.

∫(1 - e^(-t/τ))² dt is no less than t - 1.5 τ; of a capacitance and an inductance together, each adds its own
(derivation; tests/situation/test_shorts.py integrates such circuits).
"""
THICKEST = 6e-6
"""m²: a feed of which only the resistance is stated is taken as a pair of wires of that section, as thicker ones have
more inductance for their resistance (common practice: none on such boards is thicker)."""
COLD_COPPER = 1.3e-8
"""Ω·m at -40 °C (IEC 60228: 1.72e-8 at 20 °C, 0.393 % a kelvin)."""
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

    def _source_ohms(self, name: str) -> Any:
        """The least between the source and the board, Ω."""
        rail = self.board.rail[name]
        least: Any = rail.source_resistance.min if rail.source_resistance is not None else 0.0
        if rail.feed_resistance is not None:
            least = least + rail.feed_resistance.min
        if rail.feed is not None:
            least = least + cold_ohms(self.situation, rail.feed)
        return least

    def _unsaid(self, name: str) -> tuple[str, ...]:
        """What has to be known of a rail, and what on it may feed a short and is not worked out."""
        rail, least = self.board.rail[name], self._source_ohms(name)
        esr = rail.capacitance_esr
        missing = [] if many(least) or least > 0 else [f"rail.{name}.source_resistance"]
        missing += [f"rail.{name}.capacitance"] if rail.capacitance is None else []
        missing += [f"rail.{name}.capacitance_esr"] if esr is None or not (many(esr.min) or esr.min > 0) else []
        on_it = self.situation.loads_on(name)
        feeding = [load for load in on_it if isinstance(self.board.load.get(load), Capacitive | Motor)]
        own = {load for load in self.fused if len(self.place.load) == 1}  # what is across the short does not feed it
        return (*missing, *(f"what {load} feeds into a short" for load in feeding if load not in own))

    def _largest(self, name: str) -> Fact:
        """The rail at its largest over the least of what lies between its source and the board, A."""
        volts, least = self.situation.rail(name).largest, self._source_ohms(name)
        if not many(least) and not least > 0:
            return Fact(math.nan, "", (f"rail.{name}.source_resistance",))
        return combine(ratio(volts.value, least), f"{name} {show(volts.value, 'V')} over {show(least, 'Ω')}", volts)

    def short_surge(self) -> Fact:
        """No less than that with what the capacitance on the board adds, as if it never emptied, A."""
        return highest(map(self._surge, self._rails())) if self.fused else NOT_STATED

    def _surge(self, name: str) -> Fact:
        rail, volts, alone, missing = (
            self.board.rail[name],
            self.situation.rail(name).largest,
            self._largest(name),
            self._unsaid(name),
        )
        if missing or rail.capacitance_esr is None:
            return Fact(math.nan, "", missing)
        added = ratio(volts.value, rail.capacitance_esr.min)
        words = f"{alone.source}, and its capacitance over {show(rail.capacitance_esr.min, 'Ω')}"
        open_ = (f"how fast the capacitance of {name} empties into a short",)
        most = combine(alone.value + added, words, alone)
        return bounded_by(Fact(math.nan, "", open_), most, f"{name}'s capacitance, as if it never emptied", open_)

    def short_delay(self) -> Fact:
        """By how much longer than at a steady current the fuse may take, s."""
        return highest(map(self._delay, self._rails())) if self.fused else NOT_STATED

    def _delay(self, name: str) -> Fact:
        rail, missing, ohms = self.board.rail[name], self._unsaid(name), self.short_resistance()
        if missing or rail.capacitance is None or rail.capacitance_esr is None:
            return Fact(math.nan, "", missing)
        made = [ohms]
        emptied = (ohms.value + rail.capacitance_esr.max) * rail.capacitance.max
        for stored in self._inductances(name):
            made.append(stored)
            emptied = emptied + ratio(stored.value, self._source_ohms(name))
        return combine(SETTLING * emptied, f"{SETTLING:g} time constants of {name}", *made)

    def _inductances(self, name: str) -> list[Fact]:
        """Of the feed of a rail, and the largest of the cables to the loads on it, H."""
        rail = self.board.rail[name]
        cables = [
            load_cable_inductance(self.situation, load) for load in self.fused if self.board.load[load].rail == name
        ]
        known = [cable for cable in cables if cable.value is not None]
        made = [highest(known)] if known else []
        if rail.feed is not None:
            made.append(loop_inductance(self.situation, rail.feed, f"rail.{name}.feed.inductance"))
        elif rail.feed_resistance is not None:
            metres = rail.feed_resistance.max * THICKEST / (2 * COLD_COPPER)
            each = self.policy.assumption("cable_inductance")
            words = f"a feed of {show(metres, 'm')} · {show(each, 'H/m')} assumed"
            lacking = (f"rail.{name}.feed",) if each != each else ()
            made.append(Fact(each * metres, words, lacking, () if lacking else (f"cable_inductance = {each:g}",)))
        return made

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
