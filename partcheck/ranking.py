"""Order of the candidates, and the sentence that says why the first beats the second.

Verdict first; then whether it can be had; then the number of changes to the circuit; then the least headroom,
counted only up to :data:`ENOUGH` so that oversizing earns nothing; then price; then pieces on hand.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from partcheck.requirement import Verdict

ENOUGH = 0.3
"""Least headroom beyond which more of it does not rank higher."""


class Rank(NamedTuple):
    """What a candidate is ordered by; see the module."""

    name: str
    verdict: Verdict
    available: bool
    changes: int
    headroom: float
    price: float
    quantity: float

    @property
    def key(self) -> tuple[float, ...]:
        """Sorts the best candidate first."""
        headroom = self.headroom if self.headroom == self.headroom else 1.0
        price = self.price if self.price == self.price else math.inf
        quantity = self.quantity if self.quantity == self.quantity else 0.0
        counted = round(max(min(headroom, ENOUGH), -10.0), 2)
        return (-int(self.verdict), 0.0 if self.available else 1.0, self.changes, -counted, price, -quantity)


def _changes(count: int) -> str:
    return "no change" if count == 0 else "one change" if count == 1 else f"{count} changes"


def why(ranks: Sequence[Rank]) -> str:
    """One sentence on why the first comes before the second; empty without a second."""
    if len(ranks) < 2:
        return ""
    first, second = ranks[0], ranks[1]
    ahead = f"{first.name} comes before {second.name}"
    for i, (a, b) in enumerate(zip(first.key, second.key, strict=True)):
        if a == b:
            continue
        if i == 0:
            return (
                f"{ahead}: it {first.verdict.word if first.verdict != Verdict.TIGHT else 'is tight'}, the other "
                + (
                    "is tight"
                    if second.verdict is Verdict.TIGHT
                    else f"is {second.verdict.word}"
                    if second.verdict is Verdict.UNPROVEN
                    else second.verdict.word
                )
                + "."
            )
        if i == 1:
            return f"{ahead}: it is available, the other is obsolete or out of stock with none on hand."
        if i == 2:
            return f"{ahead}: it needs {_changes(first.changes)}, the other {_changes(second.changes)}."
        if i == 3:
            return (
                f"{ahead}: its least headroom is {min(first.headroom, ENOUGH):.0%}"
                f"{' or more' if first.headroom > ENOUGH else ''}, the other's {second.headroom:.0%}."
            )
        if i == 4:
            return f"{ahead}: it costs less, and nothing that ranks higher tells them apart."
        return f"{ahead}: more pieces are on hand, and nothing that ranks higher tells them apart."
    return f"{first.name} and {second.name} rank the same; they are in order of part number."
