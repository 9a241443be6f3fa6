"""The command that imports: nothing changes unseen, nothing is lost, and the same twice changes nothing."""

import io
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from partcheck.catalog import open_catalog
from partcheck.cli.progress import ProgressLine
from partcheck.errors import CatalogError
from partcheck.parts.checks import build
from tests.command import SAMPLES, Ran, run
from tests.schemas import follows_the_schema

Runner = Callable[..., Ran]
HEADER = ["part_number", "maker", "vds_max [V]", "qg_typ [nC]"]


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Runner:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PARTCHECK_CATALOG", "c.sqlite")
    return lambda *words: run(monkeypatch, capsys, "catalog", *words)


def book(path: Path, **sheets: list[list[Any]]) -> Path:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title.replace("__", "."))
        for row in rows:
            sheet.append(row)
    made.save(path)
    return path


def rows(path: Path, sheet: str) -> list[tuple[Any, ...]]:
    return list(openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True))


POINTS = [
    ["part_number", "maker", "vgs [V]", "max [mΩ]"],
    ["M1", "Acme", 4.5, 45],
    ["M1", "Acme", 10, 28],
    ["M2", "Acme", 10, 9],
]


def test_a_change_is_shown_and_not_made_before_it_is_agreed_to(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4], ["M2", "Acme", 40, None]], mosfet__rds_on=POINTS)
    assert command("import", "a.xlsx").out == "2 parts added, 0 changed, 0 unchanged, in c.sqlite.\n"
    again = command("import", "a.xlsx")
    assert (again.code, again.out) == (0, "Nothing changed: all 2 parts are in c.sqlite exactly as given.\n")
    points = [*POINTS[:2], ["M1", "Acme", 10, 25], ["M1", "Acme", 2.5, 90]]
    book(
        tmp_path / "b.xlsx", mosfet=[HEADER, ["M1", "Acme", 80, None], ["M3", "Acme", 30, None]], mosfet__rds_on=points
    )
    before = command("list", "--json").out
    seen = command("import", "b.xlsx", "--preview")
    assert seen.code == 0
    assert seen.out == (
        "1 part would be added, 1 changed, 0 unchanged, in c.sqlite; 1 value that is no\n"
        "longer stated would be removed.\n\n"
        "Import of b.xlsx\n----------------\nInto c.sqlite.\n\n"
        "New\n  part  maker  kind\n  M3    Acme   mosfet\n\n"
        "Changes\n\nM1 (Acme), mosfet\n"
        "  value             former -> new\n"
        "  vds_max           60 V -> 80 V\n"
        "  qg_typ            4.4 nC -> not stated\n"
        "  rds_on vgs 10 V   max 28 mΩ -> max 25 mΩ\n"
        "  rds_on vgs 2.5 V  not stated -> max 90 mΩ\n"
    )
    refused = command("import", "b.xlsx")
    assert (refused.code, refused.out) == (2, "")
    assert refused.err == (
        "partcheck: 4 values of 1 part in the catalog would change; look at them with --preview, then give --yes\n"
    )
    assert command("list", "--json").out == before
    assert command("import", "b.xlsx", "--yes").out.startswith("1 part added, 1 changed, 0 unchanged")
    assert '"vds_max": 80.0' in command("show", "M1", "--json").out


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("answer", "code"), [("y\n", 0), ("n\n", 2), ("", 2)])
def test_on_a_terminal_the_change_is_shown_and_asked_for(
    command: Runner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: str, code: int
) -> None:
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4]])
    command("import", "a.xlsx")
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 80, 4.4]])
    screen = Terminal()
    monkeypatch.setattr(sys, "stdin", Terminal(answer))
    monkeypatch.setattr(sys, "stderr", screen)
    assert command("import", "a.xlsx").code == code
    shown = screen.getvalue()
    assert "vds_max  60 V -> 80 V\n" in shown
    assert "Change 1 value of 1 part in the catalog? [y/N] " in shown
    assert f'"vds_max": {80.0 if code == 0 else 60.0}' in command("show", "M1", "--json").out


