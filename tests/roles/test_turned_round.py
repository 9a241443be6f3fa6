"""Readings that one slip would turn towards meets: each is held by itself, with numbers on which both ways differ."""

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from partcheck.board.fields import Span
from partcheck.jobs.judge.setup import open_setup
from partcheck.policy import BENCH, DATASHEET, ECSS, NASA, Policy
from partcheck.requirement import Fact
from partcheck.situation.chopping import Chopping
from partcheck.situation.facts import NOT_STATED
from partcheck.situation.indicator import IndicatorFacts
from partcheck.situation.npn import NpnFacts
from partcheck.situation.switch import MosfetFacts
from tests.command import BOARD, SAMPLES
from tests.published.through import ALL_ROLES, Through

K0 = 273.15


def got(
    role: str,
    side: str,
    facts: dict[str, Any] | None = None,
    values: dict[str, Any] | None = None,
    tables: dict[str, Any] | None = None,
    policy: Policy = DATASHEET,
) -> float:
    """A quantity of the example part of a role in its place."""
    any_one = next(iter(ALL_ROLES[role].requirements))
    return Through(role, any_one, "", side, 1.0, 0.1, "-", "-", facts or {}, values or {}, tables or {}, policy).got()


# ---- a rating against air falls with the air


def test_a_rating_against_air_holds_up_to_its_own_air_and_no_further() -> None:
    rows = {"id_max": [{"temperature": K0 + 25, "reference": "ambient", "max": 20.0}]}
    assert got("mosfet-switch", "id_allowed", {"ambient_max": K0 + 25}, tables=rows) == 20.0
    assert math.isnan(got("mosfet-switch", "id_allowed", {"ambient_max": K0 + 45}, tables=rows))
    law = replace(DATASHEET, assumed={"square_root_law": 1.0})
    fallen = got("mosfet-switch", "id_allowed", {"ambient_max": K0 + 45}, tables=rows, policy=law)
    assert fallen == pytest.approx(20.0 * math.sqrt(130 / 150))  # to nothing at 175 °C


# ---- of several loads the strictest limit


def test_of_two_loads_on_a_switch_the_stricter_edge_limit_counts() -> None:
    loads = {
        "slack": SimpleNamespace(edge_limit=9e-6, edge_least=1e-6),
        "strict": SimpleNamespace(edge_limit=2e-6, edge_least=1.5e-6),
    }
    for names in (["slack", "strict"], ["strict", "slack"]):
        switch: Any = SimpleNamespace(place=SimpleNamespace(load=names), board=SimpleNamespace(load=loads))
        assert (MosfetFacts.edge_limit(switch).value, MosfetFacts.edge_least(switch).value) == (2e-6, 1.5e-6)


# ---- what counts as off


def test_an_npn_is_off_at_a_thousandth_of_its_load_or_at_what_the_load_states() -> None:
    silent: Any = SimpleNamespace(off_leakage=lambda: NOT_STATED, load_current=lambda: Fact(0.5))
    assert NpnFacts.off_current(silent).value == pytest.approx(0.5e-3)
    states: Any = SimpleNamespace(off_leakage=lambda: Fact(2e-5), load_current=lambda: Fact(0.5))
    assert NpnFacts.off_current(states).value == 2e-5


# ---- chopped light


class Chopped(IndicatorFacts):
    """An indicator that is on for a fifth to nine tenths of the time."""

    chopping = Chopping(100.0, Span(0.2, 0.5, 0.9), "test")  # type: ignore[assignment]

    def __init__(self) -> None:
        pass


def test_the_least_light_is_that_of_the_least_duty() -> None:
    led = Chopped()
    assert [fact.value for fact in (led.light_duty_min(), led.light_duty_typ(), led.light_duty_max())] == [
        0.2,
        0.5,
        0.9,
    ]
    assert led.chopped_duty().value == led.on_duty().value == 0.9
    duties = {"light_duty_min": 0.2, "light_duty_typ": 0.5, "light_duty_max": 0.9}
    base = {side: got("indicator", side, duties) for side in ("intensity_min", "intensity_max")}
    assert got("indicator", "intensity_min", {**duties, "light_duty_min": 0.1}) == pytest.approx(
        base["intensity_min"] / 2
    )
    assert got("indicator", "intensity_min", {**duties, "light_duty_max": 1.0}) == base["intensity_min"]
    assert got("indicator", "intensity_max", {**duties, "light_duty_max": 0.45}) == pytest.approx(
        base["intensity_max"] / 2
    )


