"""A document as one self-contained HTML page, or a fragment of one; its numbers keep their exact value.

Everything is escaped by ``Markup.format``; a name from outside keeps its own direction of writing. What may grow
without end goes through :meth:`Page.afford`, which keeps a page under 1 MB.
"""

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from partcheck import __version__
from partcheck.report import document as d
from partcheck.report.html import mathml
from partcheck.report.lines import plain
from partcheck.report.record import finite
from partcheck.report.render.spans import tied, verdict_word
from partcheck.requirement import Verdict
from partcheck.units import show

TEMPLATES = Path(__file__).parent.parent / "html" / "templates"
ROOM = 720_000
"""Characters of a page that pictures and unfolded explanations may fill; what is beyond is named instead."""
SIGNS = {Verdict.MEETS: "●", Verdict.TIGHT: "◐", Verdict.UNPROVEN: "?", Verdict.FAILS: "✕"}


Leads = Callable[[Mapping[str, str]], str | None]
"""The address that a row of a table leads to, by what the row is about; None where it leads nowhere."""


def _nowhere(keys: Mapping[str, str]) -> str | None:
    return None


class Page:
    """One page being made: counts its pictures and what room is left; ``leads`` says where a row of a table leads."""

    def __init__(self, leads: Leads = _nowhere) -> None:
        self.pictures, self.left, self.leads = 0, ROOM, leads

    def afford(self, made: Markup, what: str) -> Markup:
        """A large piece of a page while there is room; a sentence in its place where there is none."""
        if len(made) > self.left:
            return Markup('<p class="left-out">Left out, as the page would grow too large: {}.</p>').format(plain(what))
        self.left -= len(made)
        return made


# ---- spans


def _number(span: d.Number) -> Markup:
    exact = finite(span.value, span.unit)
    if exact is None:
        return Markup('<span class="num">{}</span>').format(plain(span.text))
    return Markup('<data class="num" value="{}">{}</data>').format(repr(exact), plain(span.text))


def _sign(span: d.Sign) -> Markup:
    if span.instead:
        return Markup('<span class="badge">{}</span>').format(span.instead)
    return Markup('<span class="badge v-{}"><span aria-hidden="true">{}</span> {}</span>').format(
        span.verdict.word, SIGNS[span.verdict], verdict_word(span.verdict)
    )


def _bar(span: d.Bar) -> Markup:
    if span.share != span.share:
        return Markup("")
    kind = "short" if span.share < 0 else "spare"
    return Markup('<span class="bar {}" aria-hidden="true"><span style="width:{}%"></span></span>').format(
        kind, max(2, round(min(1.0, abs(span.share)) * 100))
    )


def _formula(span: d.Formula) -> Markup:
    if span.name:
        made = mathml.named(span.name, span.made, span.value, span.unit)
    else:
        made = mathml.formula(span.made, span.value, span.unit)
    result = show(span.value, span.unit)
    if span.digits in (span.symbols, result):
        return made
    return Markup('{}<span class="digits">= {}</span>').format(made, mathml.shortened(span.digits))


def _words(text: str) -> Markup:
    """Words of our own, in which back-ticks stand around what is typed or written in a file."""
    pieces = tied(plain(text)).split("`")
    if len(pieces) % 2 == 0:  # one of them stands alone, in a name from outside
        return Markup("{}").format("`".join(pieces))
    forms = ("{}", "<code>{}</code>")
    return Markup("").join(Markup(forms[i % 2]).format(piece) for i, piece in enumerate(pieces))


def _span(span: d.Span) -> Markup:
    if isinstance(span, str):
        return _words(span)
    if isinstance(span, d.Number):
        return _number(span)
    if isinstance(span, d.Id):
        return Markup('<span class="id">{}</span>').format(plain(span.text))
    if isinstance(span, d.Name):
        return Markup("<bdi>{}</bdi>").format(plain(span.text))
    if isinstance(span, d.Sign):
        return _sign(span)
    if isinstance(span, d.Bar):
        return _bar(span)
    if isinstance(span, d.Formula):
        return _formula(span)
    raise d.UnknownBlock(f"a page has no form for {type(span).__name__}")


def inline(line: d.Line) -> Markup:
    """A line as part of a page."""
    return Markup("").join(map(_span, line))


# ---- blocks; ``level`` is that of a heading inside


def _finding(page: Page, block: d.Finding, level: int) -> Markup:
    sign = Markup("{} ").format(_sign(d.Sign(block.verdict))) if block.verdict is not None else Markup("")
    made = Markup('<div class="finding"><p class="lead">{}{}</p>').format(
        sign, Markup(" ").join(inline(sentence) for sentence in block.sentences)
    )
    if block.todo:
        steps = Markup("").join(Markup("<li>{}</li>").format(inline(step)) for step in block.todo)
        made += Markup('<p class="todo">To do</p><ul>{}</ul>').format(steps)
    return made + Markup("</div>")


