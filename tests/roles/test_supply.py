"""Rails, chips and what sums in them: edges, and boards whose loads are switched at random."""

import math
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck.board import Board, parse_board
from partcheck.errors import BoardError
from partcheck.parts.part import Part
from partcheck.physics.coils import winding_resistance
from partcheck.policy import BENCH, DATASHEET
from partcheck.readings.explain import explain
from partcheck.readings.verdicts import judge_columns
from partcheck.requirement import Fact, Verdict
from partcheck.roles import LINK_ROLES, ROLES
from partcheck.situation import Situation
from partcheck.situation.sums import at_once, chip_current, rail_items
from tests.examples.roles import chip, rail, regulator

TIGHT = 0.1
EDGES = [(module, id_) for module in (rail, chip) for id_ in module.EXAMPLES]


def board_of(text: str) -> Board:
    """A board with a name, air and this text."""
    return parse_board(f'format = 1\nname = "t"\n[surroundings]\nambient = "-10..45 °C"\n{text}', Path("t.toml")).board


# ---- the edges


@pytest.mark.parametrize(("module", "id_"), EDGES)
def test_edge(module: Any, id_: str) -> None:
    role, example = LINK_ROLES[module.ROLE], module.EXAMPLES[id_]
    assert set(module.EXAMPLES) <= set(role.requirements)
    proven = {Verdict.MEETS, Verdict.TIGHT}
    ends = ((example.meets, proven), (example.fails, {Verdict.FAILS}), (math.nan, {Verdict.UNPROVEN}))
    for value, wanted in ends:
        facts = {**dict.fromkeys(role.facts), **module.FACTS, example.vary.removeprefix("fact:"): value}
        facts |= {name: BENCH.value(name[2:]) for name in role.facts if name.startswith("k_")}
        found = {f.id: f for f in explain(role, None, {k: Fact(v) for k, v in facts.items()}, TIGHT)}
        judged = judge_columns(role, {}, facts, 1, TIGHT)
        assert found[id_].verdict in wanted
        assert judged.verdicts[judged.ids.index(id_), 0] == found[id_].verdict
    assert abs(example.meets / example.fails - 1) <= 0.02


def test_what_the_board_does_not_state_is_not_asked() -> None:
    situation = Situation(board_of('[rail.V12]\nvoltage = "12 V ±5 %"\n[chip.U2]\n' + MOTOR), {}, BENCH)
    for name, role, facts in situation.links():
        if name in ("rail V12", "chip U2"):
            assert explain(role, None, facts, TIGHT) == [], name


DRIVE = '[drive.d]\nhigh = "5 V"\nlow = "0 V"\nhigh_at = "1 mA"\n'
MOTOR = '[load.m]\nsort = "motor"\nrail = "V12"\ncurrent = "1 A"\nstall_current = "4 A"\n' + DRIVE
MOTOR += '[role.Q]\nrole = "mosfet-switch"\ndrive = "d"\nload = "m"\n'

# ---- boards whose loads are switched at random

RANDOM = np.random.default_rng(7)


