"""What Hypothesis reads of the program before it draws: it parses the source of every loaded module for constants, once.

That takes five seconds and 200 MB, so one process does it ahead of a whole run, and the others find what it left.
"""

import importlib
import os
import pkgutil
import subprocess
import sys
from pathlib import Path


def read() -> None:
    """Have Hypothesis look for them now, so that no test is the first."""
    from hypothesis import given, settings, strategies

    @settings(max_examples=100, database=None, derandomize=True)  # one of so many looks for them
    @given(strategies.text())
    def once(_: str) -> None:
        pass

    once()


def prepare() -> None:
    """Read them in a process of its own, where nothing is kept of an earlier run."""
    if "PYTEST_XDIST_WORKER" not in os.environ and not Path(".hypothesis", "constants").exists():
        subprocess.run([sys.executable, "-m", "tests.constants"], check=False)


if __name__ == "__main__":
    import partcheck

    for module in pkgutil.walk_packages(partcheck.__path__, "partcheck."):
        if not module.name.endswith(("__main__", ".env")):
            importlib.import_module(module.name)
    read()
