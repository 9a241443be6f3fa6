"""Slow edges: transistors simulated through one turn-off, on thermal ladders, are never hotter than what is passed allows."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from partcheck.board import read_board
from partcheck.parts.part import Part, point_table
from partcheck.policy import BENCH
from partcheck.readings.explain import Finding, explain, open_views
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from partcheck.units import Span
from tests.command import BOARD
from tests.examples.roles import mosfet_switch, npn_sink
from tests.roles.test_every_requirement import facts_of as facts_with

GOOD = (Verdict.MEETS, Verdict.TIGHT)
K0 = 273.15


def facts_of(module: Any, changes: Mapping[str, Any]) -> dict[str, Fact]:
    return facts_with(ROLES[module.ROLE], module.FACTS, BENCH, changes)


def judged(module: Any, part: Part, facts: dict[str, Fact]) -> Finding:
    return {f.id: f for f in explain(ROLES[module.ROLE], part, facts, 0.1)}["slow-edge"]


def number(module: Any, part: Part, facts: dict[str, Fact], name: str) -> float:
    p, _ = open_views(ROLES[module.ROLE], part, facts)
    return float(getattr(p, name).value)


def with_tables(part: Part, **rows: list[dict[str, Any]]) -> Part:
    made = {name: point_table(part.kind, name, table) for name, table in rows.items()}
    return Part(part.kind, part.part_number, part.maker, part.values, {**part.tables, **made})


def hottest(ohms: Any, times: Any, length: float, watts: float, shape: str) -> float:
    """Largest rise of a junction while an edge lasts, K, by steps of each exponential.

    A coil holds its current while the drain rises, then the current falls: a triangle of power. A heater has the power
    of a straight drain and current. ``flat`` is the whole product all the time.
    """
    steps = 400
    x = (np.arange(steps) + 0.5) / steps
    power = watts * {"coil": 1 - np.abs(2 * x - 1), "heater": 4 * x * (1 - x) / 4, "flat": np.ones(steps)}[shape]
    rises, most, kept = np.zeros_like(ohms), 0.0, np.exp(-length / steps / times)
    for p in power:
        rises = ohms * p + (rises - ohms * p) * kept
        most = max(most, float(rises.sum()))
    return most


@pytest.mark.parametrize("shape", ["coil", "heater", "flat"])
def test_no_edge_that_passes_overheats_a_junction_whose_impedance_is_stated(shape: str) -> None:
    chance, passed, nearest = np.random.default_rng(17), 0, 0.0
    for _ in range(300):
        count = int(chance.integers(2, 6))
        ohms, times = chance.dirichlet(np.ones(count)) * 62.0, 10.0 ** chance.uniform(-5, 1.5, count)
        widths = sorted(10.0 ** chance.uniform(-5, -2.5, 2))
        rows = [
            {"pulse_width": w, "reference": "ambient", "max": float((ohms * -np.expm1(-w / times)).sum())}
            for w in widths
        ]
        part = with_tables(mosfet_switch.PART, zth=rows, soa=[])
        part = Part(part.kind, "X", "", {k: v for k, v in part.values.items() if k != "theta_jc"}, part.tables)
        changes = {"edge_counts": 1.0, "gate_resistor_max": float(10.0 ** chance.uniform(3, 4.5)), "die_impedance": 1e9,
                   "drain_peak": chance.uniform(12, 60), "switch_frequency": 0.0, "edge_limit": None}  # fmt: skip
        facts = facts_of(mosfet_switch, changes)
        if judged(mosfet_switch, part, facts).verdict not in GOOD:
            continue
        longest = number(mosfet_switch, part, facts, "edge_longest")
        if longest <= 20e-6:
            continue  # taken for harmless by common practice
        current = max(facts["load_current"].value, facts["start_current"].value)
        room = number(mosfet_switch, part, facts, "tj_limit") - number(mosfet_switch, part, facts, "tj_peak")
        rise = hottest(ohms, times, longest, facts["drain_peak"].value * current, shape)
        assert rise <= room * (1 + 1e-6)
        passed, nearest = passed + 1, max(nearest, rise / room)
    assert passed > 20
    assert nearest > (0.3 if shape == "flat" else 0.05)


SMALL = {"edge_counts": 1.0, "gate_resistor_max": 4.7e3, "drain_peak": 26.0, "load_current": 4.0, "start_current": 4.0,
         "heat_current": 0.1, "edge_current": 0.1, "switch_frequency": 0.0, "edge_limit": None}  # fmt: skip


def bare(**rows: list[dict[str, Any]]) -> Part:
    part = with_tables(mosfet_switch.PART, **{"zth": [], "soa": [], **rows})
    return Part(part.kind, "X", "", {k: v for k, v in part.values.items() if k != "theta_jc"}, part.tables)


def test_an_edge_of_100_watts_is_not_passed_without_an_area_or_an_impedance() -> None:
    """104 W for a good part of a millisecond: a small die of 40 K/W after 1 ms would be beyond 1000 °C."""
    facts = facts_of(mosfet_switch, SMALL)
    assert number(mosfet_switch, bare(), facts, "edge_longest") > 50e-6
    found = judged(mosfet_switch, bare(), facts)
    assert found.verdict is Verdict.UNPROVEN
    assert any("soa" in name or "zth" in name for name in found.story.missing)
    area = [{"pulse_width": 1e-3, "vds": 30.0, "max": 60.0}]
    assert judged(mosfet_switch, bare(soa=area), facts).verdict in GOOD
    area[0]["max"] = 1.5
    assert judged(mosfet_switch, bare(soa=area), facts).verdict is Verdict.FAILS
    impedance = [{"pulse_width": 1e-3, "reference": "ambient", "max": 0.1}]
    assert judged(mosfet_switch, bare(zth=impedance), facts).verdict in GOOD
    impedance[0]["max"] = 5.0
    assert judged(mosfet_switch, bare(zth=impedance), facts).verdict is Verdict.FAILS


def test_an_area_for_a_shorter_pulse_or_a_lower_voltage_proves_no_edge() -> None:
    facts = facts_of(mosfet_switch, SMALL)
    longest = number(mosfet_switch, bare(), facts, "edge_longest")
    for row in ({"pulse_width": 0.9 * longest, "vds": 30.0}, {"pulse_width": 1e-3, "vds": 25.0}):
        assert judged(mosfet_switch, bare(soa=[{**row, "max": 500.0}]), facts).verdict is Verdict.UNPROVEN


def test_a_drive_as_slow_as_a_filter_heats_an_npn_through_its_edges() -> None:
    """A millisecond of edge at 26 V and 0.2 A is 5 W in a die of a TO-92 or SOT-23."""
    slow = {"drive_edge": 0.9e-3, "collector_peak": 26.0, "load_current": 0.2, "starts": 0.0, "start_current": 0.2,
            "edge_counts": 1.0}  # fmt: skip
    part = with_tables(npn_sink.PART, zth=[])
    assert judged(npn_sink, part, facts_of(npn_sink, slow)).verdict is Verdict.UNPROVEN
    assert judged(npn_sink, part, facts_of(npn_sink, {**slow, "drive_edge": 1e-6})).verdict in GOOD
    row = [{"pulse_width": 1e-3, "reference": "ambient", "max": 35.0}]
    assert judged(npn_sink, with_tables(part, zth=row), facts_of(npn_sink, slow)).verdict is Verdict.FAILS
    row[0]["max"] = 3.0
    assert judged(npn_sink, with_tables(part, zth=row), facts_of(npn_sink, slow)).verdict in GOOD


def test_the_edge_of_an_npn_grows_with_its_base_resistor() -> None:
    """ngspice with 5 pF at 10 V, 220 kΩ and 48 V: 66 µs from the drive's edge on; told is no less."""
    board = read_board(BOARD).board

    def facts(typ: float) -> Any:
        place = board.role["Q6"].model_copy(update={"base_resistor": Span(0.95 * typ, typ, 1.05 * typ)})
        return Situation(board.model_copy(update={"role": {**board.role, "Q6": place}}), {}, BENCH).facts("Q6")

    assert facts(220e3)["switching_time"].value > 66e-6 * 12 / 48  # this rail is a quarter of that
    assert facts(220e3)["edge_counts"].value == 1.0
    assert facts(4.7e3)["switching_time"].value == 20e-6
    assert facts(4.7e3)["edge_counts"].value is None


