"""Words that known parts state already: packages, and pin orders of a package."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence

from partcheck.parts import Part
from partcheck.parts.packages import canonical

COMPLETED = ("package", "pin_order")
"""Columns whose words are taken from known parts: what is spelled in two ways would not be found as one."""


def known_words(column: str, known: Iterable[Part], package: str = "") -> list[str]:
    """What known parts state in a column of :data:`COMPLETED`, the most frequent first; of any other nothing.

    Of pin orders those of the same land pattern alone, where the package is known.
    """
    if column not in COMPLETED:
        return []
    wanted = canonical(package) if column == "pin_order" and package else ""
    count = Counter(part.word(column) for part in known if not wanted or canonical(part.word("package")) == wanted)
    return sorted(filter(None, count), key=lambda word: (-count[word], word))


def as_known(text: str, known: Sequence[str]) -> str:
    """The spelling of known parts for a text that differs from one of theirs in case and signs alone.

    ``as_known("sot23", ["SOT-23"]) == "SOT-23"``.
    """
    return {_plain(word): word for word in reversed(known)}.get(_plain(text), text)


def _plain(word: str) -> str:
    return re.sub(r"[\W_]", "", word).casefold()
