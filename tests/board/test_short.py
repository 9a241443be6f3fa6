"""A board said once: ranges and ``like`` read as if every member stood there, errors name line and place, edits stay with one member."""

import json
import tomllib
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from partcheck.board import board_schema, parse_board
from partcheck.board.models import Board
from partcheck.board.short import INNER, NAMED, write_out
from partcheck.board.writing import edited_board
from partcheck.errors import BoardError
from tests.board.test_edit import another, scalars, set_in
from tests.command import SAMPLES, Ran, run
from tests.every_key import FILE

SIXTEEN = SAMPLES / "sixteen-valves.toml"
TEXT = SIXTEEN.read_text(encoding="utf-8")
HERE = Path("board.toml")
Runner = Callable[..., Ran]

SMALL = """\
format = 1
name = "small"
surroundings = { ambient = "5..45 °C" }
rail.V12 = { voltage = "12 V ±5 %" }
rail.V24 = { voltage = "24 V ±5 %" }

[drive."OUT1..OUT4"]
high = "4.8..5.2 V"
low = "0..0.2 V"
source_resistance = "20..60 Ω"

[load."FV1..FV4"]
sort = "coil"
rail = "V12"
resistance = "36 Ω ±8 %"
inductance = "60 mH ±20 %"
release_time = "20 ms"
release_level = "50 mA"
cable = { length = "3 m", wire = "0.75 mm2" }

[load."FV3..FV4"]           # two of them are larger
resistance = "24 Ω ±8 %"

[load.FV4]
cable.length = "9 m"
without = ["release_time", "release_level"]

[role."Q1..Q4"]
role = "mosfet-switch"
fitted = "A1"
drive = "OUT{n}"
load = "FV{n}"
gate_resistor = "100 Ω ±5 %"

[role.Q2]
fitted = { part_number = "B2", maker = "Example" }

[role.D1]
role = "clamp"
load = "FV1"
fitted = "C1"

[role.D2]
like = "D1"
load = "FV2"

[role.D3]
like = "D2"
load = "FV3"

[role.J1]
role = "terminal"
poles = [
    { pole = 1, side = "supply", rail = "V12" },
    { pole = "2..5", side = "switched", load = "FV{p-1}" },
    { pole = [6, 7], side = "return", load = ["FV1..FV4"] },
]

[track.return]
width = "2 mm"
thickness = "32 µm"
load = "FV1..FV4"

[[at_once]]
of = ["FV1..FV3"]
most = 2
"""


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Runner:
    monkeypatch.setenv("PARTCHECK_CATALOG", str(tmp_path / "none.sqlite"))
    return lambda *words: run(monkeypatch, capsys, *words)


def refusal(text: str) -> str:
    """What the reader says of a text, every sentence of it."""
    with pytest.raises(BoardError) as slip:
        parse_board(text, HERE)
    return "\n".join(slip.value.details or [str(slip.value)])


def line(text: str, words: str) -> int:
    """The line on which these words stand."""
    return 1 + next(i for i, row in enumerate(text.splitlines()) if words in row)


# ---- reading


