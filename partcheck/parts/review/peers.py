"""Values that stand far from those of other parts of the same kind.

The scale is logarithmic, the middle is the median and the spread the median absolute deviation, so that a few
wrong values among the peers do not hide another. Source: B. Iglewicz and D. C. Hoaglin, How to Detect and Handle
Outliers (1993), for the modified score with 0.6745; its threshold of 3.5 is widened, for parts differ by design.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import compress
from statistics import median

from partcheck.parameters import KINDS
from partcheck.parts.part import Part
from partcheck.parts.review.doubts import Doubt
from partcheck.units import show

FEWEST_FOR_SLIP, FEWEST_FOR_OUTLIER = 5, 12
_T25 = 298.15
_SCORE = 8.0
_LEAST_SPREAD = 0.1  # decades: makers agree on a round number more often than parts are alike
_FAR = 30.0  # a slip by a thousand is at least so many times beyond every peer but a few
_SIDE = 3.0  # and lands so near to the peers when it is taken back
_NOT_COMPARED = {"price", "quantity", "icm_width", "if_peak_width", "plateau_id"}
"""What says nothing about a part: money, stock, and the conditions at which something else is stated."""


@dataclass(frozen=True)
class _Spread:
    """Ascending logarithms without the one at ``without``, of which nothing is copied: there may be many."""

    logs: Sequence[float]
    without: int

    @property
    def count(self) -> int:
        """How many peers there are."""
        return len(self.logs) - (self.without < len(self.logs))

    def at(self, i: int) -> float:
        """The peer at a place in the order."""
        return self.logs[i if i < self.without else i + 1]

    @property
    def low(self) -> float:
        """The least but the lowest tenth: a few of the peers may be wrong themselves."""
        return self.at(self.count // 10)

    @property
    def high(self) -> float:
        """The largest but the highest tenth."""
        return self.at(self.count - 1 - self.count // 10)

    @property
    def middle(self) -> float:
        """The median."""
        return (self.at((self.count - 1) // 2) + self.at(self.count // 2)) / 2

    @property
    def deviation(self) -> float:
        """The median of the distances from the middle."""
        return (self._distance((self.count - 1) // 2) + self._distance(self.count // 2)) / 2

    def _distance(self, rank: int) -> float:
        """How far away the peer of that rank is, nearest first: the far end of the narrowest run around the middle."""
        middle = self.middle
        first = bisect_left(range(self.count - rank), 2 * middle, key=lambda i: self.at(i) + self.at(i + rank))
        ends = [self.at(first + rank) - middle] if first + rank < self.count else []
        return min([*ends, middle - self.at(first - 1)] if first else ends)


def group_of(part: Part) -> tuple[str, ...]:
    """Whom a part is compared with: those of its kind, and of diodes those built alike."""
    return part.kind, part.word("construction")


def numbers_of(part: Part) -> Iterator[tuple[str, str, str, float]]:
    """Column or table, what to call it, unit and size of each positive number that a part states.

    Of a table it is the middle value (a median of its rows), which a slip in the whole column moves by a thousand;
    where its rows stand at temperatures, those at 25 °C, for leakage runs through decades.
    """
    for column, unit in _compared(part.kind):
        value = part.number(column)
        if value > 0:
            yield column, column, unit, value
    for table in KINDS[part.kind].tables:
        if not table.unit or table.name not in part.tables:
            continue
        points = part.tables[table.name].columns
        at_25 = [abs(t - _T25) < 0.01 for t in points.get("tj", points.get("temperature", ()))]
        for bound in table.bounds:
            stated = points.get(bound, ())
            values = [value for value in (compress(stated, at_25) if at_25 else stated) if value > 0]
            if values:
                yield table.name, f"{table.name} {bound}", table.unit, median(values)


@cache
def _compared(kind: str) -> tuple[tuple[str, str], ...]:
    """The single values that are compared, with their units."""
    return tuple(
        (column, declared.unit)
        for column, declared in KINDS[kind].columns().items()
        if not declared.is_text and declared.unit not in ("°C", "") and column not in _NOT_COMPARED
    )


class Peers:
    """What parts of the same kind state, as the spread of each value."""

    def __init__(self, parts: Iterable[Part]) -> None:
        self._values: dict[tuple[tuple[str, ...], str], list[tuple[tuple[str, str], float]]] = {}
        for part in parts:
            group, key = group_of(part), _key(part)
            for _, name, _, value in numbers_of(part):
                self._values.setdefault((group, name), []).append((key, math.log10(value)))
        self._sorted: dict[tuple[tuple[str, ...], str], list[float]] = {
            key: sorted(value for _, value in values) for key, values in self._values.items()
        }
        self._own: dict[tuple[tuple[str, ...], str], Mapping[tuple[str, str], float]] = {
            key: dict(values) for key, values in self._values.items()
        }
        self._plain = {key: _plain_range(logs) for key, logs in self._sorted.items()}

    def doubts(self, part: Part) -> Iterator[Doubt]:
        """The values of a part that stand apart from its peers'."""
        group = group_of(part)
        for column, name, unit, value in numbers_of(part):
            low, high = self._plain.get((group, name), (0.0, 0.0))
            spread = None if low < math.log10(value) < high else self._spread(part, name)
            if spread is None:
                continue
            told = _slip(name, unit, value, spread) or _outlier(name, unit, value, spread)
            if told:
                rule = "slip-by-a-thousand" if "slip" in told else "far-from-its-kind"
                yield Doubt(part.kind, part.part_number, part.maker, rule, (column,), told)

    def _spread(self, part: Part, name: str) -> _Spread | None:
        place = group_of(part), name
        logs = self._sorted.get(place, [])
        own = self._own.get(place, {}).get(_key(part))
        spread = _Spread(logs, len(logs) if own is None else bisect_left(logs, own))
        return spread if spread.count >= FEWEST_FOR_SLIP else None


