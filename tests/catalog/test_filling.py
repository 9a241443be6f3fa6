"""Filling a catalog from large sheets enters what any import enters: values, points, sources and history; or nothing."""

import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
import sqlalchemy as sa

from partcheck.catalog import open_catalog
from partcheck.catalog.filling import Filling
from partcheck.catalog.tables import metadata
from partcheck.jobs.entry import filling
from partcheck.jobs.entry.importing import import_parts, read_for_import
from partcheck.parts import Part, read_parts
from partcheck.parts.layout import sheets_of
from partcheck.parts.mapping import Reading
from partcheck.parts.writing import write_folder
from tests.command import SAMPLES

WHO, WHEN = "jo", "2024-05-31T12:00:00"
KINDS = ("mosfet", "led", "terminal")


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Any sheet counts as large, and a portion is a few parts."""
    monkeypatch.setattr(filling, "FROM_BYTES", 0)
    monkeypatch.setattr(filling, "PORTION", 7)


@cache
def samples() -> list[Part]:
    return read_parts(SAMPLES)


@pytest.fixture
def sheets(tmp_path: Path) -> Path:
    """The sheets of three kinds and their sources."""
    folder = tmp_path / "sheets"
    folder.mkdir()
    write_folder(folder, sheets_of([part for part in samples() if part.kind in KINDS]))
    return folder


def agree(found: object) -> None:
    """Every difference is wanted."""


def ordinarily(source: Path, where: str | Path) -> filling.Imported:
    reading = Reading()
    return import_parts(source, read_for_import(source, reading, None), str(where), WHO, WHEN, agree, reading)


def at_once(source: Path, where: str | Path) -> filling.Imported | None:
    return filling.fill(source, str(where), WHO, WHEN, agree, Reading())


def everything(where: str | Path) -> dict[str, list[str]]:
    """Every row of every table."""
    with open_catalog(where) as catalog, catalog._engine.connect() as connection:
        return {
            name: sorted(repr(tuple(row)) for row in connection.execute(sa.select(table)))
            for name, table in metadata.tables.items()
        }


def edit(path: Path, old: str, new: str, count: int = 1) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, count), encoding="utf-8")


def without_history_ids(rows: dict[str, list[str]]) -> dict[str, list[str]]:
    """History numbers its rows in the order of writing, which portions change."""
    return rows | {"history": sorted(row.split(", ", 1)[1] for row in rows["history"])}


def test_a_catalog_filled_is_the_catalog_imported(
    sheets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = ordinarily(sheets, tmp_path / "a.sqlite")
    monkeypatch.setattr(Filling, "enter_parts", None)  # all of the samples stands plainly
    made = at_once(sheets, tmp_path / "b.sqlite")
    assert made is not None and made.outcome == whole.outcome
    assert [part.key for part in made.added] == [part.key for part in whole.added]
    assert without_history_ids(everything(tmp_path / "b.sqlite")) == without_history_ids(
        everything(tmp_path / "a.sqlite")
    )


def test_changed_new_and_unusual_parts_among_known_ones(sheets: Path, tmp_path: Path) -> None:
    for name in ("a.sqlite", "b.sqlite"):
        ordinarily(sheets / "mosfet.csv", tmp_path / name)
    rows = (sheets / "mosfet.csv").read_text(encoding="utf-8").splitlines()
    number = rows[9].split(",")[0]
    rows[9] = rows[9].replace(",active,", ",obsolete,")
    rows.insert(3, rows[1].replace(rows[1].split(",")[0], "NEW-1", 1))
    (sheets / "mosfet.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    whole, made = ordinarily(sheets, tmp_path / "a.sqlite"), at_once(sheets, tmp_path / "b.sqlite")
    assert made is not None and made.outcome == whole.outcome and made.outcome.changed == 1
    assert [(d.part.part_number, d.column, d.former, d.new) for d in made.differences] == [
        (number, "status", "active", "obsolete")
    ]
    ours, theirs = everything(tmp_path / "b.sqlite"), everything(tmp_path / "a.sqlite")
    for name in ("mosfet", "led", "mosfet_rds_on", "provenance", "changes"):
        assert len(ours[name]) == len(theirs[name])
    assert [r.split(", ", 1)[1] for r in ours["mosfet"]].sort() == [
        r.split(", ", 1)[1] for r in theirs["mosfet"]
    ].sort()


@pytest.mark.parametrize(
    ("old", "new"),
    [(",active,", ",actve,"), ("N,", "N,'", ), ("\n", "\n,", )],
    ids=["a word that is none", "a guard", "a shifted row"],
)  # fmt: skip
def test_what_is_bad_is_told_as_in_any_import_and_nothing_is_entered(
    sheets: Path, tmp_path: Path, old: str, new: str
) -> None:
    path = sheets / "mosfet.csv"
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    lines[11] = lines[11].replace(old, new, 1) if old != "\n" else "," + lines[11]
    path.write_text("".join(lines), encoding="utf-8")
    found = read_for_import(sheets, Reading(), None)
    made = at_once(sheets, tmp_path / "b.sqlite")
    assert made is not None and made.bad == [cell for cell in found.bad if cell.file == "mosfet.csv"]
    assert bool(made.bad) == bool(found.bad)
    with open_catalog(tmp_path / "b.sqlite") as catalog:
        assert bool(sum(catalog.count().values())) != bool(found.bad)


def test_a_part_twice_in_portions_far_apart_is_told(sheets: Path, tmp_path: Path) -> None:
    path = sheets / "mosfet.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([*lines, lines[1]]) + "\n", encoding="utf-8")
    made = at_once(sheets, tmp_path / "b.sqlite")
    assert made is not None
    assert [(cell.row, cell.text) for cell in made.bad] == [(len(lines) + 1, lines[1].split(",")[0])]


def test_rows_of_a_table_in_another_order_are_left_to_a_reading_of_the_whole(sheets: Path, tmp_path: Path) -> None:
    path = sheets / "mosfet.rds_on.csv"
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([head, *reversed(rows)]) + "\n", encoding="utf-8")
    assert at_once(sheets, tmp_path / "b.sqlite") is None
    with open_catalog(tmp_path / "b.sqlite") as catalog:
        assert not sum(catalog.count().values()) and catalog.last_change_id() == 0


def test_killed_on_the_way_nothing_was_entered(sheets: Path, tmp_path: Path) -> None:
    code = (
        "import os, sys; from pathlib import Path; from partcheck.jobs.entry import filling as f\n"
        "from partcheck.parts.mapping import Reading\n"
        "f.FROM_BYTES, f.PORTION, seen = 0, 7, []\n"
        "def step(what, done, total):\n"
        "    seen.append(what)\n"
        "    if len(seen) > 6: os.kill(os.getpid(), 9)\n"
        "f.fill(Path(sys.argv[1]), sys.argv[2], 'jo', '2024-05-31', None, Reading(progress=step))\n"
    )
    with open_catalog(tmp_path / "b.sqlite", create=True):
        pass
    ran = subprocess.run([sys.executable, "-c", code, sheets, tmp_path / "b.sqlite"], check=False)
    assert ran.returncode == -9
    with open_catalog(tmp_path / "b.sqlite") as catalog:
        assert not sum(catalog.count().values()) and catalog.last_change_id() == 0
