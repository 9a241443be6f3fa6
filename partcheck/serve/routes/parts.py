"""One part of the catalog: what is stated of it, what is open or doubtful, its history; and marking it obsolete."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from partcheck.catalog import Catalog
from partcheck.errors import UsageError
from partcheck.jobs.entry.retiring import retire
from partcheck.parts import Part
from partcheck.parts.review import review_one
from partcheck.report.answers.history.record import HistoryRecord
from partcheck.serve.answers import AsFile, Told, as_json, files
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.cataloguing import doubtful, history_told, left_open, part_told
from partcheck.serve.pages import WayTo, address, blocks, page, words
from partcheck.serve.routes.catalog import Written, catalog_ways
from partcheck.serve.writing import login, now, who, word

router = APIRouter()
Number = Annotated[str, Query(description="part number", max_length=200)]
Maker = Annotated[str, Query(description="its maker; left out where one alone has that number", max_length=200)]
KindOf = Annotated[str, Query(description="its kind; left out where one alone has that number", max_length=40)]
SAYS = {
    "entered": "The part is in the catalog.",
    "changed": "The changes are in the catalog; the former values are in its history.",
    "same": "Nothing was changed.",
    "retired": "The part is obsolete now; it stays in the catalog and ranks behind the rest.",
}


def known_part(catalog: Catalog, part: str, maker: str, kind: str) -> Part:
    """The part that an address names."""
    return catalog.part(part, maker or None, kind or None)


def asked_of(part: Part) -> dict[str, str]:
    """What names a part in an address."""
    return {"kind": part.kind, "maker": part.maker, "part": part.part_number}


def part_ways(part: Part, here: str) -> list[WayTo]:
    """What the pages of one part lead to."""
    named = asked_of(part)
    wanted = (
        ("/catalog/part", "Part"),
        ("/catalog/part/edit", "Edit"),
        ("/catalog/part/copy", "Copy"),
        ("/catalog/part/history", "History"),
    )
    return [WayTo(address(to, **named), name, to == here) for to, name in wanted]


@router.get("/catalog/part", response_class=HTMLResponse, include_in_schema=False)
def show(
    request: Request,
    bench: OnBench,
    part: Number,
    maker: Maker = "",
    kind: KindOf = "",
    said: Annotated[str, Query(max_length=20)] = "",
    looked: Annotated[bool, Query(description="look for doubtful values first")] = False,
    as_: AsFile = None,
) -> Response:
    """One part."""
    with bench.open_catalog() as opened:
        found = known_part(opened, part, maker, kind)
        told = part_told(found, opened.where)
        if as_ is not None:
            return told.file(as_)
        doubts = review_one(found, bench.peers.of(opened, found.kind)) if looked else None
    document = told.document(False)
    return page(
        request,
        bench,
        "catalog_part.html",
        found.part_number,
        ways=catalog_ways(request),
        of_part=part_ways(found, "/catalog/part"),
        part=found,
        said=SAYS.get(said, ""),
        heading=words(document.title),
        finding=blocks(document.blocks[:1]),
        stated=blocks(document.blocks[1:]),
        doubts=blocks([doubtful(doubts)]) if doubts is not None else None,
        beside=blocks([left_open(found)]),
        by=login(),
        files=files(request),
    )


@router.get("/catalog/part/doubts", response_class=HTMLResponse, include_in_schema=False)
def doubts_of(bench: OnBench, part: Number, maker: Maker = "", kind: KindOf = "") -> HTMLResponse:
    """What is doubtful about a part, as a piece of its page."""
    with bench.open_catalog() as opened:
        found = known_part(opened, part, maker, kind)
        return HTMLResponse(blocks([doubtful(review_one(found, bench.peers.of(opened, found.kind)))]))


@router.get("/api/catalog/part", tags=["catalog"], responses={200: {"content": {"application/json": {}}}})
def api_show(bench: OnBench, part: Number, maker: Maker = "", kind: KindOf = "") -> Response:
    """One part as JSON that imports to the same again: what `partcheck catalog show --json` writes."""
    with bench.open_catalog() as opened:
        return as_json(part_told(known_part(opened, part, maker, kind), opened.where).record())


def _history(bench: Bench, part: str, maker: str) -> Told:
    with bench.open_catalog() as opened:
        found = opened.entries(part, maker or None)
        uses = {identity: opened.uses(*identity) for identity in found}
        return history_told(found, uses, opened.where)


@router.get("/catalog/part/history", response_class=HTMLResponse, include_in_schema=False)
def history(
    request: Request, bench: OnBench, part: Number, maker: Maker = "", kind: KindOf = "", as_: AsFile = None
) -> Response:
    """Every former value of a part, who changed it and when."""
    told = _history(bench, part, maker)
    if as_ is not None:
        return told.file(as_)
    document = told.document(False)
    with bench.open_catalog() as opened:
        try:
            there = part_ways(known_part(opened, part, maker, kind), "/catalog/part/history")
        except UsageError:  # taken out by an undo, or one of several
            there = []
    return page(
        request,
        bench,
        "catalog_answer.html",
        f"History of {part}",
        ways=catalog_ways(request),
        of_part=there,
        heading=words(document.title),
        found=blocks(document.blocks),
        files=files(request),
    )


@router.get("/api/catalog/history", response_model=HistoryRecord, tags=["catalog"])
def api_history(bench: OnBench, part: Number, maker: Maker = "") -> Response:
    """What happened to a part: the record of `partcheck catalog history`."""
    return as_json(_history(bench, part, maker).record())


@router.post("/catalog/part/retire", response_class=HTMLResponse, include_in_schema=False)
def retired(bench: OnBench, form: Written) -> Response:
    """Mark a part obsolete, with the reason."""
    reason = word(form, "reason")
    if not reason.strip():
        raise UsageError("a part is marked obsolete for a reason; write it beside the button")
    with bench.open_catalog() as opened:
        found = known_part(opened, word(form, "part"), word(form, "maker"), word(form, "kind"))
        if found.word("status") == "obsolete":
            raise UsageError(f"{found.name} is obsolete already; its history shows since when")
        retire(opened, found, reason, who(form), now())
    return RedirectResponse(address("/catalog/part", **asked_of(found), said="retired"), 303)
