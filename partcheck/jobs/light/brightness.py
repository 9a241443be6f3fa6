"""Brightness: an LED beside the fitted one at the real operating point, and the resistor for equal or wanted light.

The story: solve the resistor for the wanted typical light; judge the preferred values on both sides of it at all
corners, with every place they touch; name the best; see what it saves, here and over all indicators with the same
LED, and what that does to the regulator behind them.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

from partcheck.board.roles import Indicator
from partcheck.errors import UsageError
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import around, not_judged
from partcheck.jobs.light.equal import BELOW, REACHED, UNKNOWN, WEAK, Solved, solve_light, values_that_do
from partcheck.jobs.light.feed import Feed, feeding
from partcheck.jobs.light.operating import Compared, OperatingPoint, compare_light, operating_point
from partcheck.jobs.screen.resistors import ResistorChange, with_resistor
from partcheck.jobs.swap.swap import Candidate, Worsened, baseline, worsened
from partcheck.parts import Part
from partcheck.physics.preferred import at_least, at_most
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle, settle_after
from partcheck.stages import during
from partcheck.units import Span, parse

SAME_VALUE = 1e-9
PAST = 1.5
TRIED = 4
"""Values judged in full when the nearest one that meets is looked for."""


@dataclass(frozen=True)
class Wanted:
    """The light that is wanted of one LED at typical: an intensity (cd), or a ratio to the fitted LED."""

    target: float | None = None
    ratio: float = 1.0

    @property
    def equal(self) -> bool:
        """True where the light of the fitted LED itself is wanted."""
        return self.target is None and self.ratio == 1.0

    def light(self, fitted: OperatingPoint | None) -> float:
        """The wanted intensity, cd; NaN where it rests on a fitted LED whose light is not known."""
        if self.target is not None:
            return self.target
        return math.nan if fitted is None else self.ratio * fitted.light


def read_wanted(target: str | None, ratio: str | float | None) -> Wanted:
    """The wanted light as a user writes it; each slip is one sentence."""
    if target is not None and ratio is not None:
        raise UsageError("--target and --ratio both say how much light is wanted; give one of them")
    if target is not None:
        return Wanted(target=_positive("--target", target, "cd", "5 mcd"))
    return Wanted(ratio=_positive("--ratio", ratio, "", "0.5")) if ratio is not None else Wanted()


def _positive(option: str, text: str | float, unit: str, example: str) -> float:
    try:
        value = parse(text, unit)
    except UsageError:
        raise
    except Exception as slip:
        raise UsageError(f"{option} {text!s}: {slip}") from None
    if not 0 < value < math.inf:
        raise UsageError(f"{option} {text!s} is not above zero; write for example {option} {example!r}")
    return value


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


@dataclass(frozen=True)
class Brightened:
    """The answer about one LED in one place."""

    setup: Setup
    situation: Situation
    ref: str
    wanted: Wanted
    goal: float
    fitted: Judged
    before: OperatingPoint | None
    drawn: Circuit
    solved: Solved
    choices: tuple[Circuit, ...]
    best: Circuit | None
    instead: Circuit | None
    otherwise: Verdict
    such: AllSuch | None
    feeds: tuple[Feed, ...]
    cautions: tuple[str, ...]

    @property
    def not_judged(self) -> tuple[str, ...]:
        """What a reviewer would ask and is not judged here."""
        return not_judged(self.situation.board, around(self.situation.board, self.ref))

    @property
    def part(self) -> Part:
        """The LED that is asked about."""
        return self.drawn.candidate.part

    @property
    def place(self) -> Indicator:
        """The place as the board states it."""
        return indicator_place(self.setup, self.ref)

    @property
    def is_fitted(self) -> bool:
        """True where the LED that is asked about is the fitted one."""
        return self.fitted.part is not None and self.fitted.part.key == self.part.key

    @property
    def shown(self) -> Circuit:
        """The recommended circuit, or the one as drawn where none can be recommended."""
        return self.best or self.drawn

    @property
    def verdict(self) -> Verdict:
        """Of the recommended circuit; without one no better than unproven, or fails where no resistor would do."""
        return self.best.verdict if self.best is not None else self.otherwise

    def against(self, made: Circuit) -> Compared | None:
        """Light of a circuit against the fitted LED; None where none is fitted."""
        return compare_light(made.point, self.before) if self.before is not None else None

    @cached_property
    def ratio(self) -> Compared | None:
        """Light as drawn against the fitted LED."""
        return self.against(self.drawn)

    @property
    def angles(self) -> tuple[float, float]:
        """Viewing angles of the fitted LED and of this one; NaN where not stated."""
        old = self.fitted.part
        return (old.number("viewing_angle") if old is not None else math.nan), self.part.number("viewing_angle")

    @property
    def angles_differ(self) -> bool:
        """True unless both viewing angles are stated and the same."""
        return self.before is not None and self.angles[0] != self.angles[1]

    def flux_ratio(self, made: Circuit) -> Compared | None:
        """Flux of a circuit against the fitted LED, where the angles differ and both state a flux."""
        return compare_flux(made, self.before, self.fitted.part)


def compare_flux(made: Circuit, before: OperatingPoint | None, fitted: Part | None) -> Compared | None:
    """Flux against the fitted LED where viewing angles differ; only where both state one, never from a cone."""
    if before is None or fitted is None:
        return None
    if fitted.number("viewing_angle") == made.candidate.part.number("viewing_angle"):
        return None
    flux = compare_light(made.point, before, "flux")
    return flux if flux.typical == flux.typical else None


def indicator_place(setup: Setup, ref: str) -> Indicator:
    """The indicator at ``ref``; ``UsageError`` where something else sits there."""
    roles = setup.board_file.board.role
    place = roles[ref]
    if isinstance(place, Indicator):
        return place
    there = [name for name, role in roles.items() if isinstance(role, Indicator)]
    hint = f"its indicators are {', '.join(there)}" if there else "the board has none"
    raise UsageError(f"{ref} is no indicator LED, and brightness is asked of one; {hint}")


def fitted_light(setup: Setup, ref: str, wanted: Wanted) -> OperatingPoint | None:
    """The fitted LED at its operating point; ``UsageError`` where the wanted light rests on one that is not known."""
    if setup.situation.fitted.get(ref) is not None:
        return operating_point(setup.situation, ref)
    if wanted.target is None:
        raise UsageError(
            f"{ref} has no LED with known values fitted to compare with; give --target, or enter that LED's values"
        )
    return None


@during("comparing two LEDs")
def brightness(setup: Setup, ref: str, part: Part | None = None, wanted: Wanted | None = None) -> Brightened:
    """``part``, or the fitted LED, at ``ref``: its light beside the fitted one's, and the resistor for the wanted."""
    wanted = wanted or Wanted()
    indicator_place(setup, ref)
    situation = setup.situation
    before = fitted_light(setup, ref, wanted)
    part = part or situation.fitted.get(ref)
    if part is None:
        raise UsageError(f"{ref} has no LED with known values fitted; name a PART")
    goal = wanted.light(before)
    drawn = circuit(setup, ref, part, None)
    solved = solve(situation, ref, part, goal)
    choices = tuple(neighbours(setup, ref, part, solved, drawn))
    best = choose(choices, goal)
    otherwise = best.verdict if best is not None else beyond(setup, ref, drawn, solved)
    instead = None
    if best is not None and best.verdict < Verdict.TIGHT:
        instead = nearest_that_does(setup, ref, part, goal, drawn)
    such = all_such(setup, ref, part, best, wanted) if best is not None else None
    states = [situation, (best or drawn).situation]
    if such is not None and len(such.refs) > 1:
        states.append(such.situation)
    feeds = feeding(states, such.refs if such is not None else [ref])
    fitted = judge_place(situation, ref)
    shown = (best or drawn).candidate.judged
    return Brightened(
        setup,
        situation,
        ref,
        wanted,
        goal,
        fitted,
        before,
        drawn,
        solved,
        choices,
        best,
        instead,
        otherwise,
        such,
        tuple(feeds),
        tuple(cautions(situation, [fitted, shown])),
    )


