"""The NPN low-side sink: edges, transistors solved inside the corners, traps, published parts, two readings."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck.board.read import parse_board
from partcheck.parameters import KINDS
from partcheck.parts.part import Part, point_table
from partcheck.physics import gain
from partcheck.points import EMPTY, PointTable
from partcheck.policy import BENCH, DATASHEET, Policy
from partcheck.readings.explain import Finding, explain, open_views
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.situation.situation import Situation
from tests.examples.roles import npn_sink as examples

ROLE = ROLES["npn-sink"]
K0, T25 = 273.15, 298.15
K_Q = 8.617333e-5
PASS = (Verdict.MEETS, Verdict.TIGHT)


def facts_of(changes: Mapping[str, Any] = {}, policy: Policy = BENCH) -> dict[str, Any]:
    made: dict[str, Any] = {**dict.fromkeys(ROLE.facts), **examples.FACTS, **changes}
    for name in ROLE.facts:
        if name.startswith("k_"):
            made[name] = policy.value(name[2:])
        elif name.startswith("assumed_"):
            made[name] = policy.assumption(name[8:])
    return made


def changed(part: Part, values: Mapping[str, Any] = {}, **tables: Any) -> Part:
    """The part with other values, and other tables given as lists of rows."""
    made = {
        name: rows if isinstance(rows, PointTable) else point_table("bjt", name, rows) for name, rows in tables.items()
    }
    return Part("bjt", part.part_number, part.maker, {**part.values, **values}, {**part.tables, **made})


def judged(part: Part, facts: Mapping[str, Any]) -> dict[str, Finding]:
    """Findings by id; the columns have to say the same."""
    told = {k: Fact(v, assumed=(k,) if k.startswith("assumed_") else ()) for k, v in facts.items()}
    findings = {f.id: f for f in explain(ROLE, part, told, 0.1)}
    columns = judge_columns(ROLE, columns_of("bjt", [part]), facts, 1, 0.1)
    assert columns.ids == tuple(findings)
    for i, id_ in enumerate(columns.ids):
        assert columns.verdicts[i, 0] == findings[id_].verdict, id_
        assert columns.headrooms[i, 0] == pytest.approx(findings[id_].headroom, rel=1e-9, abs=1e-12, nan_ok=True), id_
    return findings


def number(part: Part, facts: Mapping[str, Any], name: str) -> float:
    p, _ = open_views(ROLE, part, {k: Fact(v) for k, v in facts.items()})
    return float(getattr(p, name).value)


# ---- the edges


@pytest.mark.parametrize("id_", examples.EXAMPLES)
def test_edge(id_: str) -> None:
    example = examples.EXAMPLES[id_]
    base = changed(examples.PART, example.values, **example.tables)
    for value, passes in ((example.meets, True), (example.fails, False)):
        part, facts = base, facts_of(example.facts)
        if isinstance(example.vary, tuple):
            table, row, column = example.vary
            columns = {name: list(cells) for name, cells in part.tables[table].columns.items()}
            columns[column][row] = value
            part = changed(part, **{table: PointTable({k: tuple(v) for k, v in columns.items()})})
        elif example.vary.startswith("fact:"):
            facts[example.vary[5:]] = value
        else:
            part = changed(part, {example.vary: value})
        assert (judged(part, facts)[id_].verdict in PASS) is passes


def test_the_example_part_meets_everything() -> None:
    assert all(f.verdict in PASS for f in judged(examples.PART, facts_of()).values())


@pytest.mark.parametrize(
    ("fact", "id_"),
    [("pin_limit", "pin-current"), ("allowed_drop", "saturation"), ("drive_floats", "undriven-base"),
     ("off_leakage", "off-leakage"), ("inrush_current", "inrush"), ("turnoff_voltage", "turnoff-locus"),
     ("footprint", "package"), ("pins", "pin-order")],
)  # fmt: skip
def test_a_demand_that_the_board_does_not_state_is_not_asked(fact: str, id_: str) -> None:
    assert id_ not in judged(examples.PART, facts_of({fact: None}))


# ---- a transistor: Gummel-Poon's transport equations with high injection and the three series resistances


@dataclass(frozen=True)
class Transistor:
    """One piece. ``i_s`` A at 25 °C, gains, ``knee`` A of high injection, series resistances Ω."""

    i_s: float
    forward: float
    reverse: float
    knee: float
    rb: float
    rc: float
    re: float

    def at(self, temperature: float) -> "Transistor":
        """Gain grows with T to the power 1.5; the junction falls near 2 mV/K (1.12 eV, T cubed)."""
        t = temperature / T25
        i_s = self.i_s * t**3 * math.exp(1.12 / K_Q * (1 / T25 - 1 / temperature))
        return Transistor(i_s, self.forward * t**1.5, self.reverse, self.knee, self.rb, self.rc, self.re)

    def gain(self, ic: float) -> float:
        return self.forward / (1 + ic / self.knee)

    def vbe_active(self, ic: float, temperature: float) -> float:
        ib = ic / self.gain(ic)
        return K_Q * temperature * math.log(ic * (1 + ic / self.knee) / self.i_s) + ib * self.rb + (ic + ib) * self.re

    def driven(self, ic: float, ib: float, temperature: float) -> tuple[float, float]:
        """Base-emitter and collector-emitter voltage; the second infinite where it cannot carry ``ic``."""
        vt = K_Q * temperature

        def forward(y: float) -> float:
            return self.forward * (ib - y / self.reverse)

        def left(y: float) -> float:
            x = forward(y)
            injection = (1 + math.sqrt(1 + 4 * x / self.knee)) / 2
            return (x - y) / injection - y / self.reverse - ic

        series = ib * self.rb + (ic + ib) * self.re
        if left(0.0) <= 0:
            return vt * math.log(max(self.forward * ib, 1e-30) / self.i_s) + series, math.inf
        y = brentq(left, 0.0, ib * self.reverse * (1 - 1e-12), xtol=1e-18)
        x = forward(y)
        vbe = vt * math.log(x / self.i_s) + series
        return vbe, (vt * math.log(x / y) if y > 0 else math.inf) + ic * self.rc + (ic + ib) * self.re


SPREAD = {"i_s": 2.0, "forward": 1.7, "reverse": 2.0, "knee": 1.2, "rb": 1.3, "rc": 1.3, "re": 1.3}
TYPICAL = {"i_s": 2e-14, "forward": 180.0, "reverse": 4.0, "knee": 0.15, "rb": 20.0, "rc": 0.8, "re": 0.3}


def piece(centre: Mapping[str, float], ends: Any) -> Transistor:
    return Transistor(**{k: centre[k] * SPREAD[k] ** end for k, end in zip(SPREAD, ends, strict=True)})


def datasheet(centre: Mapping[str, float]) -> Part:
    """What a maker would state: the worst piece at each test point."""
    corners = [piece(centre, ends) for ends in product((-1, 1), (-1, 1), (-1, 1), (-1, 1), (1,), (1,), (1,))]
    low, high = list(corners), piece(centre, (1, 1, -1, 1, -1, -1, -1))
    sat = [(0.01, 0.001), (0.05, 0.005), (0.1, 0.01)]
    driven = {row: [c.driven(*row, T25) for c in low] for row in sat}
    cold = {t: (t / T25) ** 1.5 for t in (218.15, 238.15, 258.15, 278.15)}
    return changed(
        examples.PART,
        hfe=[{"ic": ic, "vce": 1.0, "min": min(c.gain(ic) for c in low), "max": max(c.gain(ic) for c in low)}
             for ic in (0.001, 0.01, 0.03, 0.1)],
        hfe_factor=[{"tj": t, "min": f, "max": f} for t, f in cold.items()] + [{"tj": 473.15, "min": 1.0, "max": 2.1}],
        vce_sat=[{"ic": ic, "ib": ib, "max": max(v[1] for v in driven[ic, ib])} for ic, ib in sat],
        vbe_sat=[{"ic": ic, "ib": ib, "max": max(v[0] for v in driven[ic, ib])} for ic, ib in sat],
        vbe_on=[{"ic": 0.002, "vce": 5.0, "min": high.vbe_active(0.002, T25), "max": 0.8}],
    )  # fmt: skip


RANDOM = np.random.default_rng(20240611)


def within(low: float, high: float) -> float:
    """A value inside a range, its ends as likely as its middle."""
    return float(RANDOM.choice([low, high, RANDOM.uniform(low, high)]))


def some_centre() -> dict[str, float]:
    return {k: v * float(np.exp(RANDOM.uniform(-0.4, 0.4))) for k, v in TYPICAL.items()}


def some_circuit() -> dict[str, Any]:
    ohms, shunt = (
        float(np.exp(RANDOM.uniform(math.log(330), math.log(6800)))),
        float(RANDOM.choice([1e12, 1e4, 3300.0])),
    )
    stated_at = float(RANDOM.choice([0.0, 0.002]))
    high = float(RANDOM.choice([3.0, 4.5]))
    load = float(np.exp(RANDOM.uniform(math.log(0.003), math.log(0.09))))
    return facts_of(
        {"base_resistor_min": 0.95 * ohms, "base_resistor_max": 1.05 * ohms, "drive_high_min": high,
         "drive_high_max": high + 0.6, "high_at": stated_at, "source_min": 20.0, "source_max": 120.0,
         "base_emitter_min": 0.95 * shunt, "base_emitter_max": 1.05 * shunt, "lift": 0.1, "load_current": load,
         "heat_current": load, "ambient_min": float(RANDOM.choice([233.15, 263.15, 303.15])), "ambient_max": 333.15}
    )  # fmt: skip


def solved(
    t: Transistor, temperature: float, ic: float, level: float, r: float, rs: float, holds: float, rbe: float
) -> Any:
    """Base current, base-emitter and collector-emitter voltage of the circuit, by Kirchhoff's laws."""
    hot = t.at(temperature)

    def left(ib: float) -> float:
        vbe = hot.driven(ic, ib, temperature)[0]
        drawn = ib + vbe / rbe
        return level - max(drawn - holds, 0.0) * rs - drawn * r - vbe

    ib = brentq(left, 1e-12, 0.05, xtol=1e-14)
    return ib, *hot.driven(ic, ib, temperature)


