"""A text column as codes, and a point table of many parts as flat columns."""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.points import PointTable, Row

Floats = NDArray[np.float64]
Places = NDArray[np.integer[Any]]
"""Which of the parts, ascending or not."""


class Words:
    """A text column: a code per part (-1 where it is not stated) and what the codes mean."""

    def __init__(self, words: Sequence[str | None]) -> None:
        self.names = tuple(sorted({w for w in words if w}))
        place = {name: i for i, name in enumerate(self.names)}
        self.codes: NDArray[np.integer[Any]] = np.array([place[w] if w else -1 for w in words], dtype=np.int32)

    @classmethod
    def coded(cls, names: Sequence[str], codes: NDArray[np.integer[Any]]) -> "Words":
        """A column of which the codes are known."""
        made = object.__new__(Words)
        made.names, made.codes = tuple(names), codes
        return made

    def cut(self, low: int, high: int) -> "Words":
        """The words of a stretch of the parts."""
        return Words.coded(self.names, self.codes[low:high])

    def picked(self, places: Places) -> "Words":
        """The words of some of the parts."""
        return Words.coded(self.names, self.codes[places])

    def tiled(self, times: int) -> "Words":
        """The words, ``times`` after each other."""
        return Words.coded(self.names, np.tile(self.codes, times))

    def respelled(self, spelling: Callable[[str], str]) -> "Words":
        """The same with every word in its one spelling: what is spelled alike compares equal."""
        made = [spelling(name) or None for name in self.names]
        short = Words(made)
        return Words.coded(short.names, np.append(short.codes, np.int32(-1))[self.codes])

    def word(self, place: int) -> str:
        """The word of one part; empty where it is not stated."""
        code = int(self.codes[place])
        return self.names[code] if code >= 0 else ""


