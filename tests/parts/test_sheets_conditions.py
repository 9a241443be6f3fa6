"""Values of tables with their conditions in columns beside them: ``VF max (V) | @IF (mA)``."""

import tomllib
from pathlib import Path

import pytest

from partcheck.parts.documents import to_record
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
    (
        "Part;Maker;VF (V);@IF (mA)\nL1;Acme;2.4;20\n",
        "@IF (mA): it is a condition of 'VF (V)', which does not say which",
    ),
    ("Part;Maker;VF max (V);@VGS (V)\nL1;Acme;2.4;20\n", "@VGS (V): it is not a condition of vf; it has i_f"),
    ("Part;Maker;Colour;@IF (mA)\nL1;Acme;red;20\n", "@IF (mA): it follows no value of a table"),
    ("Part;Maker;VF max (V);@IF (mA);@IF (mA)\nL1;Acme;2.4;20;30\n", "@IF (mA): it is the condition i_f of vf again"),
    ("Part;Maker;VF max (V);@IF (V)\nL1;Acme;2.4;20\n", "has the unit 'V', which does not suit it"),
    (
        "Part;Maker;VF @ 20 mA (V)\nL1;Acme;2.4\n",
        "it does not say which bound it is; write min or typ or max before the @",
    ),
    ("Part;Maker;VF max @ 20 (V)\nL1;Acme;2.4\n", "it has '20' after the @, which does not say which condition"),
    ("Part;Maker;VF max @ 20 mA, 25 °C (V)\nL1;Acme;2.4\n", "it has '25 °C' after the @, which does not say which"),
]


@pytest.mark.parametrize(("sheet", "sentence"), UNCLEAR)
def test_what_is_not_clear_is_told_once_and_no_part_is_made(tmp_path: Path, sheet: str, sentence: str) -> None:
    found, _ = read(tmp_path, sheet)
    only, *_ = told(found)
    assert len(told(found)) == 1 or "@IF (V)" in sheet
    assert "led.csv row 1, column" in only and sentence in only
    assert not found.parts


def test_where_a_table_may_be_stated_is_told_with_its_header_as_written(tmp_path: Path) -> None:
    found, _ = read(tmp_path, "Part;Maker;VF max (V);Test IF\nL1;Acme;2.4;20\n")
    table, strange = told(found)
    assert table.endswith(
        "state it in rows of i_f, min, typ, max in led.vf.csv, or with its conditions right after it: @i_f; "
        "in a header, vf max @ i_f = 20 mA"
    )
    assert "column Test IF: it is not a column of an LED" in strange


IN_HEADERS = (
    "Part,Maker,RDS(on) max @ VGS=4.5V (mΩ),RDS(on) max [mΩ] @ VGS = 10 V; ID = 2 A,VGS(th) max (V)\nM1,Acme,28,20,2\n"
)


def test_a_header_has_its_conditions_in_itself(tmp_path: Path) -> None:
    found, reading = read(tmp_path, IN_HEADERS, name="mosfet")
    assert told(found) == []
    columns = found.parts[0].table("rds_on").columns
    assert (columns["vgs"], columns["max"]) == ((4.5, 10.0), (0.028, 0.02))
    assert columns["id"][1] == 2.0 and columns["id"][0] != 2.0
    (tmp_path / "map.toml").write_text(mapping_text(reading.used), encoding="utf-8")
    again, _ = read(tmp_path, IN_HEADERS, read_mapping(tmp_path / "map.toml"), name="mosfet")
    assert [str(part.tables) for part in again.parts] == [str(part.tables) for part in found.parts]


def test_a_condition_that_no_value_names_is_told(tmp_path: Path) -> None:
    (tmp_path / "map.toml").write_text('format = 1\n[sheet.led]\n[sheet.led.columns]\n"Test at" = "condition"\n')
    found, _ = read(tmp_path, "Part,Maker,Test at\nL1,Acme,20 mA\n", read_mapping(tmp_path / "map.toml"))
    assert any("column 'Test at' (column C): it is not a column of an LED" in sentence for sentence in told(found)), (
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


def test_a_rating_needs_no_word_for_its_bound(tmp_path: Path) -> None:
    """``IF max`` says it already, and an absolute maximum rating has no other bound; a typical value might be meant
    by ``RthJA`` alone."""
    found, _ = read(tmp_path, "Part;Maker;IF max (mA);@temperature (°C)\nL1;Acme;30;60\n")
    assert told(found) == []
    assert found.parts[0].table("if_max").columns["max"] == (0.03,)
    found, _ = read(tmp_path, "Part;Maker;IF(AV) (A);@T;@reference\nD1;Acme;1;75;ambient\n", name="diode")
    assert told(found) == []
    assert found.parts[0].table("if_av").columns["max"] == (1.0,)
    found, _ = read(tmp_path, "Part;Maker;RthJA;@copper_area;@mounting\nL1;Acme;400;0;free-air\n")
    assert "does not say which bound it is" in told(found)[0]


@pytest.mark.parametrize("header", ["ID (A);@T (°C);@reference", "ID @ 25 °C and case (A);notes;description"])
def test_conditions_tell_which_of_several_tables_is_meant(tmp_path: Path, header: str) -> None:
    found, _ = read(tmp_path, f"Part;Maker;{header}\nM1;Acme;4.2;25;case\n", name="mosfet")
    assert told(found) == []
    assert found.parts[0].table("id_max").columns["max"] == (4.2,)
    assert not len(found.parts[0].table("soa"))


def test_what_may_be_several_tables_without_conditions_names_them(tmp_path: Path) -> None:
    found, _ = read(tmp_path, "Part;Maker;ID (A)\nM1;Acme;4.2\n", name="mosfet")
    (only,) = told(found)
    assert "write id_max or soa with its conditions right after it (columns that begin with @), or plateau_id" in only


def test_bounds_at_one_condition_are_one_point_however_it_is_spelled(tmp_path: Path) -> None:
    found, _ = read(tmp_path, "Part;Maker;VF typ @ 20mA;VF max @ 20 mA\nL1;Acme;1.9 V;2.4 V\n")
    assert told(found) == []
    columns = found.parts[0].table("vf").columns
    assert (columns["i_f"], columns["typ"], columns["max"]) == ((0.02,), (1.9,), (2.4,))


def test_words_may_be_conditions_in_a_header_and_no_copper_needs_no_unit(tmp_path: Path) -> None:
    for header, cells in (
        ("RthJA max @ 0 mm² and minimum (K/W)", "400"),
        ("RthJA max;@copper_area;@mounting", "400;0;minimum"),
    ):
        found, _ = read(tmp_path, f"Part;Maker;{header}\nL1;Acme;{cells}\n")
        assert told(found) == []
        (row,) = to_record(found.parts[0])["theta_ja"]
        assert row == {"copper_area": 0.0, "mounting": "minimum", "max": 400.0}
    found, _ = read(tmp_path, "Part;Maker;RthJA max;@copper_area;@mounting\nL1;Acme;400;5;minimum\n")
    assert "a number alone does not say its unit" in told(found)[0]


def test_a_decimal_comma_in_a_point_names_the_option(tmp_path: Path) -> None:
    found, _ = read(tmp_path, "Part;Maker;VF max;@IF\nL1;Acme;2,4 V;20 mA\n")
    assert "or read the sheets with --decimal comma" in told(found)[0]
