"""Brightness: random LEDs and circuits against SciPy, traps, what it saves, and answers that say the same.

The reference is independent of the role: an LED is V = n·Vt·ln(1 + I/Is) + I·Rs (Shockley's law with a series
resistance), its light a smooth sub-linear law of the current; circuits are solved with SciPy's ``brentq``.
Preferred values are those of the library ``eseries``, lightness that of ``colour-science``.
"""

import csv
import io
import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain
from pathlib import Path
from typing import Any

import eseries
import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck.api import open_board
from partcheck.errors import UsageError
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.light.brightness import Brightened, brightness
from partcheck.jobs.light.circuits import circuit
from partcheck.jobs.light.ranking import rank_brightness
from partcheck.jobs.light.wanted import WantedLight, read_wanted
from partcheck.parts.part import Part, point_table
from partcheck.physics import light
from partcheck.report.answers import phrases as say
from partcheck.report.answers.brightness import document as one_led
from partcheck.report.answers.brightness.record import record as brightened
from partcheck.report.render import text as screen
from partcheck.requirement import Verdict
from partcheck.units import UNITS, show
from tests.command import SAMPLES, Ran, run
from tests.draws import some
from tests.project.test_budgets import loaded
from tests.roles.test_indicator import Diode, bins, flow, random_led
from tests.schemas import follows_the_schema
from tests.valves import corner

BOARD = corner(
    "V12 V12.feed V5 U2 VALVE1 VALVE2 VALVE3 ALIVE ALARM FV1 FV2 FV3 Q1 Q2 Q3 D1 D2 D3 D11 D12 D13 D14 D15 D16 U1 J1"
)
"""The valves, indicators and supplies of the sample board: what is no light of it would be judged again and again."""
EXTRA = SAMPLES / "extra"
PARTS = ("--parts", SAMPLES, "--parts", EXTRA)
K25 = 298.15
Runner = Callable[..., Ran]


def text(answer: Brightened) -> str:
    """The answer as a screen of text."""
    return screen.render(one_led.document(answer))


@cache
def with_extra() -> Setup:
    """The sample board with the LEDs of the extra sheets known too."""
    return open_setup(BOARD, [SAMPLES, EXTRA])


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run(monkeypatch, capsys, *words)


# ---- an LED as physics has it, and its datasheet ---------------------------------------------------------


@dataclass(frozen=True)
class Lamp:
    """An LED with a diode's curve and a smooth law of light; bins lie ``low``, ``high`` V and ``spread`` around."""

    diode: Diode
    low: float
    high: float
    at_20: float
    exponent: float
    bend: float
    spread: float

    def light(self, i: float) -> float:
        """Luminous intensity, cd."""
        x = math.log(i / 0.02)
        return self.at_20 * math.exp(self.exponent * x + self.bend * x * x)

    def current(self, feed: float, ohms: float) -> float:
        """Typical current behind a resistance at 25 °C."""
        return float(brentq(lambda i: self.diode.volts(i) + i * ohms - feed, 1e-12, 100.0, xtol=1e-15))

    def sheet(self, name: str, points: Any, **values: Any) -> Part:
        """Its datasheet, stated at these currents."""
        vf = [
            {"i_f": i, "min": v + self.low, "typ": v, "max": v + self.high}
            for i, v in ((float(i), self.diode.volts(i)) for i in points)
        ]
        relative = [{"i_f": float(i), "typ": self.light(i) / self.light(0.02)} for i in points]
        test = float(points[int(np.argmin(abs(np.asarray(points) - 0.02)))])
        relative = [row | {"typ": row["typ"] / (self.light(test) / self.light(0.02))} for row in relative]
        typ = self.light(test)
        iv = [{"i_f": test, "min": typ / self.spread, "typ": typ, "max": typ * self.spread}]
        tables = {
            "vf": vf, "iv": iv, "relative_intensity": relative,
            "if_max": [{"temperature": 358.15, "max": 0.1}],
            "theta_ja": [{"copper_area": 0, "mounting": "free-air", "max": 350.0}],
            "light_factor": [{"temperature": 398.15, "min": 0.5}],
        }  # fmt: skip
        stated = {"vf_tempco_min": self.diode.tempco, "tj_max": 398.15, "viewing_angle": 60.0} | values
        extra = {k: stated.pop(k) for k in list(stated) if isinstance(stated[k], list)}
        return Part("led", name, "Example", stated, {k: point_table("led", k, v) for k, v in (tables | extra).items()})


def random_lamp(random: np.random.Generator) -> Lamp:
    diode, low, high = random_led(random)
    return Lamp(
        diode, low, high, random.uniform(0.05, 2.0), random.uniform(0.75, 1.15), random.uniform(-0.03, 0.03),
        random.uniform(1.2, 1.9),
    )  # fmt: skip


CIRCUIT = """\
format = 1
name = "light"
series = "{series}"
[surroundings]
ambient = "0..40 °C"
{feed}
[role.D1]
role = "indicator"
fitted = "OLD"
{source}
resistor = "{ohms:.12g} Ω ±{tolerance} %"
{more}
"""
RAIL = '[rail.V]\nvoltage = "{0:.12g}..{1:.12g}..{2:.12g} V"\n'
DRIVE = '[drive.X]\nhigh = "{0:.12g}..{1:.12g}..{2:.12g} V"\nlow = "0 V"\nsource_resistance = "{3:.12g} Ω"\n'


