"""What feeds an indicator, before and after a change: its regulators up to the source, its rail, its drive's chip."""

from collections.abc import Sequence
from dataclasses import dataclass

from partcheck.board.roles import Indicator, Regulator
from partcheck.jobs.judge.place import Judged, judge_link, judge_place
from partcheck.situation import Situation, sums

QUANTITIES = ("load_total", "dissipation", "tj_hot", "current_left")


@dataclass(frozen=True)
class FeedState:
    """A regulator, rail or chip in one state of the board; NaN where a number rests on something missing."""

    values: dict[str, float]
    judged: Judged | None
    """None where the board asks nothing of a rail or chip."""

    def headroom(self, id_: str) -> float:
        """Headroom of one of its requirements; NaN where there is none to tell."""
        found = [f.headroom for f in self.judged.findings if f.id == id_] if self.judged is not None else []
        return found[0] if found else float("nan")


@dataclass(frozen=True)
class LedFeed:
    """A regulator, rail or chip that feeds an indicator, in each of several states of the board.

    ``kind`` is ``regulator``, ``rail`` or ``chip``; ``output`` the rail that a regulator makes; ``units`` tells
    what its values are.
    """

    kind: str
    name: str
    output: str
    states: tuple[FeedState, ...]

    @property
    def units(self) -> dict[str, str]:
        """Unit of each of its values."""
        if self.kind != "regulator":
            return {"current": "A"}
        return {"load_total": "A", "dissipation": "W", "tj_hot": "°C", "current_left": "A"}

    @property
    def steady(self) -> bool:
        """True where no value of it changes."""
        first = self.states[0].values
        return all(state.values == first for state in self.states[1:])

    @property
    def asked(self) -> list[str]:
        """The requirements that have a headroom in the first state and may move with the current."""
        first = self.states[0]
        if first.judged is None:
            return []
        known = [f.id for f in first.judged.findings if f.counts and f.headroom == f.headroom]
        return [id_ for id_ in known if any(state.headroom(id_) != first.headroom(id_) for state in self.states[1:])]


def feeding(states: Sequence[Situation], refs: Sequence[str]) -> list[LedFeed]:
    """All that feeds the indicators ``refs``, in each of the states of the board."""
    first = states[0]
    chips, rails = _direct(first, refs)
    made = [LedFeed("chip", name, "", tuple(_chip(s, name) for s in states)) for name in chips]
    for name in _upstream(first, rails):
        regulator = first.board.rail[name].regulator
        if regulator is not None:
            made.append(LedFeed("regulator", regulator, name, tuple(_regulator(s, regulator) for s in states)))
        else:
            made.append(LedFeed("rail", name, "", tuple(_rail(s, name) for s in states)))
    return made


def _direct(situation: Situation, refs: Sequence[str]) -> tuple[list[str], list[str]]:
    """The chips that drive these indicators, and the rails that feed them or those chips."""
    board = situation.board
    chips: dict[str, None] = {}
    rails: dict[str, None] = {}
    for ref in refs:
        led = board.role[ref]
        assert isinstance(led, Indicator)
        chip = board.drive[led.drive].chip if led.drive is not None else None
        if chip is not None:
            chips[chip] = None
        rail = led.rail or (board.chip[chip].supply if chip is not None else None)
        if rail is not None:
            rails[rail] = None
    return list(chips), list(rails)


def _upstream(situation: Situation, rails: Sequence[str]) -> list[str]:
    """These rails and those behind their regulators, nearest first."""
    made: dict[str, None] = {}
    waiting = list(rails)
    while waiting:
        name = waiting.pop(0)
        if name in made:
            continue
        made[name] = None
        regulator = situation.board.rail[name].regulator
        if regulator is not None:
            role = situation.board.role[regulator]
            assert isinstance(role, Regulator)
            waiting.append(role.input)
    return list(made)


def _regulator(situation: Situation, ref: str) -> FeedState:
    values = {name: float(situation.quantity(ref, name).value) for name in QUANTITIES}
    return FeedState(values, judge_place(situation, ref))


def _rail(situation: Situation, name: str) -> FeedState:
    current = situation.rail_current(name)
    return FeedState({"current": float(current.value)}, _link(situation, f"rail {name}"))


def _chip(situation: Situation, name: str) -> FeedState:
    current = sums.chip_current(situation, name)
    return FeedState({"current": float(current.value)}, _link(situation, f"chip {name}"))


def _link(situation: Situation, wanted: str) -> Judged | None:
    for name, role, facts in situation.links():
        if name == wanted:
            return judge_link(situation, name, role, facts)
    return None
