"""A MOSFET a little under its threshold: transistors in weak and moderate inversion, drawn at random, against what is said.

The threshold is what a datasheet states, the gate voltage of a small test current, and falls by the stated law. Nothing
here is taken from ``roles/``.
"""

import math
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck.requirement import Verdict
from tests.roles.test_mosfet_switch import K0, PART, T25, changed, facts_of, judged, number
from tests.situation.test_undriven import DOWN, situation

RANDOM = np.random.default_rng(20250806)
K_Q = 1.380649e-23 / 1.602176634e-19
HOT = K0 + 80
QUIET = {"switch_frequency": 0.0, "heat_current": 1e-3, "load_current": 1e-3, "ambient_max": HOT, "theta_mounted": 1e-6,
         "inrush_current": None, "noise": 0.0, "drive_floats": None}  # fmt: skip


def flowing(vgs: float, tested: tuple[float, float], n: float, beta: float, temperature: float) -> float:
    """Saturated drain current of Enz, Krummenacher and Vittoz (from memory), by the gate voltage of a test current."""
    vt = K_Q * temperature
    scale = 2 * n * beta * vt * vt

    def at(over: float) -> float:
        return scale * float(np.logaddexp(0.0, over / (2 * n * vt))) ** 2

    known, current = tested
    offset = brentq(lambda over: math.log(at(over) / current), -2.0, 2.0)
    return at(vgs - known + offset)


def test_no_channel_passes_more_than_said_under_its_threshold() -> None:
    nearest, beyond = math.inf, 0
    for _ in range(300):
        least, tempco, low = RANDOM.uniform(0.5, 1.5), -RANDOM.uniform(0.001, 0.006), RANDOM.uniform(0.01, 0.6)
        current, beta = (2.5e-4, RANDOM.uniform(0.1, 5)) if RANDOM.random() < 0.5 else (1e-3, RANDOM.uniform(5, 100))
        slope = RANDOM.uniform(1.05, 2.0 if current < 1e-3 else 1.6)
        hot = least + tempco * (HOT - T25)
        if hot < low + 0.01:
            continue
        closed = flowing(0.0, (hot, current), slope, beta, HOT)
        part = changed(
            PART, {"vgs_th_min": least, "vgs_th_tempco": tempco}, idss=[{"tj": K0 + 150, "max": closed + 1e-7}]
        )
        f = facts_of({**QUIET, "drive_low_max": low})
        said, true = number(part, f, "off_leakage_hot"), flowing(low, (hot, current), slope, beta, HOT) + 1e-7
        assert true <= said * (1 + 1e-3), (least, tempco, low, current, beta, slope)
        nearest = min(nearest, said / true)
        beyond += true > 3 * (closed + 1e-7)
    assert nearest < 1.5
    assert beyond > 40


def test_a_gate_just_under_its_threshold_is_more_than_the_rated_leakage() -> None:
    """1 mA at 0.6 V and 25 °C, 6 mV/K: 0.27 V are left at 80 °C, and 0.2 V pass a quarter of it."""
    part = changed(PART, {"vgs_th_min": 0.6, "vgs_th_tempco": -0.006}, idss=[{"tj": K0 + 150, "max": 5e-6}])
    f = facts_of({**QUIET, "drive_low_max": 0.2, "off_leakage": 1e-4})
    true = 1e-3 * 10 ** -((0.27 - 0.2) / (2 * K_Q * HOT * math.log(10)))
    found = judged(part, f)
    assert found["stays-off"].verdict is not Verdict.FAILS
    assert found["off-leakage"].verdict is Verdict.FAILS
    assert found["off-leakage"].compared[0].demand == pytest.approx(true + 5e-6, rel=0.01)
    assert number(part, {**f, "drive_low_max": 0.0}, "off_leakage_hot") == pytest.approx(5e-6)
    assert number(part, {**f, "drive_low_max": -0.3}, "off_leakage_hot") == pytest.approx(5e-6)
    unknown = changed(part, {"vgs_th_min": None})
    assert number(unknown, f, "off_leakage_hot") > number(part, f, "off_leakage_hot")


@pytest.mark.parametrize("floats", [None, 1.0])
def test_leakage_into_a_pull_down_lifts_the_gate_only_where_the_drive_may_float(floats: float | None) -> None:
    """2 µA over 100 kΩ are 0.2 V; what the gate leaks is not missed where the drive holds it."""
    f = facts_of({**QUIET, "drive_low_max": 0.05, "drive_floats": floats, "drive_leakage": 2e-6, "hold_max": 1e5})
    assert number(changed(PART, {"igss_max": 0.0}), f, "gate_off") == pytest.approx(0.05 if floats is None else 0.2)
    blank = number(changed(PART, {"igss_max": None}), f, "gate_off")
    assert blank == pytest.approx(0.05) if floats is None else math.isnan(blank)


def test_a_gate_that_nothing_holds_leaves_the_leakage_unproven_until_it_is_stated() -> None:
    def off(place: dict[str, Any], drive: dict[str, Any] | None = None) -> float:
        return float(situation(place, drive).quantity("Q1", "off_leakage_hot").value)

    assert off(DOWN) < 1e-3 and math.isinf(off({}))
    assert off({}, {"floats": False}) <= off(DOWN)
    assert situation({}).quantity("Q1", "off_leakage_hot").bounded
