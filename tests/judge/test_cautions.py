"""The cautions that apply to a board: each on a board that calls for it, and not on one that does not."""

from pathlib import Path

import pytest

from partcheck.jobs.check.board import check
from partcheck.jobs.judge.setup import open_setup
from tests.command import BOARD, SAMPLES

SMALL = """
format = 1
name = "small"
[surroundings]
ambient = "5..40 °C"
[rail.V12]
voltage = "12 V ±5 %"
{rail}
[drive.OUT]
high = "4.8..5..5.2 V"
low = "0..0.2 V"
source_resistance = "20..60 Ω"
[load.one]
rail = "V12"
{load}
[role.Q1]
role = "mosfet-switch"
{fitted}
drive = "OUT"
load = "one"
pulldown = "100 kΩ ±5 %"
gate_resistor = "470 Ω ±5 %"
"""
MOTOR = 'sort = "motor"\ncurrent = "0.1..0.2 A"\nstall_current = "0.5 A"\ninductance = "1 mH ±20 %"'
LAMP = 'sort = "lamp"\ncurrent = "0.1..0.2 A"\ninrush_factor = 8\ninrush_time = "20 ms"'
INPUT = 'sort = "logic-input"\ncurrent = "1..2 mA"'


def said(folder: Path, load: str = LAMP, rail: str = "", fitted: str = 'fitted = "TALQ-30N52"') -> str:
    path = folder / "small.toml"
    path.write_text(SMALL.format(load=load, rail=rail, fitted=fitted), encoding="utf-8")
    return "\n".join(check(open_setup(path, [SAMPLES])).cautions)


def test_a_source_of_which_nothing_is_stated_is_not_taken_for_a_weak_one(tmp_path: Path) -> None:
    assert "source of V12 delivers into a fault is not stated" in said(tmp_path)
    assert "not stated" not in said(tmp_path, rail='fault_current = "0.5 A"')
    assert "over 15 W" in said(tmp_path, rail='fault_current = "2 A"')
    assert "over 100 W" in said(tmp_path, rail='current = "10 A"')


@pytest.mark.parametrize(
    ("load", "stays_on", "moves"), [(MOTOR, True, True), (LAMP, True, False), (INPUT, False, False)]
)
def test_what_a_failed_switch_leaves_on(tmp_path: Path, load: str, stays_on: bool, moves: bool) -> None:
    words = said(tmp_path, load)
    assert ("usually stays closed" in words) is stays_on
    assert ("keep hands clear" in words) is moves


def test_the_hottest_part_of_the_sample_is_named_and_an_unknown_one_is_not_taken_for_cool(tmp_path: Path) -> None:
    words = "\n".join(check(open_setup(BOARD, [SAMPLES])).cautions)
    assert "U1" in next(line for line in words.splitlines() if "hot enough to burn" in line)
    assert "How hot Q1 may get is not known" in said(tmp_path, fitted="")
