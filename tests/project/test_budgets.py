"""What an import costs: modules that a command must not load, and CPU time of its own process."""

import json
import subprocess
import sys

import pytest

from tests.command import BOARD, SAMPLES

HEAVY = {"numpy", "pandas", "sqlalchemy", "scipy", "alembic"}
SPY = """
import json, os, resource, sys
sys.argv = {words!r}
from partcheck.__main__ import main
try:
    sys.stdout = open(os.devnull, "w")
    main()
except SystemExit:
    pass
used = resource.getrusage(resource.RUSAGE_SELF)
print(json.dumps([sorted(set(m.partition(".")[0] for m in sys.modules)), used.ru_utime + used.ru_stime]), file=sys.stderr)
"""


def loaded(*words: object) -> tuple[set[str], float]:
    made = subprocess.run(
        [sys.executable, "-c", SPY.format(words=["partcheck", *map(str, words)])],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    modules, seconds = json.loads(made.stderr.splitlines()[-1])
    return set(modules), seconds


def bare() -> float:
    made = subprocess.run(
        [sys.executable, "-c", "import resource; u = resource.getrusage(resource.RUSAGE_SELF); print(u.ru_utime + u.ru_stime)"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return float(made.stdout)


@pytest.mark.parametrize("words", [["--help"], ["swap", "--help"], ["catalog", "--help"], ["--version"]])
def test_help_loads_nothing_heavy(words: list[str]) -> None:
    modules, _ = loaded(*words)
    assert "typer" in modules
    assert not modules & HEAVY


def test_explain_from_files_loads_neither_numpy_nor_the_database() -> None:
    modules, _ = loaded("explain", BOARD, "Q2", "--parts", SAMPLES)
    assert "partcheck" in modules
    assert not modules & HEAVY


def test_check_from_files_loads_neither_numpy_nor_the_database() -> None:
    modules, _ = loaded("check", BOARD, "--parts", SAMPLES)
    assert not modules & HEAVY


def test_swap_from_files_loads_no_database_and_no_pandas() -> None:
    modules, _ = loaded("swap", BOARD, "Q2", "--parts", SAMPLES)
    assert "numpy" in modules
    assert not modules & {"pandas", "sqlalchemy", "alembic", "scipy"}


def test_help_costs_little_more_than_an_interpreter() -> None:
    """A ratio, not seconds: help may cost at most so many bare interpreters (typer alone costs about three)."""
    own = min(loaded("--help")[1] for _ in range(3))
    assert own < 14 * max(min(bare() for _ in range(3)), 0.008)
