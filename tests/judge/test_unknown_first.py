"""Parts that nobody knows are said first, once for each part number, and not as the hundred values that they leave open."""

from pathlib import Path

import pytest

from partcheck.jobs.check.board import check
from partcheck.jobs.judge.setup import open_setup
from partcheck.report.answers.check.document import document
from partcheck.report.render import text as screen
from tests.command import SAMPLES

SIXTEEN = SAMPLES / "sixteen-valves.toml"


def told(path: Path) -> str:
    return " ".join(screen.render(document(check(open_setup(path, [SAMPLES]), with_remedies=False))).split())


@pytest.mark.parametrize(
    ("gone", "where", "who"),
    [
        ({"TALQ-30N52": "TALQ-30N53"}, "parts at Q1, Q2 and 14 more", "Q1, Q2 and 14 more are fitted with TALQ-30N53"),
        (
            {"TALQ-30N52": "TALQ-30N53", "ARFJ-S60A": "ZZZ"},
            "parts at Q1, Q2 and 30 more",
            "See the notes for 1 more unknown part.",
        ),
    ],
)
def test_unknown_parts_come_first_and_once(gone: dict[str, str], where: str, who: str, tmp_path: Path) -> None:
    text = SIXTEEN.read_text(encoding="utf-8")
    for old, new in gone.items():
        assert f'"{old}"' in text
        text = text.replace(f'"{old}"', f'"{new}"')
    path = tmp_path / "board.toml"
    path.write_text(text, encoding="utf-8")
    said = told(path)
    assert said.startswith(f"Nothing fails, but the board is not proved: no values are known for the {where}.")
    head, _, rest = said.partition("Board sixteen valves, as fitted")
    assert who in head and "did you mean TALQ-30N52?" in head
    table = rest.partition("What is not proved")[2].partition("Places, worst first")[0]
    assert table.count("every value of the parts at") == 1 and "vds_max" in table
    assert "no part with known values" not in table and len(table) < 1600