def test_what_somebody_else_changed_meanwhile_is_told_and_left(tmp_path: Path) -> None:
    """Between the question and the answer another person enters another value."""
    mine, other, new = (
        build("mosfet", {"part_number": number, "maker": "Acme", "vds_max": volts})
        for number, volts in (("M1", "80 V"), ("M1", "100 V"), ("M2", "40 V"))
    )
    with open_catalog(tmp_path / "c.sqlite", create=True) as catalog:
        catalog.add([build("mosfet", {"part_number": "M1", "maker": "Acme", "vds_max": "60 V"})], "Jo", "2024-05-31")
        seen = catalog.compare([mine, new])
        catalog.add([other], "Kim", "2024-05-31")
        with pytest.raises(CatalogError, match=r"^M1 \(Acme\) in .*c.sqlite was changed by somebody else meanwhile"):
            catalog.enter(seen, "Jo", "2024-05-31")
        assert [part.number("vds_max") for part in catalog.parts("mosfet")] == [100.0]
        seen = catalog.compare([mine, new])
        catalog.add([new], "Kim", "2024-05-31")
        with pytest.raises(CatalogError, match=r"^M2 \(Acme\)"):
            catalog.enter(seen, "Jo", "2024-05-31")
        seen = catalog.compare([mine, new])
        assert catalog.enter(seen, "Jo", "2024-05-31") == (0, 1, 1, 0)


def test_a_preview_makes_no_catalog(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4]])
    assert "1 part would be added" in command("import", "a.xlsx", "--preview").out
    assert not (tmp_path / "c.sqlite").exists()


def test_bad_cells_are_all_told_and_nothing_is_entered(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4], ["M2", "Acme", "6O", "n/a"]])
    ran = command("import", "a.xlsx")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("partcheck: 2 cells are bad in 1 file; correct what is listed and read again")
    assert "\n  a.xlsx sheet mosfet row 3, column vds_max: '6O'" in ran.err
    assert "\n  a.xlsx sheet mosfet row 3, column qg_typ: 'n/a' is not a number; leave it empty" in ran.err
    assert not (tmp_path / "c.sqlite").exists()


BAD = [
    HEADER, ["# a remark"], ["M1", "Acme", 60, 4.4], ["M2", "Acme", "6O", "=1+1"], [], ["M3", "Acme", 40, 2], ["M4", "Acme", 30, 1],
]  # fmt: skip
BAD_POINTS = [
    POINTS[0],
    ["M1", "Acme", 10, 28],
    ["M2", "Acme", 10, 9],
    ["M3", "Acme", 10, "x"],
    ["M3", "Acme", 4.5, 30],
]


def test_rejected_rows_are_kept_can_be_mended_and_imported(command: Runner, tmp_path: Path) -> None:
    """Rows 4 and 6 are rejected with all that belongs to them; mended, they make the catalog whole."""
    book(tmp_path / "a.xlsx", mosfet=BAD, mosfet__rds_on=BAD_POINTS)
    ran = command("import", "a.xlsx", "--keep-good", "--rejects", "r.xlsx")
    assert ran.code == 2
    assert "2 parts added, 0 changed" in ran.out
    assert "To do: correct the 5 rows of rejected parts in r.xlsx, and import that file." in ran.out
    assert all(len(line) <= 80 for line in ran.out.splitlines())
    main, points = rows(tmp_path / "r.xlsx", "mosfet"), rows(tmp_path / "r.xlsx", "mosfet.rds_on")
    assert main[0] == (*HEADER, "rejected because")
    assert main[1][:3] == ("M2", "Acme", "6O")
    assert "vds_max: '6O' is not a voltage" in main[1][4]
    assert main[2] == ("M3", "Acme", 40, 2, "goes with a row that has a bad cell")
    assert [row[:4] for row in points[1:]] == [("M2", "Acme", 10, 9), ("M3", "Acme", 10, "x"), ("M3", "Acme", 4.5, 30)]
    again = command("import", "r.xlsx", "--keep-good", "--rejects", "s.xlsx")
    assert "r.xlsx holds no parts that could be entered; c.sqlite is as it was" in again.out
    assert rows(tmp_path / "s.xlsx", "mosfet")[1][:3] == ("M2", "Acme", "6O")
    made = openpyxl.load_workbook(tmp_path / "r.xlsx")
    made["mosfet"]["C2"], made["mosfet"]["D2"], made["mosfet.rds_on"]["D3"] = 60, None, 28
    made.save(tmp_path / "r.xlsx")
    assert command("import", "r.xlsx").out == "2 parts added, 0 changed, 0 unchanged, in c.sqlite.\n"
    mended = [*BAD[:3], ["M2", "Acme", 60, None], *BAD[5:]]
    book(tmp_path / "b.xlsx", mosfet=mended, mosfet__rds_on=[*BAD_POINTS[:3], ["M3", "Acme", 10, 28], BAD_POINTS[4]])
    assert command("import", "b.xlsx").out == "Nothing changed: all 4 parts are in c.sqlite exactly as given.\n"


