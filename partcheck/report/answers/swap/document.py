"""The answer to a swap: which known parts can stand in at a place."""

import math
from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, NamedTuple

from partcheck.jobs.judge.place import Judged
from partcheck.jobs.remedy.remedies import Remedies
from partcheck.jobs.swap.swap import Candidate, Miss, Swapped, baseline
from partcheck.parameters import KINDS
from partcheck.readings.explain import Finding
from partcheck.readings.story import tell
from partcheck.readings.trace import digits
from partcheck.report import document as d
from partcheck.report.answers import common, drawn, heads
from partcheck.report.answers import phrases as say
from partcheck.requirement import Verdict
from partcheck.units import show

if TYPE_CHECKING:
    from partcheck.report.html.pictures.headroom import Line as Strip

WORSENED = 8
"""Worsened requirements told under a candidate; the record has them all."""
WORDS = {
    Verdict.MEETS: "meets",
    Verdict.TIGHT: "meets, but tight",
    Verdict.UNPROVEN: "is not proved",
    Verdict.FAILS: "fails",
}
_ENTER: d.Line = ("enter parts: partcheck catalog import FILE, or name sheets with --parts",)
ORDER = (Verdict.MEETS, Verdict.TIGHT, Verdict.UNPROVEN, Verdict.FAILS)


