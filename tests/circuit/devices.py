"""True devices that obey a datasheet: diodes, LEDs, Zeners and MOSFETs as physics has them, inside every stated limit.

A device is drawn at many points at once. What the datasheet states as a limit at a condition holds there; between and
beyond the conditions the device follows its physics. Temperatures in kelvin.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partcheck.parts import Part
from tests.circuit.draws import Draws
from tests.circuit.network import Curve, channel, exponential, limited

Array = NDArray[np.float64]
T25 = 298.15
BOLTZMANN = 8.617e-5
"""V/K"""
KNEE = 0.02
"""V: how soft a breakdown sets in."""


def rows(part: Part, table: str, *columns: str) -> list[tuple[float, ...]]:
    """Rows of a point table, columns in the order asked for."""
    return [tuple(getattr(row, column) for column in columns) for row in part.table(table).rows()]


def stated(value: float) -> bool:
    """True where the datasheet states the value."""
    return value == value


def leakage(part: Part, table: str, draws: Draws, ref: str, temperature: Array) -> Array:
    """A leakage that doubles every 8 to 12 K and exceeds no stated row."""
    points = rows(part, table, "tj", "max")
    if not points:
        return np.full(draws.size, 1e-9)
    doubling = draws.between(f"{ref} leakage doubles", 8.0, 12.0)
    at_25 = np.min([top / 2 ** ((tj - T25) / doubling) for tj, top in points], axis=0)
    return draws.between(f"{ref} leakage", 0.02, 1.0) * at_25 * 2 ** ((temperature - T25) / doubling)


class Junction:
    """A forward characteristic inside the stated rows: v = v0 + slope ln(1 + i/i0) + i r."""

    def __init__(self, part: Part, draws: Draws, ref: str) -> None:
        wide = part.kind == "led"
        points = rows(part, "vf", "i_f", *(("min", "typ", "max") if wide else ("typ", "max")))
        self.known = bool(points)
        top = [(p[0], p[-1]) for p in points if stated(p[-1])] or [(0.01, 1.0)]
        low = {p[0]: p[1] for p in points if wide and stated(p[1])}
        currents = np.array([i for i, _ in top])
        highest = np.array([v for _, v in top])
        lowest = np.array([low.get(i, v * (0.85 if wide else 0.5)) for i, v in top])
        middle = (highest + lowest) / 2
        least = 0.03 if part.word("construction") != "schottky" else 0.026
        slope = draws.between(f"{ref} junction slope", least, least * 1.7)
        if len(currents) > 1:
            rise = (middle[-1] - middle[0]) / np.log(currents[-1] / currents[0])
            slope = np.minimum(slope, 0.95 * rise)
            ohms = (middle[-1] - middle[0] - slope * np.log(currents[-1] / currents[0])) / (currents[-1] - currents[0])
        else:
            ohms = draws.between(f"{ref} junction ohms", 0.02, 0.15) * middle[0] / currents[0]
        shape = slope[:, None] * np.log(currents) + ohms[:, None] * currents
        lift, sink = np.min(highest - shape, axis=1), np.max(lowest - shape, axis=1)
        offset = np.where(sink < lift, draws.between(f"{ref} vf", sink, lift), lift)
        self.slope, self.ohms = slope, np.maximum(ohms, 1e-4)
        self.offset = offset
        ends = (part.number("vf_tempco_min"), part.number("vf_tempco_max"))
        if not all(map(stated, ends)):
            ends = (-0.004, -0.001) if wide else (-0.002, -0.001)
        self.tempco = draws.between(f"{ref} vf tempco", *ends)

    def curve(self, temperature: Array, in_series: int = 1) -> Curve:
        """Current against voltage of one, or of several in series."""
        threshold = self.offset + self.tempco * (temperature - T25)
        forward = exponential(
            np.ones_like(threshold), in_series * self.slope, in_series * self.ohms, in_series * threshold
        )
        at_zero, _ = forward(np.zeros_like(threshold))

        def at(v: Array) -> tuple[Array, Array]:
            current, slope = forward(v)
            return np.maximum(current - at_zero, 0.0), np.where(v > 0, slope, 1e-12)

        return at


class Breakdown:
    """A Zener or TVS in breakdown: inside vbr at its test current, under every stated clamping voltage."""

    def __init__(self, part: Part, draws: Draws, ref: str) -> None:
        low, high = part.number("vbr_min"), part.number("vbr_max")
        clamping = rows(part, "clamping", "ipp", "max")
        impedance = [z for _, z in rows(part, "impedance", "iz", "max")]
        if not stated(high):
            high = min([v for _, v in clamping], default=low * 1.2)
        self.test = 0.001 if high > 12 else 0.005
        self.volts = draws.between(f"{ref} vbr", low, high)
        left = [(v - self.volts - KNEE * np.log(i / self.test)) / (i - self.test) for i, v in clamping]
        most = np.min(left, axis=0) if left else np.full(draws.size, np.inf)
        if impedance:
            most = np.minimum(most, min(impedance))
        most = np.where(np.isfinite(most), most, 0.02 * low)
        self.ohms = np.maximum(draws.between(f"{ref} breakdown ohms", 0.1, 0.98) * most, 1e-3)

    def curve(self) -> Curve:
        """Current against the voltage in the direction of breakdown."""
        start = self.volts - self.test * self.ohms
        return exponential(np.full_like(start, self.test), np.full_like(start, KNEE), self.ohms, start)


SUBTHRESHOLD = 1.5


def _shift(strength: Array, temperature: float) -> Array:
    """How far the channel's own threshold lies under the stated one, at which 250 µA flow (mostly negative)."""
    thermal = SUBTHRESHOLD * BOLTZMANN * temperature
    at_test = np.sqrt(2 * 250e-6 / strength)
    return thermal * np.log(np.expm1(np.minimum(at_test / thermal, 50.0)))


