"""Cables and tracks: edges, resistance and current inside the corners, and the traps."""

import math
from collections.abc import Mapping
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from partcheck.board import Board, parse_board
from partcheck.physics import conductors
from partcheck.physics.conductor_data import CONDUCTOR_RESISTANCE
from partcheck.policy import BENCH, DATASHEET, NASA, Policy
from partcheck.readings.explain import Finding, explain
from partcheck.readings.verdicts import judge_columns
from partcheck.requirement import Fact, Role, Verdict
from partcheck.roles import LINK_ROLES
from partcheck.situation import Situation
from tests.examples.roles import cable, ground, load, track

TIGHT = 0.1
GOOD = (Verdict.MEETS, Verdict.TIGHT)
CASES = [(module, id_) for module in (cable, track, load, ground) for id_ in module.EXAMPLES]


def both(module: ModuleType, changes: Mapping[str, Any] = {}, policy: Policy = BENCH) -> dict[str, Finding]:
    """Findings of the example by id; the columns have to say the same."""
    role: Role = LINK_ROLES[module.ROLE]
    facts: dict[str, Any] = dict.fromkeys(role.facts)
    for name in role.facts:
        if name.startswith("k_"):
            facts[name] = policy.value(name[2:])
        elif name.startswith("assumed_"):
            facts[name] = policy.assumption(name[8:])
    facts |= {**module.FACTS, **changes}
    findings = {f.id: f for f in explain(role, None, {k: Fact(v) for k, v in facts.items()}, TIGHT)}
    judged = judge_columns(role, {}, facts, 1, TIGHT)
    assert judged.ids == tuple(findings)
    for id_, verdict, headroom in zip(judged.ids, judged.verdicts[:, 0], judged.headrooms[:, 0], strict=True):
        assert findings[id_].verdict == verdict, id_
        assert headroom == pytest.approx(findings[id_].headroom, nan_ok=True, rel=1e-9, abs=1e-12), id_
    return findings


# ---- the edges


@pytest.mark.parametrize("module", [cable, track, load, ground])
def test_every_requirement_has_an_example_and_the_base_meets(module: ModuleType) -> None:
    found = both(module)
    assert set(module.EXAMPLES) == set(found) == set(LINK_ROLES[module.ROLE].requirements)
    assert all(finding.verdict in GOOD for finding in found.values())


@pytest.mark.parametrize(("module", "id_"), CASES)
def test_edge(module: ModuleType, id_: str) -> None:
    example = module.EXAMPLES[id_]
    name = example.vary.removeprefix("fact:")
    assert both(module, {name: example.meets})[id_].verdict in GOOD
    assert both(module, {name: example.fails})[id_].verdict is Verdict.FAILS
    assert abs(example.meets / example.fails - 1) <= 0.02
    blank = both(module, {example.missing.removeprefix("fact:"): math.nan})[id_]
    assert blank.verdict is Verdict.UNPROVEN
    assert blank.story.missing


@pytest.mark.parametrize(
    ("module", "fact", "id_"),
    [
        (cable, "wire_allowed", "wire-current"), (cable, "least_voltage", "wire-drop"),
        (cable, "fault_current", "fault-current"), (cable, "wire_allowed", "fault-current"),
        (ground, "ground_lift", "ground-lift"), (load, "least_voltage", "least-voltage"),
        (track, "spacing", "clearance"),
        (track, "clearance_needed", "clearance"), (track, "fault_current", "fault-current"),
    ],
)  # fmt: skip
def test_what_the_board_does_not_state_is_not_asked(module: ModuleType, fact: str, id_: str) -> None:
    assert id_ not in both(module, {fact: None})


# ---- on a board

BOARD = """
format = 1
name = "bench"
[surroundings]
ambient = "0..45 °C"
[limits]
ground_lift = "50 mV"
clearance_column = "B2"
[rail.V12]
voltage = "12 V ±5 %"
fault_current = "4 A"
feed = {{ length = "2 m", wire = "1.5 mm2", table = "power-transmission" }}
[rail.V5]
voltage = "5 V"
[chip.U1]
supply = "V5"
[drive.d]
chip = "U1"
high = "5 V"
low = "0..0.4 V"
source_resistance = "50 Ω"
[load.heater]
sort = "resistive"
rail = "V12"
resistance = "10 Ω ±5 %"
least_voltage = "10 V"
chopped = {{ frequency = "1 kHz", duty = "0..0.25" }}
cable = {{ length = "5 m", wire = "{wire}", {more} }}
[role.Q1]
role = "mosfet-switch"
drive = "d"
load = "heater"
lift = "30 mV"
[track.back]
width = "2 mm"
thickness = "30 µm"
{length}
rail = "V12"
spacing = "0.5 mm"
[track.out]
width = "{width}"
thickness = "30 µm"
length = "40 mm"
layer = "internal"
load = "heater"
"""


