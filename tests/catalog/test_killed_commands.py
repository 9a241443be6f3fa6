"""A command killed at any moment leaves every file and the catalog as before or as after; the next one cleans up.

Each command is killed before one of the things that it does to files or says to the database: an ordinary run takes
one on each sort of database, ``PARTCHECK_LONG`` ten, of every command that writes.
"""

import importlib
import os
import random
import re
import shutil
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from partcheck.__main__ import main
from partcheck.scratch import scratch, swept
from tests.catalog.test_kills import Bench, changed, parts, state
from tests.command import SAMPLES
from tests.conftest import DATABASES
from tests.draws import LONG
from tests.forked import Killing, fork
from tests.fuzz.inputs import valve
from tests.fuzz.tables import toml
from tests.server import server

KILLS = 10 if LONG else 1
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the processes of this test are forked")
COMMANDS: dict[str, tuple[str, ...]] = {
    "import": (
        "catalog",
        "import",
        "sheet.json",
        "--yes",
        "--by",
        "Jo",
        "--save-map",
        "map.toml",
        "--html",
        "import.html",
    ),
    "retire": ("catalog", "retire", "TALQ-30N52", "--reason", "x", "--by", "Jo"),
    "undo": ("catalog", "undo", "--yes", "--by", "Jo"),
    "upgrade": ("catalog", "upgrade"),
    "backup": ("catalog", "backup", "kept.sqlite"),
    "restore": ("catalog", "restore", "copy.sqlite", "--keep", "kept.sqlite"),
    "export": ("catalog", "export", "out"),
    "record": ("catalog", "export", "out.json"),
    "accept": (
        "accept",
        "valve.toml",
        "Q1",
        "TALQ-60N80",
        "--although-it-fails",
        "--note",
        "x",
        "--by",
        "Jo",
        "--parts",
        str(SAMPLES),
    ),
    "board": ("board", "new", "new.toml", "--like", "mosfet-channel"),
}
WRITES = ("open", "os.rename", "os.link", "os.remove", "os.mkdir", "os.rmdir", "os.chmod", "shutil.rmtree")
_TIMES = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d[.\d]*(?:[+-]\d\d:\d\d|Z)?")


def _is_write(event: str, words: tuple[Any, ...]) -> bool:
    if event != "open":
        return event in WRITES
    return (
        isinstance(words[0], str)
        and (words[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)) != 0
        and words[0] != os.devnull
    )


def _begin(words: tuple[str, ...], folder: Path, where: str, before: int | None) -> int:
    """Run a command in a process of its own, which kills itself before what it does as the ``before``-th thing."""
    pid, counting = fork(), Killing(before)
    if pid:
        return pid
    try:
        os.chdir(folder)
        os.environ["PARTCHECK_CATALOG"] = where
        sys.argv = ["partcheck", *words]
        said = os.open(folder.parent / "said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(said, 1)
        os.dup2(said, 2)
        sys.stdout, sys.stderr = os.fdopen(1, "w"), os.fdopen(2, "w")
        sys.addaudithook(lambda event, of: counting() if _is_write(event, of) else None)
        for event in ("before_cursor_execute", "commit"):
            sa.event.listen(sa.Engine, event, counting)
        main()
    except SystemExit as ended:
        sys.stdout.flush()
        sys.stderr.flush()
        if before is None:
            (folder.parent / "count").write_text(str(counting.count))
        os._exit(int(ended.code or 0))
    finally:
        os._exit(70)


def _run(words: tuple[str, ...], folder: Path, where: str, before: int | None) -> str:
    """What the command said; it is killed where it is to be, and ends well otherwise."""
    _, status = os.waitpid(_begin(words, folder, where, before), 0)
    said = (folder.parent / "said").read_text(encoding="utf-8") if before is None else ""
    if before is None:
        assert os.WIFEXITED(status) and os.WEXITSTATUS(status) in (0, 1, 3), said
    else:
        assert os.WIFSIGNALED(status), said
    return said


def _files(folder: Path) -> dict[str, str]:
    """Every finished file of a folder; of a database what is in it. What is hidden is nobody's yet."""
    found: dict[str, str] = {}
    for path in sorted(folder.rglob("*")):
        name = str(path.relative_to(folder))
        if path.is_dir() or name.startswith((".", "catalog.sqlite")) or name.endswith(("-wal", "-shm", "-journal")):
            continue
        found[name] = _bare(state(str(path))) if path.suffix == ".sqlite" else _TIMES.sub("", path.read_text("utf-8"))
    return found


def _bare(of: object) -> str:
    return _TIMES.sub("", repr(of))


class _Place:
    """A folder and a catalog as they are before the command."""

    def __init__(self, bench: Bench, number: int) -> None:
        self.where = bench.anew()
        beside = Path(self.where).parent if bench.sort == "sqlite" else bench.folder / f"beside{number}"
        beside.mkdir(exist_ok=True)
        self.folder = beside
        (beside / "valve.toml").write_text(toml(valve()), encoding="utf-8")
        for name in ("copy.sqlite", "sheet.json"):
            if (bench.folder / name).exists():
                shutil.copy(bench.folder / name, beside / name)

    def now(self) -> tuple[str, dict[str, str]]:
        return self._anywhere(_bare(state(self.where))), {k: self._anywhere(v) for k, v in _files(self.folder).items()}

    def _anywhere(self, text: str) -> str:
        """A text without where it was made: each round has a place of its own."""
        return text.replace(str(self.folder), "").replace(self.where.rpartition("/")[2], "")


def _sheet(folder: Path) -> None:
    from partcheck.parts.documents import to_document

    known = parts()
    (folder / "sheet.json").write_text(to_document([*map(changed, known[:6]), *known[6:20]]), encoding="utf-8")


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("sort", DATABASES)
def test_a_killed_command_leaves_the_old_or_the_new(
    sort: str, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if sort == "postgresql":
        server()  # for this process, not for a child
    importlib.import_module("alembic.command")
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    _sheet(tmp_path)
    draw = random.Random(f"{sort} {name}")
    with ExitStack() as stack:
        bench = Bench(sort, name, tmp_path, stack)
        place = _Place(bench, 0)
        old = place.now()
        _run(COMMANDS[name], place.folder, place.where, None)
        new = place.now()
        count = int((place.folder.parent / "count").read_text())
        assert old != new and count > 2
        for number in range(1, KILLS + 1):
            place = _Place(bench, number)
            at = count - number if number % 2 else draw.randrange(count)  # the last of them, and any
            _run(COMMANDS[name], place.folder, place.where, max(at, 0))
            catalog, files = place.now()
            assert catalog in (old[0], new[0]), f"killed at {at} of {count}"
            for file, holds in files.items():
                assert holds in (old[1].get(file), new[1].get(file)), (file, at)
            assert old[1].keys() <= files.keys() or name == "restore"
            _tidied(place, tmp_path)


def _tidied(place: _Place, temporary: Path) -> None:
    """The next program takes away what is left, and says so."""
    left = [path for folder in (place.folder, temporary) for path in folder.glob(".partcheck-*.draft")]
    for path in left:
        os.utime(path, (time.time() - 60,) * 2)
    with swept() as told, scratch():
        said = _run(("catalog", "backup", "last.sqlite"), place.folder, place.where, None)
    assert all(str(path) in told or str(path) in said for path in left)
    assert not [path for folder in (place.folder, temporary) for path in folder.glob(".partcheck-*")]