def one_piece(centre: Mapping[str, float], f: Mapping[str, Any]) -> Any:
    """A random piece in a random circuit inside the corners, at full load."""
    t = piece(centre, [within(-1, 1) for _ in SPREAD])
    level = within(f["drive_high_min"], f["drive_high_max"]) - within(0, f["lift"])
    r, rs = within(f["base_resistor_min"], f["base_resistor_max"]), within(f["source_min"], f["source_max"])
    return t, level, r, rs, within(f["base_emitter_min"], f["base_emitter_max"])


def test_no_piece_gets_less_base_current_or_drops_more_than_the_corners() -> None:
    nearest, drops, carried = math.inf, [], 0
    for _ in range(50):
        centre, f = some_centre(), some_circuit()
        part = datasheet(centre)
        least, drop, tj = (number(part, f, q) for q in ("base_current_min", "on_drop_hot", "tj_hot"))
        holds = least == least and least > 0 and judged(part, f)["gain"].verdict in PASS
        for _ in range(12):
            t, level, r, rs, rbe = one_piece(centre, f)
            temperature = within(f["ambient_min"], min(tj, 420.0)) if tj == tj else f["ambient_min"]
            ib, vbe, vce = solved(t, temperature, f["load_current"], level, r, rs, f["high_at"], rbe)
            if vce < math.inf:  # the row of vbe_sat is for a saturated transistor
                assert ib >= least * 0.999
                nearest = min(nearest, ib / least) if least > 0 else nearest
            if holds:
                carried += 1
                assert vce <= drop * 1.001
                drops.append(vce / drop)
                assert vce * f["load_current"] + vbe * ib <= number(part, f, "dissipation") * 1.001
    assert carried > 150
    assert nearest < 1.08
    assert max(drops) > 0.6  # the drop is brought to the hottest junction, which few pieces reach