def test_the_sample_reads_as_the_same_board_written_out_by_hand() -> None:
    """Sixteen of each written by a loop of this test, which knows nothing of ranges."""
    short = tomllib.loads(TEXT)
    data = {key: value for key, value in short.items() if key not in ("drive", "load", "role", "at_once")}
    data |= {"drive": {}, "load": {}, "role": {}}
    for n in range(1, 17):
        drive = {"high": "4.6..5..5.2 V", "low": "0..0.15 V", "source_resistance": "20..60 Ω", "pin_current": "20 mA"}
        data["drive"] |= {f"VALVE{n}": drive, f"TELL{n}": drive}
        length, inductance = ("12 m", "14 µH ±30 %") if n == 16 else ("3 m", "3.5 µH ±30 %")
        data["load"][f"FV{n}"] = {
            "sort": "coil", "rail": "V12", "resistance": "36 Ω ±8 %", "inductance": "60 mH ±20 %",
            "winding_temperature": "10..90 °C", "rate": "1 /s",
            "cable": {"length": length, "wire": "0.75 mm²", "inductance": inductance},
        }  # fmt: skip
        data["load"][f"open{n}"] = {
            "sort": "logic-input", "rail": "P24", "current": "2.5..7 mA", "low_level": "5 V", "off_leakage": "0.3 mA",
        }  # fmt: skip
        data["role"][f"Q{n}"] = {
            "role": "mosfet-switch", "fitted": "TALQ-30N52", "drive": f"VALVE{n}", "load": [f"FV{n}", f"D{n + 16}"],
            "gate_resistor": "470 Ω ±5 %", "pulldown": "100 kΩ ±5 %",
        }  # fmt: skip
        data["role"][f"Q{n + 16}"] = {
            "role": "npn-sink", "fitted": "MOBY-N45A", "drive": f"TELL{n}", "load": f"open{n}",
            "base_resistor": "4.7 kΩ ±5 %", "base_emitter_resistor": "47 kΩ ±5 %",
        }  # fmt: skip
        data["role"][f"D{n}"] = {"role": "clamp", "fitted": "ARFJ-S60A", "load": f"FV{n}"}
        data["role"][f"D{n + 16}"] = {
            "role": "indicator", "fitted": "HOLL-3A60", "rail": "V12", "switch": f"Q{n}",
            "resistor": "2.7 kΩ ±5 %", "resistor_power": "0.25 W",
        }  # fmt: skip
    data["at_once"] = [{"of": [f"FV{n}" for n in range(1, 17)], "most": 10}]
    assert parse_board(TEXT, HERE).board == Board.model_validate(data)


def test_sixteen_channels_of_four_places_take_80_lines_and_meet(command: Runner) -> None:
    board = parse_board(TEXT, HERE).board
    assert len(TEXT.splitlines()) <= 80 and len(board.role) == 64
    assert command("check", SIXTEEN).code == 0


def test_layers_lie_over_each_other() -> None:
    stated = parse_board(SMALL, HERE).stated
    loads = stated["load"]
    assert [loads[f"FV{n}"]["resistance"] for n in range(1, 5)] == ["36 Ω ±8 %"] * 2 + ["24 Ω ±8 %"] * 2
    assert loads["FV3"]["cable"] == {"length": "3 m", "wire": "0.75 mm2"}
    assert loads["FV4"]["cable"] == {"length": "9 m", "wire": "0.75 mm2"}
    assert "release_time" not in loads["FV4"] and "release_time" in loads["FV3"]
    assert stated["role"]["Q2"]["fitted"] == {"part_number": "B2", "maker": "Example"}
    assert stated["role"]["Q2"]["drive"] == "OUT2"
    assert stated["role"]["D3"] == {"role": "clamp", "load": "FV3", "fitted": "C1"}
    assert list(stated["role"]) == ["Q1", "Q2", "Q3", "Q4", "D1", "D2", "D3", "J1"]
    assert stated["role"]["J1"]["poles"][1:5] == [
        {"pole": n + 1, "side": "switched", "load": f"FV{n}"} for n in range(1, 5)
    ]
    assert stated["role"]["J1"]["poles"][5]["load"] == stated["track"]["return"]["load"] == ["FV1", "FV2", "FV3", "FV4"]
    assert stated["at_once"] == [{"of": ["FV1", "FV2", "FV3"], "most": 2}]


@pytest.mark.parametrize(("before", "after", "name"), [
    ("OUT{n}", "OUT{n-1}", "Q2"),
    ('drive."OUT1..OUT4"', 'drive."OUT01..OUT04"', "Q2"),
    ('drive."OUT1..OUT4"', 'drive."OUT01..OUT09"', "Q2"),
])  # fmt: skip
def test_a_number_that_names_nothing_is_told_of_each_member(before: str, after: str, name: str) -> None:
    text = SMALL.replace(before, after)
    told = refusal(text)
    where = line(text, "drive = ")
    assert f"board.toml:{where}: role.Q1.drive: there is no drive 'OUT" in told
    assert (f"role.{name}.drive" in told) == ("0" in after)


