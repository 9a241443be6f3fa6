"""Searching the catalog: conditions as a WHERE clause, and only the columns that are asked for."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from partcheck.catalog.tables import POINTS, WIDE, in_lower_case
from partcheck.parameters import KINDS, Table
from partcheck.parts.packages import canonical
from partcheck.parts.search import (
    ALWAYS,
    Condition,
    Found,
    FoundPart,
    NamedColumn,
    Query,
    Test,
    check,
    declared_of,
    find_name,
    kinds_for,
)

_TEXTS = ("part_number", "maker", "description", "notes", "datasheet")
_NEAR = 1e-9  # what rounding may do to a number that is asked for as equal


def find(connection: sa.Connection, query: Query) -> Found:
    """The parts that satisfy the query, sorted; in order of entry where nothing is said."""
    sort = [(name.removeprefix("-"), name.startswith("-")) for name in query.sort]
    found = Found(check(query))
    asked = [*(name for name, _ in sort), *query.show]
    for kind, conditions in kinds_for(query.kind, query.where, asked):
        named = {str(c.name): c.name for c in conditions}
        named |= {str(n): n for n in (find_name(KINDS[kind], name) for name in asked)}
        extra = {name: each for name, each in named.items() if name not in ALWAYS}
        for name, each in extra.items():
            found.shown.setdefault(name, _unit(kind, each))
        _search(connection, kind, conditions, extra, query, found)
    _sort(found, sort)
    if query.most is not None and sort and not query.kind:
        found.parts = found.parts[query.skip : query.skip + query.most]
    return found


def _sort(found: Found, sort: Sequence[tuple[str, bool]]) -> None:
    """In the order asked for; a value that is not stated comes last."""
    kind = found.query.kind
    for name, falling in reversed(sort):
        key = _key_of(found, kind, name)
        stated = [part for part in found.parts if part.values.get(key) is not None]
        rest = [part for part in found.parts if part.values.get(key) is None]
        found.parts = sorted(stated, key=lambda part, key=key: _order(part.values[key]), reverse=falling) + rest  # type: ignore[misc]


def _key_of(found: Found, kind: str, name: str) -> str:
    kinds = [kind] if kind else list(dict.fromkeys(part.kind for part in found.parts))
    return str(find_name(KINDS[kinds[0]], name)) if kinds else name


def _order(value: Any) -> Any:
    return value.casefold() if isinstance(value, str) else value


def _plain(word: str) -> str:
    """In lower case as the database does it: A to Z alone."""
    return word.encode().lower().decode()


def _unit(kind: str, name: NamedColumn) -> str:
    return declared_of(KINDS[kind], name).unit


def _search(
    connection: sa.Connection,
    kind: str,
    conditions: Sequence[Condition],
    extra: Mapping[str, NamedColumn],
    query: Query,
    found: Found,
) -> None:
    wide = WIDE[kind]
    always = list(_common(connection, kind, query))
    clauses = [_clause(connection, kind, condition) for condition in conditions]
    columns: list[Any] = [wide.c[name] for name in ALWAYS]
    columns += [_shown(kind, name, conditions).label(f"asked_{i}") for i, name in enumerate(extra.values())]
    wanted = sa.select(*columns).where(*always, *clauses)
    if query.most is None:
        rows = connection.execute(wanted.order_by(wide.c.id)).all()
        count = len(rows)
    else:
        most, skip = _some(query, found)
        ordered = wanted.order_by(*_order_of(kind, conditions, query))
        rows = connection.execute(ordered.limit(most).offset(skip)).all()
        count = skip + len(rows)
        if len(rows) == most or (skip and not rows):  # there may be more, or fewer: only then are all looked at
            counting = sa.select(sa.func.count()).select_from(wide).where(*always, *clauses)
            count = connection.execute(counting).scalar_one()
    found.parts += [FoundPart(kind, dict(zip((*ALWAYS, *extra), row, strict=True))) for row in rows]
    found.total += count
    if conditions:
        open_ones = [sa.or_(clause, _unstated(kind, c)) for clause, c in zip(clauses, conditions, strict=True)]
        counting = sa.select(sa.func.count()).select_from(wide).where(*always, *open_ones)
        found.unstated += connection.execute(counting).scalar_one() - count


def _some(query: Query, found: Found) -> tuple[int, int]:
    """How many rows of a kind, behind how many, may be among those asked for; ``found`` has the kinds before."""
    assert query.most is not None
    if query.kind:
        return query.most, query.skip
    if query.sort:
        return query.skip + query.most, 0  # any of them may come first once the kinds are brought together
    return query.most - len(found.parts), max(query.skip - found.total, 0)


def _order_of(kind: str, conditions: Sequence[Condition], query: Query) -> Iterator[sa.ColumnElement[Any]]:
    """The order asked for, as the database sorts; what is not stated comes last."""
    for name in query.sort:
        known = find_name(KINDS[kind], name.removeprefix("-"))
        value = _shown(kind, known, conditions)
        yield sa.case((value.is_(None), 1), else_=0)
        declared = declared_of(KINDS[kind], known)
        if not isinstance(declared, Table) and declared.is_text:
            value = in_lower_case(value)
        yield value.desc() if name.startswith("-") else value.asc()
    yield WIDE[kind].c.id


def _common(connection: sa.Connection, kind: str, query: Query) -> Iterator[sa.ColumnElement[bool]]:
    wide = WIDE[kind]
    for word in query.text.split():
        wanted = _plain(word)
        yield sa.or_(*(in_lower_case(wide.c[name]).contains(wanted, autoescape=True) for name in _TEXTS))
    if query.package:
        yield _package(connection, wide, query.package)
    if query.status:
        yield wide.c.status.in_(list(query.status))
    if query.on_hand is not None:
        yield wide.c.quantity >= query.on_hand


def _package(connection: sa.Connection, wide: sa.Table, package: str) -> sa.ColumnElement[bool]:
    """Every spelling in the catalog that means that land pattern."""
    spelled = connection.execute(sa.select(wide.c.package).distinct()).scalars()
    return wide.c.package.in_([each for each in spelled if each and canonical(each) == canonical(package)])


def _clause(connection: sa.Connection, kind: str, condition: Condition) -> sa.ColumnElement[bool]:
    wide, name = WIDE[kind], condition.name
    if name.column == "package" and condition.tests[0].sign in ("=", "!="):
        same = _package(connection, wide, str(condition.tests[0].low))
        return same if condition.tests[0].sign == "=" else sa.and_(wide.c.package.is_not(None), ~same)
    if not name.table:
        return sa.and_(*(_compared(wide.c[test.column], test) for test in condition.tests))
    points = POINTS[kind, name.table]
    if condition.tests[0].sign == "missing":
        return ~_row_exists(kind, name, [points.c[name.column].is_not(None)])
    return _row_exists(kind, name, [_compared(points.c[test.column], test) for test in condition.tests])


def _row_exists(kind: str, name: NamedColumn, tests: Sequence[sa.ColumnElement[bool]]) -> sa.ColumnElement[bool]:
    points = POINTS[kind, name.table]
    return sa.exists().where(points.c.part_id == WIDE[kind].c.id, *tests)


def _compared(column: sa.ColumnElement[Any], test: Test) -> sa.ColumnElement[bool]:
    if test.sign == "stated":
        return column.is_not(None)
    if test.sign == "missing":
        return column.is_(None)
    if isinstance(test.low, str):
        same = in_lower_case(column) == _plain(test.low)
        return same if test.sign == "=" else sa.and_(column.is_not(None), ~same)
    low, high = test.low, float(test.high)
    if test.sign in ("=", "!="):
        between = column.between(low - abs(low) * _NEAR, high + abs(high) * _NEAR)
        return between if test.sign == "=" else ~between
    signs = {"<=": column <= low, ">=": column >= low, "<": column < low, ">": column > low}
    return signs[test.sign]


def _unstated(kind: str, condition: Condition) -> sa.ColumnElement[bool]:
    """True where the condition is open because a value is not stated, or not at such conditions."""
    if condition.tests[0].sign in ("stated", "missing"):
        return sa.false()
    name = condition.name
    if not name.table:
        return WIDE[kind].c[name.column].is_(None)
    points = POINTS[kind, name.table]
    conditions = [_compared(points.c[test.column], test) for test in condition.tests if test.column != name.column]
    return ~_row_exists(kind, name, [points.c[name.column].is_not(None), *conditions])


def _shown(kind: str, name: NamedColumn, conditions: Sequence[Condition]) -> sa.ColumnElement[Any]:
    """A value to show; of a point table the best over the rows that satisfy the condition on it."""
    wide = WIDE[kind]
    if not name.table:
        return wide.c[name.column]
    points = POINTS[kind, name.table]
    tests = [test for c in conditions if c.name == name for test in c.tests if test.sign not in ("stated", "missing")]
    largest = any(test.column == name.column and test.sign in (">=", ">") for test in tests)
    pick = sa.func.max if largest else sa.func.min
    chosen = sa.select(pick(points.c[name.column])).where(points.c.part_id == wide.c.id)
    return chosen.where(*(_compared(points.c[test.column], test) for test in tests)).scalar_subquery()
