"""The answer to a brightness: an LED beside the fitted one, the resistor for equal or wanted light, what it saves."""

from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from partcheck.jobs.light.brightness import Brightened
from partcheck.jobs.light.circuits import Circuit
from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.feed import LedFeed
from partcheck.jobs.light.operating import ComparedLight, OperatingPoint
from partcheck.physics.light import INDICATIVE
from partcheck.report import document as d
from partcheck.report.answers import common, drawn
from partcheck.report.answers import phrases as say
from partcheck.report.answers.brightness import words
from partcheck.report.answers.brightness.curves import left_and_missing
from partcheck.requirement import Verdict
from partcheck.units import show

MOST_TROUBLES = 8
ROWS = (
    ("current, least", "current_min", "A"),
    ("current, typical", "current_typ", "A"),
    ("current, largest", "current_max", "A"),
    ("intensity, least", "intensity_min", "cd"),
    ("intensity, typical", "intensity_typ", "cd"),
    ("intensity, largest", "intensity_max", "cd"),
    ("flux, least", "flux_min", "lm"),
    ("flux, typical", "flux_typ", "lm"),
    ("flux, largest", "flux_max", "lm"),
    ("forward voltage", "vf_typ", "V"),
    ("heat of resistor", "resistor_power_max", "W"),
    ("heat of LED and resistor", "dissipation", "W"),
    ("hottest junction", "tj_hot", "°C"),
)
FEED_ROWS = {
    "load_total": "load",
    "dissipation": "its heat",
    "tj_hot": "its junction",
    "current_left": "current left",
    "current": "current",
}


