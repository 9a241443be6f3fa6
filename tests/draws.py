"""How much an ordinary run tries, and how much the long one: ``PARTCHECK_LONG=1`` tries everything.

Where every case is a whole board judged anew, an ordinary run takes some of them, the same each time.
"""

import os
from collections.abc import Sequence
from typing import TypeVar

from hypothesis import HealthCheck, settings

LONG = bool(os.environ.get("PARTCHECK_LONG"))
T = TypeVar("T")


def some(items: Sequence[T], most: int) -> list[T]:
    """All of them in the long run, else at most so many, evenly spread, the first and the last among them."""
    if LONG or len(items) <= most:
        return list(items)
    return [items[round(k * (len(items) - 1) / (most - 1))] for k in range(most)]


def settle() -> None:
    """Hypothesis draws the same in every ordinary run, and has all the time it needs on a busy machine."""
    settings.register_profile("ordinary", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    settings.register_profile("long", deadline=None, suppress_health_check=[HealthCheck.too_slow])
    settings.load_profile("long" if LONG else "ordinary")
