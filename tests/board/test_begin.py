"""Boards begun by questions, from templates, and channels added: scripted sessions, line by line, as a person types them."""

import builtins
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from partcheck.board import parse_board, read_board
from partcheck.jobs.boards.board_drafts import kept, place_of
from partcheck.jobs.boards.dialog import questions
from partcheck.jobs.boards.templates import TEMPLATES
from tests.command import BOARD, SAMPLES, Ran, run

Line = str | Callable[[], Any]
Type = Callable[..., Ran]
SIXTEEN = SAMPLES / "sixteen-valves.toml"

HEAD = ["filling line", str(SAMPLES), "", "12 V ±5 %", "5 A", "", ""]
"""Name, parts, ambient, a supply and its current, no further supply, the usual logic."""
VALVES = ["FV1", "8", "valve", "", "36 Ω ±8 %", "60 mH ±20 %", "", "3 m", "0.75 mm²", "", "TALQ-30N52", "470 Ω", "100 kΩ ±5 %",
          "ARFJ-S60A", "HOLL-3A60", "2.7 kΩ ±5 %", "J1"]  # fmt: skip
END = ["", "", "", ""]
"""No further load, no indicator, no regulator; write."""


@pytest.fixture
def typing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Type:
    """Run a command while somebody types; a function among the lines is called instead; then the input ends."""
    monkeypatch.setenv("PARTCHECK_CATALOG", str(tmp_path / "none.sqlite"))
    monkeypatch.chdir(tmp_path)

    def session(words: Iterable[object], lines: Iterable[Line] = ()) -> Ran:
        waiting = list(lines)

        def answer(prompt: str = "") -> str:
            print(prompt, end="")
            while waiting and callable(waiting[0]):
                waiting.pop(0)()  # type: ignore[operator]
            if not waiting:
                raise EOFError
            line = waiting.pop(0)
            print(line)
            assert isinstance(line, str)
            return line

        monkeypatch.setattr(builtins, "input", answer)
        made = run(monkeypatch, capsys, "board", *words)
        assert not waiting, f"not asked for: {waiting}"
        return made

    return session


def stated(path: Path | str) -> dict[str, Any]:
    return read_board(path).stated


def test_a_whole_session_makes_a_board_that_meets(typing: Type, tmp_path: Path) -> None:
    ran = typing(["new", "line.toml"], [*HEAD, *VALVES, *END])
    assert ran.code == 0 and "line.toml written: 8 loads, 25 places" in ran.out, ran
    made = stated("line.toml")
    assert made["name"] == "filling line" and made["rail"]["V12"] == {"voltage": "12 V ±5 %", "current": "5 A"}
    assert made["load"]["FV8"] == {
        "sort": "coil", "rail": "V12", "resistance": "36 Ω ±8 %", "inductance": "60 mH ±20 %", "rate": "1 /s",
        "cable": {"length": "3 m", "wire": "0.75 mm²"},
    }  # fmt: skip
    assert made["role"]["Q8"]["load"] == ["FV8", "D16"] and made["role"]["D16"]["switch"] == "Q8"
    text = Path("line.toml").read_text(encoding="utf-8")
    assert '"470 Ω ±5 %"  # ±5 % assumed' in text and 'resistance = "36 Ω ±8 %"\n' in text
    assert len(text.splitlines()) < 90 and not place_of(tmp_path / "line.toml").exists()
    code = typing(["list", "line.toml", "--json"]).code
    assert code == 0


def test_nothing_but_enter_makes_no_board_and_says_why(typing: Type) -> None:
    ran = typing(["new"], [""] * 8)
    assert "There is no board yet: neither a supply nor a load is stated yet" in " ".join(ran.out.split())
    assert not Path("board.toml").exists()


@pytest.mark.parametrize(("wrong", "said"), [
    ("12 A", "'A' belongs to a current"), ("300 V", "out of range"), ("a lot", "does not start with a number"),
])  # fmt: skip
def test_what_cannot_stand_is_said_at_once_and_asked_again(typing: Type, wrong: str, said: str) -> None:
    ran = typing(["new", "x.toml"], ["x", "", "", wrong, "12 V ±5 %", "."])
    out = " ".join(ran.out.split())
    assert said in out
    assert out.count("Voltage of the supply") == 2
    assert kept(Path("x.toml"))["supply.1.voltage"] == "12 V ±5 %"


