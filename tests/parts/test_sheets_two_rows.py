"""Headers of two rows: names above, min, typ and max below them; with merged cells and without."""

from pathlib import Path

import openpyxl
import pytest

from partcheck.parts.mapping import Reading, mapping_text, read_mapping
from partcheck.parts.read import collect
from partcheck.parts.rejects import write_rejects
from partcheck.parts.sheets import Collected

Rows = list[list[object]]
UPPER: Rows = [
    ["Drawer 3"],
    ["Part", "Maker", "VGS(th)", None, None, "VDS", "Qg"],
    [None, None, "min [V]", "Typ.", "max (V)", "max / V", "typ [nC]"],
    ["M1", "Acme", 1, 1.6, 2.2, 60, 12],
]
LOWER: Rows = [
    [None, None, "VGS(th)", None, None, None, "Qg"],
    ["Part", "Maker", "min [V]", "typ", "max (V)", "VDS max (V)", "typ [nC]"],
    ["M1", "Acme", 1, 1.6, 2.2, 60, 12],
]
MEANT = {"vgs_th_min": 1.0, "vgs_th_typ": 1.6, "vgs_th_max": 2.2, "vds_max": 60.0, "qg_typ": 12e-9}


def written(folder: Path, rows: Rows, kind: str = "xlsx", merge: str = "", name: str = "mosfet") -> Path:
    path = folder / f"{name}.{kind}"
    if kind == "csv":
        lines = [",".join("" if cell is None else str(cell) for cell in row) for row in rows]
        path.write_text("\n".join(lines), encoding="utf-8")
        return path
    book = openpyxl.Workbook()
    book.active.title = name
    for row in rows:
        book.active.append(row)
    for cells in merge.split():
        book.active.merge_cells(cells)
    book.save(path)
    return path


def told(found: Collected) -> list[str]:
    return [str(cell) for cell in found.bad]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize("rows", [UPPER, LOWER], ids=["names above", "names below"])
def test_two_rows_make_one_header(tmp_path: Path, rows: Rows, kind: str) -> None:
    found = collect(written(tmp_path, rows, kind), Reading())
    assert told(found) == []
    assert found.parts[0].values == pytest.approx(MEANT)


def test_merged_cells_of_both_kinds_are_read(tmp_path: Path) -> None:
    found = collect(written(tmp_path, UPPER, merge="A2:A3 B2:B3 C2:E2"), Reading())
    assert told(found) == []
    assert found.parts[0].values == pytest.approx(MEANT)


def test_a_name_goes_no_further_than_its_merged_cells(tmp_path: Path) -> None:
    """The maximum in column E stands under no name: it is not taken for that of the merged name to its left."""
    path = written(tmp_path, UPPER, merge="C2:D2")
    assert any("column max" in sentence for sentence in told(collect(path, Reading())))


def test_a_name_goes_no_further_than_what_stands_under_it(tmp_path: Path) -> None:
    rows: Rows = [
        ["Part", "Maker", "VGS(th)", None, None, None],
        [None, None, "min", "typ", None, "max"],
        ["M1", "Acme", 1, 1.6, None, 2.2],
    ]
    assert any("column max" in sentence for sentence in told(collect(written(tmp_path, rows), Reading())))


def test_the_same_bound_twice_under_one_name_is_told(tmp_path: Path) -> None:
    rows: Rows = [["Part", "Maker", "VGS(th)", None], [None, None, "max", "max"], ["M1", "Acme", 1, 2.2]]
    assert any("is in the header twice" in sentence for sentence in told(collect(written(tmp_path, rows), Reading())))


def test_units_may_stand_in_a_third_row(tmp_path: Path) -> None:
    rows: Rows = [
        ["Part", "Maker", "VGS(th)", None],
        [None, None, "min", "max"],
        [None, None, "mV", "mV"],
        ["M1", "Acme", 1000, 2200],
    ]
    found = collect(written(tmp_path, rows), Reading())
    assert told(found) == []
    assert found.parts[0].values == {"vgs_th_min": 1.0, "vgs_th_max": 2.2}


def test_a_name_with_nothing_under_it_is_whole(tmp_path: Path) -> None:
    rows: Rows = [["Part", "Maker", "VDS", None], [None, None, None, "max"], ["M1", "Acme", 60, 20]]
    assert any("column max" in sentence for sentence in told(collect(written(tmp_path, rows), Reading())))


