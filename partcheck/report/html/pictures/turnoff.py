"""Drain voltage and coil current against time after switching off, with the clamp and without any.

Two corners in one picture, said so in it: the drain stands at its highest (highest rail, highest clamp voltage), the
current falls at its slowest (largest current and inductance, least resistance, lowest clamp voltage).
"""

import math
from typing import Any

from partcheck.board.roles import Clamp, MosfetSwitch
from partcheck.jobs.judge.place import Judged
from partcheck.physics import coils
from partcheck.report.html.pictures.drawing import ACCENT, BAD, GOOD, INK, MUTED, Picture, brief, chart, finish
from partcheck.situation import Situation
from partcheck.units import show

POINTS = 90


def drawn(situation: Situation, judged: Judged) -> Picture | None:
    """The turn-off of the coil that this clamp takes; None for another role, or where a value is missing."""
    place = situation.board.role.get(judged.ref)
    if not isinstance(place, Clamp) or judged.part is None or judged.values is None:
        return None
    p, n = judged.values()
    asked = ("coil_current", "slowest_inductance", "loop_resistance", "rail_max", "partner_high", "decay_end")
    current, inductance, resistance, rail, partner, gone = (_number(getattr(n, name)) for name in asked)
    drop, opposing, longest = (_number(getattr(p, name)) for name in ("drop_high", "opposing_low", "decay_longest"))
    known = (current, inductance, resistance, rail, partner, drop, opposing, longest)
    if not all(map(math.isfinite, known)) or min(current, inductance, resistance, longest) <= 0:
        return None
    peak = drop + partner + (0.0 if place.across == "switch" else rail)
    rating = _rating(situation, place.load)
    other = situation.fitted.get(place.in_series_with) if place.in_series_with is not None else None
    names = judged.part.part_number if other is None else f"{judged.part.part_number} and {other.part_number}"
    free = _unclamped(inductance, resistance, current, rating, rail)
    release = _number(n.release_time)
    end = 1.12 * (min(max(longest, release), 3 * longest) if math.isfinite(release) else longest)
    times = [end * k / POINTS for k in range(POINTS + 1)]
    falling = [coils.decayed(inductance, resistance, current, t, opposing) for t in times]
    with chart(3.9, rows=2) as (figure, (upper, lower)):
        scale, unit = _scale(end)
        upper.plot(
            [-0.06 * end * scale, 0, 0, longest * scale, longest * scale, end * scale],
            [0, 0, peak, peak, rail, rail],
            color=ACCENT,
        )
        start = 1.08 * free if free is not None and free < longest / 2 else 0.015 * end
        words = f"{show(peak, 'V')} with {brief(names, 30)}"
        upper.text(start * scale, peak, words, va="bottom", ha="left", color=ACCENT)
        upper.axhline(rail, color=MUTED, linewidth=0.8, linestyle=":")
        upper.text(end * scale, rail, f"rail {show(rail, 'V')}", va="bottom", ha="right", color=MUTED, fontsize=8.5)
        top = max(peak, rail)
        if rating is not None:
            limit, full, name, _ = rating
            upper.axhline(limit, color=BAD, linestyle="--", linewidth=1.2)
            upper.text(
                end * scale,
                limit,
                f"most that {brief(name, 12)} may see, {show(limit, 'V')}",
                va="bottom",
                ha="right",
                color=BAD,
                fontsize=8.5,
            )
            top = max(top, limit)
            if free is not None:
                upper.plot(
                    [0, 0, free * scale, free * scale],
                    [0, full, full, rail],
                    color=INK,
                    linestyle=(0, (1, 1.2)),
                    linewidth=1.2,
                )
                upper.text(
                    free * scale * 1.05 + 0.01 * end * scale,
                    full,
                    f"with no clamp: breakdown at {show(full, 'V')} or above",
                    va="center",
                    fontsize=8.5,
                )
                top = max(top, full)
        upper.set_ylim(0, 1.14 * top)
        upper.set_ylabel(f"{rating[3] if rating is not None else 'switch'}, V")
        lower.plot([-0.06 * end * scale, 0], [current, current], color=GOOD)
        lower.plot([t * scale for t in times], falling, color=GOOD)
        if free is not None and rating is not None:
            steps = [free * k / 30 for k in range(31)]
            lower.plot(
                [t * scale for t in steps],
                [coils.decayed(inductance, resistance, current, t, rating[1] - rail) for t in steps],
                color=INK,
                linestyle=(0, (1, 1.2)),
                linewidth=1.2,
            )
        lower.text(0.015 * end * scale, current * 1.03, f"from {show(current, 'A')}", va="bottom", color=GOOD)
        if math.isfinite(release) and release <= end:
            level = _number(n.release_end)
            lower.axvline(release * scale, color=BAD, linestyle="--", linewidth=1.2)
            side = "right" if release > end / 2 else "left"
            words = f" must let go by {show(release, 's')} "
            lower.text(release * scale, current * 0.7, words, color=BAD, fontsize=8.5, ha=side)
            lower.plot([0, end * scale], [level, level], color=MUTED, linestyle=":", linewidth=0.9)
            lower.text(
                end * scale,
                level,
                f"lets go below {show(level, 'A')}",
                va="bottom",
                ha="right",
                fontsize=8.5,
                color=MUTED,
            )
        lower.set_ylim(0, 1.22 * current)
        lower.set_ylabel("coil, A")
        lower.set_xlabel(f"time after switching off, {unit}")
        return finish(
            figure, f"Turn-off of {place.load}", _told(judged, place, peak, rating, current, longest, gone, n, p)
        )


