"""The swap as a whole: neighbours, resistors, stock, a board of one's own."""

import json
from collections.abc import Callable
from itertools import chain
from pathlib import Path
from typing import Any

import pytest

from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.screen.resistors import with_resistor
from partcheck.jobs.swap.swap import Swapped, swap
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from tests.command import BOARD, SAMPLES, Ran, run
from tests.draws import some


@pytest.fixture(scope="module")
def answers() -> dict[str, Swapped]:
    setup = open_setup(BOARD, [SAMPLES])
    return {ref: swap(setup, ref, 6) for ref in ("Q2", "Q9", "D3", "D6", "D11", "U1", "J1")}


@pytest.mark.parametrize("ref", ["Q2", "Q9", "D3", "D6", "D11", "U1"])
def test_the_board_with_a_stand_in_really_fitted_is_as_good_as_was_said(ref: str, answers: dict[str, Swapped]) -> None:
    """Each stand-in is fitted in a board made from nothing; no place may end worse than the swap says."""
    answer = answers[ref]
    before = {j.ref: j.verdict for j in chain(*judge_board(answer.situation))}
    assert answer.candidates
    for candidate in some(answer.candidates, 3):
        board = answer.setup.board_file.board
        if candidate.resistor is not None:
            board = with_resistor(board, ref, candidate.resistor)
        fitted: dict[str, Any] = {**answer.setup.fitted, ref: candidate.part}
        fresh = Situation(board, fitted, answer.setup.policy)
        fresh.drawn = answer.situation.drawn
        said = {w.ref for w in candidate.worsened}
        for judged in chain(*judge_board(fresh)):
            if judged.ref == ref:
                assert judged.verdict is candidate.judged.verdict, candidate.part.part_number
                assert judged.headroom == pytest.approx(candidate.judged.headroom, nan_ok=True, rel=1e-9)
            elif judged.verdict < before[judged.ref]:
                assert judged.ref in said, (candidate.part.part_number, judged.ref)


def test_a_clamp_that_breaks_its_neighbour_is_not_a_stand_in(answers: dict[str, Swapped]) -> None:
    answer = answers["D6"]
    assert any(name.startswith("Q9 ") for name in answer.why_not)
    for candidate in answer.candidates:
        assert all(worse.after > Verdict.FAILS for worse in candidate.worsened)


def test_a_resistor_change_is_counted_shown_as_drawn_and_really_cures(answers: dict[str, Swapped]) -> None:
    found = [c for ref in ("D11", "Q9") for c in answers[ref].candidates if c.resistor is not None]
    assert found
    for candidate in found:
        assert candidate.drawn.verdict < candidate.judged.verdict
        assert str(candidate.resistor) in candidate.changes
        assert candidate.rank.changes == len(candidate.changes) >= 1


def test_the_best_comes_first_and_the_counts_add_up(answers: dict[str, Swapped]) -> None:
    for answer in answers.values():
        keys = [candidate.rank.key for candidate in answer.candidates]
        assert keys == sorted(keys)
        assert sum(answer.counts.values()) == answer.compared
        assert {v for v, n in answer.counts.items() if n} >= {c.verdict for c in answer.candidates}


def test_a_part_on_another_land_pattern_is_a_change_and_another_polarity_fails(answers: dict[str, Swapped]) -> None:
    answer = answers["Q2"]
    assert any("land pattern" in change or "pin order" in change for c in answer.candidates for change in c.changes)
    assert answer.why_not["polarity"] == 1


