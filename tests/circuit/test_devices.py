"""The reference itself: true devices obey their datasheets, and the solver agrees with what can be worked out by hand."""

from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray

from partcheck.parts import Part
from partcheck.parts.documents import from_record
from tests.circuit import stock
from tests.circuit.devices import T25, Breakdown, Junction, Mosfet
from tests.circuit.draws import Draws
from tests.circuit.network import GROUND, Curve, Network, exponential
from tests.circuit.transistor import Npn

Array = NDArray[np.float64]
POINTS = 200
WARM = np.full(POINTS, T25)


def _voltage(curve: Curve, current: float, most: float = 200.0) -> Array:
    """Voltage at which an element carries a current."""
    low, high = np.zeros(POINTS), np.full(POINTS, most)
    for _ in range(80):
        middle = (low + high) / 2
        more = curve(middle)[0] < current
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return low


def _part(kind: str, seed: int) -> Part:
    chance = Random(seed)
    made = {
        "mosfet": lambda: stock.mosfet(chance, 24, 1.0, 5.0, True),
        "npn": lambda: stock.npn(chance, 24, 0.1, True),
        "led": lambda: stock.led(chance),
        "diode": lambda: stock.diode(chance, 24, 1.0),
        "tvs": lambda: stock.breakdown(chance, 15.0, 0.5),
    }
    return from_record(made[kind](), "part")


@pytest.mark.parametrize("seed", range(8))
def test_a_mosfet_keeps_every_stated_on_resistance_and_threshold(seed: int) -> None:
    part = _part("mosfet", seed)
    device = Mosfet(part, Draws(POINTS, seed), "Q")
    for row in part.table("rds_on").rows():
        drop = _voltage(device.curve(np.full(POINTS, row.vgs), WARM), row.id)
        assert (drop <= row.id * row.max * 1.01).all()
        assert drop.min() < 0.8 * row.id * row.max  # and not all of them at the limit
    low, high = part.number("vgs_th_min"), part.number("vgs_th_max")
    assert (_drain_current(device, low) <= 300e-6).all(), "conducts under its least threshold"
    assert (_drain_current(device, high) >= 200e-6).all(), "does not conduct at its largest threshold"


def _drain_current(device: Mosfet, gate: float) -> Array:
    return device.curve(np.full(POINTS, gate), WARM)(np.full(POINTS, 5.0))[0]


@pytest.mark.parametrize("seed", range(8))
def test_a_transistor_keeps_every_stated_gain_saturation_and_base_voltage(seed: int) -> None:
    part = _part("npn", seed)
    device = Npn(part, Draws(POINTS, seed), "Q")
    for row in part.table("hfe").rows():
        gain = device.gain(np.full(POINTS, row.ic), WARM)
        assert (gain >= row.min * 0.999).all() and (gain <= row.max * 1.001).all()
        needed = np.full(POINTS, row.ic / row.min * 1.001)
        carried = device.collector(needed, WARM)(np.full(POINTS, row.vce))[0]
        assert (carried >= row.ic * 0.97).all(), "carries less than its least gain says"
    for row in part.table("vce_sat").rows():
        drop = _voltage(device.collector(np.full(POINTS, row.ib), WARM), row.ic, 30.0)
        assert (drop <= row.max * 1.02).all()
    for row in part.table("vbe_sat").rows():
        base = _voltage(device.base(WARM), row.ib, 5.0)
        assert (base <= row.max * 1.001).all()


@pytest.mark.parametrize("seed", range(8))
def test_junctions_lie_between_their_stated_voltages(seed: int) -> None:
    led, diode, tvs = (_part(kind, seed) for kind in ("led", "diode", "tvs"))
    lit = Junction(led, Draws(POINTS, seed), "D").curve(WARM)
    for row in led.table("vf").rows():
        assert (_voltage(lit, row.i_f, 20.0) <= row.max * 1.001).all()
        assert (_voltage(lit, row.i_f, 20.0) >= row.min * 0.97).all()
    forward = Junction(diode, Draws(POINTS, seed), "D").curve(WARM)
    for row in diode.table("vf").rows():
        assert (_voltage(forward, row.i_f, 20.0) <= row.max * 1.001).all()
    clamp = Breakdown(tvs, Draws(POINTS, seed), "D").curve()
    for row in tvs.table("clamping").rows():
        assert (_voltage(clamp, row.ipp) <= row.max * 1.003).all()
    assert (_voltage(clamp, 1e-3) >= tvs.number("vbr_min") * 0.99).all()


def test_the_network_agrees_with_kirchhoff_by_hand() -> None:
    """12 V over 1 kΩ and a junction of 1 nA and 26 mV (with 1 Ω): i = 11.4 mA, from its own equation; and a divider."""
    net = Network(3)
    volts = np.array([3.0, 12.0, 120.0])
    net.source("supply", "in", volts, 1e-3)
    net.resistor("series", "in", "anode", 1000.0)
    ones = np.ones(3)
    net.add("junction", "anode", GROUND, exponential(1e-9 * ones, 0.026 * ones, ones, 0 * ones))
    net.resistor("upper", "in", "tap", 3000.0)
    net.resistor("lower", "tap", GROUND, 1000.0)
    net.solve()
    current = net.currents["junction"]
    np.testing.assert_allclose(volts, 1001 * current + 0.026 * np.log(current / 1e-9), rtol=1e-4)
    np.testing.assert_allclose(net.volt("tap"), volts / 4, rtol=1e-4)
    assert current[1] == pytest.approx(0.01155, rel=0.01)
