"""The path of a load's current: by hand, and against a network of the same board solved as one."""

import math
import random
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from partcheck.board import parse_board
from partcheck.parts.part import Part, point_table
from partcheck.physics import coils
from partcheck.physics.conductor_data import WORST_WIRE
from partcheck.policy import BENCH, DATASHEET
from partcheck.readings.explain import explain
from partcheck.requirement import Fact
from partcheck.roles import LINK_ROLES
from partcheck.situation import Situation
from partcheck.situation import current_path as path

HEAD = """
format = 1
name = "bench"
[surroundings]
ambient = "0..45 °C"
copper = "65 °C"
[rail.V5]
voltage = "5 V"
[chip.U1]
supply = "V5"
[drive.d]
chip = "U1"
high = "5 V"
low = "0..0.4 V"
source_resistance = "50 Ω"
"""
RAIL = """
[rail.V12]
voltage = "11.4..12..12.6 V"
source_resistance = "0..50 mΩ"
feed_resistance = "0..100 mΩ"
protection_drop = "0.3..0.5 V"
"""
VALVE = """
[load.valve]
sort = "coil"
rail = "V12"
resistance = { min = "36 Ω", typ = "40 Ω", max = "44 Ω" }
winding_temperature = "20..90 °C"
least_voltage = "7 V"
cable = { length = "5 m", wire = "0.5 mm2", temperature = "20..65 °C" }
"""
LAMP = """
[load.lamp]
sort = "lamp"
rail = "V12"
current = "0.1..0.2..0.25 A"
inrush_factor = 8
inrush_time = "40 ms"
"""
SWITCH = '[role.Q1]\nrole = "mosfet-switch"\ndrive = "d"\nload = "valve"\n'
SWITCHES = SWITCH + '[role.Q2]\nrole = "mosfet-switch"\ndrive = "d"\nload = "lamp"\n'
POLES = """
[role.J1]
role = "terminal"
poles = [{ pole = 1, side = "supply", rail = "V12" }, { pole = [2, 3], side = "return", rail = "V12" }]
[role.J2]
role = "terminal"
poles = [{ pole = 1, side = "feed", load = "valve" }, { pole = 2, side = "switched", load = "valve" }]
"""
TRACKS = """
[track.out]
width = "1 mm"
thickness = "30 µm"
length = "30 mm"
load = "valve"
side = "feed"
[track.back]
width = "2 mm"
thickness = "30 µm"
length = "60 mm"
rail = "V12"
"""
COPPER = 1.7241e-8 * (1 + 0.004 * 45)
"""Ω·m at 65 °C: IACS copper and the temperature coefficient of IEC 60228."""
CONTACT = Part("terminal", "T", "M", {"contact_resistance_max": 0.005})


class Driven(Situation):
    """A situation in which every switch drops 100 mV."""

    def quantity(self, ref: str, name: str) -> Fact:
        return Fact(0.1, ref) if name == "on_drop_hot" else super().quantity(ref, name)


def situation(*texts: str, contact: Part | None = CONTACT) -> Driven:
    board = parse_board(HEAD + "".join(texts), Path("bench.toml")).board
    parts = {ref: contact for ref, role in board.role.items() if role.role == "terminal"}
    return Driven(board, parts, BENCH)


# ---- by hand


def test_the_whole_path_by_hand() -> None:
    made = situation(RAIL, VALVE, LAMP, SWITCHES, POLES, TRACKS)
    # at 11.4 V: the valve with its winding at 90 °C (27.5 % more), the lamp at its inrush
    valve, lamp = 11.4 / (36 * 1.2751), 2.0
    stages = [link.stage for link in path.path_of(made, "valve")]
    assert stages == [
        "source", "feed wire", "protection", "supply terminal", "feed track", "feed terminal", "cable",
        "switched terminal", "switch", "return track", "return terminal",
    ]  # fmt: skip
    both = (valve + lamp) * (0.05 + 0.1 + 0.005 + 0.0025 + COPPER * 0.06 / 60e-9)
    wire = WORST_WIRE * COPPER * 10 / 0.5e-6  # what IEC 60228 allows more than ideal copper
    own = valve * (COPPER * 0.03 / 30e-9 + 0.005 + wire + 0.005)
    assert path.voltage_at(made, "valve").value == pytest.approx(11.4 - 0.5 - both - own - 0.1, rel=1e-4)
    assert path.voltage_needed(made, "valve").value == pytest.approx(7 * 1.2751)
    left = path.voltage_at(made, "valve", path.SWITCH).value - path.voltage_needed(made, "valve").value
    assert made.facts("Q1")["allowed_drop"].value == pytest.approx(left)
    # the rail at the board: the valve as cold as it gets, both on
    least = 11.4 - 0.5 - (11.4 / 36 + lamp) * (0.05 + 0.1 + 0.005 + 0.0025)
    assert made.rail("V12").least.value == pytest.approx(least)


