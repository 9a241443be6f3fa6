"""Blocks that several answers share: what is asked, places worst first, what does not meet, one cause told once."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from partcheck.jobs.judge.few import few
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.judge.setup import Setup
from partcheck.policy import ASSUMED, VALUES, Policy
from partcheck.readings.explain import Finding
from partcheck.readings.story import assumptions, bounds_under, tell
from partcheck.report import document as d
from partcheck.report.answers import phrases as say
from partcheck.report.answers.causes import open_causes
from partcheck.report.answers.remedied import remedies_of
from partcheck.requirement import Verdict
from partcheck.situation.situation import NO_PART
from partcheck.units import show

if TYPE_CHECKING:
    from partcheck.jobs.remedy.remedies import Remedies

SHOWN = 5
"""So many requirements or places are named where one missing value leaves many open."""


# ---- what identifies an answer


def identity(setup: Setup) -> tuple[tuple[str, d.Line], ...]:
    """Board with its fingerprint, policy, parts."""
    board = setup.board_file.board
    revision = d.line(", rev. ", d.Name(board.revision)) if board.revision else ()
    mark = d.line(" (", d.Id(setup.board_file.fingerprint[:12]), ")")
    return (
        ("Board", d.line(d.Name(board.name), revision, mark)),
        ("Policy", d.line(d.Name(setup.policy.name), ", ", setup.policy.title, unchecked(setup.policy))),
        ("Parts from", (d.Name(setup.parts.where),)),
    )


def unchecked(policy: Policy) -> str:
    """What the head of an answer says of values that nobody has compared with the publication."""
    count = len(policy.unchecked)
    if not count:
        return ""
    return f" ({count} of its {len(policy.values)} values are from memory and unchecked against the publication)"


def board_name(setup: Setup) -> d.Line:
    """Name and revision of the board."""
    board = setup.board_file.board
    return d.line(d.Name(board.name), ", rev. " if board.revision else "", d.Name(board.revision))


def today(made_on: date | None) -> str:
    """The day that an answer carries; today where none is given."""
    return (made_on or date.today()).isoformat()


# ---- places and requirements in tables


def worst_first(places: Iterable[Judged]) -> list[Judged]:
    """Places by verdict, then by headroom."""
    return sorted(places, key=lambda j: (j.verdict, j.headroom if j.headroom == j.headroom else 9.0))


def findings_worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Requirements by verdict, then by headroom."""
    return sorted(findings, key=lambda f: (f.verdict, f.headroom if f.headroom == f.headroom else 9.0))


def place_table(caption: str, places: Iterable[Judged], with_part: bool = True) -> d.Table | None:
    """Places worst first: verdict, headroom with its bar, and the requirement that sets it."""
    columns = [
        d.Column("place"),
        d.Column("part"),
        d.Column("verdict"),
        d.Column("to spare", "headroom", right=True),
        d.Column("", "bar", detail=True),
        d.Column("set by"),
        d.Column("needs", right=True),
        d.Column("has"),
    ]
    rows = []
    for judged in worst_first(places):
        cells: list[d.Line] = [
            (d.Name(judged.ref),),
            (d.Name(say.part_of(judged)),),
            (d.Sign(judged.verdict),),
            (say.share(judged.headroom),),
            (d.Bar(judged.headroom),),
            *say.set_by(judged),
        ]
        rows.append(d.Row(tuple(cells if with_part else cells[:1] + cells[2:]), {"place": judged.ref}))
    return d.Table(caption, tuple(columns if with_part else columns[:1] + columns[2:]), tuple(rows)) if rows else None


def requirement_table(
    judged: Judged, caption: str = "", findings: Iterable[Finding] | None = None, claims: bool = True
) -> d.Table:
    """Every requirement of a place (or those given), worst first, with its claim."""
    columns = [
        d.Column("requirement"),
        d.Column("needs", "demand", right=True),
        d.Column("has", "capability", right=True),
        d.Column("to spare", "headroom", right=True),
        d.Column("verdict"),
        d.Column("claim", "claim", detail=True),
    ]
    rows = []
    for finding in findings_worst_first(judged.findings if findings is None else findings):
        sides = say.sides(finding)
        cells = (
            (d.Id(finding.id),),
            *sides,
            (say.headroom(finding),),
            (say.sign(finding),),
            (finding.requirement.claim,),
        )
        keys = {"reference": judged.ref, "requirement": finding.id}
        rows.append(d.Row(cells if claims else cells[:-1], keys))
    title = caption or f"Requirements of {judged.ref}, worst first"
    return d.Table(title, tuple(columns if claims else columns[:-1]), tuple(rows))


# ---- what does not meet


def remedies_line(finding: Finding, ref: str, remedies: "Remedies | None") -> tuple[tuple[str, d.Line], ...]:
    """What would cure a failing requirement, or what to look up for an unproven one."""
    return tuple((label, (d.Name(words),)) for label, words in remedies_of(finding, ref, remedies))


