"""What is piped in is read as a file is, up to the size that a file may have, and once."""

import contextlib
import io
import os
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from partcheck.board import read_board
from partcheck.errors import PartcheckError
from partcheck.parts.mapping import read_mapping
from partcheck.parts.read import collect_parts
from partcheck.policy import find_policy
from tests.command import run
from tests.project.test_bad_input import BOARD_TEXT as BOARD

Piped = Callable[[bytes], Path]
MAPPING = b'format = 1\n[sheet.x]\nholds = "mosfet"\n'
POLICY = b'name = "mine"\nsource = "a note"\nbase = "bench"\n'
CSV = b"kind,part_number,maker,vds_max\nmosfet,X1,Acme,30 V\n"
JSON = b' [{"kind": "mosfet", "part_number": "X2", "maker": "Acme", "vds_max": "30 V"}]'


@pytest.fixture
def piped() -> Iterator[Piped]:
    """Names of pipes into which somebody writes a text, for as long as anybody reads."""
    writers: list[threading.Thread] = []
    ends: list[int] = []

    def write(end: int, text: bytes) -> None:
        with contextlib.suppress(BrokenPipeError), os.fdopen(end, "wb") as out:
            out.write(text)

    def made(text: bytes) -> Path:
        reads, writes = os.pipe()
        ends.append(reads)
        writers.append(threading.Thread(target=write, args=(writes, text)))
        writers[-1].start()
        return Path(f"/dev/fd/{reads}")

    yield made
    for end in ends:
        os.close(end)
    for writer in writers:
        writer.join()


def test_each_sort_of_file_is_read_from_a_pipe(piped: Piped) -> None:
    assert read_board(piped(BOARD.encode())).text == BOARD
    assert find_policy(str(piped(POLICY))).name == "mine"
    assert read_mapping(piped(MAPPING)).sheets["x"].holds == "mosfet"
    assert [part.part_number for part in collect_parts(piped(CSV))[0]] == ["X1"]
    assert [part.part_number for part in collect_parts(piped(JSON))[0]] == ["X2"]


@pytest.mark.apart
@pytest.mark.parametrize(
    ("read", "limit"),
    [(read_board, 2), (lambda path: find_policy(str(path)), 1), (read_mapping, 50), (collect_parts, 50)],
)
def test_a_pipe_that_gives_too_much_is_left_at_the_limit(
    piped: Piped, read: Callable[[Path], object], limit: int
) -> None:
    with pytest.raises(PartcheckError, match=f"gives more than {limit} MB"):
        read(piped(b"# and so on\n" * 6_000_000))


def test_what_a_piped_board_names_is_in_the_current_folder(
    piped: Piped, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("parts.json").write_bytes(JSON)
    board = BOARD.replace("format = 1", 'format = 1\nparts = ["parts.json"]', 1)
    ran = run(monkeypatch, capsys, "swap", piped(board.encode()), "Q1", "--html", "answer.html")
    assert "X2" in ran.out
    assert "X2" in Path("answer.html").read_text(encoding="utf-8")
    ran = run(monkeypatch, capsys, "check", piped(board.encode()), "--html", "parts.json", "--force")
    assert "parts.json is one of the files that are read here" in ran.err


def test_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"")))
    assert "standard input is empty" in run(monkeypatch, capsys, "board", "check", "-").err
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(BOARD.encode())))
    assert run(monkeypatch, capsys, "board", "check", "-").code == 0
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    assert "nothing is piped into standard input" in run(monkeypatch, capsys, "board", "check", "-").err


def test_what_would_change_or_watch_a_file_wants_one(
    piped: Piped, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    board = piped(BOARD.encode())
    ran = run(monkeypatch, capsys, "board", "add", "channel", board, "--like", "K1", "--in-place")
    assert "is a pipe, which cannot be changed in place" in ran.err
    (tmp_path / "parts.json").write_bytes(JSON)
    monkeypatch.setenv("PARTCHECK_CATALOG", str(tmp_path / "c.db"))
    words = ["accept", board, "Q1", "X2", "--parts", tmp_path / "parts.json"]
    assert "this board is piped in" in run(monkeypatch, capsys, *words).err
    assert not (tmp_path / "c.db").exists()


def test_a_pipe_in_a_folder_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "mosfet.json")
    with pytest.raises(PartcheckError, match="is not an ordinary file"):
        collect_parts(tmp_path)
