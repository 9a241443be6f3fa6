"""What a database says when it cannot, as a sentence for the user."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa

from partcheck.errors import CatalogError, UnsoundCatalog

_IN_USE = "is in use by another program; close it there or wait, then try again"
READ_ONLY = "is read-only; make the file and its folder writable, or write to a copy"
_READ_ONLY_SERVER = "is read-only; ask its owner, or name another catalog"
_DAMAGED = "is damaged; restore it from a copy, or move it away and import the sheets again"
_NOT_AS_MADE = "does not have the tables of this version; restore it from a copy, or import the sheets again"

_SQLITE = {
    "BUSY": _IN_USE,
    "LOCKED": _IN_USE,
    "READONLY": READ_ONLY,
    "PERM": READ_ONLY,
    "CORRUPT": _DAMAGED,
    "NOTADB": _DAMAGED,
    "CANTOPEN": "cannot be opened; check the permissions of the file and its folder",
    "PROTOCOL": _IN_USE,
    "FULL": "cannot be written because the disk is full; make room and try again",
    "IOERR": "cannot be read or written because the disk fails; check the disk, then try again",
    "TOOBIG": "cannot hold a value that long; shorten the longest text",
    "CONSTRAINT": "was changed by somebody else at the same time; try again",
    "ERROR": _NOT_AS_MADE,
}
_STOPPED = "was stopped or closed the connection; try again, and ask who runs the server"
_FULL = "has no room left; ask who runs the server to make some, then try again"
_POSTGRESQL = {
    "25006": _READ_ONLY_SERVER,
    "42501": "may not be used in this way by this user; ask its owner for the right",
    "55P03": _IN_USE,
    "40P01": _IN_USE,
    "40001": _IN_USE,
    "57014": "took too long and was stopped; try again",
    "23505": _SQLITE["CONSTRAINT"],
    "42P01": _NOT_AS_MADE,
    "42703": _NOT_AS_MADE,
    "53100": _FULL,
    "53200": _FULL,
    "53300": "takes no more connections; close some, then try again",
    "57P01": _STOPPED,
    "57P02": _STOPPED,
    "57P03": "is just starting or stopping; try again in a moment",
    "08006": _STOPPED,
    "XX001": _DAMAGED,
    "XX002": _DAMAGED,
    "22003": "cannot compute with a number that large or that small; check the values of the parts",
}
_REFUSED = {  # a server that refuses says so in words only
    "invalid": "is not reached by that address; check host, port and options in it",
    "password": "refuses that user or password; check both",
    "authentication": "refuses that user or password; check both",
    "does not exist": "has no database or no user of that name; check both, or ask for it to be made",
    "resolve": "is on a host whose name is not known; check it",
    "translate host": "is on a host whose name is not known; check it",
    "timeout": "does not answer; check host and port, and that the server runs",
    "too many": _POSTGRESQL["53300"],
    "starting up": _POSTGRESQL["57P03"],
    "shutting down": _POSTGRESQL["57P03"],
    "closed": _STOPPED,
    "terminat": _STOPPED,
}


def sentence(slip: BaseException, shown: str) -> str:
    """What went wrong with the catalog named ``shown``, and what to do; nothing that the database said itself."""
    name = getattr(slip, "sqlite_errorname", None)
    if isinstance(name, str):
        if name.startswith("SQLITE_IOERR_SHM"):  # no room for the memory that all share
            name = "SQLITE_FULL"
        return f"{shown} {_SQLITE.get(name.split('_')[1], f'cannot be used ({name}); restore a copy')}"
    state = getattr(slip, "sqlstate", None)
    if isinstance(state, str):
        odd = f"cannot do that (PostgreSQL says {state}); ask who runs the server"
        return f"{shown} {_POSTGRESQL.get(state, odd)}"
    words = str(slip).casefold()
    for word, told in _REFUSED.items():
        if word in words:
            return f"{shown} {told}"
    return f"{shown} cannot be reached; check host, name, user and password, and that the server runs"


def fault(slip: BaseException, shown: str) -> CatalogError:
    """The sentence as an error that tells whether the contents are at fault, or only the way to them."""
    told = sentence(slip, shown)
    return (UnsoundCatalog if told.endswith((_DAMAGED, _NOT_AS_MADE)) else CatalogError)(told)


@contextmanager
def telling(shown: str) -> Iterator[None]:
    """Turn every fault of the database within into a :class:`CatalogError` about the catalog ``shown``."""
    try:
        yield
    except sa.exc.DBAPIError as slip:
        cause = slip.orig or slip
        raise fault(cause, shown) from (cause if isinstance(cause, sqlite3.Error) else None)
    except sqlite3.Error as slip:
        raise fault(slip, shown) from slip