@dataclass(frozen=True)
class Circuit:
    """A feed (least, typical, largest), a resistor with tolerance in per cent, and a source resistance."""

    feed: tuple[float, float, float]
    ohms: float
    tolerance: float = 5.0
    source: float = 0.0
    series: str = "E24"
    more: str = ""

    def setup(self, folder: Path, *parts: Part) -> Setup:
        """A board of that circuit, read from its file."""
        driven = self.source > 0
        feed = RAIL.format(*self.feed) + (DRIVE.format(*self.feed, self.source) if driven else "")
        where = 'drive = "X"' if driven else 'rail = "V"'
        path = folder / "light.toml"
        path.write_text(
            CIRCUIT.format(
                series=self.series, feed=feed, source=where, ohms=self.ohms, tolerance=self.tolerance, more=self.more
            ),
            encoding="utf-8",
        )
        return open_setup(path, policy="bench", given=parts)


def random_circuit(random: np.random.Generator, *lamps: Lamp) -> Circuit:
    """One that drives each of the lamps with 3 to 15 mA or so."""
    highest = max(lamp.diode.volts(0.01) for lamp in lamps)
    feed = highest + random.uniform(0.8, 9.0)
    spread = random.uniform(0.01, 0.05)
    source = random.choice([0.0, 25.0])
    ohms = max((feed - highest) / random.uniform(0.004, 0.012) - source, 20.0)
    return Circuit(
        (feed * (1 - spread), feed, feed * (1 + spread)), ohms, 5.0, source, str(random.choice(["E12", "E24", "E96"]))
    )


POINTS = np.geomspace(1e-4, 0.06, 16)


def scene(seed: int, folder: Path) -> tuple[np.random.Generator, Lamp, Lamp, Circuit, Brightened]:
    """A random fitted LED and a random other one within a factor of four in light, in a random circuit."""
    random = np.random.default_rng(seed)
    old, new = random_lamp(random), random_lamp(random)
    circuit = random_circuit(random, old, new)
    ohms = circuit.ohms + circuit.source
    share = random.uniform(0.25, 4.0)
    at = old.light(old.current(circuit.feed[1], ohms)) * share / new.light(new.current(circuit.feed[1], ohms))
    new = Lamp(new.diode, new.low, new.high, new.at_20 * at, new.exponent, new.bend, new.spread)
    setup = circuit.setup(folder, old.sheet("OLD", POINTS), new.sheet("NEW", POINTS))
    return random, old, new, circuit, brightness(setup, "D1", setup.part("D1", "NEW"))


@pytest.mark.parametrize("seed", range(16))
def test_currents_light_and_ratio_are_those_of_the_true_curves(seed: int, tmp_path: Path) -> None:
    random, old, new, circuit, answer = scene(seed, tmp_path)
    ohms = circuit.ohms + circuit.source
    assert answer.before is not None and answer.ratio is not None
    lights = []
    for lamp, point in ((old, answer.before), (new, answer.drawn.point)):
        i = lamp.current(circuit.feed[1], ohms)
        lights.append(lamp.light(i))
        assert point["current_typ"] == pytest.approx(i, rel=0.01)
        assert point.light == pytest.approx(lights[-1], rel=0.015)
        for _ in range(12):
            feed = random.uniform(circuit.feed[0], circuit.feed[2])
            r = circuit.ohms * random.uniform(0.95, 1.05) + circuit.source
            off = random.choice([lamp.low, lamp.high, random.uniform(lamp.low, lamp.high)])
            i, _ = flow(
                [bins(lamp.diode, off)],
                lambda x, feed=feed, r=r: feed - x * r,
                random.uniform(K25 - 25, K25 + 15),
                350.0,
            )
            assert point["current_min"] <= i * (1 + 1e-9)
            assert i <= point["current_max"] * (1 + 1e-9)
            binned = lamp.light(i) * random.uniform(1 / lamp.spread, lamp.spread)
            assert 0.985 * point["intensity_min"] <= binned <= 1.015 * point["intensity_max"]
    ratio = lights[1] / lights[0]
    assert answer.ratio.typical == pytest.approx(ratio, rel=0.02)
    assert answer.ratio.least < answer.ratio.typical < answer.ratio.largest


def equal_resistor(lamp: Lamp, wanted: float, circuit: Circuit) -> float:
    """The resistor with which the true LED gives the wanted light."""

    def over(log_r: float) -> float:
        return lamp.light(lamp.current(circuit.feed[1], math.exp(log_r) + circuit.source)) - wanted

    return math.exp(brentq(over, math.log(0.1), math.log(1e7), xtol=1e-12))


@pytest.mark.parametrize("seed", range(100, 116))
def test_the_resistor_for_equal_light_is_that_of_the_true_curves(seed: int, tmp_path: Path) -> None:
    _, old, new, circuit, answer = scene(seed, tmp_path)
    wanted = old.light(old.current(circuit.feed[1], circuit.ohms + circuit.source))
    if answer.solved.state == "weak":  # more than the least resistor lets through
        assert new.light(new.current(circuit.feed[1], 0.1 + circuit.source)) < 1.02 * wanted
        return
    if answer.solved.state == "above":
        assert new.light(POINTS[-1]) < 1.02 * wanted
        return
    true = equal_resistor(new, wanted, circuit)
    slope = 1 + circuit.source / true  # what lies in series with it counts against its share
    assert answer.solved.resistance == pytest.approx(true, rel=0.01 * slope + 0.005)
    assert answer.solved.light == pytest.approx(answer.goal, rel=1e-9)
    around = {
        eseries.find_less_than_or_equal(eseries.ESeries[circuit.series], answer.solved.resistance),
        eseries.find_greater_than_or_equal(eseries.ESeries[circuit.series], answer.solved.resistance),
    }
    assert [made.resistance for made in answer.choices] == pytest.approx(sorted(around), rel=1e-9)
    for made in answer.choices:
        i = new.current(circuit.feed[1], made.resistance + circuit.source)
        assert made.point["current_typ"] == pytest.approx(i, rel=0.01)
    assert answer.best in answer.choices


