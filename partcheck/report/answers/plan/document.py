"""The answer to a plan: the smallest set of changes, each justified, or what stands in the way."""

import math
from collections.abc import Iterator
from datetime import date

from partcheck.jobs.plan.blocked import Blocked
from partcheck.jobs.plan.plan import Cured, Outcome, Planned, PlanStep
from partcheck.parameters import KINDS
from partcheck.readings.explain import Finding
from partcheck.report import document as d
from partcheck.report.answers import common, drawn
from partcheck.report.answers import phrases as say
from partcheck.requirement import Verdict
from partcheck.units import show

CURED = 4
"""So many requirements are told of each change."""
STEPS = 3
"""So many changes are named in the head of the answer."""


def document(planned: Planned, pictures: bool = False, made_on: date | None = None, written: str = "") -> d.Document:
    """A plan for a person: what to change, why each change is needed, and the board then."""
    return d.Document(
        "plan",
        d.line("Plan for ", common.board_name(planned.setup)),
        common.identity(planned.setup),
        d.present(
            finding(planned),
            d.Paragraph((d.Name(written),)) if written else None,
            d.section("What stands in the way", *_in_the_way(planned)) if planned.found.options is None else None,
            d.section("Changes", *_changes(planned, pictures), anchor="changes"),
            d.section("What was asked", _asked(planned)),
            _before(planned),
            d.section(
                "The planned board" if planned.steps else "The board", *_board(planned, pictures), anchor="board"
            ),
            common.assumed(planned.setup, planned.after),
            common.bounds(planned.after),
            common.not_asked(planned.after),
            common.not_judged(planned.not_judged),
            common.cautions(planned.cautions),
            common.policy(planned.setup),
        ),
        tuple(planned.setup.notes),
        common.today(made_on),
    )


# ---- the finding


def finding(planned: Planned) -> d.Finding:
    """What to change, in one or two lines; or what stands in the way."""
    outcome = planned.outcome
    as_it_is = "as changed" if planned.wanted.changes else "as drawn"
    if outcome is Outcome.MEETS:
        return d.Finding(
            planned.verdict, ((f"Nothing has to change: the board {as_it_is} {_word(planned.verdict)}.",),)
        )
    if outcome is Outcome.PLAN:
        made = [d.line(d.Name(step.option.ref), ": ", d.Name(change_words(step))) for step in planned.steps[:STEPS]]
        more = f"; and {len(planned.steps) - STEPS} more" if len(planned.steps) > STEPS else ""
        count = say.counted(planned.size, "change")
        head = d.line(
            f"With {count} the whole board {_word(planned.verdict)}, for {total_price(planned)}. ", claim(planned)
        )
        return d.Finding(planned.verdict, (head,), (d.line(d.joined(made, "; "), more),))
    said = {
        Outcome.NONE: "No set of changes from the known parts makes the whole board meet.",
        Outcome.UNPROVEN: "No plan is proved: values that are not known stand in the way.",
        Outcome.UNDECIDED: "The search reached its limit before it found a plan; there may still be one.",
    }[outcome]
    verdict = Verdict.FAILS if outcome is Outcome.NONE else Verdict.UNPROVEN
    ways = [_blocked_words(made) for made in planned.found.blocked[:STEPS]]
    return d.Finding(verdict, ((said,), *ways))


def _word(verdict: Verdict) -> str:
    return (
        "meets, but tight"
        if verdict is Verdict.TIGHT
        else "is not proved"
        if verdict is Verdict.UNPROVEN
        else verdict.word
    )


def claim(planned: Planned) -> str:
    """What is claimed of the plan's size and price."""
    if not planned.found.smallest:
        return "It passes; the search reached its limit, so a smaller plan is not ruled out."
    if not planned.found.cheapest:
        return (
            "No smaller plan exists; the search reached its limit, so a cheaper one of the same size is not ruled out."
        )
    return "No smaller plan exists, and none of the same size costs less or changes fewer land patterns."


