"""Pulses in a junction: thermal ladders, driven by what a load draws over time, are never hotter than told."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from partcheck.parts.part import Part, point_table
from partcheck.physics.heat import train_share
from partcheck.policy import DATASHEET
from partcheck.readings.explain import explain, open_views
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from tests.examples.roles import mosfet_switch, npn_sink

CHANCE = np.random.default_rng(41)
K0 = 273.15


@dataclass(frozen=True)
class Ladder:
    """A body of resistances (K/W) and heat capacities, as the sum of exponentials with which it answers."""

    ohms: Any
    times: Any

    def zth(self, time: float) -> float:
        return float((self.ohms * -np.expm1(-time / self.times)).sum())

    @property
    def theta(self) -> float:
        return float(self.ohms.sum())

    def hottest(self, lengths: Any, watts: Any) -> float:
        """Largest rise of a junction that starts cold, K: constant powers one after the other, exact at each end."""
        rises, most = np.zeros_like(self.ohms), 0.0
        for length, power in zip(lengths, watts, strict=True):
            settled = self.ohms * power
            rises = settled + (rises - settled) * np.exp(-length / self.times)
            most = max(most, float(rises.sum()))
        return most


def ladder() -> Ladder:
    """Some small part on some board: a die, a package, copper."""
    count = int(CHANCE.integers(2, 6))
    times = 10.0 ** CHANCE.uniform(-4, 1.7, count)
    return Ladder(CHANCE.dirichlet(np.ones(count)) * CHANCE.uniform(40, 400), times)


# ---- a train of pulses


def test_no_ladder_gets_warmer_in_a_train_than_its_share() -> None:
    nearest = 0.0
    for _ in range(2000):
        body, duty, on = ladder(), CHANCE.uniform(0.01, 1.0), 10.0 ** CHANCE.uniform(-5, 2)
        settled = body.ohms * -np.expm1(-on / body.times) / -np.expm1(-on / duty / body.times)
        told = body.theta * train_share(duty, body.zth(on) / body.theta)
        assert settled.sum() <= told * (1 + 1e-9)
        nearest = max(nearest, settled.sum() / told)
    assert nearest > 0.99


# ---- the transistor that the ladder belongs to

NPN = ROLES["npn-sink"]


def facts_of(changes: Mapping[str, Any]) -> dict[str, Fact]:
    made: dict[str, Any] = {**dict.fromkeys(NPN.facts), **npn_sink.FACTS, **changes}
    for name in NPN.facts:
        if name.startswith("k_"):
            made[name] = DATASHEET.value(name[2:])
        elif name.startswith("assumed_"):
            made[name] = DATASHEET.assumption(name[8:])
    return {name: Fact(value) for name, value in made.items()}


def stated(body: Ladder, widths: Any) -> Part:
    """A transistor with 0.3 V at any current up to 2 A, whose transient impedance is stated at some widths."""
    base = npn_sink.PART
    tables = {
        "vce_sat": [{"ic": 2.0, "ib": 0.0001, "max": 0.3}],
        "vbe_sat": [{"ic": 2.0, "ib": 0.02, "max": 0.9}],
        "hfe": [{"ic": 0.001, "vce": 1.0, "min": 20000.0}, {"ic": 2.0, "vce": 1.0, "min": 20000.0}],
        "zth": [{"pulse_width": w, "reference": "ambient", "max": body.zth(w)} for w in widths],
    }
    made = {name: point_table("bjt", name, rows) for name, rows in tables.items()}
    return Part("bjt", "X", "", base.values, {**base.tables, **made})


def told(part: Part, facts: dict[str, Fact], name: str) -> float:
    p, _ = open_views(NPN, part, facts)
    return float(getattr(p, name).value)


def corner(body: Ladder) -> dict[str, Any]:
    """What a load draws: running, starts at a rate, chopped or not."""
    steady = CHANCE.uniform(0.02, 0.5)
    start_time = float(10.0 ** CHANCE.uniform(-3, 1.5))
    every = start_time * float(10.0 ** CHANCE.uniform(0.05, 2))
    once = CHANCE.random() < 0.3
    chopped = CHANCE.random() < 0.6
    duty, frequency = CHANCE.uniform(0.1, 0.95), 10.0 ** CHANCE.uniform(-1, 2) / start_time
    return {
        "theta_mounted": body.theta, "heat_current": steady, "load_current": steady,
        "edge_current": steady, "start_current": steady * CHANCE.uniform(1, 4), "start_time": start_time, "starts": 1.0,
        "start_share": 0.0 if once else start_time / every, "on_duty": duty if chopped else 1.0,
        "on_time": duty / frequency if chopped else math.inf, "junction_still": 0.0, "ambient_max": 318.15,
        "every": every, "period": 1 / frequency if chopped else math.inf,
    }  # fmt: skip


def powers(f: Mapping[str, Any], part: Part, facts: dict[str, Fact], hot: float) -> tuple[Any, Any]:
    """A random stretch of this load: lengths in s and the heat of the transistor at a temperature, W."""
    end = min(4 * f["every"], 30 * f["start_time"])
    if math.isfinite(f["period"]):
        end = min(max(end, 30 * f["period"]), 600 * f["period"] + f["start_time"])
    once = f["start_share"] == 0.0
    shift = CHANCE.uniform(0, f["every"])
    begins = [end - f["start_time"]] if once else list(np.arange(shift - f["every"], end, f["every"]))
    ends = [b + f["start_time"] for b in begins]
    cuts = {0.0, end, *begins, *ends}
    on_at = None
    if math.isfinite(f["period"]):
        phase = CHANCE.uniform(0, f["period"])
        k = np.arange(-1, int(end / f["period"]) + 2)
        ons = k * f["period"] + phase
        cuts |= {*ons, *(ons + f["on_time"])}
        on_at = lambda t: (t - phase) % f["period"] < f["on_time"]  # noqa: E731
    points = np.array(sorted(c for c in cuts if 0 <= c <= end))
    middles = (points[1:] + points[:-1]) / 2
    starting = np.zeros(len(middles), bool)
    for b, e in zip(begins, ends, strict=True):
        starting |= (middles > b) & (middles < e)
    drop, base = 0.3 * hot / 298.15, told(part, facts, "base_loss")
    watts = np.where(starting, f["start_current"], f["heat_current"]) * drop + base
    return np.diff(points), watts if on_at is None else watts * on_at(middles)


def test_no_load_over_time_warms_a_transistor_more_than_told() -> None:
    """Heat at the told temperature all the time, which is the most: the junction comes out no hotter than that."""
    nearest, covered = 0.0, 0
    for _ in range(80):
        body = ladder()
        f = corner(body)
        part = stated(body, np.sort(10.0 ** CHANCE.uniform(-3.5, 2, int(CHANCE.integers(0, 9)))))
        facts = facts_of({k: v for k, v in f.items() if k in NPN.facts})
        peak, steady = told(part, facts, "tj_peak"), told(part, facts, "tj_hot")
        if not math.isfinite(peak):
            continue
        assert peak >= steady
        covered += 1
        for _ in range(4):
            rise = body.hottest(*powers(f, part, facts, peak))
            assert f["ambient_max"] + rise <= peak + 1e-6
            nearest = max(nearest, rise / (peak - f["ambient_max"]))
    assert covered > 60
    assert nearest > 0.97


def test_a_junction_integrated_with_its_own_feedback_stays_under_what_is_told() -> None:
    """Each heat capacity a state, the drop in proportion to the junction's own temperature; the start at the end."""
    for _ in range(12):
        body = ladder()
        f = corner(body) | {"on_duty": 1.0, "on_time": math.inf, "start_share": 0.0}
        part = stated(body, [f["start_time"]])
        facts = facts_of({k: v for k, v in f.items() if k in NPN.facts})
        peak, base = told(part, facts, "tj_peak"), told(part, facts, "base_loss")
        if not math.isfinite(peak):
            continue

        def warmed(begin: Any, time: float, amperes: float, base: float = base, body: Ladder = body) -> Any:
            def change(_: float, rises: Any) -> Any:
                power = amperes * 0.3 * (318.15 + rises.sum()) / 298.15 + base
                return (body.ohms * power - rises) / body.times

            return solve_ivp(change, (0, time), begin, method="LSODA", rtol=1e-8, atol=1e-9).y[:, -1]

        settled = warmed(np.zeros_like(body.ohms), 20 * float(body.times.max()), f["heat_current"])
        assert 318.15 + settled.sum() == pytest.approx(told(part, facts, "tj_hot"), abs=0.05)
        assert 318.15 + warmed(settled, f["start_time"], f["start_current"]).sum() <= peak + 1e-3


