"""The catalog of parts in a database: open it, read parts from it, take parts in."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self
from weakref import finalize

import sqlalchemy as sa

from partcheck.catalog import finding
from partcheck.catalog.accepted import Accepted, read_accepted, write_accepted
from partcheck.catalog.comparing import PartComparison, changed_since, compare
from partcheck.catalog.copies import write_copy
from partcheck.catalog.faults import telling
from partcheck.catalog.migrate import migrate
from partcheck.catalog.opening import State, connect, for_writing, refuse, state_of, use_write_ahead_log
from partcheck.catalog.past import HistoryEntry, Use, entries_of, once_known, uses_of
from partcheck.catalog.place import find_place
from partcheck.catalog.restoring import Restored
from partcheck.catalog.restoring import restore as bring_back
from partcheck.catalog.rows import Where, load, portions
from partcheck.catalog.tables import CHANGES, WIDE, in_lower_case
from partcheck.catalog.undoing import LastChange, last_change, take_back
from partcheck.catalog.verifying import DATABASE, CatalogFault, Verified, verify
from partcheck.catalog.writing import PART, Command, ValueChange, WriteOutcome, add, change, chunks, key_of, known_ids
from partcheck.errors import CatalogError, UnsoundCatalog, UsageError
from partcheck.parameters import KINDS
from partcheck.parts.part import Part
from partcheck.parts.problems import did_you_mean
from partcheck.parts.search import Found, Query
from partcheck.stages import during

if TYPE_CHECKING:
    from partcheck.catalog.filling import Filling
    from partcheck.stock.stock import Stock

_ONE_PAGE = 4096  # bytes: of a database that has no table yet


class Catalog:
    """An open catalog; close it, or use it in a ``with`` statement.

    Every method raises :class:`CatalogError` where the database cannot do what is asked.
    """

    def __init__(self, engine: sa.Engine, shown: str, path: Path | None = None) -> None:
        self.shown = shown
        self._path = path
        self._engine = engine
        # whoever forgets to close it leaves no connection open: a server has only so many
        finalize(self, engine.dispose)

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
            raise UsageError(f"'{kind}' is not a kind of part; {advice}")
        return WIDE[kind]

    def parts(self, kind: str, where: Where | None = None) -> list[Part]:
        """The parts of a kind in order of entry, of which the clause on its table is true."""
        self.table(kind)
        with telling(self.shown), self._engine.connect() as connection:
            return list(load(connection, kind, where).values())

    def stock(self, kind: str) -> "Stock":
        """All parts of a kind as columns, as the catalog is now; a part is read when it is shown.

        Of a file with many parts the columns are kept beside it, see :mod:`partcheck.catalog.snapshot`.
        """
        from partcheck.catalog.bulk import Stored, read_laid  # NumPy, only where columns are asked for
        from partcheck.catalog.snapshot import read_snapshot, state_of_file, write_snapshot

        self.table(kind)
        state = state_of_file(self._path) if self._path is not None else []
        with telling(self.shown), self._engine.connect() as connection:
            of = [connection.execute(sa.select(sa.func.max(CHANGES.c.id))).scalar_one(), state]
            laid = read_snapshot(self._path, kind, of) if self._path is not None else None
            if laid is not None:
                return Stored(self, laid)
            laid = read_laid(connection, kind)
        if self._path is not None:
            write_snapshot(self._path, laid, of, state)
        return Stored(self, laid)

    def by_ids(self, kind: str, ids: Sequence[int]) -> dict[int, Part]:
        """The parts with these ids."""
        with telling(self.shown), self._engine.connect() as connection:
            found: dict[int, Part] = {}
            for some in chunks(ids):
                found |= load(connection, kind, WIDE[kind].c.id.in_(some))
            return found

    def portions(self, kind: str, count: int) -> Iterator[list[Part]]:
        """All parts of a kind in order of entry, so many at a time, as the catalog is at one moment."""
        with telling(self.shown), self._engine.connect() as connection:
            yield from portions(connection, kind, count)

    def some(self, kind: str, most: int) -> list[Part]:
        """Parts of a kind spread evenly over all in order of entry: all of them, or about ``most`` of more."""
        wide = self.table(kind)
        with telling(self.shown), self._engine.connect() as connection:
            count, last = connection.execute(sa.select(sa.func.count(), sa.func.max(wide.c.id))).one()
        if count <= most:
            return self.parts(kind)
        return list(self.by_ids(kind, [1 + last * i // most for i in range(most)]).values())

    def numbers_like(self, kinds: Iterable[str], like: str, most: int = 5000) -> list[str]:
        """Part numbers to suggest one from; of more than ``most`` of a kind those first that begin as ``like`` does."""
        found: list[str] = []
        with telling(self.shown), self._engine.connect() as connection:
            for kind in kinds:
                number = WIDE[kind].c.part_number
                start = in_lower_case(sa.func.substr(number, 1, 2)) == in_lower_case(sa.literal(like[:2]))
                query = sa.select(number).order_by(sa.case((start, 0), else_=1), WIDE[kind].c.id).limit(most)
                found += connection.execute(query).scalars()
        return found

    def ids_of(self, kind: str, parts: Iterable[Part]) -> list[int]:
        """The ids of those of the parts (same maker in any case, number as written) that the catalog has."""
        with telling(self.shown), self._engine.connect() as connection:
            keyed = {key_of(part.maker, part.part_number): part for part in parts}
            return sorted(known_ids(connection, kind, keyed).values())

    def part(self, part_number: str, maker: str | None = None, kind: str | None = None) -> Part:
        """The one part of that number; :class:`UsageError` if there is none or more than one.

        Upper and lower case count only where they tell two parts apart.
        """
        kinds = list(KINDS) if kind is None else [self.table(kind).name]
        found = self._named(kinds, part_number, maker, exact=True) or self._named(kinds, part_number, maker)
        if len(found) == 1:
            return found[0]
        if found:
            listed = ", ".join(f"{part.name} as {KINDS[part.kind].one}" for part in found)
            raise UsageError(f"{self.shown} has more than one {part_number}: {listed}; give maker or kind as well")
        whose = f" of {maker}" if maker else ""
        advice = did_you_mean(
            part_number, self.numbers_like(kinds, part_number), "add it with: partcheck catalog import FILE"
        )
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

    def find(self, text: str) -> list[Part]:
        """The parts whose number, maker or description has the text in it, in any case."""
        found = []
        for kind, table in WIDE.items():
            columns = (table.c.part_number, table.c.maker, table.c.description)
            wanted = text.encode().lower().decode()  # A to Z alone, as in the database
            found += self.parts(kind, sa.or_(*(in_lower_case(c).contains(wanted, autoescape=True) for c in columns)))
        return found

    def search(self, query: Query) -> Found:
        """The parts that satisfy every condition, read no further than asked for.

        ``catalog.search(Query("mosfet", where=["rds_on.max <= 30 mΩ at vgs <= 4.5 V"], sort=["price"]))``.
        """
        with telling(self.shown), self._engine.connect() as connection:
            return finding.find(connection, query)

    def count(self) -> dict[str, int]:
        """How many parts of each kind there are."""
        with telling(self.shown), self._engine.connect() as connection:
            return {
                kind: connection.execute(sa.select(sa.func.count()).select_from(table)).scalar_one()
                for kind, table in WIDE.items()
            }

    def add(
        self, parts: Iterable[Part], who: str, when: datetime | str, what: str = "import", note: str = ""
    ) -> WriteOutcome:
        """Take parts in, all of them or, where anything fails, none.

        A part is stated whole: what an earlier import stated and this one does not is cleared. Former values
        are kept with ``who`` and ``when`` (an ISO 8601 text or a time). Taking the same in again changes
        nothing. ``what`` and ``note`` tell the history which command it was.
        """
        with telling(self.shown), for_writing(self._engine).begin() as connection:
            return add(connection, parts, who, when, what, note)

    def last_change(self) -> LastChange | None:
        """The last change that has not been taken back, and what taking it back would do."""
        with telling(self.shown), self._engine.connect() as connection:
            return last_change(connection)

    def last_change_id(self) -> int:
        """The number of the last change, taken back or not; 0 where nothing was ever changed."""
        with telling(self.shown), self._engine.connect() as connection:
            return connection.execute(sa.select(sa.func.max(CHANGES.c.id))).scalar_one() or 0

    def take_back(self, change_id: int, who: str, when: datetime | str) -> None:
        """Take the last change back, which must still be the one with that number; it goes to the history, too."""
        with telling(self.shown), for_writing(self._engine).begin() as connection:
            take_back(connection, change_id, who, when)

    def change(
        self, part: Part, expected: Part | None, by: str, when: datetime | str, what: str = "edit", note: str = ""
    ) -> WriteOutcome:
        """Bring one part from ``expected``, as it was read (None: there was none), to ``part``.

        :class:`ChangedMeanwhile` where somebody else changed it in between; nothing is written then.
        ``catalog.change(replace(old, values=old.values | {"vds_max": 55.0}), old, "Jo", "2024-05-31")``.
        """
        with telling(self.shown), for_writing(self._engine).begin() as connection:
            return change(connection, part, expected, Command(connection, what, by, when, note))

    def verify(self) -> Verified:
        """Look at the database, at every value and at every history; what is wrong is told, nothing is corrected."""
        with telling(self.shown), self._engine.connect() as connection:
            return verify(connection)

    def backup(self, file: str | Path, replace: bool = False) -> None:
        """Copy the catalog, as it is at one moment, into a file that is a catalog itself; others may go on using it.

        A file that is there already is left alone, or with ``replace`` replaced when the copy is finished.
        """
        write_copy(self._engine, self.shown, Path(file), replace)

    def compare(
        self, parts: Sequence[Part], step: Callable[[int, int], None] = lambda done, total: None
    ) -> PartComparison:
        """What :meth:`add` would do with the parts: which are new, and which would change from what to what."""
        with telling(self.shown), self._engine.connect() as connection:
            return compare(connection, parts, step)

    def enter(self, compared: PartComparison, who: str, when: datetime | str, note: str = "") -> WriteOutcome:
        """As :meth:`add`, for what was compared before; :class:`CatalogError` where the catalog changed since."""
        with telling(self.shown), for_writing(self._engine).begin() as connection:
            if part := changed_since(connection, compared):
                raise CatalogError(f"{part.name} in {self.shown} was changed by somebody else meanwhile; import again")
            return add(connection, compared.differing, who, when, "import", note)._replace(same=compared.same)

    @contextmanager
    def filling(self, who: str, when: datetime | str, note: str = "") -> Iterator["Filling"]:
        """For taking very many parts in, some at a time: entered at the end of the ``with`` statement or not at all."""
        from partcheck.catalog.filling import Filling

        with telling(self.shown), for_writing(self._engine).begin() as connection:
            yield Filling(connection, Command(connection, "import", who, when, note))

    def accept(self, stated: Mapping[str, str]) -> int:
        """Write an accepted substitution down for good; its number."""
        with telling(self.shown), for_writing(self._engine).begin() as connection:
            return write_accepted(connection, stated)

    def accepted(self, number: int | None = None) -> list[Accepted]:
        """The accepted substitutions, newest first, or the one of that number."""
        with telling(self.shown), self._engine.connect() as connection:
            return read_accepted(connection, number)

    def history(self, part_number: str, maker: str | None = None, kind: str | None = None) -> list[ValueChange]:
        """Which values of a part changed, oldest first; :class:`UsageError` where there is no such part."""
        part = self.part(part_number, maker, kind)
        with telling(self.shown), self._engine.connect() as connection:
            told = entries_of(connection, part.kind, part.part_number, part.maker)
        return [ValueChange(*entry[:5]) for entry in reversed(told) if entry.column != PART]

    def entries(self, part_number: str, maker: str | None = None) -> dict[tuple[str, str, str], list[HistoryEntry]]:
        """The whole history of each part of that number, newest first, by kind, part number and maker.

        A part that an undo took out has its history still; :class:`UsageError` where there never was such a part.
        """
        with telling(self.shown), self._engine.connect() as connection:
            known = [
                identity
                for identity in once_known(connection, part_number)
                if maker is None or identity[2].casefold() == maker.casefold()
            ]
            if any(identity[1] == part_number for identity in known):
                known = [identity for identity in known if identity[1] == part_number]
            found = {identity: entries_of(connection, *identity) for identity in known}
        if not found:  # entered before the history knew who entered what, or never
            part = self.part(part_number, maker)
            found = {(part.kind, part.part_number, part.maker): []}
        return found

    def uses(self, kind: str, part_number: str, maker: str) -> list[Use]:
        """The accepted substitutions with that part, newest first."""
        with telling(self.shown), self._engine.connect() as connection:
            return uses_of(connection, kind, part_number, maker)

    def _named(self, kinds: Iterable[str], part_number: str, maker: str | None, exact: bool = False) -> list[Part]:
        found = []
        for kind in kinds:
            number = WIDE[kind].c.part_number
            same = number == part_number if exact else in_lower_case(number) == in_lower_case(sa.literal(part_number))
            found += self.parts(kind, same)
        return [part for part in found if maker is None or part.maker.casefold() == maker.casefold()]

    def numbers(self, kind: str, beginning: str, most: int) -> list[tuple[str, str]]:
        """Part numbers, each with its maker, that begin so in any case; of one kind, or of all."""
        found: list[tuple[str, str]] = []
        with telling(self.shown), self._engine.connect() as connection:
            for name in [kind] if kind else KINDS:
                number, maker = WIDE[name].c.part_number, WIDE[name].c.maker
                begun = in_lower_case(number).startswith(beginning.encode().lower().decode(), autoescape=True)
                query = sa.select(number, maker).where(begun).order_by(number).limit(most - len(found))
                found += [(row.part_number, row.maker) for row in connection.execute(query)]
        return found


def open_catalog(where: str | Path | None = None, create: bool = False) -> Catalog:
    """Open the catalog at a path or database URL, or the user's own where none is given.

    With ``create`` one is made where there is none; its folder must be there. :class:`CatalogError` says in
    one sentence what is found instead of a catalog, and what to do.
    ``with open_catalog("parts.sqlite") as catalog: catalog.parts("mosfet")``.
    """
    place = find_place(where)
    fresh = create and place.path is not None and not place.path.exists()
    engine = connect(place, create)
    try:
        with telling(place.shown):
            state = state_of(engine)
            if state is State.NEW and create:
                use_write_ahead_log(engine, place.path)
                migrate(engine, place.shown)
                state = state_of(engine)
        if state is not State.CURRENT:
            raise refuse(state, place.shown)
    except BaseException:
        engine.dispose()
        if fresh and place.path is not None:
            _take_away(place.path)
        raise
    return Catalog(engine, place.shown, place.path)


@during("looking through the catalog")
def look_through(where: str | Path | None = None) -> tuple[Verified, str]:
    """What is wrong with a catalog, and what it is called; one too damaged to be opened is a finding, too."""
    shown = find_place(where).shown
    try:
        with open_catalog(where) as catalog:
            return catalog.verify(), shown
    except UnsoundCatalog as slip:
        return Verified(0, 0, [CatalogFault(DATABASE, "the database", str(slip).removeprefix(f"{shown} "))]), shown


def _take_away(path: Path) -> None:
    """Remove what was begun of a new catalog, unless somebody else has filled it meanwhile."""
    with suppress(OSError):
        log = path.with_name(path.name + "-wal")
        if path.stat().st_size <= _ONE_PAGE and not (log.exists() and log.stat().st_size):
            for end in ("-wal", "-shm", "-journal", ""):
                path.with_name(path.name + end).unlink(missing_ok=True)


def restore(where: str | Path | None, file: str | Path, keep: str | Path | None = None) -> Restored:
    """Make the catalog what a backup says; what it held before goes to ``keep``, else to a file beside it."""
    return bring_back(find_place(where), Path(file), None if keep is None else Path(keep))


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
