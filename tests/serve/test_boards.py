"""The pages of boards: the same findings as the command line, and nothing that a page here may not have."""

import json
import re
from pathlib import Path

from fastapi.testclient import TestClient

from partcheck.jobs.check.board import check
from partcheck.jobs.judge.setup import open_setup
from partcheck.report.answers.check.record import record
from partcheck.report.record import to_text
from partcheck.serve.bench import Bench
from tests.serve.conftest import FILE, SAMPLES, SMALL, VALVES, bench_of, client_of


def test_a_board_is_shown_with_its_places_worst_first(client: TestClient) -> None:
    page = client.get("/board", params={"file": FILE}).text
    places = re.findall(r'<th scope="row"><a href="/place\?file=bottling-bench.toml&amp;place=(\w+)">', page)
    assert places[0] == "D3" and {"Q1", "Q9", "D16", "J1", "U1"} <= set(places)
    assert page.count("<svg") >= 5
    assert " style=" not in page and "<style" not in page and "onclick" not in page


def test_the_record_is_that_of_the_command(client: TestClient, folder: Path) -> None:
    told = client.get("/api/check", params={"file": FILE}).json()
    known = record(check(open_setup(folder / FILE, [SAMPLES])))
    assert told == json.loads(to_text(known))


def test_an_answer_is_kept_in_every_form(client: TestClient) -> None:
    heads = {"html": "<!DOCTYPE html>", "markdown": "# Board two valves", "csv": "place,part", "json": "{"}
    for form, head in heads.items():
        answer = client.get("/board", params={"file": SMALL, "as": form})
        assert answer.text.startswith(head), form
        assert answer.headers["content-disposition"].startswith('attachment; filename="valves-check.')


def test_what_was_worked_out_is_kept_until_a_file_changes(bench: Bench, folder: Path) -> None:
    with bench.boards.board(SMALL) as first:
        pass
    with bench.boards.board(SMALL) as second:
        assert second is first
    path = folder / SMALL
    path.write_text(path.read_text("utf-8") + "\n# later\n", "utf-8")
    with bench.boards.board(SMALL) as third:
        assert third is not first


def test_names_from_outside_are_harmless(tmp_path: Path) -> None:
    evil = "<script>alert(1)</script>"
    text = VALVES.replace('name = "two valves"', f"name = '{evil}\" onload=x'")
    name = "x' onclick=alert(1) &amp;.toml"
    (tmp_path / name).write_text(text, "utf-8")
    client = client_of(bench_of(tmp_path))
    for path in ("/", f"/board?file={name.replace('&', '%26')}"):
        page = client.get(path).text
        assert evil not in page and name not in page
        assert not re.search(r"<[^>]*\sonclick", page)
    assert "&lt;script&gt;" in page


def test_a_board_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    (tmp_path / "broken.toml").write_text("[role.Q1\n")
    client = client_of(bench_of(tmp_path))
    assert "broken.toml" in client.get("/").text
    page = client.get("/board?file=broken.toml")
    assert page.status_code == 400 and "line 1" in page.text
    assert "line 1" in client.get("/api/check?file=broken.toml").json()["error"]
    assert client.get("/api/check?file=../x.toml").status_code == 404