def lift(made: Situation) -> float:
    return float(path.ground_lift(made).value)


def test_the_lift_adds_tracks_and_poles_at_the_largest_currents() -> None:
    limit = '[limits]\nground_lift = "0.1 V"\n'
    amperes = 12.6 / 36 + 2.0
    track = COPPER * 0.06 / 60e-9
    made = situation(limit, RAIL, VALVE, LAMP, SWITCHES, POLES, TRACKS)
    assert lift(made) == pytest.approx(amperes * (track + 0.0025))
    assert [name for name, _, _ in made.links() if name == "ground"] == ["ground"]
    # what is stated in one number is the same copper: the larger counts
    ground = '[ground]\nresistance = "{} mΩ"\n'
    assert lift(situation(ground.format(5), RAIL, VALVE, LAMP, SWITCHES, TRACKS)) == pytest.approx(amperes * track)
    assert lift(situation(ground.format(50), RAIL, VALVE, LAMP, SWITCHES, TRACKS)) == pytest.approx(amperes * 0.05)
    # asked without any track, and unproven where nothing is said of the return
    assert lift(situation(ground.format(50), RAIL, VALVE, LAMP, SWITCHES)) == pytest.approx(amperes * 0.05)
    assert path.ground_lift(situation(RAIL, VALVE, SWITCH)).missing == (
        "ground.resistance, or a return track with its length",
    )


def test_the_lift_of_a_switch_is_what_its_return_drops() -> None:
    amperes, track = 12.6 / 36 + 2.0, COPPER * 0.06 / 60e-9
    drawn = situation(RAIL, VALVE, LAMP, SWITCHES, TRACKS)
    assert drawn.facts("Q1")["lift"].value == pytest.approx(amperes * track)
    stated = situation(RAIL, VALVE, LAMP, SWITCHES.replace("\n", '\nlift = "40 mV"\n', 1), TRACKS)
    assert stated.facts("Q1")["lift"].value == 0.04
    short = TRACKS.replace('length = "60 mm"\n', "")
    assert drawn.facts("Q2")["lift"].value == pytest.approx(amperes * track)
    assert situation(RAIL, VALVE, LAMP, SWITCHES, short).facts("Q1")["lift"].missing == ("track.back.length",)
    ground = '[ground]\nresistance = "10 mΩ"\n'  # stated for that copper
    assert situation(ground, RAIL, VALVE, LAMP, SWITCHES, short).facts("Q1")["lift"].value == pytest.approx(
        amperes * 0.01
    )


@pytest.mark.parametrize(
    ("texts", "contact", "missing"),
    [
        ((POLES, TRACKS.replace('length = "60 mm"\n', "")), CONTACT, "track.back.length"),
        ((POLES, TRACKS.replace('length = "30 mm"\n', "")), CONTACT, "track.out.length"),
    ],
)
def test_what_is_drawn_and_not_stated_is_missing(texts: tuple[str, ...], contact: Part, missing: str) -> None:
    made = situation(RAIL, VALVE, SWITCH, *texts, contact=contact)
    for fact in (path.voltage_at(made, "valve"), made.facts("Q1")["allowed_drop"]):
        assert math.isnan(fact.value)
        assert missing in " ".join(fact.missing)


