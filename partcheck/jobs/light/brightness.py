"""Brightness: an LED beside the fitted one at the real operating point, and the resistor for equal or wanted light.

The story: solve the resistor for the wanted typical light; judge the preferred values on both sides of it at all
corners, with every place they touch; name the best; see what it saves, here and over all indicators with the same
LED, and what that does to the regulator behind them.
"""

import math
from dataclasses import dataclass
from functools import cached_property

from partcheck.board.roles import Indicator
from partcheck.errors import UsageError
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged, judge_place
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.judge.unjudged import around, not_judged
from partcheck.jobs.light.circuits import (
    Circuit,
    beyond,
    choose,
    circuit,
    nearest_that_does,
    neighbours,
    solve,
)
from partcheck.jobs.light.equal import Solved
from partcheck.jobs.light.feed import LedFeed, feeding
from partcheck.jobs.light.operating import ComparedLight, OperatingPoint, compare_light
from partcheck.jobs.light.such import AllSuch, all_such
from partcheck.jobs.light.wanted import WantedLight, fitted_light, indicator_place
from partcheck.parts import Part
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.stages import during


@dataclass(frozen=True)
class Brightened:
    """The answer about one LED in one place."""

    setup: Setup
    situation: Situation
    ref: str
    wanted: WantedLight
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
    feeds: tuple[LedFeed, ...]
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

    def against(self, made: Circuit) -> ComparedLight | None:
        """Light of a circuit against the fitted LED; None where none is fitted."""
        return compare_light(made.point, self.before) if self.before is not None else None

    @cached_property
    def ratio(self) -> ComparedLight | None:
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

    def flux_ratio(self, made: Circuit) -> ComparedLight | None:
        """Flux of a circuit against the fitted LED, where the angles differ and both state a flux."""
        return compare_flux(made, self.before, self.fitted.part)


def compare_flux(made: Circuit, before: OperatingPoint | None, fitted: Part | None) -> ComparedLight | None:
    """Flux against the fitted LED where viewing angles differ; only where both state one, never from a cone."""
    if before is None or fitted is None:
        return None
    if fitted.number("viewing_angle") == made.candidate.part.number("viewing_angle"):
        return None
    flux = compare_light(made.point, before, "flux")
    return flux if flux.typical == flux.typical else None


@during("comparing two LEDs")
def brightness(setup: Setup, ref: str, part: Part | None = None, wanted: WantedLight | None = None) -> Brightened:
    """``part``, or the fitted LED, at ``ref``: its light beside the fitted one's, and the resistor for the wanted."""
    wanted = wanted or WantedLight()
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
