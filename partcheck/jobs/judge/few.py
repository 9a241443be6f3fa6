"""Some names of many, as a sentence lists them."""

from collections.abc import Sequence

NAMED = 3
"""So many names are listed whole."""


def few(names: Sequence[str]) -> str:
    """``Q1, Q2, Q3``, and of more than three ``Q1, Q2 and 14 more``."""
    if len(names) <= NAMED:
        return ", ".join(names)
    return f"{', '.join(names[: NAMED - 1])} and {len(names) - NAMED + 1} more"
