"""What must let go once its switch opens: the numbers of one load, or the worst of several together."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, NamedTuple

from partcheck.board.loads import AnyLoad, Capacitive, Coil, LedString, LogicInput, Resistive
from partcheck.operations import NAN
from partcheck.requirement import Fact
from partcheck.situation.facts import NOT_STATED, combine, total
from partcheck.situation.loads import LoadState
from partcheck.situation.many import at_least, known_above, known_below, largest_of, least_of, many, ratio, show

if TYPE_CHECKING:
    from partcheck.situation.situation import Situation

NOTHING = 1e12
"""A resistance in Ω that stands for no load beside."""
NEXT_TO_NONE = 1e-12
"""A current in A that divides in place of none."""


class Beside(NamedTuple):
    """What hangs on the same switch and carries the coil's current on: all of it in parallel.

    ``resistance`` is its least (Ω, ``NOTHING`` where there is none), ``inductance`` its largest (H), ``behind`` how far
    its rail may lie below the coil's (V).
    """

    resistance: Any
    inductance: Any
    behind: Any
    names: str
    parts: tuple[Fact, ...]


class Release(NamedTuple):
    """What must let go: the one load that states it, or the worst of each number of several."""

    time: float
    current: Any
    end: Any
    inductance: Any
    resistance: Any
    names: str
    beside: Beside
    parts: tuple[Fact, ...]


def beside(situation: "Situation", load: str) -> Beside:
    """The loads on the switch of a coil that carry its current on when it opens; strings of LEDs block it."""
    board = situation.board
    switch = board.switch_of(load)
    conductance: Any = 0.0
    inductance: Any = 0.0
    behind: Any = 0.0
    names: list[str] = []
    parts: list[Fact] = []
    own = board.load[load].rail
    for name in board.role[switch].load if switch is not None else ():  # type: ignore[union-attr]
        if name == load or name not in board.load or isinstance(board.load[name], LedString):
            continue
        if may_be_a_source(board.load[name]):
            continue  # counted in carried_on
        state, rail = situation.load(name), board.load[name].rail
        ohms = _least_resistance(situation, name)
        conductance = conductance + ratio(1.0, ohms.value)
        parts.append(ohms)
        names.append(name)
        if state.inductive:
            inductance = inductance + state.inductance.value
            parts.append(state.inductance)
        if rail != own:
            top, low = situation.rail(own).largest, situation.rail(rail).least
            behind = at_least(top.value - low.value, behind)
            parts += [top, low]
    resistance = ratio(1.0, conductance) if names else NOTHING
    return Beside(resistance, inductance, behind, " and ".join(names), tuple(parts))


def may_be_a_source(load: AnyLoad) -> bool:
    """True for a load of which only its current is known, so that it may draw that at any voltage, either way."""
    return isinstance(load, LogicInput) or (isinstance(load, Resistive) and load.resistance is None)


def carried_on(situation: "Situation", load: str) -> Fact:
    """What a coil's current may come down to and then go on, whatever clamps it, A.

    Loads on its switch that are known by their current alone may carry so much of it on without any voltage; what is
    more than that flows through the clamp.
    """
    board, switch = situation.board, situation.board.switch_of(load)
    parts: list[tuple[str, Fact]] = []
    for name in board.role[switch].load if switch is not None else [load]:  # type: ignore[union-attr]
        beside = board.load.get(name)
        if beside is None:
            continue
        if name != load and may_be_a_source(beside):
            parts.append((name, situation.load(name).largest))
        elif beside.extra_current is not None:
            parts.append((name, Fact(beside.extra_current.max, f"{name}.extra_current, largest")))
    return total(parts, "A")


def _least_resistance(situation: "Situation", name: str) -> Fact:
    """Least resistance of a load, cold, Ω: what it states, else the least rail over the most that it ever draws."""
    load, state = situation.board.load[name], situation.load(name)
    if isinstance(load, Capacitive):
        return Fact(NAN, "", (f"how long the capacitor of {name} keeps the current flowing",))
    if state.resistance.value is not None:
        return state.resistance
    if isinstance(load, Resistive) and load.resistance is not None:
        return Fact(load.resistance.min / load.count, f"{name}.resistance, least")
    most = state.inrush if state.inrush.value is not None else state.largest
    rail = situation.rail(load.rail).least
    return combine(ratio(rail.value, most.value), f"{load.rail}, least, over the most that {name} draws", rail, most)


def release_end(situation: "Situation", state: LoadState, load: Coil) -> Fact:
    """Current of the whole group at which it has let go, A; missing where its least current while on is no more.

    And where what hangs beside it may carry as much of it on.
    """
    assert load.release_level is not None
    level, least, carried = load.release_level * load.count, state.least, carried_on(situation, state.name)
    value = known_below(level, least.value)
    if not many(value) and value != value:
        return Fact(value, "", (f"{state.name}.release_level below its least current, {show(least.value, 'A')}",))
    above = known_above(value, carried.value)
    if not many(above) and above != above:
        rest = f"{show(carried.value, 'A')} that {carried.source} may keep flowing"
        return Fact(above, "", (f"{state.name}.release_level above {rest}", *carried.missing))
    return combine(above, f"{state.name}.release_level", carried)


def worst_release(found: list[Release]) -> Release | None:
    """One load that lets go no sooner, against its limit, than any of several that go off together.

    Time to let go over the limit rises with inductance times current over the limit, and falls with the
    winding's drop and with the share of the current that is left, so the worst of each is taken.
    """
    if len(found) < 2:
        return found[0] if found else None
    time, current = min(r.time for r in found), at_least(largest_of(r.current for r in found), NEXT_TO_NONE)
    flux = largest_of(r.inductance * r.current / r.time for r in found)
    drop = least_of(r.resistance * r.current for r in found)
    left = least_of(ratio(r.end, r.current) for r in found)
    return Release(
        time,
        current,
        left * current,
        flux * time / current,
        drop / current,
        " and ".join(r.names for r in found),
        _worst_beside([r.beside for r in found]),
        tuple(part for r in found for part in r.parts),
    )


def _worst_beside(found: list[Beside]) -> Beside:
    return Beside(
        least_of(b.resistance for b in found),
        largest_of(b.inductance for b in found),
        largest_of(b.behind for b in found),
        " and ".join(dict.fromkeys(b.names for b in found if b.names)),
        tuple(part for b in found for part in b.parts),
    )


class ReleaseFacts:
    """The facts of what must let go, of a place that says which load that is."""

    def _release(self) -> Release | None:
        raise NotImplementedError

    def _of_release(self, pick: Callable[[Release], Any], words: str) -> Fact:
        release = self._release()
        if release is None:
            return NOT_STATED
        return combine(pick(release), f"{release.names}: {words}", *release.parts)

    def _of_beside(self, pick: Callable[[Beside], Any], words: str) -> Fact:
        release = self._release()
        if release is None:
            return NOT_STATED
        source = f"{release.beside.names}: {words}" if release.beside.names else "nothing beside it on the switch"
        return combine(pick(release.beside), source, *release.beside.parts)

    def release_time(self) -> Fact:
        return self._of_release(lambda r: r.time, "release_time")

    def release_current(self) -> Fact:
        return self._of_release(lambda r: r.current, "largest current")

    def release_end(self) -> Fact:
        return self._of_release(lambda r: r.end, "release_level")

    def release_inductance(self) -> Fact:
        return self._of_release(lambda r: r.inductance, "largest inductance")

    def release_resistance(self) -> Fact:
        return self._of_release(lambda r: r.resistance, "least resistance, cold")

    def beside_resistance(self) -> Fact:
        return self._of_beside(lambda b: b.resistance, "least resistance")

    def beside_inductance(self) -> Fact:
        return self._of_beside(lambda b: b.inductance, "largest inductance")

    def beside_behind(self) -> Fact:
        return self._of_beside(lambda b: b.behind, "its rail, least, below the largest of the coil's")