def test_base_current_max_is_not_exceeded_by_any_piece_with_or_without_its_load() -> None:
    nearest = math.inf
    for _ in range(40):
        centre, f = some_centre(), some_circuit()
        part = datasheet(centre)
        most, tj = number(part, f, "base_current_max"), number(part, f, "tj_peak")
        for _ in range(12):
            t, level, r, rs, _ = one_piece(centre, {**f, "lift": 0.0})
            ic = f["load_current"] * float(RANDOM.choice([0.0, 0.5, 1.0]))
            temperature = within(f["ambient_min"], tj) if tj < 400 else f["ambient_min"]
            ib, _, _ = solved(t, temperature, ic, level, r, rs, f["high_at"], 1e12)
            assert ib <= most * 1.003
            nearest = min(nearest, most / ib)
    assert nearest < 1.06


def off_current(t: Transistor, temperature: float, level: float, r: float, rbe: float, icbo: float) -> float:
    """Collector current of a transistor whose base is held at ``level`` through ``r``, with leakage into the base."""
    hot, vt = t.at(temperature), K_Q * temperature

    def left(vbe: float) -> float:
        return (level - vbe) / r + icbo - vbe / rbe - hot.i_s * (math.exp(vbe / vt) - 1) / hot.forward

    vbe = brentq(left, -1.0, 1.2, xtol=1e-12)
    return hot.i_s * (math.exp(vbe / vt) - 1) + icbo


def test_what_stays_off_carries_no_more_than_counts_as_off() -> None:
    """Lowest stated base-emitter voltage, hot, and leakage: 20 % for a junction that falls a little over 2 mV/K."""
    met = 0
    for _ in range(120):
        centre, f = some_centre(), some_circuit()
        f |= {"drive_low_max": float(RANDOM.uniform(0, 0.4)), "ambient_max": float(RANDOM.uniform(300, 360)),
              "off_current": float(RANDOM.choice([1e-5, 1e-4])), "base_emitter_min": 1e5, "base_emitter_max": 1e5,
              "hold_max": 1e5}  # fmt: skip
        part = datasheet(centre)
        findings = judged(part, f)
        tj, icbo = number(part, f, "tj_peak"), number(part, f, "icbo_hot")
        t = piece(centre, (1, 1, 1, 1, 0, 0, 0))
        low = f["drive_low_max"] + f["noise"]
        if findings["stays-off"].verdict in PASS:
            met += 1
            at_drive = off_current(t, tj, low, f["base_resistor_min"] + f["source_min"], f["base_emitter_max"], icbo)
            assert at_drive <= 1.25 * f["off_current"] + icbo
        if findings["undriven-base"].verdict in PASS:
            assert off_current(t, tj, 0.0, 1e12, f["base_emitter_max"], icbo) <= 1.25 * f["off_current"] + icbo
    assert met > 20


def test_leakage_of_an_open_base_is_not_above_what_is_said() -> None:
    part, f = examples.PART, facts_of({"base_emitter_max": math.inf, "hold_max": math.inf, "drive_floats": 1.0})
    icbo, said = number(part, f, "icbo_hot"), number(part, f, "off_leakage_hot")
    assert said >= gain.common_emitter_leakage(icbo, 300.0)
    t = Transistor(2e-14, 300.0, 4.0, 0.15, 20.0, 0.8, 0.3)
    assert off_current(t, T25, 0.0, 1e15, 1e15, icbo) <= said * 1.001


def test_largest_and_least_base_resistor_are_the_edges_of_their_requirements() -> None:
    for _ in range(60):
        f, part = some_circuit(), examples.PART
        largest, least = number(part, f, "base_resistor_largest"), number(part, f, "base_resistor_least")
        if largest == largest and largest > 10:
            assert judged(part, f | {"base_resistor_max": largest * 0.999})["gain"].verdict in PASS
            assert judged(part, f | {"base_resistor_max": largest * 1.001})["gain"].verdict not in PASS
        for factor, passes in ((1.02, True), (0.85, False)):  # more current lifts the base-emitter voltage a little
            found = judged(part, f | {"base_resistor_min": least * factor, "base_resistor_max": least * 1.1})
            both = found["base-current"].verdict in PASS and found["pin-current"].verdict in PASS
            assert both is passes


