"""What entering a sheet would do, looked at in a process of its own: every difference, every bad cell, its headers."""

import hashlib
import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.datastructures import FormData

from partcheck.catalog import WriteOutcome
from partcheck.errors import PartcheckError, UsageError
from partcheck.jobs.entry.importing import Difference, Imported, Ways, import_parts, read_for_import, refuse_bad
from partcheck.parameters import KINDS
from partcheck.parts.mapping import Mapping, Reading, SheetMap, holdings, mapping_text, read_mapping
from partcheck.parts.search import names_of
from partcheck.parts.sheets import Collected
from partcheck.report import document as d
from partcheck.report.answers.importing.document import differences as told_differences
from partcheck.report.answers.importing.document import document as answer
from partcheck.report.answers.importing.document import new as told_new
from partcheck.serve.pages import blocks
from partcheck.serve.uploads import Upload
from partcheck.serve.writing import now, who

MOST_SHOWN = 2000
"""Differences that a page lists one by one."""


@dataclass
class Brought:
    """A sheet as it is to be read: what is mapped, and how it is entered."""

    upload: Upload
    mapping: Mapping
    merge: bool
    keep_good: bool
    slips: tuple[str, ...] = ()
    """What was typed about headers and cannot be read."""


def rejects_of(upload: Upload) -> Path:
    """Where rejected rows go: a folder of its own, made anew each time."""
    folder = upload.folder / "rejects"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    return folder / upload.source.name if upload.source.is_file() else folder / "sheets"


def reading(brought: Brought) -> Reading:
    """How the sheet is read."""
    return Reading(brought.mapping, merge=brought.merge)


def digest(found: list[Difference]) -> str:
    """What tells whether the catalog would change as it was shown."""
    said = [(each.part.kind, *each.part.key, each.column, each.where, each.former, each.new) for each in found]
    return hashlib.sha256(json.dumps(said, ensure_ascii=False, default=str).encode()).hexdigest()


def mapping_of(upload: Upload, text: str) -> Mapping:
    """A mapping as it was typed or brought; it is written beside the sheet."""
    if not text.strip():
        return Mapping()
    path = upload.folder / "mapping.toml"
    path.write_text(text, "utf-8")
    try:
        return read_mapping(path)
    except PartcheckError as slip:
        raise UsageError(str(slip).replace(str(path), "the mapping")) from None


def previewed(brought: Brought, catalog: str | None, sentence: str) -> dict[str, Any]:
    """What the page of a sheet shows; ``sentence`` says why it was not entered, where somebody tried."""
    how = reading(brought)
    found, done, given = Collected(), None, brought.upload.source
    try:
        found = read_for_import(given, how, None)
        done = Imported(Path(given.name), "", True, WriteOutcome(0, 0, 0), bad=found.bad)
        if _can_be_entered(brought, found):
            ways = Ways(True, False, brought.merge)
            done = import_parts(given, found, catalog, who(FormData()), now(), _silent, how, None, ways)
            done.source = Path(given.name)
    except PartcheckError as slip:
        sentence = sentence or str(slip)
    sentence = sentence.replace(f"{given}: ", "").replace(str(given), given.name)
    document = answer(done, how.notes) if done is not None else None
    return {
        "upload": brought.upload.token,
        "name": given.name if given.is_file() else "several sheets",
        "sentence": sentence,
        "fine": done is not None and not sentence,
        "found": blocks(_shown(document, done)) if document is not None and done is not None else "",
        "bad": len(done.bad) if done is not None else 0,
        "good": len(found.parts) + len(found.general),
        "enterable": done is not None and bool(done.outcome.added or done.outcome.changed),
        "cleared": done.outcome.cleared if done is not None else 0,
        "seen": digest(done.differences) if done is not None else "",
        "mapping": mapping_text(_used(brought, how)),
        "sheets": list(_used(brought, how).sheets.items()),
        "holdings": holdings(),
        "names": sorted({name for kind in KINDS.values() for name in names_of(kind)}),
        "merge": brought.merge,
        "keep_good": brought.keep_good,
    }


def _silent(found: list[Difference]) -> None:
    """Nothing is asked while it is only shown."""


def _can_be_entered(brought: Brought, found: Collected) -> bool:
    try:
        refuse_bad(brought.upload.source, found, rejects_of(brought.upload) if found.bad else None)
    except PartcheckError:
        return False
    return bool(found.parts or found.general)


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