class Driven(Situation):
    """A situation in which the switch drops 100 mV."""

    def quantity(self, ref: str, name: str) -> Fact:
        return Fact(0.1, ref) if name == "on_drop_hot" else super().quantity(ref, name)


def board(**values: str) -> Board:
    stated = {"wire": "0.5 mm2", "more": 'rating = "3 A"', "length": 'length = "60 mm"', "width": "1 mm"}
    return parse_board(BOARD.format(**{**stated, **values}), Path("bench.toml")).board


def links(made: Board, policy: Policy = BENCH) -> dict[str, dict[str, Finding]]:
    found = {}
    for name, role, facts in Driven(made, {}, policy).links():
        found[name] = {finding.id: finding for finding in explain(role, None, facts, TIGHT)}
    return found


def test_names_and_requirements_of_a_board() -> None:
    found = links(board())
    assert {name: set(made) for name, made in found.items() if not name.startswith(("rail", "chip"))} == {
        "cable heater": {"wire-current", "wire-drop", "fault-current"},
        "load heater": {"least-voltage"},
        "ground": {"ground-lift"},
        "feed V12": {"wire-current", "fault-current"},
        "track back": {"track-rise", "clearance", "fault-current"},
        "track out": {"track-rise", "fault-current"},
    }


def test_drop_of_a_wire_by_hand() -> None:
    drop = links(board())["cable heater"]["wire-drop"].compared[0]
    # at the least rail 11.4 V over 9.5 Ω; twice 5 m of 39 mΩ/m (IEC 60228, class 5, 0.5 mm²), 18 % more at 65 °C
    ohms, amperes = 10 * 0.039 * (1 + 0.004 * 45), 11.4 / 9.5
    assert drop.demand == pytest.approx(amperes * ohms, rel=0.025)
    assert drop.demand >= amperes * ohms
    feed = 2 * 2 * 0.0133 * (1 + 0.004 * 45)
    # the feed, the switch, and two tracks in series: 57 mV, more than the lift of 30 mV stated for them
    tracks = 1.7241e-8 * (0.06 / 60e-9 + 0.04 / 30e-9) * (1 + 0.004 * 45)
    assert drop.capability == pytest.approx(11.4 - amperes * (feed + tracks) - 0.1 - 10, rel=1e-3)


@pytest.mark.parametrize("kind", CONDUCTOR_RESISTANCE)
def test_no_wire_of_the_standard_has_more_resistance(kind: str) -> None:
    """IEC 60228 as reprinted, brought to 70 °C by its 0.833: ours is above, by 6 % at most if flexible."""
    for area, per_metre in CONDUCTOR_RESISTANCE[kind].items():
        hot = 'temperature = "20..70 °C"'
        (ref,) = [f for name, _, f in Situation(board(wire=f"{area * 1e6} mm2", more=hot), {}, BENCH).links()
                  if name == "cable heater"]  # fmt: skip
        ours, theirs = ref["resistance"].value, 10 * per_metre / 0.833
        assert theirs <= ours * 1.001
        assert kind != "class 5" or ours <= 1.06 * theirs


def test_random_wires_stay_under_the_largest_resistance_and_drop() -> None:
    rng = np.random.default_rng(2)
    worst = links(board())["cable heater"]["wire-drop"].compared[0].demand
    most = 0.0
    for _ in range(2000):
        copper, excess = rng.uniform(273.15, 338.15), rng.uniform(1.0, 39 * 0.5 / 17.241)
        wire = 2 * excess * float(conductors.copper_resistance(5.0, 0.5e-6, copper))  # type: ignore[arg-type]
        ohms = rng.uniform(9.5, 10.5)
        most = max(most, 11.4 * wire / (ohms + wire + 0.05))
    assert most <= worst
    assert most >= 0.9 * worst  # the wire itself lowers the current: 4 % of that


def test_a_chopped_load_counts_in_full_in_its_cable_and_effective_in_the_feed() -> None:
    found = links(board())
    amperes = 12.6 / 9.5
    assert found["cable heater"]["wire-current"].compared[0].demand == pytest.approx(amperes)
    feed = found["feed V12"]["wire-current"].compared[0].demand
    assert amperes / 2 <= feed < 1.01 * amperes / 2  # and what one pulse warms the copper
    rise = conductors.track_rise(amperes, 1e-3 * 30e-6, conductors.TRACK_INSIDE)
    assert found["track out"]["track-rise"].compared[0].demand == pytest.approx(rise)
    lift = found["ground"]["ground-lift"].compared[0]
    copper = 1.7241e-8 * (0.06 / 60e-9 + 0.04 / 30e-9) * (1 + 0.004 * 45)
    assert lift.demand == pytest.approx(amperes * copper)  # the peak, not the effective current