# ---- traps


def test_a_base_emitter_voltage_of_0_7_v_is_not_assumed() -> None:
    """At 3.3 V logic the stated 0.85 V, cold 0.92 V, leaves 8 % less base current than 0.7 V would."""
    f = facts_of({"drive_high_min": 3.0, "lift": 0.0, "load_current": 0.009, "base_emitter_min": 1e12})
    said = number(examples.PART, f, "base_current_min")
    naive = (3.0 - 0.7) / (f["base_resistor_max"] + f["source_max"])
    assert said == pytest.approx((3.0 - 0.85 - 0.07) / 1635 if (3.0 - 0.92) / 1635 < 0.0005 else said)
    row = changed(examples.PART, vbe_sat=[{"ic": 0.01, "ib": 0.01, "max": 0.85}])
    assert number(row, f, "base_current_min") == pytest.approx((3.0 - 0.85 - 0.07) / 1635)
    assert number(row, f, "base_current_min") < 0.92 * naive


def test_gain_is_read_at_the_load_current_and_not_beyond_the_last_point() -> None:
    f = facts_of({"ambient_min": T25})
    at_40 = 100.0 ** (1 - math.log(4) / math.log(10)) * 40.0 ** (math.log(4) / math.log(10))
    assert number(examples.PART, f, "hfe_cold") == pytest.approx(at_40)
    beyond = judged(examples.PART, facts_of({"load_current": 0.11}))["gain"]
    assert beyond.verdict is Verdict.UNPROVEN


def test_under_the_first_stated_current_only_its_base_current_is_sure() -> None:
    f = facts_of({"ambient_min": T25, "load_current": 0.0005})
    assert number(examples.PART, f, "hfe_cold") == pytest.approx(30.0)


def test_a_harder_driven_row_does_not_prove_the_drop() -> None:
    """Forced gain 20 against rows at 5: the line to the edge, not the 0.2 V of the row."""
    part = changed(examples.PART, vce_sat=[{"ic": 0.05, "ib": 0.01, "max": 0.2}])
    f = facts_of({"ambient_max": T25, "ambient_min": T25})
    assert number(part, f, "forced_gain") > 19
    line = gain.saturation_line(number(part, f, "forced_gain"), 5.0, 0.2, number(part, f, "hfe_cold"), 1.0)
    assert 0.3 < number(part, f, "sat_drop") < line
    far = changed(part, hfe=[{"ic": row.ic, "vce": 10.0, "min": row.min} for row in part.tables["hfe"].rows()])
    line = gain.saturation_line(number(part, f, "forced_gain"), 5.0, 0.2, number(part, f, "hfe_cold"), 10.0)
    assert number(far, f, "sat_drop") == pytest.approx(line), "a gain at 10 V says nothing of saturation"


def test_a_gain_row_of_more_current_ends_the_line_at_the_gain_it_guarantees_here() -> None:
    """50 at 150 mA and 1 V: its 3 mA carry 100 mA too, a gain of 33 here, not 50; the row at 10 V ends far higher."""
    part = changed(
        examples.PART,
        hfe=[{"ic": 0.02, "vce": 10.0, "min": 75.0}, {"ic": 0.15, "vce": 1.0, "min": 50.0}],
        vce_sat=[{"ic": 0.15, "ib": 0.015, "max": 0.3}],
        vbe_sat=[{"ic": 0.15, "ib": 0.015, "max": 1.3}],
    )
    f = facts_of({"load_current": 0.1, "heat_current": 0.1, "ambient_min": T25, "base_resistor_min": 500.0,
                  "base_resistor_max": 505.0, "base_emitter_min": 1e12})  # fmt: skip
    forced = number(part, f, "forced_gain")
    assert 15 < forced < 33
    line = 0.3 + 0.7 * (forced - 10) / (100 / 3 - 10)
    grown = math.log((1 + forced) / 11) - math.log(1 - forced * (1 + 1 / (1000 * K_Q * T25)) / (100 / 3))
    assert number(part, f, "sat_drop") == pytest.approx(min(line, 0.3 + 3 * K_Q * T25 * grown))


def test_what_else_hangs_on_the_output_counts_against_its_limit() -> None:
    shared = facts_of({"drive_other": 0.006})
    found = judged(examples.PART, shared)["pin-current"]
    assert found.verdict is Verdict.FAILS
    assert found.compared[0].demand == pytest.approx(number(examples.PART, shared, "base_current_max") + 0.006)


def test_a_row_at_a_gain_of_20_counts_where_the_circuit_forces_15() -> None:
    """Saturation does not mean a gain of 10 (Fairchild BC546-550, 2002, states it at 20)."""
    f = facts_of({"load_current": 0.03, "heat_current": 0.03})
    assert 10 < number(examples.PART, f, "forced_gain") < 20
    assert number(examples.PART, f, "sat_drop") <= 0.3


def test_beyond_the_edge_of_saturation_the_whole_rail_drops() -> None:
    f = facts_of({"base_resistor_min": 9500.0, "base_resistor_max": 10500.0})
    found = judged(examples.PART, f)
    assert found["gain"].verdict is Verdict.FAILS
    assert found["saturation"].verdict is Verdict.FAILS
    assert number(examples.PART, f, "sat_drop") == f["rail_max"]


