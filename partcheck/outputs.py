"""The one rule for every file that is written.

A file that is there stays, unless replacing it was asked for; one that is being read, and a database, stay even then.
What is written is drafted beside it and given its name when it is whole: a full disk or a kill leaves what was there.
"""

import os
from collections.abc import Iterable
from pathlib import Path

from partcheck.errors import UsageError
from partcheck.scratch import draft_of

READ_IN_FOLDERS = (".csv", ".json")
_DATABASE = b"SQLite format 3"


def objection(target: Path, force: bool = False, reading: Iterable[Path] = ()) -> str:
    """Why a file may not be written, as a sentence; empty where it may. ``reading`` are files and folders in use."""
    if target.is_dir():
        return f"{target} is a folder; name the file to write in it"
    if not target.absolute().parent.is_dir():
        return f"there is no folder {target.parent} to write in; make it or name another"
    if not os.path.lexists(target) or (target.exists() and not target.is_file()):
        return ""  # nothing is there; or a device or a pipe, which keeps nothing
    if target.exists() and any(_is_read(target, source) for source in reading):
        return f"{target} is one of the files that are read here; name another file"
    if target.exists() and _is_database(target):
        return f"{target} is a database, perhaps a catalog; name another file"
    return "" if force else f"{target} already exists; name another file, or give --force to replace it"


def _is_read(target: Path, source: Path) -> bool:
    if not source.exists():
        return False
    if source.is_dir():
        return target.suffix.casefold() in READ_IN_FOLDERS and target.resolve().parent == source.resolve()
    return target.samefile(source)


def _is_database(target: Path) -> bool:
    try:
        with target.open("rb") as file:
            return file.read(len(_DATABASE)) == _DATABASE
    except OSError:  # not for us to read: nobody knows what it is
        return True


def write_text(target: Path, text: str) -> None:
    """Write a text file whole or not at all; a device or a pipe is written to as it is."""
    try:
        if target.exists() and not target.is_file():
            target.write_text(text, encoding="utf-8")
            return
        with draft_of(target) as draft:
            _fill(draft, text)
            os.replace(draft, target)
    except OSError as slip:
        raise UsageError(f"{target} cannot be written ({slip.strerror}); name a file in a folder of your own") from None


def write_new(target: Path, text: str) -> None:
    """Write a text file that is not there yet, whole or not at all; of two who write it at once one is refused."""
    refused = UsageError(f"{target.name} already exists; choose another name")
    if os.path.lexists(target):
        raise refused
    try:
        with draft_of(target) as draft:
            _fill(draft, text)
            os.link(draft, target)
    except FileExistsError:
        raise refused from None
    except OSError as slip:
        raise UsageError(f"{target.name} cannot be written ({slip.strerror}); choose another name or folder") from None


def _fill(draft: Path, text: str) -> None:
    with draft.open("w", encoding="utf-8", newline="") as out:
        out.write(text)
    mask = os.umask(0)
    os.umask(mask)
    draft.chmod(0o666 & ~mask)
