"""Coils against numerical integration of the circuit's own equation."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from partcheck.physics import Number, coils

INDUCTANCE = st.floats(1e-3, 2.0)
RESISTANCE = st.floats(2.0, 500.0)
CURRENT = st.floats(0.02, 3.0)
SHARE = st.floats(0.05, 0.9)
SUPPLY = st.floats(5.0, 48.0)
SLOW = settings(max_examples=25, deadline=None)


def plain(number: Number) -> float:
    """The number of a formula that was called with floats."""
    assert isinstance(number, float)
    return number


def simulated(
    inductance: float, resistance: float, start: float, end: float, supply: float, clamp: float
) -> tuple[float, float]:
    """Time for a current to fall, and the energy that the clamp takes on the way.

    The coil hangs on ``supply`` with its far end at ``clamp``; both are 0 and up, so a clamp across the
    coil is one with no supply.
    """

    def slope(_: float, state: list[float]) -> list[float]:
        return [(supply - clamp - resistance * state[0]) / inductance, clamp * state[0]]

    def there(_: float, state: list[float]) -> float:
        return state[0] - end

    there.terminal = True  # type: ignore[attr-defined]
    longest = 50 * inductance / resistance
    run = solve_ivp(slope, (0.0, longest), [start, 0.0], events=there, rtol=1e-9, atol=1e-12, method="LSODA")
    assert run.t_events[0].size, "never reached"
    return float(run.t_events[0][0]), float(run.y_events[0][0][1])


@SLOW
@given(INDUCTANCE, RESISTANCE, CURRENT, SHARE, st.floats(0.3, 100.0))
def test_clamp_across_the_coil(inductance: float, resistance: float, start: float, share: float, clamp: float) -> None:
    time, energy = simulated(inductance, resistance, start, start * share, 0.0, clamp)
    assert coils.decay_time(inductance, resistance, start, start * share, clamp) == pytest.approx(time, rel=1e-5)
    assert coils.decayed(inductance, resistance, start, time, clamp) == pytest.approx(start * share, rel=1e-5)
    assert energy <= plain(coils.stored_energy(inductance, start))


@SLOW
@given(INDUCTANCE, RESISTANCE, CURRENT, SHARE, SUPPLY, st.floats(1.1, 5.0))
def test_clamp_across_the_switch(
    inductance: float, resistance: float, start: float, share: float, supply: float, times: float
) -> None:
    clamp = supply * times
    time, _ = simulated(inductance, resistance, start, start * share, supply, clamp)
    opposing = clamp - supply
    assert coils.decay_time(inductance, resistance, start, start * share, opposing) == pytest.approx(time, rel=1e-5)
    assert coils.decayed(inductance, resistance, start, time, opposing) == pytest.approx(start * share, rel=1e-5)


@SLOW
@given(INDUCTANCE, RESISTANCE, CURRENT, SHARE)
def test_ideal_diode(inductance: float, resistance: float, start: float, share: float) -> None:
    time, _ = simulated(inductance, resistance, start, start * share, 0.0, 0.0)
    assert coils.decay_time(inductance, resistance, start, start * share, 0.0) == pytest.approx(time, rel=1e-5)
    assert coils.decayed(inductance, resistance, start, time, 0.0) == pytest.approx(start * share, rel=1e-5)


@given(INDUCTANCE, CURRENT, SUPPLY, st.floats(1.1, 5.0), st.floats(1.01, 3.0))
def test_the_rated_breakdown_asks_for_the_most_energy(
    inductance: float, current: float, supply: float, times: float, higher: float
) -> None:
    rated = coils.avalanche_energy(inductance, current, supply * times, supply)
    real = coils.avalanche_energy(inductance, current, supply * times * higher, supply)
    assert plain(real) < plain(rated)


@SLOW
@given(INDUCTANCE, RESISTANCE, CURRENT, SHARE, SUPPLY, st.floats(1.1, 5.0))
def test_charge_through_a_clamp(
    inductance: float, resistance: float, start: float, share: float, supply: float, times: float
) -> None:
    """The clamp takes its voltage times the charge: part of the way, and to the end."""
    clamp = supply * times
    opposing = clamp - supply
    time, energy = simulated(inductance, resistance, start, start * share, supply, clamp)
    charge = coils.clamped_charge(inductance, resistance, start, time, opposing)
    assert clamp * charge == pytest.approx(energy, rel=1e-4)
    gone, whole = simulated(inductance, resistance, start, 0.0, supply, clamp)
    assert clamp * coils.total_charge(inductance, resistance, start, opposing) == pytest.approx(whole, rel=1e-4)
    later = coils.clamped_charge(inductance, resistance, start, 3 * gone, opposing)
    assert clamp * later == pytest.approx(whole, rel=1e-4)


def test_charge_through_an_ideal_diode() -> None:
    """All of L·I goes into the winding's resistance, however long it takes."""
    assert coils.clamped_charge(0.1, 50.0, 0.5, 1.0, 0.0) == pytest.approx(0.1 * 0.5 / 50.0)
    half = coils.clamped_charge(0.1, 50.0, 0.5, 0.002 * math.log(2), 0.0)
    assert half == pytest.approx(0.1 * 0.25 / 50.0)