def test_a_contact_resistance_that_is_not_stated_counts_as_the_largest_that_may_be() -> None:
    stated, blank = (
        situation(RAIL, VALVE, SWITCH, POLES, TRACKS, contact=Part("terminal", "T", "M", values))
        for values in ({"contact_resistance_max": 0.2}, {})
    )
    assert path.voltage_at(stated, "valve").bounded == ()
    assert path.voltage_at(blank, "valve").value == path.voltage_at(stated, "valve").value
    assert "J1: contact_resistance_max" in path.voltage_at(blank, "valve").bounded


def test_a_load_is_asked_for_its_voltage_also_without_a_cable() -> None:
    bare = VALVE.replace(VALVE[VALVE.index("cable") :], "")
    made = situation(RAIL, bare, SWITCH)
    assert "load valve" in [name for name, _, _ in made.links()]
    assert "load valve" not in [n for n, _, _ in situation(RAIL, bare.replace('least_voltage = "7 V"\n', "")
                                                           , SWITCH).links()]  # fmt: skip


OTHER = """[drive.other]
high = "4.8..5.2 V"
low = "0..0.1 V"
source_resistance = "20..60 Ω"
"""


def test_only_what_may_be_on_beside_a_load_counts_against_it() -> None:
    """Of the valve and the lamp only one is on at once: the lamp's inrush is none of the valve's business."""
    switches = OTHER + SWITCH + SWITCHES[len(SWITCH) :].replace('drive = "d"', 'drive = "other"')
    both = situation(RAIL, VALVE, LAMP, switches)
    one = situation(RAIL, VALVE, LAMP, switches, '[[at_once]]\nof = ["valve", "lamp"]\nmost = 1\n')
    assert path.voltage_at(one, "valve").value - path.voltage_at(both, "valve").value == pytest.approx(2.0 * 0.15)


def test_a_logic_input_sees_all_that_lies_between_it_and_its_own_ground() -> None:
    reader = """
[rail.P24]
voltage = "20..24..28 V"
[load.reader]
sort = "logic-input"
rail = "P24"
current = "2..5..10 mA"
low_level = "0.8 V"
cable = { length = "8 m", wire = "0.25 mm2", temperature = "20..65 °C" }
"""
    poles = """
[role.J4]
role = "terminal"
poles = [{ pole = 1, side = "switched", load = "reader" }, { pole = 2, side = "return", load = "reader" }]
"""
    made = situation('[ground]\nresistance = "20 mΩ"\n', RAIL, reader, LAMP, poles,
                     SWITCHES.replace('"valve"', '"reader"'))  # fmt: skip
    wire = WORST_WIRE * COPPER * 16 / 0.25e-6
    lost = 0.01 * (wire + 0.005 + 0.005) + (2.0 + 0.01) * 0.02
    assert made.facts("Q1")["allowed_drop"].value == pytest.approx(0.8 - lost, rel=1e-4)


# ---- against a network solved as one

SORTS = ("coil", "resistive", "stated")


def random_board(chance: random.Random) -> tuple[str, dict[str, Any]]:
    """A board of one rail with some loads behind poles, tracks and cables, as text and as numbers."""
    numbers: dict[str, Any] = {
        "source": chance.uniform(0.0, 0.3), "feed": chance.uniform(0.0, 0.3), "drop": chance.choice([0.0, 0.7]),
        "contact": chance.uniform(0.001, 0.02), "loads": {}, "back": chance.uniform(0.01, 0.2),
    }  # fmt: skip
    text = (
        f'[rail.V12]\nvoltage = "10..12..15 V"\nsource_resistance = "0..{numbers["source"]} Ω"\n'
        f'feed_resistance = "0..{numbers["feed"]} Ω"\nprotection_drop = "0..{numbers["drop"]} V"\n'
        f'[track.back]\nrail = "V12"\nwidth = "2 mm"\nthickness = "30 µm"\nlength = "{numbers["back"]} m"\n'
    )
    poles = ['{ pole = 1, side = "supply", rail = "V12" }', '{ pole = 2, side = "return", rail = "V12" }']
    for i in range(chance.randint(1, 4)):
        name, sort, ohms = f"x{i}", chance.choice(SORTS), chance.uniform(8, 80)
        load = {"sort": sort, "ohms": ohms, "length": chance.uniform(0.5, 10.0), "current": chance.uniform(0.05, 1.0)}
        numbers["loads"][name] = load
        stated = f'current = "0.01..{load["current"]} A"' if sort == "stated" else f'resistance = "{ohms} Ω ±10 %"'
        more = 'winding_temperature = "0..90 °C"\n' if sort == "coil" else ""
        text += (
            f'[load.{name}]\nsort = "{"coil" if sort == "coil" else "resistive"}"\nrail = "V12"\n{stated}\n{more}'
            f'least_voltage = "5 V"\ncable = {{ length = "{load["length"]} m", wire = "0.75 mm2" }}\n'
            f'[role.Q{i}]\nrole = "mosfet-switch"\ndrive = "d"\nload = "{name}"\n'
        )
        poles += [f'{{ pole = {3 + 2 * i}, side = "feed", load = "{name}" }}',
                  f'{{ pole = {4 + 2 * i}, side = "switched", load = "{name}" }}']  # fmt: skip
    return text + f'[role.J1]\nrole = "terminal"\npoles = [{", ".join(poles)}]\n', numbers


