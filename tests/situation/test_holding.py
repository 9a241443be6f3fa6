"""A chopped coil holds its share of the direct current where that is proved, and rail over resistance anywhere else."""

from random import Random
from typing import Any

import numpy as np
import pytest

from partcheck.jobs.sweep.quantities import load_current
from partcheck.physics import coils
from partcheck.requirement import Fact
from partcheck.situation import Situation
from partcheck.situation.current_path import Moment
from partcheck.situation.loads import LoadState
from partcheck.situation.recovery import flow_share
from partcheck.units import Span
from tests.situation.test_nodes import (
    ACROSS_LOAD,
    ACROSS_SWITCH,
    INPUT,
    LAMP,
    ON_5,
    ON_12,
    PAIR,
    UNIT,
    VALVE,
    situation,
)

CHOPPED = 'chopped = { frequency = "400 Hz", duty = "0.1..0.2..0.4" }\n'
DIRECT = 12.6 / 21.6 * (1 / (1 + 0.00393 * 5))
"""A: 12.6 V over 24 Ω less 10 %, at 25 °C."""
MOTOR = '\n[load.HEATER]\nsort = "motor"\nrail = "V12"\ncurrent = "0.1..0.2 A"\nstall_current = "1 A"\n'
SPAN, EDGE = Span(20.0, 40.0, 60.0), Span(5e-9, 12e-9, 20e-9)


def board(*texts: str, valve: str = VALVE + CHOPPED, **fitted: Any) -> Situation:
    """The valve chopped by a drive that states its strength."""
    made = situation(valve, *texts, fitted=fitted)
    drives = {
        name: drive.model_copy(update={"source_resistance": SPAN, "edge_time": EDGE})
        for name, drive in made.board.drive.items()
    }
    changed = made.board.model_copy(update={"drive": drives})
    return Situation(changed, made.fitted, made.policy)


def largest(made: Situation) -> float:
    return float(made.load("VALVE").largest.value)


def ripple(direct: float, duty: float, period: float, ohms: float, henries: float, drop: float) -> float:
    """Highest current of a chopped coil in its periodic state, by small steps."""
    current, most, steps = 0.0, 0.0, 400
    periods = int(8 * henries / ohms / period) + 3
    for turn in range(periods):
        most = 0.0
        for k in range(steps):
            on = k < duty * steps
            volts = direct * ohms - ohms * current if on else -drop - ohms * current
            current = max(current + period / steps / henries * volts, 0.0)
            most = max(most, current)
        del turn
    return most


def freewheeling(direct: float, duty: float, period: float, ohms: float, henries: float) -> float:
    """Mean current of an ideal diode over a period of the periodic state, by small steps."""
    current, steps, mean = 0.0, 400, 0.0
    on = round(duty * steps)
    for _ in range(int(8 * henries / ohms / period) + 3):
        flown = 0.0
        for k in range(steps):
            current += period / steps / henries * ((direct * ohms if k < on else 0.0) - ohms * current)
            flown += current / steps if k >= on else 0.0
        mean = flown
    return mean


@pytest.mark.parametrize("seed", range(8))
def test_no_coil_in_its_periodic_state_exceeds_the_peak(seed: int) -> None:
    chance = Random(seed)
    direct, ohms = 10 ** chance.uniform(-2, 0.5), 10 ** chance.uniform(0, 2)
    duty, pulses = round(chance.uniform(0.05, 0.95) * 400) / 400, 10 ** chance.uniform(-1.3, 1)
    henries = 0.01
    period = pulses * henries / ohms
    peak = coils.chopped_peak(direct, duty, pulses)
    assert duty * direct <= peak <= direct
    assert ripple(direct, duty, period, ohms, henries, 0.0) == pytest.approx(peak, rel=0.02)
    assert ripple(direct, duty, period, ohms, henries, 0.3 * direct * ohms) <= peak * 1.02
    # what makes it larger is read at its largest, what makes it less at its least
    assert coils.chopped_peak(direct, min(duty * 1.1, 1.0), pulses) > peak
    assert coils.chopped_peak(direct / 1.1, duty, pulses * 1.1) < peak  # a larger resistance
    assert coils.chopped_peak(direct, duty, pulses / 1.1) < peak  # a larger inductance


def test_a_coil_behind_a_diode_holds_its_share_with_ripple_and_turn_off() -> None:
    made = board(ACROSS_LOAD)
    assert largest(made) < 0.65 * DIRECT
    delay, slowest = (one.quantity("Q1", "turn_off_bound").value for one in (made, made.unbroken))
    cold = 21.6 * (1 + 0.00393 * 5)
    wanted = coils.chopped_peak(DIRECT, 0.4 + 400 * slowest, cold / (0.08 * 400))
    assert largest(made) == pytest.approx(wanted, rel=1e-3)
    assert made.quantity("Q1", "turn_off_time").value <= delay <= slowest
    assert "Q1" in made.grounds(("load", "VALVE"))
    state = made.load("VALVE")
    assert state.least.value < state.typical.value < state.largest.value
    assert state.direct.value == pytest.approx(DIRECT, rel=1e-3)