@pytest.mark.parametrize("seed", range(200, 206))
@pytest.mark.parametrize("ratio", [0.4, 1.0, 1.7])
def test_a_wanted_ratio_of_the_fitted_led_and_a_target_are_solved_alike(
    seed: int, ratio: float, tmp_path: Path
) -> None:
    random = np.random.default_rng(seed)
    old = random_lamp(random)
    circuit = random_circuit(random, old)
    setup = circuit.setup(tmp_path, old.sheet("OLD", POINTS))
    part = setup.part("D1", "OLD")
    answer = brightness(setup, "D1", part, WantedLight(ratio=ratio))
    assert answer.before is not None
    by_target = brightness(setup, "D1", part, WantedLight(target=ratio * answer.before.light))
    assert by_target.solved == answer.solved
    if answer.solved.state == "reached":
        true = equal_resistor(
            old, ratio * old.light(old.current(circuit.feed[1], circuit.ohms + circuit.source)), circuit
        )
        assert answer.solved.resistance == pytest.approx(true, rel=0.015 * (1 + circuit.source / true))
    if ratio == 1.0:
        assert answer.solved.resistance == pytest.approx(circuit.ohms, rel=1e-9)


# ---- traps -----------------------------------------------------------------------------------------------


def lamp(volts_at_10: float = 2.0, exponent: float = 1.0, at_20: float = 0.5) -> Lamp:
    nvt = 0.05
    diode = Diode(nvt, 0.01 / math.expm1(volts_at_10 / nvt), 2.0, -0.002)
    return Lamp(diode, -0.1, 0.1, at_20, exponent, 0.0, 1.5)


TWELVE = Circuit((11.4, 12.0, 12.6), 10000.0)


def test_light_at_the_test_current_does_not_tell_the_light_at_the_real_one(tmp_path: Path) -> None:
    """Alike at 20 mA; a twentieth of the current leaves a strongly sub-linear chip far more of its light."""
    setup = TWELVE.setup(tmp_path, lamp().sheet("OLD", POINTS), lamp(exponent=0.6).sheet("NEW", POINTS))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    old, new = setup.part("D1", "OLD"), setup.part("D1", "NEW")
    assert old.table("iv").curve("i_f", "typ")[1] == pytest.approx(new.table("iv").curve("i_f", "typ")[1], rel=0.1)
    assert answer.ratio is not None and answer.ratio.typical > 2.5
    assert answer.solved.resistance > 3 * TWELVE.ohms
    # light in proportion to current would want the current in that proportion
    assert answer.solved.current < 0.5 * answer.drawn.point["current_typ"] / answer.ratio.typical * 1.2


def test_a_fixed_forward_voltage_is_wrong_at_a_low_supply(tmp_path: Path) -> None:
    old, new = lamp(1.8), lamp(2.0, at_20=2.0)
    circuit = Circuit((2.4, 2.5, 2.6), 150.0, series="E96")
    setup = circuit.setup(tmp_path, old.sheet("OLD", POINTS), new.sheet("NEW", POINTS))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    fixed = float(light.series_current(2.5, new.diode.volts(0.02), 150.0))  # type: ignore[arg-type]
    true = new.current(2.5, 150.0)
    assert abs(fixed / true - 1) > 0.15
    assert answer.drawn.point["current_typ"] == pytest.approx(true, rel=0.01)
    wanted = equal_resistor(new, old.light(old.current(2.5, 150.0)), circuit)
    by_test_current = (2.5 - new.diode.volts(0.02)) / answer.solved.current
    assert answer.solved.resistance == pytest.approx(wanted, rel=0.015)
    assert abs(by_test_current / wanted - 1) > 0.15


def test_the_eye_is_told_by_cie_1976_lightness(colour: Any, tmp_path: Path) -> None:
    old = lamp()
    for share in (0.03, 0.2, 0.5, 1.0, 2.0, 5.4, 30.0):
        setup = TWELVE.setup(tmp_path, old.sheet("OLD", POINTS), lamp(at_20=0.5 * share).sheet("NEW", POINTS))
        ratio = brightness(setup, "D1", setup.part("D1", "NEW")).ratio
        assert ratio is not None and ratio.typical == pytest.approx(share, rel=1e-9)
        reference = float(colour.colorimetry.lightness_CIE1976(100 * min(share, 1 / share), 100.0))
        assert ratio.lightness == pytest.approx(reference, abs=1e-6), share
        assert "indicative" in ratio.as_seen


# ---- curves left -------------------------------------------------------------------------------------------


