"""A board by questions in a browser: the same file as the command writes, in the folder, and never over another."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from partcheck.board import read_board
from partcheck.jobs.boards.dialog import made
from partcheck.jobs.boards.templates import TEMPLATES
from partcheck.serve.routes.new_board import HEAD
from tests.serve.conftest import bench_of, client_of
from tests.serve.forms import form_of, sent, words_of

NEW = "/board/new"
ANSWERS = {
    "q__board__name": "filling line", "q__supply__1__voltage": "12 V ±5 %", "q__channel__1__load": "FV1",
}  # fmt: skip
VALVE = {
    "q__channel__1__sort": "valve", "q__channel__1__resistance": "36 Ω ±8 %", "q__channel__1__inductance": "60 mH",
    "q__channel__1__count": "3",
}  # fmt: skip


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("boards") / "served"


@pytest.fixture(scope="module")
def browser_of_it(served: Path) -> Iterator[TestClient]:
    served.mkdir()
    with client_of(bench_of(served)) as known:
        yield known


@pytest.fixture
def client(browser_of_it: TestClient, served: Path) -> TestClient:
    """A server of an empty folder."""
    for path in served.iterdir():
        path.unlink()
    return browser_of_it


def test_a_board_by_questions(client: TestClient, served: Path) -> None:
    page = client.get(NEW).text
    assert "q.channel.1.sort" not in form_of(page, NEW)
    page = sent(client, page, NEW, **ANSWERS).text
    assert "is missing; state one" not in page  # a question that was not shown yet is not complained about
    page = sent(client, page, NEW).text
    assert "resistance or current is missing; state one of them" in words_of(page)
    page = sent(client, page, NEW, **VALVE).text
    fields = form_of(page, NEW)
    assert "q.channel.2.load" in fields and "resistance = &#34;36 Ω ±8 %&#34;" in page
    done = sent(client, page, NEW, do="write", file="line")
    assert done.status_code == 200 and done.url.params["file"] == "line.toml"
    text = (served / "line.toml").read_text("utf-8")
    answers = {name.removeprefix("q."): value for name, value in fields.items() if name.startswith("q.")}
    assert text == made(answers).text(HEAD)
    assert list(read_board(served / "line.toml").board.load) == ["FV1", "FV2", "FV3"]
    again = sent(client, page, NEW, do="write", file="line.toml")
    assert again.status_code == 400 and "already exists" in again.text
    assert [path.name for path in served.iterdir()] == ["line.toml"]


def test_a_wrong_answer_is_told_beside_its_field(client: TestClient) -> None:
    page = sent(client, client.get(NEW).text, NEW, q__supply__1__voltage="12 A")
    assert page.status_code == 400 and form_of(page.text, NEW)["q.supply.1.voltage"] == "12 A"
    assert 'aria-invalid="true"' in page.text and "belongs to a current" in words_of(page.text)


def test_an_emptied_channel_goes_and_the_next_moves_up(client: TestClient) -> None:
    page = sent(client, client.get(NEW).text, NEW, **ANSWERS).text
    page = sent(client, page, NEW, q__channel__1__resistance="10 Ω", q__channel__2__load="HEATER").text
    page = sent(client, page, NEW, q__channel__2__resistance="20 Ω", q__channel__1__load="").text
    fields = form_of(page, NEW)
    assert (fields["q.channel.1.load"], fields["q.channel.1.resistance"]) == ("HEATER", "20 Ω")
    assert fields["q.channel.2.load"] == "" and "q.channel.2.resistance" not in fields


@pytest.mark.parametrize("like", TEMPLATES)
def test_a_board_from_an_example(client: TestClient, served: Path, like: str) -> None:
    page = client.get(NEW, params={"like": like})
    assert sent(client, page.text, NEW, False, do="write", file="made.toml", name="mine").status_code == 303
    assert read_board(served / "made.toml").board.name == "mine"


@pytest.mark.parametrize(
    "file", ["../out.toml", "/tmp/out.toml", ".hidden.toml", "a/b.toml", "", "x\0.toml", "n" * 500]
)
def test_it_is_written_nowhere_but_in_the_folder(client: TestClient, served: Path, file: str) -> None:
    page = client.get(NEW, params={"like": "npn-channel"}).text
    told = sent(client, page, NEW, do="write", file=file)
    assert told.status_code == 400 and 'role="alert"' in told.text
    assert not list(served.iterdir()) and not (served.parent / "out.toml").exists()


@pytest.mark.parametrize("parts", ["/etc", "../elsewhere", "..\\elsewhere"])
def test_parts_beside_the_folder_are_refused(client: TestClient, served: Path, parts: str) -> None:
    page = sent(client, client.get(NEW).text, NEW, **ANSWERS).text
    page = sent(client, page, NEW, **VALVE, q__board__parts=parts, do="write", file="x.toml")
    assert page.status_code == 400 and "outside the folder" in words_of(page.text) and not list(served.iterdir())


def test_markup_in_answers_is_harmless(client: TestClient) -> None:
    evil = '"><script>alert(1)</script>'
    page = sent(client, client.get(NEW).text, NEW, **(ANSWERS | {"q__board__name": evil, "q__channel__1__load": evil}))
    assert "<script>alert" not in page.text


def test_read_only_asks_and_writes_nothing(tmp_path: Path) -> None:
    client = client_of(bench_of(tmp_path, read_only=True))
    assert "Write the board" not in client.get(NEW).text
    assert client.post(NEW, data={"do": "write", "file": "x.toml", "like": "npn-channel"}).status_code == 403
    assert not list(tmp_path.iterdir())
