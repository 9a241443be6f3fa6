"""An LED behind one resistor, judged: the drawn value, those next to the solved one, the nearest that does."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.light.equal import BELOW, REACHED, UNKNOWN, WEAK, Solved, solve_light, values_that_do
from partcheck.jobs.light.operating import OperatingPoint, operating_point
from partcheck.jobs.light.wanted import indicator_place
from partcheck.jobs.screen.resistors import ResistorChange, with_resistor
from partcheck.jobs.swap.swap import Candidate, worsened
from partcheck.parts import Part
from partcheck.physics.preferred import at_least, at_most
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle_after
from partcheck.units import Span

SAME_VALUE = 1e-9
PAST = 1.5
TRIED = 4
"""Values judged in full when the nearest one that meets is looked for."""


@dataclass(frozen=True)
class Circuit:
    """An LED in the place behind a resistor: judged with every place it touches."""

    candidate: Candidate
    resistance: float
    point: OperatingPoint
    situation: Situation

    @property
    def change(self) -> ResistorChange | None:
        """The resistor that is changed; None as drawn."""
        return self.candidate.resistor

    @property
    def verdict(self) -> Verdict:
        """Of the place and of all it makes worse."""
        return self.candidate.verdict


def solve(situation: Situation, ref: str, part: Part, goal: float) -> Solved:
    """The resistor with which ``part`` gives the light ``goal`` at typical."""
    if goal != goal:
        return Solved(UNKNOWN, math.nan, math.nan, math.nan)
    return solve_light(situation, ref, part, goal)


def preferred(series: str, resistance: float) -> list[float]:
    """The preferred values on both sides of a resistance; the one itself where it is preferred."""
    return sorted({value for value in (at_most(series, resistance), at_least(series, resistance)) if value == value})


def neighbours(setup: Setup, ref: str, part: Part, solved: Solved, drawn: Circuit | None = None) -> list[Circuit]:
    """The circuits with the preferred values next to the solved one; the drawn value is judged as drawn."""
    if solved.state != REACHED:
        return []
    made: list[Circuit] = []
    as_drawn = drawn.candidate.drawn if drawn is not None else None
    for value in preferred(setup.board_file.board.series, solved.resistance):
        if math.isclose(value, indicator_place(setup, ref).resistor.typ, rel_tol=SAME_VALUE):
            made.append(drawn or circuit(setup, ref, part, None))
        else:
            made.append(circuit(setup, ref, part, value, as_drawn))
        as_drawn = made[-1].candidate.drawn
    return made


def nearest_that_does(setup: Setup, ref: str, part: Part, goal: float, drawn: Circuit) -> Circuit | None:
    """The circuit with the preferred value whose light is nearest to the wanted one among those that meet."""
    situation, span = setup.situation, indicator_place(setup, ref).resistor
    for value in values_that_do(situation, ref, part, goal, span.typ)[:TRIED]:
        made = circuit(setup, ref, part, value, drawn.candidate.drawn)
        if made.verdict >= Verdict.TIGHT:
            return made
    return None


def beyond(setup: Setup, ref: str, drawn: Circuit, solved: Solved) -> Verdict:
    """The best that can be said of an LED for which no resistor was found.

    Where its curves end before the wanted light it is judged a little beyond their end, where its light is missing.
    """
    if solved.state == WEAK:
        return Verdict.FAILS
    if solved.state == UNKNOWN:
        return min(drawn.verdict, Verdict.UNPROVEN)
    made = circuit(setup, ref, drawn.candidate.part, past(solved), drawn.candidate.drawn)
    return min(made.verdict, Verdict.UNPROVEN)


def past(solved: Solved) -> float:
    """A resistor with which every corner of the light lies beyond the end of the curves."""
    return solved.resistance * PAST if solved.state == BELOW else solved.resistance / PAST


def choose(choices: Sequence[Circuit], goal: float) -> Circuit | None:
    """The better verdict; then the light nearer to the wanted one; then the larger resistor, as it saves current."""

    def key(made: Circuit) -> tuple[float, ...]:
        light = made.point.light
        far = abs(math.log(light / goal)) if light > 0 else math.inf
        return (-int(made.verdict), round(far, 9), -made.resistance)

    return min(choices, key=key, default=None)


def circuit(setup: Setup, ref: str, part: Part, value: float | None, as_drawn: Judged | None = None) -> Circuit:
    """``part`` at ``ref`` behind a replacement resistor of ``value``, or behind the drawn one.

    ``as_drawn`` is the part judged behind the drawn one, where that is known.
    """
    situation = setup.situation
    span: Span = indicator_place(setup, ref).resistor
    change, changed = None, None
    if value is None or as_drawn is None:
        made = settle_after(situation, situation.replaced(ref, part), ref)
        as_drawn = judge_place(made, ref)
    if value is not None:
        change = ResistorChange("resistor", span, value)
        board = with_resistor(situation.board, ref, change)
        made = settle_after(situation, situation.replaced(ref, part, board, here_only=True), ref)
        changed = judge_place(made, ref)
    candidate = Candidate(part, as_drawn, change, changed, tuple(worsened(setup, situation, made, ref)))
    return Circuit(candidate, span.typ if value is None else value, operating_point(made, ref), made)
