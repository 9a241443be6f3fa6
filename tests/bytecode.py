"""What Python compiles is kept for all processes of a test run, also where ``PYTHONDONTWRITEBYTECODE`` is set.

Else each of some hundred processes would compile the program anew, and each worker all tests with their assertions:
more than half of what it takes to collect them.
"""

import compileall
import contextlib
import importlib
import os
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def is_kept() -> None:
    """From here on this process and those that it starts leave ``__pycache__`` beside what they compile."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False


def pytest_configure(config: pytest.Config) -> None:
    """The program is compiled before there are workers that would all begin with it at once."""
    if "PYTEST_XDIST_WORKER" not in os.environ:
        compileall.compile_dir(ROOT / "partcheck", quiet=2)
    if is_whole(config):
        from tests.constants import prepare  # not above, as it is a program too

        prepare()


def is_whole(config: pytest.Config) -> bool:
    """Whether all tests are asked for."""
    return not config.option.markexpr and config.args == config.getini("testpaths")


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """In a whole run each worker begins to read the tests at another place, and finds compiled what others began with."""
    own = os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    if workers == 1 or not is_whole(session.config):
        return
    names = [".".join(path.relative_to(ROOT).with_suffix("").parts) for path in sorted(ROOT.glob("tests/*/test_*.py"))]
    begin = len(names) * int(own) // workers
    for name in names[begin:] + names[:begin]:
        with contextlib.suppress(Exception, pytest.skip.Exception):  # told when it is collected
            importlib.import_module(name)
