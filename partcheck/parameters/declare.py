"""How a datasheet parameter is declared: once, for every use of it.

The Pydantic models, the database columns, the headers of an import sheet, the help text and the
format document are all made from these declarations. A name is the trade's symbol; a unit is SI
(temperatures are absolute, entered in °C); ``low`` and ``high`` are what a value may plausibly be.
"""

from collections.abc import Iterator
from dataclasses import dataclass

BOUNDS = ("min", "typ", "max")


@dataclass(frozen=True)
class Parameter:
    """One value of a datasheet, or the same value as min, typ and max.

    ``bounds`` names which of min, typ and max a datasheet may state; empty for a value that is a
    rating or a condition and stands alone. ``choices`` makes it a text out of a closed list and
    ``text`` a free text. ``magnitude`` says that it holds with either sign, so that ±20 V may be
    written for 20 V. ``Parameter("vds_max", "V_DSS", "V", "drain-source rating", 1, 2000)``
    is the column ``vds_max``; ``Parameter("vgs_th", …, bounds=BOUNDS)`` is ``vgs_th_min``,
    ``vgs_th_typ`` and ``vgs_th_max``.
    """

    name: str
    symbol: str
    unit: str
    meaning: str
    low: float = 0.0
    high: float = 0.0
    bounds: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    text: bool = False
    magnitude: bool = False

    @property
    def is_text(self) -> bool:
        """True where the value is a word, not a number."""
        return self.text or bool(self.choices)

    def columns(self) -> Iterator[str]:
        """The flat names of this parameter: one, or one per bound."""
        if not self.bounds:
            yield self.name
        for bound in self.bounds:
            yield f"{self.name}_{bound}"


@dataclass(frozen=True)
class Axis:
    """A condition under which a row of a point table is stated."""

    name: str
    symbol: str
    unit: str
    meaning: str
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    required: bool = True

    @property
    def is_text(self) -> bool:
        """True where the condition is a word out of ``choices``."""
        return bool(self.choices)


@dataclass(frozen=True)
class Table:
    """A value stated at several conditions: one row per point, ``axes`` then ``bounds``.

    ``rating`` says that it is an absolute maximum rating: a sheet may name it without ``max``.
    """

    name: str
    symbol: str
    unit: str
    meaning: str
    low: float
    high: float
    axes: tuple[Axis, ...]
    bounds: tuple[str, ...] = ("max",)
    rating: bool = False

    def columns(self) -> Iterator[str]:
        """Axis names, then the bounds."""
        yield from (axis.name for axis in self.axes)
        yield from self.bounds

    def axis(self, name: str) -> Axis:
        """The axis of that name; ``KeyError`` where there is none."""
        return {axis.name: axis for axis in self.axes}[name]


@dataclass(frozen=True)
class Kind:
    """A kind of part: its single values and its point tables."""

    name: str
    title: str
    parameters: tuple[Parameter, ...]
    tables: tuple[Table, ...]

    @property
    def word(self) -> str:
        """What it is called in a sentence: ``MOSFET``, ``linear regulator``."""
        return self.title if self.title.isupper() else self.title.lower()

    @property
    def one(self) -> str:
        """With its article: ``an LED``."""
        return f"{'an' if self.word == 'LED' else 'a'} {self.word}"

    def columns(self) -> dict[str, Parameter]:
        """Flat column name to declaration, in the order a datasheet lists them."""
        return {column: p for p in self.parameters for column in p.columns()}

    def table(self, name: str) -> Table:
        """The point table of that name; ``KeyError`` where there is none."""
        return {table.name: table for table in self.tables}[name]
