"""What takes longer: the plan, the rating sheet, an LED's light, all boards at once; each can be stopped."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, Response

from partcheck.board import ROLE_KINDS
from partcheck.report.answers.brightness.record import BrightnessRecord
from partcheck.report.answers.fleet.record import FleetRecord
from partcheck.report.answers.leds.record import BrightnessRankingRecord
from partcheck.report.answers.limits.record import LimitsRecord
from partcheck.report.answers.plan.record import PlanRecord
from partcheck.serve.answers import AsFile, as_json
from partcheck.serve.asked import BoardAsked, OfBoard
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.changes import OfLoad
from partcheck.serve.long import LongWork
from partcheck.serve.pages import MAIN, OF_BOARD, remember
from partcheck.serve.streamed import finished, long_answer

router = APIRouter()
for _path, _name in (("/brightness", "Brightness"), ("/limits", "Limits"), ("/plan", "Plan")):
    remember(OF_BOARD, _path, _name)
remember(MAIN, "/fleet", "All boards")
Load = Annotated[str, Query(description="name of a load, such as FV1", max_length=100)]
Place = Annotated[str, Query(description="reference of an LED, such as D11", max_length=100)]
PartName = Annotated[str, Query(description="part number, or MAKER:PART", max_length=200)]
Text = Annotated[str, Query(max_length=60)]
Several = Annotated[list[str] | None, Query(max_length=40)]


def _work(name: str, asked: BoardAsked, **stated: object) -> LongWork:
    return LongWork(name, asked.file, asked.policy, asked.fits, stated)


async def _json(request: Request, bench: Bench, work: LongWork) -> Response:
    _, text = await finished(request, bench, work, "json")
    return as_json(text)


@router.get("/brightness", response_class=HTMLResponse, include_in_schema=False)
async def brightness(
    request: Request,
    bench: OnBench,
    asked: OfBoard,
    place: Place = "",
    part: PartName = "",
    target: Text = "",
    ratio: Text = "",
    as_: AsFile = None,
) -> Response:
    """The light of an LED beside the fitted one's; without a part every known LED, ranked."""
    roles = await run_in_threadpool(asked.roles)
    leds = [ref for ref, role in roles.items() if ROLE_KINDS[role] == "led"]
    work = _work("brightness", asked, place=place, part=part, target=target, ratio=ratio) if place else None
    fields = {"place": place, "part": part, "target": target, "ratio": ratio}
    return await long_answer(
        request, bench, asked, work, as_, "Brightness", "brightness.html", choices=leds, fields=fields,
        leads={"candidate": asked.to("/brightness", place=place, target=target, ratio=ratio)},
    )  # fmt: skip


@router.get("/limits", response_class=HTMLResponse, include_in_schema=False)
async def limits(request: Request, bench: OnBench, asked: OfBoard, changes: OfLoad, as_: AsFile = None) -> Response:
    """The rating sheet; of one load its channel as it is or as changed, with a map of voltage against current."""
    loads = await run_in_threadpool(asked.loads)
    return await long_answer(
        request, bench, asked, _work("limits", asked, **changes.stated, grid="96x64"), as_, "Limits", "limits.html",
        choices=loads, fields=changes.fields,
    )  # fmt: skip


@router.get("/plan", response_class=HTMLResponse, include_in_schema=False)
async def plan(request: Request, bench: OnBench, asked: OfBoard, changes: OfLoad, as_: AsFile = None) -> Response:
    """The fewest changes with which the whole board meets, as it is or with something changed of a load."""
    loads = await run_in_threadpool(asked.loads)
    work = _work("plan", asked, **changes.stated)
    return await long_answer(
        request, bench, asked, work, as_, "Plan", "plan.html", choices=loads, fields=changes.stated
    )


@router.get("/help", response_class=HTMLResponse, include_in_schema=False)
async def whole(request: Request, bench: OnBench, asked: OfBoard, as_: AsFile = None) -> Response:
    """The board judged, with what would help wherever it does not meet."""
    return await long_answer(request, bench, asked, _work("check", asked), as_, "What would help", "long.html")


@router.get("/fleet", response_class=HTMLResponse, include_in_schema=False)
async def fleet(
    request: Request, bench: OnBench, gone: Several = None, corrected: Several = None, as_: AsFile = None
) -> Response:
    """Which boards of the folder a part that is gone, or a corrected value, touches."""
    stated = {name: _lines(several) for name, several in (("gone", gone), ("corrected", corrected))}
    work = LongWork("fleet", stated=stated) if any(stated.values()) else None
    fields = {name: "\n".join(lines) for name, lines in stated.items()}
    return await long_answer(request, bench, None, work, as_, "All boards", "fleet.html", fields=fields)


def _lines(several: list[str] | None) -> tuple[str, ...]:
    """What stands on each line of a field, or in each of several."""
    return tuple(line.strip() for text in several or () for line in text.splitlines() if line.strip())


@router.get("/api/brightness", response_model=BrightnessRecord | BrightnessRankingRecord, tags=["places"])
async def brightness_record(
    request: Request,
    bench: OnBench,
    asked: OfBoard,
    place: Place,
    part: PartName = "",
    target: Text = "",
    ratio: Text = "",
) -> Response:
    """The light of an LED beside the fitted one's: the record of `partcheck brightness`."""
    stated = {"place": place, "part": part, "target": target, "ratio": ratio}
    return await _json(request, bench, _work("brightness", asked, **stated))


@router.get("/api/limits", response_model=LimitsRecord, tags=["boards"])
async def limits_record(request: Request, bench: OnBench, asked: OfBoard, load: Load = "") -> Response:
    """The rating sheet of a board, or of the channel of a load: the record of `partcheck limits`."""
    return await _json(request, bench, _work("limits", asked, load=load))


@router.get("/api/plan", response_model=PlanRecord, tags=["boards"])
async def plan_record(request: Request, bench: OnBench, asked: OfBoard, changes: OfLoad) -> Response:
    """The fewest changes with which a board meets: the record of `partcheck plan`."""
    return await _json(request, bench, _work("plan", asked, **changes.stated))


@router.get("/api/fleet", response_model=FleetRecord, tags=["boards"])
async def fleet_record(request: Request, bench: OnBench, gone: Several = None, corrected: Several = None) -> Response:
    """Which boards a change touches: the record of `partcheck fleet`."""
    stated = {"gone": _lines(gone), "corrected": _lines(corrected)}
    return await _json(request, bench, LongWork("fleet", stated=stated))
