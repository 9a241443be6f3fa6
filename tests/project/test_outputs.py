"""No file that is written replaces another unless asked to, and none a catalog or a file that is being read."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from partcheck.api import open_board
from partcheck.errors import UsageError
from partcheck.outputs import objection, write_text
from tests.command import BOARD, SAMPLES, Ran, run

Runner = Callable[..., Ran]
KEPT = "what a user has written\n"
PAGES = [
    ["swap", "b.toml", "Q2"], ["explain", "b.toml", "Q2"], ["check", "b.toml"], ["limits", "b.toml"], ["plan", "b.toml"],
    ["vet", "b.toml", "light"], ["brightness", "b.toml", "D11", "JUNI-PA12"], ["brightness", "b.toml", "D11"],
]  # fmt: skip


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Runner:
    """Runs in a folder with a board, its parts in the folder ``s``, and a catalog."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PARTCHECK_CATALOG", "c.sqlite")
    shutil.copytree(SAMPLES, "s", ignore=shutil.ignore_patterns("*.svg", "*.toml"))
    Path("b.toml").write_text(BOARD.read_text(encoding="utf-8").replace('parts = ["."]', 'parts = ["s"]'), "utf-8")
    shutil.copy(SAMPLES / "led.csv", "led.csv")
    assert run(monkeypatch, capsys, "catalog", "import", "led.csv").code == 0
    return lambda *words: run(monkeypatch, capsys, *words)


def refused(ran: Ran, says: str) -> None:
    assert ran.code == 2 and not ran.out
    assert ran.err.startswith("partcheck: ") and ran.err.count("\n") == 1 and says in ran.err, ran.err


@pytest.mark.parametrize("words", PAGES, ids=lambda words: "-".join(words))
@pytest.mark.parametrize("option", ["--html", "--markdown"])
def test_a_page_replaces_nothing_unasked(command: Runner, words: list[str], option: str) -> None:
    Path("kept").write_text(KEPT)
    refused(command(*words, option, "kept"), "kept already exists; name another file, or give --force to replace it")
    assert Path("kept").read_text() == KEPT


def test_a_page_is_replaced_where_asked_for(command: Runner) -> None:
    assert command("check", "b.toml", "--html", "p.html").code == 0
    first = Path("p.html").read_bytes()
    refused(command("check", "b.toml", "--html", "p.html"), "already exists")
    assert command("explain", "b.toml", "Q2", "--html", "p.html", "--force").code == 0
    assert Path("p.html").read_bytes() != first


@pytest.mark.parametrize(
    ("target", "says"),
    [
        ("c.sqlite", "is a database, perhaps a catalog"), ("copy.sqlite", "is a database, perhaps a catalog"),
        ("s/mosfet.csv", "is one of the files that are read here"), ("b.toml", "is the board file itself"),
        ("linked", "is the board file itself"), ("p.toml", "is one of the files that are read here"),
    ],
)  # fmt: skip
def test_what_is_read_and_a_catalog_stay_whatever_is_asked(command: Runner, target: str, says: str) -> None:
    shutil.copy("c.sqlite", "copy.sqlite")
    os.symlink("b.toml", "linked")
    policy = 'name = "mine"\nsource = "bench notes"\nbase = "bench"\n'
    Path("p.toml").write_text(policy)
    before = Path(target).read_bytes()
    for option in ("--html", "--markdown", "--write"):
        refused(command("plan", "b.toml", "--policy", "p.toml", option, target, "--force"), says)
        assert Path(target).read_bytes() == before


def test_a_sheet_given_as_parts_stays(command: Runner) -> None:
    before = Path("s/led.csv").read_bytes()
    words = ["check", BOARD, "--parts", "s", "--parts", "led.csv", "--force", "--html"]
    refused(command(*words, "s/led.csv"), "is one of the files that are read here")
    refused(command(*words, "led.csv"), "is one of the files that are read here")
    assert Path("s/led.csv").read_bytes() == before
    assert command(*words, "s/page.html").code in (0, 1, 3) and Path("s/page.html").is_file()


def test_the_catalogs_own_outputs_follow_the_same_rule(command: Runner) -> None:
    bad = "part_number,maker,vr_max [V]\nL1,Acme,x\n"
    Path("led.bad.csv").write_text(bad)
    outputs: list[tuple[list[Any], str]] = [
        (["template", "led"], "t.xlsx"), (["export"], "e.json"), (["export"], "e.xlsx"),
        (["import", "led.bad.csv", "--keep-good", "--rejects"], "led.r.csv"), (["import", "led.csv", "--save-map"], "m.toml"),
    ]  # fmt: skip
    for words, name in outputs:
        Path(name).write_text(KEPT)
        refused(command("catalog", *words, name), f"{name} already exists; name another file, or give --force")
        assert Path(name).read_text() == KEPT
        assert command("catalog", *words, name, "--force").code in (0, 2)
        assert Path(name).read_bytes() != KEPT.encode(), name
    for words in (["import", "led.csv", "--keep-good", "--rejects"], ["import", "led.csv", "--save-map"]):
        refused(command("catalog", *words, "led.csv", "--force"), "led.csv is one of the files that are read here")


def test_a_planned_board_written_from_a_notebook(command: Runner) -> None:
    planned = open_board("b.toml").plan()
    Path("kept.toml").write_text(KEPT)
    with pytest.raises(UsageError, match="already exists"):
        planned.write("kept.toml")
    with pytest.raises(UsageError, match="one of the files that are read here"):
        planned.write("b.toml", force=True)
    assert Path("kept.toml").read_text() == KEPT


def test_a_file_that_cannot_be_written_whole_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fills up while the file is written, and one that fails as it gets its name."""
    target = tmp_path / "p.html"
    target.write_text(KEPT)

    def full(*words: object) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(UnicodeEncodeError):
        write_text(target, "begun, and then \udc80")
    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(UsageError, match="No space left on device"):
        write_text(target, "new")
    assert target.read_text() == KEPT and [path.name for path in tmp_path.iterdir()] == ["p.html"]


def test_a_device_is_written_to_and_a_dangling_link_is_a_file_that_is_there(tmp_path: Path) -> None:
    assert objection(Path(os.devnull)) == ""
    write_text(Path(os.devnull), "x")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    assert "already exists" in objection(tmp_path / "link")
