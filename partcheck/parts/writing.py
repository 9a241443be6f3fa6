"""Sheets as files: an XLSX workbook, or a folder of CSV files; each stands there whole or not at all."""

import csv
import gc
import io
import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from partcheck.errors import PartsError
from partcheck.outputs import objection
from partcheck.parts.layout import Cell, LaidSheet
from partcheck.parts.workbook import plain_number
from partcheck.scratch import folder_in

_LONGEST_CELL = 32_767  # characters (ISO/IEC 29500 leaves it open; every spreadsheet has this limit)
_LONGEST_CSV = 131_072
_MOST_ROWS = 1_048_576
_NO_XML = frozenset("\ufffe\uffff")


def check_free(path: Path, force: bool = False, reading: Iterable[Path] = ()) -> None:
    """Refuse to write over what is there, or into a folder that is not or holds something."""
    if path.is_dir() and any(path.iterdir()):
        raise PartsError(f"{path} is a folder with something in it; name another, or empty it")
    if not path.is_dir() and (said := objection(path, force, reading)):
        raise PartsError(said)


def write_sheets(path: Path, sheets: Iterable[LaidSheet], force: bool = False, one_file: bool = True) -> None:
    """Write sheets as what the name asks for: a workbook, a folder of CSV files or, for a few, CSV files side by side.

    ``mosfet.new.csv`` brings ``mosfet.new.rds_on.csv`` and so on with it, as reading it will.
    """
    suffix = path.suffix.casefold()
    if suffix == ".xlsx":
        check_free(path, force)
        write_workbook(path, sheets)
    elif suffix == ".csv" and one_file:
        _write_side_by_side(path, list(sheets), force)
    elif not suffix or path.is_dir():
        check_free(path)
        write_folder(path, sheets)
    else:
        forms = "in .xlsx, or .csv" if one_file else "in .xlsx or .json"
        raise PartsError(f"{path} is not a name for sheets; let it end {forms}, or name a folder for CSV files")


def _write_side_by_side(path: Path, sheets: Sequence[LaidSheet], force: bool) -> None:
    kinds = {laid.name.partition(".")[0] for laid in sheets} - {"provenance"}
    stem = path.name[: -len(path.suffix)]
    if kinds != {stem.partition(".")[0].casefold()}:
        wanted = f"{min(kinds)}.csv or a folder" if len(kinds) == 1 else "a folder"
        raise PartsError(f"{path} would not be read as {' and '.join(sorted(kinds))}; name {wanted}")
    tables = [laid.name.partition(".")[2] or (laid.name if laid.name == "provenance" else "") for laid in sheets]
    paths = [path.with_name(f"{stem}.{table}.csv") if table else path for table in tables]
    for each in paths:
        check_free(each, force)
    write_beside(list(zip(paths, sheets, strict=True)))


@contextmanager
def drafting(path: Path) -> Iterator[Path]:
    """A folder beside a file, to draft it in; what the disk refuses is told of the file itself."""
    try:
        with folder_in(path.absolute().parent) as folder:
            try:
                yield folder
            except BaseException:
                _close_within(str(folder))  # looks at every object there is: only where something went wrong
                raise
    except OSError as slip:
        why = f"{path} cannot be written ({slip.strerror or slip})"
        raise PartsError(f"{why}; make room or writable what it stands in, or name another file") from None


def _close_within(folder: str) -> None:
    """Close what a writer that broke off has left open: it would complain of the full disk once more, at the end."""
    for item in gc.get_objects():
        if isinstance(item, io.TextIOWrapper) and not item.closed and _is_within(item, folder):
            with suppress(OSError):
                item.close()


def _is_within(file: io.TextIOWrapper, folder: str) -> bool:
    try:
        return str(file.name).startswith(folder)
    except AttributeError:  # it stands for something that is no file
        return False


def write_text(path: Path, text: str) -> None:
    """Write a text file, whole or not at all."""
    with drafting(path) as folder:
        (folder / path.name).write_text(text, encoding="utf-8")
        os.replace(folder / path.name, path)


