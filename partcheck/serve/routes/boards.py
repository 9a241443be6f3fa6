"""One board: its paths of current, its places with their verdicts, worst first."""

from collections.abc import Mapping
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from partcheck.report import document as d
from partcheck.report.answers import drawn
from partcheck.report.answers.boards.record import BoardLookRecord
from partcheck.report.answers.check.record import CheckRecord
from partcheck.serve.answers import AsFile, as_json, files
from partcheck.serve.asked import OfBoard
from partcheck.serve.bench import OnBench
from partcheck.serve.judging import check_told, in_short, look_told, places_of
from partcheck.serve.pages import OF_BOARD, blocks, page, remember, words
from partcheck.serve.warm import WarmBoard

router = APIRouter()
remember(OF_BOARD, "/board", "Board")


@router.get("/board", response_class=HTMLResponse, include_in_schema=False)
def board(request: Request, bench: OnBench, asked: OfBoard, as_: AsFile = None) -> Response:
    """One board."""
    with asked.open() as warm:
        told = check_told(warm)
        if as_ is not None:
            return told.file(as_)

        def leads(keys: Mapping[str, str]) -> str | None:
            place = keys.get("place", "")
            return asked.to("/place", place=place) if place in warm.setup.board_file.board.role else None

        document = told.document(False)
        places, links = (section(document, anchor) for anchor in ("places", "links"))
        return page(
            request,
            bench,
            "board.html",
            warm.setup.board_file.board.name,
            file=asked.file,
            heading=words(document.title),
            finding=blocks(document.blocks[:1]),
            identity=blocks([d.Facts(document.identity)]),
            places=blocks([places], leads),
            links=blocks([links]),
            glance=blocks([glance(warm)], level=3),
            paths=[blocks([each], level=3) for each in paths(warm)],
            rest=blocks(in_short(document, places, links)),
            notes=document.notes,
            files=files(request),
            back=asked.ways_back("/board"),
            hidden=asked.hidden(),
        )


def section(document: d.Document, anchor: str) -> d.Section | None:
    """The section of that anchor; None where there is none."""
    found = (each for each in document.blocks if isinstance(each, d.Section) and each.anchor == anchor)
    return next(found, None)


def paths(warm: WarmBoard) -> list[d.Block]:
    """The paths of current; where one is drawn its words are folded."""
    made: list[d.Block] = []
    for path in look_told(warm).document(True).blocks[1:]:
        if isinstance(path, d.Section) and any(isinstance(each, d.Picture) for each in path.blocks):
            path = folded(path, d.Plot, "The same as text, with every value")
        made.append(path)
    return made


def folded(section: d.Section, kind: type[d.Block], title: str) -> d.Section:
    """The section with its blocks of one kind folded."""
    return replace(section, blocks=tuple(d.Fold(title, (b,), "") if isinstance(b, kind) else b for b in section.blocks))


def glance(warm: WarmBoard) -> d.Section | None:
    """Every place and link as a strip, beside how it stands in the file where other parts are fitted."""
    before = None if warm.as_filed is warm else places_of(warm.as_filed)
    return warm.once(("glance",), lambda: drawn.glance(places_of(warm), before))


@router.get("/api/check", response_model=CheckRecord, tags=["boards"])
def check(asked: OfBoard) -> Response:
    """The board judged: the record of `partcheck check`."""
    with asked.open() as warm:
        return as_json(check_told(warm).record())


@router.get("/api/look", response_model=BoardLookRecord, tags=["boards"])
def look(asked: OfBoard) -> Response:
    """The paths of current of a board: the record of `partcheck board look`."""
    with asked.open() as warm:
        return as_json(look_told(warm).record())
