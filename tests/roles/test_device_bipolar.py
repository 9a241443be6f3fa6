"""An NPN's saturation and its off state: transistors after Gummel and Poon, drawn at random, solved.

High injection, Early effect, leakage of the emitter junction, series resistances. Gain and one row of saturation are
stated as the transistor itself shows them at 25 °C. Nothing here is taken from ``roles/``.
"""

import math
from dataclasses import dataclass

import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck.requirement import Verdict
from tests.roles.test_npn_sink import K_Q, T25, changed, examples, facts_of, judged, number

RANDOM = np.random.default_rng(20250519)


def drawn(low: float, high: float) -> float:
    return math.exp(RANDOM.uniform(math.log(low), math.log(high)))


@dataclass(frozen=True)
class Transistor:
    """Saturation current A, gains, knee A, Early voltage V, leakage of the emitter junction A, its slope, resistances Ω."""

    i_s: float
    forward: float
    reverse: float
    knee: float
    early: float
    leak: float
    slope: float
    rc: float
    re: float

    def currents(self, vbe: float, vbc: float, temperature: float) -> tuple[float, float]:
        """Collector and base current at the inner voltages."""
        t, vt = temperature / T25, K_Q * temperature
        i_s = self.i_s * t**3 * math.exp(1.12 / K_Q * (1 / T25 - 1 / temperature))
        leak = self.leak * (i_s / self.i_s) ** (1 / self.slope)
        f, r = i_s * math.expm1(min(vbe / vt, 200)), i_s * math.expm1(min(vbc / vt, 200))
        charge = (1 + math.sqrt(1 + 4 * max(f, 0.0) / self.knee)) / 2 / (1 - min(vbc, 0.9) / self.early)
        base = f / (self.forward * t**1.5) + leak * math.expm1(min(vbe / (self.slope * vt), 200)) + r / self.reverse
        return (f - r) / charge - r / self.reverse, base

    def drop(self, ic: float, ib: float, temperature: float) -> float:
        """Collector-emitter voltage; infinite where it cannot carry ``ic``."""

        def vbe(vbc: float) -> float:
            return float(brentq(lambda v: self.currents(v, vbc, temperature)[1] - ib, -5, 1.4))

        def over(vbc: float) -> float:
            return self.currents(vbe(vbc), vbc, temperature)[0] - ic

        if over(-30.0) <= 0:
            return math.inf
        t = temperature / T25
        i_s = self.i_s * t**3 * math.exp(1.12 / K_Q * (1 / T25 - 1 / temperature))
        high = K_Q * temperature * math.log(ib * self.reverse / i_s + 1) * (1 - 1e-12)
        vbc = brentq(over, -30.0, high, xtol=1e-12)
        return float(vbe(vbc) - vbc + ic * self.rc + (ic + ib) * self.re)

    def gain(self, ic: float, vce: float, temperature: float) -> float:
        def over(log: float) -> float:
            return min(self.drop(ic, math.exp(log), temperature), 50.0) - vce

        low, high = math.log(ic / 3000), math.log(ic)
        return math.nan if over(high) > 0 else ic / math.exp(brentq(over, low, high, xtol=1e-9))


def some_transistor() -> Transistor:
    i_s = drawn(1e-15, 1e-12)
    return Transistor(i_s, RANDOM.uniform(80, 500), drawn(0.5, 20), drawn(0.02, 1), drawn(25, 200), i_s * drawn(1, 300),
                      RANDOM.uniform(1.4, 2), drawn(0.1, 5), drawn(0.02, 0.8))  # fmt: skip