def test_it_is_never_above_the_direct_current_and_slow_chopping_reaches_it() -> None:
    slow = VALVE + CHOPPED.replace("400 Hz", "0.5 Hz")
    assert largest(board(ACROSS_LOAD, valve=slow)) == pytest.approx(DIRECT, rel=1e-3)
    whole = VALVE + CHOPPED.replace("0.1..0.2..0.4", "0.1..0.2..1")
    assert largest(board(ACROSS_LOAD, valve=whole)) == pytest.approx(DIRECT, rel=1e-3)


@pytest.mark.parametrize(
    "texts",
    [
        (), (ACROSS_SWITCH,), (ACROSS_LOAD, LAMP.format(feed=ON_5)), (ACROSS_LOAD, INPUT.format(rail="V12")),
        (ACROSS_LOAD, UNIT.format(rail="V12")), (ACROSS_LOAD, MOTOR),
    ],
    ids=["no clamp", "across the switch", "another feed", "input", "electronics", "motor"],
)  # fmt: skip
def test_where_it_is_not_proved_the_direct_current_counts(texts: tuple[str, ...]) -> None:
    made = board(*texts)
    assert largest(made) == pytest.approx(DIRECT, rel=1e-3) and made.load("VALVE").direct.value is None


def test_what_an_unknown_switch_may_take_to_turn_off_counts_as_for_ever() -> None:
    assert largest(board(ACROSS_LOAD, Q1=None)) == pytest.approx(DIRECT, rel=1e-3)
    beside = board(ACROSS_LOAD, LAMP.format(feed=ON_12))
    assert largest(beside) < 0.65 * DIRECT and largest(board(PAIR)) < 0.65 * DIRECT


def test_at_the_least_rail_a_hot_coil_is_counted_no_less_than_it_draws() -> None:
    """Its ripple is a larger share of a smaller current."""
    made = board(ACROSS_LOAD)
    delay = made.quantity("Q1", "turn_off_bound").value
    own = Moment(made, "VALVE", "V12").own().value
    for warm in np.linspace(25.0, 45.0, 5):
        ohms = 21.6 * (1 + 0.00393 * (warm - 20))
        assert coils.chopped_peak(11.4 / ohms, 0.4 + 400 * delay, ohms / (0.08 * 400)) <= own * 1.001


def test_a_limit_on_its_current_is_told_without_a_break() -> None:
    """That is in proportion to what the winding lets through; the ripple is not."""
    made = board(ACROSS_LOAD)
    quantity = load_current(made, "VALVE")
    assert quantity is not None and quantity.name == "largest current of VALVE without a break"
    assert quantity.base == pytest.approx(DIRECT, rel=1e-3)
    twice = Situation(quantity.apply(made.board, 2 * quantity.base), made.fitted, made.policy).load("VALVE")
    assert twice.unbroken.value == pytest.approx(2 * quantity.base)
    assert twice.largest.value < 2 * made.load("VALVE").largest.value  # a smaller ripple of the same inductance


@pytest.mark.parametrize("seed", range(6))
def test_no_duty_gives_a_diode_more_to_carry_than_its_share(seed: int) -> None:
    """The mean of the diode's current over a period, by small steps, at each of many duties of the range."""
    chance = Random(seed)
    direct, ohms, henries = 1.0, 10.0, 0.01
    least, most = sorted(chance.uniform(0.05, 0.95) for _ in range(2))
    pulses = 10 ** chance.uniform(-1.3, 1)
    state = LoadState(
        "VALVE",
        Fact(coils.chopped_peak(direct, most, pulses)),
        *(Fact(0.0), lambda: Fact(0.0), Fact(0.0)),
        duty=(least, (least + most) / 2, most),
        frequency=ohms / henries / pulses,
        direct=Fact(direct),
    )
    share = flow_share([state])
    assert share is not None
    said, closest = share.value * state.largest.value, 0.0
    for duty in np.linspace(least, most, 9):
        mean = freewheeling(direct, float(duty), pulses * henries / ohms, ohms, henries)
        assert mean <= said * 1.005  # a step is a 400th of the period
        closest = max(closest, mean / said)
    assert closest > (0.9 if pulses < 0.3 else 0.3)
    assert said <= state.largest.value * (1 - least) * (1 + 1e-9), "never more than was counted before"


def test_a_share_that_is_not_proved_is_that_of_the_longest_time_off() -> None:
    chopped = board(ACROSS_LOAD)
    state = chopped.load("VALVE")
    facts = chopped.facts("D1")
    assert facts["flow_share"].value < 0.9 * (1 - state.duty[0])
    direct = board(ACROSS_SWITCH).facts("D1")
    assert direct["flow_share"].value == pytest.approx(1 - state.duty[0])
    assert board(ACROSS_LOAD, valve=VALVE).facts("D1")["flow_share"].value == 1.0