BOARD_WITH_PARTS = """\
format = 1
name = "Two parts"
[surroundings]
ambient = "0..40 °C"
[rail.V12]
voltage = "12 V ±5 %"
[drive.d1]
high = "4.8..5.2 V"
low = "0..0.3 V"
source_resistance = "20..60 Ω"
floats = false
[load.heater]
sort = "resistive"
rail = "V12"
resistance = "24 Ω ±5 %"
[role.Q1]
role = "mosfet-switch"
fitted = "OLD"
drive = "d1"
load = "heater"
gate_resistor = "100 Ω ±5 %"
pulldown = "100 kΩ ±5 %"
theta_ja = "80 K/W"
"""
PART = """\
[[part]]
kind = "mosfet"
maker = "Example"
part_number = "{name}"
polarity = "N"
package = "DPAK"
pin_order = "G-D-S"
vds_max = "{vds}"
vgs_max = "20 V"
vgs_th = {{ min = "1 V", typ = "1.6 V", max = "2.2 V" }}
vgs_th_tempco = "-4 mV/K"
tj_max = "150 °C"
rds_on = [{{ vgs = "{vgs}", id = "3 A", max = "40 mΩ" }}]
rds_on_factor = [{{ tj = "25 °C", max = 1.0 }}, {{ tj = "150 °C", max = 2.0 }}]
id_max = [{{ temperature = "25 °C", reference = "case", max = "12 A" }}, \
{{ temperature = "100 °C", reference = "case", max = "8 A" }}]
"""


def test_a_board_of_ones_own_with_its_parts_inline(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PARTCHECK_CATALOG", str(tmp_path / "none.sqlite"))
    path = tmp_path / "own.toml"
    parts = [("OLD", "60 V", "4.5 V"), ("GOOD", "40 V", "4.5 V"), ("TENVOLT", "60 V", "10 V"), ("LOW", "12 V", "4.5 V")]
    text = BOARD_WITH_PARTS + "".join(PART.format(name=n, vds=v, vgs=g) for n, v, g in parts)
    path.write_text(text, encoding="utf-8")
    ran: Callable[..., Ran] = lambda *words: run(monkeypatch, capsys, *words)  # noqa: E731
    found = ran("swap", path, "Q1", "--json", "--policy", "datasheet")
    answer = json.loads(found.out)
    assert found.code == 0
    assert [c["part_number"] for c in answer["candidates"]] == ["GOOD"]
    assert answer["why_not"] == {"drain-voltage": 1, "fully-on": 1}
    verdicts = {r["id"]: r for r in answer["candidates"][0]["place"]["requirements"]}
    current = 12.6 / 22.8  # highest rail over the least resistance
    assert verdicts["drain-current"]["demand"] == pytest.approx(current)
    # self-heating by hand: T = 40 + 80·I²·40 mΩ·(1 + (T − 25)/125), solved for T
    slope = 80 * current**2 * 0.04
    expected = (40 + slope * (1 - 25 / 125)) / (1 - slope / 125) - 40
    assert verdicts["junction-rise"]["demand"] == pytest.approx(expected, rel=1e-9)


def test_a_transient_of_the_rail_stands_over_the_open_switch(tmp_path: Path) -> None:
    text = BOARD_WITH_PARTS.replace('voltage = "12 V ±5 %"', 'voltage = "12 V ±5 %"\ntransient = "50 V"')
    text += "".join(PART.format(name=n, vds=v, vgs="4.5 V") for n, v in (("OLD", "60 V"), ("LOW", "40 V")))
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    answer = swap(open_setup(path, policy="datasheet", given=[]), "Q1")
    assert answer.why_not == {"drain-voltage": 1}
    found = {f.id: f for f in answer.fitted.findings}["drain-voltage"]
    assert found.compared[0].demand == 50.0


def test_a_transient_above_the_rating_is_no_pass_where_nothing_clamps_the_coil(tmp_path: Path) -> None:
    text = BOARD_WITH_PARTS.replace('voltage = "12 V ±5 %"', 'voltage = "12 V ±5 %"\ntransient = "90 V"')
    coil = 'sort = "coil"\nrate = "1 /s"\ninductance = "1 mH ±10 %"'
    text = text.replace('sort = "resistive"', coil) + PART.format(name="OLD", vds="60 V", vgs="4.5 V")
    path = tmp_path / "own.toml"
    path.write_text(text + 'ear = "1 J"\nias = "10 A"\n', encoding="utf-8")
    setup = open_setup(path, policy="datasheet")
    findings = {f.id: f for f in swap(setup, "Q1").fitted.findings}
    assert findings["avalanche-energy"].verdict < Verdict.TIGHT
