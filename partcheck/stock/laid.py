"""The columns of a kind as plain arrays by name: what a source fills, and a file can hold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.parameters import KINDS
from partcheck.stock.columns import ColumnTable, Words
from partcheck.stock.stock import FREE, spelled

IDS, TEXT, TEXT_STARTS = "ids", "part_number", "part_number starts"


@dataclass
class Laid:
    """Arrays of one kind.

    ``ids`` (ascending), ``part_number`` (UTF-8, all in a row) and ``part_number starts``; a number by its name; a
    word by its name as a code, which ``words`` tells; a point table as ``TABLE starts`` and ``TABLE.COLUMN``.
    """

    kind: str
    arrays: Mapping[str, NDArray[Any]]
    words: Mapping[str, Sequence[str]]

    @property
    def count(self) -> int:
        """How many parts there are."""
        return len(self.arrays[IDS])

    def column(self, name: str) -> Any:
        """A column as the readings take it."""
        if name in self.words:
            return spelled(name, Words.coded(self.words[name], self.arrays[name]))
        if name in self.arrays:
            return self.arrays[name]
        declared = KINDS[self.kind].table(name)
        flat = {each: self.arrays[f"{name}.{each}"] for each in declared.columns()}
        return ColumnTable.flat(flat, self.arrays[f"{name} starts"])

    def numbers(self, places: Sequence[int]) -> list[tuple[str, str]]:
        """Part number and maker of some of the parts."""
        starts, text = self.arrays[TEXT_STARTS], self.arrays[TEXT]
        makers, codes = self.words["maker"], self.arrays["maker"]
        made = []
        for i in places:
            number = text[starts[i] : starts[i + 1]].tobytes().decode()
            made.append((number, makers[codes[i]] if codes[i] >= 0 else ""))
        return made


def number_columns(kind: str) -> list[str]:
    """The single numbers of a kind."""
    return [name for name, declared in KINDS[kind].columns().items() if not declared.is_text]


def word_columns(kind: str) -> list[str]:
    """The texts of a kind that are kept as codes."""
    return [name for name, declared in KINDS[kind].columns().items() if declared.is_text and name not in FREE]


def ascending(flat: Mapping[str, NDArray[Any]], owner: NDArray[Any], axes: Sequence[str]) -> NDArray[np.int64] | None:
    """The order that brings rows to their parts and along the axes; None where they stand so already."""
    columns = [flat[axis] for axis in axes]
    fine = owner[1:] > owner[:-1]
    same = owner[1:] == owner[:-1]
    for column in columns:
        low, high = column[:-1], column[1:]
        fine = fine | (same & ((high > low) | (np.isnan(high) & ~np.isnan(low))))
        same = same & ((high == low) | (np.isnan(high) & np.isnan(low)))
    if (fine | same).all():
        return None
    made: NDArray[np.int64] = np.lexsort((*reversed(columns), owner))
    return made
