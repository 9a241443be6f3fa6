"""Workbooks as people keep them: titles, merged and blank cells, units and symbols in headers, numbers as texts."""

import datetime
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from openpyxl.cell.cell import Cell

from partcheck.errors import PartsError
from partcheck.parts import Part, read_parts, workbook
from partcheck.parts.mapping import Reading, read_mapping
from partcheck.parts.package import Shown, shown_by
from partcheck.parts.read import collect, collect_parts

Save = Callable[..., Path]


@pytest.fixture
def save(tmp_path: Path) -> Save:
    """Save rows as sheets of a workbook; a cell is a value, or a value with its number format."""

    def _save(name: str = "own.xlsx", change: Callable[[Any], None] | None = None, **sheets: list[list[Any]]) -> Path:
        book = openpyxl.Workbook()
        book.remove(book.active)
        for title, rows in sheets.items():
            sheet = book.create_sheet(title.replace("__", "."))
            for number, row in enumerate(rows, 1):
                for place, value in enumerate(row, 1):
                    cell: Cell = sheet.cell(number, place)  # type: ignore[assignment]
                    cell.value = value[0] if isinstance(value, tuple) else value
                    if isinstance(value, tuple):
                        cell.number_format = value[1]
        if change:
            change(book)
        book.save(tmp_path / name)
        return tmp_path / name

    return _save


def told(path: Path) -> list[str]:
    return [str(cell) for cell in collect_parts(path)[1]]


def one(path: Path) -> Part:
    (part,) = read_parts(path)
    return part


def test_a_spreadsheet_of_a_users_own_is_read(save: Save) -> None:
    """Everything at once: a merged title, blank rows and columns, odd headers, look-alike signs, texts for numbers."""

    def change(book: Any) -> None:
        book["Power MOSFETs"].merge_cells("B1:H1")
        book["Legend"].sheet_state = "hidden"

    path = save(
        change=change,
        **{
            "Power MOSFETs": [
                [None, "Our transistors, drawer 3"],
                [],
                [],
                [
                    None,
                    "Part\u00a0No.",
                    "Manufacturer",
                    "VDS max (V)",
                    "VGS(th) max. [mV]",
                    "Qg typ (nC)",
                    None,
                    "EAS",
                    "R_g typ",
                ],
                [],
                [None, 7805, "Acme", "\u200960\u00a0V", 2500, "4.4", None, "100 \u03bcJ", "2.5 \u2126"],
                [None, " M2 ", "Acme", 60, "2500", 4.4, None, "0.1\u202fmJ", "2.5\u00a0Ω"],
                [],
            ],
            "MOSFET Rds(on)": [
                ["MPN", "Maker", "V_GS (V)", "I_D (A)", "R_DS(on) typ [mΩ]", "Max [m\u2126]"],
                [7805, "acme", 4.5, 2, 35, "45"],
                ["7805", "Acme", "10", 2, None, 28],
                ["M2", "Acme", 10, None, None, "28 m\u03a9"],
            ],
            "Legend": [["anything", "else"]],
        },
    )
    first, second = read_parts(path)
    values = {"vds_max": 60.0, "vgs_th_max": 2.5, "qg_typ": 4.4e-9, "eas": 1e-4, "rg_int_typ": 2.5}
    assert (first.part_number, first.maker, first.values) == ("7805", "Acme", values)
    assert (second.part_number, second.values) == ("M2", values)
    assert first.table("rds_on").columns["max"] == (0.045, 0.028)
    assert second.table("rds_on").columns["max"] == (0.028,)


