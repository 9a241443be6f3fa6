"""Answers on any console and through any redirection: data is UTF-8, text is spelled in what the console can show."""

import json
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence

import pytest

from partcheck.cli.consoles import HANDLER, spelled
from tests.command import BOARD, SAMPLES

WORDS = ("explain", str(BOARD), "Q2", "--parts", str(SAMPLES))
PLAIN = {"PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
CONSOLES: Sequence[Mapping[str, str]] = (
    {"PYTHONIOENCODING": "cp1252"},
    {"PYTHONIOENCODING": "ascii"},
    {"LC_ALL": "POSIX", **PLAIN},
)


def _run(*words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "partcheck", *words], capture_output=True, check=False, env={**os.environ, **environment}
    )


def test_units_have_an_ascii_spelling() -> None:
    assert spelled("25 °C, 4.7 kΩ ±5 %, 3 µs, 0.6 mm², θ, −1") == "25 deg C, 4.7 kohm +-5 %, 3 us, 0.6 mm2, theta, -1"
    assert spelled("Müller \ud800 ✈") == "Muller ? ?"


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437", "latin-1", "utf-8", "shift-jis"])
def test_no_text_fails_to_be_encoded(encoding: str) -> None:
    text = "".join(map(chr, range(0x3000))) + "\ud800\U0001f600"
    assert text.encode(encoding, HANDLER).decode(encoding)
    assert "4.7 kΩ".encode("cp1252", HANDLER) == b"4.7 kohm"
    assert "±5 % 3 µs 25 °C".encode("cp1252", HANDLER).decode("cp1252") == "±5 % 3 µs 25 °C"


@pytest.mark.parametrize("console", CONSOLES, ids=str)
def test_text_is_spelled_and_json_is_utf8(console: Mapping[str, str]) -> None:
    text = _run(*WORDS, **console)
    encoding = console.get("PYTHONIOENCODING", "ascii")
    said = text.stdout.decode(encoding)
    assert text.returncode in (0, 3)
    assert "ohm" in said
    assert said.count("?") == _run(*WORDS, PYTHONIOENCODING="utf-8").stdout.count(b"?")
    data = _run(*WORDS, "--json", **console)
    assert "Ω" in data.stdout.decode("utf-8")
    assert json.loads(data.stdout.decode("utf-8"))
    assert data.returncode == text.returncode


@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-", "2>/dev/full"])
def test_closed_streams_change_no_exit_code(closed: str) -> None:
    for words, code in (("schema policy", 0), ("check nowhere.toml", 2)):
        made = subprocess.run(
            ["bash", "-c", f"{sys.executable} -m partcheck {words} {closed}"],
            capture_output=True,
            check=False,
            timeout=60,
        )
        assert made.returncode == code, made.stderr
        assert b"Traceback" not in made.stderr
        assert b"internal fault" not in made.stderr