def test_no_transistor_drops_more_than_its_row_and_its_gain_say() -> None:
    """And what is said is less than three times that, in the middle, of a weakly driven one; a line alone says five."""
    ratios = []
    for _ in range(130):
        t = some_transistor()
        at, vce = t.knee * drawn(0.02, 1.5), float(RANDOM.choice([1.0, 1.0, 2.0, 5.0]))
        forced_there = float(RANDOM.choice([10.0, 20.0]))
        row = t.drop(at, at / forced_there, T25)
        load, temperature = at * drawn(0.1, 1), float(RANDOM.choice([T25, 243.15, 358.15]))
        gains = [t.gain(ic, vce, T25) for ic in (load, at)]
        cold = t.gain(load, vce, min(temperature, T25))
        if not math.isfinite(row) or any(math.isnan(g) for g in (*gains, cold)):
            continue
        factor = min(cold / gains[0], 1.0)
        forced = min(gains[0] * factor * RANDOM.uniform(0.2, 0.75), 0.5 * load / 1e-6)
        part = changed(
            examples.PART, {"vceo": 60.0},
            hfe=[{"ic": ic, "vce": vce, "min": g} for ic, g in zip((load, at), gains, strict=True)],
            hfe_factor=[{"tj": 223.15, "min": factor}, {"tj": 473.15, "min": 1.0}],
            vce_sat=[{"ic": at, "ib": at / forced_there, "max": row}],
            vbe_sat=[{"ic": at, "ib": 10 * load / forced, "max": 1e-3}],
        )  # fmt: skip
        ohms = 3.0 * forced / load  # a base-emitter voltage of next to none: the base current is the circuit's own
        f = facts_of({
            "load_current": load, "heat_current": load, "start_current": load, "drive_high_min": 3.0, "lift": 0.0,
            "high_at": 0.0, "drive_other": 0.0, "source_min": 0.0, "source_max": 0.0, "base_resistor_min": ohms,
            "base_resistor_max": ohms, "base_emitter_min": 1e15, "rail_max": 24.0, "vbe_tempco": 0.0,
            "ambient_min": min(temperature, T25), "ambient_max": temperature, "theta_mounted": 1e-6,
        })  # fmt: skip
        said = number(part, f, "on_drop_hot")
        if said != said:
            continue
        base = number(part, f, "base_current_min")
        true = t.drop(load, base, temperature)
        assert true <= said * (1 + 1e-6), (t, at, load, forced, temperature, vce)
        ratios.append(said / true)
    assert len(ratios) > 60
    assert np.median(ratios) < 2.8


def test_no_transistor_drops_more_than_the_line_between_its_rows() -> None:
    """Two or three rows around the load, each driven as hard as it happens: the drop at 25 °C is bounded, and closely."""
    ratios = []
    for _ in range(90):
        t, vce = some_transistor(), float(RANDOM.choice([1.0, 2.0, 5.0]))
        rows = sorted(t.knee * drawn(0.005, 1.5) for _ in range(int(RANDOM.choice([2, 3]))))
        load = math.exp(RANDOM.uniform(math.log(rows[0]), math.log(rows[-1])))
        forced_at = [float(RANDOM.choice([10.0, 20.0])) for _ in rows]
        drops = [t.drop(ic, ic / forced, T25) for ic, forced in zip(rows, forced_at, strict=True)]
        gains = [(ic, t.gain(ic, vce, T25)) for ic in sorted([load, *rows])]
        if not all(map(math.isfinite, drops)) or any(math.isnan(gain) for _, gain in gains):
            continue
        forced = dict(gains)[load] * RANDOM.uniform(0.05, 0.6)
        part = changed(
            examples.PART, {"vceo": 60.0}, hfe=[{"ic": ic, "vce": vce, "min": g} for ic, g in gains],
            hfe_factor=[{"tj": 223.15, "min": 1.0}, {"tj": 473.15, "min": 1.0}],
            vce_sat=[{"ic": i, "ib": i / f, "max": v} for i, f, v in zip(rows, forced_at, drops, strict=True)],
            vbe_sat=[{"ic": rows[-1], "ib": 10 * rows[-1], "max": 1e-3}],
        )  # fmt: skip
        ohms = 3.0 * forced / load
        f = facts_of({
            "load_current": load, "heat_current": load, "start_current": load, "drive_high_min": 3.0, "lift": 0.0,
            "high_at": 0.0, "drive_other": 0.0, "source_min": 0.0, "source_max": 0.0, "base_resistor_min": ohms,
            "base_resistor_max": ohms, "base_emitter_min": 1e15, "rail_max": 24.0, "vbe_tempco": 0.0,
            "ambient_min": T25, "ambient_max": T25, "theta_mounted": 1e-6,
        })  # fmt: skip
        said = number(part, f, "on_drop_hot")
        if said != said:
            continue
        true = t.drop(load, number(part, f, "base_current_min"), T25)
        assert true <= said * (1 + 1e-6), (t, rows, forced_at, load, forced, vce)
        ratios.append(said / true)
    assert len(ratios) > 60
    assert np.median(ratios) < 2.2


