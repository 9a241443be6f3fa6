"""A diode that keeps a chopped coil's current flowing: what it carries, and the charge that it gives back."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from partcheck.board.roles import Clamp
from partcheck.physics import switching
from partcheck.requirement import Fact
from partcheck.situation.facts import PlaceFacts, combine
from partcheck.situation.loads import LoadState
from partcheck.situation.many import highest, many, show
from partcheck.situation.nodes import clamp_units

PIECES = 64


def flow_share(states: Sequence[LoadState]) -> Fact | None:
    """Largest mean current of a diode that chopped coils flow on through, over their largest; None where not known.

    A coil's highest current I(d) bends downward over the duty d. So at a smaller duty it lies under the line through
    the largest one, I(dmax), and what it draws without a break, I(1). The mean is no more than I(d)·(1 − d), whose
    largest is taken between ``PIECES`` duties, of each piece current and time off at its worse end.
    """
    mean = whole = 0.0
    for state in states:
        least, _, most = state.duty
        largest, direct = state.largest.value, state.direct.value
        if not state.frequency or direct is None or many(largest) or many(direct) or not least <= most < 1:
            return None
        slope = (direct - largest) / (1 - most)
        ends = [least + (most - least) * i / PIECES for i in range(PIECES + 1)]
        flows = [(largest - slope * (most - high)) * (1 - low) for low, high in pairwise(ends)]
        mean, whole = mean + max(flows), whole + largest
    if not whole > 0:
        return None
    return Fact(mean / whole, "current while on times share of the time off, at the worst duty")


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