def allowed(more: str, wire: str = "0.5 mm2") -> float:
    return links(board(more=more, wire=wire))["cable heater"]["wire-current"].compared[0].capability


def test_what_a_wire_may_carry() -> None:
    assert allowed('rating = "3 A", table = "chassis"') == 3.0  # typed goes before the table
    assert allowed('table = "chassis"', "0.9 mm2") == 16.0  # as printed for AWG 18, the next smaller gauge
    assert allowed('table = "chassis"', "0.8 mm2") == 11.0  # AWG 20, not between
    # MIL-STD-975M Appendix A section 3.16: single wire 4.5 A at AWG 22, (29 − 2)/28 for two in a bundle
    single = 'table = "mil-std-975m-single", path = "single", insulation = '
    assert allowed('table = "mil-std-975m-single", insulation = "200 °C"', "22 AWG") == pytest.approx(4.5 * 27 / 28)
    assert allowed(single + '"200 °C"', "22 AWG") == pytest.approx(4.5)
    assert allowed(single + '"150 °C"', "22 AWG") == pytest.approx(4.5 * 0.8)  # the same section: for 200 °C only
    assert allowed(single + '"105 °C"', "22 AWG") == pytest.approx(4.5 * 0.5)
    assert math.isnan(allowed(single + '"80 °C"', "22 AWG"))  # below the lowest insulation of the table
    assert math.isnan(allowed('table = "mil-std-975m-single"', "22 AWG"))  # an insulation that nobody stated
    assert math.isnan(allowed('table = "chassis"', "0.04 mm2"))  # below the smallest gauge of the table
    text = LINK_ROLES["cable"].requirements["wire-current"].reading
    assert "local wiring rules decide" in text


def test_a_cable_without_rating_or_table_is_not_asked_for_its_current() -> None:
    assert set(links(board(more='path = "round-trip"'))["cable heater"]) == {"wire-drop"}


# ---- tracks


@pytest.mark.parametrize(("layer", "mils"), [("external", 11.8), ("internal", 30.8)])
def test_the_printed_track_warms_by_10_kelvin(layer: str, mils: float) -> None:
    """1 A through 11.8 mil (30.8 mil inside) of 1.378 mil copper: IPC-2221 section 6.2 as reprinted."""
    factor = conductors.TRACK_OUTSIDE if layer == "external" else conductors.TRACK_INSIDE
    changes = {
        "width": mils * 25.4e-6,
        "thickness": 1.378 * 25.4e-6,
        "heating_current": 1.0,
        "fit_factor": factor,
    }
    assert both(track, changes)["track-rise"].compared[0].demand == pytest.approx(10.0, rel=0.01)


def test_an_outer_track_carries_no_more_than_newer_charts_allow() -> None:
    """ECSS-Q-ST-70-12C Annex D: the inside fit gives 70 % of the newer chart, so the outside fit, twice that, 1.4 times."""
    allowed = conductors.TRACK_NEWER * conductors.TRACK_OUTSIDE
    assert allowed <= conductors.TRACK_INSIDE / 0.7
    assert allowed > 0.97 * conductors.TRACK_INSIDE / 0.7


def test_the_fit_is_not_used_beyond_its_ends() -> None:
    assert both(track, {"width": 10.1e-3})["track-rise"].verdict is Verdict.UNPROVEN
    assert both(track, {"width": 9.9e-3, "heating_current": 35.1})["track-rise"].verdict is Verdict.UNPROVEN
    assert both(track, {"rise_allowed": 120.0})["track-rise"].verdict is Verdict.UNPROVEN
    assert both(track, {"heating_current": 8.0})["track-rise"].verdict is Verdict.FAILS  # above 100 K: too hot


@pytest.mark.parametrize("policy", [DATASHEET, NASA], ids=lambda policy: policy.name)
def test_the_fit_proves_nothing_unless_it_is_assumed(policy: Policy) -> None:
    found = links(board(), policy)["track back"]
    assert found["track-rise"].verdict is found["fault-current"].verdict is Verdict.UNPROVEN
    assert "track_fit" in " ".join(found["track-rise"].story.missing)
    assumed = links(board())["track back"]["track-rise"]
    assert assumed.verdict is Verdict.MEETS
    assert "track_fit" in " ".join(assumed.story.assumed)


