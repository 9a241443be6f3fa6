"""A chopped filament, integrated through its heat, against what its lamp is told to draw."""

from pathlib import Path

import pytest

from partcheck.board.read import parse_board
from partcheck.policy import BENCH
from partcheck.situation import Situation

BOARD = """
format = 1
name = "dimmed"
[surroundings]
ambient = "0..50 °C"
[rail.VA]
voltage = "12 V ±5 %"
[drive.O]
high = "9.5..10.2 V"
low = "0..0.1 V"
source_resistance = "5 Ω"
[load.L]
sort = "lamp"
rail = "VA"
current = "1.5..2 A"
inrush_factor = {factor}
inrush_time = "50 ms"
rate = "0.001 /s"
chopped = {{ frequency = "{frequency} Hz", duty = "{least}..{most}" }}
[role.Q]
role = "mosfet-switch"
drive = "O"
load = "L"
"""


def told(frequency: float, least: float, most: float, factor: float = 14) -> Situation:
    text = BOARD.format(frequency=frequency, least=least, most=most, factor=factor)
    return Situation(parse_board(text, Path("dimmed.toml")).board, {}, BENCH)


def filament(frequency: float, duty: float, hot: float = 2.0) -> tuple[float, float]:
    """Largest current while on, A, and the mean of its square, once settled: R with T^1.2, radiation with T^4."""
    full, air, power = 2700.0, 293.0, 12.6 * hot
    capacity, warm, step = power * 0.05 / (full - air), full, 2e-5
    whole, on = round(1 / frequency / step), round(duty / frequency / step)
    most = squared = 0.0
    periods = int(3 * frequency)
    for period in range(periods):
        for k in range(whole):
            current = hot * (full / warm) ** 1.2 if k < on else 0.0
            heat = 12.6 * current - power * (warm**4 - air**4) / (full**4 - air**4)
            warm += heat / capacity * step
            if period >= periods - 5:
                most = max(most, current)
                squared += current * current / (5 * whole)
    return most, squared


@pytest.mark.parametrize("duty", [0.05, 0.1, 0.3, 0.7])
def test_a_dimmed_filament_draws_no_more_while_on_than_told(duty: float) -> None:
    most, squared = filament(500, duty)
    facts = told(500, duty, duty + 1e-6).facts("Q")
    assert 2.0 < most <= facts["load_current"].value < 1.25 * most
    assert squared <= facts["heat_current"].value ** 2 * duty < 1.3 * squared


def test_of_a_range_of_duties_the_least_draws_most_and_the_largest_heats_most() -> None:
    facts = told(500, 0.05, 0.9).facts("Q")
    assert facts["load_current"].value >= filament(500, 0.05)[0]
    assert facts["heat_current"].value ** 2 * 0.9 >= max(filament(500, duty)[1] for duty in (0.05, 0.2, 0.5, 0.9))


def test_it_draws_no_more_than_cold_and_its_inrush_stays() -> None:
    state = told(500, 0.0, 0.5, factor=8).load("L")
    assert state.largest.value == state.inrush.value == 16.0


def test_slow_pulses_each_begin_with_an_inrush() -> None:
    assert told(500, 0.1, 0.5).load("L").rate == 0.001
    assert told(2, 0.1, 0.5).load("L").rate == 2.0