def test_an_led_beyond_its_last_points_is_held_on_the_safe_side_and_says_so(tmp_path: Path) -> None:
    old, new = lamp(), lamp(1.9)
    circuit = Circuit((11.4, 12.0, 12.6), 500.0)  # about 20 mA
    setup = circuit.setup(tmp_path, old.sheet("OLD", POINTS), new.sheet("NEW", np.geomspace(0.001, 0.01, 6)))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    point = answer.drawn.point
    left = {(c.quantity, c.curve): c for c in point.curves}
    for quantity, curve in (("current_min", "vf max"), ("current_typ", "vf typ"), ("current_max", "vf min")):
        found = left[quantity, curve]
        assert (found.end, found.effect) == ("last", "held")
        assert found.point == pytest.approx(0.01) and found.current == point[quantity] > 0.01
    most, _ = flow([bins(new.diode, new.low)], lambda i: 12.6 - i * 475.0, K25 + 15, 350.0)
    least, _ = flow([bins(new.diode, new.high)], lambda i: 11.4 - i * 525.0, K25 - 25, 0.0)
    assert point["current_min"] <= least < most <= point["current_max"]
    missing = left["intensity_typ", "relative_intensity"]
    assert (missing.end, missing.effect) == ("last", "missing")
    assert math.isnan(point.light) and answer.ratio is not None and math.isnan(answer.ratio.typical)
    shown = " ".join(text(answer).split())
    assert "vf typ ends at 10 mA" in shown and "relative_intensity ends at 10 mA" in shown
    assert f"current_max at {show(point['current_max'], 'A', 3)}" in shown


def test_below_the_first_point_too(tmp_path: Path) -> None:
    setup = TWELVE.setup(tmp_path, lamp().sheet("OLD", POINTS), lamp().sheet("NEW", np.geomspace(0.005, 0.03, 5)))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    ends = {c.quantity: (c.end, c.effect) for c in answer.drawn.point.curves}
    assert ends["current_min"] == ends["current_typ"] == ends["current_max"] == ("first", "held")
    assert ends["intensity_typ"] == ("first", "missing")
    # equal light would want a current below every stated one
    assert answer.solved.state == "below" and answer.verdict is Verdict.UNPROVEN
    assert answer.solved.current == pytest.approx(0.005, rel=1e-6)
    assert "is not stated to give as little as" in " ".join(text(answer).split())


@pytest.mark.parametrize("seed", range(300, 312))
def test_light_is_missing_exactly_where_a_curve_is_said_to_end(seed: int, tmp_path: Path) -> None:
    random = np.random.default_rng(seed)
    old = random_lamp(random)
    points = np.geomspace(random.uniform(5e-4, 8e-3), random.uniform(9e-3, 0.03), int(random.integers(2, 6)))
    circuit = random_circuit(random, old)
    setup = circuit.setup(tmp_path, old.sheet("OLD", points))
    answer = brightness(setup, "D1", setup.part("D1", "OLD"))
    point = answer.drawn.point
    missing = {c.quantity for c in point.curves if c.effect == "missing"}
    for end in ("min", "typ", "max"):
        assert math.isnan(point[f"intensity_{end}"]) == (f"intensity_{end}" in missing)
        outside = not points[0] <= point[f"current_{end}"] <= points[-1]
        assert outside == (f"current_{end}" in {c.quantity for c in point.curves})


def test_an_led_that_states_no_light_is_unproven_and_named(tmp_path: Path) -> None:
    dark = lamp().sheet("NEW", POINTS, iv=[])
    setup = TWELVE.setup(tmp_path, lamp().sheet("OLD", POINTS), dark)
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    assert (answer.solved.state, answer.best, answer.verdict) == ("unknown", None, Verdict.UNPROVEN)
    shown = " ".join(text(answer).split())
    assert "look up iv typ" in shown and "How much light NEW at 10 kΩ gives is not known (iv)" in shown
    ranked = rank_brightness(setup, "D1")
    assert [made.verdict for made in ranked.ranked] == [Verdict.UNPROVEN]
    assert not ranked.ranked[0].has_resistor


def test_where_the_fitted_led_states_no_light_only_a_target_can_be_wanted(tmp_path: Path) -> None:
    setup = TWELVE.setup(tmp_path, lamp().sheet("OLD", POINTS, iv=[]), lamp().sheet("NEW", POINTS))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    assert answer.verdict is Verdict.UNPROVEN and "give --target" in text(answer)
    assert brightness(setup, "D1", setup.part("D1", "NEW"), WantedLight(target=0.01)).solved.state == "reached"


@pytest.mark.parametrize(
    ("target", "state", "code", "words"),
    [
        ("900 mcd", "above", 1, "SLYS-A3H is not stated to give 900 mcd: its curves end at 20 mA"),
        ("1 mcd", "below", 3, "SLYS-A3H is not stated to give as little as 1 mcd: its curves begin at 200 µA"),
    ],
)
def test_a_target_out_of_reach_is_one_sentence(command: Runner, target: str, state: str, code: int, words: str) -> None:
    ran = command("brightness", BOARD, "D11", "SLYS-A3H", "--target", target, *PARTS)
    answer = json.loads(command("brightness", BOARD, "D11", "SLYS-A3H", "--target", target, "--json", *PARTS).out)
    assert answer["solved"]["state"] == state and answer["recommended"] is None and answer["resistors"] == []
    assert words in " ".join(ran.out.split())
    assert answer["finding"].endswith(".") and ". " not in answer["finding"]
    assert ran.code == code


