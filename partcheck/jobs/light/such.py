"""All indicators with the same LED, changed alike."""

import math
from dataclasses import dataclass
from itertools import chain

from partcheck.board.roles import Indicator
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.light.circuits import (
    SAME_VALUE,
    Circuit,
    preferred,
    solve,
)
from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.operating import OperatingPoint, operating_point
from partcheck.jobs.light.wanted import WantedLight
from partcheck.jobs.screen.resistors import ResistorChange, with_resistor
from partcheck.jobs.swap.swap import Worsened, baseline
from partcheck.parts import Part
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle


@dataclass(frozen=True)
class AllSuch:
    """The board with every indicator that has the same LED as the fitted one changed alike."""

    refs: tuple[str, ...]
    resistors: dict[str, float]
    points: dict[str, tuple[OperatingPoint, OperatingPoint]]
    left: tuple[str, ...]
    verdict: Verdict
    worsened: tuple[Worsened, ...]
    situation: Situation

    def saved(self, quantity: str) -> float:
        """What a current of all of them together falls by."""
        return math.fsum(before[quantity] - after[quantity] for before, after in self.points.values())


def all_such(setup: Setup, ref: str, part: Part, best: Circuit, wanted: WantedLight) -> AllSuch:
    """Change every indicator that has the LED of ``ref``, each with the resistor that its own circuit needs."""
    situation = setup.situation
    own = situation.fitted.get(ref)
    refs = [
        name
        for name, fitted in situation.fitted.items()
        if name == ref or (own is not None and fitted is not None and fitted.kind == "led" and fitted.key == own.key)
    ]
    resistors = {ref: best.resistance}
    left = []
    for name in refs:
        if name != ref:
            value = _resistor_at(setup, name, part, best, wanted)
            if value is None:
                left.append(name)
            else:
                resistors[name] = value
    if len(resistors) == 1:
        after, worse = best.situation, best.candidate.worsened
    else:
        after = _all_changed(situation, part, resistors, best)
        worse = tuple(_worse(situation, after, resistors))
    verdicts = [judge_place(after, name).verdict for name in resistors] + [w.after for w in worse]
    points = {
        name: (operating_point(situation, name), operating_point(after, name))
        for name in resistors
        if situation.fitted.get(name) is not None
    }
    return AllSuch(
        tuple(name for name in refs if name in resistors), resistors, points, tuple(left), min(verdicts), worse, after
    )


def _resistor_at(setup: Setup, ref: str, part: Part, best: Circuit, wanted: WantedLight) -> float | None:
    """The preferred value that another indicator needs; the recommended one where it is among the two next to it."""
    before = operating_point(setup.situation, ref)
    goal = wanted.light(before)
    solved = solve(setup.situation, ref, part, goal)
    if solved.state != REACHED:
        return None
    values = preferred(setup.board_file.board.series, solved.resistance)
    same = [value for value in values if math.isclose(value, best.resistance, rel_tol=SAME_VALUE)]
    return same[0] if same else min(values, key=lambda value: abs(math.log(value / solved.resistance)))


def _all_changed(situation: Situation, part: Part, resistors: dict[str, float], best: Circuit) -> Situation:
    made = situation
    for name, value in resistors.items():  # one after the other: what rests on none of them stands
        board, place = made.board, made.board.role[name]
        assert isinstance(place, Indicator)
        if not math.isclose(value, place.resistor.typ, rel_tol=SAME_VALUE):
            board = with_resistor(board, name, ResistorChange("resistor", place.resistor, value))
        made = made.replaced(name, part, board, here_only=True)
    rise = max(situation.inside, best.situation.inside, key=lambda inside: inside.value)
    return settle(made if rise == made.inside else made.again(rise))


def _worse(before: Situation, after: Situation, changed: dict[str, float]) -> list[Worsened]:
    """The places, those that are changed left aside, with a requirement that has a worse verdict than before."""
    known = {(old.ref, f.id): f.verdict for old in baseline(before) for f in old.findings}
    made = []
    for judged in chain(*judge_board(after)):
        for finding in judged.findings if judged.ref not in changed else ():
            was = known.get((judged.ref, finding.id), Verdict.MEETS)
            if finding.verdict < was and finding.counts:
                made.append(Worsened(judged.ref, was, finding.verdict, finding))
    return made
