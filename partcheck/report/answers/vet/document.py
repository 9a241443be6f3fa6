"""The answer to a vet: a load before and after a change, its current path, and what gives way first."""

import math
import re
from collections.abc import Iterator, Sequence
from datetime import date

from partcheck.jobs.change.board import Change
from partcheck.jobs.vet.clamps import WAYS, Clamping, Nearest, Replacement
from partcheck.jobs.vet.figures import ComparedFigure
from partcheck.jobs.vet.path import PathLink
from partcheck.jobs.vet.vet import PathStep, Vetted
from partcheck.jobs.vet.way import At, GivenWay
from partcheck.report import document as d
from partcheck.report.answers import common, drawn, heads
from partcheck.report.answers import phrases as say
from partcheck.requirement import Fact, Verdict
from partcheck.units import show

LESS = 6
"""So many of the requirements that lose headroom are named."""


def document(vetted: Vetted, pictures: bool = False, made_on: date | None = None) -> d.Document:
    """A load before and after a change, for a person: may it be connected, and what gives way first."""
    help_ = vetted.remedies if vetted.verdict < Verdict.TIGHT else None
    path = [judged for judged in vetted.after if judged.ref in vetted.on_path]
    rest = [judged for judged in vetted.after if judged.ref not in vetted.on_path]
    return d.Document(
        "vet",
        _title(vetted),
        common.identity(vetted.setup),
        d.present(
            finding(vetted),
            d.section("What was asked", *asked(vetted.changes, vetted.asked_notes)),
            d.section("What gives way, in order", _gives_way(vetted)),
            _no_longer_proved(vetted),
            common.failures(path, help_, "What fails on the path"),
            common.failures(rest, help_, "What fails elsewhere on the board", "elsewhere"),
            common.not_proved(vetted.after, help_),
            d.section(f"Other clamps for {vetted.load}", *_clamps(vetted.clamping)),
            d.section(
                "The path of its current, worst case",
                *(_path_picture(vetted) if pictures else ()),
                path_table(vetted.steps, bool(vetted.changes)),
                d.Paragraph(("× is relative to the current before.",), quiet=True) if vetted.changes else None,
                _not_stated(vetted),
                anchor="path",
            ),
            d.section("Key figures", _figures(vetted), anchor="figures"),
            d.section("The channel" + (" as changed" if vetted.changes else ""), *_channel(vetted))
            if pictures
            else None,
            d.section("Still meets, with less to spare", _less(vetted)),
            _board(vetted, pictures),
            common.assumed(vetted.setup, vetted.after),
            common.bounds(vetted.after),
            common.not_asked(vetted.after),
            common.not_judged(vetted.not_judged, elsewhere=True),
            common.cautions(vetted.cautions, vetted.new_cautions if vetted.changes else ()),
            common.policy(vetted.setup),
        ),
        tuple(vetted.as_changed.notes),
        common.today(made_on),
    )


def _title(vetted: Vetted) -> d.Line:
    load = vetted.situation.board.load[vetted.load]
    return d.line(d.Name(vetted.load), f", {load.sort} on the rail ", d.Name(load.rail))


# ---- the finding


def finding(vetted: Vetted) -> d.Finding:
    """May the load be connected so, and if not, what gives way first and what to do about it."""
    if not vetted.changes:
        return heads.whole_board(vetted.after, vetted.remedies if vetted.verdict < Verdict.TIGHT else None)
    if vetted.gives_way:
        return _fails(vetted)
    if vetted.verdict is Verdict.FAILS:
        first, low = vetted.failed_before[0]
        sentence = d.line(
            "Nothing new gives way, but the board does not meet as it is: ",
            d.Name(first),
            " ",
            d.Id(low.id),
            " ",
            say.needs(low),
            ".",
        )
        return d.Finding(Verdict.FAILS, (sentence,), heads.first_remedies(low, first, vetted.remedies))
    head = heads.whole_board(vetted.after, vetted.remedies if vetted.verdict < Verdict.TIGHT else None)
    if vetted.verdict is Verdict.UNPROVEN:
        return head
    load = d.line(d.Name(vetted.load), " may be connected like this: nothing gives way. ")
    return d.Finding(head.verdict, (d.line(load, *head.sentences[0]),))


