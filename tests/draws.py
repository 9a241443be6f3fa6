"""How much an ordinary run tries, and how much the long one: ``PARTCHECK_LONG=1`` tries everything.

Where every case is a whole board judged anew, an ordinary run takes some of them, the same each time.
"""

import os
from collections.abc import Sequence
from typing import TypeVar

LONG = bool(os.environ.get("PARTCHECK_LONG"))
T = TypeVar("T")


def some(items: Sequence[T], most: int) -> list[T]:
    """All of them in the long run, else at most so many, evenly spread, the first and the last among them."""
    if LONG or len(items) <= most:
        return list(items)
    return [items[round(k * (len(items) - 1) / (most - 1))] for k in range(most)]