def test_zeros_in_front() -> None:
    text = SMALL.replace('drive."OUT1..OUT4"', 'drive."OUT01..OUT04"').replace("OUT{n}", "OUT{n:02}")
    assert parse_board(text, HERE).stated["role"]["Q3"]["drive"] == "OUT03"
    text = SMALL.replace('load."FV1..FV4"', 'load."FV001..FV004"')
    assert "no load" not in str(write_out(tomllib.loads(text)).data["load"]["FV001"])


def test_a_file_without_short_forms_is_left_as_it_is() -> None:
    for path in (SAMPLES / "bottling-bench.toml", FILE):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        made = write_out(data)
        assert made.data == data and not made.came_from and not made.slips


def test_inner_tables_and_named_tables_are_those_of_the_models() -> None:
    """A new table of an entry, or a new table of named entries, is to be known here too."""
    schema = Board.model_json_schema()
    named = {name for name, made in schema["properties"].items() if isinstance(made.get("additionalProperties"), dict)}
    assert named == set(NAMED)
    inner = {
        key
        for model in schema["$defs"].values()
        for key, made in model.get("properties", {}).items()
        for option in made.get("anyOf", [])
        if "$ref" in option
    }
    assert inner == set(INNER)


def test_the_schema_takes_short_boards_and_refuses_unknown_keys() -> None:
    for text in (TEXT, SMALL):
        jsonschema.validate(tomllib.loads(text), board_schema())
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(tomllib.loads(SMALL.replace("gate_resistor", "gate_resitor")), board_schema())


# ---- errors


@pytest.mark.parametrize(("before", "after", "words", "said"), [
    ('gate_resistor = "100 Ω ±5 %"', 'gate_resistor = "100 Ω"', "gate_resistor", 'role."Q1..Q4".gate_resistor (Q1 and 3 more): 100 Ω states no tolerance'),
    ('gate_resistor = "100 Ω ±5 %"', 'gate_resitor = "100 Ω ±5 %"', "gate_resitor", "did you mean 'gate_resistor'?"),
    ('cable.length = "9 m"', 'cable.length = "9 V"', "cable.length", "load.FV4.cable.length:"),
    ('resistance = "24 Ω ±8 %"', 'resistance = "24 V"', '"24 V"', 'load."FV3..FV4".resistance (FV3 and 1 more)'),
    ('like = "D1"', 'like = "D3"', 'like = "D2"', "role.D3.like: goes round in a ring (D2 like D3 like D2)"),
    ('like = "D1"', 'like = "D2"', 'like = "D2"', "goes round in a ring (D2 like D2)"),
    ('like = "D1"', 'like = "D9"', 'like = "D9"', "role.D2.like: there is no role 'D9' for D2 to be like"),
    ('like = "D1"', 'like = ["D1"]', 'like = ["D1"]', 'names one entry, as in like = "Q1"'),
    ('like = "D1"', 'lik = "D1"', "[role.D2]", "must state role; did you mean 'like' by 'lik'?"),
    ('like = "D1"', 'like = "Q1"\nrole = "clamp"', 'like = "Q1"', "D2 is role 'clamp' and Q1 is 'mosfet-switch'"),
    ('without = ["release_time"', 'without = ["release_tim"', "without", "there is no key 'release_tim'; did you mean 'release_time'?"),
    ('load."FV3..FV4"', 'load."FV4..FV3"', "FV4..FV3", "does not count upwards"),
    ('load."FV3..FV4"', 'load."FV3..FV5"', "FV3..FV5", "the ranges FV1..FV4 and FV3..FV5 overlap"),
    ('load."FV3..FV4"', 'load."FV3..GV4"', "FV3..GV4", 'write both alike, as in "FV3..FV4"'),
    ('load."FV3..FV4"', 'load."FV3..4"', "FV3..4", "named differently"),
    ('load."FV3..FV4"', 'load."FV.."', "FV..", 'as in "Q1..Q16"'),
    ('load."FV3..FV4"', 'load."FV03..FV4"', "FV03", "different length"),
    ('load."FV3..FV4"', 'load."X1..X9999"', "X9999", "9999 members; the limit is 500"),
    ('"OUT{n}"', '"OUT{i}"', 'role."Q1', "{i} in 'OUT{i}' is not understood; write {n}"),
    ('"OUT{n}"', '"OUT{n-2}"', 'role."Q1', "less than nothing for number 1"),
    ('pole = "2..5"', 'pole = "5..2"', "poles", "not a range of poles"),
    ('of = ["FV1..FV3"]', 'of = ["FV3..FV1"]', "FV3..FV1", "does not count upwards"),
    ('[track.return]', '[track."R1..R2"]', 'load = "FV1..FV4"', ""),
])  # fmt: skip
def test_an_error_names_its_place_and_line(before: str, after: str, words: str, said: str) -> None:
    assert SMALL.count(before) == 1
    text = SMALL.replace(before, after)
    if not said:
        parse_board(text, HERE)
        return
    told = refusal(text)
    assert said in told, told
    row = next(row for row in told.splitlines() if said in row)
    assert row.startswith(f"board.toml:{line(text, words)}: "), (row, line(text, words))