def test_without_any_base_current_nothing_passes() -> None:
    """A negative forced gain must not look like a hard drive."""
    f = facts_of({"drive_high_min": 0.7})
    assert number(examples.PART, f, "base_current_min") < 0
    found = judged(examples.PART, f)
    assert found["gain"].verdict is Verdict.FAILS
    assert found["saturation"].verdict is Verdict.FAILS


def test_the_source_resistance_and_the_base_emitter_resistor_take_their_share() -> None:
    plain = number(examples.PART, facts_of({"source_max": 0.0, "base_emitter_min": 1e12}), "base_current_min")
    source = number(examples.PART, facts_of({"base_emitter_min": 1e12, "source_max": 600.0}), "base_current_min")
    shunt = number(examples.PART, facts_of({"source_max": 0.0, "base_emitter_min": 2000.0}), "base_current_min")
    assert source == pytest.approx(plain * 1575 / 2175)
    assert shunt == pytest.approx(plain - (0.95 + 0.07) / 2000)


def test_a_level_holds_only_up_to_the_current_it_is_stated_at() -> None:
    alone = facts_of({"high_at": 0.003, "source_max": math.nan})
    assert judged(examples.PART, alone)["gain"].verdict in PASS
    shared = {**alone, "drive_other": 0.0015}
    assert judged(examples.PART, shared)["gain"].verdict is Verdict.UNPROVEN
    assert judged(examples.PART, {**shared, "source_max": 60.0})["gain"].verdict in PASS


def test_room_temperature_gain_is_not_used_in_the_cold() -> None:
    bare = changed(examples.PART, hfe_factor=EMPTY)
    f = facts_of()
    assert number(bare, f, "cold_factor") == pytest.approx(1 - 0.55 * 35 / 80)
    found = judged(bare, f)["gain"]
    assert any("hfe_factor" in text for text in found.story.assumed)
    assert judged(bare, facts_of(policy=DATASHEET))["gain"].verdict is Verdict.UNPROVEN
    assert number(bare, facts_of({"ambient_min": 300.0}, DATASHEET), "cold_factor") == 1.0


def test_a_coil_that_nothing_clamps_fails_whatever_the_rating() -> None:
    found = judged(changed(examples.PART, {"vceo": 400.0}), facts_of({"clamped": 0.0}))["collector-voltage"]
    assert found.verdict is Verdict.FAILS
    assert found.headroom == -math.inf
    assert "clamp" in found.requirement.cure


def test_an_undriven_base_needs_a_resistor_unless_it_amplifies_to_less_than_counts() -> None:
    bare = {"hold_max": math.inf, "off_current": 1e-5}
    assert judged(examples.PART, facts_of(bare))["undriven-base"].verdict is Verdict.FAILS
    tiny = changed(examples.PART, icbo=[{"tj": T25 + 100, "max": 1e-9}])
    held = facts_of({**bare, "drive_leakage": 1e-9})
    assert judged(tiny, held)["undriven-base"].verdict in PASS
    assert judged(tiny, facts_of(bare))["undriven-base"].verdict is Verdict.FAILS, "what the output leaks counts"


def test_without_a_base_rating_only_what_the_maker_tests_is_proven() -> None:
    part = changed(examples.PART, {"ib_max": None}, vce_sat=[{"ic": 0.05, "ib": 0.005, "max": 0.3}])
    assert judged(part, facts_of())["base-current"].verdict in PASS
    more = facts_of({"base_resistor_min": 700.0, "base_resistor_max": 770.0})
    found = judged(part, more)["base-current"]
    assert found.verdict is Verdict.UNPROVEN
    assert found.story.missing == ("ib_max",)


def test_a_part_without_a_turn_off_area_is_assumed_only_where_the_policy_says_so() -> None:
    part = changed(examples.PART, rbsoa=EMPTY)
    assert any("rbsoa_share" in text for text in judged(part, facts_of())["turnoff-locus"].story.assumed)
    assert judged(part, facts_of(policy=DATASHEET))["turnoff-locus"].verdict is Verdict.UNPROVEN
    over = facts_of({"turnoff_voltage": 46.0})
    assert judged(part, over)["turnoff-locus"].verdict is Verdict.UNPROVEN


def test_inrush_needs_gain_at_the_inrush_and_a_peak_rating_of_that_length() -> None:
    hungry = judged(examples.PART, facts_of({"inrush_current": 0.09}))["inrush"]
    assert hungry.verdict is Verdict.UNPROVEN or hungry.verdict is Verdict.FAILS
    long = facts_of({"inrush_current": 0.3, "inrush_time": 0.02})
    ready = changed(
        examples.PART, hfe=[{"ic": 0.3, "vce": 1.0, "min": 500.0}], vbe_sat=[{"ic": 0.3, "ib": 0.03, "max": 1.2}]
    )
    assert judged(ready, {**long, "inrush_time": 0.01})["inrush"].verdict in PASS
    assert judged(ready, long)["inrush"].verdict is Verdict.UNPROVEN


def test_heat_that_outruns_the_path_is_no_equilibrium() -> None:
    part = changed(examples.PART, theta_ja=[{"copper_area": 0, "mounting": "free-air", "max": 2000.0}])
    f = facts_of(
        {"load_current": 0.09, "heat_current": 0.09, "ambient_min": T25, "base_resistor_max": 1430.0, "rail_max": 12.6}
    )
    slack = changed(
        part, vce_sat=[{"ic": 0.1, "ib": 0.0001, "max": 2.0}], vbe_sat=[{"ic": 0.1, "ib": 0.01, "max": 1.0}]
    )
    assert number(slack, f, "tj_hot") == math.inf
    assert judged(slack, f)["junction-rise"].verdict is Verdict.FAILS