def test_rejected_rows_of_csv_keep_their_cells_and_run_nowhere(command: Runner, tmp_path: Path) -> None:
    (tmp_path / "mosfet.csv").write_text(
        "part_number,maker,vds_max [V],vgs_th_tempco,notes\n"
        "M1,Acme,60,-2 mV/K,fine\n"
        "M2,Acme,=cmd|' /C calc'!A0,-3 mV/K,=1+1\n"
        'M3,Acme,"60,5",-4 mV/K,\'=kept\n',
        encoding="utf-8",
    )
    (tmp_path / "mosfet.rds_on.csv").write_text("part_number,maker,vgs,max\nM3,Acme,10,28 mΩ\n", encoding="utf-8")
    ran = command("import", "mosfet.csv", "--keep-good", "--rejects", "mosfet.rest.csv")
    assert "1 part added" in ran.out
    text = (tmp_path / "mosfet.rest.csv").read_text(encoding="utf-8")
    assert "M2,Acme,'=cmd|' /C calc'!A0,-3 mV/K,'=1+1," in text
    assert 'M3,Acme,"60,5",-4 mV/K,\'=kept,' in text
    assert "goes with a row" in (tmp_path / "mosfet.rest.rds_on.csv").read_text(encoding="utf-8")
    mended = text.replace("'=cmd|' /C calc'!A0", "60").replace('"60,5"', "60.5")
    (tmp_path / "mosfet.rest.csv").write_text(mended, encoding="utf-8")
    assert "2 parts added" in command("import", "mosfet.rest.csv").out
    assert '"notes": "=1+1"' in command("show", "M2", "--json").out
    assert '"notes": "=kept"' in command("show", "M3", "--json").out
    assert '"max": 0.028' in command("show", "M3", "--json").out


def test_rejected_rows_keep_the_row_of_units(command: Runner, tmp_path: Path) -> None:
    units = [["Part", "Maker", "VGS max", "Qg typ"], [None, None, "V", "nC"]]
    book(tmp_path / "a.xlsx", mosfet=[*units, ["M1", "Acme", 20, 4.4], ["M2", "Acme", "2O", 4.4]])
    command("import", "a.xlsx", "--keep-good", "--rejects", "r.xlsx")
    assert rows(tmp_path / "r.xlsx", "mosfet")[1] == (None, None, "V", "nC", None)
    made = openpyxl.load_workbook(tmp_path / "r.xlsx")
    made["mosfet"]["C3"] = 12
    made.save(tmp_path / "r.xlsx")
    assert "1 part added" in command("import", "r.xlsx").out
    assert '"qg_typ": 4.4e-09' in command("show", "M2", "--json").out


def test_rejected_rows_of_a_folder_and_of_json(command: Runner, tmp_path: Path) -> None:
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "mosfet.csv").write_text("part_number,maker,eas\nM1,Acme,x\nM2,Acme,1 mJ\n", encoding="utf-8")
    (folder / "led.csv").write_text("part_number,maker,colour\nL1,Acme,pink\n", encoding="utf-8")
    command("import", folder, "--keep-good", "--rejects", "out")
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["led.csv", "mosfet.csv"]
    parts = [
        {"kind": "led", "part_number": "L2", "maker": "A", "colour": "pink"},
        {"kind": "led", "part_number": "L3", "maker": "A"},
    ]
    (tmp_path / "p.json").write_text(json.dumps(parts))
    assert "1 part added" in command("import", "p.json", "--keep-good", "--rejects", "q.json").out
    text = (tmp_path / "q.json").read_text(encoding="utf-8")
    assert "'pink' is not one of" in json.loads(text)["parts"][0]["rejected because"]
    (tmp_path / "q.json").write_text(text.replace('"pink"', '"red"'), encoding="utf-8")
    assert "1 part added" in command("import", "q.json").out