def requirement(finding: Finding, ref: str, remedies: "Remedies | None", note: str = "") -> d.Requirement:
    """One requirement in short: what it needs and has, and what would help."""
    return d.Requirement(
        finding.id,
        finding.requirement.claim,
        say.sign(finding),
        d.line(say.needs(finding), note),
        remedies=remedies_line(finding, ref, remedies),
    )


def in_full(finding: Finding, ref: str, remedies: "Remedies | None") -> d.Requirement:
    """One requirement in full: claim, formulas in names and digits, reading, source, assumptions, what would help."""
    rule = finding.requirement
    sides = []
    for made in finding.compared:
        for label, index, value, symbols, digits in (
            ("demand", 0, made.demand, made.demand_symbols, made.demand_digits),
            ("capability", 1, made.capability, made.capability_symbols, made.capability_digits),
        ):
            sides.append((label, d.Formula(made.traced[index], value, rule.unit, symbols, digits)))
    return d.Requirement(
        finding.id,
        rule.claim,
        say.sign(finding),
        (),
        rule.reading,
        rule.source,
        tuple(sides),
        remedies_line(finding, ref, remedies),
        tuple(finding.story.assumed),
        say.headroom(finding) if finding.headroom == finding.headroom and finding.counts else None,
    )


def failures(
    places: Iterable[Judged], remedies: "Remedies | None", title: str = "What fails", anchor: str = "fails"
) -> d.Section | None:
    """Every failing requirement with what cures it, place by place, worst first."""
    inner = []
    for judged in worst_first(places):
        found = judged.with_verdict(Verdict.FAILS)
        if found:
            blocks = tuple(requirement(finding, judged.ref, remedies) for finding in findings_worst_first(found))
            inner.append(d.Section(say.place_name(judged), blocks))
    return d.section(title, *inner, anchor=anchor)


def not_proved(
    places: Iterable[Judged], remedies: "Remedies | None", title: str = "What is not proved"
) -> d.Section | None:
    """Each missing value once, with what it leaves open and what to look up."""
    places = list(places)
    unknown = unknown_parts(places)
    rows = [_of_unknown_parts(unknown, places)] if unknown else []
    for missing, said, left in open_causes((judged for judged in places if judged not in unknown), remedies):
        if unknown and missing and all(item.endswith(NO_PART) for item in missing):
            continue  # follows from the first row
        wanted = [words for _, words in said] or list(missing)
        rows.append(d.Row(((d.Name("; ".join(missing)),), (d.Name("; ".join(wanted)),), leaves_open(left))))
    columns = (d.Column("missing"), d.Column("look up, or state", detail=True), d.Column("leaves open"))
    return d.section(
        title, d.Table("Each missing value, and what it leaves open", columns, tuple(rows)) if rows else None
    )


def unknown_parts(places: Iterable[Judged]) -> list[Judged]:
    """The places of which no part with known values is fitted, and that are not proved for it."""
    return [j for j in places if j.part is None and j.role.kind and j.with_verdict(Verdict.UNPROVEN)]


def _of_unknown_parts(unknown: Sequence[Judged], places: Sequence[Judged]) -> d.Row:
    """One cause, however many values it leaves open: nothing is known of a part; with what follows beside it."""
    left = [finding for judged in unknown for finding in judged.with_verdict(Verdict.UNPROVEN)]
    values = dict.fromkeys(item for finding in left for item in finding.story.missing if not item.endswith(NO_PART))
    who = f"every value of the {'part' if len(unknown) == 1 else 'parts'} at {few([j.ref for j in unknown])}"
    wanted = f"a part that is known, or its values: {'; '.join(values)}"
    beside = [
        (judged.ref, finding)
        for judged in places
        for finding in judged.with_verdict(Verdict.UNPROVEN)
        if judged not in unknown and finding.story.missing and all(m.endswith(NO_PART) for m in finding.story.missing)
    ]
    open_ = d.line(f"{say.counted(len(left), 'requirement')} there")
    return d.Row(((d.Name(who),), (d.Name(wanted),), d.line(*open_, "; ", *leaves_open(beside)) if beside else open_))


def leaves_open(left: Sequence[tuple[str, Finding]]) -> d.Line:
    """What one cause leaves open: places with their requirements, and how many more."""
    by_place: dict[str, list[str]] = {}
    for ref, finding in left:
        by_place.setdefault(ref, []).append(finding.id)
    shown = [d.line(d.Name(ref), " ", d.joined([(d.Id(id_),) for id_ in ids], ", ")) for ref, ids in by_place.items()]
    if len(shown) <= SHOWN:
        return d.joined(shown, "; ")
    rest = sum(len(ids) for ids in list(by_place.values())[SHOWN:])
    return d.line(d.joined(shown[:SHOWN], "; "), f"; and {rest} more at {len(shown) - SHOWN} other places")


