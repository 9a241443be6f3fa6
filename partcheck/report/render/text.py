"""A document as text on a screen: as wide as the terminal, coloured where it can be seen, plain where it is piped."""

import re
import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from partcheck.report import document as d
from partcheck.report.lines import visible
from partcheck.report.render.spans import TIED, chain, line_text

NARROWEST, WIDEST = 40, 120
"""Columns: below the first nothing is laid out, beyond the second lines of prose are hard to follow."""
COLOURS = {"FAILS": "1;31", "unproven": "35", "tight": "33", "meets": "32"}
_VERDICTS = re.compile(rf"(?<![\w-])({'|'.join(COLOURS)})(?![\w-])")
LEAST_LAST = 22
"""Columns that the last column of a table wants before details move under their rows."""


@dataclass
class Screen:
    """A screen of so many columns, with colour or without; ``claimed`` are the requirements whose claim was told."""

    width: int = 80
    colour: bool = False
    claimed: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.width = max(NARROWEST, min(self.width, WIDEST))

    def wrap(self, text: str, first: str = "", rest: str | None = None) -> list[str]:
        """A paragraph, ``first`` before its first line and ``rest`` (default: as wide a blank) before the others."""
        return textwrap.wrap(
            visible(text),
            self.width,
            initial_indent=first,
            subsequent_indent=" " * len(first) if rest is None else rest,
            break_on_hyphens=False,
        ) or [first.rstrip()]

    def labelled(self, label: str, text: str, indent: int, width: int) -> list[str]:
        """A labelled paragraph with a hanging indent."""
        head = " " * indent + f"{label:<{width}}"
        return self.wrap(text, head if len(label) < width else " " * indent + f"{label} ", " " * len(head))


def render(document: d.Document, width: int = 80, colour: bool = False) -> str:
    """The whole answer as text; the finding stands first."""
    screen = Screen(width, colour)
    finding, *others = document.blocks
    lines = _block(screen, finding)
    if not all(
        isinstance(block, d.Fold) and not block.elsewhere for block in others
    ):  # a sentence alone needs no title
        lines += _title(screen, document)
    for block in others:
        made = _block(screen, block)
        lines += ["", *made] if made else []
    if document.notes:
        lines += ["", "Notes", *_listing(screen, d.Listing(tuple((note,) for note in document.notes)))]
    text = "\n".join(line.rstrip() for line in _single_blanks(lines)).replace(TIED, " ")
    return coloured(text) if colour else text


def _title(screen: Screen, document: d.Document) -> list[str]:
    title = visible(line_text(document.title))
    identity = "; ".join(f"{name.lower()} {line_text(value)}" for name, value in document.identity)
    return [
        "",
        *screen.wrap(title),
        "-" * min(len(title), screen.width),
        *(screen.wrap(identity[:1].upper() + identity[1:] + ".") if identity else ()),
    ]


def excerpt(blocks: Sequence[d.Block], width: int = 80, colour: bool = False) -> str:
    """Some blocks of a document as text, without its title."""
    screen = Screen(width, colour)
    lines = [row for block in blocks for row in ("", *_block(screen, block))]
    text = "\n".join(row.rstrip() for row in _single_blanks(lines)).replace(TIED, " ")
    return coloured(text) if colour else text


def coloured(text: str) -> str:
    """The text with its verdicts in colour, for a terminal."""
    return _VERDICTS.sub(lambda found: f"\x1b[{COLOURS[found[1]]}m{found[1]}\x1b[0m", text)


def _single_blanks(lines: Iterable[str]) -> Iterable[str]:
    before = ""
    for line in lines:
        if line or before:
            yield line
        before = line


# ---- blocks


def _finding(screen: Screen, block: d.Finding) -> list[str]:
    lines = [row for sentence in block.sentences for row in screen.wrap(line_text(sentence))]
    for i, step in enumerate(block.todo):
        lines += screen.wrap(line_text(step), "To do: " if i == 0 else "or: ", "  ")
    return lines


def _paragraph(screen: Screen, block: d.Paragraph) -> list[str]:
    return screen.wrap(line_text(block.line), "  " if block.quiet else "")


def _facts(screen: Screen, block: d.Facts) -> list[str]:
    width = max(len(name) for name, _ in block.rows) + 2
    return [row for name, value in block.rows for row in screen.labelled(name, line_text(value), 2, width)]


def _listing(screen: Screen, block: d.Listing) -> list[str]:
    bullets = [f"  {i}. " if block.numbered else "  - " for i in range(1, len(block.items) + 1)]
    return [
        row for bullet, item in zip(bullets, block.items, strict=True) for row in screen.wrap(line_text(item), bullet)
    ]


def _table(screen: Screen, block: d.Table) -> list[str]:
    if not block.rows:
        return []
    cells = [[visible(line_text(cell)) for cell in row.cells] for row in block.rows]
    main = list(range(len(block.columns)))
    while not _fits(screen, block, cells, main):
        details = [i for i in main if block.columns[i].detail]
        if not details:
            return _cards(screen, block, cells)
        main.remove(details[-1])
    details = [i for i in range(len(block.columns)) if i not in main]
    widths = {i: max(len(block.columns[i].title), *(len(row[i]) for row in cells)) for i in main}
    lines = _row(screen, block, widths, [column.title for column in block.columns])
    for row in cells:
        lines += _row(screen, block, widths, row)
        below = [f"{block.columns[i].title}: {row[i]}" for i in details if row[i] and block.columns[i].title]
        lines += screen.wrap("; ".join(below), "      ") if below else []  # a bar alone is dropped
    return lines