# ---- published parts


ONSEMI = "onsemi 2N3903/D Rev. 9, electrical-characteristics table"
N3904 = Part(
    "bjt", "2N3904", "onsemi", {"polarity": "NPN", "vceo": 40.0, "ic_max": 0.2, "tj_max": K0 + 150, "datasheet": ONSEMI},
    {
        "hfe": point_table("bjt", "hfe", [
            {"ic": 1e-4, "vce": 1.0, "min": 40.0}, {"ic": 1e-3, "vce": 1.0, "min": 70.0},
            {"ic": 0.01, "vce": 1.0, "min": 100.0, "max": 300.0}, {"ic": 0.05, "vce": 1.0, "min": 60.0},
            {"ic": 0.1, "vce": 1.0, "min": 30.0}]),
        "vce_sat": point_table("bjt", "vce_sat", [{"ic": 0.01, "ib": 0.001, "max": 0.2}, {"ic": 0.05, "ib": 0.005, "max": 0.3}]),
        "vbe_sat": point_table("bjt", "vbe_sat", [
            {"ic": 0.01, "ib": 0.001, "max": 0.85}, {"ic": 0.05, "ib": 0.005, "max": 0.95}]),
        "theta_ja": point_table("bjt", "theta_ja", [{"copper_area": 0, "mounting": "free-air", "max": 200.0}]),
    },
)  # fmt: skip
"""vceo (40 V), tj_max and 200 K/W are from memory; the tables as printed."""
CDIL = "CDIL BC337/338 datasheet"
BC337 = Part(
    "bjt", "BC337", "CDIL", {"polarity": "NPN", "vceo": 45.0, "ic_max": 0.8, "tj_max": K0 + 150, "datasheet": CDIL},
    {
        "hfe": point_table("bjt", "hfe", [
            {"ic": 0.1, "vce": 1.0, "min": 100.0, "max": 600.0}, {"ic": 0.5, "vce": 1.0, "min": 40.0}]),
        "vce_sat": point_table("bjt", "vce_sat", [{"ic": 0.5, "ib": 0.05, "max": 0.7}]),
        "icbo": point_table("bjt", "icbo", [{"tj": K0 + 25, "max": 1e-7}, {"tj": K0 + 150, "max": 5e-6}]),
        "theta_ja": point_table("bjt", "theta_ja", [{"copper_area": 0, "mounting": "free-air", "max": 200.0}]),
    },
)  # fmt: skip
FAIRCHILD = "Fairchild BC546-550 (2002)"
BC547 = Part(
    "bjt", "BC547", "Fairchild", {"polarity": "NPN", "vceo": 45.0, "ic_max": 0.1, "tj_max": K0 + 150, "datasheet": FAIRCHILD},
    {
        "hfe": point_table("bjt", "hfe", [{"ic": 0.002, "vce": 5.0, "min": 110.0, "max": 800.0}]),
        "vce_sat": point_table("bjt", "vce_sat", [
            {"ic": 0.01, "ib": 0.0005, "max": 0.25}, {"ic": 0.1, "ib": 0.005, "max": 0.6}]),
        "vbe_sat": point_table("bjt", "vbe_sat", [
            {"ic": 0.01, "ib": 0.0005, "typ": 0.7}, {"ic": 0.1, "ib": 0.005, "typ": 0.9}]),
    },
)  # fmt: skip
REAL = {
    "base_resistor_min": 990.0, "base_resistor_max": 1010.0, "drive_high_min": 4.5, "base_emitter_min": 1e12, "lift": 0.0,
    "theta_mounted": 300.0, "ambient_min": T25, "ambient_max": T25,
}  # fmt: skip


def test_a_2n3904_at_100_ma_has_a_third_of_its_gain_at_10_ma() -> None:
    """onsemi 2N3903/D Rev. 9: hFE 100 at 10 mA, 60 at 50 mA, 30 at 100 mA, half its rated current."""
    for ic, printed in ((0.01, 100.0), (0.05, 60.0), (0.1, 30.0), (1e-3, 70.0)):
        assert number(N3904, facts_of({**REAL, "load_current": ic}), "hfe_cold") == pytest.approx(printed)
    at_rating = judged(N3904, facts_of({**REAL, "load_current": 0.2, "heat_current": 0.2}))
    assert at_rating["gain"].verdict is Verdict.UNPROVEN
    assert at_rating["collector-current"].verdict is Verdict.FAILS


def test_a_2n3904_sinks_24_ma() -> None:
    resistor = {"base_resistor_min": 1336.5, "base_resistor_max": 1363.5}
    f = facts_of({**REAL, **resistor, "load_current": 0.024, "heat_current": 0.024, "allowed_drop": 0.4})
    found = judged(N3904, f)
    for id_ in ("collector-current", "gain", "saturation", "base-current", "junction-rise"):
        assert found[id_].verdict in PASS, id_
    assert number(N3904, f, "base_current_min") == pytest.approx((4.5 - 0.95) / (1363.5 + 60))
    assert number(N3904, f, "sat_drop") == pytest.approx(0.2 + 0.1 * (24 - 10) / (50 - 10))
    assert found["stays-off"].verdict is Verdict.UNPROVEN
    assert any("icbo" in name for name in found["stays-off"].story.missing)


