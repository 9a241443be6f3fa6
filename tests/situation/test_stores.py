"""Stored energy: cables that are switched off, checked against lines that are simulated, and boards worked by hand."""

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from partcheck.board.read import parse_board
from partcheck.parts.part import Part
from partcheck.physics import cables
from partcheck.policy import BENCH, DATASHEET, Policy
from partcheck.readings.explain import Finding, explain
from partcheck.requirement import Verdict
from partcheck.roles import ROLES
from partcheck.situation.situation import Situation
from tests.examples.roles import clamp as clamps
from tests.examples.roles import mosfet_switch, npn_sink

C = 299792458.0
MU_0 = 4e-7 * math.pi
PASS = (Verdict.MEETS, Verdict.TIGHT)
RANDOM = np.random.default_rng(20261129)


# ---- the inductance of a cable


def pair_inductance(spacing: float, radius: float) -> float:
    """Inductance of two like wires side by side, H/m: μ0/π·(ln(D/r) + 1/4) (Grover, Inductance Calculations, from memory).

    The flux between them, and a quarter for the field inside the copper.
    """
    return MU_0 / math.pi * (math.log(spacing / radius) + 0.25)


@pytest.mark.parametrize(("spacing", "radius"), [(2.4e-3, 0.49e-3), (1.4e-3, 0.28e-3), (9e-3, 0.4e-3)])
def test_two_wires_store_what_their_field_holds(spacing: float, radius: float) -> None:
    """Flux linkage by the vector potential: each wire's own, averaged over its copper, less the other's at its axis.

    Outside the other wire its potential is harmonic, so that its mean over a round wire is its value at the axis.
    """

    def own(rho: float) -> float:
        inside = MU_0 / (4 * math.pi) * (1 - (rho / radius) ** 2) - MU_0 / (2 * math.pi) * math.log(radius)
        return inside * 2 * math.pi * rho / (math.pi * radius**2)

    linkage = 2 * (quad(own, 0, radius)[0] + MU_0 / (2 * math.pi) * math.log(spacing))
    assert pair_inductance(spacing, radius) == pytest.approx(linkage, rel=1e-6)


def test_ribbon_line_of_300_ohms_lies_under_the_bounds() -> None:
    """300 Ω ribbon, velocity factor 0.82 (ARRL Antenna Book, from memory): L' = Z0/v = 1.22 µH/m."""
    per_metre = 300 / (0.82 * C)
    assert per_metre == pytest.approx(1.22e-6, rel=5e-3)
    assert cables.wave_impedance_limit(per_metre) > 300
    assert per_metre < BENCH.assumption("cable_inductance")


def test_the_assumed_inductance_covers_wires_33_radii_apart() -> None:
    assert pair_inductance(33.0, 1.0) < BENCH.assumption("cable_inductance") < pair_inductance(34.0, 1.0)


# ---- the wave on a cable

Far = Callable[[float, float], float]
"""Voltage at the far end for an arriving wave v + Z0·i, V; the second argument is the step, s."""


def resistor(ohms: float, z0: float) -> Far:
    return lambda w, dt: w * ohms / (ohms + z0)


def led(ohms: float, forward: float, z0: float) -> Far:
    return lambda w, dt: w - z0 * max(0.0, (w - forward) / (ohms + z0))


def source(current: float, z0: float) -> Far:
    """A constant current as long as there is any voltage."""
    return lambda w, dt: max(w - z0 * current, 0.0) if w > 0 else 0.0


def clamped_coil(current: float, drop: float, z0: float) -> Far:
    """A coil keeps its current while the wave travels; its clamp holds the far end at one drop over the rail."""
    return lambda w, dt: max(w - z0 * current, -drop)


