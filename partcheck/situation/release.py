"""What must let go once its switch opens: the numbers of one load, or the worst of several together."""

import math
from collections.abc import Callable, Iterable
from typing import NamedTuple

from partcheck.requirement import Fact


class Release(NamedTuple):
    """What must let go: the one load that states it, or the worst of each number of several."""

    time: float
    current: float
    end: float
    inductance: float
    resistance: float
    names: str
    parts: tuple[Fact, ...]


def worst(pick: Callable[[Iterable[float]], float], values: Iterable[float]) -> float:
    """The largest or least of some numbers, missing where one of them is."""
    known = list(values)
    return math.nan if any(value != value for value in known) else pick(known)


def worst_release(found: list[Release]) -> Release | None:
    """One load that lets go no sooner, against its limit, than any of several that go off together.

    Time to let go over the limit rises with inductance times current over the limit, and falls with the
    winding's drop and with the share of the current that is left, so the worst of each is taken.
    """
    if len(found) < 2:
        return found[0] if found else None
    time, current = min(r.time for r in found), max(r.current for r in found)
    flux = worst(max, (r.inductance * r.current / r.time for r in found))
    drop = worst(min, (r.resistance * r.current for r in found))
    left = worst(min, (r.end / r.current for r in found))
    return Release(
        time, current, left * current, flux * time / current, drop / current,
        " and ".join(r.names for r in found), tuple(part for r in found for part in r.parts),
    )  # fmt: skip