def test_what_is_missing_is_told_of_the_member() -> None:
    told = refusal(SMALL.replace('rail = "V12"\nresistance', "resistance")).splitlines()
    first = line(SMALL, 'load."FV1..FV4"')
    assert told[0] == f'board.toml:{first}: load."FV1..FV4".rail (FV1 and 1 more): is missing; state it'
    assert [row.partition(": ")[2] for row in told[1:]] == [f"load.FV{n}.rail: is missing; state it" for n in (3, 4)]


# ---- edits


@pytest.mark.parametrize("text", [SMALL, TEXT], ids=["small", "sample"])
def test_every_value_of_every_member_can_be_changed_alone(text: str) -> None:
    data = write_out(tomllib.loads(text)).data
    found = scalars(data)
    for path, value in found if text is SMALL else found[::29]:
        if "poles" in path and isinstance(value, int):
            continue  # a list of numbers or a number, which another test looks at
        new = edited_board(text, [(path, another(value))])
        assert write_out(tomllib.loads(new)).data == set_in(data, path, another(value)), path
        kept = [row for row in text.splitlines() if row not in new.splitlines()]
        assert len(kept) <= 1 or "poles" in path, (path, kept)


def test_every_key_of_every_member_can_be_taken_away_alone() -> None:
    data = write_out(tomllib.loads(SMALL)).data
    for table in ("load", "role", "drive"):
        for name, entry in data[table].items():
            for key in entry:
                new = edited_board(SMALL, [((table, name, key), None)])
                assert write_out(tomllib.loads(new)).data == set_in(data, (table, name, key), None), (table, name, key)


def test_a_changed_one_that_others_are_like_changes_alone() -> None:
    new = edited_board(SMALL, [(("role", "D1", "fitted"), "E9")])
    stated = parse_board(new, HERE).stated["role"]
    assert [stated[f"D{n}"]["fitted"] for n in (1, 2, 3)] == ["E9", "C1", "C1"]
    assert new.count('fitted = "C1"') == 1  # D2 states it again, and D3 is still like D2


def test_a_member_of_a_range_gets_a_table_with_what_differs() -> None:
    new = edited_board(
        TEXT, [(("role", "Q5", "gate_resistor"), "1 kΩ ±5 %"), (("load", "FV7", "cable", "length"), "8 m")]
    )
    assert new == TEXT + '\n[role.Q5]\ngate_resistor = "1 kΩ ±5 %"\n\n[load.FV7.cable]\nlength = "8 m"\n'


def test_a_new_inner_table_and_a_new_member() -> None:
    chopped = {"frequency": "200 Hz", "duty": "0.1..0.9"}
    new = edited_board(
        SMALL, [(("load", "FV1", "chopped"), chopped), (("track", "more"), {"like": "return", "width": "3 mm"})]
    )
    stated = parse_board(new, HERE).stated
    assert stated["load"]["FV1"]["chopped"] == chopped and "chopped" not in stated["load"]["FV2"]
    assert stated["track"]["more"]["thickness"] == "32 µm"


def test_two_changes_of_one_list() -> None:
    new = edited_board(SMALL, [(("at_once", 0, "of", 2), "FV4"), (("role", "J1", "poles", 3, "load"), "FV2")])
    stated = write_out(tomllib.loads(new)).data
    assert stated["at_once"][0]["of"] == ["FV1", "FV2", "FV4"]
    assert [pole["load"] for pole in stated["role"]["J1"]["poles"][1:4]] == ["FV1", "FV2", "FV2"]


