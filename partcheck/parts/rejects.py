"""The rows that were not taken, as a file that can be corrected and read again.

It has the sheets, headers and cells of the file they came from, and one more column that says why; readers of sheets
pass over that column.
"""

import json
import re
from collections.abc import Iterator
from pathlib import Path

from partcheck.errors import PartsError
from partcheck.parts.documents import FORMAT
from partcheck.parts.grid import guarded, unguarded
from partcheck.parts.headers import REASON
from partcheck.parts.layout import Cell, LaidSheet
from partcheck.parts.names import sheet_name
from partcheck.parts.prices import is_plain_beside
from partcheck.parts.problems import BadCell, Problem
from partcheck.parts.sheet import Sheet
from partcheck.parts.sheets import Collected
from partcheck.parts.workbook import plain_number
from partcheck.parts.writing import check_free, write_beside, write_folder, write_text, write_workbook

_NUMBER = re.compile(r"[+-](?:[0-9]+[.,]?[0-9]*)(?: ?[^\s=+|!()'-]{1,6})?")
_FLOAT = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")


def check_rejects(source: Path, target: Path, force: bool = False) -> None:
    """Refuse a file of rejects that could not hold what the source holds, before anything is read."""
    check_free(target, force, [source])
    kinds = {".xlsx": (".xlsx",), ".json": (".json",), ".csv": (".csv", "")}
    allowed = ("",) if source.is_dir() else kinds.get(source.suffix.casefold(), ())
    if target.suffix.casefold() not in allowed:
        wanted = " or ".join(f"a name that ends in {kind}" if kind else "a folder" for kind in allowed)
        raise PartsError(f"{target} cannot hold rows of {source}; give {wanted or 'another file'}")
    if target.suffix.casefold() == ".csv":
        own, other = sheet_name(source.name), sheet_name(target.name)
        if other.table or (other.kind != own.kind):
            raise PartsError(f"{target} would not be read as {own.kind}; start its name with {own.kind}.")


def write_rejects(target: Path, found: Collected, force: bool = False) -> int:
    """Write what was rejected; how many parts or rows of parts that were."""
    if target.suffix.casefold() == ".json":
        _write_records(target, found)
        return len(found.records)
    laid = [(sheet, _laid(sheet, found)) for sheet in found.sheets]
    some = [(sheet, made) for sheet, made in laid if made.rows]
    sheets = [made for _, made in some]
    if target.suffix.casefold() == ".xlsx":
        write_workbook(target, iter(sheets))
    elif target.suffix.casefold() == ".csv":
        _write_beside(target, some, force)
    else:
        write_folder(target, iter(sheets))
    return sum(len(list(made.rows)) for sheet, made in some)


def _write_beside(target: Path, some: list[tuple[Sheet, LaidSheet]], force: bool) -> None:
    """A main sheet under its own name, and the sheets of its points and sources under names that go with it."""
    stem = target.name[: -len(target.suffix)]
    paths = []
    for sheet, made in some:
        table = sheet_name(sheet.grid.file).table
        paths.append((target.with_name(f"{stem}.{table}.csv") if table else target, made))
        check_free(paths[-1][0], force)
    write_beside(paths)


def _laid(sheet: Sheet, found: Collected) -> LaidSheet:
    reasons: dict[int, list[BadCell]] = {}
    for cell in sheet.bad:
        reasons.setdefault(cell.row, []).append(cell)
    rows = [
        [*_cells(sheet, number, cells), _reason(reasons.get(number, []))]
        for number, cells in _original(sheet)
        if (sheet.name, number) in found.rejected
    ]
    if rows and sheet.unit_row is not None:
        rows.insert(0, [*_cells(sheet, sheet.header, sheet.unit_row), None])
    name = sheet.grid.sheet or sheet.grid.file.removesuffix(".csv")
    return LaidSheet(name, [*sheet.headers, REASON], [], {}, rows)


def _original(sheet: Sheet) -> Iterator[tuple[int, list[str]]]:
    """The rows as they stand in the file, below the header."""
    return ((number, cells) for number, cells in sheet.grid.rows if number > sheet.header)


def _reason(cells: list[BadCell]) -> str:
    if not cells:
        return "goes with a row that has a bad cell"
    told = []
    for cell in cells:
        column = cell.header or cell.column
        told.append(f"{column}: {Problem(cell.column, cell.text, cell.reason, cell.suggestion)}")
    return guarded(" | ".join(told))


def _cells(sheet: Sheet, number: int, cells: list[str]) -> list[Cell]:
    """A row as it stands, as wide as the header; what a spreadsheet would run is guarded."""
    width = len(sheet.headers)
    made: list[Cell] = []
    for place in range(width):
        text = cells[place] if place < len(cells) else ""
        if (number, place) in sheet.grid.faults:
            name = sheet.columns[place] if place < len(sheet.columns) else ""
            if not text.startswith("#"):  # where texts stand, a formula as a text would be taken for one that is meant
                text = guarded(text) if sheet.is_number(name) else "#VALUE!"
        elif beside := _beside(sheet, number, place):
            text = guarded(f"{text} {beside}")
        elif _is_number(sheet, number, place, text):
            made.append(float(text))
            continue
        elif not _NUMBER.fullmatch(text.strip()) and unguarded(text) == text:
            text = guarded(text)
        made.append(text or None)
    return made


def _beside(sheet: Sheet, number: int, place: int) -> str:
    """What the number format wrote beside a price or a quantity: a bare number would be another one."""
    name = sheet.columns[place] if place < len(sheet.columns) else ""
    text = sheet.grid.beside.get((number, place), "") if name in ("price", "quantity") else ""
    return "" if (name == "quantity" and is_plain_beside(name, text)) or text == "$" else text


def _is_number(sheet: Sheet, number: int, place: int, text: str) -> bool:
    """Whether a cell was a number in its workbook, or is the same one, under a header that asks for one.

    A text whose point may stand between thousands is not: as a number it would be taken without a question.
    """
    if (number, place) in sheet.grid.pointed or (sheet.comma and "." in text):
        return False
    name = sheet.columns[place] if place < len(sheet.columns) else ""
    if not sheet.grid.sheet or not sheet.is_number(name) or not _FLOAT.fullmatch(text):
        return False
    return plain_number(float(text)) == text


def _write_records(target: Path, found: Collected) -> None:
    records = [{**record, REASON: why} if isinstance(record, dict) else record for record, why in found.records]
    text = json.dumps({"format": FORMAT, "parts": records}, ensure_ascii=False, indent=1)
    write_text(target, text + "\n")
