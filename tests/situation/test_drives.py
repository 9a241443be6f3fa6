"""The high level of a drive follows what supplies its chip; every number here is worked out by hand from the board."""

import math
from typing import Any

import numpy as np
import pytest

from partcheck.board.fields import Span
from partcheck.board.models import Board
from partcheck.jobs.judge.board import judge_board
from partcheck.parts.part import Part, point_table
from partcheck.policy import DATASHEET
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.drives import LARGEST, LEAST, TYPICAL, high_level
from partcheck.situation.swept import sweep
from tests.examples.roles import indicator, mosfet_switch, regulator

UNLOADED = {"high": "4.8..5..5.2 V", "low": "0..0.1 V", "source_resistance": "20..60 Ω"}
AT_CURRENT = {"high": "4.6..4.9..5 V", "low": "0..0.1 V", "high_at": "4 mA"}
MADE = {"regulator": "U1", "logic_current": "5..40 mA"}


def situation(
    supply: dict[str, Any],
    drive: dict[str, Any] | None = None,
    chip: dict[str, Any] | None = None,
    part: Part | None = regulator.PART,
    source: str = "12 V ±5 %",
) -> Situation:
    """A heater on a MOSFET and an LED at the outputs of one chip, supplied by V5."""
    chip = {"supply": "V5"} if chip is None else chip
    output = (UNLOADED if drive is None else drive) | ({"chip": "U2"} if chip else {})
    roles: dict[str, Any] = {
        "Q1": {"role": "mosfet-switch", "drive": "OUT", "load": "heater"},
        "D1": {"role": "indicator", "drive": "LED", "resistor": "149..150..151 Ω"},
    }
    if "regulator" in supply:
        roles["U1"] = {"role": "regulator", "input": "VIN", "output": "V5"}
    fitted = {"Q1": mosfet_switch.PART, "D1": indicator.PART, "U1": part}
    return Situation(Board.model_validate({
        "format": 1, "name": "levels", "surroundings": {"ambient": "0..40 °C"},
        "rail": {"VIN": {"voltage": source}, "V5": supply},
        "chip": {"U2": chip} if chip else {}, "drive": {"OUT": output, "LED": output},
        "load": {"heater": {"sort": "resistive", "rail": "VIN", "resistance": "240 Ω ±5 %"}}, "role": roles,
    }), {ref: fitted[ref] for ref in roles}, DATASHEET)  # fmt: skip


def levels(made: Situation) -> tuple[float, float, float]:
    return tuple(high_level(made, "OUT", end).value for end in (LEAST, TYPICAL, LARGEST))  # type: ignore[return-value]


def wide(low: float, high: float, **values: Any) -> Part:
    """The regulator of the examples with another tolerance, load regulation in it."""
    kept = regulator.PART.values | {"v_out_min": low, "v_out_max": high, "load_regulation_max": 0.0} | values
    return Part("regulator", "RX-W", "Example", {k: v for k, v in kept.items() if v is not None}, regulator.PART.tables)


@pytest.mark.parametrize(
    ("supply", "part", "expected"),
    [
        ({"voltage": "5 V ±2 %"}, None, (4.8, 5.0, 5.2)),  # 4.9..5.1 V: what is stated is within, or beyond by itself
        ({"voltage": "5 V ±10 %"}, None, (4.5, 5.0, 5.5)),
        ({"voltage": "4.9..4.95..5.3 V"}, None, (4.8, 4.95, 5.3)),
        (MADE, regulator.PART, (4.8, 5.0, 5.2)),
        (MADE, wide(4.5, 5.5), (4.5, 5.0, 5.5)),
        (MADE, wide(3.2, 3.4, v_out_typ=3.3), (3.2, 3.3, 5.2)),
        (MADE, None, (4.8, 5.0, 5.2)),  # an unknown regulator: what is stated
        (MADE, wide(4.5, 5.5, v_out_typ=None), (4.5, 5.0, 5.5)),
    ],
)
def test_a_level_is_no_higher_than_its_supply_and_reaches_up_to_it(
    supply: dict[str, Any], part: Part | None, expected: tuple[float, float, float]
) -> None:
    assert levels(situation(supply, part=part)) == pytest.approx(expected)


def test_without_a_chip_or_its_supply_the_level_is_as_stated() -> None:
    rail = {"voltage": "5 V ±10 %"}
    for chip in ({}, {"pin_current": "20 mA"}):
        assert levels(situation(rail, chip=chip)) == (4.8, 5.0, 5.2)


def test_an_output_that_stays_below_its_supply_is_not_lifted_to_it() -> None:
    lower = UNLOADED | {"high": "2.4..2.8..3.2 V"}
    assert levels(situation({"voltage": "5 V ±10 %"}, lower)) == (2.4, 2.8, 3.2)


def test_a_regulator_that_drops_out_takes_the_levels_down() -> None:
    """5.5 V at its input less the 1.2 V of dropout that are stated for the next current above 40 mA and the LED."""
    assert levels(situation(MADE, source="5.5..5.6..5.7 V"))[0] == pytest.approx(4.3)


def test_a_regulator_of_unknown_dropout_or_load_leaves_its_tolerance() -> None:
    part = wide(4.5, 5.5)
    blank = Part("regulator", "RX-B", "Example", part.values, {"theta_ja": part.tables["theta_ja"]})
    assert levels(situation(MADE, part=blank)) == pytest.approx((4.5, 5.0, 5.5))


