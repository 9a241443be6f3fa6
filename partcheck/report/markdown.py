"""Answers as Markdown for a design log: the same findings as tables; words from outside stay words."""

import re
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from partcheck import __version__
from partcheck.jobs.check.board import Checked
from partcheck.jobs.check.part import Explained
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.jobs.remedy.remedies import Remedies
from partcheck.jobs.swap.swap import Swapped
from partcheck.jobs.sweep.bounds import Limit
from partcheck.jobs.sweep.limits import Limited
from partcheck.jobs.sweep.map import ChannelMap
from partcheck.readings.explain import Finding
from partcheck.report.explained import assumed_note, in_sentence, short, summary
from partcheck.report.limited import NAMES, at_once, letter, setters, span
from partcheck.report.lines import number, percent, plain, verdict_word
from partcheck.report.remedied import remedies_of
from partcheck.report.swapped import demands, price, stock, told
from partcheck.requirement import Verdict

_MEANT = re.compile(r"([\\`*_{}\[\]<>#|~&$@]|^[-+=]|:(?=//)|(?<=^\d)[.)])")


def word(text: object) -> str:
    """A text in which nothing is read as Markdown or HTML."""
    return _MEANT.sub(r"\\\1", " ".join(plain(text).split()))


def code(text: object) -> str:
    """A formula, as it is; inside a table, too."""
    made = " ".join(plain(text).split()).replace("`", "'").replace("|", "¦")
    return f"`{made}`" if made else ""


def table(head: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[int] = ()) -> list[str]:
    """A table; its cells are Markdown already."""
    rule = ["---:" if i in right else "---" for i in range(len(head))]
    return ["", *(f"| {' | '.join(row)} |" for row in (head, rule, *rows)), ""]


def listing(items: Iterable[object]) -> list[str]:
    """A list of sentences from outside."""
    return [f"- {word(item)}" for item in items]


def opening(title: str, setup: Setup, made_on: date | None) -> list[str]:
    """Title and identity."""
    board = setup.board_file.board
    revision = f", revision {word(board.revision)}" if board.revision else ""
    return [
        f"# {title}", "",
        f"- Board: {word(board.name)}{revision} ({setup.board_file.fingerprint[:12]})",
        f"- Policy: {word(setup.policy.name)}, {word(setup.policy.title)}",
        f"- Parts from: {word(setup.parts.where)}",
        f"- Date: {(made_on or date.today()).isoformat()}, by partcheck {__version__}", "",
    ]  # fmt: skip


def ending(notes: Sequence[object], cautions: Sequence[object]) -> list[str]:
    """Notes and cautions."""
    lines = ["", "## Notes", "", *listing(notes)] if notes else []
    return [*lines, "", "## Cautions", "", *listing(cautions)]


def whole(lines: Iterable[str]) -> str:
    """Lines as a file, without doubled blank ones."""
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip() + "\n"


def judged_rows(places: Iterable[Judged], with_part: bool = True) -> list[str]:
    """Places with what sets them."""
    head = ["place", *(["part"] if with_part else []), "verdict", "headroom", "set by"]
    rows = []
    for judged in places:
        part = [word(judged.part.part_number if judged.part is not None else "(unknown)")] if with_part else []
        setter = f"{code(judged.tightest.id)} {word(short(judged.tightest))}" if judged.tightest is not None else ""
        rows.append([word(judged.ref), *part, verdict_word(judged.verdict), percent(judged.headroom), setter])
    return table(head, rows, right=(3 if with_part else 2,))


def requirement_rows(findings: Iterable[Finding]) -> list[str]:
    """Requirements with demand, capability, headroom and verdict."""
    rows = []
    for finding in findings:
        worst, unit = finding.compared[0], finding.requirement.unit
        if finding.requirement.discrete and not unit:
            sides = [word(short(finding)), ""]
        else:
            sides = [word(number(worst.demand, unit)), word(number(worst.capability, unit))]
        verdict = verdict_word(finding.verdict) if finding.counts else "other footprint"
        rows.append([code(finding.id), *sides, percent(finding.headroom), verdict])
    return table(["requirement", "demand", "capability", "headroom", "verdict"], rows, right=(1, 2, 3))