def test_a_bc337_states_no_base_emitter_voltage_so_its_gain_is_unproven() -> None:
    """Of the rows seen none is VBE(sat) max: not filled with 0.7 V."""
    found = judged(BC337, facts_of({**REAL, "load_current": 0.1}))["gain"]
    assert found.verdict is Verdict.UNPROVEN
    assert any("vbe_sat" in name for name in found.story.missing)


def test_a_bc547_with_typical_voltages_and_one_gain_row_is_unproven() -> None:
    """Typical VBE(sat) stands in for no limit, and hFE at 2 mA says nothing at 15 mA."""
    found = judged(BC547, facts_of({**REAL, "load_current": 0.015}))
    assert found["gain"].verdict is Verdict.UNPROVEN
    measured = changed(BC547, vbe_sat=[{"ic": 0.1, "ib": 0.005, "max": 1.1}])
    assert judged(measured, facts_of({**REAL, "load_current": 0.015}))["gain"].verdict is Verdict.UNPROVEN
    assert judged(measured, facts_of({**REAL, "load_current": 0.002}))["gain"].verdict in PASS


def test_leakage_of_a_bc337_is_read_at_the_next_stated_temperature_or_by_the_assumed_rule() -> None:
    """CDIL: 100 nA at 25 °C, 5 µA at 150 °C."""
    warm = facts_of({**REAL, "load_current": 0.1, "ambient_max": K0 + 60}, DATASHEET)
    stated = changed(
        BC337, vbe_sat=[{"ic": 0.5, "ib": 0.05, "max": 1.2}], vce_sat=[{"ic": 0.5, "ib": 0.001, "max": 0.7}]
    )
    stated = changed(stated, hfe_factor=[{"tj": K0 + 25, "min": 1.0}])
    assert number(stated, warm, "icbo_hot") == 5e-6
    bench = facts_of({**REAL, "load_current": 0.1, "ambient_max": K0 + 60})
    risen = 1e-7 * 2 ** ((number(stated, bench, "tj_peak") - T25) / 10)
    assert number(stated, bench, "icbo_hot") == pytest.approx(min(risen, 5e-6))


# ---- a better part is never judged worse


BETTER = {"vceo": 1, "ic_max": 1, "icm": 1, "icm_width": 1, "ib_max": 1, "tj_max": 1}
BETTER_CELLS = {
    ("hfe", "min"): 1, ("hfe", "max"): -1, ("hfe_factor", "min"): 1, ("hfe_factor", "max"): -1, ("vce_sat", "max"): -1,
    ("vbe_sat", "max"): -1, ("vbe_on", "min"): 1, ("icbo", "max"): -1, ("rbsoa", "max"): 1, ("theta_ja", "max"): -1,
}  # fmt: skip


def scattered() -> Part:
    """The example part with values moved, and some blank."""

    def moved(value: Any) -> Any:
        if value is None or RANDOM.random() < 0.06:
            return None
        return value if isinstance(value, str) else float(value) * float(np.exp(RANDOM.normal(0, 0.3)))

    values = {k: moved(v) if k != "tj_max" else v for k, v in examples.PART.values.items()}
    tables = {}
    for name, table in examples.PART.tables.items():
        axes = {axis.name for axis in KINDS["bjt"].table(name).axes}
        columns = {
            c: cells if c in axes else tuple(math.nan if x != x or (m := moved(x)) is None else m for x in cells)
            for c, cells in table.columns.items()
        }
        if RANDOM.random() > 0.05:
            tables[name] = PointTable(columns)
    return Part("bjt", "X", "", values, tables)


def improved(part: Part) -> Part:
    factor = float(RANDOM.uniform(1.0, 1.5))
    if RANDOM.random() < 0.4:
        name = str(RANDOM.choice(list(BETTER)))
        value = part.values.get(name)
        return (
            part
            if value is None
            else changed(part, {name: value + (factor - 1) * 40 if name == "tj_max" else value * factor})
        )
    table, column = list(BETTER_CELLS)[int(RANDOM.integers(len(BETTER_CELLS)))]
    if table not in part.tables:
        return part
    scale = factor ** BETTER_CELLS[table, column]
    columns = {k: tuple(x * scale for x in v) if k == column else v for k, v in part.tables[table].columns.items()}
    return changed(part, **{table: PointTable(columns)})


def test_improving_a_part_never_worsens_its_verdicts() -> None:
    pairs = [(part, improved(part)) for part in (scattered() for _ in range(1500))]
    for policy in (BENCH, DATASHEET):
        f = facts_of({"allowed_drop": 0.4, "off_leakage": 5e-5, "off_current": 5e-5}, policy)
        before = judge_columns(ROLE, columns_of("bjt", [a for a, _ in pairs]), f, len(pairs), 0.1)
        after = judge_columns(ROLE, columns_of("bjt", [b for _, b in pairs]), f, len(pairs), 0.1)
        # an unproven one may turn out to fail once more is known of it
        worse = np.argwhere((after.verdicts < before.verdicts) & (before.verdicts >= Verdict.TIGHT))
        assert not len(worse), [(before.ids[i], pairs[k]) for i, k in worse[:1]]


def test_columns_and_explanation_agree_on_random_parts_and_circuits() -> None:
    for _ in range(60):
        judged(scattered(), some_circuit())


