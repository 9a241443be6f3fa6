"""A list of channels as people keep it becomes a short board, and the board writes the list back."""

import csv
import io
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from partcheck.board import parse_board
from partcheck.board.compose import compose
from partcheck.board.short import write_out
from partcheck.jobs.boards.channel_sheet import KINDS, WORDS, column_of
from partcheck.jobs.boards.channels import SORTS, VALUES, BadChannel, Channel
from partcheck.parts.headers import plain
from tests.command import BOARD, SAMPLES, Ran, run
from tests.every_key import FILE

Runner = Callable[..., Ran]
HERE = Path("board.toml")
SEMICOLONS = """\
Filling line;;;;;;;;;;;;
Load;Type;Supply [V];R coil (Ω);I / mA;L [mH];MOSFET;Gate resistor;Diode;LED;LED resistor;Terminal;Remark
FV1;Valve;12;36;;60;TALQ-30N52;470 Ω;ARFJ-S60A;HOLL-3A60;2,7 kΩ;J1;left
FV2;Valve;12;36;;60;TALQ-30N52;470 Ω;ARFJ-S60A;HOLL-3A60;2,7 kΩ;J1;
FV3;Relay;12;;333,3;60;TALQ-30N52;470 Ω;ARFJ-S60A;-;;J1;
tray heater;;24;;1500;;TALQ-55D22;100 Ω;;;;J2-3,4;
"""


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Runner:
    monkeypatch.setenv("PARTCHECK_CATALOG", str(tmp_path / "none.sqlite"))
    monkeypatch.chdir(tmp_path)
    return lambda *words: run(monkeypatch, capsys, *words)


