"""Links that a board leaves out are counted wherever they may lead, and what heats an enclosure is all counted."""

import math
from typing import Any

import pytest

from partcheck.jobs.judge.board import judge_board
from partcheck.policy import DATASHEET
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import heats
from partcheck.situation.sums import chip_current
from tests.every_key import board_with, opened, way

SETUP = opened()


def situation(*changes: tuple[str, Any], fitted: Any = SETUP.fitted) -> Situation:
    """The board that states every key with some of them changed."""
    board = board_with([(way(key), value) for key, value in changes])
    return Situation(board, fitted, SETUP.policy)


def verdict(made: Situation, ref: str, id_: str) -> Verdict:
    """How one requirement ends."""
    places, links = judge_board(made)
    return next(f.verdict for j in (*places, *links) if j.ref == ref for f in j.findings if f.id == id_)


def test_a_chip_without_a_supply_is_counted_in_every_rail_that_may_be_it() -> None:
    whole, open_ = situation(), situation(("chip.U2.supply", None))
    drawn = chip_current(whole, "U2").value
    assert drawn > 0.01
    assert open_.facts("U1")["load_current"].value == pytest.approx(whole.facts("U1")["load_current"].value)
    assert open_.rail_current("V12").value == pytest.approx(whole.rail_current("V12").value)  # once, not through U1 too
    more = open_.rail_current("P24").value - whole.rail_current("P24").value
    assert 0 < more <= drawn  # what excludes each other at once need not be the same with it
    assert "chip.U2.supply is not stated" in open_.facts("U1")["load_current"].source


def test_a_rail_below_the_level_of_a_drive_does_not_supply_it() -> None:
    low = (("rail.V33.voltage", "3.3 V ±5 %"), ("chip.U2.supply", None))
    assert situation(*low).rail_current("V33").value == 0.0


def test_a_drive_without_a_chip_counts_in_every_rail_and_chip() -> None:
    whole, open_ = situation(), situation(("drive.led.chip", None))
    current = whole.quantity("D13", "current_max").value
    assert open_.rail_current("P24").value == pytest.approx(whole.rail_current("P24").value + current)
    assert open_.facts("U1")["load_current"].value == pytest.approx(whole.facts("U1")["load_current"].value)
    assert chip_current(open_, "U2").value == pytest.approx(chip_current(whole, "U2").value)


def test_a_level_above_what_the_regulator_makes_is_judged() -> None:
    """The file states no voltage of such a rail, so it is not refused."""
    assert verdict(situation(), "chip U2", "high-level") is Verdict.MEETS
    assert verdict(situation(("drive.npn.high", "4.8..5..5.3 V")), "chip U2", "high-level") is Verdict.MEETS
    assert verdict(situation(("drive.npn.high", "4.8..5..5.4 V")), "chip U2", "high-level") is Verdict.FAILS


def test_a_transient_reaches_the_logic_of_its_rail() -> None:
    logic = (("rail.P24.accepts", "20..28 V"),)
    assert verdict(situation(*logic), "rail P24", "logic-supply") is not Verdict.FAILS
    assert verdict(situation(*logic, ("rail.P24.transient", "30 V")), "rail P24", "logic-supply") is Verdict.FAILS


def test_a_release_level_that_the_coil_may_never_exceed_proves_nothing() -> None:
    """Not refused: what the feed loses is not in the file alone, but 40 ohms leave 12 V little."""
    weak = (("rail.V12.feed", None), ("rail.V12.feed_resistance", "1..40 Ω"))
    assert verdict(situation(), "D1", "release-time") is Verdict.MEETS
    assert verdict(situation(*weak), "D1", "release-time") is Verdict.UNPROVEN


CURRENT = situation().rail_current("V12").value
HEATS = [
    ("rail.V5.logic_current", "10..240 mA", 0.2 * 5.1 + 0.2 * (12.6 - 4.9) + 0.2 * 0.3),
    ("rail.V5.other_current", "1..103 mA", 0.1 * 5.1 + 0.1 * (12.6 - 4.9) + 0.1 * 0.3),
    ("rail.V12.other_current", "0..0.5 A", 0.5 * 12.6 + 0.5 * 0.3),
    ("rail.V12.protection_drop", "0.2..0.4 V", 0.1 * CURRENT),
    ("role.Q3.base_resistor", "270 Ω ±5 %", 5.15**2 / (0.95 * 270 + 20) - 5.15**2 / (0.95 * 560 + 20)),
    ("role.Q1.pulldown", "20 kΩ ±5 %", 5.15**2 / (19e3 + 20) - 5.15**2 / (95e3 + 20)),
]


@pytest.mark.parametrize(("key", "value", "watts"), HEATS, ids=[case[0] for case in HEATS])
def test_what_no_part_fills_heats_the_air_inside(key: str, value: str, watts: float) -> None:
    """Logic, all else on a rail, a protection diode, base resistors, pull-downs."""
    before, after = (math.fsum(heat.value for heat in heats(situation(*changes))) for changes in ((), ((key, value),)))
    assert after - before >= watts * (1 - 1e-9)


def test_limits_on_edges_are_asked_of_a_bipolar_transistor_too() -> None:
    """20 µs is the longest usual; no datasheet says how short an edge may be."""
    assert verdict(situation(), "Q3", "edge-time") is Verdict.MEETS
    assert verdict(situation(("load.heater.edge_limit", "15 µs")), "Q3", "edge-time") is Verdict.FAILS
    silent = situation(("drive.npn.edge_time", None))
    assert verdict(silent, "Q3", "edge-time") is Verdict.MEETS  # the policy assumes that of a logic output
    assert verdict(Situation(silent.board, silent.fitted, DATASHEET), "Q3", "edge-time") is Verdict.UNPROVEN
    assert verdict(situation(), "Q3", "fastest-edge") is Verdict.UNPROVEN


@pytest.mark.parametrize(("ohms", "ends"), [("0.7 Ω", Verdict.MEETS), ("3 Ω", Verdict.FAILS)])
def test_an_emitter_lifted_over_a_low_drive_is_held_against_its_rating(ohms: str, ends: Verdict) -> None:
    lifted = situation(("ground.resistance", ohms), ("ground.drive_rises", False))
    lift = lifted.facts("Q4")["lift"].value
    assert lifted.facts("Q4")["base_reverse"].value == lift > 1.0
    rated = SETUP.fitted["Q4"]
    assert rated is not None and (lift <= 0.8 * rated.values["vebo"]) is (ends is Verdict.MEETS)
    assert verdict(lifted, "Q4", "base-reverse") in (ends, Verdict.TIGHT if ends is Verdict.MEETS else ends)
    assert situation(("ground.resistance", ohms)).facts("Q4")["base_reverse"].value is None  # it rises with the emitter
