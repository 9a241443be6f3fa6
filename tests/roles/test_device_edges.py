"""A MOSFET's edges and its turn-off: transistors whose capacitances fall with the drain voltage, integrated.

Their charges, measured as a maker does, are what the datasheet states as largest; threshold, steepness and the law of
the capacitance are drawn at random. The load is inductive with an ideal clamp. Nothing here is taken from ``roles/``.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from partcheck.parts.part import Part
from partcheck.policy import DATASHEET
from tests.roles.test_mosfet_switch import PART, T25, changed, facts_of, judged, number

RANDOM = np.random.default_rng(20250407)
CLAMP = 50.0
"""A/V: how hard the ideal clamp holds."""


def drawn(low: float, high: float) -> float:
    return math.exp(RANDOM.uniform(math.log(low), math.log(high)))


@dataclass(frozen=True)
class Transistor:
    """Threshold V, steepness A/V², gate-source capacitance F, and that to the drain at 0 V with the law of its fall."""

    threshold: float
    k: float
    cgs: float
    cgd: float
    phi: float
    power: float
    cds: float

    def miller(self, volts: float) -> float:
        return self.cgd / (1 + max(volts, 0.0) / self.phi) ** self.power

    def current(self, vgs: float, vds: float) -> float:
        over = vgs - self.threshold
        if over <= 0 or vds <= 0:
            return 0.0
        return self.k * (over * vds - vds * vds / 2) if vds < over else self.k * over * over / 2

    def swing(self, current: float) -> float:
        return math.sqrt(2 * current / self.k)

    def drop(self, vgs: float, current: float) -> float:
        over = vgs - self.threshold
        inside = over * over - 2 * current / self.k
        return over - math.sqrt(inside) if over > 0 and inside > 0 else math.nan

    def charges(self, vds: float, current: float) -> tuple[float, float]:
        """To the start of the plateau, and along it down to the edge of saturation."""
        plateau = self.threshold + self.swing(current)
        along = quad(self.miller, self.swing(current) - plateau, vds - plateau)[0]
        return (self.cgs + self.miller(vds)) * plateau, along

    def total(self, vds: float, vgs: float) -> float:
        return float(self.cgs * vgs + quad(self.miller, -vgs, vds)[0])


@dataclass(frozen=True)
class Drive:
    """Level before and after the step V, resistance Ω; rail V and coil current A."""

    start: float
    end: float
    ohms: float
    rail: float
    current: float


def switched(t: Transistor, d: Drive) -> Any:
    """Time, drain voltage and heat in the channel after a step of the drive."""
    rising = d.end > d.start

    def change(_: float, y: Any) -> list[float]:
        vgs, vds, _heat = y
        cgd, cds = t.miller(vds - vgs), t.cds / math.sqrt(1 + max(vds, 0.0) / t.phi)
        gate, channel = (d.end - vgs) / d.ohms, t.current(vgs, vds)
        drain = d.current - max(vds - d.rail, 0.0) * CLAMP - channel
        a, b, c = t.cgs + cgd, -cgd, cds + cgd
        det = a * c - b * b
        return [(gate * c - drain * b) / det, (drain * a - gate * b) / det, channel * vds]

    start = [d.start, d.rail + d.current / CLAMP if rising else t.drop(d.start, d.current), 0.0]
    span = 60 * d.ohms * (t.cgs + 5 * t.cgd)
    run = solve_ivp(change, (0, span), start, method="LSODA", rtol=1e-6, atol=[1e-8, 1e-8, 1e-15])
    return run.t, run.y[1], run.y[2]


def edge_heat(t: Transistor, d: Drive) -> float:
    """Heat of the edge without that of conduction: up to 2 % of the swing over the drop, or from there."""
    rising = d.end > d.start
    on = t.drop(max(d.start, d.end), d.current)
    _, volts, heat = switched(t, d)
    near = on + 0.02 * (d.rail - on)
    if rising:
        return float(heat[np.argmax(volts <= near)]) if volts.min() <= near else math.nan
    return float(heat[-1] - heat[np.argmax(volts >= near)])


@dataclass(frozen=True)
class Case:
    """A datasheet in a circuit, with the family of transistors it is about."""

    part: Part
    facts: dict[str, Any]
    typical: Transistor
    low: float
    high: float
    tempco: float
    swing: float
    plateau_id: float

    def piece(self, threshold: float, temperature: float, steep: float) -> Transistor:
        k = 2 * self.plateau_id / (self.swing * steep) ** 2
        return replace(self.typical, threshold=threshold + self.tempco * (temperature - T25), k=k)

    def drive(self, start: float, end: float) -> Drive:
        f = self.facts
        return Drive(start, end, f["source_max"] + f["gate_resistor_max"] + 3.0, f["drain_clamped"], f["load_current"])


def cases(count: int) -> Iterator[Case]:
    for _ in range(count):
        rated, low = float(RANDOM.choice([20.0, 30.0, 60.0, 100.0])), RANDOM.uniform(0.8, 2.0)
        high = low + RANDOM.uniform(0.4, 1.5)
        plateau_id, swing, cgs = drawn(0.5, 20), RANDOM.uniform(0.3, 1.5), drawn(1e-10, 4e-9)
        cgd = cgs * drawn(0.1, 2)
        t = Transistor((low + high) / 2, 2 * plateau_id / swing**2, cgs, cgd, RANDOM.uniform(0.4, 1.0),
                       RANDOM.uniform(0.3, 0.9), cgd * drawn(0.1, 1))  # fmt: skip
        tested = rated * float(RANDOM.choice([0.5, 0.8]))
        family = [replace(t, threshold=v, k=2 * plateau_id / (swing * steep) ** 2)
                  for v in (low, t.threshold, high) for steep in (0.9, 1.1)]  # fmt: skip
        charges = [piece.charges(tested, plateau_id) for piece in family]
        tempco = -float(RANDOM.uniform(0.002, 0.006))
        level = float(RANDOM.choice([3.3, 5.0, 10.0]))
        stored = t.cds / math.sqrt(1 + 0.5 * rated / t.phi)
        part = changed(PART, {
            "vds_max": rated, "vgs_th_min": low, "vgs_th_typ": t.threshold, "vgs_th_max": high, "vgs_th_tempco": tempco,
            "v_plateau_typ": t.threshold + swing, "plateau_id": plateau_id, "qgs_max": max(c[0] for c in charges),
            "qgd_max": max(c[1] for c in charges), "qg_max": max(p.total(tested, level) for p in family),
            "coss_max": stored * 1.2,
        })  # fmt: skip
        ohms = drawn(20, 5000)
        facts = facts_of({
            "drain_clamped": rated * RANDOM.uniform(0.1, 0.8), "load_current": plateau_id * drawn(0.03, 2), "drive_edge": 0.0,
            "gate_resistor_max": ohms, "source_max": 30.0, "drive_high_min": level, "drive_high_max": level,
            "divider_series": 0.0, "pulldown_min": 1e12, "lift": 0.0, "noise": 0.0, "drive_low_max": RANDOM.uniform(0, 0.3),
            "switch_frequency": 1.0, "ambient_min": RANDOM.uniform(233, 298), "heat_current": 0.01,
        })  # fmt: skip
        yield Case(part, facts, t, low, high, tempco, swing, plateau_id)


def test_no_transistor_turns_more_to_heat_in_its_edges_than_said() -> None:
    """One turn-on and one turn-off; and what is said is a few times the simulated, not tens."""
    ratios = []
    for case in cases(90):
        f, hottest = case.facts, number(case.part, case.facts, "tj_peak")
        said = number(case.part, f, "edge_loss")
        if said != said:
            continue
        cold, hot = case.piece(case.high, f["ambient_min"], 1.1), case.piece(case.low, hottest, 0.9)
        low = f["drive_low_max"]
        on = edge_heat(cold, case.drive(low, f["drive_high_min"]))
        off = edge_heat(hot, case.drive(f["drive_high_min"], low)) if hot.threshold > low else math.nan
        if math.isnan(on + off):
            continue
        assert on + off <= said, case
        ratios.append(said / (on + off))
    assert len(ratios) > 40
    assert np.median(ratios) < 3.0
    assert np.quantile(ratios, 0.9) < 5.0


@pytest.mark.parametrize("stated", ["qgd_max", "qg_max"])
def test_no_transistor_turns_off_later_than_said(stated: str) -> None:
    """From the drive's low level to a drain that has risen; with the parts of the charge stated, or the total alone."""
    ratios = []
    for case in cases(70):
        f = {**case.facts, "heat_current": 0.0}
        part = changed(case.part, {("qg_max" if stated == "qgd_max" else "qgd_max"): None},
                       rds_on=[{"vgs": f["drive_high_min"], "max": 1e-4}])  # fmt: skip
        said, junction = number(part, f, "turn_off_time"), number(part, f, "tj_peak")
        piece = replace(case.piece(case.low, T25 if junction != junction else junction, 0.9), cds=1e-15)
        if piece.threshold < f["drive_low_max"] + 0.05 or math.isnan(
            piece.drop(f["drive_high_max"], f["load_current"])
        ):
            continue
        time, volts, _ = switched(piece, case.drive(f["drive_high_max"], f["drive_low_max"]))
        took = float(time[np.argmax(volts >= 0.98 * f["drain_clamped"])])
        assert took <= said, case
        ratios.append(said / took)
    assert len(ratios) > 30
    assert np.median(ratios) < 8.0


