"""A network of two-terminal elements whose current rises with their voltage, solved at many points at once.

Kirchhoff's current law at each node by Newton's method; each element gives its current and slope at its voltage.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.special import wrightomega

Array = NDArray[np.float64]
Curve = Callable[[Array], tuple[Array, Array]]
GROUND = "0"
LEAST_CONDUCTANCE = 1e-11
"""S: from each node to ground, so that a node that hangs on nothing has a voltage."""
STEP = 4.0
"""V: largest change of a node in one step."""


def exponential(saturation: Array, slope: Array, resistance: Array, threshold: Array) -> Curve:
    """A junction in series with a resistance: v = threshold + slope ln(i/saturation) + i resistance.

    Written explicitly with Wright's omega function, w + ln w = x.
    """

    def at(v: Array) -> tuple[Array, Array]:
        w = wrightomega(np.log(saturation * resistance / slope) + (v - threshold) / slope).real
        return slope / resistance * w, w / (1 + w) / resistance

    return at


def channel(strength: Array, overdrive: Array, resistance: Array) -> Curve:
    """A square-law channel behind a resistance, the same in both directions."""

    def at(v: Array) -> tuple[Array, Array]:
        size = np.abs(v)
        inner = resistance * strength
        full = 1 + inner * overdrive
        u = 2 * size / (full + np.sqrt(np.maximum(full**2 - 2 * inner * size, 1.0)))
        saturated = strength * overdrive**2 / 2
        edge = overdrive + saturated * resistance
        beyond = size > edge
        u = np.where(beyond, overdrive, u)
        slope = strength * (overdrive - u)
        current = strength * (overdrive * u - u**2 / 2) + np.where(beyond, saturated * 0.01 * (size - edge), 0.0)
        return np.sign(v) * current, np.where(beyond, saturated * 0.01, slope / (1 + resistance * slope)) + 1e-12

    return at


def limited(current: Array, knee: float = 0.3) -> Curve:
    """A current that does not depend on the voltage once there is some."""

    def at(v: Array) -> tuple[Array, Array]:
        t = np.tanh(v / knee)
        return current * t, current / knee * (1 - t**2) + 1e-12

    return at


def tabulated(volts: Array, amperes: Array) -> Curve:
    """Straight lines between points, of shape (points, rows); the end pieces carry on."""
    rows = np.arange(volts.shape[0])

    def at(v: Array) -> tuple[Array, Array]:
        k = np.clip(np.sum(volts <= v[:, None], axis=1) - 1, 0, volts.shape[1] - 2)
        v0, v1, i0, i1 = volts[rows, k], volts[rows, k + 1], amperes[rows, k], amperes[rows, k + 1]
        slope = (i1 - i0) / (v1 - v0)
        return i0 + slope * (v - v0), slope

    return at


class Network:
    """Elements between named nodes."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.nodes: dict[str, int] = {}
        self.elements: dict[str, tuple[str, str, Curve]] = {}
        self.volts = np.zeros((size, 0))
        self.currents: dict[str, Array] = {}
        self.settled = np.ones(size, bool)

    def add(self, name: str, a: str, b: str, curve: Curve) -> None:
        """An element from node ``a`` to node ``b``."""
        for node in (a, b):
            if node != GROUND:
                self.nodes.setdefault(node, len(self.nodes))
        assert name not in self.elements, name
        self.elements[name] = (a, b, curve)

    def resistor(self, name: str, a: str, b: str, ohms: object) -> None:
        """Ohm's law; nothing under 0.1 mΩ."""
        siemens = np.full(self.size, 1.0) / np.maximum(np.asarray(ohms, float), 1e-4)
        self.add(name, a, b, lambda v: (siemens * v, siemens))

    def source(self, name: str, plus: str, volts: Array, ohms: object, sinks: object = True) -> None:
        """A supply from ground behind a resistance; one that does not sink lets its node be lifted."""
        siemens = 1.0 / np.maximum(np.asarray(ohms, float) + np.zeros(self.size), 1e-3)
        knee, takes = 1e-3, np.asarray(sinks)

        def at(v: Array) -> tuple[Array, Array]:
            x = (v - volts) / knee
            soft = np.where(x > 0, -np.log1p(np.exp(-np.abs(x))), x - np.log1p(np.exp(np.minimum(x, 0.0)))) * knee
            share = 1.0 / (1.0 + np.exp(np.clip(x, -60, 60)))
            return siemens * np.where(takes, v - volts, soft), siemens * np.where(takes, 1.0, share) + 1e-12

        self.add(name, plus, GROUND, at)

    def pushed(self, name: str, a: str, b: str, amperes: Array) -> None:
        """A current from ``a`` to ``b`` whatever the voltage."""
        self.add(name, a, b, lambda v: (amperes + 0 * v, 0 * v))

    def volt(self, node: str) -> Array:
        """Voltage of a node."""
        return np.zeros(self.size) if node == GROUND else self.volts[:, self.nodes[node]]

    def across(self, name: str) -> Array:
        """Voltage over an element."""
        a, b, _ = self.elements[name]
        return self.volt(a) - self.volt(b)

    def _incidence(self) -> Array:
        """For each element 1 at the node where its current leaves, -1 where it arrives."""
        made = np.zeros((len(self.elements), len(self.nodes)))
        for row, (a, b, _) in enumerate(self.elements.values()):
            for node, sign in ((a, 1.0), (b, -1.0)):
                if node != GROUND:
                    made[row, self.nodes[node]] += sign
        return made

    def solve(self, start: "Network | None" = None) -> "Network":
        """Find the voltages; ``settled`` tells at which points Newton's method came to an end, and these are left there."""
        count = len(self.nodes)
        self.volts = np.zeros((self.size, count))
        if start is not None:
            for node, k in self.nodes.items():
                if node in start.nodes:
                    self.volts[:, k] = start.volt(node)
        incidence = self._incidence()
        stamps = csr_array([np.outer(row, row).ravel() for row in incidence]).T
        curves = [curve for _, _, curve in self.elements.values()]
        left = LEAST_CONDUCTANCE * np.eye(count)
        self.settled = np.zeros(self.size, bool)
        for turn in range(80):
            at = np.flatnonzero(~self.settled)
            over = self.volts @ incidence.T
            flows = [curve(over[:, row]) for row, curve in enumerate(curves)]
            current = np.array([flow[at] for flow, _ in flows])
            slope = np.array([slope[at] for _, slope in flows])
            rest = current.T @ incidence + LEAST_CONDUCTANCE * self.volts[at]
            matrix = (stamps @ slope).T.reshape(-1, count, count) + left
            change = -np.linalg.solve(matrix, rest[:, :, None])[:, :, 0]
            largest = np.max(np.abs(change), axis=1)
            limit = STEP if turn < 40 else STEP / 8
            self.volts[at] += change * np.minimum(1.0, limit / np.maximum(largest, 1e-12))[:, None]
            self.settled[at] = largest < 1e-6
            if self.settled.all():
                break
        over = self.volts @ incidence.T
        self.currents = {
            name: curve(over[:, k])[0] for k, (name, curve) in enumerate(zip(self.elements, curves, strict=True))
        }
        return self
