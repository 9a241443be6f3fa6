"""One place: what it demands and the ranked stand-ins; one part there: the explanation, and what it does to others."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response

from partcheck.report import document as d
from partcheck.report.answers import drawn
from partcheck.report.answers.explain.record import ExplainRecord
from partcheck.report.answers.swap.document import effect
from partcheck.report.answers.swap.record import SwapRecord
from partcheck.requirement import Verdict
from partcheck.serve.answers import AsFile, as_json, files
from partcheck.serve.asked import BoardAsked, OfBoard
from partcheck.serve.bench import OnBench
from partcheck.serve.fitting import Fit
from partcheck.serve.judging import candidate, explain_told, in_short, places_of, swap_told, swapped
from partcheck.serve.pages import blocks, page, words
from partcheck.serve.routes.boards import section
from partcheck.serve.warm import WarmBoard

router = APIRouter()
Place = Annotated[str, Query(description="reference of a place, such as Q2", max_length=100)]
PartName = Annotated[str, Query(description="part number, or MAKER:PART", max_length=200)]
Most = Annotated[int, Query(description="how many stand-ins are judged in full", ge=1, le=100)]


@router.get("/place", response_class=HTMLResponse, include_in_schema=False)
def place(
    request: Request, bench: OnBench, asked: OfBoard, place: Place, most: Most = 8, as_: AsFile = None
) -> Response:
    """One place and its stand-ins."""
    with asked.open() as warm:
        ref = warm.setup.reference(place)
        told = swap_told(warm, ref, most)
        if as_ is not None:
            return told.file(as_)
        document = told.document(False)
        found = swapped(warm, ref, most)
        fitted = found.fitted.part

        def leads(keys: Mapping[str, str]) -> str | None:
            part = keys.get("candidate")
            maker = keys.get("maker", "")
            return asked.to("/part", place=ref, part=f"{maker}:{part}" if maker else part) if part else None

        standins, each, here = (section(document, anchor) for anchor in ("standins", "each", "place"))
        return page(
            request,
            bench,
            "place.html",
            f"{ref}: stand-ins",
            file=asked.file,
            heading=words(document.title),
            finding=blocks(document.blocks[:1]),
            standins=blocks([standins, each], leads),
            drawing=blocks(_drawing(warm, ref)),
            here=blocks([here]),
            rest=blocks(in_short(document, standins, each, here)),
            notes=document.notes,
            files=files(request),
            explain=asked.to("/part", place=ref) if fitted is not None else "",
            fitted=fitted.name if fitted is not None else "",
            more=asked.to("/place", place=ref, most=min(100, most * 4)) if _more(found.counts, most) else "",
            steps=_steps(asked, warm, ref),
            back=asked.ways_back("/board"),
        )


def _more(counts: Mapping[Verdict, int], most: int) -> bool:
    return sum(count for verdict, count in counts.items() if verdict > Verdict.FAILS) > most < 100


def _drawing(warm: WarmBoard, ref: str) -> tuple[d.Block, ...]:
    """The place as it is drawn, with its values."""
    from partcheck.report.html.pictures import schematic

    judged = next(each for each in places_of(warm) if each.ref == ref)
    return warm.once(("drawing", ref), lambda: drawn.blocks([schematic.drawn(warm.setup.situation, judged)]))


def _steps(asked: BoardAsked, warm: WarmBoard, ref: str) -> list[tuple[str, str]]:
    """The places before and after this one in the order of the board file."""
    refs = list(warm.setup.board_file.board.role)
    at = refs.index(ref)
    near = [(name, refs[i]) for name, i in (("before", at - 1), ("after", at + 1)) if 0 <= i < len(refs)]
    return [(f"{name}: {other}", asked.to("/place", place=other)) for name, other in near]


@router.get("/part", response_class=HTMLResponse, include_in_schema=False)
def part(
    request: Request,
    bench: OnBench,
    asked: OfBoard,
    place: Place,
    part: PartName = "",
    with_: Annotated[str | None, Query(alias="with", description="value of the resistor that comes with it")] = None,
    as_: AsFile = None,
) -> Response:
    """One part at one place: every requirement, and what it does to its neighbours; without a part the fitted one."""
    with asked.open() as warm:
        ref = warm.setup.reference(place)
        fit = Fit(ref, part, with_ or None) if part else None
        told = explain_told(warm, fit, ref)
        if as_ is not None:
            return told.file(as_)
        document = told.document(True)
        made = candidate(warm, fit) if fit is not None else None
        return page(
            request,
            bench,
            "part.html",
            f"{part or 'fitted'} as {ref}",
            file=asked.file,
            heading=words(document.title),
            finding=blocks(document.blocks[:1]),
            identity=blocks([d.Facts(document.identity)]),
            effect=blocks([d.Facts((effect(made),))]) if made is not None else "",
            verdict=made.verdict.word if made is not None else "",
            rest=blocks(map(_folded, document.blocks[1:])),
            notes=document.notes,
            files=files(request),
            standins=asked.to("/place", place=ref),
            place=ref,
            part=part,
            resistor=with_ or "",
            fit=asked.to("/board", asked.with_fit(fit)) if fit is not None else "",
            acceptable=made is not None and not [each for each in asked.fits if each.ref != ref],
            policy=asked.policy or "",
            back=asked.ways_back("/board"),
        )


def _folded(block: d.Block) -> d.Block:
    """A block as it stands, or folded where only some readers go through all of it."""
    if isinstance(block, d.Table):
        return d.Fold(block.caption, (block,), "")
    if isinstance(block, d.Section) and block.title in (("In full",), ("Values on the way",)):
        words = "Every requirement in full: formulas, numbers, sources" if block.title == ("In full",) else ""
        return d.Fold(words or "Values on the way", block.blocks, "")
    return block


@router.get("/api/swap", response_model=SwapRecord, tags=["places"])
def stand_ins(asked: OfBoard, place: Place, most: Most = 8) -> Response:
    """The parts that can stand in at a place, ranked: the record of `partcheck swap`."""
    with asked.open() as warm:
        return as_json(swap_told(warm, warm.setup.reference(place), most).record())


@router.get("/api/explain", response_model=ExplainRecord, tags=["places"])
def explain(asked: OfBoard, place: Place, part: PartName = "") -> Response:
    """Every requirement of one part at a place: the record of `partcheck explain`; without a part the fitted one."""
    with asked.open() as warm:
        ref = warm.setup.reference(place)
        return as_json(explain_told(warm, Fit(ref, part) if part else None, ref).record())