def _paragraph(page: Page, block: d.Paragraph, level: int) -> Markup:
    return Markup("<p{}>{}</p>").format(Markup(' class="claim"') if block.quiet else "", inline(block.line))


def _facts(page: Page, block: d.Facts, level: int) -> Markup:
    rows = (Markup("<dt>{}</dt><dd>{}</dd>").format(plain(name), inline(value)) for name, value in block.rows)
    return Markup('<dl class="facts">{}</dl>').format(Markup("").join(rows))


def _list(items: d.Lines, tag: str = "ul") -> Markup:
    made = Markup("").join(Markup("<li>{}</li>").format(inline(item)) for item in items)
    return Markup("<{0}>{1}</{0}>").format(Markup(tag), made)


def _listing(page: Page, block: d.Listing, level: int) -> Markup:
    return _list(block.items, "ol" if block.numbered else "ul")


def _cell(column: d.Column, cell: d.Line, first: bool, to: str | None) -> Markup:
    kinds = " ".join(dict.fromkeys(kind for kind in ("r" if column.right else "", column.key) if kind))
    classes = Markup(' class="{}"').format(kinds) if kinds else ""
    words = inline(cell)  # a heading without words is none
    if first:
        form = '<th scope="row"{}>{}</th>' if words.striptags() else "<td{}>{}</td>"
        if to is not None:
            words = Markup('<a href="{}">{}</a>').format(to, words)
        return Markup(form).format(classes, words)
    return Markup('<td{} title="{}">{}</td>').format(classes, plain(column.title), words)


def _table_row(page: Page, block: d.Table, row: d.Row) -> Markup:
    keys = Markup("").join(Markup(' data-{}="{}"').format(Markup(k), plain(v)) for k, v in row.keys.items())
    to = page.leads(row.keys)
    cells = (_cell(c, cell, i == 0, to) for i, (c, cell) in enumerate(zip(block.columns, row.cells, strict=True)))
    return Markup("<tr{}>{}</tr>\n").format(keys, Markup("").join(cells))


def _table(page: Page, block: d.Table, level: int) -> Markup:
    heads = (
        Markup('<th scope="col"{}>{}</th>' if c.title else "<td{}>{}</td>").format(
            Markup(' class="r"') if c.right else "", plain(c.title)
        )
        for c in block.columns
    )
    rows = Markup("").join(_table_row(page, block, row) for row in block.rows)
    return Markup(
        '<div class="scroll" tabindex="0" role="group" aria-label="{0}"><table class="cards"><caption>{0}</caption>'
        "<thead><tr>{1}</tr></thead><tbody>{2}</tbody></table></div>"
    ).format(plain(block.caption), Markup("").join(heads), rows)


def _requirement(page: Page, block: d.Requirement, level: int) -> Markup:
    headroom = Markup(" {}").format(_number(block.headroom)) if block.headroom is not None else ""
    parts = [
        Markup('<h{0}><span class="id">{1}</span> {2}{3}</h{0}>').format(level, block.id, _sign(block.sign), headroom),
        Markup("<p>{}{}</p>").format(inline((*block.summary, ". ")) if block.summary else "", f"{block.claim}."),
    ]
    if block.reading:
        parts.append(Markup('<p class="claim">{}</p>').format(block.reading))
    for label, side in block.sides:
        parts.append(
            Markup('<div class="formula"><span class="what">{}</span><div>{}</div></div>').format(label, _formula(side))
        )
    if block.remedies:
        rows = (Markup("<li><b>{}</b> {}</li>").format(label, inline(words)) for label, words in block.remedies)
        parts.append(Markup("<ul>{}</ul>").format(Markup("").join(rows)))
    parts += [Markup("<p>Assumed: {}</p>").format(plain(note)) for note in block.assumed]
    if block.source:
        parts.append(Markup('<p class="claim">Source: {}</p>').format(block.source))
    made = Markup('<div class="requirement">{}</div>').format(Markup("\n").join(parts))
    return page.afford(made, block.id)


def _titled(title: str, inner: Markup, level: int, kind: str = "") -> Markup:
    classes = Markup(' class="{}"').format(kind) if kind else ""
    return Markup("<section{0}><h{1}>{2}</h{1}>{3}</section>").format(classes, level, plain(title), inner)


def _assumed(page: Page, block: d.Assumed, level: int) -> Markup:
    return _titled(block.title, _list(tuple((d.Name(i),) for i in block.items)), level)


