"""Verify, backup and restore: what is wrong is found, and a copy is whole, of one moment, and never lost."""

import os
import sqlite3
import stat
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import sqlalchemy as sa

from partcheck.catalog import Catalog, open_catalog, opening, restore
from partcheck.catalog.tables import metadata
from partcheck.catalog.verifying import CHECKS
from partcheck.errors import CatalogError
from partcheck.parameters import KINDS
from partcheck.parts import Part, read_parts
from partcheck.parts.documents import to_document
from tests.command import SAMPLES, run
from tests.conftest import MakePlace
from tests.server import named

WHEN = "2024-05-31T12:00:00+00:00"


@pytest.fixture(scope="module")
def samples() -> list[Part]:
    """Six of each kind."""
    parts = read_parts(SAMPLES)
    return [part for kind in KINDS for part in [p for p in parts if p.kind == kind][:6]]


@pytest.fixture
def filled(anywhere: str, samples: list[Part]) -> Iterator[Catalog]:
    """The samples, of which one was changed twice."""
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add(samples, "Jo", WHEN)
        for quantity in (3.0, 4.0):
            part = catalog.parts("mosfet")[4]
            catalog.change(replace(part, values={**part.values, "quantity": quantity}), part, "Sam", WHEN)
        yield catalog


def behind(where: str) -> sa.Engine:
    return sa.create_engine(where.replace("://", "+psycopg://") if "://" in where else f"sqlite:///{where}")


def do(where: str, *statements: str) -> None:
    engine = behind(where)
    try:
        with engine.begin() as connection:
            for statement in statements:
                connection.execute(sa.text(statement))
    finally:
        engine.dispose()


