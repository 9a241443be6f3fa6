"""Root-mean-square currents against sampled waveforms."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partcheck.physics import Number, waves

STEPS = 600
LOADS = st.lists(st.tuples(st.floats(0.1, 5.0), st.integers(0, STEPS)), min_size=1, max_size=5)


def plain(number: Number) -> float:
    """The number of a formula that was called with floats."""
    assert isinstance(number, float)
    return number


def sampled(loads: list[tuple[float, int]], shifts: list[int], repeats: list[int]) -> float:
    """Of the sum of pulses that are on for so many of STEPS, shifted, some of them at a multiple."""
    total = 0.0
    for step in range(STEPS):
        current = 0.0
        for (amperes, on), shift, times in zip(loads, shifts, repeats, strict=True):
            if (step * times + shift) % STEPS < on:
                current += amperes
        total += current * current
    return math.sqrt(total / STEPS)


@given(LOADS)
def test_aligned_is_what_a_sampled_wave_gives(loads: list[tuple[float, int]]) -> None:
    ours = waves.sum_rms_aligned([a for a, _ in loads], [on / STEPS for _, on in loads])
    assert ours == pytest.approx(sampled(loads, [0] * len(loads), [1] * len(loads)))


@given(LOADS, st.integers(0, 2**32))
def test_no_phase_and_no_frequency_gives_more(loads: list[tuple[float, int]], seed: int) -> None:
    """Multiples of the frequency that divide the period, so that each duty stays what it is."""
    dice = random.Random(seed)
    ours = waves.sum_rms_aligned([a for a, _ in loads], [on / STEPS for _, on in loads])
    coarse = [(amperes, on // 12 * 12) for amperes, on in loads]
    shifts = [dice.randrange(0, STEPS, 12) for _ in loads]
    repeats = [dice.choice([1, 2, 3, 4, 6, 12]) for _ in loads]
    assert sampled(coarse, shifts, repeats) <= plain(ours) * (1 + 1e-9)


def test_the_root_of_a_sum_of_squares_is_optimistic() -> None:
    """Four valves at half duty: 2 A·√½ each would make 2.8 A; aligned they make 5.7 A."""
    aligned = waves.sum_rms_aligned([2.0] * 4, [0.5] * 4)
    assert aligned == pytest.approx(8.0 * math.sqrt(0.5))


def test_steady_loads_simply_add() -> None:
    assert waves.sum_rms_aligned([1.0, 2.0, 3.0], [1.0, 1.0, 1.0]) == pytest.approx(6.0)


def test_nothing_connected_is_no_current() -> None:
    assert waves.sum_rms_aligned([], []) == 0.0


def test_a_current_without_its_duty_is_refused() -> None:
    with pytest.raises(ValueError, match="shorter"):
        waves.sum_rms_aligned([1.0, 2.0], [0.5])