def listed(folder: Path, text: str, name: str = "line.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def board_of(ran: Ran) -> dict[str, Any]:
    assert ran.code == 0, ran
    return parse_board(ran.out, HERE).stated


def test_a_list_with_semicolons_decimal_commas_and_units_in_headers(command: Runner, tmp_path: Path) -> None:
    ran = command("board", "from", listed(tmp_path, SEMICOLONS), "--parts", SAMPLES)
    made = board_of(ran)
    assert "'Remark' is not understood" in ran.err
    assert made["name"] == "line" and list(made["load"]) == ["FV1", "FV2", "FV3", "tray heater"]
    assert made["rail"] == {"V12": {"voltage": "12 V ±10 %"}, "V24": {"voltage": "24 V ±10 %"}}
    assert made["load"]["FV2"] == {
        "sort": "coil", "rail": "V12", "resistance": "36 Ω ±10 %", "inductance": "60 mH ±30 %", "rate": "1 /s",
    }  # fmt: skip
    # 12 V over 333.3 mA, and over 10 % more and less of it
    assert made["load"]["FV3"]["resistance"] == "32.73..36..40 Ω"
    assert made["load"]["tray heater"] == {"sort": "resistive", "rail": "V24", "current": "1500 mA ±10 %"}
    roles = made["role"]
    assert roles["Q1"]["load"] == ["FV1", "D4"] and roles["D4"]["resistor"] == "2.7 kΩ ±5 %"
    assert roles["D5"]["switch"] == "Q2" and "indicator" not in {roles[f"D{n}"]["role"] for n in (1, 2, 3)}
    assert [(pole["pole"], pole["side"], pole["load"]) for pole in roles["J2"]["poles"]] == [
        (3, "feed", "tray heater"), (4, "switched", "tray heater"),
    ]  # fmt: skip
    assert len(roles["J1"]["poles"]) == 6


def test_everything_assumed_is_marked_and_nothing_else(command: Runner, tmp_path: Path) -> None:
    text = command("board", "from", listed(tmp_path, SEMICOLONS)).out
    rows = [row for row in text.splitlines() if "assumed" in row]
    for words in (
        "ambient",
        '"12 V ±10 %"',
        "high",
        "inductance",
        "36 Ω ±10 %",
        "rate",
        "32.73..36..40 Ω",
        "470 Ω ±5 %",
    ):
        assert any(words in row for row in rows), words
    stated = SEMICOLONS.replace("Supply [V]", "Supply").replace(";12;", ";12 V ±5 %;").replace(";24;", ";24 V ±5 %;")
    text = command("board", "from", listed(tmp_path, stated), "--ambient", "0..40 °C", "--logic", "3.3 V ±5 %").out
    for words in ("voltage", "ambient", "high"):
        assert not any(row.startswith(words) and "assumed" in row for row in text.splitlines()), words
    assert '"3.3 V ±5 %"' in text


def test_the_written_board_is_short_and_judged_and_listed_back(command: Runner, tmp_path: Path) -> None:
    rows = "".join(f"FV{n},valve,12 V ±5 %,36 Ω ±8 %,60 mH ±20 %,TALQ-30N52,470 Ω,100 kΩ,ARFJ-S60A\n" for n in range(1, 17))  # fmt: skip
    path = listed(tmp_path, f"Name,Type,Voltage,Resistance,Inductance,FET,Rg,Pull-down,Flyback diode\n{rows}")
    board = tmp_path / "board.toml"
    ran = command("board", "from", path, "--write", board, "--parts", SAMPLES)
    assert ran.code == 0 and "16 loads, 32 places" in ran.out and "partcheck board check" in ran.out
    text = board.read_text(encoding="utf-8")
    assert len(text.splitlines()) < 45
    assert command("check", board).code == 0
    back = command("board", "list", board, "--channels")
    again = board_of(command("board", "from", listed(tmp_path, back.out, "back.csv")))
    first = parse_board(text, board).stated
    assert {k: again[k] for k in ("rail", "drive", "load", "role")} == {
        k: first[k] for k in ("rail", "drive", "load", "role")
    }


def test_loads_named_after_what_they_are_come_back(command: Runner, tmp_path: Path) -> None:
    text = "Load,Sort,Voltage,Current,Resistance,Stall current\nVALVE,coil,12 V,,36,\nPUMP,motor,12 V,0.8 A,,3 A\n"
    made = command("board", "from", listed(tmp_path, text)).out
    assert "[load.VALVE]" in made and "[load.PUMP]" in made


def test_the_sample_board_lists_its_channels(command: Runner) -> None:
    rows = list(csv.DictReader(io.StringIO(command("board", "list", BOARD, "--channels").out)))
    found = {row["Load"]: row for row in rows}
    assert found["FV1"]["Resistance"] == "36 Ω ±8 %" and found["FV1"]["Terminal"] == "J2-1,2"
    assert "a list of its own" in command("board", "list", BOARD, "--channels", "--json").err
    assert found["FV1"]["Indicator"] == "HOLL-3A60" and found["ready"]["Switch kind"] == "npn"


NAMED_TWICE = """Channel;Load;Voltage;Current;Inductance;Switch;Resistor;Diode
FV1;Valve;24 V;0,35 A;80 mH;TALQ-60N80;470 Ω;ARFJ-S60A
K2;Relay;24 V;40 mA;200 mH;MOBY-N45A;4,7 kΩ;ARFJ-S60A
HE3;Heater;24 V;0,2 A;;TALQ-60N80;470 Ω;
"""


def test_a_known_transistor_is_no_mosfet_and_a_second_name_is_the_sort(command: Runner, tmp_path: Path) -> None:
    made = board_of(command("board", "from", listed(tmp_path, NAMED_TWICE), "--parts", SAMPLES))
    assert {ref: role["role"] for ref, role in write_out(made).data["role"].items() if ref.startswith("Q")} == {
        "Q1": "mosfet-switch",
        "Q2": "npn-sink",
        "Q3": "mosfet-switch",
    }
    sorts = {name: load["sort"] for name, load in write_out(made).data["load"].items()}
    assert sorts == {"FV1": "coil", "K2": "coil", "HE3": "resistive"}


def test_a_part_of_another_kind_is_told_as_what_it_is(command: Runner, tmp_path: Path) -> None:
    path = tmp_path / "line.toml"
    done = command("board", "from", listed(tmp_path, NAMED_TWICE), "--parts", SAMPLES, "--write", path)
    assert done.code == 0, done
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('fitted = "MOBY-N45A"', 'fitted = "TALQ-60N80"'), encoding="utf-8")
    said = " ".join(command("check", path).out.split())
    assert 'which is a MOSFET and no bipolar transistor; write role = "mosfet-switch" there' in said