def formulas(finding: Finding, ref: str, remedies: Remedies | None) -> list[str]:
    """One requirement in full."""
    unit = finding.requirement.unit
    lines = [f"### {finding.id}: {verdict_word(finding.verdict)}", "", f"{word(finding.requirement.claim)}.", ""]
    for made in finding.compared:
        for label, symbols, digits, value in (
            ("demand", made.demand_symbols, made.demand_digits, made.demand),
            ("capability", made.capability_symbols, made.capability_digits, made.capability),
        ):
            chain = list(dict.fromkeys([symbols, digits, number(value, unit)]))
            lines.append(f"- {label}: {code(' = '.join(chain))}")
    lines += [f"- {word(label or 'and')}: {word(words)}" for label, words in remedies_of(finding, ref, remedies)]
    return [*lines, f"- source: {word(finding.requirement.source)}", ""]


def explained(answer: Explained, made_on: date | None = None) -> str:
    """One part in one place."""
    judged = answer.judged
    name = judged.part.name if judged.part is not None else "no part"
    remedies = answer.remedies if judged.verdict < Verdict.TIGHT else None
    lines = opening(f"{word(name)} as {word(judged.ref)}, {in_sentence(judged.role.title)}", answer.setup, made_on)
    lines += [word(summary(judged)), *requirement_rows(judged.findings)]
    if judged.results:
        rows = [
            [code(step.name), word(number(step.value, step.unit) if step.value is not None else "?")]
            for step in judged.results
        ]
        lines += ["## Worth knowing", *table(["value", "is"], rows, right=(1,))]
    lines += ["## In full", ""]
    for finding in sorted(judged.findings, key=lambda f: f.verdict):
        lines += formulas(finding, judged.ref, remedies)
    return whole([*lines, *ending(answer.setup.notes, answer.cautions)])


def checked(answer: Checked, made_on: date | None = None) -> str:
    """The board as fitted."""
    lines = opening(f"Board {word(answer.setup.board_file.board.name)}, as fitted", answer.setup, made_on)
    lines += [f"Verdict: {verdict_word(answer.verdict)}", "", "## Places", *judged_rows(answer.places)]
    if answer.links:
        lines += ["## Sums and copper", *judged_rows(answer.links, False)]
    bad = [judged for judged in (*answer.places, *answer.links) if judged.verdict < Verdict.TIGHT]
    if bad:
        lines += ["## What does not meet", ""]
    for judged in bad:
        for finding in judged.with_verdict(Verdict.FAILS) + judged.with_verdict(Verdict.UNPROVEN):
            head, *rest = formulas(finding, judged.ref, answer.remedies)
            lines += [f"### {word(judged.ref)} {head.removeprefix('### ')}", *rest]
    assumed = sorted({note for judged in answer.places for note in assumed_note(judged)})
    if assumed:
        lines += ["## Assumed by the policy", "", *listing(assumed)]
    lines += ["", "## Role by role", ""]
    for judged in (*answer.places, *answer.links):
        part = f", {word(judged.part.name)}" if judged.part is not None else ""
        lines += [f"### {word(judged.ref)}{part}: {verdict_word(judged.verdict)}", *requirement_rows(judged.findings)]
    return whole([*lines, *ending(answer.notes, answer.cautions)])


