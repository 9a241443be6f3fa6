"""What is exported reads back as the identical parts, and nothing in it runs in a spreadsheet."""

import csv
import io
import re
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from partcheck.catalog import open_catalog
from partcheck.errors import PartsError
from partcheck.parameters import KINDS
from partcheck.parts import Part, Provenance, point_table, read_parts
from partcheck.parts.grid import guarded, unguarded
from partcheck.parts.layout import sheets_of, template
from partcheck.parts.writing import write_folder, write_sheets, write_workbook
from tests.command import SAMPLES
from tests.parts.test_round_trip import facts, parts

STORES = settings(deadline=None, max_examples=40, suppress_health_check=list(HealthCheck))
LISTS = st.lists(parts(), max_size=5, unique_by=lambda part: (part.kind, part.maker.casefold(), part.part_number))
HOSTILE = ("=1+1", "+1", "-x", "@SUM(A1)", "'quoted", "''", "'=x", "#1", "# 2", "_x0041_", "a,b;c", 'say "so"', "=cmd|' /C calc'!A0",
           "0012", "1e5", "2024-03-01", "TRUE", "µΩ Å θ ½ 漢 😀", "-", "n/a", "1,5", "x" * 20_000)  # fmt: skip


def hostile(text: str) -> Part:
    """A part with the text wherever a text may stand, and with numbers that are hard on spreadsheets."""
    values = {"description": text, "notes": text, "package": text, "vds_max": 60.000000000000014, "eas": 0.1 + 0.2, "price": 1 / 3,
              "tj_max": 423.15, "vgs_th_tempco": -0.0055}  # fmt: skip
    rows = [{"vgs": 4.5, "max": 0.1 / 3}, {"vgs": 10.0, "id": 2.0, "typ": 0.02}]
    source = Provenance(text, text, text, text, text, text, 3)
    tables = {"rds_on": point_table("mosfet", "rds_on", rows)}
    return Part(
        "mosfet", text, text, values, tables, {"*": source, "vds_max": Provenance(), "rds_on": Provenance(page="7")}
    )


def same(read: Sequence[Part], written: Sequence[Part]) -> None:
    """The same parts, in order within each kind."""
    for kind in KINDS:
        assert [facts(part) for part in read if part.kind == kind] == [
            facts(part) for part in written if part.kind == kind
        ]


@STORES
@given(LISTS)
@example([hostile(text) for text in HOSTILE])
def test_a_workbook_reads_back_as_the_identical_parts(
    tmp_path_factory: pytest.TempPathFactory, written: list[Part]
) -> None:
    path = tmp_path_factory.mktemp("export") / "parts.xlsx"
    write_workbook(path, sheets_of(written))
    if written:
        same(read_parts(path), written)


@STORES
@given(LISTS)
@example([hostile(text) for text in HOSTILE])
def test_a_folder_of_csv_reads_back_as_the_identical_parts(
    tmp_path_factory: pytest.TempPathFactory, written: list[Part]
) -> None:
    folder = tmp_path_factory.mktemp("export") / "parts"
    write_folder(folder, sheets_of(written))
    if written:
        same(read_parts(folder), written)


