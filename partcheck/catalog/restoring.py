"""Bringing a catalog back from a copy. What was there before is kept in a file of its own."""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import sqlalchemy as sa

from partcheck.catalog.copies import beside, clear, copy_into_file, copy_rows, is_empty, put, write_copy
from partcheck.catalog.faults import sentence, telling
from partcheck.catalog.migrate import migrate
from partcheck.catalog.opening import (
    PATIENCE,
    State,
    connect,
    for_writing,
    refuse,
    state_of,
    use_write_ahead_log,
)
from partcheck.catalog.place import CatalogPlace
from partcheck.catalog.tables import WIDE
from partcheck.catalog.verifying import damages, loose
from partcheck.errors import CatalogError
from partcheck.scratch import scratch


class Restored(NamedTuple):
    """How many parts there are now, and the file with what was there before, if there was anything."""

    parts: int
    kept: Path | None


def restore(place: CatalogPlace, file: Path, keep: Path | None) -> Restored:
    """Make the catalog at the place what the copy in ``file`` says, wholly or not at all.

    A catalog that can be used is changed in place and in one transaction, so others may go on using it. One that
    cannot (damaged, of another version) is put aside whole.
    """
    with _readable(file, place) as source:
        number = _count(source)
        if place.path is None:
            return Restored(number, _onto_server(place, source, keep))
        if not place.path.exists():
            _check_folder(place)
            _put_anew(place, source, replace=False)
            return Restored(number, None)
        state, why = _found(place)
        if state in (State.NEW, State.CURRENT):
            engine = connect(place, create=True)
            try:
                return Restored(number, _in_place(engine, place, source, keep))
            finally:
                engine.dispose()
        if state is State.FOREIGN:
            raise why or refuse(state, place.shown)
        kept = _free(keep, place)
        _put_aside(place.path, place.shown, kept)
        _put_anew(place, source, replace=True)
        return Restored(number, kept)


@contextmanager
def _readable(file: Path, place: CatalogPlace) -> Iterator[sa.Connection]:
    """The copy, open and in one moment; one of an older version is brought up to date in a copy of its own."""
    if not file.exists():
        raise CatalogError(f"there is no copy at {file}; name a file that was made by: partcheck catalog backup")
    if place.path is not None and place.path.exists() and place.path.samefile(file):
        raise CatalogError(f"{file} is the catalog itself; name the copy that it is to be restored from")
    copy = CatalogPlace(file, None, str(file))
    engine = connect(copy, create=False)
    with scratch() as folder:
        try:
            with telling(str(file)):
                state = state_of(engine)
            if state is State.OLDER:
                newer = folder / "newer.sqlite"
                write_copy(engine, str(file), newer)
                engine.dispose()
                engine = connect(CatalogPlace(newer, None, str(file)), create=False)
                with telling(str(file)):
                    migrate(engine, str(file))
                    state = state_of(engine)
            if state is not State.CURRENT:
                raise refuse(state, str(file))
            with telling(str(file)), engine.connect() as connection:
                if any(damages(connection)) or any(loose(connection)):
                    raise CatalogError(f"{file} is damaged, so nothing was restored; name another copy")
                yield connection
        finally:
            engine.dispose()


def _count(source: sa.Connection) -> int:
    return sum(source.execute(sa.select(sa.func.count()).select_from(table)).scalar_one() for table in WIDE.values())


def _onto_server(place: CatalogPlace, source: sa.Connection, keep: Path | None) -> Path | None:
    engine = connect(place, create=True)
    try:
        with telling(place.shown):
            state = state_of(engine)
            if state not in (State.NEW, State.CURRENT):
                raise refuse(state, place.shown)
        return _in_place(engine, place, source, keep)
    finally:
        engine.dispose()


