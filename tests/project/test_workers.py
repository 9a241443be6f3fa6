"""A test process stays small, and a killed one ends the run; a command leaves the process of its caller as it was."""

import gc
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.command import BOARD, run
from tests.workers import peak, too_large

ROOT = Path(__file__).parents[2]
CONFTEST = "from tests import workers\nfrom tests.workers import pytest_testnodedown, stays_small\n"
KILLED = """
import os, signal

def test_that_is_killed():
    os.kill(os.getpid(), signal.SIGKILL)
"""
SLOW = """
import time
import pytest

@pytest.mark.parametrize("number", range(100))
def test_that_takes_its_time(number):
    time.sleep(1)
"""
APART = """
import os
import pytest

GROWN = []

@pytest.mark.apart
def test_that_grows():
    GROWN.append(1)

def test_that_stays():
    assert not GROWN

@pytest.mark.apart
def test_that_fails():
    assert not GROWN, "not seen"
    raise ValueError("only here")
"""


def pytest_in(folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    """Run the tests of a folder with this project's options for workers."""
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-c", str(ROOT / "pyproject.toml"),
         f"--rootdir={folder}", *options, str(folder)],
        cwd=folder, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, timeout=90, check=False,
    )  # fmt: skip


def test_a_killed_worker_ends_the_run_with_a_failure_within_seconds(tmp_path: Path) -> None:
    (tmp_path / "conftest.py").write_text(CONFTEST)
    (tmp_path / "test_killed.py").write_text(KILLED)
    (tmp_path / "test_slow.py").write_text(SLOW)
    start = time.monotonic()
    made = pytest_in(tmp_path, "-n", "2")
    assert time.monotonic() - start < 45  # the slow tests alone would take 100 s
    assert made.returncode not in (0, 5)
    assert "was killed" in made.stdout and "crashed while running" in made.stdout


@pytest.mark.parametrize("workers", ["0", "1"])
def test_a_process_that_took_too_much_memory_fails_with_a_sentence(tmp_path: Path, workers: str) -> None:
    (tmp_path / "conftest.py").write_text(CONFTEST + "workers.too_large.__defaults__ = (10.0,)\n")
    (tmp_path / "test_one.py").write_text("def test_one():\n    pass\n")
    made = pytest_in(tmp_path, "-n", workers)
    assert made.returncode == 1
    assert "MB, and may take 10 MB" in made.stdout


@pytest.mark.parametrize("workers", ["0", "1"])
def test_what_takes_much_runs_in_a_process_of_its_own_and_fails_as_it_fails_there(tmp_path: Path, workers: str) -> None:
    (tmp_path / "conftest.py").write_text("from tests.apart import pytest_pyfunc_call\n")
    (tmp_path / "test_two.py").write_text(APART)
    made = pytest_in(tmp_path, "-n", workers)
    assert made.returncode == 1 and "1 failed, 2 passed" in made.stdout
    assert "only here" in made.stdout


def test_what_a_process_may_take() -> None:
    assert not too_large(600) and "601 MB" in too_large(601)
    assert sys.platform == "win32" or 20 < peak() < 100_000


def test_a_command_leaves_the_process_that_calls_it_as_it_was(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = gc.isenabled(), gc.get_threshold()
    assert run(monkeypatch, capsys, "check", BOARD).code == 0
    assert (gc.isenabled(), gc.get_threshold()) == before
    assert gc.isenabled()
