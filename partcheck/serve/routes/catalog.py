"""The catalog: search it, list it, look for doubtful values, take the last change back."""

from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup
from starlette.datastructures import FormData

from partcheck.errors import CatalogError, UsageError
from partcheck.parameters import KINDS
from partcheck.parameters.common import STATUSES
from partcheck.parts.checks import unknown_kind
from partcheck.parts.search import Found
from partcheck.parts.search import Query as Search
from partcheck.report.answers.find.record import FindRecord
from partcheck.report.answers.review.record import ReviewRecord
from partcheck.serve.answers import AsFile, as_json, files
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.cataloguing import found_told, part_leads, undone_told
from partcheck.serve.guard import checked_form
from partcheck.serve.long import LongWork
from partcheck.serve.pages import MAIN, WayTo, address, blocks, page, remember, words
from partcheck.serve.streamed import finished, long_answer
from partcheck.serve.writing import login, now, who, word

router = APIRouter()
remember(MAIN, "/catalog", "Catalog")
AT_ONCE = 50
"""Parts of one page."""
MOST_UNASKED = 5000
"""More parts are looked through only when somebody asks for it."""
WAYS = (
    ("/catalog", "Find"),
    ("/catalog/part/add", "Add a part"),
    ("/catalog/import", "Import a sheet"),
    ("/catalog/review", "Doubtful values"),
    ("/catalog/undo", "Undo"),
)
Written = Annotated[FormData, Depends(checked_form)]


def catalog_ways(request: Request) -> list[WayTo]:
    """What the pages of the catalog lead to."""
    return [WayTo(to, name, to == request.url.path) for to, name in WAYS]


@dataclass
class Asked:
    """A search as it was typed."""

    kind: Annotated[str, Query(description="mosfet, bjt, led, diode, regulator or terminal", max_length=40)] = ""
    q: Annotated[str, Query(description="words in number, maker, description, notes", max_length=200)] = ""
    where: Annotated[str, Query(description="conditions, one a line, such as vds_max >= 60 V", max_length=2000)] = ""
    package: Annotated[str, Query(max_length=80)] = ""
    status: Annotated[str, Query(max_length=40)] = ""
    stock: Annotated[str, Query(description="at least this many on hand", max_length=20)] = ""
    sort: Annotated[str, Query(description="value to sort by; -price: from large to small", max_length=200)] = ""
    show: Annotated[str, Query(description="further values to show, with commas between", max_length=400)] = ""
    page: Annotated[int, Query(description="of 50 parts each", ge=1, le=1_000_000)] = 1

    def search(self, whole: bool = False) -> Search:
        """What is looked for; :class:`UsageError` where it cannot be read."""
        return Search(
            self.kind,
            [line for line in self.where.splitlines() if line.strip()],
            self.q,
            self.package.strip(),
            [self.status] if self.status else [],
            _pieces(self.stock),
            _listed(self.sort),
            _listed(self.show),
            None if whole else AT_ONCE,
            0 if whole else (self.page - 1) * AT_ONCE,
        )

    @property
    def key(self) -> tuple[tuple[str, object], ...]:
        """What tells two searches apart."""
        return tuple(vars(self).items())

    def at(self, page: int) -> str:
        """The address of another page of the same search."""
        rest = {name: value for name, value in vars(self).items() if name != "page"}
        return address("/catalog", **rest, page=page if page > 1 else None)


def _pieces(text: str) -> float | None:
    if not text.strip():
        return None
    if not (text.strip().isascii() and text.strip().isdecimal()):
        raise UsageError(f"{text!r} is not a number of pieces; write a whole number such as 100")
    return float(text)


def _listed(text: str) -> list[str]:
    return [each.strip() for each in text.split(",") if each.strip()]


Asking = Annotated[Asked, Depends()]


@router.get("/catalog", response_class=HTMLResponse, include_in_schema=False)
def catalog(request: Request, bench: OnBench, asked: Asking, as_: AsFile = None) -> Response:
    """The search, and the parts it found."""
    found: Found | None = None
    where, sentence, count, state = "", "", {}, None
    try:
        with bench.open_catalog() as opened:
            where, state = opened.where, bench.searches.state(opened)
            count = bench.searches.once(state, "count", opened.count)
            if as_ is not None:
                return found_told(opened.search(asked.search(True)), where).file(as_)
            found = bench.searches.once(state, asked.key, lambda: opened.search(asked.search()))
    except (CatalogError, UsageError) as slip:
        sentence = str(slip)
    if as_ is not None:
        raise UsageError(sentence)

    def shown(found: Found) -> Markup:
        return blocks(found_told(found, where).document(False).blocks, part_leads)

    return page(
        request,
        bench,
        "catalog.html",
        "Catalog",
        200 if found is not None else 400,
        ways=catalog_ways(request),
        asked=asked,
        kinds={name: (kind.title, count.get(name, 0)) for name, kind in KINDS.items()},
        statuses=STATUSES,
        sentence=sentence,
        found=bench.searches.once(state, ("shown", *asked.key), lambda: shown(found)) if found is not None else "",
        further=_further(asked, found),
        files=files(request) if found is not None and found.parts else [],
        **_further_asked(asked),
    )


