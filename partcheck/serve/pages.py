"""Templates, and what every page shows: where one is, where one may go, the forms that an answer may be had in."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment
from markupsafe import Markup

from partcheck import __version__
from partcheck.report import document as d
from partcheck.report.lines import plain
from partcheck.report.render import html
from partcheck.serve.bench import Bench
from partcheck.serve.harmless import harmless

TEMPLATES = Path(__file__).parent / "templates"
STATIC = Path(__file__).parent / "static"


@dataclass(frozen=True)
class WayTo:
    """A link of a page: where it leads, its words, and whether one is there."""

    to: str
    words: str
    here: bool = False


ORDER = ("/", "/catalog", "/fleet", "/board", "/what-if", "/brightness", "/limits", "/plan", "/records")
"""In which order the pages stand in the head; others come after them."""
MAIN: list[tuple[str, str]] = [("/", "Boards")]
"""What the head of every page leads to, whatever board is open; each module of ``routes`` adds its own."""
OF_BOARD: list[tuple[str, str]] = []
"""The same for the pages of one board: path, words."""


KEPT = ("policy", "fit", "resistor")
"""What the head of a board's page keeps of an address, besides the board."""


def address(path: str, **asked: object) -> str:
    """An address here; what is None or empty is left out: ``address("/board", file="a.toml")``."""
    pairs = [
        (name, str(each))
        for name, value in asked.items()
        for each in (value if isinstance(value, list | tuple) else [value])
        if each is not None and each != ""
    ]
    return path + (f"?{urlencode(pairs)}" if pairs else "")


def blocks(some: Iterable[d.Block | None], leads: html.Leads | None = None, level: int = 2) -> Markup:
    """Blocks of an answer as a piece of a page."""
    there = [block for block in some if block is not None]
    made = html.blocks(there, leads, level) if leads is not None else html.blocks(there, level=level)
    return harmless(made)


def words(line: d.Line) -> Markup:
    """A line of an answer as a piece of a page."""
    return harmless(html.inline(line))


@cache
def _frame() -> Environment:
    made = html.environment(TEMPLATES)
    made.globals.update(version=__version__, address=address)
    made.filters["plain"] = plain
    return made


def page(
    request: Request, bench: Bench, template: str, title: str, code: int = 200, file: str = "", **values: Any
) -> HTMLResponse:
    """One page; with ``file`` it is one of that board, and leads to the others of it."""
    here = request.url.path
    kept = {name: request.query_params.getlist(name) for name in KEPT}
    made = (
        _frame()
        .get_template(template)
        .render(
            title=plain(title),
            main=[WayTo(to, name, to == here) for to, name in MAIN],
            of_board=[WayTo(address(to, file=file, **kept), name, to == here) for to, name in OF_BOARD] if file else [],
            file=file,
            folder=bench.folder.root.name or str(bench.folder.root),
            read_only=bench.serving.read_only,
            form_token=bench.keys.form,
            request=request,
            **values,
        )
    )
    return HTMLResponse(made, code)


def piece(template: str, **values: Any) -> Markup:
    """A piece of a page, of a template of its own."""
    return Markup(_frame().get_template(template).render(**values))


def remember(ways: list[tuple[str, str]], path: str, name: str) -> None:
    """Lead to a page from the head of every page (``MAIN``), or of those of a board (``OF_BOARD``)."""
    if (path, name) not in ways:
        ways.append((path, name))
        ways.sort(key=lambda way: ORDER.index(way[0]) if way[0] in ORDER else len(ORDER))
