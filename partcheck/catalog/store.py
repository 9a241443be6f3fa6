"""The catalog of parts in a database: open it, read parts from it, take parts in."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import sqlalchemy as sa

from partcheck.catalog.accepted import Accepted, read_accepted, write_accepted
from partcheck.catalog.comparing import Compared, changed_since, compare
from partcheck.catalog.faults import telling
from partcheck.catalog.migrate import migrate
from partcheck.catalog.opening import WRITING, State, connect, refuse, state_of, use_write_ahead_log
from partcheck.catalog.place import find_place
from partcheck.catalog.rows import Where, load
from partcheck.catalog.tables import HISTORY, WIDE
from partcheck.catalog.writing import Change, Outcome, add
from partcheck.errors import CatalogError, UsageError
from partcheck.parameters import KINDS
from partcheck.parts.part import Part
from partcheck.parts.problems import did_you_mean


class Catalog:
    """An open catalog; close it, or use it in a ``with`` statement.

    Every method raises :class:`CatalogError` where the database cannot do what is asked.
    """

    def __init__(self, engine: sa.Engine, shown: str) -> None:
        self.shown = shown
        self._engine = engine

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, slip: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def table(self, kind: str) -> sa.Table:
        """The wide table of a kind, for a WHERE clause: ``catalog.table("mosfet").c.vds_max >= 60``."""
        if kind not in WIDE:
            advice = did_you_mean(kind, WIDE, f"write one of {', '.join(WIDE)}")
            raise UsageError(f"'{kind}' is no kind of part; {advice}")
        return WIDE[kind]

    def parts(self, kind: str, where: Where | None = None) -> list[Part]:
        """The parts of a kind in order of entry, of which the clause on its table is true."""
        self.table(kind)
        with telling(self.shown), self._engine.connect() as connection:
            return list(load(connection, kind, where).values())

    def part(self, part_number: str, maker: str | None = None, kind: str | None = None) -> Part:
        """The one part of that number; :class:`UsageError` if there is none or more than one.

        Upper and lower case count only where they tell two parts apart.
        """
        kinds = list(KINDS) if kind is None else [self.table(kind).name]
        found = self._named(kinds, part_number, maker, exact=True) or self._named(kinds, part_number, maker)
        if len(found) == 1:
            return found[0]
        if found:
            listed = ", ".join(f"{part.name} as a {part.kind}" for part in found)
            raise UsageError(f"{self.shown} has more than one {part_number}: {listed}; say maker or kind as well")
        whose = f" of {maker}" if maker else ""
        advice = did_you_mean(part_number, self._numbers(kinds), "add it with: partcheck catalog import FILE")
        raise UsageError(f"{self.shown} has no part {part_number}{whose}; {advice}")

    @property
    def where(self) -> str:
        """Where the catalog is, as it may be printed: no password in it."""
        return self.shown

    def named(self, kind: str, part_number: str, maker: str = "") -> list[Part]:
        """The parts of that number: one, several where makers share it, or none.

        Upper and lower case count only where they tell two parts apart.
        """
        wanted = maker or None
        return self._named([kind], part_number, wanted, exact=True) or self._named([kind], part_number, wanted)

    def tally(self, kind: str, counts: Mapping[str, Any]) -> tuple[int, dict[str, int]]:
        """How many parts of a kind there are, and each aggregate of ``counts`` over them, in one query."""
        total = sa.func.count()
        with telling(self.shown), self._engine.connect() as connection:
            row = connection.execute(sa.select(total, *counts.values()).select_from(self.table(kind))).one()
        return row[0], {name: int(value or 0) for name, value in zip(counts, row[1:], strict=True)}

    def find(self, text: str) -> list[Part]:
        """The parts whose number, maker or description has the text in it, in any case."""
        found = []
        for kind, table in WIDE.items():
            columns = (table.c.part_number, table.c.maker, table.c.description)
            found += self.parts(kind, sa.or_(*(c.icontains(text, autoescape=True) for c in columns)))
        return found

    def count(self) -> dict[str, int]:
        """How many parts of each kind there are."""
        with telling(self.shown), self._engine.connect() as connection:
            return {
                kind: connection.execute(sa.select(sa.func.count()).select_from(table)).scalar_one()
                for kind, table in WIDE.items()
            }

    def add(self, parts: Iterable[Part], who: str, when: datetime | str) -> Outcome:
        """Take parts in, all of them or, where anything fails, none.

        A part is stated whole: what an earlier import stated and this one does not is cleared. Former values
        are kept with ``who`` and ``when`` (an ISO 8601 text or a time). Taking the same in again changes
        nothing.
        """
        with telling(self.shown), self._engine.execution_options(**WRITING).begin() as connection:
            return add(connection, parts, who, when)

    def compare(self, parts: Sequence[Part], step: Callable[[int, int], None] = lambda done, total: None) -> Compared:
        """What :meth:`add` would do with the parts: which are new, and which would change from what to what."""
        with telling(self.shown), self._engine.connect() as connection:
            return compare(connection, parts, step)

    def enter(self, compared: Compared, who: str, when: datetime | str) -> Outcome:
        """As :meth:`add`, for what was compared before; :class:`CatalogError` where the catalog changed since."""
        with telling(self.shown), self._engine.execution_options(**WRITING).begin() as connection:
            if part := changed_since(connection, compared):
                raise CatalogError(f"{part.name} in {self.shown} was changed by somebody else meanwhile; import again")
            return add(connection, compared.differing, who, when)._replace(same=compared.same)

    def accept(self, stated: Mapping[str, str]) -> int:
        """Write an accepted substitution down for good; its number."""
        with telling(self.shown), self._engine.execution_options(**WRITING).begin() as connection:
            return write_accepted(connection, stated)

    def accepted(self, number: int | None = None) -> list[Accepted]:
        """The accepted substitutions, newest first, or the one of that number."""
        with telling(self.shown), self._engine.connect() as connection:
            return read_accepted(connection, number)

    def history(self, part_number: str, maker: str | None = None, kind: str | None = None) -> list[Change]:
        """What changed about a part, oldest first; :class:`UsageError` where there is no such part."""
        part = self.part(part_number, maker, kind)
        table = WIDE[part.kind]
        own = sa.select(table.c.id).where(table.c.part_number == part.part_number, table.c.maker == part.maker)
        columns = (
            HISTORY.c.column,
            HISTORY.c.former,
            HISTORY.c.new,
            HISTORY.c.changed_by,
            HISTORY.c.changed_at,
        )
        mine = sa.and_(HISTORY.c.kind == part.kind, HISTORY.c.part_id == own.scalar_subquery())
        with telling(self.shown), self._engine.connect() as connection:
            return [Change(*row) for row in connection.execute(sa.select(*columns).where(mine).order_by(HISTORY.c.id))]

    def _named(self, kinds: Iterable[str], part_number: str, maker: str | None, exact: bool = False) -> list[Part]:
        found = []
        for kind in kinds:
            number = WIDE[kind].c.part_number
            same = number == part_number if exact else sa.func.lower(number) == part_number.lower()
            found += self.parts(kind, same)
        return [part for part in found if maker is None or part.maker.casefold() == maker.casefold()]

    def _numbers(self, kinds: Iterable[str]) -> list[str]:
        with telling(self.shown), self._engine.connect() as connection:
            return [
                number
                for kind in kinds
                for number in connection.execute(sa.select(WIDE[kind].c.part_number).limit(20_000)).scalars()
            ]


def open_catalog(where: str | Path | None = None, create: bool = False) -> Catalog:
    """Open the catalog at a path or database URL, or the user's own where none is given.

    With ``create`` one is made where there is none; its folder must be there. :class:`CatalogError` says in
    one sentence what is found instead of a catalog, and what to do.
    ``with open_catalog("parts.sqlite") as catalog: catalog.parts("mosfet")``.
    """
    place = find_place(where)
    engine = connect(place, create)
    try:
        with telling(place.shown):
            state = state_of(engine)
            if state is State.NEW and create:
                use_write_ahead_log(engine)
                migrate(engine, place.shown)
                state = state_of(engine)
        if state is not State.CURRENT:
            raise refuse(state, place.shown)
    except BaseException:
        engine.dispose()
        raise
    return Catalog(engine, place.shown)


def upgrade(where: str | Path | None = None) -> bool:
    """Bring an older catalog up to date, wholly or not at all; False where it already was."""
    place = find_place(where)
    engine = connect(place, create=False)
    try:
        with telling(place.shown):
            state = state_of(engine)
            if state is State.OLDER:
                migrate(engine, place.shown)
            elif state is not State.CURRENT:
                raise refuse(state, place.shown)
            if state_of(engine) is not State.CURRENT:
                raise CatalogError(f"{place.shown} could not be brought up to date; restore it from a copy")
            return state is State.OLDER
    finally:
        engine.dispose()