# ---- what an answer rests on


def _numbers(finding: Finding) -> list[Any]:
    """Every demand and capability of a finding."""
    return [number for made in finding.compared for number in made.traced]


def assumed(setup: Setup, places: Iterable[Judged]) -> d.Assumed | None:
    """Everything that the policy let stand in for stated values, once and without its sources."""
    numbers = (number for judged in places for finding in judged.findings for number in _numbers(finding))
    notes = sorted(assumptions(*numbers))
    return d.Assumed(setup.policy.name, tuple(say.assumption(setup.policy, note) for note in notes)) if notes else None


def bounds(places: Iterable[Judged]) -> d.Section | None:
    """What is proved although a value is not stated, as the circuit alone bounds what rests on it."""
    proved: dict[str, list[tuple[str, Finding]]] = {}
    meeting = [(judged.ref, f) for judged in places for f in judged.findings if f.verdict > Verdict.UNPROVEN]
    if not bounds_under(*(number for _, finding in meeting for number in _numbers(finding))):
        return None  # one walk under all of them, before each is told by itself
    for ref, finding in meeting:
        for name in finding.story.bounded:
            proved.setdefault(name, []).append((ref, finding))
    rows = [d.Row(((d.Name(name),), leaves_open(left))) for name, left in proved.items()]
    columns = (d.Column("not stated"), d.Column("proved with a bound of the circuit"))
    return d.section(
        "Bounds that stand in", d.Table("What is proved all the same", columns, tuple(rows)) if rows else None
    )


def not_asked(places: Sequence[Judged], where: str = "") -> d.NotAsked | None:
    """Requirements whose demand the board does not state, each with the places that it is not asked of."""
    refs: dict[str, list[str]] = {}
    for judged in places:
        for rule in judged.not_asked:
            refs.setdefault(rule.id, []).append(judged.ref)
    if not refs:
        return None
    if len(places) == 1:
        return d.NotAsked(tuple(refs), where)
    return d.NotAsked(tuple(f"{id_} ({few(names)})" for id_, names in refs.items()), where)


def policy(setup: Setup) -> d.Fold:
    """Every value of the policy in force, with its source."""
    force = setup.policy
    rows = [
        _policy_row(name, force.value(name), declared.unit, declared.meaning, force.source(name))
        for name, declared in VALUES.items()
    ]
    rows += [
        _policy_row(f"assumed {name}", force.assumption(name), v.unit, v.meaning, force.assumed_sources.get(name, ""))
        for name, v in ASSUMED.items()
        if force.assumption(name) == force.assumption(name)
    ]
    columns = (
        d.Column("value"),
        d.Column("in force", right=True),
        d.Column("what it is"),
        d.Column("source", detail=True),
    )
    table = d.Table(f"Values of the policy {force.name}", columns, tuple(rows))
    return d.Fold(f"Policy {force.name}: every value of it, with its source", (table,), "a page (--html) lists them")


def _policy_row(name: str, value: float, unit: str, meaning: str, source: str) -> d.Row:
    return d.Row(((d.Id(name),), (d.Number(value, unit),), (meaning,), (d.Name(source),)))


def underneath(judged: Judged) -> tuple[d.Block, ...]:
    """What lies under the numbers of a place, each thing once: named steps, and where values were stated."""
    story = tell(*(number for finding in judged.findings for number in _numbers(finding)))
    steps = tuple(
        (d.Formula(s.inner, s.value if s.value is not None else float("nan"), s.unit, s.symbols, s.digits, s.name),)
        for s in story.steps
    )
    stated = []
    for origin in story.origins:
        value: d.Line = (
            (d.Name(origin.value),)
            if isinstance(origin.value, str)
            else (d.Number(origin.value, origin.unit, show(origin.value, origin.unit)),)
        )
        where = origin.source or ("source not recorded" if origin.from_part else "")
        stated.append(
            d.Row(((d.Id(origin.name),), value, ("datasheet" if origin.from_part else "board",), (d.Name(where),)))
        )
    columns = (d.Column("value"), d.Column("stated"), d.Column("by"), d.Column("where"))
    return d.present(
        d.section("Values on the way", d.Listing(steps) if steps else None),
        d.Table("Stated values that this rests on", columns, tuple(stated)) if stated else None,
    )


def not_judged(items: Sequence[str], elsewhere: bool = False) -> d.NotJudged | None:
    """What a reviewer would ask and is not judged here; ``elsewhere`` where only one place or load is looked at."""
    more = ("Other places and loads: `partcheck check BOARD` lists what is not judged of them.",) if elsewhere else ()
    return d.NotJudged((*items, *more)) if items else None


def cautions(items: Sequence[str], new: Sequence[str] = ()) -> d.Cautions:
    """The cautions that apply, those that a change brings first."""
    return d.Cautions(tuple(items), tuple(new))