# ---- the row of the on-resistance


def test_the_overdrive_is_that_of_the_row_whose_resistance_counts() -> None:
    """Of equal resistances the highest gate voltage, and there the largest test current; none of another row."""
    rows = {"rds_on": [
        {"vgs": 2.5, "id": 8.0, "max": 0.05}, {"vgs": 4.5, "id": 1.0, "max": 0.05}, {"vgs": 4.5, "id": 2.0, "max": 0.05},
        {"vgs": 4.5, "id": 30.0, "max": 0.09},
    ]}  # fmt: skip
    for current, vgs, measured in [(0.5, 4.5, 2.0), (1.5, 4.5, 2.0), (5.0, 2.5, 8.0), (20.0, 4.5, 30.0)]:
        place = {"load_current": current, "heat_current": current, "drive_high_min": 4.75}
        found = [got("mosfet-switch", side, place, tables=rows) for side in ("rds_on_vgs", "rds_on_id")]
        assert found == [vgs, measured], current


def test_a_typical_gate_resistance_is_spread_where_no_largest_is_stated() -> None:
    typical = {"rg_int_max": None, "rg_int_typ": 1.5}
    assert got("mosfet-switch", "gate_resistance_inside", values=typical, policy=BENCH) == pytest.approx(3.0)
    assert math.isnan(got("mosfet-switch", "gate_resistance_inside", values=typical))
    assert got("mosfet-switch", "gate_resistance_inside", values={"rg_int_max": 9.0}, policy=BENCH) == 9.0


# ---- heat


@pytest.mark.parametrize(
    ("policy", "rating", "limit"),
    [(NASA, 150, 110), (NASA, 175, 125), (ECSS, 150, 110), (ECSS, 175, 110), (BENCH, 150, 130), (DATASHEET, 150, 150)],
)
def test_a_junction_keeps_its_guard_and_its_ceiling(policy: Policy, rating: int, limit: int) -> None:
    """EEE-INST-002 (from memory): 40 K under the rating, 125 °C at most; ECSS (from memory): 40 K, 110 °C."""
    place = {"tj_ceiling": policy.value("tj_ceiling")}
    for role in ("mosfet-switch", "npn-sink", "clamp", "regulator"):
        made = got(role, "tj_limit", place, {"tj_max": K0 + rating}, policy=policy)
        assert made == pytest.approx(K0 + limit), role


def test_a_thermal_resistance_counts_only_for_no_more_copper_than_there_is() -> None:
    rows = {"theta_ja": [
        {"copper_area": 0.0, "mounting": "minimum", "max": 80.0}, {"copper_area": 1e-3, "mounting": "minimum", "max": 40.0},
        {"copper_area": 0.0, "mounting": "multilayer", "max": 20.0},
    ]}  # fmt: skip
    for area, theta in [(0.0, 80.0), (0.9e-3, 80.0), (1.1e-3, 40.0)]:
        assert got("mosfet-switch", "theta", {"copper_area": area}, tables=rows) == theta, area


def test_a_terminal_is_judged_in_the_hottest_air() -> None:
    rows = {
        "current": [{"temperature": K0 + at, "basis": "derated", "max": most} for at, most in ((20, 12.0), (60, 5.0))]
    }
    place = {"ambient_max": K0 + 60, "ambient_min": K0 + 5}
    assert got("terminal", "pole_allowed", place, tables=rows) == 5.0
    situation = open_setup(BOARD, [SAMPLES]).situation
    air = situation.board.surroundings.ambient
    refs = [ref for ref, role in situation.board.role.items() if role.role == "terminal" and role.ambient is None]
    assert refs and air.min < air.max
    assert {situation.facts(ref)["ambient_max"].value for ref in refs} == {air.max}
