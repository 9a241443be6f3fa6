"""Full disks and read-only ones: one sentence, exit code 2, and nothing half done."""

import csv
import json
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from partcheck.catalog import open_catalog, opening, place
from partcheck.catalog.migrate import migrate
from partcheck.parameters import KINDS
from partcheck.parts import read_parts
from tests.catalog.test_keeping import everything
from tests.command import SAMPLES, Ran, run_forked

resource = pytest.importorskip("resource", reason="only where a process can be kept from writing large files")
WHEN = "2024-05-31T12:00:00+00:00"


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalog of the samples, as one file."""
    folder = tmp_path_factory.mktemp("filled")
    with open_catalog(folder / "made.sqlite", create=True) as catalog:
        catalog.add(read_parts(SAMPLES), "Jo", WHEN)
        catalog.backup(folder / "c.sqlite")
    return folder / "c.sqlite"


@pytest.fixture
def catalog(filled: Path, tmp_path: Path) -> Path:
    shutil.copy(filled, tmp_path / "c.sqlite")
    return tmp_path / "c.sqlite"


@pytest.fixture
def changed(tmp_path: Path) -> Path:
    """A sheet that changes every part and says much about each."""
    sheets = tmp_path / "sheets"
    shutil.copytree(SAMPLES, sheets)
    for kind in KINDS:
        with (sheets / f"{kind}.csv").open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        with (sheets / f"{kind}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows({**row, "notes": "much is to be said of it " * 80} for row in rows)
    return sheets


def refused(ran: Ran, *words: object) -> None:
    assert (ran.code, ran.out) == (2, ""), ran
    assert ran.err.startswith("partcheck: ")
    assert ran.err.count("\n") == 1, ran.err
    for word in words:
        assert str(word) in ran.err


def within(size: int) -> Callable[[], None]:
    """For a child process: no file may grow beyond the size."""
    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


def test_an_import_that_finds_no_room_changes_nothing(catalog: Path, changed: Path) -> None:
    before = everything(catalog)
    refused(
        run_forked("catalog", "import", changed, "--yes", "--catalog", catalog, preexec_fn=within(560_000)),
        catalog,
        ";",
    )
    assert everything(catalog) == before
    assert run_forked("catalog", "verify", "--catalog", catalog).code == 0
    assert (
        run_forked("catalog", "import", changed, "--yes", "--catalog", catalog).code == 0
    )  # with room it would have gone well
    assert everything(catalog) != before


def test_an_upgrade_that_finds_no_room_changes_nothing(catalog: Path) -> None:
    engine = opening.connect(place.find_place(catalog), create=False)
    migrate(engine, "it", "0001")
    engine.dispose()
    before = catalog.read_bytes()
    refused(run_forked("catalog", "upgrade", "--catalog", catalog, preexec_fn=within(4000)), catalog)
    assert catalog.read_bytes() == before
    assert run_forked("catalog", "upgrade", "--catalog", catalog).code == 0


def test_a_backup_that_finds_no_room_leaves_no_file(catalog: Path, tmp_path: Path) -> None:
    copy = tmp_path / "b.sqlite"
    there = sorted(path.name for path in tmp_path.iterdir())
    refused(run_forked("catalog", "backup", copy, "--catalog", catalog, preexec_fn=within(200_000)), copy)
    assert sorted(path.name for path in tmp_path.iterdir()) == there
    assert run_forked("catalog", "backup", copy, "--catalog", catalog).code == 0
    earlier = copy.read_bytes()
    again = run_forked("catalog", "backup", copy, "--replace", "--catalog", catalog, preexec_fn=within(200_000))
    refused(again, copy)
    assert copy.read_bytes() == earlier


def test_a_restore_that_finds_no_room_changes_nothing(catalog: Path, filled: Path, tmp_path: Path) -> None:
    new, kept = tmp_path / "n.sqlite", tmp_path / "kept.sqlite"
    refused(run_forked("catalog", "restore", filled, "--catalog", new, preexec_fn=within(200_000)), new)
    assert not new.exists()
    before = everything(catalog)
    words = ("catalog", "restore", filled, "--catalog", catalog, "--keep", kept)
    refused(run_forked(*words, preexec_fn=within(200_000)), kept)
    assert everything(catalog) == before
    assert not list(tmp_path.glob(".*.part*"))
    assert not kept.exists()


@pytest.mark.parametrize("size", [1000, 6000])
@pytest.mark.parametrize(
    "words",
    [("export", "x.xlsx"), ("export", "x.json"), ("export", "x"), ("template", "all", "x.xlsx")],
    ids=lambda words: " ".join(words),
)
def test_a_file_that_finds_no_room_is_not_begun(catalog: Path, tmp_path: Path, words: list[str], size: int) -> None:
    at = ("--catalog", catalog) if words[0] == "export" else ()
    refused(
        run_forked("catalog", *words, *at, cwd=tmp_path, preexec_fn=within(size)),
        f"{words[-1]} cannot be written (File too large); make room",
    )
    assert [path.name for path in tmp_path.iterdir()] == ["c.sqlite"]
    assert run_forked("catalog", *words, *at, cwd=tmp_path).code == 0


@pytest.mark.parametrize("kind", ["csv", "xlsx", "json"])
def test_rejects_that_find_no_room_are_not_begun_and_nothing_is_entered(
    catalog: Path, tmp_path: Path, kind: str
) -> None:
    rows = [["part_number", "maker", "vds_max"], *([f"Z{n}", "Acme", "much" * 9] for n in range(300)), ["G", "A", "9"]]
    source = tmp_path / f"mosfet.{kind}"
    if kind == "csv":
        source.write_text("\n".join(map(",".join, rows)), encoding="utf-8")
    elif kind == "xlsx":
        book = openpyxl.Workbook()
        book.active.title = "mosfet"
        for row in rows:
            book.active.append(row)
        book.save(source)
    else:
        parts = [{"kind": "mosfet", **dict(zip(rows[0], row, strict=True))} for row in rows[1:]]
        source.write_text(json.dumps({"format": 1, "parts": parts}), encoding="utf-8")
    before, there = everything(catalog), sorted(path.name for path in tmp_path.iterdir())
    target = tmp_path / f"mosfet.rest.{kind}"
    words = ("catalog", "import", source, "--keep-good", "--rejects", target, "--catalog", catalog)
    refused(run_forked(*words, preexec_fn=within(3000)), f"{target} cannot be written")
    assert everything(catalog) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == there


def test_a_map_that_finds_no_room_is_not_begun(catalog: Path, tmp_path: Path) -> None:
    target = tmp_path / "m.toml"
    words = ("catalog", "import", SAMPLES, "--preview", "--save-map", target, "--catalog", catalog)
    refused(run_forked(*words, preexec_fn=within(100)), f"{target} cannot be written (File too large)")
    assert [path.name for path in tmp_path.iterdir()] == ["c.sqlite"]


@pytest.mark.parametrize("size", [0, 5000])
def test_a_new_catalog_that_finds_no_room_is_not_begun(tmp_path: Path, size: int) -> None:
    target = tmp_path / "n.sqlite"
    refused(run_forked("catalog", "import", SAMPLES, "--catalog", target, preexec_fn=within(size)), target)
    assert not list(tmp_path.iterdir())


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Callable[..., Path]]:
    """A disk of its own, of so many KiB; only the superuser may make one."""
    folder = tmp_path / "disk"
    folder.mkdir()

    def mount(*options: str) -> Path:
        words = ["mount", "-t", "tmpfs", "-o", ",".join(options), "tmpfs", str(folder)]
        if (
            os.geteuid()
            or not shutil.which("mount")
            or subprocess.run(words, capture_output=True, check=False).returncode
        ):
            pytest.skip("no disk of its own can be made here")
        return folder

    yield mount
    subprocess.run(["umount", "-l", str(folder)], capture_output=True, check=False)


def fill_up(folder: Path) -> None:
    with (folder / "fill").open("wb", buffering=0) as file:
        try:
            while file.write(bytes(1024)):
                pass
        except OSError:
            return


def test_on_a_full_disk_a_catalog_can_be_read_and_copied_elsewhere(
    disk: Callable[..., Path], filled: Path, tmp_path: Path
) -> None:
    folder = disk("size=1500k")
    catalog = folder / "c.sqlite"
    shutil.copy(filled, catalog)
    open_catalog(catalog).close()
    before = everything(catalog)
    fill_up(folder)
    at: tuple[Any, ...] = ("--catalog", catalog)
    full = "because the disk is full; make room and try again"
    refused(run_forked("catalog", "import", SAMPLES / "extra" / "new-indicator.json", *at), catalog, full)
    refused(run_forked("catalog", "backup", folder / "b.sqlite", *at), folder / "b.sqlite", full)
    refused(run_forked("catalog", "restore", filled, *at), folder, full)
    refused(run_forked("catalog", "import", SAMPLES, "--catalog", folder / "new.sqlite"), folder / "new.sqlite", "full")
    for name in ("x.xlsx", "x.json", "x"):
        written = run_forked("catalog", "export", folder / name, *at)
        refused(written, f"{folder / name} cannot be written (No space left on device); make room")
    assert sorted(path.name.partition("-")[0] for path in folder.iterdir()) == ["c.sqlite", "fill"]
    assert run_forked("catalog", "list", *at).out.startswith("186 parts in")
    assert run_forked("catalog", "backup", tmp_path / "b.sqlite", *at).code == 0
    assert everything(tmp_path / "b.sqlite") == before
    (folder / "fill").unlink()
    assert everything(catalog) == before
    assert run_forked("catalog", "import", SAMPLES / "extra" / "new-indicator.json", *at).code == 0


@pytest.mark.parametrize("log", [False, True], ids=["a backup", "a catalog in use"])
def test_on_a_read_only_medium_a_catalog_can_be_read(
    log: bool, disk: Callable[..., Path], filled: Path, tmp_path: Path
) -> None:
    folder = disk("size=4m")
    catalog = folder / "c.sqlite"
    shutil.copy(filled, catalog)
    if log:
        with sqlite3.connect(catalog) as raw:
            raw.execute("PRAGMA journal_mode = WAL")
        raw.close()
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    at: tuple[Any, ...] = ("--catalog", catalog)
    told = "is read-only; make the file and its folder writable, or write to a copy"
    refused(run_forked("catalog", "import", SAMPLES / "extra" / "new-indicator.json", *at), catalog, told)
    refused(run_forked("catalog", "restore", filled, *at, "--keep", tmp_path / "kept.sqlite"), catalog, told)
    refused(run_forked("catalog", "restore", filled, *at), folder, "ead-only")
    refused(run_forked("catalog", "backup", folder / "b.sqlite", *at), "cannot be written (Read-only file system)")
    refused(run_forked("catalog", "import", SAMPLES, "--catalog", folder / "n.sqlite"), folder / "n.sqlite")
    for name in ("x.xlsx", "x.json", "x"):
        refused(run_forked("catalog", "export", folder / name, *at), f"{folder / name} cannot be written (Read-only")
    assert run_forked("catalog", "list", *at).out.startswith("186 parts in")
    assert run_forked("catalog", "verify", *at).code == 0
    assert run_forked("catalog", "backup", tmp_path / "b.sqlite", *at).code == 0
    assert not (tmp_path / "kept.sqlite").exists()