class Filtered:
    """A resistor with a capacitor across it, charged to the rail."""

    def __init__(self, ohms: float, farads: float, z0: float, rail: float) -> None:
        self.ohms, self.farads, self.z0, self.v = ohms, farads, z0, rail

    def __call__(self, w: float, dt: float) -> float:
        end = w * self.ohms / (self.ohms + self.z0)
        tau = self.farads * self.z0 * self.ohms / (self.z0 + self.ohms)
        self.v = end + (self.v - end) * math.exp(-dt / tau)
        return self.v


def opened(far: Far, rail: float, current: float, z0: float, shunt: float, trips: int = 40, steps: int = 60) -> float:
    """Highest voltage of the open end of a lossless line, V, by the waves that run on it (exact but for the steps).

    One round trip takes 1 s; ``shunt`` is the capacitance at the open end as a share of the line's own.
    """
    dt, tau = 1 / steps, shunt / 2
    sent = [rail + z0 * current] * steps
    back = [rail - z0 * current] * steps
    node = highest = 0.0
    for k in range(trips * steps):
        arriving = back[k % steps]
        free = rail - arriving
        node = free if tau == 0 else free + (node - free) * math.exp(-dt / tau)
        highest = max(highest, node)
        sent[k % steps] = 2 * (rail - node) - arriving
        v = far(sent[k % steps], dt)
        back[k % steps] = 2 * v - sent[k % steps]
    return highest


def drawn_line() -> tuple[float, float]:
    """Wave impedance Ω and inductance per metre of a line whose wave is not faster than light."""
    per_metre = 10 ** RANDOM.uniform(-6.7, -5.7)
    return float(per_metre * C * RANDOM.uniform(0.4, 1.0)), float(per_metre)


SHUNTS = (0.0, 0.05, 0.2, 0.3, 0.5, 1.0, 3.0)


def test_a_resistor_above_the_wave_impedance_never_overshoots() -> None:
    for ratio in (1.0, 1.1, 1.5, 3.0, 10.0, 40.0):
        for shunt in SHUNTS:
            assert opened(resistor(100 * ratio, 100), 100 * ratio, 1.0, 100, shunt) <= 100 * ratio * (1 + 1e-9)


def test_a_resistor_below_it_rings_no_higher_than_is_counted() -> None:
    def worst(ratio: float, shunts: tuple[float, ...] = SHUNTS, **how: int) -> float:
        return max(opened(resistor(100 * ratio, 100), 100 * ratio, 1.0, 100, shunt, **how) for shunt in shunts)

    assert 125 < worst(1 / 500, (0.15, 0.2), trips=400, steps=150) < 100 * cables.RINGING
    assert worst(1 / 100, trips=150) < 120
    assert worst(1 / 20) < 102
    assert worst(0.3) <= 100 * (1 + 1e-9)


@pytest.mark.parametrize("shunt", [0.01, *SHUNTS[1:]])
def test_other_far_ends_add_no_more_than_is_counted_to_the_rail(shunt: float) -> None:
    for _ in range(12):
        z0 = float(RANDOM.uniform(50, 400))
        rail, current = float(RANDOM.uniform(3, 60)), float(10 ** RANDOM.uniform(-3, 0.3))
        ohms, forward = rail / current, float(RANDOM.uniform(0, 1) * rail)
        bound = rail + cables.RINGING_CAPACITIVE * current * z0
        for far in (
            led((rail - forward) / current, forward, z0),
            source(current, z0),
            Filtered(ohms, 10 ** RANDOM.uniform(-2, 1) / z0, z0, rail),
        ):
            assert opened(far, rail, current, z0, shunt) <= bound
        assert opened(clamped_coil(current, 0.9, z0), rail, current, z0, shunt) <= bound + 0.9


def test_a_capacitor_at_the_far_end_nearly_doubles_the_step() -> None:
    """The line's own capacitance there, a hundredth of it at the open end."""
    peaks = [
        opened(Filtered(100.0, c * 0.5 / 100, 100, 100.0), 100.0, 1.0, 100, 0.01, 80, 200) for c in (0.5, 1.0, 2.0)
    ]
    assert 260 < max(peaks) < 100 + 100 * cables.RINGING_CAPACITIVE