def test_a_workbook(command: Runner, tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["Load", "Voltage (V)", "Resistance", "Switch", "Gate resistor"])
    book.active.append(["valve 1", 24, "80 Ω ±5 %", "NPN MOBY-N45A", "1 kΩ"])
    book.active.append(["valve 2", 24, "=1/0", "FET X1", "100 Ω"])
    path = tmp_path / "line.xlsx"
    book.save(path)
    ran = command("board", "from", path)
    assert ran.code == 2 and "row 3, column C (Resistance)" in ran.err, ran
    book.active["C3"] = "80 Ω ±5 %"
    book.save(path)
    made = board_of(command("board", "from", path))
    assert made["role"]["Q1"] == {"role": "npn-sink", "fitted": "MOBY-N45A", "drive": "OUT1", "load": "valve 1", "base_resistor": "1 kΩ ±5 %"}  # fmt: skip
    assert made["role"]["Q2"]["role"] == "mosfet-switch" and made["role"]["Q2"]["fitted"] == "X1"


def test_every_bad_cell_is_reported_with_row_and_column(command: Runner, tmp_path: Path) -> None:
    text = """\
Load,Type,Voltage,Resistance,Inductance,Switch,Resistor,LED,LED resistor
FV1,valv,12 V,36 Ohmm,60 mH,X,470 Ω,,
FV2,valve,12 A,36 Ω,60 H ±900 %,X,470 Ω,,
FV3,valve,,36 Ω,60 mH,X,470 Ω,,
FV4,valve,300 V,36 Ω,60 mH,X,470 Ω,L1,
FV5,motor,12 V,,,X,470 Ω,,
FV6,valve,12 V,,60 mH,X,470 Ω,,
FV7,valve,12 V,36 Ω,60 mH,X,470 Ω,L1,
"""
    ran = command("board", "from", listed(tmp_path, text))
    assert ran.code == 2 and "has 9 cells or rows to correct" in ran.err, ran.err
    rows = ran.err.splitlines()[1:]
    for place, words in (
        ("row 2, column B (Type)", "'valv' is not a known sort of load"),
        ("row 2, column D (Resistance)", "36 Ohmm"),
        ("row 3, column C (Voltage)", "12 A"),
        ("row 3, column E (Inductance)", "60 H ±900 %"),
        ("row 4", "voltage is missing"),
        ("row 5, column C (Voltage)", "out of range"),
        ("row 6", "current is missing; a motor"),
        ("row 7", "a coil states it, or the current it draws"),
        ("row 8", "indicator_resistor is missing"),
    ):
        assert any(place in row and words in row for row in rows), (place, words, rows)


@pytest.mark.parametrize(("text", "said"), [
    ("a,b\n1,2\n", "has no header of a list of channels"),
    ("Load,Voltage\n", "has a header and no row"),
    ("Type,Voltage,Current\nvalve,12 V,1 A\n", "has no column of loads"),
    ("Load,Voltage,Supply,Current\nx,1 V,2 V,1 A\n", "columns B (Voltage) and C (Supply) both state voltage; rename one of them"),
    ("Load,Voltage,Current\nx,12 V,1 A\nx,12 V,1 A\n", "'x' is listed twice"),
    ("Load,Voltage,Current,Terminal\nx,12 V,1 A,J1-1\ny,12 V,1 A,J1-1\n", "pole 1 of J1 is given twice"),
    ("Load,Voltage,Current\nQ1,12 V,1 A\n", "'Q1' reads as a range or as the reference of a part"),
    ("Load,Voltage,Current\na1..a4,12 V,1 A\n", "'a1..a4' reads as a range"),
    ("Load,Voltage,Current\nx,12 V,\"0,33 A\"\n", "row 2, column C (Current)"),
])  # fmt: skip
def test_what_no_list_may_be_is_one_sentence(command: Runner, tmp_path: Path, text: str, said: str) -> None:
    ran = command("board", "from", listed(tmp_path, text))
    assert ran.code == 2 and said in ran.err and len(ran.err.splitlines()) == 1, ran.err


