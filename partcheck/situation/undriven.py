"""A switch while nothing drives it: the output floats in reset, and a resistor alone holds the gate or base.

Its own resistor holds it; where it has none, one of another switch on the same output does, through both series
resistors. Whatever leaks onto the output flows through that resistor: the output itself, and the gates and bases that
no resistor of their own takes care of; an LED that the output feeds, where loads pull its other end up.
"""

import math
from typing import Any

from partcheck.board.loads import Coil, Motor
from partcheck.board.roles import Indicator, MosfetSwitch, NpnSink, Switch
from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, total
from partcheck.situation.many import highest, lowest, show, unknown
from partcheck.situation.nodes import Feed, feed_of

RINGS = 2.0
"""A drain behind an inductance rises up to twice as steeply as its rail: that of a coil and the drain's capacitance,
fed by a ramp, s·(1 - cos ωt) (derivation)."""


def _span_max(span: Any) -> Any:
    return 0.0 if span is None else span.max


def _series(role: Switch) -> Any:
    """Largest resistance between the output and the gate or base, Ω."""
    return _span_max(role.gate_resistor if isinstance(role, MosfetSwitch) else role.base_resistor)  # type: ignore[attr-defined]


class UndrivenFacts(PlaceFacts):
    """Facts of a switch whose drive may be undriven."""

    source_max: Any

    def _floats_key(self) -> str:
        return f"drive.{self.place.drive}.floats"

    def _resistor(self) -> str:
        """Where the board states the resistor that holds it."""
        return self.where("base_emitter_resistor" if isinstance(self.place, NpnSink) else "pulldown")

    def _open(self) -> str:
        """What is to be stated where nothing holds it: a resistor, or that the drive is never undriven."""
        return f"{self._resistor()}, or {self._floats_key()} = false"

    def _neighbours(self) -> list[str]:
        """The other switches on its output."""
        return [ref for ref, other in self.board.switches() if ref != self.ref and other.drive == self.place.drive]

    def _held(self) -> bool:
        """Whether a resistor is drawn that holds it off."""
        roles = [self.place, *(self.board.role[ref] for ref in self._neighbours())]
        return any(role.holds_off is not None for role in roles)

    def drive_floats(self) -> Fact:
        """1 where the drive may be undriven: always, unless it is stated that it never is.

        Where nothing is stated and nothing holds the switch, what follows is not known and not failed.
        """
        floats, key = self.board.drive[self.place.drive].floats, self._floats_key()
        if floats is None:
            return Fact(1.0, f"{key} not stated: it may float", bounded=() if self._held() else (self._open(),))
        return Fact(1.0, key) if floats else NOT_STATED

    def drive_leakage(self) -> Fact:
        """What the output itself leaks while it floats."""
        if self.drive_floats().value is None:
            return Fact(0.0, "never undriven")
        leakage, key = self.board.drive[self.place.drive].leakage, f"drive.{self.place.drive}.leakage"
        return Fact(math.nan, "", (key,)) if leakage is None else Fact(leakage, key)

    def beside_leakage(self) -> Fact:
        """What the other gates and bases on the output leak into the resistor that holds this one."""
        own = self.place.holds_off is not None
        if self.drive_floats().value is None:
            return Fact(0.0, "never undriven")
        leaking = [ref for ref in self._neighbours() if not own or self.board.role[ref].holds_off is None]  # type: ignore[union-attr]
        for ref in leaking:
            self.situation.reads_beside(ref)
        made = [(ref, self.situation.quantity(ref, "undriven_leakage")) for ref in leaking]
        return total([*made, *self._backwards()], "A")

    def _backwards(self) -> list[tuple[str, Fact]]:
        """LEDs on the output whose other end loads on a switch pull up: no datasheet bounds what they leak backwards.

        What the board states of the output's leakage has it counted.
        """
        drive, board = self.place.drive, self.board
        if board.drive[drive].leakage is not None:
            return []
        return [
            (ref, Fact(math.nan, "", (f"drive.{drive}.leakage, with what {ref} leaks backwards",)))
            for ref, led in board.of_type(Indicator)
            if led.drive == drive and led.switch is not None and set(board.role[led.switch].load) - {ref}  # type: ignore[union-attr]
        ]

    def hold_max(self) -> Fact:
        """Largest resistance from the gate or base to ground while nothing drives it."""
        own = self.place.holds_off
        if self.drive_floats().value is None and not unknown(self.source_max().value):
            way = self.source_max().value + _series(self.place)
            return Fact(way, f"through the drive, which is never undriven: {show(way, 'Ω')}")
        if own is not None:
            return Fact(own.max, f"{self._resistor()}, largest")
        beside = [self._through(ref) for ref in self._neighbours() if self.board.role[ref].holds_off is not None]  # type: ignore[union-attr]
        if beside:
            return lowest(beside)
        stated = self.board.drive[self.place.drive].floats is not None
        return Fact(math.inf, "none fitted", bounded=() if stated else (self._open(),))

    def _through(self, ref: str) -> Fact:
        """Its way to ground through the output and the resistor that holds another switch."""
        other = self.board.role[ref]
        assert isinstance(other, Switch) and other.holds_off is not None
        at_output = isinstance(other, MosfetSwitch) and other.pulldown_side == "drive"
        way = _series(self.place) + other.holds_off.max + (0.0 if at_output else _series(other))
        return Fact(way, f"through the output and the resistor of {ref}")

    # ---- what a junction or channel passes under its threshold

    def kelvin_voltage(self) -> Fact:
        return Fact(8.617333e-5, "k/q, SI definition")

    def threshold_current(self) -> Fact:
        return Fact(1e-3, "common practice, no published source: thresholds are stated at 250 µA or 1 mA")

    def threshold_slope(self) -> Fact:
        return Fact(2.0, "common practice, no published source: power MOSFETs stay under 2")

    # ---- a supply that comes up

    def undriven_gate(self) -> Fact:
        """As what holds it, with the gate resistor where that lies between."""
        held, own = self.hold_max(), self.place.holds_off
        if own is None or self.drive_floats().value is None or self.place.pulldown_side != "drive":
            return held
        ahead = _series(self.place)
        return combine(held.value + ahead, f"{held.source}, and {self.where('gate_resistor')}", held)

    def driven_gate(self) -> Fact:
        """Source and gate resistor; where the first is not stated the pull-down alone holds it, if there is one."""
        source, own = self.source_max(), self.place.holds_off
        ahead = _series(self.place)
        if not unknown(source.value) or own is None:
            return combine(source.value + ahead, f"{source.source}, and {self.where('gate_resistor')}", source)
        return Fact(own.max + ahead, f"{self._resistor()}, largest, and {self.where('gate_resistor')}")

    def drain_slope(self) -> Fact:
        """How fast the drain may rise as the supplies of what hangs on it come up, V/s."""
        names = [name for name in self.place.load if name in self.board.load or name in self.board.role]
        stated = [self.board.rail[f.rail].rise_time for f in map(self._feed, names) if f.rail is not None]
        if all(time is None for time in stated):
            return NOT_STATED
        return highest(map(self._slope, names))

    def _feed(self, name: str) -> Feed:
        return feed_of(self.board, name)

    def _slope(self, name: str) -> Fact:
        feed = self._feed(name)
        time = self.board.rail[feed.rail].rise_time if feed.rail is not None else None
        if time is None:
            key = f"rail.{feed.rail}.rise_time" if feed.rail is not None else f"how steeply drive {feed.drive} rises"
            return Fact(math.nan, "", (key,))
        load = self.board.load.get(name)
        rings = RINGS if isinstance(load, Coil | Motor) or getattr(load, "cable", None) is not None else 1.0
        volts = feed.largest(self.situation)
        return combine(rings * volts.value / time, f"{volts.source} over rail.{feed.rail}.rise_time", volts)
