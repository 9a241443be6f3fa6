"""The answer to a swap, as text."""

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from partcheck.jobs.judge.place import Judged
from partcheck.jobs.swap.swap import Candidate, Swapped
from partcheck.readings.explain import Finding
from partcheck.readings.trace import tell
from partcheck.report.explained import assumed_note, board_name, in_sentence, notes, short
from partcheck.report.lines import columns, heading, labelled, listing, number, percent, verdict_word, wrap
from partcheck.report.remedied import remedy_lines
from partcheck.requirement import Verdict

WORSENED = 8
"""Worsened requirements told under a candidate; the record has them all."""


def text(swapped: Swapped) -> str:
    """The whole answer."""
    role = swapped.demands.role
    lines = heading(f"Stand-ins for {swapped.ref}, {in_sentence(role.title)}")
    lines += wrap(
        f"Board {board_name(swapped)}; policy {swapped.setup.policy.name}; "
        f"{swapped.compared} other parts compared, from {swapped.setup.parts.where}."
    )
    lines += ["", f"What {swapped.ref} has to do here, worst case", *columns(_demand_rows(swapped.demands))]
    lines += ["", *fitted(swapped)]
    lines += ["", *candidates(swapped)]
    lines += why_not(swapped)
    lines += notes(swapped.setup.notes)
    lines += ["", "Cautions", *listing(swapped.cautions)]
    return "\n".join(lines)


class Demand(NamedTuple):
    """What the board alone fixes of a requirement: which side, its value and formula, or words in their place."""

    finding: Finding
    first: bool
    side: str
    value: float = math.nan
    traced: Any = None
    words: str = ""


def demands(judged: Judged) -> Iterator[Demand]:
    """What the board alone fixes of each requirement: the demand, or the limit the part must keep to."""
    for finding in judged.findings:
        for i, made in enumerate(finding.compared):
            demand, capability = made.traced
            if (
                finding.requirement.discrete
                and not finding.requirement.unit
                and " is one of " in made.capability_digits
            ):
                words = made.capability_digits.partition(" is one of ")[2] or "-"
                yield Demand(finding, i == 0, "is one of", words=words)
            elif made.demand == made.demand and not _from_part(demand):
                yield Demand(finding, i == 0, "at least", made.demand, demand, made.demand_symbols)
            elif made.capability == made.capability and not _from_part(capability):
                yield Demand(finding, i == 0, "at most", made.capability, capability, made.capability_symbols)
            elif i == 0:
                yield Demand(finding, True, "", words="depends on the part")


def _demand_rows(judged: Judged) -> Iterator[list[str]]:
    for made in demands(judged):
        value = f"{number(made.value, made.finding.requirement.unit)}   " if made.value == made.value else ""
        yield [made.finding.id if made.first else "", made.side, f"{value}{made.words}"]


def _from_part(traced: object) -> bool:
    return any(origin.from_part for origin in tell(traced).origins)


def fitted(swapped: Swapped) -> list[str]:
    """The part as fitted, in the same terms as the candidates."""
    judged = swapped.fitted
    if judged.part is None:
        return ["Fitted: no part with known values"]
    status = judged.part.word("status") or "status not stated"
    tightest = judged.tightest
    by = f", least headroom {percent(tightest.headroom)} ({tightest.id})" if tightest is not None else ""
    head = f"Fitted: {judged.part.name}, {status}, {stock(judged.part.number('quantity'))}"
    lines = wrap(head, "", "  ")
    lines += wrap(f"{verdict_word(judged.verdict)}{by}", "  ")
    return lines + [line for f in _bad(judged) for line in labelled(f.id, short(f), 4, 20)]


def _bad(judged: Judged) -> list[Finding]:
    return judged.with_verdict(Verdict.FAILS) + judged.with_verdict(Verdict.UNPROVEN)


def stock(quantity: float) -> str:
    return "stock not stated" if quantity != quantity else f"{quantity:.0f} on hand"


def price(candidate: Candidate) -> str:
    price = candidate.part.number("price")
    if math.isnan(price):
        return "-"
    return f"{price:.2f} {candidate.part.word('currency')}".strip()