def test_several_kinds_stand_in_one_workbook(save: Save) -> None:
    path = save(
        LEDs=[["part_number", "maker", "colour"], ["L1", "A", "red"]],
        bjt=[["part_number", "maker", "vceo [V]"], ["T1", "A", 45]],
        led__vf=[["part_number", "maker", "i_f [mA]", "typ [V]"], ["L1", "A", 20, 2]],
        hfe=[["part_number", "maker", "ic [mA]", "vce [V]", "min"], ["T1", "A", 1, 5, 110]],
        provenance=[["part_number", "maker", "parameter", "document"], ["T1", "A", "*", "DS-1"]],
    )
    led, bjt = sorted(read_parts(path), key=lambda part: part.kind, reverse=True)
    assert (led.kind, led.table("vf").columns["typ"]) == ("led", (2.0,))
    assert (bjt.kind, bjt.table("hfe").columns["min"], bjt.source("vceo")) == ("bjt", (110.0,), "DS-1")


def test_the_only_sheet_may_have_any_name_where_the_file_tells_the_kind(save: Save) -> None:
    rows = [["part_number", "maker"], ["M1", "Acme"]]
    assert one(save("mosfet.xlsx", Sheet1=rows)).kind == "mosfet"
    (sentence,) = told(save("parts.xlsx", Sheet1=rows))
    assert "is named after no kind of part and no table" in sentence
    assert "--map" in sentence
    mixed = [["kind", "part_number", "maker"], ["LED", "L1", "Acme"]]
    assert one(save("parts.xlsx", Sheet1=mixed)).kind == "led"


def test_remarks_and_the_column_of_reasons_are_passed_over(save: Save) -> None:
    rows = [
        ["part_number", "maker", "rejected because"],
        ["# the maker's own", "# who makes it"],
        ["M1", "Acme", "for no reason"],
        ["#2", "Acme", None],
    ]
    assert [part.part_number for part in read_parts(save(mosfet=rows))] == ["M1", "#2"]


HEADER = ["part_number", "maker", "vds_max [V]", "notes"]
CELLS = [
    ("=1/0", "'=1/0' is a formula that was never calculated"),
    (datetime.date(2024, 3, 11), "'2024-03-11' is a date to the spreadsheet"),
    (True, "'TRUE' is not a voltage"),
    ("n/a", "is not a number; leave it empty"),
    ("1,5", "a comma is not a decimal point"),
    ("6O", "'6O'"),
    ((6, '0" kV"'), "'6 kV' is outside 5 V..2 kV"),
    ((0.5, "0%"), "'50 %'"),
]


@pytest.mark.parametrize(("cell", "expected"), CELLS)
def test_a_bad_cell_of_a_workbook_is_told_by_its_place(save: Save, cell: Any, expected: str) -> None:
    path = save(mosfet=[HEADER, ["M0", "Acme", 60], ["M1", "Acme", cell]])
    good, bad = collect_parts(path)
    assert [part.part_number for part in good] == ["M0"]
    (sentence,) = map(str, bad)
    assert sentence.startswith("own.xlsx sheet mosfet row 3, column vds_max: ")
    assert expected in sentence


def _error(book: Any) -> None:
    cell = book["mosfet"]["D2"]
    cell.value, cell.data_type = "#N/A", "e"


def test_an_error_of_the_spreadsheet_is_told_even_where_texts_stand(save: Save) -> None:
    """A reader of plain values gives a blank for it, which would pass for 'not stated'."""
    (sentence,) = told(save(change=_error, mosfet=[HEADER, ["M1", "Acme", 60, "x"]]))
    assert "row 2, column notes: '#N/A' is an error of the spreadsheet; correct the formula" in sentence


def test_a_part_number_taken_for_a_date_is_told(save: Save) -> None:
    (sentence,) = told(save(mosfet=[HEADER, [datetime.date(2024, 3, 1), "Acme", 60]]))
    assert "column part_number: '2024-03-01' is a date to the spreadsheet; make the column text" in sentence


def test_a_date_where_a_text_is_meant_is_that_text(save: Save) -> None:
    sources = [
        ["part_number", "maker", "parameter", "entered_on"],
        ["M1", "Acme", "*", datetime.datetime(2024, 3, 11)],
    ]
    part = one(save(mosfet=[HEADER, ["M1", "Acme", 60]], provenance=sources))
    assert part.provenance["*"].entered_on == "2024-03-11"


