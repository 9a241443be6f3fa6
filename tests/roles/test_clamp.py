"""The clamp: edges, simulated turn-offs inside the corners, the traps, and two readings that agree."""

import math
import random
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from partcheck.board import parse_board
from partcheck.errors import BoardError
from partcheck.parts.part import Part, point_table
from partcheck.physics import coils
from partcheck.points import PointTable
from partcheck.policy import BENCH, DATASHEET, Policy
from partcheck.readings.explain import Finding, explain, open_views
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from tests.examples.roles import clamp as examples

ROLE = ROLES["clamp"]
TIGHT = 0.1
GOOD = (Verdict.MEETS, Verdict.TIGHT)
SEED = 20240607
RANDOM = np.random.default_rng(SEED)
ACROSS_SWITCH = 'across = "switch"\nconducts = "breakdown"'
ALONE = 'conducts = "breakdown"'


@pytest.fixture(autouse=True)
def same_draws() -> None:
    """Each test draws the same numbers whichever others run."""
    RANDOM.bit_generator.state = np.random.default_rng(SEED).bit_generator.state


def facts_of(changes: Mapping[str, Any] = {}, policy: Policy = BENCH) -> dict[str, Any]:
    """Plain facts of the example circuit, policy filled in."""
    made: dict[str, Any] = dict.fromkeys(ROLE.facts)
    for name in ROLE.facts:
        if name.startswith("k_"):
            made[name] = policy.value(name[2:])
        elif name.startswith("assumed_"):
            made[name] = policy.assumption(name[8:])
    return {**made, **examples.FACTS, **changes}


def changed(values: Mapping[str, Any] = {}, tables: Mapping[str, Any] = {}, part: Part = examples.PART) -> Part:
    """The part with other values, and tables given as rows."""
    made = {name: point_table("diode", name, rows) for name, rows in tables.items()}
    return Part(part.kind, part.part_number, part.maker, {**part.values, **values}, {**part.tables, **made})


TVS = changed(examples.TVS, examples.TVS_TABLES)
ZENER = changed(
    {**examples.TVS, "construction": "zener", "vbr_min": 22.8, "vbr_max": 25.6},
    {"clamping": [], "impedance": [{"iz": 0.001, "max": 600.0}, {"iz": 0.01, "max": 25.0}]},
)


def cell(part: Part, table: str, row: int, column: str, value: float) -> Part:
    """The part with one cell of a table changed."""
    columns = {name: list(cells) for name, cells in part.table(table).columns.items()}
    columns[column][row] = value
    made = {**part.tables, table: PointTable({k: tuple(v) for k, v in columns.items()})}
    return Part(part.kind, part.part_number, part.maker, part.values, made)


def both(part: Part, facts: Mapping[str, Any]) -> dict[str, Finding]:
    """Findings by id; the columns have to say the same."""
    found = {f.id: f for f in explain(ROLE, part, {k: Fact(v) for k, v in facts.items()}, TIGHT)}
    judged = judge_columns(ROLE, columns_of("diode", [part]), facts, 1, TIGHT)
    assert judged.ids == tuple(found)
    for id_, verdict, headroom in zip(judged.ids, judged.verdicts[:, 0], judged.headrooms[:, 0], strict=True):
        assert found[id_].verdict == verdict, id_
        assert headroom == pytest.approx(found[id_].headroom, nan_ok=True, rel=1e-9, abs=1e-12), id_
    return found


def value(part: Part, facts: Mapping[str, Any], name: str) -> float:
    """A quantity of the part in its place."""
    p, _ = open_views(ROLE, part, {k: Fact(v) for k, v in facts.items()})
    return float(getattr(p, name).value)


# ---- the edges


def test_every_requirement_has_an_example() -> None:
    assert set(examples.EXAMPLES) == set(ROLE.requirements)


@pytest.mark.parametrize(("part", "change"), [(examples.PART, {}), (TVS, examples.BREAKDOWN)])
def test_the_example_parts_meet_everything(part: Part, change: Mapping[str, Any]) -> None:
    found = both(part, facts_of(change))
    assert {id_: f.verdict.word for id_, f in found.items() if f.verdict not in GOOD} == {}


@pytest.mark.parametrize("id_", examples.EXAMPLES)
def test_edge(id_: str) -> None:
    example = examples.EXAMPLES[id_]
    part, facts = changed(example.values, example.tables), facts_of(example.facts)

    def varied(to: Any) -> Part:
        if not isinstance(example.vary, tuple):
            return changed({example.vary: to}, part=part)
        table, row, column = example.vary
        return cell(part, table, row, column, to)

    assert both(varied(example.meets), facts)[id_].verdict in GOOD
    assert both(varied(example.fails), facts)[id_].verdict is Verdict.FAILS
    if not isinstance(example.meets, str):
        assert abs(example.meets / example.fails - 1) <= 0.02


@pytest.mark.parametrize(
    ("fact", "id_"),
    [
        ("release_time", "release-time"), ("recovery_allowed", "recovery"),
        ("switch_limit", "forward-recovery"), ("reverse_rail", "reverse-voltage"),
        ("footprint", "package"), ("pins", "pin-order"),
    ],
)  # fmt: skip
def test_a_demand_that_the_board_does_not_state_is_not_asked(fact: str, id_: str) -> None:
    assert id_ not in both(examples.PART, facts_of({fact: None}))


# ---- a board

BOARD = """
format = 1
name = "bench"
[surroundings]
ambient = "-10..45 °C"
[rail.V12]
voltage = "{volts}"
[rail.V24]
voltage = "24 V ±5 %"
[drive.A]
high = "4.5..5.1 V"
low = "0..0.2 V"
source_resistance = "25..50 Ω"
[load.VALVE]
sort = "coil"
rail = "V12"
resistance = "{ohms}"
inductance = "{henry}"
winding_temperature = "-10..90 °C"
{load}
[role.Q1]
role = "mosfet-switch"
drive = "A"
load = [{pulled}]
[role.D1]
role = "clamp"
load = "VALVE"
theta_ja = "80 K/W"
{clamp}
"""
DEFAULTS = {
    "volts": "12 V ±5 %",
    "ohms": "24 Ω ±10 %",
    "henry": "0.1 H ±20 %",
    "load": "",
    "pulled": '"VALVE"',
}
PAIR = """conducts = "{first}"
in_series_with = "D2"
[role.D2]
role = "clamp"
load = "VALVE"
theta_ja = "80 K/W"
conducts = "{second}"
in_series_with = "D1"
"""
MOSFET = Part("mosfet", "M1", "Example", {"vds_max": 60.0})


def situation(part: Part = examples.PART, other: Part | None = None, **texts: str) -> Situation:
    """The board with one valve, its clamp D1 and, in a pair, D2."""
    text = BOARD.format(**{**DEFAULTS, "clamp": "", **texts})
    board = parse_board(text, Path("board.toml")).board
    fitted = {"Q1": MOSFET, "D1": part, "D2": other}
    return Situation(board, {ref: fitted[ref] for ref in board.role if ref in fitted}, BENCH)


