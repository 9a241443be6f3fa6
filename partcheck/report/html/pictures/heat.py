"""Junction temperature of a switch against its load's current: where heat and resistance agree, and where no longer."""

import math
from typing import TYPE_CHECKING

from partcheck.board.roles import MosfetSwitch, NpnSink
from partcheck.jobs.judge.place import Judged
from partcheck.report.html.pictures.drawing import ACCENT, BAD, INK, MUTED, Picture, chart, finish
from partcheck.situation import Situation
from partcheck.units import show

if TYPE_CHECKING:
    from partcheck.readings.columns import Floats

POINTS = 160
ZERO = 273.15


def drawn(situation: Situation, judged: Judged) -> Picture | None:
    """The curve of the fitted part; None for another role, or where a value is missing."""
    import numpy as np

    from partcheck.jobs.sweep.quantities import load_current
    from partcheck.situation.swept import sweep

    place = situation.board.role.get(judged.ref)
    if (
        not isinstance(place, MosfetSwitch | NpnSink)
        or judged.part is None
        or situation.fitted.get(judged.ref) is not judged.part
    ):
        return None
    load = next((name for name in place.load if name in situation.board.load), None)
    if load is None:
        return None
    quantity = load_current(situation, load)
    if quantity is None or not math.isfinite(quantity.base):
        return None

    def junctions(currents: "Floats") -> "tuple[Floats, float]":
        swept = sweep(situation, quantity.apply(situation.board, currents), currents.size)
        facts = swept.facts(judged.ref)
        with np.errstate(all="ignore"):
            p, _ = swept.points(judged.ref, facts.role, facts)
            return np.broadcast_to(np.asarray(p.tj_hot, dtype=float), currents.shape) - ZERO, float(
                np.ravel(p.tj_limit)[0]
            ) - ZERO

    far, limit = junctions(quantity.base * np.geomspace(0.25, 60, 240))
    wide = quantity.base * np.geomspace(0.25, 60, 240)
    over = np.flatnonzero(~(far <= limit))
    top = max(1.25 * quantity.base, 1.12 * wide[over[0]] if len(over) else 3 * quantity.base)
    currents = np.linspace(top / POINTS, top, POINTS)
    tj, _ = junctions(currents)
    now, _ = junctions(np.array([quantity.base]))
    finite = np.isfinite(tj)
    if not finite.any() or not np.isfinite(now[0]) or not math.isfinite(limit):
        return None
    last = int(np.flatnonzero(finite)[-1])
    runaway = bool((tj[last + 1 :] == np.inf).any())
    with chart(2.7) as (figure, axes):
        axes.plot(currents[finite], tj[finite], color=ACCENT)
        axes.axhline(limit, color=BAD, linestyle="--", linewidth=1.2)
        axes.text(currents[finite][0], limit, f"hottest allowed, {limit:.0f} °C", va="bottom", color=BAD, fontsize=8.5)
        axes.plot(quantity.base, now[0], marker="o", markersize=7, color=INK)
        axes.annotate(
            f"now {show(quantity.base, 'A')}, {now[0]:.1f} °C",
            (quantity.base, now[0]),
            xytext=(-4, 9),
            textcoords="offset points",
            fontsize=8.5,
        )
        if runaway:
            axes.axvline(currents[last], color=MUTED, linestyle=":", linewidth=1.2)
            axes.plot(currents[last], tj[last], marker="X", markersize=8, color=BAD)
            axes.text(
                currents[last],
                float(np.min(tj[finite])),
                "no equilibrium\nbeyond: runaway ",
                ha="right",
                va="bottom",
                fontsize=8.5,
            )
        axes.set_xlabel(f"largest current of {load}, A")
        axes.set_ylabel("junction, °C")
        axes.set_ylim(top=max(limit, float(np.max(tj[finite]))) + 0.09 * (limit - float(np.min(tj[finite]))))
        told = (
            f"At {show(quantity.base, 'A')} of {load} the junction of {judged.ref} settles at {now[0]:.1f} °C at most; "
            f"{limit:.0f} °C is allowed."
        )
        if runaway:
            edge = show(float(currents[last]), "A", 3)
            told += f" Beyond about {edge} heat outruns the way out and there is no equilibrium."
        return finish(figure, f"Junction of {judged.ref} against current", told)
