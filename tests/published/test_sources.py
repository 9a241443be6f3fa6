"""Each published number is used by a check of this room, or it is said why not."""

import re
from pathlib import Path

from .sources import TITLES, UNUSED

CHECKS = {path.name: path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_published_*.py")}
CHECKS |= {path.name: path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_through_*.py")}


def used(row: str) -> bool:
    """Named as a row, or by the name of a test."""
    named = re.compile(rf"(?<!\w){row}(?!\d)|def test_{row.lower().replace('-', '')}_")
    return any(named.search(text) for text in CHECKS.values())


def test_a_row_is_used_or_its_reason_is_told() -> None:
    assert {row for row in TITLES if not used(row)} == set(UNUSED)


def test_reasons_are_told_of_rows_that_there_are_and_checks_name_no_other() -> None:
    assert set(UNUSED) <= set(TITLES) and all(UNUSED.values())
    named = {row for text in CHECKS.values() for row in re.findall(r'"([MBLFRCPDSG]-\d\d)\b', text)}
    assert named <= set(TITLES) and len(named) > 100
