"""Points inside the corners: every uncertain value of a circuit is a number between 0 and 1 in a named column.

Many points are drawn at once, so a value is an array. Half of the points are corners (each value at one of its ends),
the others anywhere between.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass
class Draws:
    """The same columns for every evaluation of one board, so that a point may be taken up again and moved."""

    size: int
    seed: int
    columns: dict[str, Array] = field(default_factory=dict)
    first: dict[str, float] = field(default_factory=dict)
    """Values of the first point, where it is a known one."""

    def share(self, name: str) -> Array:
        """The column of that name, drawn when first asked for."""
        if name not in self.columns:
            chance = np.random.default_rng([self.seed, *name.encode()])
            drawn = chance.random(self.size)
            self.columns[name] = np.where(np.arange(self.size) % 2 == 0, np.round(drawn), drawn)
            if name in self.first:
                self.columns[name][0] = self.first[name]
        return self.columns[name]

    def between(self, name: str, low: object, high: object) -> Array:
        """A value between two ends."""
        return np.asarray(low, float) + self.share(name) * (np.asarray(high, float) - np.asarray(low, float))

    def of(self, name: str, span: object) -> Array:
        """A value of a range of the board; zero where it states none."""
        if span is None:
            return np.zeros(self.size)
        return self.between(name, span.min, span.max)  # type: ignore[attr-defined]

    def log_between(self, name: str, low: float, high: float) -> Array:
        """A value between two ends, even over its decades."""
        return np.exp(self.between(name, np.log(low), np.log(high)))

    def chance(self, name: str, likely: float = 0.5) -> NDArray[np.bool_]:
        """True at about that share of the points."""
        drawn = self.share(name)
        return np.where(drawn == np.round(drawn), drawn > 0.5, drawn < likely)

    def around(self, index: int) -> "Draws":
        """The point of that index with one value after the other put to either end."""
        names = list(self.columns)
        made = {name: np.full(2 * len(names) + 1, column[index]) for name, column in self.columns.items()}
        for k, name in enumerate(names):
            made[name][2 * k], made[name][2 * k + 1] = 0.0, 1.0
        return Draws(2 * len(names) + 1, self.seed, made)
