"""The answer to a plan, as text."""

from collections.abc import Iterator

from partcheck.jobs.plan.plan import Cured, Outcome, Planned, Step
from partcheck.jobs.plan.search import Blocked
from partcheck.readings.explain import Finding
from partcheck.report.explained import assumed_note, board_name, notes, short
from partcheck.report.lines import columns, heading, labelled, listing, percent, verdict_word, wrap
from partcheck.requirement import Verdict
from partcheck.units import show

CURED = 4
"""So many requirements are told of each change."""


def text(planned: Planned, written: str = "") -> str:
    """The whole answer."""
    setup = planned.setup
    lines = heading(f"Plan for {board_name(planned)}")
    lines += wrap(f"Policy {setup.policy.name}; parts from {setup.parts.where}.")
    if planned.wanted.changes:
        lines += ["", "Changed", *listing(map(str, planned.wanted.changes))]
        lines += listing(f"Note: {note}" for note in planned.wanted.notes)
    lines += ["", *_verdict(planned)]
    if planned.steps:
        lines += ["", *steps(planned), "", "The planned board", *columns(_tightest(planned), right=(2,))]
    if planned.found.options is None:
        lines += ["", *in_the_way(planned)]
    if planned.gone:
        stay = f"Stay fitted although obsolete or out of stock with none on hand: {', '.join(planned.gone)}."
        lines += ["", *wrap(stay)]
    assumed = sorted({note for judged in planned.after for note in assumed_note(judged)})
    if assumed:
        lines += ["", "Assumed by the policy", *listing(assumed)]
    lines += notes(setup.notes)
    lines += ["", "Cautions", *listing(planned.cautions)]
    if written:
        lines += ["", *wrap(written)]
    return "\n".join(lines)


def _failures(planned: Planned) -> str:
    bad = [f for judged in planned.before for f in judged.findings if f.counts and f.verdict < Verdict.TIGHT]
    fails = sum(1 for f in bad if f.verdict is Verdict.FAILS)
    return f"{fails} fail{'s' if fails == 1 else ''}, {len(bad) - fails} unproven" if bad else "none"


def _verdict(planned: Planned) -> list[str]:
    return [line for sentence in verdict_words(planned) for line in wrap(sentence)]


def verdict_words(planned: Planned) -> list[str]:
    """How it stands before, and what the search came to."""
    if planned.outcome is Outcome.MEETS:
        return [f"Nothing has to change: the board {_asked(planned)} {_word(planned.verdict)}."]
    before = f"Requirements that do not meet {_asked(planned)}: {_failures(planned)}."
    if planned.outcome is Outcome.PLAN:
        changes = "one change" if planned.size == 1 else f"{planned.size} changes"
        return [before, f"With {changes} the whole board {_word(planned.verdict)}.", claim(planned)]
    said = {
        Outcome.NONE: "No set of changes from the known parts lets the whole board meet.",
        Outcome.UNPROVEN: "No plan is proven: values that are not known stand in the way.",
        Outcome.UNDECIDED: "No plan was found before the search ended at its limit; none was excluded either.",
    }[planned.outcome]
    return [before, said]


def claim(planned: Planned) -> str:
    """What is claimed of the plan's size and price."""
    if not planned.found.smallest:
        return "It passes; the search ended at its limit, so a smaller plan was not excluded."
    if not planned.found.cheapest:
        return "No smaller plan exists; the search ended at its limit, so a cheaper one of its size was not excluded."
    return "No smaller plan exists, and none of its size costs less or changes fewer land patterns."


def _asked(planned: Planned) -> str:
    return "as changed" if planned.wanted.changes else "as drawn"


def _word(verdict: Verdict) -> str:
    return "is tight" if verdict is Verdict.TIGHT else verdict.word


def steps(planned: Planned) -> list[str]:
    """Each change with what would not meet without it."""
    lines = ["Changes"]
    for number, step in enumerate(planned.steps, 1):
        lines += wrap(change_words(step), f"  {number}. {step.option.ref:<4} ")
        lines += _prices(step)
        lines += _cured(step.cured)
    return [*lines, *labelled("", f"price of the new parts: {total_price(planned)}", 2, 5)]


