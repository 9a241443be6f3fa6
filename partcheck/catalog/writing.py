"""Taking parts into the catalog: new ones, changed ones with their former values, and those already there."""

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any, NamedTuple

import sqlalchemy as sa

from partcheck.catalog.rows import load, point_rows, source_rows, wide_row
from partcheck.catalog.tables import HISTORY, POINTS, PROVENANCE, WIDE
from partcheck.errors import PartsError
from partcheck.parameters import KINDS
from partcheck.parts.documents import to_record
from partcheck.parts.part import Part

_AT_ONCE = 500  # ids in one query; every database takes that many


class Outcome(NamedTuple):
    """How many parts were added, changed, and found the same; how many former values are no longer stated."""

    added: int
    changed: int
    same: int
    cleared: int = 0


class Change(NamedTuple):
    """A value (a column, a table, ``provenance.`` and what it is the source of) that an import changed.

    ``former`` and ``new`` are as JSON states them, None where it was or is not stated.
    """

    column: str
    former: str | None
    new: str | None
    who: str
    when: str


def add(connection: sa.Connection, parts: Iterable[Part], who: str, when: datetime | str) -> Outcome:
    """Take the parts in, within the transaction of the connection.

    A part is stated whole: one that is there already (same kind, maker in any case, part number) becomes as
    given, and what it no longer states is cleared; every changed value goes to the history.
    """
    stamp = when if isinstance(when, str) else when.isoformat(timespec="seconds")
    total = Outcome(0, 0, 0)
    for kind, some in _by_kind(parts).items():
        known = _known(connection, kind, some)
        new = [part for key, part in some.items() if key not in known]
        _insert(connection, kind, new)
        counts = _change(connection, kind, [(known[key], some[key]) for key in some if key in known], who, stamp)
        total = Outcome(*(a + b for a, b in zip(total, (len(new), *counts), strict=True)))
    return total


def _key(maker: str, part_number: str) -> tuple[str, str]:
    return maker.casefold(), part_number


def _by_kind(parts: Iterable[Part]) -> dict[str, dict[tuple[str, str], Part]]:
    found: dict[str, dict[tuple[str, str], Part]] = {}
    for part in parts:
        key = _key(part.maker, part.part_number)
        if found.setdefault(part.kind, {}).setdefault(key, part) is not part:
            raise PartsError(f"{part.name} is given twice as a {part.kind}; keep one of the two")
    return found


def _chunks(items: Sequence[Any]) -> Iterator[Sequence[Any]]:
    for start in range(0, len(items), _AT_ONCE):
        yield items[start : start + _AT_ONCE]


def _known(connection: sa.Connection, kind: str, parts: dict[tuple[str, str], Part]) -> dict[tuple[str, str], int]:
    """The ids of those parts that the catalog has."""
    wide = WIDE[kind]
    found = {}
    for numbers in _chunks(sorted({number for _, number in parts})):
        query = sa.select(wide.c.id, wide.c.maker, wide.c.part_number).where(wide.c.part_number.in_(numbers))
        for part_id, maker, number in connection.execute(query):
            found[_key(maker, number)] = part_id
    return {key: part_id for key, part_id in found.items() if key in parts}


def _insert(connection: sa.Connection, kind: str, parts: Sequence[Part]) -> None:
    if not parts:
        return
    connection.execute(sa.insert(WIDE[kind]), [wide_row(part) for part in parts])
    ids = _known(connection, kind, {_key(part.maker, part.part_number): part for part in parts})
    placed = [(ids[_key(part.maker, part.part_number)], part) for part in parts]
    for table in KINDS[kind].tables:
        rows = [row for part_id, part in placed for row in point_rows(part, table, part_id)]
        if rows:
            connection.execute(sa.insert(POINTS[kind, table.name]), rows)
    sources = [row for part_id, part in placed for row in source_rows(part, part_id)]
    if sources:
        connection.execute(sa.insert(PROVENANCE), sources)


def _change(
    connection: sa.Connection, kind: str, pairs: Sequence[tuple[int, Part]], who: str, when: str
) -> tuple[int, int, int]:
    """Bring known parts to what is given; how many changed or stayed, and how many values were cleared."""
    changed = same = cleared = 0
    for some in _chunks(pairs):
        former = load(connection, kind, WIDE[kind].c.id.in_([part_id for part_id, _ in some]))
        for part_id, part in some:
            differing = list(_differences(former[part_id], part))
            if not differing:
                same += 1
                continue
            changed += 1
            cleared += sum(new is None for _, _, new in differing)
            _replace(connection, part_id, part, {column for column, _, _ in differing})
            made = [{"kind": kind, "part_id": part_id, "changed_by": who, "changed_at": when} for _ in differing]
            for row, (column, old, new) in zip(made, differing, strict=True):
                row |= {"column": column, "former": old, "new": new}
            connection.execute(sa.insert(HISTORY), made)
    return changed, same, cleared


def _stated(part: Part) -> dict[str, str]:
    """Everything that a part states, as texts that are equal exactly where the values are."""
    record = to_record(part)
    sources = record.pop("provenance", {})
    record |= {f"provenance.{name}": source for name, source in sources.items()}
    return {name: json.dumps(value, ensure_ascii=False, allow_nan=False) for name, value in record.items()}


def _differences(former: Part, part: Part) -> Iterator[tuple[str, str | None, str | None]]:
    old, new = _stated(former), _stated(part)
    for column in {**old, **new}:
        if old.get(column) != new.get(column):
            yield column, old.get(column), new.get(column)


def _replace(connection: sa.Connection, part_id: int, part: Part, columns: set[str]) -> None:
    wide = WIDE[part.kind]
    if columns & set(wide.c.keys()):
        connection.execute(sa.update(wide).where(wide.c.id == part_id), wide_row(part))
    for table in KINDS[part.kind].tables:
        if table.name in columns:
            points = POINTS[part.kind, table.name]
            connection.execute(sa.delete(points).where(points.c.part_id == part_id))
            if rows := point_rows(part, table, part_id):
                connection.execute(sa.insert(points), rows)
    if any(column.startswith("provenance.") for column in columns):
        mine = sa.and_(PROVENANCE.c.kind == part.kind, PROVENANCE.c.part_id == part_id)
        connection.execute(sa.delete(PROVENANCE).where(mine))
        if rows := source_rows(part, part_id):
            connection.execute(sa.insert(PROVENANCE), rows)
