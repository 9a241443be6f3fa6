"""The parts of a kind in a catalog as columns, read in bulk: no object per part."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import sqlalchemy as sa
from numpy.typing import NDArray

from partcheck.catalog.tables import POINTS, WIDE
from partcheck.errors import CatalogError
from partcheck.parameters import KINDS, Table
from partcheck.parts.part import Part
from partcheck.stock.laid import IDS, TEXT, TEXT_STARTS, Laid, ascending, number_columns, word_columns
from partcheck.stock.stock import Columns, Stock

if TYPE_CHECKING:
    from partcheck.catalog.store import Catalog

AT_ONCE = 10_000
"""Rows that are taken from the database at a time."""


class Stored(Stock):
    """The parts of a kind in a catalog, as columns; a part is read when it is shown."""

    def __init__(self, catalog: "Catalog", laid: Laid) -> None:
        self.kind, self.count = laid.kind, laid.count
        self.columns = Columns(laid.kind, laid.column)
        self._catalog, self._laid = catalog, laid

    def parts(self, places: Sequence[int]) -> list[Part]:
        """Some of the parts, in the order asked for; :class:`CatalogError` where one was taken out meanwhile."""
        ids = [int(self._laid.arrays[IDS][i]) for i in places]
        found = self._catalog.by_ids(self.kind, ids)
        if len(found) < len(set(ids)):
            raise CatalogError(f"{self._catalog.where} was changed by somebody else meanwhile; ask again")
        return [found[each] for each in ids]

    def numbers(self, places: Sequence[int]) -> list[tuple[str, str]]:
        """Part number and maker of some of the parts, in the order asked for."""
        return self._laid.numbers(places)

    def places_of(self, parts: Sequence[Part]) -> list[int]:
        """Where the parts of these makers and numbers are that there are."""
        ids = self._laid.arrays[IDS]
        found = np.searchsorted(ids, wanted := self._catalog.ids_of(self.kind, parts))
        return [p for p, each in zip(found.tolist(), wanted, strict=True) if p < len(ids) and ids[p] == each]


def read_laid(connection: sa.Connection, kind: str) -> Laid:
    """All columns of a kind, as they are within the transaction of the connection."""
    arrays: dict[str, NDArray[Any]] = {}
    words = _read_wide(connection, kind, arrays)
    for table in KINDS[kind].tables:
        _read_points(connection, kind, table, arrays)
    return Laid(kind, arrays, words)


def _read_wide(connection: sa.Connection, kind: str, arrays: dict[str, NDArray[Any]]) -> dict[str, list[str]]:
    wide, numbers, texts = WIDE[kind], number_columns(kind), word_columns(kind)
    total = connection.execute(sa.select(sa.func.count()).select_from(wide)).scalar_one()
    arrays[IDS] = np.empty(total, np.int64)
    for name in numbers:
        arrays[name] = np.empty(total)
    for name in texts:
        arrays[name] = np.empty(total, np.int32)
    starts = arrays[TEXT_STARTS] = np.zeros(total + 1, np.int64)
    codes: dict[str, dict[str | None, int]] = {name: {None: -1, "": -1} for name in texts}
    written: list[bytes] = []
    query = sa.select(wide.c.id, wide.c.part_number, *(wide.c[name] for name in (*numbers, *texts))).order_by(wide.c.id)
    done = 0
    for ids, named, *columns in _in_columns(connection, query):
        stretch = slice(done, done + len(ids))
        arrays[IDS][stretch] = ids
        for name, column in zip(numbers, columns, strict=False):
            arrays[name][stretch] = _floats(column)
        for name, column in zip(texts, columns[len(numbers) :], strict=True):
            known = codes[name]
            arrays[name][stretch] = [known.setdefault(word, len(known) - 2) for word in column]
        spelled = [number.encode() for number in named]
        written.append(b"".join(spelled))
        np.cumsum([len(each) for each in spelled], out=starts[done + 1 : done + 1 + len(ids)])
        starts[done + 1 : done + 1 + len(ids)] += starts[done]
        done = stretch.stop
    arrays[TEXT] = np.frombuffer(b"".join(written), np.uint8)
    return {name: [word for word, code in known.items() if word and code >= 0] for name, known in codes.items()}


def _read_points(connection: sa.Connection, kind: str, table: Table, arrays: dict[str, NDArray[Any]]) -> None:
    points, names, ids = POINTS[kind, table.name], list(table.columns()), arrays[IDS]
    readers: list[Callable[[Sequence[Any]], NDArray[Any]]] = [_floats] * len(names)
    for i, axis in enumerate(table.axes):
        if axis.choices:
            readers[i] = _Places(kind, table.name, axis.choices)
    owners: list[NDArray[Any]] = [np.empty(0, np.int64)]
    pieces: list[list[NDArray[Any]]] = [[np.empty(0)] for _ in names]
    query = sa.select(points.c.part_id, *(points.c[name] for name in names))
    for part_ids, *columns in _in_columns(connection, query):
        owners.append(np.array(part_ids, dtype=np.int64))
        for piece, reader, column in zip(pieces, readers, columns, strict=True):
            piece.append(reader(column))
    owner = np.searchsorted(ids, np.concatenate(owners))
    flat = {name: np.concatenate(piece) for name, piece in zip(names, pieces, strict=True)}
    del pieces, owners
    order = ascending(flat, owner, [axis.name for axis in table.axes])
    if order is not None:
        owner = owner[order]
        flat = {name: column[order] for name, column in flat.items()}
    arrays[f"{table.name} starts"] = np.searchsorted(owner, np.arange(len(ids) + 1)).astype(np.int32)
    arrays.update({f"{table.name}.{name}": column for name, column in flat.items()})


class _Places:
    """Words of an axis as their places in the declaration."""

    def __init__(self, kind: str, table: str, choices: Sequence[str]) -> None:
        self._kind, self._table = kind, table
        self._places: dict[str | None, float] = {word: float(i) for i, word in enumerate(choices)} | {None: math.nan}

    def __call__(self, words: Sequence[Any]) -> NDArray[Any]:
        try:
            return np.array([self._places[word] for word in words])
        except KeyError as slip:
            raise CatalogError(
                f"a {self._kind} of the catalog says {slip} in {self._table}; import that part again"
            ) from slip


def _in_columns(connection: sa.Connection, query: sa.Select[Any]) -> Iterator[list[Sequence[Any]]]:
    """The rows of a query, some thousand at a time, turned into columns."""
    result = connection.execution_options(stream_results=True, max_row_buffer=AT_ONCE).execute(query)
    while rows := result.fetchmany(AT_ONCE):
        yield list(zip(*rows, strict=True))


def _floats(column: Sequence[Any]) -> NDArray[np.float64]:
    try:
        return np.array(column, dtype=float)  # None becomes NaN
    except (TypeError, ValueError):  # what somebody wrote by hand; a part reads it as not stated
        return np.fromiter((v if isinstance(v, float | int) else math.nan for v in column), float, len(column))
