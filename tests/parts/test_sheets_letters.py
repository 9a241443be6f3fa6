"""Columns without a name, mapped by their letters; and what a CSV file holds, said by a mapping."""

from pathlib import Path

import openpyxl
import pytest

from partcheck.errors import PartsError
from partcheck.parts.mapping import Mapping, Reading, mapping_text, read_mapping
from partcheck.parts.read import collect
from partcheck.parts.sheets import Collected

Rows = list[list[object]]
NAMELESS: Rows = [
    ["Part", "Maker", None, "VDS max (V)", None],
    ["M1", "Acme", "A3", 60, 2.5],
    ["M2", "Acme", "", 30, ""],
]
LETTERS = '"column C" = "notes"\n"column E" = { column = "vgs_th_max", unit = "V" }\n'


def written(folder: Path, name: str, rows: Rows) -> Path:
    path = folder / name
    if path.suffix == ".csv":
        lines = [",".join("" if cell is None else str(cell) for cell in row) for row in rows]
        path.write_text("\n".join(lines), encoding="utf-8")
        return path
    book = openpyxl.Workbook()
    book.active.title = path.stem
    for row in rows:
        book.active.append(row)
    book.save(path)
    return path


def mapping(folder: Path, columns: str = "", holds: str = "mosfet", sheet: str = "mosfet") -> Mapping:
    text = f'format = 1\n[sheet."{sheet}"]\nholds = "{holds}"\n[sheet."{sheet}".columns]\n{columns}'
    (folder / "map.toml").write_text(text, encoding="utf-8")
    return read_mapping(folder / "map.toml")


def told(found: Collected) -> list[str]:
    return [str(cell) for cell in found.bad]


@pytest.mark.parametrize("name", ["mosfet.csv", "mosfet.xlsx"])
def test_a_column_without_a_name_is_mapped_by_its_letter(tmp_path: Path, name: str) -> None:
    path, reading = written(tmp_path, name, NAMELESS), Reading(mapping(tmp_path, LETTERS))
    found = collect(path, reading)
    assert told(found) == []
    assert [part.values for part in found.parts] == [
        {"notes": "A3", "vds_max": 60.0, "vgs_th_max": 2.5},
        {"vds_max": 30.0},
    ]
    (tmp_path / "used.toml").write_text(mapping_text(reading.used), encoding="utf-8")
    again = collect(path, Reading(read_mapping(tmp_path / "used.toml")))
    assert told(again) == []
    assert [part.values for part in again.parts] == [part.values for part in found.parts]


def test_a_column_without_a_name_is_left_out_by_its_letter_or_told(tmp_path: Path) -> None:
    path = written(tmp_path, "mosfet.xlsx", NAMELESS)
    found = collect(path, Reading(mapping(tmp_path, '"column C" = "nothing"\n"column E" = "nothing"\n')))
    assert told(found) == []
    (only,) = told(collect(path, Reading()))
    assert only.endswith("or say with --map C=... what it is")


def test_a_letter_tells_two_columns_of_one_name_apart(tmp_path: Path) -> None:
    rows: Rows = [["Part", "Maker", "VDS max (V)", "VDS max (V)"], ["M1", "Acme", 60, 55]]
    path, reading = written(tmp_path, "mosfet.xlsx", rows), Reading(mapping(tmp_path, '"column C" = "nothing"\n'))
    found = collect(path, reading)
    assert told(found) == []
    assert found.parts[0].values == {"vds_max": 55.0}
    (tmp_path / "used.toml").write_text(mapping_text(reading.used), encoding="utf-8")
    assert collect(path, Reading(read_mapping(tmp_path / "used.toml"))).parts[0].values == {"vds_max": 55.0}


PLAIN: Rows = [["Part", "Maker", "VDS max (V)"], ["M1", "Acme", 60]]


def test_a_mapping_says_what_a_csv_file_holds_whatever_its_name(tmp_path: Path) -> None:
    path = written(tmp_path, "drawer 3.csv", PLAIN)
    (only,) = told(collect(path, Reading()))
    assert only.endswith("add a column kind, or say it with --map holds=mosfet")
    found = collect(path, Reading(mapping(tmp_path, sheet="drawer 3")))
    assert told(found) == []
    assert [(part.kind, part.values) for part in found.parts] == [("mosfet", {"vds_max": 60.0})]


def test_a_mapping_says_what_the_csv_files_of_a_folder_hold(tmp_path: Path) -> None:
    written(tmp_path, "drawer 3.csv", PLAIN)
    points: Rows = [["Part", "Maker", "VGS (V)", "max [mΩ]"], ["M1", "Acme", 10, 28]]
    written(tmp_path, "gates.csv", points)
    written(tmp_path, "shelves.csv", [["shelf"], ["A3"]])
    said = mapping(tmp_path, sheet="drawer 3")
    said.sheets |= mapping(tmp_path, holds="mosfet.rds_on", sheet="gates").sheets
    said.sheets |= mapping(tmp_path, holds="nothing", sheet="shelves").sheets
    found = collect(tmp_path, Reading(said))
    assert told(found) == []
    assert found.parts[0].table("rds_on").columns["max"] == (0.028,)


@pytest.mark.parametrize("holds", ["mosfet.rds_on", "provenance", "nothing"])
def test_a_csv_file_that_holds_no_parts_by_its_mapping_is_one_sentence(tmp_path: Path, holds: str) -> None:
    path = written(tmp_path, "gates.csv", PLAIN)
    with pytest.raises(PartsError, match=rf"gates\.csv holds no parts, but {holds} by its mapping; name the folder"):
        collect(path, Reading(mapping(tmp_path, holds=holds, sheet="gates")))
