"""Switched nodes: what hangs on each drain or collector, and how high it may stand in each state.

A node is pulled to ground by one switch. Loads and indicators hang on it, each with a feed of its own (a rail or
a logic pin), and clamps. While the switch is on the node is near ground. While it is off the highest of the feeds
pulls it up. When it opens, the coils lift it until a clamp conducts, or until the switch breaks down. Each feed
but the one that holds the node up may be absent meanwhile.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partcheck.board import Board
from partcheck.board.roles import Clamp, Indicator, MosfetSwitch
from partcheck.requirement import Fact
from partcheck.situation.drives import LARGEST, high_level
from partcheck.situation.facts import NOT_STATED, combine
from partcheck.situation.many import at_least, bounded_by, highest, lowest_known, nowhere_above, show, sum_of, unknown

if TYPE_CHECKING:
    from partcheck.situation.facts import PlaceFacts
    from partcheck.situation.situation import Situation

BREAKDOWN = 1.3
"""A switch that breaks down may do so this far above its rating (common practice, no published source)."""

# ---- what feeds


@dataclass(frozen=True)
class Feed:
    """What a load or an indicator hangs on at its other end: a rail, or the logic pin of a drive."""

    rail: str | None = None
    drive: str | None = None

    @property
    def name(self) -> str:
        """How it is called in an explanation."""
        return f"rail {self.rail}" if self.rail is not None else f"drive {self.drive}"

    def largest(self, situation: "Situation") -> Fact:
        """Highest voltage for long, V."""
        if self.rail is not None:
            return situation.rail(self.rail).largest
        return high_level(situation, self.drive or "", LARGEST)

    def peak(self, situation: "Situation") -> Fact:
        """Highest voltage at any moment, a transient of the rail counted, V."""
        return situation.rail_peak(self.rail) if self.rail is not None else self.largest(situation)

    def least(self, situation: "Situation") -> Fact:
        """Lowest voltage while it is there, V; a logic pin may be low at any time."""
        if self.rail is not None:
            return situation.rail(self.rail).least
        return Fact(situation.board.drive[self.drive or ""].low.min, f"drive.{self.drive}.low, least")

    def least_beside(self, situation: "Situation", other: "Feed") -> Fact:
        """Lowest voltage while ``other`` is there, V: nothing where this rail may be absent meanwhile."""
        if self.rail is None or self == other or not outlasts(situation.board, other, self.rail):
            return self.least(situation)
        return Fact(0.0, f"rail {self.rail} absent")

    def may_exceed(self, board: Board, other: "Feed") -> bool:
        """True where it may stand above ``other``: not where it is made of that rail, by linear regulators."""
        return self != other and (other.rail is None or outlasts(board, self, other.rail))


def feed_of(board: Board, name: str) -> Feed:
    """The feed of a load or of an indicator."""
    if name in board.load:
        return Feed(rail=board.load[name].rail)
    led = board.role[name]
    assert isinstance(led, Indicator)
    return Feed(led.rail, led.drive)


def outlasts(board: Board, feed: Feed, rail: str) -> bool:
    """True where a feed may be there while a rail is absent: it is not made of that rail."""
    name = feed.rail
    if feed.drive is not None:
        chip = board.chip.get(board.drive[feed.drive].chip or "")
        name = chip.supply if chip is not None else None
    return rail not in sources(board, name)


def sources(board: Board, rail: str | None) -> list[str]:
    """A rail and those it is made of by regulators, up to the one from outside."""
    made: list[str] = []
    while rail is not None and rail not in made:
        made.append(rail)
        regulator = board.rail[rail].regulator
        rail = board.role[regulator].input if regulator is not None else None  # type: ignore[union-attr]
    return made


# ---- what clamps


def node_units(facts: "PlaceFacts", load: str) -> list[list[str]]:
    """Every clamp on the node of a load, each a reference or a pair in series; any may be the first to conduct."""
    board = facts.board
    switch = board.switch_of(load)
    beside = board.role[switch].load if switch is not None else [load]  # type: ignore[union-attr]
    made: list[list[str]] = []
    for ref, clamp in board.of_type(Clamp):
        if clamp.load not in beside:
            continue
        if ref != facts.ref:
            facts.situation.reads_side(ref)
        pair = sorted({ref, clamp.in_series_with} - {None}) if clamp.in_series_with else [ref]
        if pair not in made:
            made.append(pair)
    return made


def clamp_units(facts: "PlaceFacts", load: str) -> list[list[str]]:
    """The clamps that surely take a load's energy: each a reference, or a pair in series.

    A clamp at the board also takes whatever else is on the same switch and rail; one across the switch all that
    hangs on it.
    """
    board = facts.board

    def takes(unit: list[str]) -> bool:
        clamp = clamp_at(board, unit)
        beside = clamp.position == "board" and same_rail(board, clamp.load, load)
        return clamp.load == load or clamp.across == "switch" or beside

    return [unit for unit in node_units(facts, load) if takes(unit)]


def clamp_at(board: Board, unit: list[str]) -> Clamp:
    """The board's entry of a clamp, or of the first of a pair."""
    clamp = board.role[unit[0]]
    assert isinstance(clamp, Clamp)
    return clamp


