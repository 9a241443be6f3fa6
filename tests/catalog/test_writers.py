"""Several programs at one catalog at once: nothing is lost, and a reader never sees half of a change.

``PARTCHECK_WRITING`` sets for how many seconds two processes write; a minute was tried.
"""

import json
import os
import random
import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import pytest
import sqlalchemy as sa

from partcheck.catalog import open_catalog, opening, place
from partcheck.errors import CatalogError, ChangedMeanwhile
from partcheck.parts import Part
from partcheck.parts.checks import build
from tests.command import run
from tests.conftest import MakePlace
from tests.server import database

SECONDS = float(os.environ.get("PARTCHECK_WRITING", "2"))
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the processes of this test are forked")
WHEN = "2024-05-31T12:00:00+00:00"


def counted(count: int, number: str = "M1") -> Part:
    """A part that says one number in two tables and in its source."""
    rows = [{"vgs": "10 V", "max": f"{count + 1} mΩ"}]
    return build("mosfet", {"part_number": number, "maker": "Acme", "quantity": count}, {"rds_on": rows})


def is_whole(part: Part) -> bool:
    (resistance,) = part.table("rds_on").columns["max"]
    return round(resistance * 1000) == part.number("quantity") + 1


def write(where: str, name: str, told: Path) -> None:
    """Count up the shared part and enter new parts, as fast as it goes; tell how often that was done."""
    done = {"counted": 0, "entered": 0, "met": 0}
    until, chance = time.monotonic() + SECONDS, random.Random(name)
    with open_catalog(where) as catalog:
        while time.monotonic() < until:
            read = catalog.part("M1")
            try:
                catalog.change(counted(int(read.number("quantity")) + 1), read, name, WHEN)
                done["counted"] += 1
            except ChangedMeanwhile:
                done["met"] += 1
            catalog.add([counted(7, f"{name}-{done['entered']}")], name, WHEN)
            done["entered"] += 1
            time.sleep(chance.uniform(0.0, 0.01))  # else the two may keep step, and one always come second
    told.write_text(json.dumps(done))


def apart(call: Callable[[], None]) -> int:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # fork in a process with threads of NumPy
        pid = os.fork()
    if pid:
        return pid
    code = 1
    try:
        call()
        code = 0
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        os._exit(code)


def test_two_processes_write_at_once_and_nothing_is_lost(anywhere: str, tmp_path: Path) -> None:
    names = ("one", "two")
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add([counted(0)], "Jo", WHEN)
    children = [apart(lambda name=name: write(anywhere, name, tmp_path / name)) for name in names]  # type: ignore[misc]
    looked, until = 0, time.monotonic() + SECONDS
    try:
        with open_catalog(anywhere) as catalog:
            while time.monotonic() < until:
                assert is_whole(catalog.part("M1"))
                looked += 1
    finally:
        ends = [os.waitpid(pid, 0)[1] for pid in children]
    assert ends == [0, 0], "a writer was refused"
    done = [json.loads((tmp_path / name).read_text()) for name in names]
    total = sum(each["counted"] for each in done)
    with open_catalog(anywhere) as catalog:
        assert catalog.part("M1").number("quantity") == total
        changes = [change for change in catalog.history("M1") if change.column == "quantity"]
        assert [change.new for change in changes] == [f"{float(n)}" for n in range(1, total + 1)]
        for name, each in zip(names, done, strict=True):
            assert sum(change.who == name for change in changes) == each["counted"]
            assert len(catalog.find(f"{name}-")) == each["entered"]
        assert catalog.verify().findings == []
    assert total > 0
    assert looked > 0


