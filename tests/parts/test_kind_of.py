"""The kind of a sheet by its headers, where neither its name nor a column says it."""

from pathlib import Path

import openpyxl
import pytest

from partcheck.parts.kind_of import is_general, kind_of
from partcheck.parts.mapping import Reading
from partcheck.parts.read import collect

ID = ["Part number", "Maker", "Package", "Price (EUR)"]


@pytest.mark.parametrize(
    ("headers", "kind"),
    [
        (["VDS max (V)", "VGS max [V]"], "mosfet"),
        (["VCEO", "IC max (A)", "hFE min @ IC = 1 mA and VCE = 5 V"], "bjt"),
        (["VF typ @ 20mA", "IV min @ 20 mA (mcd)"], "led"),
        (["VRRM (V)", "VF max (V)", "@IF (A)"], "diode"),
        (["Vin max (V)", "Dropout max (V)", "@iout"], "regulator"),
        (["Poles", "Pitch (mm)", "Rated current (A)"], "terminal"),
        (["VDS max (V)"], ""),  # one may be chance
        (["VF max (V)", "Tj max"], ""),  # LED or diode
        (["VDS max (V)", "VGS max (V)", "VRRM (V)", "vf"], ""),  # some of two kinds
        (["Capacitance", "Voltage"], ""),
    ],
)
def test_one_kind_alone_must_know_the_headers(headers: list[str], kind: str) -> None:
    assert kind_of([*ID, *headers]) == kind


def test_prices_and_stock_are_of_any_kind() -> None:
    assert is_general([*ID, "Stock", ""])
    assert not is_general([*ID, "VDS max"])
    assert not is_general([])


def test_a_workbook_as_a_spreadsheet_names_it_and_a_file_of_any_name_are_read(tmp_path: Path) -> None:
    rows = [["Part", "Maker", "VDS max (V)", "VGS max (V)"], ["M1", "Acme", 60, 20]]
    book = openpyxl.Workbook()
    book.active.title = "Sheet1"
    for row in rows:
        book.active.append(row)
    book.save(tmp_path / "own parts.xlsx")
    (tmp_path / "stock.csv").write_text("\n".join(",".join(map(str, row)) for row in rows), encoding="utf-8")
    for name in ("own parts.xlsx", "stock.csv"):
        (part,) = collect(tmp_path / name, Reading()).parts
        assert (part.kind, part.values) == ("mosfet", {"vds_max": 60.0, "vgs_max": 20.0}), name
