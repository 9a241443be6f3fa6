"""A sheet of parts: brought, looked at with every difference and bad cell, its headers mapped, then entered."""

import hashlib
import io
import json
import shutil
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.datastructures import FormData, UploadFile

from partcheck.catalog import WriteOutcome
from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.entry.importing import Difference, Imported, Ways, import_parts, read_for_import, refuse_bad
from partcheck.parameters import KINDS
from partcheck.parts.mapping import (
    UNKNOWN,
    MappedColumn,
    Mapping,
    Reading,
    SheetMap,
    holdings,
    mapping_text,
    read_mapping,
)
from partcheck.parts.rejects import write_rejects
from partcheck.parts.search import names_of
from partcheck.parts.sheets import Collected
from partcheck.report import document as d
from partcheck.report.answers.importing.document import differences as told_differences
from partcheck.report.answers.importing.document import document as answer
from partcheck.report.answers.importing.document import new as told_new
from partcheck.report.answers.review.document import note
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.pages import blocks, page, words
from partcheck.serve.routes.catalog import Written, catalog_ways
from partcheck.serve.uploads import MOST_FILES, Upload
from partcheck.serve.writing import login, now, who, word

router = APIRouter()
MOST_SHOWN = 2000
"""Differences that a page lists one by one."""


class _NotAsSeen(UsageError):
    """The catalog would change in another way than was shown."""


@dataclass
class Brought:
    """A sheet as it is to be read: what is mapped, and how it is entered."""

    upload: Upload
    mapping: Mapping
    merge: bool
    keep_good: bool
    slips: tuple[str, ...] = ()
    """What was typed about headers and cannot be read."""


@router.get("/catalog/import", response_class=HTMLResponse, include_in_schema=False)
def choose(request: Request, bench: OnBench) -> Response:
    """Choose a sheet."""
    return page(request, bench, "catalog_import.html", "Import a sheet", ways=catalog_ways(request), by=login())


@router.post("/catalog/import", response_class=HTMLResponse, include_in_schema=False)
def bring(request: Request, bench: OnBench, form: Written) -> Response:
    """A sheet that comes, and what entering it would do."""
    given = [each for each in form.getlist("sheet") if isinstance(each, UploadFile) and each.filename]
    upload = bench.uploads.keep([(str(each.filename), each.file.read()) for each in given])
    mapping = Mapping()
    file = form.get("map")
    if isinstance(file, UploadFile) and file.filename:
        mapping = _mapping_of(upload, file.file.read().decode("utf-8", "replace"))
    if word(form, "decimal") in ("comma", "point"):
        mapping.decimal_comma = word(form, "decimal") == "comma"
        for said in mapping.sheets.values():
            said.decimal = ""
    return _preview(request, bench, Brought(upload, mapping, bool(word(form, "merge")), False))


@router.post("/catalog/import/again", response_class=HTMLResponse, include_in_schema=False)
def again(request: Request, bench: OnBench, form: Written) -> Response:
    """The same sheet with other headers or ways."""
    return _preview(request, bench, _brought(bench, form))


@router.post("/catalog/import/enter", response_class=HTMLResponse, include_in_schema=False)
def enter(request: Request, bench: OnBench, form: Written) -> Response:
    """Enter what was shown, all or nothing."""
    brought = _brought(bench, form)
    if brought.slips:
        return _preview(request, bench, brought)
    seen = word(form, "seen")

    def agree(found: list[Difference]) -> None:
        if _digest(found) != seen:
            raise _NotAsSeen("the catalog would change in another way than was shown; look at it again")

    reading = _reading(brought)
    target = _rejects(brought.upload) if brought.keep_good else None
    try:
        found = read_for_import(brought.upload.source, reading, target, True)
        refuse_bad(brought.upload.source, found, target)
        ways = Ways(False, True, brought.merge)
        done = import_parts(
            brought.upload.source, found, bench.serving.catalog, who(form), now(), agree, reading, target, ways
        )
    except PartcheckError as slip:
        return _preview(request, bench, brought, str(slip))
    shown = replace(done, source=Path(brought.upload.source.name), rejects=None)
    document = answer(shown, reading.notes)
    made = page(
        request,
        bench,
        "catalog_imported.html",
        "Imported",
        ways=catalog_ways(request),
        heading=words(document.title),
        found=blocks(document.blocks),
        doubtful=note(done.doubts).partition(";")[0],
        rejected=done.rejected_rows,
        upload=brought.upload.token,
        mapping=mapping_text(brought.mapping),
        merge=brought.merge,
    )
    if not done.rejected_rows:
        bench.uploads.forget(brought.upload.token)
    return made


