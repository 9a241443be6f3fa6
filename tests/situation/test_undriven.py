"""What holds a switch off while nothing drives it, as the board states it; all values follow from the board by hand."""

import math
from typing import Any

import pytest

from partcheck.board.models import Board
from partcheck.policy import BENCH
from partcheck.readings.explain import explain
from partcheck.requirement import Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from tests.examples.roles.mosfet_switch import PART

DOWN = {"pulldown": "100 kΩ ±5 %"}
SINK = {"role": "npn-sink", "drive": "OUT", "load": ["lamp"], "base_resistor": "4.7 kΩ ±5 %"}


def situation(first: dict[str, Any], drive: dict[str, Any] | None = None, **places: dict[str, Any]) -> Situation:
    """A heater on a MOSFET at one output, and whatever else."""
    output = {"high": "4.8..5.2 V", "low": "0..0.1 V", "source_resistance": "20..60 Ω"}
    switch = {"role": "mosfet-switch", "drive": "OUT", "load": "heater", "gate_resistor": "1 kΩ ±5 %"}
    roles = {"Q1": switch | first, **places}
    loads = {"heater", *(name for each in places.values() for name in each.get("load", ()))} - set(places)
    return Situation(Board.model_validate({
        "format": 1, "name": "undriven", "surroundings": {"ambient": "0..40 °C"},
        "rail": {"V12": {"voltage": "12 V ±5 %"}},
        "drive": {"OUT": output | (drive or {}), "OUT2": output},
        "load": {name: {"sort": "resistive", "rail": "V12", "resistance": "24 Ω ±5 %", "rate": "1 /s"} for name in sorted(loads)},
        "role": roles,
    }), {ref: PART if place["role"] == "mosfet-switch" else None for ref, place in roles.items()}, BENCH)  # fmt: skip


def held(made: Situation, ref: str = "Q1") -> Verdict | None:
    """Of ``gate-hold``; None where it is not asked."""
    found = explain(ROLES["mosfet-switch"], PART, made.facts(ref), 0.0)
    return next((f.verdict for f in found if f.id == "gate-hold"), None)


@pytest.mark.parametrize(
    ("floats", "resistor", "verdict"),
    [
        (None, DOWN, Verdict.MEETS), (None, {}, Verdict.UNPROVEN),
        (True, DOWN, Verdict.MEETS), (True, {}, Verdict.FAILS),
        (False, DOWN, None), (False, {}, None),
    ],
)  # fmt: skip
def test_a_switch_floats_unless_it_is_stated_that_it_never_does(
    floats: bool | None, resistor: dict[str, str], verdict: Verdict | None
) -> None:
    assert held(situation(resistor, {} if floats is None else {"floats": floats})) == verdict


def test_its_own_resistor_holds_it_or_that_of_another_switch_through_both_series_resistors() -> None:
    assert situation(DOWN).facts("Q1")["hold_max"].value == pytest.approx(105e3)
    second = {"role": "mosfet-switch", "drive": "OUT", "load": ["lamp"], "gate_resistor": "2 kΩ ±5 %"}
    at_gate = situation({}, Q2=second | DOWN).facts("Q1")["hold_max"]
    assert at_gate.value == pytest.approx(1050 + 2100 + 105e3)
    at_output = situation({}, Q2=second | DOWN | {"pulldown_side": "drive"}).facts("Q1")["hold_max"]
    assert at_output.value == pytest.approx(1050 + 105e3)
    assert math.isinf(situation({}, Q2=second).facts("Q1")["hold_max"].value)
    assert math.isinf(situation({}, Q2=second | DOWN | {"drive": "OUT2"}).facts("Q1")["hold_max"].value)


def test_the_output_leaks_as_stated_or_as_the_policy_assumes() -> None:
    stated = situation(DOWN, {"leakage": "60 µA"})
    assert stated.facts("Q1")["drive_leakage"].value == pytest.approx(60e-6)
    assert held(stated) is Verdict.FAILS  # 60 µA through 105 kΩ are 6.3 V
    assert situation(DOWN).facts("Q1")["drive_leakage"].missing == ("drive.OUT.leakage",)


def test_gates_and_bases_that_nothing_else_holds_leak_through_its_resistor() -> None:
    second = {"role": "mosfet-switch", "drive": "OUT", "load": ["lamp"], "gate_resistor": "2 kΩ ±5 %"}
    leaks = PART.number("igss_max")
    assert situation(DOWN, Q2=second).facts("Q1")["beside_leakage"].value == pytest.approx(leaks)
    assert situation(DOWN, Q2=second | DOWN).facts("Q1")["beside_leakage"].value == 0
    assert situation(DOWN, Q2=second | {"drive": "OUT2"}).facts("Q1")["beside_leakage"].value == 0
    unknown = situation(DOWN, Q2=SINK).facts("Q1")["beside_leakage"]
    assert math.isnan(unknown.value) and held(situation(DOWN, Q2=SINK)) is Verdict.UNPROVEN


@pytest.mark.parametrize(
    ("drive", "loads", "missing"),
    [
        ({}, ["lamp", "D1"], ("drive.OUT.leakage, with what D1 leaks backwards",)),
        ({}, ["D1"], ()),
        ({"leakage": "2 µA"}, ["lamp", "D1"], ()),
    ],
)
def test_an_led_that_a_load_reverses_leaks_onto_the_output(
    drive: dict[str, str], loads: list[str], missing: tuple[str, ...]
) -> None:
    """No datasheet bounds it: 10 µA, as is common, lift 105 kΩ by a volt. Stated of the output it counts."""
    second = {"role": "mosfet-switch", "drive": "OUT2", "load": loads, **DOWN}
    led = {"role": "indicator", "drive": "OUT", "switch": "Q2", "resistor": "1 kΩ ±5 %"}
    found = situation(DOWN, drive, Q2=second, D1=led).facts("Q1")["beside_leakage"]
    assert found.missing == missing
    assert missing or found.value == 0
