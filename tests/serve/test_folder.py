"""Only boards inside the served folder: no way up, no link out, no parts from beside it."""

from pathlib import Path

import pytest

from partcheck.board import read_board
from partcheck.errors import BoardError
from partcheck.serve.folder import Folder, NoSuchBoard
from tests.serve.conftest import SAMPLES

BOARD = '[role.Q1]\nrole = "npn-sink"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    root = tmp_path / "served"
    (root / "deep").mkdir(parents=True)
    (root / ".hidden").mkdir()
    (tmp_path / "outside.toml").write_text(BOARD)
    for name in ("a.toml", "deep/b.toml", ".hidden/c.toml", ".d.toml", "e.txt"):
        (root / name).write_text(BOARD)
    (root / "other.toml").write_text("[tool]\n")
    (root / "link.toml").symlink_to(tmp_path / "outside.toml")
    (root / "out").symlink_to(tmp_path, target_is_directory=True)
    (root / "inner.toml").symlink_to(root / "a.toml")
    return Folder(root.resolve())


def test_the_boards_of_a_folder_are_listed(folder: Folder) -> None:
    assert folder.boards() == ["a.toml", "inner.toml", "deep/b.toml"]


def test_a_board_is_found_by_its_path_in_it(folder: Folder) -> None:
    assert folder.board("deep/b.toml").read_text() == BOARD


@pytest.mark.parametrize(
    "name",
    ["../outside.toml", "deep/../../outside.toml", "/etc/passwd", "//x.toml", "out/outside.toml", "link.toml", "", ".",
     "a.toml\0.toml", "deep\\..\\..\\outside.toml", ".hidden/c.toml", "C:/a.toml", "e.txt", "missing.toml", "deep",
     "x" * 500 + ".toml", "~/a.toml", "%2e%2e/outside.toml"],
)  # fmt: skip
def test_nothing_beside_it_is_found(folder: Folder, name: str) -> None:
    with pytest.raises(NoSuchBoard):
        folder.board(name)


def test_parts_from_beside_it_are_refused(folder: Folder) -> None:
    text = (SAMPLES / "bottling-bench.toml").read_text("utf-8")
    path = folder.root / "parts.toml"
    path.write_text(text.replace('parts = ["."]', 'parts = ["../"]'), "utf-8")
    with pytest.raises(BoardError, match="outside the folder"):
        folder.refuse_outside(read_board(path))
    path.write_text(text, "utf-8")
    folder.refuse_outside(read_board(path))
