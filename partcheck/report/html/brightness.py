"""The page of a brightness: the LED beside the fitted one, resistor choices, what is saved; or every LED ranked."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from partcheck.jobs.light.brightness import Brightened, Circuit
from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.operating import OperatingPoint
from partcheck.jobs.light.ranking import BrightnessRanking, Ranked
from partcheck.report import brightness_words as words
from partcheck.report.brightness import FEED_ROWS, ROWS, left_and_missing, set_by, why_best
from partcheck.report.brightness_ranked import finding as ranked_finding
from partcheck.report.explained import assumed_note
from partcheck.report.html.page import data, render, worst_first
from partcheck.report.html.pictures import light, schematic
from partcheck.report.lines import percent
from partcheck.report.swapped import price
from partcheck.requirement import Verdict
from partcheck.units import show


def page(answer: Brightened, made_on: date | None = None) -> str:
    """The page of one LED."""
    fitted, shown = answer.fitted.part, answer.shown
    instead = f" in place of {fitted.part_number}" if fitted is not None and not answer.is_fitted else ""
    columns = list(_columns(answer))
    compared = [] if answer.is_fitted else [answer.drawn]
    if shown is not answer.drawn:
        compared.append(shown)
    wanted = words.name_light(answer.wanted, answer.goal, fitted)
    return render(
        "brightness.html", answer.setup, f"{answer.part.part_number}{instead} at {answer.ref}", made_on,
        job="brightness", answer=answer, said=words.finding(answer), columns=columns, rows=list(_rows(columns)),
        curves=light.curves(answer), beside=[light.beside(answer, made) for made in compared],
        ratios=[(made, answer.against(made), answer.flux_ratio(made)) for made in compared],
        angles=words.angles(answer), colours=words.colours(fitted, answer.part) if fitted is not None else "",
        wanted=wanted, resistor=words.resistor(answer),
        reached=answer.solved.state == REACHED, choices=[_choice(answer, made) for made in answer.choices],
        why_best=why_best(answer) if answer.best is not None else "", saved=list(_saved(answer)),
        feeds=[_feed(answer, feed) for feed in answer.feeds], look_ups=left_and_missing(answer),
        place_pictures=[schematic.drawn(answer.situation, answer.fitted)], judged=shown.candidate.judged,
        found=worst_first(shown.candidate.judged.findings),
        assumed=list(dict.fromkeys(assumed_note(shown.candidate.judged))), notes=answer.setup.notes,
        cautions=answer.cautions,
    )  # fmt: skip


def _columns(answer: Brightened) -> Iterator[tuple[str, float, Verdict, OperatingPoint]]:
    if answer.before is not None:
        yield "fitted", answer.drawn.resistance, answer.fitted.verdict, answer.before
    if not answer.is_fitted:
        yield "as drawn", answer.drawn.resistance, answer.drawn.verdict, answer.drawn.point
    if answer.best is not None and answer.best is not answer.drawn:
        yield "best", answer.best.resistance, answer.best.verdict, answer.best.point


def _rows(columns: list[tuple[str, float, Verdict, OperatingPoint]]) -> Iterator[tuple[str, str, list[Any]]]:
    stem = ""
    for label, name, unit in ROWS:
        stem = label.partition(",")[0] if not label.startswith(" ") else stem
        full = label if not label.startswith(" ") else f"{stem}, {label.strip()}"
        values = [point[name] for *_, point in columns]
        if name.startswith("flux") and all(value != value for value in values):
            continue
        yield name, full, [data(value, unit) for value in values]


def _choice(answer: Brightened, made: Circuit) -> dict[str, Any]:
    of_wanted = made.point.light / answer.goal
    return {
        "made": made, "resistance": data(made.resistance, "Ω"), "light": data(made.point.light, "cd"),
        "of_wanted": data(of_wanted, "", words.times(of_wanted)), "current": data(made.point["current_typ"], "A"),
        "set_by": set_by(made), "best": made is answer.best, "troubles": words.troubles(made),
    }  # fmt: skip


def _saved(answer: Brightened) -> Iterator[tuple[str, Any, Any]]:
    """What the recommended circuit saves: here, and over all such indicators."""
    if answer.best is None or answer.before is None or answer.such is None:
        return
    one = [answer.before[f"current_{end}"] - answer.best.point[f"current_{end}"] for end in ("typ", "max")]
    yield answer.ref, data(one[0], "A"), data(one[1], "A")
    if len(answer.such.refs) > 1:
        both = [answer.such.saved(f"current_{end}") for end in ("typ", "max")]
        yield f"all {len(answer.such.refs)} such: {', '.join(answer.such.refs)}", data(both[0], "A"), data(both[1], "A")


def _feed(answer: Brightened, feed: Any) -> dict[str, Any]:
    titles = ["before", f"{answer.ref} changed" if answer.best is not None else f"{answer.ref} as drawn", "all changed"]
    rows = [
        (FEED_ROWS[name], [data(state.values[name], unit) for state in feed.states])
        for name, unit in feed.units.items()
    ]
    rows += [
        (f"{id_}, headroom", [data(state.headroom(id_), "", percent(state.headroom(id_))) for state in feed.states])
        for id_ in feed.asked
    ]
    makes = f", which makes {feed.output}" if feed.output else ""
    return {"title": f"{feed.kind.capitalize()} {feed.name}{makes}", "titles": titles[: len(feed.states)], "rows": rows}


def ranked_page(answer: BrightnessRanking, made_on: date | None = None) -> str:
    """The page of every known LED, ranked."""
    wanted = words.name_light(answer.wanted, answer.goal, answer.fitted.part)
    return render(
        "brightness_ranked.html", answer.setup, f"LEDs for {answer.ref}", made_on, job="brightness",
        answer=answer, said=ranked_finding(answer), wanted=wanted,
        counts=[(verdict, answer.counts[verdict]) for verdict in sorted(Verdict, reverse=True)],
        ranked=[_ranked(made, answer) for made in answer.ranked],
        others=[
            (entry, show(entry.resistance, "Ω") if entry.solved.state == REACHED else "none",
             ", ".join(entry.failing or entry.unproven))
            for entry in answer.others
        ],
        place_pictures=[schematic.drawn(answer.situation, answer.fitted)], notes=answer.setup.notes,
        cautions=answer.cautions,
    )  # fmt: skip


def _ranked(made: Ranked, answer: BrightnessRanking) -> dict[str, Any]:
    point, known = made.circuit.point, made.has_resistor
    ratio = made.ratio
    return {
        "made": made, "known": known, "resistance": data(made.circuit.resistance, "Ω") if known else "none",
        "current": data(point["current_typ"], "A") if known else "-",
        "light": data(point.light, "cd") if known else "-", "set_by": set_by(made.circuit) if known else "-",
        "ratio": data(ratio.typical, "", words.times(ratio.typical)) if known and ratio is not None else "-",
        "price": data(made.entry.part.number("price"), "", price(made.circuit.candidate)),
        "changes": "; ".join(made.circuit.candidate.changes) if known else "",
        "why_not": "" if known else words.no_resistor(made, answer), "troubles": words.troubles(made.circuit),
    }  # fmt: skip
