"""What a shell offers at Tab: from the board and the catalog on the command line, at once, and never a traceback."""

import inspect
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from partcheck.cli import completing
from partcheck.roles import ROLES
from tests.command import BOARD, SAMPLES, run
from tests.pages import filled


def words(offered: list[tuple[str, str]]) -> list[str]:
    return [word for word, _ in offered]


def given(**params: Any) -> Any:
    return SimpleNamespace(params=params)


def test_references_and_loads_are_those_of_the_board_named() -> None:
    board = given(board=BOARD)
    assert words(completing.references(board, "q")) == [f"Q{i}" for i in range(1, 10)]
    assert ("Q2", "mosfet-switch TALQ-60N80") in completing.references(board, "")
    assert words(completing.loads(board, "FV")) == ["FV1", "FV2", "FV3"]
    assert "D11" in words(completing.indicators(board, "")) and "D3" not in words(completing.indicators(board, ""))


def test_ranges_of_a_board_are_written_out(tmp_path: Path) -> None:
    board = tmp_path / "b.toml"
    board.write_text('[load."V1..V3"]\nsort = "coil"\n[role."Q1..Q3"]\nrole = "mosfet-switch"\nload = "V{n}"\n')
    assert words(completing.references(given(board=board), "")) == ["Q1", "Q2", "Q3"]
    assert completing.loads(given(board=board), "v")[0] == ("V1", "coil")


def test_part_numbers_are_of_the_kind_that_the_place_takes_and_from_where_the_command_takes_them() -> None:
    assert "MOBY-F60-70" in words(completing.parts(given(board=BOARD, ref="Q2"), "moby-f"))
    assert words(completing.parts(given(board=BOARD, ref="D11"), "MOBY-F")) == []
    assert "SLYS-A3H" in words(completing.parts(given(board=BOARD, ref="D11", parts=[SAMPLES / "extra"]), "SLYS"))
    stored = given(board=BOARD, ref="Q2", catalog=str(filled().place))
    assert ("MOBY-F60-70", "Morrowby") in completing.parts(stored, "MOBY")
    assert "HOLL-3R60" in words(completing.catalog_parts(given(catalog=str(filled().place)), "holl"))


def test_every_role_with_a_part_knows_its_kind() -> None:
    assert {role.name: role.kind for role in ROLES.values() if role.kind} == completing.KIND_OF_ROLE


def test_files_policies_and_kinds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("one.toml").write_text("")
    Path("boards").mkdir()
    Path("boards/two.toml").write_text("")
    assert words(completing.boards("")) == ["boards/", "one.toml"]
    assert words(completing.boards("boards/")) == ["boards/two.toml"]
    assert words(completing.policies("e")) == ["ecss"] and "one.toml" in words(completing.policies(""))
    assert words(completing.kinds("mo")) == ["mosfet"]


FUNCTIONS = [getattr(completing, name) for name in completing.__all__ if callable(getattr(completing, name))]


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda function: function.__name__)
@pytest.mark.parametrize(
    "params",
    [
        {}, {"board": None}, {"board": "no-such.toml", "ref": "Q2"}, {"board": "/", "ref": "Q2", "catalog": "/"},
        {"board": "bad.toml", "ref": "Q2", "parts": ["nowhere"], "catalog": "bad.toml"},
        {"board": BOARD, "ref": "ZZ", "catalog": "postgresql://nobody:x@192.0.2.1/x"}, {"catalog": "postgresql://nobody@192.0.2.1/x"},
    ],
)  # fmt: skip
def test_nothing_raises_and_nothing_waits(
    function: Callable[..., Any], params: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """192.0.2.1 is nobody's (RFC 5737): asking it would wait for a long time."""
    monkeypatch.chdir(tmp_path)
    Path("bad.toml").write_text("= no toml", encoding="utf-8")
    for incomplete in ("", "x", "\x00", "../" * 9, "M" * 5000, "'"):
        context = [given(**params)] if "ctx" in inspect.signature(function).parameters else []
        assert isinstance(function(*context, incomplete), list)


def tab(line: str, shell: str = "bash", **more: str) -> list[str]:
    """What pressing Tab at the end of a line offers, by the protocol of the shell's script."""
    variables = {"COMP_WORDS": line, "COMP_CWORD": str(len(line.split(" ")) - 1), "_TYPER_COMPLETE_ARGS": line}
    made = subprocess.run(
        [sys.executable, "-c", "from partcheck.__main__ import process; process()"],
        capture_output=True, text=True, check=False, cwd=SAMPLES,
        env={**os.environ, "PYTHONPATH": str(SAMPLES.parent), "_PARTCHECK_COMPLETE": f"complete_{shell}", **variables, **more},
    )  # fmt: skip
    assert made.returncode in (0, 1) and made.stderr == ""
    return made.stdout.split("\n")


@pytest.mark.parametrize("words", [["--help"], ["catalog", "--help"], ["board", "--help"]], ids=lambda words: words[0])
def test_no_summary_of_a_command_is_cut(
    words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    told = run(monkeypatch, capsys, *words).out
    assert "Commands:" in told and "..." not in told[told.index("Commands:") :]


def test_a_shell_that_presses_tab() -> None:
    assert "Q2" in tab("partcheck explain bottling-bench.toml Q")
    assert "MOBY-F60-70" in tab("partcheck explain bottling-bench.toml Q2 MOBY-F6")
    assert any("FV1" in line for line in tab("partcheck vet bottling-bench.toml FV", "zsh"))
    assert any("nasa-goddard" in line for line in tab("partcheck check bottling-bench.toml --policy na", "zsh"))
    fish = tab("partcheck catalog sh", "fish", _TYPER_COMPLETE_FISH_ACTION="get-args")
    assert any(line.startswith("show") for line in fish)
    shell = tab("partcheck ch", "powershell", _TYPER_COMPLETE_WORD_TO_COMPLETE="ch")
    assert any(line.startswith("check") for line in shell)