def number(made: Situation, name: str, ref: str = "D1") -> float:
    return float(made.quantity(ref, name).value)


def judged(made: Situation, part: Part = examples.PART) -> dict[str, Finding]:
    return {f.id: f for f in explain(ROLE, part, made.facts("D1"), TIGHT)}


# ---- simulated turn-offs


class Circuit(NamedTuple):
    """One coil, its supply and the voltage of its clamp as a function of the current."""

    volts: float
    ohms: float
    henry: float
    clamp: Callable[[float], float]
    supplied: bool = False

    @property
    def start(self) -> float:
        return self.volts / self.ohms


def turned_off(circuit: Circuit, end: float, own: Callable[[float], float] | None = None) -> tuple[float, float]:
    """Time for the current to fall to ``end``; energy that ``own`` (or the clamp) takes until it is gone."""
    own = own or circuit.clamp
    behind = circuit.volts if circuit.supplied else 0.0

    def slope(_: float, state: Any) -> list[float]:
        i = max(state[0], 0.0)
        return [(behind - circuit.clamp(i) - circuit.ohms * i) / circuit.henry, own(i) * i]

    def there(_: float, state: Any) -> float:
        return float(state[0]) - end

    def gone(_: float, state: Any) -> float:
        return float(state[0]) - 1e-5 * circuit.start

    gone.terminal = True  # type: ignore[attr-defined]
    longest = 40 * circuit.henry / circuit.ohms
    run = solve_ivp(slope, (0, longest), [circuit.start, 0.0], "LSODA", events=[there, gone], rtol=1e-7, atol=1e-10)
    return float(run.t_events[0][0]), float(run.y[1][-1])


def diode_curve(shift: float = 0.0, share: float = 1.0) -> Callable[[float], float]:
    """A junction with a series resistance, just under the example part's two stated maxima at ``share`` 1."""
    slope = 0.2 / math.log(10.0)
    resistance = 0.05

    def volts(i: float) -> float:
        junction = 1.0 - resistance + slope * 0.75 * math.log(max(i, 1e-6))
        return max(share * (junction + resistance * i) + shift, 0.0)

    return volts


def breakdown_curve(low: float, slope: float) -> Callable[[float], float]:
    return lambda i: low + slope * i


CASES = ("diode", "pair", "switch", "both-ways")
TEXTS = {
    "diode": {"clamp": ""},
    "pair": {"clamp": PAIR.format(first="breakdown", second="forward")},
    "switch": {"clamp": ACROSS_SWITCH},
    "both-ways": {"clamp": ALONE},
}
RELEASE = 'release_time = "1 s"\nrelease_level = "50 mA"\nrate = "2 /s"'
BOTH_WAYS = changed({"construction": "tvs-bidirectional"}, part=TVS)


def role_numbers(case: str) -> Situation:
    part = {"diode": examples.PART, "pair": TVS, "switch": TVS, "both-ways": BOTH_WAYS}[case]
    other = examples.PART if case == "pair" else None
    return situation(part, other, load=RELEASE, **TEXTS[case])


def drawn_circuit(case: str, worst: str = "") -> tuple[Circuit, Callable[[float], float]]:
    """A circuit inside the corners, and the curve of D1 alone; ``worst``: which clamp voltage to sit at."""

    def within(low: float, high: float, corner: float) -> float:
        return corner if worst else float(RANDOM.choice([low, high, RANDOM.uniform(low, high)]))

    volts = within(11.4, 12.6, 12.6)
    winding = within(263.15, 363.15, 263.15)
    ohms = float(coils.winding_resistance(within(21.6, 26.4, 21.6), winding))  # type: ignore[arg-type]
    henry = within(0.08, 0.12, 0.12)
    drift = 1 + (-0.035 if worst == "low" else 0.035 if worst == "high" else RANDOM.uniform(-0.035, 0.035))
    low = {"low": 30.0, "high": 33.0}.get(worst) or within(30.0, 33.0, 30.0)
    most = 40.0 - low  # to the clamping voltage at 1 A
    zener = breakdown_curve(
        low * drift, 0.0 if worst == "low" else most if worst == "high" else RANDOM.uniform(0, most)
    )
    if worst:
        diode: Callable[[float], float] = (lambda i: 0.0) if worst == "low" else diode_curve(0.0)
    else:
        diode = diode_curve(RANDOM.uniform(-0.04, 0.07), RANDOM.uniform(0.6, 1.0))
    if case == "diode":
        return Circuit(volts, ohms, henry, diode), diode
    if case == "pair":
        return Circuit(volts, ohms, henry, lambda i: zener(i) + diode(i)), zener
    return Circuit(volts, ohms, henry, zener, case == "switch"), zener


@pytest.mark.parametrize("case", CASES)
def test_no_circuit_inside_the_corners_exceeds_the_numbers(case: str) -> None:
    made = role_numbers(case)
    release, energy = number(made, "release_longest"), number(made, "energy_pulse")
    peak = made.facts("Q1")["drain_clamped"].value
    for _ in range(25):
        circuit, own = drawn_circuit(case)
        time, taken = turned_off(circuit, 0.05, own)
        assert time <= release * (1 + 1e-6)
        assert taken <= energy * (1 + 1e-6)
        behind = 0.0 if circuit.supplied else circuit.volts
        assert behind + circuit.clamp(circuit.start) <= peak


@pytest.mark.parametrize("case", CASES)
def test_the_worst_circuit_comes_within_a_few_per_cent(case: str) -> None:
    made = role_numbers(case)
    time, _ = turned_off(drawn_circuit(case, "low")[0], 0.05)
    decay = number(made, "release_longest") - number(made, "turn_off_time", "Q1")
    assert decay == pytest.approx(time, rel=0.01)
    for_energy, own = drawn_circuit(case, "low" if case == "switch" else "high")
    _, taken = turned_off(for_energy, 0.05, own)
    # of a diode the drop at the full current counts for the whole decay
    assert taken * (1 - 1e-6) <= number(made, "energy_pulse") <= taken * (1.15 if case == "diode" else 1.05)


def test_the_longest_decay_of_a_breakdown_is_simulated() -> None:
    circuit, _ = drawn_circuit("switch", "low")
    time, _ = turned_off(circuit, 1e-4)
    assert number(role_numbers("switch"), "decay_longest") == pytest.approx(time, rel=0.01)