def _told(
    judged: Judged, place: Clamp, peak: float, rating: Any, current: float, longest: float, gone: float, n: Any, p: Any
) -> str:
    against = f" against {show(rating[0], 'V')} that {rating[2]} may see" if rating is not None else ""
    share = "to 1 %" if gone > 0 else "to nothing"
    foot = rating[3] if rating is not None else "switch"
    words = (
        f"With {judged.ref}{_beside(place)} the {foot} rises to {show(peak, 'V')} at most{against}; the current of "
        f"{place.load} falls from {show(current, 'A')} {share} in {show(longest, 's')} at the longest."
    )
    lets_go, allowed = _number(p.release_longest), _number(n.release_time)
    if math.isfinite(lets_go) and math.isfinite(allowed):
        words += f" It lets go after {show(lets_go, 's')} at the longest, {show(allowed, 's')} is allowed."
    return words + f" Two corners in one: the {foot} at its highest, the current at its slowest."


def _beside(place: Clamp) -> str:
    return f" and {place.in_series_with}" if place.in_series_with is not None else ""


def _rating(situation: Situation, load: str) -> tuple[float, float, str, str] | None:
    """Derated and full voltage rating of the switch of a load, its reference, and the name of its upper end."""
    switch = situation.board.switch_of(load)
    part = situation.fitted.get(switch) if switch is not None else None
    if switch is None or part is None:
        return None
    mosfet = isinstance(situation.board.role[switch], MosfetSwitch)
    full = part.number("vds_max" if mosfet else "vceo")
    share = situation.facts(switch)["k_vds" if mosfet else "k_vceo"].value
    foot = "drain" if mosfet else "collector"
    return (share * full, full, switch, foot) if math.isfinite(full) and share is not None else None


def _unclamped(inductance: float, resistance: float, current: float, rating: Any, rail: float) -> float | None:
    """How long the current would last against the switch's own breakdown, at its rating."""
    if rating is None or rating[1] <= rail:
        return None
    return _number(coils.decay_time(inductance, resistance, current, 0.0, rating[1] - rail))


def _number(made: Any) -> float:
    value = getattr(made, "value", made)
    return float(value) if isinstance(value, float | int) else math.nan


def _scale(end: float) -> tuple[float, str]:
    for scale, unit in ((1.0, "s"), (1e3, "ms"), (1e6, "µs")):
        if end * scale >= 1:
            return scale, unit
    return 1e9, "ns"
