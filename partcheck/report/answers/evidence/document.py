"""The answer about evidence: what each requirement claims, how it is read, and what somebody else says of it."""

import re
from collections.abc import Collection, Iterable

from partcheck.jobs.evidence.evidence import ALL_ROLES, Evidence, Outside, Stated, Support
from partcheck.jobs.evidence.recorded import Check, FormulaCheck
from partcheck.parameters import KINDS
from partcheck.report import document as d
from partcheck.report.lines import counted
from partcheck.units import show

FROM_TESTS = "from the declarations of the requirements and from what the tests of this release recorded."
FULL = 4
"""So many requirements are told in full on a screen; of more there is an overview."""
_NAME = re.compile(r"[a-z][a-z0-9_]+")


def document(answer: Evidence) -> d.Document:
    """What requirements rest on, for a person."""
    few = len(answer.grounds) <= FULL
    sections = []
    for role in ALL_ROLES.values():
        grounds = [ground for ground in answer.grounds if ground.role is role]
        full = [_in_full(ground) if few else _folded(ground) for ground in grounds]
        blocks = () if few else (_overview(role.name, grounds),)
        if grounds:
            sections.append(d.section(f"{role.name}: {role.title}", *blocks, *full, anchor=role.name))
    asked = answer.asked or "every requirement"
    return d.Document(
        "evidence",
        ("What ", asked, " rests on"),
        (
            ("Recorded on", (answer.record.made_on,)),
            ("Simulated", (f"{counted(answer.record.boards, 'random board')}, {answer.record.points} points each",)),
        ),
        d.present(
            _finding(answer),
            d.section("How to read this", *_reading()),
            *sections,
            None if few else _all_physics(answer),
            _next(answer),
        ),
        made_on=answer.record.made_on,
        foot=FROM_TESTS,
    )


def _finding(answer: Evidence) -> d.Finding:
    if len(answer.grounds) == 1:
        return d.Finding(None, (_of_one(answer.grounds[0]),))
    whole, physics, simulated, none = (len(answer.with_outside(outside)) for outside in Outside)
    bare = sum(not ground.requirement.unit for ground in answer.with_outside(Outside.NONE))
    told = (
        f"Of {counted(len(answer.grounds), 'requirement')} {whole} have published numbers through the whole of them, "
        f"{physics} only through physics that they use, {simulated} only a simulated circuit, and {none} no outside "
        "check at all"
    )
    told += f", of which {bare} only compare words such as a package." if bare else "."
    return d.Finding(None, ((told,),))


def _of_one(ground: Support) -> d.Line:
    whole, part = counted(len(ground.checks), "published number"), counted(len(ground.behind), "published number")
    words = {
        Outside.WHOLE: f"{whole} through the whole of it{_within(ground.checks)}",
        Outside.PHYSICS: f"no published number through the whole of it; {part} through physics that it uses",
        Outside.SIMULATED: "no published number; the simulated circuit alone",
        Outside.NONE: "no outside check: nobody else's number and no simulation runs through it",
    }
    edge = f"; in simulation it came to {ground.nearest.worst:.3g} of what is allowed" if ground.nearest else ""
    return d.line(d.Id(ground.requirement.id), ": ", words[ground.outside], edge, ".")


READING = """
Published: numbers that a document prints, run through the requirement as `explain` judges it, with the largest
deviation. Physics: such numbers run through functions that the requirement uses, which says nothing about how it puts
them together. Simulated: the largest share of what is allowed that any place judged meets or tight reached in a
circuit worked out independently; 1 is the edge, and above it the verdict would be wrong.
"""


def _reading() -> tuple[d.Block, ...]:
    return (d.Paragraph((" ".join(READING.split()),), quiet=True),)


def _next(answer: Evidence) -> d.Block | None:
    if len(answer.grounds) <= FULL:
        return None
    return d.section("Next", d.NextStep("partcheck evidence REQUIREMENT", "To see one of them in full"))


def _all_physics(answer: Evidence) -> d.Block | None:
    used = {name for ground in answer.grounds for name in ground.functions}
    checks = [check for check in answer.record.formula_checks if used & set(check.functions)]
    table = _physics(checks, used)
    return d.Fold("Published numbers through physics", (table,), "") if table is not None else None


# ---- the overview


def _overview(name: str, grounds: Iterable[Support]) -> d.Table:
    rows = [
        d.Row(
            (
                (d.Id(ground.requirement.id),),
                (_count(ground.checks),),
                (_count(ground.behind),),
                (_edge(ground),),
            ),
            {"requirement": ground.requirement.id},
        )
        for ground in grounds
    ]
    columns = (d.Column("requirement"), d.Column("published"), d.Column("physics"), d.Column("simulated"))
    return d.Table(f"What is known of each requirement of {name}", columns, tuple(rows))


def _count(checks: tuple[Check, ...] | tuple[FormulaCheck, ...]) -> str:
    return f"{len(checks)}{_within(checks)}" if checks else "none"


def _within(checks: tuple[Check, ...] | tuple[FormulaCheck, ...]) -> str:
    worst = max((abs(check.deviation) for check in checks), default=0.0)
    return f", within {100 * worst:.2g} %" if worst >= 5e-5 else ", as printed"


def _edge(ground: Support) -> str:
    if ground.nearest is None:
        return "none"
    return f"{ground.nearest.worst:.3g} at most, {counted(ground.nearest.places, 'place')}"


# ---- one requirement in full


