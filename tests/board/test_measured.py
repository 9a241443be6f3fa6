"""A measured winding: the meter's tolerance instead of the datasheet's spread, brought to 20 °C by copper's coefficient."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from partcheck.board import parse_board
from partcheck.board.measured import METER, THERMOMETER, measured_span, told
from partcheck.errors import BoardError
from partcheck.physics.coils import winding_resistance
from partcheck.policy import POLICIES
from partcheck.situation import Situation
from tests.command import BOARD, Ran, run
from tests.project.test_bad_input import BOARD_TEXT

Runner = Callable[..., Ran]
HERE = Path("board.toml")
K0 = 273.15


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run(monkeypatch, capsys, *words)


def board(reading: str, before: str = 'resistance = "24 Ω ±5 %"') -> str:
    assert BOARD_TEXT.count(before) == 1
    return BOARD_TEXT.replace(before, f'measured = "{reading}"')


def test_copper_at_another_temperature() -> None:
    """Annealed copper: R = R20·(1 + 0.00393·(T − 20 °C)), so 100 Ω at 70 °C is 100/1.1965 = 83.577 Ω at 20 °C (IEC 60028, from memory)."""
    span = measured_span("100 Ω ±1 % at 70..70 °C")
    assert span.typ == pytest.approx(83.577, abs=1e-3)
    assert (span.min, span.max) == pytest.approx((0.99 * 83.577, 1.01 * 83.577), abs=1e-3)
    assert winding_resistance(span.typ, 70 + K0) == pytest.approx(100)


@pytest.mark.parametrize(
    "reading",
    ["48.2 Ω at 23 °C", "48.2 Ω ±0.5 % at 23 °C", "48.2 Ω at 21..25 °C", "48.2 Ω ±1 % @ 23 °C", "48..49 Ω at -10 °C"],
)
def test_every_true_winding_lies_inside(reading: str) -> None:
    """Whatever the meter and the thermometer were off by, the winding at 20 °C is inside the range; the ends are reached."""
    value, _, at = reading.replace("@", "at").partition(" at ")
    low, high = (48.0, 49.0) if ".." in value else (48.2, 48.2)
    share = 0.005 if "0.5" in value else 0.01 if "±1" in value else 0.0 if ".." in value else METER
    middle = float(at.split("..")[0].split()[0]) if ".." not in at else 23.0
    off = THERMOMETER if ".." not in at else 2.0
    ends = [
        shown * (1 + sign * share) / (1 + 0.00393 * (middle + warmer * off - 20))
        for shown, sign in ((low, -1), (high, 1))
        for warmer in (-1, 0, 1)
    ]
    span = measured_span(reading)
    assert span.min == pytest.approx(min(ends)) and span.max == pytest.approx(max(ends))


@pytest.mark.parametrize(("reading", "said"), [
    ("48.2 Ω", "as in '48.2 Ω ±0.5 % at 23 °C'"),
    ("48.2 at 23", "48.2 Ω"),
    ("48.2 V at 23 °C", "V"),
    ("48.2 Ω at 230 °C", "out of range"),
    ("48.2 Ω at -100 °C", "out of range"),
    ("4.2 Ω at 23 °C", "the leads count"),
    ("0 Ω ±1 % at 23 °C", "out of range"),
])  # fmt: skip
def test_what_is_no_reading_is_one_sentence(reading: str, said: str) -> None:
    if reading == "48.2 at 23":  # bare numbers are SI, as everywhere
        assert measured_span(reading).typ == pytest.approx(48.2 / (1 + 0.00393 * 3))
        return
    with pytest.raises(BoardError) as slip:
        parse_board(board(reading), HERE)
    assert (
        said in str(slip.value) and "board.toml:15: load.valve.measured" in str(slip.value) and not slip.value.details
    )


def test_both_is_refused() -> None:
    text = BOARD_TEXT.replace('resistance = "24 Ω ±5 %"', 'resistance = "24 Ω ±5 %"\nmeasured = "24 Ω at 20 °C"')
    with pytest.raises(BoardError, match="state resistance or measured, not both"):
        parse_board(text, HERE)
    with pytest.raises(BoardError, match="resistance: is missing"):
        parse_board(BOARD_TEXT.replace('resistance = "24 Ω ±5 %"\n', ""), HERE)


def test_the_words_say_what_was_taken() -> None:
    assert told("48.2 Ω at 23 °C") == "measured 48.2 Ω at 23 °C, meter ±2 % taken, ±2 K taken"
    assert told("48.2 Ω ±0.5 % at 22..24 °C") == "measured 48.2 Ω ±0.5 % at 22..24 °C"


@pytest.fixture
def measured(tmp_path: Path) -> Path:
    """The sample with its first valve measured."""
    text = BOARD.read_text(encoding="utf-8").replace('resistance = "36 Ω ±8 %"', 'measured = "35 Ω ±1 % at 23 °C"', 1)
    text = text.replace('parts = ["."]', f"parts = [{json.dumps(str(BOARD.parent))}]")
    path = tmp_path / "measured.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_explanation_says_so(command: Runner, measured: Path) -> None:
    parts = ("--parts", BOARD.parent)
    for words in (("explain", measured, "Q1"), ("explain", measured, "D1"), ("vet", measured, "FV1", "--json")):
        out = " ".join(command(*words, *parts).out.split())
        assert "measured 35 Ω ±1 % at 23 °C" in out, words
    assert "measured" in command("check", measured, *parts).out, "what is not judged: other pieces"


def test_a_change_of_the_resistance_is_one_of_the_measured_value(command: Runner, measured: Path) -> None:
    record = json.loads(command("vet", measured, "FV1", "--resistance", "30 Ω", "--parts", BOARD.parent, "--json").out)
    changed = json.dumps(record["changes"], ensure_ascii=False)
    assert "load.FV1.measured" in changed and "at 20..20 °C" in changed, changed
    heavier = json.loads(command("vet", measured, "FV1", "--current", "0.5 A", "--parts", BOARD.parent, "--json").out)
    assert "load.FV1.measured" in json.dumps(heavier["changes"])


@pytest.mark.apart
def test_a_limit_is_told_as_the_file_has_to_state_it(command: Runner, measured: Path) -> None:
    out = command("limits", measured, "--parts", BOARD.parent, "--json").out
    mine = dict(re.findall(r'"key": "(load\.FV1\.\w+)",\s*"value": "([^"]*)"', out))
    assert "load.FV1.resistance" not in mine
    span = measured_span(mine["load.FV1.measured"])
    assert 0 < span.min < span.typ < span.max


@pytest.mark.parametrize(
    ("load", "least"),
    [
        # copper at 5 °C: 1 + 0.00393·(5 − 20) of the 20 °C that 30 Ω ±1 % at 20 °C says
        (
            'sort = "motor"\ncurrent = "0.2..0.3 A"\nstall_current = "1 A"\ninductance = "2 mH ±30 %"',
            29.7 * (1 - 0.00393 * 15),
        ),
        ('sort = "resistive"', None),
    ],
)
def test_a_motor_and_a_heater_may_be_measured(load: str, least: float | None) -> None:
    """The motor's winding is cold in cold air; the heater draws what the reading says at every temperature."""
    text = f"""format = 1
name = "x"
[surroundings]
ambient = "5..40 °C"
[rail.V12]
voltage = "12..12 V"
[load.it]
rail = "V12"
measured = "30 Ω ±1 % at 20..20 °C"
{load}
[drive.OUT]
high = "5..5 V"
low = "0..0 V"
high_at = "4 mA"
[role.Q1]
role = "mosfet-switch"
fitted = "X"
drive = "OUT"
load = "it"
"""
    board = parse_board(text, HERE).board
    state = Situation(board, {}, POLICIES["bench"]).load("it")
    noted = "it.resistance: measured 30 Ω ±1 % at 20..20 °C"
    if least is not None:
        assert state.resistance.value == pytest.approx(least) and state.resistance.assumed == (noted,)
    else:
        assert state.largest.value == pytest.approx(12 / 29.7) and state.largest.assumed == (noted,)
    with pytest.raises(BoardError, match="not both"):
        parse_board(text.replace("measured =", 'resistance = "30 Ω ±5 %"\nmeasured ='), HERE)