def candidates(swapped: Swapped) -> list[str]:
    """The ranked stand-ins as a table, then what each needs."""
    counts = swapped.counts
    parts = [
        f"{counts[v]} {verdict_word(v).lower()}"
        for v in (Verdict.MEETS, Verdict.TIGHT, Verdict.UNPROVEN, Verdict.FAILS)
    ]
    if not swapped.candidates:
        return ["Stand-ins: none among the known parts", *wrap(f"Of the others: {', '.join(parts)}.", "  ")]
    rows = [["", "part", "verdict", "headroom", "set by", "price", "on hand"]]
    for i, candidate in enumerate(swapped.candidates, 1):
        tightest = candidate.judged.tightest
        quantity = candidate.part.number("quantity")
        rows.append(
            [
                str(i),
                candidate.part.part_number,
                verdict_word(candidate.verdict),
                percent(candidate.judged.headroom),
                tightest.id if tightest is not None else "-",
                price(candidate),
                "-" if quantity != quantity else f"{quantity:.0f}",
            ]
        )
    lines = ["Stand-ins, best first", *columns(rows, right=(0, 3, 5, 6))]
    lines += wrap(f"Of all the others: {', '.join(parts)}.", "  ")
    if swapped.why_first:
        lines += wrap(swapped.why_first, "  ")
    for i, candidate in enumerate(swapped.candidates, 1):
        lines += details(i, candidate)
    return lines


def told(candidate: Candidate) -> Iterator[tuple[str, str]]:
    """What a candidate changes, lacks or worsens, each with its label; nothing for a plain drop-in."""
    status = candidate.part.word("status")
    if status not in ("", "active"):
        yield "status", status
    if candidate.changes:
        yield "changes", "; ".join(candidate.changes)
    if candidate.changed is not None:
        drawn = candidate.drawn
        bad = "; ".join(f"{f.id} {short(f)}" for f in _bad(drawn))
        yield "as drawn", f"{verdict_word(drawn.verdict)}: {bad}" if bad else verdict_word(drawn.verdict)
    for finding in candidate.judged.with_verdict(Verdict.UNPROVEN):
        wanted = [str(lookup) for lookup in candidate.lookups.get(finding.id, [])]
        yield "look up", f"{finding.id}: {'; '.join(wanted or finding.story.missing) or 'a value'}"
    for worse in candidate.worsened[:WORSENED]:
        yield "worsens", f"{worse}: {short(worse.finding)}"
    if len(candidate.worsened) > WORSENED:
        yield "worsens", f"and {len(candidate.worsened) - WORSENED} more requirements (--json tells all)"
    assumed = list(assumed_note(candidate.judged))
    if assumed:
        yield "assumed", "; ".join(assumed)


def details(place: int, candidate: Candidate) -> list[str]:
    """The same as text, under the candidate's name."""
    lines = [line for label, words in told(candidate) for line in labelled(label, words)]
    head = wrap(f"{place}  {candidate.part.name}{'' if lines else ': fits as drawn'}", "  ")
    return ["", *head, *lines]


def why_not(swapped: Swapped) -> list[str]:
    """Why the rest fail: counted per requirement, nearest misses with their numbers and cures."""
    if not swapped.why_not:
        return []
    lines = ["", "Why the rest fail (a part may fail several)"]
    lines += wrap(", ".join(f"{id_} {count}" for id_, count in swapped.why_not.items()), "  ")
    if swapped.nearest:
        lines += ["", "Nearest misses"]
    for miss in swapped.nearest:
        lines += wrap(miss.candidate.part.name, "  ")
        for finding in miss.failing:
            if miss.remedies is None:
                words = f"{short(finding)}; cure: {finding.requirement.cure or 'another part'}"
                lines += labelled(finding.id, words, 4, 20)
            else:
                lines += labelled(finding.id, short(finding), 4, 20)
                lines += remedy_lines(finding, miss.candidate.judged.ref, miss.remedies, 8, 9)
    return lines
