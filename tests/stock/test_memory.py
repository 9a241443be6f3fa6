"""Judging many parts takes little memory beside their columns, however many there are."""

import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.screen.parts import screen_known
from partcheck.parts import Part, read_parts
from partcheck.readings.verdicts import tiled
from partcheck.stock.known import Known
from partcheck.stock.stock import Columns, Listed
from tests.command import BOARD, SAMPLES


class Repeated(Listed):
    """The same parts again and again."""

    def __init__(self, parts: list[Part], times: int) -> None:
        super().__init__(parts[0].kind, parts)
        whole = tiled(self.columns, times)
        self.columns = Columns(self.kind, whole.__getitem__)
        self.count = len(parts) * times


@pytest.fixture(scope="module")
def setup() -> Setup:
    return open_setup(BOARD, [SAMPLES])


def needed(setup: Setup, parts: list[Part], times: int) -> tuple[int, int]:
    """Bytes at most in use beside the columns while so many parts are judged, and how many parts that was."""
    stock = Repeated(parts, times)
    known = Known(stock.kind, [(stock, None)])
    for name in stock.columns:
        stock.columns[name]
    situation = setup.situation
    situation.facts("Q1")
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    screened = screen_known(known, situation, "Q1")
    most = tracemalloc.get_traced_memory()[1] - before
    tracemalloc.stop()
    assert np.array_equal(screened.overall[: len(parts)], screened.overall[-len(parts) :])
    return most, known.count


@pytest.mark.apart
def test_memory_beside_the_columns_grows_by_some_bytes_a_part(setup: Setup) -> None:
    parts = [part for part in read_parts(Path(SAMPLES)) if part.kind == "mosfet"]
    small, few = needed(setup, parts, 700)
    large, many = needed(setup, parts, 2800)
    each = (large - small) / (many - few)
    assert few > 1 << 14, "both must be more than what is judged in one go"
    assert each < 64, f"{each:.0f} bytes a part"
    assert large < 48e6, f"{large / 1e6:.0f} MB"
