"""A new resistor beside a part, with its power where that is stated; and what a stated power asks of the small ones."""

from typing import Any

import pytest

from partcheck.board.resistors import power_key, replaced
from partcheck.board.roles import Indicator, MosfetSwitch, NpnSink
from partcheck.board.surroundings import ReplacementResistor
from partcheck.jobs.judge.place import judge_place
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from tests.every_key import board_with, opened, way

NEW = ReplacementResistor(tolerance="1 %", power="0.25 W", full_power_to="70 °C", no_power_at="130 °C")
COMMON = {"drive": "OUT", "load": "L"}


def test_a_resistor_of_unstated_power_changes_its_value_alone() -> None:
    npn = NpnSink(role="npn-sink", base_resistor="1 kΩ ±5 %", **COMMON)
    (key,) = replaced(npn, "base_resistor", 470.0, NEW)
    assert key == "base_resistor"


def test_two_resistors_of_a_switch_share_the_cooler_derating() -> None:
    keys: dict[str, Any] = {"resistor_full_power_to": "40 °C", "resistor_no_power_at": "155 °C"}
    npn = NpnSink(
        role="npn-sink", base_resistor="1 kΩ ±5 %", base_resistor_power="0.1 W", **COMMON, **keys,
    )  # fmt: skip
    made = replaced(npn, "base_resistor", 470.0, NEW)
    assert made["base_resistor"].max == pytest.approx(474.7)
    assert made["base_resistor_power"] == 0.25
    assert made["resistor_full_power_to"] == 313.15 and made["resistor_no_power_at"] == 403.15


def test_that_of_an_indicator_takes_what_the_new_one_states() -> None:
    led = Indicator(role="indicator", rail="V", resistor="1 kΩ ±5 %", resistor_power="0.1 W")
    made = replaced(led, "resistor", 2200.0, NEW)
    assert (made["resistor_power"], made["resistor_no_power_at"]) == (0.25, 403.15)


def test_the_key_of_a_power_is_one_that_the_format_has() -> None:
    for kind, keys in ((NpnSink, ("base_resistor", "base_emitter_resistor")), (MosfetSwitch, ("pulldown",))):
        assert all(power_key(key) in kind.model_fields for key in keys)
    assert power_key("resistor") in Indicator.model_fields


@pytest.mark.parametrize(
    ("kind", "keys"),
    [
        (MosfetSwitch, {"role": "mosfet-switch", "pulldown_power": "0.1 W"}),
        (NpnSink, {"role": "npn-sink", "base_resistor": "1 kΩ ±5 %", "base_emitter_power": "0.1 W"}),
    ],
    ids=["pull-down", "base-emitter"],
)
def test_the_power_of_a_resistor_that_is_not_there_is_refused(kind: Any, keys: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="is not stated; state"):
        kind(**COMMON, **keys)


def verdict(ref: str, rule: str, *changes: tuple[str, Any]) -> tuple[Verdict, float, float]:
    setup = opened()
    board = board_with([(way(key), value) for key, value in changes])
    situation = Situation(board, setup.fitted, setup.policy, 0.0)
    found = next(one for one in judge_place(situation, ref).findings if one.id == rule)
    return found.verdict, found.compared[0].demand, found.compared[0].capability


def test_a_base_resistor_carries_the_whole_level_in_warm_air() -> None:
    """By hand: the level over the least resistance; the rating falls from 40 to 155 °C, and bench counts 60 % of it."""
    level = opened().board_file.board.drive["npn"].high.max
    word, demand, capability = verdict("Q3", "base-resistor-power")
    assert demand == pytest.approx(level**2 / 532)
    assert capability == pytest.approx(0.6 * 0.1 * (155 - 45) / (155 - 40))
    assert word is (Verdict.MEETS if demand < 0.9 * capability else Verdict.TIGHT)
    small, _, _ = verdict("Q3", "base-resistor-power", ("role.Q3.base_resistor_power", "50 mW"))
    assert small is Verdict.FAILS
    _, behind, _ = verdict("Q3", "base-emitter-power")
    assert behind == pytest.approx(level**2 / 4 / 532)  # no resistor behind it takes more
    _, held, _ = verdict("Q1", "pulldown-power")
    assert held == pytest.approx(opened().board_file.board.drive["coil"].high.max ** 2 / 95e3)