def test_a_number_means_what_its_format_shows(save: Save) -> None:
    """28 shown as "28 mΩ" is 28 mΩ, and 0.1 shown as "10 %" under a header in per cent is 10 %, not 0.1 %."""
    path = save(
        mosfet=[["part_number", "maker", "rg_int_max"], ["M1", "Acme", (28, '0.0" m\u2126"')]],
        led=[["part_number", "maker", "if_peak_duty [%]"], ["L1", "Acme", (0.1, "0%")], ["L2", "Acme", 10]],
    )
    mosfet, first, second = read_parts(path)
    assert mosfet.number("rg_int_max") == 0.028
    assert first.number("if_peak_duty") == second.number("if_peak_duty") == 0.1


FORMATS = [
    ('0.0" mΩ"', Shown(0, "mΩ")), ("0.00\\ \\V", Shown(0, "V")), ("0%", Shown(2, "%")), ('0.0,"k"', Shown(-3, "k")),
    ("#,##0.00", None), ("General", None), ("yyyy-mm-dd", None), ("[$€-407] #,##0.00", None), ("0.00E+00", None),
    ('0.0" pieces"', None), ('0" V";[Red]-0" V"', Shown(0, "V")), ("@", None), ("0.0,", Shown(-3, "")),
]  # fmt: skip


@pytest.mark.parametrize(("code", "shown"), FORMATS)
def test_number_formats_are_read_for_units_and_percentages(code: str, shown: Shown | None) -> None:
    """Codes as ISO/IEC 29500-1, 18.8.31 describes them."""
    assert shown_by(code) == shown


def test_a_shown_number_keeps_its_digits() -> None:
    assert Shown(2, "%").text(0.1) == "10 %"
    assert Shown(-3, "k").text(4700.0) == "4.7 k"
    assert Shown(0, "mΩ").text(28.0) == "28 mΩ"


def test_a_merged_cell_has_its_value_in_the_first_row_alone(save: Save) -> None:
    def change(book: Any) -> None:
        book["mosfet"].merge_cells("B2:B3")
        book["mosfet.rds_on"].merge_cells("A2:A3")

    path = save(
        change=change,
        mosfet=[HEADER, ["M1", "Acme", 60], ["M2", None, 60]],
        mosfet__rds_on=[
            ["part_number", "maker", "vgs [V]", "max [mΩ]"],
            ["M1", "Acme", 4.5, 45],
            [None, "Acme", 10, 28],
        ],
    )
    merged = "is missing; its cell is merged with row 2, which alone has the value; write it in each row"
    sentences = told(path)
    assert len(sentences) == 2
    assert f"sheet mosfet row 3, column maker: it {merged}" in sentences[0]
    assert f"sheet mosfet.rds_on row 3, column part_number: it {merged}" in sentences[1]


def test_a_cell_under_no_header_is_told(save: Save) -> None:
    (sentence,) = told(save(mosfet=[["part_number", "maker"], ["M1", "Acme", None, "stray"]]))
    assert sentence == (
        "own.xlsx sheet mosfet row 2, column D: 'stray' has no name above it in the header; name the column, or empty "
        "the cell, or say with --map D=... what it is"
    )


def test_a_header_below_a_title_that_lacks_the_maker_is_told_by_its_row(save: Save) -> None:
    (sentence,) = told(save(mosfet=[["Our FETs"], [], ["Part no.", "VDS max (V)"], ["M1", 60]]))
    place = "own.xlsx sheet mosfet row 3, column maker"
    assert (
        sentence
        == f"{place}: it is missing from the header; give the sheet this column, or say with --map which one it is"
    )


UNITS = [
    ["Part", "Maker", "VDS max", "Qg typ", "Notes", "Qty"],
    [None, None, "V", "[nC]", "text", "-"],
    ["M1", "Acme", 60, 4.4],
]


