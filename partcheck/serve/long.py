"""The long work: each a function that a process of its own runs, told as an answer in any form."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from partcheck.errors import UsageError
from partcheck.jobs.change.board import wanted
from partcheck.jobs.change.options import Asked
from partcheck.report import document as d
from partcheck.report.document import Document
from partcheck.serve.answers import Form, Told
from partcheck.serve.cataloguing import review_told
from partcheck.serve.changes import asked_of
from partcheck.serve.field import field_told
from partcheck.serve.fitting import Fit
from partcheck.serve.judging import check_told
from partcheck.serve.previewing import previewed
from partcheck.serve.rendered import rendered
from partcheck.serve.warm import WarmBoard, WarmBoards


@dataclass(frozen=True)
class LongWork:
    """What is to be done, as plain data: the work by its name, the board as an address asks for it, and the rest."""

    name: str
    file: str = ""
    policy: str | None = None
    fits: tuple[Fit, ...] = ()
    stated: Mapping[str, Any] = field(default_factory=dict)


def made_of(work: LongWork, boards: WarmBoards, form: Form | None) -> Any:
    """What some work comes to: the pieces of a page, or with ``form`` the name and text of a file."""
    if work.name == "preview":
        return previewed(work.stated["brought"], boards.serving.catalog, work.stated["sentence"])
    told = told_of(work, boards)
    return (told.name, told.written(form)) if form is not None else rendered(told)


def told_of(work: LongWork, boards: WarmBoards) -> Told:
    """The answer of some work."""
    if work.name in OF_ALL:
        return OF_ALL[work.name](work, boards)
    with boards.board(work.file, work.policy, work.fits) as warm:
        return OF_BOARD[work.name](warm, work.stated)


def _vet(warm: WarmBoard, stated: Mapping[str, Any]) -> Told:
    from partcheck.jobs.vet.vet import vet
    from partcheck.report.answers.vet import document as answer
    from partcheck.report.answers.vet.record import record

    load = warm.setup.load(stated["load"])
    found = vet(warm.setup, load, asked_of(stated))
    return Told(f"vet-{load}", lambda pictures: answer.document(found, pictures), lambda: record(found))


WAY = ("What gives way, in order", "No longer proved")
"""Titles of what is told first of a load with something different about it."""


def _way(warm: WarmBoard, stated: Mapping[str, Any]) -> Told:
    """What gives way first, the path drawn and the key figures: the same answer in short, without what would help."""
    from partcheck.jobs.vet.vet import vet
    from partcheck.report.answers import drawn
    from partcheck.report.answers.vet import document as answer
    from partcheck.report.answers.vet.record import record
    from partcheck.report.html.pictures import path

    load = warm.setup.load(stated["load"])
    found = vet(warm.setup, load, asked_of(stated), False)

    def document(_: bool) -> Document:
        whole = answer.document(found, False)
        sections = [block for block in whole.blocks if isinstance(block, d.Section)]
        first = [block for block in sections if block.title in tuple((title,) for title in WAY)]
        figures = [block for block in sections if block.anchor == "figures"]
        picture = drawn.blocks([path.drawn(load, found.steps, bool(found.changes))])
        return replace(whole, blocks=(whole.blocks[0], *first, *picture, *figures))

    return Told(f"vet-{load}", document, lambda: record(found))


def _plan(warm: WarmBoard, stated: Mapping[str, Any]) -> Told:
    from partcheck.jobs.plan.plan import plan
    from partcheck.report.answers.plan import document as answer
    from partcheck.report.answers.plan.record import record

    load, asked = stated.get("load") or "", asked_of(stated)
    if not load and asked != Asked():
        raise UsageError("a change needs the load that it is about; choose the load as well")
    found = plan(warm.setup, warm.setup.load(load) if load else "", asked)
    return Told("plan", lambda pictures: answer.document(found, pictures), lambda: record(found))


def _limits(warm: WarmBoard, stated: Mapping[str, Any]) -> Told:
    from partcheck.jobs.sweep.limits import limits
    from partcheck.jobs.sweep.map import map_of, read_grid
    from partcheck.report.answers.limits import document as answer
    from partcheck.report.answers.limits import sheet
    from partcheck.report.answers.limits.record import record

    load = warm.setup.load(stated["load"]) if stated.get("load") else None
    asked, setup = asked_of(stated), warm.setup
    if load is not None and asked != Asked():
        setup = wanted(setup, load, asked).after or setup
    found = limits(setup, load)
    made = map_of(found, *read_grid(str(stated.get("grid") or "64x18"))) if load is not None else None

    def document(pictures: bool) -> Document:
        return answer.document(found, pictures, map_=made)

    return Told(
        f"limits-{load or 'board'}",
        document,
        lambda: record(found, made),
        lambda: sheet.map_sheet(made) if made is not None else sheet.sheet(found),
    )


def _brightness(warm: WarmBoard, stated: Mapping[str, Any]) -> Told:
    from partcheck.jobs.light.wanted import read_wanted

    place = warm.setup.reference(stated["place"])
    wanted = read_wanted(stated.get("target") or None, stated.get("ratio") or None)
    if stated.get("part"):
        from partcheck.jobs.light.brightness import brightness
        from partcheck.report.answers.brightness import document as answer
        from partcheck.report.answers.brightness.record import record

        found = brightness(warm.setup, place, warm.setup.part(place, stated["part"]), wanted)
        return Told(f"brightness-{place}", lambda pictures: answer.document(found, pictures), lambda: record(found))
    from partcheck.jobs.light.ranking import rank_brightness
    from partcheck.report.answers.leds import document as leds
    from partcheck.report.answers.leds import sheet
    from partcheck.report.answers.leds.record import record as ranked_record

    ranked = rank_brightness(warm.setup, place, wanted, int(stated.get("most") or 8))
    return Told(
        f"brightness-{place}",
        lambda pictures: leds.document(ranked, pictures),
        lambda: ranked_record(ranked),
        lambda: sheet.text(ranked),
    )


def _fleet(work: LongWork, boards: WarmBoards) -> Told:
    from partcheck.jobs.fleet.changes import read_changes
    from partcheck.jobs.fleet.fleet import Sources, fleet
    from partcheck.report.answers.fleet.document import document as answer
    from partcheck.report.answers.fleet.record import record
    from partcheck.report.answers.fleet.sheet import text

    serving, folder = boards.serving, boards.folder
    changes = read_changes(work.stated.get("gone") or (), work.stated.get("corrected") or ())
    sources = Sources(serving.parts, serving.catalog, work.policy or serving.policy)
    found = fleet([folder.board(name) for name in folder.boards()], changes, sources, 1)
    return Told("fleet", lambda _: answer(found), lambda: record(found), lambda: text(found))


def _review(work: LongWork, boards: WarmBoards) -> Told:
    from partcheck.catalog import open_catalog
    from partcheck.jobs.entry.review import looked_through

    with open_catalog(boards.serving.catalog) as opened:
        return review_told(*looked_through(opened, work.stated.get("kind") or ""), opened.where)


OF_ALL: dict[str, Callable[[LongWork, WarmBoards], Told]] = {"fleet": _fleet, "review": _review}
OF_BOARD: dict[str, Callable[[WarmBoard, Mapping[str, Any]], Told]] = {
    "check": lambda warm, _: check_told(warm),
    "vet": _vet,
    "way": _way,
    "plan": _plan,
    "limits": _limits,
    "field": field_told,
    "brightness": _brightness,
}
