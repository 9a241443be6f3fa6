"""Whatever is given is refused with a sentence: no internal fault, no hang, no flood, little memory."""

import os
import random
import subprocess
import sys
import tracemalloc
import zipfile
from pathlib import Path

import pytest

from partcheck.board.locate import key_lines, statements
from partcheck.board.read import read_board
from partcheck.cli.completing import SMALL, _is_small
from partcheck.errors import PartcheckError
from partcheck.inputs import DEEPEST, DIGITS, NotRead, read_toml
from partcheck.jobs.fleet.fleet import board_files
from partcheck.parts.mapping import read_mapping
from partcheck.parts.read import collect_parts
from partcheck.parts.workbook import read_workbook
from partcheck.policy import MOST_BASES, find_policy
from tests.command import run

LITTLE = 30_000_000  # bytes that reading a small refused text may take
TEXTS = {
    "deep": f"name = {'[' * 5000}{']' * 5000}\n",
    "deep tables": f"name = {'{a=' * 5000}1{'}' * 5000}\n",
    "rather deep": f"name = {'[' * 300}{']' * 300}\n",
    "digits": f"name = {'9' * 5000}\n",
    "hexadecimal digits": f"name = 0x{'f' * 5000}\n",
    "binary digits": f"name = 0b{'1' * 20_000}\n",
    "dotted": f"{'.'.join(['a'] * 20_000)} = 1\n",
    "dotted with quotes": " . ".join(['"a"', "'b'"] * 10_000) + " = 1\n",
    "dotted header": f"[{'.'.join(['a'] * 20_000)}]\nb = 1\n",
    "no end": "name = [\n" + "1,\n" * 50_000 + "nope\n]\n",
}


@pytest.mark.parametrize("sort", TEXTS)
def test_a_hostile_toml_text_is_one_sentence(tmp_path: Path, sort: str) -> None:
    path = tmp_path / "given.toml"
    path.write_text(TEXTS[sort], encoding="utf-8")
    for read in (read_board, lambda given: find_policy(str(given)), read_mapping):
        tracemalloc.start()
        with pytest.raises(PartcheckError) as told:
            read(path)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert "given.toml" in str(told.value)
        assert len(str(told.value)) < 400
        assert not told.value.details
        assert peak < LITTLE


def test_toml_within_its_limits_is_read() -> None:
    deep = DEEPEST - 1
    assert read_toml(f"a = {'[' * deep}{']' * deep}")
    assert read_toml(f"{'.'.join(['a'] * (DEEPEST - 1))} = 1")
    assert read_toml(f"a = {'9' * (DIGITS - 1)}")
    assert read_toml(f"a = [{', '.join(['1.5'] * 1000)}]")
    for text in (f"a = {'[' * 41}{']' * 41}", f"{'.'.join(['a'] * 41)} = 1", f"a = {'9' * 400}"):
        with pytest.raises(NotRead, match="write it as the format says"):
            read_toml(text)


def test_statements_of_many_lines_are_found_in_one_pass() -> None:
    text = "\n".join([
        "a = [", "  1, # ] no end", "  2,", "]", 'b = """', "one [", 'two \\""" still', 'end""""', "c = '''", "[ {", "'''",
        'd = ["]", \'[\', """x"""]', "[t]", 'e = "\\"["', "f = {g = [1]}",
    ])  # fmt: skip
    assert [line for line, _ in statements(text)] == [1, 5, 9, 12, 13, 14, 15]
    assert key_lines(text)[("t", "f", "g")] == 15
    many = "a = [\n" + "[1],\n" * 20_000 + "]\nb = 1\n"  # tried after every line, it took minutes
    assert key_lines(many) == {("a",): 1, ("b",): 20_003}