# ---- commands


def test_an_explanation_names_the_lines_that_state_its_place(command: Runner, tmp_path: Path) -> None:
    board = tmp_path / "short.toml"
    text = (
        TEXT.replace('parts = ["."]', f"parts = [{json.dumps(str(SAMPLES))}]")
        + '\n[role.Q3]\npulldown = "47 kΩ ±5 %"\n'
    )
    board.write_text(text, encoding="utf-8")
    out = " ".join(command("explain", board, "Q3").out.split())
    first, own = line(text, 'role."Q1..Q16"'), line(text, "[role.Q3]")
    assert f'stated at short.toml:{first} [role."Q1..Q16"], short.toml:{own} [role.Q3]' in out
    assert parse_board(SMALL, HERE).stated_at("role", "D3") == [
        (line(SMALL, f"[role.D{n}]"), f"role.D{n}") for n in (1, 3)
    ]


def test_vet_changes_one_member(command: Runner) -> None:
    ran = command("vet", SIXTEEN, "FV3", "--resistance", "20 Ω", "--cable-length", "5 m", "--json")
    record = json.loads(ran.out)
    text = json.dumps(record, ensure_ascii=False)
    assert "load.FV3.resistance" in text and "36 Ω ±8 %" in text
    assert "load.FV3.cable.length" in text


def test_a_plan_is_written_into_a_short_file(command: Runner, tmp_path: Path) -> None:
    """One valve grows: its own switch is changed and no other."""
    text = TEXT.replace('parts = ["."]', f"parts = [{json.dumps(str(SAMPLES))}]").replace("1..FV16", "1..FV3")
    for name in ("VALVE", "TELL", "open", "Q"):
        text = text.replace(f"{name}1..{name}16", f"{name}1..{name}3")
    text = text.replace("Q17..Q32", "Q17..Q19").replace("D17..D32", "D17..D19").replace("D1..D16", "D1..D3")
    text = text.replace("FV16", "FV3").replace("most = 10", "most = 3")
    text += '\n[role.D2]\nfitted = "ARFJ-S30A"\n\n[rail.V30]\nvoltage = "30 V ±5 %"\ncurrent = "5 A"\n\n[load.FV2]\nrail = "V30"\n[role.D18]\nrail = "V30"\n'
    board, plan = tmp_path / "board.toml", tmp_path / "plan.toml"
    board.write_text(text, encoding="utf-8")
    before = parse_board(text, board).stated
    ran = command("plan", board, "--write", plan)
    assert plan.exists(), ran
    after = parse_board(plan.read_text(encoding="utf-8"), plan).stated
    changed = {name for name in before["role"] if before["role"][name] != after["role"][name]}
    assert changed and changed <= {"Q2", "D2", "D18"}, ran.out
    assert all(before[table] == after[table] for table in ("load", "drive", "rail"))
    assert '[role."Q1..Q3"]' in plan.read_text(encoding="utf-8")


def test_an_accepted_part_of_a_member_is_watched(command: Runner, tmp_path: Path) -> None:
    board, catalog = tmp_path / "board.toml", tmp_path / "catalog.sqlite"
    board.write_text(TEXT.replace('parts = ["."]', ""), encoding="utf-8")
    command("catalog", "import", SAMPLES, "--catalog", catalog)
    ran = command("accept", board, "Q3", "MOBY-F60-70", "--by", "Ada", "--note", "stock", "--catalog", catalog)
    assert ran.code == 0, ran
    other = board.read_text(encoding="utf-8").replace('rate = "1 /s"', 'rate = "2 /s"')
    board.write_text(other, encoding="utf-8")
    ran = command("records", "--catalog", catalog)
    assert "load.FV3.rate was 1 /s, is 2 /s" in " ".join(ran.out.split()), ran


def test_the_data_given_is_not_changed() -> None:
    data: dict[str, Any] = tomllib.loads(SMALL)
    before = deepcopy(data)
    write_out(data)
    assert data == before
