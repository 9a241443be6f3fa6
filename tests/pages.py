"""Every page of the sample scenario, with its record and its Markdown, and those about the sample catalog (``tests/made.py`` makes them once)."""

import json
import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from partcheck.catalog import open_catalog
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.report import document as d
from tests.command import BOARD, SAMPLES
from tests.draws import LONG
from tests.valves import valve_bench


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
    from partcheck.report.answers.swap import document as answer
    from partcheck.report.answers.swap.record import record

    found = swap(setup, setup.reference(ref))
    return rendered(answer, record(found), found)


def _explain(setup: Setup, ref: str, part: str | None = None) -> Made:
    from partcheck.jobs.check.part import explain_part
    from partcheck.report.answers.explain import document as answer
    from partcheck.report.answers.explain.record import record

    place = setup.reference(ref)
    found = explain_part(setup, place, setup.part(place, part) if part is not None else None)
    return rendered(answer, record(found), found)


def _check(setup: Setup) -> Made:
    from partcheck.jobs.check.board import check
    from partcheck.report.answers.check import document as answer
    from partcheck.report.answers.check.record import record

    found = check(setup)
    return rendered(answer, record(found), found)


def _limits(setup: Setup, load: str | None = None) -> Made:
    from partcheck.jobs.sweep.limits import limits
    from partcheck.jobs.sweep.map import map_of
    from partcheck.report.answers.limits import document as answer
    from partcheck.report.answers.limits.record import record

    found = limits(setup, setup.load(load) if load is not None else None)
    drawn = map_of(found, 48, 32) if load is not None else None
    return rendered(answer, record(found, drawn), found, map_=drawn)


def _vet(setup: Setup, load: str, **asked: Any) -> Made:
    from partcheck.jobs.vet.vet import vet
    from partcheck.report.answers.vet import document as answer
    from partcheck.report.answers.vet.record import record

    found = vet(setup, setup.load(load), Asked(**asked))
    return rendered(answer, record(found), found)


def _brightness(setup: Setup, ref: str, part: str | None = None) -> Made:
    from partcheck.jobs.light.brightness import brightness
    from partcheck.report.answers.brightness import document as answer
    from partcheck.report.answers.brightness.record import record

    place = setup.reference(ref)
    found = brightness(setup, place, setup.part(place, part) if part is not None else None)
    return rendered(answer, record(found), found)


def _leds(setup: Setup, ref: str) -> Made:
    from partcheck.jobs.light.ranking import rank_brightness
    from partcheck.jobs.light.wanted import WantedLight
    from partcheck.report.answers.leds import document as answer
    from partcheck.report.answers.leds.record import record

    found = rank_brightness(setup, setup.reference(ref), WantedLight(), 4)
    return rendered(answer, record(found), found)


def _plan(setup: Setup, load: str, **asked: Any) -> Made:
    from partcheck.jobs.plan.plan import plan
    from partcheck.report.answers.plan import document as answer
    from partcheck.report.answers.plan.record import record

    found = plan(setup, setup.load(load), Asked(**asked))
    return rendered(answer, record(found), found)


def _ask(setup: Setup, topic: str, **typed: str) -> Made:
    from partcheck.jobs.ask.ask import ask
    from partcheck.jobs.ask.topics import TOPICS
    from partcheck.report.answers.ask import document as answer
    from partcheck.report.answers.ask.record import record

    stated = {name.replace("_", "-"): text for name, text in typed.items()}
    found = ask(TOPICS[topic], stated, setup.asked.parts, setup.asked.catalog, setup.asked.policy)
    return rendered(answer, record(found), found)


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
    "ask": lambda setup: _ask(
        setup,
        "mosfet",
        part="TALQ-30N52",
        voltage="12 V",
        resistance="24 Ω",
        inductance="60 mH",
        diode="ARFJ-S60A",
        drive="5 V",
        gate_resistor="470 Ω",
    ),
    "plan": lambda setup: _plan(setup, "FV1", voltage="15 V ±5 %", sets=("load.tower.inrush_factor=5",)),
}