def test_a_header_that_is_not_clear_cannot_be_left_out(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[[*HEADER, "Shelf"], ["M1", "Acme", 60, 4.4, "A3"]])
    ran = command("import", "a.xlsx", "--keep-good", "--rejects", "r.xlsx", "--save-map", "m.toml")
    assert ran.code == 2
    assert "1 header or sheet of a.xlsx is not clear" in ran.err
    assert not (tmp_path / "r.xlsx").exists()
    saved = (tmp_path / "m.toml").read_text(encoding="utf-8")
    (tmp_path / "m.toml").write_text(saved.replace('"Shelf" = "?"', '"Shelf" = "nothing"'), encoding="utf-8")
    assert "1 part added" in command("import", "a.xlsx", "--map", "m.toml").out


def test_decimal_commas_are_read_only_where_they_are_announced(command: Runner, tmp_path: Path) -> None:
    (tmp_path / "mosfet.csv").write_text(
        "part_number;maker;vds_max [V];notes\nM1;Acme;60,5;a,b 1.5\n", encoding="utf-8"
    )
    assert "a comma is not a decimal point; write 60.5" in command("import", "mosfet.csv").err
    assert "1 part added" in command("import", "mosfet.csv", "--decimal", "comma").out
    assert '"vds_max": 60.5' in command("show", "M1", "--json").out
    assert '"notes": "a,b 1.5"' in command("show", "M1", "--json").out
    (tmp_path / "mosfet.csv").write_text("part_number;maker;vds_max [V]\nM2;Acme;60.5\n", encoding="utf-8")
    ran = command("import", "mosfet.csv", "--decimal", "comma")
    assert "'60.5' has a point or a second comma where a decimal comma is expected" in ran.err
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M3", "Acme", 60.5, "4,4"]])
    assert "1 part added" in command("import", "a.xlsx", "--decimal", "comma").out
    assert '"qg_typ": 4.4e-09' in command("show", "M3", "--json").out


def test_the_report_is_a_record(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4]])
    command("import", "a.xlsx")
    book(tmp_path / "a.xlsx", mosfet=[["Part", "Maker", "VDS max (V)"], ["M1", "Acme", 80], ["M2", "Acme", "6O"]])
    ran = command("import", "a.xlsx", "--json", "--yes", "--keep-good", "--rejects", "r.xlsx")
    record = json.loads(ran.out)
    follows_the_schema(record)
    assert (ran.code, record["added"], record["changed"], record["cleared"]) == (2, 0, 1, 1)
    assert record["differences"][0] == {
        "kind": "mosfet", "part_number": "M1", "maker": "Acme", "column": "vds_max", "where": "", "former": 60.0, "new": 80.0,
    }  # fmt: skip
    (bad,) = record["bad"]
    assert {key: bad[key] for key in ("file", "sheet", "row", "column", "text")} == {
        "file": "a.xlsx", "sheet": "mosfet", "row": 3, "column": "vds_max", "text": "6O",
    }  # fmt: skip
    assert bad["reason"]
    assert bad["suggestion"]


def test_bad_cells_are_a_record_too(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[["Part", "Maker", "VDS max (V)"], ["M2", "Acme", "6O"], ["M3", None, 40]])
    ran = command("import", "a.xlsx", "--json")
    record = json.loads(ran.out)
    follows_the_schema(record)
    assert (ran.code, record["added"]) == (2, 0)
    assert [(bad["row"], bad["column"], bad["header"], bad["text"]) for bad in record["bad"]] == [
        (2, "vds_max", "VDS max (V)", "6O"),
        (3, "maker", "", ""),
    ]
    assert ran.err.startswith("partcheck: 2 cells are bad in 1 file")
    assert not (tmp_path / "c.sqlite").exists()


