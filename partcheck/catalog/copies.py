"""Copies of a whole catalog: to a file while it is in use, and back.

A backup is a catalog file like any other, whatever database the catalog is in.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import sqlalchemy as sa

from partcheck.catalog.faults import sentence, telling
from partcheck.catalog.migrate import migrate
from partcheck.catalog.opening import connect, for_writing
from partcheck.catalog.place import CatalogPlace
from partcheck.catalog.tables import metadata
from partcheck.errors import CatalogError
from partcheck.scratch import draft_of

_AT_ONCE = 2000
_OURS = ("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_BUSY", "SQLITE_LOCKED")
"""What goes wrong while copying that is about the catalog and not about the copy."""


def write_copy(engine: sa.Engine, shown: str, file: Path, replace: bool = False) -> None:
    """Copy all of the catalog, as it is at one moment, into the file: wholly or not at all."""
    _check_target(file, replace)
    with beside(file) as made:
        if engine.dialect.name == "sqlite":
            _copy_pages(engine, shown, made, file)
        else:
            with telling(shown), engine.connect() as connection:
                copy_into_file(connection, made, file)
        put(made, file, replace)


def copy_into_file(source: sa.Connection, made: Path, file: Path) -> None:
    """Make a catalog in the empty file ``made`` (which will be ``file``) of all rows that the transaction sees."""
    engine = connect(CatalogPlace(made, None, str(file)), create=True)
    try:
        with telling(str(file)):
            migrate(engine, str(file))
            with for_writing(engine).begin() as target:
                copy_rows(source, target)
    finally:
        engine.dispose()


def copy_rows(source: sa.Connection, target: sa.Connection) -> None:
    """Copy every row of every table, numbers of the rows included, into tables that are empty."""
    for table in metadata.sorted_tables:
        for rows in source.execute(sa.select(table)).mappings().partitions(_AT_ONCE):
            target.execute(sa.insert(table), [dict(row) for row in rows])
        counted = table.autoincrement_column
        if target.dialect.name == "postgresql" and counted is not None:  # the next number goes on from there
            last = sa.select(sa.func.coalesce(sa.func.max(counted), 0) + 1).scalar_subquery()
            target.execute(
                sa.select(sa.func.setval(sa.func.pg_get_serial_sequence(table.name, counted.name), last, False))
            )


def clear(target: sa.Connection) -> None:
    """Take every row out of every table."""
    for table in reversed(metadata.sorted_tables):
        target.execute(sa.delete(table))


def is_empty(connection: sa.Connection) -> bool:
    """Whether no table has a row."""
    return not any(
        connection.execute(sa.select(sa.literal(1)).select_from(t).limit(1)).first() for t in metadata.sorted_tables
    )


def _copy_pages(engine: sa.Engine, shown: str, made: Path, file: Path) -> None:
    with telling(shown), engine.connect() as connection:
        connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar_one()  # from here on one moment
        source = connection.connection.driver_connection
        assert isinstance(source, sqlite3.Connection)
        try:
            target = sqlite3.connect(made)
            try:
                source.backup(target)
                target.execute("PRAGMA journal_mode = DELETE")  # one file, which a read-only medium can hold
                sound = target.execute("PRAGMA integrity_check").fetchone()
            finally:
                target.close()
        except sqlite3.Error as slip:
            about = shown if str(getattr(slip, "sqlite_errorname", "")).startswith(_OURS) else str(file)
            raise CatalogError(sentence(slip, about)) from slip
        if sound != ("ok",):
            raise CatalogError(f"{shown} is damaged, so no copy was made; see: partcheck catalog verify")


def _check_target(file: Path, replace: bool) -> None:
    """Refuse what a copy may not be written to."""
    if not file.parent.is_dir():
        raise CatalogError(f"there is no folder {file.parent} to write {file.name} to; make it or name another")
    if file.is_dir():
        raise CatalogError(f"{file} is a folder; name a file in it")
    if not file.exists():
        return
    if not file.is_file():
        raise CatalogError(f"{file} is not an ordinary file; name another")
    if not replace:
        raise CatalogError(f"{file} already exists; name another file, or give --replace")
    log = file.with_name(f"{file.name}-wal")
    if log.exists() and log.stat().st_size:
        raise CatalogError(f"{file} is a catalog in use, not an earlier copy; name another file")
    with file.open("rb") as opened:
        if opened.read(15) != b"SQLite format 3":
            raise CatalogError(f"{file} is not an earlier copy of a catalog; name another file")


@contextmanager
def beside(file: Path) -> Iterator[Path]:
    """An empty file of another name in the same folder; it is gone at the end unless it was given its name."""
    with ExitStack() as stack:
        try:
            made = stack.enter_context(draft_of(file))
        except OSError as slip:
            raise CatalogError(f"{file} cannot be written ({slip.strerror}); name a file in another folder") from slip
        yield made


def put(made: Path, file: Path, replace: bool) -> None:
    """Give a finished file its name, at once; without ``replace`` a file of that name stays."""
    try:
        mask = os.umask(0)
        os.umask(mask)
        made.chmod(0o666 & ~mask)
        with made.open("rb+") as written:
            os.fsync(written.fileno())
        if not replace and _linked(made, file):
            return
        if not replace and file.exists():
            raise FileExistsError
        made.replace(file)
    except FileExistsError:
        raise CatalogError(f"{file} was made by somebody else meanwhile; name another file") from None
    except OSError as slip:
        raise CatalogError(f"{file} cannot be written ({slip.strerror}); name another file") from slip


def _linked(made: Path, file: Path) -> bool:
    """Whether the file could be given a second name; not every disk can do that."""
    try:
        os.link(made, file)
    except FileExistsError:
        raise
    except OSError:
        return False
    return True