def test_rise_is_not_square_in_current() -> None:
    at = [both(track, {"heating_current": amperes})["track-rise"].compared[0].demand for amperes in (1.0, 2.0)]
    assert at[1] / at[0] == pytest.approx(2 ** (1 / 0.44))
    assert at[1] / at[0] > 4.5  # a square law would be optimistic


def test_a_fault_may_not_overheat_the_laminate() -> None:
    fault = both(track)["fault-current"].compared[0]
    assert fault.capability == pytest.approx(130 - 45)
    assert both(track, {"ambient_max": 293.15})["fault-current"].compared[0].capability == 100.0  # end of the fit


def test_a_return_without_its_length_leaves_the_lift_unproven() -> None:
    found = links(board(length=""))["ground"]["ground-lift"]
    assert found.verdict is Verdict.UNPROVEN
    assert found.story.missing == ("track.back.length",)


def test_a_track_that_is_too_warm_is_read_at_the_temperature_it_reaches() -> None:
    amperes, area = 12.6 / 9.5, 0.6e-3 * 30e-6
    rise = float(conductors.track_rise(amperes, area, conductors.TRACK_INSIDE))  # type: ignore[arg-type]
    assert 35 < rise < 45  # more than the 20 K that the board allows
    found = links(board(width="0.6 mm"))
    assert found["track out"]["track-rise"].verdict is Verdict.FAILS
    lift = found["ground"]["ground-lift"].compared[0].demand
    copper = 1.7241e-8 * (0.06 / 60e-9 * (1 + 0.004 * 45) + 0.04 / area * (1 + 0.004 * (25 + rise)))
    assert lift == pytest.approx(amperes * copper)
    # where the fit ends nobody knows how warm it is
    unknown = links(board(width="0.3 mm"))["ground"]["ground-lift"]
    assert unknown.verdict is Verdict.UNPROVEN
    assert "track out" in " ".join(unknown.story.missing)


def test_the_drop_of_a_wire_that_carries_more_than_it_may_is_unproven() -> None:
    found = links(board(more='rating = "1 A"'))
    assert found["cable heater"]["wire-current"].verdict is Verdict.FAILS
    for ref, id_ in (("cable heater", "wire-drop"), ("load heater", "least-voltage")):
        assert found[ref][id_].verdict is Verdict.UNPROVEN
        assert found[ref][id_].story.missing == ("how hot cable heater gets with more current than it may carry",)


def test_clearance_at_the_highest_voltage_of_the_board() -> None:
    made = board()
    made.load["heater"].cable = made.rail["V12"].feed = None  # whose inductance would lift the open switch
    gap = links(made)["track back"]["clearance"].compared[0]
    assert gap.demand == pytest.approx(0.64e-3)  # B2 in ANSI/IPC-D-275, wider than the 0.1 mm of IPC-2221
    newer = made.model_copy(deep=True)
    newer.limits.clearance_table = "ipc-2221"
    assert links(newer)["track back"]["clearance"].compared[0].demand == pytest.approx(0.1e-3)


# ---- monotony


BETTER = {
    "cable": {
        "wire_allowed": 1.3, "resistance": 0.8, "left_to_wire": 1.1, "heating_current": 0.7, "fault_current": 0.8,
        "least_voltage": 0.9,
    },
    "track": {
        "width": 1.3, "thickness": 1.3, "heating_current": 0.8, "spacing": 1.2, "clearance_needed": 0.8,
        "rise_allowed": 1.3, "fault_current": 0.8,
    },
}  # fmt: skip


@pytest.mark.parametrize("module", [cable, track])
def test_a_better_link_is_not_judged_worse_and_readings_agree(module: ModuleType) -> None:
    rng = np.random.default_rng(6)
    fixed = ("fit_", "kelvin", "square_mil", "ampere", "ambient_max", "laminate_limit")
    seen = set()
    for _ in range(15):
        base = {n: v * rng.uniform(0.5, 2) for n, v in module.FACTS.items() if not n.startswith(fixed)}
        blank = {n: math.nan for n in base if rng.random() < 0.1}
        before = both(module, {**base, **blank})
        seen |= {finding.verdict for finding in before.values()}
        for name, factor in BETTER[module.ROLE].items():
            after = both(module, {**base, name: base[name] * factor, **blank})
            assert all(after[id_].verdict >= before[id_].verdict for id_ in before), name
    assert seen >= {Verdict.FAILS, Verdict.UNPROVEN, Verdict.MEETS}