def _key(part: Part) -> tuple[str, str]:
    return part.maker.casefold(), part.part_number


def _plain_range(logs: Sequence[float]) -> tuple[float, float]:
    """Between these (logarithms) no value is doubtful, whichever peer is left out; most lie there."""
    count = len(logs)
    if count < FEWEST_FOR_SLIP:
        return 0.0, 0.0
    trim, far, least = (count - 1) // 10, math.log10(_FAR), _SCORE / 0.6745 * _LEAST_SPREAD
    low = max(logs[trim + 1] - far, logs[count // 2 + 1] - least)
    return low, min(logs[count - 2 - trim] + far, logs[(count - 1) // 2 - 1] + least)


def _slip(name: str, unit: str, value: float, spread: _Spread) -> str:
    log, far, side = math.log10(value), math.log10(_FAR), math.log10(_SIDE)
    if spread.low - far <= log <= spread.high + far:
        return ""
    step = 6 if unit == "m²" else 3
    for power in (step, -step, 2 * step, -2 * step):
        if spread.low - side <= log + power <= spread.high + side:
            instead = show(value * 10**power, unit)
            others = f"{show(10**spread.low, unit, 2)} to {show(10**spread.high, unit, 2)}"
            told = f"{name} {show(value, unit)} looks like a slip of the unit"
            return f"{told}: {spread.count} parts of its kind state {others}; is {instead} meant?"
    return ""


def _outlier(name: str, unit: str, value: float, spread: _Spread) -> str:
    away = math.log10(value) - spread.middle
    least = _SCORE / 0.6745 * _LEAST_SPREAD
    if spread.count < FEWEST_FOR_OUTLIER or abs(away) < least or 0.6745 * abs(away) < _SCORE * spread.deviation:
        return ""
    times = 10 ** abs(away)
    way = f"{times:.3g} times" if away > 0 else f"1/{times:.3g} of"
    told = f"{name} {show(value, unit)} is {way} the median of {spread.count} parts of its kind"
    return f"{told}, {show(10**spread.middle, unit, 2)}; look it up again"
