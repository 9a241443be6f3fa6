"""The same fault in many rows of a column is told in one line."""

from pathlib import Path

import pytest

from partcheck.errors import PartsError
from partcheck.parts.problems import BadCell, causes
from partcheck.parts.read import collect_parts, read_parts


def test_one_cause_in_forty_rows_is_one_line_with_how_many_and_the_first_rows(tmp_path: Path) -> None:
    rows = [f"M{number},Acme,-,{'60 A' if number in (7, 9) else 60}" for number in range(40)]
    (tmp_path / "mosfet.csv").write_text("\n".join(["part_number,maker,vgs_max,vds_max", *rows]), encoding="utf-8")
    with pytest.raises(PartsError) as caught:
        read_parts(tmp_path / "mosfet.csv")
    first, *others = caught.value.details
    assert first == (
        "mosfet.csv row 2, column vgs_max: '-' is not a number; leave it empty if the datasheet does not state it, "
        "or import with --map 'blanks=-'; the same in 39 more rows: 3, 4, 5, 6, 7, ..."
    )
    assert [sentence.partition(",")[0] for sentence in others] == ["mosfet.csv row 9", "mosfet.csv row 11"]
    assert str(caught.value).startswith("42 cells are bad in 1 file; ")
    assert len(collect_parts(tmp_path / "mosfet.csv")[1]) == 42


def test_another_column_sheet_file_or_reason_is_another_cause() -> None:
    cell = BadCell("a.xlsx", 2, "vds_max", "x", "is not a number", "write 60 V", sheet="s")
    others = [
        BadCell("a.xlsx", 3, "vds_max", "x", "is a date", "write 60 V", sheet="s"),
        BadCell("a.xlsx", 4, "vgs_max", "x", "is not a number", "write 60 V", sheet="s"),
        BadCell("b.xlsx", 5, "vds_max", "x", "is not a number", "write 60 V", sheet="s"),
        BadCell("a.xlsx", 6, "vds_max", "x", "is not a number", "write 60 V", sheet="t"),
    ]
    assert causes([cell, *others]) == list(map(str, [cell, *others]))


def test_texts_that_differ_share_a_cause_and_the_first_is_the_example() -> None:
    cells = [BadCell("a.csv", row, "price", f"{row},5", "has a comma", f"write {row}.5") for row in (2, 3, 4)]
    assert causes(cells) == ["a.csv row 2, column price: '2,5' has a comma; write 2.5; the same in 2 more rows: 3, 4"]
    assert causes(cells[:2]) == list(map(str, cells[:2]))
