"""Facts of screw terminals: what passes through the pole that is worst for each question."""

import math
from collections.abc import Iterable

from partcheck.board.roles import Pole
from partcheck.requirement import Fact
from partcheck.situation import paths
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, stated
from partcheck.situation.sums import return_heating, return_peak
from partcheck.units import show

Group = tuple[Pole, Fact]
"""Poles in parallel (or one), and the current through all of them together."""


def label(pole: Pole) -> str:
    """How poles are written: ``poles 3, 4 (return V12)``."""
    numbers = ", ".join(map(str, pole.pole))
    what = " ".join([pole.rail] if pole.rail is not None and not pole.load else pole.load)
    return f"pole{'s' if len(pole.pole) > 1 else ''} {numbers} ({pole.side} {what})"


def worst_group(groups: Iterable[Group]) -> tuple[Fact, Fact]:
    """Current and number of poles of the group that is worst whatever the split among its poles.

    Where no one group is (one has more current, another more per pole) a group that is not better than
    either: the larger current, over so many poles that the larger current per pole comes out.
    """
    groups = list(groups)
    if not groups:
        return NOT_STATED, Fact(1.0, "no such pole")
    if any(fact.value != fact.value for _, fact in groups):
        return combine(math.nan, "", *(fact for _, fact in groups)), Fact(1.0, "not known")
    most = max(groups, key=lambda g: (g[1].value, -len(g[0].pole)))
    dense = max(groups, key=lambda g: (g[1].value / len(g[0].pole), g is most))
    current = combine(most[1].value, f"{label(most[0])}: {most[1].source}", *(fact for _, fact in groups))
    per_pole = dense[1].value / len(dense[0].pole)
    if dense is most or per_pole == 0 or most[1].value / len(most[0].pole) >= per_pole:
        return current, Fact(float(len(most[0].pole)), label(most[0]))
    source = f"{label(most[0])}, as loaded as {label(dense[0])}: {show(per_pole, 'A')} each"
    return current, Fact(most[1].value / per_pole, source)


class TerminalFacts(PlaceFacts):
    """Facts of a screw terminal."""

    def ambient_max(self) -> Fact:
        if self.place.ambient is not None:
            return Fact(self.place.ambient, self.where("ambient"))
        return super().ambient_max()

    def _through(self, pole: Pole) -> Fact:
        """Current that warms a group of poles."""
        if pole.side in ("feed", "switched"):
            return paths.load_heating(self.situation, pole.load)
        return return_heating(self.situation, pole.rail, pole.load)

    def _outward(self) -> tuple[Fact, Fact]:
        return worst_group((pole, self._through(pole)) for pole in self.place.poles if pole.side != "return")

    def _returning(self) -> tuple[Fact, Fact]:
        return worst_group((pole, self._through(pole)) for pole in self.place.poles if pole.side == "return")

    def _faulty(self) -> tuple[Fact, Fact]:
        groups = [(pole, paths.fault(self.situation, pole.rail, pole.load)) for pole in self.place.poles]
        return worst_group((pole, fact) for pole, fact in groups if fact.value is not None)

    def pole_current(self) -> Fact:
        return self._outward()[0]

    def pole_count(self) -> Fact:
        return self._outward()[1]

    def return_current(self) -> Fact:
        return self._returning()[0]

    def return_count(self) -> Fact:
        return self._returning()[1]

    def fault_current(self) -> Fact:
        return self._faulty()[0]

    def fault_count(self) -> Fact:
        return self._faulty()[1]

    def contact_current(self) -> Fact:
        per_pole = []
        for pole in self.place.poles:
            if pole.side in ("feed", "switched"):
                whole = paths.load_peak(self.situation, pole.load)
            else:
                whole = return_peak(self.situation, pole.rail, pole.load)
            over = f" over {len(pole.pole)}" if len(pole.pole) > 1 else ""
            per_pole.append(
                combine(whole.value / len(pole.pole), f"{label(pole)}: {whole.source}{over}", whole)
            )
        return paths.highest(per_pole)

    def contact_drop(self) -> Fact:
        return stated(self.board.limits.contact_drop, "limits.contact_drop")

    def _volts(self, pole: Pole) -> Fact:
        """Highest voltage of a group over ground."""
        if pole.side == "return":
            return Fact(0.0, "ground")
        if pole.side == "switched":
            volts = paths.highest(paths.switched_peak(self.situation, name) for name in pole.load)
        else:
            rails = paths.rails_of(self.situation, pole.rail, pole.load)
            if not rails:
                return Fact(0.0, "no rail")
            volts = paths.highest(paths.rail_peak(self.situation, name) for name in rails)
        return combine(volts.value, f"{label(pole)}: {volts.source}", volts)

    def pole_voltage(self) -> Fact:
        return paths.highest(self._volts(pole) for pole in self.place.poles)

    def spacing(self) -> Fact:
        return stated(self.place.spacing, self.where("spacing"))

    def clearance_needed(self) -> Fact:
        return paths.spacing_needed(self.situation, self["pole_voltage"])

    def wire(self) -> Fact:
        return stated(self.place.wire, self.where("wire"))

    def land_pitch(self) -> Fact:
        if self.place.pitch is not None:
            return Fact(self.place.pitch, self.where("pitch"))
        drawn = self.situation.drawn.get(self.ref)
        value = drawn.number("pitch") if drawn is not None else math.nan
        return NOT_STATED if value != value else Fact(value, "pitch of the part as drawn")

    def poles_needed(self) -> Fact:
        return Fact(
            float(max(number for pole in self.place.poles for number in pole.pole)), self.where("poles")
        )
