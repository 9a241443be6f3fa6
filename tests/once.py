"""Sheets of parts that boards are judged with: read once in a process for as long as every file says the same."""

import hashlib
from collections import OrderedDict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

KEPT = 4
"""So many folders a process keeps that it has read."""


def told_by(path: Path) -> tuple[Any, ...] | None:
    """What a file or folder of parts is known by: the names and contents of all its files; None where it has none."""
    try:
        files = sorted(path.iterdir()) if path.is_dir() else [path] if path.is_file() else []
        return (
            str(path),
            *((each.name, hashlib.sha256(each.read_bytes()).digest()) for each in files if each.is_file()),
        )
    except OSError:
        return None


@pytest.fixture(scope="session", autouse=True)
def parts_are_read_once() -> Iterator[None]:
    """Nine of ten boards of the tests are judged with the samples, and reading these takes as long as judging one."""
    from partcheck.jobs.judge import setup

    plain, known = setup.read_parts, OrderedDict[tuple[Any, ...], list[Any]]()

    def remembered(path: Path | str) -> list[Any]:
        key = told_by(Path(path))
        if key is None or len(key) == 1:
            return plain(path)
        if key not in known:
            known[key] = plain(path)
        known.move_to_end(key)
        if len(known) > KEPT:
            known.popitem(last=False)
        return list(known[key])

    setup.read_parts = remembered
    yield
    setup.read_parts = plain
