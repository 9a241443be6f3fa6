"""Tests that take much memory, each in a process of its own: marked ``apart``."""

import os
import subprocess
import sys

import pytest

STARTED = "PARTCHECK_APART"


@pytest.hookimpl(tryfirst=True)
def pytest_pyfunc_call(pyfuncitem: pytest.Function) -> bool | None:
    """Where a test is marked ``apart``, another pytest runs it alone, and it fails with what that one says."""
    if not pyfuncitem.get_closest_marker("apart") or STARTED in os.environ:
        return None
    surroundings = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    made = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n", "0", "-p", "no:cacheprovider", pyfuncitem.nodeid],
        cwd=pyfuncitem.config.rootpath, env={**surroundings, STARTED: "1"}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if made.returncode or "1 passed" not in made.stdout:
        pytest.fail(made.stdout + made.stderr, pytrace=False)
    return True
