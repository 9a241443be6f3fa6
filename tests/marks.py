"""Which tests are quick, slow, apart, for a browser or for a database server: told by where they stand and what they ask for.

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
LONGEST = (
    "board/test_every_key", "circuit/test_boards", "decisions/test_records", "light/test_brightness", "plan/test_planning",
    "situation/test_capacitive", "swap/test_sources", "sweep/test_limits",
)  # fmt: skip
"""Files that take a minute or so, or much memory for a moment: best while a process is still small."""
STARTS = ("subprocess.Popen", "os.fork", "os.posix_spawn")
ASKED = ("fc-list", "lscpu")
"""What libraries start once while they are loaded: Matplotlib with no list of fonts yet, NumPy 2.0."""
_NOW: list[pytest.Item] = []


def _place(path: Path) -> str:
    return path.relative_to(TESTS).as_posix() if path.is_relative_to(TESTS) else ""


def _is_slow(item: pytest.Item) -> bool:
    return not _place(item.path).startswith(QUICK)


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """``-m quick`` leaves the rooms and files unread in which nothing is quick: reading them would take longer than it."""
    place = _place(collection_path)
    if config.option.markexpr != "quick" or place in ("", ".") or collection_path.name == "__init__.py":
        return None
    quick = place.startswith(QUICK) or any(each.startswith(f"{place}/") for each in QUICK)
    return None if quick else True


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test, before ``-m`` chooses among them; the longest files come first, so that no process is left with one.

    What asks for the pages comes next, as the pages are being made meanwhile.
    """
    for item in items:
        made = []
        if "browser" in getattr(item, "fixturenames", ()):
            made.append("browser")
        if "postgresql" in item.name or "server" in getattr(item, "fixturenames", ()):
            made.append("server")
        if "colour" in getattr(item, "fixturenames", ()):
            item.add_marker("apart")
        if _is_slow(item) or item.get_closest_marker("apart"):
            made.append("slow")
        for name in made or ["quick"]:
            item.add_marker(name)
    rooms = {item.path for item in items if "pages" in getattr(item, "fixturenames", ())}

    def rank(item: pytest.Item) -> int:
        if not _is_slow(item):
            return 3
        return 0 if _place(item.path).startswith(LONGEST) else 1 if item.path in rooms else 2

    items.sort(key=rank)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """While a quick test runs no process may be started."""
    _NOW.append(item)
    try:
        return (yield)
    finally:
        _NOW.clear()


def _seen(event: str, words: tuple[Any, ...]) -> None:
    asked = bool(words) and str(words[0]).rpartition("/")[2] in ASKED
    if event in STARTS and not asked and _NOW and _NOW[-1].get_closest_marker("quick"):
        raise RuntimeError(f"a quick test starts a process: take its file off the list in {Path(__file__).name}")


sys.addaudithook(_seen)