@router.post("/catalog/import/rejects", include_in_schema=False)
def rejects(bench: OnBench, form: Written) -> Response:
    """The rejected rows as a file, to be mended and brought again."""
    brought = _brought(bench, form)
    target = _rejects(brought.upload)
    found = read_for_import(brought.upload.source, _reading(brought), target, True)
    if not write_rejects(target, found, True):
        raise UsageError("no row of this sheet is rejected")
    beside = sorted(each for each in target.parent.rglob("*") if each.is_file())
    name = f"rejects-{brought.upload.source.name}"
    if len(beside) == 1:
        data, name = beside[0].read_bytes(), f"rejects-{beside[0].name}"
    else:
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
            for each in beside:
                file.write(each, each.name)
        data, name = packed.getvalue(), f"{name}.zip"
    plain = "".join(letter if letter.isascii() and (letter.isalnum() or letter in ".-_") else "-" for letter in name)
    return Response(
        data, media_type="application/octet-stream", headers={"content-disposition": f'attachment; filename="{plain}"'}
    )


@router.post("/catalog/import/forget", include_in_schema=False)
def forget(bench: OnBench, form: Written) -> Response:
    """Throw the sheet away; nothing was entered."""
    bench.uploads.forget(word(form, "upload"))
    return RedirectResponse("/catalog/import", 303)


def _rejects(upload: Upload) -> Path:
    """Where rejected rows go: a folder of its own, made anew each time."""
    folder = upload.folder / "rejects"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    return folder / upload.source.name if upload.source.is_file() else folder / "sheets"


def _reading(brought: Brought) -> Reading:
    return Reading(brought.mapping, merge=brought.merge)


def _digest(found: list[Difference]) -> str:
    said = [(each.part.kind, *each.part.key, each.column, each.where, each.former, each.new) for each in found]
    return hashlib.sha256(json.dumps(said, ensure_ascii=False, default=str).encode()).hexdigest()


# ---- what is typed about headers


def _brought(bench: Bench, form: FormData) -> Brought:
    upload = bench.uploads.get(word(form, "upload"))
    mapping = _mapping_of(upload, word(form, "mapping"))
    slips: list[str] = []
    for i in range(len(form)):
        name = word(form, f"m.{i}.name")
        if f"m.{i}.name" not in form:
            break
        said = mapping.sheets.setdefault(name, SheetMap())
        holds, header = word(form, f"m.{i}.holds"), word(form, f"m.{i}.header")
        said.holds = holds if holds in holdings() else ""
        said.header = int(header) if header.isascii() and header.isdecimal() and len(header) < 6 else 0
        said.columns = dict(_columns(form, f"m.{i}", slips))
    checked = _mapping_of(upload, mapping_text(mapping))
    return Brought(upload, checked, _on(form, "merge"), _on(form, "keep_good"), tuple(slips))


def _on(form: FormData, name: str) -> bool:
    return word(form, name) == "yes"


def _columns(form: FormData, sheet: str, slips: list[str]) -> Iterator[tuple[str, MappedColumn]]:
    for j in range(len(form)):
        if f"{sheet}.{j}.of" not in form:
            return
        header = word(form, f"{sheet}.{j}.of")
        column, unit = (word(form, f"{sheet}.{j}.{key}").strip() for key in ("column", "unit"))
        if not column or column == UNKNOWN:
            continue
        try:
            at = _conditions(word(form, f"{sheet}.{j}.at"), header)
        except UsageError as slip:
            slips.append(str(slip))
            at = {}
        if at and "." not in column:
            slips.append(f"'{header}' has conditions, but {column} is not a value of a table; write such as rds_on.max")
            at = {}
        yield header, MappedColumn(column, unit, at)