def change_words(step: PlanStep) -> str:
    """What changes at a place, and what is there now."""
    was = step.before.part_number if step.before is not None else "no known part"
    keeps = f"{was} stays; " if step.option.part is None else ""
    instead = f" instead of {was}" if step.option.part is not None else ""
    first, _, rest = "; ".join(step.option.words()).partition("; ")
    return f"{keeps}{first}{instead}{'; ' + rest if rest else ''}"


def total_price(planned: Planned) -> str:
    """What the new parts cost, one of each."""
    unknown = [step.option.ref for step in planned.steps if step.option.price == math.inf]
    if unknown:
        return f"a price that is not known ({', '.join(unknown)})"
    currencies = {step.option.part.word("currency") for step in planned.steps if step.option.part is not None}
    return f"{planned.price:.2f} {'/'.join(sorted(currencies))}".strip()


# ---- the changes


def _asked(planned: Planned) -> d.Listing | None:
    items = [(d.Name(str(change)),) for change in planned.wanted.changes]
    notes = [d.line("Note: ", d.Name(note)) for note in planned.wanted.notes]
    return d.Listing((*items, *notes)) if items or notes else None


def _changes(planned: Planned, pictures: bool) -> Iterator[d.Block]:
    if not planned.steps:
        return
    columns = (
        d.Column("place"),
        d.Column("change"),
        d.Column("price", right=True, detail=True),
        d.Column("on hand", right=True, detail=True),
        d.Column("verdict then", detail=True),
    )
    yield d.Table("The smallest set of changes", columns, tuple(_step(step) for step in planned.steps))
    for step in planned.steps:
        yield d.Section(
            d.line("Why ", d.Name(step.option.ref), " has to change"), (*_picture(planned, step, pictures), _why(step))
        )
    if planned.gone:
        stay = f"Still fitted although obsolete or out of stock with none on hand: {', '.join(planned.gone)}."
        yield d.Paragraph((stay,))


def _step(step: PlanStep) -> d.Row:
    part = step.option.part
    price = part.number("price") if part is not None else math.nan
    quantity = part.number("quantity") if part is not None else math.nan
    money = f"{show(price, '')} {part.word('currency')}".strip() if part is not None and price == price else "-"
    cells = (
        (d.Name(step.option.ref),),
        (d.Name(change_words(step)),),
        (d.Number(price, "", money),),
        (d.Number(quantity, "", f"{quantity:.0f}" if quantity == quantity else "-"),),
        d.line(d.Sign(step.judged.verdict), " ", say.share(step.judged.headroom)),
    )
    return d.Row(cells, {"step": step.option.ref})


def _picture(planned: Planned, step: PlanStep, pictures: bool) -> tuple[d.Picture, ...]:
    if not pictures:
        return ()
    from partcheck.report.html.pictures import schematic

    return drawn.blocks([schematic.drawn(planned.situation, step.judged)])


def _why(step: PlanStep) -> d.Table:
    """What would not meet without the change."""
    rows = tuple(_cured(made) for made in step.cured)
    columns = (d.Column("place"), d.Column("requirement"), d.Column("without it"), d.Column("with it", detail=True))
    return d.Table(f"What would not meet without the change at {step.option.ref}", columns, rows)


def _cured(made: Cured) -> d.Row:
    now: d.Line = ("not asked",)
    if made.now is not None:
        now = d.line(d.Sign(made.now.verdict), ", ", say.needs(made.now, sources=False))
    return d.Row(((d.Name(made.ref),), (d.Id(made.without.id),), _with_sign(made.without), now))


def _with_sign(found: Finding) -> d.Line:
    return d.line(d.Sign(found.verdict), ", ", say.needs(found, sources=False))


def _before(planned: Planned) -> d.Section | None:
    """What does not meet before, failures first; what is not proved by the value that is missing."""
    failing = [judged for judged in planned.before if judged.verdict < Verdict.TIGHT]
    title = "What fails before" if planned.steps else "What fails"
    inner = d.present(
        common.failures(failing, None, title), common.not_proved(failing, None, "What is not proved before")
    )
    return d.Section(("Without the plan" if planned.steps else "As it stands",), inner) if inner else None


