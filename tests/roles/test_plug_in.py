"""A gate that a rising drain lifts: its bound against the gate's own equation, and what the board says of it."""

from typing import Any

import pytest
from scipy.integrate import solve_ivp

from partcheck.physics.switching import lifted_gate
from partcheck.requirement import Fact, Verdict
from tests.roles.test_mosfet_switch import PART, changed, facts_of, judged, number
from tests.situation.test_shorts import situation
from tests.situation.test_undriven import situation as undriven


def lifted(ohms: float, ahead: float, gate_source: float, power: float, rise: float, low: float = 0.0) -> float:
    """Highest gate voltage while 12 V come up evenly; ``ahead`` F is the gate-drain capacitance at no voltage.

    The gate is held at ``low`` V.
    """

    def moved(t: float, v: Any) -> Any:
        over = max(12 * min(t / rise, 1.0) - v[0], 0.0)
        drain = ahead / (1 + over / 0.7) ** power
        slope = 12 / rise if t < rise else 0.0
        return [(drain * slope - (v[0] - low) / ohms) / (gate_source + drain)]

    found = solve_ivp(moved, (0, 2 * rise), [low], max_step=rise / 200, rtol=1e-6)
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
    names = ("drain_slope", "hold_max", "drive_leakage", "undriven_gate", "driven_gate")
    return {name: made.facts("Q1")[name] for name in names}


def test_the_drain_rises_with_its_rail_and_twice_as_steeply_behind_an_inductance() -> None:
    assert facts()["drain_slope"].value is None
    bare = facts(load={"cable": None}, rise_time="10 ms")["drain_slope"]
    assert bare.value == pytest.approx(12.6 / 0.01)
    assert facts(rise_time="10 ms")["drain_slope"].value == pytest.approx(2 * 12.6 / 0.01)


def test_a_drive_that_is_never_undriven_holds_the_gate_itself() -> None:
    held = facts(floats=False, rise_time="10 ms")
    assert held["hold_max"].value == pytest.approx(60 + 105) and held["drive_leakage"].value == 0
    assert held["undriven_gate"].value == held["driven_gate"].value == held["hold_max"].value  # no resistor twice
    assert facts(rise_time="10 ms")["hold_max"].bounded == ("Q1.pulldown, or drive.OUT.floats = false",)


@pytest.mark.parametrize("floats", [1.0, None])
def test_a_gate_that_is_driven_off_is_lifted_from_the_low_level(floats: float | None) -> None:
    """The part passes only where no gate, held at the highest low level with noise, is lifted to the threshold."""
    ohms, low, hot = 165.0, 0.3, number(PART, facts_of(), "vgs_th_hot")
    judgements = set()
    for qgd in (0.2e-9, 1e-9, 2.5e-9, 4e-9, 5e-9, 10e-9):
        ahead, rise = qgd / 1.0, 1.2e-5  # all of the charge at the least threshold, 1 V
        f = facts_of({"drive_floats": floats, "drain_slope": 12 / rise, "undriven_gate": ohms, "driven_gate": ohms,
                      "drive_leakage": 0.0})  # fmt: skip
        told = judged(changed(PART, {"qgd_max": qgd, "igss_max": 0.0}), f)["plug-in-hold"].verdict
        peak = max(lifted(ohms, ahead, gate_source, 0.5, rise, low) for gate_source in (1e-12, 1e-10))
        assert peak < hot or told is Verdict.FAILS
        judgements.add((told is Verdict.FAILS, peak - low < hot <= peak))
    assert {(False, False), (True, True)} <= judgements  # one that only the level lifts too far among them


def test_the_pull_down_holds_through_the_gate_resistor_where_it_sits_at_the_drive() -> None:
    pulled = {"pulldown": "100 kΩ ±5 %", "gate_resistor": "1 kΩ ±5 %"}
    for side, ohms in (("gate", 105e3), ("drive", 105e3 + 1050)):
        made = undriven(pulled | {"pulldown_side": side}).facts("Q1")
        assert made["undriven_gate"].value == pytest.approx(ohms)
        assert made["driven_gate"].value == pytest.approx(60 + 1050)
