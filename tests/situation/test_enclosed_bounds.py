"""The air in an enclosure where the heat of one part is not known: bounded by what the circuit lets it take."""

import math
from pathlib import Path

import numpy as np
import pytest

from partcheck.board.roles import Indicator, NpnSink
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.sweep.quantities import hottest_air
from partcheck.jobs.sweep.run import judged
from partcheck.parts import Part
from partcheck.requirement import Verdict
from partcheck.situation.bounds import BOUNDS
from partcheck.situation.enclosure import settle
from partcheck.situation.heats import heats
from partcheck.situation.situation import Situation
from tests.command import BOARD, SAMPLES, sample_parts

THETA = 3.0
PARTS = {
    "D2": '[[part]]\nkind = "led"\npart_number = "OWN-D2"\nmaker = "Own"\n',
    "Q1": '[[part]]\nkind = "mosfet"\npart_number = "OWN-Q1"\nmaker = "Own"\npolarity = "N"\n',
}


def enclosed(folder: Path, unknown: str = "", theta: float = THETA) -> Situation:
    """A valve, its diode and a lamp of an LED in a box; of the part at ``unknown`` nothing is known."""
    fitted = {"Q1": "TALQ-60N80", "D2": "SLYS-R3D"} | ({unknown: f"OWN-{unknown}"} if unknown else {})
    path = folder / "enclosed.toml"
    path.write_text(
        f"""format = 1
name = "enclosed"
surroundings = {{ ambient = "5..35 °C", enclosure_theta = "{theta} K/W" }}
rail.V12 = {{ voltage = "12 V ±5 %", current = "2 A" }}
drive.OUT1 = {{ high = "4.8..5..5.2 V", low = "0..0.2 V", source_resistance = "20..60 Ω", floats = false }}
load.valve = {{ sort = "coil", rail = "V12", resistance = "36 Ω ±8 %", inductance = "60 mH ±20 %", rate = "1 /s" }}
role.Q1 = {{ role = "mosfet-switch", fitted = "{fitted["Q1"]}", drive = "OUT1", load = "valve", gate_resistor = "470 Ω ±5 %" }}
role.D1 = {{ role = "clamp", fitted = "ARFJ-S60A", load = "valve" }}
role.D2 = {{ role = "indicator", fitted = "{fitted["D2"]}", rail = "V12", resistor = "2.7 kΩ ±5 %" }}
{PARTS.get(unknown, "")}""",
        encoding="utf-8",
    )
    return open_setup(path, [SAMPLES]).situation


def test_poles_tracks_and_the_return_heat_the_air_too(tmp_path: Path) -> None:
    """Ohm's law by hand: 0.6 A through four poles of 0.1 Ω, 0.3 Ω of return and a track of 35 mm by 0.5 mm by 35 µm."""
    enclosed(tmp_path, theta=0.1)
    drawn = tmp_path / "drawn.toml"
    drawn.write_text(
        (tmp_path / "enclosed.toml").read_text(encoding="utf-8")
        + """
ground.resistance = "0.3 Ω"
load.heater = { sort = "resistive", rail = "V12", resistance = "21..22..23 Ω" }
role.Q2 = { role = "mosfet-switch", fitted = "TALQ-60N80", drive = "OUT1", load = "heater", gate_resistor = "470 Ω ±5 %" }
track.t1 = { width = "0.5 mm", thickness = "35 µm", length = "35 mm", side = "switched", load = ["heater"] }
[role.J1]
role = "terminal"
fitted = "OWN-J1"
wire = "2.5 mm²"
poles = [
    { pole = 1, side = "feed", load = "heater" }, { pole = 2, side = "switched", load = "heater" },
    { pole = 3, side = "supply", rail = "V12" }, { pole = 4, side = "return", rail = "V12" },
]
[[part]]
kind = "terminal"
part_number = "OWN-J1"
maker = "Own"
contact_resistance_max = "0.1 Ω"
""",
        encoding="utf-8",
    )
    situation = open_setup(drawn, [SAMPLES]).situation
    heat = [one.value for one in heats(situation)]
    amperes = 12.6 / 21
    all_on = amperes + 12.6 / (36 * 0.92)
    copper = 1.724e-8 * (1 + 3.93e-3 * 35) * 35e-3 / (0.5e-3 * 35e-6)  # at 55 °C
    least = 2 * 0.1 * amperes**2 + 2 * 0.1 * all_on**2 + 0.3 * all_on**2 + copper * amperes**2
    parts = sum(situation.quantity(ref, "dissipation").value for ref in ("Q1", "Q2", "D1", "D2"))
    assert sum(heat) > parts + 0.97 * least
    assert sum(heat) < parts + 1.25 * least + 0.1


