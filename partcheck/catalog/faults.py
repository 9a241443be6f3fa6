"""What a database says when it cannot, as a sentence for the user."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa

from partcheck.errors import CatalogError

_IN_USE = "is in use by another program; close it there or wait, then try again"
_READ_ONLY = "is read-only; make the file and its folder writable, or write to a copy"
_DAMAGED = "is damaged; restore it from a copy, or move it away and import the sheets again"
_NOT_AS_MADE = "does not have the tables of this version; restore it from a copy, or import the sheets again"

_SQLITE = {
    "BUSY": _IN_USE,
    "LOCKED": _IN_USE,
    "READONLY": _READ_ONLY,
    "PERM": _READ_ONLY,
    "CORRUPT": _DAMAGED,
    "NOTADB": _DAMAGED,
    "CANTOPEN": "cannot be opened; check the permissions of the file and its folder",
    "FULL": "cannot be written because the disk is full; make room and try again",
    "IOERR": "cannot be read or written because the disk fails; check the disk, then try again",
    "TOOBIG": "cannot hold a value so long; shorten the longest text",
    "CONSTRAINT": "was changed by somebody else at the same time; try again",
    "ERROR": _NOT_AS_MADE,
}
_POSTGRESQL = {
    "25006": _READ_ONLY,
    "42501": "may not be written by this user; ask its owner for the right",
    "55P03": _IN_USE,
    "40P01": _IN_USE,
    "23505": _SQLITE["CONSTRAINT"],
    "42P01": _NOT_AS_MADE,
    "42703": _NOT_AS_MADE,
}


def sentence(slip: BaseException, shown: str) -> str:
    """What went wrong with the catalog named ``shown``, and what to do."""
    name = getattr(slip, "sqlite_errorname", None)
    if isinstance(name, str):
        return f"{shown} {_SQLITE.get(name.split('_')[1], 'cannot be used (' + str(slip) + '); restore a copy')}"
    state = getattr(slip, "sqlstate", None)
    if isinstance(state, str) and state in _POSTGRESQL:
        return f"{shown} {_POSTGRESQL[state]}"
    return f"{shown} cannot be reached; check host, name, user and password, and that the server runs"


@contextmanager
def telling(shown: str) -> Iterator[None]:
    """Turn every fault of the database within into a :class:`CatalogError` about the catalog ``shown``."""
    try:
        yield
    except sa.exc.DBAPIError as slip:
        cause = slip.orig or slip
        raise CatalogError(sentence(cause, shown)) from (cause if isinstance(cause, sqlite3.Error) else None)
    except sqlite3.Error as slip:
        raise CatalogError(sentence(slip, shown)) from slip