def test_the_heat_of_a_base_is_no_more_than_its_junction_takes() -> None:
    """A base of the highest stated voltage: its heat is met where it is all there is, and never exceeded below."""
    for _ in range(60):
        level, ohms, highest = RANDOM.uniform(2.0, 5.5), drawn(200, 5e3), RANDOM.uniform(0.7, 1.3)
        part = changed(examples.PART, vbe_sat=[{"ic": 0.1, "ib": 0.1, "max": highest}])
        f = facts_of({
            "drive_high_max": level, "base_resistor_min": ohms, "source_min": 0.0, "high_at": 0.0, "heat_current": 0.02,
            "ambient_max": 313.15,
        })  # fmt: skip
        said = number(part, f, "base_loss")
        true = [v * (level - v) / ohms for v in np.linspace(0, highest, 50)]
        assert max(true) <= said * (1 + 1e-9)
        if highest < level / 2:
            assert said <= max(true) * (1 + 1e-9)


def test_the_off_state_counts_the_base_emitter_resistor() -> None:
    """Largest current and base voltage of a held base, against the junction's law with leakage into the base."""
    nearest, driven = math.inf, 0
    for _ in range(200):
        i_s, gain, gap = drawn(1e-15, 1e-12), RANDOM.uniform(50, 400), RANDOM.uniform(1.11, 1.2)
        vbe = K_Q * T25 * math.log(2e-3 / i_s)
        behind, shunt = drawn(330, 20e3), drawn(1e3, 1e5)
        part = changed(
            examples.PART,
            hfe=[{"ic": 0.002, "vce": 5.0, "min": 0.5 * gain, "max": gain}],
            vbe_on=[{"ic": 0.002, "vce": 5.0, "min": vbe}],
            icbo=[{"tj": T25 + 100, "max": drawn(1e-10, 5e-6)}],
        )
        f = facts_of({
            "base_resistor_min": behind, "base_resistor_max": behind, "source_min": 0.0, "source_max": 0.0,
            "base_emitter_min": shunt, "base_emitter_max": shunt, "drive_low_max": float(RANDOM.uniform(0, 0.3)),
            "noise": 0.1, "off_lift": 0.0, "drive_floats": None, "ambient_max": float(RANDOM.uniform(300, 350)),
            "off_leakage": 1e-5, "off_current": 1e-5, "drive_leakage": 0.0,
        })  # fmt: skip
        said, icbo, hot = (number(part, f, name) for name in ("off_leakage_hot", "icbo_hot", "tj_peak"))
        if said != said or icbo != icbo:
            continue
        vt = K_Q * hot
        i_hot = i_s * (hot / T25) ** 3 * math.exp(gap / K_Q * (1 / T25 - 1 / hot))
        level = f["drive_low_max"] + f["noise"]

        def left(v: float, level: float = level, f: dict[str, float] = f, icbo: float = icbo, i: float = i_hot,
                 vt: float = vt, gain: float = gain) -> float:  # fmt: skip
            leaked = (level - v) / f["base_resistor_min"] + icbo - v / f["base_emitter_max"]
            return leaked - i * math.expm1(v / vt) / gain

        held = brentq(left, -1.0, 1.2)
        assert held <= number(part, f, "base_off") * (1 + 1e-9)
        true = i_hot * math.expm1(held / vt) + icbo
        assert true <= said * (1 + 1e-9)
        driven += true > (1 + gain) * icbo  # more than an open base lets through
        nearest = min(nearest, said / true)
    assert nearest < 1.2
    assert driven > 5