def random_board(source: str) -> tuple[Board, list[list[str]], list[tuple[list[str], int]]]:
    """A rail with up to six loads, some two on a switch, some bound by groups; its switches and groups."""
    loads, text = [], f"[rail.V]\n{source}\n"
    for i in range(int(RANDOM.integers(3, 7))):
        loads.append(f"l{i}")
        sort = RANDOM.choice(["coil", "lamp", "motor", "resistive", "led-string", "stated"])
        ohms, amps = RANDOM.uniform(10, 80), RANDOM.uniform(0.05, 0.6)
        keys = {
            "coil": f'sort = "coil"\nresistance = "{ohms} Ω ±8 %"\ncount = {RANDOM.integers(1, 3)}\n',
            "lamp": f'sort = "lamp"\ncurrent = "{amps} A"\ninrush_time = "50 ms"\n'
            f"inrush_factor = {RANDOM.uniform(4, 12)}\n",
            "motor": f'sort = "motor"\ncurrent = "{amps / 2}..{amps} A"\nstall_time = "1 s"\n'
            f'stall_current = "{4 * amps} A"\n',
            "resistive": f'sort = "resistive"\nresistance = "{ohms} Ω ±5 %"\nextra_current = "10..20 mA"\n',
            "led-string": f'sort = "led-string"\nforward_voltage = "5.5..6.5 V"\nresistance = "{ohms * 5} Ω ±5 %"\n',
            "stated": f'sort = "resistive"\ncurrent = "{amps / 2}..{amps} A"\n',
        }[str(sort)]
        text += f'[load.l{i}]\nrail = "V"\n{keys}'
    rest, switches = list(loads), []
    while rest:
        switches.append([rest.pop(0)] + ([rest.pop(0)] if rest and RANDOM.random() < 0.25 else []))
        names = ", ".join(f'"{n}"' for n in switches[-1])
        drive = f"d{len(switches)}"
        text += DRIVE.replace("drive.d", f"drive.{drive}")
        text += f'[role.Q{len(switches)}]\nrole = "mosfet-switch"\ndrive = "{drive}"\nload = [{names}]\n'
    groups, free = [], list(RANDOM.permutation(loads))
    for _ in range(int(RANDOM.integers(0, 3))):
        size = min(len(free), int(RANDOM.integers(2, 4)))
        here = [str(free.pop()) for _ in range(size)]
        if here:
            groups.append((here, int(RANDOM.integers(1, size + 1))))
            text += f"[[at_once]]\nof = {here}\nmost = {groups[-1][1]}\n"
    return board_of(text), switches, groups


def allowed(switches: list[list[str]], groups: list[tuple[list[str], int]]) -> list[set[str]]:
    """Every set of loads that switches and groups let be on."""
    made = []
    for state in product((False, True), repeat=len(switches)):
        on = {load for is_on, loads in zip(state, switches, strict=True) for load in loads if is_on}
        if all(len(on & set(of)) <= most for of, most in groups):
            made.append(on)
    return made


def exact(switches: list[list[str]], groups: list[tuple[list[str], int]]) -> bool:
    """False where a switch is in two groups, or pulls more than a group allows: there the sums only bound."""
    spans = any(sum(bool(set(of) & set(loads)) for of, _ in groups) > 1 for loads in switches)
    return not spans and all(len(set(of) & set(loads)) <= most for of, most in groups for loads in switches)


def within(low: float, high: float) -> float:
    """A value inside a range, its ends as likely as its middle."""
    return float(RANDOM.choice([low, high, RANDOM.uniform(low, high)]))


def drawn(board: Board, name: str, worst: bool) -> Any:
    """The current of a load as a function of its voltage, at random inside its corners, or at the worst of them."""

    def pick(span: Any, high: bool) -> float:
        return (span.max if high else span.min) if worst else within(span.min, span.max)

    load: Any = board.load[name]
    extra = pick(load.extra_current, True) if load.extra_current is not None else 0.0
    inrush = load.inrush_factor if load.sort == "lamp" and (worst or RANDOM.random() < 0.5) else 1.0
    if load.sort == "motor":
        fixed = load.stall_current if worst or RANDOM.random() < 0.5 else pick(load.current, True)
    elif load.current is not None:
        fixed = pick(load.current, True) * inrush
    else:
        fixed = None
    ohms = None if fixed is not None else pick(load.resistance, False)
    if load.sort == "coil":
        ohms = float(winding_resistance(ohms, 263.15 if worst else within(263.15, 318.15)))  # type: ignore[arg-type]
    drop = pick(load.forward_voltage, False) if load.sort == "led-string" else 0.0

    def current(volts: float) -> float:
        one = fixed if fixed is not None else max(volts - drop, 0.0) / ohms
        return load.count * one + extra

    return current


