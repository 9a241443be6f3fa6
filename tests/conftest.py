"""Where a catalog is kept while it is tested: in a file, and on a server."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.server import database
from tests.workers import pytest_testnodedown, stays_small

__all__ = ["pytest_testnodedown", "stays_small"]  # hooks and fixtures of every test

DATABASES = ("sqlite", "postgresql")
MakePlace = Callable[[], str]


@pytest.fixture(params=DATABASES)
def make_place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[MakePlace]:
    """Makes places for new catalogs: the test runs with files, and again with databases of a server."""
    with ExitStack() as stack:
        made: list[str] = []

        def _make() -> str:
            if request.param == "sqlite":
                made.append(str(tmp_path / f"catalog{len(made) or ''}.sqlite"))
            else:
                made.append(stack.enter_context(database()))
            return made[-1]

        yield _make


@pytest.fixture
def anywhere(make_place: MakePlace) -> str:
    """The place of a new catalog: the test runs with a file, and again with a database of a server."""
    return make_place()
