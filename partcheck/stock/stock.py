"""The parts of one kind as columns, and a part object of any of them when it is to be shown."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from partcheck.parameters import KINDS
from partcheck.parts.packages import canonical, pins
from partcheck.parts.part import Part
from partcheck.stock.columns import ColumnTable, Places, Words

SPELLING: dict[str, Callable[[str], str]] = {"package": canonical, "pin_order": pins}
"""Words that are compared in one spelling."""
FREE = ("part_number", "description", "notes", "datasheet")
"""Texts that no requirement reads and that differ from part to part: no column is made of them."""


class Columns(Mapping[str, Any]):
    """Columns by name, each made when it is first asked for: numbers, :class:`Words` or :class:`ColumnTable`."""

    def __init__(self, kind: str, make: Callable[[str], Any]) -> None:
        self.kind, self._make = kind, make
        self._made: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._made:
            self._made[name] = self._make(name)
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        yield from KINDS[self.kind].columns()
        yield from (table.name for table in KINDS[self.kind].tables)

    def __len__(self) -> int:
        return sum(1 for _ in self)


class Stock(ABC):
    """Parts of one kind: their number, their columns, and any of them as a part."""

    kind: str
    count: int
    columns: Columns

    @abstractmethod
    def parts(self, places: Sequence[int]) -> list[Part]:
        """Some of the parts, in the order asked for."""

    @abstractmethod
    def numbers(self, places: Sequence[int]) -> list[tuple[str, str]]:
        """Part number and maker of some of the parts, in the order asked for."""

    @abstractmethod
    def places_of(self, parts: Sequence[Part]) -> list[int]:
        """Where the parts of these makers (in any case) and numbers are that there are."""

    def cut(self, low: int, high: int) -> Columns:
        """The columns of a stretch of the parts."""
        return Columns(self.kind, lambda name: stretch(self.columns[name], low, high))

    def picked(self, places: Places) -> Columns:
        """The columns of some of the parts."""
        return Columns(self.kind, lambda name: some(self.columns[name], places))


class Listed(Stock):
    """Parts that are in memory as objects."""

    def __init__(self, kind: str, parts: Sequence[Part]) -> None:
        self.kind, self.count, self._parts = kind, len(parts), parts
        self.columns = Columns(kind, self._column)

    def parts(self, places: Sequence[int]) -> list[Part]:
        """Some of the parts, in the order asked for."""
        return [self._parts[i] for i in places]

    def numbers(self, places: Sequence[int]) -> list[tuple[str, str]]:
        """Part number and maker of some of the parts, in the order asked for."""
        return [(self._parts[i].part_number, self._parts[i].maker) for i in places]

    def places_of(self, parts: Sequence[Part]) -> list[int]:
        """Where the parts of these makers (in any case) and numbers are that there are."""
        wanted = {(part.maker.casefold(), part.part_number) for part in parts}
        return [i for i, part in enumerate(self._parts) if (part.maker.casefold(), part.part_number) in wanted]

    def _column(self, name: str) -> Any:
        declared = KINDS[self.kind].columns().get(name)
        if declared is None:
            return ColumnTable([part.table(name) for part in self._parts])
        if not declared.is_text:
            return np.array([part.number(name) for part in self._parts], dtype=float)
        stated = [part.maker if name == "maker" else part.word(name) for part in self._parts]
        return spelled(name, Words(stated))


def spelled(name: str, words: Words) -> Words:
    """A text column as it is compared."""
    return words.respelled(SPELLING[name]) if name in SPELLING else words


def stretch(column: Any, low: int, high: int) -> Any:
    """A column of a stretch of the parts."""
    return column.cut(low, high) if isinstance(column, Words | ColumnTable) else column[low:high]


def some(column: Any, places: Places) -> Any:
    """A column of some of the parts."""
    return column.picked(places) if isinstance(column, Words | ColumnTable) else column[places]
