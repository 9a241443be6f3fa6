"""Values that stand far from those of other parts of the same kind.

The scale is logarithmic, the middle is the median and the spread the median absolute deviation, so that a few
wrong values among the peers do not hide another. Source: B. Iglewicz and D. C. Hoaglin, How to Detect and Handle
Outliers (1993), for the modified score with 0.6745; its threshold of 3.5 is widened, for parts differ by design.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from statistics import median

from partcheck.parameters import KINDS
from partcheck.parts.part import Part
from partcheck.parts.review.doubts import Doubt
from partcheck.points import Row
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
    count: int
    low: float
    high: float
    middle: float
    deviation: float


def group_of(part: Part) -> tuple[str, ...]:
    """Whom a part is compared with: those of its kind, and of diodes those built alike."""
    return part.kind, part.word("construction")


def numbers_of(part: Part) -> Iterator[tuple[str, str, str, float]]:
    """Column or table, what to call it, unit and size of each positive number that a part states.

    Of a table it is the middle value (a median of its rows), which a slip in the whole column moves by a thousand;
    where its rows stand at temperatures, those at 25 °C, for leakage runs through decades.
    """
    kind = KINDS[part.kind]
    for column, declared in kind.columns().items():
        value = part.number(column)
        if not declared.is_text and declared.unit not in ("°C", "") and column not in _NOT_COMPARED and value > 0:
            yield column, column, declared.unit, value
    for table in kind.tables:
        if not table.unit:
            continue
        for bound in table.bounds:
            values = [getattr(row, bound) for row in part.table(table.name).rows() if _at_25(row)]
            values = [value for value in values if value > 0]
            if values:
                yield table.name, f"{table.name} {bound}", table.unit, median(values)


def _at_25(row: Row) -> bool:
    return bool(abs(getattr(row, "tj", getattr(row, "temperature", _T25)) - _T25) < 0.01)


class Peers:
    """What parts of the same kind state, as the spread of each value."""

    def __init__(self, parts: Iterable[Part]) -> None:
        self._values: dict[tuple[tuple[str, ...], str], list[tuple[tuple[str, str], float]]] = {}
        for part in parts:
            for _, name, _, value in numbers_of(part):
                self._values.setdefault((group_of(part), name), []).append((_key(part), math.log10(value)))
        self._sorted: dict[tuple[tuple[str, ...], str], list[float]] = {
            key: sorted(value for _, value in values) for key, values in self._values.items()
        }
        self._own: dict[tuple[tuple[str, ...], str], Mapping[tuple[str, str], float]] = {
            key: dict(values) for key, values in self._values.items()
        }

    def doubts(self, part: Part) -> Iterator[Doubt]:
        """The values of a part that stand apart from its peers'."""
        for column, name, unit, value in numbers_of(part):
            spread = self._spread(part, name)
            if spread is None:
                continue
            told = _slip(name, unit, value, spread) or _outlier(name, unit, value, spread)
            if told:
                rule = "slip-by-a-thousand" if "slip" in told else "far-from-its-kind"
                yield Doubt(part.kind, part.part_number, part.maker, rule, (column,), told)

    def _spread(self, part: Part, name: str) -> _Spread | None:
        place = group_of(part), name
        logs = list(self._sorted.get(place, ()))
        own = self._own.get(place, {}).get(_key(part))
        if own is not None:
            logs.remove(own)
        if len(logs) < FEWEST_FOR_SLIP:
            return None
        middle = median(logs)
        deviation = median(abs(value - middle) for value in logs)
        trim = len(logs) // 10  # a few of the peers may be wrong themselves
        return _Spread(len(logs), logs[trim], logs[-1 - trim], middle, deviation)


def _key(part: Part) -> tuple[str, str]:
    return part.maker.casefold(), part.part_number


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
    score = 0.6745 * abs(away) / max(spread.deviation, _LEAST_SPREAD)
    if spread.count < FEWEST_FOR_OUTLIER or score < _SCORE:
        return ""
    times = 10 ** abs(away)
    way = f"{times:.3g} times" if away > 0 else f"1/{times:.3g} of"
    told = f"{name} {show(value, unit)} is {way} the middle of {spread.count} parts of its kind"
    return f"{told}, {show(10**spread.middle, unit, 2)}; look it up again"
