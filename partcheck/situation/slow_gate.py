"""A gate behind a large resistance: its leakage moves its level, and its edges last long enough to warm a junction.

Behind less than 5 kΩ the 10 µA of the leakiest common gates drop no more than 50 mV. How long an edge lasts follows
from charge and resistance together; a die grows with its gate charge, so that what one edge makes of it grows with the
root of the resistance alone.
"""

import math
from typing import Any

from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine
from partcheck.situation.many import if_reaching, known_or, largest_of, many, one_above, show

SLOW_GATE = 5e3
"""Ω ahead of a gate from which this is asked (common practice, no published source)."""
EDGE_PATH = 1e3
"""Ω ahead of a gate from which one edge may warm a junction (common practice, no published source)."""
EDGE_BRIEF = 20e-6
"""s: an edge this short is taken for harmless, as safe operating areas are drawn from 10 or 100 µs on (common practice,
no published source)."""
USUAL_OUTPUT = 4e-9
"""F: output capacitance of a MOSFET at a low voltage, at most (common practice, no published source)."""
LITTLE_RISE = 10.0
"""K: as far as this an output capacitance that is not stated is counted as ``USUAL_OUTPUT``; beyond it is missing."""
GATE_ROOM = 0.05
"""V of every level that are then kept for the leakage (common practice, no published source)."""


def slow_drive(drive: Any) -> bool:
    """True of an output whose own edges may warm a junction, whatever lies between."""
    return drive.edge_time is not None and drive.edge_time.max > EDGE_BRIEF


class SlowGateFacts(PlaceFacts):
    """Facts of a MOSFET switch about what lies ahead of its gate."""

    gate_resistor_max: Any
    source_max: Any
    drive: Any
    states: Any

    def _ahead(self) -> Any:
        """Resistance ahead of the gate, Ω."""
        return self.gate_resistor_max().value + known_or(self.source_max().value, 0.0)

    def slow_gate(self) -> Fact:
        """What lies ahead of the gate, where it is large; of many values tried none where it is small."""
        return self._where_reaching(SLOW_GATE)

    def edge_counts(self) -> Fact:
        """One where an edge may warm a junction: by what lies ahead of the gate, or behind a slow drive in any case."""
        if slow_drive(self.drive):
            return Fact(1.0, f"drive.{self.place.drive}.edge_time")
        ahead = self._where_reaching(EDGE_PATH)
        return ahead if ahead.value is None else Fact(one_above(ahead.value, 0.0), ahead.source)

    def edge_brief(self) -> Fact:
        return Fact(EDGE_BRIEF, "common practice: an edge this short is harmless")

    def _where_reaching(self, least: float) -> Fact:
        path = self._ahead()
        asked = bool((path >= least).any()) if many(path) else path >= least
        counted = if_reaching(path, path, least)
        return Fact(counted, f"{self.where('gate_resistor')} and drive, largest") if asked else NOT_STATED

    def usual_output(self) -> Fact:
        return Fact(USUAL_OUTPUT, "common practice: output capacitance of a large MOSFET at a low voltage")

    def little_rise(self) -> Fact:
        return Fact(LITTLE_RISE, "common practice: a rise that changes no verdict unnoticed")

    def gate_room(self) -> Fact:
        room = if_reaching(GATE_ROOM, self._ahead(), SLOW_GATE)
        return Fact(room, f"kept for the gate's leakage from {show(SLOW_GATE, 'Ω')} ahead of it")

    def gate_leakage_room(self) -> Fact:
        return Fact(GATE_ROOM, "kept for the gate's leakage")

    def switch_frequency(self) -> Fact:
        """As of any switch; behind a slow gate every edge counts, however rare."""
        usual: Fact = super().switch_frequency()  # type: ignore[misc]
        if self.slow_gate().value is None or any(state.frequency for state in self.states):
            return usual
        rates = [state.rate for state in self.states if state.rate is not None]
        missing = () if rates else (f"{self.place.load[0]}.rate",)
        slow, path = Fact(largest_of(rates) if rates else math.nan, "switching rate", missing), self._ahead()
        value = if_reaching(slow.value, path, SLOW_GATE) + usual.value - if_reaching(usual.value, path, SLOW_GATE)
        return combine(value, slow.source, slow) if not many(path) else Fact(value, slow.source)
