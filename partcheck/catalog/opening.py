"""Opening a catalog: what is found at its place, and the sentence for each thing that is no catalog."""

import os
import sqlite3
import stat
from contextlib import suppress
from enum import StrEnum
from pathlib import Path

import sqlalchemy as sa

from partcheck.catalog.faults import READ_ONLY, fault, sentence, telling
from partcheck.catalog.place import CatalogPlace
from partcheck.catalog.tables import metadata
from partcheck.errors import CatalogError, NoCatalogYet, UnsoundCatalog

HEAD = "0003"
"""The newest migration in ``db/versions``; opening compares with this, which spares loading Alembic."""
PATIENCE = 2.0
"""Seconds to wait for another program that writes."""
ANSWER_WITHIN = 10
"""Seconds to wait for a server to answer at all."""
_WRITES = "partcheck_writes"
_TURN = 7_226_834_117
"""The number of the lock that writers on a server take turns at; any number that nobody else uses."""
MOUNTS = Path("/proc/self/mounts")
_NETWORKS = frozenset({"nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "afs", "9p", "ceph", "glusterfs", "sshfs"})
_MAGIC = b"SQLite format 3\0"
_IMPORT = "make one with: partcheck catalog import FILE"


class State(StrEnum):
    """What is found in a database."""

    NEW = "new"
    CURRENT = "current"
    OLDER = "older"
    NEWER = "newer"
    HALF = "half"
    FOREIGN = "foreign"


_SENTENCES = {
    State.NEW: f"holds no parts and no tables yet; {_IMPORT}",
    State.OLDER: "was made by an older version of partcheck; update it with: partcheck catalog upgrade",
    State.NEWER: "was made by a newer version of partcheck; install that version",
    State.HALF: "is half set up by an upgrade that was interrupted; restore a copy or import the sheets again",
    State.FOREIGN: f"is a database, but not one of partcheck's; name another file, or {_IMPORT}",
}


def refuse(state: State, shown: str) -> CatalogError:
    """The error for a database that cannot be used as it is."""
    made = {State.HALF: UnsoundCatalog, State.NEW: NoCatalogYet}.get(state, CatalogError)
    return made(f"{shown} {_SENTENCES[state]}")


def connect(place: CatalogPlace, create: bool) -> sa.Engine:
    """An engine on the place, or :class:`CatalogError`; with ``create`` a missing file is made."""
    if place.url is not None:
        return _server(place.url, place.shown)
    assert place.path is not None
    path = place.path
    _check_file(path, place, create)
    why = ""
    mode = "rwc" if create and not path.exists() else "rw"
    if mode == "rw":
        mode, why = _usable_mode(path, place.shown)
    return _file_engine(path, mode, why)


def for_writing(engine: sa.Engine) -> sa.Engine:
    """The engine for a transaction that writes: one writer at a time, and each sees all that was written before."""
    if engine.dialect.name == "sqlite":
        return engine.execution_options(**{_WRITES: True})
    # a snapshot would be taken before the turn came
    return engine.execution_options(**{_WRITES: True}, isolation_level="READ COMMITTED")


def state_of(engine: sa.Engine) -> State:
    """Which of the states the database is in."""
    with engine.connect() as connection:
        names = _table_names(connection)
        ours = names & set(metadata.tables)
        if not names:
            return State.NEW
        if "alembic_version" not in names:
            return State.HALF if ours else State.FOREIGN
        rows = connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalars().all()
    if not ours and not (len(names) == 1 and not rows):
        return State.FOREIGN
    if len(rows) != 1 or (rows[0] == HEAD and len(ours) < len(metadata.tables)):
        return State.HALF
    version = str(rows[0])
    if not version.isdecimal():
        return State.FOREIGN
    return State.CURRENT if version == HEAD else State.OLDER if version < HEAD else State.NEWER


def _table_names(connection: sa.Connection) -> set[str]:
    if connection.dialect.name != "sqlite":
        return set(sa.inspect(connection).get_table_names())
    # the inspector costs several times as much, and every opening asks
    query = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite~_%' ESCAPE '~'"
    return set(connection.exec_driver_sql(query).scalars())


def _check_file(path: Path, place: CatalogPlace, create: bool) -> None:
    """Refuse whatever cannot be a catalog before any database looks at it (which would make a file)."""
    shown = place.shown
    try:
        found = path.stat()
    except FileNotFoundError:
        _check_missing(path, place, create)
        return
    except (OSError, ValueError) as slip:
        why = slip.strerror if isinstance(slip, OSError) else "no file can have that name"
        raise CatalogError(f"{shown} cannot be opened ({why}); check its name and permissions") from slip
    if stat.S_ISDIR(found.st_mode):
        raise CatalogError(f"{shown} is a folder, not a catalog; name the file in it")
    if not stat.S_ISREG(found.st_mode):
        raise CatalogError(f"{shown} is not an ordinary file; name the file of the catalog")
    try:
        with path.open("rb") as file:
            start = file.read(len(_MAGIC))
    except OSError as slip:
        raise CatalogError(f"{shown} cannot be read ({slip.strerror}); check its permissions") from slip
    if not start and create:
        return
    if not start:
        raise NoCatalogYet(f"{shown} is an empty file, not a catalog; delete it, then {_IMPORT}")
    if start != _MAGIC:
        raise CatalogError(f"{shown} is not a database; name the catalog, or {_IMPORT}")


def _check_missing(path: Path, place: CatalogPlace, create: bool) -> None:
    if not create:
        raise NoCatalogYet(f"there is no catalog at {place.shown}; {_IMPORT}")
    try:
        if place.own:
            path.parent.mkdir(parents=True, exist_ok=True)
        if not path.parent.is_dir():
            raise CatalogError(f"there is no folder {path.parent} to make the catalog in; make it or name another")
    except OSError as slip:
        raise CatalogError(f"the folder {path.parent} cannot be made ({slip.strerror}); name another file") from slip


def _uri(path: Path, mode: str) -> str:
    return f"{path.absolute().as_uri()}?mode={mode}"


def _usable_mode(path: Path, shown: str) -> tuple[str, str]:
    """How the file can be opened: for writing, else for reading only, and then the sentence for who wants to write."""
    try:
        _look(path, "rw")
        return "rw", ""
    except sqlite3.Error as slip:
        if not getattr(slip, "sqlite_errorname", "").startswith(
            ("SQLITE_CANTOPEN", "SQLITE_READONLY", "SQLITE_IOERR_SHM")
        ):
            raise fault(slip, shown) from slip
        why = sentence(slip, shown) if "SHM" in slip.sqlite_errorname else f"{shown} {READ_ONLY}"
        log = path.with_name(path.name + "-wal")
        with suppress(sqlite3.Error):
            _look(path, "ro")  # somebody else may be writing it
            return "ro", why
        if log.exists() and log.stat().st_size:
            raise fault(slip, shown) from slip
        return "ro&immutable=1", why


def _look(path: Path, mode: str) -> None:
    connection = sqlite3.connect(_uri(path, mode), uri=True, timeout=PATIENCE)
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    finally:
        connection.close()


def _file_engine(path: Path, mode: str, why: str) -> sa.Engine:
    def open_file() -> sqlite3.Connection:
        connection = sqlite3.connect(
            _uri(path, mode), uri=True, timeout=PATIENCE, isolation_level=None, check_same_thread=False
        )
        connection.execute("PRAGMA foreign_keys = ON")
        return connection

    engine = sa.create_engine("sqlite://", creator=open_file, poolclass=sa.QueuePool)

    @sa.event.listens_for(engine, "begin")
    def begin(connection: sa.Connection) -> None:
        # Python's own transactions would leave CREATE TABLE outside; a writer takes its lock at once
        writes = connection.get_execution_options().get(_WRITES)
        if writes and why:
            raise CatalogError(why)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _server(url: sa.URL, shown: str) -> sa.Engine:
    patience = {} if "connect_timeout" in url.query else {"connect_timeout": ANSWER_WITHIN}
    try:
        # what belongs together is read in several queries: all of them see the catalog of one moment
        engine = sa.create_engine(url, isolation_level="REPEATABLE READ", pool_pre_ping=True, connect_args=patience)
    except ImportError as slip:
        how = "python -m pip install 'partcheck[postgres]'"
        raise CatalogError(f"{shown} needs the Python package {slip.name}; install it with: {how}") from slip

    @sa.event.listens_for(engine, "begin")
    def begin(connection: sa.Connection) -> None:
        if connection.get_execution_options().get(_WRITES):
            connection.exec_driver_sql(f"SET LOCAL lock_timeout = {max(1, int(PATIENCE * 1000))}")
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_TURN})")

    try:
        with telling(shown), engine.connect():
            return engine
    except (ValueError, TypeError, OSError):  # an option or a name that the driver cannot even send
        raise CatalogError(f"{shown} cannot be reached; check the address and its options") from None


def use_write_ahead_log(engine: sa.Engine, path: Path | None) -> None:
    """Let readers go on while somebody writes, where the file's disk can do that; it stays so."""
    if path is not None and not _on_network(path):
        raw = engine.raw_connection()
        try:
            raw.cursor().execute("PRAGMA journal_mode = WAL")
        finally:
            raw.close()


def _on_network(path: Path) -> bool:
    """Whether the file is on another machine's disk, as far as can be told: the log needs memory that all share."""
    where = str(path.absolute().parent)
    if where.startswith(("\\\\", "//")):
        return True
    try:
        mounts = [line.split() for line in MOUNTS.read_text(encoding="utf-8", errors="replace").splitlines()]
    except OSError:
        return False
    real = Path(os.path.realpath(where))
    over = [(len(m[1]), m[2]) for m in mounts if len(m) > 2 and real.is_relative_to(m[1].replace("\\040", " "))]
    return bool(over) and max(over)[1].removeprefix("fuse.") in _NETWORKS
