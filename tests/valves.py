"""Corners of the sample bench: for tests in which the whole board is not the point.

Two valve channels have seven of the sample's places and the parts named here; they are read in a fifth of the sample's
time and judged in a sixth. What stands in both stands there word for word.
"""

import csv
import io
import re
import tempfile
from functools import cache
from pathlib import Path

from tests.command import BOARD, SAMPLES

TABLES = "V12 V12.feed V5 U2 VALVE1 VALVE2 FV1 FV2 Q1 Q2 D1 D2 D11 D12 U1"
"""The rails, chips, drives, loads and places that are kept; all tables without a name are."""
PARTS = """
TALQ-30N52 TALQ-60N80 MOBY-F60-70 KEST-F16U KEST-F40K TALQ-60N45E ARFJ-S60A ARFJ-S30A ARFJ-S40A TALQ-K100C
HOLL-3A60 HOLL-3R20 HOLL-3R60 JUNI-PA12 SLYS-A3D ARFJ-L50C
"""
MORE = "VALVE3 FV3 Q3 D3 D13 J2"
"""With these, all three valves and their terminal."""
MORE_PARTS = "ARFJ-T15B ARFJ-T18B PELL-508-6 TALQ-30F7 SLYS-A3H SLYS-R3H"
NAMED = re.compile(r"^\[(?:rail|chip|drive|load|role|track)\.(\S+)\].*\n(?:(?!\[).*\n?)*", re.MULTILINE)
GROUP = re.compile(r'^\[\[at_once\]\].*\nof = \["FV1", "FV2", "FV3"\]\nmost = 2\n', re.MULTILINE)


def cut(tables: str) -> str:
    """The sample board with these of its named tables alone; of two valves one is on at once, of one there is no group."""
    kept = tables.split()
    text = BOARD.read_text(encoding="utf-8")
    names = [table[1] for table in NAMED.finditer(text)]
    assert set(kept) <= set(names) and GROUP.search(text)
    text = NAMED.sub(lambda table: table[0] if table[1] in kept else "", text)
    if "FV3" in kept:
        return text
    return GROUP.sub('[[at_once]]\nof = ["FV1", "FV2"]\nmost = 1\n' if {"FV1", "FV2"} <= set(kept) else "", text)


_FOLDERS: list[tempfile.TemporaryDirectory[str]] = []


@cache
def corner(tables: str) -> Path:
    """A board file with these tables alone and all parts of the samples; it goes with the process."""
    _FOLDERS.append(tempfile.TemporaryDirectory())
    path = Path(_FOLDERS[-1].name) / "corner.toml"
    path.write_text(cut(tables).replace('parts = ["."]', f'parts = ["{SAMPLES.as_posix()}"]'), encoding="utf-8")
    return path


@cache
def _files(three: bool) -> dict[str, str]:
    """The text of the board and of each sheet by its name."""
    parts = [*PARTS.split(), *(MORE_PARTS.split() if three else [])]
    made = {BOARD.name: cut(f"{TABLES} {MORE}" if three else TABLES)}
    for path in sorted(SAMPLES.glob("*.csv")):
        head, *rows = csv.reader(io.StringIO(path.read_text(encoding="utf-8")))
        kept = [row for row in rows if row[head.index("part_number")] in parts]
        if kept:
            sheet = io.StringIO()
            csv.writer(sheet, lineterminator="\n").writerows([head, *kept])
            made[path.name] = sheet.getvalue()
    return made


def valve_bench(folder: Path, three: bool = False) -> Path:
    """Write the board and its sheets into a new folder: the board file, under the sample's own name."""
    folder.mkdir()
    for name, text in _files(three).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / BOARD.name
