"""The answers on the sample scenario: text, JSON, CSV and objects say the same, and fit a screen."""

import csv
import io
import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from partcheck.api import open_board
from partcheck.board import board_schema
from partcheck.parts.schema import parts_schema
from partcheck.report.schema import answers_schema
from tests.command import BOARD, SAMPLES, Ran, run, run_once
from tests.schemas import follows_the_schema

Runner = Callable[..., Ran]


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run_once(monkeypatch, capsys, *words)


EACH = [
    ["check", BOARD],
    ["swap", BOARD, "Q2"],
    ["explain", BOARD, "Q2"],
    ["vet", BOARD, "FV2"],
    ["vet", BOARD, "FV2", "--voltage", "15 V"],
]


@pytest.mark.parametrize("words", EACH, ids=lambda w: w[0])
def test_json_follows_the_published_schema(command: Runner, words: list[Any]) -> None:
    ran = command(*words, "--json")
    answer = json.loads(ran.out, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))
    follows_the_schema(answer)
    assert answer["job"] == words[0]


@pytest.mark.parametrize("made", [board_schema, parts_schema, answers_schema])
def test_the_schemas_are_schemas(made: Callable[[], dict[str, Any]]) -> None:
    jsonschema.Draft202012Validator.check_schema(made())


def test_the_sample_board_and_parts_follow_their_schemas() -> None:
    import tomllib

    from partcheck.parts import read_parts
    from partcheck.parts.documents import to_document

    jsonschema.validate(tomllib.loads(BOARD.read_text(encoding="utf-8")), board_schema())
    jsonschema.validate(json.loads(to_document(read_parts(SAMPLES))), parts_schema())


@pytest.mark.parametrize("ref", ["Q2", "D1", "U1", "J1"])
def test_every_line_fits_80_columns(command: Runner, ref: str) -> None:
    for words in (["swap", BOARD, ref], ["explain", BOARD, ref], ["check", BOARD], ["vet", BOARD, "FV2"]):
        for line in command(*words).out.splitlines():
            assert len(line) <= 80, line


def test_without_colour_and_without_control_characters(command: Runner) -> None:
    out = command("swap", BOARD, "Q2").out
    assert not [c for c in out if ord(c) < 32 and c != "\n"]


def test_exit_codes_tell_the_verdict(command: Runner) -> None:
    codes = {"meets": 0, "tight": 0, "unproven": 3, "fails": 1}
    for words in EACH:
        ran = command(*words, "--json")
        assert ran.code == codes[json.loads(ran.out)["verdict"]]


def test_text_json_csv_and_objects_agree(command: Runner) -> None:
    answer = json.loads(command("swap", BOARD, "Q2", "--json").out)
    rows = list(csv.DictReader(io.StringIO(command("swap", BOARD, "Q2", "--csv").out)))
    found = open_board(BOARD).swap("Q2")
    table = found.table()
    names = [c["part_number"] for c in answer["candidates"]]
    assert names
    assert [row["part_number"] for row in rows] == names == list(table["part_number"])
    assert [row["verdict"] for row in rows] == [c["verdict"] for c in answer["candidates"]] == list(table["verdict"])
    text = command("swap", BOARD, "Q2").out
    places = [text.index(f"  {i}  {name}") for i, name in enumerate(names, 1)]
    assert places == sorted(places)


def test_a_swap_never_offers_the_fitted_part_nor_one_that_fails(command: Runner) -> None:
    for ref in ("Q2", "D1", "U1", "J1"):
        answer = json.loads(command("swap", BOARD, ref, "--json", "--most", "40").out)
        fitted = answer["fitted"]["part_number"]
        for candidate in answer["candidates"]:
            assert candidate["part_number"] != fitted
            assert candidate["verdict"] != "fails"
            for requirement in candidate["place"]["requirements"]:
                assert requirement["verdict"] != "fails" or not requirement["counts"]


def test_every_explained_number_has_a_unit_and_an_origin(command: Runner) -> None:
    place = json.loads(command("explain", BOARD, "Q2", "--json").out)["place"]
    assert place["requirements"]
    for requirement in place["requirements"]:
        assert requirement["source"]
        assert requirement["claim"]
        for name, value in requirement["values"].items():
            assert value["of"] in ("part", "board", "made")
            if value["of"] == "made":
                assert value["formula"], name


def test_headroom_in_json_is_that_of_demand_and_capability(command: Runner) -> None:
    answer = json.loads(command("check", BOARD, "--json").out)
    seen = 0
    for place in [*answer["places"], *answer["links"]]:
        for r in place["requirements"]:
            if r["headroom"] is not None and r["unit"] != "°C":
                assert r["headroom"] == pytest.approx(1 - r["demand"] / r["capability"], abs=1e-9)
                assert (r["demand"] <= r["capability"]) == (r["verdict"] in ("meets", "tight"))
                seen += 1
    assert seen > 50


def test_the_swap_of_an_out_of_stock_part_is_answered(command: Runner) -> None:
    ran = command("swap", BOARD, "Q2")
    assert ran.code == 0
    for words in ("Stand-ins, best first", "Why the rest fail", "Nearest misses", "Cautions", "out-of-stock"):
        assert words in ran.out


def test_cautions_close_with_deference_to_rules_and_licensed_practice(command: Runner) -> None:
    for words in EACH:
        assert "licensed practice" in " ".join(command(*words).out.split())


def test_tables_for_a_notebook() -> None:
    board = open_board(BOARD, parts=[SAMPLES])
    checked = board.check().table()
    assert {"place", "requirement", "verdict", "demand", "capability", "headroom"} <= set(checked.columns)
    explained = board.explain("Q2").table()
    assert set(explained["place"]) == {"Q2"}
    assert not math.isnan(explained["capability"].dropna().iloc[0])


def test_a_catalog_answers_as_the_files_do(
    command: Runner, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert run(monkeypatch, capsys, "catalog", "import", SAMPLES, "--catalog", tmp_path / "c.sqlite").code == 0
    for ref in ("Q2", "D1", "U1"):
        from_files = json.loads(command("swap", BOARD, ref, "--json").out)
        from_catalog = json.loads(command("swap", BOARD, ref, "--json", "--catalog", tmp_path / "c.sqlite").out)
        for answer in (from_files, from_catalog):
            del answer["parts"]
        assert from_files == from_catalog