def _conditions(text: str, header: str) -> dict[str, str]:
    made = {}
    for piece in filter(None, (each.strip() for each in text.split(";"))):
        name, equals, value = (each.strip() for each in piece.partition("="))
        if not equals or not name or not value:
            raise UsageError(f"the conditions of '{header}' are written as 'vgs = 4.5 V; id = 2 A', not {piece!r}")
        made[name] = value
    return made


def _mapping_of(upload: Upload, text: str) -> Mapping:
    if not text.strip():
        return Mapping()
    path = upload.folder / "mapping.toml"
    path.write_text(text, "utf-8")
    try:
        return read_mapping(path)
    except PartcheckError as slip:
        raise UsageError(str(slip).replace(str(path), "the mapping")) from None


# ---- what entering it would do


def _preview(request: Request, bench: Bench, brought: Brought, sentence: str = "") -> Response:
    sentence = sentence or "; ".join(brought.slips)
    reading = _reading(brought)
    found, done, given = Collected(), None, brought.upload.source
    try:
        found = read_for_import(given, reading, None)
        done = Imported(Path(given.name), "", True, WriteOutcome(0, 0, 0), bad=found.bad)
        if _can_be_entered(brought, found):
            ways = Ways(True, False, brought.merge)
            done = import_parts(
                given, found, bench.serving.catalog, who(FormData()), now(), _silent, reading, None, ways
            )
            done.source = Path(given.name)
    except PartcheckError as slip:
        sentence = sentence or str(slip)
    sentence = sentence.replace(f"{given}: ", "").replace(str(given), given.name)
    document = answer(done, reading.notes) if done is not None else None
    return page(
        request,
        bench,
        "catalog_import_preview.html",
        "Import a sheet",
        200 if done is not None and not sentence else 400,
        ways=catalog_ways(request),
        upload=brought.upload.token,
        name=given.name if given.is_file() else "several sheets",
        sentence=sentence,
        found=blocks(_shown(document, done)) if document is not None and done is not None else "",
        bad=len(done.bad) if done is not None else 0,
        good=len(found.parts),
        enterable=done is not None and bool(done.outcome.added or done.outcome.changed),
        cleared=done.outcome.cleared if done is not None else 0,
        seen=_digest(done.differences) if done is not None else "",
        mapping=mapping_text(_used(brought, reading)),
        sheets=list(_used(brought, reading).sheets.items()),
        holdings=holdings(),
        names=sorted({name for kind in KINDS.values() for name in names_of(kind)}),
        merge=brought.merge,
        keep_good=brought.keep_good,
        by=login(),
    )


def _silent(found: list[Difference]) -> None:
    """Nothing is asked while it is only shown."""


def _can_be_entered(brought: Brought, found: Collected) -> bool:
    try:
        refuse_bad(brought.upload.source, found, _rejects(brought.upload) if found.bad else None)
    except PartcheckError:
        return False
    return bool(found.parts)


def _used(brought: Brought, reading: Reading) -> Mapping:
    """The mapping as it was applied; of a CSV file that was not understood, where to begin."""
    made = reading.used if reading.used.sheets else brought.mapping
    folder = brought.upload.source
    for path in sorted(folder.iterdir()) if folder.is_dir() else [folder]:
        if path.suffix.casefold() == ".csv":
            made.sheets.setdefault(path.name.removesuffix(".csv"), SheetMap())
    return made


def _shown(document: d.Document, done: Imported) -> list[d.Block | None]:
    """The report with every difference and the first new parts."""
    kept = [
        block
        for block in document.blocks
        if not (isinstance(block, d.Section) and block.title in (("New",), ("Changes",)))
    ]
    return [*kept, told_new(done, MOST_SHOWN), told_differences(done.differences, MOST_SHOWN)]


__all__ = ["MOST_FILES", "router"]
