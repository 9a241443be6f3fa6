"""Run a command of partcheck as a user does, in this process or in one of its own."""

import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

SAMPLES = Path(__file__).parent.parent / "catalog_samples"
BOARD = SAMPLES / "bottling-bench.toml"


KNOWN: dict[tuple[str, ...], "Ran"] = {}
"""What ``run_once`` was told before."""


class Ran(NamedTuple):
    """What a command printed, and its exit code."""

    code: int
    out: str
    err: str


def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: object) -> Ran:
    """Run in this process."""
    from partcheck.__main__ import main

    monkeypatch.setattr(sys, "argv", ["partcheck", *map(str, words)])
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        main()
    caught = capsys.readouterr()
    code = ended.value.code
    assert isinstance(code, int)
    return Ran(code, caught.out, caught.err)


def run_once(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: object) -> Ran:
    """Run in this process, and the same words no second time: for commands that read the samples and write nothing."""
    key = tuple(map(str, words))
    if key not in KNOWN:
        KNOWN[key] = run(monkeypatch, capsys, *words)
    return KNOWN[key]


def run_apart(*words: object, **options: object) -> Ran:
    """Run in a process of its own."""
    made = subprocess.run(
        [sys.executable, "-m", "partcheck", *map(str, words)],
        capture_output=True, text=True, check=False, **options,  # type: ignore[call-overload]
    )  # fmt: skip
    return Ran(made.returncode, made.stdout, made.stderr)
