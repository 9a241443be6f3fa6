"""A true NPN transistor inside its datasheet: Ebers and Moll's equations with a gain that depends on the current."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from partcheck.parts import Part
from tests.circuit.devices import BOLTZMANN, T25, leakage, rows, stated
from tests.circuit.draws import Draws
from tests.circuit.network import Curve, exponential, limited, tabulated

Array = NDArray[np.float64]
GRID = np.concatenate([np.linspace(0, 0.9, 19), [0.93, 0.96, 0.98, 0.99, 0.996, 0.999, 0.9999]])


@dataclass
class Npn:
    """Base and collector of one transistor at many points."""

    part: Part
    draws: Draws
    ref: str

    @cached_property
    def _gain_points(self) -> tuple[Array, Array]:
        points = rows(self.part, "hfe", "ic", "min", "max")
        share = self.draws.between(f"{self.ref} hfe", 0.0, 1.0)
        low = np.array([least for _, least, _ in points])
        high = np.array([most if stated(most) else 3 * least for _, least, most in points])
        return np.log([ic for ic, _, _ in points]), np.log(low + share[:, None] * (high - low))

    def gain(self, current: Array, temperature: Array, factor: Array | None = None) -> Array:
        """Direct-current gain; on log-log paper straight between the stated points, falling beyond the last.

        ``current`` is one for each point, or a row of several; ``factor`` saves the temperature's part where it is known.
        """
        at, values = self._gain_points
        x = np.log(np.maximum(current.reshape(len(values), -1), 1e-9))
        y = np.repeat(values[:, :1], x.shape[1], axis=1)
        for k in range(len(at) - 1):
            share = np.clip((x - at[k]) / (at[k + 1] - at[k]), 0.0, 1.0)
            y = y + share * (values[:, k + 1] - values[:, k])[:, None]
        y = y - np.maximum(x - at[-1], 0.0) - 0.1 * np.maximum(at[0] - x, 0.0)
        heat = self._gain_factor(temperature) if factor is None else factor
        return np.maximum(np.exp(y) * heat[:, None], 0.5).reshape(current.shape)

    def _gain_factor(self, temperature: Array) -> Array:
        points = rows(self.part, "hfe_factor", "tj", "min", "max")
        share = self.draws.share(f"{self.ref} hfe factor")
        cold = [(tj, low) for tj, low, _ in points if tj < T25 and stated(low)] or [(218.15, 0.45)]
        hot = [(tj, high) for tj, _, high in points if tj > T25 and stated(high)] or [(398.15, 2.0)]
        (t_cold, f_cold), (t_hot, f_hot) = min(cold), max(hot)
        down = 1 + share * (f_cold - 1) * (T25 - temperature) / (T25 - t_cold)
        up = 1 + share * (f_hot - 1) * (temperature - T25) / (t_hot - T25)
        return np.where(temperature < T25, down, up)

    @cached_property
    def _base_curve(self) -> tuple[Array, Array, Array]:
        """Threshold, slope and resistance of the base junction at 25 °C, v = v0 + slope ln(ib) + ib r."""
        points = rows(self.part, "vbe_sat", "ib", "min", "max") or [(0.001, 0.65, 0.85)]
        slope = self.draws.between(f"{self.ref} vbe slope", 0.026, 0.035)
        ohms = self.draws.between(f"{self.ref} base ohms", 0.5, 10.0)
        bounds = [(ib, low if stated(low) else 0.82 * high, high) for ib, low, high in points if stated(high)]
        for ib, low, _ in bounds:  # the resistance leaves room between the least of one row and the most of another
            for other, _, high in bounds:
                if other > ib:
                    room = (high - low - slope * np.log(other / ib)) / (other - ib)
                    ohms = np.minimum(ohms, np.maximum(0.9 * room, 0.05))
        shape = [slope * np.log(ib) + ib * ohms for ib, _, _ in bounds]
        top = np.min([high - s for (_, _, high), s in zip(bounds, shape, strict=True)], axis=0)
        bottom = np.max([low - s for (_, low, _), s in zip(bounds, shape, strict=True)], axis=0)
        value = np.where(bottom < top, self.draws.between(f"{self.ref} vbe", bottom, top), top)
        on = rows(self.part, "vbe_on", "ic", "min")
        for ic, low in on:  # barely conducting: no earlier than the stated least
            if stated(low):
                ib = ic / self.gain(np.full(self.draws.size, ic), np.full(self.draws.size, T25))
                value = np.minimum(np.maximum(value, low - slope * np.log(ib) - ib * ohms), top)
        return value, slope, ohms

    def base(self, temperature: Array) -> Curve:
        """Base current against base-emitter voltage."""
        value, slope, ohms = self._base_curve
        tempco = self.draws.between(f"{self.ref} vbe tempco", -0.002, -0.0017)
        warm = slope * temperature / T25
        # the logarithm of amperes is negative: its own change with temperature is part of the stated coefficient
        start = value + tempco * (temperature - T25) + (slope - warm) * np.log(1e-3)
        return exponential(np.ones_like(start), warm, ohms, start)

    def icbo(self, temperature: Array) -> Array:
        """Collector-base leakage."""
        return leakage(self.part, "icbo", self.draws, self.ref, temperature)

    def base_current(self, open_volts: Array, ohms: Array, temperature: Array) -> tuple[Array, Array]:
        """Base current and voltage behind a resistance, the leakage of the collector added."""
        curve, leak = self.base(temperature), self.icbo(temperature)
        low, high = np.full(self.draws.size, -6.0), np.full(self.draws.size, 6.0)
        for _ in range(44):
            v = (low + high) / 2
            more = (open_volts - v) / ohms + leak > curve(v)[0]
            low, high = np.where(more, v, low), np.where(more, high, v)
        return np.maximum(curve(low)[0], 1e-15), low

    @cached_property
    def _collector(self) -> tuple[Array, Array]:
        """Inverse gain and collector resistance: every stated saturation voltage holds at 25 °C."""
        points = rows(self.part, "vce_sat", "ic", "ib", "max")
        inverse = self.draws.log_between(f"{self.ref} inverse gain", 2.0, 40.0)
        warm = np.full(self.draws.size, T25)
        least: list[Array] = []
        for _ in range(12):
            least = []
            for ic, ib, top in points:
                forced = ic / ib / self.gain(np.full(self.draws.size, ic), warm)
                inside = _junctions(ic / ib, np.minimum(forced, 0.999), inverse, warm)
                least.append((top - inside) / ic)
            if not least or (np.min(least, axis=0) > 0).all():
                break
            inverse = np.where(np.min(least, axis=0) > 0, inverse, inverse * 1.6)
        room = np.maximum(np.min(least, axis=0), 0.0) if least else np.full(self.draws.size, 1.0)
        return inverse, self.draws.between(f"{self.ref} collector ohms", 0.3, 1.0) * room

    def collector(self, base_current: Array, temperature: Array) -> Curve:
        """Collector current against collector-emitter voltage with that base current."""
        inverse, ohms = self._collector
        factor = self._gain_factor(temperature)
        full = base_current * self.gain(base_current * 50, temperature, factor)
        for _ in range(14):
            full = np.sqrt(full * base_current * self.gain(full, temperature, factor))
        current = full[:, None] * GRID
        gain = self.gain(current, temperature, factor)
        forced = current / base_current[:, None]
        used = np.minimum(forced / gain, 1 - 1e-6)
        hot = 1 + self.draws.between(f"{self.ref} collector tempco", 0.001, 0.0035) * (temperature - T25)
        volts = _junctions(forced, used, inverse[:, None], temperature[:, None]) + current * (ohms * hot)[:, None]
        volts = np.maximum.accumulate(volts - volts[:, :1] + 1e-9 * np.arange(len(GRID)), axis=1)
        far = volts[:, -1:] + 1000.0
        early = self.draws.log_between(f"{self.ref} early", 40.0, 200.0)[:, None]
        return tabulated(np.hstack([volts, far]), np.hstack([current, current[:, -1:] * (1 + 1000.0 / early)]))

    def leak(self, temperature: Array) -> Curve:
        """What flows beside the base."""
        return limited(self.icbo(temperature))

    def breakdown(self) -> Curve:
        """Collector-emitter breakdown, never under the rating."""
        ones = np.ones(self.draws.size)
        start = self.part.number("vceo") * self.draws.between(f"{self.ref} breakdown", 1.001, 1.6)
        return exponential(1e-3 * ones, 0.05 * ones, 0.5 * ones, start)


def _junctions(forced: Array, used: Array, inverse: Array, temperature: Array) -> Array:
    """Saturation voltage of the two junctions (Ebers and Moll)."""
    reverse = inverse / (1 + inverse)
    return BOLTZMANN * temperature * np.log((1 / reverse + forced / inverse) / (1 - used))
