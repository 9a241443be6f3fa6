"""Which requirements read a value, and which stay unproven where it is missing: the formulas themselves tell.

A :class:`Reads` number is not computed; it carries which of the part's values it rests on, and which of those
are missing. What is missing follows the rules of the operations: one of two statements is enough for ``prefer``,
what the policy in force assumes fills in for ``assume``, and every other operation wants all of its operands. Whether a
stated point holds at a board's conditions is not asked: only a board can tell.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from partcheck.operations import Operation
from partcheck.parameters import KINDS
from partcheck.parts.part import Part
from partcheck.points import Row
from partcheck.policy import ASSUMED, BENCH, Policy
from partcheck.requirement import Role, pairs, views

Names = frozenset[str]
_NONE: Names = frozenset()
_UNSAID: Names = frozenset({""})
"""A gap that is not the part's: what the policy in force does not assume."""


class Reads:
    """A number that only says what it rests on; ``never`` marks a share or rate that is zero for such a part."""

    __slots__ = ("missing", "names", "never", "word")

    def __init__(self, names: Names = _NONE, missing: Names = _NONE, never: bool = False, word: str = "") -> None:
        self.names, self.missing, self.never, self.word = names, missing, never, word

    def _with(self, other: Any) -> "Reads":
        return _all((self, other))

    def _plus(self, other: Any) -> "Reads":
        made = _all((self, other))
        made.never = self.never and (other.never if isinstance(other, Reads) else other == 0)
        return made

    __add__ = __radd__ = _plus
    __sub__ = __rsub__ = __mul__ = __rmul__ = __truediv__ = __rtruediv__ = _with

    def __neg__(self) -> "Reads":
        return self


class ReadTable:
    """A point table that only says which columns of it are read, and which of them are stated at all."""

    def __init__(self, name: str, stated: Names) -> None:
        self.name, self.stated = name, stated

    def column(self, name: str) -> Reads:
        """A column of some row."""
        missing = _NONE if name in self.stated else frozenset({f"{self.name}.{name}" if self.stated else self.name})
        return Reads(frozenset({self.name}), missing)

    def row(self) -> Row:
        """Some row."""
        return _AnyRow(self)


class _AnyRow(Row):
    def __init__(self, table: ReadTable) -> None:
        super().__init__({})
        self.__dict__["_table"] = table

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        table: ReadTable = self.__dict__["_table"]
        return table.column(name)


def _all(operands: Iterable[Any]) -> Reads:
    names, missing = _NONE, _NONE
    for operand in operands:
        if isinstance(operand, Reads):
            names, missing = names | operand.names, missing | operand.missing
        elif isinstance(operand, ReadTable):
            names |= {operand.name}
            missing |= _NONE if operand.stated else {operand.name}
    return Reads(names, missing)


def _assume(stated: Any, assumed: Any) -> Reads:
    """What is assumed is enough, where the policy in force assumes it."""
    both = _all((stated, assumed))
    known = any(not operand.missing for operand in (stated, assumed) if isinstance(operand, Reads))
    return Reads(both.names, _NONE if known or not isinstance(assumed, Reads) else both.missing)


def _prefer(a: Any, b: Any) -> Reads:
    """One of two statements of the part is enough. What a board may state instead, it may also leave out."""
    both = _all((a, b))
    own = [operand for operand in (a, b) if isinstance(operand, Reads) and operand.names]
    known = any(not operand.missing for operand in own) or not all(isinstance(operand, Reads) for operand in (a, b))
    return Reads(both.names, _NONE if known else both.missing)


def _none_stated(x: Reads) -> Reads:
    """Known exactly where the value is not stated."""
    return Reads(x.names, _NONE if x.missing else x.names)


def _per_time(rate: Any, value: Any) -> Reads:
    """What never happens needs no value."""
    both = _all((rate, value))
    return Reads(both.names, _NONE, True) if isinstance(rate, Reads) and rate.never else both


def _member(word: Reads, allowed: Collection[str] | Reads) -> Reads:
    other = isinstance(word, Reads) and bool(word.word) and not isinstance(allowed, Reads) and word.word not in allowed
    made = _all((word, allowed))
    return Reads(made.names, made.missing, other)


def _rows(table: ReadTable, formula: Callable[[Row], Any]) -> Reads:
    return _all((table, formula(table.row())))


def _curve(table: ReadTable, x: str, y: str, *rest: Any) -> Reads:
    return _all((table.column(x), table.column(y), *rest))


def _equilibrium(
    table: ReadTable, y: str, start: Any, theta: Any, limit: Any, loss: Callable[[Any, Any], Any]
) -> Reads:
    factor = table.column(y)
    return _all((factor, start, theta, limit, loss(factor, start)))


def _load_line(table: ReadTable, y: str, *rest: Any) -> Reads:
    return _all((table.column(y), *rest))


def _assume_row(table: ReadTable, axis: str, at: Any, column: str, value: Any) -> ReadTable:
    if isinstance(value, Reads) and value.missing:
        return table
    return ReadTable(table.name, table.stated | {axis, column})


def _same_table(table: ReadTable, *_: Any) -> ReadTable:
    return table


