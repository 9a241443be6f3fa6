"""A new board: the questions of `board new` as one form that grows with the answers, and the board file they make."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import groupby
from pathlib import PurePosixPath
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from partcheck.board import parse_board
from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.boards.answered import Answered, AskedField, answered
from partcheck.jobs.boards.dialog import TITLES
from partcheck.jobs.boards.start import Begun, assumed
from partcheck.jobs.boards.templates import TEMPLATES, template
from partcheck.outputs import write_new
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.pages import MAIN, address, page, remember
from partcheck.serve.routes.catalog import Written
from partcheck.serve.writing import word

router = APIRouter()
remember(MAIN, "/board/new", "New board")
HEAD = ("What is marked as assumed was not stated: look it up, and write what is true.",)
ASKED = "q."
"""Before the id of a question in the name of its field."""
LONGEST = 400


@dataclass
class Drafted:
    """A board that is not written yet: its text, what it assumes, or why there is none."""

    text: str = ""
    assumed: list[str] = field(default_factory=list)
    refused: str = ""
    details: tuple[str, ...] = ()


@dataclass(frozen=True)
class AskedGroup:
    """Questions that belong together: one supply, one channel."""

    title: str
    fields: tuple[AskedField, ...]


def _groups(found: Answered) -> Iterator[AskedGroup]:
    def key(each: AskedField) -> str:
        steps = each.question.id.split(".")
        return ".".join(steps[:-1])

    for name, some in groupby(found.fields, key):
        table, _, number = name.partition(".")
        one = {"supply": "Supply", "channel": "Channel", "lamp": "Indicator of its own"}.get(table)
        yield AskedGroup(f"{one} {number}" if one else TITLES[table], tuple(some))


def _drafted(bench: Bench, begun: Begun | None, file: str, refused: str = "") -> Drafted:
    """The text of a board, read as a board file is read."""
    if begun is None:
        return Drafted(refused=refused)
    made = Drafted()
    try:
        made.text = begun.text(HEAD)
        for part in begun.data.get("parts", ()):
            if PurePosixPath(part).is_absolute() or ".." in PurePosixPath(part.replace("\\", "/")).parts:
                raise UsageError(
                    f"{part} lies outside the folder that is served; name sheets inside it, or leave it empty"
                )
        path = bench.folder.place(file) if file else bench.folder.root / "board.toml"
        bench.folder.refuse_outside(parse_board(made.text, path))
        made.assumed = list(assumed(begun))
    except PartcheckError as slip:
        made.refused, made.details = str(slip), slip.details
    except ValueError as slip:  # a channel that contradicts another
        made.refused = str(slip)
    return made


def _page(
    request: Request, bench: Bench, found: Answered, file: str, like: str = "", name: str = "", sentence: str = ""
) -> Response:
    begun = template(like, name or "a board", []) if like else found.begun
    drafted = _drafted(bench, begun, "", found.refused)
    return page(
        request,
        bench,
        "board_new.html",
        "New board",
        400 if sentence or (found.slips and not like) else 200,
        groups=list(_groups(found)),
        begun=any(each.text for each in found.fields),
        templates=TEMPLATES,
        like=like,
        name=name,
        drafted=drafted,
        target=file,
        sentence=sentence,
    )


@router.get("/board/new", response_class=HTMLResponse, include_in_schema=False)
def ask(
    request: Request, bench: OnBench, like: Annotated[str, Query(description="a template", max_length=60)] = ""
) -> Response:
    """The first questions, or the board of a template."""
    if like and like not in TEMPLATES:
        raise UsageError(f"there is no template {like!r}; choose one of {', '.join(TEMPLATES)}")
    return _page(request, bench, answered({}), "", like)


@router.post("/board/new", response_class=HTMLResponse, include_in_schema=False)
def go_on(request: Request, bench: OnBench, form: Written) -> Response:
    """Check what was typed, ask what follows; write the board where that is asked."""
    like, file, name = (word(form, key).strip() for key in ("like", "file", "name"))
    if like and like not in TEMPLATES:
        raise UsageError(f"there is no template {like!r}; choose one of {', '.join(TEMPLATES)}")
    found = answered(_typed(form))
    if word(form, "do") != "write":
        return _page(request, bench, found, file, like, name)
    try:
        _write(bench, template(like, name or "a board", []) if like else found.begun, file, found.refused)
    except PartcheckError as slip:
        return _page(request, bench, found, file, like, name, str(slip))
    return RedirectResponse(address("/board", file=_ended(file)), 303)


def _typed(form: FormData) -> dict[str, str]:
    return {name.removeprefix(ASKED): word(form, name)[:LONGEST] for name in form if name.startswith(ASKED)}


def _ended(file: str) -> str:
    return file if file.endswith(".toml") else f"{file}.toml"


def _write(bench: Bench, begun: Begun | None, file: str, refused: str) -> None:
    if not file:
        raise UsageError("the board has no file yet; write a name such as filling-line.toml")
    target = bench.folder.place(_ended(file))
    drafted = _drafted(bench, begun, _ended(file), refused)
    if drafted.refused:
        raise UsageError(f"there is no board to write yet: {drafted.refused}")
    write_new(target, drafted.text)