def _fails(vetted: Vetted) -> d.Finding:
    first = vetted.gives_way[0]
    more = len({given.ref for given in vetted.gives_way} - {first.ref})
    others = f" {say.counted(more, 'more place gives', 'more places give')} way." if more else ""
    one = d.line(
        "Do not connect ",
        d.Name(vetted.load),
        " like this: ",
        d.Name(first.ref),
        " gives way first, ",
        reached(first),
        ". ",
        d.Id(first.after.id),
        " ",
        say.needs(first.after),
        ".",
        others,
    )
    todo = list(heads.first_remedies(first.after, first.ref, vetted.remedies))
    looked_for = {ref for ref, _ in vetted.clamping.asked_for} if vetted.clamping is not None else set()
    if vetted.clamping is not None and vetted.clamping.found and first.ref in looked_for:
        best = vetted.clamping.found[0]
        todo.insert(
            0, d.line("take ", _replacement_names(best), f": {best.verdict.word}, ", say.to_spare(best.headroom))
        )
    return d.Finding(Verdict.FAILS, (one,), tuple(todo[:2]))


def reached(given: GivenWay) -> str:
    """How far the change goes until something gives way: ``at 14.2 V (rail.V12.voltage), 61 % of the way``."""
    if given.share is None:
        return "as soon as the change is made"
    if given.share == 0:
        return "as soon as the change is made, at any voltage or current"
    values = " and ".join(f"{_span(at)} ({at.key})" for at in given.at[:3])
    return f"at {values}, {given.share * 100:.0f} % of the way"


def _span(at: At) -> str:
    value = at.value.typ
    return show(value, at.unit, 3) if at.unit or not value.is_integer() else f"{value:.0f}"


# ---- what was asked, and what it breaks


def asked(changes: Sequence[Change], notes: Sequence[str]) -> Iterator[d.Block]:
    """What was changed, and what does not follow from it by itself."""
    if not changes:
        yield d.Paragraph(("Nothing is changed: the path as it is.",))
        return
    items = [(d.Name(str(change)),) for change in changes]
    yield d.Listing((*items, *(d.line("Note: ", d.Name(note)) for note in notes)))


def _gives_way(vetted: Vetted) -> d.Table | None:
    """What fails, in the order in which it gives way; places that give way alike and together stand on one line."""
    groups: dict[tuple[str, str], list[GivenWay]] = {}
    for given in vetted.gives_way:
        groups.setdefault((_at(given), given.after.id), []).append(given)
    rows = []
    for (where, id_), alike in groups.items():
        needed, has = say.both(alike[0].after)
        cells = ((d.Name(_refs(alike)),), (where,), (d.Id(id_),), (needed,), (has,))
        rows.append(d.Row(cells, {"place": alike[0].ref}))
    columns = (
        d.Column("place"),
        d.Column("gives way", right=True),
        d.Column("requirement"),
        d.Column("needs", right=True),
        d.Column("has", right=True),
    )
    return d.Table("What gives way", columns, tuple(rows)) if rows else None


def _at(given: GivenWay) -> str:
    """Where on the way something gives way, in short: ``14.3 V, 19 %``."""
    if given.share is None:
        return "at once"
    first = given.at[0] if given.at else None
    value = f"{show(first.value.typ, first.unit, 3)}, " if first is not None else ""
    return f"{value}{given.share * 100:.0f} %"


def _refs(alike: list[GivenWay]) -> str:
    """References in a row; of several tracks or cables the word stands once."""
    names = [given.ref for given in alike]
    word = names[0].rpartition(" ")[0]
    return ", ".join(name.removeprefix(f"{word} ") if i and word else name for i, name in enumerate(names))


def _no_longer_proved(vetted: Vetted) -> d.Section | None:
    items = tuple(d.line(d.Name(ref), " ", d.Id(new.id), ": ", say.needs(new)) for ref, _, new in vetted.unproven)
    return d.section("No longer proved", d.Listing(items) if items else None)


# ---- the path


def _path_picture(vetted: Vetted) -> tuple[d.Picture, ...]:
    from partcheck.report.html.pictures import path

    return drawn.blocks([path.drawn(vetted.load, vetted.steps, bool(vetted.changes))])


