"""Every known LED for a place with the resistor for the wanted light, as text and as CSV."""

import csv
import io

from partcheck.jobs.light.equal import REACHED
from partcheck.jobs.light.ranking import BrightnessRanking, Entry, Ranked
from partcheck.report import brightness_words as words
from partcheck.report.brightness import set_by, trouble_lines
from partcheck.report.explained import board_name, notes
from partcheck.report.lines import columns, heading, labelled, listing, number, verdict_word, wrap
from partcheck.report.ranking import cell
from partcheck.requirement import Verdict
from partcheck.units import show

HEADER = (
    "rank", "part_number", "maker", "verdict", "resistor", "exact_resistor", "current_typ", "current_max",
    "intensity_min", "intensity_typ", "intensity_max", "ratio", "flux_ratio", "least_headroom", "set_by", "changes",
    "worsens", "failing", "unproven", "price", "currency", "quantity", "status",
)  # fmt: skip


def text(answer: BrightnessRanking) -> str:
    """The whole answer."""
    wanted = words.name_light(answer.wanted, answer.goal, answer.fitted.part)
    lines = heading(f"LEDs for {answer.ref}")
    lines += wrap(finding(answer))
    lines += wrap(
        f"Wanted at typical: {wanted}. Board {board_name(answer)}; policy {answer.setup.policy.name}; "
        f"{answer.compared} LEDs compared, from {answer.setup.parts.where}."
    )
    if answer.before is not None and answer.fitted.part is not None:
        point = answer.before
        lines += wrap(
            f"Fitted: {answer.fitted.part.name} at {show(answer.resistance, 'Ω')}, "
            f"{number(point['current_typ'], 'A')} at typical, {number(point['intensity_min'], 'cd')} to "
            f"{number(point['intensity_max'], 'cd')}; {verdict_word(answer.fitted.verdict)}."
        )
    lines += ["", *_table(answer)]
    for i, made in enumerate(answer.ranked, 1):
        lines += _details(i, made, answer)
    lines += _others(answer)
    lines += notes(answer.setup.notes)
    lines += ["", "Cautions", *listing(answer.cautions)]
    return "\n".join(lines)


def finding(answer: BrightnessRanking) -> str:
    """The best LED and its resistor in one sentence."""
    with_resistor = [made for made in answer.ranked if made.has_resistor]
    light = words.name_light(answer.wanted, answer.goal, answer.fitted.part)
    if not with_resistor:
        return f"No known LED is proved to give {light} at {answer.ref} with any resistor."
    best = with_resistor[0]
    number_ = best.entry.part.part_number
    made = f"{number_} at {show(best.circuit.resistance, 'Ω')}"
    near = words.nearness(best.circuit, answer.goal, answer.wanted)
    if answer.wanted.equal and answer.fitted.part is not None:
        near = near.replace("makes them equal", f"is as bright as {answer.fitted.part.part_number}")
    verdict = {Verdict.MEETS: "meets", Verdict.TIGHT: "is tight"}.get(best.verdict, "is unproven")
    current = f"{number(best.circuit.point['current_typ'], 'A')} at typical"
    return f"{made} {near}, on {current}, and {verdict}."


def _table(answer: BrightnessRanking) -> list[str]:
    counts = answer.counts
    said = ", ".join(f"{counts[v]} {verdict_word(v).lower()}" for v in sorted(Verdict, reverse=True))
    if not answer.ranked:
        return ["LEDs that do: none among the known ones", *wrap(f"Of all: {said}.", "  ")]
    rows = [["", "LED", "verdict", "resistor", "current", "light", "least headroom"]]
    for i, made in enumerate(answer.ranked, 1):
        point = made.circuit.point
        known = made.has_resistor
        rows.append(
            [
                str(i),
                made.entry.part.part_number,
                verdict_word(made.verdict),
                show(made.circuit.resistance, "Ω") if known else "none",
                number(point["current_typ"], "A") if known else "-",
                number(point.light, "cd") if known else "-",
                set_by(made.circuit) if known else "-",
            ]
        )
    lines = ["Best first, each with the resistor for that light", *columns(rows, right=(0, 3, 4, 5))]
    lines += wrap(f"Of all: {said}.", "  ")
    return lines + (wrap(answer.why_first, "  ") if answer.why_first else [])


