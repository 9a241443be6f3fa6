"""Long work: it tells what it does, comes to the answer of the command, and ends when nobody waits for it."""

from collections.abc import Iterator
from pathlib import Path

import anyio
import pytest
from fastapi.testclient import TestClient

from partcheck.errors import PartcheckError
from partcheck.serve.application import application
from partcheck.serve.bench import Bench
from partcheck.serve.long import LongWork
from partcheck.serve.worker import Finished
from tests.serve.conftest import SMALL, VALVES, bench_of, client_of


@pytest.fixture(scope="module")
def working(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    folder = tmp_path_factory.mktemp("working")
    (folder / SMALL).write_text(VALVES, "utf-8")
    made = bench_of(folder)
    application(made)
    yield made
    made.workers.end()


@pytest.fixture(scope="module")
def at_work(working: Bench) -> TestClient:
    return client_of(working)


def test_a_page_comes_with_what_is_done_and_then_the_answer(at_work: TestClient) -> None:
    page = at_work.get("/plan", params={"file": SMALL}).text
    head, _, answer = page.partition('<div class="come"')
    assert head.count('class="doing"') >= 1 and "</html>" not in head
    assert "nothing has to change" in answer.lower() and answer.rstrip().endswith("</html>")
    assert " style=" not in page


def test_the_rating_sheet_is_kept_in_every_form(at_work: TestClient) -> None:
    record = at_work.get("/api/limits", params={"file": SMALL, "load": "FV1"}).json()
    assert record["job"] == "limits" and record["channels"][0]["load"] == "FV1"
    for form, head in {"markdown": "# Limits of FV1", "csv": "", "json": "{"}.items():
        answer = at_work.get("/limits", params={"file": SMALL, "load": "FV1", "as": form})
        assert answer.status_code == 200 and answer.text.startswith(head), form


def test_all_boards_are_looked_at(at_work: TestClient) -> None:
    assert "Look at all boards" in at_work.get("/fleet").text
    record = at_work.get("/api/fleet", params={"gone": "TALQ-30N52"}).json()
    assert [place["reference"] for place in record["touched"]] == ["Q1", "Q2"] and record["boards"] == 1


def test_what_cannot_be_done_is_told_where_the_answer_would_stand(at_work: TestClient) -> None:
    page = at_work.get("/plan", params={"file": SMALL, "load": "FV9", "voltage": "15 V"}).text
    assert 'role="alert"' in page and "FV9" in page and page.rstrip().endswith("</html>")
    told = at_work.get("/api/plan", params={"file": SMALL, "load": "FV9"})
    assert told.status_code == 400 and "FV9" in told.json()["error"]


def test_work_that_nobody_waits_for_is_ended(working: Bench) -> None:
    async def leave() -> None:
        doing = working.workers.do(LongWork("limits", SMALL), None)
        async for _ in doing:
            break
        process = next(iter(working.workers.busy)).process
        await doing.aclose()  # type: ignore[attr-defined]
        assert not process.is_alive() and not working.workers.busy

    anyio.run(leave)


def test_a_process_that_is_killed_is_told_and_replaced(working: Bench) -> None:
    async def killed() -> None:
        async for _ in working.workers.do(LongWork("limits", SMALL), None):
            for worker in working.workers.busy:
                worker.process.kill()

    async def lose() -> None:
        with pytest.raises(PartcheckError, match="stopped from outside"):
            await killed()
        found = [step async for step in working.workers.do(LongWork("check", SMALL), "json")]
        assert isinstance(found[-1], Finished)

    anyio.run(lose)


def test_nothing_is_left_when_the_server_ends(tmp_path: Path) -> None:
    (tmp_path / SMALL).write_text(VALVES, "utf-8")
    bench = bench_of(tmp_path)
    with client_of(bench) as client:
        client.get("/api/plan", params={"file": SMALL})
    processes = [worker.process for worker in bench.workers.idle]
    bench.workers.end()
    assert processes and not any(process.is_alive() for process in processes)