def made(name: str) -> Made:
    """An answer on the sample board, or about the sample catalog."""
    if name in CATALOG_ANSWERS:
        return CATALOG_ANSWERS[name](filled())
    return made_from(name, BOARD, SAMPLES)


# ---- answers about the catalog

LEDS = """part_number,maker,vr_max [V],notes
HOLL-3R60,Hollin Optics,6,changed
L-NEW,Acme,5,
L-BAD,Acme,five,
"""
"""A sheet with a part that is new, one that changes, and one that cannot be taken."""


class Filled(NamedTuple):
    """A catalog with the samples in it, one of them changed and accepted."""

    place: Path
    sheet: Path


_FOLDERS: list[tempfile.TemporaryDirectory[str]] = []


@cache
def filled() -> Filled:
    """The sample catalog, made once and taken away with the process."""
    from dataclasses import replace

    from partcheck.jobs.decisions.accept import accept
    from partcheck.parts import read_parts

    _FOLDERS.append(tempfile.TemporaryDirectory())
    place, sheet = Path(_FOLDERS[-1].name) / "catalog.sqlite", Path(_FOLDERS[-1].name) / "led.csv"
    sheet.write_text(LEDS, encoding="utf-8")
    with open_catalog(place, create=True) as catalog:
        catalog.enter(catalog.compare(read_parts(SAMPLES)), "Jo", "2026-01-05T09:00:00+00:00", "samples")
        part = catalog.part("MOBY-F60-70")
        changed = replace(part, values={**part.values, "vds_max": 55.0})
        catalog.change(changed, part, "Kim", "2026-01-06T09:00:00+00:00", "edit", "rev. D of the datasheet")
    setup = open_setup(BOARD, [SAMPLES], str(place))
    accept(setup, setup.reference("Q2"), setup.part(setup.reference("Q2"), "MOBY-F60-70"), by="Jo", note="in stock")
    return Filled(place, sheet)


def drawn(document: d.Document, record: Any) -> Made:
    """A document in its three forms, beside its record."""
    from partcheck.report.render import html, markdown, text

    kept = json.loads(record) if isinstance(record, str) else record.model_dump(mode="json")
    return Made(html.render(document), kept, markdown.render(document), text.render(document))


def _listed(at: Filled) -> Made:
    from partcheck.parts.documents import to_document
    from partcheck.report.answers.parts.document import listed

    with open_catalog(at.place) as catalog:
        parts = catalog.parts("led")
    return drawn(listed(parts, "led", str(at.place)), to_document(parts))


def _shown(at: Filled) -> Made:
    from partcheck.parts.documents import to_document
    from partcheck.report.answers.parts.document import shown

    with open_catalog(at.place) as catalog:
        part = catalog.part("MOBY-F60-70")
    return drawn(shown(part, str(at.place)), to_document([part]))


def _found(at: Filled) -> Made:
    from partcheck.parts.search import Query
    from partcheck.report.answers.find.document import document
    from partcheck.report.answers.find.record import record

    query = Query("mosfet", ["eas >= 1 mJ"], sort=["price"], show=["rds_on.max"])
    with open_catalog(at.place) as catalog:
        answer = catalog.search(query)
    return drawn(document(answer, str(at.place)), record(answer, str(at.place)))


def _history(at: Filled) -> Made:
    from partcheck.report.answers.history.document import document
    from partcheck.report.answers.history.record import record

    with open_catalog(at.place) as catalog:
        entries = catalog.entries("MOBY-F60-70")
        uses = {identity: catalog.uses(*identity) for identity in entries}
    return drawn(document(entries, uses, str(at.place)), record(entries, uses, str(at.place)))


def _undo(at: Filled) -> Made:
    from partcheck.report.answers.history.document import undone
    from partcheck.report.answers.history.record import undone as undone_record

    with open_catalog(at.place) as catalog:
        last = catalog.last_change()
    assert last is not None
    return drawn(undone(last, False, str(at.place)), undone_record(last, False, str(at.place)))


