"""What stands at a switched node in each state, and what that asks of all that hangs on it. Boards reckoned by hand.

The valve draws 12 V through 24 Ω ± 10 %; rails are 12 V ± 5 %, 24 V ± 5 %, 5 V ± 5 %. Policy bench: 0.8 of a rating.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from partcheck.board import parse_board
from partcheck.jobs.judge.place import judge_link, judge_place
from partcheck.parts.part import Part, point_table
from partcheck.policy import BENCH
from partcheck.readings.explain import Finding
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from tests.examples.roles import clamp as clamp_examples
from tests.examples.roles import indicator as led_examples
from tests.examples.roles import mosfet_switch as mosfet_examples
from tests.examples.roles import npn_sink as npn_examples
from tests.examples.roles import regulator as regulator_examples

DIODE = clamp_examples.PART
TVS = Part(
    "diode", "TX-30", "Example", {**DIODE.values, **clamp_examples.TVS},
    {**DIODE.tables, **{t: point_table("diode", t, rows) for t, rows in clamp_examples.TVS_TABLES.items()}},
)  # fmt: skip
LED, MOSFET, NPN = led_examples.PART, mosfet_examples.PART, npn_examples.PART
REGULATOR = regulator_examples.PART
GOOD = (Verdict.MEETS, Verdict.TIGHT)

TOP = """
format = 1
name = "nodes"
[surroundings]
ambient = "25..45 °C"
[rail.V12]
voltage = "12 V ±5 %"
transient = "15 V"
[rail.V24]
voltage = "24 V ±5 %"
[rail.V5]
regulator = "U1"
[rail.X5]
voltage = "5 V ±5 %"
[role.U1]
role = "regulator"
input = "V12"
output = "V5"
[drive.OUT]
high = "4.8..5..5.2 V"
low = "0..0.05..0.2 V"
high_at = "5 mA"
[drive.PIN]
high = "4.8..5..5.2 V"
low = "0..0.05..0.2 V"
high_at = "5 mA"
[role.Q1]
role = "mosfet-switch"
drive = "OUT"
load = [{loads}]
"""
VALVE = """
[load.VALVE]
sort = "coil"
rail = "V12"
resistance = "24 Ω ±10 %"
inductance = "100 mH ±20 %"
"""
HEATER = '\n[load.HEATER]\nsort = "resistive"\nrail = "{rail}"\nresistance = "100 Ω ±10 %"\n'
LAMP = '\n[role.D9]\nrole = "indicator"\n{feed}\nswitch = "Q1"\nresistor = "1 kΩ ±5 %"\n'
ON_12, ON_24, ON_5, ON_X5 = ('rail = "V12"', 'rail = "V24"', 'rail = "V5"', 'rail = "X5"')
ON_PIN = 'drive = "PIN"'
ACROSS_LOAD = '\n[role.D1]\nrole = "clamp"\nload = "VALVE"\n'
FAR = ACROSS_LOAD + 'position = "load"\n'
ACROSS_SWITCH = ACROSS_LOAD + 'across = "switch"\nconducts = "breakdown"\n'
PAIR = (
    ACROSS_LOAD
    + 'in_series_with = "D2"\n[role.D2]\nrole = "clamp"\nload = "VALVE"\nconducts = "breakdown"\nin_series_with = "D1"\n'
)


def situation(*texts: str, fitted: Mapping[str, Part | None] = {}) -> Situation:
    """A board of one switch, with all that the texts state on it."""
    text = "".join(texts)
    names = [name for name in ("VALVE", "HEATER", "D9") if f"[load.{name}]" in text or f"[role.{name}]" in text]
    if "D8" in text and "[role.D9]" in text:
        names.append("D8")
    made = TOP.replace("{loads}", ", ".join(f'"{name}"' for name in names)) + text
    board = parse_board(made, Path("board.toml")).board
    parts: dict[str, Part | None] = {
        "Q1": MOSFET,
        "D1": DIODE,
        "D2": TVS,
        "D9": LED,
        "D8": LED,
        "U1": REGULATOR,
        **fitted,
    }
    return Situation(board, {ref: part for ref, part in parts.items() if ref in board.role}, BENCH)


def without(part: Part, name: str) -> Part:
    """The part with one value left out."""
    values = {key: value for key, value in part.values.items() if key != name}
    return Part(part.kind, part.part_number, part.maker, values, part.tables)


def reverse(made: Situation, ref: str = "D9") -> Any:
    """The reverse voltage that an indicator is asked to stand, V."""
    return made.facts(ref)["reverse_voltage"].value


def found(made: Situation, ref: str) -> dict[str, Finding]:
    """The requirements of a place, by id."""
    return {f.id: f for f in judge_place(made, ref).findings}


def drop_low(made: Situation, ref: str) -> float:
    """Lowest drop of a clamp, V."""
    return float(made.quantity(ref, "drop_low").value)


def drop(made: Situation, ref: str) -> float:
    """Highest drop of a clamp at the full coil current, V."""
    return float(made.quantity(ref, "drop_high").value)


# ---- reverse voltage of an indicator


def test_an_led_is_not_asked_where_nothing_can_reverse_it() -> None:
    """On the rail of a heater without inductance the node never stands above its feed."""
    made = situation(HEATER.format(rail="V12"), LAMP.format(feed=ON_12))
    assert reverse(made) is None and "reverse-voltage" not in found(made, "D9")
    assert reverse(situation(LAMP.format(feed=ON_12))) is None


def test_what_the_board_states_counts_where_it_is_more() -> None:
    typed = LAMP.format(feed=ON_12) + 'reverse_voltage = "3 V"\n'
    assert reverse(situation(HEATER.format(rail="V12"), typed)) == 3.0
    assert reverse(situation(VALVE, ACROSS_LOAD, typed)) == 3.0
    assert reverse(situation(VALVE, ACROSS_SWITCH, typed, fitted={"D1": TVS})) > 20.0


def test_a_diode_across_the_coil_leaves_its_drop_whatever_the_rail_does() -> None:
    """12.6 V / 21.6 Ω = 0.583 A; 15 V of transient lift node and feed alike."""
    made = situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_12))
    assert reverse(made) == pytest.approx(drop(made, "D1"))
    assert 0.8 < reverse(made) < 1.1
    assert found(made, "D9")["reverse-voltage"].verdict in GOOD


def test_a_zener_in_series_with_the_diode_adds_to_it() -> None:
    made = situation(VALVE, PAIR, LAMP.format(feed=ON_12))
    assert reverse(made) == pytest.approx(drop(made, "D1") + drop(made, "D2"))


def test_a_suppressor_across_the_switch_stands_above_the_lowest_rail() -> None:
    """40 V of clamping at up to 1 A, 2 % more when hot, less 11.4 V: an LED rated 5 V does not stand it."""
    made = situation(VALVE, ACROSS_SWITCH, LAMP.format(feed=ON_12), fitted={"D1": TVS})
    assert drop(made, "D1") == pytest.approx(40.0 * 1.02)
    assert reverse(made) == pytest.approx(40.8 - 11.4)
    assert found(made, "D9")["reverse-voltage"].verdict is Verdict.FAILS


def test_the_lowest_clamp_at_the_board_holds_the_node() -> None:
    second = '\n[role.D8]\nrole = "clamp"\nload = "VALVE"\n'
    board = TOP.replace("{loads}", '"VALVE", "D9"') + VALVE + ACROSS_SWITCH + second + LAMP.format(feed=ON_12)
    made = Situation(
        parse_board(board, Path("board.toml")).board, {"Q1": MOSFET, "D1": TVS, "D8": DIODE, "D9": LED}, BENCH
    )
    assert reverse(made) == pytest.approx(drop(made, "D8"))
    unknown = made.replaced("D8", Part("diode", "blank", "Example", {}))
    assert reverse(unknown) == pytest.approx(40.8 - 11.4)


def test_without_a_clamp_the_switch_breaks_down_above_its_rating() -> None:
    """1.3 times the rating less 11.4 V; of an NPN the collector-base rating counts."""
    made = situation(VALVE, LAMP.format(feed=ON_12))
    assert reverse(made) == pytest.approx(1.3 * MOSFET.number("vds_max") - 11.4)
    text = (TOP.replace("{loads}", '"VALVE", "D9"') + VALVE + LAMP.format(feed=ON_12)).replace(
        'role = "mosfet-switch"', 'role = "npn-sink"\nbase_resistor = "1 kΩ ±5 %"'
    )
    made = Situation(parse_board(text, Path("board.toml")).board, {"Q1": NPN, "D9": LED}, BENCH)
    assert reverse(made) == pytest.approx(1.3 * NPN.number("vcbo") - 11.4)


def test_the_spike_of_a_cable_beyond_a_far_clamp_counts() -> None:
    cable = 'cable = { length = "5 m", wire = "0.5 mm2", inductance = "5 µH ±10 %" }\n'
    made = situation(VALVE + cable, FAR, LAMP.format(feed=ON_12))
    assert reverse(made) == pytest.approx(1.3 * MOSFET.number("vds_max") - 11.4)
    near = situation(VALVE + cable, ACROSS_LOAD, LAMP.format(feed=ON_12))
    assert reverse(near) == pytest.approx(drop(near, "D1"))


@pytest.mark.parametrize(("feed", "left"), [(ON_5, "V5"), (ON_X5, "nothing"), (ON_PIN, "nothing")])
def test_another_feed_holds_the_node_up_while_the_own_is_low_or_absent(feed: str, left: str) -> None:
    """The heater's 12 V, or 15 V for a moment, over 5 V that may be absent, and over a pin that is low."""
    made = situation(HEATER.format(rail="V12"), LAMP.format(feed=feed))
    assert reverse(made) == pytest.approx(15.0)
    assert found(made, "D9")["reverse-voltage"].verdict is Verdict.FAILS


