"""Columns of a large catalog kept as files beside its database, so that they need not be read from it each time.

A snapshot is never needed and never believed unless it is of the catalog as it is: it names the last change, and
size and time of the database file, which whatever writes to it moves, partcheck or not. It is drafted in a file of
its own that then takes its name, so that a program killed at any moment leaves the old one, or none. Where the folder
cannot be written or a file cannot be read, the columns come from the database.
"""

import json
import mmap
import os
import tempfile
import time
import zlib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np

from partcheck.parameters import KINDS
from partcheck.stock.laid import Laid

FEWEST = 5000
"""Parts of one kind from which on a snapshot saves more than it costs."""
SETTLED = 2.0
"""Seconds for which the database must have been left alone: the time of a file is not finer than that everywhere."""
LEFT_OVER = 600.0
"""Seconds after which a draft belongs to a program that was killed."""
_START = b"partcheck columns 1\n"
_ALIGNED = 64


def folder_of(database: Path) -> Path:
    """Where the snapshots of a catalog are: ``parts.sqlite.columns`` beside ``parts.sqlite``."""
    return database.with_name(f"{database.name}.columns")


def state_of_file(database: Path) -> list[int]:
    """What every write to the database moves: size and time of the file and of its log."""
    made: list[int] = []
    for path in (database, database.with_name(f"{database.name}-wal")):
        try:
            found = path.stat()
        except OSError:
            found = None
        made += [found.st_size, found.st_mtime_ns] if found is not None and found.st_size else [0, 0]
    return made


def read_snapshot(database: Path, kind: str, revision: object) -> Laid | None:
    """The columns of a kind, if there is a snapshot of the catalog as it is."""
    try:
        with (folder_of(database) / kind).open("rb") as file:
            head = file.readline(100), file.readline(100)
            size, check = (int(each) for each in head[1].split())
            text = file.read(size)
            if head[0] != _START or zlib.crc32(text) != check:
                return None
            told = json.loads(text)
            if told["of"] != _identity(kind, revision) or os.fstat(file.fileno()).st_size != told["size"]:
                return None
            whole = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
    except (OSError, ValueError, KeyError, TypeError, IndexError):
        return None
    arrays = {
        name: np.frombuffer(whole, np.dtype(kept), count, told["begins"] + offset)
        for name, (kept, count, offset) in told["arrays"].items()
    }
    return Laid(kind, arrays, told["words"])


def write_snapshot(database: Path, laid: Laid, revision: object, state: list[int]) -> bool:
    """Keep the columns for the next time, if the database has been left alone and the folder can be written."""
    newest = max(state[1], state[3]) / 1e9
    if laid.count < FEWEST or not 0 <= newest < time.time() - SETTLED or state_of_file(database) != state:
        return False
    folder = folder_of(database)
    try:
        folder.mkdir(exist_ok=True)
        _clear(folder)
        handle, draft = tempfile.mkstemp(prefix=f".{laid.kind}.", dir=folder)
        try:
            with os.fdopen(handle, "wb") as file:
                for piece in _pieces(laid, _identity(laid.kind, revision)):
                    file.write(piece)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(draft, database.stat().st_mode & 0o666)
            os.replace(draft, folder / laid.kind)
        except BaseException:
            Path(draft).unlink(missing_ok=True)
            raise
    except OSError:
        return False
    return True


def _identity(kind: str, revision: object) -> Any:
    """What a snapshot must be of: the catalog as it is, and a kind as it is declared here."""
    declared = zlib.crc32(repr(KINDS[kind]).encode())
    return json.loads(json.dumps([revision, declared]))


def _pieces(laid: Laid, identity: Any) -> Iterator[Any]:
    specs: dict[str, tuple[str, int, int]] = {}
    offset = 0
    for name, array in laid.arrays.items():
        specs[name] = (array.dtype.str, len(array), offset)
        offset += -(-array.nbytes // _ALIGNED) * _ALIGNED
    head = _head(identity, laid.words, specs, 0, 0)
    begins = -(-(len(head) + 200) // _ALIGNED) * _ALIGNED
    head = _head(identity, laid.words, specs, begins, begins + offset)
    yield head + bytes(begins - len(head))
    for array in laid.arrays.values():
        yield np.ascontiguousarray(array).view(np.uint8).data
        yield bytes(-array.nbytes % _ALIGNED)


def _head(identity: Any, words: Mapping[str, Any], specs: Mapping[str, Any], begins: int, size: int) -> bytes:
    told = {"of": identity, "words": words, "arrays": specs, "begins": begins, "size": size}
    text = json.dumps(told).encode()
    return _START + f"{len(text)} {zlib.crc32(text)}\n".encode() + text


def _clear(folder: Path) -> None:
    """Take away drafts of programs that were killed."""
    for path in folder.glob(".*"):
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > LEFT_OVER:
                path.unlink()