@given(st.text())
def test_guarding_loses_nothing(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert guarded(text)[:1] not in ("=", "+", "-", "@", "#", "\t", "\r", "\n")


def cells_of(path: Path) -> list[str]:
    """Every cell that a spreadsheet would find in a CSV file or a workbook, read by another library than ours."""
    if path.suffix == ".csv":
        return [cell for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"))) for cell in row]
    book = openpyxl.load_workbook(path)
    return [cell.value for sheet in book for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)]


def test_nothing_that_is_exported_runs_in_a_spreadsheet(tmp_path: Path) -> None:
    written = [hostile(text) for text in HOSTILE]
    write_workbook(tmp_path / "parts.xlsx", sheets_of(written))
    write_folder(tmp_path / "csv", sheets_of(written))
    files = [tmp_path / "parts.xlsx", *(tmp_path / "csv").iterdir()]
    cells = [cell for path in files for cell in cells_of(path)]
    assert "'=1+1" in cells
    assert not [
        cell for cell in cells if cell[:1] in "=+-@\t\r" and cell and not re.fullmatch(r"-?[0-9.e-]+( [VmK/]+)?", cell)
    ]
    with zipfile.ZipFile(tmp_path / "parts.xlsx") as archive:
        for name in archive.namelist():
            assert b"<f>" not in archive.read(name)


def test_the_samples_are_numbers_under_headers_with_handy_units(tmp_path: Path) -> None:
    write_workbook(tmp_path / "parts.xlsx", sheets_of(read_parts(SAMPLES)))
    book = openpyxl.load_workbook(tmp_path / "parts.xlsx")
    rows = list(book["mosfet.rds_on"].iter_rows(values_only=True))
    assert rows[0] == ("part_number", "maker", "vgs [V]", "id [mA]", "typ [mΩ]", "max [mΩ]")
    assert rows[1] == ("TALQ-30N52", "Talvik", 2.5, 2000, 67, 85)
    texts = [
        c.value for row in book["mosfet"].iter_rows(min_row=2, min_col=13) for c in row if isinstance(c.value, str)
    ]
    assert texts == []


def test_a_catalog_comes_back_from_each_form(tmp_path: Path) -> None:
    """Everything that the catalog states, through every form of export, into a new catalog."""
    from partcheck.parts.documents import to_document

    written = [*read_parts(SAMPLES), *(hostile(text) for text in HOSTILE)]
    with open_catalog(tmp_path / "first.sqlite", create=True) as catalog:
        catalog.add(written, "Jo", "2024-05-31")
        held = [part for kind in KINDS for part in catalog.parts(kind)]
    (tmp_path / "all.json").write_text(to_document(held), encoding="utf-8")
    write_sheets(tmp_path / "all.xlsx", sheets_of(held))
    write_sheets(tmp_path / "all", sheets_of(held))
    for name in ("all.json", "all.xlsx", "all"):
        with open_catalog(tmp_path / f"{name}.sqlite", create=True) as catalog:
            catalog.add(read_parts(tmp_path / name), "Jo", "2024-05-31")
            assert to_document(part for kind in KINDS for part in catalog.parts(kind)) == to_document(held), name


@pytest.mark.parametrize("kind", [*KINDS, "all"])
def test_an_empty_template_holds_no_parts_and_one_filled_in_does(tmp_path: Path, kind: str) -> None:
    kinds = list(KINDS) if kind == "all" else [kind]
    path = tmp_path / "new.xlsx"
    sheets = list(template(kinds))
    write_workbook(path, sheets)
    assert read_parts(path) == []
    assert all(len(sheet.name) <= 31 for sheet in sheets)
    book = openpyxl.load_workbook(path)
    for name in kinds:
        book[name].append(["X1", "Acme", "from the template"])
        for table in KINDS[name].tables:
            headers = [str(cell.value).partition(" [")[0] for cell in book[f"{name}.{table.name}"][1]]
            assert headers == ["part_number", "maker", *table.columns()]
    book.save(path)
    assert [(part.kind, part.word("description")) for part in read_parts(path)] == [
        (k, "from the template") for k in kinds
    ]


def test_a_template_tells_units_meanings_and_words_to_choose(tmp_path: Path) -> None:
    write_workbook(tmp_path / "mosfet.xlsx", template(["mosfet"]))
    sheet = openpyxl.load_workbook(tmp_path / "mosfet.xlsx")["mosfet"]
    table: dict[Any, Any] = {head.value: below.value for head, below in zip(sheet[1], sheet[2], strict=True)}
    assert table["vds_max [V]"] == "# V_DSS, drain-source rating"
    assert table["qg_typ [nC]"] == "# Q_g, total gate charge, typ"
    assert any('"N,P"' in rule.formula1 for rule in sheet.data_validations.dataValidation)


def test_a_template_of_csv_files_goes_together(tmp_path: Path) -> None:
    write_sheets(tmp_path / "led.new.csv", list(template(["led"])))
    for name, row in (("led.new.csv", "L1,Acme"), ("led.new.vf.csv", "L1,Acme,20,1.8,2,2.2")):
        with (tmp_path / name).open("a", encoding="utf-8") as file:
            file.write(row + "\n")
    (part,) = read_parts(tmp_path / "led.new.csv")
    assert part.table("vf").columns["max"] == (2.2,)
    with pytest.raises(PartsError, match=r"would not be read as led; name led\.csv or a folder"):
        write_sheets(tmp_path / "x.csv", list(template(["led"])))


def test_what_no_cell_can_hold_is_refused_and_nothing_is_left_behind(tmp_path: Path) -> None:
    long = hostile("x")
    long.values["notes"] = "y" * 40_000  # type: ignore[index]
    with pytest.raises(PartsError, match=r"notes of x has 40000 characters; write \.json instead"):
        write_sheets(tmp_path / "parts.xlsx", sheets_of([long]))
    long.values["notes"] = "y" * 140_000  # type: ignore[index]
    with pytest.raises(PartsError, match=r"notes of x has 140000 characters"):
        write_sheets(tmp_path / "parts", sheets_of([long]))
    assert list(tmp_path.iterdir()) == []