def test_a_rail_outlasts_only_what_it_is_not_made_of() -> None:
    """5 V made of 12 V is not there without it; so an LED on 12 V beside a load on that 5 V is never reversed."""
    made = situation(HEATER.format(rail="V5"), LAMP.format(feed=ON_12), fitted={"D9": without(LED, "vr_max")})
    assert reverse(made) is None and "reverse-voltage" not in found(made, "D9")
    own = situation(HEATER.format(rail="X5"), LAMP.format(feed=ON_12))
    assert reverse(own) == pytest.approx(5.25)


def test_a_clamp_to_another_rail_does_not_cancel_that_rail() -> None:
    """An LED on 24 V beside a coil on 12 V: 15 V and the drop above nothing where the 24 V is absent."""
    made = situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_24))
    assert reverse(made) == pytest.approx(15.0 + drop(made, "D1"))


def test_two_pins_hold_one_another_up() -> None:
    second = LAMP.format(feed='drive = "OUT"').replace("D9", "D8")
    made = situation(LAMP.format(feed=ON_PIN), second)
    assert reverse(made) == reverse(made, "D8") == pytest.approx(5.2)


def test_what_the_led_or_the_clamp_leaves_out_is_named() -> None:
    made = situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_12), fitted={"D9": without(LED, "vr_max")})
    asked = found(made, "D9")["reverse-voltage"]
    assert asked.verdict is Verdict.UNPROVEN and "vr_max" in asked.story.missing
    made = situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_12), fitted={"D1": None})
    asked = found(made, "D9")["reverse-voltage"]
    assert asked.verdict is Verdict.UNPROVEN and any("D1" in name for name in asked.story.missing)