@pytest.mark.parametrize(("frequency", "duty"), [(20.0, 0.2), (200.0, 0.5), (5000.0, 0.7)])
def test_average_current_and_heat_of_a_chopped_coil(frequency: float, duty: float) -> None:
    """Whether the current dies in between or not: a full start and an ideal diode bound the charge."""
    load = f'chopped = {{ frequency = "{frequency} Hz", duty = "{duty}..0.9" }}'
    made = situation(load=load)
    off = (1 - duty) / frequency
    circuit, _ = drawn_circuit("diode", "low")
    decay = circuit.henry / circuit.ohms
    charge, _ = quad(lambda t: circuit.start * math.exp(-t / decay), 0, off)
    assert number(made, "current_average") == pytest.approx(frequency * charge, rel=1e-3)
    assert number(made, "current_average") <= circuit.start * (1 - duty) * (1 + 1e-9)
    real = drawn_circuit("diode", "high")[0]

    def slope(_: float, state: Any) -> list[float]:
        i = max(state[0], 0.0)
        return [-(real.clamp(i) + real.ohms * i) / real.henry if i > 0 else 0.0, real.clamp(i) * i]

    run = solve_ivp(slope, (0, off), [real.start, 0.0], "LSODA", rtol=1e-7, atol=1e-9)
    heat = frequency * float(run.y[1][-1])
    assert heat <= number(made, "conduction_loss") <= 1.25 * heat


def test_a_current_that_never_dies_flows_all_the_time_off() -> None:
    """Coil current x (1 - least duty); a TVS takes its clamping voltage times that."""
    load = 'chopped = { frequency = "50 kHz", duty = "0.25..0.9" }'
    assert number(situation(load=load), "current_average") == pytest.approx(0.75 * 12.6 / 19.05, rel=0.01)
    made = situation(BOTH_WAYS, load=load, clamp=ALONE)
    assert number(made, "conduction_loss") == pytest.approx(40 * 1.035 * 0.75 * 12.6 / 19.05, rel=0.02)


def test_two_coils_behind_one_clamp() -> None:
    """What two unequal coils give together never exceeds the one that stands for them, and comes near it."""
    more = """[load.SMALL]
sort = "coil"
rail = "V12"
resistance = "60 Ω ±10 %"
inductance = "0.5 H ±20 %"
winding_temperature = "-10..90 °C"
"""
    made = situation(TVS, load=RELEASE + "\n" + more, pulled='"VALVE", "SMALL"', clamp=ACROSS_SWITCH)
    facts = made.facts("D1")
    loads = [made.load(name) for name in ("VALVE", "SMALL")]
    currents = [load.largest.value for load in loads]
    assert facts["coil_current"].value == pytest.approx(sum(currents))
    assert "VALVE" in facts["coil_current"].source
    assert "SMALL" in facts["coil_current"].source
    clamp, _ = drawn_circuit("switch", "low")
    taken, times = 0.0, []
    for load in loads:
        time, energy = turned_off(Circuit(12.6, load.resistance.value, load.inductance.value, clamp.clamp, True), 1e-4)
        taken += energy
        times.append(time)
    assert taken * (1 - 1e-6) <= number(made, "energy_pulse") <= 1.02 * taken
    assert max(times) <= number(made, "decay_longest") <= 3 * max(times)


# ---- the traps


def test_energy_of_a_clamp_across_the_switch_is_more_than_the_coil_stores() -> None:
    """1/2 L I^2 is not conservative there: without a winding resistance it is x Vc/(Vc - V)."""
    facts = facts_of({**examples.BREAKDOWN, "loop_resistance": 1e-3})
    stored = 0.5 * 0.12 * 0.6**2
    low = 30 * (1 - 0.035)
    assert value(TVS, facts, "energy_pulse") == pytest.approx(stored * low / (low - 12.6), rel=1e-4)
    assert value(TVS, facts_of(examples.BREAKDOWN), "energy_pulse") > stored
    share = 0.8 * value(TVS, facts_of(examples.BREAKDOWN), "rating_left")
    just_stored = changed({"pulse_energy": 1.05 * stored / share}, part=TVS)
    assert both(just_stored, facts_of(examples.BREAKDOWN))["pulse-energy"].verdict is Verdict.FAILS


def test_release_through_a_clamp_across_the_switch_takes_clamp_less_rail() -> None:
    """L I/Vz is not conservative there: the rail works against the clamp."""
    facts = facts_of(examples.BREAKDOWN)
    low = 30 * (1 - 0.035) - 12.6
    assert value(TVS, facts, "release_longest") == pytest.approx(0.006 * math.log((12 + low) / (1.2 + low)))
    assert value(TVS, {**facts, "release_end": 0.0}, "release_longest") > 0.12 * 0.6 / 30


def test_release_counts_neither_the_drop_of_a_diode_nor_impedance() -> None:
    """The lowest clamp voltage counts; with 0.7 V a diode would let go a tenth sooner."""
    assert value(examples.PART, facts_of(), "release_longest") == pytest.approx(0.006 * math.log(10))
    facts = facts_of(examples.BREAKDOWN)
    assert value(TVS, facts, "release_longest") == value(changed({"vbr_max": 90.0}, part=TVS), facts, "release_longest")


def test_a_clamp_below_the_rail_never_passes() -> None:
    found = both(changed({"vbr_min": 11.0, "standoff": 26.0}, part=TVS), facts_of(examples.BREAKDOWN))
    assert found["standoff"].verdict is Verdict.FAILS
    assert found["release-time"].verdict is Verdict.FAILS
    assert found["pulse-energy"].verdict is Verdict.FAILS


def test_surge_rating_proves_no_peak_current() -> None:
    """It covers single faults only (IEC 60747-2: a rating for few times in a life)."""
    part = changed({"ifrm": None}, {"if_av": [], "ifsm": [{"pulse_width": 0.01, "max": 30.0}]})
    assert both(part, facts_of())["peak-current"].verdict is Verdict.UNPROVEN
    weak = changed({"ifrm": None}, {"if_av": [{"temperature": 348.15, "reference": "ambient", "max": 0.5}]}, part)
    assert both(weak, facts_of())["peak-current"].verdict is Verdict.FAILS


def test_clamping_voltage_is_the_next_stated_one_never_between() -> None:
    facts = facts_of(examples.BREAKDOWN)
    rows = [{"ipp": 0.5, "max": 36.0}, {"ipp": 5.0, "max": 44.0}]
    assert value(changed({}, {"clamping": rows}, TVS), facts, "drop_high") == pytest.approx(44 * 1.035)
    beyond = changed({}, {"clamping": rows[:1], "impedance": []}, TVS)
    assert math.isnan(value(beyond, facts, "drop_high"))


def test_beyond_the_last_clamping_row_the_stated_impedance_carries_on() -> None:
    facts = facts_of(examples.BREAKDOWN)
    tables = {"clamping": [{"ipp": 0.5, "max": 36.0}], "impedance": [{"iz": 0.5, "max": 4.0}]}
    beyond = changed({"vbr_max": None}, tables, TVS)
    assert value(beyond, facts, "drop_high") == pytest.approx((36.0 + 0.1 * 4.0) * 1.155)
    late = changed({"vbr_max": None}, {**tables, "impedance": [{"iz": 0.55, "max": 1.0}]}, TVS)
    assert math.isnan(value(late, facts, "drop_high"))  # it may be higher on the way there


