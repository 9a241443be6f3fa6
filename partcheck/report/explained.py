"""One part in one place in full, as text."""

from collections.abc import Iterator

from partcheck.jobs.check.part import Explained
from partcheck.jobs.judge.place import Judged
from partcheck.physics.preferred import series_values
from partcheck.readings.explain import Compared, Finding
from partcheck.report.lines import WIDTH, heading, labelled, listing, number, percent, verdict_word, wrap
from partcheck.report.remedied import remedy_lines
from partcheck.requirement import Requirement, Verdict
from partcheck.units import show

ORDER = (Verdict.FAILS, Verdict.UNPROVEN, Verdict.TIGHT, Verdict.MEETS)


def text(explained: Explained) -> str:
    """The whole explanation."""
    judged, setup = explained.judged, explained.setup
    part = judged.part.name if judged.part is not None else "no part"
    lines = heading(f"{part} as {judged.ref}, {in_sentence(judged.role.title)}")
    lines += wrap(f"Board {board_name(explained)}; policy {setup.policy.name}; parts from {setup.parts.where}.")
    lines += ["", summary(judged)]
    for verdict in ORDER:
        for finding in [f for f in judged.findings if f.verdict is verdict]:
            lines += ["", *requirement(finding, judged.ref, explained)]
    lines += results(explained)
    if judged.not_asked:
        lines += ["", "Not asked, as the board states no such demand:"]
        lines += wrap(", ".join(r.id for r in judged.not_asked), "  ")
    lines += notes(setup.notes)
    lines += ["", "Cautions", *listing(explained.cautions)]
    return "\n".join(lines)


def results(explained: Explained) -> list[str]:
    """What the role tells besides its requirements."""
    judged = explained.judged
    if not judged.results:
        return []
    lines = ["", "Worth knowing"]
    for step in judged.results:
        named = judged.role.named(step.name)
        value = number(step.value, step.unit) if step.value is not None else "?"
        lines += labelled(step.name, f"{value}   {named.meaning if named is not None else ''}", 2, 24)
    return lines + preferred(explained)


def preferred(explained: Explained) -> list[str]:
    """The preferred values inside a resistor window."""
    ends = {step.name: step.value for step in explained.judged.results}
    least, largest = ends.get("base_resistor_least"), ends.get("base_resistor_largest")
    if least is None or largest is None:
        return []
    series = explained.setup.board_file.board.series
    tolerance = explained.setup.board_file.board.replacement_resistor.tolerance
    fit = [
        v
        for v in series_values(series, least, largest)
        if v * (1 - tolerance) >= least and v * (1 + tolerance) <= largest
    ]
    if not fit:
        return labelled(series, "no preferred value lies in that window", 2, 24)
    text = f"{show(fit[-1], 'Ω')} (saves most current) down to {show(fit[0], 'Ω')}: {len(fit)} preferred values"
    return labelled(f"base resistor, {series}", text, 2, 24)


def in_sentence(title: str) -> str:
    """A title inside a sentence; an abbreviation keeps its capitals."""
    return title if title[:2].isupper() else title[0].lower() + title[1:]


def board_name(answer: object) -> str:
    """Name and revision of the board of an answer."""
    board = answer.setup.board_file.board  # type: ignore[attr-defined]
    return f"{board.name}, rev. {board.revision}" if board.revision else str(board.name)


def notes(found: list[str]) -> list[str]:
    """Notes on the fitted parts."""
    return ["", "Notes", *listing(found)] if found else []


def summary(judged: Judged) -> str:
    """One line: the verdict and what sets it."""
    tightest = judged.tightest
    text = f"Verdict: {verdict_word(judged.verdict)}"
    if judged.verdict is Verdict.UNPROVEN:
        text += f"; {len(judged.with_verdict(Verdict.UNPROVEN))} of {len(judged.findings)} requirements lack a value"
    elif tightest is not None:
        text += f"; least headroom {percent(tightest.headroom)} ({tightest.id})"
    return text


def requirement(finding: Finding, ref: str, explained: Explained) -> list[str]:
    """One requirement: rule, formulas, numbers, sources."""
    rule = finding.requirement
    word = "other footprint" if not finding.counts else verdict_word(finding.verdict)
    head = f"{rule.id}: {word}"
    if finding.headroom == finding.headroom and finding.counts:
        head += f", headroom {percent(finding.headroom)}"
    lines = [head, *wrap(f"{rule.claim}.", "    ")]
    for made in finding.compared:
        lines += pair(rule, made)
    lines += under(finding)
    if rule.reading:
        lines += labelled("read as", rule.reading)
    lines += labelled("source", rule.source)
    for name in finding.story.assumed:
        lines += labelled("assumed", name)
    if finding.counts and finding.verdict < Verdict.TIGHT:
        lines += remedy_lines(finding, ref, explained.remedies)
    elif finding.verdict is Verdict.FAILS and rule.cure:
        lines += labelled("cure", rule.cure)
    return lines


def pair(rule: Requirement, made: Compared) -> list[str]:
    """A demand and a capability, each in names, in numbers and as a result."""
    lines = []
    for label, symbols, digits, value in (
        ("demand", made.demand_symbols, made.demand_digits, made.demand),
        ("capability", made.capability_symbols, made.capability_digits, made.capability),
    ):
        result = number(value, rule.unit)
        chain = [symbols] + [text for text in (digits, result) if text != symbols]
        if len(chain) == 3 and chain[1] == chain[2]:
            chain.pop()
        lines += labelled(label, " = ".join(chain))
    return lines


def under(finding: Finding) -> list[str]:
    """Named intermediate values, then stated numbers with where they were stated."""
    lines: list[str] = []
    for i, step in enumerate(finding.story.steps):
        chain = [step.name, step.symbols]
        if step.digits != step.symbols:
            chain.append(step.digits)
        result = number(step.value, step.unit) if step.value is not None else "?"
        if result != chain[-1]:
            chain.append(result)
        lines += labelled("with" if i == 0 else "", " = ".join(chain))
    for side, label in ((False, "board"), (True, "datasheet")):
        origins = [o for o in finding.story.origins if o.from_part is side]
        for i, origin in enumerate(origins):
            value = origin.value if isinstance(origin.value, str) else show(origin.value, origin.unit)
            where = f": {origin.source}" if origin.source else ": source not recorded" if side else ""
            lines += labelled(label if i == 0 else "", f"{origin.name} {value}{where}")
    return lines


def short(finding: Finding) -> str:
    """One requirement in one line: ``13.5 V against 48 V``, or what is missing."""
    if finding.verdict is Verdict.UNPROVEN:
        missing = "; ".join(finding.story.missing) or "a value"
        return f"missing: {missing}"
    worst = finding.compared[0]
    has, found, wanted = worst.capability_digits.partition(" is one of ")
    if finding.requirement.discrete and found:
        return f"it is {has}, wanted is {wanted}"
    return (
        f"{number(worst.demand, finding.requirement.unit)} against {number(worst.capability, finding.requirement.unit)}"
    )


def assumed_note(judged: Judged) -> Iterator[str]:
    """Every assumption that a part's verdict rests on, once."""
    seen: dict[str, None] = {}
    for finding in judged.findings:
        for name in finding.story.assumed:
            seen.setdefault(name)
    yield from seen


__all__ = ["WIDTH", "assumed_note", "board_name", "notes", "requirement", "short", "summary", "text"]