def test_no_subset_of_loads_pulls_a_rail_lower_or_draws_more() -> None:
    near = []
    for _ in range(25):
        feed = f'voltage = "12 V ±5 %"\nsource_resistance = "0..{RANDOM.uniform(0.01, 0.15)} Ω"\n' \
            'protection_drop = "0.3..0.7 V"\nlogic_current = "10..50 mA"'  # fmt: skip
        board, switches, groups = random_board(feed)
        situation = Situation(board, {}, DATASHEET)
        least, most = situation.rail("V").least.value, situation.rail_current("V").value
        ohms = board.rail["V"].source_resistance.max  # type: ignore[union-attr]
        worst_current = 0.0
        for k, on in enumerate(allowed(switches, groups)):
            for worst in (True, False, False):
                loads = [drawn(board, name, worst) for name in on]
                logic = 0.05 if worst else within(0.01, 0.05)
                source, diode, feed_ohms = (11.4, 0.7, ohms) if worst else (
                    within(11.4, 12.6), within(0.3, 0.7), within(0, ohms))  # fmt: skip

                def sag(v: float, loads: Any = loads, logic: Any = logic, s: Any = (source, diode, feed_ohms)) -> float:
                    return float(v - (s[0] - s[1] - s[2] * (logic + sum(i(max(v, 0)) for i in loads))))

                at_board = float(brentq(sag, -100.0, 13.0))
                assert at_board >= least - 1e-9, (k, on)
                worst_current = max(worst_current, logic + sum(i(12.6) for i in loads))
                assert worst_current <= most + 1e-9, (k, on)
        if exact(switches, groups):
            near.append(worst_current / most)
    # the largest current is reached to rounding, so the sum is not above what can happen
    assert len(near) > 10
    assert min(near) > 0.999


def test_the_least_rail_voltage_is_close_to_the_truth() -> None:
    """Stated currents do not fall with the rail, so there the least voltage is exact."""
    lamp = '[load.a]\nsort = "lamp"\nrail = "V"\ncurrent = "0.5 A"\ninrush_factor = 10\ninrush_time = "50 ms"\n'
    switch = '[role.Q]\nrole = "mosfet-switch"\ndrive = "d"\nload = "a"\n'
    rail = '[rail.V]\nvoltage = "12 V ±5 %"\nsource_resistance = "0..0.1 Ω"\n'
    board = board_of(rail + lamp + DRIVE + switch)
    assert Situation(board, {}, DATASHEET).rail("V").least.value == pytest.approx(11.4 - 0.1 * 5.0)


# ---- a regulator, a chip, indicators

SYSTEM = """
[rail.V12]
voltage = "12 V ±5 %"
feed_resistance = "0.1..0.3 Ω"
current = "3 A"
battery = "10 mA"
[rail.V5]
regulator = "U1"
logic_current = "5..40 mA"
other_current = "1..3 mA"
accepts = "4.5..5.5 V"
[chip.U2]
supply = "V5"
total_current = "60 mA"
[drive.d1]
chip = "U2"
high = "4.4..5.1 V"
low = "0..0.4 V"
source_resistance = "25..60 Ω"
[drive.d2]
chip = "U2"
high = "4.4..5.1 V"
low = "0..0.4 V"
source_resistance = "25..60 Ω"
[drive.d3]
chip = "U2"
high = "4.4..5.1 V"
low = "0..0.4 V"
source_resistance = "25..60 Ω"
[load.valve]
sort = "resistive"
rail = "V12"
current = "0.4..0.5 A"
chopped = { frequency = "20 kHz", duty = "0.2..0.8" }
[load.horn]
sort = "resistive"
rail = "V12"
current = "0.2..0.3 A"
[role.U1]
role = "regulator"
input = "V12"
output = "V5"
[role.Q1]
role = "mosfet-switch"
drive = "d1"
load = "valve"
gate_resistor = "100 Ω ±1 %"
pulldown = "10 kΩ ±1 %"
[role.Q2]
role = "npn-sink"
drive = "d2"
load = ["horn", "D2"]
base_resistor = "1 kΩ ±5 %"
[role.D1]
role = "indicator"
rail = "V5"
resistor = "330 Ω ±5 %"
[role.D2]
role = "indicator"
rail = "V5"
switch = "Q2"
resistor = "330 Ω ±5 %"
[role.D3]
role = "indicator"
drive = "d3"
resistor = "330 Ω ±5 %"
"""
KNOWN = {
    ("D1", "current_max"): 0.010, ("D1", "current_min"): 0.006,
    ("D2", "current_max"): 0.011, ("D2", "current_min"): 0.006,
    ("D3", "current_max"): 0.009, ("D3", "current_min"): 0.006,
    ("Q2", "base_current_max"): 0.0045, ("Q1", "qg_max"): 20e-9,
}  # fmt: skip
HIGHEST = 5.1 + 0.02  # of the regulator, up to which the outputs drive
PULLDOWN = HIGHEST / 9999.0  # the pull-down and the gate resistor at their least
BASE = HIGHEST / 950.0  # all that the base resistor lets through: what a rail counts

