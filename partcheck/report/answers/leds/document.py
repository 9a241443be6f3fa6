"""The answer to a brightness without a part: every known LED for a place, each with its resistor."""

from collections.abc import Iterator
from datetime import date

from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.ranking import BrightnessRanking, Ranked
from partcheck.jobs.light.tried import ScreenedLed
from partcheck.report import document as d
from partcheck.report.answers import common, drawn
from partcheck.report.answers import phrases as say
from partcheck.report.answers.brightness import words
from partcheck.report.answers.brightness.document import MOST_TROUBLES, set_by
from partcheck.report.answers.swap.document import price
from partcheck.requirement import Verdict
from partcheck.units import show


def document(answer: BrightnessRanking, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """Every known LED for a place, for a person: the best with its resistor first."""
    wanted = words.name_light(answer.wanted, answer.goal, answer.fitted.part)
    known = [made.circuit.candidate.judged for made in answer.ranked if made.has_resistor]
    return d.Document(
        "brightness",
        d.line("LEDs for ", d.Name(answer.ref), ", each with the resistor for ", d.Name(wanted)),
        common.identity(answer.setup),
        d.present(
            finding(answer),
            d.section("Best first", *_ranking(answer), anchor="best"),
            d.section("Each of them", _each(answer), anchor="each"),
            common.assumed(answer.setup, known),
            common.not_asked(known[:1], answer.ref) if known else None,
            d.section("The place", *_place(answer, pictures)),
            d.section("Why the rest fail", *_rest(answer), anchor="rest"),
            _in_full(answer),
            common.not_judged(answer.not_judged, elsewhere=True),
            common.cautions(answer.cautions),
            common.policy(answer.setup),
        ),
        tuple(answer.setup.notes),
        common.today(made_on),
    )


def finding(answer: BrightnessRanking) -> d.Finding:
    """The best LED and its resistor in one sentence."""
    best = next((made for made in answer.ranked if made.has_resistor), None)
    light = words.name_light(answer.wanted, answer.goal, answer.fitted.part)
    if best is None:
        said = d.line(
            "No known LED is proved to give ", d.Name(light), " at ", d.Name(answer.ref), " with any resistor."
        )
        return d.Finding(answer.verdict, (said,))
    near = words.nearness(best.circuit, answer.goal, answer.wanted)
    if answer.wanted.equal and answer.fitted.part is not None:
        near = near.replace("makes them equal", f"is as bright as {answer.fitted.part.part_number}")
    word = {Verdict.MEETS: "meets", Verdict.TIGHT: "is tight"}.get(best.verdict, "is not proved")
    said = d.line(
        "Take " if best.verdict >= Verdict.TIGHT else "Nearest is ",
        d.Name(best.entry.part.part_number),
        " with ",
        d.Number(best.circuit.resistance, "Ω"),
        ": it ",
        d.Name(near),
        ", draws ",
        d.Number(best.circuit.point["current_typ"], "A"),
        f" at typical, and {word}.",
    )
    return d.Finding(answer.verdict, (said,))


def _place(answer: BrightnessRanking, pictures: bool) -> Iterator[d.Block]:
    if pictures:
        from partcheck.report.html.pictures import schematic

        yield from drawn.blocks([schematic.drawn(answer.situation, answer.fitted)])
    point, part = answer.before, answer.fitted.part
    if point is None or part is None:
        return
    yield d.Paragraph(
        d.line(
            "Fitted: ",
            d.Name(part.name),
            " with ",
            d.Number(answer.resistance, "Ω"),
            "; ",
            d.Number(point["current_typ"], "A"),
            " at typical, ",
            d.Number(point["intensity_min"], "cd"),
            " to ",
            d.Number(point["intensity_max"], "cd"),
            "; ",
            d.Sign(answer.fitted.verdict),
            ".",
        )
    )


def _ranking(answer: BrightnessRanking) -> Iterator[d.Block]:
    counts = say.tally(answer.counts)
    compared = d.Paragraph((f"{say.counted(answer.compared, 'LED')} compared: {counts}.",), quiet=True)
    if not answer.ranked:
        yield d.Paragraph(("None among the known LEDs.",))
        yield compared
        return
    columns = (
        d.Column("LED"),
        d.Column("verdict"),
        d.Column("resistor", "r", right=True),
        d.Column("current", "r", right=True),
        d.Column("light", "r", right=True),
        d.Column("set by"),
        d.Column("price", right=True, detail=True),
    )
    rows = tuple(_row(i, made) for i, made in enumerate(answer.ranked, 1))
    yield d.Table("LEDs, each with the resistor for that light", columns, rows)
    if answer.why_first:
        yield d.Paragraph((d.Name(answer.why_first),), quiet=True)
    yield compared


def _row(rank: int, made: Ranked) -> d.Row:
    part, circuit = made.entry.part, made.circuit
    name = d.line(f"{rank}  ", d.Name(part.part_number))
    numbers: tuple[d.Line, ...] = (("none",), ("-",), ("-",), ("-",))
    if made.has_resistor:
        numbers = (
            (d.Number(circuit.resistance, "Ω"),),
            (d.Number(circuit.point["current_typ"], "A"),),
            (d.Number(circuit.point.light, "cd"),),
            set_by(circuit),
        )
    money = (d.Number(part.number("price"), "", price(circuit.candidate)),)
    return d.Row((name, (d.Sign(made.verdict),), *numbers, money), {"candidate": part.part_number})


def _each(answer: BrightnessRanking) -> d.Facts | None:
    rows = tuple((made.entry.part.name, (d.Name("; ".join(_notes(made, answer))),)) for made in answer.ranked)
    return d.Facts(rows) if rows else None


def _notes(made: Ranked, answer: BrightnessRanking) -> Iterator[str]:
    """Light over all corners, what the eye should know, what changes, and what it fails, lacks or worsens."""
    part, point, ratio, fitted = made.entry.part, made.circuit.point, made.ratio, answer.fitted.part
    status = part.word("status")
    if status not in ("", "active"):
        yield status
    if not made.has_resistor:
        yield f"no resistor: {words.no_resistor(made, answer)}"
        return
    yield f"solved {show(made.entry.solved.resistance, 'Ω')}"
    ends = [show(point[f"intensity_{end}"], "cd") for end in ("min", "max")]
    known = ratio is not None and ratio.typical == ratio.typical
    times = f", {words.times(ratio.typical)} the fitted LED at typical" if ratio is not None and known else ""
    yield f"{ends[0]} to {ends[1]} over all corners{times}"
    if ratio is not None and fitted is not None:
        old, new = (p.number("viewing_angle") for p in (fitted, part))
        if old != new:
            flux = made.flux_ratio(fitted)
            by = f"by flux {words.times(flux.typical)}" if flux is not None else "flux not stated for both"
            yield f"viewing angle {_angle(new)} instead of {_angle(old)}: {by}"
        colour = words.colours(fitted, part)
        if colour:
            yield colour
    if made.circuit.candidate.changes:
        yield f"changes {'; '.join(made.circuit.candidate.changes)}"
    yield from (f"{label} {said}" for label, said in words.troubles(made.circuit)[:MOST_TROUBLES])


def _angle(value: float) -> str:
    return show(value, "°") if value == value else "not stated"


def _rest(answer: BrightnessRanking) -> Iterator[d.Block]:
    if answer.why_not:
        columns = (d.Column("requirement"), d.Column("LEDs that fail it", "r", right=True))
        rows = tuple(
            d.Row(((d.Id(id_),), (d.Number(float(count), "", str(count)),)), {"fails": id_})
            for id_, count in answer.why_not.items()
        )
        yield d.Table("How many LEDs fail each requirement (an LED may fail several)", columns, rows)
    if answer.others:
        head = ("LED", "verdict", "resistor", "light", "fails, or lacks")
        titles = tuple(d.Column(title, right=title in ("resistor", "light")) for title in head)
        yield d.Table("The others, as screened", titles, tuple(_other(entry) for entry in answer.others))
    if further := answer.compared - len(answer.ranked) - len(answer.others):
        yield d.Paragraph((f"{say.counted(further, 'further LED')} after these, counted above.",), quiet=True)


def _other(entry: ScreenedLed) -> d.Row:
    reached = entry.solved.state == REACHED
    why = ", ".join(entry.failing or entry.unproven) or ("" if reached else "light beyond its curves")
    cells: tuple[d.Line, ...] = (
        (d.Name(entry.part.part_number),),
        (d.Sign(entry.verdict),),
        (d.Number(entry.resistance, "Ω"),) if reached else ("none",),
        (d.Number(entry.light, "cd"),) if reached else ("-",),
        (d.Name(why),),
    )
    return d.Row(cells)


def _in_full(answer: BrightnessRanking) -> d.Fold | None:
    """Every requirement of every LED that has a resistor."""
    inner = tuple(
        d.Fold(
            f"Requirements of {made.entry.part.part_number}",
            (
                common.requirement_table(
                    made.circuit.candidate.judged, f"{made.entry.part.part_number} at {answer.ref}"
                ),
            ),
            "its requirements",
        )
        for made in answer.ranked
        if made.has_resistor
    )
    if not inner:
        return None
    where = f"`partcheck brightness BOARD {answer.ref} PART` shows one"
    return d.Fold("Every requirement of each LED", inner, where)


__all__ = ["document", "finding"]