def test_a_drive_too_weak_for_the_wanted_light_fails(tmp_path: Path) -> None:
    circuit = Circuit((4.8, 5.0, 5.2), 1000.0, source=500.0)
    setup = circuit.setup(tmp_path, lamp().sheet("OLD", POINTS), lamp().sheet("NEW", POINTS))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"), WantedLight(target=0.4))
    assert (answer.solved.state, answer.verdict) == ("weak", Verdict.FAILS)
    most = lamp().light(lamp().current(5.0, 500.1))
    assert answer.solved.light == pytest.approx(most, rel=0.015)
    assert (
        f"NEW cannot give 400 mcd here: even 100 mΩ gives no more than {show(answer.solved.light, 'cd', 3)}"
        in " ".join(text(answer).split())
    )


# ---- what it saves, and the board with it really fitted ------------------------------------------------------


def refitted(folder: Path, part: str, resistors: dict[str, float]) -> Path:
    """The sample board's file with another LED and resistor written into some places."""
    made = BOARD.read_text(encoding="utf-8")
    for ref, ohms in resistors.items():
        before, head, block = made.partition(f"[role.{ref}]")
        block, gap, after = block.partition("\n\n")
        block = re.sub(r'fitted = "[^"]*"', f'fitted = "{part}"', block, count=1)
        block = re.sub(r'resistor = "[^"]*"', f'resistor = "{ohms:g} Ω ±1 %"', block, count=1)
        block = re.sub(r'resistor_power = "[^"]*"', 'resistor_power = "0.25 W"', block, count=1)
        made = before + head + block + gap + after
    path = folder / "refitted.toml"
    path.write_text(made, encoding="utf-8")
    return path


def checked(command: Runner, board: Path) -> Callable[[str, str], float]:
    """Demands of the board's places and links, by reference and requirement, as ``check`` tells them."""
    answer = json.loads(command("check", board, "--json", *PARTS).out)
    return lambda ref, id_: next(
        r["demand"]
        for place in answer["places"] + answer["links"]
        if place["reference"] == ref
        for r in place["requirements"]
        if r["id"] == id_
    )


@pytest.mark.parametrize(("ref", "part"), [("D14", "SLYS-R6D"), ("D16", "SLYS-R3H")])
def test_what_is_saved_at_the_regulator_is_what_check_tells(
    command: Runner, ref: str, part: str, tmp_path: Path
) -> None:
    """One hangs on the regulator's rail, the other on an output of the chip that the rail feeds."""
    answer = json.loads(command("brightness", BOARD, ref, part, "--json", *PARTS).out)
    before, after = checked(command, BOARD), checked(command, refitted(tmp_path, part, {ref: answer["recommended"]}))
    feed = next(f for f in answer["feeds"] if f["kind"] == "regulator")
    for state, told in (("before", before), ("changed", after)):
        assert feed[state]["values"]["load_total"] == pytest.approx(told("U1", "output-current"), rel=1e-9)
    change = feed["before"]["values"]["load_total"] - feed["changed"]["values"]["load_total"]
    assert change == pytest.approx(answer["saved"]["worst"], rel=1e-6)
    assert abs(change) > 1e-3
    rail = next(f for f in answer["feeds"] if f["kind"] == "rail")
    assert rail["changed"]["values"]["current"] == pytest.approx(after("rail V12", "supply-current"), rel=1e-9)
    chips = [f for f in answer["feeds"] if f["kind"] == "chip"]
    assert bool(chips) == (ref == "D16")
    for chip in chips:
        assert chip["changed"]["values"]["current"] == pytest.approx(after("chip U2", "chip-current"), rel=1e-9)


def test_all_indicators_with_the_same_led_changed_alike(command: Runner, tmp_path: Path) -> None:
    answer = json.loads(command("brightness", BOARD, "D11", "SLYS-A3H", "--json", *PARTS).out)
    such = answer["all_such"]
    assert such["references"] == ["D11", "D12", "D13"] and such["left"] == []
    path = refitted(tmp_path, "SLYS-A3H", such["resistors"])
    rail = next(f for f in answer["feeds"] if f["name"] == "V12")
    assert rail["all_changed"]["values"]["current"] == pytest.approx(
        checked(command, path)("rail V12", "supply-current")
    )
    found = json.loads(command("check", path, "--json", *PARTS).out)
    words = ["fails", "unproven", "tight", "meets"]
    verdicts = [p["verdict"] for p in found["places"] if p["reference"] in such["references"]]
    assert such["verdict"] == min(verdicts, key=words.index)
    each = [json.loads(command("brightness", BOARD, ref, "SLYS-A3H", "--json", *PARTS).out) for ref in ("D12", "D13")]
    typical = sum(one["saved"]["typical"] for one in (answer, *each))
    assert such["saved"]["typical"] == pytest.approx(typical, rel=1e-6)


@pytest.mark.parametrize(
    ("ref", "part"), [("D11", "SLYS-A3H"), ("D11", "JUNI-PA12"), ("D14", "SLYS-R6D"), ("D16", "SLYS-R3H")]
)
def test_the_board_with_the_recommended_circuit_is_as_good_as_was_said(ref: str, part: str, tmp_path: Path) -> None:
    setup = with_extra()
    answer = brightness(setup, ref, setup.part(ref, part))
    assert answer.best is not None and answer.best.change is not None
    fresh = open_setup(refitted(tmp_path, part, {ref: answer.best.resistance}), [SAMPLES, EXTRA]).situation
    before = {j.ref: j.verdict for j in chain(*judge_board(setup.situation))}
    said = {w.ref for w in answer.best.candidate.worsened}
    for judged in chain(*judge_board(fresh)):
        if judged.ref == ref:
            fits = [
                f.verdict for f in judged.findings if f.id not in ("package", "pin-order")
            ]  # the pattern is the old one
            assert min(fits) is answer.best.candidate.judged.verdict
            assert judged.headroom == pytest.approx(answer.best.candidate.judged.headroom, rel=1e-9)
        elif judged.verdict < before[judged.ref]:
            assert judged.ref in said


