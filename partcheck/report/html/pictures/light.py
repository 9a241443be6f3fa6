"""LEDs on their curves with the load line, and two lights side by side as the eye ranks them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from partcheck.jobs.light.brightness import Brightened
from partcheck.jobs.light.circuits import Circuit
from partcheck.report.html.pictures.drawing import ACCENT, GOOD, INK, MUTED, PAPER, Drawing, brief, chart, finish
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.units import show


@dataclass(frozen=True)
class Branch:
    """An LED in its circuit: its typical curve and corners, its load lines, and where they meet."""

    name: str
    curve: list[tuple[float, float]]
    lines: dict[str, tuple[float, float]]
    currents: dict[str, float]
    corners: tuple[list[tuple[float, float]], list[tuple[float, float]]]


def branch(situation: Situation, ref: str, name: str) -> Branch | None:
    """The branch of the LED fitted in a situation; None where its typical curve or current is not known."""
    p, n = situation.views(ref)
    count = situation.board.role[ref].in_series  # type: ignore[union-attr]

    def curve(table: Any, bound: str) -> list[tuple[float, float]]:
        currents, volts = table.table.curve("i_f", bound)
        return [(count * v, i * 1e3) for i, v in zip(currents, volts, strict=True)]

    lines = {
        end: (_value(feed), _value(ohms))
        for end, feed, ohms in (
            ("min", n.feed_low, n.series_max),
            ("typ", n.feed_mid, n.series_typ),
            ("max", n.feed_high, n.series_min),
        )
    }
    currents = {end: _value(getattr(p, f"current_{end}")) for end in ("min", "typ", "max")}
    made = curve(p.vf, "typ")
    if not made or currents["typ"] != currents["typ"]:
        return None
    return Branch(name, made, lines, currents, (curve(p.vf_low, "min"), curve(p.vf_high, "max")))


def _value(made: Any) -> float:
    value = getattr(made, "value", made)
    return float(value) if isinstance(value, float | int) else math.nan


def curves(answer: Brightened) -> Drawing | None:
    """Old and new LED on their curves with their load lines and corners; resistor choices marked."""
    fitted = answer.fitted.part
    old = branch(answer.situation, answer.ref, f"{fitted.part_number}, fitted") if fitted is not None else None
    new = branch(
        answer.shown.situation, answer.ref, f"{answer.part.part_number} at {show(answer.shown.resistance, 'Ω')}"
    )
    shown = [(made, style) for made, style in ((old, (INK, "--", "s")), (new, (ACCENT, "-", "o"))) if made is not None]
    if not shown or (answer.is_fitted and answer.shown is answer.drawn):
        shown = shown[-1:]
    if not shown:
        return None
    top = 1.35e3 * max(
        max(made.currents[end] for end in ("typ", "max") if made.currents[end] == made.currents[end])
        for made, _ in shown
    )
    with chart(3.5) as (figure, axes):
        for made, (colour, dash, mark) in shown:
            _branch(axes, made, colour, dash, mark, top)
        for choice in answer.choices:
            if choice is not answer.shown:
                _choice(axes, answer, choice)
        axes.set_ylim(0, top)
        right = max((v for made, _ in shown for v, i in made.curve if i <= top * 1.2), default=-math.inf)
        points = [_met(made, end)[0] for made, _ in shown for end in made.currents]
        known = [volts for volts in points if volts == volts]
        right, left = max([right, *known]), min([*(made.curve[0][0] for made, _ in shown), *known])
        axes.set_xlim(left - 0.08 * (right - left) - 0.05, right + 0.12 * (right - left) + 0.05)
        axes.set_xlabel("voltage across the LED, V" + (" (all in series)" if answer.place.in_series > 1 else ""))
        axes.set_ylabel("current while on, mA")
        axes.legend(loc="upper left", fontsize=8)
        return finish(figure, f"{brief(answer.part.part_number, 40)} on its curve", _told(shown))


def _met(made: Branch, end: str) -> tuple[float, float]:
    """Where the LED and its load line meet at an end of the corners: V and mA; NaN where it is not known."""
    feed, ohms = made.lines[end]
    current = made.currents[end]
    known = math.isfinite(feed) and math.isfinite(ohms)
    return (feed - current * ohms, current * 1e3) if known else (math.nan, math.nan)


def _branch(axes: Any, made: Branch, colour: str, dash: str, mark: str, top: float) -> None:
    axes.plot(
        [v for v, _ in made.curve], [i for _, i in made.curve], color=colour, linestyle=dash, label=brief(made.name, 40)
    )
    for corner in made.corners:
        axes.plot([v for v, _ in corner], [i for _, i in corner], color=colour, linestyle=":", linewidth=0.9)
    for end, width in (("min", 0.6), ("typ", 1.2), ("max", 0.6)):
        (feed, ohms), (volts, current) = made.lines[end], _met(made, end)
        if not (math.isfinite(feed) and math.isfinite(ohms)) or ohms <= 0:
            continue
        axes.plot([feed - top * 1e-3 * ohms, feed], [top, 0], color=MUTED, linewidth=width, linestyle=dash)
        if current == current:
            size, inside = (7.0, colour) if end == "typ" else (4.5, PAPER)
            axes.plot(volts, current, marker=mark, markersize=size, color=colour, markerfacecolor=inside, zorder=5)
    if math.isfinite(_met(made, "typ")[0]):
        axes.annotate(
            show(made.currents["typ"], "A", 3),
            _met(made, "typ"),
            xytext=(7, 3),
            textcoords="offset points",
            fontsize=8.5,
            color=colour,
            zorder=6,
        )


def _choice(axes: Any, answer: Brightened, choice: Circuit) -> None:
    made = branch(choice.situation, answer.ref, "")
    if made is None:
        return
    place = _met(made, "typ")
    if math.isfinite(place[0]):
        axes.plot(*place, marker="D" if choice.verdict >= Verdict.TIGHT else "X", markersize=5, color=GOOD, zorder=5)
        axes.annotate(
            f"{show(choice.resistance, 'Ω')}, {choice.verdict.word}",
            place,
            xytext=(-7, -3),
            textcoords="offset points",
            ha="right",
            va="top",
            fontsize=8,
            color=GOOD,
        )


def _told(shown: Sequence[tuple[Branch, Any]]) -> str:
    parts = []
    for made, _ in shown:
        low, typ, high = (show(made.currents[end], "A", 3) for end in ("min", "typ", "max"))
        parts.append(f"{made.name} settles at {typ}, {low} to {high} at the corners")
    return f"{'; '.join(parts)}. Dotted: corners of the curve; thin: load lines of the feed behind the resistor."


# ---- side by side


def grey(luminance: float) -> str:
    """The sRGB grey of a relative luminance (IEC 61966-2-1)."""
    value = 12.92 * luminance if luminance <= 0.0031308 else 1.055 * luminance ** (1 / 2.4) - 0.055
    return "#" + f"{round(255 * min(max(value, 0.0), 1.0)):02x}" * 3


def luminance(lightness: float) -> float:
    """Relative luminance of a CIE 1976 lightness (CIE 15)."""
    return ((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / 903.3


def beside(answer: Brightened, made: Circuit) -> Drawing | None:
    """The fitted light and a new one as two greys whose lightness is that of CIE 1976, on a scale from 0 to 100."""
    ratio = answer.against(made)
    fitted = answer.fitted.part
    if ratio is None or fitted is None or not 0 < ratio.typical < math.inf or ratio.lightness != ratio.lightness:
        return None
    old, new = (100.0, ratio.lightness) if ratio.typical <= 1 else (ratio.lightness, 100.0)
    lamps = (
        (fitted.part_number, "fitted", old, 120),
        (answer.part.part_number, f"at {show(made.resistance, 'Ω')}", new, 350),
    )
    out = ['<svg width="470" height="240" viewBox="0 0 470 240">']
    out.append('<rect x="10" y="6" width="450" height="132" fill="#0b0b0b"/>')
    for name, how, lightness, x in lamps:
        shade = grey(luminance(lightness))
        out.append(f'<circle cx="{x}" cy="72" r="52" fill="{shade}" stroke="#777777" stroke-width="0.6"/>')
        for y, said in ((157, brief(name, 22)), (174, f"{how}: L* {lightness:.0f}")):
            out.append(f'<text x="{x}" y="{y}" text-anchor="middle" font-size="14">{escape(said)}</text>')
    out.extend(
        f'<rect x="{25 + 20 * k}" y="196" width="20" height="14" fill="{grey(luminance(5.0 * k))}"/>' for k in range(21)
    )
    for mark, lightness in (("▼", old), ("▼", new)):
        out.append(f'<text x="{35 + 4 * lightness:.1f}" y="193" text-anchor="middle" font-size="12">{mark}</text>')
    out.extend(
        f'<text x="{35 + 4 * mark}" y="227" text-anchor="middle" font-size="13">{mark}</text>' for mark in (0, 50, 100)
    )
    told = (
        f"At typical {answer.part.part_number} gives {ratio.typical:.3g} times the intensity of "
        f"{fitted.part_number}: {ratio.as_seen}. Greys show CIE 1976 lightness with the brighter as white (L* 100), "
        f"the dimmer at {ratio.lightness:.0f}; colour, size and absolute light are ignored, and a screen is not a lamp."
    )
    return Drawing("".join([*out, "</svg>"]), "As bright as they look", told)