def _folded(ground: Support) -> d.Fold:
    """For a page about many: what is run through physics stands at its end, once."""
    return d.Fold(f"{ground.requirement.id}: {ground.requirement.claim}", _blocks(ground, _used(ground)), "")


def _in_full(ground: Support) -> d.Section:
    title = (d.Id(ground.requirement.id), f": {ground.requirement.claim}")
    return d.Section(title, _blocks(ground, _physics(ground.behind, ground.functions)))


def _blocks(ground: Support, physics: d.Table | None) -> tuple[d.Block, ...]:
    none = d.Paragraph(("No outside check: nothing that somebody else published or simulated runs through it.",))
    return d.present(
        d.Facts(tuple(_facts(ground))),
        _names(ground),
        none if ground.outside is Outside.NONE else None,
        _published(ground),
        physics,
        _simulated(ground),
    )


def _facts(ground: Support) -> Iterable[tuple[str, d.Line]]:
    rule = ground.requirement
    if rule.reading:
        yield "Read as", (rule.reading,)
    yield "Needs", (d.Id(ground.demand),)
    yield "Has", (d.Id(ground.capability),)
    if rule.unit:
        yield "Unit", (rule.unit,)
    yield "Source", (rule.source,)
    for label, stated in (("Policy", ground.factors), ("May be assumed", ground.assumed)):
        for made in stated:
            yield label, d.line(d.Id(made.name), f", {made.meaning}: ", *_policies(made))
    for words in ground.left_out:
        yield "Not modelled", (words,)
    for words in ground.questions:
        yield "Left open", (words,)


def _policies(made: Stated) -> d.Line:
    if not made.policies:
        return ("no shipped policy states it",)
    return d.joined(
        [
            d.line(f"{policy} ", d.Number(value, made.unit, show(value, made.unit) if made.unit else f"{value:g}"))
            for policy, value, _ in made.policies
        ]
    )


def _names(ground: Support) -> d.Table | None:
    """What the names in the formula mean."""
    rows = []
    kind = KINDS[ground.role.kind] if ground.role.kind else None
    for name in dict.fromkeys(_NAME.findall(f"{ground.demand} {ground.capability}")):
        named = ground.role.named(name)
        if named is not None:
            rows.append(d.Row(((d.Id(name),), (named.unit,), (named.meaning,))))
        elif kind is not None and name in kind.columns():
            declared = kind.columns()[name]
            rows.append(d.Row(((d.Id(name),), (declared.unit,), (f"{declared.symbol}, {declared.meaning}",))))
    columns = (d.Column("name"), d.Column("unit"), d.Column("what it is"))
    return d.Table("Names in the formula", columns, tuple(rows)) if rows else None


def _deviation(check: Check | FormulaCheck) -> str:
    return f"{100 * check.deviation:+.2g} %" if abs(check.deviation) >= 5e-5 else "as printed"


def _document(check: Check | FormulaCheck) -> str:
    return f"{check.document} ({check.seen}{'; ' if check.note else ''}{check.note})"


def _published(ground: Support) -> d.Table | None:
    rows = []
    for check in ground.checks:
        numbers = (d.Number(check.printed, check.unit), d.Number(check.got, check.unit))
        cells: tuple[d.Line, ...] = (
            (d.Id(check.row),),
            d.line(check.side, " ", numbers[0]),
            (numbers[1],),
            (_deviation(check),),
            (_document(check),),
        )
        rows.append(d.Row(cells, {"row": check.row}))
    columns = (
        d.Column("row"),
        d.Column("printed"),
        d.Column("comes out"),
        d.Column("deviation"),
        d.Column("document", detail=True),
    )
    return d.Table("Published numbers through the whole requirement", columns, tuple(rows)) if rows else None


def _used(ground: Support) -> d.Table | None:
    """The physics that a requirement uses, with how many published numbers run through each function."""
    rows = []
    for name in ground.functions:
        checks = tuple(check for check in ground.behind if name in check.functions)
        rows.append(d.Row(((d.Id(name),), (_count(checks),))))
    return d.Table("Physics that it uses", (d.Column("function"), d.Column("published")), tuple(rows)) if rows else None


def _physics(checks: Iterable[FormulaCheck], used: Collection[str]) -> d.Table | None:
    rows = []
    for check in checks:
        functions = ", ".join(name for name in check.functions if name in used)
        cells: tuple[d.Line, ...] = (
            (d.Id(check.row),),
            (check.what,),
            (d.Number(check.printed, "", f"{check.printed:g}"),),
            (d.Number(check.got, "", f"{check.got:g}"),),
            (_deviation(check),),
            (d.Name(functions),),
            (_document(check),),
        )
        rows.append(d.Row(cells, {"row": check.row}))
    columns = (
        d.Column("row"),
        d.Column("what"),
        d.Column("printed (SI)"),
        d.Column("comes out"),
        d.Column("deviation"),
        d.Column("function", detail=True),
        d.Column("document", detail=True),
    )
    return d.Table("Published numbers through physics that it uses", columns, tuple(rows)) if rows else None


def _simulated(ground: Support) -> d.Table | None:
    rows = [
        d.Row(((made.what,), (str(made.places),), (d.Number(made.worst, "", f"{made.worst:.3g}"),)))
        for made in ground.simulated
    ]
    columns = (
        d.Column("looked at"),
        d.Column("places judged meets or tight"),
        d.Column("largest share of what is allowed"),
    )
    return d.Table("In the simulated circuit", columns, tuple(rows)) if rows else None


__all__ = ["document"]