def test_rejected_rows_have_the_header_in_one_row_and_are_read_again(tmp_path: Path) -> None:
    rows: Rows = [*UPPER, ["M2", "Acme", 3, 1.6, 2.2, 60, 12]]
    found = collect(written(tmp_path, rows, merge="C2:E2"), Reading())
    assert [part.part_number for part in found.parts] == ["M1"]
    assert write_rejects(tmp_path / "again.xlsx", found) == 1
    again = collect(tmp_path / "again.xlsx", Reading())
    assert [(cell.column, cell.reason) for cell in again.bad] == [(cell.column, cell.reason) for cell in found.bad]


@pytest.mark.parametrize("title", [["On-resistance"], ["On-resistance", None, None, None, "RDS(on)", None]])
def test_a_sheet_of_points_keeps_its_bare_bounds(tmp_path: Path, title: list[object]) -> None:
    """A title above ``part_number`` is no name of the columns to its right; a name above the bounds is."""
    written(tmp_path, [["part_number", "maker"], ["M1", "Acme"]], "csv")
    rows: Rows = [title, ["part_number", "maker", "vgs", "id", "typ", "max"], ["M1", "Acme", 10, 2, 0.02, 0.028]]
    written(tmp_path, rows, "csv", name="mosfet.rds_on")
    found = collect(tmp_path / "mosfet.csv", Reading())
    assert told(found) == []
    assert found.parts[0].table("rds_on").columns["max"] == (0.028,)


def test_a_saved_mapping_of_two_rows_is_used_again_to_the_same_end(tmp_path: Path) -> None:
    path, reading = written(tmp_path, UPPER, merge="C2:E2"), Reading()
    first = collect(path, reading)
    (tmp_path / "map.toml").write_text(mapping_text(reading.used), encoding="utf-8")
    again = collect(path, Reading(read_mapping(tmp_path / "map.toml")))
    assert told(again) == []
    assert [part.values for part in again.parts] == [part.values for part in first.parts]


NAMES_IN_BOTH: list[tuple[Rows, str]] = [
    (
        [
            ["Part", "Maker", "VDS", None, "VGS(th)", None, "RDS(on)", None],
            [None, None, "VDS max (V)", "VGS max (V)", "min [V]", "V_GS(th) max (V)", "RDS(on) max (mΩ)", "@VGS (V)"],
            ["M1", "Acme", 60, 20, 1, 2.2, 28, 10],
        ],
        "C1:D1 E1:F1",
    ),
    (
        [
            ["Identity", None, "VDS max (V)", "VGS(th)", None, "VGS max (V)", "RDS(on) max (mΩ)", "@VGS (V)"],
            ["Part", "Maker", None, "min", "max", None, None, None],
            ["M1", "Acme", 60, 1, 2.2, 20, 28, 10],
        ],
        "",
    ),
]


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize(("rows", "merge"), NAMES_IN_BOTH, ids=["identity above", "identity below"])
def test_names_may_stand_in_both_rows(tmp_path: Path, rows: Rows, merge: str, kind: str) -> None:
    found = collect(written(tmp_path, rows, kind, merge if kind == "xlsx" else ""), Reading())
    assert told(found) == []
    assert found.parts[0].values == pytest.approx(
        {"vds_max": 60.0, "vgs_max": 20.0, "vgs_th_min": 1.0, "vgs_th_max": 2.2}
    )
    assert found.parts[0].table("rds_on").columns["max"] == (0.028,)


def test_a_name_under_another_is_not_taken_for_either(tmp_path: Path) -> None:
    rows: Rows = [["Part", "Maker", "VDS max (V)"], [None, None, "VGS max (V)"], ["M1", "Acme", 20]]
    assert told(collect(written(tmp_path, rows), Reading()))


def test_a_row_of_a_part_is_no_second_row_of_the_header(tmp_path: Path) -> None:
    rows: Rows = [["Part", "Maker", "Package"], ["M1", "Acme", "Case"]]
    found = collect(written(tmp_path, rows), Reading())
    assert [(part.part_number, part.values) for part in found.parts] == [("M1", {"package": "Case"})]