def swapped(answer: Swapped, made_on: date | None = None) -> str:
    """The stand-ins for a place."""
    title = f"Stand-ins for {word(answer.ref)}, {in_sentence(answer.demands.role.title)}"
    lines = [*opening(title, answer.setup, made_on), f"{answer.compared} other parts compared.", ""]
    rows = [
        [
            code(d.finding.id) if d.first else "", d.side,
            word(number(d.value, d.finding.requirement.unit)) if d.value == d.value else "",
            code(d.words) if d.traced is not None else word(d.words),
        ]
        for d in demands(answer.demands)
    ]  # fmt: skip
    lines += ["## What the place demands", *table(["requirement", "the part", "value", "from"], rows, right=(2,))]
    fitted = answer.fitted
    if fitted.part is not None:
        state = f"{fitted.part.word('status') or 'status not stated'}, {stock(fitted.part.number('quantity'))}"
        lines += [f"Fitted: {word(fitted.part.name)}, {word(state)}: {verdict_word(fitted.verdict)}", ""]
    lines += ["## Stand-ins, best first", *_ranking(answer)]
    if answer.why_first:
        lines += [word(answer.why_first), ""]
    for i, made in enumerate(answer.candidates, 1):
        lines += [f"### {i}. {word(made.part.name)}: {verdict_word(made.verdict)}", ""]
        lines += [f"- {label}: {word(words)}" for label, words in told(made)]
        lines += requirement_rows(made.judged.findings)
    if answer.why_not:
        fails = [[code(id_), str(count)] for id_, count in answer.why_not.items()]
        lines += ["## Why the rest fail", *table(["requirement", "parts"], fails, right=(1,))]
    for miss in answer.nearest:
        lines += [f"### Nearest miss: {word(miss.candidate.part.name)}", *requirement_rows(miss.failing)]
    return whole([*lines, *ending(answer.setup.notes, answer.cautions)])


def _ranking(answer: Swapped) -> list[str]:
    if not answer.candidates:
        return ["", "None among the known parts.", ""]
    rows: list[list[str]] = []
    for i, made in enumerate(answer.candidates, 1):
        quantity: Any = made.part.number("quantity")
        tightest = made.judged.tightest
        rows.append(
            [
                str(i), word(made.part.part_number), word(made.part.maker), verdict_word(made.verdict),
                percent(made.judged.headroom), code(tightest.id) if tightest is not None else "",
                word("; ".join(made.changes) or "none"), word(price(made)),
                "" if quantity != quantity else f"{quantity:.0f}",
            ]
        )  # fmt: skip
    head = ["rank", "part", "maker", "verdict", "headroom", "set by", "changes", "price", "on hand"]
    return table(head, rows, right=(0, 4, 7, 8))


def limited(answer: Limited, map_: ChannelMap | None = None, made_on: date | None = None) -> str:
    """The rating sheet, and of a map what gives way first."""
    what = "Limits" if map_ is not None else "Rating sheet"
    lines = opening(f"{what} of {word(answer.setup.board_file.board.name)}", answer.setup, made_on)
    lines += [f"As it stands: {verdict_word(answer.verdict)}", *listing(answer.standing), ""]
    head = ["channel", "quantity", "now", "may be", "set by"]
    rows = [
        [word(channel.load), *_limit_row(limit)]
        for channel in answer.channels
        for limit in channel.limits
        if limit.own or limit.quantity.key != "ambient-max"
    ]
    rows += [["", *_limit_row(limit)] for limit in answer.air]
    lines += ["## Each alone, all else as it stands", *table(head, rows)]
    if answer.at_once is not None:
        lines += [f"At once: {word(at_once(answer))}", ""]
    if map_ is not None:
        causes = [
            [
                letter(map_, k),
                word(cause.ref),
                word(cause.part or ""),
                code(cause.requirement),
                str((map_.first == k).sum()),
            ]
            for k, cause in enumerate(map_.causes)
        ]
        points = int(map_.allowed.sum())
        lines += [f"## Voltage of {word(map_.rail)} against current", ""]
        lines += [f"Everything meets at {points} of {map_.first.size} points; elsewhere gives way first:"]
        lines += table(["letter", "place", "part", "requirement", "points"], causes, right=(4,))
    return whole([*lines, *ending(answer.setup.notes, answer.cautions)])


def _limit_row(limit: Limit) -> list[str]:
    quantity = limit.quantity
    name = NAMES.get(quantity.key, quantity.name) + (", own" if limit.own else "")
    return [word(name), word(quantity.shown(quantity.base)), word(span(limit)), word(setters(limit))]
