"""Which tests are quick, slow, for a browser or for a database server: told by where they stand and what they ask for.

``pytest -m quick`` is for every save: no process is started, no browser and no server asked for, and no board judged a
hundred times. A new file of tests is slow unless it stands in ``QUICK``; a quick test that starts a process fails.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).parent
QUICK = (
    "board/test_channels", "entry/test_find", "entry/test_uses", "evidence", "judge/test_unjudged", "parts/test_documents",
    "parts/test_sheets.py", "parts/test_sheets_headers", "parts/test_sheets_mapping", "physics", "published",
    "readings/test_units", "roles/test_conductor", "roles/test_led_light", "roles/test_regulator", "roles/test_supply",
    "roles/test_terminal", "situation/test_chopping", "situation/test_nodes", "situation/test_paths",
    "situation/test_profiles", "situation/test_transient", "swap/test_ranking",
)  # fmt: skip
"""Rooms and files whose tests are over in a moment."""
STARTS = ("subprocess.Popen", "os.fork", "os.posix_spawn")
_NOW: list[pytest.Item] = []


def _is_slow(item: pytest.Item) -> bool:
    place = item.path.relative_to(TESTS).as_posix() if item.path.is_relative_to(TESTS) else ""
    return not place.startswith(QUICK)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test, before ``-m`` chooses among them; slow files come first, so that no process is left with one.

    What asks for the pages comes after the other slow ones, as the pages are being made meanwhile.
    """
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
    rooms = {item.path for item in items if "pages" in getattr(item, "fixturenames", ())}
    items.sort(key=lambda item: 2 if not _is_slow(item) else item.path in rooms)


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
        raise RuntimeError(f"a quick test starts a process: take its file off the list in {Path(__file__).name}")


sys.addaudithook(_seen)
