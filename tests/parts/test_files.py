"""Files that hold no parts: one sentence for each, and what reading costs."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from partcheck.errors import PartsError
from partcheck.parts import files, read_parts


def sentence(path: Path) -> str:
    with pytest.raises(PartsError) as caught:
        read_parts(path)
    assert "\n" not in str(caught.value)
    return str(caught.value)


FILES = [
    (b"", "is empty"),
    (b" \n \n", "is empty"),
    (b"\xff\xfep\0a\0", "is not UTF-8 but UTF-16"),
    (b"part_number,maker\nM1,\xe4\n", "is not UTF-8 (line 2 has the byte 0xe4)"),
    (b"PK\x03\x04abc", "is a workbook"),
    (b"\x7fELF\0\0", "is binary"),
    (b",,,\n,,\n", "is empty"),
    (b'part_number,maker\n"M1,Acme\n', "a quote is open"),
    (b"part_number,maker\nM1," + b"x" * 200_000 + b"\n", "a cell is too long"),
]


@pytest.mark.parametrize(("content", "expected"), FILES)
def test_a_file_that_is_no_sheet_is_one_sentence(tmp_path: Path, content: bytes, expected: str) -> None:
    path = tmp_path / "mosfet.csv"
    path.write_bytes(content)
    assert expected in sentence(path)
    assert str(path) in sentence(path)


def test_places_without_a_sheet_are_one_sentence(tmp_path: Path) -> None:
    assert "is not there" in sentence(tmp_path / "mosfet.csv")
    assert "is not there" in sentence(tmp_path / "nowhere" / "mosfet.csv")
    assert "cannot be read (File name too long)" in sentence(tmp_path / ("m" * 300 + ".csv"))
    assert "is not a file name" in sentence(Path("mosfet\0.csv"))
    assert "holds no .csv or .json" in sentence(tmp_path)
    (tmp_path / "parts.txt").write_text("x")
    assert "neither .csv, .xlsx nor .json" in sentence(tmp_path / "parts.txt")


def test_a_folder_is_told_of_what_cannot_be_read_in_it(tmp_path: Path) -> None:
    (tmp_path / "led.csv").mkdir()
    assert "holds no .csv or .json" in sentence(tmp_path / "led.csv")
    assert "holds no .csv or .json" in sentence(tmp_path)
    os.mkfifo(tmp_path / "pipe.csv")
    assert "is not an ordinary file" in sentence(tmp_path)
    (tmp_path / "gone.csv").symlink_to("nowhere")
    assert "gone.csv is not there" in sentence(tmp_path)


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "mosfet.csv"
    with path.open("wb") as file:
        file.truncate(100_000_000)  # a hole: takes no room
    monkeypatch.setattr(Path, "read_bytes", lambda self: pytest.fail("it was read"))
    assert "has 100 MB, more than the 50 MB" in sentence(path)
    assert files.LARGEST == 50_000_000


def test_the_package_is_cheap_to_import() -> None:
    heavy = "{'sqlalchemy', 'alembic', 'numpy', 'pandas', 'pydantic', 'difflib', 'platformdirs'}"
    code = f"import sys, partcheck.parts, partcheck.parts.read as r; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_150_parts_are_read_in_good_time(tmp_path: Path) -> None:
    main = "".join(f"M{i},Acme,N,{20 + i} V,1 V,2.{i:03} V\n" for i in range(150))
    rows = "".join(f"M{i},Acme,{v} V,4 A,,{20 + i} mΩ\n" for i in range(150) for v in (4.5, 6, 8, 10))
    header = "part_number,maker,polarity,vds_max,vgs_th_min,vgs_th_max\n"
    (tmp_path / "mosfet.csv").write_text(header + main)
    (tmp_path / "mosfet.rds_on.csv").write_text("part_number,maker,vgs,id,typ,max\n" + rows, encoding="utf-8")

    def once() -> float:
        start = time.process_time()
        assert len(read_parts(tmp_path)) == 150
        return time.process_time() - start

    assert min(once() for _ in range(3)) < 0.08


def test_many_points_of_parts_that_are_not_there_are_refused_in_good_time(tmp_path: Path) -> None:
    rows = "".join(f"X{i % 100},Acme,{v / 100},1\n" for i in range(500) for v in range(100, 110))
    (tmp_path / "mosfet.csv").write_text("part_number,maker\n" + "".join(f"M{i},Acme\n" for i in range(300)))
    (tmp_path / "mosfet.rds_on.csv").write_text("part_number,maker,vgs,max\n" + rows)
    start = time.process_time()
    assert "5000 cells are bad in 1 file" in sentence(tmp_path)
    assert time.process_time() - start < 3
