"""Wires, tracks, terminals: laws, table readings that err on the safe side, names that are refused."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partcheck.errors import UsageError
from partcheck.physics import Number, conductor_data, conductors
from partcheck.units import parse

MM2 = 1e-6
AREA = st.floats(1e-9, 3e-7)
K_FIT = st.sampled_from([conductors.TRACK_OUTSIDE, conductors.TRACK_INSIDE])


def plain(number: Number) -> float:
    """The number of a formula that was called with floats."""
    assert isinstance(number, float)
    return number


@given(st.floats(0.1, 5.0), AREA, K_FIT)
def test_track_rise_goes_with_the_current_to_2_27(current: float, area: float, k: float) -> None:
    doubled = conductors.track_rise(2 * current, area, k)
    assert doubled / conductors.track_rise(current, area, k) == pytest.approx(2**2.2727, rel=1e-4)


def test_the_fit_ends_where_it_is_said_to() -> None:
    wide = conductors.track_area(10e-3, 105e-6)
    assert math.isfinite(plain(conductors.track_rise(35.0, wide, 0.048)))
    assert math.isnan(plain(conductors.track_rise(35.1, wide, 0.048)))
    assert (conductors.TRACK_RISE_MAX, conductors.TRACK_WIDTH_MAX) == (100.0, 10e-3)


def test_copper_by_hand() -> None:
    """One metre of one square millimetre is 17.24 mΩ at 20 °C, and 20 % more at 70 °C."""
    assert conductors.copper_resistance(1.0, MM2) == pytest.approx(17.241e-3)
    assert conductors.copper_resistance(2.0, MM2 / 2, 343.15) == pytest.approx(4 * 17.241e-3 * 1.2)
    assert conductors.copper_resistance(1.0, MM2, 300.0, 2e-8, 0.01, 290.0) == pytest.approx(0.02 * 1.1)


def test_terminal_current() -> None:
    assert conductors.connector_derating(10.0) == 8.0
    assert conductors.connector_derating(10.0, 0.9) == 9.0
    at_85 = conductors.connector_current(16.0, 313.15, 378.15, 358.15)
    assert at_85 == pytest.approx(16.0 * math.sqrt(20 / 65))
    assert conductors.connector_current(16.0, 313.15, 378.15, 293.15) == 16.0  # never above the stated one
    assert math.isnan(plain(conductors.connector_current(16.0, 313.15, 378.15, 380.0)))


@given(st.lists(st.floats(1e-3, 5e-3), min_size=1, max_size=6))
def test_no_pole_takes_more_than_its_share(resistances: list[float]) -> None:
    """Currents divide as conductances do; the ends of the range are the worst."""
    poles = float(len(resistances))
    most = plain(conductors.pole_share(1e-3, 5e-3, poles))
    together = sum(1 / r for r in resistances)
    assert max(1 / r / together for r in resistances) <= most * (1 + 1e-12)
    worst = [1e-3, *[5e-3] * (len(resistances) - 1)]
    assert most == pytest.approx(1 / worst[0] / sum(1 / r for r in worst))
    of_two = conductors.pole_share(1e-3, 5e-3, 2.0)
    assert conductors.pole_share_of_more(of_two, poles) == pytest.approx(most)


def test_worst_wire() -> None:
    """No printed class exceeds ideal copper by more."""
    stated = [
        ohms * area / conductor_data.IACS_RESISTIVITY
        for table in conductor_data.CONDUCTOR_RESISTANCE.values()
        for area, ohms in table.items()
    ]
    assert max(stated) == pytest.approx(conductor_data.WORST_WIRE)
    assert pytest.approx(13.3e-3 / (17.241e-3 / 1.5)) == conductor_data.WORST_WIRE


# ---- look-ups ---------------------------------------------------------------------------------------


def test_an_area_that_was_typed_is_the_one_in_the_table() -> None:
    assert conductors.wire_current("chassis", parse("20 AWG", "m²")) == 11.0


@pytest.mark.parametrize("table", conductor_data.WIRE_TABLES)
def test_wire_tables_are_read_in_steps(table: str) -> None:
    rows = conductor_data.WIRE_TABLES[table].amperes
    ordered = sorted(rows, reverse=True)  # the thinnest first
    for thin, thick in pairwise(ordered):
        assert rows[thin] < rows[thick]
        between = (conductors.awg_area(thin) + conductors.awg_area(thick)) / 2
        assert conductors.wire_current(table, between) == rows[thin]
    assert conductors.wire_current(table, conductors.awg_area(ordered[0]) * 0.99) is None
    assert conductors.wire_current(table, 1e-3) == rows[ordered[-1]]
    entry = conductor_data.WIRE_TABLES[table]
    assert all((entry.title, entry.source, entry.confirmed, entry.note))


def test_power_transmission_is_700_circular_mil_per_ampere() -> None:
    """AWG 10 is 10 380 circular mil (ASTM B258 tables, from memory)."""
    assert conductors.wire_current("power-transmission", conductors.awg_area(10)) == pytest.approx(
        10380 / 700, rel=1e-3
    )


def test_bundles() -> None:
    factors = [conductors.bundle_factor(count) for count in range(1, 16)]
    assert factors[0] == 1.0
    assert factors[1] == pytest.approx(27 / 28)
    assert factors[-1] == 0.5
    assert conductors.bundle_factor(0) is None
    assert conductors.bundle_factor(16) is None


@pytest.mark.parametrize(
    ("degrees", "factor"),
    [(200.0, 1.0), (199.0, 0.8), (150.0, 0.8), (140.0, 0.7), (135.0, 0.7), (105.0, 0.5), (104.9, None)],
)
def test_insulation(degrees: float, factor: float | None) -> None:
    assert conductors.insulation_factor(parse(f"{degrees} °C", "°C")) == factor


@pytest.mark.parametrize("table", conductor_data.SPACING_TABLES)
@pytest.mark.parametrize("column", conductor_data.SPACING_COLUMNS)
def test_spacing_never_falls_with_the_voltage(table: str, column: str) -> None:
    found = [conductors.clearance(volts, column, table) for volts in range(700)]
    stated = [value for value in found if value is not None]
    assert stated == sorted(stated)
    assert found[-1] is None
    rows = conductor_data.SPACING_TABLES[table].columns.get(column, ())
    for (_, up_to, _), (above, _, _) in pairwise(rows):
        assert up_to == above


def test_spacing_that_is_not_stated_is_missing() -> None:
    assert conductors.clearance(20.0, "B3", "ipc-2221") is None
    assert conductors.clearance(20.0, "A7", "ipc-2221") is None
    assert conductors.clearance(400.0, "A5") is None
    assert conductors.clearance(500.5, "B2") is None
    assert conductors.clearance(-1.0, "B2") is None
    assert conductors.clearance(math.nan, "B2") is None


@pytest.mark.parametrize(
    "ask",
    [
        lambda: conductors.wire_current("kitchen", MM2),
        lambda: conductors.clearance(12.0, "B9"),
        lambda: conductors.clearance(12.0, "B2", "my table"),
    ],
)
def test_a_name_that_is_not_known_is_refused_with_those_that_are(ask: object) -> None:
    with pytest.raises(UsageError, match=r"is not a .+ known here; use one of \w"):
        ask()  # type: ignore[operator]