def same_rail(board: Board, one: str, other: str) -> bool:
    """True where two loads hang on one rail."""
    return one in board.load and other in board.load and board.load[one].rail == board.load[other].rail


# ---- the node


class Node:
    """The node that a switch pulls down; ``facts`` are those of the switch, or of a place on its node."""

    def __init__(self, facts: "PlaceFacts", switch: str) -> None:
        self.facts, self.switch, self.situation, self.board = facts, switch, facts.situation, facts.board

    @property
    def names(self) -> list[str]:
        """The loads and indicators that hang on it."""
        made: list[str] = self.board.role[self.switch].load  # type: ignore[union-attr, assignment]
        return made

    @property
    def feeds(self) -> list[Feed]:
        """Their feeds, each once."""
        return list(dict.fromkeys(feed_of(self.board, name) for name in self.names))

    def rivals(self, feed: Feed) -> list[Feed]:
        """The other feeds, of those that may stand above one."""
        return [other for other in self.feeds if other.may_exceed(self.board, feed)]

    def near(self, load: str) -> list[list[str]]:
        """Those of a load's clamps that sit at the board, not at the far end of its cable."""
        return [unit for unit in clamp_units(self.facts, load) if self._clamp(unit).position == "board"]

    def holding(self, load: str) -> list[list[str]]:
        """The clamps that hold the node when a load is switched off.

        One at the far end takes the coil, but the spike of its cable is left to one at the board.
        """
        return self.near(load) or clamp_units(self.facts, load)

    def units(self) -> list[list[str]]:
        """Every clamp on it, each a reference or a pair in series."""
        return node_units(self.facts, self.names[0])

    def returns_to(self, unit: list[str]) -> Feed | None:
        """The feed into which a clamp conducts; None for one across the switch."""
        clamp = self._clamp(unit)
        return feed_of(self.board, clamp.load) if clamp.across == "load" else None

    def _clamp(self, unit: list[str]) -> Clamp:
        return clamp_at(self.board, unit)

    def _lifting(self) -> Iterator[tuple[str, list[list[str]]]]:
        """The loads that lift the node when it opens, with the clamps that hold it: a coil, or a cable clamped."""
        for name in self.names:
            units = self.holding(name)
            if name in self.board.load and (units or self.situation.load(name).inductive):
                yield name, units

    def leaks(self, without: str = "") -> list[tuple[str, Fact]]:
        """What leaks through each clamp across the switch, of a pair through the part that blocks, A."""
        made = []
        for unit in self.units():
            if self._clamp(unit).across == "switch" and without not in unit:
                blocks = next(ref for ref in unit if self._clamp([ref]).conducts == "breakdown")
                made.append((blocks, self.situation.quantity(blocks, "leakage_hot")))
        return made

    # ---- over ground

    def resting_peak(self) -> Fact:
        """Highest voltage while off, transients of the rails counted, V."""
        return highest(feed.peak(self.situation) for feed in self.feeds)

    def clamped(self) -> Fact:
        """Highest voltage with every coil clamped, V; not stated where one is not."""
        peaks = [self.resting_peak()]
        for _, units in self._lifting():
            if not units:
                return NOT_STATED
            peaks.append(self._held_by(units))
        return highest(peaks)

    def _held_by(self, units: list[list[str]]) -> Fact:
        """Highest voltage at which some clamp holds the node; where none is known, the switch breaks down at most."""
        held, limit = lowest_known([self._held(unit) for unit in units]), self.breakdown()
        lacking = held.missing or (f"{self.switch}: voltage of its clamp",)
        return bounded_by(held, limit, limit.source, lacking)

    def _held(self, unit: list[str]) -> Fact:
        """Highest voltage at which a clamp holds the node."""
        drop = self._drop(unit)
        if self._clamp(unit).across == "switch":
            return combine(drop.value, f"{drop.source}, across the switch", drop)
        rail = self.situation.rail_peak(self.board.load[self._clamp(unit).load].rail)
        source = f"rail {show(rail.value, 'V')} + {drop.source} {show(drop.value, 'V')}"
        return combine(rail.value + drop.value, source, rail, drop)

    def _drop(self, unit: list[str]) -> Fact:
        drops = [self.situation.quantity(ref, "drop_high") for ref in unit]
        return combine(sum_of(drop.value for drop in drops), " and ".join(drop.source for drop in drops), *drops)

    def least_drop(self, unit: list[str]) -> Fact:
        """Lowest voltage at which a clamp may begin to conduct, V."""
        drops = [self.situation.quantity(ref, "drop_low") for ref in unit]
        return combine(sum_of(drop.value for drop in drops), " and ".join(drop.source for drop in drops), *drops)

    def breakdown(self) -> Fact:
        """Highest voltage at which the switch breaks down, V."""
        rating = "vds_max" if isinstance(self.board.role[self.switch], MosfetSwitch) else "vcbo"
        rated = self.situation.quantity(self.switch, rating)
        return combine(BREAKDOWN * rated.value, f"breakdown up to {BREAKDOWN} · {rated.source}", rated)

    def _spike(self) -> Fact:
        """Highest voltage to which cables outside every clamp drive the node, V, the switch breaking down at most."""
        facts: Any = self.situation.facts(self.switch)
        line: Fact = facts.line_peak()
        limit = self.breakdown()
        if line.value is None or not unknown(limit.value):
            return line if line.value is None else lowest_known([line, limit])
        # Without a rating of the switch the line is no more than a bound: what it exceeds is not known, not a failure.
        if nowhere_above(line.value, self.clamped().value):
            return line
        lacking = limit.missing or (f"{self.switch}: breakdown",)
        return bounded_by(Fact(line.value * math.nan), line, line.source, lacking)

    def largest(self) -> Fact:
        """Highest voltage at any moment, V."""
        clamped = self.clamped()
        if clamped.value is None:
            return self.breakdown()
        spike = self._spike()
        made = clamped if spike.value is None else highest([clamped, spike])
        return combine(made.value, f"{self.switch}: {made.source}", made)

    # ---- over a feed

    def above(self, feed: Feed, spikes: bool = True) -> Fact:
        """How far the node may stand above a feed, at any moment, V; not stated where it never does.

        While off, the highest of the other feeds holds it up. When the switch opens, the coils lift it: over their
        own rail by no more than the drop of a clamp that returns to it, whatever that rail does. Without ``spikes``
        what the wave on a cable adds is left out.
        """
        ends = [*self.resting_above(feed), *self._lifted_above(feed)]
        if spikes:
            ends += self._spiked_above(feed)
        return highest(ends) if ends else NOT_STATED

    def resting_above(self, feed: Feed) -> Iterator[Fact]:
        """How far each of the other feeds may hold the node above one while off, V."""
        for other in self.rivals(feed):
            made = self._over(other.peak(self.situation), feed.least_beside(self.situation, other))
            yield combine(at_least(made.value, 0.0), f"{self.switch} off: {made.source}", made)

    def _lifted_above(self, feed: Feed) -> Iterator[Fact]:
        for name, units in self._lifting():
            beside = feed.least_beside(self.situation, feed_of(self.board, name))
            ends = [self._held_above(unit, feed, beside) for unit in units]
            made = lowest_known(ends) if ends else self._over(self.breakdown(), beside)
            yield combine(made.value, f"{self.switch} opens: {made.source}", made)

    def _spiked_above(self, feed: Feed) -> Iterator[Fact]:
        spike = self._spike()
        if spike.value is not None:
            for other in self.feeds:
                made = self._over(spike, feed.least_beside(self.situation, other))
                yield combine(made.value, f"{self.switch} opens, spike of a cable: {made.source}", made)

    def _held_above(self, unit: list[str], feed: Feed, beside: Fact) -> Fact:
        clamp = self._clamp(unit)
        if clamp.across == "load" and self.board.load[clamp.load].rail == feed.rail:
            return self._drop(unit)
        held = self._held(unit)
        if clamp.across == "switch":
            lift: Fact = self.situation.facts(self.switch)["lift"]
            held = combine(held.value + lift.value, held.source, held, lift)
        return self._over(held, beside)

    def _over(self, high: Fact, low: Fact) -> Fact:
        source = f"{high.source} {show(high.value, 'V')} less {low.source} {show(low.value, 'V')}"
        return combine(high.value - low.value, source, high, low)