# ---- a board


BOARD = """
format = 1
name = "sinks"
[surroundings]
ambient = "-10..45 °C"
[ground]
resistance = "20 mΩ"
[rail.V12]
voltage = "12 V ±5 %"
[rail.V24]
voltage = "24 V ±5 %"
[drive.D]
high = "4.4..5.1 V"
low = "0..0.1 V"
source_resistance = "30..60 Ω"
pin_current = "20 mA"
[load.valve]
sort = "coil"
rail = "V12"
resistance = "400 Ω ±10 %"
inductance = "0.2 H ±20 %"
[load.lamp]
sort = "lamp"
rail = "V24"
current = "5..6 mA"
inrush_factor = 8
inrush_time = "20 ms"
{cable}
[role.Q1]
role = "npn-sink"
drive = "D"
load = ["valve", "lamp"]
base_resistor = "1.5 kΩ ±5 %"
theta_ja = "250 K/W"
[role.Q2]
role = "npn-sink"
drive = "{second}"
load = "heater"
base_resistor = "1 kΩ ±5 %"
[load.heater]
sort = "resistive"
rail = "V12"
resistance = "1 kΩ ±5 %"
{more}
"""
SECOND_DRIVE = '[drive.E]\nhigh = "4.4..5.1 V"\nlow = "0..0.1 V"\nhigh_at = "1 mA"\n'
DIODE = '[role.D1]\nrole = "clamp"\nload = "valve"\n'


class WithDrop(Situation):
    """Every clamp drops 1.1 V."""

    def quantity(self, ref: str, name: str) -> Fact:
        return Fact(1.1, f"{ref} drop") if name == "drop_high" else super().quantity(ref, name)


def situation(second: str = "E", more: str = DIODE + SECOND_DRIVE, cable: str = "") -> Situation:
    board = parse_board(BOARD.format(second=second, more=more, cable=cable), Path("b.toml")).board
    parts: dict[str, Part | None] = dict.fromkeys(board.role)
    return WithDrop(board, {**parts, "Q1": examples.PART, "Q2": examples.PART}, BENCH)


def test_a_board_with_two_sinks_is_explained() -> None:
    s = situation()
    found = {f.id: f for f in explain(ROLE, examples.PART, s.facts("Q1"), 0.1)}
    assert s.facts("Q1")["clamped"].value == 1.0
    assert found["collector-voltage"].compared[0].demand == pytest.approx(25.2), "the lamp's rail is the higher one"
    current = 12.6 / (360 * (1 + 0.00393 * -30)) + 0.006
    assert found["collector-current"].compared[0].demand == pytest.approx(current)
    assert found["inrush"].compared[0].demand == pytest.approx(current - 0.006 + 0.048)
    assert found["turnoff-locus"].compared[0].demand == pytest.approx(current - 0.006)
    lifted = 0.02 * (current - 0.006 + 0.048 + 12.6 / 950)
    assert s.facts("Q1")["lift"].value == pytest.approx(lifted)


def test_a_board_without_a_clamp_fails() -> None:
    found = {f.id: f for f in explain(ROLE, examples.PART, situation(more=SECOND_DRIVE).facts("Q1"), 0.1)}
    assert found["collector-voltage"].verdict is Verdict.FAILS
    assert "turnoff-locus" not in found


def test_a_cable_that_the_clamp_does_not_see_drives_the_collector() -> None:
    """48 mA of a cold lamp on 0.8 µH a metre, from the 24 V rail; the valve's clamp sits on another rail."""
    cable = 'cable = { length = "3 m", wire = "0.5 mm2", inductance = "2 µH ±20 %" }'
    facts = situation(cable=cable).facts("Q1")
    assert facts["clamped"].value == 1.0
    assert facts["collector_peak"].value == pytest.approx(25.2 + 0.048 * 2 * 2.4e-6 / 3 * 299792458, rel=1e-3)
    assert facts["turnoff_voltage"].value == facts["collector_peak"].value


def test_two_bases_on_one_output_share_its_level() -> None:
    alone, shared = situation(), situation(second="D", more=DIODE)
    assert alone.facts("Q1")["drive_other"].value == 0.0
    assert shared.facts("Q1")["drive_other"].value == pytest.approx(5.1 / (950 + 30))
    assert shared.quantity("Q1", "base_current_min").value < alone.quantity("Q1", "base_current_min").value
    at_a_current = situation().facts("Q2")
    assert at_a_current["high_at"].value == 0.001
    q2 = {f.id: f for f in explain(ROLE, examples.PART, at_a_current, 0.1)}
    assert q2["gain"].verdict is Verdict.UNPROVEN, "3 mA from an output that is stated at 1 mA"


def test_a_role_may_be_derated_further_but_not_its_overdrive() -> None:
    text = BOARD.format(second="E", more=DIODE + SECOND_DRIVE, cable="").replace(
        'theta_ja = "250 K/W"', 'theta_ja = "250 K/W"\nuse_factor = 0.4'
    )
    board = parse_board(text, Path("b.toml")).board
    facts = WithDrop(board, dict.fromkeys(board.role), BENCH).facts("Q1")
    assert facts["k_vceo"].value == 0.4
    assert facts["k_gain_overdrive"].value == BENCH.value("gain_overdrive")
    assert facts["k_gate_overdrive"].value == BENCH.value("gate_overdrive")
