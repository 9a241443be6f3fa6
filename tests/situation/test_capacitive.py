"""Loads with a capacitor at their input: what a start draws, for how long, and who has to bear it."""

from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest

from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.place import judge_link, judge_place
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.vet.vet import vet
from partcheck.physics import capacitors, conductors
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.profiles import CONDUCTOR_STILL
from partcheck.situation.sums import lasting, peak
from tests.boards import situation_of, written
from tests.command import BOARD, SAMPLES
from tests.valves import cut

UNIT = {
    "sort": "capacitive", "rail": "V12", "current": "0.1..0.15..0.2 A", "capacitance": "100 µF ±20 %",
    "series_resistance": "9..12 Ω", "rate": "0.2 /s", "allowed_drop": "0.2 V",
    "cable": {"length": "2.5 m", "wire": "0.5 mm²", "rating": "7 A", "temperature": "0..50 °C"},
}  # fmt: skip
"""Electronics in place of the stack lamp of the sample."""


@cache
def sample() -> Situation:
    """The board of the samples."""
    return open_setup(BOARD, [SAMPLES]).situation


def with_unit(without: tuple[str, ...] = (), **keys: Any) -> Situation:
    unit = {key: value for key, value in {**UNIT, **keys}.items() if key not in without}
    return situation_of(sample(), written({"load.tower": unit}))


def verdicts(situation: Situation, ref: str) -> dict[str, Verdict]:
    return {found.id: found.verdict for found in judge_place(situation, ref).findings}


# ---- the physics


def charged(volts: float, ohms: float, henries: float, farads: float) -> tuple[Any, Any]:
    """Time and current of an empty capacitor switched onto a rail, by small steps."""
    step = 0.01 * min(ohms * farads, (henries * farads) ** 0.5)
    count = int(8 * max(ohms * farads, henries / ohms) / step)
    i, v, flow = 0.0, 0.0, np.empty(count)
    for k in range(count):
        i = (i + step / henries * (volts - v)) / (1 + step * ohms / henries)
        v += step / farads * i
        flow[k] = i
    return step * np.arange(1, count + 1), flow


def warmest(time: Any, power: Any, tau: float) -> float:
    """Highest rise of a body of one resistance and heat capacity, K for 1 K/W."""
    step, rise, most = time[1] - time[0], 0.0, 0.0
    keeps = np.exp(-step / tau)
    for watts in power:
        rise = rise * keeps + watts * (1 - keeps)
        most = max(most, rise)
    return float(most)


@pytest.mark.parametrize("seed", range(12))
def test_the_rectangle_bounds_current_charge_and_heat_of_every_charging(seed: int) -> None:
    """Inductances from none to one that rings, resistances above the least: no current, charge or rise exceeds it."""
    chance = Random(seed)
    volts, least, farads = 12.0, 10 ** chance.uniform(-1, 1), 10 ** chance.uniform(-5, -3)
    ohms = least * chance.choice([1.0, 1.0, 1.5, 4.0])
    henries = chance.choice([1e-3, 0.05, 0.5, 3.0]) * ohms * ohms * farads
    time, flow = charged(volts, ohms, henries, farads)
    first, width = capacitors.charging_peak(volts, least), capacitors.charging_time(least, farads)
    assert flow.max() <= first
    forward = np.maximum(flow, 0.0)  # a bipolar transistor passes no current back
    stops = int(np.argmax(flow < 0)) or len(flow)
    assert forward[:stops].sum() * time[0] <= first * width
    heat = (flow * flow * ohms).sum() * time[0]
    assert heat == pytest.approx(farads * volts**2 / 2, rel=0.03)  # whatever resistance and inductance
    for tau in (0.05 * width, width, 20 * width):
        share = -np.expm1(-width / tau)
        assert warmest(time, flow * flow, tau) <= first * first * share
        assert warmest(time[:stops], forward[:stops], tau) <= first * share


# ---- what it draws


def test_a_start_draws_what_least_resistance_lets_through_beside_the_running_current() -> None:
    made = with_unit().load("tower")
    wire = conductors.copper_resistance(2.5, 0.5e-6, 273.15) * 2 / 1.1
    assert made.largest.value == made.heating.value == 0.2
    assert made.inrush.value == pytest.approx(12.6 / (9 + wire) + 0.2)
    assert made.inrush_time.value == pytest.approx(2 * (9 + wire) * 120e-6)


def test_several_charge_through_the_cable_that_they_share() -> None:
    one, three = with_unit().load("tower"), with_unit(count=3).load("tower")
    wire = conductors.copper_resistance(2.5, 0.5e-6, 273.15) * 2 / 1.1
    assert three.inrush.value == pytest.approx(12.6 / (3 + wire) + 0.6)
    assert three.inrush.value < 3 * one.inrush.value
    assert three.inrush_time.value == pytest.approx(2 * (3 + wire) * 360e-6)


def test_its_start_reaches_wires_poles_supply_and_the_lowest_rail() -> None:
    small, large = with_unit(capacitance="1 µF ±20 %", series_resistance="60..90 Ω"), with_unit()
    assert peak(large, "tower").value > peak(small, "tower").value > 0.2
    assert large.rail_current("V12").value > small.rail_current("V12").value
    assert large.rail("V12").least.value < small.rail("V12").least.value
    often, seldom = with_unit(rate="100 /s"), with_unit(rate="0.01 /s")
    assert lasting(often, "tower").value > lasting(seldom, "tower").value >= 0.2
    assert often.load("tower").inrush_time.value < CONDUCTOR_STILL


