"""Every page of the sample scenario, with its record and its Markdown, each made once for all tests."""

import json
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.setup import Setup, open_setup
from tests.command import BOARD, SAMPLES


class Made(NamedTuple):
    """One answer in three forms."""

    html: str
    record: dict[str, Any]
    markdown: str


def _swap(setup: Setup, ref: str) -> Made:
    from partcheck.jobs.swap.swap import swap
    from partcheck.report import markdown, records
    from partcheck.report.html import swap as pages

    found = swap(setup, setup.reference(ref))
    return Made(pages.page(found), records.swapped(found).model_dump(mode="json"), markdown.swapped(found))


def _explain(setup: Setup, ref: str, part: str | None = None) -> Made:
    from partcheck.jobs.check.part import explain_part
    from partcheck.report import markdown, records
    from partcheck.report.html import explain as pages

    place = setup.reference(ref)
    found = explain_part(setup, place, setup.part(place, part) if part is not None else None)
    return Made(pages.page(found), records.explained(found).model_dump(mode="json"), markdown.explained(found))


def _check(setup: Setup) -> Made:
    from partcheck.jobs.check.board import check
    from partcheck.report import markdown, records
    from partcheck.report.html import check as pages

    found = check(setup)
    return Made(pages.page(found), records.checked(found).model_dump(mode="json"), markdown.checked(found))


def _limits(setup: Setup, load: str | None = None) -> Made:
    from partcheck.jobs.sweep.limits import limits
    from partcheck.jobs.sweep.map import map_of
    from partcheck.report import markdown, records
    from partcheck.report.html import limits as pages

    found = limits(setup, setup.load(load) if load is not None else None)
    drawn = map_of(found, 48, 32) if load is not None else None
    record = records.limited(found, drawn).model_dump(mode="json")
    return Made(pages.page(found, drawn), record, markdown.limited(found, drawn))


def _vet(setup: Setup, load: str, **asked: Any) -> Made:
    from partcheck.jobs.vet.vet import vet
    from partcheck.report import markdown_whole, records
    from partcheck.report.html import vet as pages

    found = vet(setup, setup.load(load), Asked(**asked))
    return Made(pages.page(found), records.vetted(found).model_dump(mode="json"), markdown_whole.vetted(found))


def _brightness(setup: Setup, ref: str, part: str | None = None) -> Made:
    from partcheck.jobs.light.brightness import brightness
    from partcheck.report import markdown_whole, records
    from partcheck.report.html import brightness as pages

    place = setup.reference(ref)
    found = brightness(setup, place, setup.part(place, part) if part is not None else None)
    return Made(pages.page(found), records.brightened(found).model_dump(mode="json"), markdown_whole.brightened(found))


def _leds(setup: Setup, ref: str) -> Made:
    from partcheck.jobs.light.brightness import Wanted
    from partcheck.jobs.light.ranking import rank_brightness
    from partcheck.report import markdown_whole, records
    from partcheck.report.html import brightness as pages

    found = rank_brightness(setup, setup.reference(ref), Wanted(), 4)
    record = records.brightness_ranked(found).model_dump(mode="json")
    return Made(pages.ranked_page(found), record, markdown_whole.brightness_ranked(found))


def _plan(setup: Setup, load: str, **asked: Any) -> Made:
    from partcheck.jobs.plan.plan import plan
    from partcheck.report import markdown_whole, records
    from partcheck.report.html import plan as pages

    found = plan(setup, setup.load(load), Asked(**asked))
    return Made(pages.page(found), records.planned(found).model_dump(mode="json"), markdown_whole.planned(found))


ANSWERS: dict[str, Callable[[Setup], Made]] = {
    "swap": lambda setup: _swap(setup, "Q2"),
    "swap-led": lambda setup: _swap(setup, "D11"),
    "explain": lambda setup: _explain(setup, "Q2", "MOBY-F60-70"),
    "explain-clamp": lambda setup: _explain(setup, "D3"),
    "explain-terminal": lambda setup: _explain(setup, "J2"),
    "explain-regulator": lambda setup: _explain(setup, "U1"),
    "check": _check,
    "sheet": _limits,
    "limits": lambda setup: _limits(setup, "FV2"),
    "vet": lambda setup: _vet(setup, "FV2", voltage="18 V"),
    "vet-as-is": lambda setup: _vet(setup, "light"),
    "brightness": lambda setup: _brightness(setup, "D11", "JUNI-PA12"),
    "leds": lambda setup: _leds(setup, "D11"),
    "plan": lambda setup: _plan(setup, "FV1", voltage="15 V ±5 %", sets=("load.tower.inrush_factor=5",)),
}


@cache
def made(name: str) -> Made:
    """An answer on the sample board."""
    return ANSWERS[name](open_setup(BOARD, [SAMPLES]))


def made_from(name: str, board: Path, parts: Path) -> Made:
    """An answer on another board that has the same references."""
    return ANSWERS[name](open_setup(board, [parts]))


NASTY = "<script>alert(1)</script>\"'&\u05d0</svg><b>{{7*7}}$x$|`" + "W" * 60
TURNED = f"\u202e{NASTY}"
"""With a mark that turns the direction of writing; sheets of parts refuse it, a board's name may hold it."""


def hostile_samples(folder: Path) -> Path:
    """The samples with a maker, a part, a board, a load and a drive whose names try to be markup: the board's path."""
    shutil.copytree(SAMPLES, folder / "samples")
    samples = folder / "samples"
    for path in samples.glob("*.csv"):
        text = path.read_text(encoding="utf-8")
        quoted = '"' + NASTY.replace('"', '""') + '"'
        path.write_text(text.replace("MOBY-F60-70", quoted).replace("Talvik", quoted), encoding="utf-8")
    board = samples / "bottling-bench.toml"
    text = board.read_text(encoding="utf-8")
    literal, turned = json.dumps(NASTY), json.dumps(TURNED)
    text = text.replace('"MOBY-F60-70"', literal).replace('name = "small bottling bench"', f"name = {turned}")
    text = text.replace('revision = "C"', f"revision = {turned}")
    text = text.replace("[drive.VALVE2]", f"[drive.{literal}]").replace('drive = "VALVE2"', f"drive = {literal}")
    text = text.replace("[load.FV3]", f"[load.{literal}]").replace('"FV3"', literal)
    board.write_text(text, encoding="utf-8")
    return board
