"""Accepted substitutions: written down with all they rest on, and stale as soon as any of it changes."""

import csv
import io
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from partcheck.api import open_board, open_catalog
from partcheck.api import records as look
from partcheck.catalog import opening, place
from partcheck.catalog.migrate import migrate
from partcheck.errors import CatalogError, UsageError
from partcheck.report.lines import visible
from tests.command import SAMPLES, Ran, run
from tests.schemas import follows_the_schema
from tests.valves import valve_bench

Runner = Callable[..., Ran]
WHO = ("--by", "Jo")


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """Two channels of the sample board and a few parts; the board file."""
    return valve_bench(tmp_path / "bench")


@pytest.fixture
def whole(tmp_path: Path) -> Path:
    """A copy of the sample board and all its parts; the board file."""
    shutil.copytree(SAMPLES, tmp_path / "whole")
    return tmp_path / "whole" / "bottling-bench.toml"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's data folder with nothing in it yet."""
    monkeypatch.delenv("PARTCHECK_CATALOG", raising=False)
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path / "home" / "partcheck")
    return tmp_path / "home" / "partcheck" / "catalog.sqlite"


@pytest.fixture
def command(home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run(monkeypatch, capsys, *words)


def mend(path: Path, old: str, new: str, after: str = "") -> None:
    """Change the first ``old`` behind ``after`` in a file."""
    text = path.read_text(encoding="utf-8")
    start = text.index(after)
    assert old in text[start:]
    path.write_text(text[:start] + text[start:].replace(old, new, 1), encoding="utf-8")


def cell(path: Path, part: str, column: str, value: str) -> str:
    """Change one cell of a parts sheet; what stood there."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    place = next(i for i, name in enumerate(rows[0]) if name.split("[")[0].strip() == column)
    row = next(row for row in rows[1:] if part in row)
    before, row[place] = row[place], value
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    return before


def first(command: Runner, *words: object) -> dict[str, Any]:
    """The newest record as JSON; the command's exit code agrees with its state."""
    ran = command("records", *words, "--json")
    answer = json.loads(ran.out)
    follows_the_schema(answer)
    found: dict[str, Any] = answer["records"][0]
    if found["state"] == "stale":
        assert ran.code == 1
    return found


def accepted(command: Runner, bench: Path, *words: object) -> Ran:
    ran = command("accept", bench, *words, *WHO)
    assert ran.err == ""
    return ran


# --- accepting -------------------------------------------------------------------------------------


def test_what_is_accepted_is_told_and_written_down_in_a_catalog_made_for_it(
    command: Runner, bench: Path, home: Path
) -> None:
    ran = accepted(command, bench, "Q2", "moby-f60-70", "--note", "until the other is back")
    assert ran.code == 0
    assert "Accepted as number 1: MOBY-F60-70 (Morrowby) as Q2, instead of TALQ-60N80" in ran.out
    assert "which was made for it" in ran.out
    assert "Verdict: meets" in ran.out
    assert "licensed practice" in ran.out
    again = accepted(command, bench, "Q2", "TALQ-30N52").out
    assert "Accepted as number 2" in again
    assert "made for it" not in again
    with sqlite3.connect(home) as raw:
        row = raw.execute("SELECT reference, part_number, accepted_by, note FROM accepted WHERE id = 1").fetchone()
    raw.close()
    assert row == ("Q2", "MOBY-F60-70", "Jo", "until the other is back")


def test_a_record_holds_the_result_of_swap_and_every_value_it_rested_on(command: Runner, whole: Path) -> None:
    ran = accepted(command, whole, "D11", "JUNI-PA12", "--json")
    answer = json.loads(ran.out)
    follows_the_schema(answer)
    made = answer["accepted"]
    swap = json.loads(command("swap", whole, "D11", "--json", "--most", "40").out)
    same = next(c for c in swap["candidates"] if c["part_number"] == "JUNI-PA12")
    for key in ("verdict", "verdict_as_drawn", "headroom", "set_by", "changes", "resistor", "worsened"):
        assert made[key] == same[key], key
    assert made["resistor"]["value"] == 6800.0  # the one that swap proposes
    for kept, found in zip(made["requirements"], same["place"]["requirements"], strict=True):
        for key in ("id", "verdict", "demand", "capability", "headroom", "unit", "missing", "assumed"):
            assert kept[key] == found[key]
        named = {value["name"]: value for value in kept["values"]}
        stated = {name: value for name, value in found["values"].items() if value["of"] != "made"}
        assert set(stated) <= set(named)
        assert all(named[name]["source"] == value["source"] for name, value in stated.items())
    from partcheck.parts import read_parts
    from partcheck.parts.documents import to_record

    part = next(p for p in read_parts(whole.parent) if p.part_number == "JUNI-PA12")
    assert made["part"] == to_record(part)
    assert made["policy_values"]["led_if"] == 0.8
    assert made["board_content"]["load"]["FV2"]["resistance"] == "36 Ω ±8 %"
    assert datetime.fromisoformat(made["accepted_at"]).tzinfo is not None
    assert (made["accepted_by"], made["path"], made["fitted"]) == ("Jo", str(whole), "HOLL-3A60")


def test_the_resistor_can_be_chosen_or_left_as_drawn(command: Runner, bench: Path) -> None:
    for value, expected in (("8.2 kΩ", 8200.0), ("2.7k", None)):
        ran = command("accept", bench, "D11", "JUNI-PA12", "--resistor", value, "--json", "--note", "x",
                      "--although-it-fails")  # fmt: skip
        change = json.loads(ran.out)["accepted"]["resistor"]
        assert (change and change["value"]) == expected
    assert (
        "no resistor beside it" in command("accept", bench, "D1", other(command, bench, "D1"), "--resistor", "1k").err
    )
    for wrong in ("5x", "0", "nan"):
        ran = command("accept", bench, "D11", "JUNI-PA12", "--resistor", wrong)
        assert ran.code == 2
        assert "--resistor" in ran.err


def other(command: Runner, bench: Path, ref: str) -> str:
    name: str = json.loads(command("swap", bench, ref, "--json").out)["candidates"][0]["part_number"]
    return name


def test_a_part_that_fails_is_accepted_only_when_that_is_meant_and_said_why(
    command: Runner, bench: Path, home: Path
) -> None:
    words = ("accept", bench, "Q2", "KEST-F16U", *WHO)
    for more in ((), ("--note", "it will do"), ("--although-it-fails",), ("--although-it-fails", "--note", " ")):
        ran = command(*words, *more)
        assert ran.code == 2
        assert ran.out == ""
        assert ran.err.count("\n") == 1
        assert "KEST-F16U (Kestane) fails at Q2 (drain-voltage, D2 forward-recovery); " in ran.err
    assert not home.exists()
    ran = command(*words, "--although-it-fails", "--note", "one demonstration")
    assert ran.code == 1
    assert "Verdict: FAILS" in ran.out
    assert re.search(r"^  FAILS +drain-voltage needs 15.45 V, has 12.8 V$", ran.out, re.MULTILINE)
    assert command("records").code == 1  # current, but it fails


def test_an_unproven_part_is_accepted_and_says_what_was_not_proven(command: Runner, bench: Path) -> None:
    cell(bench.parent / "mosfet.csv", "MOBY-F60-70", "vds_max", "")
    ran = accepted(command, bench, "Q2", "MOBY-F60-70")
    assert ran.code == 3
    assert "Verdict: unproven" in ran.out
    assert re.search(r"^  not proved +drain-voltage: look up vds_max", ran.out, re.MULTILINE)
    assert command("records").code == 0
    assert re.search(r"not proved +drain-voltage: look up vds_max", command("records", "--number", 1).out)


def test_the_fitted_part_is_no_substitution(command: Runner, bench: Path, home: Path) -> None:
    ran = command("accept", bench, "Q2", "TALQ-60N80")
    assert (ran.code, ran.err.count("\n")) == (2, 1)
    assert "is already fitted as Q2" in ran.err
    assert not home.exists()


# --- current and stale -----------------------------------------------------------------------------


@pytest.fixture
def kept(command: Runner, bench: Path) -> Path:
    """The board, with a stand-in accepted for Q2."""
    accepted(command, bench, "Q2", "MOBY-F60-70", "--parts", bench.parent)
    return bench


def test_a_record_is_current_while_only_comments_layout_and_spelling_change(command: Runner, kept: Path) -> None:
    mend(kept, "# a second valve of the same kind", "# another comment")
    mend(kept, '"36 Ω ±8 %"', '"36 ohm +8 % -8 %"', "[load.FV2]")
    text = kept.read_text(encoding="utf-8")
    kept.write_text(text.replace("\n\n", "\n\n\n").replace("most = 1", "most   =   1"), encoding="utf-8")
    ran = command("records")
    assert ran.code == 0
    assert re.search(r"^  current  +meets, .* to spare", ran.out, re.MULTILINE)
    assert "1 accepted substitution: 0 stale" in ran.out


CHANGES: list[tuple[str, str, str, str]] = [
    ("[load.FV2]", '"36 Ω ±8 %"', '"24 Ω ±8 %"', "load.FV2.resistance was 36 Ω ±8 %, is 24 Ω ±8 %"),
    ("[surroundings]", '"5..45 °C"', '"5..50 °C"', "surroundings.ambient was 5..45 °C, is 5..50 °C"),
    ("", "most = 1", "most = 2", "at_once[0].most was 1, is 2"),
    ("", "wet = true", "wet = false", "surroundings.wet was true, is false"),
    ("", 'revision = "C"', 'revision = "D"', "revision was C, is D"),
    ("", 'policy = "bench"', 'policy = "ecss"', "policy was bench, is ecss"),
    ("[role.Q2]", 'drive = "VALVE2"', 'drive = "VALVE2"\nnote = "mended"', "role.Q2.note was blank (not stated), is mended"),
]  # fmt: skip


@pytest.mark.parametrize(("after", "old", "new", "reason"), CHANGES, ids=[c[3].split()[0] for c in CHANGES])
def test_any_change_of_the_board_makes_a_record_stale_and_is_told_in_its_own_words(
    command: Runner, kept: Path, after: str, old: str, new: str, reason: str
) -> None:
    mend(kept, old, new, after)
    found = first(command)
    assert found["state"] == "stale"
    assert found["because"][0] == reason
    assert found["judged_again"]["verdict"] in ("meets", "tight", "unproven", "fails")
    mend(kept, new, old, after)
    assert first(command)["state"] == "current"


def test_judging_again_gives_what_explain_gives_now(command: Runner, kept: Path) -> None:
    mend(kept, '"36 Ω ±8 %"', '"24 Ω ±8 %"', "[load.FV2]")
    again = first(command)["judged_again"]
    place = json.loads(command("explain", kept, "Q2", "MOBY-F60-70", "--json").out)["place"]
    assert (again["verdict"], again["set_by"]) == (place["verdict"], place["set_by"])
    assert again["headroom"] == pytest.approx(place["headroom"], rel=1e-12)
    out = command("records").out
    assert "judged again: meets, " in out
    assert "STALE" in out


def test_a_change_with_which_the_part_fails_is_told(command: Runner, kept: Path) -> None:
    mend(kept, '"12 V ±5 %"', '"110 V ±5 %"')
    ran = command("records")
    assert ran.code == 1
    assert "judged again: FAILS" in ran.out
    assert "accepted: meets" in " ".join(ran.out.split())


def test_a_board_that_is_gone_or_broken_is_told(command: Runner, kept: Path) -> None:
    text = kept.read_text(encoding="utf-8")
    kept.write_text("format = ", encoding="utf-8")
    assert "cannot be read now" in first(command)["because"][0]
    kept.write_text(text.replace("[role.Q2]", "[role.Q22]").replace('"Q2"', '"Q22"'), encoding="utf-8")
    found = first(command)
    assert found["judged_again"] is None
    assert any(reason.startswith("role.Q2 was") and reason.endswith("is gone") for reason in found["because"])
    kept.unlink()
    found = first(command)
    assert found["because"] == [f"the board file {kept} is gone"]
    assert "cannot be judged again" in command("records").out


def test_carrying_out_what_was_accepted_is_no_change(command: Runner, bench: Path) -> None:
    accepted(command, bench, "D11", "JUNI-PA12")
    mend(bench, '"HOLL-3A60"', '"JUNI-PA12"', "[role.D11]")
    found = first(command)
    assert found["because"] == ["role.D11.resistor was 6.8 kΩ ±1 %, is 2.7 kΩ ±5 %"]
    mend(bench, '"2.7 kΩ ±5 %"', '"6.8 kΩ ±1 %"', "[role.D11]")
    found = first(command)
    assert (found["state"], found["carried_out"]) == ("current", True)
    assert "it is now fitted in the board file" in command("records").out
    mend(bench, '"JUNI-PA12"', '"HOLL-3R20"', "[role.D11]")
    found = first(command)
    assert found["carried_out"] is False
    assert "role.D11.fitted.part_number was HOLL-3A60, is HOLL-3R20" in found["because"]


def test_a_record_that_was_carried_out_is_judged_against_the_board_before_it(command: Runner, bench: Path) -> None:
    """A neighbour that the accepted part breaks stays told, though on the board as fitted it is broken now."""
    accepted(command, bench, "Q2", "KEST-F16U", "--note", "x", "--although-it-fails")
    before = first(command)["accepted"]["worsened"]
    assert [(w["reference"], w["requirement"], w["after"]) for w in before] == [("D2", "forward-recovery", "fails")]
    mend(bench, '"TALQ-60N80"', '"KEST-F16U"', "[role.Q2]")
    mend(bench, 'revision = "C"', 'revision = "D"')
    (standing,) = look().standings
    assert (standing.carried_out, standing.reasons) == (True, ("revision was C, is D",))
    assert standing.again is not None
    assert [w.ref for w in standing.again.worsened] == ["D2"]


def test_a_changed_datasheet_value_makes_a_record_stale(command: Runner, kept: Path) -> None:
    assert cell(kept.parent / "mosfet.csv", "MOBY-F60-70", "vds_max", "55") == "60"
    assert first(command)["because"] == ["MOBY-F60-70: vds_max was 60 V, is 55 V"]
    cell(kept.parent / "mosfet.csv", "MOBY-F60-70", "vds_max", "60")
    cell(kept.parent / "mosfet.csv", "MOBY-F60-70", "quantity", "1")
    cell(kept.parent / "mosfet.csv", "MOBY-F60-70", "price", "9.90")
    assert first(command)["state"] == "current"  # stock and price are no datasheet values
    for sheet in kept.parent.glob("*.csv"):
        sheet.write_text(sheet.read_text(encoding="utf-8").replace("MOBY-F60-70", "MOBY-F60-71"), encoding="utf-8")
    found = first(command)
    assert found["because"][0] == f"MOBY-F60-70 is no longer among the parts of {kept.parent}"
    assert found["judged_again"] is None
    (kept.parent / "mosfet.csv").write_text("nothing\n", encoding="utf-8")
    assert first(command)["because"][0].startswith("what it was judged with cannot be read now: ")


def test_a_changed_value_of_a_part_beside_it_makes_a_record_stale(command: Runner, kept: Path) -> None:
    fitted = re.search(r'\[role\.D2\].*?fitted = "(.*?)"', kept.read_text(encoding="utf-8"), re.DOTALL)
    assert fitted
    before = cell(kept.parent / "diode.csv", fitted[1], "vrrm", "33")
    found = first(command)
    assert found["because"] == [f"D2 {fitted[1]}: vrrm was {before} V, is 33 V"]
    cell(kept.parent / "diode.csv", fitted[1], "vrrm", before)
    assert first(command)["state"] == "current"


def test_parts_of_a_catalog_are_compared_with_the_catalog(command: Runner, bench: Path, tmp_path: Path) -> None:
    own = tmp_path / "own.sqlite"
    assert command("catalog", "import", bench.parent, "--catalog", own).code == 0
    accepted(command, bench, "Q2", "MOBY-F60-70", "--catalog", own)
    assert first(command, "--catalog", own)["state"] == "current"
    cell(bench.parent / "mosfet.csv", "MOBY-F60-70", "vds_max", "55")
    assert first(command, "--catalog", own)["state"] == "current"
    command("catalog", "import", bench.parent, "--catalog", own, "--yes")
    assert first(command, "--catalog", own)["because"] == ["MOBY-F60-70: vds_max was 60 V, is 55 V"]
    moved = tmp_path / "moved.sqlite"
    raw = sqlite3.connect(own)
    raw.execute("VACUUM INTO ?", (str(moved),))
    raw.close()
    own.unlink()
    assert first(command, "--catalog", moved)["judged_again"]["verdict"] == "meets"


def test_a_catalog_that_the_surroundings_name_is_found_again_by_its_name(
    command: Runner, bench: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    team = tmp_path / "team.sqlite"
    mend(bench, 'parts = ["."]', "")
    monkeypatch.setenv("PARTCHECK_CATALOG", str(team))
    command("catalog", "import", bench.parent, "--catalog", team)
    accepted(command, bench, "Q2", "MOBY-F60-70")
    monkeypatch.delenv("PARTCHECK_CATALOG")
    assert first(command, "--catalog", team)["state"] == "current"
    cell(bench.parent / "mosfet.csv", "MOBY-F60-70", "vds_max", "55")
    command("catalog", "import", bench.parent, "--catalog", team, "--yes")
    assert first(command, "--catalog", team)["because"] == ["MOBY-F60-70: vds_max was 60 V, is 55 V"]


def test_a_changed_policy_makes_a_record_stale(
    command: Runner, bench: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    own = bench.with_name("ours.toml")
    own.write_text('name = "ours"\nbase = "bench"\nsource = "our rules"\n[values]\nvds = 0.7\n', encoding="utf-8")
    accepted(command, bench, "Q2", "MOBY-F60-70", "--policy", own)
    monkeypatch.chdir(tmp_path)
    assert first(command)["state"] == "current"
    mend(own, "vds = 0.7", "vds = 0.65")
    assert first(command)["because"] == ["policy ours: vds was 0.7, is 0.65"]
    own.unlink()
    found = first(command)
    assert "there is no policy file" in found["because"][0]
    assert found["judged_again"] is None


def test_a_changed_value_of_a_shipped_policy_makes_a_record_stale(
    command: Runner, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from dataclasses import replace

    from partcheck.policy import BENCH, POLICIES

    monkeypatch.setitem(POLICIES, "bench", replace(BENCH, values={**BENCH.values, "vds": 0.75}))
    assert first(command)["because"] == ["policy bench: vds was 0.8, is 0.75"]


def test_a_record_of_another_version_that_judges_otherwise_is_stale(command: Runner, kept: Path, home: Path) -> None:
    with sqlite3.connect(home) as raw:
        raw.execute("UPDATE accepted SET version = '0.0.1'")
    assert first(command)["state"] == "current"
    with sqlite3.connect(home) as raw:
        raw.execute("UPDATE accepted SET verdict = 'tight'")
    raw.close()
    assert "judged by partcheck 0.0.1" in first(command)["because"][0]


# --- the list --------------------------------------------------------------------------------------


def test_the_list_is_newest_first_and_can_be_narrowed(command: Runner, bench: Path, tmp_path: Path) -> None:
    second = bench.with_name("second.toml")
    second.write_text(
        bench.read_text(encoding="utf-8").replace("small bottling bench", "second bench", 1), encoding="utf-8"
    )
    accepted(command, bench, "Q2", "MOBY-F60-70")
    accepted(command, second, "Q2", "TALQ-30N52")
    mend(second, "most = 1", "most = 2")

    def numbers(*words: object) -> list[int]:
        return [r["accepted"]["number"] for r in json.loads(command("records", *words, "--json").out)["records"]]

    assert numbers() == [2, 1]
    assert numbers("--stale") == [2]
    assert numbers(bench) == numbers("Small Bottling Bench") == [1]
    assert numbers(second) == [2]
    assert command("records", bench).code == 0
    assert command("records", "--stale").code == 1
    assert numbers("--number", 1) == [1]
    none = command("records", bench, "--stale")
    assert none.code == 0
    assert "No accepted substitution is stale" in none.out
    for words in (["no-such.toml"], ["--number", 9], ["--number", 10**20], ["--json", "--csv"]):
        ran = command("records", *words)
        assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1)


def test_text_json_csv_and_objects_agree(command: Runner, kept: Path, home: Path) -> None:
    accepted(command, kept, "D11", "JUNI-PA12", "--note", "see the lab book")
    mend(kept, '"36 Ω ±8 %"', '"24 Ω ±8 %"', "[load.FV2]")
    answer = json.loads(command("records", "--json").out)["records"]
    rows = list(csv.DictReader(io.StringIO(command("records", "--csv").out)))
    found = look()
    table = found.table()
    assert [int(row["number"]) for row in rows] == [2, 1] == list(table["number"])
    for row, record, standing in zip(rows, answer, found.standings, strict=True):
        assert row["state"] == record["state"] == ("stale" if standing.stale else "current") == "stale"
        assert row["because"] == "; ".join(record["because"])
        assert row["verdict_now"] == record["judged_again"]["verdict"]
        assert float(row["headroom_now"]) == pytest.approx(record["judged_again"]["headroom"], abs=1e-4)
        assert row["part_number"] == record["accepted"]["part_number"]
    assert found.record()["stale"] == 2
    assert found.text == command("records").out.rstrip("\n")


def test_the_interface_for_notebooks_accepts_too(bench: Path, home: Path) -> None:
    board = open_board(bench)
    made = board.accept("Q2", "MOBY-F60-70", by="Jo", note="from a notebook")
    assert (made.number, made.verdict.word) == (1, "meets")
    assert made.record()["accepted"]["note"] == "from a notebook"
    assert "Accepted as number 1" in made.text
    with pytest.raises(UsageError, match="fails at Q2"):
        board.accept("Q2", "KEST-F16U", by="Jo")
    assert [s.record.row.number for s in look(bench).standings] == [1]


def test_a_record_in_full_shows_every_value(command: Runner, kept: Path) -> None:
    out = command("records", "--number", 1).out
    record = first(command)["accepted"]
    for requirement in record["requirements"]:
        assert re.search(rf"^  {requirement['id']} ", out, re.MULTILINE)
        for value in requirement["values"]:
            assert f"  {value['name']} " in out
    for words in ("vds_max", "rds_on[0].vgs", "load.FV2.resistance", "36 Ω ±8 %", "vds "):
        assert words in out
    assert max(map(len, out.splitlines())) <= 80


# --- what people write -----------------------------------------------------------------------------

HOSTILE = [
    '=HYPERLINK("http://example.org")',
    "+1", "-1", "@x", "\tx", "\rx",
    "two\nlines", "\x1b[2J\x1b[31mred", "bell\a", "a\x85b\x9bc", "right\u202eleft", "line\u2028end", "soft\u00adhyphen",
    "x" * 5000, "words " * 900, "Ω µ é 漢字 🙂", "  spaces  ",
]  # fmt: skip


def safe(out: str) -> bool:
    return not [c for c in out if (ord(c) < 32 and c != "\n") or 0x7F <= ord(c) < 0xA0 or c in "\u202e\u2028\u00ad"]


@pytest.mark.parametrize("text", ["".join(HOSTILE[:-4]), "words " * 900], ids=["all of them", "long"])
def test_a_note_is_kept_exactly_and_shown_safely(command: Runner, bench: Path, home: Path, text: str) -> None:
    ran = command("accept", bench, "Q2", "MOBY-F60-70", "--note", text, "--by", text)
    assert ran.code == 0
    assert first(command)["accepted"]["note"] == text
    full = command("records", "--number", 1).out
    for out in (ran.out, full):
        assert safe(out)
        assert max(map(len, out.split("\n"))) <= 80
        assert out.count("".join(visible(text).split())) or "".join(visible(text).split()) in "".join(out.split())
    assert len(command("records").out) < len(full)


def test_whatever_stands_in_a_record_is_shown_safely(command: Runner, kept: Path, home: Path) -> None:
    with open_catalog(home) as catalog:
        (row,) = catalog.accepted()
        for text in HOSTILE:
            names = dict.fromkeys(("board", "revision", "fitted", "part_number", "maker", "policy", "note"), text)
            catalog.accept({**row._asdict(), **names, "accepted_by": text})
        for kept_row, text in zip(reversed(catalog.accepted()), ["", *HOSTILE], strict=True):
            assert kept_row.note == text  # to the letter
    out = command("records").out
    assert safe(out)
    assert max(map(len, out.split("\n"))) <= 80
    for number in (2, 9, 15):
        full = command("records", "--number", number).out
        assert safe(full)
        assert max(map(len, full.split("\n"))) <= 80
    sheet = command("records", "--csv").out
    assert safe(sheet)
    rows = list(csv.DictReader(io.StringIO(sheet)))
    for row, text in zip(reversed(rows), ["", *HOSTILE], strict=True):
        assert visible(text) in row["note"]
        for value in row.values():
            assert not value.startswith(("=", "+", "-", "@"))


def test_a_text_that_is_none_is_refused(bench: Path, home: Path) -> None:
    for words in ({"note": "a\0b"}, {"by": "\udcff"}):
        with pytest.raises(UsageError, match="characters that are not text"):
            open_board(bench).accept("Q2", "MOBY-F60-70", **words)  # type: ignore[arg-type]


# --- the catalog -----------------------------------------------------------------------------------


def test_a_named_catalog_is_not_made(command: Runner, bench: Path, tmp_path: Path) -> None:
    for words in (("accept", bench, "Q2", "MOBY-F60-70"), ("records",)):
        ran = command(*words, "--catalog", tmp_path / "typo.sqlite")
        assert (ran.code, ran.err.count("\n")) == (2, 1)
        assert "there is no catalog at" in ran.err
    assert not (tmp_path / "typo.sqlite").exists()
    assert "there is no catalog at" in command("records").err


def test_a_catalog_of_an_older_version_asks_for_an_upgrade(command: Runner, kept: Path, home: Path) -> None:
    engine = opening.connect(place.find_place(home), create=False)
    migrate(engine, "it", "0001")
    engine.dispose()
    for words in (("accept", kept, "Q2", "MOBY-F60-70"), ("records",)):
        ran = command(*words)
        assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1)
        assert "update it with: partcheck catalog upgrade" in ran.err
    assert "up to date now" in command("catalog", "upgrade").out
    accepted(command, kept, "Q2", "MOBY-F60-70")
    assert first(command)["state"] == "current"


@pytest.mark.parametrize("column", ["basis", "result", "verdict"])
def test_a_record_that_somebody_damaged_is_told(command: Runner, kept: Path, home: Path, column: str) -> None:
    with sqlite3.connect(home) as raw:
        raw.execute(f"UPDATE accepted SET {column} = '[]'")
    raw.close()
    ran = command("records")
    assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "accepted substitution 1 is not as it was written" in ran.err
    with pytest.raises(CatalogError):
        look()


@pytest.mark.parametrize("there", [True, False], ids=["in a catalog", "and the catalog is made"])
def test_two_who_accept_at_once_are_both_kept(bench: Path, tmp_path: Path, there: bool) -> None:
    home = tmp_path / "data"
    place = home / "partcheck" / "catalog.sqlite"
    if there:
        place.parent.mkdir(parents=True)
        open_catalog(place, create=True).close()
    surroundings = {**os.environ, "XDG_DATA_HOME": str(home), "PARTCHECK_CATALOG": ""}
    names = [f"somebody {i}" for i in range(2)]
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "partcheck", "accept", str(bench), "Q2", "MOBY-F60-70", "--by", name],
            env=surroundings, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for name in names
    ]  # fmt: skip
    for process in running:
        _, err = process.communicate(timeout=120)
        assert (process.returncode, err) == (0, "")
    with open_catalog(place) as catalog:
        assert sorted(row.accepted_by for row in catalog.accepted()) == names