class ColumnTable:
    """One point table of many parts: flat columns, and where each part's rows begin (one more than parts).

    The rows of a part ascend along its axes. Padded columns and curves, of shape (rows, parts), are laid out when
    first used; blanks and short tables are NaN.
    """

    def __init__(self, tables: Sequence[PointTable]) -> None:
        names = dict.fromkeys(name for table in tables for name in table.columns)
        starts = np.zeros(len(tables) + 1, np.int64)
        np.cumsum([len(table) for table in tables], out=starts[1:])
        flat = {name: np.array([v for t in tables for v in _column(t, name)], dtype=float) for name in names}
        self._lay(flat, starts)

    @classmethod
    def flat(cls, columns: Mapping[str, Floats], starts: NDArray[np.integer[Any]]) -> "ColumnTable":
        """A table of which the flat columns are known."""
        made = object.__new__(ColumnTable)
        made._lay(columns, starts)
        return made

    def _lay(self, columns: Mapping[str, Floats], starts: NDArray[np.integer[Any]]) -> None:
        self.columns, self.starts = columns, starts
        self.count = len(starts) - 1
        self.shifted: dict[tuple[str, str, str], ColumnTable] = {}
        self._columns: dict[str, Floats] = {}
        self._curves: dict[tuple[str, str], tuple[Floats, Floats]] = {}
        self._owner: NDArray[np.int64] | None = None

    @property
    def counts(self) -> NDArray[np.integer[Any]]:
        """How many rows each part has."""
        made: NDArray[np.integer[Any]] = np.diff(self.starts)
        return made

    def cut(self, low: int, high: int) -> "ColumnTable":
        """The tables of a stretch of the parts."""
        if (low, high) == (0, self.count):
            return self
        first, last = int(self.starts[low]), int(self.starts[high])
        columns = {name: column[first:last] for name, column in self.columns.items()}
        return ColumnTable.flat(columns, self.starts[low : high + 1] - first)

    def picked(self, places: Places) -> "ColumnTable":
        """The tables of some of the parts."""
        counts = self.counts[places].astype(np.int64)
        starts = np.zeros(len(places) + 1, np.int64)
        np.cumsum(counts, out=starts[1:])
        rows = np.repeat(self.starts[:-1][places] - starts[:-1], counts) + np.arange(starts[-1])
        return ColumnTable.flat({name: column[rows] for name, column in self.columns.items()}, starts)

    def tiled(self, times: int) -> "ColumnTable":
        """The tables, ``times`` after each other."""
        total = int(self.starts[-1])
        starts = (self.starts[None, :-1] + total * np.arange(times)[:, None]).ravel()
        columns = {name: np.tile(column, times) for name, column in self.columns.items()}
        return ColumnTable.flat(columns, np.append(starts, total * times))

    def column(self, name: str) -> Floats:
        """One column, shape (rows, parts)."""
        if name not in self._columns:
            flat = self.columns.get(name)
            if flat is None:
                self._columns[name] = np.full((1, self.count), math.nan)
            else:
                self._columns[name] = _padded(flat, self.owner, self.starts, self.count)
        return self._columns[name]

    @property
    def owner(self) -> NDArray[np.int64]:
        """Which part each flat row belongs to."""
        if self._owner is None:
            self._owner = np.repeat(np.arange(self.count), self.counts)
        return self._owner

    def row(self) -> "Rows":
        """All rows as one: each column an array of shape (rows, parts)."""
        return Rows(self)

    def curve(self, x: str, y: str) -> tuple[Floats, Floats]:
        """Ascending stated points, as :meth:`PointTable.curve`; padded with NaN."""
        if (x, y) not in self._curves:
            self._curves[x, y] = self._curve(x, y)
        return self._curves[x, y]

    def _curve(self, x: str, y: str) -> tuple[Floats, Floats]:
        blank = np.full((1, self.count), math.nan)
        if x not in self.columns or y not in self.columns:
            return blank, blank
        xs, ys, owner = self.columns[x], self.columns[y], self.owner
        stated = ~(np.isnan(xs) | np.isnan(ys))
        if not stated.all():
            xs, ys, owner = xs[stated], ys[stated], owner[stated]
        if not len(xs):
            return blank, blank
        same, rising = owner[1:] == owner[:-1], xs[1:] > xs[:-1]
        if (same & ~rising).any():  # two rows at one x, or sorted by another axis first
            order = np.lexsort((xs, owner))
            xs, ys, owner = xs[order], ys[order], owner[order]
            first = np.flatnonzero(np.r_[True, (owner[1:] != owner[:-1]) | (xs[1:] != xs[:-1])])
            worse = np.minimum if y == "min" else np.maximum
            xs, ys, owner = xs[first], worse.reduceat(ys, first), owner[first]
        starts = np.searchsorted(owner, np.arange(self.count + 1))
        return _padded(xs, owner, starts, self.count), _padded(ys, owner, starts, self.count)


class Derived(ColumnTable):
    """A table that a formula made of another one; it holds one curve, of shape (rows, parts)."""

    def __init__(self, x: str, y: str, xs: Floats, ys: Floats) -> None:
        self._lay({}, np.zeros(xs.shape[1] + 1, np.int64))
        self._curves[x, y] = xs, ys
        self._columns.update({x: xs, y: ys})


class Rows(Row):
    """All rows of a table as one; its columns are attributes."""

    def __init__(self, table: ColumnTable) -> None:
        super().__init__({})
        self.__dict__.update(_table=table)

    def __getattr__(self, name: str) -> Floats:
        if name.startswith("__"):
            raise AttributeError(name)
        table: ColumnTable = self.__dict__["_table"]
        return table.column(name)


def _column(table: PointTable, name: str) -> Sequence[float]:
    return table.columns.get(name) or (math.nan,) * len(table)


def _padded(flat: Floats, owner: NDArray[np.int64], starts: NDArray[np.integer[Any]], count: int) -> Floats:
    counts = np.diff(starts)
    most = int(counts.max(initial=0))
    if most and len(flat) == most * count:  # all have as many
        return np.ascontiguousarray(flat.reshape(count, most).T)
    made = np.full((max(most, 1), count), math.nan)
    made[np.arange(len(flat)) - starts[owner], owner] = flat
    return made
