"""Light against colour-science, and against integration over the half space."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partcheck.physics import light


@given(ratio=st.floats(0.0, 2.0))
def test_lightness_against_colour_science(colour: Any, ratio: float) -> None:
    reference = float(colour.colorimetry.lightness_CIE1976(ratio * 100.0, 100.0))
    assert light.lightness(ratio) == pytest.approx(reference, abs=1e-9)


def test_lightness_is_one_curve_in_two_pieces() -> None:
    edge = (6 / 29) ** 3
    assert light.lightness(edge) == pytest.approx(8.0)
    assert light.lightness(edge * (1 + 1e-9)) == pytest.approx(8.0, abs=1e-6)
    assert light.lightness(0.0085) == pytest.approx(0.0085 * 24389 / 27)
    assert light.lightness(0.0) == 0.0
    assert light.lightness(1.0) == pytest.approx(100.0)
    assert math.isnan(light.lightness(-0.1))
    assert math.isnan(light.lightness(math.nan))


@pytest.mark.parametrize(
    ("ratio", "words"),
    [
        (1.0, "as bright as before to the eye"),
        (0.97, "as bright as before to the eye"),
        (0.75, "a little dimmer"),
        (1.4, "a little brighter"),
        (0.5, "about three quarters as bright"),
        (2.0, "about a third brighter"),
        (0.18, "about half as bright"),
        (5.5, "about twice as bright"),
        (0.105, "about a third as bright"),
        (0.05, "about a third as bright"),
        (0.042, "about a fifth as bright"),
        (0.13, "about half as bright"),
        (0.33, "about three quarters as bright"),
        (0.9, "as bright as before to the eye"),
        (0.85, "a little dimmer"),
        (0.62, "a little dimmer"),
        (0.0085, "about a tenth as bright"),
        (0.0075, "far dimmer"),
        (0.08, "about a third as bright"),
        (12.5, "about three times as bright"),
        (0.03, "about a fifth as bright"),
        (33.0, "about five times as bright"),
        (0.011, "about a tenth as bright"),
        (90.0, "about ten times as bright"),
        (1e-4, "far dimmer"),
        (1e4, "far brighter"),
        (0.0, "far dimmer"),
        (math.inf, "far brighter"),
    ],
)
def test_words_for_the_eye(ratio: float, words: str) -> None:
    said = light.as_seen(ratio)
    assert said.startswith(words)
    assert said.endswith("to the eye (indicative: CIE 1976 lightness is for lit surfaces)")


def test_a_missing_ratio_is_not_guessed() -> None:
    assert light.as_seen(math.nan) == light.as_seen(-1.0) == "not known"


@given(st.floats(3.0, 48.0), st.floats(1.5, 2.9), st.floats(50.0, 1e5))
def test_resistor_and_current_turn_each_other_round(supply: float, drop: float, resistance: float) -> None:
    current = light.series_current(supply, drop, resistance)
    assert current * resistance + drop == pytest.approx(supply)