def test_a_constant_current_does_add_the_step_to_the_rail() -> None:
    """So the bound of a plain resistor would not do for it."""
    worst = max(opened(source(0.1, 100), rail, 0.1, 100, 0.0) - rail for rail in np.linspace(12, 60, 60))
    assert worst > 8.0


def test_losses_and_a_real_edge_do_not_exceed_the_wave() -> None:
    """A ladder of 30 sections with copper losses, opened over the time of three sections."""
    n, rail = 30, 24.0
    for ohms, per, loss, length in ((12.0, 1e-6, 0.05, 10.0), (300.0, 0.7e-6, 0.2, 30.0), (2000.0, 1.4e-6, 0.5, 5.0)):
        z0 = per * 0.7 * C
        series, copper = per * length / n, loss * length / n
        shunt = np.full(n + 1, series / z0**2)
        shunt[[0, -1]] /= 2
        current, edge = rail / (ohms + loss * length), 3 * series / z0

        def change(t: float, y: Any, g: Any = (series, copper, shunt, current, edge, ohms)) -> Any:
            henries, wire, farads, start, falls, far = g
            i, v = y[:n], y[n:]
            into = np.append(start * max(0.0, 1 - t / falls), i)
            return np.concatenate([(v[:-1] - v[1:] - wire * i) / henries, (into - np.append(i, v[-1] / far)) / farads])

        start = np.concatenate([np.full(n, current), rail - current * copper * np.arange(n + 1)])
        made = solve_ivp(change, (0, 16 * n * edge / 3), start, rtol=1e-6, atol=1e-9)
        peak = float((rail - made.y[n]).max())
        assert peak <= max(rail, cables.RINGING * current * z0) + current * loss * length
        assert peak > 0.9 * rail


# ---- boards

BOARD = """
format = 1
name = "stores"
[surroundings]
ambient = "0..40 °C"
[rail.V24]
voltage = "24 V ±5 %"
[rail.V5]
voltage = "5 V ±5 %"
[chip.U1]
supply = "V5"
[drive.D]
chip = "U1"
high = "4.8..5.1 V"
low = "0..0.1 V"
source_resistance = "20..60 Ω"
edge_time = "10..20 ns"
[drive.E]
chip = "U1"
high = "4.8..5.1 V"
low = "0..0.1 V"
source_resistance = "20..60 Ω"
[role.Q1]
role = "mosfet-switch"
drive = "D"
load = [{loads}]
gate_resistor = "100 Ω ±5 %"
pulldown = "1 MΩ ±5 %"
theta_ja = "40 K/W"
[role.Q2]
role = "npn-sink"
drive = "E"
load = "signal"
base_resistor = "1 kΩ ±5 %"
theta_ja = "250 K/W"
[load.heater]
sort = "resistive"
rail = "V24"
{heater}
cable = {{ length = "10 m", wire = "1.5 mm²" }}
[load.lamp]
sort = "lamp"
rail = "V24"
current = "0.1..0.2 A"
inrush_factor = 10
inrush_time = "40 ms"
rate = 1
cable = {{ length = "4 m", wire = "0.75 mm²" }}
[load.valve]
sort = "coil"
rail = "V24"
resistance = "48 Ω ±10 %"
winding_temperature = "20..80 °C"
inductance = "50 mH ±20 %"
rate = 3
{valve}
cable = {{ length = "6 m", wire = "0.75 mm²" }}
[load.signal]
sort = "logic-input"
rail = "V24"
current = "2..7 mA"
cable = {{ length = "8 m", wire = "0.25 mm²" }}
{more}
"""
HEATER = 'resistance = "12 Ω ±5 %"'
HOT = 25.2 / 11.4
"""A: the heater's largest current."""
STEP = 1.5e-6 * C
"""Ω: wave impedance that no cable of the assumed inductance exceeds."""


