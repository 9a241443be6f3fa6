"""Junction temperature of a switch against its load's current: where heat and resistance agree, and where no longer."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partcheck.board.roles import MosfetSwitch, NpnSink
from partcheck.jobs.judge.place import Judged
from partcheck.report.html.pictures.drawing import ACCENT, BAD, INK, MUTED, Drawing, beside_line, chart, finish
from partcheck.situation import Situation
from partcheck.units import show

if TYPE_CHECKING:
    from partcheck.jobs.sweep.quantities import Adjustable
    from partcheck.readings.columns import Floats

POINTS = 160
ZERO = 273.15


@dataclass(frozen=True)
class _Curve:
    """The junction over the current, °C and A; ``end`` is where the equilibrium ends, None where it goes on."""

    load: str
    base: float
    now: float
    limit: float
    currents: "Floats"
    junctions: "Floats"
    end: tuple[float, float] | None


def drawn(situation: Situation, judged: Judged) -> Drawing | None:
    """The curve of the fitted part; None for another role, or where a value is missing."""
    curve = _curve(situation, judged)
    if curve is None:
        return None
    with chart(2.7) as (figure, axes):
        _plot(axes, curve)
        told = (
            f"At {show(curve.base, 'A')} of {curve.load} the junction of {judged.ref} settles at {curve.now:.1f} °C at "
            f"most; {curve.limit:.0f} °C is allowed."
        )
        if curve.end is not None:
            edge = show(curve.end[0], "A", 3)
            told += f" Beyond about {edge} heat outruns the way out and there is no equilibrium."
        return finish(figure, f"Junction of {judged.ref} against current", told)


def _quantity(situation: Situation, judged: Judged) -> "tuple[str, Adjustable] | None":
    """The load of a switch with the part that is fitted there, and its current as a quantity that may be varied."""
    from partcheck.jobs.sweep.quantities import load_current

    place = situation.board.role.get(judged.ref)
    if not isinstance(place, MosfetSwitch | NpnSink):
        return None
    if judged.part is None or situation.fitted.get(judged.ref) is not judged.part:
        return None
    load = next((name for name in place.load if name in situation.board.load), None)
    quantity = load_current(situation, load) if load is not None else None
    if load is None or quantity is None or not math.isfinite(quantity.base):
        return None
    return load, quantity


def _curve(situation: Situation, judged: Judged) -> _Curve | None:
    import numpy as np

    from partcheck.situation.swept import sweep

    found = _quantity(situation, judged)
    if found is None:
        return None
    load, quantity = found

    def junctions(currents: "Floats") -> "tuple[Floats, float]":
        swept = sweep(situation, quantity.apply(situation.board, currents), currents.size)
        facts = swept.facts(judged.ref)
        with np.errstate(all="ignore"):
            p, _ = swept.points(judged.ref, facts.role, facts)
            return np.broadcast_to(np.asarray(p.tj_hot, dtype=float), currents.shape) - ZERO, float(
                np.ravel(p.tj_limit)[0]
            ) - ZERO

    wide = quantity.base * np.geomspace(0.25, 60, 240)
    far, limit = junctions(np.append(wide, quantity.base))
    now = far[-1]
    over = np.flatnonzero(~(far[:-1] <= limit))
    top = max(1.25 * quantity.base, 1.12 * wide[over[0]] if len(over) else 3 * quantity.base)
    currents = np.linspace(top / POINTS, top, POINTS)
    tj, _ = junctions(currents)
    finite = np.isfinite(tj)
    if not finite.any() or not np.isfinite(now) or not math.isfinite(limit):
        return None
    last = int(np.flatnonzero(finite)[-1])
    runaway = bool((tj[last + 1 :] == np.inf).any())
    end = (float(currents[last]), float(tj[last])) if runaway else None
    return _Curve(load, quantity.base, float(now), limit, currents[finite], tj[finite], end)


def _plot(axes: Any, curve: _Curve) -> None:
    lowest, highest = float(min(curve.junctions)), float(max(curve.junctions))
    axes.plot(curve.currents, curve.junctions, color=ACCENT)
    axes.axhline(curve.limit, color=BAD, linestyle="--", linewidth=1.2)
    words = f"hottest allowed, {curve.limit:.0f} °C"
    beside_line(axes, curve.currents[0], curve.limit, words, color=BAD, fontsize=8.5)
    axes.plot(curve.base, curve.now, marker="o", markersize=7, color=INK)
    axes.annotate(
        f"now {show(curve.base, 'A')}, {curve.now:.1f} °C",
        (curve.base, curve.now),
        xytext=(0.03, 0.56),
        textcoords="axes fraction",
        arrowprops={"arrowstyle": "-", "color": MUTED, "linewidth": 0.8, "shrinkB": 4},
        fontsize=8.5,
    )
    if curve.end is not None:
        current, hottest = curve.end
        axes.axvline(current, color=MUTED, linestyle=":", linewidth=1.2)
        axes.plot(current, hottest, marker="X", markersize=8, color=BAD)
        axes.text(current, lowest, "no equilibrium \nbeyond: runaway ", ha="right", va="bottom", fontsize=8.5)
    axes.set_xlabel(f"largest current of {curve.load}, A")
    axes.set_ylabel("junction, °C")
    axes.set_ylim(top=max(curve.limit, highest) + 0.09 * (curve.limit - lowest))
