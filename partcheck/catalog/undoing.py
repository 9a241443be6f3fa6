"""Taking back the last change of the catalog, as one more change: nothing is lost by it."""

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from itertools import groupby
from operator import attrgetter
from typing import Any, NamedTuple

import sqlalchemy as sa

from partcheck.catalog.rows import load
from partcheck.catalog.tables import CHANGES, HISTORY, WIDE
from partcheck.catalog.writing import PART, Command, change_known, remove, stated
from partcheck.errors import CatalogError
from partcheck.parts.documents import from_record, to_record
from partcheck.parts.part import Part

UNDO = "undo"


class Reverted(NamedTuple):
    """What taking a change back does to one part: takes it out (``values`` is empty), or gives back former values."""

    kind: str
    part_number: str
    maker: str
    values: tuple[tuple[str, str | None, str | None], ...]
    """Column, value now, value then; as JSON states them, None where it is not stated."""


class LastChange(NamedTuple):
    """The last change that has not been taken back, and what taking it back would do."""

    id: int
    what: str
    note: str
    who: str
    when: str
    reverted: tuple[Reverted, ...]


def last_change(connection: sa.Connection) -> LastChange | None:
    """The last change that can be taken back; None where there is none."""
    undone = sa.select(CHANGES.c.undoes).where(CHANGES.c.undoes.is_not(None))
    query = sa.select(CHANGES).where(CHANGES.c.what != UNDO, CHANGES.c.id.not_in(undone))
    row = connection.execute(query.order_by(CHANGES.c.id.desc()).limit(1)).first()
    if row is None:
        return None
    reverted = []
    for (kind, number, maker), rows in _by_part(connection, row.id):
        entered = any(each.column == PART for each in rows)
        values = () if entered else tuple((each.column, each.new, each.former) for each in rows)
        reverted.append(Reverted(kind, number, maker, values))
    return LastChange(row.id, row.what, row.note or "", row.changed_by, row.changed_at, tuple(reverted))


def take_back(connection: sa.Connection, wanted: int, who: str, when: datetime | str) -> None:
    """Take the change with that number back, if it still is the last one; within the connection's transaction."""
    last = last_change(connection)
    if last is None or last.id != wanted:
        raise CatalogError(
            "the catalog was changed by somebody else meanwhile; look again at what undo would take back"
        )
    command = Command(connection, UNDO, who, when, f"{last.what} of {last.when}", undoes=last.id)
    for (kind, _, _), rows in _by_part(connection, last.id):
        part_id = rows[0].part_id
        part = load(connection, kind, WIDE[kind].c.id == part_id).get(part_id)
        if part is None:
            raise CatalogError(f"{rows[0].part_number} is not in the catalog any more; nothing was taken back")
        if any(row.column == PART for row in rows):
            remove(connection, part_id, part, command)
        else:
            change_known(connection, kind, [(part_id, _former(part, rows))], command)
    assert command.id


def _by_part(connection: sa.Connection, change_id: int) -> Iterator[tuple[tuple[str, str, str], list[Any]]]:
    query = sa.select(HISTORY).where(HISTORY.c.change_id == change_id)
    rows = connection.execute(query.order_by(HISTORY.c.kind, HISTORY.c.part_id, HISTORY.c.id)).all()
    for _, some in groupby(rows, key=attrgetter("kind", "part_id")):
        mine = list(some)
        yield (mine[0].kind, mine[0].part_number, mine[0].maker), mine


def _former(part: Part, rows: list[Any]) -> Part:
    """The part with the former values of these rows; what they say it is now must be so."""
    now = stated(part)
    for row in rows:
        if now.get(row.column) != row.new:
            raise CatalogError(f"{part.name} has another {row.column} than its history says; nothing was taken back")
    return with_values(part, {row.column: row.former for row in rows})


def with_values(part: Part, values: Mapping[str, str | None]) -> Part:
    """The part with other values, each as the history writes it: JSON by column, None where it is not stated."""
    record: dict[str, Any] = to_record(part)
    sources = record.setdefault("provenance", {})
    for column, text in values.items():
        within, name = (sources, column.partition(".")[2]) if column.startswith("provenance.") else (record, column)
        if text is None:
            within.pop(name, None)
        else:
            within[name] = json.loads(text)
    return from_record(record, part.name)
