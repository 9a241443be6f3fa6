"""A shorted load until the fuse acts: what the board says of the current, and what is asked of the switch."""

import math
from typing import Any

import pytest

from partcheck.board.models import Board
from partcheck.policy import DATASHEET
from partcheck.readings.explain import explain
from partcheck.requirement import Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from tests.examples.roles.mosfet_switch import PART

SOURCE = {"source_resistance": "0.8..1 Ω", "fuse_i2t": "0.02 A²s"}


def situation(load: dict[str, Any] | None = None, **rail: Any) -> Situation:
    """A heater behind 2 m of cable on a 12 V rail."""
    heater = {
        "sort": "resistive",
        "rail": "V12",
        "resistance": "24 Ω ±5 %",
        "rate": "1 /s",
        "cable": {"length": "2 m", "wire": "0.75 mm²", "inductance": "1.4 µH ±30 %"},
    }
    return Situation(Board.model_validate({
        "format": 1, "name": "short", "surroundings": {"ambient": "0..40 °C"},
        "rail": {"V12": {"voltage": "12 V ±5 %", **rail}},
        "drive": {"OUT": {"high": "4.8..5.2 V", "low": "0..0.1 V", "source_resistance": "20..60 Ω"}},
        "load": {"heater": heater | (load or {})},
        "role": {"Q1": {"role": "mosfet-switch", "drive": "OUT", "load": "heater", "gate_resistor": "100 Ω ±5 %",
                        "theta_ja": "60 K/W"}},
    }), {"Q1": PART}, DATASHEET)  # fmt: skip


def verdict(made: Situation) -> Verdict:
    """Of the switch, whether it survives."""
    return next(
        f for f in explain(ROLES["mosfet-switch"], PART, made.facts("Q1"), 0.0) if f.id == "shorted-load"
    ).verdict


def test_the_current_is_limited_by_source_and_feed_alone_and_lasts_as_the_whole_path_says() -> None:
    facts = situation(**SOURCE, protection_drop="0.3..0.5 V").facts("Q1")
    assert facts["short_current"].value == pytest.approx(12.6 / 0.8)
    assert facts["short_volts"].value == pytest.approx(11.4 - 0.5)
    assert 1.0 + 2 * 2 * 1.7e-8 / 0.75e-6 < facts["short_resistance"].value < 1.25
    fed = situation(**SOURCE, feed={"length": "1 m", "wire": "1.5 mm²"}).facts("Q1")
    assert 12.6 / 0.83 < fed["short_current"].value < 12.6 / 0.81
    assert facts["fuse_i2t"].value == 0.02


def test_without_a_fuse_it_is_not_asked_and_without_a_source_resistance_not_proved() -> None:
    assert situation(source_resistance="0.8..1 Ω").facts("Q1")["short_current"].value is None
    silent = situation(fuse_i2t="0.02 A²s")
    assert math.isnan(silent.facts("Q1")["short_current"].value)
    assert "rail.V12.source_resistance" in silent.facts("Q1")["short_current"].missing
    assert verdict(silent) is Verdict.UNPROVEN


def test_a_fast_fuse_is_survived_one_that_takes_long_is_not_proved_and_a_stiff_source_is_too_much() -> None:
    assert verdict(situation(**SOURCE)) is Verdict.MEETS
    assert verdict(situation(**SOURCE | {"fuse_i2t": "5 A²s"})) is Verdict.UNPROVEN
    assert verdict(situation(**SOURCE | {"source_resistance": "0.1..1 Ω"})) is Verdict.FAILS