def change_words(step: Step) -> str:
    """What changes at a place, and what is there now."""
    was = step.before.part_number if step.before is not None else "no known part"
    keeps = f"{was} stays; " if step.option.part is None else ""
    instead = f" instead of {was}" if step.option.part is not None else ""
    first, _, rest = "; ".join(step.option.words()).partition("; ")
    return f"{keeps}{first}{instead}{'; ' + rest if rest else ''}"


def total_price(planned: Planned) -> str:
    """What the new parts cost, one of each."""
    unknown = [step.option.ref for step in planned.steps if step.option.price == float("inf")]
    currencies = {step.option.part.word("currency") for step in planned.steps if step.option.part is not None}
    return (
        f"{show(planned.price, '')} {'/'.join(sorted(currencies))}".strip()
        if not unknown
        else f"not known (no price of the part for {', '.join(unknown)})"
    )


def _prices(step: Step) -> list[str]:
    part = step.option.part
    if part is None:
        return []
    price, quantity = part.number("price"), part.number("quantity")
    costs = f"{show(price, '')} {part.word('currency')}".strip() if price == price else "price not known"
    hand = f"{quantity:.0f} on hand" if quantity == quantity else "number on hand not known"
    return wrap(f"{costs}, {hand}", " " * 10)


def _cured(cured: tuple[Cured, ...]) -> list[str]:
    lines: list[str] = []
    for made in cured[:CURED]:
        now = f"; with it {short(made.now)}" if made.now is not None else "; with it not asked"
        lines += wrap(f"without it {made.ref} {_short(made.without)}{now}", " " * 10, " " * 12)
    if len(cured) > CURED:
        lines += wrap(f"and {len(cured) - CURED} more", " " * 10)
    return lines


def _short(finding: Finding) -> str:
    word = "FAILS" if finding.verdict is Verdict.FAILS else "unproven"
    return f"{finding.id} {word}: {short(finding)}"


def _tightest(planned: Planned) -> list[list[str]]:
    rows = [["place", "verdict", "headroom", "set by"]]
    known = [judged for judged in planned.after if judged.headroom == judged.headroom]
    changed = {step.option.ref for step in planned.steps}
    shown = [judged for judged in known if judged.ref in changed]
    shown += sorted((j for j in known if j.ref not in changed), key=lambda j: j.headroom)[:3]
    for judged in shown:
        tightest = judged.tightest
        setter = f"{tightest.id}, {short(tightest)}" if tightest is not None else ""
        rows.append([judged.ref, verdict_word(judged.verdict), percent(judged.headroom), setter])
    return rows


def in_the_way(planned: Planned) -> list[str]:
    """What stands in the way of a plan."""
    found = planned.found
    lines = ["What stands in the way"]
    for blocked in found.blocked:
        lines += _blocked(blocked)
    if found.blocked:
        return lines
    if found.exhausted:
        lines += wrap(
            "Each place alone could be filled, but no combination of all usable parts and resistors meets.", "  "
        )
    if found.nearest is not None:
        options, bad = found.nearest
        changes = "; ".join(f"{o.ref}: {', '.join(o.words())}" for o in options)
        lines += wrap(f"The nearest that was met: {changes}. It leaves", "  ")
        for ref, finding in bad[:6]:
            lines += labelled(ref, _short(finding), 4, 12)
    return lines


def _blocked(blocked: Blocked) -> Iterator[str]:
    if blocked.nearest is None and not blocked.compared:
        by = " even with the least and the largest that other places can add" if blocked.sums else ""
        yield from wrap(f"{blocked.ref}: no catalog part is in this link, and it does not meet{by}", "  ")
    else:
        parts = "part" if blocked.compared == 1 else "parts"
        yield from wrap(f"{blocked.ref}: none of {blocked.compared} usable {parts} is proven to serve", "  ")
    near = ", ".join(blocked.nearest.words()) if blocked.nearest is not None else ""
    if near:
        yield from labelled("nearest", near, 4, 10)
    for finding in blocked.findings[:CURED]:
        where = f"{blocked.judged.ref} " if blocked.judged.ref != blocked.ref else ""
        yield from wrap(f"{where}{_short(finding)} ({percent(finding.headroom)})", " " * 14, " " * 16)
    if blocked.beside is not None:
        option, judged = blocked.beside
        if option is not None:
            yield from labelled("failing", ", ".join(option.words()), 4, 10)
        for finding in judged.with_verdict(Verdict.FAILS)[:CURED]:
            yield from wrap(f"{_short(finding)} ({percent(finding.headroom)})", " " * 14, " " * 16)
