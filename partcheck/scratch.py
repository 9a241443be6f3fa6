"""Drafts of files, and folders for a while: gone at the end, and after a kill with the next one that is made there.

A draft is held with a lock of the system while it is in use, which a killed program gives back. Its name cannot be
guessed.
"""

import contextlib
import os
import re
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

PREFIX, ENDING = ".partcheck-", ".draft"
_OURS = re.compile(rf"{re.escape(PREFIX)}\w+{re.escape(ENDING)}")
_BESIDE = ("-journal", "-wal", "-shm")
"""What a database keeps beside a draft of it."""
FRESH = 2.0
"""Seconds in which a draft that nobody holds may be about to be held."""
UNKNOWN = 86400.0
"""The same where the system has no such locks: nobody drafts for a day."""
_swept: ContextVar[list[str] | None] = ContextVar("swept", default=None)


@contextmanager
def swept() -> Iterator[list[str]]:
    """Inside, the list tells which drafts of programs that were killed were taken away."""
    found: list[str] = []
    token = _swept.set(found)
    try:
        yield found
    finally:
        _swept.reset(token)


@contextmanager
def draft_of(target: Path) -> Iterator[Path]:
    """An empty file beside the target, which may be given its name; it is gone at the end. ``OSError`` as of a file."""
    parent = target.absolute().parent
    _sweep(parent)
    handle, name = tempfile.mkstemp(prefix=PREFIX, suffix=ENDING, dir=parent)
    made = Path(name)
    with _held(handle):
        try:
            yield made
        finally:
            _gone(made)


@contextmanager
def folder_in(parent: Path) -> Iterator[Path]:
    """An empty folder; it is gone at the end with all that is in it. ``OSError`` as of a file."""
    _sweep(parent)
    made = Path(tempfile.mkdtemp(prefix=PREFIX, suffix=ENDING, dir=parent))
    with _held(os.open(made, os.O_RDONLY) if fcntl is not None else None):
        try:
            yield made
        finally:
            shutil.rmtree(made, ignore_errors=True)


def tidy() -> list[str]:
    """Take away what killed programs have left in the system's place for folders; which they were."""
    with swept() as found:
        _sweep(Path(tempfile.gettempdir()))
    return found


def scratch() -> contextlib.AbstractContextManager[Path]:
    """An empty folder in the system's own place for such; it is gone at the end."""
    return folder_in(Path(tempfile.gettempdir()))


@contextmanager
def _held(handle: int | None) -> Iterator[None]:
    """Inside, nobody takes it for left over."""
    try:
        if handle is not None and fcntl is not None:
            with contextlib.suppress(OSError):  # a disk without locks
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        elif handle is not None:  # an open file could not be given another name
            os.close(handle)
            handle = None
        yield
    finally:
        if handle is not None:
            os.close(handle)


def _gone(made: Path) -> None:
    for end in ("", *_BESIDE):
        made.with_name(f"{made.name}{end}").unlink(missing_ok=True)


def _sweep(parent: Path) -> None:
    """Take away what programs that were killed have left there; what cannot be told or deleted stays."""
    try:
        found = [entry for entry in os.scandir(parent) if _OURS.fullmatch(entry.name) and not entry.is_symlink()]
    except OSError:
        return
    for entry in found:
        with contextlib.suppress(OSError):
            if _is_left(entry.path):
                _take_away(Path(entry.path))


def _take_away(left: Path) -> None:
    if left.is_dir():
        shutil.rmtree(left)
    else:
        _gone(left)
    told = _swept.get()
    if told is not None:
        told.append(str(left))


def _is_left(path: str) -> bool:
    """Whether a draft is this user's own and nobody holds it."""
    if fcntl is None:
        return time.time() - os.stat(path).st_mtime > UNKNOWN
    handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        found = os.fstat(handle)
        return found.st_uid == os.geteuid() and time.time() - found.st_mtime > FRESH
    finally:
        os.close(handle)