def document(answer: Brightened, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """An LED beside the fitted one, for a person: how bright, how much current, which resistor."""
    judged = answer.shown.candidate.judged
    return d.Document(
        "brightness",
        _title(answer),
        common.identity(answer.setup),
        d.present(
            finding(answer),
            d.section("At the real operating point", *_operating(answer, pictures), anchor="operating"),
            d.section("Light against the fitted LED", *_light(answer, pictures), anchor="light"),
            d.section(d.line("Resistor for ", d.Name(_wanted(answer))), *_resistors(answer), anchor="resistor"),
            d.section("Current it saves or costs", *_saved(answer)),
            d.section("What feeds it, worst case", *_feeds(answer)),
            d.section("Curves read beyond their ends, and values to look up", _listed(left_and_missing(answer))),
            d.section(
                f"Requirements of the {'recommended circuit' if answer.best is not None else 'circuit as drawn'}",
                common.requirement_table(
                    judged, f"Requirements of {answer.part.part_number} at {answer.ref}", claims=False
                ),
                common.not_asked([judged], answer.ref),
            ),
            common.assumed(answer.setup, [judged]),
            common.not_judged(answer.not_judged, elsewhere=True),
            common.cautions(answer.cautions),
            common.policy(answer.setup),
        ),
        tuple(answer.setup.notes),
        common.today(made_on),
    )


def _title(answer: Brightened) -> d.Line:
    fitted = answer.fitted.part
    other = fitted is not None and fitted.key != answer.part.key
    place = d.line(" in place of ", d.Name(fitted.part_number)) if fitted is not None and other else ()
    return d.line(d.Name(answer.part.part_number), place, " at ", d.Name(answer.ref))


def _wanted(answer: Brightened) -> str:
    return words.name_light(answer.wanted, answer.goal, answer.fitted.part)


def finding(answer: Brightened) -> d.Finding:
    """How bright it is, which resistor makes it as bright as wanted, and whether that meets."""
    said = words.finding(answer)
    todo: d.Lines = ()
    if answer.best is not None and answer.best.verdict >= Verdict.TIGHT and answer.best is not answer.drawn:
        changes = "; ".join(answer.best.candidate.changes)
        todo = (d.line("fit ", d.Name(answer.part.part_number), " with ", d.Name(changes)),) if changes else ()
    return d.Finding(answer.verdict, ((d.Name(said[0].upper() + said[1:]),),), todo)


# ---- numbers side by side


class SideBySide(NamedTuple):
    """One circuit that is shown side by side with others."""

    name: str
    resistance: float
    verdict: Verdict
    point: OperatingPoint


def _beside(answer: Brightened) -> Iterator[SideBySide]:
    if answer.before is not None:
        yield SideBySide("fitted", answer.drawn.resistance, answer.fitted.verdict, answer.before)
    if not answer.is_fitted:
        yield SideBySide("as drawn", answer.drawn.resistance, answer.drawn.verdict, answer.drawn.point)
    if answer.best is not None and answer.best is not answer.drawn:
        yield SideBySide("best", answer.best.resistance, answer.best.verdict, answer.best.point)


def _operating(answer: Brightened, pictures: bool) -> Iterator[d.Block]:
    if pictures:
        from partcheck.report.html.pictures import light, schematic

        yield from drawn.blocks([schematic.drawn(answer.situation, answer.fitted)])
    shown = list(_beside(answer))
    columns = (d.Column("value"), *(d.Column(made.name, "r", right=True) for made in shown))
    head = [
        d.Row((("resistor",), *((d.Number(made.resistance, "Ω"),) for made in shown))),
        d.Row((("verdict",), *((d.Sign(made.verdict),) for made in shown))),
    ]
    yield d.Table(_operating_title(answer), columns, (*head, *_values(answer, shown)))
    if not answer.is_fitted and answer.drawn not in answer.choices:
        yield from _troubles("as drawn", answer.drawn)
    if pictures:
        yield from drawn.blocks([light.curves(answer)])


def _operating_title(answer: Brightened) -> str:
    place = answer.place
    each = f", each of {place.in_series} in series" if place.in_series > 1 else ""
    chopped = "; currents while on, light averaged over the chopping" if place.chopped is not None else ""
    return f"Each LED in its circuit{each}{chopped}"


def _values(answer: Brightened, shown: list[SideBySide]) -> Iterator[d.Row]:
    for label, name, unit in ROWS:
        values = [made.point[name] for made in shown]
        if name.startswith("flux") and all(made.point["flux_typ"] != made.point["flux_typ"] for made in shown):
            continue
        yield d.Row(((label,), *((_figure(name, value, unit),) for value in values)), {"value": name})
    if answer.place.drive is not None:
        drawn_from = ((say.safe(made.point["current_max"], "A", up=True),) for made in shown)
        yield d.Row(((d.Name(f"from drive {answer.place.drive}"),), *drawn_from))


def _figure(name: str, value: float, unit: str) -> d.Number:
    """A value by its name: the least is rounded down, the largest and heat up, a typical one to the nearest."""
    if name.endswith("_typ"):
        return d.Number(value, unit, show(value, unit, say.DIGITS))
    return say.safe(value, unit, up=not name.endswith(("_min", "_left")))


def _troubles(name: str, made: Circuit) -> Iterator[d.Block]:
    """What a circuit fails, lacks or worsens; the first few of it."""
    found = words.troubles(made)
    items: list[d.Line] = [(d.Name(f"{name} {label} {said}".strip()),) for label, said in found[:MOST_TROUBLES]]
    if len(found) > MOST_TROUBLES:
        items.append((f"and {len(found) - MOST_TROUBLES} more on the board (--json lists them)",))
    if items:
        yield d.Listing(tuple(items))


def _light(answer: Brightened, pictures: bool) -> Iterator[d.Block]:
    """The light against the fitted LED's, at typical and over single pieces, and to the eye."""
    fitted = answer.fitted.part
    circuits = [] if answer.is_fitted else [answer.drawn]
    if answer.shown is not answer.drawn:
        circuits.append(answer.shown)
    if fitted is None or answer.before is None or not circuits:
        return
    if pictures:
        from partcheck.report.html.pictures import light

        yield from drawn.blocks([light.beside(answer, made) for made in circuits])
    rows = []
    for made in circuits:
        for ratio, kind in ((answer.against(made), "intensity"), (answer.flux_ratio(made), "flux")):
            if ratio is not None:
                rows.append(_ratio(made, ratio, kind))
    columns = (
        d.Column("behind"),
        d.Column("typical", "r", right=True),
        d.Column("least", "r", right=True),
        d.Column("largest", "r", right=True),
        d.Column("to the eye"),
    )
    yield d.Table(
        f"Times the light of {fitted.part_number}; least and largest over single pieces", columns, tuple(rows)
    )
    yield d.Paragraph((f"How bright it looks is {INDICATIVE}.",), quiet=True)
    for said in (words.angles(answer), words.colours(fitted, answer.part)):
        if said:
            yield d.Paragraph((d.Name(f"{said[0].upper()}{said[1:]}."),), quiet=True)


def _ratio(made: Circuit, ratio: ComparedLight, kind: str) -> d.Row:
    name = d.line(d.Number(made.resistance, "Ω"), ", by flux" if kind == "flux" else "")
    values = [d.Number(v, "", f"{v:.3g}" if v == v else "") for v in (ratio.typical, ratio.least, ratio.largest)]
    return d.Row((name, *((value,) for value in values), (ratio.seen,)), {"ratio": kind})


# ---- the resistor


def _resistors(answer: Brightened) -> Iterator[d.Block]:
    """The resistor solved, and the preferred values on both sides of it."""
    if answer.solved.state != REACHED:
        said = words.resistor(answer)
        yield d.Paragraph((d.Name(f"{said[0].upper()}{said[1:]}."),))
        return
    yield d.Paragraph(d.line("Solved: ", d.Number(answer.solved.resistance, "Ω"), "."))
    columns = (
        d.Column(answer.setup.board_file.board.series),
        d.Column("light", "r", right=True),
        d.Column("of wanted", "r", right=True),
        d.Column("current", "r", right=True),
        d.Column("verdict"),
        d.Column("set by"),
    )
    yield d.Table("Preferred values next to it", columns, tuple(_choice(answer, made) for made in answer.choices))
    if answer.best is not None:
        yield d.Paragraph((f"{why_best(answer)}.",), quiet=True)
    for made in answer.choices:
        yield from _troubles(show(made.resistance, "Ω"), made)
    if answer.instead is not None:
        yield d.Paragraph(_instead(answer, answer.instead))


def _choice(answer: Brightened, made: Circuit) -> d.Row:
    of_wanted = made.point.light / answer.goal
    best = " (best)" if made is answer.best else ""
    cells = (
        d.line(d.Number(made.resistance, "Ω"), best),
        (_figure("light_typ", made.point.light, "cd"),),
        (d.Number(of_wanted, "", words.times(of_wanted)),),
        (_figure("current_typ", made.point["current_typ"], "A"),),
        (d.Sign(made.verdict),),
        set_by(made),
    )
    return d.Row(cells, {"choice": f"{made.resistance}"})


def set_by(made: Circuit) -> d.Line:
    """What a circuit fails, else its least headroom."""
    tightest = made.candidate.judged.tightest
    if made.verdict is Verdict.FAILS:
        return (d.Name(words.failing(made)),)
    return d.line(say.headroom(tightest), " ", d.Id(tightest.id)) if tightest is not None else ("-",)


def why_best(answer: Brightened) -> str:
    """Why the best of the preferred values is."""
    assert answer.best is not None
    best, others = answer.best, [made for made in answer.choices if made is not answer.best]
    head = f"Best: {show(best.resistance, 'Ω')}"
    if not others:
        return f"{head} is itself a preferred value"
    other = others[0]
    if best.verdict > other.verdict:
        return f"{head}; {show(other.resistance, 'Ω')} {VERDICTS[other.verdict]}"
    return f"{head}, the nearer of two that {PLURALS[best.verdict]}"


VERDICTS = {
    Verdict.FAILS: "fails",
    Verdict.UNPROVEN: "is not proved",
    Verdict.TIGHT: "is tight",
    Verdict.MEETS: "meets",
}
PLURALS = {
    Verdict.FAILS: "fail",
    Verdict.UNPROVEN: "are not proved",
    Verdict.TIGHT: "are tight",
    Verdict.MEETS: "meet",
}


def _instead(answer: Brightened, made: Circuit) -> d.Line:
    return d.line(
        d.Number(made.resistance, "Ω"),
        f" is the preferred value nearest to the wanted light that {VERDICTS[made.verdict]}: ",
        _figure("light_typ", made.point.light, "cd"),
        f", {words.times(made.point.light / answer.goal)} the wanted.",
    )


# ---- what it saves, and what feeds it


def _saved(answer: Brightened) -> Iterator[d.Block]:
    """What the recommended circuit saves: here, and over all such indicators."""
    such = answer.such
    if answer.best is None or answer.before is None or such is None:
        return
    one = [answer.before[f"current_{end}"] - answer.best.point[f"current_{end}"] for end in ("typ", "max")]
    rows = [_saving(answer.ref, one)]
    if len(such.refs) > 1:
        both = [such.saved(f"current_{end}") for end in ("typ", "max")]
        rows.append(_saving(f"all {len(such.refs)} such: {', '.join(such.refs)}", both))
    columns = (d.Column("where"), d.Column("at typical", "r", right=True), d.Column("at worst", "r", right=True))
    yield d.Table("Saved current", columns, tuple(rows))
    if len(such.refs) > 1:
        values = ", ".join(f"{ref} {show(ohms, 'Ω')}" for ref, ohms in such.resistors.items())
        board = d.line("the verdict of the board is then ", d.Sign(such.verdict), ".")
        yield d.Paragraph(d.line(f"Resistors {values}; ", board), quiet=True)
    if such.worsened:
        yield d.Listing(tuple((d.Name(f"worsens {worse}"),) for worse in such.worsened[:MOST_TROUBLES]))
    if such.left:
        yield d.Paragraph((f"Left as they are: {', '.join(such.left)}; no resistor there gives the wanted light.",))


def _saving(where: str, amperes: list[float]) -> d.Row:
    cells = [(d.Number(v, "A", words.change(v, "A") if v == v else "not known"),) for v in amperes]
    return d.Row(((d.Name(where),), *cells))


def _feeds(answer: Brightened) -> Iterator[d.Block]:
    for feed in answer.feeds:
        yield _feed(answer, feed)
    if answer.place.drive is not None and not any(feed.kind != "chip" for feed in answer.feeds):
        said = f"What feeds drive {answer.place.drive} is not stated: give its chip, and the chip its supply."
        yield d.Paragraph((d.Name(said),))


def _feed(answer: Brightened, feed: LedFeed) -> d.Table:
    """One regulator, rail or chip before and after."""
    changed = f"{answer.ref} changed" if answer.best is not None else f"{answer.ref} as drawn"
    titles = ["before", changed, "all changed"][: len(feed.states)]
    judged = feed.states[0].judged
    part = f" ({judged.part.part_number})" if judged is not None and judged.part is not None else ""
    head = f"{feed.kind.capitalize()} {feed.name}{part}" + (f", which makes {feed.output}" if feed.output else "")
    rows = [
        d.Row(((FEED_ROWS[name],), *((_figure(name, state.values[name], unit),) for state in feed.states)))
        for name, unit in feed.units.items()
    ]
    rows += [
        d.Row((d.line(d.Id(id_), ", to spare"), *((say.share(state.headroom(id_)),) for state in feed.states)))
        for id_ in feed.asked
    ]
    columns = (d.Column(head), *(d.Column(title, "r", right=True) for title in titles))
    return d.Table(f"{head}, worst case", columns, tuple(rows))


def _listed(said: list[str]) -> d.Listing | None:
    return d.Listing(tuple((d.Name(words_),) for words_ in said)) if said else None


__all__ = ["document", "finding", "set_by", "why_best"]
