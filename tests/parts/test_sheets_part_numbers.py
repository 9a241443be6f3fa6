"""Several part numbers in one cell, and single ones that have a comma or a stroke."""

from pathlib import Path

import pytest

from partcheck.parts.mapping import Reading
from partcheck.parts.read import collect
from partcheck.parts.sheets import Collected

SEVERAL = ["ABC-1, ABC-2", "ABC-1 / ABC-2", "ABC-1;ABC-2", "ABC-1\nXYZ-2", "BC547/BC548", "ABC-1,ABC-2", "HX40 or KX41",
           "IRX44N | IRX45N"]  # fmt: skip
# Numbers as makers write them: a packing code after a comma or a stroke (Nexperia "BC847B,215", Texas Instruments
# "LM317T/NOPB"), a size with a comma and a blank after a stroke (Phoenix Contact "MKDS 1,5/ 3-5,08"). From memory.
SINGLE = ["BC847B,215", "LM317T/NOPB", "MKDS 1,5/ 3-5,08", "MAX3232E+", "HX 40 / 2", "SMK, red", "M1"]


def read(folder: Path, number: str) -> Collected:
    path = folder / "mosfet.csv"
    path.write_text(f'part_number,maker,vds_max\n"{number}",Acme,60\nM9,Acme,30\n', encoding="utf-8")
    return collect(path, Reading())


@pytest.mark.parametrize("number", SEVERAL)
def test_several_part_numbers_in_a_row_are_refused_with_a_hint(tmp_path: Path, number: str) -> None:
    found = read(tmp_path, number)
    (told,) = map(str, found.bad)
    assert told.startswith("mosfet.csv row 2, column part_number: ")
    assert "holds 2 part numbers; give each a row of its own, first '" in told
    assert [part.part_number for part in found.parts] == ["M9"]


@pytest.mark.parametrize("number", SINGLE)
def test_a_number_as_its_maker_writes_it_is_one(tmp_path: Path, number: str) -> None:
    found = read(tmp_path, number)
    assert not found.bad
    assert [part.part_number for part in found.parts] == [number, "M9"]