def solved(numbers: dict[str, Any], chance: random.Random, extreme: bool, asked: str) -> float:
    """Voltage over the load ``asked``, hot if it is a coil: a linear system of the node voltages.

    Unknowns are the board's rail and its ground over the source's, then for each load the current through it.
    """

    def up_to(most: float) -> float:
        return most if extreme else chance.uniform(0.0, most)

    volts = 10.0 if extreme else chance.uniform(10.0, 15.0)
    drop, contact = up_to(numbers["drop"]), numbers["contact"]
    ahead = up_to(numbers["source"]) + up_to(numbers["feed"]) + up_to(contact)
    back = up_to(COPPER * numbers["back"] / 60e-9) + up_to(contact)
    names = list(numbers["loads"])
    matrix, right = np.zeros((len(names), len(names))), np.zeros(len(names))
    own: dict[str, float] = {}
    for i, name in enumerate(names):
        load = numbers["loads"][name]
        series = up_to(WORST_WIRE * COPPER * 2 * load["length"] / 0.75e-6) + 2 * up_to(contact)
        if load["sort"] == "stated":
            matrix[i, i], right[i] = 1.0, load["current"] if extreme else chance.uniform(0.01, load["current"])
            own[name] = series
            continue
        ohms = load["ohms"] * (0.9 if extreme else chance.uniform(0.9, 1.1))
        if load["sort"] == "coil":
            warm = 363.15 if name == asked else 273.15 if extreme else chance.uniform(273.15, 363.15)
            ohms = float(coils.winding_resistance(ohms, warm))  # type: ignore[arg-type]
        own[name] = series
        matrix[i, :] += ahead + back
        matrix[i, i] += ohms + series
        right[i] = volts - drop - 0.1
    amperes = np.linalg.solve(matrix, right)
    return float(volts - drop - 0.1 - amperes.sum() * (ahead + back) - amperes[names.index(asked)] * own[asked])


def test_no_told_voltage_is_above_the_one_of_the_solved_network() -> None:
    chance = random.Random(11)
    closest = math.inf
    for _ in range(60):
        text, numbers = random_board(chance)
        contact = Part("terminal", "T", "M", {"contact_resistance_max": numbers["contact"]})
        made = situation(text, contact=contact)
        for name in numbers["loads"]:
            told = path.voltage_at(made, name).value
            for k in range(12):
                truth = solved(numbers, chance, k == 0, name)
                assert told <= truth + 1e-9
                closest = min(closest, truth - told)
    assert closest < 0.02  # and not much below it


