"""What a search for parts asks: conditions on values, read from a text such as ``rds_on.max <= 30 mΩ at vgs <= 4.5 V``.

Nothing here knows a database; :mod:`partcheck.catalog.finding` asks one.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from partcheck.errors import UsageError, ValueSlip
from partcheck.parameters import KINDS, Axis, Kind, Parameter, Table
from partcheck.parameters.common import STATUSES
from partcheck.parts.problems import did_you_mean, quoted
from partcheck.units import parse, parse_span

_SIGNS = {"≤": "<=", "≥": ">=", "==": "=", "≠": "!="}
_COMPARED = re.compile(r"(?P<name>[^\W\d][\w.]*)\s*(?P<sign><=|>=|!=|==|[<>=≤≥≠])\s*(?P<value>\S.*)")
_BARE = re.compile(r"(?P<name>[^\W\d][\w.]*)\s+(?P<sign>stated|missing)", re.IGNORECASE)
_FORM = "write it as 'vds_max >= 60 V', 'vds_max = 40..100 V', 'rds_on.max <= 30 mΩ at vgs <= 4.5 V' or 'eas missing'"


@dataclass(frozen=True)
class Test:
    """One comparison: ``sign`` is <=, >=, <, >, = (between ``low`` and ``high``), !=, stated or missing."""

    column: str
    sign: str
    low: float | str = ""
    high: float | str = ""


@dataclass(frozen=True)
class NamedColumn:
    """A value of a kind: a flat column, or a bound of a point table."""

    column: str
    table: str = ""

    def __str__(self) -> str:
        return f"{self.table}.{self.column}" if self.table else self.column


@dataclass(frozen=True)
class Condition:
    """What is asked of one value; of a point table, that one stated row satisfies every test."""

    name: NamedColumn
    tests: tuple[Test, ...]


ALWAYS = ("part_number", "maker", "package", "status", "price", "currency", "quantity")


@dataclass(frozen=True)
class Query:
    """What to look for; everything that is given must hold. A value that is not stated satisfies no condition."""

    kind: str = ""
    where: Sequence[str] = ()
    text: str = ""
    package: str = ""
    status: Sequence[str] = ()
    on_hand: float | None = None
    """At least this many pieces on hand."""
    sort: Sequence[str] = ()
    """Names to sort by, the first first; one with a minus sign from large to small. Values not stated come last."""
    show: Sequence[str] = ()
    most: int | None = None
    """No more than so many of them are read, behind the first ``skip``."""
    skip: int = 0


@dataclass(frozen=True)
class FoundPart:
    """A part that was found: its identity, availability, and the values asked for, by name."""

    kind: str
    values: Mapping[str, Any]


@dataclass
class Found:
    """What a search found; ``shown`` maps each value asked for to its unit."""

    query: Query
    parts: list[FoundPart] = field(default_factory=list)
    total: int = 0
    """How many satisfy every condition, read or not."""
    shown: dict[str, str] = field(default_factory=dict)
    unstated: int = 0
    """How many further parts may satisfy the conditions, but do not state a value that is asked for."""


class NotOfKind(UsageError):
    """A name that this kind of part does not have."""


def names_of(kind: Kind) -> list[str]:
    """Every name that a search may use for parts of a kind."""
    return [*kind.columns(), *(f"{table.name}.{bound}" for table in kind.tables for bound in table.bounds)]


def find_name(kind: Kind, text: str) -> NamedColumn:
    """The value that a text names: ``vds_max``, ``vgs_th.max`` or ``vgs_th_max``, ``rds_on.max``."""
    head, _, bound = text.partition(".")
    tables = {table.name: table for table in kind.tables}
    if head in tables:
        table = tables[head]
        if not bound and len(table.bounds) == 1:
            return NamedColumn(table.bounds[0], head)
        if bound in table.columns():
            return NamedColumn(bound, head)
        have = " or ".join(f"{head}.{name}" for name in table.bounds)
        raise UsageError(f"{text!r} names no value of the table {head}; write {have}")
    flat = f"{head}_{bound}" if bound else head
    if flat in kind.columns():
        return NamedColumn(flat)
    bounds = [name for name, declared in kind.columns().items() if declared.name == head]
    if bounds:
        raise UsageError(f"{text!r} is stated as {', '.join(bounds)}; say which")
    raise NotOfKind(f"{text!r} is not a value of {kind.one}; {did_you_mean(text, names_of(kind), 'see the catalog')}")


def declared_of(kind: Kind, name: NamedColumn) -> Parameter | Axis | Table:
    """How a named value is declared."""
    if not name.table:
        return kind.columns()[name.column]
    table = kind.table(name.table)
    return {axis.name: axis for axis in table.axes}.get(name.column, table)


def read_conditions(kind: str, text: str) -> list[Condition]:
    """The conditions in a text; :class:`UsageError` says what cannot be read, :class:`NotOfKind` what is not there.

    Several are joined by ``and``; behind ``at`` stand conditions on the same row of the point table.
    """
    made: list[Condition] = []
    for piece in re.split(r"\s+and\s+", text.strip(), flags=re.IGNORECASE):
        head, *rest = re.split(r"\s+at\s+", piece, flags=re.IGNORECASE)
        row = _further(kind, made, head)
        if row is not None:
            made[-1] = Condition(made[-1].name, (*made[-1].tests, row))
        else:
            made.append(_condition(KINDS[kind], head))
        for more in rest:
            table = made[-1].name.table
            if not table:
                raise UsageError(f"{made[-1].name} is a single value and has no rows; leave out 'at {more}'")
            made[-1] = Condition(made[-1].name, (*made[-1].tests, _row_test(KINDS[kind].table(table), more)))
    return made


def _further(kind: str, made: Sequence[Condition], piece: str) -> Test | None:
    """A piece behind ``and`` that goes on with the row before it: one that names a column of that table."""
    if not made or not made[-1].name.table or len(made[-1].tests) < 2:
        return None
    table = KINDS[kind].table(made[-1].name.table)
    found = _COMPARED.fullmatch(piece)
    return _row_test(table, piece) if found and found["name"] in table.columns() else None


def _condition(kind: Kind, piece: str) -> Condition:
    found = _COMPARED.fullmatch(piece) or _BARE.fullmatch(piece)
    if found is None:
        raise UsageError(f"the condition {quoted(piece)} cannot be read; {_FORM}")
    name = find_name(kind, found["name"])
    sign = _SIGNS.get(found["sign"], found["sign"].lower())
    if sign in ("stated", "missing"):
        return Condition(name, (Test(name.column, sign),))
    return Condition(name, (_test(name.column, sign, found["value"], declared_of(kind, name)),))


def _row_test(table: Table, piece: str) -> Test:
    found = _COMPARED.fullmatch(piece)
    if found is None:
        raise UsageError(
            f"the condition {quoted(piece)} on rows of {table.name} cannot be read; write it as 'vgs <= 4.5 V'"
        )
    name = found["name"]
    if name not in table.columns():
        advice = did_you_mean(name, table.columns(), f"it has {', '.join(table.columns())}")
        raise UsageError(f"{name!r} is not a column of {table.name}; {advice}")
    declared = {axis.name: axis for axis in table.axes}.get(name, table)
    return _test(name, _SIGNS.get(found["sign"], found["sign"]), found["value"], declared)


def _test(column: str, sign: str, value: str, declared: Parameter | Axis | Table) -> Test:
    if not isinstance(declared, Table) and declared.is_text:
        if sign not in ("=", "!="):
            raise UsageError(f"{column} is a word and cannot be compared with {sign}; write {column} = {value}")
        word = value.strip().strip("'\"")
        if declared.choices and word.casefold() not in declared.choices:
            spelled = [choice for choice in declared.choices if choice.casefold() == word.casefold()]
            if not spelled:
                advice = did_you_mean(word, declared.choices, f"write one of {', '.join(declared.choices)}")
                raise UsageError(f"{column} is never {quoted(word)}; {advice}")
            word = spelled[0]
        return Test(column, sign, word, word)
    try:
        if sign == "=" and ".." in value:
            span = parse_span(value, declared.unit)
            return Test(column, sign, span.min, span.max)
        number = parse(value, declared.unit)
    except ValueSlip as slip:
        raise UsageError(f"the condition on {column} cannot be read: {slip}") from slip
    return Test(column, sign, number, number)


def kinds_for(kind: str, texts: Sequence[str], names: Sequence[str]) -> Iterator[tuple[str, list[Condition]]]:
    """Each kind that has every value asked for, with the conditions; the one kind, where one is named."""
    slips: list[UsageError] = []
    for each in [kind] if kind else list(KINDS):
        try:
            conditions = [made for text in texts for made in read_conditions(each, text)]
            for name in names:
                find_name(KINDS[each], name)
        except NotOfKind as slip:
            slips.append(slip)
            continue
        yield each, conditions
    if len(slips) == (1 if kind else len(KINDS)):
        raise slips[0] if kind else _nowhere(slips, texts, names)


def _nowhere(slips: Sequence[UsageError], texts: Sequence[str], names: Sequence[str]) -> UsageError:
    known = sorted({name for kind in KINDS.values() for name in names_of(kind)})
    for text in (*names, *(piece.group() for t in texts for piece in re.finditer(r"[^\W\d][\w.]*", t))):
        if text.replace(".", "_") not in known and text not in known and "_" in text:
            return UsageError(f"no kind of part states {text!r}; {did_you_mean(text, known, 'name the kind as well')}")
    return UsageError(f"no one kind of part has all that is asked for ({slips[0]}); name a kind and ask less")


def check(query: Query) -> Query:
    """The query, if its words are known; :class:`UsageError` with a suggestion where one is not."""
    for word, known in ((query.kind, tuple(KINDS)), *((status, STATUSES) for status in query.status)):
        if word and word not in known:
            advice = did_you_mean(word, known, f"write one of {', '.join(known)}")
            what = "status" if known is STATUSES else "kind of part"
            raise UsageError(f"there is no {what} {word!r}; {advice}")
    return query