def test_a_reader_sees_one_moment(anywhere: str) -> None:
    """What belongs to a part is read in several queries; a change between two of them is not seen by halves."""
    with open_catalog(anywhere, create=True) as catalog, open_catalog(anywhere) as other:
        catalog.add([counted(0), counted(0, "M2")], "Jo", WHEN)
        count = 0

        def change_in_between(connection: object, cursor: object, statement: str, *_: object) -> None:
            nonlocal count
            if "FROM mosfet_rds_on " in statement and connection.engine is catalog._engine:  # type: ignore[attr-defined]
                count += 1
                other.add([counted(count), counted(count, "M2")], "Sam", WHEN)

        sa.event.listen(catalog._engine, "before_cursor_execute", change_in_between)
        for _ in range(3):
            assert all(is_whole(part) for part in catalog.parts("mosfet"))
        assert count == 3
        sa.event.remove(catalog._engine, "before_cursor_execute", change_in_between)
        assert catalog.part("M1").number("quantity") == 3.0


def test_who_waits_too_long_is_told_in_a_sentence(
    anywhere: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add([counted(0)], "Jo", WHEN)
    sheet = tmp_path / "mosfet.csv"
    sheet.write_text("part_number,maker,vds_max\nM9,Acme,60 V\n", encoding="utf-8")
    copy = tmp_path / "copy.sqlite"
    with open_catalog(anywhere) as catalog:
        catalog.backup(copy)
    monkeypatch.setattr(opening, "PATIENCE", 0.1)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))  # what killed programs left elsewhere is not told here
    engine = opening.connect(place.find_place(anywhere), create=False)
    with opening.for_writing(engine).begin():
        for words in (["import", sheet], ["restore", copy, "--keep", tmp_path / "kept.sqlite"]):
            ran = run(monkeypatch, capsys, "catalog", *words, "--catalog", anywhere)
            assert (ran.code, ran.out) == (2, "")
            assert ran.err.count("\n") == 1
            assert "is in use by another program; close it there or wait, then try again" in ran.err
        assert run(monkeypatch, capsys, "catalog", "list", "--catalog", anywhere).code == 0
        assert run(monkeypatch, capsys, "catalog", "backup", tmp_path / "b.sqlite", "--catalog", anywhere).code == 0
    assert not (tmp_path / "kept.sqlite").exists()
    assert run(monkeypatch, capsys, "catalog", "import", sheet, "--catalog", anywhere).code == 0
    engine.dispose()


def test_two_that_make_the_same_catalog_at_once_make_one(make_place: MakePlace) -> None:
    for _ in range(3):
        where = make_place()

        def enter(name: str, where: str = where) -> None:
            with open_catalog(where, create=True) as catalog:
                catalog.add([counted(1, name)], name, WHEN)

        children = [apart(lambda name=name: enter(name)) for name in ("one", "two")]  # type: ignore[misc]
        assert [os.waitpid(pid, 0)[1] for pid in children] == [0, 0]
        with open_catalog(where) as catalog:
            assert {part.part_number for part in catalog.parts("mosfet")} == {"one", "two"}
            assert catalog.verify().findings == []


def test_a_server_that_goes_away_is_told_in_a_sentence() -> None:
    """The connection is broken off in the middle of a change."""
    with database() as where, open_catalog(where, create=True) as catalog, open_catalog(where) as other:
        catalog.add([counted(0)], "Jo", WHEN)
        broken = []

        def break_off(connection: sa.Connection, cursor: object, statement: str, *_: object) -> None:
            if statement.startswith("INSERT INTO history") and not broken:
                broken.append(statement)
                mine = connection.connection.driver_connection.info.backend_pid  # type: ignore[union-attr]
                with other._engine.begin() as killing:
                    killing.exec_driver_sql(f"SELECT pg_terminate_backend({mine})")

        sa.event.listen(catalog._engine, "before_cursor_execute", break_off)
        with pytest.raises(CatalogError) as told:
            catalog.add([counted(5)], "Sam", WHEN)
        assert "was stopped or closed the connection; try again" in str(told.value)
        assert broken
        assert catalog.part("M1").number("quantity") == 0.0  # a new connection is made by itself
        assert catalog.add([counted(5)], "Sam", WHEN).changed == 1
