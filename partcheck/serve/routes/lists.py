"""The boards of the folder, each with what was found."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup
from pydantic import Field

from partcheck.errors import PartcheckError
from partcheck.report.record import Record
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.judging import finding
from partcheck.serve.pages import blocks, page

router = APIRouter()
FEW = 3
"""So many boards are judged before the list is shown; of more each is asked for by itself."""


class ListedBoardRecord(Record):
    """A board of the folder."""

    file: str = Field(description="its path in the folder that is served")


class FolderRecord(Record):
    """The boards of the folder that is served."""

    boards: list[ListedBoardRecord]


def _found(bench: Bench, file: str) -> Markup:
    try:
        with bench.boards.board(file) as warm:
            return blocks([finding(warm)])
    except PartcheckError as slip:
        return Markup('<p class="slip">{}</p>').format(str(slip))


@router.get("/", response_class=HTMLResponse, include_in_schema=False)
def boards(
    request: Request, bench: OnBench, judged: Annotated[bool, Query(description="judge all of them first")] = False
) -> HTMLResponse:
    """The list of boards."""
    files = bench.folder.boards()
    found = {file: _found(bench, file) for file in files} if judged or len(files) <= FEW else {}
    return page(request, bench, "boards.html", "Boards", files=files, found=found)


@router.get("/finding", response_class=HTMLResponse, include_in_schema=False)
def one_finding(bench: OnBench, file: str) -> HTMLResponse:
    """What was found of one board, as a piece of the list."""
    return HTMLResponse(_found(bench, file))


@router.get("/api/boards", response_model=FolderRecord, tags=["boards"])
def listed(bench: OnBench) -> FolderRecord:
    """The boards of the folder that is served."""
    return FolderRecord(boards=[ListedBoardRecord(file=file) for file in bench.folder.boards()])