def test_no_edge_is_faster_than_said_on_a_rail_below_the_test_voltage() -> None:
    """The plateau charge as measured up to the rated voltage, of which a lower rail moves less."""
    ratios, short_of_all = [], 0
    for case in cases(40):
        f, rail = case.facts, case.facts["drain_clamped"]
        tested = case.part.number("vds_max") * float(RANDOM.choice([0.5, 0.8, 1.0]))
        t = replace(case.typical, cds=1e-15)
        part = changed(case.part, {"qgd_min": t.charges(tested, case.plateau_id)[1]})
        level, low, ohms = f["drive_high_max"], f["drive_low_max"], f["gate_resistor_max"]
        f |= {"gate_resistor_min": ohms, "source_min": 0.0, "drive_low_min": low, "edge_rail": rail, "edge_least": 1e-9}
        said = judged(part, f)["fastest-edge"].compared[0].capability
        if math.isnan(t.drop(level, f["load_current"])):
            continue
        for start, end in ((low, level), (level, low)):
            time, volts, _ = switched(t, Drive(start, end, ohms, rail, f["load_current"]))
            bottom, top = float(volts.min()), float(volts.max())
            inside = time[(volts > bottom + 0.02 * (top - bottom)) & (volts < bottom + 0.98 * (top - bottom))]
            took = float(inside[-1] - inside[0])
            assert took >= said, case
            ratios.append(took / said)
            short_of_all += took < said * max(part.number("vds_max") / rail, 1.0)  # with all of the charge counted
    assert len(ratios) > 40
    assert short_of_all >= 5


