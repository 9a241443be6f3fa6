"""All known parts of a kind: of several stocks, one after the other, as one."""

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.parts.part import Part
from partcheck.stock.columns import Floats, Places, Words
from partcheck.stock.stock import Columns, Stock

CHUNK = 1 << 14
"""Parts that are judged in one go: their columns stay in the processor's cache."""


class Known:
    """Parts of one kind out of several stocks; of each stock all parts, or those at some places."""

    def __init__(self, kind: str, stocks: Sequence[tuple[Stock, Places | None]]) -> None:
        self.kind, self._stocks = kind, stocks
        sizes = [stock.count if kept is None else len(kept) for stock, kept in stocks]
        self._ends = np.cumsum([0, *sizes])
        self.count = int(self._ends[-1])

    def pieces(self, chunk: int = CHUNK) -> Iterator[tuple[int, int, Columns]]:
        """All parts in stretches of at most ``chunk``: the first, the one after the last, their columns."""
        for (start, end), (stock, kept) in zip(pairwise(self._ends.tolist()), self._stocks, strict=True):
            for low in range(0, end - start, chunk):
                high = min(low + chunk, end - start)
                columns = stock.cut(low, high) if kept is None else stock.picked(kept[low:high])
                yield start + low, start + high, columns

    def picked(self, places: Places, chunk: int = CHUNK) -> Iterator[tuple[slice, Columns]]:
        """Some of the parts, ascending, in stretches: which of ``places`` they are, and their columns."""
        for low, high, stock, own in self._split(places):
            for first in range(low, high, chunk):
                last = min(first + chunk, high)
                yield slice(first, last), stock.picked(own[first - low : last - low])

    def parts(self, places: Sequence[int]) -> list[Part]:
        """Some of the parts as objects, in the order asked for."""
        return self._gathered(places, lambda stock, own: stock.parts(own))

    def numbers(self, places: Sequence[int]) -> list[tuple[str, str]]:
        """Part number and maker of some of the parts, in the order asked for."""
        return self._gathered(places, lambda stock, own: stock.numbers(own))

    def values(self, name: str, places: Places) -> Floats:
        """A single number of some of the parts, ascending."""
        made = [stock.columns[name][own] for _, _, stock, own in self._split(places)]
        return np.concatenate(made) if made else np.empty(0)

    def one_of(self, name: str, words: Sequence[str], places: Places) -> NDArray[np.bool_]:
        """For some of the parts, ascending: whether a text is one of these."""
        made = []
        for _, _, stock, own in self._split(places):
            column: Words = stock.columns[name]
            table = np.array([*(known in words for known in column.names), False])
            made.append(table[column.codes[own]])
        return np.concatenate(made) if made else np.empty(0, bool)

    def place_of(self, part: Part) -> int | None:
        """Where the part of that maker and number is; None where it is none of these."""
        for start, (stock, kept) in zip(self._ends.tolist(), self._stocks, strict=False):
            for place in stock.places_of([part]):
                found = np.array([place]) if kept is None else np.flatnonzero(kept == place)
                if len(found):
                    return int(start + found[0])
        return None

    def _split(self, places: Places) -> Iterator[tuple[int, int, Stock, Places]]:
        cuts = np.searchsorted(places, self._ends)
        for i, (stock, kept) in enumerate(self._stocks):
            low, high = int(cuts[i]), int(cuts[i + 1])
            if low < high:
                own = places[low:high] - self._ends[i]
                yield low, high, stock, own if kept is None else kept[own]

    def _gathered(self, places: Sequence[int], ask: Callable[[Stock, Sequence[int]], list[Any]]) -> list[Any]:
        order = np.argsort(np.asarray(places, dtype=np.int64), kind="stable")
        found: list[Any] = [None] * len(places)
        ascending = np.asarray(places, dtype=np.int64)[order]
        for low, high, stock, own in self._split(ascending):
            for place, one in zip(order[low:high].tolist(), ask(stock, own.tolist()), strict=True):
                found[place] = one
        return found


def first(known: Known, places: Places, keys: Sequence[Callable[[Places], NDArray[Any]]], most: int) -> list[int]:
    """The first ``most`` of the places by these keys, each of which is worked out for those it has to part alone.

    What all keys leave equal goes by part number and maker, so that the order does not rest on that of a source.
    """
    sure: list[Places] = []
    tied = np.asarray(places, dtype=np.int64)
    wanted = most
    for key in keys:
        if len(tied) <= wanted:
            break
        values = key(tied)
        border = np.partition(values, wanted - 1)[wanted - 1]
        sure.append(tied[values < border])
        wanted -= len(sure[-1])
        tied = tied[values == border]
    if len(tied) > wanted:
        ordered = sorted(zip(known.numbers(tied.tolist()), tied.tolist(), strict=True))[:wanted]
        tied = np.array(sorted(place for _, place in ordered), dtype=np.int64)
    chosen = np.sort(np.concatenate([*sure, tied]))
    columns = [key(chosen).tolist() for key in keys]
    rows = zip(*columns, known.numbers(chosen.tolist()), chosen.tolist(), strict=True)
    return [row[-1] for row in sorted(rows)]
