"""Preferred values against the eseries package, whose lists were made by others."""

import math
from bisect import bisect_left, bisect_right

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
    below, above = preferred.neighbours(name, value)
    assert below == pytest.approx(eseries.find_less_than(key(name), value))
    assert above == pytest.approx(eseries.find_greater_than(key(name), value))


@given(NAMES, VALUES)
def test_nearest_by_ratio(name: str, value: float) -> None:
    found = preferred.nearest(name, value)
    values = preferred.series_values(name, value / 20, value * 20)
    best = min(abs(math.log(other / value)) for other in values)
    assert abs(math.log(found / value)) == pytest.approx(best, abs=1e-12)


@given(NAMES, st.integers(-3, 7), st.data())
def test_a_preferred_value_is_its_own_and_exact(name: str, power: int, data: st.DataObject) -> None:
    digits = data.draw(st.sampled_from(preferred.SERIES[name]))
    value = float(f"{digits}e{power}")
    noisy = data.draw(st.sampled_from([value, value * (1 + 1e-12), value * (1 - 1e-12)]))
    assert preferred.at_most(name, noisy) == value
    assert preferred.at_least(name, noisy) == value
    assert preferred.nearest(name, noisy) == value
    below, above = preferred.neighbours(name, noisy)
    assert below < value < above
    around = preferred.series_values(name, value / 20, value * 20)
    assert around[bisect_left(around, value) - 1] == below
    assert around[bisect_right(around, value)] == above


def test_a_tie_goes_to_the_smaller() -> None:
    assert preferred.nearest("E3", math.sqrt(100.0 * 220.0) * (1 - 1e-12)) == 100.0
    assert preferred.nearest("E3", math.sqrt(100.0 * 220.0) * (1 + 1e-12)) == 220.0
    assert preferred.nearest("E6", 600.0) == 680.0
    assert preferred.nearest("E3", 20.0) == 22.0
    middle = 14.832396974191326  # √(10·22): equally near by ratio, though not by difference
    assert preferred.nearest("E3", middle) in (10.0, 22.0)


@pytest.mark.parametrize("value", [math.nan, 0.0, -5.0, math.inf])
def test_what_has_no_neighbours(value: float) -> None:
    assert math.isnan(preferred.at_most("E24", value))
    assert math.isnan(preferred.at_least("E24", value))
    assert math.isnan(preferred.nearest("E24", value))
    assert all(map(math.isnan, preferred.neighbours("E24", value)))
    assert preferred.series_values("E24", value, value) == []


@pytest.mark.parametrize("value", [100.0, math.nan])
def test_a_series_that_is_not_one_is_refused(value: float) -> None:
    for ask in (preferred.at_most, preferred.at_least, preferred.nearest, preferred.neighbours):
        with pytest.raises(UsageError, match="'E13' is not a series of IEC 60063; use one of E3, E6"):
            ask("E13", value)
    with pytest.raises(UsageError, match="E13"):
        preferred.series_values("E13", value, value)