def test_a_swapped_clamp_is_judged_at_the_led_beside_it() -> None:
    made = situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_12))
    found(made, "D9")
    assert "D1" in made.rests_on("D9")


# ---- over ground


def test_the_peak_of_the_node_over_ground() -> None:
    """For terminals and gaps: 15 V while off, rail and drop at turn-off, 1.3 times the rating where nothing clamps."""
    from partcheck.situation.clearance import switched_peak

    made = situation(HEATER.format(rail="V12"), LAMP.format(feed=ON_24))
    assert switched_peak(made, "HEATER").value == pytest.approx(25.2)
    made = situation(VALVE, ACROSS_LOAD)
    assert switched_peak(made, "VALVE").value == pytest.approx(15.0 + drop(made, "D1"))
    assert switched_peak(situation(VALVE), "VALVE").value == pytest.approx(1.3 * MOSFET.number("vds_max"))


# ---- what is on together


def test_an_led_on_the_drive_of_a_switch_is_on_with_it() -> None:
    """Of two valves at most one is on; an LED on the drive of either counts with that one."""

    made = situation(VALVE, '\n[role.D8]\nrole = "indicator"\ndrive = "OUT"\nresistor = "1 kΩ ±5 %"\n')
    assert made.board.switched_by()["D8"] == made.board.switched_by()["VALVE"] == "Q1"


# ---- while off, between the feeds

COIL_24 = '\n[load.HEATER]\nsort = "coil"\nrail = "V24"\nresistance = "100 Ω ±10 %"\ninductance = "1 H ±10 %"\n'
RELEASE = 'release_time = "50 ms"\nrelease_level = "50 mA"\n'