def situation(
    loads: str = '"heater"',
    more: str = "",
    heater: str = HEATER,
    valve: str = "",
    policy: Policy = BENCH,
    **mosfet: Any,
) -> Situation:
    text = BOARD.format(loads=loads, more=more, heater=heater, valve=valve)
    board = parse_board(text, Path("b.toml")).board
    part = mosfet_switch.PART
    q1 = Part("mosfet", part.part_number, part.maker, {**part.values, "vds_max": 60.0, **mosfet}, part.tables)
    kept: dict[str, Part | None] = {"Q1": q1, "Q2": npn_sink.PART, "D1": clamps.PART}
    return Situation(board, {ref: kept[ref] for ref in board.role}, policy)


def findings(s: Situation, ref: str = "Q1") -> dict[str, Finding]:
    return {f.id: f for f in explain(ROLES[s.board.role[ref].role], s.fitted[ref], s.facts(ref), 0.1)}


def test_a_heater_on_ten_metres_needs_an_avalanche_rating() -> None:
    s = situation(heater=HEATER + "\nrate = 0.1")
    found = findings(s)
    energy = 0.5 * 15e-6 * HOT**2 * 60 / (60 - 25.2)
    assert found["stray-spike"].compared[0].demand == pytest.approx(energy, rel=1e-3)
    assert found["stray-current"].compared[0].demand == pytest.approx(HOT)
    assert any("cable_inductance" in name for name in found["stray-spike"].story.assumed)
    assert found["stray-spike"].verdict in PASS
    bare = findings(situation(heater=HEATER + "\nrate = 0.1", ear=None, eas=None, ias=None))
    assert bare["stray-spike"].verdict is Verdict.FAILS
    assert bare["stray-current"].verdict is Verdict.FAILS


def test_its_clamp_at_the_board_takes_the_cable() -> None:
    clamp = '[role.D1]\nrole = "clamp"\nload = "heater"\n'
    s = situation(more=clamp)
    assert "stray-spike" not in findings(s)
    assert s.facts("D1")["inductance"].value == pytest.approx(15e-6)
    assert s.facts("D1")["coil_current"].value == pytest.approx(HOT)


def test_an_unknown_cable_is_unproven_where_the_policy_assumes_none() -> None:
    found = findings(situation(policy=DATASHEET))
    assert found["stray-spike"].verdict is Verdict.UNPROVEN
    assert found["stray-spike"].story.missing == ("heater.cable.inductance",)
    assert "signal.cable.inductance" in findings(situation(policy=DATASHEET), "Q2")["collector-voltage"].story.missing


def test_an_avalanche_at_an_unknown_rate_leaves_the_heat_unproven() -> None:
    assert "heater.rate" in findings(situation())["junction-rise"].story.missing
    slow = findings(situation(heater=HEATER + "\nrate = 0.1"))["junction-rise"].compared[0].demand
    fast = situation(heater=HEATER + '\nchopped = { frequency = "1 kHz", duty = "0.999..1" }')
    assert fast.facts("Q1")["spike_rate"].value == 1000.0
    heat = 1000 * 0.5 * 15e-6 * HOT**2 * 60 / (60 - 25.2)
    assert findings(fast)["junction-rise"].compared[0].demand > slow + 40 * heat


def test_a_light_line_needs_nothing() -> None:
    """7 mA lift the collector by 6.3 V at most, whatever the cable's capacitance."""
    made = findings(situation(), "Q2")["collector-voltage"]
    assert made.compared[0].demand == pytest.approx(25.2 + 2 * 0.007 * STEP, rel=1e-3)
    small = situation(heater='resistance = "2.2 kΩ ±5 %"', ear=None, eas=None, ias=None)
    assert small.facts("Q1")["line_peak"].value == pytest.approx(25.2)
    assert findings(small)["stray-spike"].verdict in PASS
    assert findings(small)["stray-current"].verdict in PASS
    assert findings(small)["junction-rise"].verdict in PASS, "nothing avalanches, so no rate is asked for"