def test_the_drop_in_the_feed_of_the_supply_counts() -> None:
    """4.75 V less 2 Ω times 100 mA of logic and what the LED takes, at most 5.25 V over 169 Ω."""
    made = situation({"voltage": "5 V ±5 %", "feed_resistance": "1..2 Ω", "logic_current": "10..100 mA"})
    least, current = levels(made)[0], made.quantity("D1", "current_max").value
    assert 0 < current < 5.25 / 169
    assert least == pytest.approx(4.75 - 2 * (0.1 + current))
    assert made.facts("Q1")["drive_high_min"].value < 4.55


@pytest.mark.parametrize(
    ("voltage", "resistance", "least"),
    [
        ("5 V ±8 %", None, 4.6),  # the supply covers what is stated
        ("5 V ±10 %", None, 4.5 - (5.0 - 4.6)),  # it does not: the output drops 0.4 V of the usual 5 V
        ("5 V ±10 %", "20..60 Ω", 4.5 - 4e-3 * 60),
    ],
)
def test_a_level_at_a_current_lies_below_its_supply_by_what_the_output_drops(
    voltage: str, resistance: str | None, least: float
) -> None:
    drive = AT_CURRENT | ({} if resistance is None else {"source_resistance": resistance})
    assert levels(situation({"voltage": voltage}, drive))[0] == pytest.approx(least)


def test_what_reads_a_level_reads_the_one_that_can_be() -> None:
    made = situation({"voltage": "5 V ±10 %"})
    assert made.facts("Q1")["drive_high_min"].value == pytest.approx(4.5)
    assert made.facts("Q1")["drive_high_max"].value == pytest.approx(5.5)
    assert "V5" in made.facts("Q1")["drive_high_min"].source
    feeds = [made.facts("D1")[name].value for name in ("feed_min", "feed_typ", "feed_max")]
    assert feeds == pytest.approx([4.5, 5.0, 5.5])


VF = ((0.001, 1.5), (0.005, 1.6), (0.02, 1.8), (0.03, 1.9))
"""Least forward voltages of an LED, by its current."""


def _led_current(volts: float, ohms: float) -> float:
    """Where the straight lines between those rows meet the resistor's, by bisection."""
    low, high = 0.0, volts / ohms
    for _ in range(60):
        middle = (low + high) / 2
        if float(np.interp(middle, *zip(*VF, strict=True))) + middle * ohms < volts:
            low = middle
        else:
            high = middle
    return low


def test_the_current_of_an_led_is_that_at_the_largest_supply() -> None:
    rows = point_table("led", "vf", [{"i_f": at, "min": volts, "max": volts + 0.6} for at, volts in VF])
    led = Part("led", "LX-V", "Example", indicator.PART.values, indicator.PART.tables | {"vf": rows})

    def told(voltage: str) -> float:
        made = situation({"voltage": voltage})
        return float(made.replaced("D1", led).quantity("D1", "current_max").value)

    by_hand = _led_current(5.5, 149 + 20)
    assert told("5 V ±10 %") >= by_hand > told("5 V ±2 %")
    assert told("5 V ±10 %") == pytest.approx(by_hand, rel=0.04)  # hot, its voltage is a little less


def test_a_regulator_with_a_wider_output_may_leave_a_switch_without_its_stated_resistance() -> None:
    """The example's MOSFET states its resistance from 4.5 V on; the output at 4.4 V gives it less."""
    verdicts = []
    for part in (regulator.PART, wide(4.4, 5.6)):
        places, _ = judge_board(situation(MADE, part=part))
        verdicts += [f.verdict for place in places if place.ref == "Q1" for f in place.findings if f.id == "fully-on"]
    assert verdicts[0] in (Verdict.MEETS, Verdict.TIGHT)
    assert verdicts[1] == Verdict.FAILS


@pytest.mark.parametrize("drive", [UNLOADED, AT_CURRENT])
def test_many_supplies_at_once_give_the_levels_of_each(drive: dict[str, Any]) -> None:
    shares = [0.0, 0.03, 0.09, 0.2, 0.4]
    made = situation({"voltage": "5 V ±5 %", "feed_resistance": "1..2 Ω", "logic_current": "10..100 mA"}, drive)

    def on(low: Any, high: Any) -> Board:
        volts = Span(low, 5.0 + 0.0 * high, high)
        rail = made.board.rail["V5"].model_copy(update={"voltage": volts})
        return made.board.model_copy(update={"rail": made.board.rail | {"V5": rail}})

    ends = np.array([5 - 5 * share for share in shares]), np.array([5 + 5 * share for share in shares])
    swept = sweep(made, on(*ends), len(shares))
    for i, share in enumerate(shares):
        alone = Situation(on(5 - 5 * share, 5 + 5 * share), made.fitted, DATASHEET)
        for end in (LEAST, TYPICAL, LARGEST):
            at_once = np.broadcast_to(high_level(swept, "OUT", end).value, len(shares))[i]
            one = high_level(alone, "OUT", end).value
            assert at_once == pytest.approx(one) or (math.isnan(at_once) and math.isnan(one))
