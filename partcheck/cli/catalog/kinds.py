"""A kind of part as somebody typed it."""

import difflib

from partcheck.errors import UsageError
from partcheck.parameters import KINDS


def known_kind(name: str) -> str:
    """A kind by its name; ``UsageError`` with a suggestion where there is none."""
    if name in KINDS:
        return name
    close = difflib.get_close_matches(name.lower(), KINDS, 1, 0.4)
    hint = f"did you mean {close[0]}?" if close else f"kinds are {', '.join(KINDS)}"
    raise UsageError(f"there is no kind {name!r}; {hint}")