def test_a_plain_resistor_is_lifted_by_the_wave_alone() -> None:
    s = situation(heater='resistance = "200 Ω ±5 %"')
    assert s.facts("Q1")["line_peak"].value == pytest.approx(1.3 * 25.2 / 190 * STEP, rel=1e-3)
    beside = situation(loads='"heater", "lamp"', heater='resistance = "200 Ω ±5 %"')
    both = 2 * (25.2 / 190 + 2.0) * STEP
    assert beside.facts("Q1")["line_peak"].value == pytest.approx(25.2 + both, rel=1e-3)


def test_a_cold_lamp_may_be_switched_off() -> None:
    facts = situation(loads='"lamp"').facts("Q1")
    assert facts["spike_current"].value == pytest.approx(2.0)
    assert facts["stray_inductance"].value == pytest.approx(6e-6)


def test_a_coil_that_nothing_clamps_adds_its_cable() -> None:
    s = situation(loads='"valve", "lamp"')
    facts, current = s.facts("Q1"), 25.2 / 43.2
    assert facts["stray_inductance"].value is None
    assert facts["coil_current"].value == pytest.approx(current + 2.0)
    energy = (60e-3 + 9e-6) * current**2 + 6e-6 * 2.0**2
    assert facts["unclamped_inductance"].value == pytest.approx(energy / (current + 2.0) ** 2)
    asked = situation(loads='"valve"', valve='release_time = "9 ms"\nrelease_level = "60 mA"')
    assert asked.facts("Q1")["release_inductance"].value == pytest.approx(60e-3 + 9e-6)


def test_a_clamp_takes_coil_and_cable_and_at_the_far_end_the_coil_alone() -> None:
    clamp = '[role.D1]\nrole = "clamp"\nload = "valve"\n'
    near, far = (situation(loads='"valve"', more=clamp + end) for end in ("", 'position = "load"\n'))
    assert near.facts("D1")["inductance"].value == pytest.approx(60e-3 + 9e-6)
    assert near.facts("Q1")["line_peak"].value is None
    assert far.facts("D1")["inductance"].value == pytest.approx(60e-3)
    assert far.facts("Q1")["stray_inductance"].value == pytest.approx(9e-6)
    over = far.facts("Q1")["drain_clamped"].value
    assert far.facts("Q1")["line_peak"].value == pytest.approx(over + 2 * 25.2 / 43.2 * STEP, rel=1e-3)


def test_no_line_exceeds_what_its_board_counts() -> None:
    """Lines drawn at random behind the heater's cable: never higher than the fact says."""
    for _ in range(25):
        z0, per_metre = drawn_line()
        ohms = float(10 ** RANDOM.uniform(math.log10(z0 / 20), 3.5))
        stated = f'inductance = "{per_metre * 10 * 1e6:.6f} µH ±1 %"'
        text = BOARD.format(loads='"heater"', more="", heater=f'resistance = "{ohms:.4f} Ω ±1 %"', valve="")
        text = text.replace('length = "10 m", wire', f'length = "10 m", {stated}, wire')
        s = Situation(parse_board(text, Path("b.toml")).board, {"Q1": None, "Q2": None}, BENCH)
        peak = s.facts("Q1")["line_peak"].value
        for shunt in (0.0, 0.2, 1.0):
            assert opened(resistor(ohms, z0), 25.2, 25.2 / ohms, z0, shunt) <= peak


# ---- the feed of a rail


