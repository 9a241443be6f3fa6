"""A part of the catalog: its single values, its point tables, and where each value came from."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from partcheck.parameters import KINDS
from partcheck.points import EMPTY, PointTable

Scalar = float | str | None


@dataclass(frozen=True)
class Provenance:
    """Where a value came from: a document, or a measurement on the bench."""

    document: str = ""
    revision: str = ""
    page: str = ""
    condition: str = ""
    entered_by: str = ""
    entered_on: str = ""
    measured: int | None = None

    def __str__(self) -> str:
        if self.measured:
            source = f"measured on the bench, n = {self.measured}"
        else:
            source = " ".join(filter(None, (self.document, self.revision and f"rev. {self.revision}")))
        page = self.page and f"p. {self.page}"
        entered = " ".join(filter(None, (self.entered_by, self.entered_on)))
        return ", ".join(filter(None, (source, page, self.condition, entered and f"entered {entered}")))


NOWHERE = Provenance()


@dataclass(frozen=True, eq=False)
class Part:
    """One manufacturer part. Numbers are SI (temperatures in kelvin), a value not stated is ``None``.

    ``values`` maps flat column names of the kind's declaration (``vgs_th_max``) to numbers or words;
    ``tables`` maps table names to their points; ``provenance`` maps a column or table name, or ``"*"``
    for the whole part, to its source.
    """

    kind: str
    part_number: str
    maker: str
    values: Mapping[str, Scalar]
    tables: Mapping[str, PointTable] = field(default_factory=dict)
    provenance: Mapping[str, Provenance] = field(default_factory=dict)

    @property
    def key(self) -> tuple[str, str]:
        """Maker and part number: what makes a part unique."""
        return self.maker, self.part_number

    @property
    def name(self) -> str:
        """The part number, with its maker."""
        return f"{self.part_number} ({self.maker})"

    def number(self, column: str) -> float:
        """A single value as a number; NaN where it is not stated."""
        value = self.values.get(column)
        return value if isinstance(value, float | int) else math.nan

    def word(self, column: str) -> str:
        """A single value as a word; empty where it is not stated."""
        value = self.values.get(column)
        return value if isinstance(value, str) else ""

    def table(self, name: str) -> PointTable:
        """The points of a table; none where the datasheet states none."""
        return self.tables.get(name, EMPTY)

    def source(self, column: str) -> str:
        """Where the value of a column or table came from, in words; empty where nobody said."""
        base = column
        for bound in ("_min", "_typ", "_max"):
            base = base.removesuffix(bound)
        for key in (column, base, "*"):
            if key in self.provenance:
                return str(self.provenance[key])
        return self.word("datasheet")


def point_table(kind: str, table: str, rows: Iterable[Mapping[str, Any]]) -> PointTable:
    """Make a table from rows of SI numbers and words; sorted by its axes, blanks as NaN.

    ``point_table("mosfet", "rds_on", [{"vgs": 10.0, "max": 0.028}])``.
    """
    declared = KINDS[kind].table(table)
    choices = {axis.name: axis.choices for axis in declared.axes if axis.choices}

    def number(name: str, value: Any) -> float:
        if value is None:
            return math.nan
        return float(choices[name].index(value)) if name in choices else float(value)

    columns = list(declared.columns())
    made = [tuple(number(name, row.get(name)) for name in columns) for row in rows]
    axes = len(declared.axes)
    made.sort(key=lambda row: tuple((v != v, v) for v in row[:axes]))
    return PointTable({name: tuple(row[i] for row in made) for i, name in enumerate(columns)})