def test_a_slow_gate_is_counted_in_the_release() -> None:
    fast = facts_of({"unclamped_inductance": 0.1, "release_inductance": 0.1, "release_resistance": 6.0, "beside_resistance": 1e12, "beside_inductance": 0.0, "beside_behind": 0.0, "release_end": 0.2,
                     "release_current": 2.0, "release_time": 0.01, "rail_max": 12.6})  # fmt: skip
    slow = {**fast, "gate_resistor_max": 47e3}
    later = number(PART, slow, "release_longest") - number(PART, fast, "release_longest")
    assert later > 1e-3
    assert later == pytest.approx(number(PART, slow, "turn_off_time") - number(PART, fast, "turn_off_time"))


def test_a_gate_charge_that_is_not_stated_is_assumed_only_where_the_policy_says_so() -> None:
    bare = changed(PART, {"qgd_max": None, "qg_max": None})
    assert number(bare, facts_of(), "turn_off_time") == pytest.approx(200e-9 * (60 + 3.0 + 105))
    assert math.isnan(number(bare, facts_of(policy=DATASHEET), "turn_off_time"))
    assert number(PART, facts_of(policy=DATASHEET), "turn_off_time") > 0


def test_equal_gates_on_one_output_switch_no_later_than_said() -> None:
    """Three of them pass three times the current through the source resistance."""
    ratios = []
    for case in cases(40):
        source = drawn(50, 2000)
        f = {**case.facts, "source_max": source, "heat_current": 0.0}
        f["drive_other_charge"] = 2 * number(case.part, f, "gate_charge")
        said, junction = number(case.part, f, "turn_off_time"), number(case.part, f, "tj_peak")
        piece = replace(case.piece(case.low, T25 if junction != junction else junction, 0.9), cds=1e-15)
        start, low = f["drive_high_max"], f["drive_low_max"]
        assert not said < 0, case  # a gate that cannot be pulled below its threshold never lets go
        if said != said or piece.threshold < low + 0.05 or math.isnan(piece.drop(start, f["load_current"])):
            continue
        ohms = f["gate_resistor_max"] + 3.0 + 3 * source
        time, volts, _ = switched(piece, Drive(start, low, ohms, f["drain_clamped"], f["load_current"]))
        took = float(time[np.argmax(volts >= 0.98 * f["drain_clamped"])])
        assert took <= said, case
        ratios.append(said / took)
    assert len(ratios) > 15
    assert np.median(ratios) < 12.0