def test_the_better_verdict_comes_before_the_nearer_light(tmp_path: Path) -> None:
    """A wanted window that the nearer of the two values just misses, and the other one keeps."""
    old, new = lamp().sheet("OLD", POINTS), lamp(1.9, 0.9, 0.7).sheet("NEW", POINTS)
    setup = TWELVE.setup(tmp_path, old, new)
    free = brightness(setup, "D1", setup.part("D1", "NEW"))
    lower, upper = free.choices
    near = min(free.choices, key=lambda made: abs(math.log(made.point.light / free.goal)))
    assert free.best is near
    ends = [made.point["intensity_max" if near is lower else "intensity_min"] for made in free.choices]
    edge = math.sqrt(ends[0] * ends[1])
    window = f"0..{edge:.12g}" if near is lower else f"{edge:.12g}..100"
    windowed = Circuit(TWELVE.feed, TWELVE.ohms, more=f'brightness = "{window} cd"').setup(tmp_path, old, new)
    answer = brightness(windowed, "D1", windowed.part("D1", "NEW"))
    assert answer.best is not None and answer.best.resistance == (upper if near is lower else lower).resistance
    for made in answer.choices:
        assert made.candidate.judged.facts["resistor_max"].value == pytest.approx(1.01 * made.resistance)


def test_where_neither_neighbour_meets_the_nearest_value_that_does_is_told() -> None:
    setup = with_extra()
    answer = brightness(setup, "D11", setup.part("D11", "HOLL-3A60"), WantedLight(ratio=0.5))
    assert answer.verdict is Verdict.FAILS and answer.instead is not None
    assert answer.instead.verdict >= Verdict.TIGHT
    far = abs(math.log(answer.instead.point.light / answer.goal))
    for value in eseries.erange(eseries.E24, 3900, 8200):  # no preferred value nearer to the wanted light meets
        made = circuit(setup, "D11", answer.part, value)
        if abs(math.log(made.point.light / answer.goal)) < far - 1e-9:
            assert made.verdict < Verdict.TIGHT, value


# ---- angles and flux -------------------------------------------------------------------------------------------


def flux(lamp_: Lamp, lumens: float) -> list[dict[str, float]]:
    at = float(POINTS[int(np.argmin(abs(POINTS - 0.02)))])
    return [{"i_f": at, "min": lumens / 1.4, "typ": lumens, "max": lumens * 1.4}]


def test_another_viewing_angle_is_compared_by_the_stated_flux(tmp_path: Path) -> None:
    old = lamp().sheet("OLD", POINTS, flux=flux(lamp(), 0.4))
    new = lamp().sheet("NEW", POINTS, viewing_angle=120.0, flux=flux(lamp(), 1.2))
    setup = TWELVE.setup(tmp_path, old, new)
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    made = answer.flux_ratio(answer.drawn)
    assert made is not None and made.typical == pytest.approx(3.0, rel=1e-9)
    assert answer.ratio is not None and answer.ratio.typical == pytest.approx(1.0, rel=1e-9)
    assert re.search(r"by flux +3 ", text(answer))


def test_flux_is_never_made_of_an_intensity_and_an_angle(tmp_path: Path) -> None:
    old = lamp().sheet("OLD", POINTS, flux=flux(lamp(), 0.4), viewing_angle=120.0)
    setup = TWELVE.setup(tmp_path, old, lamp().sheet("NEW", POINTS, viewing_angle=130.0))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    assert answer.flux_ratio(answer.drawn) is None and math.isnan(answer.drawn.point["flux_typ"])
    assert "flux is not stated for NEW, so it is not compared" in " ".join(text(answer).split())
    same = brightness(setup, "D1", setup.part("D1", "OLD"))
    assert not same.angles_differ and "angles" not in text(same)


# ---- every known LED ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ref", "wanted"), [("D11", WantedLight()), ("D14", WantedLight(ratio=0.5)), ("D16", WantedLight(target=0.05))]
)
def test_the_ranking_says_of_each_led_what_is_said_of_it_alone(ref: str, wanted: WantedLight) -> None:
    setup = with_extra()
    found = rank_brightness(setup, ref, wanted, 3)
    names = [made.entry.part.part_number for made in found.ranked] + [e.part.part_number for e in found.others]
    known = set(setup.parts.names("led", ""))
    own = setup.board_file.board.role[ref].fitted
    assert own is not None
    assert sorted(names) == sorted(known - ({own.part_number} if wanted.equal else set()))
    assert sum(found.counts.values()) == found.compared == len(names)
    verdicts = [made.verdict for made in found.ranked]
    assert verdicts == sorted(verdicts, reverse=True) and min(verdicts) > Verdict.FAILS
    for made in found.ranked:
        alone = brightness(setup, ref, made.entry.part, wanted)
        assert alone.verdict is made.verdict
        assert (alone.best.resistance if alone.best else None) == (
            made.circuit.resistance if made.has_resistor else None
        )
        assert made.entry.solved.state == alone.solved.state
    for entry in some(found.others, 3):
        alone = brightness(setup, ref, entry.part, wanted)
        assert entry.verdict is not Verdict.FAILS or alone.verdict is Verdict.FAILS, entry.part.part_number
        if alone.best is not None and not alone.best.candidate.worsened:
            assert entry.resistance == alone.best.resistance
            assert entry.light == pytest.approx(alone.best.point.light, rel=1e-9)


