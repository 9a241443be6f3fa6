"""One printed number: where it stands, how it was seen, and the call that should give it."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from partcheck.physics import Number

READ = "PDF read: the maker's datasheet, as text or page image"
NOTEBOOK = "notebook read: it transcribes the textbook example; the book's page was not seen"
SEARCH = "search excerpt seen"
FILE = "file read in a public repository"
SECOND_HAND = "second-hand transcription; the standard's own page was not seen"
PACKAGE = "package data read"
MEMORY = "from memory"
DERIVED = "derived; checked by numeric integration"

LOOSEST = 0.155
"""A check with a wider tolerance would prove too little."""


def celsius(degrees: float) -> float:
    """Kelvin."""
    return degrees + 273.15


@dataclass(frozen=True)
class Case:
    """A printed number ``value`` (SI), which ``got`` gives within ``rel`` of it.

    ``rel`` is half a unit of the last printed digit unless ``note`` says otherwise.
    """

    id: str
    what: str
    got: Callable[[], Number | None]
    value: float
    rel: float
    source: str
    seen: str
    note: str = ""

    def __post_init__(self) -> None:
        if not (self.source and self.seen and 0 < self.rel <= LOOSEST and self.value):
            raise ValueError(f"{self.id} {self.what}: a check needs a source, a way seen and a tolerance")

    @property
    def name(self) -> str:
        """The name of the test."""
        return f"{self.id} {self.what}".replace("°", "").replace("Ω", "ohm")

    def check(self) -> None:
        """Raise AssertionError unless the number comes out."""
        said = f"{self.name}: {self.source} [{self.seen}] {self.note}"
        assert self.got() == pytest.approx(self.value, rel=self.rel, abs=0), said


def name(case: Case) -> str:
    """For ``parametrize(ids=...)``."""
    return case.name
