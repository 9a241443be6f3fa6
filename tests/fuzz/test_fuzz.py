"""A few inputs of each sort, the same in every run; and each that once showed a fault."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.fuzz import inputs, targets, words
from tests.fuzz.targets import TARGETS, tried

FAR = '<sheetData><row r="1"><c r="ZZZZ9" t="inlineStr"><is><t>maker</t></is></c></row></sheetData>'
FOUND: list[tuple[str, Any]] = [
    ("workbooks", {"sheets": {"led": FAR}}),  # half a million columns, looked through for each of them
    ("changes", {"sets": ("load=[]", "cable={length='1 m'}")}),  # one thing in another
    ("changes", {"sets": ("cable=5",), "cable_length": "2 m"}),
    ("mappings", b"format = 1\ndecimal = '" + b"x" * 3000 + b"'"),
]
"""What the long run found, made small."""


@pytest.fixture(scope="module", autouse=True)
def what_was_made_goes() -> Iterator[None]:
    """Boards, sheets and parts that inputs are made of are kept only for these tests."""
    yield
    for each in (value for module in (inputs, targets, words) for value in vars(module).values()):
        if hasattr(each, "cache_clear"):
            each.cache_clear()


LARGE = ("workbooks",)
"""Targets whose inputs take 200 MB for a moment."""


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.apart] if name in LARGE else []) for name in TARGETS]
)
def test_whatever_is_given_ends_with_an_answer_or_a_sentence(name: str) -> None:
    target = TARGETS[name]

    @settings(
        max_examples=target.few,
        derandomize=True,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def run(data: st.DataObject) -> None:
        tried(target, data.draw(target.inputs()))

    run()


@pytest.mark.parametrize(("name", "found"), FOUND)
def test_what_was_found_stays_mended(name: str, found: Any) -> None:
    tried(TARGETS[name], found)