def document(swapped: Swapped, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """The stand-ins for a place, for a person: what to take first, then the others, then what the place asks."""
    ref = swapped.ref
    return d.Document(
        "swap",
        d.line("Stand-ins for ", d.Name(ref), ", ", say.in_sentence(swapped.demands.role.title)),
        common.identity(swapped.setup),
        d.present(
            finding(swapped),
            d.section(
                "Stand-ins, best first", *ranking(swapped), *(_strips(swapped) if pictures else ()), anchor="standins"
            ),
            d.section("What each of them needs", each(swapped), anchor="each"),
            common.assumed(swapped.setup, [made.judged for made in swapped.candidates]),
            d.section("Fitted now", *_fitted(swapped)),
            d.section("Why the rest fail", *_rest(swapped), anchor="rest"),
            d.section(
                d.line("What ", d.Name(ref), " has to do here, worst case"),
                *(drawn.blocks(_place(swapped)) if pictures else ()),
                _demand_table(swapped.demands),
                common.not_asked([swapped.demands], ref),
                anchor="place",
            ),
            _in_full(swapped, pictures),
            common.not_judged(swapped.not_judged, elsewhere=True),
            common.cautions(swapped.cautions),
            common.policy(swapped.setup),
        ),
        tuple(swapped.setup.notes),
        common.today(made_on),
    )


def finding(swapped: Swapped) -> d.Finding:
    """Which part to take, in one or two lines; or that none can stand in, and what comes nearest."""
    if not swapped.candidates:
        return _none(swapped)
    best = swapped.candidates[0]
    changes = f" with {' and '.join(best.changes)}" if best.changes else ""
    word = WORDS[best.verdict]
    spare = say.to_spare(best.judged.headroom) if best.verdict >= Verdict.TIGHT else ()
    have = d.joined([(text,) for text in (price(best), stock(best.part.number("quantity"))) if text != "-"])
    sentence = d.line(
        "Take " if best.verdict >= Verdict.TIGHT else "Nothing is proved to stand in; nearest is ",
        d.Name(best.part.part_number),
        f"{changes}: {word}",
        " with " if spare else "",
        spare,
        ", " if best.changes else ", nothing else changes, ",
        have,
        ".",
    )
    todo: d.Lines = ()
    if best.verdict is Verdict.UNPROVEN:
        told = next((words for label, words in notes(best) if label == "look up"), None)
        todo = (d.line("look up ", d.Name(told)),) if told is not None else ()
    return d.Finding(best.verdict, (sentence,), todo)


def _other(swapped: Swapped) -> str:
    """``other`` where a part is fitted, and so is none of those that were compared."""
    return "other " if swapped.fitted.part is not None else ""


def _none(swapped: Swapped) -> d.Finding:
    other, word = _other(swapped), KINDS[swapped.demands.role.kind].word
    where = d.line("in ", d.Name(swapped.setup.parts.where))
    if not swapped.compared:
        return d.Finding(Verdict.FAILS, (d.line(f"No {other}{word} is known ", *where, "."),), (_ENTER,))
    if swapped.compared == 1:
        sentence: d.Line = (f"The only {other}{word} that is known cannot {'stand in' if other else 'do'}.",)
    else:
        sentence = (f"None of the {swapped.compared} {other}known parts can {'stand in' if other else 'do'}.",)
    if not swapped.nearest:
        return d.Finding(Verdict.FAILS, (sentence,))
    miss = swapped.nearest[0]
    worst = miss.failing[0]
    near = d.line(
        "Nearest is ", d.Name(miss.candidate.part.part_number), ": ", d.Id(worst.id), " ", say.needs(worst), "."
    )
    return d.Finding(Verdict.FAILS, (sentence, near), heads.first_remedies(worst, swapped.ref, miss.remedies))


# ---- the stand-ins


def ranking(swapped: Swapped) -> tuple[d.Block, ...]:
    """The table of stand-ins, why the first is first, and how many were compared."""
    other, word = _other(swapped), KINDS[swapped.demands.role.kind].word
    if not swapped.compared:
        return (d.Paragraph((f"No {other}{word} is known.",)),)
    counts = say.tally(swapped.counts)
    compared = d.Paragraph((f"{say.counted(swapped.compared, f'{other}part')} compared: {counts}.",), quiet=True)
    if not swapped.candidates:
        return (d.Paragraph(("None among the known parts.",)), compared)
    columns = (
        d.Column("part"),
        d.Column("verdict"),
        d.Column("to spare", "headroom", right=True),
        d.Column("set by"),
        d.Column("changes", detail=True),
        d.Column("price", "price", right=True),
        d.Column("on hand", "quantity", right=True),
    )
    rows = []
    for i, made in enumerate(swapped.candidates, 1):
        tightest, quantity = made.judged.tightest, made.part.number("quantity")
        cells = (
            (f"{i}  ", d.Name(made.part.part_number)),
            (d.Sign(made.verdict),),
            (say.share(made.judged.headroom),),
            (d.Id(tightest.id) if tightest is not None else "-",),
            (d.Name("; ".join(made.changes)),),
            (d.Number(made.part.number("price"), "", price(made)),),
            (d.Number(quantity, "", "-" if quantity != quantity else f"{quantity:.0f}"),),
        )
        rows.append(d.Row(cells, {"candidate": made.part.part_number, "maker": made.part.maker}))
    table = d.Table(f"Stand-ins for {swapped.ref}, best first", columns, tuple(rows))
    why = (d.Paragraph((d.Name(swapped.why_first),), quiet=True),) if swapped.why_first else ()
    return (table, *why, compared)


def _strips(swapped: Swapped) -> tuple[d.Block, ...]:
    from partcheck.report.html.pictures import headroom
    from partcheck.report.html.pictures.board import overview

    if not swapped.candidates:
        return ()
    first = swapped.candidates[0]
    made = [headroom.strips("Headroom of the stand-ins", [_strip(one) for one in swapped.candidates])]
    if first.situation is not None:
        title = f"The board with {first.part.part_number}"
        made += overview(baseline(first.situation), baseline(swapped.situation), title)
    return drawn.blocks(made)


def _strip(made: Candidate) -> "Strip":
    from partcheck.report.html.pictures import headroom
    from partcheck.report.html.pictures.board import line_of

    line = line_of(made.judged, made.part.part_number)
    return headroom.Line(line.name, made.verdict, line.set_by, line.headroom, line.shares)


def _place(swapped: Swapped) -> list[Any]:
    from partcheck.report.html.pictures import schematic

    return [schematic.drawn(swapped.situation, swapped.fitted)]


def each(swapped: Swapped) -> d.Facts | None:
    """What each candidate changes, lacks or worsens; one that does none of it fits as drawn."""
    rows = tuple(map(effect, swapped.candidates))
    return d.Facts(rows) if rows else None


def effect(made: Candidate) -> tuple[str, d.Line]:
    """A candidate, with its verdict and what it changes, lacks or worsens."""
    told = "; ".join(f"{label}: {words}" for label, words in notes(made)) or "fits as drawn"
    return made.part.name, d.line(d.Sign(made.verdict), "; ", d.Name(told))


def _in_full(swapped: Swapped, pictures: bool) -> d.Fold | None:
    """Every requirement of every candidate, with its formulas."""
    inner = tuple(_requirements(swapped, made, pictures) for made in swapped.candidates)
    if not inner:
        return None
    part = swapped.candidates[0].part.part_number
    return d.Fold(
        "Every requirement of each stand-in", inner, f"`partcheck explain BOARD {swapped.ref} {part}` shows one"
    )


def _requirements(swapped: Swapped, made: Candidate, pictures: bool) -> d.Fold:
    from partcheck.report.html.pictures import headroom

    part, judged = made.part.part_number, made.judged
    bars = drawn.blocks([headroom.bars(f"{made.part.name} as {judged.ref}", judged.findings)]) if pictures else ()
    help_ = Remedies({}, {(judged.ref, id_): found for id_, found in made.lookups.items()})
    full = tuple(common.in_full(f, judged.ref, help_) for f in common.findings_worst_first(judged.findings))
    table = common.requirement_table(judged, f"Requirements of {part} as {swapped.ref}")
    inner = (*bars, table, *full, *common.underneath(judged))
    return d.Fold(f"Requirements of {part}", inner, f"`partcheck explain BOARD {swapped.ref} {part}` shows them")


def notes(candidate: Candidate) -> Iterator[tuple[str, str]]:
    """What a candidate changes, lacks or worsens, each with its label; nothing for a plain drop-in."""
    status = candidate.part.word("status")
    if status not in ("", "active"):
        yield "status", status
    if candidate.changes:
        yield "changes", "; ".join(candidate.changes)
    if candidate.changed is not None:
        low = "; ".join(f"{f.id} {say.plain_needs(f)}" for f in _low(candidate.drawn))
        word = say.verdict_word(candidate.drawn.verdict)
        yield "as drawn", f"{word}: {low}" if low else word
    open_: dict[str, list[str]] = {}
    for finding_ in candidate.judged.with_verdict(Verdict.UNPROVEN):
        wanted = [str(lookup) for lookup in candidate.lookups.get(finding_.id, [])]
        for value in wanted or finding_.story.missing or ("a value",):
            open_.setdefault(value, []).append(finding_.id)
    for value, ids in open_.items():
        yield "look up", f"{value}, for {', '.join(ids)}"
    for worse in candidate.worsened[:WORSENED]:
        yield "worsens", f"{worse}: {say.plain_needs(worse.finding)}"
    if len(candidate.worsened) > WORSENED:
        yield "worsens", f"and {len(candidate.worsened) - WORSENED} more requirements (--json lists them)"


def _low(judged: Judged) -> list[Finding]:
    return judged.with_verdict(Verdict.FAILS) + judged.with_verdict(Verdict.UNPROVEN)


def stock(quantity: float) -> str:
    """How many are on hand."""
    return "stock not stated" if quantity != quantity else f"{quantity:.0f} on hand"


def price(candidate: Candidate) -> str:
    """The price with its currency; a dash where none is stated."""
    amount = candidate.part.number("price")
    return "-" if math.isnan(amount) else f"{amount:.2f} {candidate.part.word('currency')}".strip()


# ---- the part fitted now, and why the rest fail


def _fitted(swapped: Swapped) -> Iterator[d.Block]:
    judged = swapped.fitted
    if judged.part is None:
        yield d.Paragraph(("No part with known values.",))
        return
    status = judged.part.word("status") or "status not stated"
    head = d.line(
        d.Name(judged.part.name), f", {status}, {stock(judged.part.number('quantity'))}: ", d.Sign(judged.verdict)
    )
    if judged.tightest is not None:
        head = d.line(head, ", least to spare ", say.headroom(judged.tightest), " (", d.Id(judged.tightest.id), ")")
    yield d.Paragraph(head)
    for low in _low(judged):
        yield common.requirement(low, judged.ref, None)


def _rest(swapped: Swapped) -> Iterator[d.Block]:
    if not swapped.why_not:
        return
    columns = (d.Column("requirement"), d.Column("parts that fail it", "r", right=True))
    rows = [
        d.Row(((d.Id(id_),), (d.Number(float(count), "", str(count)),)), {"fails": id_})
        for id_, count in swapped.why_not.items()
    ]
    yield d.Table("How many parts fail each requirement (a part may fail several)", columns, tuple(rows))
    if swapped.nearest:
        yield d.Section(("Nearest misses",), tuple(_miss(miss) for miss in swapped.nearest))


def _miss(miss: Miss) -> d.Section:
    ref = miss.candidate.judged.ref
    blocks = tuple(common.requirement(finding_, ref, miss.remedies) for finding_ in miss.failing)
    return d.Section((d.Name(miss.candidate.part.name),), blocks)


# ---- what the place asks


class Demand(NamedTuple):
    """What the board alone fixes of a requirement: which side, its value and formula, or words in their place."""

    finding: Finding
    first: bool
    side: str
    value: float = math.nan
    traced: Any = None
    words: str = ""


def demands(judged: Judged) -> Iterator[Demand]:
    """What the board alone determines for each requirement: the demand, or the limit that the part must keep to."""
    for found in judged.findings:
        for i, made in enumerate(found.compared):
            demand, capability = made.traced
            if found.requirement.discrete and not found.requirement.unit and " is one of " in made.capability_digits:
                yield Demand(
                    found, i == 0, "is one of", words=made.capability_digits.partition(" is one of ")[2] or "-"
                )
            elif made.demand == made.demand and not _from_part(demand):
                yield Demand(found, i == 0, "at least", made.demand, demand)
            elif made.capability == made.capability and not _from_part(capability):
                yield Demand(found, i == 0, "at most", made.capability, capability)
            elif i == 0:
                yield Demand(found, True, "", words="depends on the part")


def _from_part(traced: object) -> bool:
    return any(origin.from_part for origin in tell(traced).origins)


def _demand_table(judged: Judged) -> d.Table:
    rows = []
    for made in demands(judged):
        unit = made.finding.requirement.unit
        value: d.Line = ()
        if made.value == made.value:
            value = (say.safe(made.value, unit, up=made.side == "at least"),)
        source: d.Line = (d.Name(made.words),)
        if made.traced is not None:
            written = digits(made.traced)
            source = (d.Name(say.source_of(made.traced) or (written if written != show(made.value, unit) else "")),)
        name = d.Id(made.finding.id) if made.first else ""
        rows.append(d.Row(((name,), (made.side,), value, source)))
    columns = (d.Column("requirement"), d.Column("the part"), d.Column("value", right=True), d.Column("from"))
    return d.Table("What the board alone determines for each requirement", columns, tuple(rows))


__all__: Sequence[str] = ["document", "each", "effect", "finding", "notes", "price", "ranking", "stock"]