def _further_asked(asked: Asked) -> dict[str, Any]:
    """Whether more than kind and words was asked for."""
    return {"more": any((asked.where, asked.package, asked.status, asked.stock, asked.sort, asked.show))}


def _further(asked: Asked, found: Found | None) -> list[WayTo]:
    if found is None or found.total <= AT_ONCE:
        return []
    last = -(-found.total // AT_ONCE)
    wanted = {"First": 1, "Before": asked.page - 1, "Next": asked.page + 1, "Last": last}
    there = (1 <= number <= last and number != asked.page for number in wanted.values())
    return [WayTo(asked.at(number), name) for (name, number), fits in zip(wanted.items(), there, strict=True) if fits]


@router.get("/api/catalog/find", response_model=FindRecord, tags=["catalog"])
def find(bench: OnBench, asked: Asking) -> Response:
    """A page of the parts that satisfy every condition: the record of `partcheck catalog find`."""
    with bench.open_catalog() as opened:
        return as_json(found_told(opened.search(asked.search()), opened.where).record())


# ---- doubtful values


def _review(kind: str) -> LongWork:
    if kind and kind not in KINDS:
        raise UsageError(str(unknown_kind(kind)))
    return LongWork("review", stated={"kind": kind})


def _many(bench: Bench) -> bool:
    with bench.open_catalog() as opened:
        return sum(opened.count().values()) > MOST_UNASKED


@router.get("/catalog/review", response_class=HTMLResponse, include_in_schema=False)
async def review(request: Request, bench: OnBench, kind: str | None = None, as_: AsFile = None) -> Response:
    """Values that contradict each other, slipped units, and values far from others of the kind."""
    wait = kind is None and as_ is None and await run_in_threadpool(_many, bench)
    return await long_answer(
        request,
        bench,
        None,
        None if wait else _review(kind or ""),
        as_,
        "Doubtful values",
        "catalog_review.html",
        ways=catalog_ways(request),
        kinds={name: each.title for name, each in KINDS.items()},
        kind=kind or "",
    )


@router.get("/api/catalog/review", response_model=ReviewRecord, tags=["catalog"])
async def api_review(
    request: Request,
    bench: OnBench,
    kind: Annotated[str, Query(description="a kind; left out: the whole catalog", max_length=40)] = "",
) -> Response:
    """Doubtful values: the record of `partcheck catalog review`."""
    _, text = await finished(request, bench, _review(kind), "json")
    return as_json(text)


# ---- undo


@router.get("/catalog/undo", response_class=HTMLResponse, include_in_schema=False)
def undo(request: Request, bench: OnBench, as_: AsFile = None) -> Response:
    """What taking the last change back would do."""
    with bench.open_catalog() as opened:
        last, where = opened.last_change(), opened.where
    if last is None and as_ is not None:
        raise UsageError(f"{where} has no change to take back")
    told = undone_told(last, False, where) if last is not None else None
    if told is not None and as_ is not None:
        return told.file(as_)
    document = told.document(False) if told is not None else None
    return page(
        request,
        bench,
        "catalog_undo.html",
        "Undo",
        ways=catalog_ways(request),
        heading=words(document.title) if document is not None else "Undo",
        found=blocks(document.blocks) if document is not None else "",
        last=last,
        where=where,
        by=login(),
        files=files(request) if told is not None else [],
    )


@router.post("/catalog/undo", response_class=HTMLResponse, include_in_schema=False)
def take_back(request: Request, bench: OnBench, form: Written) -> Response:
    """Take the last change back, if it still is the one that was shown."""
    number = word(form, "change")
    if not (number.isascii() and number.isdecimal() and len(number) < 18):
        raise UsageError("the form does not say which change to take back; load the page again")
    with bench.open_catalog() as opened:
        opened.take_back(int(number), who(form), now())
    return RedirectResponse(address("/catalog/undo", done=1), 303)