def everything(where: str | Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    engine = behind(str(where))
    with engine.connect() as connection:
        rows = {
            table.name: [tuple(row) for row in connection.execute(sa.select(table).order_by(*table.primary_key))]
            for table in metadata.sorted_tables
        }
    engine.dispose()
    return rows


def refused(call: Callable[[], object]) -> str:
    with pytest.raises(CatalogError) as slip:
        call()
    told = str(slip.value)
    assert "\n" not in told and ";" in told
    return told


# --- verify ----------------------------------------------------------------------------------------


def test_a_sound_catalog_is_told_to_be_sound(filled: Catalog) -> None:
    found = filled.verify()
    assert found.findings == []
    assert (found.parts, found.changes) == (36, 38)  # entered, and two changes


WRONG = {
    "UPDATE mosfet SET vds_max = 500000 WHERE id = 3": ("values", "vds_max: '500000.0' is outside 5 V..2 kV"),
    "UPDATE mosfet SET vgs_th_min = vgs_th_max + 1 WHERE id = 3": ("values", "is above vgs_th_typ"),
    "UPDATE mosfet SET status = 'gone' WHERE id = 3": ("values", "is not one of active"),
    "UPDATE mosfet_rds_on SET max = -1 WHERE part_id = 3 AND place = 0": ("values", "rds_on row 1, max"),
    "UPDATE mosfet_theta_ja SET mounting = 'loose' WHERE part_id = 2": ("values", "says 'loose' in theta_ja"),
    "UPDATE provenance SET parameter = 'size' WHERE parameter = 'soa' AND part_id = 2": ("values", "provenance size"),
    "UPDATE history SET former = '5.0' WHERE former = '3.0'": (
        "history",
        "quantity was changed from 5.0, but was 3.0 before",
    ),
    "UPDATE mosfet SET quantity = 9 WHERE id = 5": ("history", "quantity is 9.0, but was last changed to 4.0"),
    "UPDATE history SET part_id = 4711 WHERE former IS NOT NULL": (
        "references",
        "2 rows belong to a mosfet that is not there",
    ),
    "DELETE FROM changes": ("references", "38 rows belong to a change that is not there"),
    "UPDATE history SET kind = 'valve' WHERE id = 1": ("references", "'valve', which is not a kind of part"),
    "UPDATE provenance SET part_id = 4711 WHERE part_id = 2 AND kind = 'led'": (
        "references",
        "a led that is not there",
    ),
}


@pytest.mark.parametrize("statement", WRONG)
def test_what_is_not_as_it_should_be_is_found(filled: Catalog, anywhere: str, statement: str) -> None:
    do(anywhere, statement)
    check, told = WRONG[statement]
    findings = [finding for finding in filled.verify().findings if finding.check == check]
    assert findings, "nothing was found"
    assert any(told in finding.told for finding in findings), findings
    assert check in CHECKS


def test_a_part_that_was_taken_out_leaves_a_sound_catalog(filled: Catalog) -> None:
    """Its history stays, also where the next part gets the number of its row."""
    part = replace(filled.parts("led")[0], part_number="NEW")
    for number in ("NEW", "NEXT"):
        filled.add([replace(part, part_number=number)], "Jo", WHEN)
        now = filled.part(number)
        filled.change(replace(now, values={**now.values, "quantity": 7.0}), now, "Jo", WHEN)
        assert filled.verify().findings == []
        for _ in range(2):
            last = filled.last_change()
            assert last is not None
            filled.take_back(last.id, "Jo", WHEN)
            assert filled.verify().findings == []
    assert filled.count()["led"] == 6


def test_points_without_their_part_are_found(tmp_path: Path, samples: list[Part]) -> None:
    """A server does not let it happen."""
    place = tmp_path / "c.sqlite"
    with open_catalog(place, create=True) as catalog:
        catalog.add(samples, "Jo", WHEN)
        do(str(place), "DELETE FROM led WHERE id = 3")
        found = {finding.where: finding for finding in catalog.verify().findings}
        assert found["led_vf"].check == "references"
        catalog.backup(tmp_path / "b.sqlite")
    assert "is damaged, so nothing was restored" in refused(lambda: restore(place, tmp_path / "b.sqlite"))


def test_a_damaged_index_is_found(tmp_path: Path, samples: list[Part]) -> None:
    place = tmp_path / "c.sqlite"
    with open_catalog(place, create=True) as catalog:
        catalog.add(samples, "Jo", WHEN)
    with sqlite3.connect(place) as raw:  # rows that the index does not know
        (root,) = raw.execute("SELECT rootpage FROM sqlite_master WHERE name = 'sqlite_autoindex_mosfet_1'").fetchone()
        (size,) = raw.execute("PRAGMA page_size").fetchone()
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    raw.close()
    with place.open("r+b") as file:
        file.seek((root - 1) * size)
        file.write(bytes([10, 0, 0, 0, 0, size >> 8, size & 255, 0]))  # an empty leaf of an index
    with open_catalog(place) as catalog:
        found = catalog.verify().findings
        assert {finding.check for finding in found} == {"database"}
        assert "missing from index" in found[0].told or "wrong # of entries" in found[0].told
        assert "is damaged, so no copy was made" in refused(lambda: catalog.backup(tmp_path / "b.sqlite"))
    assert [path.name for path in tmp_path.iterdir() if path.suffix != ".sqlite"] == []
    assert not (tmp_path / "b.sqlite").exists()


def test_the_command_says_what_it_found(
    filled: Catalog, anywhere: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = run(monkeypatch, capsys, "catalog", "verify", "--catalog", anywhere)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("Sound: 36 parts and 38 recorded changes")
    do(anywhere, "UPDATE mosfet SET vds_max = 500000 WHERE id = 3")
    ran = run(monkeypatch, capsys, "catalog", "verify", "--catalog", anywhere)
    assert ran.code == 1
    assert "1 thing is not as it should be" in ran.out
    assert all(len(line) <= 80 for line in ran.out.splitlines() if anywhere not in line)
    ran = run(monkeypatch, capsys, "catalog", "verify", "--catalog", anywhere, "--json")
    assert ran.code == 1
    assert '"sound": false' in ran.out


@pytest.mark.parametrize("from_page", [0, 1, None])
def test_a_file_that_is_damaged_is_a_finding_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], from_page: int | None
) -> None:
    """Behind its first bytes, behind its first page, or without a table."""
    place = tmp_path / "c.sqlite"
    open_catalog(place, create=True).close()
    if from_page is None:
        do(str(place), "DROP TABLE mosfet_rds_on")
    else:
        raw = bytearray(place.read_bytes())
        start = max(16, from_page * 4096)
        raw[start:] = b"\xa5" * (len(raw) - start)
        place.write_bytes(raw)
    ran = run(monkeypatch, capsys, "catalog", "verify", "--catalog", str(place))
    assert (ran.code, ran.err) == (1, "")
    told = " ".join(ran.out.split())
    assert "1 thing is not as it should be" in told and "the database: " in told and "restore " in told
    ran = run(monkeypatch, capsys, "catalog", "verify", "--catalog", str(place), "--json")
    assert ran.code == 1 and '"sound": false' in ran.out