def write_beside(sheets: Sequence[tuple[Path, LaidSheet]]) -> None:
    """Write sheets as CSV files side by side, all of them or none; the first is the one that a message names."""
    if sheets:
        with drafting(sheets[0][0]) as folder:
            for path, laid in sheets:
                write_csv(folder / path.name, laid)
            for path, _ in sheets:
                os.replace(folder / path.name, path)


class _Packed(io.BytesIO):
    """Where a workbook is packed: a ZIP file that finds no room, or its file closed, complains uncaught at the end."""

    def close(self) -> None:
        """Stay open; the memory goes with the last who knows it."""


def write_workbook(path: Path, sheets: Iterable[LaidSheet]) -> None:
    """Write sheets as one XLSX workbook."""
    import xlsxwriter
    import xlsxwriter.exceptions

    with drafting(path) as folder:
        packed = _Packed()
        book = xlsxwriter.Workbook(
            packed,
            {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "tmpdir": str(folder)},
        )
        bold = book.add_format({"bold": True, "bottom": 1})
        grey = book.add_format({"italic": True, "font_color": "#606060"})
        text = book.add_format({"num_format": "@"})
        for laid in sheets:
            _write_sheet(book.add_worksheet(laid.name), laid, bold, grey, text)
        if not book.worksheets():
            book.add_worksheet("mosfet").write_row(0, 0, ["part_number", "maker"], bold)
        try:
            book.close()
        except xlsxwriter.exceptions.FileCreateError as slip:
            raise (slip.args[0] if slip.args and isinstance(slip.args[0], OSError) else OSError(str(slip))) from None
        (folder / path.name).write_bytes(packed.getbuffer())
        os.replace(folder / path.name, path)


def _write_sheet(sheet: Any, laid: LaidSheet, bold: Any, grey: Any, text: Any) -> None:
    sheet.freeze_panes(1, 2)
    for place, header in enumerate(laid.headers):
        as_text = header in ("part_number", "maker", "entered_on")  # no spreadsheet makes dates of these
        sheet.set_column(place, place, max(10, min(len(header) + 2, 30)), text if as_text else None)
        sheet.write_string(0, place, header, bold)
    if laid.meanings:
        for place, meaning in enumerate(laid.meanings):
            sheet.write_string(1, place, f"# {meaning}", grey)
        for place, words in laid.choices.items():
            sheet.data_validation(2, place, 9999, place, {"validate": "list", "source": list(words)})
    for number, row in enumerate(laid.rows, 2 if laid.meanings else 1):
        if number >= _MOST_ROWS:
            raise PartsError(f"{laid.name} has more rows than a workbook holds; write CSV or JSON instead")
        for place, cell in enumerate(row):
            if isinstance(cell, str):
                _check(cell, laid, row, place)
                sheet.write_string(number, place, cell)
            elif cell is not None:
                sheet.write_number(number, place, cell)


def _check(cell: str, laid: LaidSheet, row: Sequence[Cell], place: int) -> None:
    if len(cell) > _LONGEST_CELL or not _NO_XML.isdisjoint(cell):
        why = f"has {len(cell)} characters" if len(cell) > _LONGEST_CELL else "has a character that no workbook holds"
        header = laid.headers[place] if place < len(laid.headers) else place + 1
        raise PartsError(f"{header} of {row[0]} {why}; write .json instead, or shorten it")


def write_folder(folder: Path, sheets: Iterable[LaidSheet]) -> None:
    """Write sheets as CSV files in a folder; a folder that is there must be empty."""
    with drafting(folder) as beside:
        draft = beside / folder.name
        draft.mkdir()
        for laid in sheets:
            write_csv(draft / f"{laid.name}.csv", laid)
        if folder.is_dir():
            folder.rmdir()
        os.replace(draft, folder)


def write_csv(path: Path, laid: LaidSheet) -> None:
    """Write one sheet as a CSV file."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(laid.headers)
        if laid.meanings:
            writer.writerow([f"# {meaning}" for meaning in laid.meanings])
        for row in laid.rows:
            for place, cell in enumerate(row):
                if isinstance(cell, str) and len(cell) >= _LONGEST_CSV:
                    long = f"{laid.headers[place]} of {row[0]} has {len(cell)} characters"
                    raise PartsError(f"{long}; write .json instead, or shorten it")
            writer.writerow(["" if c is None else plain_number(c) if isinstance(c, float) else c for c in row])
