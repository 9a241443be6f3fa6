"""Saving one part that a person has worked on for a while: what others changed meanwhile is told, not overwritten."""

from collections.abc import Sequence
from typing import NamedTuple

import sqlalchemy as sa

from partcheck.catalog.rows import load
from partcheck.catalog.tables import CHANGES, HISTORY, WIDE
from partcheck.catalog.writing import PART, Command, change, differences, insert, key_of
from partcheck.errors import CatalogError
from partcheck.parts.part import Part


class Entry(NamedTuple):
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


class Meanwhile(CatalogError):
    """Somebody else changed the part since it was read: ``now`` is what it states, ``columns`` what differs."""

    def __init__(self, sentence: str, details: Sequence[str], now: Part | None, columns: Sequence[str]) -> None:
        super().__init__(sentence, details)
        self.now, self.columns = now, tuple(columns)


def save(connection: sa.Connection, part: Part, former: Part | None, command: Command) -> None:
    """Enter a part (``former`` is None) or change one that was read as ``former``.

    :class:`Meanwhile` where the catalog has it otherwise by now; within the transaction of the connection.
    """
    now, part_id = _locked(connection, part)
    if now is None:
        if former is not None:
            raise Meanwhile(
                f"{part.name} was taken out of the catalog meanwhile; enter it anew to keep it", (), None, ()
            )
        insert(connection, part.kind, [part], command)
        return
    other = [column for column, _, _ in differences(former, now)] if former is not None else [PART]
    if other:
        told = [entry for entry in entries(connection, part) if entry.column in other]
        raise _meanwhile(now, other, told)
    change(connection, part.kind, [(part_id, part)], command)


def _locked(connection: sa.Connection, part: Part) -> tuple[Part | None, int]:
    """The part as it is now, kept from others until the transaction ends."""
    wide = WIDE[part.kind]
    query = sa.select(wide.c.id, wide.c.maker).where(wide.c.part_number == part.part_number).with_for_update()
    for part_id, maker in connection.execute(query):
        if key_of(maker, part.part_number) == key_of(*part.key):
            return load(connection, part.kind, wide.c.id == part_id)[part_id], part_id
    return None, 0


def _meanwhile(now: Part, columns: Sequence[str], told: Sequence[Entry]) -> Meanwhile:
    latest: dict[str, Entry] = {}
    for entry in told:  # newest first
        latest.setdefault(entry.column, entry)
    first = next(iter(latest.values()), None)
    who = f" by {first.who} at {first.when}" if first is not None else ""
    if tuple(columns) == (PART,):
        sentence = f"{now.name} was entered{who}; nothing was overwritten, edit that part instead"
    else:
        sentence = f"{now.name} was changed{who} while you worked on it; nothing was overwritten, look at it again"
    details = [f"{e.column}: {e.former or 'not stated'} -> {e.new or 'not stated'} ({e.who})" for e in latest.values()]
    return Meanwhile(sentence, details if tuple(columns) != (PART,) else (), now, columns)


def entries(connection: sa.Connection, part: Part) -> list[Entry]:
    """The history of the part, newest first, also from before it was taken out and entered again."""
    return entries_of(connection, part.kind, part.part_number, part.maker)


def entries_of(connection: sa.Connection, kind: str, part_number: str, maker: str) -> list[Entry]:
    """The history of the part of that kind, number and maker, newest first."""
    columns = (
        HISTORY.c.column, HISTORY.c.former, HISTORY.c.new, HISTORY.c.changed_by, HISTORY.c.changed_at,
        CHANGES.c.what, CHANGES.c.note, HISTORY.c.maker,
    )  # fmt: skip
    query = (
        sa.select(*columns)
        .join_from(HISTORY, CHANGES, CHANGES.c.id == HISTORY.c.change_id, isouter=True)
        .where(HISTORY.c.kind == kind, HISTORY.c.part_number == part_number)
        .order_by(HISTORY.c.id.desc())
    )
    rows = [row for row in connection.execute(query) if (row.maker or "").casefold() == maker.casefold()]
    return [Entry(*row[:5], row.what or "import", row.note or "") for row in rows]


def once_known(connection: sa.Connection, part_number: str) -> list[tuple[str, str, str]]:
    """Kind, part number and maker of every part of that number that the history knows, in any case."""
    identity = (HISTORY.c.kind, HISTORY.c.part_number, HISTORY.c.maker)
    query = sa.select(*identity).where(sa.func.lower(HISTORY.c.part_number) == part_number.lower()).distinct()
    known: dict[tuple[str, str, str], tuple[str, str, str]] = {}
    for kind, number, maker in connection.execute(query):
        known[kind, number, maker.casefold()] = (kind, number, maker)
    return list(known.values())