def _fits(screen: Screen, block: d.Table, cells: Sequence[Sequence[str]], main: Sequence[int]) -> bool:
    """True where every column but the last stands in full, and the last has room enough to wrap in."""
    widths = [max(len(block.columns[i].title), *(len(row[i]) for row in cells)) for i in main]
    return 2 + sum(width + 2 for width in widths[:-1]) + min(widths[-1], LEAST_LAST) <= screen.width


def _row(screen: Screen, block: d.Table, widths: dict[int, int], row: Sequence[str]) -> list[str]:
    *shown, last = widths
    head = "  " + "".join(
        (row[i].rjust(widths[i]) if block.columns[i].right else row[i].ljust(widths[i])) + "  " for i in shown
    )
    room = screen.width - len(head)
    if block.columns[last].right and widths[last] <= room:
        return [head + row[last].rjust(widths[last])]
    return screen.wrap(row[last], head) if row[last].strip() else [head]


def _cards(screen: Screen, block: d.Table, cells: Sequence[Sequence[str]]) -> list[str]:
    """A table on a screen that is too narrow for it: each row a small list."""
    lines: list[str] = []
    for row in cells:
        lines += screen.wrap(row[0], "  ")
        for column, cell in zip(block.columns[1:], row[1:], strict=True):
            if cell:
                lines += screen.wrap(f"{column.title}: {cell}" if column.title else cell, "    ", "      ")
    return lines


def _requirement(screen: Screen, block: d.Requirement) -> list[str]:
    if block.sides:
        return _in_full(screen, block)
    lines = screen.labelled(block.id, line_text((block.sign, ": ", *block.summary)), 4, 20)
    if block.id not in screen.claimed:
        screen.claimed.add(block.id)
        lines += screen.wrap(f"({block.claim}.)", " " * 24)
    for label, words in block.remedies:
        lines += screen.labelled(label, line_text(words), 8, 9)
    return lines


def _in_full(screen: Screen, block: d.Requirement) -> list[str]:
    head = line_text((d.Id(block.id), ": ", block.sign))
    if block.headroom is not None:
        head += f", headroom {block.headroom.text}"
    lines = [*screen.wrap(head), *screen.wrap(f"{block.claim}.", "    ")]
    for label, made in block.sides:
        lines += screen.labelled(label, " = ".join(chain(made)), 4, 12)
    if block.reading:
        lines += screen.labelled("read as", block.reading, 4, 12)
    lines += screen.labelled("source", block.source, 4, 12)
    for note in block.assumed:
        lines += screen.labelled("assumed", note, 4, 12)
    for label, words in block.remedies:
        lines += screen.labelled(label, line_text(words), 4, 12)
    return lines


def _assumed(screen: Screen, block: d.Assumed) -> list[str]:
    return [block.title, *_listing(screen, d.Listing(tuple((i,) for i in block.items)))]


def _not_asked(screen: Screen, block: d.NotAsked) -> list[str]:
    where = f" of {block.where}" if block.where else ""
    return screen.wrap(f"Not asked{where}, as the board states no such demand: {', '.join(block.ids)}.")


def _not_judged(screen: Screen, block: d.NotJudged) -> list[str]:
    return ["Not judged here", *_listing(screen, d.Listing(tuple((item,) for item in block.items)))]


def _cautions(screen: Screen, block: d.Cautions) -> list[str]:
    items = [*(f"New: {item}" for item in block.new), *(item for item in block.items if item not in block.new)]
    return ["Cautions", *_listing(screen, d.Listing(tuple((item,) for item in items)))]


def _picture(screen: Screen, block: d.Picture) -> list[str]:
    return screen.wrap(f"{block.title}: {block.finding}", "  ")


def _plot(screen: Screen, block: d.Plot) -> list[str]:
    return [*screen.wrap(block.caption), *block.rows]


def _next_step(screen: Screen, block: d.NextStep) -> list[str]:
    return screen.wrap(f"{block.why}: {block.command}")


def _section(screen: Screen, block: d.Section) -> list[str]:
    lines = screen.wrap(line_text(block.title))
    for inner in block.blocks:
        made = _block(screen, inner)
        lines += ["", *made] if isinstance(inner, d.Section) or _in_paragraphs(inner) else made
    return lines


def _in_paragraphs(block: d.Block) -> bool:
    return isinstance(block, d.Requirement) and bool(block.sides)


def _fold(screen: Screen, block: d.Fold) -> list[str]:
    return screen.wrap(f"{block.title}: {block.elsewhere}") if block.elsewhere else []


RENDERED: dict[type[d.Block], Callable[[Screen, Any], list[str]]] = {
    d.Finding: _finding,
    d.Paragraph: _paragraph,
    d.Facts: _facts,
    d.Listing: _listing,
    d.Table: _table,
    d.Requirement: _requirement,
    d.Assumed: _assumed,
    d.NotAsked: _not_asked,
    d.NotJudged: _not_judged,
    d.Cautions: _cautions,
    d.Picture: _picture,
    d.Plot: _plot,
    d.NextStep: _next_step,
    d.Section: _section,
    d.Fold: _fold,
}


def _block(screen: Screen, block: d.Block) -> list[str]:
    if type(block) not in RENDERED:
        raise d.UnknownBlock(f"text has no form for {type(block).__name__}")
    return RENDERED[type(block)](screen, block)
