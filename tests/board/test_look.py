"""A board file looked at without parts: what it lists, what it leaves out, the paths of current that it draws."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from partcheck.board.names import short
from tests.command import BOARD, SAMPLES, Ran, run
from tests.project.test_bad_input import BOARD_TEXT
from tests.schemas import follows_the_schema

Runner = Callable[..., Ran]
SIXTEEN = SAMPLES / "sixteen-valves.toml"


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Runner:
    monkeypatch.setenv("PARTCHECK_CATALOG", str(tmp_path / "none.sqlite"))
    return lambda *words: run(monkeypatch, capsys, *words)


def written(folder: Path, *changes: tuple[str, str]) -> Path:
    text = BOARD_TEXT
    for before, after in changes:
        assert text.count(before) == 1
        text = text.replace(before, after)
    path = folder / "board.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("which", ["list", "check", "look"])
@pytest.mark.parametrize("board", [BOARD, SIXTEEN], ids=lambda path: path.stem)
def test_three_forms_of_every_answer(command: Runner, tmp_path: Path, which: str, board: Path) -> None:
    ran = command("board", which, board)
    assert ran.code == 0 and all(len(row) <= 80 for row in ran.out.splitlines()), ran
    record = json.loads(command("board", which, board, "--json").out)
    follows_the_schema(record)
    assert record["job"] == f"board {which}"
    page, log = tmp_path / "a.html", tmp_path / "a.md"
    assert command("board", which, board, "--html", page, "--markdown", log).code == 0
    finding = ran.out.splitlines()[0].rstrip(".")[:40]
    assert finding in page.read_text(encoding="utf-8") and finding in log.read_text(encoding="utf-8")


def test_a_list_counts_what_is_alike(command: Runner) -> None:
    rows = list(csv.reader(io.StringIO(command("board", "list", SIXTEEN, "--csv").out)))
    assert rows[0] == ["references", "role", "part", "value", "quantity"]
    found = {(row[1], row[2] or row[3]): (row[0], row[4]) for row in rows[1:]}
    switches = ", ".join(f"Q{n}" for n in range(1, 17))
    assert found["MOSFET", "TALQ-30N52"] == (switches, "16")
    assert found["gate resistor", "470 Ω ±5 %"] == (switches, "16")
    assert found["LED", "HOLL-3A60"][1] == "16"
    assert "Q1..Q16" in command("board", "list", SIXTEEN).out


def test_leds_in_series_count_each(command: Runner, tmp_path: Path) -> None:
    led = '[role.D9]\nrole = "indicator"\nrail = "V12"\nresistor = "1 kΩ ±5 %"\nin_series = 3\nfitted = "L"\n[[part]]'
    record = json.loads(command("board", "list", written(tmp_path, ("[[part]]", led)), "--json").out)
    counts = {(item["role"], item["part"]): item["quantity"] for item in record["items"]}
    assert counts["LED", "L"] == 3 and counts["LED resistor", ""] == 1


def test_what_is_left_out_is_named_with_its_key_and_place(command: Runner, tmp_path: Path) -> None:
    board = written(
        tmp_path,
        ('inductance = "80 mH ±20 %"\n', ""),
        ("[[part]]", '[role.D1]\nrole = "clamp"\nload = "valve"\n[drive.d2]\nhigh = "5 V"\nlow = "0 V"\nhigh_at = "1 mA"\n[[part]]'),
    )  # fmt: skip
    ran = command("board", "check", board)
    assert ran.code == 3
    assert "load.valve.inductance" in ran.out and "No part is stated for D1" in ran.out
    assert "nothing is connected to the drive d2" in ran.out
    record = json.loads(command("board", "check", board, "--json").out)
    assert record["complete"] is False and record["without_part"] == ["D1"] and record["idle_drives"] == ["d2"]
    assert {"key": "load.valve.inductance", "places": ["D1"]}.items() <= {
        key: value for key, value in record["left_out"][0].items() if key != "meaning"
    }.items()


def test_what_a_check_names_is_what_the_judgement_lacks(command: Runner, tmp_path: Path) -> None:
    """Stating it, as the check says, leaves nothing of the board missing."""
    assert command("board", "check", written(tmp_path)).code == 0
    ran = command("board", "check", written(tmp_path, ('rate = "2 /s"\n', ""), ("[[part]]", '[role.D1]\nrole = "clamp"\nload = "valve"\nfitted = "D"\n[[part]]')))  # fmt: skip
    assert ran.code == 3 and "load.valve.rate" in ran.out


def test_a_slip_is_told_with_its_line(command: Runner, tmp_path: Path) -> None:
    board = written(tmp_path, ('rail = "V12"', 'rail = "V13"'))
    ran = command("board", "check", board)
    assert ran.code == 2 and "board.toml:14: load.valve.rail: there is no rail 'V13'" in ran.err


def test_the_path_of_a_load_in_order(command: Runner) -> None:
    record = json.loads(command("board", "look", BOARD, "--json").out)
    found = {made["load"]: made for made in record["channels"]}
    assert [(stop["stage"], stop["name"]) for stop in found["FV1"]["path"]] == [
        ("rail", "V12"), ("feed", ""), ("pole", "J1 pole 1"), ("pole", "J2 pole 1"), ("cable", ""), ("load", "FV1"),
        ("pole", "J2 pole 2"), ("switch", "Q1"), ("track", "valve_returns"), ("track", "common_return"), ("ground", ""),
        ("pole", "J1 poles 3, 4"),
    ]  # fmt: skip
    assert [stop["name"] for stop in found["FV1"]["clamps"]] == ["D1"]
    assert [stop["name"] for stop in found["FV1"]["lamps"]] == ["D11"]
    assert [stop["name"] for stop in found["FV1"]["driven_by"]] == ["VALVE1", "", ""]


def test_alike_channels_are_drawn_once(command: Runner) -> None:
    out = command("board", "look", SIXTEEN).out
    assert out.count("coil") == 2, "the last valve has a longer cable"
    assert "FV1..FV15" in out and "Q1..Q15" in out and "12 m" in out


def test_a_page_draws_and_a_screen_does_not_need_to(command: Runner, tmp_path: Path) -> None:
    page = tmp_path / "look.html"
    command("board", "look", SIXTEEN, "--html", page)
    text = page.read_text(encoding="utf-8")
    assert text.count("<svg") == 3 and "TALQ-30N52" in text and len(text) < 1_000_000


@pytest.mark.parametrize(("names", "said"), [
    (["Q1", "Q2", "Q3"], "Q1..Q3"),
    (["Q1", "Q2"], "Q1, Q2"),
    (["Q9", "Q10", "Q11", "Q13"], "Q9..Q11, Q13"),
    (["Q01", "Q02", "Q03"], "Q01..Q03"),
    (["a", "b", "Q1"], "a, b, Q1"),
    (["Q3", "Q2", "Q1"], "Q3, Q2, Q1"),
])  # fmt: skip
def test_names_in_a_row(names: list[str], said: str) -> None:
    assert short(names) == said