def test_output_capacitance_that_is_not_stated_is_asked_where_it_heats() -> None:
    """Half of C V² f: 500 pF at 100 V and 500 kHz are 1.25 W; at 12 V and 4 kHz next to nothing."""
    without = Part(
        "mosfet",
        "X",
        "",
        {k: v for k, v in mosfet_switch.PART.values.items() if k != "coss_max"},
        mosfet_switch.PART.tables,
    )
    fast = {"drain_peak": 60.0, "drain_clamped": 60.0, "switch_frequency": 200e3}
    assert math.isnan(number(mosfet_switch, without, facts_of(mosfet_switch, fast), "edge_loss"))
    usual = facts_of(mosfet_switch, {})
    stated = Part("mosfet", "X", "", {**without.values, "coss_max": 4e-9}, without.tables)
    assert number(mosfet_switch, without, usual, "edge_loss") == number(mosfet_switch, stated, usual, "edge_loss") > 0


@pytest.mark.parametrize("ahead", ["0 Ω", "470 Ω ±5 %"])
def test_a_slow_drive_is_asked_whatever_lies_ahead_of_the_gate(ahead: str) -> None:
    board = read_board(BOARD).board
    place = board.role["Q1"]
    resistor = Span(0.0, 0.0, 0.0) if ahead == "0 Ω" else place.gate_resistor  # type: ignore[union-attr]
    drive = board.drive[place.drive].model_copy(  # type: ignore[union-attr, index]
        update={"edge_time": Span(1e-4, 5e-4, 9e-4), "source_resistance": Span(0.0, 0.0, 0.0)}
    )
    made = board.model_copy(
        update={
            "role": {**board.role, "Q1": place.model_copy(update={"gate_resistor": resistor})},
            "drive": {**board.drive, place.drive: drive},  # type: ignore[union-attr]
        }
    )
    facts = dict(Situation(made, {"Q1": mosfet_switch.PART}, BENCH).facts("Q1"))
    assert facts["edge_counts"].value == 1.0
    assert number(mosfet_switch, bare(), {**facts, "drain_peak": Fact(13.0)}, "edge_longest") >= 9e-4
