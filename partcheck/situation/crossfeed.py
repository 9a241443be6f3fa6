"""What flows from one feed of a switched node into another while the switch is off, and into which rails it is pushed.

A load on a higher rail and one on a lower rail meet at the node: with the switch off a current runs through both, from
the one rail into the other. An LED passes it one way only, and so does a diode across a load.

Corners: the higher feed at its largest, the lower at its least, or nothing where it may be absent meanwhile; least
resistances. A load passes no more than in proportion to what it takes with its whole rail over it, which holds for a
resistance and, on the safe side, for an LED behind a resistor; one that may be a current source counts in full.
"""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from partcheck.board.loads import Capacitive, LedString, LogicInput
from partcheck.board.roles import Indicator, Regulator
from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, combine, total
from partcheck.situation.many import at_least, highest, largest_of, one_above, ratio, show, sum_of, unknown
from partcheck.situation.nodes import Feed, Node, feed_of
from partcheck.situation.sums import peak

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

INFINITE = float("inf")
LEAST = 1e-9
"""Ω: a resistance that divides; less is next to none."""

# ---- between two feeds of one node


class Between:
    """What flows from the feed ``high`` through a node into the feed ``low``."""

    def __init__(self, node: Node, high: Feed, low: Feed) -> None:
        self.node, self.high, self.low = node, high, low
        self.giving = [name for name in node.names if feed_of(node.board, name) == high]
        self.taking = [name for name in node.names if feed_of(node.board, name) == low and not _one_way(node, name)]
        self.clamps = [unit for unit in node.units() if node.returns_to(unit) == low]

    @property
    def passes(self) -> bool:
        """True where something lets a current into the lower feed."""
        return bool(self.taking or self.clamps)

    def current(self) -> Fact:
        """Largest current that flows for long, A."""
        situation = self.node.situation
        top, bottom = self.high.largest(situation), self.low.largest(situation)
        least = self.low.least_beside(situation, self.high)
        given, taken = ([peak(situation, name) for name in names] for names in (self.giving, self.taking))
        drops = [self.node.least_drop(unit) for unit in self.clamps]
        held, ahead = self._passing(self.giving, given, top)
        volts = top.value - least.value
        paths = [_flow(volts - drop.value, held, ahead) for drop in drops]
        if self.taking:
            stiff = any(_may_hold(self.node, name) for name in self.taking)
            behind = 0.0 if stiff else ratio(bottom.value, sum_of(fact.value for fact in taken))
            paths.append(_flow(volts, held, ahead + behind))
        source = f"{self.high.name} {show(top.value, 'V')} into {least.source} {show(least.value, 'V')}"
        return combine(largest_of(paths), source, top, bottom, least, *given, *taken, *drops)

    def _passing(self, names: list[str], facts: list[Fact], volts: Fact) -> tuple[Any, Any]:
        """What may flow at any voltage, A, and the resistance beside it, Ω."""
        held = [fact.value for name, fact in zip(names, facts, strict=True) if _may_hold(self.node, name)]
        linear = [fact.value for name, fact in zip(names, facts, strict=True) if not _may_hold(self.node, name)]
        return sum_of(held) if held else 0.0, ratio(volts.value, sum_of(linear)) if linear else INFINITE


def _flow(volts: Any, held: Any, ohms: Any) -> Any:
    volts = at_least(volts, 0.0)
    return one_above(volts, 0.0) * (held + volts / at_least(ohms, LEAST))


def _may_hold(node: Node, name: str) -> bool:
    """True for a load that may hold its current whatever the voltage over it."""
    load = node.board.load.get(name)
    return isinstance(load, LogicInput | Capacitive) or (isinstance(load, LedString) and load.current is not None)


def _one_way(node: Node, name: str) -> bool:
    """True for what passes no current back into its feed."""
    return name not in node.board.load or isinstance(node.board.load[name], LedString)


def pairs(node: Node) -> list[Between]:
    """Every two feeds of a node between which a current can flow."""
    made = [Between(node, high, low) for low in node.feeds for high in node.rivals(low)]
    return [one for one in made if one.passes]


def largest_through(node: Node) -> Fact:
    """Largest current through any load of a node while its switch is off, A; not stated where none can flow.

    No load gives more than to each lower feed alone, and none takes more than from each higher feed alone.
    """
    found = [(one, one.current()) for one in pairs(node)]
    sums = []
    for feed in node.feeds:
        for end in ("high", "low"):
            flows = [fact for one, fact in found if getattr(one, end) == feed]
            if flows:
                words = " and ".join(fact.source for fact in flows)
                sums.append(combine(sum_of(fact.value for fact in flows), words, *flows))
    return highest(sums) if sums else NOT_STATED


# ---- into one rail


def _nodes(situation: "Situation") -> Iterator[Node]:
    for ref, _ in situation.board.switches():
        yield Node(situation.facts(ref), ref)


def pushed_into(situation: "Situation", rail: str) -> Fact:
    """Largest current that other feeds push into a rail through the nodes of its loads, A; not stated where none can.

    For long while the switches are off; and what coils of other rails push through a clamp when they open.
    """
    parts: list[tuple[str, Fact]] = []
    for node in _nodes(situation):
        for one in pairs(node):
            if one.low.rail == rail:
                parts.append((f"{node.switch} off", one.current()))
                if one.clamps:
                    parts += [
                        (f"{name} opening", situation.load(name).largest)
                        for name in one.giving
                        if situation.load(name).inductive
                    ]
    return total(parts, "A") if parts else NOT_STATED


def sunk_by(situation: "Situation", rail: str) -> Fact:
    """What surely flows out of a rail, A: least logic and other current, and what no switch interrupts.

    A supply or a regulator is not stated to take any back.
    """
    return total(_sinks(situation, rail), "A")


def _sinks(situation: "Situation", name: str) -> list[tuple[str, Fact]]:
    board, rail = situation.board, situation.board.rail[name]
    made: list[tuple[str, Fact]] = []
    for key in ("logic_current", "other_current"):
        span = getattr(rail, key)
        if span is not None:
            made.append((f"{name}.{key}", Fact(span.min, f"rail.{name}.{key}, least")))
    for load in situation.loads_on(name):
        if _always_on(situation, load):
            least = situation.load(load).least if load in board.load else situation.quantity(load, "current_min")
            if not unknown(least.value) and not least.bounded:  # one that is not known adds nothing to what is sure
                made.append((load, least))
    for _, regulator in board.of_type(Regulator):
        if regulator.input == name:
            made += _sinks(situation, regulator.output)
    return made


def _always_on(situation: "Situation", name: str) -> bool:
    board = situation.board
    if any(name in group.of for group in board.at_once) or board.switch_of(name) is not None:
        return False
    if name in board.load:
        return board.load[name].chopped is None and board.load[name].rate is None
    led = board.role[name]
    assert isinstance(led, Indicator)
    return not (led.switch_voltage or led.switch_resistance or led.chopped or led.rate)
