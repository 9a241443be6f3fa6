"""What is missing is told once, by cause: alike keys as one, and only what helps all that it leaves open."""

from pathlib import Path

import pytest

from partcheck.report.answers.alike import merged, pattern
from tests.command import run

LED = 'role = "indicator", fitted = "NEW-1", resistor = "680 Ω ±5 %"'


def test_keys_that_differ_in_a_number_are_one() -> None:
    assert pattern("Q7.pulldown, or drive.OUT12.floats = false") == "Q#.pulldown, or drive.OUT#.floats = false"
    assert pattern("igss_max at 25 °C") == "igss_max at 25 °C"
    names = [f"Q{n}.pulldown, or drive.OUT{n + 4}.floats = false" for n in (1, 2, 3)]
    assert merged(names) == '"Q1..Q3".pulldown, or drive."OUT5..OUT7".floats = false'
    assert merged(["LAMP.rate"]) == "LAMP.rate"
    assert merged(["FV1.rate", "FV3.rate"]) == "FV1.rate, FV3.rate", "no range of members that it is not missing from"


def board(folder: Path) -> Path:
    (folder / "led.csv").write_text(
        "Part,Maker,Colour,VF min @ 20 mA (V),VF max @ 20 mA (V),IF max (mA),@temperature (°C)\n"
        "NEW-1,Acme,red,1.7,2.4,20,60\n",
        encoding="utf-8",
    )
    path = folder / "board.toml"
    path.write_text(
        'format = 1\nname = "four LEDs"\nparts = ["led.csv"]\nsurroundings = { ambient = "5..45 °C" }\n'
        'rail.V5 = { voltage = "5 V ±5 %" }\n'
        'drive."OUT1..OUT4" = { high = "5 V ±5 %", low = "0..0.2 V", source_resistance = "20..60 Ω" }\n'
        f'role."D1..D4" = {{ {LED}, drive = "OUT{{n}}" }}\n',
        encoding="utf-8",
    )
    return path


def test_a_value_that_every_channel_lacks_is_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for words in (("check",), ("missing",)):
        out = " ".join(run(monkeypatch, capsys, *words, board(tmp_path)).out.split())
        assert 'state drive."OUT1..OUT4".pin_current' in out, words
        assert "drive.OUT2.pin_current" not in out, words
    out = " ".join(run(monkeypatch, capsys, "missing", board(tmp_path)).out.split())
    assert out.count("tj_max (highest junction temperature)") == 1, "the same part at four places"
    assert "D1, D2 and 2 more NEW-1 (Acme)" in out


def test_no_other_part_is_told_as_that(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = " ".join(run(monkeypatch, capsys, "swap", board(tmp_path), "D1").out.split())
    assert out.startswith("No other LED is known in") and " 0 " not in out.partition("Fitted now")[0]
    words = ("--voltage", "12 V", "--resistor", "1 kΩ", "--parts", tmp_path / "led.csv")
    out = " ".join(run(monkeypatch, capsys, "ask", "led", *words).out.split())
    assert "1 part compared" in out and "other part" not in out
    assert "No other LED is known." in " ".join(run(monkeypatch, capsys, "ask", "led", "NEW-1", *words).out.split())
