"""What a MOSFET that is on drops and carries: transistors drawn at random that keep every stated row, solved.

A piece is a square-law channel, whose mobility may fall with the gate voltage, in series with a resistance. It is
as weak as the stated rows let it be, or stronger. Cold it has a higher threshold; hot it has all of its resistance
multiplied by the stated factor. Nothing here is taken from ``roles/``.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck.parts.part import Part
from tests.roles.test_mosfet_switch import PART, PASS, T25, changed, facts_of, judged, number

RANDOM = np.random.default_rng(20250311)
FACTORS = [{"tj": T25 + 75, "max": 1.55}, {"tj": T25 + 150, "max": 2.3}]


def factor_at(temperature: float) -> float:
    return float(np.interp(temperature, [T25, T25 + 75, T25 + 150], [1.0, 1.55, 2.3]))


@dataclass(frozen=True)
class Piece:
    """Threshold V at 25 °C, transconductance A/V², loss of mobility 1/V, resistance in series Ω."""

    threshold: float
    k: float
    bend: float
    series: float

    def channel(self, over: float, current: float, k: float) -> float:
        """Drop of the channel alone; infinite where it saturates."""
        k = k / (1 + self.bend * max(over, 0.0))
        inside = over * over - 2 * current / k
        return over - math.sqrt(inside) if over > 0 and inside >= 0 else math.inf

    def drop(self, vgs: float, current: float, temperature: float, tempco: float) -> float:
        over = vgs - self.threshold - tempco * (temperature - T25)
        # hot: all of the resistance by the stated factor; cold: no less resistance, a little more mobility
        factor = factor_at(temperature) if temperature > T25 else 1.0
        gain = 1 / factor if temperature > T25 else (T25 / temperature) ** 0.5
        if temperature > T25:
            over = vgs - self.threshold  # a factor that is stated has the fall of the threshold in it
        return self.channel(over, current, self.k * gain) + current * self.series * factor


def weakest(rows: list[dict[str, float]], threshold: float, bend: float, share: float) -> Piece | None:
    """The weakest piece that keeps every row, with a share of the tightest resistance in series."""
    series = share * min(row["max"] for row in rows)
    k = 0.0
    for row in rows:
        over, drop = row["vgs"] - threshold, row["id"] * (row["max"] - series)
        if drop >= over:
            return None  # it would have to be saturated at the test
        k = max(k, row["id"] / (over * drop - drop * drop / 2) * (1 + bend * over))
    return Piece(threshold, k, bend, series)


def some_rows() -> list[dict[str, float]]:
    """One to three rows of a datasheet: gate voltage, current, largest resistance."""
    ohms, amperes = math.exp(RANDOM.uniform(math.log(0.01), math.log(2))), RANDOM.uniform(0.1, 0.8)
    rows = [{"vgs": 4.5, "id": float(amperes / ohms), "max": ohms}]
    if RANDOM.random() < 0.5:
        rows.append({"vgs": 4.5, "id": float(2 * amperes / ohms), "max": ohms * 1.2})
    if RANDOM.random() < 0.5:
        rows.append({"vgs": 2.5, "id": float(0.3 * amperes / ohms), "max": ohms * float(RANDOM.uniform(1.3, 2.5))})
    return rows


@dataclass(frozen=True)
class Case:
    """A datasheet in a circuit, the temperature its junction is said to reach, and pieces of it."""

    part: Part
    facts: dict[str, Any]
    rows: list[dict[str, float]]
    top: float
    tempco: float

    @property
    def current(self) -> float:
        return float(self.facts["load_current"])

    def worst(self, pieces: int) -> tuple[float, float]:
        """Largest drop of many pieces, over hot and cold, and largest resistance in the cold."""
        high = number(self.part, self.facts, "gate_high_min")
        worst = cold = 0.0
        coldest = self.facts["ambient_min"]
        for i in range(pieces):
            piece = weakest(self.rows, self.top - (0.0 if i % 2 else float(RANDOM.uniform(0, 1.0))),
                            float(RANDOM.choice([0.0, 0.1, 0.5])), float(RANDOM.choice([0.0, 0.3, 0.7])))  # fmt: skip
            if piece is None:
                continue
            hottest = number(self.part, self.facts, "tj_peak")
            for temperature in (coldest, float(RANDOM.uniform(coldest, T25)), T25, min(hottest, T25 + 150)):
                drop = piece.drop(high, self.current, temperature, self.tempco)
                worst = max(worst, drop)
                cold = max(cold, drop) if temperature <= T25 else cold
        return worst, cold


def cases(count: int) -> Iterator[Case]:
    for _ in range(count):
        rows, top = some_rows(), float(RANDOM.uniform(1.0, 1.9))
        tempco = -float(RANDOM.uniform(0.002, 0.008))
        part = changed(PART, {"vgs_th_min": top - 1.0, "vgs_th_max": top, "vgs_th_tempco": tempco},
                       rds_on=sorted(rows, key=lambda row: (row["vgs"], row["id"])), rds_on_factor=FACTORS)  # fmt: skip
        reached = float(RANDOM.choice([row["vgs"] for row in rows])) + float(RANDOM.uniform(0.0, 0.2))
        current = max(row["id"] for row in rows) * float(RANDOM.uniform(0.2, 1.6))
        facts = facts_of({"drive_high_min": reached, "divider_series": 0.0, "pulldown_min": 1e12, "lift": 0.0,
                          "load_current": current, "heat_current": current, "switch_frequency": 0.0, "theta_mounted": 1.0,
                          "ambient_min": float(RANDOM.uniform(223, 298)), "ambient_max": float(RANDOM.uniform(300, 330)),
                          "inrush_current": None})  # fmt: skip
        yield Case(part, facts, rows, top, tempco)


def test_no_piece_drops_more_than_said_hot_or_cold() -> None:
    """And what is said is near the worst piece: the drops in between are what a needless refusal would cost."""
    slack, unknown, cold = [], 0, 0
    for case in cases(150):
        said = number(case.part, case.facts, "on_drop_hot")
        if said != said:
            unknown += 1
            continue
        worst, coldest = case.worst(8)
        assert worst <= said * (1 + 1e-9), case
        slack.append(said / worst)
        cold += coldest > 1.02 * case.current * number(case.part, case.facts, "rds_on_stated")
    assert cold > 10, "the cold is the worst end in some"
    assert np.median(slack) < 1.1
    assert unknown < 75


def test_what_is_said_to_be_carried_is_carried_by_every_piece() -> None:
    nearest, told = math.inf, 0
    for case in cases(120):
        part = changed(
            case.part, idm=[{"pulse_width": 1.0, "max": 1e5}], soa=[{"pulse_width": 1.0, "vds": 60.0, "max": 1e5}]
        )
        facts = {**case.facts, "inrush_current": case.current}
        carried = min(pair.capability for pair in judged(part, facts)["inrush"].compared)
        if carried != carried or carried < 0.05 * case.current or case.current > carried:
            continue
        told += 1
        for _ in range(8):
            piece = weakest(
                case.rows, case.top - float(RANDOM.choice([0.0, 0.5])), 0.1, float(RANDOM.choice([0.0, 0.5]))
            )
            if piece is None:
                continue
            high, worst = number(part, facts, "gate_high_min"), 0.0
            for temperature in (facts["ambient_min"], T25, min(number(part, facts, "tj_peak"), T25 + 150)):
                assert piece.drop(high, case.current, temperature, case.tempco) < math.inf
                drop = piece.drop(high, carried, temperature, case.tempco)
                worst = max(worst, drop)
            nearest = min(nearest, worst)
    assert told > 40
    assert nearest < math.inf


def test_rows_of_one_gate_voltage_that_differ_are_read_at_or_above_the_current() -> None:
    rows = [{"vgs": 4.5, "id": 2.0, "max": 0.05}, {"vgs": 4.5, "id": 20.0, "max": 0.09}]
    part = changed(PART, rds_on=rows)
    assert number(part, facts_of({"load_current": 2.0}), "rds_on_stated") == 0.05
    assert number(part, facts_of({"load_current": 8.0}), "rds_on_stated") == 0.09
    above = facts_of({"load_current": 22.0, "heat_current": 22.0, "theta_mounted": 0.01, "ambient_max": T25})
    assert number(part, above, "rds_on_stated") == 0.05
    cool = changed(part, rds_on_factor=[{"tj": T25 + 5, "max": 1.02}])
    assert number(cool, above, "on_drop_hot") > 22.0 * 0.05 * 1.2


def test_a_row_keeps_its_own_gate_voltage_and_current() -> None:
    """The current of one row and the gate voltage of another are no statement of the datasheet."""
    rows = [{"vgs": 2.5, "id": 1.0, "max": 0.05}, {"vgs": 4.5, "id": 5.0, "max": 0.05}]
    f = facts_of({"load_current": 3.0})
    part = changed(PART, rds_on=rows)
    assert number(part, f, "rds_on_vgs") == 4.5
    assert number(part, f, "rds_on_id") == 5.0


def test_little_overdrive_narrows_the_channel_in_the_cold() -> None:
    """Read at 2.5 V with a threshold up to 1.5 V: 1 V over it at 25 °C, 0.62 V at −50 °C."""
    rows = [{"vgs": 2.5, "id": 2.0, "max": 0.05}]
    part = changed(PART, {"vgs_th_max": 1.5}, rds_on=rows)
    f = facts_of({"drive_high_min": 2.5, "divider_series": 0.0, "lift": 0.0, "ambient_min": T25 - 75, "ambient_max": T25,
                  "switch_frequency": 0.0, "theta_mounted": 0.1})  # fmt: skip
    cold = number(part, f, "on_drop_cold")
    k = 2.0 / (1.0 * 0.1 - 0.1**2 / 2)
    reference = brentq(lambda v: k * (0.625 * v - v * v / 2) - 2.0, 0, 0.625)
    assert cold == pytest.approx(reference)
    assert number(part, f, "on_drop_hot") == cold
    assert cold > 1.5 * 0.1
    frozen = facts_of({**f, "drive_high_min": 2.5, "load_current": 6.0, "inrush_current": None})
    assert judged(part, frozen)["on-drop"].verdict not in PASS, "at 6 A it saturates in the cold"


def test_a_pulse_in_the_cold_heats_with_the_cold_drop() -> None:
    rows = [{"vgs": 2.5, "id": 2.0, "max": 0.05}]
    part = changed(PART, {"vgs_th_max": 1.5}, rds_on=rows, rds_on_factor=[{"tj": T25 + 150, "max": 1.01}])
    f = facts_of({"drive_high_min": 2.5, "divider_series": 0.0, "lift": 0.0, "ambient_min": T25 - 60, "inrush_current": 3.0,
                  "switch_frequency": 0.0})  # fmt: skip
    warm, cold = judged(part, f)["pulse-rise"].compared
    k = 2.0 / (1.0 * 0.1 - 0.1**2 / 2)
    drop = brentq(lambda v: k * (0.7 * v - v * v / 2) - 3.0, 0, 0.7)
    assert cold.demand == pytest.approx(25 - 45 + 3.0 * drop * 62.0 * number(part, f, "start_single"))
    assert judged(part, {**f, "start_current": 8.0})["pulse-rise"].verdict not in PASS
    assert warm.capability == cold.capability


def test_no_piece_passes_less_in_a_short_than_is_sure() -> None:
    """Hot and cold, saturated or limited by the path: the fuse never takes longer than is told."""
    ratios = []
    for case in cases(120):
        volts, ohms = float(RANDOM.uniform(5, 24)), math.exp(RANDOM.uniform(math.log(0.02), math.log(5)))
        most = volts / ohms
        facts = {
            **case.facts,
            "short_volts": volts,
            "short_resistance": ohms,
            "short_current": most,
            "short_rail": volts,
        }
        sure, high = number(case.part, facts, "short_least"), number(case.part, facts, "gate_high_min")
        for i in range(6):
            piece = weakest(case.rows, case.top - (0.0 if i % 2 else float(RANDOM.uniform(0, 1.0))),
                            float(RANDOM.choice([0.0, 0.1, 0.5])), float(RANDOM.choice([0.0, 0.3, 0.7])))  # fmt: skip
            for temperature in (facts["ambient_min"], T25, T25 + 150) if piece is not None and sure == sure else ():
                assert piece is not None

                def left(amperes: float, piece: Piece = piece, temperature: float = temperature,
                         case: Case = case, ohms: float = ohms, volts: float = volts, high: float = high) -> float:  # fmt: skip
                    return volts - amperes * ohms - min(piece.drop(high, amperes, temperature, case.tempco), 1e3)

                true = brentq(left, 1e-9, most) if left(1e-9) > 0 else 0.0
                assert true >= sure * (1 - 1e-6), case
                ratios.append(true / max(sure, 1e-9))
    assert len(ratios) > 300
    assert np.median(ratios) < 6.0