def test_the_exit_code_of_the_ranking_is_that_of_a_swap(command: Runner) -> None:
    ran = command("brightness", BOARD, "D11", "--target", "50 mcd", "--most", "1", *PARTS)
    assert ran.code == 3 and "SLYS-G3D with 470 Ω: it gives 51 mcd; wanted is 50 mcd" in " ".join(ran.out.split())
    none = command("brightness", BOARD, "D13", "--target", "900 mcd", "--parts", EXTRA)
    assert none.code == 1 and "No known LED is proved to give 900 mcd at D13" in none.out


def test_a_catalog_ranks_as_the_files_do(command: Runner, tmp_path: Path) -> None:
    where = tmp_path / "c.sqlite"
    assert command("catalog", "import", SAMPLES, "--catalog", where).code == 0
    files = rank_brightness(open_setup(BOARD, [SAMPLES]), "D11", shown=3)
    kept = rank_brightness(open_setup(BOARD, [], str(where)), "D11", shown=3)
    assert [(r.entry.part.key, r.circuit.resistance, r.verdict) for r in files.ranked] == [
        (r.entry.part.key, r.circuit.resistance, r.verdict) for r in kept.ranked
    ]
    assert files.counts == kept.counts and files.compared == kept.compared and files.why_not == kept.why_not
    assert [entry.part.key for entry in files.others] == [entry.part.key for entry in kept.others]


def test_a_drive_whose_feed_is_not_stated_is_said_to_be(tmp_path: Path) -> None:
    circuit = Circuit((4.8, 5.0, 5.2), 1000.0, source=25.0)
    setup = circuit.setup(tmp_path, lamp().sheet("OLD", POINTS), lamp(at_20=0.9).sheet("NEW", POINTS))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"))
    assert answer.feeds == () and "What feeds drive X is not stated" in text(answer)


# ---- the answers ---------------------------------------------------------------------------------------------------


def numbers(value: Any) -> Iterator[float]:
    """Every number of a JSON answer."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from numbers(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner)
    elif isinstance(value, float | int) and not isinstance(value, bool):
        yield float(value)


def strings(value: Any) -> Iterator[str]:
    """Every text of a JSON answer."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from strings(inner)


ASKED = [
    ("D11", "SLYS-A3H"),
    ("D11", "JUNI-PA12"),
    ("D15", "JUNI-PG12"),
    ("D16", "SLYS-R3H"),
    ("D14", "SLYS-R8D"),
    ("D11", "HOLL-3A60", "--ratio", "0.5"),
    ("D14", "HOLL-8R120", "--target", "10 mcd"),
]
STATED = re.compile(
    r"(?<![\w.-])(\d+(?:\.\d+)?) ?(mcd|µcd|cd|mlm|lm|µA|mA|A|mV|V|mΩ|Ω|kΩ|MΩ|µW|mW|W|°C|°|times|%)(?![\w/])"
)


EACH = [*ASKED, ("D11",), ("D15", "--target", "30 mcd"), ("D14", "SLYS-G3D")]


def answered(*words: str) -> tuple[str, dict[str, Any]]:
    """The answer as text and as JSON; made once."""
    said, answer = written(*words)
    return said, json.loads(answer)


@cache  # as text, which takes a tenth of what it is read to
def written(*words: str) -> tuple[str, str]:
    options = {words[i]: words[i + 1] for i, word in enumerate(words) if word.startswith("--")}
    part = words[1] if len(words) > 1 and not words[1].startswith("--") else None
    board = open_board(BOARD, parts=[SAMPLES, EXTRA])
    made = board.brightness(words[0], part, options.get("--target"), options.get("--ratio"), most=4)  # type: ignore[arg-type]
    return made.text, json.dumps(made.record(), allow_nan=False)


@pytest.mark.parametrize("words", EACH, ids=" ".join)
def test_every_number_of_the_text_is_one_of_the_json(words: tuple[str, ...]) -> None:
    said, answer = answered(*words)
    said = " ".join(said.split())
    known: set[str] = set()
    for value in numbers(answer):
        for unit in ("cd", "lm", "A", "V", "Ω", "W", "°"):
            known |= {show(abs(value), unit, digits).replace(" ", "") for digits in (3, 4)}  # typical: to the nearest
            ways = ((up, digits) for up in (True, False) for digits in (3, 4))  # told to the safe side
            known |= {say.safe(abs(value), unit, up, digits).text.replace(" ", "") for up, digits in ways}
        known |= {
            say.safe(value + 273.15, "°C", up=True).text.replace(" ", ""),
            f"{value:.3g}times",
            f"{value * 100:.1f}%",
        }
        known |= {f"{abs(value) * 100:.0f}%", f"{abs(value) * 100:.1f}%", f"{math.ceil(abs(value - 1) * 100)}%"}
    told = re.sub(r"\s+", "", " ".join(strings(answer)))
    found = STATED.findall(said)
    assert len(found) > 25
    for number, unit in found:
        assert f"{number}{unit}" in known or f"{number}{unit}" in told, f"{number} {unit}"


