"""Parts from a file or a folder of files."""

from os.path import isdir
from pathlib import Path

from partcheck.errors import PartsError
from partcheck.parts.documents import collect_document
from partcheck.parts.files import read_text
from partcheck.parts.part import Part
from partcheck.parts.problems import BadCell, refuse
from partcheck.parts.sheets import Seen, collect_file, collect_folder, csv_files


def read_parts(path: Path | str) -> list[Part]:
    """All parts of a CSV or JSON file, or of all such files of a folder.

    :class:`PartsError` where anything is wrong: its sentence counts the bad cells, its ``details`` have one
    sentence for each. ``read_parts("parts/mosfet.csv")``.
    """
    parts, bad = collect_parts(path)
    refuse(bad)
    return parts


def collect_parts(path: Path | str) -> tuple[list[Part], list[BadCell]]:
    """As :func:`read_parts`, but hands back what is good and what is bad; for an import in part."""
    path = Path(path)
    seen: Seen = {}
    if isdir(path):
        return _folder(path, seen)
    if path.suffix.casefold() == ".json":
        return collect_document(path, seen)
    if path.suffix.casefold() == ".csv":
        return collect_file(path, seen)
    read_text(path)  # says what is wrong with it first
    raise PartsError(f"{path} is neither .csv nor .json; name it by what it is")


def _folder(folder: Path, seen: Seen) -> tuple[list[Part], list[BadCell]]:
    sheets = csv_files(folder)
    documents = sorted(p for p in folder.iterdir() if p.suffix.casefold() == ".json" and p.name[0] not in ".~")
    if not sheets and not documents:
        raise PartsError(f"{folder} holds no .csv or .json file of parts; name the folder that does")
    parts, bad = collect_folder(sheets, seen)
    for path in documents:
        more, worse = collect_document(path, seen)
        parts += more
        bad += worse
    return parts, bad