def test_the_least_bound_of_a_breakdown_counts() -> None:
    """A clamping row of a far greater current no longer hides breakdown voltage and impedance."""
    facts = facts_of(examples.BREAKDOWN)
    tables = {"clamping": [{"ipp": 20.0, "max": 60.0}], "impedance": [{"iz": 0.01, "max": 5.0}]}
    part = changed({"vbr_max": 40.0}, tables, TVS)
    assert value(part, facts, "drop_high") == pytest.approx((40.0 + (0.6 + 6 * 0.01) * 5.0) * 1.155)


def test_no_true_breakdown_exceeds_its_bound() -> None:
    """Knees of any softness that have the stated impedance, breakdown voltage and clamping voltages."""
    chance = random.Random(7)
    facts = facts_of({**examples.BREAKDOWN, "breakdown_tempco": 0.0})
    for _ in range(200):
        knee, ohms, test = chance.uniform(0.0, 0.3), chance.uniform(0.0, 2.0), chance.uniform(0.001, 0.05)
        iz = test * chance.choice([1.0, 3.0, 10.0])
        vbr, stated = chance.uniform(20.0, 40.0), sorted(chance.uniform(0.1, 5.0) for _ in range(2))

        def volts(
            current: float, knee: float = knee, ohms: float = ohms, test: float = test, vbr: float = vbr
        ) -> float:
            return vbr + knee * math.log(current / test) + ohms * (current - test)

        tables = {
            "clamping": [{"ipp": row, "max": volts(row)} for row in stated],
            "impedance": [{"iz": iz, "max": knee / iz + ohms}],
        }
        assert value(changed({"vbr_max": vbr}, tables, TVS), facts, "drop_high") >= volts(0.6)


def test_zener_voltage_is_the_highest_with_the_impedance_of_a_lower_current() -> None:
    facts = facts_of(examples.BREAKDOWN)
    assert value(ZENER, facts, "drop_high") == pytest.approx((25.6 + (0.6 + 6 * 0.01) * 25) * 1.155)
    slope = lambda i: 0.25 / i  # noqa: E731  impedance that falls with current: 25 Ω at 10 mA
    real, _ = quad(slope, 0.01, 0.6)
    assert 25.6 + real <= value(ZENER, facts, "drop_high")
    assert math.isnan(value(changed({}, {"impedance": [{"iz": 1.0, "max": 1.0}]}, ZENER), facts, "drop_high"))


def test_forward_drop_lies_above_the_curve_and_grows_in_proportion_beyond_its_last_point() -> None:
    """Between points semi-log chords lie above a junction with resistance; beyond, vf x I/I_last."""

    def curve(i: float) -> float:
        return 0.7 + 0.05 * math.log(i) + 0.3 * i

    rows = [{"i_f": i, "max": curve(i)} for i in (0.05, 0.2, 1.0)]
    part = changed({}, {"vf": rows})
    for current in (0.02, 0.05, 0.1, 0.4, 0.9, 1.0, 1.7, 4.0):
        read = value(part, facts_of({"coil_current": current}), "forward_drop")
        assert read >= curve(current) * (1 - 1e-12)
    assert value(part, facts_of({"coil_current": 2.0}), "forward_drop") == pytest.approx(2.0)
    assert value(part, facts_of({"coil_current": 1.0}), "drop_high") == pytest.approx(1.0 + 0.07)


def test_typical_drops_are_not_read() -> None:
    part = changed({}, {"vf": [{"i_f": 1.0, "typ": 0.7}]})
    assert both(part, facts_of())["junction-rise"].verdict is Verdict.UNPROVEN


def test_a_rating_against_the_lead_holds_at_the_junction_only() -> None:
    """1 A at a lead of 75 °C says nothing for air of 45 °C and a junction of 90 °C."""
    rows = [{"temperature": 348.15, "reference": "lead", "max": 1.0}]
    warm = facts_of({"pulse_rate": math.nan, "off_time": math.inf, "flow_share": 1.0}, DATASHEET)
    assert value(examples.PART, warm, "tj_hot") > 348.15
    assert both(changed({}, {"if_av": rows}), warm)["average-current"].verdict is Verdict.UNPROVEN
    air = [{"temperature": 348.15, "reference": "ambient", "max": 1.0}]
    assert both(changed({}, {"if_av": air}), warm)["average-current"].verdict in GOOD


def test_a_cold_rating_is_carried_up_only_where_the_policy_says_so() -> None:
    cold = changed({"ifrm": None}, {"if_av": [{"temperature": 298.15, "reference": "ambient", "max": 1.0}]})
    assert both(cold, facts_of({}, DATASHEET))["peak-current"].verdict is Verdict.UNPROVEN
    made = both(cold, facts_of())["peak-current"]
    assert made.verdict in GOOD
    assert made.story.assumed
    assert value(cold, facts_of(), "if_av_allowed") == pytest.approx(105 / 125)
    assert value(cold, facts_of(), "if_av_allowed") < math.sqrt(105 / 125)  # the square-root law


def leaky(hot: float) -> Part:
    """A Schottky diode whose leakage doubles every 12 K, to ``hot`` at 125 °C."""
    rows = [{"tj": 298.15 + 12.5 * k, "max": hot * 2.0 ** (12.5 * (k - 8) / 12)} for k in range(10)]
    return changed({"construction": "schottky"}, {"ir": rows})


@pytest.mark.parametrize("hot", [0.002, 0.05, 0.2, 0.9])
def test_hot_leakage_against_the_root_of_its_own_heat(hot: float) -> None:
    """The stable junction temperature by Brent's method, or no equilibrium at all: thermal runaway."""
    facts = facts_of({"pulse_rate": 0.0})

    def excess(tj: float) -> float:
        return float(318.15 + 80 * 12.6 * hot * 2.0 ** ((tj - 398.15) / 12) - tj)

    ends = np.linspace(318.15, 410.65, 400)
    crossing = next((k for k, tj in enumerate(ends) if excess(float(tj)) <= 0), None)
    reached = value(leaky(hot), facts, "tj_blocking")
    if crossing is None:
        assert math.isinf(reached)
        assert both(leaky(hot), facts)["off-heat"].verdict is Verdict.FAILS
    else:
        root = float(brentq(excess, ends[max(crossing - 1, 0)], ends[crossing])) if crossing else 318.15
        assert root <= reached <= root + 0.1 * (root - 318.15) + 0.05


def test_runaway_is_reached_in_that_test() -> None:
    assert math.isinf(value(leaky(0.9), facts_of({"pulse_rate": 0.0}), "tj_blocking"))


def test_leakage_that_is_not_stated_hot_is_unproven_unless_assumed() -> None:
    cool = changed({}, {"ir": [{"tj": 298.15, "max": 5e-6}]})
    assert both(cool, facts_of({}, DATASHEET))["off-heat"].verdict is Verdict.UNPROVEN
    made = both(cool, facts_of())["off-heat"]
    assert made.verdict in GOOD
    assert any("leakage_doubling" in name for name in made.story.assumed)