def test_a_coil_told_to_pull_in_gets_its_current_in_the_solved_network() -> None:
    """A coil needs the current that its stated voltage drives at 20 °C, whatever its temperature and tolerance."""
    chance = random.Random(5)
    seen = set()
    for _ in range(80):
        text, numbers = random_board(chance)
        coiled = [name for name, load in numbers["loads"].items() if load["sort"] == "coil"]
        made = situation(text.replace('"5 V"', f'"{chance.uniform(5.5, 8.5)} V"'),
                         contact=Part("terminal", "T", "M", {"contact_resistance_max": numbers["contact"]}))  # fmt: skip
        for name in coiled:
            needed = path.voltage_needed(made, name).value
            holds = needed <= path.voltage_at(made, name).value
            seen.add(holds)
            factor = float(coils.winding_resistance(1.0, 363.15))  # type: ignore[arg-type]
            assert needed == pytest.approx(made.board.load[name].least_voltage * factor)
            if holds:
                assert all(solved(numbers, chance, k == 0, name) >= needed - 1e-9 for k in range(12))
    assert seen == {True, False}


# ---- a rail that a regulator makes

STARVED = """
[rail.V33]
regulator = "U3"
[load.lit]
sort = "resistive"
rail = "V33"
resistance = "330 Ω ±1 %"
least_voltage = "3 V"
[role.U3]
role = "regulator"
input = "V12"
output = "V33"
theta_ja = "50 K/W"
[role.Q3]
role = "mosfet-switch"
drive = "d"
load = "lit"
"""


def starved(low: float, dropout: float = 1.2) -> Driven:
    """A regulator for 3.3 V behind an input that falls to ``low``."""
    feed = f'[rail.V12]\nvoltage = "{low}..5..5.2 V"\nsource_resistance = "0.5..1 Ω"\n'
    board = parse_board(HEAD + feed + STARVED, Path("bench.toml")).board
    values = {"v_out_min": 3.2, "v_out_typ": 3.3, "v_out_max": 3.4, "output": "fixed", "iq_max": 0.005}
    made = {"dropout": point_table("regulator", "dropout", [{"iout": 0.1, "max": dropout}])}
    return Driven(board, {"U3": Part("regulator", "R", "M", values, made)}, BENCH)


def test_a_rail_out_of_regulation_follows_the_input_down() -> None:
    made = starved(4.1)
    lowest = made.rail("V12").least.value - 1.2
    assert lowest < 2.9 < made.rail("V33").unloaded_least.value
    assert made.rail("V33").least.value == pytest.approx(lowest)
    assert path.voltage_at(made, "lit").value == pytest.approx(lowest - 0.1)
    assert made.load("lit").least.value == pytest.approx(lowest / 333.3)


def test_a_rail_in_regulation_keeps_its_stated_least() -> None:
    assert starved(4.6).rail("V33").least.value == pytest.approx(3.2)


def test_a_rail_whose_regulator_states_no_dropout_has_no_known_least() -> None:
    least = starved(4.6, math.nan).rail("V33").least
    assert math.isnan(least.value) and any("dropout" in name for name in least.missing)


# ---- a start that is over before copper settles

THIN = """
format = 1
name = "thin"
[surroundings]
ambient = "0..50 °C"
[rail.VA]
voltage = "12 V ±5 %"
[drive.O]
high = "9.5..10.2 V"
low = "0..0.1 V"
source_resistance = "5 Ω"
[load.M]
sort = "motor"
rail = "VA"
current = "0.2..0.4 A"
stall_current = "{amperes} A"
inductance = "1.2 mH ±10 %"
stall_time = "{seconds} s"
rate = "0.005 /s"
cable = {{ length = "1 m", wire = "0.05 mm²", rating = "1 A" }}
[role.Q]
role = "mosfet-switch"
drive = "O"
load = "M"
[track.T]
width = "{width} mm"
thickness = "35 µm"
side = "switched"
load = ["M"]
"""


def rise_told(amperes: float, seconds: float, width: float) -> tuple[float, float]:
    text = THIN.format(amperes=amperes, seconds=seconds, width=width)
    made = Situation(parse_board(text, Path("thin.toml")).board, {}, BENCH)
    facts = {name: found for name, _, found in made.links()}
    by_id = {f.id: f for f in explain(LINK_ROLES["track"], None, facts["track T"], 0.1)}
    return float(by_id["track-rise"].compared[0].demand), facts["cable M"]["heating_current"].value