GATE = 20e-9 * 20e3


@pytest.fixture
def system(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Makes the situation of the board above, the currents of its other parts known."""
    real = Situation.quantity

    def known(self: Situation, ref: str, name: str) -> Fact:
        if (ref, name) in KNOWN:
            return Fact(KNOWN[ref, name], f"{ref}.{name}")
        return real(self, ref, name) if ref == "U1" else Fact(0.0, f"{ref}.{name}")

    monkeypatch.setattr(Situation, "quantity", known)

    def make(more: str = "", part: Part = regulator.PART) -> Situation:
        return Situation(board_of(SYSTEM + more), {"U1": part}, DATASHEET)

    return make


def labels(situation: Situation, rail: str) -> set[str]:
    return {label for _, label, _ in at_once(situation, rail_items(situation, rail))}


def test_a_regulator_feeds_all_that_draws_from_its_rail(system: Any) -> None:
    """Logic, LEDs on the rail and on the chip, the base of an NPN, a pull-down and chopped gate charge."""
    everything = 0.040 + 0.003 + 0.010 + 0.011 + 0.009 + BASE + PULLDOWN + GATE
    situation = system()
    assert situation.facts("U1")["load_current"].value == pytest.approx(everything)
    # its own current comes on top in what feeds it, beside that rail's other loads
    assert situation.rail_current("V12").value == pytest.approx(everything + 0.005 + 0.5 + 0.3)
    assert situation.facts("U1")["input_min"].value == pytest.approx(11.4 - 0.3 * situation.rail_current("V12").value)
    assert chip_current(situation, "U2").value == pytest.approx(0.0045 + 0.009 + PULLDOWN + GATE)


def test_what_is_not_on_at_once_is_left_out_with_its_base_current_and_indicator(system: Any) -> None:
    situation = system('[[at_once]]\nof = ["valve", "D3", "horn"]\nmost = 1\n')
    # on the logic rail the NPN with its indicator draws most, on the 12 V rail the valve
    assert labels(situation, "V5") == {"V5.logic_current", "V5.other_current", "D1", "D2", "Q2 base"}
    always = {"V5.logic_current", "V5.other_current", "D1", "U1 itself"}
    assert labels(situation, "V12") == always | {"valve", "Q1 pull-down", "Q1 gate"}
    assert chip_current(situation, "U2").value == pytest.approx(0.009)


def test_what_one_drive_turns_on_counts_together_behind_two_switches_and_without_any() -> None:
    """One output is one signal: no group makes it leave one of its loads or LEDs off."""
    heater = 'sort = "resistive"\nrail = "V12"\nresistance = "24 Ω ±5 %"\n'
    switch = 'role = "mosfet-switch"\ndrive = "d"\n'
    led = 'role = "indicator"\ndrive = "other"\nresistor = "1 kΩ ±5 %"\n'
    situation = Situation(board_of(
        f'[rail.V12]\nvoltage = "12 V ±5 %"\n{DRIVE}{DRIVE.replace("drive.d", "drive.other")}[load.A]\n{heater}[load.B]\n{heater}'
        f'[role.Q1]\n{switch}load = "A"\n[role.Q2]\n{switch}load = "B"\n[role.D1]\n{led}[role.D2]\n{led}'
        '[[at_once]]\nof = ["A", "B"]\nmost = 1\n[[at_once]]\nof = ["D1", "D2"]\nmost = 1\n'
    ), {}, DATASHEET)  # fmt: skip
    assert {"A", "B"} <= labels(situation, "V12")
    lit = [("D1", "D1", Fact(0.01)), ("D2", "D2", Fact(0.01))]
    assert at_once(situation, lit) == lit


def test_a_gate_that_does_not_chop_takes_no_charge(system: Any) -> None:
    slow = SYSTEM.replace('chopped = { frequency = "20 kHz", duty = "0.2..0.8" }', 'rate = "2 1/s"')
    situation = Situation(board_of(slow), {"U1": regulator.PART}, DATASHEET)
    assert "Q1 gate" not in labels(situation, "V5")


def test_the_least_load_is_only_what_is_always_on(system: Any) -> None:
    """Logic, other, and the indicator without a switch; a blinking one or one of a group is not sure."""
    least = 0.005 + 0.001
    assert system().facts("U1")["least_load"].value == pytest.approx(least + 0.006)
    assert system('[[at_once]]\nof = ["D1"]\nmost = 1\n').facts("U1")["least_load"].value == pytest.approx(least)
    silent = SYSTEM.replace('logic_current = "5..40 mA"\n', "")
    unsaid = Situation(board_of(silent), {"U1": regulator.PART}, DATASHEET).facts("U1")["least_load"]
    assert unsaid.value == pytest.approx(0.001 + 0.006)
    assert unsaid.bounded == ("rail.V5.logic_current",)


def test_regulators_in_a_row_share_one_battery(system: Any) -> None:
    rail = '[rail.V3]\nregulator = "U3"\nlogic_current = "1..10 mA"\n'
    situation = system(rail + '[role.U3]\nrole = "regulator"\ninput = "V5"\noutput = "V3"\n')
    assert situation.facts("U3")["battery"].value == 0.01
    assert situation.facts("U3")["other_quiescent"].value == pytest.approx(0.005)
    assert "V3.logic_current" in labels(situation, "V12")


def test_the_links_are_judged_without_a_part(system: Any) -> None:
    found = {
        (name, finding.id): finding
        for name, role, facts in system().links() if role.name in ("rail", "chip")
        for finding in explain(role, None, facts, TIGHT)
    }  # fmt: skip
    assert set(found) == {
        ("rail V12", "supply-current"),
        ("rail V5", "logic-supply"),
        ("chip U2", "chip-current"),
        ("chip U2", "high-level"),
    }
    assert found["rail V5", "logic-supply"].compared[0].capability == 5.5
    assert found["rail V12", "supply-current"].story.origins[0].source.startswith("valve 500 mA + horn 300 mA")


def test_a_part_that_is_not_known_counts_in_the_sums_with_all_that_it_may_take(system: Any) -> None:
    """The sums are unproven only where the source does not deliver as much as that."""
    found = {}
    for source in ("3 A", "1.5 A"):
        board = board_of(SYSTEM.replace('current = "3 A"', f'current = "{source}"'))
        situation = Situation(board, {"U1": None}, DATASHEET)
        found[source] = next(f for name, role, facts in situation.links() if name == "rail V12"
                             for f in explain(role, None, facts, TIGHT))  # fmt: skip
    assert found["3 A"].verdict is Verdict.MEETS and found["1.5 A"].verdict is Verdict.UNPROVEN
    assert found["3 A"].compared[0].demand == found["1.5 A"].compared[0].demand > 1.0
    assert any("U1" in name for name in found["1.5 A"].story.missing)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[[at_once]]\nof = ["valve"]\nmost = 1\n[[at_once]]\nof = ["horn", "valve"]\nmost = 1\n',
         "'valve' is in two at_once groups; put it in one"),
        ('[rail.V3]\nregulator = "U3"\n[role.U3]\nrole = "regulator"\ninput = "V4"\noutput = "V3"\n'
         '[rail.V4]\nregulator = "U4"\n[role.U4]\nrole = "regulator"\ninput = "V3"\noutput = "V4"\n', "in a loop"),
    ],
)  # fmt: skip
def test_a_board_that_cannot_be_summed_is_refused(more: str, said: str) -> None:
    with pytest.raises(BoardError) as slip:
        board_of(SYSTEM + more)
    assert said in str(slip.value) + "".join(getattr(slip.value, "details", []))


def test_groups_count_exactly_what_switches_allow() -> None:
    """Against every allowed state: what two loads share of a switch is on or off together."""
    for _ in range(60):
        board, switches, groups = random_board('voltage = "12 V"')
        names = [name for loads in switches for name in loads]
        amounts = {name: float(RANDOM.integers(1, 20)) for name in names}
        items = [(name, name, Fact(amounts[name])) for name in names]
        counted = sum(fact.value for _, _, fact in at_once(Situation(board, {}, DATASHEET), items))
        truth = max(sum(amounts[name] for name in on) for on in allowed(switches, groups))
        assert counted >= truth
        assert counted == truth or not exact(switches, groups)


def test_logic_straight_on_a_supply_sees_the_drop_of_everything(system: Any) -> None:
    """11.4 V less 0.3 Ω times all that is on: logic that wants 11.3 V would be content without the drop."""
    text = SYSTEM.replace('current = "3 A"\n', 'current = "3 A"\naccepts = "11.3..13 V"\nlogic_current = "0..0 A"\n')
    situation = Situation(board_of(text), {"U1": regulator.PART}, DATASHEET)
    _, role, facts = next(link for link in situation.links() if link[0] == "rail V12")
    finding = next(f for f in explain(role, None, facts, TIGHT) if f.id == "logic-supply")
    assert finding.verdict is Verdict.FAILS
    assert finding.compared[0].capability == pytest.approx(11.4 - 0.3 * situation.rail_current("V12").value)


@pytest.mark.parametrize(("fuse", "verdict"), [("0.6 A", Verdict.MEETS), ("0.4 A", Verdict.FAILS), ("", None)])
def test_a_fuse_smaller_than_what_the_rail_feeds_fails(fuse: str, verdict: Verdict | None) -> None:
    """Half an ampere for long: a fuse of 0.4 A would blow, so it is not what guards the wires."""
    stated = f'fault_current = "{fuse}"\n' if fuse else ""
    load = '[load.a]\nsort = "resistive"\nrail = "V"\ncurrent = "0.5 A"\n'
    switch = '[role.Q]\nrole = "mosfet-switch"\ndrive = "d"\nload = "a"\n'
    board = board_of(f'[rail.V]\nvoltage = "12 V ±5 %"\n{stated}' + load + DRIVE + switch)
    _, role, facts = next(link for link in Situation(board, {}, DATASHEET).links() if link[0] == "rail V")
    found = {f.id: f.verdict for f in explain(role, None, facts, TIGHT)}
    assert found.get("fuse-holds") == verdict


@pytest.mark.parametrize("kept", ["chip", "accepts"])
def test_logic_whose_current_is_not_stated_leaves_open_what_sums_it_and_needs_a_least_load(kept: str) -> None:
    """A chip, or what the logic accepts, says that there is logic: its current is unknown, and at least none."""
    silent = SYSTEM.replace('logic_current = "5..40 mA"\n', "")
    silent = silent.replace('accepts = "4.5..5.5 V"\n' if kept == "chip" else 'supply = "V5"\n', "")
    situation = Situation(board_of(silent), {"U1": regulator.PART}, DATASHEET)
    found = {f.id: f for f in explain(ROLES["regulator"], regulator.PART, situation.facts("U1"), 0.0)}
    for id_ in ("output-current", "dropout", "junction-rise", "minimum-load"):
        assert found[id_].verdict is Verdict.UNPROVEN, id_
        story = found[id_].story
        assert "rail.V5.logic_current" in (*story.missing, *story.bounded), id_
    assert situation.rail_current("V12").value != situation.rail_current("V12").value


def test_a_rail_without_logic_lacks_no_current_of_it_and_a_least_load_that_suffices_is_proved(system: Any) -> None:
    silent = SYSTEM.replace('logic_current = "5..40 mA"\n', "").replace('accepts = "4.5..5.5 V"\n', "")
    silent = silent.replace('supply = "V5"\n', "")
    situation = Situation(board_of(silent), {"U1": regulator.PART}, DATASHEET)
    assert situation.facts("U1")["load_current"].value > 0
    # other current and the lit indicator: 7 mA at least, where the part wants 2 mA
    found = explain(ROLES["regulator"], regulator.PART, situation.facts("U1"), 0.0)
    assert next(f.verdict for f in found if f.id == "minimum-load") in (Verdict.MEETS, Verdict.TIGHT)
    assert situation.facts("U1")["least_load"].value == pytest.approx(0.001 + 0.006)