@pytest.mark.parametrize("cool", [1e-6, 1e-4, 1e-3, 3e-3, 0.01, 0.05])
def test_assumed_leakage_never_passes_a_runaway(cool: float) -> None:
    """Doubling every 10 K from 25 °C: not below the stable root, and runaway where there is none."""
    part = changed({}, {"ir": [{"tj": 298.15, "max": cool}]})
    facts = facts_of({"pulse_rate": 0.0})
    temperatures = np.linspace(318.15, 403.15, 3000)
    heated = 318.15 + 80 * 12.6 * cool * 2.0 ** ((temperatures - 298.15) / 10)
    reached = value(part, facts, "tj_blocking")
    if (heated > temperatures).all():
        assert math.isinf(reached)
        assert both(part, facts)["off-heat"].verdict is Verdict.FAILS
    else:
        root = float(temperatures[np.argmax(heated <= temperatures)])
        assert root - 0.05 <= reached <= root + 0.5 * (root - 318.15) + 0.05


def test_a_single_pulse_rating_proves_no_repetition() -> None:
    part = changed({"repetitive_energy": None}, {"zth": []}, TVS)
    assert both(part, facts_of(examples.BREAKDOWN))["clamp-repeat"].verdict is Verdict.UNPROVEN
    by_heat = changed({"repetitive_energy": None}, part=TVS)
    assert both(by_heat, facts_of(examples.BREAKDOWN))["clamp-repeat"].verdict in GOOD
    hot = both(by_heat, facts_of({**examples.BREAKDOWN, "ambient_max": 385.0}))["clamp-repeat"]
    assert hot.verdict is Verdict.FAILS


def test_pulse_power_is_read_at_the_next_longer_width_or_for_its_energy() -> None:
    """Energy over peak power is 1.5 ms: 200 W at 10 ms, or the 0.6 J of 600 W at 1 ms, whichever allows more."""
    facts = facts_of(examples.BREAKDOWN)
    part = changed({"pulse_energy": None}, part=TVS)
    made = both(part, facts)["pulse-energy"].compared[0]
    length, share = (
        value(part, facts, "energy_pulse") / value(part, facts, "pulse_peak"),
        value(part, facts, "rating_left"),
    )
    assert 1e-3 < length < 0.01 and 600.0 * 1e-3 / length > 200.0
    assert made.capability == pytest.approx(0.8 * share * 0.6)
    long = changed({}, {"pulse_power": [{"pulse_width": 0.01, "max": 200.0}]}, part)
    assert both(long, facts)["pulse-energy"].compared[0].capability == pytest.approx(0.8 * share * 200.0 * length)


def test_each_stated_pulse_rating_is_asked_and_brought_to_the_hot_start() -> None:
    facts = facts_of(examples.BREAKDOWN)
    weak = changed({}, {"pulse_power": [{"pulse_width": 0.01, "max": 20.0}]}, TVS)
    assert both(TVS, facts)["pulse-energy"].verdict is Verdict.MEETS
    assert both(weak, facts)["pulse-energy"].verdict is Verdict.FAILS  # whatever energy is rated
    made = both(changed({}, {"zth": []}, TVS), facts)["clamp-repeat"].compared[0]
    assert made.capability == pytest.approx(0.8 * value(TVS, facts, "rating_left") * TVS.number("repetitive_energy"))
    hot = changed({}, {"zth": [{"pulse_width": 0.01, "reference": "ambient", "max": 80.0}]}, TVS)
    assert both(hot, facts)["clamp-repeat"].verdict is Verdict.FAILS  # by its own impedance


def test_a_pulse_between_two_stated_ones_is_bounded_by_both() -> None:
    """Thermal ladders: the impedance at any time is no more than at a later one, nor than in proportion to an earlier one."""
    for _ in range(300):
        body, time = drawn_body(100.0), 10.0 ** RANDOM.uniform(-3, 0)
        rows = [{"pulse_width": w, "reference": "ambient", "max": body.zth(w)} for w in (time / 3, time * 4)]
        part = changed({}, {"zth": rows}, TVS)
        facts = facts_of({**examples.BREAKDOWN, "inductance": 0.12 * time / 1.5e-3, "off_time": 1e9})
        length = value(part, facts, "energy_repeated") / value(part, facts, "pulse_peak")
        assert body.zth(length) <= value(part, facts, "pulse_zth") * (1 + 1e-9)


def test_a_pulse_starts_from_the_hot_junction() -> None:
    facts = facts_of(examples.BREAKDOWN)
    hotter = {**facts, "ambient_max": 360.0}
    assert value(TVS, hotter, "rating_left") < value(TVS, facts, "rating_left") < (423.15 - 318.15) / 125


def test_only_a_schottky_diode_may_leave_recovery_out() -> None:
    facts = facts_of({}, DATASHEET)
    plain = changed({"trr_max": None, "vfr_max": None})
    assert both(plain, facts)["recovery"].verdict is Verdict.UNPROVEN
    assert both(plain, facts)["forward-recovery"].verdict is Verdict.UNPROVEN
    schottky = changed({"construction": "schottky"}, part=plain)
    assert both(schottky, facts)["recovery"].verdict in GOOD
    assert both(schottky, facts)["forward-recovery"].verdict in GOOD


# ---- what the board makes of it


def test_what_is_asked_where() -> None:
    """Stand-off across the switch, and of a lone clamp across the load; in a pair the diode blocks."""
    rate = 'rate = "2 /s"\noff_leakage = "1 mA"'
    asked = {case: set(judged(situation(TVS, examples.PART, load=rate, **TEXTS[case]))) for case in CASES}
    assert {case for case in CASES if "standoff" in asked[case]} == {"switch", "both-ways"}
    assert {case for case in CASES if "reverse-voltage" in asked[case]} == {"diode"}
    assert {case for case in CASES if "leakage" in asked[case]} == {"switch"}
    assert {case for case in CASES if "pulse-energy" in asked[case]} == {"pair", "switch", "both-ways"}
    assert {case for case in CASES if "forward-recovery" in asked[case]} == {"diode"}
    diode = situation(examples.PART, TVS, load=rate, clamp=PAIR.format(first="forward", second="breakdown"))
    assert "reverse-voltage" in judged(diode)
    assert "release-time" not in judged(diode)


def test_a_lone_one_way_clamp_across_the_load_would_short_the_rail() -> None:
    made = situation(TVS, load='rate = "2 /s"', clamp=ALONE)
    assert judged(made, TVS)["construction"].verdict is Verdict.FAILS
    assert judged(made, BOTH_WAYS)["construction"].verdict in GOOD


def test_a_pair_adds_its_drops() -> None:
    made = situation(TVS, examples.PART, load=RELEASE, clamp=PAIR.format(first="breakdown", second="forward"))
    high = number(made, "drop_high") + number(made, "drop_high", "D2")
    assert made.facts("Q1")["drain_clamped"].value == pytest.approx(12.6 + high)
    assert number(made, "release_longest") == number(made, "release_longest", "D2")
    assert number(made, "energy_pulse", "D2") < 0.1 * number(made, "energy_pulse")