# ---- how the datasheet is read


@pytest.mark.parametrize(
    ("time", "rows", "theta_jc", "share"),
    [
        (0.02, [(0.05, "ambient", 40.0), (1.0, "ambient", 100.0)], None, 0.2),  # the next longer pulse
        (2.0, [(0.05, "ambient", 40.0), (1.0, "ambient", 100.0)], None, 1.0),  # longer than anything stated
        (0.02, [(0.05, "case", 4.0)], None, 1.0),  # long enough for a case to warm
        (0.005, [(0.05, "case", 4.0)], None, 0.02),
        (0.005, [], 10.0, 0.05),  # a case that hardly warms: no more than the way to it
        (0.005, [(0.05, "ambient", 40.0)], 10.0, 0.05),
        (0.02, [], 10.0, 1.0),
        (86400.0, [(100.0, "ambient", 190.0)], 10.0, 1.0),  # a stall of a day
        (0.02, [(0.05, "ambient", 900.0)], None, 1.0),  # never more than all of it
    ],
)
def test_how_far_one_start_warms(
    time: float, rows: list[tuple[float, str, float]], theta_jc: float | None, share: float
) -> None:
    base = npn_sink.PART
    zth = point_table("bjt", "zth", [{"pulse_width": w, "reference": r, "max": z} for w, r, z in rows])
    part = Part("bjt", "X", "", {**base.values, "theta_jc": theta_jc or math.nan}, {**base.tables, "zth": zth})
    facts = facts_of({"theta_mounted": 200.0, "start_time": time})
    assert told(part, facts, "start_single") == pytest.approx(share)


