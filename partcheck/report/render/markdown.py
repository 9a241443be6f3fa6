"""A document as Markdown for a design log: the same blocks; words from outside stay words."""

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from partcheck import __version__
from partcheck.report import document as d
from partcheck.report.lines import plain
from partcheck.report.render.spans import TIED, chain, span_text

_MEANT = re.compile(r"([\\`*_{}\[\]<>#|~&$@]|^[-+=]|:(?=//)|(?<=^\d)[.)])")


def word(text: object) -> str:
    """A text in which nothing is read as Markdown or HTML."""
    return _MEANT.sub(r"\\\1", " ".join(plain(text).replace(TIED, " ").split()))


def code(text: object) -> str:
    """A formula or an internal name, as it is; inside a table, too."""
    made = " ".join(plain(text).split()).replace("`", "'").replace("|", "¦")
    return f"`{made}`" if made else ""


def _span(span: d.Span) -> str:
    if isinstance(span, d.Id):
        return code(span.text)
    if isinstance(span, d.Formula):
        return code(" = ".join(chain(span)))
    if isinstance(span, str) and span.count("`") > 1 and span.count("`") % 2 == 0:
        return "".join(_span(piece) if i % 2 == 0 else code(piece) for i, piece in enumerate(span.split("`")))
    text = span_text(span).replace(TIED, " ")
    ends = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
    return f"{ends[0]}{word(text)}{ends[1]}"


def words(line: d.Line) -> str:
    """A line in Markdown."""
    return "".join(map(_span, line))


def render(document: d.Document) -> str:
    """The whole answer as Markdown."""
    lines = [f"# {words(document.title)}", "", *_block(document.blocks[0], 2), ""]
    lines += [f"- {name}: {words(value)}" for name, value in document.identity]
    lines += [f"- Date: {document.made_on}, by partcheck {__version__}", ""]
    for block in document.blocks[1:]:
        lines += ["", *_block(block, 2)]
    if document.notes:
        lines += ["", "## Notes", "", *_listed(document.notes)]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip() + "\n"


def _listed(items: Iterable[str]) -> list[str]:
    return [f"- {word(item)}" for item in items]


# ---- blocks; ``level`` is that of a heading inside


def _finding(block: d.Finding, level: int) -> list[str]:
    lines = [f"**{' '.join(words(sentence) for sentence in block.sentences)}**"]
    for step in block.todo:
        lines += ["", f"To do: {words(step)}"]
    return lines


def _paragraph(block: d.Paragraph, level: int) -> list[str]:
    return [words(block.line), ""]


def _facts(block: d.Facts, level: int) -> list[str]:
    return [f"- {word(name)}: {words(value)}" for name, value in block.rows]


def _listing(block: d.Listing, level: int) -> list[str]:
    marks = (f"{i}." if block.numbered else "-" for i in range(1, len(block.items) + 1))
    return [f"{mark} {words(item)}" for mark, item in zip(marks, block.items, strict=True)]


def _table(block: d.Table, level: int) -> list[str]:
    head = [word(column.title) for column in block.columns]
    rule = ["---:" if column.right else "---" for column in block.columns]
    rows: list[Sequence[str]] = [[words(cell) for cell in row.cells] for row in block.rows]
    return ["", *(f"| {' | '.join(row)} |" for row in (head, rule, *rows)), ""]


def _requirement(block: d.Requirement, level: int) -> list[str]:
    lines = [f"{'#' * level} {word(block.id)}: {_span(block.sign)}", "", f"{word(block.claim)}.", ""]
    if block.summary:
        lines.append(f"- {words(block.summary)}")
    lines += [f"- {label}: {_span(made)}" for label, made in block.sides]
    lines += [f"- {word(label or 'and')}: {words(line)}" for label, line in block.remedies]
    lines += [f"- assumed: {word(note)}" for note in block.assumed]
    if block.reading:
        lines.append(f"- read as: {word(block.reading)}")
    return [*lines, f"- source: {word(block.source)}" if block.source else "", ""]


def _assumed(block: d.Assumed, level: int) -> list[str]:
    return [f"{'#' * level} {word(block.title)}", "", *_listed(block.items)]


def _not_asked(block: d.NotAsked, level: int) -> list[str]:
    where = f" of {word(block.where)}" if block.where else ""
    return [f"Not asked{where}, as the board states no such demand: {', '.join(map(code, block.ids))}.", ""]


def _not_judged(block: d.NotJudged, level: int) -> list[str]:
    return [f"{'#' * level} Not judged here", "", *(f"- {words((item,))}" for item in block.items)]


def _cautions(block: d.Cautions, level: int) -> list[str]:
    items = [*(f"New: {item}" for item in block.new), *(item for item in block.items if item not in block.new)]
    return [f"{'#' * level} Cautions", "", *_listed(items)]


def _picture(block: d.Picture, level: int) -> list[str]:
    return [f"*{word(block.title)}.* {word(block.finding)}", ""]


def _plot(block: d.Plot, level: int) -> list[str]:
    return [word(block.caption), "", "```text", *(row.replace("`", "'") for row in block.rows), "```", ""]


def _next_step(block: d.NextStep, level: int) -> list[str]:
    return [f"{word(block.why)}: {code(block.command)}", ""]


def _section(block: d.Section, level: int) -> list[str]:
    lines = [f"{'#' * level} {words(block.title)}", ""]
    for inner in block.blocks:
        lines += _block(inner, level + 1)
    return [*lines, ""]


def _fold(block: d.Fold, level: int) -> list[str]:
    return _section(d.Section((block.title,), block.blocks), level)


RENDERED: dict[type[d.Block], Callable[[Any, int], list[str]]] = {
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


def _block(block: d.Block, level: int) -> list[str]:
    if type(block) not in RENDERED:
        raise d.UnknownBlock(f"Markdown has no form for {type(block).__name__}")
    return RENDERED[type(block)](block, min(level, 6))
