"""What a load draws over time: what of it counts as lasting, for bodies that answer quickly and slowly."""

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from partcheck.board.models import Board
from partcheck.board.read import parse_board
from partcheck.policy import BENCH
from partcheck.situation.loads import LoadState
from partcheck.situation.profiles import CONDUCTOR_STILL, profile
from partcheck.situation.situation import Situation
from partcheck.situation.sums import lasting, return_heating

BOARD = """
format = 1
name = "over time"
[surroundings]
ambient = "0..40 °C"
[rail.V12]
voltage = "12 V ±5 %"
[chip.U1]
[drive.A]
chip = "U1"
high = "4.8..5..5.2 V"
low = "0..0.1 V"
source_resistance = "20..40 Ω"
[drive.B]
chip = "U1"
high = "4.8..5..5.2 V"
low = "0..0.1 V"
source_resistance = "20..40 Ω"
[load.lamp]
sort = "lamp"
rail = "V12"
current = "0.4..0.5 A"
inrush_factor = 9
inrush_time = "{inrush_time}"
{lamp}
[load.motor]
sort = "motor"
rail = "V12"
current = "0.5..1 A"
stall_current = "4 A"
inductance = "2 mH ±20 %"
stall_time = "{stall_time}"
{motor}
[role.Q1]
role = "mosfet-switch"
drive = "A"
load = "lamp"
[role.Q2]
role = "mosfet-switch"
drive = "B"
load = "motor"
"""


def board(**values: str) -> Board:
    stated = {"inrush_time": "20 ms", "lamp": "", "stall_time": "0.3 s", "motor": ""}
    return parse_board(BOARD.format(**{**stated, **values}), Path("time.toml")).board


def situation(**values: str) -> Situation:
    return Situation(board(**values), {}, BENCH)


def load(made: Situation, name: str) -> LoadState:
    return made.load(name)


# ---- what lasts


@pytest.mark.parametrize(
    ("values", "amperes"),
    [
        ({}, 4.0),  # no rate is stated: as if it stalled again and again
        ({"motor": 'rate = "0.0001 /s"'}, 1.0),  # one short stall from the hot steady state
        ({"stall_time": "1.5 s"}, 4.0),  # longer than wires are slow: steady
        ({"stall_time": "86400 s"}, 4.0),
        ({"motor": 'rate = "0.5 /s"'}, math.sqrt(1 + 0.15 * (16 - 1))),
        ({"motor": 'rate = "5 /s"'}, 4.0),  # starts that follow upon each other are a stall without a break
    ],
)
def test_what_warms_a_wire(values: dict[str, str], amperes: float) -> None:
    assert lasting(situation(**values), "motor").value == pytest.approx(amperes, rel=1e-3)


def test_a_rate_left_out_proves_no_more_than_any_rate_does_and_is_named() -> None:
    bound = lasting(situation(), "motor")
    assert bound.bounded == ("motor.rate",)
    for rate in (0.01, 0.3, 2, 3.4, 20):
        made = situation(motor=f'rate = "{rate} /s"')
        assert not lasting(made, "motor").bounded
        assert lasting(made, "motor").value <= bound.value
        assert made.facts("Q2")["start_share"].value <= situation().facts("Q2")["start_share"].value
    assert situation().facts("Q2")["start_share"].bounded == ("motor.rate",)
    assert not lasting(situation(stall_time="1.5 s"), "motor").bounded  # lasting whatever the rate


def test_a_lamp_that_blinks_warms_its_wire_by_its_inrush() -> None:
    made = lasting(situation(lamp='rate = "2 /s"'), "lamp")
    assert made.value == pytest.approx(math.sqrt(0.25 + 0.04 * (4.5**2 - 0.25)))
    assert "with its starts (4.5 A for 20 ms, 2 /s)" in made.source


@pytest.mark.parametrize(
    ("frequency", "duty"),
    [("4 kHz", 0.25), ("1 Hz", 0.25), ("0.5 Hz", 1.0), ("0.01 Hz", 1.0)],
)
def test_only_a_period_that_is_short_for_copper_is_averaged(frequency: str, duty: float) -> None:
    rare = 'rate = "1e-6 /s"'
    made = situation(motor=f'{rare}\nchopped = {{ frequency = "{frequency}", duty = "0..0.25" }}', lamp=rare)
    whole = return_heating(made, None, ["motor", "lamp"]).value
    assert whole == pytest.approx(math.sqrt(0.25 + duty * (1 + 2 * 0.5)), rel=1e-4)


