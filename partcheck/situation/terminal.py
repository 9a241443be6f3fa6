"""Facts of screw terminals: what passes through the pole that is worst for each question."""

import math
from collections.abc import Iterable
from typing import NamedTuple

from partcheck.board.roles import Pole
from partcheck.requirement import Fact
from partcheck.situation import clearance, paths
from partcheck.situation.facts import NOT_STATED, PlaceFacts, combine, stated
from partcheck.situation.many import at_least, highest, largest_of, many, show
from partcheck.situation.paths import pole_label
from partcheck.situation.sums import return_heating, return_peak

Group = tuple[Pole, Fact]
"""Poles in parallel (or one), and the current through all of them together."""


class Worst(NamedTuple):
    """The worst of several poles: the largest current of a lone one, and the worst group in parallel."""

    lone: Fact
    shared: Fact
    poles: Fact


NO_SUCH_POLE = Worst(NOT_STATED, NOT_STATED, NOT_STATED)


def worst_pole(groups: Iterable[Group]) -> Worst:
    """The worst of some poles, whatever the split of a current among poles in parallel."""
    groups = list(groups)
    if not groups:
        return NO_SUCH_POLE
    alone = [_told(group) for group in groups if len(group[0].pole) == 1]
    lone = highest(alone) if alone else Fact(0.0, "every pole is one of several in parallel")
    return Worst(lone, *_worst_group([group for group in groups if len(group[0].pole) > 1]))


def _told(group: Group) -> Fact:
    return combine(group[1].value, f"{pole_label(group[0])}: {group[1].source}", group[1])


def _worst_group(groups: list[Group]) -> tuple[Fact, Fact]:
    """Current and number of poles of the group that is worst.

    Where no one group is (one has more current, another more per pole) a group that is not better than
    either: the larger current, over so many poles that the larger current per pole comes out.
    """
    if not groups:
        return Fact(0.0, "no poles in parallel"), Fact(1.0, "no poles in parallel")
    if any(many(fact.value) for _, fact in groups):
        current = largest_of(fact.value for _, fact in groups)
        per_pole = at_least(largest_of(fact.value / len(pole.pole) for pole, fact in groups), 1e-12)
        return combine(current, "", *(fact for _, fact in groups)), Fact(at_least(current / per_pole, 1.0), "")
    if any(fact.value != fact.value for _, fact in groups):
        return combine(math.nan, "", *(fact for _, fact in groups)), Fact(1.0, "not known")
    most = max(groups, key=lambda g: (g[1].value, -len(g[0].pole)))
    dense = max(groups, key=lambda g: (g[1].value / len(g[0].pole), g is most))
    per_pole = dense[1].value / len(dense[0].pole)
    current = combine(most[1].value, _told(most).source, *(fact for _, fact in groups))
    if dense is most or per_pole == 0:
        return current, Fact(float(len(most[0].pole)), pole_label(most[0]))
    source = f"{pole_label(most[0])}, as loaded as {pole_label(dense[0])}: {show(per_pole, 'A')} each"
    return current, Fact(most[1].value / per_pole, source)


class TerminalFacts(PlaceFacts):
    """Facts of a screw terminal."""

    def ambient_max(self) -> Fact:
        if self.place.ambient is not None:
            return Fact(self.place.ambient, self.where("ambient"))
        return super().ambient_max()

    def through(self, pole: Pole) -> Fact:
        """Current that warms a group of poles."""
        if pole.side in ("feed", "switched"):
            return paths.load_heating(self.situation, pole.load)
        return return_heating(self.situation, pole.rail, pole.load)

    @property
    def _outward(self) -> Worst:
        return worst_pole((pole, self.through(pole)) for pole in self.place.poles if pole.side != "return")

    @property
    def _returning(self) -> Worst:
        return worst_pole((pole, self.through(pole)) for pole in self.place.poles if pole.side == "return")

    @property
    def _faulty(self) -> Worst:
        groups = [(pole, paths.fault(self.situation, pole.rail, pole.load)) for pole in self.place.poles]
        return worst_pole((pole, fact) for pole, fact in groups if fact.value is not None)

    def pole_current(self) -> Fact:
        return self._outward.lone

    def pole_shared(self) -> Fact:
        return self._outward.shared

    def pole_count(self) -> Fact:
        return self._outward.poles

    def return_current(self) -> Fact:
        return self._returning.lone

    def return_shared(self) -> Fact:
        return self._returning.shared

    def return_count(self) -> Fact:
        return self._returning.poles

    def fault_current(self) -> Fact:
        return self._faulty.lone

    def fault_shared(self) -> Fact:
        return self._faulty.shared

    def fault_count(self) -> Fact:
        return self._faulty.poles

    def contact_current(self) -> Fact:
        per_pole = []
        for pole in self.place.poles:
            if pole.side in ("feed", "switched"):
                whole = paths.load_peak(self.situation, pole.load)
            else:
                whole = return_peak(self.situation, pole.rail, pole.load)
            over = f" over {len(pole.pole)}" if len(pole.pole) > 1 else ""
            per_pole.append(combine(whole.value / len(pole.pole), f"{pole_label(pole)}: {whole.source}{over}", whole))
        return highest(per_pole)

    def contact_drop(self) -> Fact:
        return stated(self.board.limits.contact_drop, "limits.contact_drop")

    def _volts(self, pole: Pole) -> Fact:
        """Highest voltage of a group over ground."""
        if pole.side == "return":
            return Fact(0.0, "ground")
        if pole.side == "switched":
            volts = highest(clearance.switched_peak(self.situation, name) for name in pole.load)
        else:
            rails = paths.rails_of(self.situation, pole.rail, pole.load)
            if not rails:
                return Fact(0.0, "no rail")
            volts = highest(self.situation.rail_peak(name) for name in rails)
        return combine(volts.value, f"{pole_label(pole)}: {volts.source}", volts)

    def pole_voltage(self) -> Fact:
        return highest(self._volts(pole) for pole in self.place.poles)

    def spacing(self) -> Fact:
        return stated(self.place.spacing, self.where("spacing"))

    def clearance_needed(self) -> Fact:
        return clearance.spacing_needed(self.situation, self["pole_voltage"])

    def wire(self) -> Fact:
        return stated(self.place.wire, self.where("wire"))

    def land_pitch(self) -> Fact:
        if self.place.pitch is not None:
            return Fact(self.place.pitch, self.where("pitch"))
        drawn = self.situation.drawn.get(self.ref)
        value = drawn.number("pitch") if drawn is not None else math.nan
        return NOT_STATED if value != value else Fact(value, "pitch of the part as drawn")

    def poles_needed(self) -> Fact:
        return Fact(float(max(number for pole in self.place.poles for number in pole.pole)), self.where("poles"))