@pytest.mark.parametrize(
    ("duty", "on_time", "share"),
    [
        (0.2, 1e-9, 0.2),  # of a theta of 250 K/W: the average, and what a die of 40 K/W after 1 ms adds
        (0.2, 0.25e-3, 0.2 + 0.8 * 20 / 250),
        (0.2, 1e-3, 0.2 + 0.8 * 40 / 250),
        (0.2, 0.02, 1.0),
        (0.5, 50.0, 1.0),
        (1.0, math.inf, 1.0),
    ],
)
def test_without_a_stated_impedance_only_pulses_that_are_short_are_averaged(
    duty: float, on_time: float, share: float
) -> None:
    base = npn_sink.PART
    tables = {name: table for name, table in base.tables.items() if name != "zth"}
    facts = facts_of({"on_duty": duty, "on_time": on_time, "theta_mounted": 250.0})
    made = told(Part("bjt", "X", "", base.values, tables), facts, "on_share")
    assert made == pytest.approx(share, rel=1e-3)


@pytest.mark.parametrize(
    ("rows", "impedance"),
    [
        ([(1e-3, 20.0)], 20.0),
        ([(1e-3, 80.0)], 80.0),  # a row for a pulse as short is believed, if it is more
        ([(2e-3, 25.0)], 25.0),  # a longer pulse warms no less
        ([(1.0, 150.0)], 40.0),  # a much longer one says nothing of a short one: no worse than none stated
        ([], 40.0),
    ],
)
def test_a_short_pulse_is_read_by_its_row_else_as_a_small_die(
    rows: list[tuple[float, float]], impedance: float
) -> None:
    base = npn_sink.PART
    zth = point_table("bjt", "zth", [{"pulse_width": w, "reference": "ambient", "max": z} for w, z in rows])
    part = Part("bjt", "X", "", {**base.values, "theta_jc": math.nan}, {**base.tables, "zth": zth})
    facts = facts_of({"theta_mounted": 200.0, "on_duty": 0.1, "on_time": 1e-3})
    assert told(part, facts, "on_single") * 200.0 == pytest.approx(impedance)


