"""Values of tables with their conditions in columns beside them: ``VF max (V) | @IF (mA)``."""

import tomllib
from pathlib import Path

import pytest

from partcheck.parts.mapping import Mapping, Reading, mapping_text, read_mapping
from partcheck.parts.read import collect
from partcheck.parts.sheets import Collected

LEDS = """\
Part;Maker;VF typ (V);VF max [V];@IF (mA);IV min (mcd);@ IF [mA]
L1;Acme;2.0;2.4;20;45;10
L2;Acme;;3.1;5;;
"""


def read(folder: Path, sheet: str, mapping: Mapping | None = None, name: str = "led") -> tuple[Collected, Reading]:
    (folder / f"{name}.csv").write_text(sheet, encoding="utf-8")
    reading = Reading(mapping or Mapping())
    return collect(folder / f"{name}.csv", reading), reading


def told(found: Collected) -> list[str]:
    return [str(cell) for cell in found.bad]


def test_each_value_has_the_condition_beside_it(tmp_path: Path) -> None:
    found, reading = read(tmp_path, LEDS)
    assert told(found) == []
    first, second = found.parts
    forward, light = first.table("vf").columns, first.table("iv").columns
    assert (forward["i_f"], forward["typ"], forward["max"]) == ((0.02,), (2.0,), (2.4,))
    assert (light["i_f"], light["min"]) == ((0.01,), (0.045,))
    assert (second.table("vf").columns["i_f"], second.table("vf").columns["max"]) == ((0.005,), (3.1,))
    assert not len(second.table("iv"))

    saved = mapping_text(reading.used)
    columns = tomllib.loads(saved)["sheet"]["led"]["columns"]
    assert columns["VF max [V]"] == {"column": "vf.max", "unit": "V", "i_f": "column E"}
    assert columns["@ IF [mA]"] == {"column": "condition", "unit": "mA"}
    (tmp_path / "map.toml").write_text(saved, encoding="utf-8")
    again, _ = read(tmp_path, LEDS, read_mapping(tmp_path / "map.toml"))
    assert told(again) == []
    assert [str(part.tables) for part in again.parts] == [str(part.tables) for part in found.parts]


def test_two_conditions_stand_beside_one_value(tmp_path: Path) -> None:
    sheet = "Part,Maker,Rds(on) max [mΩ],@VGS [V],@ID\nM1,Acme,28,10,2 A\n"
    found, _ = read(tmp_path, sheet, name="mosfet")
    assert told(found) == []
    columns = found.parts[0].table("rds_on").columns
    assert (columns["vgs"], columns["id"], columns["max"]) == ((10.0,), (2.0,), (0.028,))


def test_decimal_commas_and_units_below_hold_for_conditions_too(tmp_path: Path) -> None:
    sheet = "Part;Maker;VF max;@IF\n;;V;mA\nL1;Acme;2,4;2,5\n"
    found, _ = read(tmp_path, sheet, Mapping(decimal_comma=True))
    assert told(found) == []
    columns = found.parts[0].table("vf").columns
    assert (columns["i_f"], columns["max"]) == ((0.0025,), (2.4,))


def test_a_value_without_its_condition_is_told(tmp_path: Path) -> None:
    found, _ = read(tmp_path, LEDS.replace(";3.1;5;", ";3.1;;"))
    (only,) = told(found)
    assert "row 3, column vf.i_f: it is missing; a row of vf holds at one i_f" in only


UNCLEAR = [
    "Part;Maker;VF (V);@IF (mA)\nL1;Acme;2.4;20\n",  # which bound
    "Part;Maker;VF max (V);@VGS (V)\nL1;Acme;2.4;20\n",  # no condition of it
    "Part;Maker;Colour;@IF (mA)\nL1;Acme;red;20\n",  # no value of a table
    "Part;Maker;VF max (V);@IF (mA);@IF (mA)\nL1;Acme;2.4;20;30\n",  # twice
    "Part;Maker;VF max (V);@IF (V)\nL1;Acme;2.4;20\n",  # a unit that does not suit
]


@pytest.mark.parametrize("sheet", UNCLEAR)
def test_what_is_not_clear_is_told_and_no_part_is_made(tmp_path: Path, sheet: str) -> None:
    found, _ = read(tmp_path, sheet)
    assert any("row 1, column" in sentence for sentence in told(found)), told(found)
    assert not found.parts


def test_a_condition_that_no_value_names_is_told(tmp_path: Path) -> None:
    (tmp_path / "map.toml").write_text('format = 1\n[sheet.led]\n[sheet.led.columns]\n"Test at" = "condition"\n')
    found, _ = read(tmp_path, "Part,Maker,Test at\nL1,Acme,20 mA\n", read_mapping(tmp_path / "map.toml"))
    assert any("column 'Test at' (column C): it is not a column of a led" in sentence for sentence in told(found)), (
        told(found)
    )


def test_a_mapping_says_whose_condition_a_column_is_whatever_its_name(tmp_path: Path) -> None:
    text = """\
format = 1
[sheet.led.columns]
"Vf" = { column = "vf.max", unit = "V", i_f = "column D" }
"Test at" = { column = "condition", unit = "mA" }
"""
    (tmp_path / "map.toml").write_text(text, encoding="utf-8")
    found, _ = read(tmp_path, "Part,Maker,Vf,Test at\nL1,Acme,2.4,20\n", read_mapping(tmp_path / "map.toml"))
    assert told(found) == []
    assert found.parts[0].table("vf").columns["i_f"] == (0.02,)
