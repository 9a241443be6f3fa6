"""Where a catalog is kept while it is tested: in a file, and on a server."""

import os
import warnings
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.apart import pytest_pyfunc_call
from tests.bytecode import pytest_collection, pytest_configure
from tests.draws import settle
from tests.marks import pytest_collection_modifyitems, pytest_ignore_collect, pytest_runtest_protocol
from tests.once import parts_are_read_once
from tests.server import database
from tests.workers import leaves_little, leaves_nothing, pytest_collection_finish, pytest_testnodedown, stays_small

if TYPE_CHECKING:
    from tests.made import Pages

__all__ = [  # hooks and fixtures of every test
    "leaves_little",
    "leaves_nothing",
    "parts_are_read_once",
    "pytest_collection",
    "pytest_collection_finish",
    "pytest_collection_modifyitems",
    "pytest_configure",
    "pytest_ignore_collect",
    "pytest_pyfunc_call",
    "pytest_runtest_protocol",
    "pytest_testnodedown",
    "stays_small",
]

settle()
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


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all processes of this run share."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="session")
def pages(shared: Path) -> Iterator["Pages"]:
    """Every answer on the sample board: page, record, Markdown and text, made once for the whole run."""
    from tests.made import Pages  # the process that starts the workers need not load the program

    made = Pages(shared)
    yield made
    made.close()


@pytest.fixture(scope="session", autouse=True)
def pages_begun(request: pytest.FixtureRequest) -> None:
    """Where some test of this run asks for the pages, they are begun with its first test."""
    if any("pages" in getattr(item, "fixturenames", ()) for item in request.session.items):
        request.getfixturevalue("pages").start()


@pytest.fixture(scope="session")
def colour() -> Any:
    """The library ``colour-science``: it takes 180 MB, so a test that asks for it runs apart."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns on import where Matplotlib is not installed
        import colour
    return colour
