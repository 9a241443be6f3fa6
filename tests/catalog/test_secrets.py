"""A password typed anywhere is in no answer, file, draft, record or table: every command, every place of an address."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from typer.main import get_command

from partcheck.catalog import open_catalog, opening, place
from partcheck.cli import app
from partcheck.cli.ask.topics import COMMON
from partcheck.jobs.ask.topics import TOPICS
from partcheck.jobs.entry.drafts import drafts_folder, key_of, new_draft
from partcheck.parts.entry import Entry
from tests.command import BOARD, SAMPLES, run
from tests.server import database

SECRET = "s3cr3t"
MISTYPED = (f"postgresql:jo:{SECRET}@h/x", f"jo:{SECRET}@h/x")
NEEDED: dict[str, tuple[object, ...]] = {
    "brightness": (BOARD, "D11"), "check": (BOARD,), "explain": (BOARD, "Q2"), "fleet": (BOARD, "--gone", "MOBY-D60-25"),
    "limits": (BOARD, "V3"), "missing": (BOARD,), "plan": (BOARD, "V3"), "accept": (BOARD, "Q1", "MOBY-D60-25", "--by", "Jo"),
    "records": (), "serve": (BOARD.parent,), "swap": (BOARD, "Q2"), "vet": (BOARD, "V3"), "catalog list": (), "catalog show": ("M1",), "catalog upgrade": (),
    "catalog find": ("mosfet",), "catalog history": ("M1",), "catalog undo": ("--yes",), "catalog retire": ("M1", "--reason", "x"),
    "catalog add": ("led",), "catalog edit": ("M1",), "catalog copy": ("M1", "M2"), "catalog import": (SAMPLES,), "catalog verify": (),
    "catalog backup": ("b.sqlite",), "catalog restore": ("b.sqlite",), "catalog review": ("M1",), "catalog export": ("out",),
}  # fmt: skip
"""What each command that takes a catalog needs besides."""


def commands(at: Any, path: tuple[str, ...] = ()) -> Iterator[str]:
    """The names of all commands that take a catalog; those of ``ask`` are made from the topics and stand apart."""
    for name, found in getattr(at, "commands", {}).items():
        if any("--catalog" in option.opts for option in found.params):
            yield " ".join((*path, name))
        yield from commands(found, (*path, name))


def test_every_command_that_takes_a_catalog_is_tried() -> None:
    assert set(commands(get_command(app))) == set(NEEDED)
    assert "catalog" in COMMON and "mosfet" in TOPICS


@pytest.mark.parametrize("name", [*NEEDED, "ask"])
def test_no_command_tells_a_mistyped_address(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As the option and from the environment; what it was to write is not there."""
    monkeypatch.chdir(tmp_path)
    words = (*name.split(), *NEEDED.get(name, ("mosfet", "M1", "--voltage", "24", "--current", "1", "--drive", "5")))
    for given in MISTYPED:
        for option in ((f"--catalog={given}",), ()):
            if not option and BOARD in words and name != "accept":
                continue  # this board names its sheets, and asks no catalog unless one is named
            monkeypatch.setenv(place.VARIABLE, str(tmp_path / "none.sqlite") if option else given)
            ran = run(monkeypatch, capsys, *words, *option)
            assert SECRET not in ran.out + ran.err
            told = " ".join((ran.err + ran.out).split())  # a fleet tells it beside each board
            assert ran.code == 2 and "not shown as it may hold a password" in told, ran
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "line", ['parts = ["{}"]', 'policy = "{}"', "'{}' = 1", "{} = 1", "['{}']", '[load.x]\nsupply = "{}"']
)
def test_no_key_of_a_board_tells_one(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    board = tmp_path / "board.toml"
    for given in MISTYPED:
        board.write_text(f'format = 1\nname = "b"\n{line.format(given)}\n', encoding="utf-8")
        for words in (("check", board, "--json"), ("board", "check", board)):
            ran = run(monkeypatch, capsys, *words)
            assert ran.code == 2 and "board.toml" in ran.out + ran.err
            assert SECRET not in ran.out + ran.err


def test_nothing_written_holds_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a server that takes any password: answers, pages, records, drafts, copies and every row of every table."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)
    with database() as where:
        address = where.replace("partcheck@", f"partcheck:{SECRET}@")
        monkeypatch.setenv(place.VARIABLE, address)
        told = []
        for words in (
            ("catalog", "import", SAMPLES, "--by", "Jo", "--json"),
            ("catalog", "retire", "TALQ-60N80", "--reason", "x", "--by", "Jo"),
            ("accept", BOARD, "D11", "HOLL-3G60", "--although-it-fails", "--note", "x", "--html", "accept.html"),
            ("records", "--html", "records.html", "--markdown", "records.md", "--json"),
            ("catalog", "history", "TALQ-60N80", "--html", "history.html", "--json"),
            ("check", BOARD, "--catalog", address, "--html", "check.html", "--markdown", "check.md"),
            ("catalog", "find", "led", "--html", "find.html", "--csv"),
            ("catalog", "export", "out"),
            ("catalog", "backup", "copy.sqlite"),
            ("catalog", "undo", "--yes", "--by", "Jo"),
        ):
            ran = run(monkeypatch, capsys, *words)
            assert ran.code in (0, 1, 3), ran.err
            told.append(ran.out + ran.err)
        draft = new_draft(drafts_folder(address), key_of("add", "led"), "Jo", Entry("led"))
        draft.keep()
        assert draft.path.is_relative_to(tmp_path)
        engine = opening.connect(place.find_place(address), create=False)
        with engine.connect() as connection:
            for table in sa.inspect(connection).get_table_names():
                told += [
                    json.dumps(list(row), default=str)
                    for row in connection.execute(sa.text(f'SELECT * FROM "{table}"'))
                ]
        engine.dispose()
        with open_catalog(address) as catalog:
            assert catalog.accepted(), "something was accepted and is looked through"
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert {path.name for path in files} >= {"accept.html", "records.md", "check.md", "copy.sqlite", draft.path.name}
    assert all(SECRET not in text for text in told)
    assert not [path for path in files if SECRET.encode() in path.read_bytes() or SECRET in str(path)]
