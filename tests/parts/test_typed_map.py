"""What is said of headers at the command line, and what is told of a mapping that fits nothing."""

from pathlib import Path

import openpyxl
import pytest

from partcheck.errors import PartsError
from partcheck.parts.mapping import Mapping, Reading, mapping_text, read_mapping
from partcheck.parts.read import collect
from partcheck.parts.typed_map import add_typed, is_typed
from tests.command import run

SHEET = "Type,Maker,,VF max (V),@IF (mA),Shelf\nD1,Acme,40,0.5,100,A3\n"
MAP = ["holds=diode", "Type=part_number", "C=vrrm [V]", "Shelf=nothing"]


def typed(source: Path, *texts: str) -> Reading:
    mapping = Mapping()
    add_typed(mapping, texts, source)
    return Reading(mapping)


def test_columns_are_mapped_by_letter_and_by_header(tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(SHEET, encoding="utf-8")
    reading = typed(path, *MAP)
    found = collect(path, reading)
    assert not found.bad
    assert found.parts[0].values == {"vrrm": 40.0}
    assert found.parts[0].table("vf").columns["i_f"] == (0.1,)
    (tmp_path / "map.toml").write_text(mapping_text(reading.used), encoding="utf-8")
    assert collect(path, Reading(read_mapping(tmp_path / "map.toml"))).parts[0].values == {"vrrm": 40.0}


def test_a_header_that_looks_like_a_letter_is_that_header(tmp_path: Path) -> None:
    path = tmp_path / "led.csv"
    path.write_text("Part,Maker,D,Colour\nL1,Acme,T1,red\n", encoding="utf-8")
    found = collect(path, typed(path, "D=notes"))
    assert not found.bad and found.parts[0].values == {"notes": "T1", "colour": "red"}


def test_a_table_and_one_sheet_of_several(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Stock list"
    for row in (["Stock in May", "as counted"], [], ["Typ", "Firma", "On"], ["M1", "Acme", 28]):
        sheet.append(row)
    book.create_sheet("Notes").append(["nothing of interest"])
    book.save(tmp_path / "own.xlsx")
    table = 'Stock list!On={ column = "rds_on.max", unit = "mΩ", vgs = "10 V" }'
    words = ["Stock list!holds=mosfet", "Stock list!header=3", "Notes!holds=nothing", table]
    reading = typed(tmp_path / "own.xlsx", *words, "Stock list!A=part_number", "Stock list!B=maker")
    found = collect(tmp_path / "own.xlsx", reading)
    assert not found.bad
    assert found.parts[0].table("rds_on").columns["max"] == (0.028,)


def test_the_header_is_found_by_the_letters_that_are_mapped(tmp_path: Path) -> None:
    path = tmp_path / "mosfet.csv"
    path.write_text("Stock in May\n\nTyp,Firma,VDS max\nM1,Acme,60 V\n", encoding="utf-8")
    found = collect(path, typed(path, "A=part_number", "B=maker"))
    assert [part.part_number for part in found.parts] == ["M1"]
    told = [str(cell) for cell in collect(path, Reading()).bad]
    assert len(told) == 2 and all("is missing from the header" in each and "--map" in each for each in told)


def test_two_rows_with_a_condition_and_a_currency(tmp_path: Path) -> None:
    path = tmp_path / "mosfet.csv"
    path.write_text(
        "Part,Maker,RDS(on) @ VGS = 10 V,,Price\n,,typ,max [mΩ],€\nM1,Acme,12 mΩ,20,0.5\n", encoding="utf-8"
    )
    found = collect(path, Reading())
    assert not found.bad
    columns = found.parts[0].table("rds_on").columns
    assert (columns["vgs"], columns["typ"], columns["max"]) == ((10.0,), (0.012,), (0.02,))
    assert found.parts[0].values == {"price": 0.5, "currency": "EUR"}


def test_words_constants_and_blanks_are_typed(tmp_path: Path) -> None:
    path = tmp_path / "led.csv"
    path.write_text("part_number,maker,colour,package\nR3,Luxal,rouge,k.A.\n", encoding="utf-8")
    found = collect(path, typed(path, 'colour.Rouge="red"', 'pin_order="A-K"', "blanks=k.A."))
    assert not found.bad
    assert found.parts[0].values == {"colour": "red", "pin_order": "A-K"}


def test_a_sheet_is_named_where_several_are_spoken_of(tmp_path: Path) -> None:
    book = tmp_path / "own.xlsx"
    with pytest.raises(PartsError, match="does not say of which sheet; write 'A!Typ=maker' or 'B!Typ=maker'"):
        typed(book, "A!holds=mosfet", "B!holds=led", "Typ=maker")
    mapping = Mapping()
    add_typed(mapping, ["A!holds=mosfet", "B!holds=nothing", "Typ=maker"], book)
    assert list(mapping.sheets["A"].columns) == ["Typ"] and not mapping.sheets["B"].columns


ODD = """Unsere MOSFETs
Typ,Hersteller,Ugs(th),,Uds max,Bestand,Grenze
,,min,max [V],[V],Stück,typ
M1,Acme,1.0,2.0,60,7,x
"""


def test_a_header_in_other_words_under_a_title(tmp_path: Path) -> None:
    """``Typ`` is a bound in English and a part number in German; U stands for a voltage; a word stands among the units."""
    path = tmp_path / "mosfet.csv"
    path.write_text(ODD, encoding="utf-8")
    told = [str(cell) for cell in collect(path, Reading()).bad]
    assert len(told) == 2
    assert "row 2 reads like the header, 'Typ', 'Hersteller', 'Ugs(th)'" in told[0]
    assert "such as --map 'Typ=part_number'" in told[0] and "such as --map 'Hersteller=maker'" in told[1]
    words = ["Typ=part_number", "Hersteller=maker", "Uds max=vds_max", "Bestand Stück=quantity", "Grenze typ=nothing"]
    found = collect(path, typed(path, *words))
    assert not found.bad, found.bad
    values = {"vgs_th_min": 1.0, "vgs_th_max": 2.0, "vds_max": 60.0, "quantity": 7.0}
    assert found.parts[0].values == values
    (sentence,) = [str(cell) for cell in collect(path, typed(path, *words[:4])).bad]
    assert "column Grenze typ: it is not a column of a MOSFET" in sentence


WRONG = [
    ("=vds_max", "says nothing about a column; write C=vds_max"),
    ("C={ column = }", "is not a table in TOML"),
    ("holds=fet", "holds 'fet', which is not something that a sheet holds; did you mean mosfet?"),
    ("header=x", "has the header 'x'; write the number of its row"),
    ('C={ unit = "V" }', "which is not a column"),
]


@pytest.mark.parametrize(("text", "sentence"), WRONG)
def test_what_means_nothing_is_told(text: str, sentence: str) -> None:
    with pytest.raises(PartsError) as told:
        typed(Path("own.csv"), text)
    assert "--map" in str(told.value) and sentence in str(told.value)


def test_a_file_is_a_file_though_its_name_has_an_equals_sign(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert is_typed("a=b.toml")
    Path("a=b.toml").touch()
    assert not is_typed("a=b.toml") and not is_typed("map.toml")


def test_the_command_takes_a_file_and_what_is_typed_and_tells_what_fits_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path, mapping = tmp_path / "own.csv", tmp_path / "map.toml"
    path.write_text(SHEET, encoding="utf-8")
    mapping.write_text('format = 1\n[sheet.own]\nholds = "diode"\n', encoding="utf-8")
    words = ["catalog", "import", path, "--catalog", tmp_path / "c.sqlite", "--preview", "--map"]
    more = [word for text in (*MAP[1:], "Typ=notes") for word in ("--map", text)]
    ran = run(monkeypatch, capsys, *words, mapping, *more)
    assert ran.code == 0, ran
    assert "own.csv has no column 'Typ', which the mapping mentions" in ran.err
    ran = run(monkeypatch, capsys, *words, "holds=diode", "--map", "Typ=part_number", "--map", "Oh!C=vrrm")
    assert ran.code == 2
    for sentence in ("part_number: it is missing from the header", "has no column 'Typ'", "has no sheet 'Oh'"):
        assert sentence in ran.err
    assert "write what both say into one file" in run(monkeypatch, capsys, *words, mapping, "--map", path).err
