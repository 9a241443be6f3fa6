"""Taking very many parts in, some thousand at a time, within one transaction: all of them or, where it ends, none.

What is entered, its sources and its history are those of :mod:`partcheck.catalog.writing`; rows go to the database as
they are, without an object for each part or a name for each value.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from itertools import repeat
from typing import Any

import sqlalchemy as sa

from partcheck.catalog.comparing import PartComparison, compare
from partcheck.catalog.tables import HISTORY, POINTS, PROVENANCE, WIDE
from partcheck.catalog.writing import (
    PART,
    Command,
    WriteOutcome,
    by_kind,
    change_known,
    chunks,
    insert,
    key_of,
    known_ids,
)
from partcheck.parts.columnar import Key, PortionRows
from partcheck.parts.part import Part

_CACHE = 64_000
"""KiB of a database file that are kept in memory meanwhile: indexes are written all over."""
_HISTORY = ("kind", "part_id", "part_number", "maker", "column", "new", "change_id", "changed_by", "changed_at")


class Filling:
    """An import under way, within the transaction of the connection."""

    def __init__(self, connection: sa.Connection, command: Command) -> None:
        self._connection, self._command = connection, command
        self._sqlite = connection.dialect.name == "sqlite"
        self.outcome = WriteOutcome(0, 0, 0)
        if self._sqlite:
            connection.exec_driver_sql(f"PRAGMA cache_size = -{_CACHE}")
        self._first = {kind: self._last_id(kind) + 1 for kind in WIDE}
        self._empty = {kind for kind, first in self._first.items() if first == 1}

    def _last_id(self, kind: str) -> int:
        return self._connection.execute(sa.select(sa.func.max(WIDE[kind].c.id))).scalar_one() or 0

    def known(self, kind: str, keys: Iterable[Key]) -> dict[Key, bool]:
        """Those of the parts (maker in lower case, number) that are there; True where this import entered them."""
        if kind in self._empty:
            return {}
        wide, wanted = WIDE[kind], set(keys)
        found: dict[Key, bool] = {}
        for numbers in chunks(sorted({number for _, number in wanted})):
            query = sa.select(wide.c.id, wide.c.maker, wide.c.part_number).where(wide.c.part_number.in_(numbers))
            for part_id, maker, number in self._connection.execute(query):
                if (key := key_of(maker, number)) in wanted:
                    found[key] = part_id >= self._first[kind]
        return found

    def enter_rows(self, rows: PortionRows) -> None:
        """Enter parts that the catalog does not have."""
        kind, columns, count = rows.kind, rows.columns, len(rows.keys)
        ids = self._ids(kind, count)
        self._insert(WIDE[kind], ("id", *columns), zip(ids, *columns.values(), strict=True))
        for name, points in rows.points.items():
            table = POINTS[kind, name]
            self._insert(table, table.c.keys(), ((ids[owner], *values) for owner, *values in points))
        self._insert(PROVENANCE, PROVENANCE.c.keys(), ((kind, ids[owner], *said) for owner, *said in rows.sources))
        numbers = columns["part_number"]
        by = (self._command.id, *self._command.by)
        self._insert(
            HISTORY,
            _HISTORY,
            (
                (kind, part_id, number, maker, PART, json.dumps(number), *by)
                for part_id, number, maker in zip(ids, numbers, columns["maker"], strict=True)
            ),
        )
        self._empty.discard(kind)
        self.outcome = self.outcome._replace(added=self.outcome.added + count)

    def enter_parts(self, parts: Sequence[Part]) -> PartComparison:
        """Enter or change parts of one kind; what of them was new, and what changed from what to what."""
        compared = compare(self._connection, parts, lambda done, total: None)
        for kind, new in by_kind(compared.new).items():
            insert(self._connection, kind, list(new.values()), self._command)
            self._empty.discard(kind)
        changed = [part for _, part in compared.changed]
        for kind, some in by_kind(changed).items():
            ids = known_ids(self._connection, kind, some)
            change_known(self._connection, kind, [(ids[key], part) for key, part in some.items()], self._command)
        added, total, same, cleared = self.outcome
        self.outcome = WriteOutcome(
            added + len(compared.new), total + len(compared.changed), same + compared.same, cleared
        )
        return compared

    def _ids(self, kind: str, count: int) -> Sequence[int]:
        """Numbers for so many new parts."""
        if self._sqlite:  # nobody else writes
            last = self._last_id(kind)
            return range(last + 1, last + 1 + count)
        query = "SELECT nextval(pg_get_serial_sequence(%s, 'id')) FROM generate_series(1, %s)"
        return list(self._connection.exec_driver_sql(query, (kind, count)).scalars())

    def _insert(self, table: sa.Table, names: Iterable[str], rows: Iterator[tuple[Any, ...]] | Iterable[Any]) -> None:
        dialect = self._connection.dialect
        quoted = [dialect.identifier_preparer.quote(name) for name in names]
        marks = ", ".join(repeat("?" if dialect.paramstyle == "qmark" else "%s", len(quoted)))
        listed = list(rows)
        if listed:
            where = dialect.identifier_preparer.format_table(table)
            self._connection.exec_driver_sql(f"INSERT INTO {where} ({', '.join(quoted)}) VALUES ({marks})", listed)
