"""Drain voltage and coil current against time after switching off, with the clamp and without any.

Two corners in one picture, said so in it: the drain stands at its highest (highest rail, highest clamp voltage), the
current falls at its slowest (largest current and inductance, least resistance, lowest clamp voltage).
"""

import math
from dataclasses import dataclass
from typing import Any

from partcheck.board.roles import Clamp, MosfetSwitch
from partcheck.jobs.judge.place import Judged
from partcheck.physics import coils
from partcheck.report.html.pictures.drawing import (
    ACCENT,
    BAD,
    GOOD,
    INK,
    MUTED,
    Drawing,
    beside_line,
    brief,
    chart,
    finish,
)
from partcheck.situation import Situation
from partcheck.units import show

POINTS = 90


@dataclass(frozen=True)
class _Rating:
    """Derated and full voltage rating of the switch of a load, its reference, and the name of its upper end."""

    limit: float
    full: float
    switch: str
    foot: str


@dataclass(frozen=True)
class _TurnOff:
    """What the two charts show, in volts, amperes and seconds."""

    names: str
    peak: float
    rail: float
    rating: _Rating | None
    current: float
    inductance: float
    resistance: float
    opposing: float
    longest: float
    free: float | None
    """How long the current would last with no clamp; None where that is not known."""
    release: float
    release_end: float

    @property
    def end(self) -> float:
        """The last moment that is shown."""
        longest, release = self.longest, self.release
        return 1.12 * (min(max(longest, release), 3 * longest) if math.isfinite(release) else longest)


def drawn(situation: Situation, judged: Judged) -> Drawing | None:
    """The turn-off of the coil that this clamp takes; None for another role, or where a value is missing."""
    place = situation.board.role.get(judged.ref)
    if not isinstance(place, Clamp) or judged.part is None or judged.values is None:
        return None
    p, n = judged.values()
    made = _turn_off(situation, judged, place, p, n)
    if made is None:
        return None
    with chart(3.9, rows=2) as (figure, (upper, lower)):
        scale, unit = _scale(made.end)
        _plot_voltage(upper, made, scale)
        _plot_current(lower, made, scale)
        lower.set_xlabel(f"time after switching off, {unit}")
        return finish(figure, f"Turn-off of {place.load}", _told(judged, place, made, n, p))


def _turn_off(situation: Situation, judged: Judged, place: Clamp, p: Any, n: Any) -> _TurnOff | None:
    assert judged.part is not None
    asked = ("coil_current", "slowest_inductance", "loop_resistance", "rail_max", "partner_high")
    current, inductance, resistance, rail, partner = (_number(getattr(n, name)) for name in asked)
    drop, opposing, longest = (_number(getattr(p, name)) for name in ("drop_high", "opposing_low", "decay_longest"))
    known = (current, inductance, resistance, rail, partner, drop, opposing, longest)
    if not all(map(math.isfinite, known)) or min(current, inductance, resistance, longest) <= 0:
        return None
    rating = _rating(situation, place.load)
    other = situation.fitted.get(place.in_series_with) if place.in_series_with is not None else None
    return _TurnOff(
        judged.part.part_number if other is None else f"{judged.part.part_number} and {other.part_number}",
        drop + partner + (0.0 if place.across == "switch" else rail),
        rail,
        rating,
        current,
        inductance,
        resistance,
        opposing,
        longest,
        _unclamped(inductance, resistance, current, rating, rail),
        _number(n.release_time),
        _number(n.release_end),
    )


def _plot_voltage(axes: Any, made: _TurnOff, scale: float) -> None:
    """The drain or collector over time."""
    end, peak, rail, rating, free = made.end, made.peak, made.rail, made.rating, made.free
    falls = made.longest * scale
    axes.plot([-0.06 * end * scale, 0, 0, falls, falls, end * scale], [0, 0, peak, peak, rail, rail], color=ACCENT)
    start = 1.08 * free if free is not None and free < made.longest / 2 else 0.015 * end
    words = f"{show(peak, 'V')} with {brief(made.names, 30)}"
    beside_line(axes, start * scale, peak, words, ha="left", color=ACCENT)
    axes.axhline(rail, color=MUTED, linewidth=0.8, linestyle=":")
    beside_line(axes, end * scale, rail, f"rail {show(rail, 'V')}", ha="right", color=MUTED, fontsize=8.5)
    top = max(peak, rail)
    if rating is not None:
        axes.axhline(rating.limit, color=BAD, linestyle="--", linewidth=1.2)
        words = f"most that {brief(rating.switch, 12)} may see, {show(rating.limit, 'V')}"
        beside_line(axes, end * scale, rating.limit, words, ha="right", color=BAD, fontsize=8.5)
        top = max(top, rating.limit)
    if rating is not None and free is not None:
        full, ends = rating.full, free * scale
        axes.plot([0, 0, ends, ends], [0, full, full, rail], color=INK, linestyle=(0, (1, 1.2)), linewidth=1.2)
        words = f"with no clamp: breakdown at {show(full, 'V')} or above"
        axes.text(ends * 1.05 + 0.01 * end * scale, full, words, va="center", fontsize=8.5)
        top = max(top, full)
    axes.set_ylim(0, 1.14 * top)
    axes.set_ylabel(f"{rating.foot if rating is not None else 'switch'}, V")


