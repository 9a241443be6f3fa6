"""The published numbers of ``tests/published``: those through a whole requirement, and those through its physics alone."""

import importlib
import pkgutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import partcheck.physics
import tests.published
from tests.published._case import Case
from tests.published.through import Through

PHYSICS = Path(partcheck.physics.__file__).parent
DIGITS = 5
Entry = dict[str, Any]


def _lists() -> Iterator[Any]:
    for info in pkgutil.iter_modules(tests.published.__path__):
        if info.name.startswith("test_"):
            module = importlib.import_module(f"tests.published.{info.name}")
            yield from (made for made in vars(module).values() if isinstance(made, list | tuple))


@cache
def cases() -> tuple[Case, ...]:
    """Every published number that is run through physics alone."""
    return tuple(dict.fromkeys(case for made in _lists() for case in made if isinstance(case, Case)))


@cache
def through() -> tuple[Through, ...]:
    """Every published number that is run through a whole requirement, each once."""
    found = {case.name: case for made in _lists() for case in made if isinstance(case, Through)}
    return tuple(found.values())


@contextmanager
def profiled(look: Callable[[FrameType, str, Any], None]) -> Iterator[None]:
    """Every call and return told to ``look``."""
    before = sys.getprofile()
    sys.setprofile(look)
    try:
        yield
    finally:
        sys.setprofile(before)


def physics_name(code: CodeType) -> str:
    """A function of physics by its name, ``heat.rise``; nothing for any other."""
    if not code.co_filename.startswith(str(PHYSICS)) or code.co_name[0] in "_<":
        return ""
    return f"{Path(code.co_filename).stem}.{code.co_name}"


def physics_of(run: Callable[[], object]) -> set[str]:
    """The functions of physics that a call runs through."""
    seen: set[str] = set()

    def look(frame: FrameType, event: str, _: Any) -> None:
        if event == "call" and (called := physics_name(frame.f_code)):
            seen.add(called)

    with profiled(look):
        run()
    return seen


def rounded(value: float) -> float:
    """A number as it is written down."""
    return float(f"{value:.{DIGITS}g}")


def checks() -> list[Entry]:
    """Those through whole requirements."""
    return [
        {
            "requirement": f"{case.role} {case.requirement}",
            "row": case.row,
            "side": case.side,
            "document": case.source,
            "seen": case.seen,
            "note": case.note,
            "unit": case.unit,
            "printed": rounded(case.value),
            "got": rounded(case.got()),
        }
        for case in through()
    ]


def formula_checks() -> list[Entry]:
    """Those through physics alone, with the functions that they run through."""
    made = []
    for case in cases():
        got: list[Any] = []
        functions = physics_of(lambda case=case, got=got: got.append(case.got()))  # type: ignore[misc]
        made.append(
            {
                "row": case.id,
                "what": case.what,
                "document": case.source,
                "seen": case.seen,
                "note": case.note,
                "printed": rounded(case.value),
                "got": rounded(got[0]),
                "functions": sorted(functions),
            }
        )
    return made