# ---- no waveform inside the corners warms more


def drawn(made: Situation, name: str, chance: np.random.Generator, at: np.ndarray) -> np.ndarray:
    """One waveform of a load, sampled: starts in random places, no more often than stated, chopped at random."""
    seen = profile(made, name)
    current = np.full_like(at, seen.steady.value)
    if seen.rate:
        every = 1.0 / seen.rate
        since = (at + chance.uniform(0, every)) % every
        current = np.where(since < seen.start_time, seen.start.value, current)
    if seen.frequency:
        duty = chance.uniform(0.3, 1.0) * seen.duty
        current = current * ((at * seen.frequency + chance.random()) % 1 < duty)
    return current


def boards(chance: np.random.Generator) -> Iterator[Situation]:
    for _ in range(25):
        yield situation(
            inrush_time=f"{chance.uniform(1, 300):.3g} ms",
            stall_time=f"{chance.uniform(0.01, 0.9):.3g} s",
            lamp=f'rate = "{chance.choice([0.2, 1, 3, 20])} /s"',
            motor=f'rate = "{chance.choice([0.3, 1, 4])} /s"\n'
            f'chopped = {{ frequency = "{chance.choice([2, 37, 500])} Hz", duty = "0..{chance.uniform(0.2, 1):.3g}" }}',
        )


def test_no_waveform_of_two_loads_warms_their_return_more() -> None:
    chance = np.random.default_rng(9)
    at = np.arange(0, 60, 2.3e-4)
    nearest = 0.0
    for made in boards(chance):
        told = return_heating(made, None, ["lamp", "motor"]).value
        for _ in range(6):
            whole = drawn(made, "lamp", chance, at) + drawn(made, "motor", chance, at)
            effective = math.sqrt(float((whole**2).mean()))
            assert effective <= told * 1.003  # the samples
            nearest = max(nearest, effective / told)
    assert nearest > 0.9


def test_layers_add_up_to_what_lasts() -> None:
    made = profile(situation(motor='rate = "1 /s"'), "motor")
    (steady, always), (extra, share) = made.layers(CONDUCTOR_STILL)
    assert (steady, always, extra, share) == (1.0, 1.0, 3.0, pytest.approx(0.3))
    assert made.lasting(CONDUCTOR_STILL).value == pytest.approx(math.sqrt(0.7 * 1 + 0.3 * 16))


# ---- switches through it all


def facts(ref: str, **values: str) -> dict[str, float]:
    made = situation(**values).facts(ref)
    names = ("heat_current", "start_current", "edge_current", "starts", "start_time", "start_share", "long_start",
             "on_duty", "on_time")  # fmt: skip
    return {name: made[name].value for name in names}


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ({}, {"starts": 1.0, "start_time": 0.3, "start_share": 1.0, "long_start": 0.0, "edge_current": 4.0}),
        ({"stall_time": "86400 s"}, {"start_time": 86400.0, "long_start": 1.0, "start_share": 1.0}),
        ({"motor": 'rate = "0.5 /s"'}, {"start_share": 0.15, "long_start": 0.0}),
        ({"motor": 'rate = "9 /s"'}, {"start_share": 1.0}),
        (
            {"motor": 'chopped = { frequency = "0.01 Hz", duty = "0..0.5" }'},
            {"on_duty": 0.5, "on_time": 50.0, "heat_current": 1.0, "start_current": 4.0, "edge_current": 1.0},
        ),
    ],
)
def test_what_a_switch_is_told_of_its_load(values: dict[str, str], expected: dict[str, float]) -> None:
    found = facts("Q2", **values)
    assert {name: found[name] for name in expected} == pytest.approx(expected)


def test_what_has_no_start_lasts_without_end() -> None:
    text = BOARD.replace('stall_time = "{stall_time}"', "").format(inrush_time="20 ms", lamp="", motor="")
    made = Situation(parse_board(text, Path("time.toml")).board, {}, BENCH).facts("Q2")
    assert (made["starts"].value, made["start_time"].value, made["start_share"].value) == (0.0, math.inf, 0.0)
    assert made["start_current"].value == made["heat_current"].value == 4.0
    assert made["inrush_current"].value is None