@pytest.mark.parametrize(
    ("clamp", "words"),
    [
        ('across = "switch"', "for ever"),
        (PAIR.format(first="forward", second="forward"), "one part conducts forward"),
    ],
)
def test_clamps_that_cannot_be(clamp: str, words: str) -> None:
    with pytest.raises(BoardError) as slip:
        situation(clamp=clamp)
    assert words in " ".join([str(slip.value), *slip.value.args[1:], *map(str, getattr(slip.value, "details", ()))])


def test_a_load_without_a_rate() -> None:
    """A diode is judged as if it never stopped; what breaks down is unproven, and the load's rate named."""
    made = situation()
    assert number(made, "current_average") == pytest.approx(made.facts("D1")["coil_current"].value)
    across = judged(situation(TVS, clamp=ACROSS_SWITCH), TVS)
    for id_ in ("average-power", "junction-rise", "pulse-energy"):
        assert across[id_].verdict is Verdict.UNPROVEN
        assert "VALVE.rate" in across[id_].story.missing
    assert "clamp-repeat" not in across


def test_cable_and_place_of_the_clamp() -> None:
    """A clamp at the far end does not take the cable's inductance, one at the board does."""
    cable = 'cable = { length = "5 m", wire = "0.5 mm2", inductance = "10 mH ±10 %" }'
    assert situation(load=cable).facts("D1")["inductance"].value == pytest.approx(0.131)
    assert situation(load=cable, clamp='position = "load"').facts("D1")["inductance"].value == pytest.approx(0.12)


def test_any_clamp_on_the_switch_may_take_every_coil_on_it() -> None:
    """At the board or at the far end, to the own rail or to another: it may be the first to conduct."""
    more = '[load.SMALL]\nsort = "coil"\nrail = "{rail}"\nresistance = "60 Ω ±10 %"\ninductance = "0.5 H ±20 %"\n'

    def made(rail: str, clamp: str) -> Situation:
        return situation(TVS, load=more.format(rail=rail), pulled='"VALVE", "SMALL"', clamp=clamp)

    def current(rail: str, clamp: str) -> float:
        return float(made(rail, clamp).facts("D1")["coil_current"].value)

    strong = changed({}, {"clamping": [{"ipp": 20.0, "max": 40.0}]}, TVS)
    alone = float(situation(TVS).facts("D1")["coil_current"].value)
    near, far = current("V12", ""), current("V12", 'position = "load"')
    assert near == far == pytest.approx(alone + float(made("V12", "").load("SMALL").largest.value))
    assert current("V24", "") == current("V24", ACROSS_SWITCH) > near
    # a clamp across the 12 V valve never lets go what hangs on 24 V: the supply feeds it on
    assert made("V24", "").facts("D1")["supply_behind"].value == pytest.approx(25.2)  # the 12 V may be absent
    across = situation(strong, load=more.format(rail="V24"), pulled='"VALVE", "SMALL"', clamp=ACROSS_SWITCH)
    assert across.facts("D1")["supply_behind"].value == pytest.approx(25.2)
    assert across.facts("Q1")["drain_clamped"].value == pytest.approx(number(across, "drop_high"))


@pytest.mark.parametrize(("limit", "level"), [("0.5 s", 0.02), ("20 ms", 0.02), ("20 ms", 0.001), ("5 ms", 0.06)])
def test_the_slower_of_two_loads_decides_the_release(limit: str, level: float) -> None:
    """Each load has its own limit; what stands for both lets go, against its limit, no sooner than either."""
    small = f"""[load.SMALL]
sort = "coil"
rail = "V12"
count = 2
resistance = "60 Ω ±10 %"
inductance = "0.5 H ±20 %"
release_time = "{limit}"
release_level = "{level} A"
"""
    made = situation(load=RELEASE + "\n" + small, pulled='"VALVE", "SMALL"')
    facts = made.facts("D1")
    shares = []
    for name, allowed, end in (("VALVE", 1.0, 0.05), ("SMALL", facts["release_time"].value, 2 * level)):
        load = made.load(name)
        ohms, henry = load.resistance.value, load.inductance.value
        shares.append(henry / ohms * math.log(12.6 / (end * ohms)) / allowed)
    assert facts["release_time"].value == float(limit.split()[0]) * (1e-3 if "ms" in limit else 1)
    assert max(shares) <= number(made, "release_longest") / facts["release_time"].value * (1 + 1e-9)


def test_the_release_level_is_that_of_one_of_many() -> None:
    many = situation(load=RELEASE + "\ncount = 3")
    assert number(many, "release_longest") == pytest.approx(number(situation(load=RELEASE), "release_longest"))
    assert many.facts("D1")["release_end"].value == pytest.approx(0.15)


def test_a_chopped_coil_without_an_inductance() -> None:
    """The current may flow all the time off, whatever the inductance."""
    text = BOARD.replace('inductance = "{henry}"', "").format(
        **{**DEFAULTS, "clamp": "", "load": 'chopped = { frequency = "1 kHz", duty = "0.2..0.8" }'}
    )
    board = parse_board(text, Path("board.toml")).board
    made = Situation(board, {"Q1": MOSFET, "D1": examples.PART}, BENCH)
    assert number(made, "current_average") == pytest.approx(0.8 * made.facts("D1")["coil_current"].value)
    assert number(made, "conduction_lasting") == pytest.approx(
        number(made, "current_average") * number(made, "forward_hot")
    )


def test_a_motor_without_a_winding_resistance_is_taken_without_any() -> None:
    motor = """[load.PUMP]
sort = "motor"
rail = "V12"
current = "1..2 A"
stall_current = "5 A"
inductance = "2 mH ±20 %"
rate = "1 /s"
"""
    text = BOARD.format(**{**DEFAULTS, "load": motor, "pulled": '"PUMP"', "clamp": ACROSS_SWITCH})
    board = parse_board(text.replace('load = "VALVE"', 'load = "PUMP"'), Path("board.toml")).board
    part = changed({}, {"clamping": [{"ipp": 20.0, "max": 40.0}]}, TVS)
    made = Situation(board, {"Q1": MOSFET, "D1": part}, BENCH)
    low = 30 * (1 - 0.035)
    bound = coils.avalanche_energy(2.4e-3, 5.0, low, 12.6)  # a clamp across the switch in the place of the breakdown
    assert number(made, "energy_pulse") == pytest.approx(bound, rel=1e-3)


def test_recovery_limit_of_a_chopped_load() -> None:
    chopped = 'chopped = { frequency = "20 kHz", duty = "0.2..0.8" }'
    assert situation(load=chopped).facts("D1")["recovery_allowed"].value == pytest.approx(0.05 * 0.2 / 20e3)
    edge = chopped + '\nedge_limit = "100 ns"'
    assert situation(load=edge).facts("D1")["recovery_allowed"].value == pytest.approx(100e-9)
    assert situation().facts("D1")["recovery_allowed"].value is None
    idle = 'chopped = { frequency = "20 kHz", duty = "0..0.8" }'
    assert situation(load=idle).facts("D1")["recovery_allowed"].value > 0