def test_a_low_level_that_drives_the_base_forward_is_more_than_leakage() -> None:
    """0.3 V on a base of 0.55 V at 2 mA, 25 °C: SPICE's law makes 11 µA of it at 70 °C, whatever the leakage."""
    part = changed(
        examples.PART, vbe_on=[{"ic": 0.002, "vce": 5.0, "min": 0.55}], icbo=[{"tj": T25 + 125, "max": 1e-9}]
    )
    f = facts_of({"base_emitter_min": 1e15, "base_emitter_max": 1e15, "drive_low_max": 0.3, "noise": 0.0,
                  "drive_floats": None, "drive_leakage": 0.0, "ambient_max": 343.15, "theta_mounted": 1e-6, "off_leakage": 1e-4})  # fmt: skip
    true = (
        2e-3 * (343.15 / T25) ** 3 * math.exp((0.3 + 1.11 * (343.15 / T25 - 1) - 0.55 * 343.15 / T25) / (K_Q * 343.15))
    )
    assert true <= number(part, f, "off_leakage_hot") < 3 * true
    assert judged(part, {**f, "off_leakage": 0.99 * true})["off-leakage"].verdict is Verdict.FAILS
    bare = changed(part, vbe_on=[])
    assert judged(bare, {**f, "assumed_vbe_off": math.nan})["off-leakage"].verdict is Verdict.UNPROVEN
    level = {**f, "drive_low_max": 0.0, "assumed_vbe_off": math.nan}
    assert number(bare, level, "off_leakage_hot") < 1e-6  # nothing drives it: the gain alone bounds it


def test_a_base_emitter_resistor_keeps_the_leakage_from_being_amplified() -> None:
    """Leakage of 0.5 µA hot: amplified 400 times it would be 200 µA, held by 10 kΩ it stays near itself."""
    part = changed(examples.PART, icbo=[{"tj": T25 + 125, "max": 5e-7}])
    f = facts_of({"base_emitter_max": 1e4, "base_emitter_min": 1e4, "drive_low_max": 0.1, "noise": 0.0})
    assert number(part, f, "off_leakage_hot") < 2e-6
    bare = facts_of({**f, "base_emitter_max": math.inf, "hold_max": math.inf, "drive_floats": 1.0})
    assert number(part, bare, "off_leakage_hot") > 50 * number(part, f, "off_leakage_hot")


def test_the_drop_is_no_more_than_the_rail() -> None:
    part = changed(examples.PART, vce_sat=[{"ic": 0.1, "ib": 0.01, "max": 4.0}])
    f = facts_of({"rail_max": 3.3})
    assert number(part, f, "on_drop_hot") <= 3.3


def test_a_drive_resistance_that_is_not_stated_is_not_taken_as_none() -> None:
    """1 µA through 1575 Ω and the 200 Ω that the policy assumes."""
    part = changed(examples.PART, icbo=[{"tj": T25 + 125, "max": 1e-6}])
    blank = facts_of(
        {"base_emitter_max": 1e15, "drive_low_max": 0.0, "noise": 0.0, "source_max": math.nan, "high_at": 0.02}
    )
    assert number(part, blank, "base_off") == pytest.approx(1e-6 * 1775, rel=1e-6)
    assert number(part, {**blank, "source_max": 100.0}, "base_off") == pytest.approx(1e-6 * 1675, rel=1e-6)
    assert math.isnan(number(part, {**blank, "assumed_drive_resistance": math.nan}, "base_off"))