def test_what_is_no_catalog_cannot_be_verified(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.txt").write_text("something else entirely")
    for name in ("a.txt", "none.sqlite"):
        ran = run(monkeypatch, capsys, "catalog", "verify", "--catalog", str(tmp_path / name))
        assert ran.code == 2 and ran.err


# --- backup and restore ----------------------------------------------------------------------------


def test_a_backup_is_a_catalog_with_all_that_was_there(filled: Catalog, anywhere: str, tmp_path: Path) -> None:
    copy = tmp_path / "copies" / "b.sqlite"
    assert "there is no folder" in refused(lambda: filled.backup(copy))
    copy.parent.mkdir()
    filled.backup(copy)
    assert everything(copy) == everything(anywhere)
    assert [path.name for path in copy.parent.iterdir()] == ["b.sqlite"]
    with open_catalog(copy) as opened:
        assert opened.history(opened.parts("mosfet")[4].part_number)[1].who == "Sam"
        assert opened.verify().findings == []
    assert stat.S_IMODE(copy.stat().st_mode) & 0o600 == 0o600


def test_a_backup_replaces_only_what_it_is_told_to(filled: Catalog, tmp_path: Path) -> None:
    copy, other, pipe = tmp_path / "b.sqlite", tmp_path / "letter.txt", tmp_path / "pipe"
    filled.backup(copy)
    first = copy.read_bytes()
    assert "already exists; name another file, or give --replace" in refused(lambda: filled.backup(copy))
    assert copy.read_bytes() == first
    filled.add([replace(filled.parts("led")[0], part_number="NEW")], "Jo", WHEN)
    filled.backup(copy, replace=True)
    with open_catalog(copy) as opened:
        assert opened.part("NEW").kind == "led"
    other.write_text("Dear Sam")
    os.mkfifo(pipe)
    assert "is not an earlier copy" in refused(lambda: filled.backup(other, replace=True))
    assert "is not an ordinary file" in refused(lambda: filled.backup(pipe, replace=True))
    assert "is a folder" in refused(lambda: filled.backup(tmp_path, replace=True))
    assert other.read_text() == "Dear Sam"
    if "://" not in filled.where:
        assert "is a catalog in use" in refused(lambda: filled.backup(Path(filled.where), replace=True))


def test_a_backup_while_others_write_is_of_one_moment(
    make_place: MakePlace, tmp_path: Path, samples: list[Part]
) -> None:
    """Each write sets the same number on hand in every part: no copy may hold two numbers."""
    place, leds = make_place(), [part for part in samples if part.kind == "led"]
    stop = threading.Event()
    written = []

    def write() -> None:
        with open_catalog(place) as mine:
            while not stop.is_set():
                number = float(len(written) + 2)
                mine.add([replace(led, values={**led.values, "quantity": number}) for led in leds], "Jo", WHEN)
                written.append(number)

    with open_catalog(place, create=True) as catalog:
        catalog.add([replace(led, values={**led.values, "quantity": 1.0}) for led in leds], "Jo", WHEN)
        writer = threading.Thread(target=write)
        writer.start()
        try:
            for i in range(6):
                catalog.backup(tmp_path / f"b{i}.sqlite")
                before = len(written)
                while len(written) == before and writer.is_alive():
                    assert len({part.values["quantity"] for part in catalog.parts("led")}) == 1
        finally:
            stop.set()
            writer.join()
    seen = set()
    for i in range(6):
        with open_catalog(tmp_path / f"b{i}.sqlite") as copy:
            (number,) = {part.values["quantity"] for part in copy.parts("led")}
            seen.add(number)
            assert copy.verify().findings == []
    assert len(seen) > 1
    assert len(written) >= 6


def test_a_restored_catalog_is_the_one_that_was_copied(filled: Catalog, anywhere: str, tmp_path: Path) -> None:
    copy = tmp_path / "b.sqlite"
    filled.backup(copy)
    before = everything(anywhere)
    filled.add([replace(filled.parts("led")[0], part_number="NEW")], "Jo", WHEN)
    changed = everything(anywhere)
    made = restore(anywhere, copy, tmp_path / "kept.sqlite")  # while it is open here
    assert made == (36, tmp_path / "kept.sqlite")
    assert everything(anywhere) == before
    assert everything(tmp_path / "kept.sqlite") == changed
    assert filled.count()["led"] == len(before["led"])
    filled.add([replace(filled.parts("led")[0], part_number="NEXT")], "Jo", WHEN)  # numbers of rows go on
    part = filled.part("NEXT")
    filled.change(replace(part, values={**part.values, "quantity": 7.0}), part, "Jo", WHEN)
    assert filled.verify().findings == []


def test_a_restore_moves_between_databases(filled: Catalog, make_place: MakePlace, tmp_path: Path) -> None:
    copy, new = tmp_path / "b.sqlite", make_place()
    filled.backup(copy)
    assert restore(new, copy) == (36, None)
    assert restore(tmp_path / "new.sqlite", copy) == (36, None)
    assert (
        everything(new)
        == everything(tmp_path / "new.sqlite")
        == everything(filled.where if "://" not in filled.where else named(filled.where.rpartition("/")[2]))
    )
    with open_catalog(tmp_path / "new.sqlite") as opened, open_catalog(new) as other:
        assert to_document(opened.parts("mosfet")) == to_document(other.parts("mosfet"))


def test_a_restore_that_cannot_keep_what_is_there_changes_nothing(
    filled: Catalog, anywhere: str, tmp_path: Path
) -> None:
    copy, taken = tmp_path / "b.sqlite", tmp_path / "taken.sqlite"
    filled.backup(copy)
    filled.add([replace(filled.parts("led")[0], part_number="NEW")], "Jo", WHEN)
    before = everything(anywhere)
    taken.write_text("mine")
    assert "already exists; name another file to keep" in refused(lambda: restore(anywhere, copy, taken))
    assert "there is no folder" in refused(lambda: restore(anywhere, copy, tmp_path / "no" / "k.sqlite"))
    assert "there is no copy at" in refused(lambda: restore(anywhere, tmp_path / "none.sqlite"))
    taken.unlink()
    (tmp_path / "bad.sqlite").write_bytes(copy.read_bytes()[:100_000])
    assert "is damaged" in refused(lambda: restore(anywhere, tmp_path / "bad.sqlite"))
    assert everything(anywhere) == before
    if "://" not in anywhere:
        assert "is the catalog itself" in refused(lambda: restore(anywhere, Path(anywhere)))


@pytest.mark.parametrize("harm", ["damaged", "half", "newer"])
def test_an_unusable_catalog_is_put_aside_whole(tmp_path: Path, samples: list[Part], harm: str) -> None:
    place, copy = tmp_path / "c.sqlite", tmp_path / "b.sqlite"
    with open_catalog(place, create=True) as catalog:
        catalog.add(samples, "Jo", WHEN)
        catalog.backup(copy)
    if harm == "damaged":
        raw = bytearray(place.read_bytes())
        raw[4096:90_000] = b"\xa5" * (90_000 - 4096)
        place.write_bytes(raw)
    else:
        do(
            str(place),
            "DELETE FROM alembic_version" if harm == "half" else "UPDATE alembic_version SET version_num = '0999'",
        )
    before = place.read_bytes() if harm == "damaged" else everything(place)
    made = restore(place, copy)
    assert made.kept is not None
    assert made.kept.name.startswith("c-before-")
    assert (made.kept.read_bytes() if harm == "damaged" else everything(made.kept)) == before
    with open_catalog(place) as catalog:
        assert catalog.verify() == (36, 36, [])
    with sqlite3.connect(place) as raw_connection:
        assert raw_connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    raw_connection.close()


def test_an_unusable_catalog_that_somebody_has_open_is_left_alone(
    tmp_path: Path, samples: list[Part], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("partcheck.catalog.restoring.PATIENCE", 0.1)
    place, copy = tmp_path / "c.sqlite", tmp_path / "b.sqlite"
    with open_catalog(place, create=True) as catalog:
        catalog.add(samples[:3], "Jo", WHEN)
        catalog.backup(copy)
        catalog.count()
        do(str(place), "UPDATE alembic_version SET version_num = '0999'")
        assert "is in use by another program" in refused(lambda: restore(place, copy))
        assert sum(catalog.count().values()) == 3


def test_another_programs_database_is_never_restored_over(tmp_path: Path, samples: list[Part]) -> None:
    songs, copy, text = tmp_path / "songs.sqlite", tmp_path / "b.sqlite", tmp_path / "text.txt"
    with open_catalog(tmp_path / "c.sqlite", create=True) as catalog:
        catalog.add(samples[:3], "Jo", WHEN)
        catalog.backup(copy)
    do(str(songs), "CREATE TABLE songs (x)")
    text.write_text("mine")
    assert "not one of partcheck's" in refused(lambda: restore(songs, copy))
    assert "not one of partcheck's" in refused(lambda: restore(copy, songs))
    assert "is not a database" in refused(lambda: restore(text, copy))
    assert text.read_text() == "mine"


def test_a_network_disk_gets_no_write_ahead_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The log needs memory that all users share, which two machines cannot."""
    mounts = tmp_path / "mounts"
    monkeypatch.setattr(opening, "MOUNTS", mounts)
    told = {}
    for sort in ("ext4", "nfs4", "cifs", "fuse.sshfs", "fuse.other"):
        mounts.write_text(
            f"/dev/a / ext4 rw 0 0\nserver:/x {os.path.realpath(tmp_path)} {sort} rw 0 0\nproc /proc proc rw 0 0\n"
        )
        place = tmp_path / f"{sort}.sqlite"
        open_catalog(place, create=True).close()
        with sqlite3.connect(place) as raw:
            told[sort] = raw.execute("PRAGMA journal_mode").fetchone()[0]
        raw.close()
    assert told == {"ext4": "wal", "nfs4": "delete", "cifs": "delete", "fuse.sshfs": "delete", "fuse.other": "wal"}