def test_loads_on_two_rails_feed_one_another_through_the_open_switch() -> None:
    """24 V at its most, 25.2 V, through 90 Ω and the valve's least 22 Ω or so into 12 V that may be absent."""
    made = situation(VALVE, HEATER.format(rail="V24"))
    valve = 12.6 / made.load("VALVE").largest.value
    passing = found(made, "Q1")["cross-feed"]
    assert passing.compared[0].demand == pytest.approx(25.2 / (90.0 + valve))
    assert passing.compared[0].capability == pytest.approx(1e-3 * (12.6 / valve + 25.2 / 90.0))
    assert passing.verdict is Verdict.FAILS


def test_what_one_rail_makes_of_another_is_there_with_it() -> None:
    """12 V into 5 V made of it: 5 V may be absent; 5 V into 12 V never, as there is no 5 V without 12 V."""
    made = situation(HEATER.format(rail="V5"), VALVE)
    valve = 12.6 / made.load("VALVE").largest.value
    high = made.rail("V5").largest.value
    heater = high / made.load("HEATER").largest.value
    assert made.facts("Q1")["passing_off"].value == pytest.approx(12.6 / (valve + heater))


def test_an_led_passes_current_only_one_way() -> None:
    """From a pin through the LED into an absent 12 V rail it does; from 12 V into the pin, or between LEDs, not."""
    led = situation(HEATER.format(rail="V12"), LAMP.format(feed=ON_PIN))
    own = led.quantity("D9", "current_max").value
    assert led.facts("Q1")["passing_off"].value == pytest.approx(5.2 / (5.2 / own + 90.0))
    second = LAMP.format(feed=ON_24).replace("D9", "D8")
    assert situation(LAMP.format(feed=ON_12), second).facts("Q1")["passing_off"].value is None
    assert situation(VALVE, LAMP.format(feed=ON_12)).facts("Q1")["passing_off"].value is None


def test_what_the_load_or_the_led_allows_counts_instead_of_a_thousandth() -> None:
    dark = LAMP.format(feed=ON_PIN) + 'dark_current = "20 µA"\n'
    made = situation(HEATER.format(rail="V12") + 'off_leakage = "50 µA"\n', dark)
    assert made.facts("Q1")["passing_limit"].value == pytest.approx(20e-6)


def test_a_logic_input_may_hold_its_current_and_takes_any() -> None:
    """The panel's 7 mA flow whatever stands between; pushed, its input is no resistance at all."""
    panel = '\n[load.HEATER]\nsort = "logic-input"\nrail = "V24"\ncurrent = "3..5..7 mA"\n'
    made = situation(VALVE, panel)
    valve = 12.6 / made.load("VALVE").largest.value
    assert made.facts("Q1")["passing_off"].value == pytest.approx(max(7e-3, 12.6 / valve))


def test_a_clamp_to_a_lower_rail_conducts_while_off() -> None:
    """Beside a load on 24 V the valve's diode to 12 V conducts; beside one on 5 V made of 12 V it blocks."""
    made = situation(VALVE, ACROSS_LOAD, HEATER.format(rail="V24"))
    blocked = found(made, "D1")["stays-blocked"]
    assert (blocked.compared[0].demand, blocked.compared[0].capability) == (pytest.approx(25.2), 0.0)
    assert blocked.verdict is Verdict.FAILS
    assert "stays-blocked" not in found(situation(VALVE, ACROSS_LOAD, HEATER.format(rail="V5")), "D1")
    assert "stays-blocked" not in found(situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_12)), "D1")
    assert made.facts("Q1")["passing_off"].value == pytest.approx(25.2 / 90.0)


def test_a_suppressor_stands_off_every_feed_of_the_node() -> None:
    """An LED on 24 V counts as much as a load."""
    made = situation(VALVE, ACROSS_SWITCH, LAMP.format(feed=ON_24), fitted={"D1": TVS})
    assert made.facts("D1")["standoff_rail"].value == pytest.approx(25.2)


def test_leakage_of_switch_and_suppressor_add() -> None:
    leak = 'off_leakage = "1 mA"\nrate = "1 /s"\n'
    made = situation(VALVE + leak, ACROSS_SWITCH + 'theta_ja = "50 K/W"\n', fitted={"D1": TVS})
    switch, clamp = made.quantity("Q1", "off_leakage_hot").value, made.quantity("D1", "leakage_hot").value
    assert found(made, "Q1")["off-leakage"].compared[0].demand == pytest.approx(switch + clamp)
    assert found(made, "D1")["leakage"].compared[0].demand == pytest.approx(switch + clamp)


# ---- turn-off through a clamp that belongs to another load


