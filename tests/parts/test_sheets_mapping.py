"""Sheets that only their user can explain: the mapping, how it is written, and what is wrong with one."""

import tomllib
from pathlib import Path

import openpyxl
import pytest

from partcheck.errors import PartsError
from partcheck.parts.mapping import Mapping, Reading, mapping_text, read_mapping
from partcheck.parts.read import collect
from partcheck.parts.sheets import Collected

OWN = [
    ["Drawer 3"],
    [],
    ["Type", "By", "Vds", "Rds @4V5", "Rds @10V", "Shelf", None, "RG"],
    ["M1", "Acme", 60, 45, 28, "A3", None, "n/a"],
    ["M2", "Acme", "-", None, "28 mΩ", "A4", None, "2,5 Ω"],
]
MAP = """\
format = 1
decimal = "comma"
blanks = ["n/a", "-"]
[sheet."Power FETs"]
holds = "mosfet"
[sheet."Power FETs".columns]
"Type" = "part_number"
"By" = "maker"
"Vds" = { column = "vds_max", unit = "V" }
"Rds @4V5" = { column = "rds_on.max", unit = "mΩ", vgs = "4.5 V" }
"Rds @10V" = { column = "rds_on.max", unit = "mΩ", vgs = "10 V" }
"Shelf" = "nothing"
"column H" = "rg_int_max"
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    made = openpyxl.Workbook()
    made.active.title = "Power FETs"
    for row in OWN:
        made.active.append(row)
    made.create_sheet("Lists").append(["x"])
    made.save(tmp_path / "own.xlsx")
    return tmp_path / "own.xlsx"


def mapped(path: Path, text: str) -> tuple[Collected, Reading]:
    (path.parent / "map.toml").write_text(text, encoding="utf-8")
    reading = Reading(read_mapping(path.parent / "map.toml"))
    return collect(path, reading), reading


def test_a_mapping_explains_sheet_headers_units_blanks_commas_and_points(book: Path) -> None:
    found, _ = mapped(book, MAP + '[sheet.Lists]\nholds = "nothing"\n')
    assert [str(cell) for cell in found.bad] == []
    first, second = found.parts
    assert first.values == {"vds_max": 60.0}
    assert first.table("rds_on").columns["vgs"] == (4.5, 10.0)
    assert first.table("rds_on").columns["max"] == (0.045, 0.028)
    assert second.values == {"rg_int_max": 2.5}
    assert second.table("rds_on").columns["max"] == (0.028,)


def test_without_a_mapping_each_thing_that_is_not_clear_is_told(book: Path) -> None:
    found = collect(book, Reading())
    told = [str(cell) for cell in found.bad]
    assert [sentence.split(":")[0] for sentence in told] == ["own.xlsx sheet Power FETs", "own.xlsx sheet Lists"]
    assert not found.parts
    found, _ = mapped(book, MAP.replace('"n/a", "-"', "").replace('"Shelf" = "nothing"\n', ""))
    told = [str(cell) for cell in found.bad]
    assert any("column 'RG' (rg_int_max): 'n/a' is not a number; leave it empty" in sentence for sentence in told)
    assert any("column Shelf: it is not a column of a MOSFET" in sentence for sentence in told)
    assert any("column 'Vds' (vds_max): '-'" in sentence for sentence in told)


def test_a_saved_mapping_is_used_again_to_the_same_end(book: Path) -> None:
    """What was used is written; what was not known is marked, and marked it is still not known."""
    first, reading = mapped(book, MAP + '[sheet.Lists]\nholds = "nothing"\n')
    again, once_more = mapped(book, mapping_text(reading.used))
    assert not again.bad
    assert [part.values for part in again.parts] == [part.values for part in first.parts]
    assert mapping_text(once_more.used) == mapping_text(reading.used)
    unclear, reading = mapped(book, MAP.replace('"Shelf" = "nothing"\n', ""))
    saved = mapping_text(reading.used)
    assert tomllib.loads(saved)["sheet"]["Power FETs"]["columns"]["Shelf"] == "?"
    assert tomllib.loads(saved)["sheet"]["Lists"]["holds"] == "?"
    still, _ = mapped(book, saved)
    assert [str(cell) for cell in still.bad] == [str(cell) for cell in unclear.bad]
    mended, _ = mapped(
        book, saved.replace('"Shelf" = "?"', '"Shelf" = "notes"').replace('holds = "?"', 'holds = "nothing"')
    )
    assert not mended.bad
    assert mended.parts[0].word("notes") == "A3"


def test_a_mapping_of_one_sheet_holds_for_a_lone_csv_file_of_any_name(tmp_path: Path) -> None:
    (tmp_path / "mosfet.june.csv").write_text("Type;By;Vds\nM1;Acme;60,5\n", encoding="utf-8")
    found, _ = mapped(tmp_path / "mosfet.june.csv", MAP)
    assert not found.bad
    assert found.parts[0].values == {"vds_max": 60.5}


def test_names_of_sheets_and_headers_may_hold_any_character(tmp_path: Path) -> None:
    made = openpyxl.Workbook()
    made.active.title = 'it\'s "mine" é'
    made.active.append(["part_number", "maker", 'Vds "max" \\ [V]'])
    made.active.append(["M1", "Acme", 60])
    made.save(tmp_path / "mosfet.xlsx")
    reading = Reading()
    assert collect(tmp_path / "mosfet.xlsx", reading).parts[0].values == {"vds_max": 60.0}
    again, _ = mapped(tmp_path / "mosfet.xlsx", mapping_text(reading.used))
    assert again.parts[0].values == {"vds_max": 60.0}


WITHIN = [
    ('"Shelf" = "vds_mx"', "column 'Shelf' (vds_mx): it is not a column of a MOSFET; did you mean vds_max?"),
    ('"Shelf" = "vds_max"', "column 'Vds' (vds_max): it is in the header twice"),
    ('"Shelf" = { column = "vgs_max", unit = "A" }', "has the unit 'A', which does not suit it"),
    (
        '"Shelf" = { column = "rds_onn.max", vgs = "5 V" }',
        "column rds_onn: it is not a table of a MOSFET; correct the mapping",
    ),
    ('"Shelf" = { column = "rds_on.min", vgs = "5 V" }', "it is not a value of rds_on; it has typ and max"),
    ('"Shelf" = { column = "rds_on.max", tj = "5 °C" }', "column tj: it is not a condition of rds_on; it has vgs, id"),
    ('"Shelf" = { column = "rds_on.max", vgs = "5 A" }', "column rds_on.vgs: '5 A' is not a voltage"),
    ('"Shelf" = { column = "rds_on.max", vgs = "5 V" }', "row 4, column rds_on.max: 'A3' is not a resistance"),
    (
        '"Shelf" = { column = "rds_on.max", vgs = "10 V" }',
        "column rds_on.max: it appears twice at the same conditions; keep one",
    ),
]


@pytest.mark.parametrize(("line", "expected"), WITHIN)
def test_a_mapping_to_what_is_not_there_is_told(book: Path, line: str, expected: str) -> None:
    found, _ = mapped(book, MAP.replace('"Shelf" = "nothing"', line) + '[sheet.Lists]\nholds = "nothing"\n')
    cells = [str(cell) for cell in found.bad]
    assert any(expected in sentence for sentence in cells), cells


def test_the_same_conditions_twice_are_told_however_they_are_written(book: Path) -> None:
    twice = MAP.replace('{ column = "vds_max", unit = "V" }', '{ column = "rds_on.max", unit = "mΩ", vgs = "10.0 V" }')
    found, _ = mapped(book, twice + '[sheet.Lists]\nholds = "nothing"\n')
    (sentence,) = map(str, found.bad)
    assert "row 4, column rds_on.vgs and id: it is the same as in an earlier row of this part" in sentence


FILES = [
    ("x = ", "is not a mapping in TOML"),
    ("decimal = 'point'\n", "must say which format it has; write format = 1"),
    ("format = 1\ndecimal = 'dot'\n", "says decimal = 'dot'; write"),
    ("format = 1\nblanks = 'x'\n", "has blanks that are not a list of texts"),
    ("format = 1\nsheets = 1\n", "there is no key 'sheets'; did you mean sheet?"),
    ("format = 1\nsheet = 1\n", "has a key sheet that is not a table"),
    ("format = 1\n[sheet.a]\nholds = 'mosfets'\n", "holds 'mosfets', which is not something that a sheet holds; did you mean mosfet?"),
    ("format = 1\n[sheet.a]\nheader = -1\n", "has the header -1; write the number of its row"),
    ("format = 1\n[sheet.a]\ncolumns = 1\n", "has columns that are not a table"),
    ("format = 1\n[sheet.a.columns]\nb = 1\n", "header 'b' is mapped to 1, which is not a column"),
    ("format = 1\n[sheet.a.columns]\nb = { column = 'eas', vgs = '1 V' }\n", "eas is not a value of a table"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), FILES)
def test_a_file_that_is_no_mapping_is_one_sentence(tmp_path: Path, text: str, expected: str) -> None:
    (tmp_path / "map.toml").write_text(text, encoding="utf-8")
    with pytest.raises(PartsError) as caught:
        read_mapping(tmp_path / "map.toml")
    assert expected in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_mapping_says_nothing_of_what_it_does_not_name() -> None:
    assert Mapping().of("mosfet").holds == ""


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_point_before_three_digits_is_not_read_where_numbers_have_commas(tmp_path: Path, kind: str) -> None:
    rows: list[list[object]] = [
        ["part_number", "maker", "vds_max", "price", "quantity"],
        ["M1", "Acme", "60", "2.000", ""],
        ["M2", "Acme", "60", "1,5", ""],
        ["M3", "Acme", "60 V", "0.125", "1.250"],
        ["M4", "Acme", "60", "2.0000", ""],
    ]
    path = tmp_path / f"mosfet.{kind}"

    def told() -> list[str]:
        if kind == "csv":
            path.write_text("\n".join(";".join(map(str, row)) for row in rows), encoding="utf-8")
        else:
            made = openpyxl.Workbook()
            for row in rows:
                made.active.append(row)
            made.save(path)
        return [f"{cell.row} {cell.column}: {cell}" for cell in collect(path, Reading()).bad]

    first, second, third = told()
    assert "write 2000 or 2.0000, whichever is meant" in first
    assert first.startswith("2 price: ")
    assert second.startswith("3 price: ")
    assert second.endswith("write 1.5, or read the sheets with --decimal comma")
    assert "write 1250 or 1.2500" in third
    rows[2][3] = "1.5"
    rows[3][4] = "1"
    assert told() == []  # nobody writes a decimal comma: 2.000 is 2
    if kind == "xlsx":
        rows[2][3], rows[1][3] = "1,5", 2.125  # a number of the spreadsheet is what it is
        (only,) = told()
        assert only.startswith("3 price: ")


def test_one_sheet_alone_may_have_decimal_commas(tmp_path: Path) -> None:
    made = openpyxl.Workbook()
    made.active.title = "here"
    there = made.create_sheet("there")
    for sheet, number, volts in ((made.active, "M1", "2,5"), (there, "M2", "2.5")):
        sheet.append(["part_number", "maker", "vds_max", "vgs_max", "rg_int_max"])
        sheet.append([number, "Acme", 60.5, "", volts])
    made.save(tmp_path / "own.xlsx")
    text = 'format = 1\n[sheet.here]\nholds = "mosfet"\ndecimal = "comma"\n[sheet.there]\nholds = "mosfet"\n'
    found, reading = mapped(tmp_path / "own.xlsx", text)
    assert [str(cell) for cell in found.bad] == []
    assert [part.values for part in found.parts] == [{"vds_max": 60.5, "rg_int_max": 2.5}] * 2
    (tmp_path / "used.toml").write_text(mapping_text(reading.used), encoding="utf-8")
    again = read_mapping(tmp_path / "used.toml")
    assert {name: said.decimal for name, said in again.sheets.items()} == {"here": "comma", "there": ""}
    with pytest.raises(PartsError, match="sheet 'here' says decimal = 'dot'; write"):
        mapped(tmp_path / "own.xlsx", text.replace("comma", "dot"))


@pytest.mark.parametrize("count", [1, 8])
def test_a_header_that_is_not_in_its_row_is_found_by_its_names(tmp_path: Path, count: int) -> None:
    """As in a file of rejected rows, whose header is its first row whatever it was in the source."""
    text = 'format = 1\n[sheet.own]\nholds = "mosfet"\nheader = 5\n[sheet.own.columns]\n"Type" = "part_number"\n'
    text += '"By" = "maker"\n"Volts" = { column = "vds_max", unit = "V" }\n'
    for above in (0, 4):
        made = openpyxl.Workbook()
        made.active.title = "own"
        for number in range(above):
            made.active.append([f"title {number}"])
        made.active.append(["Type", "By", "Volts"])
        for number in range(count):
            made.active.append([f"M{number}", "Acme", 60])
        made.save(tmp_path / "own.xlsx")
        found, _ = mapped(tmp_path / "own.xlsx", text)
        assert [str(cell) for cell in found.bad] == []
        assert [part.values for part in found.parts] == [{"vds_max": 60.0}] * count