@pytest.mark.parametrize("key", ["capacitance", "series_resistance"])
def test_what_is_not_stated_of_it_is_unproven(key: str) -> None:
    made = with_unit(without=(key,))
    found = {one.id: one for one in judge_place(made, "Q5").findings}
    for name in ("inrush", "pulse-rise"):
        assert found[name].verdict is Verdict.UNPROVEN and f"tower.{key}" in found[name].story.missing
    supply = next(judge_link(made, *link) for link in made.links() if link[0] == "rail V12")
    assert supply.verdict is Verdict.UNPROVEN


# ---- who bears it


def test_resistance_ahead_of_the_capacitor_decides_whether_the_switch_bears_its_start() -> None:
    assert verdicts(with_unit(), "Q5")["inrush"] >= Verdict.TIGHT
    assert verdicts(with_unit(series_resistance="10..30 mΩ", without=("cable",)), "Q5")["inrush"] < Verdict.TIGHT


def test_a_longer_start_is_read_at_longer_pulses() -> None:
    short, long = with_unit().facts("Q5"), with_unit(capacitance="10000 µF ±20 %").facts("Q5")
    assert long["inrush_time"].value == pytest.approx(100 * short["inrush_time"].value)
    assert long["inrush_current"].value == short["inrush_current"].value


def test_chopped_it_charges_again_with_every_pulse() -> None:
    made = with_unit(chopped={"frequency": "100 Hz", "duty": "0.2..0.5"}, edge_limit="1 ms")
    state, facts = made.load("tower"), made.facts("Q5")
    assert state.rate == 100.0 and state.duty.max == 1.0
    assert facts["start_share"].value == pytest.approx(100 * state.inrush_time.value)
    assert facts["edge_current"].value == pytest.approx(state.inrush.value)
    assert made.quantity("Q5", "edge_loss").value > with_unit().quantity("Q5", "edge_loss").value


def test_a_coil_beside_it_lets_go_no_one_knows_when() -> None:
    """The capacitor carries the coil's current on."""
    unit = {key: value for key, value in UNIT.items() if key != "cable"}
    beside = written({"load.unit": unit, "role.Q1.load": ["FV1", "unit"]})
    found = {one.id: one for one in judge_place(situation_of(sample(), beside), "D1").findings}
    assert found["release-time"].verdict is Verdict.UNPROVEN
    assert any("capacitor of unit" in item for item in found["release-time"].story.missing)


def test_an_input_beside_a_coil_carries_the_rest_of_its_current_on() -> None:
    """Of an input only its current is known: it may draw that at any voltage. What it draws less than the level is let go."""

    def released(amperes: str, extra: str = "0 A") -> tuple[Verdict, list[str]]:
        other = {"sort": "logic-input", "rail": "V12", "current": amperes, "reverse_limit": "60 V"}
        beside = written({"load.other": other, "role.Q1.load": ["FV1", "other"], "load.FV1.extra_current": extra})
        made = judge_place(situation_of(sample(), beside), "D1").findings
        found = next(one for one in made if one.id == "release-time")
        return found.verdict, list(found.story.missing)

    level = sample().board.load["FV1"].release_level
    assert released(f"{0.5 * level:.4g} A")[0] is not Verdict.UNPROVEN
    for verdict, missing in (released(f"{1.1 * level:.4g} A"), released("1 mA", f"{level:.4g} A")):
        assert verdict is Verdict.UNPROVEN
        assert any("FV1.release_level above" in item and "may keep flowing" in item for item in missing)


# ---- answers


def test_vet_shows_its_inrush_and_what_gives_way_with_a_larger_capacitor(tmp_path: Path) -> None:
    text = cut("V12 V12.feed V5 U2 U3 VALVE1 TOWER FV1 tower Q1 Q5 D1 D11 U1")
    start = text.index("[load.tower]")
    lamp = text[start : text.index("\n\n", start) + 2]
    cable = next(line for line in lamp.splitlines() if line.startswith("cable"))
    unit = f"""[load.tower]
sort = "capacitive"
rail = "V12"
current = "0.1..0.2 A"
capacitance = "100 µF ±20 %"
series_resistance = "9..12 Ω"
rate = "0.2 /s"
{cable}

"""
    path = tmp_path / "board.toml"
    path.write_text(text.replace(lamp, unit), encoding="utf-8")
    vetted = vet(open_setup(path, [SAMPLES]), "tower", Asked(sets=("series_resistance=0.1..1 Ω",)))
    figures = {figure.name: figure for figure in vetted.figures}
    before, after = figures["inrush"].before, figures["inrush"].after
    assert before is not None and after is not None and after.value > 5 * before.value
    assert vetted.verdict < vetted.verdict_before
    assert any(ref == "Q5" and new.id == "inrush" for ref, _, new in vetted.unproven)
    assert any("charged capacitor" in item for item in vetted.not_judged)
    assert any("capacitors hold energy" in caution for caution in vetted.cautions)