def solve(situation: Situation, ref: str, part: Part, goal: float) -> Solved:
    """The resistor with which ``part`` gives the light ``goal`` at typical."""
    if goal != goal:
        return Solved(UNKNOWN, math.nan, math.nan, math.nan)
    return solve_light(situation, ref, [part], goal)[0]


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
        made = settle_after(situation, situation.replaced(ref, part, board), ref)
        changed = judge_place(made, ref)
    candidate = Candidate(part, as_drawn, change, changed, tuple(worsened(setup, situation, made, ref)))
    return Circuit(candidate, span.typ if value is None else value, operating_point(made, ref), made)


# ---- all indicators with the same LED


def all_such(setup: Setup, ref: str, part: Part, best: Circuit, wanted: Wanted) -> AllSuch:
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


def _resistor_at(setup: Setup, ref: str, part: Part, best: Circuit, wanted: Wanted) -> float | None:
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
    board = situation.board
    for name, value in resistors.items():
        place = board.role[name]
        assert isinstance(place, Indicator)
        if not math.isclose(value, place.resistor.typ, rel_tol=SAME_VALUE):
            board = with_resistor(board, name, ResistorChange("resistor", place.resistor, value))
    rise = max(situation.inside_rise, best.situation.inside_rise)
    made = Situation(board, {**situation.fitted, **dict.fromkeys(resistors, part)}, situation.policy, rise)
    made.drawn = situation.drawn
    return settle(made)


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
