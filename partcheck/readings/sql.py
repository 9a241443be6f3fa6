"""The database pre-filter: a WHERE clause from the same declarations, dropping certain failures only."""

from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa

from partcheck.operations import Operation, UnknownReading
from partcheck.parts.packages import canonical
from partcheck.requirement import Requirement, Role, pairs, views


class _NoTable:
    """A point table, which the pre-filter leaves to the columns."""


def _member(column: Any, allowed: frozenset[str]) -> Any:
    return sa.case((column.is_(None), None), (column.in_(sorted(allowed)), 1.0), else_=0.0)


def _pick(larger: bool) -> Any:
    def reading(a: Any, b: Any) -> Any:
        a, b = (sa.literal(x) if isinstance(x, float | int) else x for x in (a, b))
        first = a >= b if larger else a <= b
        blank = sa.or_(a.is_(None), b.is_(None))
        return sa.case((blank, None), (first, a), else_=b)

    return reading


Operation.registry["member"].register(sa.ColumnElement, _member)
Operation.registry["larger"].register(sa.ColumnElement, _pick(True))
Operation.registry["smaller"].register(sa.ColumnElement, _pick(False))


def _clauses(role: Role, table: sa.Table, facts: Mapping[str, Any]) -> dict[str, Any]:
    """For each requirement that SQL can read in full: the condition under which a part surely fails."""

    def column(name: str) -> Any:
        return table.c[name] if name in table.c else _NoTable()

    def fact(name: str) -> Any:
        value = facts.get(name)
        return float("nan") if value is None else value

    p, n = views(role, column, fact)
    made: dict[str, Any] = {}
    for requirement in role.requirements.values():
        if requirement.change or not role.asked(requirement, facts):
            continue
        clause = _fails(requirement, p, n)
        if clause is not None:
            made[requirement.id] = clause
    return made


def _fails(requirement: Requirement, p: Any, n: Any) -> Any:
    try:
        made = pairs(requirement, p, n)
    except (UnknownReading, TypeError, ZeroDivisionError) as slip:
        if isinstance(slip, TypeError) and "_NoTable" not in str(slip) and not isinstance(slip, UnknownReading):
            raise
        return None
    sides = [side for pair in made for side in pair]
    if any(isinstance(side, float | int) and side != side for side in sides):
        return None
    if not any(isinstance(side, sa.ColumnElement) for side in sides):
        return None
    return sa.or_(*(sa.literal(d) > c if isinstance(d, float | int) else d > c for d, c in made))


def keep_clause(role: Role, table: sa.Table, facts: Mapping[str, Any]) -> Any:
    """A WHERE clause that keeps every part not certain to fail, unknown ones included."""
    return sa.and_(sa.true(), *(clause.is_not(sa.true()) for clause in _clauses(role, table, facts).values()))


def failure_counts(role: Role, table: sa.Table, facts: Mapping[str, Any]) -> dict[str, Any]:
    """For each requirement that SQL reads: the aggregate that counts its certain failures."""
    return {id_: sa.func.sum(sa.case((clause, 1), else_=0)) for id_, clause in _clauses(role, table, facts).items()}


__all__ = ["canonical", "failure_counts", "keep_clause"]
