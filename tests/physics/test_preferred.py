"""Preferred values against the eseries package, whose lists were made by others."""

import math

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partcheck.errors import UsageError
from partcheck.physics import preferred

NAMES = st.sampled_from(list(preferred.SERIES))
VALUES = st.integers(1_000, 10**8).map(lambda n: (n + 0.37) / 1000)
"""Values that are nobody's preferred ones, so that no rounding decides."""


def key(name: str) -> eseries.ESeries:
    found: eseries.ESeries = getattr(eseries, name)
    return found


@pytest.mark.parametrize("name", preferred.SERIES)
def test_lists(name: str) -> None:
    assert preferred.SERIES[name] == tuple(eseries.series(key(name)))
    assert len(preferred.SERIES[name]) == int(name[1:])


@given(NAMES, VALUES, VALUES)
def test_ranges(name: str, one: float, other: float) -> None:
    low, high = sorted((one, other))
    ours = preferred.series_values(name, low, high)
    theirs = list(eseries.erange(key(name), low, high))
    assert ours == pytest.approx(theirs)


@given(NAMES, VALUES)
def test_above_and_below(name: str, value: float) -> None:
    assert preferred.at_most(name, value) == pytest.approx(eseries.find_less_than_or_equal(key(name), value))
    assert preferred.at_least(name, value) == pytest.approx(eseries.find_greater_than_or_equal(key(name), value))


@given(NAMES, st.integers(-3, 7), st.data())
def test_a_preferred_value_is_its_own_and_exact(name: str, power: int, data: st.DataObject) -> None:
    digits = data.draw(st.sampled_from(preferred.SERIES[name]))
    value = float(f"{digits}e{power}")
    noisy = data.draw(st.sampled_from([value, value * (1 + 1e-12), value * (1 - 1e-12)]))
    assert preferred.at_most(name, noisy) == value
    assert preferred.at_least(name, noisy) == value


@pytest.mark.parametrize("value", [math.nan, 0.0, -5.0, math.inf])
def test_what_has_no_neighbours(value: float) -> None:
    assert math.isnan(preferred.at_most("E24", value))
    assert math.isnan(preferred.at_least("E24", value))
    assert preferred.series_values("E24", value, value) == []


@pytest.mark.parametrize("value", [100.0, math.nan])
def test_a_series_that_is_not_one_is_refused(value: float) -> None:
    with pytest.raises(UsageError, match="E13"):
        preferred.series_values("E13", value, value)
