"""Markdown of the answers about a load, an LED's light, and a plan."""

from collections.abc import Iterable, Sequence
from datetime import date

from partcheck.jobs.judge.place import Judged
from partcheck.jobs.light.brightness import Brightened
from partcheck.jobs.light.ranking import BrightnessRanking
from partcheck.jobs.plan.plan import Planned
from partcheck.jobs.remedy.remedies import Remedies
from partcheck.jobs.vet.path import Link
from partcheck.jobs.vet.vet import Vetted
from partcheck.report import brightness_words as words
from partcheck.report.brightness import ROWS, left_and_missing, set_by
from partcheck.report.brightness_ranked import finding as ranked_finding
from partcheck.report.explained import board_name, short
from partcheck.report.lines import number, percent, verdict_word
from partcheck.report.markdown import (
    code,
    ending,
    formulas,
    judged_rows,
    listing,
    opening,
    requirement_rows,
    table,
    whole,
    word,
)
from partcheck.report.planned import change_words, total_price, verdict_words
from partcheck.report.swapped import price
from partcheck.report.vetted import reached
from partcheck.requirement import Fact, Verdict
from partcheck.units import show


def _troubles(places: Iterable[Judged], remedies: Remedies | None) -> list[str]:
    lines: list[str] = []
    for judged in places:
        for finding in judged.with_verdict(Verdict.FAILS) + judged.with_verdict(Verdict.UNPROVEN):
            head, *rest = formulas(finding, judged.ref, remedies)
            lines += [f"### {word(judged.ref)} {head.removeprefix('### ')}", *rest]
    return ["## What does not meet", "", *lines] if lines else []


def _every(places: Sequence[Judged]) -> list[str]:
    lines = ["## Role by role", ""]
    for judged in places:
        part = f", {word(judged.part.name)}" if judged.part is not None else ""
        lines += [f"### {word(judged.ref)}{part}: {verdict_word(judged.verdict)}", *requirement_rows(judged.findings)]
    return lines


def _fact(fact: Fact | None, unit: str) -> str:
    return "" if fact is None or fact.value is None else word(number(float(fact.value), unit))


def _judged(link: Link | None) -> str:
    judged = link.judged if link is not None else None
    return f"{verdict_word(judged.verdict)} {percent(judged.headroom)}" if judged is not None else ""


def vetted(answer: Vetted, made_on: date | None = None) -> str:
    """A load before and after a change."""
    lines = opening(f"{word(answer.load)}: may it be connected?", answer.setup, made_on)
    lines += [f"The whole board {verdict_word(answer.verdict)}"]
    if answer.changes:
        lines[-1] += f" as changed, {verdict_word(answer.verdict_before)} before"
        lines += ["", "## What was asked", "", *listing(answer.changes), *listing(answer.asked_notes)]
    if answer.gives_way:
        rows = [
            [
                word(made.ref), code(made.after.id),
                word(number(made.after.compared[0].demand, made.after.requirement.unit)),
                word(number(made.after.compared[0].capability, made.after.requirement.unit)), word(reached(made)),
            ]
            for made in answer.gives_way
        ]  # fmt: skip
        head = ["place", "requirement", "demand", "capability", "where on the way"]
        lines += ["", "## What gives way, first to go first", *table(head, rows, right=(2, 3))]
    if answer.unproven:
        lines += ["", "## No longer proved", ""]
        lines += [f"- {word(ref)} {code(finding.id)}: {word(short(finding))}" for ref, _, finding in answer.unproven]
    rows = [
        [
            step.stage, word(step.ref), _fact(step.after.carries, "A") if step.after is not None else "off the path",
            _judged(step.before), _judged(step.after),
        ]
        for step in answer.steps
    ]  # fmt: skip
    lines += ["", "## The path of its current", *table(["link", "where", "carries", "before", "now"], rows, right=(2,))]
    rows = [[word(f.name), _fact(f.before, f.unit), _fact(f.after, f.unit), word(f.meaning)] for f in answer.figures]
    lines += ["## Key figures", *table(["figure", "before", "now", "what it is"], rows, right=(1, 2))]
    lines += _troubles(answer.after, answer.remedies if answer.verdict < Verdict.TIGHT else None)
    if answer.clamping is not None:
        rows = [
            [
                word(" and ".join(f"{ref} {part.name}" for ref, part in made.fitted)), verdict_word(made.verdict),
                percent(made.headroom), show(made.time, "s"), show(made.peak, "V"), show(made.energy, "J"),
            ]
            for made in answer.clamping.found
        ]  # fmt: skip
        lines += ["## Other clamps", ""]
        head = ["clamp", "verdict", "headroom", "time", "peak", "energy"]
        lines += table(head, rows, right=(2, 3, 4, 5)) if rows else ["None cures it."]
    lines += _every(answer.after)
    return whole([*lines, *ending(answer.as_changed.notes, answer.cautions)])


