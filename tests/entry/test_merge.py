"""A sheet that states some values of parts that are known: only those change, and each is shown before."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from partcheck.catalog import open_catalog
from partcheck.parts.documents import to_record
from tests.command import SAMPLES, Ran, run

Runner = Callable[..., Ran]


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run(monkeypatch, capsys, *words)


@pytest.fixture
def catalog(command: Runner, tmp_path: Path) -> Path:
    path = tmp_path / "c.sqlite"
    folder = tmp_path / "sheets"
    folder.mkdir()
    for name in ("terminal.csv", "terminal.current.csv"):
        (folder / name).write_bytes((SAMPLES / name).read_bytes())
    assert command("catalog", "import", folder, "--catalog", path).code == 0
    return path


def record(path: Path, number: str) -> dict[str, Any]:
    with open_catalog(str(path)) as opened:
        return to_record(opened.part(number, None))


def prices(folder: Path, *rows: str) -> Path:
    sheet = folder / "terminal.csv"
    sheet.write_text("part_number,maker,price,currency,quantity\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return sheet


def test_only_what_the_sheet_states_changes(command: Runner, catalog: Path, tmp_path: Path) -> None:
    before = record(catalog, "PELL-508-2")
    sheet = prices(tmp_path, "PELL-508-2,Pellworm Contact,0.31,EUR,")
    ran = command("catalog", "import", sheet, "--catalog", catalog, "--merge", "--preview")
    assert "0.24" in ran.out and "0.31" in ran.out and "1 changed" in ran.out, ran
    assert record(catalog, "PELL-508-2") == before
    assert command("catalog", "import", sheet, "--catalog", catalog, "--merge").code == 2, "nobody was asked"
    assert command("catalog", "import", sheet, "--catalog", catalog, "--merge", "--yes").code == 0
    after = record(catalog, "PELL-508-2")
    assert after == {**before, "price": 0.31} and after["quantity"] == 400


def test_without_merge_a_blank_still_clears(command: Runner, catalog: Path, tmp_path: Path) -> None:
    sheet = prices(tmp_path, "PELL-508-2,Pellworm Contact,0.31,EUR,")
    ran = command("catalog", "import", sheet, "--catalog", catalog, "--preview")
    assert "-> not stated" in ran.out


def test_a_value_that_contradicts_the_catalog_is_refused(command: Runner, catalog: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "terminal.csv"
    sheet.write_text("part_number,maker,contact_resistance_min [mΩ]\nPELL-508-2,Pellworm Contact,9\n", encoding="utf-8")
    before = record(catalog, "PELL-508-2")
    ran = command("catalog", "import", sheet, "--catalog", catalog, "--merge", "--yes")
    assert ran.code == 2 and "PELL-508-2" in ran.err and "contact_resistance" in ran.err, ran
    assert record(catalog, "PELL-508-2") == before


def test_a_part_that_is_new_is_added_as_the_sheet_states_it(command: Runner, catalog: Path, tmp_path: Path) -> None:
    sheet = prices(tmp_path, "PELL-NEW,Pellworm Contact,0.5,EUR,7")
    assert "1 part added" in command("catalog", "import", sheet, "--catalog", catalog, "--merge").out
    assert record(catalog, "PELL-NEW")["quantity"] == 7


TABLE = "part_number,maker,temperature [°C],basis,max [A]\n"


def table(folder: Path, *rows: str, name: str = "terminal.current.csv") -> Path:
    sheet = folder / name
    sheet.write_text(TABLE + "\n".join(rows) + "\n", encoding="utf-8")
    return sheet


def test_a_table_alone_goes_to_parts_that_the_catalog_has(command: Runner, catalog: Path, tmp_path: Path) -> None:
    before = record(catalog, "PELL-508-2")
    sheet = table(tmp_path, "PELL-508-2,Pellworm Contact,20,derated,7", "PELL-508-2,pellworm contact,50,derated,6")
    assert command("catalog", "import", sheet, "--catalog", catalog).code == 2, "without --merge it has no parts"
    ran = command("catalog", "import", sheet, "--catalog", catalog, "--merge", "--yes")
    assert ran.code == 0 and "1 changed" in ran.out, ran
    after = record(catalog, "PELL-508-2")
    assert [(row["temperature"], row["max"]) for row in after["current"]] == [(20.0, 7.0), (50.0, 6.0)]
    assert {**after, "current": 0} == {**before, "current": 0}


def test_a_table_of_a_part_that_nobody_has_is_refused_whole(command: Runner, catalog: Path, tmp_path: Path) -> None:
    before = record(catalog, "PELL-508-2")
    sheet = table(tmp_path, "PELL-508-2,Pellworm Contact,20,derated,7", "PELL-NONE,Pellworm Contact,20,derated,7")
    for where in (catalog, tmp_path / "none.sqlite"):
        for way in ("--yes", "--preview"):
            ran = command("catalog", "import", sheet, "--catalog", where, "--merge", way)
            assert ran.code == 2, ran
            assert (
                "row 3: 'PELL-NONE' of Pellworm Contact is not in the catalog as a terminal; correct the number"
                in ran.err
            ), ran
    assert record(catalog, "PELL-508-2") == before


def test_a_mapping_says_that_a_file_holds_a_table_alone(command: Runner, catalog: Path, tmp_path: Path) -> None:
    sheet = table(tmp_path, "PELL-508-2,Pellworm Contact,20,derated,7", name="ratings.csv")
    (tmp_path / "map.toml").write_text('format = 1\n[sheet.ratings]\nholds = "terminal.current"\n', encoding="utf-8")
    words = ("catalog", "import", sheet, "--catalog", catalog, "--map", tmp_path / "map.toml", "--merge", "--yes")
    assert command(*words).code == 0
    assert len(record(catalog, "PELL-508-2")["current"]) == 1


def test_prices_and_a_table_of_other_parts_merge_together(command: Runner, catalog: Path, tmp_path: Path) -> None:
    sheet = prices(tmp_path, "PELL-508-2,Pellworm Contact,0.31,EUR,")
    with open_catalog(str(catalog)) as opened:
        other = next(part for part in opened.parts("terminal") if part.part_number != "PELL-508-2")
    table(tmp_path, f"{other.part_number},{other.maker},20,derated,7")
    ran = command("catalog", "import", sheet, "--catalog", catalog, "--merge", "--yes")
    assert ran.code == 0 and "2 changed" in ran.out, ran
    assert record(catalog, "PELL-508-2")["price"] == 0.31
    assert len(record(catalog, other.part_number)["current"]) == 1


@pytest.mark.parametrize("name", ["prices.csv", "Sheet1"])
def test_a_list_of_prices_goes_to_parts_of_every_kind(command: Runner, tmp_path: Path, name: str) -> None:
    import openpyxl

    path, sheet = tmp_path / "c.sqlite", tmp_path / name
    (tmp_path / "mosfet.csv").write_text("part_number,maker,vds_max [V]\nM1,Acme,60\n", encoding="utf-8")
    (tmp_path / "led.csv").write_text("part_number,maker,colour\nL1,Acme,red\n", encoding="utf-8")
    for kind in ("mosfet", "led"):
        assert command("catalog", "import", tmp_path / f"{kind}.csv", "--catalog", path).code == 0
    rows = [["Part", "Maker", "Price (EUR)", "Stock"], ["M1", "Acme", 0.2, 5], ["L1", "acme", 0.05, 9]]
    if name == "Sheet1":
        sheet = tmp_path / "prices.xlsx"
        book = openpyxl.Workbook()
        for row in rows:
            book.active.append(row)
        book.save(sheet)
    else:
        sheet.write_text("\n".join(",".join(map(str, row)) for row in rows), encoding="utf-8")
    assert command("catalog", "import", sheet, "--catalog", path).code == 2, "without --merge it would clear the rest"
    ran = command("catalog", "import", sheet, "--catalog", path, "--merge", "--yes")
    assert ran.code == 0 and "0 parts added, 2 changed" in ran.out, ran
    assert (record(path, "M1")["vds_max"], record(path, "M1")["price"]) == (60.0, 0.2)
    assert (record(path, "L1")["colour"], record(path, "L1")["quantity"]) == ("red", 9)
    if name == "prices.csv":
        sheet.write_text("Part,Maker,Price (EUR)\nM9,Acme,1\n", encoding="utf-8")
        ran = command("catalog", "import", sheet, "--catalog", path, "--merge")
        assert ran.code == 2 and "prices.csv row 2: 'M9' of Acme is not in the catalog" in ran.err


def test_a_part_of_another_kind_is_not_added_beside_itself(command: Runner, catalog: Path, tmp_path: Path) -> None:
    (tmp_path / "led.csv").write_text("part_number,maker,price\nPELL-508-2,Pellworm Contact,9\n", encoding="utf-8")
    ran = command("catalog", "import", tmp_path / "led.csv", "--catalog", catalog, "--merge", "--yes")
    assert ran.code == 2 and "would be added as an LED, but the catalog has it as a terminal" in ran.err, ran
