"""A place with its stand-ins, a part there, the board with it fitted, and what is accepted: all as the command line has it."""

import json
import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from partcheck.catalog import open_catalog
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.swap.swap import swap
from partcheck.report.answers.swap.record import record
from partcheck.report.record import to_text
from partcheck.serve.bench import Bench
from tests.serve.conftest import SAMPLES, SMALL, bench_of, client_of

PART = "Morrowby:MOBY-F60-70"


def test_the_stand_ins_are_those_of_the_command_in_its_order(client: TestClient, folder: Path) -> None:
    page = client.get("/place", params={"file": SMALL, "place": "q2"}).text
    ranked = re.findall(r'href="/part\?file=valves.toml&amp;place=Q2&amp;part=[\w+]+%3A([\w-]+)">', page)
    told = client.get("/api/swap", params={"file": SMALL, "place": "Q2"}).json()
    known = record(swap(open_setup(folder / SMALL, [SAMPLES]), "Q2"))
    assert told == json.loads(to_text(known))
    assert ranked == [each["part_number"] for each in told["candidates"]] and ranked[0] == "MOBY-F60-70"


def test_a_part_is_explained_with_what_it_does_to_the_board(client: TestClient) -> None:
    page = client.get("/part", params={"file": SMALL, "place": "Q2", "part": PART}).text
    assert "fits as drawn" in page and "stays-off" in page and "Fit it and see the board after" in page
    refused = client.get("/part", params={"file": SMALL, "place": "Q2", "part": "HOLL-3A60"})
    assert refused.status_code == 400 and "takes a mosfet" in refused.text.lower()


def test_a_board_is_shown_with_other_parts_and_its_file_stays(client: TestClient, folder: Path) -> None:
    before = (folder / SMALL).read_bytes()
    asked = {"file": SMALL, "fit": f"Q2={PART}"}
    page = client.get("/board", params=asked).text
    places = dict(re.findall(r'data-place="(\w+)".*?<bdi>([\w-]+)</bdi></td>', page))
    assert places["Q2"] == "MOBY-F60-70" and places["Q1"] == "TALQ-30N52"
    assert "take back" in page and "before and after" in page
    told = client.get("/api/check", params=asked).json()
    assert [p["part_number"] for p in told["places"] if p["reference"] == "Q2"] == ["MOBY-F60-70"]
    assert (folder / SMALL).read_bytes() == before


@pytest.mark.parametrize("fit", ["Q2", "=x", "Q2=", "ZZ9=MOBY-F60-70", "Q2=NOTHING", "Q2=HOLL-3A60"])
def test_a_fit_that_is_none_is_told(client: TestClient, fit: str) -> None:
    answer = client.get("/board", params={"file": SMALL, "fit": fit})
    assert answer.status_code == 400 and 'role="alert"' in answer.text


def test_a_resistor_without_the_part_it_comes_with_is_told(client: TestClient) -> None:
    answer = client.get("/board", params={"file": SMALL, "resistor": "Q2=1 kΩ"})
    assert answer.status_code == 400 and "none is fitted as Q2" in answer.text


@pytest.fixture
def deciding(folder: Path, tmp_path: Path) -> Bench:
    open_catalog(tmp_path / "own.sqlite", create=True).close()
    return bench_of(folder, catalog=str(tmp_path / "own.sqlite"))


def test_what_is_accepted_is_written_down_once_as_the_command_does(deciding: Bench) -> None:
    client = client_of(deciding)
    form = {
        "form_token": deciding.keys.form,
        "file": SMALL,
        "place": "Q2",
        "part": PART,
        "by": "Jo",
        "note": "in stock",
    }
    for wrong in ({}, {"form_token": "x"}, {"form_token": ""}):
        refused = client.post("/accept", data={**form, "form_token": "", **wrong})
        assert refused.status_code == 403
    answer = client.post("/accept", data=form)
    assert answer.url.query == b"file=valves.toml&number=1"
    assert "MOBY-F60-70" in answer.text and "Jo" in answer.text and "in stock" in answer.text
    found = client.get("/api/records", params={"file": SMALL}).json()
    assert [each["accepted"]["reference"] for each in found["records"]] == ["Q2"]


def test_a_part_that_fails_is_accepted_only_where_that_is_meant(deciding: Bench) -> None:
    client = client_of(deciding)
    form = {"form_token": deciding.keys.form, "file": SMALL, "place": "Q2", "part": "ARFJ-F55T", "by": "Jo"}
    assert client.post("/accept", data=form).status_code == 400
    assert client.post("/accept", data={**form, "although_it_fails": "yes"}).status_code == 400
    meant = client.post("/accept", data={**form, "although_it_fails": "yes", "note": "on the bench alone"})
    assert meant.status_code == 200 and "fails" in meant.text.lower()


def test_nothing_is_accepted_where_only_reading_is_allowed(folder: Path, tmp_path: Path) -> None:
    open_catalog(tmp_path / "own.sqlite", create=True).close()
    bench = bench_of(folder, read_only=True, catalog=str(tmp_path / "own.sqlite"))
    client = client_of(bench)
    assert "<form" not in client.get("/part", params={"file": SMALL, "place": "Q2", "part": PART}).text
    form = {"form_token": bench.keys.form, "file": SMALL, "place": "Q2", "part": PART, "by": "Jo"}
    assert client.post("/accept", data=form).status_code == 403
    assert client.get("/api/records", params={"file": SMALL}).status_code in (200, 400)
    with open_catalog(tmp_path / "own.sqlite") as catalog:
        assert catalog.accepted() == []