def _plot_current(axes: Any, made: _TurnOff, scale: float) -> None:
    """The current of the coil over time."""

    def falling(times: list[float], opposing: float) -> list[Any]:
        return [coils.decayed(made.inductance, made.resistance, made.current, t, opposing) for t in times]

    end, current, release = made.end, made.current, made.release
    times = [end * k / POINTS for k in range(POINTS + 1)]
    axes.plot([-0.06 * end * scale, 0], [current, current], color=GOOD)
    axes.plot([t * scale for t in times], falling(times, made.opposing), color=GOOD)
    if made.free is not None and made.rating is not None:
        steps = [made.free * k / 30 for k in range(31)]
        axes.plot(
            [t * scale for t in steps],
            falling(steps, made.rating.full - made.rail),
            color=INK,
            linestyle=(0, (1, 1.2)),
            linewidth=1.2,
        )
    axes.text(0.015 * end * scale, current * 1.03, f"from {show(current, 'A')}", va="bottom", color=GOOD)
    if math.isfinite(release) and release <= end:
        level = made.release_end
        axes.axvline(release * scale, color=BAD, linestyle="--", linewidth=1.2)
        side = "right" if release > end / 2 else "left"
        words = f"must let go by {show(release, 's')}"
        gap = -4 if side == "right" else 4
        axes.annotate(
            words,
            (release * scale, current * 0.7),
            (gap, 0),
            textcoords="offset points",
            color=BAD,
            fontsize=8.5,
            ha=side,
        )
        axes.plot([0, end * scale], [level, level], color=MUTED, linestyle=":", linewidth=0.9)
        words = f"lets go below {show(level, 'A')}"
        edge = release if side == "right" else end
        beside_line(axes, 0.985 * edge * scale, level, words, ha="right", fontsize=8.5, color=MUTED)
    axes.set_ylim(0, 1.22 * current)
    axes.set_ylabel("coil, A")


def _told(judged: Judged, place: Clamp, made: _TurnOff, n: Any, p: Any) -> str:
    rating = made.rating
    against = f" against {show(rating.limit, 'V')} that {rating.switch} may see" if rating is not None else ""
    share = "to 1 %" if _number(n.decay_end) > 0 else "to nothing"
    foot = rating.foot if rating is not None else "switch"
    words = (
        f"With {judged.ref}{_beside(place)} the {foot} rises to {show(made.peak, 'V')} at most{against}; the current "
        f"of {place.load} falls from {show(made.current, 'A')} {share} in {show(made.longest, 's')} at the longest."
    )
    lets_go, allowed = _number(p.release_longest), _number(n.release_time)
    if math.isfinite(lets_go) and math.isfinite(allowed):
        words += f" It lets go after {show(lets_go, 's')} at the longest, {show(allowed, 's')} is allowed."
    return words + f" Two corners in one: the {foot} at its highest, the current at its slowest."


def _beside(place: Clamp) -> str:
    return f" and {place.in_series_with}" if place.in_series_with is not None else ""


def _rating(situation: Situation, load: str) -> _Rating | None:
    switch = situation.board.switch_of(load)
    part = situation.fitted.get(switch) if switch is not None else None
    if switch is None or part is None:
        return None
    mosfet = isinstance(situation.board.role[switch], MosfetSwitch)
    full = part.number("vds_max" if mosfet else "vceo")
    share = situation.facts(switch)["k_vds" if mosfet else "k_vceo"].value
    foot = "drain" if mosfet else "collector"
    return _Rating(share * full, full, switch, foot) if math.isfinite(full) and share is not None else None


def _unclamped(
    inductance: float, resistance: float, current: float, rating: _Rating | None, rail: float
) -> float | None:
    """How long the current would last against the switch's own breakdown, at its rating."""
    if rating is None or rating.full <= rail:
        return None
    return _number(coils.decay_time(inductance, resistance, current, 0.0, rating.full - rail))


def _number(made: Any) -> float:
    value = getattr(made, "value", made)
    return float(value) if isinstance(value, float | int) else math.nan


def _scale(end: float) -> tuple[float, str]:
    for scale, unit in ((1.0, "s"), (1e3, "ms"), (1e6, "µs")):
        if end * scale >= 1:
            return scale, unit
    return 1e9, "ns"