@pytest.mark.parametrize("words", EACH, ids=" ".join)
def test_the_answers_fit_a_screen_and_the_published_schema(words: tuple[str, ...]) -> None:
    said, answer = answered(*words)
    for line in said.splitlines():
        assert len(line) <= 80, line
    assert "licensed practice" in " ".join(said.split())
    follows_the_schema(answer)
    if answer["job"] == "brightness":
        first = " ".join(said.partition("\n\n")[0].partition("To do:")[0].split())
        assert first[1:] == answer["finding"][1:]


@pytest.mark.parametrize(("words", "job"), [(("D11", "SLYS-A3H"), "brightness"), (("D11",), "brightness-ranking")])
def test_the_command_prints_the_same_and_ends_by_the_verdict(command: Runner, words: tuple[str, ...], job: str) -> None:
    said, answer = answered(*words)
    codes = {"meets": 0, "tight": 0, "unproven": 3, "fails": 1}
    most = ("--most", "4")
    ran = command("brightness", BOARD, *words, *PARTS, *most, "--json")
    assert json.loads(ran.out, parse_constant=lambda name: pytest.fail(name)) == answer
    assert ran.code == codes[answer["verdict"]] and answer["job"] == job
    assert command("brightness", BOARD, *words, *PARTS, *most).out.rstrip("\n") == said


def test_json_and_csv_of_the_ranking_agree(command: Runner) -> None:
    _, answer = answered("D11")
    rows = list(csv.DictReader(io.StringIO(command("brightness", BOARD, "D11", "--csv", "--most", "4", *PARTS).out)))
    assert [r["part_number"] for r in rows] == [r["part_number"] for r in answer["ranked"] + answer["others"]]
    for row, made in zip(rows, answer["ranked"], strict=False):
        assert row["verdict"] == made["verdict"]
        if made["resistor"] is None:
            assert row["resistor"] == "" and made["why_no_resistor"]
            continue
        assert float(row["resistor"]) == pytest.approx(made["resistor"])
        assert float(row["intensity_typ"]) == pytest.approx(made["circuit"]["point"]["intensity"]["typ"], rel=1e-5)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("Q2",), "Q2 is not an indicator LED, and brightness needs one; its indicators are D11"),
        (("D11", "SLYS-A3H", "--target", "5 V"), "--target 5 V: '5 V' is not a luminous intensity"),
        (("D11", "--target", "0 cd"), "--target 0 cd is not above zero"),
        (("D11", "--ratio", "half"), "--ratio half: 'half' is not a plain number"),
        (("D11", "--ratio", "1", "--target", "1 cd"), "--target and --ratio both say how much light is wanted"),
        (("D11", "SLYS-A3H", "--csv"), "--csv is the ranking of all LEDs"),
        (("D11", "--csv", "--json"), "--json and --csv are two forms of one answer"),
        (("D11", "NONE"), "there is no LED 'NONE'"),
        (("D11", "MOBY-F60-70"), "MOBY-F60-70 is a"),
    ],
)
def test_wrong_use_is_one_sentence(command: Runner, words: tuple[str, ...], sentence: str) -> None:
    ran = command("brightness", BOARD, *words, *PARTS)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(f"partcheck: {sentence}") and len(ran.err.splitlines()) == 1


def test_without_a_known_fitted_led_a_target_is_asked_for(tmp_path: Path) -> None:
    setup = TWELVE.setup(tmp_path, lamp().sheet("NEW", POINTS))
    for part in (setup.part("D1", "NEW"), None):
        with pytest.raises(UsageError, match="give --target"):
            brightness(setup, "D1", part)
    with pytest.raises(UsageError, match="name a PART"):
        brightness(setup, "D1", None, WantedLight(target=0.1))
    answer = brightness(setup, "D1", setup.part("D1", "NEW"), WantedLight(target=0.02))
    assert answer.solved.state == "reached" and answer.ratio is None
    assert brightened(answer).fitted is None and "20 mcd" in text(answer)
    assert rank_brightness(setup, "D1", WantedLight(target=0.02)).ranked[0].ratio is None


def test_a_wanted_light_is_read_strictly() -> None:
    assert read_wanted("5 mcd", None) == WantedLight(target=0.005)
    assert read_wanted(None, "50 %") == read_wanted(None, 0.5) == WantedLight(ratio=0.5)
    assert read_wanted(None, None).equal and "cd" in UNITS


def test_in_a_notebook() -> None:
    board = open_board(BOARD, parts=[SAMPLES, EXTRA])
    one = board.brightness("D11", "SLYS-A3H")
    assert one.record()["recommended"] == 13000.0 and "SLYS-A3H in place of HOLL-3A60" in one.text
    table = one.table()
    assert list(table.columns) == ["fitted", "as drawn", "13000 Ω", "15000 Ω"]
    assert table.loc["current_typ", "fitted"] == one.record()["fitted"]["current"]["typ"]
    every = board.brightness("D11", target="20 mcd", most=2)
    assert every.record()["wanted"]["target"] == 0.02
    assert len(every.table()) == every.record()["compared"]


def test_it_loads_no_database_and_no_test_library() -> None:
    modules, _ = loaded("brightness", BOARD, "D11", "SLYS-A3D", "--parts", SAMPLES)
    assert "numpy" in modules
    assert not modules & {"pandas", "sqlalchemy", "alembic", "scipy", "colour"}