def test_a_row_of_units_below_the_header_is_taken_as_such(save: Save) -> None:
    part = one(save(mosfet=UNITS))
    assert part.values == {"vds_max": 60.0, "qg_typ": 4.4e-9}
    points = [["Part", "Maker", "VGS", "max"], [None, None, "V", "mΩ"], ["M1", "Acme", 4.5, 45]]
    part = one(save(mosfet=UNITS, mosfet__rds_on=points))
    assert part.table("rds_on").columns["max"] == (0.045,)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ([None, None, "V", "nA"], "has the unit 'nA', which does not suit it"),
        ([None, None, "V", "nanocoulomb"], "has the unit 'nanocoulomb', which does not suit it"),
        (["", "", "", "nC", "", ""], None),
        ([None, "Acme", "V", "nC"], "row 2, column 'Part' (part_number): it is missing"),
        ([None, None, "volts", "x"], "row 2, column 'Part' (part_number): it is missing"),
    ],
)
def test_a_row_that_is_none_of_units_is_told(save: Save, row: list[Any], expected: str | None) -> None:
    sentences = told(save(mosfet=[UNITS[0], row, UNITS[2]]))
    assert any(expected in sentence for sentence in sentences) if expected else sentences == []


def test_a_unit_below_the_header_that_gainsays_it_is_told(save: Save) -> None:
    (told_of,) = told(save(mosfet=[["Part", "Maker", "VDS max (V)"], [None, None, "mV"], ["M1", "Acme", 60]]))
    assert (
        "row 1, column 'VDS max (V)' (vds_max): 'mV' is the unit in the row below the header, but the header or the mapping says V"
        in told_of
    )


def test_a_second_row_of_names_leaves_what_the_mapping_says(tmp_path: Path, save: Save) -> None:
    path = save(mosfet=[
        ["Part", "Maker", "Ratings", None, "Rds(on)", "Qg", "Price"],
        [None, None, "Vds (V)", "Id (A)", "@ 4,5 V", "nC", "EUR"],
        ["M1", "Acme", 60, 3, 40, 5, 0.1],
    ])  # fmt: skip
    (tmp_path / "map.toml").write_text(
        """format = 1
[sheet.mosfet]
header = 1
[sheet.mosfet.columns]
"column C" = { column = "vds_max", unit = "V" }
"column D" = "nothing"
"column E" = { column = "rds_on.max", unit = "mΩ", vgs = "4.5 V" }
"Qg" = "qg_max"
""",
        encoding="utf-8",
    )
    found = collect(path, Reading(read_mapping(tmp_path / "map.toml")))
    assert not found.bad
    (part,) = found.parts
    assert (
        part.values["vds_max"] == 60
        and part.values["qg_max"] == pytest.approx(5e-9)
        and part.values["currency"] == "EUR"
    )


def test_points_need_a_sheet_of_parts(save: Save) -> None:
    (sentence,) = told(save(mosfet__rds_on=[["part_number", "maker", "vgs", "max"], ["M1", "Acme", 10, 1]]))
    assert (
        sentence
        == "own.xlsx sheet mosfet.rds_on: it has no sheet mosfet beside it; give it one, or take mosfet.rds_on away"
    )


# --- files that are no workbook --------------------------------------------------------------------


def sentence(path: Path) -> str:
    with pytest.raises(PartsError) as caught:
        read_parts(path)
    assert "\n" not in str(caught.value)
    assert not caught.value.details
    assert str(path) in str(caught.value)
    return str(caught.value)


OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
FILES = [
    (b"", "is empty"),
    (b"part_number,maker\n", "is not an XLSX workbook; save it as .xlsx"),
    (b"PK\x03\x04 and then nothing", "is damaged or cut short"),
    (OLD + b"\0" * 600, "is a workbook of the old .xls format; save it as .xlsx"),
    (OLD + b"\0" * 99 + "EncryptedPackage".encode("utf-16-le"), "is locked with a password; save it without one"),
]


@pytest.mark.parametrize(("content", "expected"), FILES)
def test_a_file_that_is_no_workbook_is_one_sentence(tmp_path: Path, content: bytes, expected: str) -> None:
    path = tmp_path / "own.xlsx"
    path.write_bytes(content)
    assert expected in sentence(path)


