"""MOSFET, bipolar transistor, heat and regulator: laws they obey, and what is missing where there is none."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from partcheck.physics import Number, gain, heat, regulators, switching

VOV = st.floats(0.2, 10.0)
OHMS = st.floats(1e-3, 5.0)
SHARE = st.floats(0.01, 0.99)
KELVIN = st.floats(233.15, 473.15)


def plain(number: Number) -> float:
    """The number of a formula that was called with floats."""
    assert isinstance(number, float)
    return number


@given(VOV, OHMS, SHARE, SHARE, st.floats(0.3, 1.0))
def test_channel_drop_solves_the_square_law(
    vov: float, resistance: float, share: float, measured: float, left: float
) -> None:
    at, left = measured * vov / resistance, left * vov
    drop = at * resistance
    k = at / (vov * drop - drop * drop / 2)  # keeps the stated point
    limit = switching.channel_limit(resistance, at, vov, left)
    assert limit == pytest.approx(k * left**2 / 2)
    current = share * limit
    root = brentq(lambda v: k * (left * v - v * v / 2) - current, 0.0, left, xtol=1e-14)
    said = switching.channel_drop(current, resistance, at, vov, left)
    if current >= at:
        assert said == pytest.approx(root, rel=1e-6, abs=1e-9)
    else:  # then some of the resistance may lie in series, and the point is read at the current itself
        assert math.isnan(plain(said)) or plain(said) >= root * (1 - 1e-9)


def test_channel_drop_up_to_the_stated_point_is_straight() -> None:
    assert switching.channel_drop(4.0, 0.1, 5.0, 2.5, 2.5) == pytest.approx(0.4)
    assert switching.channel_drop(5.0, 0.1, 5.0, 2.5, 2.5) == pytest.approx(0.5)
    assert plain(switching.channel_drop(5.5, 0.1, 5.0, 2.5, 2.5)) > 0.55
    assert plain(switching.channel_drop(4.0, 0.1, 5.0, 2.5, 2.0)) > 0.4


def test_channel_drop_where_the_channel_gives_no_more() -> None:
    assert switching.channel_drop(12.5, 0.1, 0.0, 2.5, 2.5) == pytest.approx(2.5, rel=1e-6)
    assert math.isnan(plain(switching.channel_drop(12.6, 0.1, 0.0, 2.5, 2.5)))


def test_a_transistor_below_its_threshold_has_no_drop_to_state() -> None:
    below = switching.overdrive(1.5, 2.0)
    assert math.isnan(plain(switching.channel_drop(0.1, 0.1, 0.0, below, below)))
    assert plain(switching.channel_limit(0.1, 0.0, below, below)) < 0


@settings(deadline=None, max_examples=20)
@given(st.floats(1e-10, 1e-8), st.floats(10.0, 1e4), st.floats(0.0, 1.0), st.floats(3.0, 12.0), SHARE)
def test_capacitor_time_by_integration(
    capacitance: float, resistance: float, start: float, final: float, share: float
) -> None:
    reached = start + share * (final - start)
    tau = resistance * capacitance
    ours = switching.capacitor_time(capacitance, resistance, start, final, reached)
    run = solve_ivp(lambda _, v: (final - v) / tau, (0.0, ours), [start], rtol=1e-9, atol=1e-12)
    assert run.y[0][-1] == pytest.approx(reached, rel=1e-6)


def test_capacitor_time_at_its_ends() -> None:
    assert switching.capacitor_time(1e-9, 100.0, 3.0, 5.0, 2.0) == 0.0  # there already
    assert math.isnan(plain(switching.capacitor_time(1e-9, 100.0, 0.0, 5.0, 6.0)))
    down = switching.capacitor_time(1e-9, 100.0, 5.0, 0.0, 2.5)
    assert down == pytest.approx(1e-7 * math.log(2))


@pytest.mark.parametrize("split", [0.2, 0.5, 0.7])
def test_edge_energy_of_an_inductive_load(split: float) -> None:
    """The voltage rises while the current stays, then the current falls: by integration."""
    voltage, current, time = 24.0, 3.0, 1e-6

    def power(moment: float) -> float:
        rising, falling = split * time, (1 - split) * time
        if moment < rising:
            return voltage * moment / rising * current
        return voltage * current * (1 - (moment - rising) / falling)

    energy = quad(power, 0.0, time, points=[split * time])[0]
    assert switching.edge_energy(voltage, current, time) == pytest.approx(energy, rel=1e-6)


def test_edge_energy_of_a_resistive_load_is_a_third() -> None:
    energy = quad(lambda x: 24.0 * x * 3.0 * (1 - x) * 1e-6, 0.0, 1.0)[0]
    assert switching.edge_energy(24.0, 3.0, 1e-6) == pytest.approx(3 * energy)


def test_gate_numbers_scale_as_charge_does() -> None:
    assert switching.charge_time(2e-9, 50.0, 2.0) == pytest.approx(50e-9)
    assert switching.overdrive(5.0, 1.5) == 3.5


# ---- heat -------------------------------------------------------------------------------------------


@given(KELVIN, st.floats(0.5, 500.0), st.floats(1.0, 150.0))
def test_the_allowed_power_just_reaches_the_limit(ambient: float, theta: float, room: float) -> None:
    power = heat.power_allowed(ambient + room, ambient, theta)
    assert heat.junction(ambient, theta, power) == pytest.approx(ambient + room)
    assert heat.rise(theta, power) == pytest.approx(room)
    assert heat.pulse_rise(power, theta) == pytest.approx(room)


@given(st.floats(0.1, 100.0), st.floats(300.0, 420.0))
def test_square_root_law_keeps_the_heat_within_what_is_left(current: float, temperature: float) -> None:
    """I²·R warms by a share of the full rise that is the share of the room left."""
    law = heat.square_root_law(current, 423.15, temperature)
    assert (law / current) * (law / current) == pytest.approx((423.15 - temperature) / 125.0)


@given(st.floats(0.1, 100.0), st.floats(200.0, 298.0))
def test_no_rating_grows_in_the_cold(rating: float, temperature: float) -> None:
    assert heat.square_root_law(rating, 423.15, temperature) == rating
    assert heat.derated_power(rating, 0.01, temperature) == rating


def test_nothing_is_left_above_the_limit() -> None:
    assert heat.square_root_law(10.0, 423.15, 423.15) == 0.0
    assert math.isnan(plain(heat.square_root_law(10.0, 423.15, 423.2)))
    assert math.isnan(plain(heat.square_root_law(10.0, 290.0, 300.0)))
    assert heat.power_allowed(423.15, 433.15, 10.0) == pytest.approx(-1.0)
    assert heat.derated_power(1.0, 0.01, 423.15) == pytest.approx(-0.25)


def test_a_rating_stated_hot_is_brought_on_from_there() -> None:
    assert heat.square_root_law(10.0, 423.15, 398.15, 373.15) == pytest.approx(10.0 / math.sqrt(2))
    assert heat.derated_power(1.0, 0.02, 353.15, 343.15) == pytest.approx(0.8)


def test_resistor_rating() -> None:
    """Whole to 70 °C, then straight to nothing (IEC 60115-1)."""
    assert heat.resistor_rating(0.25, 343.15, 428.15, 300.0) == 0.25
    assert heat.resistor_rating(0.25, 343.15, 428.15, 343.15) == pytest.approx(0.25)
    assert heat.resistor_rating(0.25, 343.15, 428.15, 411.15) == pytest.approx(0.05)
    assert heat.resistor_rating(0.25, 343.15, 428.15, 428.15) == 0.0
    assert heat.resistor_rating(0.25, 343.15, 428.15, 445.15) == pytest.approx(-0.05)


# ---- bipolar transistor -----------------------------------------------------------------------------


@given(st.floats(2.0, 24.0), st.floats(0.5, 1.0), st.floats(100.0, 1e5), st.floats(1e3, 1e6))
def test_base_circuit(level: float, vbe: float, resistance: float, shunt: float) -> None:
    current = gain.base_current(level, vbe, resistance)
    assert gain.base_resistor(level, vbe, current) == pytest.approx(resistance)


@given(st.floats(1e-3, 1.0), st.floats(10.0, 500.0), st.floats(1.0, 10.0))
def test_overdrive_divides_the_gain(current: float, hfe: float, overdrive: float) -> None:
    base = gain.base_needed(current, hfe, overdrive)
    assert gain.forced_gain(current, base) == pytest.approx(hfe / overdrive)
    assert gain.base_needed(current, hfe) == pytest.approx(current / hfe)


def test_saturation_line() -> None:
    row, edge = (10.0, 0.2), (50.0, 1.0)
    assert gain.saturation_line(row[0], *row, *edge) == pytest.approx(row[1])
    assert gain.saturation_line(edge[0], *row, *edge) == pytest.approx(edge[1])
    assert gain.saturation_line(20.0, *row, *edge) == pytest.approx(0.4)
    assert math.isnan(plain(gain.saturation_line(50.1, *row, *edge)))


def test_a_harder_drive_is_not_promised_less_than_the_row() -> None:
    assert gain.saturation_line(5.0, 10.0, 0.2, 50.0, 1.0) == 0.2
    assert gain.saturation_line(30.0, 10.0, 0.4, 50.0, 0.2) == 0.4  # an edge stated below the row


def test_a_row_beyond_the_edge_promises_the_edge_at_least() -> None:
    """The row at gain 50, the edge at 30: data that contradict each other are read high."""
    made = gain.saturation_line(20.0, 50.0, 0.3, 30.0, 1.0)
    assert made == pytest.approx(1.35)
    assert math.isnan(plain(gain.saturation_line(40.0, 50.0, 0.3, 30.0, 1.0)))


@given(st.floats(1e-9, 1e-6), KELVIN, st.floats(8.0, 15.0), st.integers(-3, 8))
def test_leakage_doubles(current: float, at: float, doubling: float, steps: int) -> None:
    made = gain.leakage_at(current, at, at + steps * doubling, doubling)
    assert made == pytest.approx(current * 2.0**steps)


def test_junction_voltage_follows_the_exponential_law() -> None:
    """I = Is·exp(V/VT): what the formula adds is what multiplies the current."""
    vt, v1 = 0.02569, 0.62
    v2 = gain.junction_voltage_at_current(v1, 1e-3, 25e-3, vt)
    assert math.exp(plain(v2) / vt) / math.exp(v1 / vt) == pytest.approx(25.0)
    assert gain.junction_voltage(0.65, 0.002, 273.15, 313.15) == pytest.approx(0.73)


def test_heat_and_leakage_of_a_transistor() -> None:
    assert gain.common_emitter_leakage(2e-6, 99.0) == pytest.approx(200e-6)


@given(st.floats(2.0, 5.0), st.floats(0.5, 0.9), st.floats(100.0, 1e4), st.floats(10.0, 200.0), st.floats(0.0, 0.02))
def test_drive_that_sags_only_beyond_a_current(
    level: float, vbe: float, resistor: float, source: float, holds: float
) -> None:
    def left_over(current: float) -> float:
        sag = max(current - holds, 0.0) * source
        return level - sag - vbe - current * resistor

    current = brentq(left_over, 0.0, 1.0, xtol=1e-15)
    assert gain.driven_current(level, vbe, resistor, source, holds) == pytest.approx(current, rel=1e-6)
    assert gain.driven_resistor(level, vbe, current, source, holds) == pytest.approx(resistor, rel=1e-5)


def test_a_level_says_nothing_beyond_its_current_without_a_source_resistance() -> None:
    assert gain.driven_current(4.5, 0.7, 1000.0, math.nan, 5e-3) == pytest.approx(3.8e-3)
    assert math.isnan(plain(gain.driven_current(4.5, 0.7, 1000.0, math.nan, 3e-3)))
    assert gain.driven_resistor(4.5, 0.7, 3.8e-3, math.nan, 5e-3) == pytest.approx(1000.0)
    assert math.isnan(plain(gain.driven_resistor(4.5, 0.7, 3.8e-3, math.nan, 3e-3)))


@given(st.floats(0.5, 3.0), st.floats(100.0, 1e4), st.floats(0.0, 1e5))
def test_adjusted_output(v_ref: float, across: float, other: float) -> None:
    """The reference stands on one resistor, and its current makes the rest of the output in the other."""
    output = regulators.adjusted_output(v_ref, across, other)
    assert output - v_ref == pytest.approx(v_ref / across * other)


# ---- regulator --------------------------------------------------------------------------------------


@given(st.floats(6.0, 40.0), st.floats(1.2, 5.0), st.floats(0.01, 1.5), st.floats(1e-5, 0.01))
def test_regulator_heat_balances(vin: float, vout: float, iout: float, iq: float) -> None:
    lost = regulators.regulator_heat(vin, vout, iout, iq)
    assert lost + vout * iout == pytest.approx(vin * (iout + iq))
    assert regulators.current_by_heat(lost, vin, vout, iq) == pytest.approx(iout)
    assert regulators.input_by_heat(lost, vout, iout, iq) == pytest.approx(vin)
    assert regulators.input_needed(vout, 1.3) == pytest.approx(vout + 1.3)
