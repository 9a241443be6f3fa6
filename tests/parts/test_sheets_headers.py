"""Headers of a user's own: which column each means, and which mean none because they may mean several."""

from pathlib import Path

import openpyxl
import pytest

from partcheck.parameters import KINDS
from partcheck.parts.cells import Refused, with_point, with_unit
from partcheck.parts.checks import columns
from partcheck.parts.grid import column_letters
from partcheck.parts.headers import main_words, plain, point_words, read_header
from partcheck.parts.read import collect_parts
from partcheck.units import UNITS, is_unit

# Spellings as they are found in spreadsheets; the symbols are those of IEC 60747 as the declarations have them.
KNOWN = [
    ("mosfet", "vds_max", "vds_max", ""),
    ("mosfet", "VDS max (V)", "vds_max", "V"),
    ("mosfet", "Vds_Max [V]", "vds_max", "V"),
    ("mosfet", "V_DSS / V", "vds_max", "V"),
    ("mosfet", "VDSS, V", "vds_max", "V"),
    ("mosfet", "  V\u00a0DSS ", "vds_max", ""),
    ("mosfet", "VGS(th) max. [mV]", "vgs_th_max", "mV"),
    ("mosfet", "VGS(th) [max]", "vgs_th_max", ""),
    ("mosfet", "max V_GS(th) (V)", "vgs_th_max", "V"),
    ("mosfet", "VGS(th) (V) typical", "vgs_th_typ", "V"),
    ("mosfet", "Q_g typ (nC)", "qg_typ", "nC"),
    ("mosfet", "EAS (mJ) max", "eas", "mJ"),
    ("mosfet", "RthJC (K/W)", "theta_jc", "K/W"),
    ("mosfet", "R_θJC", "theta_jc", ""),
    ("mosfet", "Tj(max) [°C]", "tj_max", "°C"),
    ("mosfet", "drain-source rating in V", "vds_max", "V"),
    ("mosfet", "Manufacturer", "maker", ""),
    ("mosfet", "Part No.", "part_number", ""),
    ("mosfet", "P/N", "part_number", ""),
    ("mosfet", "Qty", "quantity", ""),
    ("diode", "V_RRM [V]", "vrrm", "V"),
    ("diode", "t_rr max (ns)", "trr_max", "ns"),
    ("led", "λd typ (nm)", "dominant_wavelength_typ", "nm"),
    ("led", "lambda_d min [nm]", "dominant_wavelength_min", "nm"),
    ("led", "if_peak_duty (%)", "if_peak_duty", "%"),
    ("led", "Viewing angle / °", "viewing_angle", "°"),
    ("led", "2φ½ (°)", "viewing_angle", "°"),
    ("led", "Color", "colour", ""),
    ("terminal", "Wire area max (mm²)", "wire_area_max", "mm²"),
    ("regulator", "V_O min / V", "v_out_min", "V"),
]


@pytest.mark.parametrize(("kind", "text", "column", "unit"), KNOWN)
def test_a_header_is_known_by_name_or_symbol_in_any_spelling(kind: str, text: str, column: str, unit: str) -> None:
    found = read_header(text, main_words((kind,)))
    assert (found.column, found.label, found.may_be) == (column, unit, ())


UNCLEAR = [
    ("mosfet", "ID (A)", "plateau_id"),
    ("mosfet", "TJ", "eas_start"),
    ("mosfet", "VGS(th)", "(vgs_th_min or vgs_th_typ or vgs_th_max)"),
    ("mosfet", "IGSS [nA]", "(igss_max)"),
    ("mosfet", "Rds(on) max [mΩ]", "(a row of rds_on)"),
    ("bjt", "IB", "(the condition ib of vce_sat)"),
    ("led", "VF", "(a row of vf)"),
]


@pytest.mark.parametrize(("kind", "text", "among"), UNCLEAR)
def test_a_header_that_may_mean_several_things_means_none(kind: str, text: str, among: str) -> None:
    found = read_header(text, main_words((kind,)))
    assert found.column == ""
    assert among in found.may_be


POINTS = [
    ("VGS (V)", "vgs", "V"), ("ID / A", "id", "A"), ("R_DS(on) max [mΩ]", "max", "mΩ"), ("rds_on typ", "typ", ""),
    ("Maximum [mOhm]", "max", "mOhm"), ("MPN", "part_number", ""),
]  # fmt: skip