def _details(place: int, made: Ranked, answer: BrightnessRanking) -> list[str]:
    part, point, ratio = made.entry.part, made.circuit.point, made.ratio
    lines = ["", *wrap(f"{place}  {part.name}", "  ")]
    status = part.word("status")
    lines += labelled("status", status) if status not in ("", "active") else []
    if not made.has_resistor:
        return lines + labelled("resistor", words.no_resistor(made, answer))
    lines += labelled("solved", show(made.entry.solved.resistance, "Ω"))
    ends = [number(point[f"intensity_{end}"], "cd") for end in ("min", "max")]
    lines += labelled("light", f"{ends[0]} to {ends[1]} over all corners" + _ratio(made))
    if ratio is not None and answer.fitted.part is not None:
        old, new = (p.number("viewing_angle") for p in (answer.fitted.part, part))
        if old != new:
            flux = made.flux_ratio(answer.fitted.part)
            both = f"by flux {words.times(flux.typical)}" if flux is not None else "flux not stated for both"
            lines += labelled("angles", f"{_angle(old)} fitted, {_angle(new)} here: {both}")
        colour = words.colours(answer.fitted.part, part)
        lines += labelled("colour", colour) if colour else []
    if made.circuit.candidate.changes:
        lines += labelled("changes", "; ".join(made.circuit.candidate.changes))
    return lines + trouble_lines("", made.circuit, 4, 12)


def _angle(value: float) -> str:
    return show(value, "°") if value == value else "not stated"


def _ratio(made: Ranked) -> str:
    ratio = made.ratio
    known = ratio is not None and ratio.typical == ratio.typical
    return f"; {words.times(ratio.typical)} the fitted LED at typical" if known and ratio is not None else ""


def _others(answer: BrightnessRanking) -> list[str]:
    lines: list[str] = []
    if answer.why_not:
        lines += ["", "Why the rest fail (an LED may fail several)"]
        lines += wrap(", ".join(f"{id_} {count}" for id_, count in answer.why_not.items()), "  ")
    rows = [["", "verdict", "resistor", "light", "fails, or lacks"]]
    for entry in answer.others:
        rows.append(
            [
                entry.part.part_number,
                verdict_word(entry.verdict),
                show(entry.resistance, "Ω") if entry.solved.state == REACHED else "none",
                number(entry.light, "cd") if entry.solved.state == REACHED else "-",
                ", ".join(entry.failing or entry.unproven) or _why(entry),
            ]
        )
    return lines + (["", "The others", *columns(rows, right=(2, 3))] if answer.others else [])


def _why(entry: Entry) -> str:
    return "" if entry.solved.state == REACHED else "light beyond its curves"


def csv_text(answer: BrightnessRanking) -> str:
    """One row per LED: those ranked, then the others without a rank."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEADER)
    for i, made in enumerate(answer.ranked, 1):
        writer.writerow([cell(value) for value in _ranked_row(i, made, answer)])
    for entry in answer.others:
        part, solved = entry.part, entry.solved
        row = (
            None, part.part_number, part.maker, entry.verdict.word, _float(entry.resistance),
            _float(solved.resistance if solved.state == REACHED else float("nan")), _float(entry.current), None, None,
            _float(entry.light), None, None, None, None, None, None, None, "; ".join(entry.failing),
            "; ".join(entry.unproven), part.number("price"), part.word("currency"), part.number("quantity"),
            part.word("status"),
        )  # fmt: skip
        writer.writerow([cell(value) for value in row])
    return out.getvalue().rstrip("\n")


def _float(value: float) -> float | None:
    return float(f"{value:.6g}") if value == value else None


def _ranked_row(rank: int, made: Ranked, answer: BrightnessRanking) -> tuple[object, ...]:
    part, point, candidate, known = made.entry.part, made.circuit.point, made.circuit.candidate, made.has_resistor
    ratio, flux = made.ratio, made.flux_ratio(answer.fitted.part)
    tightest = candidate.judged.tightest
    failing, unproven = (candidate.judged.with_verdict(v) for v in (Verdict.FAILS, Verdict.UNPROVEN))

    def shown(value: float) -> float | None:
        return _float(value) if known else None

    return (
        rank, part.part_number, part.maker, made.verdict.word, shown(made.circuit.resistance),
        shown(made.entry.solved.resistance), shown(point["current_typ"]), shown(point["current_max"]),
        shown(point["intensity_min"]), shown(point["intensity_typ"]), shown(point["intensity_max"]),
        shown(ratio.typical) if ratio is not None else None, shown(flux.typical) if flux is not None else None,
        shown(candidate.judged.headroom), tightest.id if tightest is not None and known else None,
        "; ".join(candidate.changes) if known else None, "; ".join(map(str, candidate.worsened)) if known else None,
        "; ".join(f.id for f in failing) if known else None, "; ".join(f.id for f in unproven) if known else None,
        part.number("price"), part.word("currency"), part.number("quantity"), part.word("status"),
    )  # fmt: skip
