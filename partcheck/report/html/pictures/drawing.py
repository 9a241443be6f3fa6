"""A picture, and how a chart becomes one: Matplotlib's SVG with the page's colours, fonts and no baggage."""

import io
import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from partcheck.report.lines import plain

if TYPE_CHECKING:
    from matplotlib.figure import Figure

INK, MUTED, GRID, PAPER = "#010101", "#020202", "#030303", "#040404"
GOOD, TIGHT, UNKNOWN, BAD, ACCENT = "#050505", "#060606", "#070707", "#080808", "#090909"
NAMES = {
    INK: "ink",
    MUTED: "muted",
    GRID: "line",
    PAPER: "paper",
    GOOD: "good",
    TIGHT: "tight",
    UNKNOWN: "unknown",
    BAD: "bad",
    ACCENT: "accent",
}
"""Stand-ins for the page's colours while a picture is drawn; nothing else may use them."""
WIDTH = 4.6
"""Inches: with 72 points to an inch a picture is about as wide as a phone, where its letters are read at their size."""
LONGEST = 26
"""Characters of a name from outside that a picture shows."""


def brief(text: object, longest: int = LONGEST) -> str:
    """A name as a picture shows it."""
    name = " ".join(plain(text).split())
    return name if len(name) <= longest else name[: longest - 1] + "…"


@dataclass(frozen=True)
class Drawing:
    """A drawing, its heading, and the finding it shows in words: what a reader without eyes is told."""

    svg: str
    title: str
    finding: str

    def numbered(self, number: int) -> str:
        """The drawing for a page, its inner names made its own, with the finding as its text alternative."""
        own = re.sub(r'\bid="', f'id="p{number}-', self.svg)
        own = re.sub(r'(href="#|url\(#)', rf"\g<1>p{number}-", own)
        return own.replace(
            "<svg ", f'<svg role="img" aria-label="{escape(plain(self.finding), {chr(34): "&quot;"})}" ', 1
        )


LIGHT = "paper:#fbfaf6 ink:#1d2226 muted:#595f63 line:#d3d0c6 good:#1b6763 tight:#835200 unknown:#5a4f8c bad:#a8281f"
DARK = "paper:#15181b ink:#e8e5dc muted:#a9a79f line:#3b4045 good:#63b8b1 tight:#d9a441 unknown:#aea3e6 bad:#f08a7d"


def _colours(named: str) -> str:
    return "svg{" + ";".join(f"--{pair}" for pair in named.split()) + "}"


def standalone(picture: Drawing) -> str:
    """The drawing as a file of its own: its colours and its ground with it."""
    text = picture.numbered(1)
    head, bracket, rest = text.partition(">")
    dark = _colours(f"{DARK} accent:#dd9a5c")
    style = f"<style>{_colours(f'{LIGHT} accent:#8f4a12')}@media (prefers-color-scheme:dark){{{dark}}}"
    style += "text{fill:var(--ink);font-family:system-ui,'DejaVu Sans',sans-serif}</style>"
    ground = '<rect x="-9999" y="-9999" width="99999" height="99999" fill="var(--paper)"/>'
    return f"{head}{bracket}{style}{ground}{rest}\n"


@contextmanager
def chart(height: float, names: int = 6, rows: int = 1) -> Iterator[tuple["Figure", Any]]:
    """A figure with ``rows`` pairs of axes in the style of the pages; ``names`` characters of room at the left."""
    logging.getLogger("matplotlib").setLevel(logging.ERROR)  # that it caches its fonts is nothing to tell a user
    import matplotlib as mpl
    from matplotlib.figure import Figure

    style: Any = {
        "svg.fonttype": "none",
        "svg.hashsalt": "partcheck",
        "text.parse_math": False,
        "font.size": 9,
        "font.family": ["DejaVu Sans"],
        "text.color": INK,
        "axes.labelcolor": INK,
        "axes.edgecolor": MUTED,
        "xtick.color": MUTED,
        "ytick.color": MUTED,
        "xtick.labelcolor": INK,
        "ytick.labelcolor": INK,
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.axisbelow": True,
        "grid.color": GRID,
        "grid.linewidth": 0.7,
        "axes.unicode_minus": True,
        "hatch.linewidth": 0.9,
        "lines.linewidth": 1.7,
        "axes.labelsize": 9,
        "path.simplify": True,
        "figure.facecolor": "none",
        "axes.facecolor": "none",
        "savefig.facecolor": "none",
        "legend.frameon": False,
    }
    with mpl.rc_context():
        mpl.rcdefaults()  # whatever a user's own settings say
        mpl.rcParams.update(style)
        figure = Figure(figsize=(WIDTH, height))
        axes = figure.subplots(rows, 1, sharex=True)
        left = (0.28 + 0.074 * names) / WIDTH
        figure.subplots_adjust(left, 0.46 / height, 1 - 0.24 / WIDTH, 1 - 0.1 / height, hspace=0.12)
        yield figure, axes


def beside_line(axes: Any, x: float, y: float, words: str, **how: Any) -> None:
    """Words just above a line at ``y``, clear of it."""
    how = {"va": "bottom", "annotation_clip": False} | how
    axes.annotate(words, (x, y), xytext=(0, 2.5), textcoords="offset points", **how)


def finish(figure: "Figure", title: str, finding: str) -> Drawing:
    """The drawn figure as a picture; to be called inside ``chart``."""
    out = io.StringIO()
    figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    return Drawing(tidy(out.getvalue()), title, finding)


def _dots(pattern: "re.Match[str]") -> str:
    """A pattern of dots, which Matplotlib writes as hundreds of circles, as one."""
    name, body = pattern[1], pattern[0]
    if len(body) < 2500:
        return body
    ground, ink = re.search(r'fill="(#\w+)"', body), re.search(r"stroke: (#\w+)", body)
    fill = f'<rect width="5" height="5" fill="{ground[1]}"/>' if ground else ""
    dot = f'<circle cx="2.5" cy="2.5" r="1" fill="{ink[1] if ink else INK}"/>'
    return f'<pattern id="{name}" patternUnits="userSpaceOnUse" width="5" height="5">{fill}{dot}</pattern>'


def tidy(svg: str) -> str:
    """SVG for the inside of a page: without prolog, metadata, style sheet and font names, in the page's colours."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"\s*<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r"\s*<defs>\s*<style.*?</style>\s*</defs>", "", svg, flags=re.DOTALL)
    svg = re.sub(r'<pattern id="(\w+)".*?</pattern>', _dots, svg, flags=re.DOTALL)
    svg = re.sub(r'font-family: [^;"]*(; )?', "", svg)
    svg = re.sub(r"font: (\d+(?:\.\d+)?px) [^;\"]*", r"font-size: \1", svg)
    svg = re.sub(r' transform="rotate\(-0 [^"]*"', "", svg)
    svg = re.sub(r'(width|height)="([\d.]+)pt"', r'\1="\2"', svg)
    svg = re.sub(r"(\d+\.\d{2})\d+", r"\1", svg)
    svg = re.sub(r"\n\s*", "\n", svg)
    for stand_in, name in NAMES.items():
        svg = svg.replace(stand_in, f"var(--{name})")
    return svg
