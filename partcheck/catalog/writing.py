"""Taking parts into the catalog: new ones, changed ones with their former values, and those already there.

Whatever one command does is one change; :mod:`partcheck.catalog.undoing` can take it back as a whole.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any, NamedTuple

import sqlalchemy as sa

from partcheck.catalog.rows import load, point_rows, source_rows, wide_row
from partcheck.catalog.tables import CHANGES, HISTORY, POINTS, PROVENANCE, WIDE
from partcheck.errors import ChangedMeanwhile, PartsError, UsageError
from partcheck.parameters import KINDS
from partcheck.parts.documents import to_record
from partcheck.parts.part import Part

_AT_ONCE = 500  # ids in one query; every database takes that many
PART = "part"
"""In the history, the column that stands for the whole part."""


class WriteOutcome(NamedTuple):
    """How many parts were added, changed, and found the same; how many former values are no longer stated."""

    added: int
    changed: int
    same: int
    cleared: int = 0


class ValueChange(NamedTuple):
    """A value (a column, a table, ``provenance.`` and what it is the source of) that an import changed.

    ``former`` and ``new`` are as JSON states them, None where it was or is not stated.
    """

    column: str
    former: str | None
    new: str | None
    who: str
    when: str


class Command:
    """A command that changes parts: it is written down when it first changes something."""

    def __init__(
        self,
        connection: sa.Connection,
        what: str,
        who: str,
        when: datetime | str,
        note: str = "",
        undoes: int | None = None,
    ) -> None:
        stamp = when if isinstance(when, str) else when.isoformat(timespec="seconds")
        self._by = {"changed_by": who, "changed_at": stamp}
        self._row = {"what": what, "note": note or None, "undoes": undoes, **self._by}
        self._connection, self._id = connection, 0

    @property
    def by(self) -> tuple[str, str]:
        """Who gave it, and when."""
        return self._by["changed_by"], self._by["changed_at"]

    @property
    def id(self) -> int:
        """Its number in the table of changes."""
        if not self._id:
            made = self._connection.execute(sa.insert(CHANGES).values(self._row)).inserted_primary_key
            assert made is not None
            self._id = int(made[0])
        return self._id

    def tell(self, part: Part, part_id: int, column: str, former: str | None, new: str | None) -> dict[str, Any]:
        """A row of the history."""
        return {
            "kind": part.kind,
            "part_id": part_id,
            "part_number": part.part_number,
            "maker": part.maker,
            "column": column,
            "former": former,
            "new": new,
            "change_id": self.id,
            **self._by,
        }


def add(
    connection: sa.Connection,
    parts: Iterable[Part],
    who: str,
    when: datetime | str,
    what: str = "import",
    note: str = "",
) -> WriteOutcome:
    """Take the parts in, within the transaction of the connection.

    A part is stated whole: one that is there already (same kind, maker in any case, part number) becomes as
    given, and what it no longer states is cleared; every changed value goes to the history.
    """
    command = Command(connection, what, who, when, note)
    total = WriteOutcome(0, 0, 0)
    for kind, some in by_kind(parts).items():
        known = known_ids(connection, kind, some)
        new = [part for key, part in some.items() if key not in known]
        insert(connection, kind, new, command)
        counts = change_known(connection, kind, [(known[key], some[key]) for key in some if key in known], command)
        total = WriteOutcome(*(a + b for a, b in zip(total, (len(new), *counts), strict=True)))
    return total


def change(connection: sa.Connection, part: Part, expected: Part | None, command: Command) -> WriteOutcome:
    """Bring one part from what it was when it was read to what is given, within the transaction of the connection.

    ``expected`` is the part as it was read, None where there was none. :class:`ChangedMeanwhile` where the catalog
    says something else by now. Maker and part number may change, the kind not.
    """
    if expected is not None and expected.kind != part.kind:
        raise UsageError(
            f"{expected.name} is {KINDS[expected.kind].one} and stays one; enter {part.name} as a part of its own"
        )
    part_id, now = _as_it_is(connection, expected or part)
    _check_expected(connection, part_id, expected, now)
    if expected is None or part_id is None:
        insert(connection, part.kind, [part], command)
        return WriteOutcome(1, 0, 0)
    if key_of(part.maker, part.part_number) != key_of(expected.maker, expected.part_number):
        taken, other = _as_it_is(connection, part)
        if taken is not None and other is not None:
            raise UsageError(
                f"there is {KINDS[part.kind].one} {other.name} already; give the part another number or maker"
            )
    return WriteOutcome(0, *change_known(connection, part.kind, [(part_id, part)], command))


def _as_it_is(connection: sa.Connection, part: Part) -> tuple[int | None, Part | None]:
    """The part of that kind, maker and number as the catalog has it, and its id."""
    key = key_of(part.maker, part.part_number)
    part_id = known_ids(connection, part.kind, {key: part}).get(key)
    if part_id is None:
        return None, None
    return part_id, load(connection, part.kind, WIDE[part.kind].c.id == part_id)[part_id]


def _check_expected(connection: sa.Connection, part_id: int | None, expected: Part | None, now: Part | None) -> None:
    """Refuse where the catalog does not say what the change started from."""
    again = "; look at it again, then repeat your change"
    if expected is None and now is not None:
        raise ChangedMeanwhile(f"{now.name} is in the catalog by now, entered by somebody else{again}")
    if expected is not None and now is None:
        raise ChangedMeanwhile(f"{expected.name} is no longer in the catalog under that name{again}")
    if expected is None or now is None:
        return
    differing = list(differences(expected, now))
    if differing:
        told = [
            f"{column}: you started from {old or 'nothing'}, it is {new or 'not stated'} now"
            for column, old, new in differing
        ]
        columns = ", ".join(column for column, _, _ in differing)
        whose = _last_change(connection, now.kind, part_id)
        raise ChangedMeanwhile(f"{now.name} was changed{whose} since you read it ({columns}){again}", told)


def _last_change(connection: sa.Connection, kind: str, part_id: int | None) -> str:
    query = sa.select(HISTORY.c.changed_by, HISTORY.c.changed_at).order_by(HISTORY.c.id.desc()).limit(1)
    last = connection.execute(query.where(HISTORY.c.kind == kind, HISTORY.c.part_id == part_id)).first()
    return f" by {last[0]} at {last[1]}" if last else ""


def key_of(maker: str, part_number: str) -> tuple[str, str]:
    """What makes a part of a kind unique."""
    return maker.casefold(), part_number


def by_kind(parts: Iterable[Part]) -> dict[str, dict[tuple[str, str], Part]]:
    """The parts by kind and key; one that is given twice is refused."""
    found: dict[str, dict[tuple[str, str], Part]] = {}
    for part in parts:
        key = key_of(part.maker, part.part_number)
        if found.setdefault(part.kind, {}).setdefault(key, part) is not part:
            raise PartsError(f"{part.name} is given twice as {KINDS[part.kind].one}; keep one of the two")
    return found


def chunks(items: Sequence[Any]) -> Iterator[Sequence[Any]]:
    """Pieces of what is asked for in one query each."""
    for start in range(0, len(items), _AT_ONCE):
        yield items[start : start + _AT_ONCE]


def known_ids(connection: sa.Connection, kind: str, parts: dict[tuple[str, str], Part]) -> dict[tuple[str, str], int]:
    """The ids of those parts that the catalog has."""
    wide = WIDE[kind]
    found = {}
    for numbers in chunks(sorted({number for _, number in parts})):
        query = sa.select(wide.c.id, wide.c.maker, wide.c.part_number).where(wide.c.part_number.in_(numbers))
        for part_id, maker, number in connection.execute(query):
            found[key_of(maker, number)] = part_id
    return {key: part_id for key, part_id in found.items() if key in parts}


def insert(connection: sa.Connection, kind: str, parts: Sequence[Part], command: Command) -> None:
    """Enter parts that the catalog does not have."""
    if not parts:
        return
    connection.execute(sa.insert(WIDE[kind]), [wide_row(part) for part in parts])
    ids = known_ids(connection, kind, {key_of(part.maker, part.part_number): part for part in parts})
    placed = [(ids[key_of(part.maker, part.part_number)], part) for part in parts]
    for table in KINDS[kind].tables:
        rows = [row for part_id, part in placed for row in point_rows(part, table, part_id)]
        if rows:
            connection.execute(sa.insert(POINTS[kind, table.name]), rows)
    sources = [row for part_id, part in placed for row in source_rows(part, part_id)]
    if sources:
        connection.execute(sa.insert(PROVENANCE), sources)
    entered = [command.tell(part, part_id, PART, None, json.dumps(part.part_number)) for part_id, part in placed]
    connection.execute(sa.insert(HISTORY), entered)


def remove(connection: sa.Connection, part_id: int, part: Part, command: Command) -> None:
    """Take a part out; all that it stated stays in the history."""
    record = json.dumps(to_record(part), ensure_ascii=False, allow_nan=False)
    connection.execute(sa.insert(HISTORY), [command.tell(part, part_id, PART, record, None)])
    for table in KINDS[part.kind].tables:
        points = POINTS[part.kind, table.name]
        connection.execute(sa.delete(points).where(points.c.part_id == part_id))
    connection.execute(sa.delete(PROVENANCE).where(PROVENANCE.c.kind == part.kind, PROVENANCE.c.part_id == part_id))
    wide = WIDE[part.kind]
    connection.execute(sa.delete(wide).where(wide.c.id == part_id))


def change_known(
    connection: sa.Connection, kind: str, pairs: Sequence[tuple[int, Part]], command: Command
) -> tuple[int, int, int]:
    """Bring known parts to what is given; how many changed or stayed, and how many values were cleared."""
    changed = same = cleared = 0
    for some in chunks(pairs):
        former = load(connection, kind, WIDE[kind].c.id.in_([part_id for part_id, _ in some]))
        for part_id, part in some:
            differing = list(differences(former[part_id], part))
            if not differing:
                same += 1
                continue
            changed += 1
            cleared += sum(new is None for _, _, new in differing)
            _replace(connection, part_id, part, {column for column, _, _ in differing})
            if part.key != former[part_id].key:
                _rename_history(connection, part_id, former[part_id], part)
            made = [command.tell(part, part_id, *difference) for difference in differing]
            connection.execute(sa.insert(HISTORY), made)
    return changed, same, cleared


def stated(part: Part) -> dict[str, str]:
    """Everything that a part states, as texts that are equal exactly where the values are."""
    record = to_record(part)
    sources = record.pop("provenance", {})
    record |= {f"provenance.{name}": source for name, source in sources.items()}
    return {name: json.dumps(value, ensure_ascii=False, allow_nan=False) for name, value in record.items()}


def differences(former: Part, part: Part) -> Iterator[tuple[str, str | None, str | None]]:
    """What two statements of a part differ in: column, former and new value as JSON texts."""
    old, new = stated(former), stated(part)
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


def _rename_history(connection: sa.Connection, part_id: int, former: Part, part: Part) -> None:
    """The history goes with a part that gets another number or another spelling of its maker."""
    mine = (HISTORY.c.kind == part.kind, HISTORY.c.part_id == part_id, HISTORY.c.part_number == former.part_number)
    connection.execute(sa.update(HISTORY).where(*mine).values(part_number=part.part_number, maker=part.maker))