def test_a_coil_lets_go_only_against_what_the_clamp_that_conducts_leaves() -> None:
    """A coil on 24 V beside a diode to 12 V never lets go; one on 5 V beside a diode to the 12 V it is made of does."""
    made = situation(VALVE, ACROSS_LOAD, COIL_24 + RELEASE)
    assert made.facts("D1")["release_behind"].value == pytest.approx(25.2)
    assert found(made, "D1")["release-time"].verdict is Verdict.FAILS
    assert found(made, "D1")["release-time"].compared[0].demand == float("inf")
    made = situation(VALVE, ACROSS_LOAD, COIL_24.replace("V24", "V5") + RELEASE.replace("50 mA", "10 mA"))
    assert made.facts("D1")["release_behind"].value == pytest.approx(made.rail("V5").largest.value - 11.4)
    assert found(made, "D1")["release-time"].verdict in GOOD


def test_a_zener_to_another_rail_lets_go_against_what_is_left_with_that_rail_absent() -> None:
    """29.4 V of the pair less 25.2 V: 4.2 V against a coil that starts at 0.28 A.

    The valve on the lower rail holds it on all the same, through which it feeds that rail; without that, it lets go.
    """
    from partcheck.physics import coils

    made = situation(VALVE, PAIR, COIL_24 + RELEASE)
    state = made.load("HEATER")
    ohms, henry, amperes = state.resistance.value, state.inductance.value, state.largest.value
    left = drop_low(made, "D1") + drop_low(made, "D2") - 25.2
    assert found(made, "D1")["stays-blocked"].verdict in GOOD
    facts = made.facts("D2")
    assert facts["release_behind"].value == pytest.approx(25.2)
    assert facts["beside_behind"].value == pytest.approx(25.2 - 11.4)
    assert facts["beside_resistance"].value == pytest.approx(made.load("VALVE").resistance.value)
    assert found(made, "D2")["release-time"].compared[0].demand == float("inf")
    expected = henry / ohms * np.log((amperes * ohms + left) / (0.05 * ohms + left))
    beside = coils.decay_time_beside(henry, ohms, amperes, 0.05, left, 1e12, 0.0, 0.0)
    assert beside == pytest.approx(expected)


@pytest.mark.parametrize("rail", ["V12", "V24"])
def test_the_energy_that_a_clamp_takes_of_two_coils_on_two_rails(rail: str) -> None:
    """Against an integration of both currents into a clamp at its highest and at its lowest voltage."""
    from scipy.integrate import solve_ivp

    second = COIL_24.replace('"V24"', f'"{rail}"')
    made = situation(VALVE, PAIR, second)
    states = [(made.load(n), 12.6 if n == "VALVE" or rail == "V12" else 25.2) for n in ("VALVE", "HEATER")]
    partner = made.quantity("D2", "drop_low").value, made.quantity("D2", "drop_high").value

    def taken(drop: float) -> float:
        total = 0.0
        for state, top in states:
            against = drop - top if top > 12.6 else drop

            def slope(_: float, i: list[float], s: Any = state, v: float = against) -> list[float]:
                return [-(v + s.resistance.value * i[0]) / s.inductance.value]

            def gone(_: float, i: list[float], *__: Any) -> float:
                return i[0] - 1e-9

            gone.terminal = True  # type: ignore[attr-defined]
            ran = solve_ivp(slope, (0, 10), [state.largest.value], events=gone, max_step=1e-4, rtol=1e-8)
            total += drop * float(np.trapezoid(ran.y[0], ran.t))
        return total

    most = max(taken(v) for v in partner)
    assert most <= made.quantity("D2", "energy_pulse").value * 1.001


# ---- what is pushed into a rail


def rail(made: Situation, name: str) -> dict[str, Finding]:
    """The requirements of a rail, by id."""
    from partcheck.jobs.judge.place import judge_link

    role, facts = next((role, facts) for ref, role, facts in made.links() if ref == f"rail {name}")
    return {f.id: f for f in judge_link(made, f"rail {name}", role, facts).findings}


