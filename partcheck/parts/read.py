"""Parts from a file or a folder of files."""

from os.path import isdir
from pathlib import Path

from partcheck.errors import PartsError
from partcheck.inputs import is_pipe, piped_once
from partcheck.parts.documents import collect_document
from partcheck.parts.files import read_text
from partcheck.parts.mapping import Reading
from partcheck.parts.part import Part
from partcheck.parts.problems import BadCell, refuse
from partcheck.parts.sheets import (
    Collected,
    Seen,
    collect_file,
    collect_folder,
    collect_pipe,
    collect_workbook,
    csv_files,
)


def read_parts(path: Path | str) -> list[Part]:
    """All parts of a CSV, XLSX or JSON file, or of all CSV and JSON files of a folder.

    :class:`PartsError` where anything is wrong: its sentence counts the bad cells, its ``details`` have one
    sentence for each cause. ``read_parts("parts/mosfet.csv")``.
    """
    parts, bad = collect_parts(path)
    refuse(bad)
    return parts


def collect_parts(path: Path | str) -> tuple[list[Part], list[BadCell]]:
    """As :func:`read_parts`, but hands back what is good and what is bad; for an import in part."""
    found = collect(path, Reading())
    return found.parts, found.bad


def collect(path: Path | str, reading: Reading) -> Collected:
    """What a file or folder holds, read as ``reading`` says: good parts, bad cells, rejected rows."""
    path = Path(path)
    seen: Seen = {}
    if isdir(path):
        return _folder(path, seen, reading)
    if is_pipe(path):
        return _pipe(path, seen, reading)
    suffix = path.suffix.casefold()
    if suffix == ".json":
        return collect_document(path, seen)
    if suffix == ".csv":
        return collect_file(path, seen, reading)
    if suffix == ".xlsx":
        return collect_workbook(path, seen, reading)
    if path.is_file():
        from partcheck.parts.workbook import refuse_name

        refuse_name(path)
    read_text(path)  # says what is wrong with it first
    raise PartsError(f"{path} is neither .csv, .xlsx nor .json; rename it to say what it is")


def _pipe(path: Path, seen: Seen, reading: Reading) -> Collected:
    """What is piped in: JSON where it begins as such, else CSV."""
    with piped_once():
        if read_text(path, piped=True).lstrip()[0] in "{[":
            return collect_document(path, seen, piped=True)
        return collect_pipe(path, seen, reading)


def _folder(folder: Path, seen: Seen, reading: Reading) -> Collected:
    sheets = csv_files(folder)
    documents = sorted(p for p in folder.iterdir() if p.suffix.casefold() == ".json" and p.name[0] not in ".~")
    if not sheets and not documents:
        raise PartsError(f"{folder} holds no .csv or .json file of parts; name the folder that does")
    found = collect_folder(sheets, seen, reading)
    for path in documents:
        found += collect_document(path, seen)
    return found
