"""A program killed at any moment leaves the catalog as before or as after, never between.

Each action is killed before statements that it sends to the database (all of them in turn, so that every place between two
statements is met) and at moments of the clock. ``PARTCHECK_KILLS`` sets how often per action and database.
"""

import importlib
import os
import random
import signal
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from partcheck.catalog import open_catalog, opening, place, restore, upgrade
from partcheck.catalog.accepted import DECIDED
from partcheck.catalog.migrate import migrate
from partcheck.catalog.tables import POINTS
from partcheck.parts import Part
from tests.command import sample_parts
from tests.conftest import DATABASES
from tests.forked import Killing, fork
from tests.server import database, server

KILLS = int(os.environ.get("PARTCHECK_KILLS", "6"))
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the processes of this test are forked")
WHEN = "2024-05-31T12:00:00+00:00"
Action = Callable[[str, Path], object]


@cache
def parts() -> list[Part]:
    return [part for part in sample_parts() if part.kind in ("mosfet", "terminal")]


def changed(part: Part) -> Part:
    points = {
        name: replace(table, columns={c: v[:1] for c, v in table.columns.items()})
        for name, table in part.tables.items()
    }
    return replace(part, values={**part.values, "quantity": 4711.0}, tables=points, provenance={})


def bring_in(where: str, folder: Path) -> None:
    """Half of the parts are new, some are changed, some are the same."""
    known = parts()
    with open_catalog(where) as catalog:
        catalog.add([*map(changed, known[:6]), *known[6:]], "Sam", WHEN)


def edit(where: str, folder: Path) -> None:
    with open_catalog(where) as catalog:
        part = catalog.part(parts()[2].part_number)
        catalog.change(changed(part), part, "Sam", WHEN)


def bring_up(where: str, folder: Path) -> None:
    upgrade(where)


def make(where: str, folder: Path) -> None:
    with open_catalog(where, create=True):
        pass


def bring_back(where: str, folder: Path) -> None:
    restore(where, folder / "copy.sqlite", folder / f"kept-{os.getpid()}.sqlite")


ACTIONS: dict[str, Action] = {
    "import": bring_in,
    "edit": edit,
    "upgrade": bring_up,
    "make": make,
    "restore": bring_back,
}


def connected(where: str) -> sa.Engine:
    return opening.connect(place.find_place(where), create=True)


def state(where: str) -> dict[str, Any]:
    """Everything in the database: version and rows of every table; nothing where there is none."""
    if "://" not in where and not (Path(where).exists() and Path(where).stat().st_size):
        return {}
    engine = connected(where)
    with engine.connect() as connection:
        names = sorted(sa.inspect(connection).get_table_names())
        found = {
            name: [dict(row) for row in connection.execute(sa.text(f'SELECT * FROM "{name}"')).mappings()]
            for name in names
        }
        if connection.dialect.name == "sqlite":
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalars().all() == ["ok"]
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
    engine.dispose()
    return renumbered(found)


def renumbered(found: dict[str, list[dict[str, Any]]]) -> dict[str, Any]:
    """The rows numbered without gaps: a server leaves out the numbers that a broken-off action had drawn."""
    ids = {name: sorted(row["id"] for row in rows) for name, rows in found.items() if rows and "id" in rows[0]}
    kinds = {table.name: kind for (kind, _), table in POINTS.items()}
    for name, rows in found.items():
        for row in rows:
            for name_of_change in ("change_id", "undoes"):
                if row.get(name_of_change) is not None:
                    row[name_of_change] = ids["changes"].index(row[name_of_change])
            if "part_id" in row:
                row["part_id"] = ids[row.get("kind", kinds.get(name))].index(row["part_id"])
            if "id" in row:
                row["id"] = ids[name].index(row["id"])
    return {name: sorted(rows, key=repr) for name, rows in found.items()}


class Bench:
    """Catalogs in one and the same state, made anew as often as wanted."""

    def __init__(self, sort: str, action: str, folder: Path, stack: ExitStack) -> None:
        self.sort, self.folder, self.stack = sort, folder, stack
        self.first = str(folder / "first.sqlite") if sort == "sqlite" else stack.enter_context(database())
        if action != "make":
            self._fill(self.first, older=action == "upgrade")
        if action == "restore":
            self._fill(str(folder / "copy.sqlite"), more=True)
        self.count = 0

    def _fill(self, where: str, older: bool = False, more: bool = False) -> None:
        with open_catalog(where, create=True) as catalog:
            catalog.add(parts()[: 50 if more else 12], "Jo", WHEN)
            catalog.add([changed(part) for part in parts()[8:10]], "Jo", WHEN)
            catalog.accept(dict.fromkeys(DECIDED, "x"))
        if older:
            engine = connected(where)
            migrate(engine, "it", "0001")
            engine.dispose()

    def anew(self) -> str:
        self.count += 1
        if self.sort == "sqlite":
            made = self.folder / str(self.count) / "catalog.sqlite"
            made.parent.mkdir()
            if Path(self.first).exists():
                made.write_bytes(Path(self.first).read_bytes())
            return str(made)
        return self.stack.enter_context(database(template=self.first.rpartition("/")[2]))


def child(action: Action, where: str, folder: Path, before: int | None) -> int:
    """Start the action in a process of its own, which kills itself before its ``before``-th statement."""
    pid, counting = fork(), Killing(before)
    if pid:
        return pid
    code = 1
    try:
        for event in ("before_cursor_execute", "commit"):
            sa.event.listen(sa.Engine, event, counting)
        action(where, folder)
        code = 0
        if before is None:
            (folder / "statements").write_text(str(counting.count))
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        os._exit(code)


def killed(pid: int, after: float) -> bool:
    """Kill the child after so many seconds; whether that met it alive."""
    if after < 60:
        time.sleep(after)
        os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0, "the action itself failed"
    return os.WIFSIGNALED(status)


@pytest.mark.parametrize("action", ACTIONS)
@pytest.mark.parametrize("sort", DATABASES)
def test_killed_at_any_moment(sort: str, action: str, tmp_path: Path) -> None:
    if sort == "postgresql":
        server()  # for this process, not for a child
    importlib.import_module("alembic.command")  # once, not in every child
    chance = random.Random(f"{sort} {action}")
    with ExitStack() as stack:
        bench = Bench(sort, action, tmp_path, stack)
        whole = bench.anew()
        before = state(whole)
        start = time.monotonic()
        assert not killed(child(ACTIONS[action], whole, tmp_path, None), 60)
        seconds = time.monotonic() - start
        after = state(whole)
        assert before != after
        statements = int((tmp_path / "statements").read_text())
        met, seen, where = 0, [], bench.anew()
        for round_ in range(KILLS):
            if round_ % 3 < 2:  # most of them between statements, the last ones among them
                at = statements - 1 - round_ if round_ < 4 else chance.randrange(statements)
                was_met = killed(child(ACTIONS[action], where, tmp_path, max(at, 0)), 60)
                assert was_met
            else:
                was_met = killed(child(ACTIONS[action], where, tmp_path, 1_000_000), chance.uniform(0.0, seconds))
            met += was_met
            now = state(where)
            seen.append(now == after)
            nothing = action == "make" and not any(now.values())  # a new file without a table is no catalog either
            assert now in (before, after) or nothing, f"killed in round {round_}: between"
            if now != before:
                where = bench.anew()
        assert met >= KILLS * 2 // 3
        # whatever was killed can be done again, and the catalog is sound then
        assert not killed(child(ACTIONS[action], where, tmp_path, 1_000_000), 60)
        assert state(where) == after
        with open_catalog(where) as catalog:
            assert catalog.verify().findings == []