def feed(ohms: float, henries: float, farads: float, esr: float, start: float, drawn: float, periods: int) -> Any:
    """Voltage over the source at the board, V, over some periods, from a steady ``start`` to ``drawn`` (A)."""
    steps = 400
    dt = 2 * math.pi * math.sqrt(henries * farads) / steps
    a, b, loss = dt / (2 * henries), dt / (2 * farads), ohms + esr
    i, v = start, -ohms * start
    made = [v + esr * (i - drawn)]
    for _ in range(periods * steps):
        # trapezoid of L di/dt = -v - R·i - esr·(i - drawn), C dv/dt = i - drawn
        before = i
        i = (i - a * (2 * v + b * (i - 2 * drawn) + loss * i - 2 * esr * drawn)) / (1 + a * (loss + b))
        v += b * (i + before - 2 * drawn)
        made.append(v + esr * (i - drawn))
    return np.array(made)


def drawn_feed() -> tuple[float, float, float, float]:
    """Resistance, inductance, capacitance and its series resistance."""
    henries, farads = 10 ** RANDOM.uniform(-6.5, -4.5), 10 ** RANDOM.uniform(-5, -2.5)
    wave = math.sqrt(henries / farads)
    return wave * 10 ** RANDOM.uniform(-1.5, 0.7), henries, farads, wave * 10 ** RANDOM.uniform(-2, 0.7)


def test_a_feed_that_lets_go_rises_no_higher_than_the_formula() -> None:
    closest = 0.0
    for _ in range(60):
        ohms, henries, farads, esr = drawn_feed()
        bound = cables.surge_rise(3.0, henries, farads) + 3.0 * esr
        once = feed(ohms, henries, farads, esr, 3.0, 0.0, 2).max()
        assert once <= bound
        closest = max(closest, once / bound)
    assert closest > 0.85


def test_repeated_steps_rise_no_higher_than_the_factor_says() -> None:
    """A current that comes and goes as it likes lifts the rail by what its step response falls, all falls together."""
    closest = 0.0
    for _ in range(60):
        ohms, henries, farads, esr = drawn_feed()
        answer = -feed(ohms, henries, farads, esr, 0.0, 1.0, 25)
        worst = np.maximum(answer[:-1] - answer[1:], 0).sum()
        bound = cables.repetition_factor(ohms + esr, henries, farads) * cables.surge_rise(1.0, henries, farads) + esr
        assert worst <= bound
        closest = max(closest, worst / bound)
    assert closest > 0.85


FEED = '[rail.V24.feed]\nlength = "2 m"\nwire = "1.5 mm²"\n'


def fed(*keys: str, policy: Policy = BENCH, heater: str = HEATER) -> Situation:
    text = BOARD.format(loads='"heater"', more=FEED, heater=heater, valve="")
    text = text.replace('voltage = "24 V ±5 %"', 'voltage = "24 V ±5 %"\n' + "\n".join(keys))
    return Situation(parse_board(text, Path("b.toml")).board, {"Q1": mosfet_switch.PART, "Q2": npn_sink.PART}, policy)


def surge(s: Situation) -> Finding:
    role, facts = next((role, facts) for name, role, facts in s.links() if name == "rail V24")
    return {f.id: f for f in explain(role, None, facts, 0.1)}["feed-surge"]


CAPACITOR = ('capacitance = "100 µF ±20 %"', 'capacitance_esr = "0.05..0.3 Ω"')


def test_the_feed_drives_its_current_into_the_capacitance_of_the_board() -> None:
    s, drawn = fed(*CAPACITOR), HOT + 2.0 + 0.007 + 25.2 / 43.2
    rise = drawn * (math.sqrt(3e-6 / 80e-6) + 0.3)
    peak = s.rail_peak("V24")
    assert peak.value == pytest.approx(25.2 + rise)
    assert any("cable_inductance" in name for name in peak.assumed)
    assert surge(s).verdict in PASS
    assert s.facts("Q1")["drain_clamped"].value == pytest.approx(25.2 + rise)
    assert fed(*CAPACITOR, 'transient = "40 V"').rail_peak("V24").value == 40.0
    limited = fed(*CAPACITOR, 'current = "6 A"').rail_peak("V24").value
    assert limited == pytest.approx(25.2 + 6.0 * (math.sqrt(3e-6 / 80e-6) + 0.3)), "supply-current holds it to that"


