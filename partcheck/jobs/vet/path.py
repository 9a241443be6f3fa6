"""The path of a load's current, link by link: source, wire, terminal, load, clamp, switch, track, and back.

Each track stands where its ``side`` says. A load behind a regulator returns to the source of that regulator.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from partcheck.board import Board
from partcheck.board.loads import Load
from partcheck.board.roles import Pole, Terminal
from partcheck.jobs.judge.place import Judged, judge_link, judge_place, tight
from partcheck.readings.explain import explain
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from partcheck.situation.current_path import RETURN_TRACK, TRACK, TRACK_STAGES, passes
from partcheck.situation.paths import load_peak, pole_label, rails_behind
from partcheck.situation.sums import all_load_peak, peak, return_peak
from partcheck.situation.terminal import TerminalFacts

WHOLE_PART = ("package", "pin-order", "pitch", "poles")
"""What is asked of a terminal as a whole, not of one pole."""
STAGES = (
    "source",
    "feed wire",
    "supply terminal",
    "feed terminal",
    "cable",
    "load",
    "switched terminal",
    "clamp",
    "switch",
    "track",
    "return track",
    "return terminal",
)


@dataclass(frozen=True)
class PathLink:
    """One link of the path: where it stands in it, what it carries, and how it is judged.

    ``judged`` is None for a load that states no voltage it needs: nothing is asked of it.
    """

    stage: str
    ref: str
    carries: Fact
    judged: Judged | None

    @property
    def verdict(self) -> Verdict | None:
        """The worst of its requirements; None for a load of which nothing is asked."""
        return self.judged.verdict if self.judged is not None else None


def judge_pole(situation: Situation, ref: str, pole: Pole) -> Judged:
    """A terminal judged by one of its poles alone (or a group of them in parallel)."""
    role, part = ROLES["terminal"], situation.fitted.get(ref)
    place = situation.board.role[ref].model_copy(update={"poles": [pole]})
    name = f"{ref} {pole_label(pole)}"
    facts = TerminalFacts(situation, name, role, place)
    found = explain(role, part, facts, tight(situation))
    return Judged(name, role, part, facts, tuple(f for f in found if f.id not in WHOLE_PART))


def path_of(situation: Situation, load: str) -> list[PathLink]:
    """Every link of the path that the board states, in order."""
    return list(_links(situation, load))


def not_on_path(board: Board, load: str, links: list[PathLink]) -> list[str]:
    """The stages that the board states nothing of, so that nothing is judged there."""
    there = {link.stage for link in links}
    asked = [stage for stage in STAGES if stage != "clamp" or hasattr(board.load[load], "inductance")]
    return [stage for stage in asked if stage not in there]


def _links(situation: Situation, load: str) -> Iterator[PathLink]:
    board = situation.board
    rail = board.load[load].rail
    others = {name: (role, facts) for name, role, facts in situation.links()}

    def found(stage: str, name: str, carries: Fact) -> Iterator[PathLink]:
        if name in others:
            yield PathLink(stage, name, carries, judge_link(situation, name, *others[name]))

    def tracks(side: str, rails: list[str]) -> Iterator[PathLink]:
        for name, track in board.track.items():
            if track.side == side and passes(track, load, rails):
                stage = TRACK_STAGES.get(side, TRACK if track.rail is None else RETURN_TRACK)
                yield from found(stage, f"track {name}", return_peak(situation, track.rail, track.load))

    behind = rails_behind(board, rail)
    for name in behind:
        maker = board.rail[name].regulator
        whole = situation.rail_current(name)
        if maker is not None:
            yield PathLink("source", maker, whole, judge_place(situation, maker))
        yield from found("source", f"rail {name}", whole)
        yield from found("feed wire", f"feed {name}", whole)
        yield from _poles(situation, "supply", load, [name])
    yield from tracks("feed", [rail])
    yield from _poles(situation, "feed", load, [rail])
    own = peak(situation, load)
    yield from found("cable", f"cable {load}", own)
    needs = others.get(f"load {load}")
    yield PathLink("load", load, own, judge_link(situation, f"load {load}", *needs) if needs is not None else None)
    yield from _poles(situation, "switched", load, [rail])
    yield from tracks("switched", [rail])
    for ref in clamps(situation, load):
        yield PathLink("clamp", ref, situation.facts(ref)["coil_current"], judge_place(situation, ref))
    switch = board.switch_of(load)
    if switch is not None:
        yield PathLink("switch", switch, load_peak(situation, board.role[switch].load), judge_place(situation, switch))  # type: ignore[union-attr]
    yield from tracks("return", behind)
    yield from found("shared return", "ground", all_load_peak(situation))
    yield from _poles(situation, "return", load, behind)


def clamps(situation: Situation, load: str) -> list[str]:
    """The clamps that take a load's energy, each reference once."""
    from partcheck.situation.nodes import clamp_units

    switch = situation.board.switch_of(load)
    if switch is None:
        return []
    return list(dict.fromkeys(ref for unit in clamp_units(situation.facts(switch), load) for ref in unit))


def _poles(situation: Situation, side: str, load: str, rails: list[str]) -> Iterator[PathLink]:
    for ref, terminal in situation.board.of_type(Terminal):
        for pole in terminal.poles:
            if pole.side != side or not passes(pole, load, rails):
                continue
            if side in ("feed", "switched"):
                whole = load_peak(situation, pole.load)
            else:
                whole = return_peak(situation, pole.rail, pole.load)
            made = judge_pole(situation, ref, pole)
            yield PathLink(f"{side} terminal", made.ref, whole, made)


def draws(load: Load) -> str:
    """A load in a word or two: ``coil``, ``3 lamps``."""
    sort = str(load.sort)  # type: ignore[attr-defined]
    return sort if load.count == 1 else f"{load.count} × {sort}"
