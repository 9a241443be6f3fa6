"""The charge that a diode which keeps a chopped coil's current flowing gives back when its switch turns on again."""

from collections.abc import Iterator

from partcheck.board.roles import Clamp
from partcheck.physics import switching
from partcheck.requirement import Fact
from partcheck.situation.facts import PlaceFacts, combine
from partcheck.situation.loads import LoadState
from partcheck.situation.many import highest, show
from partcheck.situation.nodes import clamp_units


class RecoveryFacts(PlaceFacts):
    """What a switch takes over from the diodes at its node."""

    states: list[LoadState]

    def recovered_charge(self) -> Fact:
        """Largest charge drawn through the switch at each turn-on, C; none where nothing is chopped."""
        found = list(self._recovered())
        return highest(found) if found else Fact(0.0, "no chopped coil's current flows on through a diode")

    def _recovered(self) -> Iterator[Fact]:
        for state in self.states:
            if not state.frequency or not state.inductive:
                continue
            for ref in dict.fromkeys(ref for unit in clamp_units(self, state.name) for ref in unit):
                clamp = self.board.role[ref]
                if isinstance(clamp, Clamp) and clamp.across == "load" and self.situation.facts(ref)["forward"].value:
                    time, current = self.situation.quantity(ref, "recovery_time"), state.largest
                    charge = switching.recovered_charge(current.value, time.value)
                    words = f"{current.source} · {show(time.value, 's')} / ln 1.5, {time.source}"
                    yield combine(charge, words, current, time)
