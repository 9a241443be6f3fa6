"""Columns kept beside a catalog: the same as in the database, never stale, never needed, safe to kill."""

import os
import sqlite3
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from partcheck.catalog import bulk, open_catalog, snapshot
from partcheck.catalog.snapshot import folder_of
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.stock.columns import ColumnTable, Words
from partcheck.stock.stock import Listed, Stock
from tests.command import sample_parts
from tests.roles.test_every_requirement import scattered


@pytest.fixture(scope="module")
def parts() -> list[Part]:
    """Parts of every kind with blanks, some without a table."""
    random = np.random.default_rng(2)
    made = []
    for i, part in enumerate(sample_parts() * 2):
        moved = scattered(part, random)
        values = {name: value for name, value in moved.values.items() if value is not None}
        made.append(Part(part.kind, f"Ü{part.part_number}-{i}", part.maker, values, moved.tables))
    return [*made, *sample_parts()]


@pytest.fixture
def kept(parts: list[Part], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A catalog of which a snapshot is made as soon as its columns are asked for."""
    monkeypatch.setattr(snapshot, "FEWEST", 1)
    monkeypatch.setattr(snapshot, "SETTLED", -60.0)
    where = tmp_path / "parts.sqlite"
    with open_catalog(where, create=True) as catalog:
        catalog.add(parts, "test", "2026-01-01")
    return where


def everything(stock: Stock) -> dict[str, Any]:
    """All that the columns of a stock say."""
    made: dict[str, Any] = {"numbers": stock.numbers(range(stock.count))}
    for name in KINDS[stock.kind].columns():
        if name in ("part_number", "description", "notes", "datasheet"):
            continue
        column = stock.columns[name]
        made[name] = [column.word(i) for i in range(stock.count)] if isinstance(column, Words) else str(column.tolist())
    for table in KINDS[stock.kind].tables:
        laid = stock.columns[table.name]
        assert isinstance(laid, ColumnTable)
        made[table.name] = [str(laid.column(name).tolist()) for name in table.columns()]
    return made


def asked(where: Path | str, kind: str, monkeypatch: pytest.MonkeyPatch | None = None) -> dict[str, Any]:
    """The columns of a kind; with ``monkeypatch`` the database may not be read for them."""

    def refuse(*_: object) -> None:
        raise AssertionError("the columns were read from the database")

    with open_catalog(where) as catalog:
        if monkeypatch is None:
            return everything(catalog.stock(kind))
        with monkeypatch.context() as patch:
            patch.setattr(bulk, "read_laid", refuse)
            return everything(catalog.stock(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_a_database_says_what_the_parts_say(kind: str, parts: list[Part], anywhere: str) -> None:
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add(parts, "test", "2026-01-01")
    assert asked(anywhere, kind) == everything(Listed(kind, [part for part in parts if part.kind == kind]))


@pytest.mark.parametrize("kind", KINDS)
def test_a_snapshot_says_what_the_database_says(kind: str, kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = asked(kept, kind)
    assert (folder_of(kept) / kind).is_file()
    assert asked(kept, kind, monkeypatch) == first


def test_a_change_by_anybody_is_seen(kept: Path, parts: list[Part], monkeypatch: pytest.MonkeyPatch) -> None:
    before = asked(kept, "mosfet")
    part = next(p for p in reversed(parts) if p.kind == "mosfet")
    with open_catalog(kept) as catalog:
        now = catalog.part(part.part_number)
        catalog.change(replace(now, values=dict(now.values) | {"vds_max": 77.0}), now, "Jo", "2026-01-02")
    changed = asked(kept, "mosfet")
    assert changed != before and "77.0" in changed["vds_max"]
    assert asked(kept, "mosfet", monkeypatch) == changed, "the snapshot was not made anew"
    with open_catalog(kept) as catalog:
        last = catalog.last_change()
        assert last is not None
        catalog.take_back(last.id, "Jo", "2026-01-03")
    assert asked(kept, "mosfet") == before
    with sqlite3.connect(kept) as connection:  # somebody with another program
        connection.execute("UPDATE mosfet SET vds_max = 66.5 WHERE part_number = ?", [part.part_number])
    connection.close()
    assert "66.5" in asked(kept, "mosfet")["vds_max"]


def test_no_snapshot_is_made_of_a_database_that_was_just_written(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its time may be too coarse to tell a second write from the first."""
    monkeypatch.setattr(snapshot, "SETTLED", 60.0)
    asked(kept, "mosfet")
    assert not folder_of(kept).exists()


@pytest.mark.parametrize("share", [0.0, 0.001, 0.01, 0.5, 0.999])
def test_a_broken_snapshot_is_passed_over(share: float, kept: Path) -> None:
    first = asked(kept, "led")
    file = folder_of(kept) / "led"
    whole = file.read_bytes()
    file.write_bytes(whole[: int(len(whole) * share)])
    assert asked(kept, "led") == first
    assert file.read_bytes() == whole, "it was not made anew"
    file.write_bytes(whole[:60] + b"X" + whole[61:])  # in the part that says what stands where
    assert asked(kept, "led") == first


def test_a_folder_that_cannot_be_written_is_done_without(kept: Path) -> None:
    folder_of(kept).write_text("in the way")
    assert asked(kept, "led") == asked(kept, "led")
    assert folder_of(kept).read_text() == "in the way"


def test_a_killed_writer_leaves_the_old_one_and_its_draft_is_cleared(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked(kept, "diode")
    before = (folder_of(kept) / "diode").read_bytes()
    with sqlite3.connect(kept) as connection:
        connection.execute("UPDATE diode SET price = 1.25")
    connection.close()
    child = os.fork()
    if not child:
        os.fsync = lambda _: os._exit(9)
        asked(kept, "diode")
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
    assert (folder_of(kept) / "diode").read_bytes() == before
    drafts = list(folder_of(kept).glob(".*"))
    assert len(drafts) == 1
    assert "1.25" in asked(kept, "diode")["price"] and drafts[0].exists()
    monkeypatch.setattr(snapshot, "LEFT_OVER", -60.0)
    asked(kept, "bjt")
    assert not drafts[0].exists()


def test_a_small_catalog_has_no_snapshot(parts: list[Part], tmp_path: Path) -> None:
    with open_catalog(tmp_path / "parts.sqlite", create=True) as catalog:
        catalog.add(parts, "test", "2026-01-01")
        catalog.stock("mosfet")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["parts.sqlite"]


def test_a_word_that_no_table_knows_is_told(kept: Path) -> None:
    with sqlite3.connect(kept) as connection:
        connection.execute("UPDATE mosfet_theta_ja SET mounting = 'hanging'")
    connection.close()
    with open_catalog(kept) as catalog, pytest.raises(Exception, match="'hanging' in theta_ja; import that part again"):
        catalog.stock("mosfet")
