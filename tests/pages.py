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
    text: str


def rendered(answer: Any, record: Any, found: Any, **more: Any) -> Made:
    """An answer's document on a page and in Markdown, beside its record."""
    from partcheck.report.render import html, markdown, text

    told = answer.document(found, **more)
    page, log = html.render(answer.document(found, True, **more)), markdown.render(told)
    return Made(page, record.model_dump(mode="json"), log, text.render(told))


def _swap(setup: Setup, ref: str) -> Made:
    from partcheck.jobs.swap.swap import swap
    from partcheck.report import records
    from partcheck.report.answers import swap as answer

    found = swap(setup, setup.reference(ref))
    return rendered(answer, records.swapped(found), found)


def _explain(setup: Setup, ref: str, part: str | None = None) -> Made:
    from partcheck.jobs.check.part import explain_part
    from partcheck.report import records
    from partcheck.report.answers import explain as answer

    place = setup.reference(ref)
    found = explain_part(setup, place, setup.part(place, part) if part is not None else None)
    return rendered(answer, records.explained(found), found)


def _check(setup: Setup) -> Made:
    from partcheck.jobs.check.board import check
    from partcheck.report import records
    from partcheck.report.answers import check as answer

    found = check(setup)
    return rendered(answer, records.checked(found), found)


def _limits(setup: Setup, load: str | None = None) -> Made:
    from partcheck.jobs.sweep.limits import limits
    from partcheck.jobs.sweep.map import map_of
    from partcheck.report import records
    from partcheck.report.answers import limits as answer

    found = limits(setup, setup.load(load) if load is not None else None)
    drawn = map_of(found, 48, 32) if load is not None else None
    return rendered(answer, records.limited(found, drawn), found, map_=drawn)


def _vet(setup: Setup, load: str, **asked: Any) -> Made:
    from partcheck.jobs.vet.vet import vet
    from partcheck.report import records
    from partcheck.report.answers import vet as answer

    found = vet(setup, setup.load(load), Asked(**asked))
    return rendered(answer, records.vetted(found), found)


def _brightness(setup: Setup, ref: str, part: str | None = None) -> Made:
    from partcheck.jobs.light.brightness import brightness
    from partcheck.report import records
    from partcheck.report.answers import brightness as answer

    place = setup.reference(ref)
    found = brightness(setup, place, setup.part(place, part) if part is not None else None)
    return rendered(answer, records.brightened(found), found)


def _leds(setup: Setup, ref: str) -> Made:
    from partcheck.jobs.light.brightness import Wanted
    from partcheck.jobs.light.ranking import rank_brightness
    from partcheck.report import records
    from partcheck.report.answers import leds as answer

    found = rank_brightness(setup, setup.reference(ref), Wanted(), 4)
    return rendered(answer, records.brightness_ranked(found), found)


def _plan(setup: Setup, load: str, **asked: Any) -> Made:
    from partcheck.jobs.plan.plan import plan
    from partcheck.report import records
    from partcheck.report.answers import plan as answer

    found = plan(setup, setup.load(load), Asked(**asked))
    return rendered(answer, records.planned(found), found)


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
