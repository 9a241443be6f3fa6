"""The resistor that gives a wanted light: solved on the true operating point, for many LEDs at once.

The role's own ``intensity_typ`` is evaluated as a function of the series resistor (light falls as it grows), first
over a wide grid, then by bisection. Where a curve ends before the light is reached there is no resistor, and the
answer says how far the curve reaches.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.judge.place import tight
from partcheck.jobs.screen.resistors import ResistorChange, with_resistor
from partcheck.parts import Part
from partcheck.physics.preferred import series_values
from partcheck.readings.verdicts import columns_of, judge_columns, tiled
from partcheck.requirement import Verdict, views
from partcheck.situation import Situation
from partcheck.stock.known import Known
from partcheck.stock.stock import Columns

Floats = NDArray[np.float64]
Light = Callable[[Floats], tuple[Floats, Floats]]
"""Typical luminous intensity and typical current of every LED, each behind its own resistor."""

LOW, HIGH = 0.1, 1e8
"""Ω: resistors that are looked through."""
GRID = 109
"""Twelve steps per decade."""
CHUNK = 500
"""Parts whose grid is looked through in one run."""
HALVINGS = 44
AHEAD, FEW = 5, 40
"""So many halvings are tried at once for at most so many parts."""
REACH = 100.0
"""How far up and down from the drawn value preferred ones are looked through."""
NEAR = 1e-6
REACHED, ABOVE, BELOW, WEAK, UNKNOWN = "reached", "above", "below", "weak", "unknown"
STATES = (REACHED, ABOVE, BELOW, WEAK, UNKNOWN)


@dataclass(frozen=True)
class Solved:
    """The resistor for a wanted light, or how near the LED comes to it.

    ``state``: ``reached``; ``above`` and ``below``, the curves end before the wanted light, which is more or less
    than they state; ``weak``, even the least resistor gives less; ``unknown``, no light is stated.
    ``resistance``, ``current`` and ``light`` are those of the solution, or of the end of the curves.
    """

    state: str
    resistance: float
    current: float
    light: float


def typical_light(situation: Situation, ref: str, columns: Columns, times: int = 1) -> Light:
    """How the typical light of each part at ``ref`` follows from its resistor; the parts ``times`` after each other."""
    facts = situation.facts(ref)
    if times > 1:
        columns = tiled(columns, times)

    def light(ohms: Floats) -> tuple[Floats, Floats]:
        def board(name: str) -> Any:
            value = ohms if name == "resistor_typ" else facts[name].value
            return np.float64(np.nan) if value is None else np.float64(value) if isinstance(value, float) else value

        with np.errstate(all="ignore"):
            p, _ = views(facts.role, columns.__getitem__, board)
            return np.broadcast_to(p.intensity_typ, ohms.shape), np.broadcast_to(p.current_typ, ohms.shape)

    return light


@dataclass
class Solutions:
    """For many LEDs what :class:`Solved` says of one, a column each; ``state`` is a place in :data:`STATES`."""

    state: NDArray[np.int8]
    resistance: Floats
    current: Floats
    light: Floats

    def of(self, place: int) -> Solved:
        """What became of one LED."""
        numbers = (float(column[place]) for column in (self.resistance, self.current, self.light))
        return Solved(STATES[self.state[place]], *numbers)


def solve_light(situation: Situation, ref: str, part: Part, wanted: float) -> Solved:
    """The largest resistor with which a part gives the wanted light at ``ref``."""
    return solve_columns(situation, ref, columns_of(situation.facts(ref).role.kind, [part]), 1, wanted).of(0)


def solve_known(situation: Situation, ref: str, known: Known, wanted: float) -> Solutions:
    """The largest resistor with which each of the parts gives the wanted light at ``ref``."""
    count = known.count
    made = Solutions(np.full(count, STATES.index(UNKNOWN), np.int8), *(np.full(count, np.nan) for _ in range(3)))
    if wanted == wanted:
        for low, high, columns in known.pieces(CHUNK):
            found = solve_columns(situation, ref, columns, high - low, wanted)
            for name in ("state", "resistance", "current", "light"):
                getattr(made, name)[low:high] = getattr(found, name)
    return made


def solve_columns(situation: Situation, ref: str, columns: Columns, count: int, wanted: float) -> Solutions:
    """As :func:`solve_known`, for parts of which there are not too many for a grid of values each."""
    grid = np.geomspace(LOW, HIGH, GRID)
    values = typical_light(situation, ref, columns, GRID)(np.repeat(grid, count))[0].reshape(GRID, count)
    known = np.isfinite(values)
    # light that is not stated is too much below the first resistor with a stated one, and too little above the last
    start = grid[np.argmax(known, axis=0)]
    more = np.where(known, values >= wanted, grid[:, None] < start)
    last = np.where(more.any(axis=0), GRID - 1 - np.argmax(more[::-1], axis=0), 0)
    low, high = grid[np.minimum(last, GRID - 2)], grid[np.minimum(last, GRID - 2) + 1]
    light = typical_light(situation, ref, columns)
    low, high = _narrowed(situation, ref, columns, wanted, (low, high, start))
    return _settled(low, high, light(low), light(high), np.asarray(known.any(axis=0)), wanted)


def _narrowed(
    situation: Situation, ref: str, columns: Columns, wanted: float, where: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats]:
    """The brackets halved :data:`HALVINGS` times; of few parts several halvings are tried in one run.

    One run asks for every middle that the next halvings could come to, so that the result is that of one at a time.
    """
    low, high, start = where
    count = len(low)
    levels = AHEAD if count <= FEW else 1
    light = typical_light(situation, ref, columns, 2**levels - 1)
    done = 0
    while done < HALVINGS:
        brackets, middles = [(low, high)], []
        for _ in range(levels):
            between = [np.sqrt(a * b) for a, b in brackets]
            middles += between
            brackets = [end for (a, b), m in zip(brackets, between, strict=True) for end in ((a, m), (m, b))]
        tried = np.array(middles)
        values = light(tried.reshape(-1))[0].reshape(tried.shape)
        over = np.where(np.isfinite(values), values >= wanted, tried < start)
        at, each = np.zeros(count, dtype=int), np.arange(count)
        for level in range(min(levels, HALVINGS - done)):
            node = 2**level - 1 + at
            up, middle = over[node, each], tried[node, each]
            low, high, at = np.where(up, middle, low), np.where(up, high, middle), 2 * at + up
        done += levels
    return low, high


def _settled(
    low: Floats,
    high: Floats,
    at_low: tuple[Floats, Floats],
    at_high: tuple[Floats, Floats],
    known: NDArray[np.bool_],
    wanted: float,
) -> Solutions:
    """What the bisection came to: the wanted light, or the end of a curve."""
    (most, low_current), (least, high_current) = at_low, at_high
    with np.errstate(invalid="ignore"):
        hits_high, hits_low = np.abs(least / wanted - 1) < NEAR, np.abs(most / wanted - 1) < NEAR
        weak, above = np.isfinite(most) & (most < wanted), np.isfinite(least) & (least < wanted)
    states = [STATES.index(name) for name in (UNKNOWN, REACHED, REACHED, WEAK, ABOVE)]
    cases: list[Any] = [~known, hits_high, hits_low, weak, above]
    state = np.select(cases, states, STATES.index(BELOW)).astype(np.int8)
    from_high: Any = hits_high | (~hits_low & ~weak & above)
    picked = [
        np.where(known, np.where(from_high, b, a), np.nan)
        for a, b in ((low, high), (low_current, high_current), (most, least))
    ]
    return Solutions(state, *picked)


def facts_with(situation: Situation, ref: str, ohms: Floats) -> dict[str, Any]:
    """The facts of the place with one replacement resistor per part, as the column reading takes them."""
    base = situation.facts(ref)
    span = situation.board.role[ref].resistor  # type: ignore[union-attr]
    place = with_resistor(situation.board, ref, ResistorChange("resistor", span, span.typ)).role[ref]
    changed = type(base)(situation.apart()[0], ref, base.role, place)
    tolerance = situation.board.replacement_resistor.tolerance
    made: dict[str, Any] = {name: changed[name].value for name in changed}
    for name, share in (("resistor_min", 1 - tolerance), ("resistor_typ", 1.0), ("resistor_max", 1 + tolerance)):
        made[name] = ohms * share
    return made


def values_that_do(situation: Situation, ref: str, part: Part, wanted: float, drawn: float) -> list[float]:
    """Preferred values with which the place itself meets or is tight, the light nearest to the wanted one first."""
    role = situation.facts(ref).role
    values = np.array(series_values(situation.board.series, drawn / REACH, drawn * REACH))
    parts = [part] * len(values)
    facts = facts_with(situation, ref, values)
    columns = columns_of(role.kind, parts)
    judged = judge_columns(role, columns, facts, len(parts), tight(situation))
    light, _ = typical_light(situation, ref, columns)(values)
    good = (judged.overall(role) >= Verdict.TIGHT) & (light > 0)
    with np.errstate(all="ignore"):
        far = np.where(good, np.abs(np.log(light / wanted)), np.inf)
    return [float(values[i]) for i in np.argsort(far, kind="stable") if good[i]]
