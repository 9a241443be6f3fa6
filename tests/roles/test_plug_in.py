"""A gate that a rising drain lifts: its bound against the gate's own equation, and what the board says of it."""

from typing import Any

import pytest
from scipy.integrate import solve_ivp

from partcheck.physics.switching import lifted_gate
from partcheck.requirement import Fact
from tests.situation.test_shorts import situation


def lifted(ohms: float, ahead: float, gate_source: float, power: float, rise: float) -> float:
    """Highest gate voltage while 12 V come up evenly; ``ahead`` F is the gate-drain capacitance at no voltage."""

    def moved(t: float, v: Any) -> Any:
        over = max(12 * min(t / rise, 1.0) - v[0], 0.0)
        drain = ahead / (1 + over / 0.7) ** power
        slope = 12 / rise if t < rise else 0.0
        return [(drain * slope - v[0] / ohms) / (gate_source + drain)]

    found = solve_ivp(moved, (0, 2 * rise), [0.0], max_step=rise / 200, rtol=1e-6)
    return float(found.y[0].max())


@pytest.mark.parametrize("power", [0.0, 0.5, 1.5])
@pytest.mark.parametrize("gate_source", [50e-12, 2e-9])
def test_no_gate_is_lifted_higher_than_is_said(power: float, gate_source: float) -> None:
    """Least plateau charge that such a capacitance can have: all of it at the threshold of 1.2 V."""
    ahead, ohms = 400e-12, 100e3
    for rise in (1e-5, 1e-3, 0.05):
        said = lifted_gate(ahead * 1.2, 1.2, 12 / rise, ohms)
        assert lifted(ohms, ahead, gate_source, power, rise) <= said * 1.001
    assert power or lifted(ohms, ahead, gate_source, power, 0.05) > 0.95 * said


def facts(floats: bool | None = None, load: dict[str, Any] | None = None, **rail: Any) -> dict[str, Fact]:
    made = situation(load, **rail)
    drive = made.board.drive["OUT"].model_copy(update={"floats": floats})
    made.board.drive["OUT"] = drive
    return {name: made.facts("Q1")[name] for name in ("drain_slope", "hold_max", "drive_leakage")}


def test_the_drain_rises_with_its_rail_and_twice_as_steeply_behind_an_inductance() -> None:
    assert facts()["drain_slope"].value is None
    bare = facts(load={"cable": None}, rise_time="10 ms")["drain_slope"]
    assert bare.value == pytest.approx(12.6 / 0.01)
    assert facts(rise_time="10 ms")["drain_slope"].value == pytest.approx(2 * 12.6 / 0.01)


def test_a_drive_that_is_never_undriven_holds_the_gate_itself() -> None:
    held = facts(floats=False, rise_time="10 ms")
    assert held["hold_max"].value == pytest.approx(60 + 105) and held["drive_leakage"].value == 0
    assert facts(rise_time="10 ms")["hold_max"].bounded == ("Q1.pulldown, or drive.OUT.floats = false",)
