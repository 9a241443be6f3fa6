"""An LED's light outside its stated points: what is proved of it holds for true LEDs drawn at random."""

import math
import random
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from partcheck.parts.part import point_table
from partcheck.points import EMPTY
from partcheck.readings.explain import Finding, explain
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.roles.led_light import light_at_least, light_at_most
from tests.examples.roles import indicator as examples
from tests.roles.test_indicator import changed, facts_of


class TrueLed:
    """Recombination rates A·n + B·n² + C·n³ at a steady junction; the second is light."""

    def __init__(self, chance: random.Random) -> None:
        density = np.logspace(-3, 3, 6000)  # relative to the density of the greatest efficiency
        peak = 10 ** chance.uniform(-4, -1.7)  # A: where the efficiency is greatest
        share = chance.uniform(0.05, 1.0)
        current = share * density + density**2 + share * density**3
        self.current = current / np.interp(1.0, density, current) * peak
        self.light = density**2

    def __call__(self, current: float) -> float:
        return float(np.exp(np.interp(math.log(current), np.log(self.current), np.log(self.light))))


def stated(led: TrueLed, currents: list[float], relative: list[float]) -> tuple[Any, Any]:
    """What its datasheet says: a part with its tables, and the intensities as a bin of no width."""
    iv = point_table("led", "iv", [{"i_f": i, "min": led(i), "max": led(i)} for i in currents])
    curve = point_table("led", "relative_intensity", [{"i_f": i, "typ": led(i) / led(relative[-1])} for i in relative])
    rated = point_table("led", "if_max", [{"temperature": 298.15, "max": 0.1}])
    return SimpleNamespace(relative_intensity=curve if relative else EMPTY, if_max=rated), iv


def test_no_true_led_leaves_what_is_proved_of_it() -> None:
    chance, above, below = random.Random(3), 0, 0
    for _ in range(400):
        led = TrueLed(chance)
        currents = sorted(chance.uniform(0.001, 0.03) for _ in range(chance.choice([1, 1, 2, 3])))
        start, end = currents[0] * chance.uniform(0.2, 1.0), currents[-1] * chance.uniform(1.0, 2.0)
        relative = [start, *np.linspace(start, end, 6)[1:-1], end] if chance.random() < 0.5 else [end]
        part, iv = stated(led, currents, relative)
        for current in (chance.uniform(0.0002, start), chance.uniform(end, 0.1)):
            most, least = light_at_most(part, iv, current), light_at_least(part, iv, current)
            above, below = above + (most == most), below + (least == least)
            assert not most < led(current) * (1 - 1e-6)
            assert not least > led(current) * (1 + 1e-6)
    assert above > 400 and below > 200


def test_beyond_the_rated_current_nothing_is_proved_of_the_dimmest() -> None:
    part, iv = stated(TrueLed(random.Random(1)), [0.002], [])
    assert light_at_least(part, iv, 0.1) == iv.columns["min"][0]
    assert math.isnan(light_at_least(part, iv, 0.101))
    assert math.isnan(light_at_least(part, iv, 0.0019))


def test_one_point_proves_no_upper_bound_beyond_it() -> None:
    """Of one point it is not known whether the light still rises faster than the current there."""
    part, iv = stated(TrueLed(random.Random(1)), [0.002], [])
    assert math.isnan(light_at_most(part, iv, 0.0021))


def test_a_curve_steeper_than_the_current_proves_no_upper_bound_beyond_it() -> None:
    part, _ = stated(TrueLed(random.Random(1)), [0.002], [])
    for light, proved in ((0.8, False), (0.95, True)):
        iv = point_table("led", "iv", [{"i_f": 0.009, "max": light}, {"i_f": 0.010, "max": 1.0}])
        most = light_at_most(part, iv, 0.011)
        assert most == pytest.approx(1.1) if proved else math.isnan(most)


def judged(**facts: float) -> dict[str, Finding]:
    """An LED of which intensity is stated at 5 mA alone, at 8.4 to 11.5 mA."""
    part = changed(
        examples.PART,
        iv=[{"i_f": 0.005, "min": 0.1, "typ": 0.15, "max": 0.2}],
        relative_intensity=[{"i_f": 0.004, "typ": 0.8}, {"i_f": 0.005, "typ": 1.0}],
    )
    shown = explain(ROLES["indicator"], part, {k: Fact(v) for k, v in facts_of(dict(facts)).items()}, 0.0)
    return {found.id: found for found in shown}


def test_what_is_sure_proves_a_brightness_and_refuses_none() -> None:
    """0.1 cd at 5 mA, for half the time: no less at 8.4 mA; no more than 0.2 cd · 11.54/5 at the largest current."""
    found = judged(brightness_low=0.0499, brightness_high=0.2309)
    assert found["brightness-low"].verdict is Verdict.MEETS and found["brightness-high"].verdict is Verdict.MEETS
    found = judged(brightness_low=0.0501, brightness_high=0.2305)
    for id_ in ("brightness-low", "brightness-high"):
        assert found[id_].verdict is Verdict.UNPROVEN and found[id_].story.missing
    assert found["brightness-hot"].verdict is Verdict.UNPROVEN
