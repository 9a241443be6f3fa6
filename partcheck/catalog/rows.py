"""Rows of the catalog's tables as parts, and parts as rows."""

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import groupby
from operator import itemgetter
from typing import Any

import sqlalchemy as sa

from partcheck.catalog.tables import POINTS, PROVENANCE, WIDE
from partcheck.errors import CatalogError
from partcheck.parameters import KINDS, Table
from partcheck.parts.checks import IDENTITY, SOURCE, columns
from partcheck.parts.part import Part, Provenance
from partcheck.points import PointTable

Where = sa.ColumnElement[bool]
_FEW = 2000
"""Up to so many parts are named one by one when their points are read; more by the clause that found them."""


def load(connection: sa.Connection, kind: str, where: Where | None = None) -> dict[int, Part]:
    """The parts of a kind that the clause on the wide table keeps, by their id, in order of entry."""
    wide = WIDE[kind]
    query = sa.select(wide).order_by(wide.c.id)
    rows = connection.execute(query if where is None else query.where(where)).all()
    if not rows:
        return {}
    chosen = _chosen(wide, where, [row[0] for row in rows])
    tables: dict[int, dict[str, PointTable]] = {}
    for table in KINDS[kind].tables:
        for part_id, points in _load_points(connection, kind, table, chosen):
            tables.setdefault(part_id, {})[table.name] = points
    sources = _load_sources(connection, kind, chosen)
    names = [column.name for column in wide.columns]
    parts = {}
    for row in rows:
        values: dict[str, Any] = {n: v for n, v in zip(names, row, strict=True) if v is not None}
        found, number, maker = (values.pop(name) for name in ("id", *IDENTITY))
        parts[found] = Part(kind, number, maker, values, tables.get(found, {}), sources.get(found, {}))
    return parts


def portions(connection: sa.Connection, kind: str, count: int) -> Iterator[list[Part]]:
    """All parts of a kind in order of entry, so many at a time."""
    ident = WIDE[kind].c.id
    last = 0
    while ids := connection.execute(sa.select(ident).where(ident > last).order_by(ident).limit(count)).scalars().all():
        yield list(load(connection, kind, ident.between(ids[0], ids[-1])).values())
        last = ids[-1]


def _chosen(wide: sa.Table, where: Where | None, ids: Sequence[int]) -> Any:
    """What narrows points and sources to the parts found: nothing, their ids, or the clause again."""
    if where is None:
        return None
    return list(ids) if len(ids) <= _FEW else sa.select(wide.c.id).where(where)


def _load_points(connection: sa.Connection, kind: str, table: Table, chosen: Any) -> Iterator[tuple[int, PointTable]]:
    points, names = POINTS[kind, table.name], tuple(table.columns())
    query = sa.select(points.c.part_id, *(points.c[name] for name in names)).order_by(points.c.part_id)
    if chosen is not None:
        query = query.where(points.c.part_id.in_(chosen))
    for part_id, rows in groupby(connection.execute(query).all(), key=itemgetter(0)):
        made = _sorted(kind, table.name, [row[1:] for row in rows])
        yield part_id, PointTable(dict(zip(names, zip(*made, strict=True), strict=True)))


@cache
def _places(kind: str, name: str) -> tuple[dict[int, dict[str, float]], int, bool]:
    """Of a table: the numbers of the words of each axis of words, how many axes, any that may be blank."""
    axes = KINDS[kind].table(name).axes
    words = {i: {word: float(n) for n, word in enumerate(axis.choices)} for i, axis in enumerate(axes) if axis.choices}
    return words, len(axes), any(not axis.required for axis in axes)


def _sorted(kind: str, name: str, rows: Iterable[Sequence[Any]]) -> list[tuple[Any, ...]]:
    """As :func:`partcheck.parts.part.point_table`, for rows of a database, which are many."""
    words, axes, blanks = _places(kind, name)
    made: list[tuple[Any, ...]] = [tuple(math.nan if v is None else v for v in row) for row in rows]
    try:
        for i, numbers in words.items():
            made = [(*row[:i], row[i] if row[i] != row[i] else numbers[row[i]], *row[i + 1 :]) for row in made]
    except KeyError as slip:
        raise CatalogError(f"a {kind} of the catalog says {slip} in {name}; import that part again") from slip
    if blanks:
        made.sort(key=lambda row: tuple((v != v, v) for v in row[:axes]))
    else:
        made.sort()
    return made


def _load_sources(connection: sa.Connection, kind: str, chosen: Any) -> dict[int, dict[str, Provenance]]:
    query = sa.select(PROVENANCE).where(PROVENANCE.c.kind == kind)
    if chosen is not None:
        query = query.where(PROVENANCE.c.part_id.in_(chosen))
    found: dict[int, dict[str, Provenance]] = {}
    for row in sorted(connection.execute(query), key=itemgetter(1, 2)):
        stated = {name: value for name, value in zip(SOURCE, row[3:], strict=True) if value is not None}
        found.setdefault(row.part_id, {})[row.parameter] = Provenance(**stated)
    return found


def wide_row(part: Part) -> dict[str, Any]:
    """A part's single values as a row of its kind's table; what is not stated is None."""
    row: dict[str, Any] = {name: part.values.get(name) for name in columns(part.kind)}
    return row | {"part_number": part.part_number, "maker": part.maker}


def point_rows(part: Part, table: Table, part_id: int) -> list[dict[str, Any]]:
    """A part's points as rows of the point table."""
    words = {axis.name: axis.choices for axis in table.axes if axis.choices}
    rows = []
    for place, row in enumerate(zip(*part.table(table.name).columns.values(), strict=True)):
        values: dict[str, Any] = dict(zip(table.columns(), row, strict=True))
        for name, choices in words.items():
            place_of_word = values[name]
            values[name] = choices[int(place_of_word)] if place_of_word == place_of_word else None
        rows.append({"part_id": part_id, "place": place, **values})
    return rows


def source_rows(part: Part, part_id: int) -> list[dict[str, Any]]:
    """A part's sources as rows; what is not said is None."""
    return [
        {"kind": part.kind, "part_id": part_id, "parameter": name}
        | {field: getattr(source, field) or None for field in SOURCE}
        for name, source in part.provenance.items()
    ]