def test_a_board_full_of_slips_is_told_in_part(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "many.toml"
    path.write_text(
        "".join(f"k{i} = 1\n" for i in range(3000)) + f'[role.Q1]\nrole = "{"y" * 50_000}"\n', encoding="utf-8"
    )
    ran = run(monkeypatch, capsys, "check", path)
    assert ran.code == 2
    assert len(ran.err) < 30_000
    assert "there is no such key" in ran.err
    assert "has 100 errors or more; correct each of them" in ran.err


@pytest.mark.parametrize("name", ["/dev/zero", "folder", "/dev/null"])
def test_neither_folders_nor_devices_are_read(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder").mkdir()
    link = tmp_path / "given.toml"
    link.symlink_to(tmp_path / name)
    for read in (read_board, lambda given: find_policy(str(given)), read_mapping):
        with pytest.raises(PartcheckError, match=r"is a folder|is not an ordinary file"):
            read(link)


def test_a_policy_based_on_itself_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)

    def write(name: str, base: str) -> None:
        Path(name).write_text(f'name = "x"\nsource = "s"\nbase = "{base}"\n', encoding="utf-8")

    write("one.toml", "two.toml")
    write("two.toml", "one.toml")
    with pytest.raises(PartcheckError, match="based on itself"):
        find_policy("one.toml")
    for i in range(MOST_BASES + 1):
        write(f"p{i}.toml", "bench" if i == 0 else f"p{i - 1}.toml")
    with pytest.raises(PartcheckError, match="too many others"):
        find_policy(f"p{MOST_BASES}.toml")
    assert find_policy(f"p{MOST_BASES - 2}.toml").values == find_policy("bench").values


RANGES = {
    "members": ('[role."Q1..Q1000000"]\nrole = "mosfet-switch"\n', "has 1000000 members; the limit is 500"),
    "digits": (f'[role."Q1..Q{"9" * 5000}"]\nrole = "mosfet-switch"\n', "has 5005 characters; the limit is 200"),
    "long number": (f'[role."Q1..Q{"9" * 50}"]\nrole = "mosfet-switch"\n', "are named differently"),
    "many": (
        "".join(f'[role."Q{i}..Q{i + 1}"]\n' for i in range(0, 40_000, 2)),
        "more than 200 ranges or 5000 members",
    ),
    "together": ("".join(f'[role."Q{i}..Q{i + 499}"]\n' for i in range(0, 90_000, 500)), "more than 200 ranges"),
    "list": ("[role.Q1]\nload = [" + '"L1..L500",' * 100_000 + "]\n", "have more than 5000 names together"),
    "poles": ("[role.J1]\n" + '[[role.J1.poles]]\npole = "1..499"\n' * 1000, "have more than 5000 poles together"),
    "filled in": (f'[role."Q1..Q2"]\ndrive = "D{{n+{"9" * 300}}}"\n', "is not understood"),
}


@pytest.mark.parametrize("sort", RANGES)
def test_huge_ranges_are_refused(tmp_path: Path, sort: str) -> None:
    text, said = RANGES[sort]
    path = tmp_path / "range.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PartcheckError) as told:
        read_board(path)
    sentences = [str(told.value), *told.value.details]
    assert any(said in sentence for sentence in sentences)
    assert len(sentences) < 20


MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml"
RELATION = f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="{OFFICE}/'
FILES = {
    "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    f'<Override PartName="/xl/workbook.xml" ContentType="{TYPES}.sheet.main+xml"/></Types>',
    "_rels/.rels": f'{RELATION}officeDocument" Target="xl/workbook.xml"/></Relationships>',
    "xl/workbook.xml": f'<workbook {MAIN} xmlns:r="{OFFICE}"><sheets><sheet name="mosfet" sheetId="1" r:id="r1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": f'{RELATION}worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
}


def _workbook(
    path: Path, rows: str = "", behind: str = "", method: int = zipfile.ZIP_DEFLATED, blanks: int = 0
) -> Path:
    """A workbook with one part, further rows, millions of blanks, and what stands behind them."""
    texts = (("A1", "part_number"), ("B1", "maker"), ("C1", "vds_max"), ("A2", "X1"), ("B2", "Acme"), ("C2", "60 V"))
    first, second = (
        "".join(f'<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>' for at, text in texts[i : i + 3])
        for i in (0, 3)
    )
    with zipfile.ZipFile(path, "w", method) as made:
        for name, text in FILES.items():
            made.writestr(name, text)
        data = f'<row r="1">{first}</row><row r="2">{second}</row>{rows}'
        with made.open("xl/worksheets/sheet1.xml", "w") as sheet:
            sheet.write(f"<worksheet {MAIN}><sheetData>{data}".encode())
            for _ in range(blanks):
                sheet.write(b" " * 1_000_000)
            sheet.write(f"</sheetData>{behind}</worksheet>".encode())
    return path


FAR = {
    "row without a number": '<row><c r="XFD1048576"><v>1</v></c></row>',
    "single quotes": "<row r='1048576'><c r='XFD1048576'><v>1</v></c></row>",
    "small letters": '<row><c r="xfd1048576"><v>1</v></c></row>',
    "empty text": '<row r="1048576"><c r="XFD1048576" t="str"><v></v></c></row>',
    "spaces": '<row r="1048576"><c r = "XFD1048576"><v>1</v></c></row>',
    "no such column": '<row r="3"><c r="AAAAAAA3"><v>1</v></c></row>',
    "no such row": '<row r="4294967295"><c r="ZZZ4294967295"><v>1</v></c></row>',
}


@pytest.mark.parametrize("how", FAR)
def test_a_cell_far_away_is_refused_however_it_is_written(tmp_path: Path, how: str) -> None:
    path = _workbook(tmp_path / "far.xlsx", FAR[how])  # its reader ends the whole process when memory runs out
    with pytest.raises(PartcheckError, match="has a cell as far away as"):
        collect_parts(path)


def test_merged_blank_ranges_cost_nothing(tmp_path: Path) -> None:
    path = _workbook(
        tmp_path / "merged.xlsx",
        behind='<mergeCells><mergeCell ref="E5:XFD1048576"/><mergeCell ref="A1:XFD1048576"/></mergeCells>',
    )
    tracemalloc.start()
    (grid,) = read_workbook(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert set(grid.merged) == {(row, column) for row in (1, 2) for column in (0, 1, 2)} - {(1, 0)}
    assert peak < LITTLE


def test_a_blank_sheet_of_great_size_is_refused_unread(tmp_path: Path) -> None:
    path = _workbook(tmp_path / "blank.xlsx", blanks=60)
    with pytest.raises(PartcheckError, match="is almost all blank; delete the empty rows"):
        collect_parts(path)


def test_damaged_workbooks_are_told(tmp_path: Path) -> None:
    path = tmp_path / "damaged.xlsx"
    whole = _workbook(path).read_bytes()
    assert len(collect_parts(path)[0]) == 1
    told = 0
    for seed in range(300):
        draw, damaged = random.Random(seed), bytearray(whole)
        for _ in range(draw.choice((1, 3, 20))):
            damaged[draw.randrange(4, len(damaged))] = draw.randrange(256)
        path.write_bytes(damaged)
        try:
            collect_parts(path)
        except PartcheckError:
            told += 1
    assert told > 100
    for method in (zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA):
        with pytest.raises(PartcheckError, match="is damaged or not an XLSX workbook"):
            collect_parts(_workbook(path, method=method))


@pytest.mark.apart
def test_a_sheet_of_a_million_columns_is_refused_and_blank_ones_are_not_read(tmp_path: Path) -> None:
    path = tmp_path / "mosfet.csv"
    path.write_text(f"part_number,maker,{','.join(f'c{i}' for i in range(1_000_000))}\nX,Y\n", encoding="utf-8")
    with pytest.raises(PartcheckError, match="has 1000002 columns; the limit is 2000"):
        collect_parts(path)
    path.write_text(f"part_number,maker{',' * 20_000}\nX,Y{',' * 20_000}\n", encoding="utf-8")
    assert [part.part_number for part in collect_parts(path)[0]] == ["X"]


def test_completion_reads_only_small_ordinary_files(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    assert not _is_small(tmp_path / "pipe.csv")
    assert not _is_small(Path("/dev/zero"))
    assert not _is_small(tmp_path)
    with (tmp_path / "large.csv").open("wb") as made:
        made.truncate(SMALL)
    assert not _is_small(tmp_path / "large.csv")
    (tmp_path / "small.csv").write_text("part_number\n", encoding="utf-8")
    assert _is_small(tmp_path / "small.csv")


def test_a_folder_of_boards_with_devices_and_links_is_looked_through(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "zero.toml").symlink_to("/dev/zero")
    (tmp_path / "round").symlink_to(tmp_path)
    with (tmp_path / "large.toml").open("wb") as made:
        made.write(b"[role.Q1]\n")
        made.truncate(3_000_000)
    (tmp_path / "board.toml").write_text("[role.Q1]\n", encoding="utf-8")
    assert board_files([tmp_path]) == [tmp_path / "board.toml"]


STOPPED = """
import sys
class Stops:
    def find_spec(self, name, path=None, target=None):
        if name == {name!r}:
            raise KeyboardInterrupt
sys.meta_path.insert(0, Stops())
sys.argv = ["partcheck", "check", "nowhere.toml"]
from partcheck.__main__ import process
process()
"""


@pytest.mark.parametrize("name", ["typer", "partcheck.cli.commands", "partcheck.jobs.judge", "pydantic"])
def test_an_interrupt_while_modules_are_imported_is_quiet(name: str) -> None:
    made = subprocess.run(
        [sys.executable, "-c", STOPPED.format(name=name)], capture_output=True, text=True, check=False
    )
    assert made.returncode == 130
    assert made.stderr == ""


@pytest.mark.parametrize(("level", "code"), [("-O", 0), ("-OO", 2)])
def test_a_python_without_docstrings_is_refused(level: str, code: int) -> None:
    words = [sys.executable, level, "-m", "partcheck", "schema", "policy"]
    made = subprocess.run(words, capture_output=True, text=True, check=False)
    assert made.returncode == code, made.stderr
    assert ("PYTHONOPTIMIZE=2" in made.stderr) == (code == 2)
