"""One question with no board file: the answer is that of a board, what was assumed is told, errors name the option."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from partcheck.cli.ask import interview
from partcheck.jobs.ask.ask import ask
from partcheck.jobs.ask.topics import TOPICS
from partcheck.requirement import Verdict
from tests.command import SAMPLES, Ran, run
from tests.schemas import follows_the_schema

Runner = Callable[..., Ran]
VALVE = {"voltage": "12 V", "resistance": "24 Ω", "inductance": "60 mH", "drive": "5 V"}
LINES: dict[str, dict[str, str]] = {
    "mosfet": {**VALVE, "part": "TALQ-30N52", "diode": "ARFJ-S60A", "gate-resistor": "1.5 kΩ", "pulldown": "100 kΩ"},
    "npn": {
        **VALVE,
        "part": "KEST-N40L",
        "resistance": "220 Ω",
        "diode": "JUNI-W100",
        "base-resistor": "1.5k",
        "base-emitter-resistor": "10k",
    },
    "led": {"part": "HOLL-3A60", "voltage": "12V", "resistor": "2k7"},
    "regulator": {
        "part": "ARFJ-L50C",
        "input": "12 V",
        "output": "5 V",
        "current": "20..50 mA",
        "output-capacitor": "22 µF",
        "output-esr": "0.5..1 Ω",
    },
    "diode": {"part": "ARFJ-S60A", "voltage": "12 V", "current": "0.5 A", "mosfet": "TALQ-30N52"},
    "terminal": {"part": "PELL-508-2", "voltage": "24 V", "current": "5 A", "wire": "0.75 mm2"},
}


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run(monkeypatch, capsys, *words)


def options(given: dict[str, str]) -> list[str]:
    words = [given["part"]] if "part" in given else []
    for name, text in given.items():
        words += [f"--{name}", text] if name != "part" else []
    return [*words, "--parts", str(SAMPLES)]


def test_every_topic_is_tried_here() -> None:
    assert set(LINES) == set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_one_line_answers_and_leaves_the_board_that_it_judged(command: Runner, tmp_path: Path, topic: str) -> None:
    board, page, log = tmp_path / "a" / "start.toml", tmp_path / "a.html", tmp_path / "a.md"
    board.parent.mkdir()
    words = ["ask", topic, *options(LINES[topic]), "--write", str(board), "--html", str(page), "--markdown", str(log)]
    ran = command(*words)
    assert ran.code == 0 and ran.out.startswith("Yes"), ran
    assert "## Assumed, as it was not stated" in log.read_text("utf-8") and "Yes" in page.read_text("utf-8")
    answer = json.loads(command(*words, "--force", "--json").out)
    follows_the_schema(answer)
    again = json.loads(command("check", board, "--json").out)
    judged = {place["reference"]: place["verdict"] for place in (*again["places"], *again["links"])}
    for place in answer["places"]:
        assert judged[place["reference"]] == place["verdict"], place["reference"]
    text = board.read_text("utf-8")
    assert answer["supposed"] and f'"{tmp_path}' not in text
    for supposed in answer["supposed"]:
        assert supposed["option"] in ran.out
        if supposed["value"] != "none" and supposed["option"] != "--load":
            assert any(supposed["value"] in line and "# assumed" in line for line in text.splitlines()), supposed


def test_the_board_that_is_left_names_the_policy_it_was_judged_by(command: Runner, tmp_path: Path) -> None:
    policy, board = tmp_path / "own.toml", tmp_path / "start.toml"
    policy.write_text(
        'name = "own"\nsource = "a note"\nbase = "bench"\nvalues = { tight = "30 %" }\n', encoding="utf-8"
    )
    words = ["ask", "mosfet", *options(LINES["mosfet"]), "--policy", policy, "--write", board, "--json"]
    asked = json.loads(command(*words).out)
    assert asked["places"][0]["verdict"] == "tight" and asked["policy"] == "own"
    assert board.read_text("utf-8").endswith("\n") and 'policy = "own.toml"' in board.read_text("utf-8")
    again = json.loads(command("check", board, "--json").out)
    assert again["policy"] == asked["policy"] and again["places"][0]["verdict"] == "tight"


@pytest.mark.parametrize("topic", TOPICS)
def test_without_a_part_it_tells_what_would_do(command: Runner, topic: str) -> None:
    given = {name: text for name, text in LINES[topic].items() if name != "part"}
    ran = command("ask", topic, *options(given), "--json")
    answer = json.loads(ran.out)
    assert answer["candidates"] and ran.code == 0 and "part" not in answer["supposed"]
    best = answer["candidates"][0]["part_number"]
    named = json.loads(command("ask", topic, best, *options(given), "--json").out)
    assert named["places"][0]["verdict"] == answer["candidates"][0]["verdict"]


def test_the_answer_is_that_of_a_board_written_by_hand(tmp_path: Path) -> None:
    """The same channel as a person would write it down, with the same tolerances."""
    from partcheck.jobs.check.board import check
    from partcheck.jobs.judge.setup import open_setup

    board = tmp_path / "own.toml"
    board.write_text(
        """
