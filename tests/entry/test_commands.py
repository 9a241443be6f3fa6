"""`catalog history`, `undo` and `retire` as a user runs them."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from partcheck.catalog import open_catalog
from partcheck.cli import asking
from tests.command import BOARD, SAMPLES, Ran, run
from tests.schemas import follows_the_schema

Command = Callable[..., Ran]


@pytest.fixture
def command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Command:
    monkeypatch.setenv("PARTCHECK_CATALOG", str(tmp_path / "catalog.sqlite"))
    return lambda *words: run(monkeypatch, capsys, *words)


@pytest.fixture
def filled(command: Command, tmp_path: Path) -> Command:
    assert command("catalog", "import", SAMPLES, "--by", "Jo").code == 0
    return command


@pytest.mark.parametrize(
    "words",
    [
        ("catalog", "import", SAMPLES), ("catalog", "add", "led"), ("catalog", "edit", "MOBY-D60-25"),
        ("catalog", "copy", "MOBY-D60-25", "M2"), ("catalog", "retire", "MOBY-D60-25", "--reason", "x"),
        ("catalog", "undo", "--yes"), ("accept", BOARD, "Q1", "MOBY-D60-25"),
    ],
)  # fmt: skip
def test_an_empty_name_is_refused_and_not_taken_for_the_login_name(filled: Command, words: tuple[object, ...]) -> None:
    for name in ("", "  "):
        ran = filled(*words, "--by", name)
        assert ran.code == 2
        told = " ".join(ran.err.split())
        assert told == "partcheck: --by is empty; write a name, or leave --by out for your login name"


def test_retire_marks_a_part_obsolete_with_the_reason_and_deletes_nothing(filled: Command) -> None:
    done = filled("catalog", "retire", "TALQ-60N80", "--reason", "last  time buy", "--by", "Sam")
    assert done.code == 0 and "TALQ-60N80 (Talvik) is obsolete now (last time buy)" in done.out
    told = filled("catalog", "history", "talq-60n80").out
    assert "retire by Sam (last time buy)" in told
    assert "status: out-of-stock -> obsolete" in told
    assert "entered" in told.splitlines()[-1]
    shown = filled("catalog", "show", "TALQ-60N80").out
    assert (
        "  status         obsolete" in shown and "last time buy" in shown and "entered Sam" in " ".join(shown.split())
    )
    again = filled("catalog", "retire", "TALQ-60N80", "--reason", "x")
    assert again.code == 2 and "is obsolete already" in again.err
    assert filled("catalog", "retire", "TALQ-60N80").code == 2
    assert filled("catalog", "retire", "TALQ-60N80", "--reason", " ").code == 2


def test_undo_only_shows_without_a_terminal_and_without_yes(filled: Command) -> None:
    filled("catalog", "retire", "TALQ-60N80", "--reason", "x", "--by", "Sam")
    shown = filled("catalog", "undo")
    assert shown.code == 0 and "status: obsolete -> out-of-stock" in shown.out
    assert "nothing was changed; give --yes" in shown.err
    assert "obsolete" in filled("catalog", "show", "TALQ-60N80").out
    done = filled("catalog", "undo", "--yes", "--by", "Kim")
    assert done.out.startswith("Taken back") and "nothing was changed" not in done.err
    assert "out-of-stock" in filled("catalog", "show", "TALQ-60N80").out
    assert "undo by Kim (retire of" in filled("catalog", "history", "TALQ-60N80").out


@pytest.mark.parametrize(("answer", "done"), [(True, True), (False, False)])
def test_undo_asks_on_a_terminal(filled: Command, monkeypatch: pytest.MonkeyPatch, answer: bool, done: bool) -> None:
    asked: list[str] = []
    monkeypatch.setattr(asking, "agrees", lambda question: bool(asked.append(question)) or answer)
    filled("catalog", "undo")
    assert "186 parts" in asked[0] and asked[0].endswith("Take it back?")
    assert ("no parts" if done else "186 parts") in filled("catalog", "list").out


def test_undo_of_an_import_takes_the_parts_out_again(filled: Command) -> None:
    assert filled("catalog", "undo", "--yes").code == 0
    assert filled("catalog", "list").out.startswith("There are no parts in")
    nothing = filled("catalog", "undo", "--yes")
    assert nothing.code == 2 and "has no change to take back" in nothing.err
    told = filled("catalog", "history", "TALQ-60N80")
    assert told.code == 0 and "taken out; all that it stated is kept" in told.out
    assert filled("catalog", "import", SAMPLES).out.startswith("186 parts added")


def test_the_answers_follow_the_published_schema(filled: Command, tmp_path: Path) -> None:
    filled("catalog", "retire", "TALQ-60N80", "--reason", "x", "--by", "Sam")
    told = json.loads(filled("catalog", "history", "TALQ-60N80", "--json").out)
    follows_the_schema(told)
    first = told["parts"][0]["entries"][0]
    assert (first["what"], first["who"], first["note"]) == ("retire", "Sam", "x")
    undo = json.loads(filled("catalog", "undo", "--json").out)
    follows_the_schema(undo)
    assert undo["done"] is False and undo["parts"][0]["taken_out"] is False
    values = {v["column"]: (v["now"], v["then"]) for v in undo["parts"][0]["values"]}
    assert values["status"] == ("obsolete", "out-of-stock")
    assert json.loads(filled("catalog", "undo", "--json", "--yes").out)["done"] is True
    found = json.loads(filled("catalog", "find", "led", "--where", "iv.max >= 1 cd", "--json").out)
    follows_the_schema(found)
    with open_catalog(tmp_path / "catalog.sqlite") as catalog:
        assert catalog.part("TALQ-60N80").word("status") == "out-of-stock"


def test_every_line_fits_80_columns(filled: Command) -> None:
    filled("catalog", "retire", "TALQ-60N80", "--reason", "a reason that goes on for quite a while " * 4)
    for words in (("history", "TALQ-60N80"), ("undo",)):
        out = filled("catalog", *words).out
        assert all(len(line) <= 80 for line in out.splitlines()), words


def test_a_part_that_never_was_is_told(filled: Command) -> None:
    told = filled("catalog", "history", "TALQ-60N8")
    assert told.code == 2 and "did you mean TALQ-60N80?" in told.err


def test_the_history_tells_which_accepted_substitutions_used_the_values(filled: Command, tmp_path: Path) -> None:
    done = filled(
        "accept",
        BOARD,
        "Q2",
        "MOBY-F60-70",
        "--by",
        "Jo",
        "--note",
        "until it is back",
        "--catalog",
        tmp_path / "catalog.sqlite",
    )
    assert done.code == 0
    told = " ".join(filled("catalog", "history", "MOBY-F60-70").out.split())
    assert "accepted as Q2 on small bottling bench, rev. C (record 1, meets) by Jo: until it is back" in told
    made = json.loads(filled("catalog", "history", "MOBY-F60-70", "--json").out)
    follows_the_schema(made)
    assert [(use["number"], use["reference"]) for use in made["parts"][0]["accepted"]] == [(1, "Q2")]
    assert "accepted as" not in filled("catalog", "history", "TALQ-60N80").out
