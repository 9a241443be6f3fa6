"""What a person is told, described once: a document of blocks that every rendering knows.

An answer makes one :class:`Document`; ``render/`` turns it into a screen of text, Markdown, an HTML page or CSV. The
blocks are a closed set: a rendering that meets an unknown one raises :class:`UnknownBlock`. Nothing here knows a job,
and nothing here works anything out: what a block shows has been found before.

A *line* is a tuple of spans: words, numbers with their exact value, internal names, verdicts. Words may come from
outside (a part number, a note); every rendering makes them harmless in its own way.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from partcheck.requirement import Verdict
from partcheck.units import show


class UnknownBlock(TypeError):
    """A rendering met a block or a span that it does not know."""


# ---- spans


@dataclass(frozen=True)
class Number:
    """A number with its unit: ``shown`` is what a reader sees, ``value`` (SI) what the JSON answer holds."""

    value: float
    unit: str = ""
    shown: str = ""

    @property
    def text(self) -> str:
        """The number as it is shown; ``?`` where it is missing."""
        return self.shown or show(self.value, self.unit)


@dataclass(frozen=True)
class Id:
    """An internal name, such as that of a requirement or a key of the board file."""

    text: str


@dataclass(frozen=True)
class Name:
    """A name from outside that may stand alone: a part, a maker, a reference."""

    text: str


@dataclass(frozen=True)
class Sign:
    """A verdict, or where a failure is a change of the board the words for it."""

    verdict: Verdict
    instead: str = ""


@dataclass(frozen=True)
class Bar:
    """A headroom as a length: full is all of the capability to spare; negative where it falls short."""

    share: float


@dataclass(frozen=True)
class Formula:
    """A formula in names, in digits and its result, after a name of its own where it has one."""

    made: Any
    value: float
    unit: str
    symbols: str
    digits: str
    name: str = ""


Span = str | Number | Id | Name | Sign | Bar | Formula
Line = tuple[Span, ...]
Lines = tuple[Line, ...]


def line(*spans: Span | Line) -> Line:
    """Spans and lines joined to one line; empty words are left out."""
    made: list[Span] = []
    for span in spans:
        made += span if isinstance(span, tuple) else (span,)
    return tuple(span for span in made if span != "")


def joined(lines: Iterable[Line | Span], between: str = ", ", last: str = "") -> Line:
    """Lines in a row: ``joined(("a", "b", "c"), last=" and ")`` reads ``a, b and c``."""
    listed = [item if isinstance(item, tuple) else (item,) for item in lines]
    made: list[Span] = []
    for i, item in enumerate(listed):
        if i:
            made.append(last if last and i == len(listed) - 1 else between)
        made += item
    return tuple(made)


# ---- blocks


@dataclass(frozen=True)
class Block:
    """Anything that stands in a document."""


@dataclass(frozen=True)
class Finding(Block):
    """What was found, in one or two plain sentences, and what to do: it stands before everything else."""

    verdict: Verdict | None
    sentences: Lines
    todo: Lines = ()


@dataclass(frozen=True)
class Paragraph(Block):
    """A paragraph; ``quiet`` where it only explains what stands above."""

    line: Line
    quiet: bool = False


@dataclass(frozen=True)
class Facts(Block):
    """Names and what they are, one a line."""

    rows: tuple[tuple[str, Line], ...]


@dataclass(frozen=True)
class Listing(Block):
    """A list of lines, numbered where their order counts."""

    items: Lines
    numbered: bool = False


@dataclass(frozen=True)
class Column:
    """A column of a table; ``detail`` may move under its row where there is no room, ``key`` names it for a page."""

    title: str
    key: str = ""
    right: bool = False
    detail: bool = False


@dataclass(frozen=True)
class Row:
    """A row of a table; ``keys`` say what it is about (``reference``, ``requirement`` ...)."""

    cells: tuple[Line, ...]
    keys: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Table(Block):
    """A table with a caption; the first column names the row."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row.cells) != len(self.columns):
                raise ValueError(f"{self.caption}: a row of {len(row.cells)} cells under {len(self.columns)} columns")


