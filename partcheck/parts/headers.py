"""Which column a header means: by its name or its symbol, in any spelling, with or without a unit.

``VDS max (V)``, ``Vds_max [V]`` and ``V_DSS / V`` are ``vds_max`` of a MOSFET. What could mean two things means
none: ``ID (A)`` may be a rating at some temperature or the condition of another value.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from partcheck.parameters import BOUNDS, KINDS, Axis, Parameter, Table
from partcheck.parts import checks
from partcheck.units import is_unit

KEYS = ("kind", *checks.IDENTITY)
REASON = "rejected because"
"""The column that says why a row was rejected; it is not read."""

_HEADER = re.compile(r"([^\[\]]*)(?:\[\s*([^\[\]]+?)\s*\]([^\[\]]*))?")
_TAILS = (re.compile(r"(.*?)\(\s*([^()]+?)\s*\)(.*)"), re.compile(r"(.*\S)(?:\s+/\s*|\s*,\s*|\s+in\s+)([^\s,]+)()$"))
_BOUND_WORDS = {"min": ("min", "minimum"), "typ": ("typ", "typical"), "max": ("max", "maximum")}
_ALSO = {
    "part_number": ("part", "part no", "part #", "MPN", "P/N", "manufacturer part number", "maker's part number"),
    "maker": ("manufacturer", "mfr", "mfg", "brand", "made by"),
    "description": ("desc",),
    "colour": ("color",),
    "package": ("case", "housing", "footprint"),
    "pin_order": ("pinout", "pinning", "pins"),
    "status": ("lifecycle", "availability"),
    "price": ("unit price", "price each"),
    "quantity": ("qty", "stock", "in stock", "on hand", "pieces"),
    "datasheet": ("data sheet", "document"),
    "notes": ("note", "remarks", "remark", "comment", "comments"),
}
_SPELLED = (("θ", ("th", "theta")), ("λ", ("lambda",)), ("φ", ("phi",)), ("δ", ("delta",)))


class Header(NamedTuple):
    """What a header says: the column it means, the unit for bare numbers under it, and what else it may mean.

    ``column`` is empty where it is not clear, and the header itself in lower case where it is not known.
    """

    column: str
    label: str = ""
    may_be: tuple[str, ...] = ()
    bad: bool = False


@dataclass
class Vocabulary:
    """The columns that a sheet may have, and by which words each is known."""

    declared: dict[str, Parameter | Axis | Table] = field(default_factory=dict)
    exact: dict[str, str] = field(default_factory=dict)
    loose: dict[str, set[str]] = field(default_factory=dict)

    def add(self, column: str, *words: str) -> None:
        """Let a column be meant by words that may mean others too."""
        for word in words:
            if len(plain(word)) > 1:
                self.loose.setdefault(plain(word), set()).add(column)

    def find(self, text: str) -> tuple[str, tuple[str, ...]]:
        """The column that a text means, or every column that it may mean."""
        word = plain(text)
        if word in self.exact:
            return self.exact[word], ()
        found = sorted(self.loose.get(word, ()))
        return (found[0], ()) if len(found) == 1 and not found[0].startswith("(") else ("", tuple(found))


@cache
def plain(text: str) -> str:
    """Letters and digits in lower case, look-alikes as one: ``plain("V_GS(th) max.") == "vgsthmax"``.

    ``%`` and ``°`` stay as well: they are units, and a header that has one is not the same without it.
    """
    folded = unicodedata.normalize("NFKC", text).casefold()
    return "".join(letter for letter in folded if letter.isalnum() or letter in "#%°")


def is_bound(text: str) -> bool:
    """Whether a text says which bound a value is, and nothing else: ``is_bound("Max.")``."""
    return any(plain(text) in words for words in _BOUND_WORDS.values())


def read_header(text: str, words: Vocabulary) -> Header:
    """What a header means among the columns of a vocabulary."""
    match = _HEADER.fullmatch(text.strip())
    if match is None:
        return Header(" ".join(text.split()), bad=True)
    name, label = " ".join(f"{match[1]} {match[3] or ''}".split()), match[2] or ""
    if is_bound(label):  # VGS(th) [max]
        name, label = f"{name} {label}", ""
    column, may_be = words.find(name)
    if not column and not may_be and not label:
        for head, unit in _with_units(name):
            column, may_be = words.find(head)
            if column or may_be:
                name, label = head, unit
                break
    return Header(column or ("" if may_be else name.casefold()), label, may_be)


def _with_units(name: str) -> Iterator[tuple[str, str]]:
    """Each way to take a unit out of a header that has no brackets: ``VDS max (V)``, ``VDS max / V``."""
    for pattern in _TAILS:
        start = 0
        while match := pattern.match(name, start):
            head = f"{name[:start]}{match[1]} {match[3]}"
            if is_unit(match[2]) and plain(match[2]) not in BOUNDS:
                yield head, match[2]
            if not match[3]:
                break
            start = match.end(2) + 1
            if start >= len(name):
                break


@cache
def main_words(kinds: tuple[str, ...]) -> Vocabulary:
    """The columns of a sheet with one row per part, of one kind or of several."""
    words = Vocabulary()
    for kind in kinds:
        words.declared |= checks.columns(kind)
        words.exact |= {plain(column): column for column in checks.columns(kind)}
    for kind in kinds:
        for parameter in KINDS[kind].parameters:
            for column in parameter.columns():
                words.add(column, *_words_of(parameter, column))
            if parameter.bounds:
                words.add(f"({' or '.join(parameter.columns())})", parameter.name, *_symbols(parameter.symbol))
        for table in KINDS[kind].tables:
            _block(words, table)
    words.exact["kind"] = "kind"
    return words


@cache
def point_words(kinds: tuple[str, ...], name: str) -> Vocabulary:
    """The columns of a sheet with one row per point of a table."""
    words = Vocabulary()
    for kind in sorted(kinds):
        table = KINDS[kind].table(name)
        words.declared |= checks.point_columns(table)
        for axis in table.axes:
            words.add(axis.name, axis.name, *_symbols(axis.symbol))
        heads = (table.name, *_symbols(table.symbol))
        for bound in table.bounds:
            spelled = _BOUND_WORDS[bound]
            words.add(bound, *spelled, *(f"{h} {w}" for h in heads for w in spelled))
            words.add(bound, *(f"{w} {h}" for h in heads for w in spelled))
        words.add(*table.bounds, *heads) if table.rating else words.add(f"({' or '.join(table.bounds)})", *heads)
    words.exact |= {plain(column): column for column in words.declared}
    _add_keys(words)
    return words


@cache
def source_words() -> Vocabulary:
    """The columns of a sheet of sources."""
    words = Vocabulary()
    words.exact |= {plain(name): name for name in ("parameter", *checks.SOURCE)}
    _add_keys(words)
    return words


def _add_keys(words: Vocabulary) -> None:
    words.exact |= {plain(name): name for name in KEYS}
    for name in checks.IDENTITY:
        words.add(name, *_ALSO[name])


def _words_of(parameter: Parameter, column: str) -> Iterator[str]:
    """What a column may be called beside its name."""
    yield from _ALSO.get(column, ())
    heads = [*_symbols(parameter.symbol), re.split(r"[(;,]", parameter.meaning)[0]]
    if not parameter.bounds:
        yield from heads
        rated = heads if column.endswith("_max") else [column]
        yield from (f"{head} {word}" for head in rated for word in _BOUND_WORDS["max"] if not parameter.is_text)
        yield from (f"{word} {head}" for head in rated for word in _BOUND_WORDS["max"] if not parameter.is_text)
        return
    for head in (parameter.name, *heads):
        for word in _BOUND_WORDS[column.rpartition("_")[2]]:
            yield f"{head} {word}"
            yield f"{word} {head}"


def _symbols(symbol: str) -> list[str]:
    """The spellings of a symbol: with its Greek letters, and with them spelled out; a voltage as V or as U."""
    spelled = [symbol] if symbol else []
    if re.match("V[_(]", symbol):
        spelled.append(f"U{symbol[1:]}")
    for letter, words in _SPELLED:
        folded = [text.casefold() for text in spelled]
        spelled += [text.replace(letter, word) for text in folded if letter in text for word in words]
    return spelled


def _block(words: Vocabulary, table: Table) -> None:
    """Let the words of a point table mean the table, so that none of them means a single value by chance."""
    for symbol in (*_symbols(table.symbol), table.name):
        words.add(f"(a row of {table.name})", symbol)
        for bound in table.bounds:
            words.add(f"(a row of {table.name})", *(f"{symbol} {word}" for word in _BOUND_WORDS[bound]))
            words.add(f"(a row of {table.name})", *(f"{word} {symbol}" for word in _BOUND_WORDS[bound]))
    for axis in table.axes:
        words.add(f"(the condition {axis.name} of {table.name})", *_symbols(axis.symbol))


def identity_in(cells: list[str], known: Mapping[str, str]) -> int:
    """How much of a header's must a row of cells has: part number, maker; ``known`` are headers mapped by hand."""
    words = source_words()
    found = {known.get(cell.strip()) or words.find(cell)[0] for cell in cells if cell}
    return len(found & set(checks.IDENTITY))