def verdicts(situation: Situation) -> dict[tuple[str, str], Verdict]:
    places, links = judge_board(situation)
    return {(j.ref, f.id): f.verdict for j in (*places, *links) for f in j.findings if f.counts}


def test_no_part_of_the_samples_heats_more_than_its_bound() -> None:
    situation, seen = open_setup(BOARD, [SAMPLES]).situation, 0
    for (role, name), find in BOUNDS.items():
        if name != "dissipation":
            continue
        for ref, _ in situation.board.of_type(role):
            kind = situation.facts(ref).role.kind
            for part in [p for p in sample_parts() if p.kind == kind]:
                fitted = situation.replaced(ref, part)
                heat, (most, _) = fitted.quantity(ref, name).value, find(fitted, ref)
                if role is Indicator:  # its heat is added up of two worst cases that exclude each other
                    heat = fitted.quantity(ref, "current_max").value * fitted.facts(ref)["feed_max"].value
                if (
                    role is NpnSink
                    and not fitted.quantity(ref, "on_drop_hot").value < fitted.facts(ref)["rail_max"].value
                ):
                    continue  # where it is not saturated its heat is told with more than its rail across it
                if math.isfinite(heat) and not fitted.quantity(ref, name).bounded:
                    assert heat <= most.value, (ref, part.part_number)
                    seen += 1
    assert seen > 100


@pytest.mark.parametrize("unknown", PARTS)
def test_what_does_not_hinge_on_the_part_keeps_its_verdict(tmp_path: Path, unknown: str) -> None:
    assert min(verdicts(enclosed(tmp_path)).values()) >= Verdict.TIGHT
    situation = enclosed(tmp_path, unknown)
    surroundings = situation.board.surroundings.model_copy(update={"enclosure_theta": None})
    bare = situation.board.model_copy(update={"surroundings": surroundings})
    outside = verdicts(Situation(bare, situation.fitted, situation.policy))
    assert Verdict.UNPROVEN in outside.values() and Verdict.MEETS in outside.values()
    assert verdicts(situation) == outside


def test_the_bounded_air_is_hotter_than_the_true_one_and_names_what_is_not_known(tmp_path: Path) -> None:
    true = enclosed(tmp_path).inside
    for unknown in PARTS:
        inside = enclosed(tmp_path, unknown).inside
        assert true.value <= inside.value < math.inf and not true.bounded
        assert any(name.startswith(f"{unknown}: ") for name in inside.bounded)
        assert enclosed(tmp_path, unknown).facts("D1")["ambient_max"].bounded == inside.bounded
    assert enclosed(tmp_path, "Q1").inside.value > true.value + 10


def test_air_that_is_too_hot_only_by_a_bound_fails_nothing(tmp_path: Path) -> None:
    made = verdicts(enclosed(tmp_path, "D2", theta=900.0))
    assert made["Q1", "junction-rise"] is Verdict.UNPROVEN
    assert Verdict.FAILS not in made.values()
    assert verdicts(enclosed(tmp_path, theta=900.0))["Q1", "junction-rise"] is Verdict.FAILS


def test_a_heat_that_no_circuit_bounds_leaves_the_air_unknown(tmp_path: Path) -> None:
    situation = enclosed(tmp_path)
    made = settle(
        Situation(situation.board, {**situation.fitted, "D1": Part("diode", "X", "Own", {})}, situation.policy)
    )
    assert math.isnan(made.inside.value)
    assert verdicts(made)["Q1", "junction-rise"] is Verdict.UNPROVEN


@pytest.mark.parametrize("theta", [THETA, 300.0])
def test_many_circuits_at_once_say_the_same(tmp_path: Path, theta: float) -> None:
    situation = enclosed(tmp_path, "D2", theta)
    degrees = np.array([300.0, 330.0, 345.0, 390.0])
    air = hottest_air(situation)
    tried = judged(situation, air.apply(situation.board, degrees), len(degrees))
    for column, kelvin in enumerate(degrees):
        board = air.apply(situation.board, float(kelvin))
        one = verdicts(settle(Situation(board, situation.fitted, situation.policy)))
        found = {where: Verdict(int(tried.verdicts[row, column])) for where, row in tried.row.items()}
        assert {where: found[where] for where in one} == one