WRONG = [
    (["import", "none.xlsx"], "none.xlsx is not there"),
    (["import", "a.xlsx", "--keep-good"], "--keep-good and --rejects FILE go together"),
    (["import", "a.xlsx", "--rejects", "r.xlsx"], "--keep-good and --rejects FILE go together"),
    (
        ["import", "a.xlsx", "--keep-good", "--rejects", "r.csv"],
        "r.csv cannot hold rows of a.xlsx; give a name that ends in .xlsx",
    ),
    (["import", "a.xlsx", "--keep-good", "--rejects", "a.xlsx"], "a.xlsx is one of the files that are read here"),
    (["import", "a.xlsx", "--keep-good", "--rejects", "no/r.xlsx"], "there is no folder no to write in"),
    (["import", "a.xlsx", "--map", "none.toml"], "none.toml is not there"),
    (["import", "a.xlsx", "--save-map", "a.xlsx"], "a.xlsx is one of the files that are read here"),
    (["import", "a.xlsx", "--decimal", "semicolon"], "--decimal"),
    (["template", "mosfets"], "there is no kind 'mosfets'; did you mean mosfet?"),
    (["template", "mosfet", "a.xlsx"], "a.xlsx already exists"),
    (["template", "mosfet", "x.ods"], "x.ods is not a name for sheets; let it end in .xlsx, or .csv, or name a folder"),
    (["template", "mosfet", "no/x.xlsx"], "there is no folder no to write in"),
    (
        ["export", "x.csv"],
        "x.csv is not a name for sheets; let it end in .xlsx or .json, or name a folder for CSV files",
    ),
    (["export", "a.xlsx"], "a.xlsx already exists"),
    (["export", "."], "is a folder with something in it"),
    (["export", "x.xlsx", "--catalog", "none.sqlite"], "there is no catalog at none.sqlite"),
]


@pytest.mark.parametrize(
    ("words", "expected"), WRONG, ids=lambda value: " ".join(value) if isinstance(value, list) else ""
)
def test_wrong_use_is_one_sentence_and_leaves_nothing(
    command: Runner, tmp_path: Path, words: list[str], expected: str
) -> None:
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4]])
    command("import", "a.xlsx")
    before = sorted(path.name for path in tmp_path.iterdir())
    ran = command(*words)
    assert (ran.code, ran.out) == (2, "")
    assert expected in ran.err
    assert "Traceback" not in ran.err
    assert sorted(path.name for path in tmp_path.iterdir()) == before


def test_an_export_is_a_backup_that_imports_to_the_same(command: Runner, tmp_path: Path) -> None:
    command("import", SAMPLES)
    held = command("list", "--json").out
    for name in ("all.xlsx", "all.json", "all"):
        assert command("export", name).out == f"186 parts are in {name}\n"
        assert command("import", name, "--catalog", f"{name}.sqlite").out.startswith("186 parts added")
        assert command("list", "--json", "--catalog", f"{name}.sqlite").out == held
    assert command("export", "all.xlsx", "--force").code == 0


def test_progress_is_one_line_on_a_terminal_and_nothing_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("partcheck.cli.progress.PATIENCE", -1.0)
    monkeypatch.setattr("partcheck.cli.progress._EVERY", 0.0)
    for screen in (io.StringIO(), Terminal()):
        monkeypatch.setattr(sys, "stderr", screen)
        with ProgressLine() as line:
            line("reading parts.xlsx sheet mosfet", 30, 120)
            line("entering", 0, 0)
        text = screen.getvalue()
        if not screen.isatty():
            assert text == ""
        else:
            assert "reading parts.xlsx sheet mosfet [#######.......................] 25 %" in text
            assert "\n" not in text
            assert max(map(len, text.split("\r"))) <= 79
            assert text.endswith(" \r")


def test_a_rejected_price_keeps_what_its_number_format_shows(command: Runner, tmp_path: Path) -> None:
    made = openpyxl.Workbook()
    made.active.title = "mosfet"
    for row in (["part_number", "maker", "price"], ["M1", "Acme", 7], ["M2", "Acme", 0.5], ["M3", "Acme", 8]):
        made.active.append(row)
    made.active["C2"].number_format = '0.00" per 100"'
    made.active["C4"].number_format = '0.00" per 100"'
    made.save(tmp_path / "a.xlsx")
    assert command("import", "a.xlsx", "--keep-good", "--rejects", "r.xlsx").code == 2
    assert [row[2] for row in rows(tmp_path / "r.xlsx", "mosfet")] == ["price", "7 per 100", "8 per 100"]