def test_a_lower_rail_is_pushed_up_unless_something_surely_draws_as_much() -> None:
    logic = TOP.replace('voltage = "5 V ±5 %"', 'voltage = "5 V ±5 %"\nlogic_current = "{0}..200 mA"')
    texts = HEATER.format(rail="V12") + LAMP.format(feed=ON_X5) + VALVE.replace('"V12"', '"X5"')
    for least, verdict in (("20", Verdict.FAILS), ("150", Verdict.MEETS)):
        text = logic.replace("{0}", least).replace("{loads}", '"HEATER", "VALVE", "D9"') + texts
        board = parse_board(text, Path("board.toml")).board
        made = Situation(board, {"Q1": MOSFET, "D9": LED, "U1": REGULATOR}, BENCH)
        valve = 5.25 / made.load("VALVE").largest.value
        pushed = rail(made, "X5")["back-feed"]
        assert pushed.compared[0].demand == pytest.approx(12.6 / (90.0 + valve))
        assert pushed.compared[0].capability == pytest.approx(float(least) * 1e-3)
        assert pushed.verdict is verdict


def test_a_rail_is_asked_only_where_something_can_push() -> None:
    assert "back-feed" not in rail(situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_12)), "V12")
    assert "back-feed" not in rail(situation(HEATER.format(rail="V24"), LAMP.format(feed=ON_12)), "V12")
    made = situation(HEATER.format(rail="V24"), LAMP.format(feed=ON_12))
    assert rail(made, "V24")["back-feed"].verdict is Verdict.FAILS  # through the LED while 24 V is absent


def test_a_coil_on_another_rail_pushes_through_a_clamp_as_the_switch_opens() -> None:
    made = situation(VALVE, ACROSS_LOAD, COIL_24)
    pushed = rail(made, "V12")["back-feed"].compared[0].demand
    assert pushed == pytest.approx(2 * made.load("HEATER").largest.value)  # 25.2 V / 90 Ω for long, and as it opens


# ---- loads that one direction suits


STRING = (
    '\n[load.HEATER]\nsort = "led-string"\nrail = "{rail}"\nforward_voltage = "3..4 V"\nresistance = "100 Ω ±5 %"\n'
)
INPUT = '\n[load.HEATER]\nsort = "logic-input"\nrail = "{rail}"\ncurrent = "1..2 mA"\n'
UNIT = '\n[load.HEATER]\nsort = "capacitive"\nrail = "{rail}"\ncurrent = "1..2 mA"\n'
CABLE = 'cable = { length = "5 m", wire = "0.5 mm²", inductance = "4 µH ±30 %", rating = "2 A" }\n'


def backwards(made: Situation) -> Finding | None:
    """What a load is asked of being driven backwards; None where it is not asked."""
    for name, role, facts in made.links():
        if name == "load HEATER":
            return next((f for f in judge_link(made, name, role, facts).findings if f.id == "reverse-voltage"), None)
    return None


@pytest.mark.parametrize("load", [STRING, INPUT, UNIT], ids=["string", "input", "electronics"])
def test_a_load_of_one_direction_is_asked_what_hangs_beside_it_does(load: str) -> None:
    """As an indicator in its place would be, against what the load states that it bears."""
    stated = load + 'reverse_limit = "5 V"\n'
    beside = situation(VALVE, ACROSS_LOAD, stated.format(rail="V12"))
    led = situation(VALVE, ACROSS_LOAD, LAMP.format(feed=ON_12))
    one = backwards(beside)
    assert one is not None and one.verdict in GOOD
    assert one.compared[0].demand == pytest.approx(reverse(led))
    zener = backwards(situation(VALVE, PAIR, stated.format(rail="V12")))
    assert zener is not None and zener.verdict is Verdict.FAILS
    other = backwards(situation(VALVE, ACROSS_LOAD, stated.format(rail="X5")))
    assert other is not None and other.verdict is Verdict.FAILS and other.compared[0].demand > 7


def test_without_a_limit_it_is_unproven_and_names_it() -> None:
    one = backwards(situation(VALVE, ACROSS_LOAD, STRING.format(rail="V12")))
    assert one is not None and one.verdict is Verdict.UNPROVEN and "HEATER.reverse_limit" in one.story.missing


def test_what_nothing_can_drive_backwards_is_not_asked() -> None:
    assert backwards(situation(STRING.format(rail="V12"))) is None
    assert backwards(situation(INPUT.format(rail="V12"), CABLE)) is None
    assert backwards(situation(HEATER.format(rail="V24"), LAMP.format(feed=ON_5))) is None  # a heater has no direction
    # what hangs on a lower feed leaves it as it is
    low = backwards(situation(STRING.format(rail="V12"), LAMP.format(feed=ON_5)))
    assert low is None or low.verdict in GOOD


def test_leds_on_a_cable_are_asked_for_the_wave_on_it() -> None:
    one = backwards(situation(STRING.format(rail="V12"), CABLE))
    assert one is not None and one.verdict is Verdict.UNPROVEN and one.compared[0].demand > 5