@pytest.mark.parametrize(("text", "column", "unit"), POINTS)
def test_a_header_of_points_is_known_too(text: str, column: str, unit: str) -> None:
    found = read_header(text, point_words(("mosfet",), "rds_on"))
    assert (found.column, found.label) == (column, unit)
    assert read_header("Rds(on)", point_words(("mosfet",), "rds_on")).may_be == ("(typ or max)",)


@pytest.mark.parametrize("kind", KINDS)
def test_every_column_is_known_by_its_own_name_and_no_other_has_it(kind: str) -> None:
    assert len({plain(column) for column in columns(kind)}) == len(columns(kind))
    for column in columns(kind):
        for text in (column, column.upper(), column.replace("_", " "), f"{column} [V]", f" {column.title()} "):
            assert read_header(text, main_words((kind,))).column == column


@pytest.mark.parametrize("kind", KINDS)
def test_a_symbol_means_its_own_parameter_or_none(kind: str) -> None:
    """No symbol leads to a column that it was not declared for."""
    for parameter in KINDS[kind].parameters:
        if not parameter.symbol or parameter.symbol in "eDnAM":
            continue
        for bound in parameter.bounds or ("",):
            text = f"{parameter.symbol} {bound}".strip()
            found = read_header(text, main_words((kind,)))
            assert found.column in ("", f"{parameter.name}_{bound}" if bound else parameter.name), text


@pytest.mark.parametrize("kind", KINDS)
def test_every_unit_in_a_header_is_found_however_it_is_set_off(kind: str) -> None:
    """Every label of every unit, since a unit that is overlooked makes bare numbers a thousand times too large."""
    for column, parameter in columns(kind).items():
        labels = {prefix + name for unit in UNITS.values() for name in unit.spellings for prefix in ("", "m", "µ", "k")}
        for label in {label for label in labels if is_unit(label, parameter.unit)} if not parameter.is_text else ():
            for text in (f"{column} [{label}]", f"{column}({label})", f"{column} / {label}", f"{column}, {label}",
                         f"{column.upper()} in {label}"):  # fmt: skip
                found = read_header(text, main_words((kind,)))
                assert (found.column, found.label) == (column, label), text


def test_a_bound_in_brackets_is_no_minute() -> None:
    assert read_header("trr_max [min]", main_words(("diode",))).column not in columns("diode")


def test_the_unit_of_a_header_holds_for_bare_numbers_however_they_are_typed() -> None:
    assert with_unit("28", "mΩ") == "28 mΩ"
    assert with_unit("\u221228\u00a0", "mV/K") == "-28 mV/K"
    assert with_unit("28 Ω", "mΩ") == "28 Ω"


COMMAS = [("1,5 V", "1.5 V"), ("\u22122,5 mV/K", "-2.5 mV/K"), ("4k7", "4k7"), ("1,5e-3", "1.5e-3"), ("20", "20")]


@pytest.mark.parametrize(("typed", "meant"), COMMAS)
def test_a_decimal_comma_is_read_where_it_was_announced(typed: str, meant: str) -> None:
    assert with_point(typed) == meant


@pytest.mark.parametrize("typed", ["1.5 V", "1.500,5", "1,500,000", "1,000.5", "1'000,5"])
def test_what_could_be_a_thousands_separator_is_refused(typed: str) -> None:
    with pytest.raises(Refused, match="decimal comma"):
        with_point(typed)


def test_columns_are_lettered_as_a_spreadsheet_does() -> None:
    assert [column_letters(i) for i in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


BAD = [
    ("ID (A)", "may mean several things"),
    ("VGS(th) [V]", "does not say which bound it is; write vgs_th_min or vgs_th_typ or vgs_th_max"),
    ("VDS", "column VDS: it may be the condition vds of soa; write @ before it if it is that of the value before it, min, typ or max with it if it is a value"),
    ("Shelf", "column Shelf: it is not a column of a MOSFET; leave it out, or say with --map what it means"),
    ("VDS max [A]", "has the unit 'A', which does not suit it; use one of V"),
    ("Rds(on) max [mΩ]", "is a table of a MOSFET, not a single value; state it in rows of vgs, id, typ, max in mosfet.rds_on"),
]  # fmt: skip


@pytest.mark.parametrize(("header", "expected"), BAD)
def test_an_unclear_header_is_told_with_what_to_write(tmp_path: Path, header: str, expected: str) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "mosfet"
    sheet.append(["Part", "Maker", header])
    sheet.append(["M1", "Acme", 5])
    book.save(tmp_path / "own.xlsx")
    good, bad = collect_parts(tmp_path / "own.xlsx")
    assert not good
    (told,) = map(str, bad)
    assert told.startswith("own.xlsx sheet mosfet row 1")
    assert expected in told