# ---- what stands in the way


def _blocked_words(blocked: Blocked) -> d.Line:
    """One place or link that no part mends, with what it comes to nearest."""
    worst = blocked.findings[0] if blocked.findings else None
    if blocked.compared:
        none = "the only usable part is not" if blocked.compared == 1 else f"none of {blocked.compared} usable parts is"
        who = d.line(d.Name(blocked.ref), f": {none} proved to work")
    elif blocked.judged.role.kind:
        word = KINDS[blocked.judged.role.kind].word
        state = "as it is it is not proved" if blocked.unproven else "as it is it does not meet"
        who = d.line(d.Name(blocked.ref), f": no other {word} is known that could be fitted, and {state}")
    else:
        by = ", even with the least and the largest that other places can add" if blocked.sums else ""
        word = "is not proved" if blocked.unproven else "does not meet"
        who = d.line(d.Name(blocked.ref), f": no part would mend it, as none is in it, and it {word}{by}")
    if worst is None:
        return d.line(who, ".")
    return d.line(who, "; at best ", d.Id(worst.id), " ", say.needs(worst, sources=False), ".")


def _in_the_way(planned: Planned) -> Iterator[d.Block]:
    found = planned.found
    for blocked in found.blocked:
        yield d.Section((d.Name(blocked.ref),), tuple(_blocked(blocked)))
    if found.blocked:
        return
    if found.exhausted:
        words = "Each place alone could be filled, but no combination of all usable parts and resistors meets."
        yield d.Paragraph((words,))
    if found.nearest is not None:
        options, bad = found.nearest
        changes = "; ".join(f"{o.ref}: {', '.join(o.words())}" for o in options)
        yield d.Paragraph((f"The nearest combination that was tried: {changes}. It leaves:",))
        yield d.Listing(tuple(d.line(d.Name(ref), " ", d.Id(f.id), " ", _with_sign(f)) for ref, f in bad))


def _blocked(blocked: Blocked) -> Iterator[d.Block]:
    yield d.Paragraph(_blocked_words(blocked))
    if blocked.nearest is not None:
        yield d.Paragraph(d.line("Nearest: ", d.Name(", ".join(blocked.nearest.words()))), quiet=True)
    title = f"What stands in the way at {blocked.ref}"
    yield common.requirement_table(blocked.judged, title, blocked.findings, claims=False)
    if blocked.beside is None:
        return
    option, judged = blocked.beside
    if option is not None:
        yield d.Paragraph(d.line("Nearest of those that fail: ", d.Name(", ".join(option.words()))), quiet=True)
    yield from (common.requirement(f, judged.ref, None) for f in judged.with_verdict(Verdict.FAILS)[:CURED])


# ---- the board


def _board(planned: Planned, pictures: bool) -> Iterator[d.Block]:
    if pictures:
        from partcheck.report.html.pictures.board import overview

        before = planned.before if planned.steps else None
        yield from drawn.blocks(overview(planned.after, before, "The planned board" if planned.steps else "The board"))
    changed = {step.option.ref for step in planned.steps}
    known = [judged for judged in planned.after if judged.headroom == judged.headroom]
    shown = [judged for judged in known if judged.ref in changed]
    shown += sorted((j for j in known if j.ref not in changed), key=lambda j: j.headroom)[:3]
    table = common.place_table("The changed places, and those with least to spare", shown)
    if table is not None:
        yield table
    places = [judged for judged in planned.after if judged.ref in planned.board.role]
    links = [judged for judged in planned.after if judged.ref not in planned.board.role]
    yield d.Fold(
        "Every place of the board",
        d.present(
            common.place_table("Every place and its part", places),
            common.place_table("What the board itself has to carry", links, False),
        ),
        "`partcheck check` of the written plan, or a page (--html), lists them",
    )


__all__ = ["change_words", "claim", "document", "finding", "total_price"]