def brightened(answer: Brightened, made_on: date | None = None) -> str:
    """An LED beside the fitted one."""
    lines = opening(f"{word(answer.part.part_number)} at {word(answer.ref)}", answer.setup, made_on)
    lines += [f"{verdict_word(answer.verdict)}: {word(words.finding(answer))}", ""]
    columns = [] if answer.before is None else [("fitted", answer.before)]
    if not answer.is_fitted:
        columns.append((f"as drawn, {show(answer.drawn.resistance, 'Ω')}", answer.drawn.point))
    if answer.best is not None and answer.best is not answer.drawn:
        columns.append((f"best, {show(answer.best.resistance, 'Ω')}", answer.best.point))
    rows = [
        [code(name), *(word(number(point[name], unit)) for _, point in columns)]
        for _, name, unit in ROWS
        if any(point[name] == point[name] for _, point in columns)
    ]
    right = tuple(range(1, len(columns) + 1))
    lines += ["## At the real operating point", *table(["value", *(name for name, _ in columns)], rows, right=right)]
    wanted = words.name_light(answer.wanted, answer.goal, answer.fitted.part)
    lines += [f"## Resistor for {word(wanted)}", "", f"{word(words.resistor(answer))}."]
    rows = [
        [
            show(made.resistance, "Ω"), number(made.point.light, "cd"), words.times(made.point.light / answer.goal),
            number(made.point["current_typ"], "A"), verdict_word(made.verdict), word(set_by(made)),
        ]
        for made in answer.choices
    ]  # fmt: skip
    if rows:
        lines += table(["resistor", "light", "of wanted", "current", "verdict", "set by"], rows, right=(0, 1, 2, 3))
    said = left_and_missing(answer)
    lines += ["", "## Curves left, and values to look up", "", *listing(said)] if said else []
    lines += ["", "## Requirements", *requirement_rows(answer.shown.candidate.judged.findings)]
    return whole([*lines, *ending(answer.setup.notes, answer.cautions)])


def brightness_ranked(answer: BrightnessRanking, made_on: date | None = None) -> str:
    """Every known LED for a place."""
    lines = [*opening(f"LEDs for {word(answer.ref)}", answer.setup, made_on), word(ranked_finding(answer))]
    rows = []
    for i, made in enumerate(answer.ranked, 1):
        circuit, known = made.circuit, made.has_resistor
        numbers = [
            show(circuit.resistance, "Ω"), number(circuit.point["current_typ"], "A"), number(circuit.point.light, "cd"),
            word(set_by(circuit)),
        ]  # fmt: skip
        part = made.entry.part
        rows.append(
            [
                str(i), word(part.part_number), word(part.maker), verdict_word(made.verdict),
                *(numbers if known else ["none", "", "", word(words.no_resistor(made, answer))]),
                word(price(circuit.candidate)),
            ]
        )  # fmt: skip
    head = ["rank", "LED", "maker", "verdict", "resistor", "current", "light", "least headroom", "price"]
    lines += table(head, rows, right=(0, 4, 5, 6, 8))
    lines += [word(answer.why_first)] if answer.why_first else []
    for made in answer.ranked:
        if made.has_resistor:
            lines += ["", f"### {word(made.entry.part.name)}: {verdict_word(made.verdict)}"]
            lines += requirement_rows(made.circuit.candidate.judged.findings)
    if answer.others:
        others = [
            [
                word(entry.part.part_number),
                verdict_word(entry.verdict),
                word(", ".join(entry.failing or entry.unproven)),
            ]
            for entry in answer.others
        ]
        lines += ["", "## The others", *table(["LED", "verdict", "fails, or lacks"], others)]
    return whole([*lines, *ending(answer.setup.notes, answer.cautions)])


def planned(answer: Planned, made_on: date | None = None) -> str:
    """The smallest set of changes, or what stands in the way."""
    lines = [*opening(f"Plan for {word(board_name(answer))}", answer.setup, made_on)]
    lines += [word(sentence) for sentence in verdict_words(answer)]
    if answer.wanted.changes:
        lines += ["", "## What was asked", "", *listing(answer.wanted.changes), *listing(answer.wanted.notes)]
    if answer.steps:
        lines += ["", "## Changes", ""]
        for i, step in enumerate(answer.steps, 1):
            lines += [f"{i}. {word(step.option.ref)}: {word(change_words(step))}"]
            lines += [
                f"    - without it {word(cured.ref)} {code(cured.without.id)}: {word(short(cured.without))}"
                for cured in step.cured
            ]
        lines += ["", f"Price of the new parts: {word(total_price(answer))}"]
    lines += ["", *_troubles(answer.before, None)]
    for blocked in answer.found.blocked:
        lines += [f"## In the way: {word(blocked.ref)}", *requirement_rows(blocked.findings)]
    places = [judged for judged in answer.after if judged.ref in answer.board.role]
    links = [judged for judged in answer.after if judged.ref not in answer.board.role]
    lines += ["## The board as planned" if answer.steps else "## The board", *judged_rows(places)]
    lines += judged_rows(links, False)
    return whole([*lines, *ending(answer.setup.notes, answer.cautions)])