def _in_place(engine: sa.Engine, place: CatalogPlace, source: sa.Connection, keep: Path | None) -> Path | None:
    """Change a usable catalog; the file with what it held, if it held anything."""
    with telling(place.shown):
        if state_of(engine) is State.NEW:
            if place.path is not None:
                use_write_ahead_log(engine, place.path)
            migrate(engine, place.shown)
        kept: list[Path] = []
        ready = False
        try:
            with for_writing(engine).begin() as target:
                if not is_empty(target):
                    wanted = _free(keep, place)
                    with beside(wanted) as made:
                        copy_into_file(target, made, wanted)
                        put(made, wanted, replace=False)
                    kept.append(wanted)
                clear(target)
                copy_rows(source, target)
                ready = True
        except BaseException:
            for copy in () if ready else kept:  # all is as it was, for certain
                copy.unlink(missing_ok=True)
            raise
        return kept[0] if kept else None


def _found(place: CatalogPlace) -> tuple[State | None, CatalogError | None]:
    """The state of the file; none where it is too damaged to have one. What is in use or no database is refused."""
    engine = None
    try:
        engine = connect(place, create=True)
        with telling(place.shown):
            state = state_of(engine)
            with engine.connect() as connection:
                whole = state is not State.CURRENT or not any(damages(connection))
            return (state, None) if whole else (None, None)
    except CatalogError as slip:
        if _is_damaged(slip):
            return None, slip
        raise
    finally:
        if engine is not None:
            engine.dispose()


def _is_damaged(slip: CatalogError) -> bool:
    name = getattr(slip.__cause__, "sqlite_errorname", "")
    return name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB"))


def _check_folder(place: CatalogPlace) -> None:
    assert place.path is not None
    if place.own:
        with suppress(OSError):
            place.path.parent.mkdir(parents=True, exist_ok=True)
    if not place.path.parent.is_dir():
        raise CatalogError(f"there is no folder {place.path.parent} for the catalog; make it or name another")


def _put_anew(place: CatalogPlace, source: sa.Connection, replace: bool) -> None:
    """Make the file of the catalog from nothing; it gets its name when it is finished."""
    assert place.path is not None
    with beside(place.path) as made:
        copy_into_file(source, made, place.path)
        engine = connect(CatalogPlace(made, None, place.shown), create=False)
        try:
            with telling(place.shown):
                use_write_ahead_log(engine, place.path)
        finally:
            engine.dispose()
        put(made, place.path, replace)


def _free(keep: Path | None, place: CatalogPlace) -> Path:
    """A name that no file has, for what is kept: the one asked for, else one beside the catalog with the time."""
    if keep is not None:
        if keep.exists():
            raise CatalogError(f"{keep} already exists; name another file to keep the present catalog in")
        if not keep.parent.is_dir():
            raise CatalogError(
                f"there is no folder {keep.parent} to keep the present catalog in; make it or name another"
            )
        return keep
    path = place.path or Path("catalog.sqlite")
    stem = f"{path.stem}-before-{datetime.now():%Y%m%d-%H%M%S}"
    names = [path.with_name(f"{stem}{f'-{n}' if n else ''}{path.suffix or '.sqlite'}") for n in range(100)]
    return next(name for name in names if not name.exists())


def _put_aside(path: Path, shown: str, kept: Path) -> None:
    """Keep an unusable file and what belongs to it under another name, while nobody has it open."""
    try:
        connection = sqlite3.connect(path, timeout=PATIENCE)
        try:
            connection.execute("PRAGMA journal_mode = DELETE")  # takes in what was written last, or finds it in use
        finally:
            connection.close()
    except sqlite3.Error as slip:
        if not str(getattr(slip, "sqlite_errorname", "")).startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
            raise CatalogError(sentence(slip, shown)) from slip
    try:
        shutil.copy2(path, kept)
        for end in ("-wal", "-journal", "-shm"):
            beside_it = path.with_name(path.name + end)
            if beside_it.exists():
                os.replace(beside_it, kept.with_name(kept.name + end))
    except OSError as slip:
        raise CatalogError(f"{shown} cannot be kept as {kept} ({slip.strerror}); name a place with --keep") from slip