def test_chopping_may_meet_the_ringing_of_the_feed() -> None:
    chopped = HEATER + '\nchopped = { frequency = "9 kHz", duty = "0.1..1" }'
    once, again = (fed(*CAPACITOR, heater=heater).rail_peak("V24").value for heater in (HEATER, chopped))
    copper = 0.0172414e-6 / 1.5e-6 * 4
    factor = cables.repetition_factor(0.05 + copper * 0.92 / 1.1, 3e-6, 80e-6)
    assert again > once
    assert again - once == pytest.approx(
        (HOT + 2.0 + 0.007 + 25.2 / 43.2) * math.sqrt(3e-6 / 80e-6) * (factor - 1), rel=0.01
    )


def test_a_wider_range_of_capacitance_never_lowers_what_chopping_drives_the_rail_to() -> None:
    """The least capacitance rings hardest: an integrated feed of 80 µF, met at each half period, stays below."""
    chopped = HEATER + '\nchopped = { frequency = "9 kHz", duty = "0.1..1" }'
    heights = [
        fed(f'capacitance = "80..{most} µF"', CAPACITOR[1], heater=chopped).rail_peak("V24").value
        for most in (81, 120, 300, 400, 4000)
    ]
    assert heights == sorted(heights)
    drawn = HOT + 2.0 + 0.007 + 25.2 / 43.2
    copper = 0.0172414e-6 / 1.5e-6 * 4 * 0.92 / 1.1
    answer = -feed(copper, 3e-6, 80e-6, 0.05, 0.0, 1.0, 40)
    rung = np.maximum(answer[:-1] - answer[1:], 0).sum()
    assert 25.2 + drawn * rung <= heights[-1]


def test_a_feed_without_a_capacitance_leaves_open_what_stands_on_its_rail() -> None:
    s = fed()
    for keys in ((), CAPACITOR[:1], CAPACITOR[1:]):
        open_ = fed(*keys)
        assert math.isnan(open_.rail_peak("V24").value)
        assert findings(open_)["drain-voltage"].verdict is Verdict.UNPROVEN
        assert "rail.V24.capacitance" in findings(open_)["drain-voltage"].story.missing[0]
    assert findings(fed('transient = "40 V"'))["drain-voltage"].verdict in PASS, "a stated transient is what is counted"
    assert surge(s).verdict is Verdict.UNPROVEN
    assert surge(s).story.missing == ("rail.V24.capacitance", "rail.V24.capacitance_esr")
    assert surge(fed(CAPACITOR[0])).story.missing == ("rail.V24.capacitance_esr",)
    unknown = surge(fed(*CAPACITOR, policy=DATASHEET))
    assert unknown.story.missing == ("rail.V24.feed.inductance",)
    assert not [name for name, role, facts in situation().links() if facts.get("surge") and facts["surge"].value]


def test_a_light_rail_needs_no_capacitance_within_its_transient() -> None:
    light = 'sort = "resistive"\nrail = "V24"\nresistance = "5 kΩ ±5 %"'
    text = BOARD.format(loads='"heater"', more=FEED, heater=HEATER, valve="")
    for load in ("heater", "lamp", "valve"):
        start, end = text.index(f"[load.{load}]"), text.index("cable =", text.index(f"[load.{load}]"))
        text = text[:start] + f"[load.{load}]\n{light}\n" + text[end:]
    text = text.replace('voltage = "24 V ±5 %"', 'voltage = "24 V ±5 %"\ntransient = "60 V"')
    s = Situation(parse_board(text, Path("b.toml")).board, {"Q1": None, "Q2": None}, BENCH)
    drawn = 3 * 25.2 / 4750 + 0.007
    assert surge(s).compared[0].demand == pytest.approx(25.2 + 2 * drawn * STEP, rel=1e-3)
    assert surge(s).verdict in PASS
    assert s.rail_peak("V24").value == 60.0
