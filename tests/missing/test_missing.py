"""What to look up for a board: what settles most first, with condition and size, and entered there and then."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.missing.missing import PAGES, missing
from partcheck.parameters.groups import GROUPS
from tests.command import BOARD, SAMPLES, Ran, run
from tests.schemas import follows_the_schema

Runner = Callable[..., Ran]
INCOMPLETE = """
format = 1
name = "incomplete"
surroundings = { ambient = "5..45 °C" }
rail.V12 = { voltage = "12 V ±5 %", current = "2 A" }
drive.OUT1 = { high = "4.8..5..5.2 V", low = "0..0.2 V", source_resistance = "20..60 Ω", pin_current = "20 mA" }
load.valve = { sort = "coil", rail = "V12", resistance = "36 Ω ±8 %", inductance = "60 mH ±20 %", rate = "1 /s" }
role.Q1 = { role = "mosfet-switch", fitted = "OWN-1", drive = "OUT1", load = "valve", gate_resistor = "470 Ω ±5 %" }
role.D1 = { role = "clamp", fitted = "ARFJ-S60A", load = "valve" }
role.D2 = { role = "indicator", fitted = "OWN-LED", rail = "V12", resistor = "2.7 kΩ ±5 %" }
"""
OWN = """
[[part]]
kind = "mosfet"
part_number = "OWN-1"
maker = "Own"
polarity = "N"
vds_max = "60 V"
vgs_max = "20 V"
[[part]]
kind = "led"
part_number = "OWN-LED"
maker = "Own"
"""


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run(monkeypatch, capsys, *words)


@pytest.fixture
def board(tmp_path: Path) -> Path:
    path = tmp_path / "incomplete.toml"
    path.write_text(INCOMPLETE + OWN, encoding="utf-8")
    return path


def test_every_group_of_values_has_its_page() -> None:
    assert {group.title for groups in GROUPS.values() for group in groups} == set(PAGES)


def test_what_settles_most_stands_first_and_every_open_requirement_is_named(board: Path) -> None:
    found = missing(open_setup(board, [SAMPLES]))
    ranks = [(len(gap.alone), len(gap.among)) for gap in found.gaps]
    assert ranks == sorted(ranks, reverse=True) and ranks[0][0] >= 1
    named = {name for gap in found.gaps for name in (*gap.alone, *gap.among)}
    judged = (*found.checked.places, *found.checked.links)
    unproven = {f"{j.ref} {f.id}" for j in judged for f in j.findings if f.verdict.word == "unproven"}
    assert named == unproven and found.open == len(unproven)
    assert len({(gap.ref, gap.name) for gap in found.gaps}) == len(found.gaps)
    threshold = next(gap for gap in found.gaps if gap.name == "vgs_th_max")
    assert (
        threshold.lookup is not None and threshold.lookup.side == "at most" and 2 < (threshold.lookup.value or 0) < 4.8
    )
    assert "electrical characteristics" in threshold.page


def test_a_value_looked_up_settles_what_it_was_said_to(board: Path) -> None:
    before = missing(open_setup(board, [SAMPLES]))
    gap = next(gap for gap in before.gaps if gap.name == "vgs_th_max")
    text = board.read_text("utf-8").replace('vgs_max = "20 V"', 'vgs_max = "20 V"\nvgs_th_max = "2 V"')
    board.write_text(text, "utf-8")
    after = missing(open_setup(board, [SAMPLES]))
    judged = {f"{j.ref} {f.id}": f.verdict.word for j in after.checked.places for f in j.findings}
    assert gap.alone and all(judged[name] in ("meets", "tight") for name in gap.alone)
    assert "vgs_th_max" not in [gap.name for gap in after.gaps]


def test_the_answer_follows_its_schema_and_the_exit_code_is_that_of_check(command: Runner, board: Path) -> None:
    ran = command("missing", board, "--parts", SAMPLES, "--json")
    answer = json.loads(ran.out)
    follows_the_schema(answer)
    assert ran.code == 3 and answer["unproven"] and answer["missing"][0]["settles"]
    told = command("missing", board, "--parts", SAMPLES)
    assert told.out.startswith(f"{answer['unproven']} requirements are not proved") and "usually under" in told.out


def test_a_whole_board_lacks_nothing(command: Runner) -> None:
    ran = command("missing", BOARD, "--parts", SAMPLES)
    assert ran.code == 0 and ran.out.startswith("Nothing is missing")


def test_fill_enters_the_values_of_parts_in_the_catalog(
    command: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    catalog, board, sheet = tmp_path / "c.sqlite", tmp_path / "b.toml", tmp_path / "led.csv"
    board.write_text(
        'format = 1\nname = "one"\nsurroundings = { ambient = "5..45 °C" }\nrail.V12 = { voltage = "12 V ±5 %" }\n'
        'role.D2 = { role = "indicator", fitted = "OWN-LED", rail = "V12", resistor = "2.7 kΩ ±5 %" }\n',
        encoding="utf-8",
    )
    sheet.write_text("part_number,maker\nOWN-LED,Own\n", encoding="utf-8")
    assert command("catalog", "import", sheet, "--catalog", catalog, "--yes").code == 0
    prompts: list[str] = []

    def typed(prompt: str = "") -> str:
        prompts.append(prompt)
        return "100 °C" if prompt.startswith("tj_max") else ""

    monkeypatch.setattr("builtins.input", typed)
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path / "home")
    ran = command("missing", board, "--catalog", catalog, "--fill")
    assert any(prompt.startswith("tj_max") for prompt in prompts), ran
    assert "tj_max" not in ran.out.partition("Look up, most useful first")[2]
    assert "100 °C" in command("catalog", "show", "OWN-LED", "--catalog", catalog).out


def test_fill_says_so_where_no_part_is_in_the_catalog(command: Runner, board: Path, tmp_path: Path) -> None:
    catalog = tmp_path / "c.sqlite"
    assert command("catalog", "import", SAMPLES / "terminal.csv", "--catalog", catalog, "--yes").code == 0
    ran = command("missing", board, "--parts", SAMPLES, "--catalog", catalog, "--fill")
    assert ran.code == 2 and "import or add them first" in ran.err