def test_a_chopped_junction_without_a_stated_impedance_is_not_told_cooler_than_its_peak() -> None:
    """1 ms on in 10 ms, a ladder as a small package has: its peak in the settled train, far above its average."""
    body = Ladder(np.array([5.0, 15.0, 20.0, 40.0, 120.0]), np.array([1e-4, 1e-3, 1e-2, 0.1, 20.0]))
    rises = np.zeros(5)
    watts = 2.0
    rises += 0.1 * watts * body.ohms  # begins at its average, and settles around it
    peak = 0.0
    for _ in range(400):
        for length, power in ((1e-3, watts), (9e-3, 0.0)):
            rises = body.ohms * power + (rises - body.ohms * power) * np.exp(-length / body.times)
            peak = max(peak, float(rises.sum()))
    base = npn_sink.PART
    tables = {name: table for name, table in base.tables.items() if name != "zth"}
    part = Part("bjt", "X", "", {**base.values, "theta_jc": math.nan}, tables)
    facts = facts_of({"theta_mounted": body.theta, "on_duty": 0.1, "on_time": 1e-3})
    assert peak > 1.5 * 0.1 * watts * body.theta
    assert told(part, facts, "on_share") * watts * body.theta >= peak


@pytest.mark.parametrize(("square", "thick"), [(0.25e-6, 0.3e-3), (0.25e-6, 0.1e-3), (0.09e-6, 0.15e-3)])
def test_a_small_die_stays_under_the_impedance_taken_of_it(square: float, thick: float) -> None:
    """Heat into the face of hot silicon in slices, through solder into a copper frame as wide as the die."""
    layers = [(thick, 110.0, 1.7e6), (25e-6, 35.0, 1.6e6), (0.2e-3, 350.0, 3.4e6)]  # m, W/(m·K), J/(m³·K)
    depth, conducts, holds = (
        np.concatenate([np.full(20, layer[i] / (20 if i == 0 else 1)) for layer in layers]) for i in range(3)
    )
    between = square / (depth[1:] / conducts[1:] / 2 + depth[:-1] / conducts[:-1] / 2)
    body = np.zeros((60, 60))
    for i, g in enumerate(between):
        body[i : i + 2, i : i + 2] += g * np.array([[-1, 1], [1, -1]])
    body /= (square * depth * holds)[:, None]
    source = np.zeros(60)
    source[0] = 1.0 / (square * depth[0] * holds[0])
    found = solve_ivp(
        lambda _, t: body @ t + source, (0, 1e-3), np.zeros(60), method="BDF", jac=body, dense_output=True
    )
    for time in (2e-5, 1e-4, 3e-4, 1e-3):
        assert found.sol(time)[0] < 40.0 * math.sqrt(time / 1e-3)


# ---- a MOSFET through a stall


@pytest.mark.parametrize(
    ("time", "zth", "passes"),
    [
        (60.0, 1.0, True),  # covered by the row
        (86400.0, 1.0, False),  # a day is longer than anything stated
        (60.0, 60.0, False),
    ],
)
def test_a_stall_of_a_mosfet_is_judged_as_far_as_it_is_stated(time: float, zth: float, passes: bool) -> None:
    role, base = ROLES["mosfet-switch"], mosfet_switch.PART
    rows = point_table("mosfet", "zth", [{"pulse_width": 100.0, "reference": "ambient", "max": zth}])
    part = Part("mosfet", "X", "", base.values, {**base.tables, "zth": rows})
    made: dict[str, Any] = {**dict.fromkeys(role.facts), **mosfet_switch.FACTS, "heat_current": 1.0, "edge_current": 1.0,
                            "start_current": 6.0, "start_time": time, "long_start": 1.0, "switch_frequency": 0.0}  # fmt: skip
    for name in role.facts:
        if name.startswith("k_"):
            made[name] = DATASHEET.value(name[2:])
        elif name.startswith("assumed_"):
            made[name] = DATASHEET.assumption(name[8:])
    facts = {name: Fact(value) for name, value in made.items()}
    found = {f.id: f.verdict for f in explain(role, part, facts, 0.1)}
    assert (found["pulse-rise"] >= Verdict.TIGHT) is passes
    assert found["junction-rise"] >= Verdict.TIGHT, "what lasts is the running current"
    p, _ = open_views(role, part, facts)
    warmed = float(p.dissipation.value)
    assert warmed >= 36 * 0.05 or warmed != warmed, "the enclosure takes the whole heat of a stall that lasts long"