def test_breakdown_that_cannot_be_is_missing() -> None:
    assert math.isnan(plain(coils.avalanche_energy(0.1, 0.5, 24.0, 30.0)))


def test_a_current_that_is_there_already_takes_no_time() -> None:
    assert coils.decay_time(0.1, 50.0, 0.05, 0.1, 24.0) == 0.0
    assert coils.decay_time(0.1, 50.0, 0.1, 0.1, 24.0) == 0.0


def test_a_clamp_below_the_supply_may_never_release() -> None:
    """10 V against 12 V leave 2 V to drive 40 mA through 50 Ω for ever."""
    assert coils.decay_time(0.1, 50.0, 0.24, 0.03, -2.0) == math.inf
    assert coils.decay_time(0.1, 50.0, 0.01, 0.005, -2.0) == math.inf
    assert coils.decay_time(0.1, 50.0, 0.24, 0.05, -2.0) < math.inf
    assert math.isnan(plain(coils.decay_time(math.nan, 50.0, 0.24, 0.03, -2.0)))
    assert coils.decayed(0.1, 50.0, 0.24, 1.0, -2.0) == pytest.approx(0.04)


def test_a_clamp_does_not_turn_the_current_round() -> None:
    time = coils.decay_time(0.1, 50.0, 0.5, 0.0, 24.0)
    assert coils.decayed(0.1, 50.0, 0.5, time, 24.0) == pytest.approx(0.0, abs=1e-12)
    assert coils.decayed(0.1, 50.0, 0.5, time * 1.5, 24.0) == 0.0


@SLOW
@given(INDUCTANCE, RESISTANCE, CURRENT, st.floats(0.0, 100.0), st.floats(0.01, 8.0))
def test_charge_through_the_clamp(
    inductance: float, resistance: float, start: float, opposing: float, constants: float
) -> None:
    """The current integrated over the time; all of it where the time outlasts the current."""
    time = constants * inductance / resistance
    gone = inductance / resistance * math.log(1 + start * resistance / opposing) if opposing > 1e-9 else time
    integral, _ = quad(
        lambda t: coils.decayed(inductance, resistance, start, t, opposing), 0.0, min(time, gone), epsabs=0, epsrel=1e-9
    )
    charge = plain(coils.clamped_charge(inductance, resistance, start, time, opposing))
    assert charge == pytest.approx(integral, rel=1e-5)
    assert charge <= start * time * (1 + 1e-9)
    if gone < time and opposing > 1.0:
        assert charge == pytest.approx(plain(coils.total_charge(inductance, resistance, start, opposing)), rel=1e-5)


@pytest.mark.parametrize("beside", [60.0, 160.0, 400.0, 1000.0, 1e12])
@pytest.mark.parametrize("behind", [0.0, 0.5])
def test_a_load_beside_carries_the_current_on(beside: float, behind: float) -> None:
    """The same circuit integrated: the node stands at the lower of the clamp and the drop over the load beside."""
    inductance, resistance, start, end, clamp = 0.19, 160.0, 0.08, 0.008, 34.0

    def slope(_: float, current: Any) -> Any:
        return -(current * resistance + np.minimum(clamp, current * beside - behind)) / inductance

    def there(_: float, current: Any) -> Any:
        return current[0] - end

    there.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(slope, (0.0, 1.0), [start], events=there, rtol=1e-8, atol=1e-12, max_step=2e-5)
    time = solved.t_events[0][0]
    made = coils.decay_time_beside(inductance, resistance, start, end, clamp, beside, 0.0, behind)
    assert made == pytest.approx(time, rel=1e-4)


def test_a_load_beside_that_is_a_coil_itself_never_lets_go_later_than_bounded() -> None:
    """Two coils and a clamp, the second without current of its own or with some: integrated, never slower."""
    for own in (0.0, 0.05):
        for other in (0.05, 0.5):

            def slope(_: float, i: Any, other: float = other) -> list[float]:
                # the clamp holds the node while both push current into it; else the coils are in series
                if i[0] + i[1] > 1e-9:
                    return [-(i[0] * 160 + 34) / 0.19, -(i[1] * 200 + 34) / other]
                rate = -(i[0] * 160 + i[0] * 200) / (0.19 + other)
                return [rate, -rate]

            solved = solve_ivp(slope, (0.0, 0.2), [0.08, own], rtol=1e-6, max_step=1e-5)
            above = np.flatnonzero(solved.y[0] > 0.008)
            bound = coils.decay_time_beside(0.19, 160.0, 0.08, 0.008, 34.0, 200.0, other, 0.0)
            assert solved.t[above[-1]] <= bound * 1.001
