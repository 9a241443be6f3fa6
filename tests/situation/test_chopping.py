"""One drive has one signal: whatever hangs on it is chopped together, and switched off as often."""

from pathlib import Path
from typing import Any

import pytest

from partcheck.board.read import parse_board
from partcheck.policy import BENCH
from partcheck.situation.chopping import chopping_of, rate_of
from partcheck.situation.situation import Situation
from partcheck.units import Span

CHOPPED = 'chopped = { frequency = "1 kHz", duty = "0.2..0.3..0.5" }'
BOARD = """
format = 1
name = "test"
[surroundings]
ambient = "0..45 °C"
[rail.V12]
voltage = "12 V ±5 %"
[drive.one]
high = "4.5..5..5.2 V"
low = "0..0.4 V"
source_resistance = "20..50 Ω"
[drive.two]
high = "4.5..5..5.2 V"
low = "0..0.4 V"
source_resistance = "20..50 Ω"
[load.coil]
sort = "coil"
rail = "V12"
resistance = "60 Ω ±5 %"
inductance = "10 mH ±20 %"
{coil}
[load.beside]
sort = "resistive"
rail = "V12"
current = "0.1..0.2 A"
{beside}
[load.far]
sort = "resistive"
rail = "V12"
current = "0.1..0.2 A"
[role.Q1]
role = "npn-sink"
drive = "one"
load = ["coil", "D1"]
base_resistor = "1 kΩ ±5 %"
[role.Q2]
role = "mosfet-switch"
drive = "one"
load = ["beside"]
[role.Q3]
role = "mosfet-switch"
drive = "two"
load = ["far", "D3"]
[role.D1]
role = "indicator"
rail = "V12"
switch = "Q1"
resistor = "1 kΩ ±5 %"
[role.D2]
role = "indicator"
drive = "one"
resistor = "1 kΩ ±5 %"
{fed}
[role.D3]
role = "indicator"
drive = "one"
switch = "Q3"
resistor = "1 kΩ ±5 %"
{both}
"""


def situation(**texts: str) -> Situation:
    """The board above with lines put into some of its tables."""
    text = BOARD
    for place in ("coil", "beside", "fed", "both"):
        text = text.replace("{" + place + "}", texts.get(place, ""))
    return Situation(parse_board(text, Path("test.toml")).board, {}, BENCH)


def test_nothing_is_chopped_where_nothing_says_so() -> None:
    plain = situation()
    assert all(chopping_of(plain, name) is None for name in ("coil", "beside", "far", "D1", "D2", "D3"))
    assert plain.load("beside").duty == (1.0, 1.0, 1.0)


@pytest.mark.parametrize("place", ["coil", "beside", "fed"])
def test_what_shares_a_drive_is_chopped_with_it(place: str) -> None:
    """Beside it on one switch, behind another switch, or fed by the output itself."""
    made = situation(**{place: CHOPPED})
    for name in ("coil", "beside", "D1", "D2"):
        found = chopping_of(made, name)
        assert found is not None
        assert (found.frequency, found.duty) == (1000.0, Span(0.2, 0.3, 0.5))
    assert chopping_of(made, "far") is None


def test_the_switch_of_such_a_load_is_judged_as_chopped() -> None:
    made = situation(coil=CHOPPED)
    for ref in ("Q1", "Q2"):
        facts = made.facts(ref)
        assert (facts["switch_frequency"].value, facts["on_duty"].value) == (1000.0, 0.5)
    assert made.load("far").frequency == 0.0
    assert made.facts("Q3")["on_duty"].value == 1.0


def test_an_indicator_beside_a_chopped_coil_gives_less_light_and_takes_pulses() -> None:
    facts = situation(coil=CHOPPED).facts("D1")
    light = [facts[f"light_duty_{end}"].value for end in ("min", "typ", "max")]
    assert light == [0.2, 0.3, 0.5]
    assert (facts["chopped_duty"].value, facts["pulse_width"].value) == (0.5, pytest.approx(0.5e-3))


def test_what_two_drives_let_on_is_on_while_both_are() -> None:
    """D3 is fed by one drive and pulled by the switch of another: 0.2..0.5 of the time, and perhaps never."""
    found = chopping_of(situation(coil=CHOPPED), "D3")
    assert found is not None and found.duty == Span(0.2, 0.3, 0.5)
    made = situation(coil=CHOPPED).board
    load = made.load["far"].model_copy(update={"chopped": made.load["coil"].chopped})
    both = Situation(made.model_copy(update={"load": {**made.load, "far": load}}), {}, BENCH)
    found = chopping_of(both, "D3")
    assert found is not None and found.duty == Span(0.0, pytest.approx(0.09), 0.5)


def test_an_indicator_on_two_drives_does_not_prove_that_either_is_chopped() -> None:
    """Its chopping may be the other drive's: the edges count, the current still counts without a break."""
    found = chopping_of(situation(both=CHOPPED), "far")
    assert found is not None and (found.frequency, found.duty.max) == (1000.0, 1.0)


def test_what_a_load_states_itself_stands() -> None:
    other = 'chopped = { frequency = "1 kHz", duty = "0.3..0.4" }'
    made: Any = situation(coil=CHOPPED, beside=other)
    assert made.load("coil").duty == (0.2, 0.3, 0.5)
    assert made.load("beside").duty == (0.3, pytest.approx(0.35), 0.4)
    assert chopping_of(made, "D2").duty == Span(0.2, 0.3, 0.5)


def test_a_drive_turns_all_its_loads_off_as_often() -> None:
    made = situation(coil='rate = "2 1/s"', fed='rate = "5 1/s"')
    assert [rate_of(made, name) for name in ("coil", "beside", "D1", "far")] == [5.0, 5.0, 5.0, None]