def rise_of(amperes: float, seconds: float, width: float) -> float:
    """Copper on 1.6 mm of laminate in two dimensions (half of it), nothing lost to the air, K."""
    dx, dz, half = 5e-5, 1e-4, width / 2
    shape = (16, 80)
    warm, copper, under = np.zeros(shape), 0.0, max(1, round(half / dx))
    kx, kz, holds = 0.8, 0.3, 2.1e6  # glass cloth along and across, J/(m³·K)
    step = 0.2 * dx * dx * holds / kx
    for _ in range(int(seconds / step)):
        heat = amperes**2 * 1.68e-8 * (1 + 0.0039 * (copper + 30)) / (width * 35e-6) / 2
        down = kz / (dz / 2) * dx * (copper - warm[0, :under])
        flow = np.zeros(shape)
        side, deep = np.diff(warm, axis=1) * kx * dz / dx, np.diff(warm, axis=0) * kz * dx / dz
        flow[:, :-1] += side
        flow[:, 1:] -= side
        flow[:-1] += deep
        flow[1:] -= deep
        flow[0, :under] += down
        copper += step * (heat - down.sum()) / (half * 35e-6 * 3.45e6)
        warm += step * flow / (holds * dx * dz)
    return copper


@pytest.mark.parametrize(("amperes", "seconds", "width"), [(4, 1.0, 0.3), (4, 0.3, 0.3), (4, 0.05, 0.3), (8, 0.5, 1.0)])
def test_a_stall_of_up_to_a_second_is_not_told_cooler_than_its_track_gets(
    amperes: float, seconds: float, width: float
) -> None:
    told, _ = rise_told(amperes, seconds, width)
    assert told >= rise_of(amperes, seconds, width * 1e-3)


def test_a_longer_stall_is_told_no_cooler_and_none_jumps_where_it_counts_as_lasting() -> None:
    tolds = [rise_told(4, seconds, 0.3) for seconds in (0.001, 0.01, 0.1, 0.5, 1.0, 1.01)]
    rises, amperes = zip(*tolds, strict=True)
    assert list(rises) == sorted(rises)
    assert list(amperes) == sorted(amperes)
    assert rises[-2] == pytest.approx(rises[-1])
    assert amperes[-1] == 4


def test_a_stall_in_a_thin_wire_counts_what_it_warms_the_copper() -> None:
    """0.05 mm² of the highest resistance that is allowed, 4 A for 0.1 s without a way out for the heat."""
    steps, warm, ohms = 10000, 50.0, 1.157 * 1.7241e-8 / 0.05e-6
    for _ in range(steps):
        warm += 16 * ohms * (1 + 0.004 * (warm - 20)) * 0.1 / steps / (3.45e6 * 0.05e-6 / 1.157)
    _, amperes = rise_told(4, 0.1, 0.3)
    lasts = 20 * 0.4**2  # of the 20 K that its 1 A makes
    assert lasts + warm - 50 <= 20 * amperes**2 < 1.1 * (lasts + warm - 50)


# ---- a winding whose temperature is not stated


@pytest.mark.parametrize(("stated", "hottest"), [("", 45 + 60), ('winding_temperature = "0..90 °C"', 90)])
def test_a_winding_of_which_nothing_is_stated_is_not_as_cool_as_the_air(stated: str, hottest: float) -> None:
    coil = f'[load.K]\nsort = "coil"\nrail = "V5"\nresistance = "36 Ω ±5 %"\nleast_voltage = "3 V"\n{stated}\n'
    coil += 'inductance = "50 mH ±20 %"\n[role.Q1]\nrole = "mosfet-switch"\ndrive = "d"\nload = "K"\n'
    made = Situation(parse_board(HEAD + coil, Path("coil.toml")).board, {}, BENCH)
    needed = path.voltage_needed(made, "K")
    copper = (234.5 + hottest) / (234.5 + 20)  # IEC 60034-1 rates windings by this
    assert needed.value == pytest.approx(3 * copper, rel=0.01)
    assert bool(needed.assumed) is not bool(stated)
    silent = Situation(parse_board(HEAD + coil, Path("coil.toml")).board, {}, DATASHEET)
    bare = path.voltage_needed(silent, "K")
    assert bare.missing == (() if stated else ("K.winding_temperature",))
    assert (bare.value != bare.value) is not bool(stated)
