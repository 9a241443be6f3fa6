"""A sheet of parts: brought, looked at with every difference and bad cell, its headers mapped, then entered."""

import io
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.datastructures import FormData, UploadFile

from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.entry.importing import Difference, Ways, import_parts, read_for_import, refuse_bad
from partcheck.parts.mapping import UNKNOWN, MappedColumn, Mapping, SheetMap, holdings, mapping_text
from partcheck.parts.rejects import write_rejects
from partcheck.report.answers.importing.document import document as answer
from partcheck.report.answers.review.document import note
from partcheck.serve.bench import Bench, OnBench
from partcheck.serve.long import LongWork
from partcheck.serve.pages import blocks, page, words
from partcheck.serve.previewing import Brought, digest, mapping_of, reading, rejects_of
from partcheck.serve.routes.catalog import Written, catalog_ways
from partcheck.serve.streamed import awaited
from partcheck.serve.uploads import MOST_FILES
from partcheck.serve.writing import login, now, who, word

router = APIRouter()


class _NotAsSeen(UsageError):
    """The catalog would change in another way than was shown."""


@router.get("/catalog/import", response_class=HTMLResponse, include_in_schema=False)
def choose(request: Request, bench: OnBench) -> Response:
    """Choose a sheet."""
    return page(request, bench, "catalog_import.html", "Import a sheet", ways=catalog_ways(request), by=login())


@router.post("/catalog/import", response_class=HTMLResponse, include_in_schema=False)
async def bring(request: Request, bench: OnBench, form: Written) -> Response:
    """A sheet that comes, and what entering it would do."""
    return await _preview(request, bench, await run_in_threadpool(_taken, bench, form))


def _taken(bench: Bench, form: FormData) -> Brought:
    """A sheet as it comes with its form, kept."""
    given = [each for each in form.getlist("sheet") if isinstance(each, UploadFile) and each.filename]
    upload = bench.uploads.keep([(str(each.filename), each.file.read()) for each in given])
    mapping = Mapping()
    file = form.get("map")
    if isinstance(file, UploadFile) and file.filename:
        mapping = mapping_of(upload, file.file.read().decode("utf-8", "replace"))
    if word(form, "decimal") in ("comma", "point"):
        mapping.decimal_comma = word(form, "decimal") == "comma"
        for said in mapping.sheets.values():
            said.decimal = ""
    return Brought(upload, mapping, bool(word(form, "merge")), False)


@router.post("/catalog/import/again", response_class=HTMLResponse, include_in_schema=False)
async def again(request: Request, bench: OnBench, form: Written) -> Response:
    """The same sheet with other headers or ways."""
    return await _preview(request, bench, await run_in_threadpool(_brought, bench, form))


@router.post("/catalog/import/enter", response_class=HTMLResponse, include_in_schema=False)
async def enter(request: Request, bench: OnBench, form: Written) -> Response:
    """Enter what was shown, all or nothing."""
    brought = await run_in_threadpool(_brought, bench, form)
    if brought.slips:
        return await _preview(request, bench, brought)
    try:
        return await run_in_threadpool(_entered, request, bench, brought, form)
    except PartcheckError as slip:
        return await _preview(request, bench, brought, str(slip))


async def _preview(request: Request, bench: Bench, brought: Brought, sentence: str = "") -> Response:
    """What entering it would do; whoever leaves while it is worked out ends the work."""
    stated = {"brought": brought, "sentence": sentence or "; ".join(brought.slips)}
    values = await awaited(request, bench, LongWork("preview", stated=stated), None)
    code = 200 if values.pop("fine") else 400
    return page(
        request,
        bench,
        "catalog_import_preview.html",
        "Import a sheet",
        code,
        ways=catalog_ways(request),
        by=login(),
        **values,
    )


def _entered(request: Request, bench: Bench, brought: Brought, form: FormData) -> Response:
    seen = word(form, "seen")

    def agree(found: list[Difference]) -> None:
        if digest(found) != seen:
            raise _NotAsSeen("the catalog would change in another way than was shown; look at it again")

    how = reading(brought)
    target = rejects_of(brought.upload) if brought.keep_good else None
    found = read_for_import(brought.upload.source, how, target, True)
    refuse_bad(brought.upload.source, found, target)
    ways = Ways(False, True, brought.merge)
    done = import_parts(brought.upload.source, found, bench.serving.catalog, who(form), now(), agree, how, target, ways)
    shown = replace(done, source=Path(brought.upload.source.name), rejects=None)
    document = answer(shown, how.notes)
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
    """The rejected rows as a file, to be corrected and brought again."""
    brought = _brought(bench, form)
    target = rejects_of(brought.upload)
    found = read_for_import(brought.upload.source, reading(brought), target, True)
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


# ---- what is typed about headers


def _brought(bench: Bench, form: FormData) -> Brought:
    upload = bench.uploads.get(word(form, "upload"))
    mapping = mapping_of(upload, word(form, "mapping"))
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
    checked = mapping_of(upload, mapping_text(mapping))
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


__all__ = ["MOST_FILES", "router"]