@dataclass(frozen=True)
class Requirement(Block):
    """One requirement that needs a reader's eye: what it needs and has, and what would help.

    ``claim`` and ``reading`` say what it means; ``sides`` are its formulas; ``remedies`` a label and words each.
    """

    id: str
    claim: str
    sign: Sign
    summary: Line
    reading: str = ""
    source: str = ""
    sides: tuple[tuple[str, Formula], ...] = ()
    remedies: tuple[tuple[str, Line], ...] = ()
    assumed: tuple[str, ...] = ()
    headroom: Number | None = None


@dataclass(frozen=True)
class Assumed(Block):
    """What the policy let stand in for values that are not stated."""

    policy: str
    items: tuple[str, ...]

    @property
    def title(self) -> str:
        """What stands above the list."""
        measured = any(": measured " in item for item in self.items)
        return f"Assumed by the policy {self.policy}" + (", or as measured" if measured else "")


@dataclass(frozen=True)
class NotAsked(Block):
    """Requirements that were not asked, as the board states no such demand."""

    ids: tuple[str, ...]
    where: str = ""


@dataclass(frozen=True)
class NotJudged(Block):
    """What concerns this board and is not judged here."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Cautions(Block):
    """Cautions that apply, those that a change brings first."""

    items: tuple[str, ...]
    new: tuple[str, ...] = ()


@dataclass(frozen=True)
class Picture(Block):
    """A drawing with its heading and its finding in words."""

    drawing: Any
    title: str
    finding: str


@dataclass(frozen=True)
class Plot(Block):
    """A drawing made of letters, for where no picture can be drawn."""

    caption: str
    rows: tuple[str, ...]


@dataclass(frozen=True)
class NextStep(Block):
    """A command that answers what a reader is likely to ask next."""

    command: str
    why: str


@dataclass(frozen=True)
class Section(Block):
    """A titled part of the document; ``anchor`` where the top of a page leads to it."""

    title: Line
    blocks: tuple[Block, ...]
    anchor: str = ""


@dataclass(frozen=True)
class Fold(Block):
    """What only some readers want: folded on a page, in full in Markdown, a screen says in one line where it is.

    Where ``elsewhere`` is empty a screen says nothing of it.
    """

    title: str
    blocks: tuple[Block, ...]
    elsewhere: str


FROM_BOARD = (
    "from the board file and the parts named above. Worst cases are worked out from what these state; the maker's "
    "datasheet, local rules and licensed practice take precedence over everything said here."
)
FROM_CATALOG = "from the catalog named above. The maker's datasheet takes precedence over everything said here."
"""What a page rests on, as its foot says it."""


@dataclass(frozen=True)
class Document:
    """An answer: its title, what identifies it, and its blocks; the first of them is the finding."""

    job: str
    title: Line
    identity: tuple[tuple[str, Line], ...]
    blocks: tuple[Block, ...]
    notes: tuple[str, ...] = ()
    made_on: str = ""
    foot: str = FROM_BOARD

    def __post_init__(self) -> None:
        if not self.blocks or not isinstance(self.blocks[0], Finding):
            raise ValueError("a document opens with its finding")


def section(title: str | Line, *blocks: Block | None, anchor: str = "") -> Section | None:
    """A section of the blocks that are there; None where there is none."""
    found = tuple(block for block in blocks if block is not None)
    return Section((title,) if isinstance(title, str) else title, found, anchor) if found else None


def present(*blocks: Block | None) -> tuple[Block, ...]:
    """The blocks that are there."""
    return tuple(block for block in blocks if block is not None)


def amount(value: float | None, unit: str) -> Number:
    """A number that may be missing."""
    return Number(math.nan if value is None else float(value), unit)


__all__ = [
    "FROM_BOARD",
    "FROM_CATALOG",
    "Assumed",
    "Bar",
    "Block",
    "Cautions",
    "Column",
    "Document",
    "Facts",
    "Finding",
    "Fold",
    "Formula",
    "Id",
    "Line",
    "Lines",
    "Listing",
    "Name",
    "NextStep",
    "NotAsked",
    "NotJudged",
    "Number",
    "Paragraph",
    "Picture",
    "Plot",
    "Requirement",
    "Row",
    "Section",
    "Sign",
    "Span",
    "Table",
    "UnknownBlock",
    "amount",
    "joined",
    "line",
    "present",
    "section",
]