format = 1
name = "own"
surroundings = { ambient = "0..50 °C" }
rail.V12 = { voltage = "11.4..12.6 V" }
drive.P1 = { high = "4.75..5.25 V", low = "0..0.2 V", source_resistance = "0..100 Ω", pin_current = "20 mA" }
load.FV = { sort = "coil", rail = "V12", resistance = "21.6..26.4 Ω", inductance = "48..72 mH", rate = "1 /s" }
role.Q1 = { role = "mosfet-switch", fitted = "TALQ-30N52", drive = "P1", load = "FV", gate_resistor = "1425..1575 Ω", pulldown = "95..105 kΩ" }
role.D1 = { role = "clamp", fitted = "ARFJ-S60A", load = "FV" }
""",
        encoding="utf-8",
    )
    own = check(open_setup(board, [SAMPLES]))
    asked = ask(TOPICS["mosfet"], LINES["mosfet"], [SAMPLES])
    for mine, theirs in zip(asked.places, own.places, strict=True):
        assert mine.ref == theirs.ref
        for one, other in zip(mine.findings, theirs.findings, strict=True):
            assert (one.id, one.verdict) == (other.id, other.verdict)
            assert one.headroom == pytest.approx(other.headroom, rel=1e-6, nan_ok=True), one.id


def test_a_part_that_fails_ends_with_1_and_says_what_would_help(command: Runner) -> None:
    ran = command("ask", "mosfet", *options({**LINES["mosfet"], "voltage": "36 V", "resistance": "72 Ω"}))
    assert ran.code == 1 and ran.out.startswith("No: TALQ-30N52") and "These would do too: " in ran.out
    assert "drain-voltage" in ran.out.partition("Asked:")[0]


def test_a_diode_that_fails_beside_a_part_that_does_is_not_passed(command: Runner) -> None:
    ran = command("ask", "mosfet", *options({**LINES["mosfet"], "diode": "JUNI-W100", "resistance": "8 Ω"}))
    assert ran.code == 1 and "Beside it: JUNI-W100 as D1 does not meet" in ran.out


def test_an_led_that_would_stay_dark_is_not_passed(command: Runner) -> None:
    ran = command("ask", "led", *options({**LINES["led"], "voltage": "2 V", "in-series": "3"}))
    assert ran.code == 1 and "least-current" in ran.out


def test_a_diode_whose_switch_is_not_known_says_which_option_names_it(command: Runner) -> None:
    ran = command("ask", "diode", *options({"part": "KEST-R100", "voltage": "12 V", "resistance": "24 Ω"}))
    assert ran.code == 3 and "state --mosfet" in ran.out.partition("Asked:")[0].replace("\n", " ")


def test_a_coil_stated_by_its_current_has_the_resistance_of_its_label() -> None:
    found = ask(
        TOPICS["mosfet"], {"voltage": "12 V", "current": "0.5 A", "drive": "5 V", "diode": "ARFJ-S60A"}, [SAMPLES]
    )
    load = found.situation.board.load["LOAD1"]
    assert load.resistance.typ == 24 and (load.resistance.min, load.resistance.max) == pytest.approx(
        (12 / 0.55, 12 / 0.45), rel=1e-3
    )  # type: ignore[union-attr]
    assert any(s.option == "--resistance" and "0.5 A" in s.why for s in found.supposed)


WRONG: list[tuple[dict[str, str], str]] = [
    ({"voltage": "1,5V"}, "--voltage: '1,5V' is not a voltage in V: a comma is not a decimal point; write 1.5V"),
    ({"voltage": "150 V"}, "--voltage: 150 V is out of range: allowed is 500 mV to 120 V"),
    ({"resistance": "24 V"}, "--resistance: '24 V' is not a resistance"),
    ({"current": "1 A"}, "--current and --resistance state the same load"),
    ({"diode": "ARFJ-S60"}, "--diode: there is no diode 'ARFJ-S60'"),
    ({"diode": "none", "tvs": "NOTHING"}, "--tvs: there is no diode 'NOTHING'"),
    ({"part": "KEST-N40L"}, "PART: KEST-N40L is a bipolar transistor"),
    ({"drive": "0.15 V"}, "--drive: the least high level"),
    ({"drive": "none"}, "--drive '5 V'"),
    ({"load": "turbine"}, "--load: 'turbine' is not known"),
    ({"load": "heater"}, "--inductance does not belong to a resistor"),
    ({"stall-current": "2 A"}, "does not belong to a motor"),
    ({"duty": "0.5"}, "--duty needs --frequency"),
    ({"rate": "1 /s", "frequency": "4 kHz"}, "--rate and --frequency"),
    ({"ambient": "5 °C .."}, "--ambient: "),
    ({"gate-resistor": ""}, "--gate-resistor: is empty"),
    ({"theta": "90 V"}, "--theta: "),
]


@pytest.mark.parametrize(("changed", "said"), WRONG, ids=lambda value: str(value)[:30])
def test_an_error_names_the_option_as_it_was_typed(command: Runner, changed: dict[str, str], said: str) -> None:
    ran = command("ask", "mosfet", *options({**LINES["mosfet"], **changed}))
    assert ran.code == 2 and not ran.out and said in ran.err, ran
    assert len(ran.err.splitlines()) == 1
    assert not any(key in ran.err for key in ("gate_resistor", "rail.", "LOAD1", "role.Q1", "theta_ja", ".toml"))


def test_a_script_is_told_what_is_missing_and_nobody_is_asked(command: Runner) -> None:
    assert (
        "needs --current '0.5 A' (or --resistance) and --drive '5 V'"
        in command("ask", "mosfet", "--voltage", "5 V").err
    )
    ran = command("ask")
    assert ran.code == 2 and all(name in ran.err for name in TOPICS)


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> list[str]:
    """A person at the terminal; the prompts are kept."""
    prompts: list[str] = []
    answers = iter(lines)

    def ask_(prompt: str) -> str:
        prompts.append(prompt)
        from partcheck.cli.catalog.form.screen import Back, Finish

        line = next(answers)
        if line in "<!" and line:
            raise Back if line == "<" else Finish
        return line

    monkeypatch.setattr(interview, "at_terminal", lambda: True)
    monkeypatch.setattr(interview, "ask", ask_)
    return prompts


def test_on_a_terminal_a_channel_takes_fewer_than_twenty_answers(
    command: Runner, monkeypatch: pytest.MonkeyPatch
) -> None:
    stated = ("TALQ-30N52", "valve", "12 V", "24 Ω", "60 mH", "ARFJ-S60A", "5 V", "1.5 kΩ", "100 kΩ")
    prompts = typed(monkeypatch, *stated, *[""] * 30)
    ran = command("ask", "mosfet", "--parts", SAMPLES)
    assert ran.code == 0 and "Yes: TALQ-30N52" in ran.out
    assert len(prompts) < 20 and max(map(len, prompts)) < 80
    assert any("[0..50 °C, assumed]" in prompt for prompt in prompts)


def test_a_wrong_answer_is_asked_again_and_a_mistake_is_taken_back(
    command: Runner, monkeypatch: pytest.MonkeyPatch
) -> None:
    prompts = typed(monkeypatch, "HOLL-3A60", "?", "12 A", "24 V", "<", "12 V", "none", "2k7", "!")
    ran = command("ask", "led", "--parts", SAMPLES)
    assert ran.code == 0 and "'12 A' is not a voltage" in ran.out and "as '2.7 kΩ'" in ran.out, ran
    assert sum(prompt.startswith("Supply") for prompt in prompts) == 4


def test_what_was_given_is_not_asked_for(command: Runner, monkeypatch: pytest.MonkeyPatch) -> None:
    prompts = typed(monkeypatch, "")
    assert command("ask", "led", *options(LINES["led"])).code == 0 and not prompts


def test_a_file_that_is_there_stays(command: Runner, tmp_path: Path) -> None:
    board = tmp_path / "mine.toml"
    board.write_text("kept")
    ran = command("ask", "led", *options(LINES["led"]), "--write", board)
    assert ran.code == 2 and "--force" in ran.err and board.read_text() == "kept"


def test_without_a_pulldown_it_is_asked_whether_the_output_is_ever_undriven() -> None:
    bare = {name: text for name, text in LINES["mosfet"].items() if name != "pulldown"}
    told = {
        words: ask(TOPICS["mosfet"], bare | ({"undriven": words} if words else {}), [SAMPLES]).places[0]
        for words in ("", "yes", "never")
    }
    assert [place.verdict for place in told.values()] == [Verdict.UNPROVEN, Verdict.FAILS, Verdict.MEETS]


@pytest.mark.parametrize("topic", TOPICS)
def test_every_option_is_read_and_every_key_is_one_of_the_format(topic: str) -> None:
    """A value for every question that is asked together with those of the line: all of them land in the board."""
    given: dict[str, Any] = dict(LINES[topic])
    for question in TOPICS[topic].questions:
        stated = question.name in given or (question.name == "resistance" and "current" in given)
        if not stated and question.wanted(given) and question.example != "PART":
            given[question.name] = question.example
    if topic == "regulator":
        given |= {"upper-resistor": "240 Ω", "lower-resistor": "720 Ω"}
    given = {name: text for name, text in given.items() if not (name == "rate" and "frequency" in given)}
    found = ask(TOPICS[topic], given, [SAMPLES])
    assert found.verdict in Verdict
    text = found.setup.board_file.text
    for name, value in given.items():
        if name not in ("load", "current", "across"):
            assert value in text, name


def test_a_value_that_cannot_stand_comes_before_what_is_not_stated(command: Runner) -> None:
    ran = command("ask", "mosfet", "--voltage", "24 VAC", "--parts", SAMPLES)
    assert ran.code == 2 and "--voltage: '24 VAC' is not a voltage" in ran.err and "as well" not in ran.err


@pytest.mark.parametrize(("topic", "left_out", "changed", "requirement"), [
    ("mosfet", "gate-resistor", {}, "gate-peak"),
    ("led", "resistor-power", {"voltage": "24 V", "resistor": "3.3 kΩ"}, "resistor-power"),
])  # fmt: skip
def test_what_was_left_out_and_makes_it_fail_is_named_with_a_value_that_is_enough(
    command: Runner, topic: str, left_out: str, changed: dict[str, str], requirement: str
) -> None:
    line = {name: text for name, text in LINES[topic].items() if name != left_out} | changed
    asked = ask(TOPICS[topic], line, [SAMPLES])
    assert asked.part is not None and requirement in [f.id for f in asked.part.with_verdict(Verdict.FAILS)]
    (enough,) = asked.enough
    assert (enough.option, enough.requirement) == (f"--{left_out}", requirement)
    again = ask(TOPICS[topic], line | {left_out: enough.value}, [SAMPLES])
    assert again.part is not None and requirement not in [f.id for f in again.part.with_verdict(Verdict.FAILS)]
    out = " ".join(command("ask", topic, *options(line)).out.split())
    assert f"To do: state --{left_out}, {enough.taken} was assumed: '{enough.value}' is enough for {requirement}" in out
    assert "no one circuit value" not in out.partition("Asked:")[0]
    assert not again.enough


def test_what_cannot_be_asked_about_is_told_with_what_can(command: Runner) -> None:
    assert "'mosfat' is not what can be asked about; did you mean mosfet?" in command("ask", "mosfat").err
    assert "write one of mosfet, npn, led" in command("ask", "pump").err
    assert command("ask", "pump").code == 2
