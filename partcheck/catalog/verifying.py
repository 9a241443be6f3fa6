"""Whether a catalog is sound: the database itself, references, every value, and the history of each value."""

import json
from collections.abc import Iterator
from itertools import groupby
from operator import attrgetter
from typing import Any, NamedTuple

import sqlalchemy as sa

from partcheck.catalog.rows import load
from partcheck.catalog.tables import CHANGES, HISTORY, POINTS, PROVENANCE, WIDE
from partcheck.catalog.writing import PART, stated
from partcheck.errors import CatalogError, PartsError
from partcheck.parameters import KINDS
from partcheck.parts.checks import columns
from partcheck.parts.documents import from_record, to_record
from partcheck.parts.part import Part

DATABASE, REFERENCES, VALUES, HISTORIES = CHECKS = ("database", "references", "values", "history")


class CatalogFault(NamedTuple):
    """Something that is not as it should be: which check found it, where, and the sentence."""

    check: str
    where: str
    told: str


class Verified(NamedTuple):
    """How much was looked at, and what was found."""

    parts: int
    changes: int
    findings: list[CatalogFault]


def verify(connection: sa.Connection) -> Verified:
    """Look at everything in the catalog; a database that is damaged is looked at no further."""
    findings = list(damages(connection))
    if findings:
        return Verified(0, 0, findings)
    findings += loose(connection)
    parts = changes = 0
    for kind in KINDS:
        try:
            loaded = load(connection, kind)
        except CatalogError as slip:
            findings.append(CatalogFault(VALUES, kind, str(slip)))
            continue
        parts += len(loaded)
        for part in loaded.values():
            findings += _wrong_values(part)
        count, broken = _broken_histories(connection, kind, loaded)
        changes += count
        findings += broken
    return Verified(parts, changes, findings)


def damages(connection: sa.Connection) -> Iterator[CatalogFault]:
    """What the database finds wrong with itself. A server looks after its files; here all of it is read anyhow."""
    if connection.dialect.name != "sqlite":
        return
    for text in connection.exec_driver_sql("PRAGMA integrity_check").scalars():
        if text != "ok":
            yield CatalogFault(DATABASE, "the file", f"SQLite finds: {' '.join(text.split())}; restore it from a copy")


def loose(connection: sa.Connection) -> Iterator[CatalogFault]:
    """Points, sources and changes of parts that are not there."""
    tables: list[tuple[str, sa.Table, Any]] = [(kind, table, None) for (kind, _), table in POINTS.items()]
    for kind in WIDE:
        taken_out = sa.select(HISTORY.c.part_id).where(
            HISTORY.c.kind == kind, HISTORY.c.column == PART, HISTORY.c.new.is_(None)
        )
        tables.append((kind, PROVENANCE, PROVENANCE.c.kind == kind))
        tables.append((kind, HISTORY, sa.and_(HISTORY.c.kind == kind, HISTORY.c.part_id.not_in(taken_out))))
    for kind, table, mine in tables:
        query = sa.select(sa.func.count()).where(table.c.part_id.not_in(sa.select(WIDE[kind].c.id)))
        number = connection.execute(query if mine is None else query.where(mine)).scalar_one()
        if number:
            told = f"{number} rows belong to a {kind} that is not there; restore the catalog from a copy"
            yield CatalogFault(REFERENCES, table.name, told)
    number = connection.execute(
        sa.select(sa.func.count()).where(
            HISTORY.c.change_id.is_not(None), HISTORY.c.change_id.not_in(sa.select(CHANGES.c.id))
        )
    ).scalar_one()
    if number:
        told = f"{number} rows belong to a change that is not there; restore the catalog from a copy"
        yield CatalogFault(REFERENCES, HISTORY.name, told)
    for table in (PROVENANCE, HISTORY):
        for kind in connection.execute(
            sa.select(table.c.kind).where(table.c.kind.not_in(list(WIDE))).distinct()
        ).scalars():
            told = f"it speaks of {kind!r}, which is not a kind of part; restore the catalog from a copy"
            yield CatalogFault(REFERENCES, table.name, told)


def _wrong_values(part: Part) -> Iterator[CatalogFault]:
    """Everything that an import would refuse by now."""
    where = f"{part.kind} {part.name}"
    try:
        from_record(to_record(part), where)
    except PartsError as slip:
        for told in slip.details or (str(slip),):
            yield CatalogFault(VALUES, where, told.removeprefix(f"{where}, "))
    except (TypeError, ValueError, ArithmeticError):
        yield CatalogFault(
            VALUES, where, "a value is neither the number nor the word it should be; import the part again"
        )


def _broken_histories(connection: sa.Connection, kind: str, parts: dict[int, Part]) -> tuple[int, list[CatalogFault]]:
    """How many changes of the kind there are, and where one does not go on from the one before."""
    query = sa.select(HISTORY).where(HISTORY.c.kind == kind).order_by(HISTORY.c.part_id, HISTORY.c.id)
    rows = connection.execute(query).all()
    found = []
    for part_id, changes in groupby(rows, key=attrgetter("part_id")):
        if part_id not in parts:
            continue  # told among the references
        part, now = parts[part_id], stated(parts[part_id])
        last: dict[str, Any] = {}
        for change in changes:
            if change.column == PART:  # entered, or taken out; the number may have been another part's before
                last = {}
                continue
            if change.column in last and not _same(last[change.column], change.former):
                told = f"{change.column} was changed from {change.former}, but was {last[change.column]} before"
                found.append(
                    CatalogFault(HISTORIES, f"{kind} {part.name}", f"{told}; a change in between is not recorded")
                )
            last[change.column] = change.new
        for column, text in last.items():
            if _is_declared(kind, column) and not _same(text, now.get(column)):
                told = f"{column} is {now.get(column) or 'not stated'}, but was last changed to {text or 'nothing'}"
                found.append(CatalogFault(HISTORIES, f"{kind} {part.name}", f"{told}; a change is not recorded"))
    return len(rows), found


def _is_declared(kind: str, column: str) -> bool:
    """Whether the column is one of today's; an upgrade may have renamed it since."""
    tables = {table.name for table in KINDS[kind].tables}
    return column in columns(kind) or column in tables or column.startswith("provenance.")


def _same(one: str | None, other: str | None) -> bool:
    if one is None or other is None:
        return one is other
    try:
        return bool(json.loads(one) == json.loads(other))
    except ValueError:
        return one == other