@dataclass
class Mosfet:
    """A square-law channel with a series resistance; every stated largest on-resistance holds at 25 °C."""

    part: Part
    draws: Draws
    ref: str

    @cached_property
    def threshold(self) -> Array:
        """At 25 °C and 250 µA."""
        part = self.part
        return self.draws.between(f"{self.ref} vth", part.number("vgs_th_min"), part.number("vgs_th_max"))

    @cached_property
    def tempco(self) -> Array:
        """V/K"""
        own = self.part.number("vgs_th_tempco")
        if stated(own):
            return np.full(self.draws.size, own)
        return self.draws.between(f"{self.ref} vth tempco", -0.006, -0.002)

    @cached_property
    def _channel(self) -> tuple[Array, Array]:
        """Strength A/V² and series resistance Ω at 25 °C."""
        points = [(vgs, i if stated(i) else 0.1, top) for vgs, i, top in rows(self.part, "rds_on", "vgs", "id", "max")]
        vgs, current, top = points[0]
        share = self.draws.between(f"{self.ref} channel share", 0.15, 0.85)
        target = self.draws.between(f"{self.ref} rds_on", 0.5, 1.0) * top
        ohms, strength = (1 - share) * target, np.full(self.draws.size, 10.0)
        for _ in range(6):
            over = np.maximum(vgs - self.threshold + _shift(strength, T25), 0.05)
            drop = np.minimum(current * share * target, 0.9 * over)
            strength = current / (over * drop - drop**2 / 2)
        worst = np.ones(self.draws.size)
        for v, i, most in points:
            above = np.maximum(v - self.threshold + _shift(strength, T25), 0.05)
            inside = np.maximum(above**2 - 2 * i / strength, 0.0)
            worst = np.maximum(worst, (ohms + (above - np.sqrt(inside)) / i) / most)
        return strength * worst, ohms / worst

    def factor(self, temperature: Array) -> Array:
        """On-resistance relative to 25 °C; a curve that bends upward through or under the stated rows."""
        points = [(tj, top) for tj, top in rows(self.part, "rds_on_factor", "tj", "max") if tj > T25 + 1]
        points = points or [(423.15, 2.6)]
        share = self.draws.between(f"{self.ref} hot factor", 0.5, 1.0)
        steep = np.min([(top - 1) / ((tj - T25) / 100) ** 1.15 for tj, top in points], axis=0)
        warm = np.maximum(temperature - T25, 0.0)
        cold = np.minimum(temperature - T25, 0.0)
        return 1 + share * steep * (warm / 100) ** 1.15 + 0.003 * cold

    def curve(self, gate: Array, temperature: Array) -> Curve:
        """Drain current against drain voltage at a gate-source voltage."""
        strength, ohms = self._channel
        heat = self.factor(temperature)
        thermal = SUBTHRESHOLD * BOLTZMANN * temperature
        above = gate - self.threshold - self.tempco * (temperature - T25) + _shift(strength, T25)
        overdrive = thermal * np.logaddexp(0.0, above / thermal)
        return channel(strength / heat, np.maximum(overdrive, 1e-6), ohms * heat)

    def leak(self, temperature: Array) -> Curve:
        """Drain leakage."""
        return limited(leakage(self.part, "idss", self.draws, self.ref, temperature))

    @cached_property
    def breakdown(self) -> Array:
        """V: never under the rating."""
        return self.part.number("vds_max") * self.draws.between(f"{self.ref} breakdown", 1.001, 1.3)

    def avalanche(self) -> Curve:
        """Avalanche of the body diode."""
        ones = np.ones(self.draws.size)
        return exponential(1e-3 * ones, 0.05 * ones, 0.05 * ones, self.breakdown)

    def body(self) -> Curve:
        """Forward characteristic of the body diode."""
        ones = np.ones(self.draws.size)
        return exponential(1e-3 * ones, 0.03 * ones, 0.02 * ones, 0.6 * ones)
