"""The kind of part that a sheet holds by its headers, where its name does not tell: ``Sheet1`` with VDS, VGS."""

from collections.abc import Sequence
from functools import cache

from partcheck.parameters import KINDS
from partcheck.parts import checks
from partcheck.parts.headers import Vocabulary, main_words, read_header
from partcheck.parts.prices import currency_in

_ENOUGH = 2
"""So many headers of one kind alone tell it; one may be a chance."""


@cache
def common_columns() -> frozenset[str]:
    """The columns that parts of every kind have: number, maker, price, and so on."""
    return frozenset.intersection(*(frozenset(checks.columns(kind)) for kind in KINDS))


def names_column(text: str, words: Vocabulary) -> bool:
    """Whether a header says by itself which column, or which table, of a vocabulary it means."""
    head = text.partition("@")[0].strip()
    may_be = read_header(currency_in(head)[0], words).may_be if head else ()
    return names_value(head, words) or bool(may_be and all(may.startswith("(a row of ") for may in may_be))


def names_value(text: str, words: Vocabulary) -> bool:
    """Whether a header means one column of a vocabulary, as it stands."""
    found = read_header(currency_in(text)[0], words)
    return not found.bad and (found.column in words.declared or found.column in words.exact.values())


def kind_of(headers: Sequence[str]) -> str:
    """The one kind that knows what every header says that any kind knows; empty where there is no such one.

    ``kind_of(["Part", "Maker", "Vrrm (V)", "VF max @ 1 A (V)"]) == "diode"``: an LED has a forward voltage, too, but
    no ``Vrrm``.
    """
    known = {kind: _own(headers, kind) for kind in KINDS}
    best = max(known, key=lambda kind: len(known[kind]))
    mine = known[best]
    others = [places for kind, places in known.items() if kind != best]
    return best if len(mine) >= _ENOUGH and all(places < mine for places in others) else ""


def is_general(headers: Sequence[str]) -> bool:
    """Whether a header names nothing that only some kinds have: a list of prices, of parts of any kind."""
    words = main_words(("mosfet",))
    common = common_columns()
    columns = [read_header(currency_in(text)[0], words).column for text in headers if text.strip()]
    return bool(columns) and all(column in common for column in columns)


def _own(headers: Sequence[str], kind: str) -> frozenset[int]:
    """The places of the headers that this kind knows, and not every kind."""
    words, common = main_words((kind,)), common_columns()
    return frozenset(
        place
        for place, text in enumerate(headers)
        if names_column(text, words) and read_header(currency_in(text)[0], words).column not in common
    )