def test_a_part_number_that_is_a_value_is_questioned(typing: Type) -> None:
    ran = typing(["new", "x.toml"], [*HEAD, *VALVES[:10], "470 Ω", "."])
    assert "'470 Ω' is a value, not a part number (part that switches it)" in " ".join(ran.out.split())


def test_a_folder_of_parts_has_to_be_there(typing: Type) -> None:
    ran = typing(["new", "x.toml"], ["x", "nowhere", str(SAMPLES), "."])
    assert "there is no 'nowhere' beside x.toml" in " ".join(ran.out.split())
    assert kept(Path("x.toml"))["board.parts"] == str(SAMPLES)


def test_every_question_explains_itself_and_can_be_skipped(typing: Type) -> None:
    """Each question of a channel is explained by ?, and each is answered by Enter; what is needed is asked again."""
    lines = [*["?", ""] * 3, "12 V ±5 %", "", "", "", "PT1", "", "coil", *["?", ""] * 4, *[""] * 9, "36 Ω", *END]
    ran = typing(["new", "x.toml"], lines)
    assert ran.out.count("such as: ") >= 6
    made = stated("x.toml")
    assert made["load"]["PT1"]["resistance"] == "36 Ω ±10 %"
    assert list(made["role"]) == ["Q1"] and "fitted" not in made["role"]["Q1"]


def test_a_load_that_cannot_stand_is_left_out_when_that_is_wanted(typing: Type) -> None:
    lines = [*HEAD, "M1", "", "motor", *[""] * 12, "", "V9", "", "lamp", "", "0.2 A", *[""] * 7, *END]
    ran = typing(["new", "x.toml"], lines)
    assert "a motor states what it draws" in " ".join(ran.out.split()) or "motor states" in " ".join(ran.out.split())
    assert list(stated("x.toml")["load"]) == ["V9"]


def test_back_and_finish(typing: Type) -> None:
    lines = [
        "<",
        "x",
        "",
        "",
        "12 V ±5 %",
        "<",
        "24 V ±5 %",
        "5 A",
        "",
        "",
        "H1",
        "",
        "heater",
        "",
        "80 Ω ±5 %",
        "!",
        "",
    ]
    ran = typing(["new", "x.toml"], lines)
    assert "This is the first question." in ran.out
    made = stated("x.toml")
    assert made["rail"] == {"V24": {"voltage": "24 V ±5 %", "current": "5 A"}}
    assert made["load"]["H1"] == {"sort": "resistive", "rail": "V24", "resistance": "80 Ω ±5 %"}


def test_a_draft_is_kept_after_every_answer_and_resumed(typing: Type) -> None:
    ran = typing(
        ["new", "x.toml"],
        [*HEAD, *VALVES[:5], lambda: kept(Path("x.toml"))["channel.1.resistance"] or pytest.fail("not kept")],
    )
    assert "kept as a draft" in ran.out and "partcheck board new x.toml" in ran.out
    assert not Path("x.toml").exists()
    ran = typing(["new", "x.toml"], ["", *VALVES[5:], *END])
    assert "There is a draft of x.toml" in ran.out and len(stated("x.toml")["load"]) == 8
    assert not place_of(Path("x.toml")).exists()


def test_a_draft_may_be_deleted(typing: Type) -> None:
    typing(["new", "x.toml"], ["one", "."])
    typing(["new", "x.toml"], ["d", "."])
    assert not place_of(Path("x.toml")).exists()


