"""What a mapping says about every row of a sheet: constants, and what its words mean."""

from pathlib import Path

import pytest

from partcheck.errors import PartsError
from partcheck.parts.mapping import Reading, mapping_text, read_mapping
from partcheck.parts.read import collect
from partcheck.parts.sheets import Collected

SHEET = "Part;VDS max (V);Status;Price\nM1;60,5;Aktiv;1,5\nM2;30;?;2\nM3;20;active;\n"
SAID = """\
format = 1
[sheet.mosfet]
holds = "mosfet"
decimal = "comma"
[sheet.mosfet.constants]
maker = "Acme"
polarity = "N"
vgs_th_max = "2.2 V"
currency = "EUR"
[sheet.mosfet.words]
status = { "AKTIV" = "active", "?" = "" }
"""


def read(folder: Path, sheet: str = SHEET, said: str = SAID) -> tuple[Collected, Reading]:
    (folder / "map.toml").write_text(said, encoding="utf-8")
    (folder / "mosfet.csv").write_text(sheet, encoding="utf-8")
    reading = Reading(read_mapping(folder / "map.toml"))
    return collect(folder / "mosfet.csv", reading), reading


def test_constants_hold_for_every_row_and_words_are_translated(tmp_path: Path) -> None:
    found, reading = read(tmp_path)
    assert [str(cell) for cell in found.bad] == []
    always = {"polarity": "N", "vgs_th_max": 2.2, "currency": "EUR"}
    assert [part.values for part in found.parts] == [
        {"vds_max": 60.5, "status": "active", "price": 1.5, **always},
        {"vds_max": 30.0, "price": 2.0, **always},
        {"vds_max": 20.0, "status": "active", **always},
    ]
    assert {part.maker for part in found.parts} == {"Acme"}
    again, _ = read(tmp_path, said=mapping_text(reading.used))
    assert [part.values for part in again.parts] == [part.values for part in found.parts]


TOLD = [
    ('polarity = "N"', 'polarty = "N"', "column polarty: it is a constant of the mapping, but not a column that this sheet may"),
    ('polarity = "N"', 'polarity = "Q"', "column polarity: 'Q' is not one of "),
    ('polarity = "N"', 'vds_max = "60 V"', "it is 60 V for the whole sheet by the mapping, and a column too; keep"),
    ("status = {", "statsu = {", "column statsu: it has words in the mapping, but is not a column of this sheet; did you mean status?"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "expected"), TOLD)
def test_what_cannot_hold_for_a_sheet_is_told(tmp_path: Path, old: str, new: str, expected: str) -> None:
    found, _ = read(tmp_path, said=SAID.replace(old, new))
    assert any(expected in str(cell) for cell in found.bad), list(map(str, found.bad))


def test_a_price_in_another_currency_than_the_constant_is_told(tmp_path: Path) -> None:
    found, _ = read(tmp_path, SHEET.replace("Price", "Price (USD)"))
    assert any("'EUR' contradicts USD of the price" in str(cell) for cell in found.bad)


@pytest.mark.parametrize(("text", "price"), [("2 EUR", 2.0), ("2", 2.0), ("", None)])
def test_a_price_may_be_a_constant(tmp_path: Path, text: str, price: float | None) -> None:
    said = SAID.replace('currency = "EUR"', f'price = "{text}"')
    found, _ = read(tmp_path, "Part;VDS max (V);Status\nM1;60,5;\n", said)
    assert [str(cell) for cell in found.bad] == []
    assert found.parts[0].values.get("price") == price


def test_the_words_of_one_column_mean_nothing_in_another(tmp_path: Path) -> None:
    found, _ = read(tmp_path, SHEET.replace("Price", "Notes").replace(";1,5", ";Aktiv"))
    assert found.parts[0].word("notes") == "Aktiv"


def test_a_part_of_the_constants_holds_for_points_too(tmp_path: Path) -> None:
    (tmp_path / "mosfet.rds_on.csv").write_text("Part,VGS [V],max [mΩ]\nM1,10,28\n", encoding="utf-8")
    points = '[sheet."mosfet.rds_on".constants]\nmaker = "Acme"\nid = "2 A"\n'
    found, _ = read(tmp_path, said=SAID + points)
    assert [str(cell) for cell in found.bad] == []
    assert found.parts[0].table("rds_on").columns["id"] == (2.0,)


FILES = [
    ("[sheet.a]\nconstants = 1\n", 'has constants that are not texts by column; write polarity = "N"'),
    ("[sheet.a.constants]\nvds_max = 60\n", 'has constants that are not texts by column; write polarity = "N"'),
    ("[sheet.a.words]\nstatus = 'x'\n", "has words that are not texts by column and text; write status = {"),
    ("[sheet.a.words]\nstatus = { aktiv = 1 }\n", "has words that are not texts by column and text; write status = {"),
]


@pytest.mark.parametrize(("text", "expected"), FILES)
def test_constants_and_words_of_another_form_are_one_sentence(tmp_path: Path, text: str, expected: str) -> None:
    (tmp_path / "map.toml").write_text(f"format = 1\n{text}", encoding="utf-8")
    with pytest.raises(PartsError) as caught:
        read_mapping(tmp_path / "map.toml")
    assert expected in str(caught.value)
