"""Coils: growth and decay of the current, release through a clamp, regulators' heat beside them."""

import pytest

from partcheck.physics import coils, regulators

from ._case import DERIVED, FILE, NOTEBOOK, SEARCH, Case, name

OPENSTAX = "OpenStax University Physics vol. 2, RL circuits (module m58752)"
COLLEGE = "OpenStax College Physics, RL circuits (module m42425)"
BIRD_11 = "Bird, Example 17.11, p. 273"
BIRD_9 = "Bird, Example 17.9, p. 271"
BIRD_3 = "Bird, Examples 3.8 and 3.11"
OMRON = "Omron G5LE datasheet"
JACOB = "Jacob, Power Electronics: Principles & Applications, "
CLOSED = "closed solution of L·di/dt + R·i + V = 0 (no printed example found)"
LM1117 = "Texas Instruments LM1117, SNOS412N, electrical table"

CASES = [
    Case("F-01", "time constant", lambda: coils.time_constant(4.0, 4.0), 1.0, 0.05, OPENSTAX, FILE),
    Case("F-01", "half time", lambda: coils.decay_time(4.0, 4.0, 1.0, 0.5, 0.0), 0.69, 0.00725, OPENSTAX,
         FILE),
    Case("F-01", "energy at 1 %", lambda: coils.decay_time(4.0, 4.0, 1.0, 0.1, 0.0),
         2.3, 0.0217, OPENSTAX, FILE, "a tenth of the current"),
    Case("F-02", "time constant", lambda: coils.time_constant(7.5e-3, 3.0), 2.50e-3, 0.002, COLLEGE, FILE),
    Case("F-02", "current after 5 ms", lambda: coils.decayed(7.5e-3, 3.0, 10.0, 5e-3, 0.0),
         1.35, 0.0037, COLLEGE, FILE),
    Case("F-04", "time constant", lambda: coils.time_constant(6.0, 10.0 + 10.0), 0.3, 0.005, BIRD_11,
         NOTEBOOK,
         "the book solves it for the coil's 10 Ω"),
    Case("F-04", "time to a tenth", lambda: coils.decay_time(6.0, 20.0, 6.0, 0.6, 0.0),
         0.69, 0.00725, BIRD_11, NOTEBOOK),
    Case("F-05", "coil voltage after 0.1 s", lambda: coils.decayed(3.0, 15.0, 8.0, 0.1, 0.0) * 15.0,
         72.78, 6.87e-5, BIRD_9, NOTEBOOK),
    Case("F-05", "time to 85 %", lambda: coils.decay_time(3.0, 15.0, 8.0, 8.0 * 0.15, 0.0),
         0.38, 0.0132, BIRD_9, NOTEBOOK, "what is missing falls as a decay does"),
    Case("F-10", "release through 24.8 V", lambda: coils.decay_time(1.0, 100.0, 0.12, 0.0, 24.8),
         3.947e-3, 0.001, CLOSED, DERIVED + "; inputs ours"),
    Case("F-10", "release through a diode", lambda: coils.decay_time(1.0, 100.0, 0.12, 0.0, 0.7),
         29.0e-3, 0.002, CLOSED, DERIVED + "; inputs ours"),
    Case("C-13", "copper at 70 °C", lambda: coils.winding_resistance(100.0, 343.15, 273.15, 0.0043),
         130.1, 0.000384, BIRD_3, NOTEBOOK, "with the coefficient at 0 °C"),
    Case("C-13", "copper at 100 °C", lambda: coils.winding_resistance(10.0, 373.15, alpha=0.004),
         13.2, 0.00379, BIRD_3, NOTEBOOK),
    Case("R-04", "regulator heat", lambda: regulators.regulator_heat(12.0, 5.0, 0.8, 0.0),
         5.6, 0.0089, "Franco, Example 11.15, p. 532", NOTEBOOK + "; step ours"),
    Case("R-05", "least input", lambda: regulators.input_needed(5.0, 2.5), 7.5, 0.0067,
         "Franco, Example 11.9, p. 520", NOTEBOOK),
    Case("R-10", "regulator heat", lambda: regulators.regulator_heat(3.6, 1.8, 0.1, 0.0), 0.18, 0.0278,
         "Toshiba Semiconductor, LDO e-learning pages", SEARCH + "; result ours"),
    Case("R-16", "regulator heat", lambda: regulators.regulator_heat(15.0, 5.0, 0.5, 0.0), 5.0, 0.01,
         JACOB + "Example 1.6a, p. 29", NOTEBOOK),
    Case("R-17", "linear stage", lambda: regulators.regulator_heat(12.0, 5.0, 5.0 / 10.0, 0.0), 3.5, 0.0143,
         JACOB + "Example 4.3, p. 168", NOTEBOOK),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=name)
def test_printed(case: Case) -> None:
    case.check()


# ---- what must not be assumed -----------------------------------------------------------------------


def test_f10_a_plain_diode_takes_seven_times_as_long() -> None:
    diode = coils.decay_time(1.0, 100.0, 0.12, 0.0, 0.7)
    assert diode / coils.decay_time(1.0, 100.0, 0.12, 0.0, 24.8) == pytest.approx(7.3, abs=0.1)


def test_f10_inductance_times_current_over_voltage_holds_for_high_clamps_only() -> None:
    """L·I/V is the limit for a clamp far above I·R; at 24.8 V it is 23 % too long."""
    assert coils.decay_time(1.0, 100.0, 0.12, 0.0, 1e6) == pytest.approx(0.12 / 1e6, rel=1e-4)
    ours = coils.decay_time(1.0, 100.0, 0.12, 0.0, 24.8)
    assert 0.12 / 24.8 / ours == pytest.approx(1.226, abs=0.001)


def test_r13_a_low_dropout_part_still_drops_more_than_a_volt() -> None:
    """1.2 V typical at 800 mA (LM1117, PDF read): 3.3 V can be made from 5 V, not from 4.2 V."""
    assert regulators.input_needed(3.3, 1.2) == pytest.approx(4.5), LM1117


def test_c13_the_coefficient_belongs_to_its_temperature() -> None:
    """0.0043 is copper's coefficient at 0 °C; taken at 20 °C it gives 1.4 % too much at 70 °C.

    Bird, Examples 3.8 and 3.11 (notebook read).
    """
    right = coils.winding_resistance(100.0, 343.15, 273.15, 0.0043)
    at_20 = coils.winding_resistance(100.0, 293.15, 273.15, 0.0043)
    wrong = coils.winding_resistance(at_20, 343.15, 293.15, 0.0043)
    assert wrong / right == pytest.approx(1.0142, abs=0.0005)