def test_the_charge_that_a_slow_diode_gives_back_heats_it_and_its_switch() -> None:
    """Charge control, integrated: a diode of 2 µs at 20 kHz, its charge drawn from the rail at each turn-on."""
    chopped = 'chopped = { frequency = "20 kHz", duty = "0.2..0.8" }'
    slow, quick = (
        situation(part=changed({"trr_max": time, "construction": made}, {}, examples.PART), load=chopped)
        for time, made in ((2e-6, "rectifier"), (math.nan, "schottky"))
    )
    facts = slow.facts("D1")
    amperes, volts = facts["coil_current"].value, facts["rail_max"].value

    def left(lifetime: float) -> tuple[float, float]:
        """Time to draw all charge back with 1 A after 0.5 A, and the charge that ``amperes`` leave."""
        charge, step, time = 0.5 * lifetime, lifetime / 20000, 0.0
        while charge > 0:
            charge, time = charge - step * (1.0 + charge / lifetime), time + step
        return time, amperes * lifetime

    time, charge = left(1e-6)
    watts = 20e3 * volts * charge * 2e-6 / time
    assert number(slow, "conduction_loss") - number(slow, "conduction_lasting") == pytest.approx(watts, rel=1e-3)
    assert number(quick, "conduction_loss") == number(quick, "conduction_lasting")
    for made, more in ((slow, watts), (quick, 0.0)):
        assert 20e3 * made.facts("Q1")["recovered_charge"].value * volts == pytest.approx(more, rel=1e-3)
    unknown = situation(
        part=changed({"trr_max": math.nan, "construction": "rectifier"}, {}, examples.PART), load=chopped
    )
    assert math.isnan(unknown.facts("Q1")["recovered_charge"].value)
    assert situation().facts("Q1")["recovered_charge"].value == 0.0, "not chopped: the current has died"


def test_forward_recovery_is_held_against_the_fitted_switch() -> None:
    facts = situation().facts("D1")
    assert facts["switch_limit"].value == pytest.approx(0.8 * 60)
    blank = Situation(situation().board, {"Q1": Part("mosfet", "M", "x", {}), "D1": examples.PART}, BENCH)
    limit = blank.facts("D1")["switch_limit"]
    assert math.isnan(limit.value) and limit.missing == ("Q1: vds_max",)
    pair = situation(examples.PART, TVS, clamp=PAIR.format(first="forward", second="breakdown"))
    alone = judged(situation())["forward-recovery"].compared[0].demand
    with_zener = judged(pair)["forward-recovery"].compared[0].demand
    assert with_zener == pytest.approx(alone + number(pair, "drop_high", "D2"))


# ---- a better part is never worse; the readings agree

BETTER = {
    "vrrm": 1.3, "ifrm": 1.3, "trr_max": 0.7, "vfr_max": 0.7, "standoff": 1.3, "power_max": 1.3,
    "pulse_energy": 1.3, "repetitive_energy": 1.3, "tj_max": 1.05, "vbr_max": 0.95, "vf": 0.8, "if_av": 1.3,
    "ir": 0.5, "clamping": 0.9, "pulse_power": 1.3, "theta_ja": 0.7, "zth": 0.7, "impedance": 0.7,
}  # fmt: skip


def scattered(part: Part) -> Part:
    """The part with its values moved up and down, and some blank."""

    def moved(cell_: Any) -> Any:
        if RANDOM.random() < 0.08:
            return None
        return cell_ if isinstance(cell_, str) or cell_ is None else cell_ * float(np.exp(RANDOM.normal(0, 0.3)))

    values = {name: moved(v) if name != "tj_max" else v for name, v in part.values.items()}
    tables = {}
    for name, table in part.tables.items():
        largest = tuple(math.nan if (v := moved(c)) is None else v for c in table.columns.get("max", ()))
        tables[name] = PointTable({**table.columns, "max": largest}) if len(table) else table
    return Part(part.kind, part.part_number, part.maker, values, tables)


def improved(part: Part, name: str) -> Part:
    factor = BETTER[name]
    if name in part.tables:
        table = part.tables[name]
        made = PointTable({**table.columns, "max": tuple(v * factor for v in table.columns.get("max", ()))})
        return Part(part.kind, part.part_number, part.maker, part.values, {**part.tables, name: made})
    known = part.values.get(name)
    return changed({name: known * factor} if isinstance(known, float) else {}, part=part)


SETTINGS = {
    "diode": (examples.PART, {}),
    "switch": (TVS, examples.BREAKDOWN),
    "zener": (ZENER, examples.BREAKDOWN),
}


@pytest.mark.parametrize("setting", SETTINGS)
def test_columns_and_explanation_agree_on_random_parts(setting: str) -> None:
    base, change = SETTINGS[setting]
    parts = [scattered(base) for _ in range(40)]
    for policy in (BENCH, DATASHEET):
        facts = facts_of(change, policy)
        columns = judge_columns(ROLE, columns_of("diode", parts), facts, len(parts), TIGHT, chunk=16)
        for k, part in enumerate(parts):
            found = explain(ROLE, part, {name: Fact(v) for name, v in facts.items()}, TIGHT)
            assert [f.verdict for f in found] == list(columns.verdicts[:, k])
            assert [f.headroom for f in found] == pytest.approx(
                columns.headrooms[:, k], nan_ok=True, rel=1e-6, abs=1e-9
            )


@pytest.mark.parametrize("setting", SETTINGS)
def test_a_better_value_never_worsens_a_verdict(setting: str) -> None:
    """Judged in columns: random parts as they are, and each with one value better."""
    base, change = SETTINGS[setting]
    parts = [scattered(base) for _ in range(60)]
    facts = facts_of({**change, "coil_current": 0.9, "ambient_max": 340.0})
    before = judge_columns(ROLE, columns_of("diode", parts), facts, len(parts), 0.0).verdicts
    spread = set()
    for name in BETTER:
        better = [improved(part, name) for part in parts]
        after = judge_columns(ROLE, columns_of("diode", better), facts, len(parts), 0.0).verdicts
        worse = [ROLE.named(name) or name for row in range(len(after)) if (after[row] < before[row]).any()]
        assert not worse, name
        spread |= set(map(int, after.ravel()))
    assert spread >= {0, 1, 3}


def test_a_clamp_across_the_switch_stands_off_a_transient_of_its_rail() -> None:
    """A clamp that broke down under it would be fed through the coil for as long as the transient lasts."""
    from partcheck.jobs.judge.place import judge_place
    from partcheck.jobs.judge.setup import open_setup
    from tests.boards import SAMPLE, situation_of, written

    situation = open_setup(SAMPLE).situation
    for transient, verdict in (("14.9 V", Verdict.TIGHT), ("15.1 V", Verdict.FAILS), ("60 V", Verdict.FAILS)):
        other = situation_of(situation, written({"rail.V12.transient": transient}))
        found = {finding.id: finding for finding in judge_place(other, "D3").findings}
        assert found["standoff"].verdict is verdict, transient


