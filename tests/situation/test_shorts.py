"""A shorted load until the fuse acts: what the board says of the current, and what is asked of the switch."""

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from partcheck.board.models import Board
from partcheck.policy import DATASHEET
from partcheck.readings.explain import explain
from partcheck.requirement import Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from partcheck.situation.shorts import SETTLING
from tests.examples.roles.mosfet_switch import PART

SOURCE = {
    "source_resistance": "0.8..1 Ω", "fuse_i2t": "0.02 A²s", "capacitance": "10 µF ±20 %", "capacitance_esr": "8..10 Ω",
}  # fmt: skip


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
    assert facts["short_surge"].value == pytest.approx(12.6 / 0.8 + 12.6 / 8)
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


@pytest.mark.parametrize("gone", ["source_resistance", "capacitance", "capacitance_esr"])
def test_what_feeds_the_short_has_to_be_stated(gone: str) -> None:
    """A board of unknown capacitance is not one of none: nothing limits what it empties into the switch."""
    made = situation(**{key: value for key, value in SOURCE.items() if key != gone})
    assert verdict(made) is Verdict.UNPROVEN
    for fact in ("short_surge", "short_delay"):
        assert f"rail.V12.{gone}" in made.facts("Q1")[fact].missing


def test_a_capacitance_of_little_resistance_or_a_large_one_leaves_it_unproved() -> None:
    assert verdict(situation(**SOURCE | {"capacitance_esr": "0.05..0.1 Ω"})) is Verdict.UNPROVEN
    small, large = (
        situation(**SOURCE | {"capacitance": f"{c} ±20 %"}).facts("Q1")["short_delay"].value
        for c in ("10 µF", "470 µF")
    )
    assert 40 * small < large
    assert verdict(situation(**SOURCE | {"capacitance": "4700 µF ±20 %"})) is Verdict.UNPROVEN


def test_feed_and_cable_hold_the_current_back_and_a_typed_feed_is_taken_as_thick() -> None:
    delay = {
        feed: situation(**SOURCE, **{"feed_resistance": feed} if feed else {}).facts("Q1")["short_delay"]
        for feed in ("", "0.05..0.1 Ω")
    }
    assert math.isnan(delay["0.05..0.1 Ω"].value) and "rail.V12.feed" in delay["0.05..0.1 Ω"].missing
    short, long = (
        situation({"cable": {"length": "2 m", "wire": "0.75 mm²", "inductance": f"{henries} µH ±30 %"}}, **SOURCE)
        for henries in (1.4, 140)
    )
    spread = long.facts("Q1")["short_delay"].value - short.facts("Q1")["short_delay"].value
    assert spread == pytest.approx(SETTLING * 1.3 * 138.6e-6 / 0.8)


@pytest.mark.parametrize("sort", ["motor", "capacitive"])
def test_another_load_that_gives_current_back_leaves_it_unproved(sort: str) -> None:
    more = {
        "motor": {"current": "0.3 A", "stall_current": "1 A"},
        "capacitive": {"capacitance": "100 µF ±20 %", "series_resistance": "1 Ω ±5 %", "current": "0.1 A"},
    }[sort]
    made = situation(**SOURCE)
    load = {"sort": sort, "rail": "V12", **more}
    with_it = Situation(
        Board.model_validate({
            **{key: getattr(made.board, key) for key in ("format", "name", "surroundings", "rail", "drive")},
            "load": {**made.board.load, "other": load},
            "role": {**made.board.role,
                     "Q2": {"role": "mosfet-switch", "drive": "OUT", "load": "other", "gate_resistor": "100 Ω ±5 %"}},
        }), {"Q1": PART, "Q2": None}, DATASHEET)  # fmt: skip
    assert "what other feeds into a short" in with_it.facts("Q1")["short_surge"].missing


def test_a_fuse_acts_no_later_than_said_whatever_holds_the_source_back() -> None:
    """Source, inductance and capacitance into a switch that is a resistor or carries a fixed current: SciPy integrates."""
    random = np.random.default_rng(11)
    near = []
    for _ in range(60):
        ohms, farads, henries = (10 ** random.uniform(*ends) for ends in ((-1.3, 0.5), (-5.5, -2.5), (-7, -4)))
        esr, switch = 10 ** random.uniform(-2.3, 0.3), 10 ** random.uniform(-1.5, 1)
        flat = 12 / (ohms + switch) * random.uniform(0.3, 1) if random.random() < 0.5 else math.inf
        end, i2t = min(12 / (ohms + switch), flat), 10 ** random.uniform(-3, 1)
        said = i2t / end**2 + SETTLING * ((ohms + esr) * farads + henries / ohms)

        def slope(_: float, state: Any, r: Any = (ohms, farads, henries, esr, switch, flat)) -> list[float]:
            ohms, farads, henries, esr, switch, flat = r
            current, held, _heat = state
            node = (current + held / esr) / (1 / switch + 1 / esr)
            if node / switch > flat:
                node = held + esr * (current - flat)
            return [(12 - ohms * current - node) / henries, (node - held) / esr / farads, current**2]

        made = solve_ivp(slope, [0, said], [0, 12, 0], method="LSODA", rtol=1e-7, atol=1e-10)
        assert made.y[2][-1] >= i2t * (1 - 1e-5)
        near.append(i2t / made.y[2][-1])
    assert max(near) > 0.99


def test_a_fast_fuse_is_survived_one_that_takes_long_is_not_proved_and_a_stiff_source_is_too_much() -> None:
    assert verdict(situation(**SOURCE)) is Verdict.MEETS
    assert verdict(situation(**SOURCE | {"fuse_i2t": "5 A²s"})) is Verdict.UNPROVEN
    assert verdict(situation(**SOURCE | {"source_resistance": "0.1..1 Ω"})) is Verdict.FAILS