@pytest.mark.skipif(sys.platform == "win32", reason="needs signals")
def test_a_killed_session_leaves_its_answers(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "partcheck", "board", "new", "x.toml"], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        text=True, cwd=tmp_path, env={**os.environ, "PYTHONIOENCODING": "utf-8", "PYTHONPATH": str(SAMPLES.parent)},
    )  # fmt: skip
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write("line\n\n\n12 V\n")
    process.stdin.flush()
    read = ""
    while "Largest current" not in read:
        read += process.stdout.read(1)
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdin.close()
    process.stdout.close()
    assert kept(tmp_path / "x.toml") == {
        "board.name": "line",
        "board.parts": "",
        "board.ambient": "",
        "supply.1.voltage": "12 V",
    }


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal of its own")
def test_on_a_real_terminal(tmp_path: Path) -> None:
    """With the terminal's own line editing: a backspace takes a letter back."""
    import pty

    terminal, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "partcheck", "board", "new", "x.toml"], stdin=theirs, stdout=theirs, stderr=theirs, cwd=tmp_path,
        start_new_session=True, env={**os.environ, "PYTHONPATH": str(SAMPLES.parent), "TERM": "dumb", "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    os.close(theirs)
    typed = ["lines\x7f", "", "", "12 V ±5 %", "", "", "", "H1", "", "heater", "", "24 Ω ±5 %", "!", ""]
    for line in typed:
        seen = b""
        while not seen.endswith((b": ", b"] ")):
            seen += os.read(terminal, 1024)
        os.write(terminal, f"{line}\n".encode())
    with suppress(OSError):  # the terminal is gone with its process
        while os.read(terminal, 1024):
            pass
    os.close(terminal)
    assert process.wait(timeout=60) == 0
    assert stated(tmp_path / "x.toml")["name"] == "line"
    assert stated(tmp_path / "x.toml")["load"]["H1"]["resistance"] == "24 Ω ±5 %"


def test_an_existing_file_is_not_asked_about_for_nothing(typing: Type) -> None:
    Path("x.toml").write_text("mine", encoding="utf-8")
    ran = typing(["new", "x.toml"])
    assert ran.code == 2 and "already exists" in ran.err


def test_every_question_has_its_own_id() -> None:
    answers: dict[str, str] = {
        "supply.1.voltage": "12 V",
        "channel.1.load": "FV1",
        "lamp.1.resistor": "1 kΩ",
        "regulator.part": "yes",
    }
    ids = [question.id for question in questions(answers)]
    assert len(ids) == len(set(ids)) > 20


def test_a_regulator_and_lamps_of_their_own(typing: Type) -> None:
    lines = [
        *HEAD,
        "",
        "1 kΩ ±5 %",
        "HOLL-8R120",
        "",
        "1.5 kΩ ±5 %",
        "HOLL-8GN120",
        "ALIVE",
        "",
        "ARFJ-L50C",
        "22 µF ±20 %",
        "0.5..1.5 Ω",
        "",
    ]
    ran = typing(["new", "x.toml"], lines)
    assert ran.code == 0, ran
    made = stated("x.toml")
    assert made["role"]["U1"] == {
        "role": "regulator", "fitted": "ARFJ-L50C", "input": "V12", "output": "LOGIC",
        "output_capacitor": "22 µF ±20 %", "output_esr": "0.5..1.5 Ω",
    }  # fmt: skip
    assert made["role"]["D1"]["rail"] == "V12" and made["role"]["D2"]["drive"] == "ALIVE"


# ---- templates


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_a_template_is_short_reads_and_marks_its_examples(typing: Type, name: str) -> None:
    ran = typing(["new", "x.toml", "--like", name, "--name", "mine"])
    assert ran.code == 0, ran
    text = Path("x.toml").read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 45 and "example, write yours" in text and "?" not in text
    assert read_board("x.toml").board.name == "mine"
    assert "already exists" in typing(["new", "x.toml", "--like", name]).err


def test_an_unknown_template(typing: Type) -> None:
    assert "did you mean mosfet-channel?" in typing(["new", "--like", "mosfet"]).err
    assert "sixteen-channel-driver, sixteen valves" in typing(["new", "--like", "zzz"]).err


# ---- add channel


def test_a_channel_like_another_of_a_short_board(typing: Type) -> None:
    ran = typing(["add", "channel", SIXTEEN, "--like", "fv3", "--resistance", "24 Ω", "--cable-length", "9 m"])
    text = SIXTEEN.read_text(encoding="utf-8")
    assert ran.code == 0 and ran.out.startswith(text.rstrip("\n")), "every other line stays"
    made = parse_board(ran.out, SIXTEEN).stated
    before = stated(SIXTEEN)
    assert made["load"]["FV17"] == before["load"]["FV3"] | {
        "resistance": "24 Ω ±10 %", "cable": before["load"]["FV3"]["cable"] | {"length": "9 m"},
    }  # fmt: skip
    assert made["role"]["Q33"] == before["role"]["Q3"] | {"drive": "VALVE17", "load": ["FV17", "D34"]}
    assert made["role"]["D34"]["switch"] == "Q33" and made["role"]["D33"]["load"] == "FV17"
    assert {name: made["role"][name] for name in before["role"]} == before["role"]
    assert "keeps the inductance" in ran.err and '"24 Ω ±10 %"  # ±10 % assumed' in ran.out


def test_a_channel_of_a_pair_of_clamps(typing: Type) -> None:
    made = parse_board(typing(["add", "channel", BOARD, "--like", "light", "--load", "fan"]).out, BOARD).stated["role"]
    assert made["D17"] == stated(BOARD)["role"]["D5"] | {"load": "fan", "in_series_with": "D18"}
    assert made["D18"]["in_series_with"] == "D17"


def test_a_channel_of_its_own(typing: Type) -> None:
    words = ["--load", "tray", "--voltage", "24 V", "--resistance", "80 Ω ±5 %", "--sort", "valve", "--inductance", "1 H ±20 %",
             "--switch", "TALQ-60N80", "--resistor", "1 kΩ", "--clamp", "ARFJ-S60A", "--indicator", "HOLL-3A60", "--indicator-resistor", "5.6 kΩ"]  # fmt: skip
    ran = typing(["add", "channel", BOARD, *words])
    made = parse_board(ran.out, BOARD).stated
    assert made["load"]["tray"]["rail"] == "P24", "a rail of that voltage is there"
    assert made["role"]["Q10"]["load"] == ["tray", "D18"] and made["role"]["D17"]["load"] == "tray"
    assert made["role"]["D18"]["rail"] == "P24" and made["role"]["D18"]["switch"] == "Q10"


def test_a_channel_may_be_asked_for(typing: Type) -> None:
    lines = [
        "tray",
        "heater",
        "24 V ±5 %",
        "<",
        "24 V ±10 %",
        "80 Ohm",
        *[""] * 2,
        "TALQ-60N80",
        "100 Ω ±5 %",
        *[""] * 3,
    ]
    ran = typing(["add", "channel", BOARD, "--write", "new.toml"], lines)
    assert ran.code == 0, ran
    made = stated("new.toml")
    assert made["load"]["tray"] == {"sort": "resistive", "rail": "P24", "resistance": "80 Ohm ±10 %"}
    assert made["role"]["Q10"]["fitted"] == "TALQ-60N80"
    assert typing(["add", "channel", BOARD, "--write", "other.toml"], ["tray", "."]).code == 130
    assert not Path("other.toml").exists()


def test_in_place_and_into_a_new_file(typing: Type) -> None:
    Path("b.toml").write_text(SIXTEEN.read_text(encoding="utf-8"), encoding="utf-8")
    ran = typing(["add", "channel", "b.toml", "--like", "FV1", "--in-place"])
    assert ran.code == 0 and "b.toml written; new in it: load.FV17" in ran.out and "FV17" in stated("b.toml")["load"]
    assert typing(["add", "channel", "b.toml", "--like", "FV1", "--write", "c.toml"]).code == 0
    assert "FV18" in stated("c.toml")["load"] and "FV18" not in stated("b.toml")["load"]
    assert typing(["add", "channel", "b.toml", "--like", "FV1", "--write", "c.toml"]).code == 2


@pytest.mark.parametrize(("words", "said"), [
    (["--like", "FV99"], "has no load 'FV99'; did you mean"),
    (["--like", "FV1", "--load", "FV2"], "'FV2' is taken"),
    (["--like", "FV1", "--resistance", "24 V"], "24 V"),
    (["--voltage", "12 V"], "load is missing"),
    (["--load", "x", "--voltage", "12 V"], "resistance or current is missing"),
    (["--like", "FV1", "--in-place", "--write", "c.toml"], "two places for one board"),
])  # fmt: skip
def test_what_is_no_channel_is_one_sentence(typing: Type, words: list[str], said: str) -> None:
    ran = typing(["add", "channel", SIXTEEN, *words])
    assert ran.code == 2 and said in ran.err and ran.out == "", ran


def test_the_draft_is_plain_json(typing: Type) -> None:
    typing(["new", "x.toml"], ["one", "."])
    assert json.loads(place_of(Path("x.toml")).read_text(encoding="utf-8")) == {
        "format": 1,
        "answers": {"board.name": "one"},
    }


@pytest.mark.parametrize(("typed", "why"), [
    (["96"], "86.4..96..105.6 V is unusual"), (["5..45"], "5..25..45 V is one supply"), (["1.2 V"], "1.08..1.2..1.32 V is unusual"),
])  # fmt: skip
def test_what_is_unusual_is_asked_about_and_may_be_meant(typing: Type, typed: list[str], why: str) -> None:
    ran = typing(["new", "x.toml"], ["x", "", "", *typed, "n", *typed, "y", "."])
    assert " ".join(ran.out.split()).count(why) == 2
    assert kept(Path("x.toml"))["supply.1.voltage"] == typed[0]


@pytest.mark.parametrize(("ask_for", "typed", "why"), [
    ("inductance", "470", "329..470..611 H is unusual: mostly it is 1 µH to 20 H"),
    ("rate", "1 MHz", "is unusual"), ("resistance", "10 mΩ", "is unusual"),
])  # fmt: skip
def test_a_slip_of_a_unit_is_asked_about(ask_for: str, typed: str, why: str) -> None:
    answers = {"supply.1.voltage": "12 V", "channel.1.load": "FV1"}
    asked = {question.id: question for question in questions(answers)}
    question = asked[f"channel.1.{ask_for}"]
    assert why in question.odd(typed) and not question.odd(question.example) and not question.odd("nonsense")


def test_every_example_is_usual() -> None:
    answers = {"supply.1.voltage": "12 V", "channel.1.load": "FV1", "regulator.part": "yes", "lamp.1.resistor": "1 kΩ"}
    for question in questions(answers):
        assert not question.odd(question.example), question.id


def test_a_part_that_is_not_known_is_asked_about(typing: Type) -> None:
    ran = typing(["new", "x.toml"], [*HEAD, *VALVES[:10], "TALQ-30N53", "n", "TALQ-30N52", "."])
    out = " ".join(ran.out.split())
    assert "no MOSFET called TALQ-30N53 is known in catalog_samples; did you mean TALQ-30N52? Is it meant so?" in out
    assert out.count("Is it meant so?") == 1


def test_without_any_parts_no_number_is_asked_about(typing: Type) -> None:
    ran = typing(["new", "x.toml"], [HEAD[0], "", *HEAD[2:], *VALVES[:10], "ANY-1", "."])
    assert "Is it meant so?" not in ran.out and kept(Path("x.toml"))["channel.1.switch"] == "ANY-1"


def test_enter_alone_ends_somewhere(typing: Type) -> None:
    """Once it is asked again what a board needs; a second time it is left, with nothing kept."""
    ran = typing(["new", "x.toml"], [""] * 13)
    assert ran.out.count("Voltage of the supply") == 2 and "nothing was entered" in ran.out
    assert not Path("x.toml").exists() and not kept(Path("x.toml"))


def test_whether_a_draft_goes_on_is_yes_or_no(typing: Type) -> None:
    typing(["new", "x.toml"], ["mine", "."])
    ran = typing(["new", "x.toml"], ["My board", "y", "."])
    assert "Please write y, n or d." in ran.out and kept(Path("x.toml"))["board.name"] == "mine"
