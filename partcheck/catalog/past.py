"""What the history tells of a part."""

from typing import NamedTuple

import sqlalchemy as sa

from partcheck.catalog.tables import ACCEPTED, CHANGES, HISTORY, in_lower_case


class HistoryEntry(NamedTuple):
    """One line of a part's history: which command changed which value, from what to what, who and when.

    ``column`` is a column, a table, ``provenance.`` and what it is the source of, or ``part`` for the whole part
    (entered, or taken out by an undo). Values are as JSON states them, None where it was or is not stated.
    """

    column: str
    former: str | None
    new: str | None
    who: str
    when: str
    what: str
    note: str


class Use(NamedTuple):
    """An accepted substitution that rests on the values of a part as they were then."""

    number: int
    reference: str
    board: str
    revision: str
    verdict: str
    who: str
    when: str
    note: str


def uses_of(connection: sa.Connection, kind: str, part_number: str, maker: str) -> list[Use]:
    """The accepted substitutions with that part, newest first; `partcheck records` tells whether they still hold."""
    names = ("id", "reference", "board", "revision", "verdict", "accepted_by", "accepted_at", "note", "maker")
    query = sa.select(*(ACCEPTED.c[name] for name in names)).order_by(ACCEPTED.c.id.desc())
    mine = query.where(ACCEPTED.c.kind == kind, ACCEPTED.c.part_number == part_number)
    return [Use(*row[:-1]) for row in connection.execute(mine) if row.maker.casefold() == maker.casefold()]


def entries_of(connection: sa.Connection, kind: str, part_number: str, maker: str) -> list[HistoryEntry]:
    """The history of the part of that kind, number and maker, newest first."""
    columns = (
        HISTORY.c.column,
        HISTORY.c.former,
        HISTORY.c.new,
        HISTORY.c.changed_by,
        HISTORY.c.changed_at,
        CHANGES.c.what,
        CHANGES.c.note,
        HISTORY.c.maker,
    )
    query = (
        sa.select(*columns)
        .join_from(HISTORY, CHANGES, CHANGES.c.id == HISTORY.c.change_id, isouter=True)
        .where(HISTORY.c.kind == kind, HISTORY.c.part_number == part_number)
        .order_by(HISTORY.c.id.desc())
    )
    rows = [row for row in connection.execute(query) if (row.maker or "").casefold() == maker.casefold()]
    return [HistoryEntry(*row[:5], row.what or "import", row.note or "") for row in rows]


def once_known(connection: sa.Connection, part_number: str) -> list[tuple[str, str, str]]:
    """Kind, part number and maker of every part of that number that the history knows, in any case."""
    identity = (HISTORY.c.kind, HISTORY.c.part_number, HISTORY.c.maker)
    query = (
        sa.select(*identity)
        .where(in_lower_case(HISTORY.c.part_number) == part_number.encode().lower().decode())
        .distinct()
    )
    known: dict[tuple[str, str, str], tuple[str, str, str]] = {}
    for kind, number, maker in connection.execute(query):
        known[kind, number, maker.casefold()] = (kind, number, maker)
    return list(known.values())