@pytest.mark.parametrize(
    ("stall", "average", "risen"),
    [
        ({}, 0.4 * 0.8, 0.0),  # one short stall: what lasts counts, and the stall in the junction
        ({"start_share": 0.25}, 0.8 * (0.4 + 0.25 * 0.8), 0.25),
        ({"start_time": 60.0, "long_start": 1.0}, 1.2 * 0.8, 1.0),  # longer than anything stated
        ({"start_time": 60.0, "long_start": 1.0, "zth": 40.0}, 0.8 * (0.4 + 0.5 * 0.8), 0.5),
    ],
)
def test_a_stall_of_a_chopped_motor_is_a_pulse_on_top_of_what_lasts(
    stall: dict[str, float], average: float, risen: float
) -> None:
    steady = {"lasting_current": 0.4, "start_current": 1.2, "coil_current": 1.2, "starts": 1.0, "start_time": 0.2,
              "pulse_rate": 4000.0, "off_time": 2e-4, "inductance": 1.0}  # fmt: skip
    zth = [{"pulse_width": 100.0, "reference": "ambient", "max": stall["zth"]}] if "zth" in stall else []
    if not stall:  # the junction follows a short stall as far as it is stated
        zth = [{"pulse_width": 0.2, "reference": "ambient", "max": 8.0}]
        risen = 0.1
    elif "start_time" not in stall:
        zth = [{"pulse_width": 0.2, "reference": "ambient", "max": 0.001}]
    part = changed(tables={"zth": zth})
    f = facts_of({**steady, **{k: v for k, v in stall.items() if k != "zth"}})
    assert value(part, f, "current_average") == pytest.approx(average, rel=0.01)
    low, high = (value(part, {**f, "start_current": i, "lasting_current": i}, "conduction_loss") for i in (0.4, 1.2))
    assert value(part, f, "conduction_loss") == pytest.approx(low + risen * (high - low), rel=0.01)


# ---- the junction at the hottest moment of a turn-off


class Body(NamedTuple):
    """A junction as a sum of exponentials: resistances (K/W) and their times (s)."""

    ohms: Any
    times: Any

    def zth(self, time: float) -> float:
        return float((self.ohms * -np.expm1(-time / self.times)).sum())

    def hottest(self, pulse: Callable[[Any], Any], period: float, off: float) -> float:
        """Largest rise of a junction in a settled series of equal pulses, by integration of each exponential, K."""
        grid = np.concatenate([[0.0], np.geomspace(off * 1e-7, off, 4000)])
        power = pulse(grid)
        most = np.zeros(len(grid))
        for ohm, time in zip(self.ohms, self.times, strict=True):
            own = np.zeros(len(grid))
            for i in range(1, len(grid)):
                step = math.exp(-(grid[i] - grid[i - 1]) / time)
                own[i] = own[i - 1] * step + ohm * (1 - step) * max(power[i - 1], power[i])
            settled = own[-1] * math.exp(-(period - off) / time) / (1 - math.exp(-period / time))
            most += own + settled * np.exp(-grid / time)
        return float(most.max())


def drawn_body(theta: float) -> Body:
    count = int(RANDOM.integers(2, 6))
    return Body(RANDOM.dirichlet(np.ones(count)) * theta, 10.0 ** RANDOM.uniform(-4, 1.7, count))


def decayed(current: float, constant: float, times: Any) -> Any:
    """Current of a coil of 20 Ω through 1 V; in W as well."""
    return np.maximum((current + 1 / 20.0) * np.exp(-times / constant) - 1 / 20.0, 0.0)


def test_no_junction_is_hotter_at_any_moment_of_a_turn_off() -> None:
    """A decay through a constant drop: thermal ladders of every shape against the rise that is told."""
    nearest = 0.0
    for _ in range(60):
        body, current, constant = drawn_body(80.0), RANDOM.uniform(0.2, 0.9), 10.0 ** RANDOM.uniform(-3.3, 0)
        off = constant * 10.0 ** RANDOM.uniform(-1, 1)
        period = off * 10.0 ** RANDOM.uniform(0.1, 2)
        facts = {
            "coil_current": current, "lasting_current": current, "start_current": current, "loop_resistance": 20.0,
            "inductance": 20.0 * constant, "pulse_rate": 1 / period, "off_time": off,
        }  # fmt: skip
        charge = current * constant * -math.expm1(-off / constant)
        flat = [{"i_f": 0.001, "max": 1.0}, {"i_f": 1.0, "max": 1.0}]
        zth = [
            {"pulse_width": charge / current * (1 + 1e-9), "reference": "ambient", "max": body.zth(charge / current)}
        ]
        part = changed(tables={"vf": flat, "zth": zth})
        told = value(part, facts_of(facts), "rise_peak")
        true = body.hottest(lambda t, i=current, c=constant: decayed(i, c, t), period, off)  # type: ignore[misc]
        assert true <= told * (1 + 5e-3)
        nearest = max(nearest, true / told)
    assert nearest > 0.9


def test_a_long_decay_in_a_diode_without_a_transient_impedance_is_not_passed() -> None:
    """0.6 A for half a second now and then is 1 W in a junction of 300 K/W to air, though the mean is next to nothing."""
    facts = facts_of({"inductance": 10.0, "pulse_rate": 0.01, "off_time": 99.0, "flow_share": 1.0})
    theta = [{"copper_area": 0, "mounting": "free-air", "max": 300.0}]
    found = both(changed(tables={"theta_ja": theta}), facts)["junction-rise"]
    assert found.verdict is Verdict.UNPROVEN
    assert found.story.missing == ("zth at these conditions",)
    row = {"pulse_width": 0.6, "reference": "ambient"}
    for most, verdict in ((100.0, Verdict.MEETS), (250.0, Verdict.FAILS)):
        part = changed(tables={"theta_ja": theta, "zth": [{**row, "max": most}]})
        assert both(part, facts)["junction-rise"].verdict is verdict


def test_a_row_that_contradicts_the_usual_die_counts_alone() -> None:
    """1 ms in a small die is 40 K/W at most; one with 90 K/W after 2 ms is no such die and may have 90 K/W at once."""
    facts = facts_of({"inductance": 20e-3, "off_time": 0.016})  # charge over current: 1 ms
    usual = value(
        changed(tables={"theta_ja": [{"copper_area": 0, "mounting": "free-air", "max": 200.0}]}), facts, "rise_peak"
    )
    other = [{"pulse_width": 2e-3, "reference": "ambient", "max": 90.0}]
    part = changed(tables={"theta_ja": [{"copper_area": 0, "mounting": "free-air", "max": 200.0}], "zth": other})
    assert value(part, facts, "rise_peak") - usual == pytest.approx(0.6 * 0.936 * (90.0 - 40.0), rel=0.05)