def _imported(at: Filled, preview: bool) -> Made:
    from partcheck.jobs.entry.importing import Ways, import_parts, read_for_import
    from partcheck.parts.mapping import Mapping, Reading
    from partcheck.report.answers.importing.document import document
    from partcheck.report.answers.importing.record import record

    place = at.place
    if not preview:
        place = at.place.with_name("imported.sqlite")
        shutil.copy(at.place, place)
    reading, rejects = Reading(Mapping()), at.sheet.with_name("led.rejected.csv")
    rejects.unlink(missing_ok=True)  # of the other of the two
    found = read_for_import(at.sheet, reading, rejects)
    when = "2026-01-07T09:00:00+00:00"
    made = import_parts(
        at.sheet, found, str(place), "Jo", when, lambda differences: None, reading, rejects, Ways(preview)
    )
    return drawn(document(made, ["led.csv: one column was passed over"]), record(made))


def _reviewed(at: Filled) -> Made:
    from partcheck.parts.review import review
    from partcheck.report.answers.review.document import document
    from partcheck.report.answers.review.record import record

    with open_catalog(at.place) as catalog:
        parts = catalog.parts("mosfet")
    doubts, where = review(parts, parts), str(at.place)
    return drawn(document(doubts, len(parts), where), record(doubts, len(parts), where))


def _fleet(at: Filled) -> Made:
    from partcheck.jobs.fleet.changes import read_changes
    from partcheck.jobs.fleet.fleet import Sources, fleet
    from partcheck.report.answers.fleet.document import document
    from partcheck.report.answers.fleet.record import record

    changes = read_changes(["TALQ-30N52"], ["MOBY-F60-70.vds_max=20 V"])
    found = fleet([BOARD], changes, Sources((SAMPLES,)))
    return drawn(document(found), record(found))


def _verified(at: Filled) -> Made:
    from partcheck.catalog import look_through
    from partcheck.report.answers.verify.document import document
    from partcheck.report.answers.verify.record import record

    place = at.place.with_name("damaged.sqlite")
    shutil.copy(at.place, place)
    with sqlite3.connect(place) as raw:
        raw.execute("UPDATE mosfet SET vds_max = 500000 WHERE id = 3")
    raw.close()
    found, where = look_through(str(place))
    return drawn(document(found, where), record(found, where))


def _accepted(at: Filled) -> Made:
    from partcheck.jobs.decisions.stale import records as look
    from partcheck.report.answers.decisions.document import in_full
    from partcheck.report.answers.decisions.record import recorded as recorded_record

    found = look(str(at.place), None, 1, False)
    return drawn(in_full(found.standings[0]), recorded_record(found))


def _evidence(at: Filled) -> Made:
    from partcheck.jobs.evidence.evidence import evidence
    from partcheck.report.answers.evidence.document import document
    from partcheck.report.answers.evidence.record import record

    found = evidence("mosfet-switch:drain-current")
    return drawn(document(found), record(found))


CATALOG_ANSWERS: dict[str, Callable[[Filled], Made]] = {
    "list": _listed,
    "show": _shown,
    "find": _found,
    "history": _history,
    "undo": _undo,
    "import": lambda at: _imported(at, False),
    "import-preview": lambda at: _imported(at, True),
    "review": _reviewed,
    "fleet": _fleet,
    "verify": _verified,
    "record": _accepted,
    "evidence": _evidence,
}


def made_from(name: str, board: Path, parts: Path) -> Made:
    """An answer on another board that has the same references."""
    return ANSWERS[name](_opened(board, parts))


@lru_cache(maxsize=1)
def _opened(board: Path, parts: Path) -> Setup:
    """A board that is asked one question after the other, as pages in a browser ask it."""
    return open_setup(board, [parts])


NASTY = "<script>alert(1)</script>\"'&\u05d0</svg><b>{{7*7}}$x$|`" + "W" * 60
TURNED = f"\u202e{NASTY}"
"""With a mark that turns the direction of writing; sheets of parts refuse it, a board's name may hold it."""


def hostile_samples(folder: Path) -> Path:
    """A board with a maker, a part, a load and a drive whose names try to be markup, as its own does: its path.

    It is the sample in the long run, else three of its channels.
    """
    samples = folder / "samples"
    folder.mkdir(exist_ok=True)
    if LONG:
        shutil.copytree(SAMPLES, samples)
    else:
        valve_bench(samples, three=True)
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
