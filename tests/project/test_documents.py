"""The documents say what is there: formats, README commands, the map."""

import importlib
import io
import re
import shlex
import shutil
from pathlib import Path

import openpyxl
import pytest

from partcheck.report.formats import DOCUMENTS, FOLDER
from partcheck.roles import ROLES

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "catalog_samples" / "GUIDE.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(DOCUMENTS))
def test_the_format_documents_are_current(name: str) -> None:
    """If this fails: python -m partcheck.report.formats"""
    assert (FOLDER / f"{name}.md").read_text(encoding="utf-8") == DOCUMENTS[name]().rstrip() + "\n"


def test_every_requirement_is_documented() -> None:
    text = (FOLDER / "answers.md").read_text(encoding="utf-8")
    for role in ROLES.values():
        for id_ in role.requirements:
            assert f"| `{id_}` |" in text


def test_the_first_two_commands_stand_on_one_line_each() -> None:
    blocks = re.findall(r"^```sh\n(.*?)^```", README, re.DOTALL | re.MULTILINE)
    assert len(blocks) >= 2
    for block in blocks[:2]:
        assert len(block.strip().splitlines()) == 1
    assert "partcheck" in blocks[0]
    assert "pytest" in blocks[1]


def test_every_command_is_in_the_readme_or_the_guide() -> None:
    from partcheck.cli import app

    def name(command):
        return command.name or command.callback.__name__.rstrip("_").replace("_", "-")

    words = [name(command) for command in app.registered_commands]
    for group in app.registered_groups:
        words += [f"{group.name} {name(command)}" for command in group.typer_instance.registered_commands]
    assert len(words) > 10
    for word in words:
        assert re.search(rf"partcheck {word}\b", README + GUIDE), word


def test_the_map_in_the_package_names_every_module() -> None:
    text = importlib.import_module("partcheck").__doc__ or ""
    there = {
        p.stem if p.suffix == ".py" else p.name for p in (ROOT / "partcheck").iterdir() if not p.name.startswith("__")
    }
    for name in there - {"formats", "py", "shipped", "py.typed"}:
        assert re.search(rf"\b{name}(/|\.py)", text), f"{name} is not on the map"


def test_nothing_tells_where_or_how_it_was_made() -> None:
    """No machine paths and no addresses of package hosts in what is kept."""
    forbidden = re.compile("/" + "work/|/" + "root/|/" + "tmp/v|" + "pypi" + r"\.org|python" + "hosted", re.IGNORECASE)
    for path in ROOT.rglob("*"):
        if path.suffix in (".py", ".md", ".toml", ".csv", ".json") and ".venv" not in path.parts and path.is_file():
            assert not forbidden.search(path.read_text(encoding="utf-8", errors="replace")), path


BLOCKS = re.findall(r"^```console\n\$ (partcheck .*?)\n(.*?)^```", README + GUIDE, re.DOTALL | re.MULTILINE)
OWN_BOARD = re.findall(r"^```toml\n(.*?)^```", README, re.DOTALL | re.MULTILINE)[0]


def own_spreadsheet() -> bytes:
    """A workbook of a user's own, with two MOSFETs."""
    book = openpyxl.Workbook()
    book.active.title = "MOSFETs"
    for row in (["Part no.", "Maker", "VDS max (V)"], ["BRENN-40A", "Brennan", 40], ["BRENN-60A", "Brennan", 60]):
        book.active.append(row)
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


@pytest.mark.parametrize(("command", "shown"), BLOCKS, ids=[command for command, _ in BLOCKS])
def test_the_readme_and_the_guide_show_real_output(
    command: str, shown: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from tests.command import run, run_apart

    boards = ROOT / "catalog_samples"
    sample = (boards / "bottling-bench.toml").read_text(encoding="utf-8")
    shutil.copytree(boards, tmp_path / "valves")
    valves = tmp_path / "valves" / "valves.toml"
    valves.write_text(sample, encoding="utf-8")
    (tmp_path / "my-fets.xlsx").write_bytes(own_spreadsheet())
    (tmp_path / "catalog_samples").symlink_to(boards)
    (tmp_path / "valve.toml").write_text(OWN_BOARD, encoding="utf-8")
    own = {name: str(tmp_path / name) for name in ("my-fets.xlsx", "valve.toml")}
    copies = {**own, "valves.toml": str(valves)}
    monkeypatch.delenv("PARTCHECK_CATALOG", raising=False)
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path / "home")
    monkeypatch.chdir(ROOT)

    def said(line: str) -> list[str]:
        words = [copies.get(word, word) for word in shlex.split(line)[1:]]
        if words[0] in ("limits", "vet"):  # they sweep: the memory goes with a process of their own
            return run_apart(*words, cwd=ROOT).out.splitlines()
        return run(monkeypatch, capsys, *words).out.splitlines()

    if command.startswith(("partcheck catalog find", "partcheck catalog review")):
        said("partcheck catalog import catalog_samples")
    if command.startswith("partcheck records"):
        said(next(before for before, _ in BLOCKS if before.startswith("partcheck accept")))
        before, _, after = sample.partition("[load.FV2]")
        valves.write_text(f"{before}[load.FV2]{after.replace('36 Ω', '24 Ω', 1)}", encoding="utf-8")
    out = said(command)
    place = 0
    for line in shown.splitlines():
        if line != "...":
            assert line in out[place:], line
            place = out.index(line, place) + 1


def test_a_board_of_ones_own_is_short() -> None:
    assert len(OWN_BOARD.strip().splitlines()) <= 30


def test_the_readme_shows_each_question() -> None:
    assert len(BLOCKS) >= 4