_NUMBERS: Mapping[str, Callable[..., Any]] = {
    "prefer": _prefer,
    "assume": _assume,
    "none_stated": _none_stated,
    "per_time": _per_time,
    "member": _member,
}
_TABLES: Mapping[str, Callable[..., Any]] = {
    "least": _rows,
    "greatest": _rows,
    "equilibrium": _equilibrium,
    "load_line": _load_line,
    "assume_row": _assume_row,
    "with_point": _same_table,
    "shifted": _same_table,
}
for _operation in list(Operation.registry.values()):
    _operation.register(ReadTable, _TABLES.get(_operation.name, _curve))
    _operation.register(Reads, _NUMBERS.get(_operation.name, lambda *operands: _all(operands)))


def _part_reader(kind_name: str, part: Part | None) -> Callable[[str], Any]:
    """What a formula reads of a part; without a part everything is stated."""
    tables = {table.name: table for table in KINDS[kind_name].tables}

    def read(name: str) -> Any:
        if name in tables:
            columns = frozenset(tables[name].columns())
            if part is not None:
                points = part.table(name).columns
                columns = frozenset(c for c in columns if any(v == v for v in points.get(c, ())))
                optional = {axis.name for axis in tables[name].axes if not axis.required}
                columns |= optional if columns else _NONE
            return ReadTable(name, columns)
        stated = part is None or part.values.get(name) not in (None, "")
        word = part.word(name) if part is not None else ""
        return Reads(frozenset({name}), _NONE if stated else frozenset({name}), word=word)

    return read


SELDOM = frozenset({"switch_frequency", "avalanche_rate", "spike_rate", "pulse_rate"})
"""Rates of a board that count only where it chops, or lets a part break down: what they multiply is not asked first."""
FORWARD = frozenset({"forward", "reverse_rail", "forward_current", "recovery_allowed"})
BREAKING = frozenset({"breaks_at_switch", "breaks_at_load", "standoff_rail", "breakdown_current", "repeat_rate"})
"""What a board states only where a diode conducts forward, and only where one breaks down."""


def never_for(part: Part | None) -> Names:
    """The board's facts that are zero, or not stated, wherever such a part is fitted."""
    if part is None:
        return _NONE
    clamps = part.word("construction") in ("zener", "tvs", "tvs-bidirectional")
    return SELDOM | (FORWARD if clamps else BREAKING)


def _fact_reader(policy: Policy, never: Names) -> Callable[[str], Reads]:
    def read(name: str) -> Reads:
        if name in never:
            return Reads(never=True)
        word = name.removeprefix("assumed_")
        unknown = word != name and word in ASSUMED and policy.assumption(word) != policy.assumption(word)
        return Reads(_NONE, _UNSAID if unknown else _NONE)

    return read


def _judge(role: Role, part: Part | None, policy: Policy) -> dict[str, Reads]:
    p, n = views(role, _part_reader(role.kind, part), _fact_reader(policy, never_for(part)))
    return {id_: _all(side for pair in pairs(rule, p, n) for side in pair) for id_, rule in role.requirements.items()}


_SEEN: dict[int, tuple[Role, dict[str, Names]]] = {}


def facts_read(role: Role) -> Mapping[str, Names]:
    """For each requirement of a role, by its id, the facts of the board that it reads; made once for a role."""
    if id(role) not in _SEEN:
        p, n = _by_facts(role)
        made = {
            id_: _all(side for pair in pairs(rule, p, n) for side in pair).names & set(role.facts)
            for id_, rule in role.requirements.items()
        }
        _SEEN[id(role)] = role, made
    return _SEEN[id(role)][1]


def facts_asked(role: Role, id_: str) -> Names:
    """Every fact that a requirement of a role looks at, what a policy puts into a table among them."""
    seen: set[str] = set()

    def fact(name: str) -> Reads:
        seen.add(name)
        return Reads(frozenset({name}))

    pairs(role.requirements[id_], *_opened(role, fact))
    return frozenset(seen)


def facts_under(role: Role, name: str) -> Names:
    """The facts of the board that a quantity of a part in its place rests on."""
    return _all([getattr(_by_facts(role)[0], name)]).names & role.facts.keys()


_OPENED: dict[int, tuple[Role, tuple[Any, Any]]] = {}


def _by_facts(role: Role) -> tuple[Any, Any]:
    """The views of a role that only carry which facts they rest on; opened once, as they rest on no board."""
    if id(role) not in _OPENED:
        _OPENED[id(role)] = role, _opened(role, lambda name: Reads(frozenset({name})))
    return _OPENED[id(role)][1]


def _opened(role: Role, fact: Callable[[str], Reads]) -> tuple[Any, Any]:
    tables = {table.name for table in KINDS[role.kind].tables} if role.kind else set()

    def part(name: str) -> Any:
        return ReadTable(name, _NONE) if name in tables else Reads()

    return views(role, part, fact)


def read_by(role: Role) -> dict[str, tuple[str, ...]]:
    """For each value or table that a role reads of its part: the ids of the requirements that read it."""
    made: dict[str, list[str]] = {}
    for id_, read in _judge(role, None, BENCH).items():
        for name in sorted(read.names):
            made.setdefault(name, []).append(id_)
    return {name: tuple(ids) for name, ids in made.items()}


def left_unproven(role: Role, part: Part, policy: Policy = BENCH) -> dict[str, tuple[str, ...]]:
    """The requirements that stay unproven where a board asks them, and the values missing for each.

    Where a board does not chop and no part breaks down; a board that does may leave more unproven.
    """
    never = never_for(part)
    found = {
        id_: tuple(sorted(read.missing - _UNSAID))
        for id_, read in _judge(role, part, policy).items()
        if not never & set(role.requirements[id_].asks)
    }
    return {id_: missing for id_, missing in found.items() if missing}
