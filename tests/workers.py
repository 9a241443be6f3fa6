"""What holds for every worker of a test run: it stays small, and one that was killed ends the run.

These are hooks and a fixture of pytest; ``conftest.py`` takes them in.
"""

import ctypes
import gc
import os
import sys
from collections.abc import Iterator
from typing import Any

import pytest

from tests import constants

MOST_MEGABYTES = 600
"""What one process of a test run may have taken at its peak: four of them fit a laptop of 4 GB."""
OBJECTS = (20_000, 5, 2)
"""New objects until one looks for cycles among these, and how often until among all: about every second judged board."""
GROWN = 20
"""MB by which a process may grow before it is looked through for what can go."""


def peak() -> float:
    """The most memory that this process ever took, in MB; 0 where the system does not say."""
    try:
        import resource
    except ImportError:  # Windows
        return 0.0
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6


def too_large(megabytes: float, most: float = MOST_MEGABYTES) -> str:
    """What is wrong with a process that took so much; empty where nothing is."""
    if megabytes <= most:
        return ""
    return (
        f"this test process took {megabytes:.0f} MB, and may take {most:.0f} MB: find the test that keeps or makes "
        f"so much (run one file at a time with -n 0)"
    )


@pytest.fixture(scope="session", autouse=True)
def stays_small() -> Iterator[None]:
    """The last test of a process fails where the process took too much memory."""
    yield
    said = too_large(peak())
    if said:
        pytest.fail(said, pytrace=False)


@pytest.hookimpl(trylast=True)
def pytest_collection_finish(session: pytest.Session) -> None:
    """What was loaded and collected stays until the end: no look for cycles need go through it again."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        constants.read()
    gc.collect()
    give_back()
    gc.freeze()
    gc.set_threshold(*OBJECTS)


def taken() -> float:
    """The memory that this process takes now, in MB; 0 where the system does not say."""
    try:
        with open("/proc/self/statm", encoding="ascii") as file:
            pages = int(file.read().split()[1])
    except OSError:
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@pytest.fixture(autouse=True)
def leaves_little() -> Iterator[None]:
    """What a large test made goes before the next one adds to it."""
    before = taken()
    yield
    if taken() > before + GROWN:
        gc.collect()
        give_back()


@pytest.fixture(scope="module", autouse=True)
def leaves_nothing(request: pytest.FixtureRequest) -> Iterator[None]:
    """What a file of tests made goes with it: judged boards refer to themselves in circles, which wait to be collected."""
    from tests.command import KNOWN

    yield
    KNOWN.clear()
    for each in vars(request.module).values():  # what it kept for itself
        if getattr(each, "__module__", "") == request.module.__name__ and hasattr(each, "cache_clear"):
            each.cache_clear()
    gc.collect()
    give_back()


def give_back() -> None:
    """What was freed goes back to the system at once, where the C library can; it is kept for later use otherwise."""
    if sys.platform == "linux":
        trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # not in every C library
        if trim is not None:
            trim(0)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any, error: object | None) -> None:
    """A worker that was killed ends the run at once, the other workers with it; none is started in its place."""
    session = node.config.pluginmanager.getplugin("dsession")
    if error and session is not None and not session.shouldstop:
        session.shouldstop = f"worker {node.gateway.id} was killed, perhaps for want of memory; try -n 1"
        node.nodemanager.group.terminate(timeout=1)