def _not_asked(page: Page, block: d.NotAsked, level: int) -> Markup:
    where = f" of {plain(block.where)}" if block.where else ""
    ids = Markup(", ").join(Markup('<span class="id">{}</span>').format(i) for i in block.ids)
    return Markup("<p>Not asked{}, as the board states no such demand: {}.</p>").format(where, ids)


def _not_judged(page: Page, block: d.NotJudged, level: int) -> Markup:
    return _titled("Not judged here", _list(tuple((item,) for item in block.items)), level, "noted")


def _cautions(page: Page, block: d.Cautions, level: int) -> Markup:
    new = tuple(d.line("New: ", d.Name(item)) for item in block.new)
    rest = tuple((d.Name(item),) for item in block.items if item not in block.new)
    return _titled("Cautions", _list(new + rest), level, "cautions")


def _picture(page: Page, block: d.Picture, level: int) -> Markup:
    page.pictures += 1
    made = Markup(
        '<figure><div class="picture" tabindex="0" role="group" aria-label="{0}">{1}</div>'
        "<figcaption><b>{0}.</b> {2}</figcaption></figure>"
    ).format(plain(block.title), Markup(block.drawing.numbered(page.pictures)), tied(plain(block.finding)))
    return page.afford(made, "a picture")


def _plot(page: Page, block: d.Plot, level: int) -> Markup:
    rows = "\n".join(map(plain, block.rows))
    return Markup('<p>{}</p><pre tabindex="0">{}</pre>').format(plain(block.caption), rows)


def _next_step(page: Page, block: d.NextStep, level: int) -> Markup:
    return Markup("<p>{}: <code>{}</code></p>").format(block.why, plain(block.command))


def _section(page: Page, block: d.Section, level: int) -> Markup:
    anchor = Markup(' id="{}"').format(block.anchor) if block.anchor else ""
    inner = Markup("\n").join(_block(page, made, level + 1) for made in block.blocks)
    return Markup("<section><h{0}{1}>{2}</h{0}>\n{3}</section>").format(level, anchor, inline(block.title), inner)


def _fold(page: Page, block: d.Fold, level: int) -> Markup:
    inner = Markup("\n").join(_block(page, made, level) for made in block.blocks)
    made = Markup("<details><summary>{}</summary>{}</details>").format(plain(block.title), inner)
    return made if _counts_itself(block) else page.afford(made, f"{block.title}; {block.elsewhere}")


def _counts_itself(block: d.Section | d.Fold) -> bool:
    """True where something inside is counted against the room of the page already."""
    return any(
        isinstance(one, d.Requirement | d.Picture) or (isinstance(one, d.Section | d.Fold) and _counts_itself(one))
        for one in block.blocks
    )


RENDERED: dict[type[d.Block], Callable[[Page, Any, int], Markup]] = {
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


def _block(page: Page, block: d.Block, level: int) -> Markup:
    if type(block) not in RENDERED:
        raise d.UnknownBlock(f"a page has no form for {type(block).__name__}")
    return RENDERED[type(block)](page, block, min(level, 6))


def environment(folder: Path) -> Environment:
    """Templates of a folder: what is put in is escaped, and what is not given is an error."""
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _frame() -> Environment:
    made = environment(TEMPLATES)
    made.globals.update(style=Markup((TEMPLATES / "style.css").read_text("utf-8")), version=__version__)
    return made


def fragment(document: d.Document) -> Markup:
    """The blocks of an answer, to stand in another page."""
    return blocks(document.blocks)


def blocks(some: Iterable[d.Block], leads: Leads = _nowhere, level: int = 2) -> Markup:
    """Some blocks of an answer, to stand in another page, with headings from ``level`` on."""
    page = Page(leads)
    return Markup("\n").join(_block(page, block, level) for block in some)


def render(document: d.Document) -> str:
    """The whole page."""
    page = Page()
    finding, *others = document.blocks
    anchors = [(b.anchor, inline(b.title)) for b in others if isinstance(b, d.Section) and b.anchor]
    identity = _facts(page, d.Facts((*document.identity, ("Date", (document.made_on,)))), 2)
    notes = (
        _titled("Notes", _list(tuple((d.Name(note),) for note in document.notes)), 2, "noted") if document.notes else ""
    )
    text = (
        _frame()
        .get_template("document.html")
        .render(
            job=document.job,
            title=plain("".join(map(_plain_span, document.title))),
            heading=inline(document.title),
            finding=_block(page, finding, 2),
            identity=identity,
            anchors=anchors,
            main=Markup("\n").join(_block(page, block, 2) for block in others) + notes,
            made_on=document.made_on,
            foot=document.foot,
        )
    )
    return "\n".join(row for row in text.splitlines() if row.strip()) + "\n"


def _plain_span(span: d.Span) -> str:
    return _span(span).striptags()
