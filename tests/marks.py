"""Which tests are quick, slow, for a browser or for a database server: told by where they stand and what they ask for.

``pytest -m quick`` is for every save: no process is started, no browser and no server asked for, and no board judged a
hundred times. A new file of tests is quick unless it stands in ``SLOW``; a quick test that starts a process fails.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).parent
SLOW = (
    "answers", "catalog/test_disks", "catalog/test_keeping", "catalog/test_kills", "catalog/test_passwords", "catalog/test_snapshot",
    "catalog/test_states", "catalog/test_versions", "catalog/test_writers", "circuit", "decisions", "fleet", "light", "plan",
    "project", "remedy", "swap", "sweep", "vet",
    "board/test_begin", "board/test_channels", "board/test_edit", "board/test_every_key", "board/test_look",
    "board/test_measured", "board/test_short", "board/test_zeros",
    "entry/test_changes", "entry/test_commands", "entry/test_form", "parts/test_files", "parts/test_sheets_import",
    "parts/test_sheets_round_trip", "readings/test_swept",
    "roles/test_clamp", "roles/test_device", "roles/test_every_requirement", "roles/test_mosfet_switch", "roles/test_ratings",
    "roles/test_unknown_parts", "situation/test_nothing_ignored", "situation/test_stores", "judge", "stock/test_memory",
)  # fmt: skip
"""Rooms and files whose tests judge whole boards again and again, run commands, or start processes."""
STARTS = ("subprocess.Popen", "os.fork", "os.posix_spawn")
_NOW: list[pytest.Item] = []


def _is_slow(item: pytest.Item) -> bool:
    place = item.path.relative_to(TESTS).as_posix() if item.path.is_relative_to(TESTS) else ""
    return place.startswith(SLOW)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test, before ``-m`` chooses among them; slow files come first, so that no process is left with one."""
    for item in items:
        made = []
        if "browser" in getattr(item, "fixturenames", ()):
            made.append("browser")
        if "postgresql" in item.name or "server" in getattr(item, "fixturenames", ()):
            made.append("server")
        if _is_slow(item):
            made.append("slow")
        for name in made or ["quick"]:
            item.add_marker(name)
    items.sort(key=lambda item: not _is_slow(item))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """While a quick test runs no process may be started."""
    _NOW.append(item)
    try:
        return (yield)
    finally:
        _NOW.clear()


def _seen(event: str, _: tuple[Any, ...]) -> None:
    if event in STARTS and _NOW and _NOW[-1].get_closest_marker("quick"):
        raise RuntimeError(f"a quick test starts a process: give its file a line in {Path(__file__).name}")


sys.addaudithook(_seen)
