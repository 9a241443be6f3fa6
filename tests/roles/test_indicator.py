"""The indicator LED: edges, random LEDs on a true diode curve, traps, better parts, readings that agree.

The reference is independent of the role: an LED is V = n·Vt·ln(1 + I/Is) + I·Rs + tempco·(T - 25 °C)
(Shockley's law with a series resistance), its circuit is solved with SciPy's ``brentq``, its junction by
repeated substitution.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck import points
from partcheck.board.read import parse_board
from partcheck.parts.part import Part, point_table
from partcheck.physics import heat, light
from partcheck.points import DIFFERENCE, RATIO, PointTable
from partcheck.policy import BENCH, DATASHEET, Policy
from partcheck.readings.columns import ColumnTable
from partcheck.readings.explain import Finding, explain, open_views, verdict_of
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.situation.situation import Situation
from tests.examples.roles import indicator as examples

ROLE = ROLES["indicator"]
K25 = 298.15


def facts_of(changes: Mapping[str, Any] = {}, policy: Policy = BENCH) -> dict[str, Any]:
    """Plain facts of the example circuit, policy filled in."""
    made: dict[str, Any] = {**dict.fromkeys(ROLE.facts), **examples.FACTS}
    for name in ROLE.facts:
        if name.startswith("k_"):
            made[name] = policy.value(name[2:])
        elif name.startswith("assumed_"):
            made[name] = policy.assumption(name[8:])
    return made | dict(changes)


def changed(part: Part, values: Mapping[str, Any] = {}, **tables: list[dict[str, Any]]) -> Part:
    """The part with other values, and tables given as rows."""
    made = {name: point_table("led", name, rows) for name, rows in tables.items()}
    return Part("led", part.part_number, part.maker, {**part.values, **values}, {**part.tables, **made})


def findings(part: Part, facts: Mapping[str, Any]) -> dict[str, Finding]:
    """Findings by id."""
    return {f.id: f for f in explain(ROLE, part, {k: Fact(v) for k, v in facts.items()}, 0.1)}


def numbers(part: Part, facts: Mapping[str, Any]) -> Callable[[str], float]:
    """The quantities of a part in its place, by name."""
    p, _ = open_views(ROLE, part, {k: Fact(v) for k, v in facts.items()})
    return lambda name: float(getattr(p, name).value)


# ---- an LED as physics has it ------------------------------------------------------------------------


@dataclass(frozen=True)
class Diode:
    """One LED: ``nvt`` V, ``i_s`` A, ``r_s`` Ω, ``tempco`` V/K; ``off`` V from the typical curve."""

    nvt: float
    i_s: float
    r_s: float
    tempco: float
    off: float = 0.0

    def volts(self, i: float, tj: float = K25) -> float:
        return self.nvt * math.log1p(i / self.i_s) + i * self.r_s + self.off + self.tempco * (tj - K25)


def _sum(string: list[Diode], i: float, tj: list[float]) -> float:
    return sum(d.volts(i, t) for d, t in zip(string, tj, strict=True))


def flow(
    string: list[Diode], volts: Callable[[float], float], ambient: float, theta: float
) -> tuple[float, list[float]]:
    """Current and junction temperatures of a string fed by ``volts(i)``, heated by itself."""
    tj = [ambient] * len(string)
    i = 0.0
    for _ in range(60):
        i = brentq(lambda x, tj=tj: _sum(string, x, tj) - volts(x), 1e-12, 1.0, xtol=1e-13)
        following = [ambient + theta * i * d.volts(i, t) for d, t in zip(string, tj, strict=True)]
        if max(abs(a - b) for a, b in zip(tj, following, strict=True)) < 1e-7:
            break
        tj = following
    return i, tj


def behind(feed: float, ohms: float) -> Callable[[float], float]:
    """Voltage left of a feed behind a resistance."""
    return lambda i: feed - i * ohms


def random_led(random: np.random.Generator) -> tuple[Diode, float, float]:
    """A red to blue LED with a plausible curve, and how far its lowest and highest bin lie from it, V."""
    nvt = random.uniform(0.035, 0.07)
    r_s = random.uniform(1, 12)
    at_10 = random.uniform(1.7, 3.1)
    i_s = 0.01 / math.expm1((at_10 - 0.01 * r_s) / nvt)
    return (
        Diode(nvt, i_s, r_s, random.uniform(-0.004, -0.001)),
        -random.uniform(0.05, 0.25),
        random.uniform(0.05, 0.35),
    )


def sampled(led: Diode, low: float, high: float, random: np.random.Generator, **values: Any) -> Part:
    """The datasheet of that LED: typical curve at 3 to 8 points from 1 to 30 mA, bins at one of them."""
    count = int(random.integers(3, 9))
    at = [float(i) for i in np.geomspace(0.001, 0.03, count)]
    row = int(random.integers(1, count))
    table: list[dict[str, Any]] = [{"i_f": i, "typ": led.volts(i)} for i in at]
    table[row] |= {"min": led.volts(at[row]) + low, "max": led.volts(at[row]) + high}
    theta = {"copper_area": 0, "mounting": "free-air", "max": values.pop("theta", 350.0)}
    return changed(examples.PART, {"vf_tempco_min": led.tempco, **values}, vf=table, theta_ja=[theta])


def circuit(led: Diode, random: np.random.Generator) -> dict[str, Any]:
    """Facts of a circuit whose current lies within the stated points."""
    count = int(random.integers(1, 5))
    feed = count * led.volts(0.01) + random.uniform(1.5, 8)
    r = (feed - count * led.volts(0.01)) / random.uniform(0.003, 0.018)
    spread, tolerance = random.uniform(0.01, 0.04), random.choice([0.01, 0.05])
    return facts_of(
        {
            "in_series": float(count),
            "feed_min": feed * (1 - spread), "feed_typ": feed, "feed_max": feed * (1 + spread),
            "switch_drop_max": random.choice([0.0, 0.15]),
            "resistor_min": r * (1 - tolerance), "resistor_typ": r, "resistor_max": r * (1 + tolerance),
            "ambient_min": random.uniform(253, 290), "ambient_max": random.uniform(303, 333), "on_duty": 1.0,
        }
    )  # fmt: skip


def bins(led: Diode, off: float) -> Diode:
    return Diode(led.nvt, led.i_s, led.r_s, led.tempco, off)


@pytest.mark.parametrize("seed", range(40))
def test_the_corners_are_those_of_the_true_curve_within_a_few_per_cent_on_its_safe_side(seed: int) -> None:
    random = np.random.default_rng(seed)
    led, low, high = random_led(random)
    n = circuit(led, random)
    part = sampled(led, low, high, random)
    at = numbers(part, n)
    # chords of three points over 1.5 decades are coarse; up to four LEDs multiply what they miss
    near = 0.035 if len(part.tables["vf"]) > 3 else 0.065
    count, hot, cold = int(n["in_series"]), n["ambient_max"], n["ambient_min"]
    most, junctions = flow([bins(led, low)] * count, behind(n["feed_max"], n["resistor_min"]), hot, 350.0)
    lowest = n["feed_min"] - n["switch_drop_max"]
    least, _ = flow([bins(led, high)] * count, behind(lowest, n["resistor_max"]), cold, 0.0)
    typical, _ = flow([led] * count, behind(n["feed_typ"], n["resistor_typ"]), K25, 0.0)
    assert most <= at("current_max")
    assert most > 0.03 or at("current_max") <= (1 + near) * most
    assert (1 - near) * least <= at("current_min") <= least
    assert at("current_typ") == pytest.approx(typical, rel=near)
    assert at("vf_typ") == pytest.approx(led.volts(typical), rel=0.01)
    assert at("resistor_power_max") == pytest.approx(0.5 * most**2 * n["resistor_min"], rel=2.2 * near)
    assert at("tj_hot") >= junctions[0]


def pick(random: np.random.Generator, n: Mapping[str, Any], name: str, corner: bool) -> float:
    """A value between two ends, or one of them."""
    ends = n[f"{name}_min"], n[f"{name}_max"]
    return float(random.choice(ends) if corner else random.uniform(*ends))


@pytest.mark.parametrize("seed", range(25))
def test_nothing_inside_the_corners_exceeds_them(seed: int) -> None:
    random = np.random.default_rng(1000 + seed)
    led, low, high = random_led(random)
    n = circuit(led, random)
    at = numbers(sampled(led, low, high, random), n)
    hottest = hungriest = 0.0
    count = int(n["in_series"])
    for k in range(30):
        corner = k < 8
        feed, r, air = (pick(random, n, name, corner) for name in ("feed", "resistor", "ambient"))
        drop = random.choice([0.0, n["switch_drop_max"]])
        if k < 4:
            feed, r, drop, air = n["feed_max"], n["resistor_min"], 0.0, n["ambient_max"]
        each = random.choice([low, high], count) if corner else random.uniform(low, high, count)
        i, tj = flow([bins(led, off) for off in each], behind(feed - drop, r), air, 350.0)
        assert at("current_min") <= i <= at("current_max")
        hottest, hungriest = max(hottest, *tj), max(hungriest, i * i * r)
    assert hottest <= at("tj_hot")
    assert 0.5 * hungriest <= at("resistor_power_max")


@pytest.mark.parametrize("seed", range(15))
def test_the_hottest_bin_is_found_within_five_per_cent(seed: int) -> None:
    random = np.random.default_rng(2000 + seed)
    led, low, high = random_led(random)
    n = circuit(led, random) | {"in_series": 1.0}
    n["feed_max"] = random.uniform(1.4, 4) * led.volts(0.01)
    n["resistor_min"] = (n["feed_max"] - led.volts(0.01)) / random.uniform(0.004, 0.02)
    at = numbers(sampled(led, low, high, random), n)
    rises = [
        flow([bins(led, off)], behind(n["feed_max"], n["resistor_min"]), n["ambient_max"], 350.0)[1][0]
        for off in np.linspace(low, high, 15)
    ]
    rise = max(rises) - n["ambient_max"]
    assert rise <= at("tj_hot") - n["ambient_max"] <= 1.06 * rise


@pytest.mark.parametrize("seed", range(15))
@pytest.mark.parametrize("stated", ["unloaded", "at a current", "both"])
def test_a_drive_feeds_through_its_source_resistance(seed: int, stated: str) -> None:
    random = np.random.default_rng(3000 + seed)
    led, low, high = random_led(random)
    n = circuit(led, random) | {"in_series": 1.0, "switch_drop_max": 0.0}
    part = sampled(led, low, high, random)
    source = (random.uniform(5, 20), random.uniform(20, 60))
    knee = 0.0 if stated == "unloaded" else random.uniform(0.002, 0.01)
    if stated == "unloaded":
        n |= {"output_min": source[0], "output_typ": 20.0, "output_max": source[1]}
    else:
        n |= {"source_from": knee, "source_max": source[1] if stated == "both" else 1e9}
        n |= {"source_min": source[0], "source_typ": 20.0} if stated == "both" else {}
    at = numbers(part, n)

    def drive(level: float, ohms: float, r: float) -> Callable[[float], float]:
        return lambda i: level - max(0.0, i - knee) * ohms - i * r

    for _ in range(8):
        ohms = random.uniform(*source) if stated != "at a current" else random.choice([0.0, 10.0, 3000.0])
        feed, r, air = (pick(random, n, name, False) for name in ("feed", "resistor", "ambient"))
        i, _ = flow([bins(led, random.uniform(low, high))], drive(feed, ohms, r), air, 350.0)
        assert at("current_min") <= i * (1 + 1e-6)
        assert i <= at("current_max")
    if stated == "both":
        strongest = drive(n["feed_max"], source[0], n["resistor_min"])
        most, _ = flow([bins(led, low)], strongest, n["ambient_max"], 350.0)
        assert most <= at("current_max")
        assert most > 0.03 or at("current_max") <= 1.03 * most


def test_a_resistor_matched_to_its_source_stays_under_the_stated_power() -> None:
    n = facts_of(dict.fromkeys(("output_min", "output_typ", "output_max"), 60.0))
    n |= {"resistor_min": 50.0, "resistor_max": 75.0, "resistor_duty": 1.0}
    n |= {"feed_max": 3.0, "ambient_max": K25}
    led = Diode(0.05, 0.01 / math.expm1(1.9 / 0.05), 2.0, -0.002)
    part = sampled(led, -0.05, 0.05, np.random.default_rng(1), theta=1.0)
    worst = 0.0
    for r in np.linspace(50, 75, 40):
        i, _ = flow([bins(led, -0.05)], behind(3.0, r + 60.0), K25, 1.0)
        worst = max(worst, i * i * r)
    assert worst <= numbers(part, n)("resistor_power_max") <= 1.05 * worst


# ---- traps -----------------------------------------------------------------------------------------------


def test_a_fixed_forward_voltage_is_not_taken() -> None:
    """At a low supply vf at the test current leaves far less current than flows (design book 6.3)."""
    n = facts_of({"feed_min": 2.9, "feed_typ": 3.0, "feed_max": 3.1, "switch_drop_max": 0.0})
    at = numbers(examples.PART, n)
    fixed = light.series_current(3.1, 1.8, 950.0)
    assert at("current_max") > 1.15 * float(fixed)  # type: ignore[arg-type]


def test_light_is_not_proportional_to_current() -> None:
    """Nichia datasheets: ten times the current, eight times the light; so a tenth gives more than a tenth."""
    part = changed(
        examples.PART,
        iv=[{"i_f": 0.02, "min": 0.2, "typ": 0.3, "max": 0.5}],
        relative_intensity=[{"i_f": 0.002, "typ": 0.125}, {"i_f": 0.02, "typ": 1.0}],
    )
    n = facts_of(dict.fromkeys(("light_duty_min", "light_duty_typ", "light_duty_max"), 1.0))
    at = numbers(part, n)
    share = at("current_max") / 0.02
    assert at("intensity_max") == pytest.approx(0.5 * share ** (math.log(0.125) / math.log(0.1)), rel=1e-9)
    assert at("intensity_max") > 1.05 * 0.5 * share


def test_light_beyond_every_curve_is_unproven() -> None:
    part = changed(examples.PART, relative_intensity=[{"i_f": 0.015, "typ": 0.77}, {"i_f": 0.02, "typ": 1.0}])
    # at the curve's first point half of 0.5 cd · 0.77, which it does not exceed below
    assert findings(part, facts_of({"brightness_high": 0.193}))["brightness-high"].verdict is Verdict.TIGHT
    found = findings(part, facts_of({"brightness_high": 0.192}))
    for id_ in ("brightness-low", "brightness-high", "brightness-hot"):
        assert found[id_].verdict is Verdict.UNPROVEN
        assert found[id_].story.missing


def test_light_between_stated_currents_is_log_log_and_needs_no_relative_curve() -> None:
    rows = [{"i_f": 0.005, "max": 0.1}, {"i_f": 0.02, "max": 0.32}]
    part = changed(examples.PART, iv=rows, relative_intensity=[])
    at = numbers(part, facts_of({"light_duty_max": 1.0}))
    exponent = math.log(3.2) / math.log(4)
    assert at("intensity_max") == pytest.approx(0.1 * (at("current_max") / 0.005) ** exponent, rel=1e-9)


@pytest.mark.parametrize(
    ("table", "ids"),
    [
        (
            "vf",
            (
                "forward-current",
                "least-current",
                "current-spread",
                "drive-current",
                "resistor-power",
                "junction-rise",
            ),
        ),
        ("iv", ("brightness-low", "brightness-high", "brightness-hot")),
        ("light_factor", ("brightness-hot",)),
    ],
)
def test_typical_values_prove_nothing(table: str, ids: tuple[str, ...]) -> None:
    rows = [
        {
            name: (math.nan if name in ("min", "max") else getattr(row, name))
            for name in examples.PART.tables[table].columns
        }
        | ({"typ": row.min} if table == "light_factor" else {})
        for row in examples.PART.tables[table].rows()
    ]
    part = changed(examples.PART, **{table: rows})
    found = findings(part, facts_of(policy=DATASHEET))
    assert {found[id_].verdict for id_ in ids} == {Verdict.UNPROVEN}
    assert any(f"{table} m" in name or table in name for name in found[ids[0]].story.missing)


def test_flux_is_read_only_where_it_is_stated() -> None:
    """No cone, no cosine law: the viewing angle makes no flux (corrections 1.21)."""
    part = changed(examples.PART, flux=[])
    assert math.isnan(numbers(part, facts_of())("flux_max"))
    assert numbers(examples.PART, facts_of())("flux_max") > 0


def test_a_current_rating_is_read_on_the_chord_of_its_derating_curve() -> None:
    """Curves that are flat to a knee and then fall straight to nothing, stated at a few temperatures."""
    draw = np.random.default_rng(20250601)
    for _ in range(100):
        top, knee, end = (float(draw.uniform(*span)) for span in ((0.01, 0.05), (300, 330), (360, 400)))

        def curve(t: float, top: float = top, knee: float = knee, end: float = end) -> float:
            return top * min(1.0, (end - t) / (end - knee))

        rows = [{"temperature": t, "max": curve(t)} for t in (298.15, float(draw.uniform(320, 350)), 355.0)]
        part, air = changed(examples.PART, if_max=rows), float(draw.uniform(290, 355))
        said = numbers(part, facts_of({"ambient_max": air}))("if_allowed") / 0.8
        assert said <= curve(air) * (1 + 1e-9)
        assert said >= max(row["max"] for row in rows if row["temperature"] >= air) * (1 - 1e-9)
    alone = changed(examples.PART, if_max=rows[:1])
    assert findings(alone, facts_of())["forward-current"].verdict is Verdict.UNPROVEN


def test_light_in_heat_is_read_at_the_junction_and_the_next_hotter_row() -> None:
    rows = [{"temperature": t, "min": m} for t, m in ((298.15, 1.0), (320.0, 0.8), (343.15, 0.6))]
    at = numbers(changed(examples.PART, light_factor=rows), facts_of())
    assert 320 < at("tj_dim") < 343.15  # the air is at 318.15 K
    assert at("light_left") == 0.6
    assumed = numbers(changed(examples.PART, light_factor=[]), facts_of())
    assert assumed("light_left") == pytest.approx(1 - 0.01 * (at("tj_dim") - K25))


def test_a_string_multiplies_the_forward_voltage_and_every_bin_of_it() -> None:
    n = facts_of({"in_series": 3.0})
    one, three = numbers(examples.PART, facts_of()), numbers(examples.PART, n)
    assert three("current_max") < one("current_max") - 2 * 1.5 / 950
    assert three("intensity_max") < one("intensity_max")


def test_without_a_thermal_resistance_the_current_is_that_of_the_hottest_junction_allowed() -> None:
    bare = changed(examples.PART, theta_ja=[])
    assert findings(bare, facts_of())["junction-rise"].verdict is Verdict.UNPROVEN
    assert numbers(bare, facts_of())("current_max") == numbers(examples.PART, facts_of())("current_bound")


def test_a_junction_that_runs_away_fails_junction_rise() -> None:
    led = Diode(0.05, 0.01 / math.expm1(2.8 / 0.05), 1.0, -0.01)
    part = sampled(led, -0.1, 0.1, np.random.default_rng(3), theta=2000.0)
    n = facts_of({"feed_max": 3.1, "resistor_min": 10.0, "on_duty": 1.0})
    assert findings(part, n)["junction-rise"].verdict is Verdict.FAILS


def test_a_peak_within_the_continuous_rating_needs_no_pulse_rating_and_another_does() -> None:
    bare = changed(examples.PART, {"if_peak": None, "if_peak_duty": None, "if_peak_width": None})
    assert findings(bare, facts_of())["pulse-current"].verdict is Verdict.MEETS
    weak = [{"temperature": 343.15, "max": 0.01}]
    assert findings(changed(bare, if_max=weak), facts_of())["pulse-current"].verdict is Verdict.UNPROVEN
    strong = changed(examples.PART, if_max=weak)
    assert findings(strong, facts_of())["forward-current"].verdict is Verdict.MEETS  # its average does
    for name, value in (("if_peak", 0.01), ("if_peak_duty", 0.4), ("if_peak_width", 1e-4)):
        assert findings(changed(strong, {name: value}), facts_of())["pulse-current"].verdict is Verdict.FAILS


def test_a_drive_beyond_the_current_of_its_level_is_unproven() -> None:
    found = findings(examples.PART, facts_of({"level_holds_to": 0.004}))
    assert found["drive-current"].verdict is Verdict.UNPROVEN


def test_a_warm_resistor_carries_less() -> None:
    assert float(heat.resistor_rating(0.125, 343.15, 428.15, 300.0)) == 0.125  # type: ignore[arg-type]
    assert float(heat.resistor_rating(0.125, 343.15, 428.15, 411.15)) == pytest.approx(0.025)  # type: ignore[arg-type]
    part = examples.PART
    assert findings(part, facts_of({"ambient_max": 318.15}))["resistor-power"].verdict is Verdict.MEETS
    warm = facts_of({"resistor_full_power_to": 298.15, "resistor_no_power_at": 323.15})
    assert findings(part, warm)["resistor-power"].verdict is Verdict.FAILS


# ---- bins ------------------------------------------------------------------------------------------------


def curve(table: Any, bound: str) -> list[tuple[float, float]]:
    xs, ys = table.curve("i_f", bound)
    return list(zip(xs, ys, strict=True))


def test_a_bin_at_one_current_moves_the_typical_curve() -> None:
    vf = point_table("led", "vf", examples.VF)
    low = curve(points.shifted(vf, "i_f", "min", DIFFERENCE), "min")
    assert low == [
        (i, pytest.approx(v)) for i, v in ((0.002, 1.55), (0.005, 1.62), (0.01, 1.7), (0.02, 1.8), (0.03, 1.88))
    ]
    iv = point_table("led", "iv", [{"i_f": 0.01, "typ": 0.5}, {"i_f": 0.02, "min": 0.6, "typ": 0.9}])
    assert curve(points.shifted(iv, "i_f", "min", RATIO), "min") == [
        (0.01, pytest.approx(1 / 3)),
        (0.02, 0.6),
    ]


def test_two_bins_move_it_each_at_its_end_and_between_them_by_shares() -> None:
    rows = [
        {"i_f": 0.001, "typ": 1.8, "max": 2.0},
        {"i_f": 0.01, "typ": 2.0},
        {"i_f": 0.1, "typ": 2.2, "max": 2.6},
        {"i_f": 0.2, "typ": 2.3},
    ]
    made = curve(points.shifted(point_table("led", "vf", rows), "i_f", "max", DIFFERENCE), "max")
    assert made == [(0.001, 2.0), (0.01, pytest.approx(2.3)), (0.1, 2.6), (0.2, pytest.approx(2.7))]


def test_no_bin_is_no_curve_and_a_lone_bin_stands_alone() -> None:
    bare = point_table("led", "vf", [{"i_f": 0.01, "typ": 1.9}, {"i_f": 0.02, "typ": 2.0}])
    assert curve(points.shifted(bare, "i_f", "min", DIFFERENCE), "min") == []
    lone = point_table("led", "iv", [{"i_f": 0.01, "min": 0.3}, {"i_f": 0.02, "typ": 0.9}])
    assert curve(points.shifted(lone, "i_f", "min", RATIO), "min") == [(0.01, 0.3)]


@pytest.mark.parametrize("seed", range(20))
def test_a_bin_between_the_typical_points_is_moved_to_the_safe_side(seed: int) -> None:
    random = np.random.default_rng(seed)
    led, low, high = random_led(random)
    rows: list[dict[str, Any]] = [{"i_f": i, "typ": led.volts(i)} for i in (0.001, 0.004, 0.02)]
    rows.append({"i_f": 0.008, "min": led.volts(0.008) + low, "max": led.volts(0.008) + high})
    vf = point_table("led", "vf", rows)
    for i, v in curve(points.shifted(vf, "i_f", "min", DIFFERENCE), "min"):
        assert v <= led.volts(i) + low + 1e-12
    for i, v in curve(points.shifted(vf, "i_f", "max", DIFFERENCE), "max"):
        assert v >= led.volts(i) + high - 1e-12


def test_columns_move_the_same_curves() -> None:
    tables = [
        point_table("led", "vf", examples.VF),
        PointTable({}),
        point_table("led", "vf", examples.VF[:2]),
    ]
    xs, ys = points.shifted(ColumnTable(tables), "i_f", "max", DIFFERENCE).curve("i_f", "max")
    for k, table in enumerate(tables):
        wanted = curve(points.shifted(table, "i_f", "max", DIFFERENCE), "max")
        assert [(x, y) for x, y in zip(xs[:, k], ys[:, k], strict=True) if x == x] == wanted


# ---- better parts, and two readings ------------------------------------------------------------------------


def cell(part: Part, table: str, row: int, column: str, value: Callable[[float], float]) -> Part:
    """The part with one cell of a table changed."""
    columns = {name: list(cells) for name, cells in part.table(table).columns.items()}
    columns[column][row] = value(columns[column][row])
    made = PointTable({name: tuple(cells) for name, cells in columns.items()})
    return Part("led", part.part_number, part.maker, part.values, {**part.tables, table: made})


BETTER: list[tuple[str, Callable[[Part, float], Part]]] = [
    (name, lambda part, by, name=name: changed(part, {name: part.number(name) * (1 + by)}))  # type: ignore[misc]
    for name in ("tj_max", "vr_max", "if_peak", "if_peak_duty", "if_peak_width", "dominant_wavelength_min")
] + [
    ("tempco", lambda part, by: changed(part, {"vf_tempco_min": part.number("vf_tempco_min") * (1 - by)})),
    ("theta", lambda part, by: cell(part, "theta_ja", 0, "max", lambda x: x * (1 - by))),
    ("if_max", lambda part, by: cell(part, "if_max", 1, "max", lambda x: x * (1 + by))),
    ("light_factor", lambda part, by: cell(part, "light_factor", 1, "min", lambda x: x * (1 + by))),
    ("iv min", lambda part, by: cell(part, "iv", 0, "min", lambda x: x + by * (0.3 - x))),
    ("iv max", lambda part, by: cell(part, "iv", 0, "max", lambda x: x - by * (x - 0.3))),
    ("vf min", lambda part, by: cell(part, "vf", 3, "min", lambda x: x + by * (2.0 - x))),
    ("vf max", lambda part, by: cell(part, "vf", 3, "max", lambda x: x - by * (x - 2.0))),
]


@pytest.mark.parametrize(("name", "better"), BETTER, ids=[name for name, _ in BETTER])
def test_a_better_value_never_worsens_a_verdict(name: str, better: Callable[[Part, float], Part]) -> None:
    random = np.random.default_rng(5)
    for _ in range(12):
        n = facts_of(
            {
                "feed_max": random.uniform(9, 20),
                "pin_limit": random.uniform(0.01, 0.03),
                "spread_limit": random.uniform(1.2, 2.5),
                "brightness_high": random.uniform(0.1, 0.4),
                "brightness_low": random.uniform(0.01, 0.06),
                "least_current": random.uniform(0.007, 0.009),
                "on_duty": random.uniform(0.1, 1),
                "resistor_rating": random.uniform(0.05, 0.4),
                "in_series": float(random.integers(1, 4)),
            }
        )
        before, after = (findings(p, n) for p in (examples.PART, better(examples.PART, random.uniform(0.01, 0.3))))
        for id_, found in before.items():
            if (name, id_) == ("dominant_wavelength_min", "colour"):
                continue  # a window has two sides
            assert after[id_].verdict >= found.verdict, id_
        if name != "dominant_wavelength_min":
            assert verdict_of([*after.values()]) >= verdict_of([*before.values()])


def test_columns_and_explanation_agree_on_random_leds_and_blanks() -> None:
    random = np.random.default_rng(11)
    parts = []
    for _ in range(60):
        led, low, high = random_led(random)
        part = sampled(led, low, high, random)
        for name in list(part.values):
            if random.random() < 0.05:
                part = changed(part, {name: None})
        for name in list(part.tables):
            if random.random() < 0.07:
                part = changed(part, **{name: []})
        parts.append(part)
    knee = {"source_from": 0.004, "source_min": 20.0, "source_typ": 30.0, "source_max": 90.0}
    for policy, change in ((BENCH, {}), (DATASHEET, {"in_series": 3.0}), (BENCH, knee)):
        facts = facts_of(change, policy)
        judged = judge_columns(ROLE, columns_of("led", parts), facts, len(parts), 0.1, chunk=23)
        for k, part in enumerate(parts):
            for i, found in enumerate(findings(part, facts).values()):
                assert judged.ids[i] == found.id
                assert judged.verdicts[i, k] == found.verdict, (found.id, k)
                close = pytest.approx(found.headroom, rel=1e-7, abs=1e-9, nan_ok=True)
                assert judged.headrooms[i, k] == close, found.id


# ---- what a board states ---------------------------------------------------------------------------------

BOARD = """
format = 1
name = "test"
[surroundings]
ambient = "-10..45 °C"
[rail.V12]
voltage = "12 V ±5 %"
feed_resistance = "1..1 Ω"
[drive.open]
high = "4.5..5..5.2 V"
low = "0..0.4 V"
source_resistance = "20..30..50 Ω"
pin_current = "20 mA"
[drive.held]
high = "4.2..5..5.2 V"
low = "0..0.4 V"
high_at = "4 mA"
[role.D1]
role = "indicator"
rail = "V12"
resistor = "1 kΩ ±5 %"
switch_voltage = "0.1..0.2..0.3 V"
switch_resistance = "1..2..3 Ω"
brightness = "0..0.5 cd"
chopped = { frequency = "1 kHz", duty = "0.2..0.3..0.5" }
[role.D2]
role = "indicator"
drive = "open"
resistor = "330 Ω ±1 %"
brightness = "0.01..0.5 cd"
chopped = { frequency = "1 Hz", duty = "0.2..0.3..0.5" }
[role.D3]
role = "indicator"
drive = "held"
resistor = "1.5 kΩ ±1 %"
[role.D4]
role = "indicator"
drive = "held"
resistor = "330 Ω ±1 %"
"""


@pytest.fixture(scope="module")
def situation() -> Situation:
    board = parse_board(BOARD, Path("test.toml")).board
    return Situation(board, dict.fromkeys(("D1", "D2", "D3", "D4"), examples.PART), BENCH)


def test_a_rail_feeds_through_its_wire_and_a_generic_switch(situation: Situation) -> None:
    facts = situation.facts("D1")
    most = [situation.quantity(ref, "current_max").value for ref in ("D1", "D2", "D3", "D4")]
    assert facts["feed_max"].value == pytest.approx(12.6)
    # its own largest current in 1 Ω, and what drives without a stated supply may draw from the rail
    assert facts["feed_min"].value == pytest.approx(11.4 - sum(most))
    drops = [facts[f"switch_drop_{end}"].value for end in ("min", "typ", "max")]
    assert drops == pytest.approx([0.1, 0.2, 0.3])
    assert facts["switch_resistance_max"].value == 3
    assert facts["brightness_low"].value is None  # a window from zero asks for no least brightness


def test_pulses_are_averaged_where_they_are_short(situation: Situation) -> None:
    fast, slow = situation.facts("D1"), situation.facts("D2")
    assert [fast[name].value for name in ("on_duty", "resistor_duty")] == [0.5] * 2
    assert [slow[name].value for name in ("on_duty", "resistor_duty")] == [0.5, 1.0]
    assert slow["on_time"].value == pytest.approx(0.5)
    assert slow["pulse_width"].value == pytest.approx(0.5)
    assert [fast[f"light_duty_{end}"].value for end in ("min", "max")] == [0.2, 0.5]


def test_a_drive_states_its_level_unloaded_or_at_a_current(situation: Situation) -> None:
    unloaded, held = situation.facts("D2"), situation.facts("D3")
    assert [unloaded[f"output_{end}"].value for end in ("min", "max")] == [20, 50]
    assert unloaded["source_from"].value is None
    assert held["output_max"].value == 0
    assert held["source_from"].value == pytest.approx(0.004)
    assert held["pin_limit"].value == pytest.approx(0.004)  # its level is stated there, no limit is
    # without a source resistance no more than the current of the level is counted on, and no more is proven
    assert situation.quantity("D4", "current_min").value == pytest.approx(0.004, rel=1e-3)
    for ref, verdict in (("D3", Verdict.MEETS), ("D4", Verdict.UNPROVEN)):
        found = {f.id: f for f in explain(ROLE, examples.PART, situation.facts(ref), 0.1)}
        assert found["drive-current"].verdict is verdict
        assert "off-glow" not in found


# ---- the edges -------------------------------------------------------------------------------------------


def varied(part: Part, facts: dict[str, Any], where: Any, value: Any) -> tuple[Part, dict[str, Any]]:
    """Part and facts with what an example varies at a value."""
    if isinstance(where, tuple):
        return cell(part, *where, lambda _: value), facts
    if where.startswith("fact:"):
        return part, facts | {where[5:]: math.nan if value is None else value}
    if value is None and where in part.tables:
        return changed(part, **{where: []}), facts
    return changed(part, {where: value}), facts


@pytest.mark.parametrize("id_", list(ROLE.requirements))
def test_each_edge_in_both_readings(id_: str) -> None:
    example = examples.EXAMPLES[id_]
    base = changed(examples.PART, example.values, **example.tables)
    for where, value, verdicts in (
        (example.vary, example.meets, {Verdict.MEETS, Verdict.TIGHT}),
        (example.vary, example.fails, {Verdict.FAILS}),
        (example.missing, None, {Verdict.UNPROVEN}),
    ):
        part, facts = varied(base, facts_of(example.facts), where, value)
        assert findings(part, facts)[id_].verdict in verdicts
        judged = judge_columns(ROLE, columns_of("led", [part]), facts, 1, 0.1)
        assert Verdict(judged.verdicts[judged.ids.index(id_), 0]) in verdicts


def test_a_higher_rating_of_the_junction_changes_no_current() -> None:
    for bare in (False, True):
        base = changed(examples.PART, theta_ja=[]) if bare else examples.PART
        low, high = (changed(base, {"tj_max": 273.15 + top}) for top in (90.0, 140.0))
        for name in ("current_max", "resistor_power_max", "current_min_hot", "intensity_hot", "tj_hot"):
            assert numbers(low, facts_of())(name) == pytest.approx(numbers(high, facts_of())(name), nan_ok=True)
    limits = [findings(examples.PART, facts_of({"tj_ceiling": 273.15 + top}))["forward-current"] for top in (70, 110)]
    assert limits[0].headroom == limits[1].headroom


@pytest.mark.parametrize(
    ("on_time", "theta_jc", "share"),
    [(1e-9, None, 0.25), (1e-3, None, 0.25 + 0.75 * 40 / 250), (0.02, None, 1.0), (0.005, 50.0, 0.4)],
)
def test_chopping_is_averaged_in_the_junction_only_as_far_as_it_is_slow(
    on_time: float, theta_jc: float | None, share: float
) -> None:
    part = changed(examples.PART, {"theta_jc": theta_jc})
    n = facts_of({"on_duty": 0.25, "on_time": on_time, "theta_mounted": 250.0})
    assert numbers(part, n)("on_share") == pytest.approx(share, rel=1e-3)
