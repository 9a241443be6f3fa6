"""Accepted substitutions: those of a board with what is stale, one in full, and accepting one."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from partcheck.jobs.decisions.stale import Records
from partcheck.jobs.decisions.stale import records as look
from partcheck.report.answers.decisions import document as decisions
from partcheck.report.answers.decisions import sheet
from partcheck.report.answers.decisions.record import RecordsRecord, recorded
from partcheck.report.document import Document
from partcheck.serve.answers import AsFile, Told, answer_page, as_json, files
from partcheck.serve.asked import File
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.guard import checked_form
from partcheck.serve.pages import OF_BOARD, address, remember

router = APIRouter()
remember(OF_BOARD, "/records", "Records")
Number = Annotated[int | None, Query(description="this one in full", ge=1, le=2**31 - 1)]
Stale = Annotated[bool, Query(description="only those that are stale")]
Form = Annotated[FormData, Depends(checked_form)]


def _look(bench: Bench, file: str, number: int | None, stale: bool) -> Records:
    return look(bench.serving.catalog, str(bench.folder.board(file)), number, stale)


@router.get("/records", response_class=HTMLResponse, include_in_schema=False)
def records(
    request: Request, bench: OnBench, file: File, number: Number = None, stale: Stale = False, as_: AsFile = None
) -> Response:
    """The accepted substitutions of a board; one in full with its number."""
    found = _look(bench, file, number, stale)

    def document(_: bool) -> Document:
        one = number is not None and found.standings
        return decisions.in_full(found.standings[0]) if one else decisions.listed(found)

    told = Told(f"records-{number or 'all'}", document, lambda: recorded(found), lambda: sheet.text(found))
    if as_ is not None:
        return told.file(as_)
    return answer_page(request, bench, document(False), "Records", file=file, files=files(request))


@router.post("/accept", include_in_schema=False)
def accept(bench: OnBench, form: Form) -> Response:
    """Accept a substitution as the command does, and show what was written down."""
    from partcheck.jobs.decisions.accept import accept as decide

    stated = {name: str(form.get(name) or "").strip() for name in ("file", "place", "part", "by", "note", "resistor")}
    with bench.boards.board(stated["file"], str(form.get("policy") or "") or None) as warm:
        ref = warm.setup.reference(stated["place"])
        decided = decide(
            warm.setup,
            ref,
            warm.setup.part(ref, stated["part"]),
            resistor=stated["resistor"] or None,
            by=stated["by"],
            note=stated["note"],
            although_it_fails=form.get("although_it_fails") == "yes",
        )
    return RedirectResponse(address("/records", file=stated["file"], number=decided.row.number), 303)


@router.get("/api/records", response_model=RecordsRecord, tags=["records"])
def listed(bench: OnBench, file: File, number: Number = None, stale: Stale = False) -> Response:
    """The accepted substitutions of a board: the record of `partcheck records`."""
    return as_json(recorded(_look(bench, file, number, stale)))
