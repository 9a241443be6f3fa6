"""What if: a load with something different about it, judged while one types; saved as a new board file, or dropped."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup
from starlette.datastructures import FormData

from partcheck.board.writing import edited_board
from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.plan.writing import places_of_parts
from partcheck.outputs import objection, write_text
from partcheck.policy import POLICIES
from partcheck.report.answers.vet.record import VetRecord
from partcheck.serve.answers import AsFile, as_json
from partcheck.serve.asked import BoardAsked, OfBoard
from partcheck.serve.bench import OnBench
from partcheck.serve.changes import LoadChanges, OfLoad, changes_of
from partcheck.serve.field import moves_over
from partcheck.serve.fitting import read_fits
from partcheck.serve.guard import checked_form
from partcheck.serve.long import LongWork
from partcheck.serve.pages import OF_BOARD, address, blocks, page, piece, remember
from partcheck.serve.streamed import finished, long_answer, piecewise
from partcheck.serve.warm import WarmBoard
from partcheck.serve.whatif import changed_file, sliders, told_at_once

router = APIRouter()
Sent = Annotated[FormData, Depends(checked_form)]
remember(OF_BOARD, "/what-if", "What if")


@router.get("/what-if", response_class=HTMLResponse, include_in_schema=False)
def what_if(request: Request, bench: OnBench, asked: OfBoard, changes: OfLoad) -> Response:
    """A load with what is different about it, and fields to change more."""
    with asked.open() as warm:
        board = warm.setup.board_file.board
        if not board.load:
            raise UsageError(f"{asked.file} has no load of which anything could be different")
        chosen = warm.setup.load(changes.load) if changes.load else next(iter(board.load))
        fields = LoadChanges(chosen, changes.typed, changes.own_sets, changes.ambient)
        return page(
            request,
            bench,
            "whatif.html",
            f"What if: {chosen}",
            file=asked.file,
            board=board.name,
            loads=list(board.load),
            chosen=chosen,
            fields=fields.fields,
            sliders=sliders(warm.setup, chosen),
            policies=list(POLICIES),
            policy=asked.policy or "",
            own_policy=warm.setup.policy.name,
            hidden=[pair for pair in asked.hidden() if pair[0] != "policy"],
            moves=" ".join(moves_over(warm.setup, chosen)),
            now=_now(asked, warm, fields),
            more=asked.to("/vet", **fields.fields),
            map=asked.to("/limits", **fields.fields),
            drop=asked.to("/what-if", load=chosen),
            back=asked.ways_back("/board"),
        )


def _now(asked: BoardAsked, warm: WarmBoard, changes: LoadChanges) -> Markup:
    """What is told at once; a value that cannot be read is told in its place."""

    def leads(keys: Mapping[str, str]) -> str | None:
        place = keys.get("place", "")
        return asked.to("/place", place=place) if place in warm.setup.board_file.board.role else None

    try:
        told, here = told_at_once(warm, changes)
        mark = Markup('<p hidden id="stands" data-volts="{}" data-amperes="{}"></p>').format(*here) if here else ""
        return blocks(told, leads) + mark
    except PartcheckError as slip:
        return piece("slip.html", sentence=str(slip), details=slip.details)


@router.get("/what-if/now", response_class=HTMLResponse, include_in_schema=False)
def now(asked: OfBoard, changes: OfLoad) -> HTMLResponse:
    """What is told at once, as a piece of the page."""
    with asked.open() as warm:
        return HTMLResponse(_now(asked, warm, changes))


def _work(name: str, asked: BoardAsked, changes: LoadChanges) -> LongWork:
    return LongWork(name, asked.file, asked.policy, asked.fits, changes.stated)


@router.get("/what-if/more", response_class=HTMLResponse, include_in_schema=False)
async def more(bench: OnBench, asked: OfBoard, changes: OfLoad) -> Response:
    """What gives way first, without what would help, as a piece of the page."""
    return await piecewise(bench, _work("way", asked, changes))


@router.get("/what-if/map", response_class=HTMLResponse, include_in_schema=False)
async def field(bench: OnBench, asked: OfBoard, changes: OfLoad) -> Response:
    """The map of the load with the changes made, as a piece of the page."""
    return await piecewise(bench, _work("field", asked, changes))


@router.get("/vet", response_class=HTMLResponse, include_in_schema=False)
async def vet(request: Request, bench: OnBench, asked: OfBoard, changes: OfLoad, as_: AsFile = None) -> Response:
    """The whole answer: what gives way first, the path, other clamps, cures."""
    return await long_answer(
        request, bench, asked, _work("vet", asked, changes), as_, f"Vet {changes.load}", "long.html"
    )


@router.post("/save", include_in_schema=False)
def save(bench: OnBench, form: Sent) -> Response:
    """Write the board as changed to a new file beside the others; comments and order are kept."""
    fits = read_fits(*([str(each) for each in form.getlist(name)] for name in ("fit", "resistor")))
    asked, name = BoardAsked(bench, str(form.get("file") or ""), None, fits), str(form.get("name") or "").strip()
    target = bench.folder.place(name if name.endswith(".toml") else f"{name}.toml")
    changes = changes_of(form)
    with asked.open() as warm:
        file = changed_file(warm, changes)
        text = edited_board(file.text, places_of_parts(file.stated, file.path, target))
    if said := objection(target):
        raise UsageError(said.replace("or give --force to replace it", "as nothing here replaces a file"))
    write_text(target, text)
    return RedirectResponse(address("/board", file=target.relative_to(bench.folder.root).as_posix()), 303)


@router.get("/api/vet", response_model=VetRecord, tags=["boards"])
async def vet_record(request: Request, bench: OnBench, asked: OfBoard, changes: OfLoad) -> Response:
    """A load with something different about it: the record of `partcheck vet`."""
    _, text = await finished(request, bench, _work("vet", asked, changes), "json")
    return as_json(text)