def test_a_rejected_text_that_may_have_a_point_between_thousands_is_rejected_again(
    command: Runner, tmp_path: Path
) -> None:
    """A text is kept as one, in a workbook and in CSV: a number in its place would be taken without a question."""
    book(tmp_path / "comma.xlsx", mosfet=[HEADER, ["M1", "Acme", 60.5, "1.234"], ["M2", "Acme", "61.5", 1.234]])
    cells = "part_number;maker;vds_max [V];qg_typ [nC]\nM1;Acme;60,5;1.234\nM2;Acme;61.5;1,234\n"
    (tmp_path / "mosfet.csv").write_text(cells, encoding="utf-8")
    for first, kept, again in (("comma.xlsx", "r.xlsx", "s.xlsx"), ("mosfet.csv", "mosfet.r.csv", "mosfet.s.csv")):
        for source, target in ((first, kept), (kept, again)):
            ran = command("import", source, "--decimal", "comma", "--keep-good", "--rejects", target)
            assert ran.code == 2 and "added" not in ran.out
            assert "has a point or a second comma where a decimal comma is expected" in " ".join(ran.out.split())
    assert [row[2:4] for row in rows(tmp_path / "s.xlsx", "mosfet")[1:]] == [("60,5", "1.234"), ("61.5", "1,234")]
    assert 'M1,Acme,"60,5",1.234' in (tmp_path / "mosfet.s.csv").read_text(encoding="utf-8")


def test_a_point_that_other_rows_made_doubtful_stays_so_where_these_are_not(command: Runner, tmp_path: Path) -> None:
    comma = ["M1", "Acme", 60, "1,5 nC"]
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M2", "Acme", 60.125, "1.234"], ["M3", "Acme", 60, 1.234], comma])
    (tmp_path / "mosfet.csv").write_text(
        'part_number,maker,qg_typ [nC],notes\nM2,Acme,1.234,""\nM1,Acme,"1,5",""\n', encoding="utf-8"
    )
    for first, kept, again in (("a.xlsx", "r.xlsx", "s.xlsx"), ("mosfet.csv", "mosfet.r.csv", "mosfet.s.csv")):
        assert command("import", first, "--keep-good", "--rejects", kept).code == 2
        if first == "a.xlsx":
            assert [row[2:4] for row in rows(tmp_path / kept, "mosfet")[1:]] == [(60.125, "1.234"), (60, "1,5 nC")]
            made = openpyxl.load_workbook(tmp_path / kept)
            made["mosfet"].delete_rows(3)  # the row whose comma told of it
            made.save(tmp_path / kept)
        else:
            text = (tmp_path / kept).read_text(encoding="utf-8")
            (tmp_path / kept).write_text("".join(line for line in text.splitlines(True) if "M1" not in line))
        ran = command("import", kept, "--keep-good", "--rejects", again)
        assert ran.code == 2 and "may have a point between thousands" in " ".join(ran.out.split())


def test_a_formula_that_was_never_calculated_is_kept_in_the_rejects(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[[*HEADER, "notes"], ["M1", "Acme", "=A1&B1*2", None, "=1+1"]])
    ran = command("import", "a.xlsx", "--keep-good", "--rejects", "r.xlsx")
    assert ran.code == 2
    assert "'=A1&B1*2' is a formula that was never calculated" in " ".join(ran.out.split())
    assert rows(tmp_path / "r.xlsx", "mosfet")[1][:5] == ("M1", "Acme", "'=A1&B1*2", None, "#VALUE!")
    assert command("import", "r.xlsx").code == 2


def test_a_hidden_sheet_that_is_not_read_is_told(command: Runner, tmp_path: Path) -> None:
    path = book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4]], Lists=[["anything"]])
    assert "a.xlsx sheet Lists: it is named after no kind" in command("import", "a.xlsx").err
    made = openpyxl.load_workbook(path)
    made["Lists"].sheet_state = "hidden"
    made.save(path)
    ran = command("import", "a.xlsx")
    assert ran.code == 0
    assert ran.err == (
        "partcheck: a.xlsx sheet Lists is hidden and named after no kind of part and no table, so it was not read; "
        "name it as one, or show it\n"
    )


def test_every_bad_cell_is_told_once_and_a_sheet_is_called_one(command: Runner, tmp_path: Path) -> None:
    book(tmp_path / "a.xlsx", mosfet=[HEADER, ["M1", "Acme", "6O", 4.4], ["M2", "Acme", "7O", 4.4]])
    err = command("import", "a.xlsx").err
    assert [err.count(text) for text in ("'6O'", "'7O'")] == [1, 1], err
    book(tmp_path / "b.xlsx", mosfet=[HEADER, ["M1", "Acme", 60, 4.4]], Lists=[["anything"]])
    err = command("import", "b.xlsx").err
    assert err.startswith("partcheck: 1 sheet is bad in 1 file; correct what is listed and read again, first b.xlsx")
    assert err.count("sheet Lists") == 1