def path_table(steps: Sequence[PathStep], changed: bool) -> d.Table:
    """The current path in order; before and after where something is changed."""
    verdicts = (
        (d.Column("before"), d.Column("as changed", "headroom")) if changed else (d.Column("verdict", "headroom"),)
    )
    carries = d.Column("carries", "carries", right=True)
    columns = (d.Column("link"), carries, *verdicts, d.Column("set by"))
    return d.Table(
        f"Each link, what it carries{' (× before)' if changed else ''} and what it has to spare",
        columns,
        tuple(_row(s, changed) for s in steps),
    )


def _row(step: PathStep, changed: bool) -> d.Row:
    sides = (_judgement(step.before), _judgement(step.after)) if changed else (_judgement(step.after),)
    by: d.Line = ("off the path",)
    if step.after is not None:
        tightest = step.after.judged.tightest if step.after.judged is not None else None
        by = (d.Id(tightest.id),) if tightest is not None else ()
    return d.Row(((d.Name(_name(step)),), _carries(step), *sides, by), {"link": step.ref})


def _name(step: PathStep) -> str:
    name = f"{step.stage} {step.ref}" if step.stage in ("load", "clamp", "switch") else step.ref
    return re.sub(r" poles? ([\d, ]+) \((\w+) .*\)$", r"-\1 \2", name)  # J1-3, 4 return


def _judgement(link: PathLink | None) -> d.Line:
    if link is None or link.judged is None:
        return ()
    return d.line(d.Sign(link.judged.verdict), " ", say.share(link.judged.headroom))


def _value(fact: Fact | None) -> float:
    return math.nan if fact is None or fact.value is None else float(fact.value)


def _carries(step: PathStep) -> d.Line:
    """The current as changed, and how many times the one before it is."""
    now = _value(step.after.carries) if step.after is not None else math.nan
    if now != now:
        return ("-",)
    shown = d.Number(now, "A", show(now, "A", 3))
    was = _value(step.before.carries) if step.before is not None else math.nan
    grown = now / was if was else math.nan
    return d.line(shown, f" ×{grown:.2g}" if abs(grown - 1) >= 0.005 else "")


def _not_stated(vetted: Vetted) -> d.NotJudged | None:
    if not vetted.not_stated:
        return None
    return d.NotJudged((f"The board states nothing about: {', '.join(vetted.not_stated)}.",))


def _figures(vetted: Vetted) -> d.Table:
    columns = [d.Column("figure"), d.Column("before", "before", right=True)]
    columns += [
        d.Column("as changed" if vetted.changes else "value", "after", right=True),
        d.Column("what it is", detail=True),
    ]
    rows = [_figure(made) for made in vetted.figures]
    if not vetted.changes:
        columns.pop(1)
        rows = [d.Row((row.cells[0], *row.cells[2:]), row.keys) for row in rows]
    return d.Table(f"Key figures of {vetted.load}", tuple(columns), tuple(rows))


def _rounded(made: ComparedFigure, value: float) -> d.Number:
    """A figure to three digits: a least one down, a typical one to the nearest, every other up."""
    if "typical" in made.name:
        return d.Number(value, made.unit, show(value, made.unit, say.DIGITS))
    return say.safe(value, made.unit, up=not any(word in made.name for word in ("least", "lowest")))


def _figure(made: ComparedFigure) -> d.Row:
    sides = [_value(fact) for fact in (made.before, made.after)]
    cells = [(_rounded(made, value),) if value == value else ("-",) for value in sides]
    return d.Row(((made.name,), *cells, (d.Name(made.meaning),)), {"figure": made.name})


# ---- other clamps


def _clamps(clamping: Clamping | None) -> Iterator[d.Block]:
    """Clamps that would cure what the turn-off breaks, best first; else the nearest and why."""
    if clamping is None:
        return
    asked_for = ", ".join(f"{ref} {made.id}" for ref, made in clamping.asked_for)
    yield d.Paragraph((f"For {asked_for}; {say.counted(clamping.compared, 'diode')} compared.",))
    for how in clamping.ways:
        rows = tuple(_replacement(made) for made in clamping.found if made.how == how)
        nearest = [_nearest(made) for made in clamping.nearest if made.how == how]
        none = () if rows or nearest else (d.Paragraph(("No known part has a stand-off voltage above the rail.",)),)
        columns = (
            d.Column("clamp"),
            d.Column("verdict"),
            d.Column("to spare", right=True),
            d.Column("time", right=True),
            d.Column("peak", right=True),
            d.Column("energy", right=True, detail=True),
            d.Column("price", right=True, detail=True),
            d.Column("land pattern", detail=True),
        )
        table = (d.Table(f"{WAYS[how]}, best first", columns, rows),) if rows else ()
        title = WAYS[how][:1].upper() + WAYS[how][1:]
        yield d.Section((title,), (*table, *nearest, *none))


