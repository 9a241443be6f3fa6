"""The tables of the catalog, made from the declarations: one row per part, one table per kind.

A wide table per kind (``mosfet``) has every single value as a column; a table per point table
(``mosfet_rds_on``) has one row per stated point, its conditions that are words as words. Sources are in
``provenance``, former values in ``history``, the commands that changed them in ``changes``, accepted substitutions
in ``accepted``.
"""

from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Dialect
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import FunctionElement
from sqlalchemy.types import TypeDecorator

from partcheck.parameters import KINDS, Kind, Table
from partcheck.parts.checks import IDENTITY, SOURCE

_NAMES = {
    "pk": "pk_%(table_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
}


class Quantity(TypeDecorator[float]):
    """An SI number: NaN and None become NULL, and division by zero gives NULL on every database.

    Databases differ on both: one takes NaN for larger than every number, one ends a query that divides by
    zero. ``sa.Column("vds_max", Quantity())``.
    """

    impl = sa.Double
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> float | None:
        """A number as it is stored."""
        return None if value is None or value != value else float(value)

    class comparator_factory(TypeDecorator.Comparator[float]):  # noqa: N801 - the name that SQLAlchemy looks for
        def __truediv__(self, other: Any) -> Any:
            return super().__truediv__(sa.func.nullif(other, 0.0, type_=Quantity()))

        def __rtruediv__(self, other: Any) -> Any:
            return sa.literal(other, Quantity()) / self.expr


class in_lower_case(FunctionElement[str]):  # noqa: N801 - a function of the database
    """A text with A to Z as a to z and all else as it is, on every database and whatever language it speaks."""

    type = sa.Text()
    inherit_cache = True


@compiles(in_lower_case, "sqlite")
def _lower_on_sqlite(element: in_lower_case, compiler: Any, **how: Any) -> str:
    return f"lower({compiler.process(element.clauses, **how)})"


@compiles(in_lower_case, "postgresql")
def _lower_on_postgresql(element: in_lower_case, compiler: Any, **how: Any) -> str:
    return f'lower(({compiler.process(element.clauses, **how)}) COLLATE "C")'


metadata = sa.MetaData(naming_convention=_NAMES)


def point_table_name(kind: str, table: str) -> str:
    """The database's name of a point table: ``point_table_name("mosfet", "rds_on") == "mosfet_rds_on"``."""
    return f"{kind}_{table}"


def _wide(kind: Kind) -> sa.Table:
    columns: list[Any] = [sa.Column("id", sa.Integer, primary_key=True)]
    for name, parameter in kind.columns().items():
        value: Any = sa.Text() if parameter.is_text else Quantity()
        columns.append(sa.Column(name, value, nullable=name not in IDENTITY))
    return sa.Table(kind.name, metadata, *columns, sa.UniqueConstraint("part_number", "maker"))


def _points(kind: Kind, table: Table) -> sa.Table:
    columns: list[Any] = [
        sa.Column("part_id", sa.ForeignKey(f"{kind.name}.id"), primary_key=True, autoincrement=False),
        sa.Column("place", sa.Integer, primary_key=True, autoincrement=False),
    ]
    for axis in table.axes:
        value: Any = sa.Text() if axis.is_text else Quantity()
        columns.append(sa.Column(axis.name, value, nullable=not axis.required))
    columns += [sa.Column(bound, Quantity()) for bound in table.bounds]
    return sa.Table(point_table_name(kind.name, table.name), metadata, *columns)


WIDE = {kind.name: _wide(kind) for kind in KINDS.values()}
POINTS = {(kind.name, table.name): _points(kind, table) for kind in KINDS.values() for table in kind.tables}

PROVENANCE = sa.Table(
    "provenance",
    metadata,
    sa.Column("kind", sa.Text, primary_key=True),
    sa.Column("part_id", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("parameter", sa.Text, primary_key=True),
    *(sa.Column(name, sa.Integer if name == "measured" else sa.Text) for name in SOURCE),
)

HISTORY = sa.Table(
    "history",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("part_id", sa.Integer, nullable=False),
    sa.Column("column", sa.Text, nullable=False),
    sa.Column("former", sa.Text),
    sa.Column("new", sa.Text),
    sa.Column("changed_by", sa.Text, nullable=False),
    sa.Column("changed_at", sa.Text, nullable=False),
    sa.Column("change_id", sa.Integer),
    sa.Column("part_number", sa.Text),
    sa.Column("maker", sa.Text),
    sa.Index(None, "kind", "part_id"),
    sa.Index(None, "kind", "part_number"),
    sa.Index(None, "change_id"),
)
"""A changed value each. The column ``part`` stands for the whole part: entered, or taken out by an undo."""

CHANGES = sa.Table(
    "changes",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("what", sa.Text, nullable=False),
    sa.Column("note", sa.Text),
    sa.Column("undoes", sa.Integer),
    sa.Column("changed_by", sa.Text, nullable=False),
    sa.Column("changed_at", sa.Text, nullable=False),
)
"""A command each: an import, an edit, an undo."""

ACCEPTED = sa.Table(
    "accepted",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    *(
        sa.Column(name, sa.Text, nullable=False)
        for name in (
            "board",
            "revision",
            "reference",
            "role",
            "kind",
            "fitted",
            "part_number",
            "maker",
            "policy",
            "verdict",
            "version",
            "accepted_by",
            "accepted_at",
            "note",
            "basis",
            "result",
        )
    ),
    sa.Index(None, "kind", "part_number", "maker"),
)
"""Each substitution that was accepted; ``basis`` (what it rested on) and ``result`` are JSON."""