def test_other_files(command: Runner, tmp_path: Path) -> None:
    assert "there is no file" in command("board", "from", tmp_path / "none.csv").err
    assert "give a .csv or .xlsx" in command("board", "from", listed(tmp_path, "x", "a.txt")).err
    path = listed(tmp_path, "Load,Voltage,Current\nx,12 V,1 A\n")
    assert "already exists" in command("board", "from", path, "--write", listed(tmp_path, "keep", "b.toml")).err
    assert "one of the files that are read here" in command("board", "from", path, "--write", path, "--force").err


def test_no_header_word_means_two_things() -> None:
    words = [plain(word) for key, each in WORDS.items() for word in dict.fromkeys((plain(key), *map(plain, each)))]
    assert len(words) == len(set(words)) and not set(words) & set(KINDS)
    assert set(WORDS) == set(VALUES)


@pytest.mark.parametrize(("title", "found"), [
    ("Resistance [Ω]", ("resistance", "Ω", "")), ("I (mA)", ("current", "mA", "")), ("L in mH", ("inductance", "mH", "")),
    ("U / V", ("voltage", "V", "")), ("NPN", ("switch", "", "npn-sink")), ("Base resistor", ("resistor", "", "npn-sink")),
    ("Coil resistance", ("resistance", "", "")), ("Flyback  Diode", ("clamp", "", "")), ("Colour", None), ("Load (kg)", None),
])  # fmt: skip
def test_header_words(title: str, found: Any) -> None:
    assert column_of(title) == found


def test_words_of_the_trade_for_loads() -> None:
    for own, words in SORTS.items():
        for word in words:
            channel = Channel()
            channel.put("sort", word.upper())
            assert channel["sort"] == own
    with pytest.raises(BadChannel, match="write one of coil, motor"):
        Channel().put("sort", "thing")


# ---- composing


@pytest.mark.parametrize("path", [BOARD, SAMPLES / "sixteen-valves.toml", FILE], ids=lambda path: path.stem)  # fmt: skip
def test_any_board_is_composed_and_reads_the_same(path: Path) -> None:
    data = write_out(tomllib.loads(path.read_text(encoding="utf-8"))).data
    text = compose(data, {})
    assert write_out(tomllib.loads(text)).data == data


def test_composing_finds_the_ranges_again() -> None:
    text = (SAMPLES / "sixteen-valves.toml").read_text(encoding="utf-8")
    again = compose(write_out(tomllib.loads(text)).data, {})
    assert len(again.splitlines()) < 90
    assert '[role."D17..D32"]' in again and "{n-16}" in again and "[load.FV16]" in again


def test_a_text_with_braces_is_not_taken_for_a_pattern() -> None:
    data = {"format": 1, "load": {f"L{n}": {"sort": "lamp", "note": f"{{n}} and {n}"} for n in range(1, 5)}}
    assert write_out(tomllib.loads(compose(data, {}))).data == data


def test_channels_may_be_counted_beside_their_loads(command: Runner, tmp_path: Path) -> None:
    text = "Channel,Load,Voltage,Resistance,Inductance,MOSFET\n1,FV1,12 V,36 Ω,60 mH,TALQ-30N52\n2,FV2,12 V,36 Ω,60 mH,TALQ-30N52\n"
    made = board_of(command("board", "from", listed(tmp_path, text)))
    assert list(made["load"]) == ["FV1", "FV2"]
    both = text.replace("\n1,", "\nA,")
    assert "both state load; rename one" in command("board", "from", listed(tmp_path, both)).err
