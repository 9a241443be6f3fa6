"""One board: its paths of current, its places with their verdicts, worst first."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from partcheck.report import document as d
from partcheck.report.answers import drawn
from partcheck.report.answers.boards.record import BoardLookRecord
from partcheck.report.answers.check.record import CheckRecord
from partcheck.serve.answers import AsFile, as_json, files
from partcheck.serve.bench import OnBench
from partcheck.serve.judging import check_told, checked, look_told
from partcheck.serve.pages import OF_BOARD, address, blocks, page, remember, words

router = APIRouter()
remember(OF_BOARD, "/board", "Board")
File = Annotated[str, Query(description="path of the board in the folder that is served", max_length=400)]
Policy = Annotated[
    str | None, Query(description="datasheet, bench, ecss or nasa-goddard in place of the board's own", max_length=40)
]


@router.get("/board", response_class=HTMLResponse, include_in_schema=False)
def board(request: Request, bench: OnBench, file: File, policy: Policy = None, as_: AsFile = None) -> Response:
    """One board."""

    def leads(keys: Mapping[str, str]) -> str | None:
        place = keys.get("place", "")
        known = place in warm.setup.board_file.board.role
        return address("/place", file=file, place=place, policy=policy) if known else None

    with bench.boards.board(file, policy) as warm:
        told = check_told(warm)
        if as_ is not None:
            return told.file(as_)
        document = told.document(False)
        everything = (*checked(warm).places, *checked(warm).links)
        places, links = (_section(document, anchor) for anchor in ("places", "links"))
        return page(
            request,
            bench,
            "board.html",
            warm.setup.board_file.board.name,
            file=file,
            heading=words(document.title),
            finding=blocks(document.blocks[:1]),
            identity=blocks([d.Facts(document.identity)]),
            places=blocks([places, links], leads),
            glance=blocks([warm.once(("glance",), lambda: drawn.glance(everything))]),
            paths=blocks(look_told(warm).document(True).blocks[1:], level=3),
            rest=blocks([each for each in document.blocks[1:] if each not in (places, links)]),
            notes=document.notes,
            files=files(request),
        )


def _section(document: d.Document, anchor: str) -> d.Section | None:
    found = (each for each in document.blocks if isinstance(each, d.Section) and each.anchor == anchor)
    return next(found, None)


@router.get("/api/check", response_model=CheckRecord, tags=["boards"])
def check(bench: OnBench, file: File, policy: Policy = None) -> Response:
    """The board as it is fitted, judged: the record of `partcheck check`."""
    with bench.boards.board(file, policy) as warm:
        return as_json(check_told(warm).record())


@router.get("/api/look", response_model=BoardLookRecord, tags=["boards"])
def look(bench: OnBench, file: File) -> Response:
    """The paths of current of a board: the record of `partcheck board look`."""
    with bench.boards.board(file) as warm:
        return as_json(look_told(warm).record())