def _replacement_names(made: Replacement) -> d.Line:
    return d.joined([d.line(d.Name(part.part_number), " as ", d.Name(ref)) for ref, part in made.fitted], " and ")


def _replacement(made: Replacement) -> d.Row:
    names = " and ".join(f"{ref} {part.name}" for ref, part in made.fitted)
    numbers: list[d.Line] = [
        (d.Number(value, unit),) for value, unit in ((made.time, "s"), (made.peak, "V"), (made.energy, "J"))
    ]
    money = f"{made.price:.2f}" if made.price == made.price else "not stated"
    change = f"another {' and '.join(dict.fromkeys(made.footprint))}" if made.footprint else ""
    cells: tuple[d.Line, ...] = (
        (d.Name(names),),
        (d.Sign(made.verdict),),
        (say.share(made.headroom),),
        *numbers,
        (d.Number(made.price, "", money),),
        (change,),
    )
    return d.Row(cells)


def _nearest(near: Nearest) -> d.Paragraph:
    against = [
        d.line(d.Name(ref), " ", d.Id(made.id), " ", say.needs(made, sources=False)) for ref, made in near.against[:3]
    ]
    return d.Paragraph(d.line("None cures; nearest is ", d.Name(near.part.name), ": ", d.joined(against, "; "), "."))


# ---- the whole board


def _channel(vetted: Vetted) -> tuple[d.Picture, ...]:
    """The switch in its place, and how the parts on the path behave."""
    from partcheck.report.html.pictures import schematic
    from partcheck.report.html.pictures.behaviour import behaviour

    links = [step.after.judged for step in vetted.steps if step.after is not None and step.after.judged is not None]
    here = [judged for judged in links if judged.ref in vetted.situation.board.role]
    made = [schematic.drawn(vetted.situation, j) for j in here if j.role.name in ("mosfet-switch", "npn-sink")]
    moving = {one.title: one for judged in here for one in behaviour(vetted.situation, judged)}
    return drawn.blocks([*made, *moving.values()])  # two parts of a clamp turn off as one: each title once


def _board(vetted: Vetted, pictures: bool) -> d.Section:
    """The whole board: what loses headroom, every place, every requirement."""
    before = vetted.before if vetted.changes else None
    title = "The board before and as changed" if vetted.changes else "The board"
    glance = (drawn.glance(vetted.after, before, title),) if pictures else ()
    every = tuple(common.requirement_table(judged) for judged in vetted.after)
    return d.Section(
        ("The rest of the board",),
        d.present(
            *glance,
            d.Fold(
                "Every place of the board",
                d.present(
                    common.place_table("Every place and its part", vetted.places),
                    common.place_table("What the board itself has to carry", vetted.links, False),
                ),
                "`partcheck check BOARD` lists them as in the file, a page (--html) as changed",
            ),
            d.Fold("Every requirement of every place", every, "a page (--html) or --json lists them"),
        ),
        "board",
    )


def _less(vetted: Vetted) -> d.Table | None:
    """What goes on meeting with less headroom, on the path or not."""
    if not vetted.changes:
        return None
    less = [item for item in vetted.less if item[2].headroom < 0.5 and item[2].headroom < item[1].headroom - 0.005]
    rows = [
        d.Row(((d.Name(ref),), (d.Id(new.id),), (say.headroom(old),), (say.headroom(new),)))
        for ref, old, new in less[:LESS]
    ]
    more = f", and {len(less) - LESS} more" if len(less) > LESS else ""
    columns = (
        d.Column("place"),
        d.Column("requirement"),
        d.Column("before", right=True),
        d.Column("as changed", right=True),
    )
    return d.Table(f"What loses most{more}", columns, tuple(rows)) if rows else None