@pytest.mark.parametrize("suffix", [".xls", ".xlsm", ".ods", ".xlsb"])
def test_a_workbook_of_another_format_is_one_sentence(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"own{suffix}"
    path.write_bytes(OLD)
    assert sentence(path).endswith("save it as .xlsx")


def test_places_without_a_workbook_are_one_sentence(tmp_path: Path) -> None:
    assert "is not there" in sentence(tmp_path / "own.xlsx")
    (tmp_path / "own.csv").write_bytes(b"PK\x03\x04abc")
    assert "is a workbook or archive, not text" in sentence(tmp_path / "own.csv")


def packed(
    path: Path, change: Callable[[str, bytes], bytes | None], rename: dict[str, str] | None = None, **more: bytes
) -> Path:
    """The same archive with its members changed; None takes one away."""
    members = {}
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            members[(rename or {}).get(name, name)] = change(name, archive.read(name))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in {**members, **{key.replace("__", "/"): value for key, value in more.items()}}.items():
            if data is not None:
                archive.writestr(name, data)
    return path


def test_a_workbook_that_is_damaged_within_is_one_sentence(save: Save) -> None:
    rows = [HEADER, ["M1", "Acme", 60]]
    cut = packed(save(mosfet=rows), lambda name, data: data[: len(data) // 2] if "sheet1" in name else data)
    assert "is damaged or not an XLSX workbook" in sentence(cut)
    gone = packed(save(mosfet=rows), lambda name, data: None if "workbook.xml" in name else data)
    assert "is damaged or not an XLSX workbook" in sentence(gone)


def test_a_workbook_that_names_its_parts_otherwise_is_one_sentence(save: Save) -> None:
    """The names within the package are free (ISO/IEC 29500-2); the fast reader insists on the usual ones."""
    renamed = packed(
        save(change=_error, mosfet=[HEADER, ["M1", "Acme", 60, "x"]]),
        lambda name, data: data.replace(b"/xl/workbook.xml", b"/xl/workbook2.xml").replace(
            b'"xl/workbook.xml', b'"xl/workbook2.xml'
        ),
        rename={"xl/workbook.xml": "xl/workbook2.xml", "xl/_rels/workbook.xml.rels": "xl/_rels/workbook2.xml.rels"},
    )
    assert "open it in a spreadsheet program and save it again as .xlsx" in sentence(renamed)


def test_a_workbook_with_macros_is_one_sentence(save: Save) -> None:
    path = packed(save(mosfet=[HEADER]), lambda name, data: data, **{"xl__vbaProject.bin": b"x"})
    assert "holds macros; save it as .xlsx, without them" in sentence(path)


def test_a_workbook_that_unpacks_without_end_is_refused(save: Save, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "UNPACKED", 10_000)
    path = packed(save(mosfet=[HEADER]), lambda name, data: data, **{"xl__filler.xml": b" " * 100_000})
    assert "unpacks to more than" in sentence(path)


def test_a_cell_far_away_is_told_before_it_takes_all_memory(save: Save) -> None:
    def far(book: Any) -> None:
        book["mosfet"]["ABC300000"] = "x"

    def formatted(book: Any) -> None:
        book["mosfet"]["XFD1048576"].number_format = "0.0"

    rows = [HEADER, ["M1", "Acme", 60]]
    assert "sheet mosfet has a cell as far away as ABC300000; delete what is there" in sentence(
        save(change=far, mosfet=rows)
    )
    assert one(save(change=formatted, mosfet=rows)).values == {"vds_max": 60.0}


def test_a_formula_counts_by_the_value_it_had(tmp_path: Path) -> None:
    """Written as a spreadsheet saves it, with the value beside the formula."""
    book = xlsxwriter.Workbook(tmp_path / "own.xlsx")
    sheet = book.add_worksheet("mosfet")
    sheet.write_row(0, 0, HEADER)
    sheet.write_row(1, 0, ["M1", "Acme"])
    sheet.write_formula(1, 2, "=10*6", None, 60)
    sheet.write_formula(1, 3, '="a"&"b"', None, "ab")
    book.close()
    assert one(tmp_path / "own.xlsx").values == {"vds_max": 60.0, "notes": "ab"}


def test_many_cells_with_a_format_of_their_own_are_read_in_good_time(tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(tmp_path / "own.xlsx")
    sheet, percent = book.add_worksheet("led"), book.add_format({"num_format": "0%"})
    sheet.write_row(0, 0, ["part_number", "maker", "if_peak_duty"])
    for row in range(1, 4001):
        sheet.write_row(row, 0, [f"L{row}", "Acme"])
        sheet.write_number(row, 2, 0.1, percent)
    book.close()
    start = time.process_time()
    parts = read_parts(tmp_path / "own.xlsx")
    assert {part.number("if_peak_duty") for part in parts} == {0.1}
    assert time.process_time() - start < 3


def test_a_workbook_without_any_cell_is_empty(save: Save) -> None:
    assert "is empty" in sentence(save(mosfet=[]))


@pytest.mark.parametrize("code", ['0.00 "ct"', '0.00" per 100"', '0"x1000"', '0.00" €/100"'])
@pytest.mark.parametrize("name", ["price", "quantity"])
def test_a_number_format_that_makes_another_price_or_quantity_is_refused(save: Save, name: str, code: str) -> None:
    (sentence,) = told(save(mosfet=[["part_number", "maker", name], ["M1", "Acme", (7, code)]]))
    assert f"row 2, column {name}: '7 " in sentence
    assert sentence.endswith("from its number format; type the number for one piece, in a plain number format")


@pytest.mark.parametrize("header", ["Price €", "price [EUR]", "Price (€)", "unit price in EUR", "Price/€"])
def test_the_header_of_the_price_may_name_its_currency(save: Save, header: str) -> None:
    part = one(save(mosfet=[["part_number", "maker", header], ["M1", "Acme", 0.5]]))
    assert part.values == {"price": 0.5, "currency": "EUR"}
    rows = [["part_number", "maker", header, "currency"], ["M1", "Acme", 0.5, "EUR"], ["M2", "Acme", 0.5, "USD"]]
    (sentence,) = told(save(mosfet=rows))
    assert "row 3, column currency: 'USD' contradicts EUR of the price; keep the one that is right" in sentence


@pytest.mark.parametrize("code", ['0.00 "€"', "#,##0.00\\ [$€-407]", "[$EUR] 0.00", '"EUR" 0.00'])
def test_the_number_format_of_a_price_may_name_its_currency(save: Save, code: str) -> None:
    rows = [["part_number", "maker", "price", "currency"], ["M1", "Acme", (0.5, code), None]]
    assert one(save(mosfet=rows)).values == {"price": 0.5, "currency": "EUR"}
    rows[1][3] = "USD"
    (sentence,) = told(save(mosfet=rows))
    assert "'USD' contradicts EUR" in sentence


def test_a_quantity_may_be_shown_in_pieces_and_a_price_is_no_percentage(save: Save) -> None:
    rows = [["part_number", "maker", "price", "quantity"], ["M1", "Acme", 0.5, (7, '0" pcs"')]]
    assert one(save(mosfet=rows)).values == {"price": 0.5, "quantity": 7.0}
    rows[1][2] = "50 %"
    (sentence,) = told(save(mosfet=rows))
    assert "column price: '50 %' is a part of something, and a plain number is wanted" in sentence


def test_a_price_may_be_typed_with_its_currency(save: Save) -> None:
    rows = [["part_number", "maker", "price"], ["M1", "Acme", "0.5 €"], ["M2", "Acme", 0.5]]
    first, second = read_parts(save(mosfet=rows))
    assert first.values == {"price": 0.5, "currency": "EUR"}
    assert second.values == {"price": 0.5}
