"""An answer as the pieces of a page: plain texts that go from one process to another."""

from collections.abc import Iterable
from dataclasses import dataclass

from partcheck.report import document as d
from partcheck.serve.answers import Told
from partcheck.serve.judging import in_short
from partcheck.serve.pages import blocks, words


@dataclass(frozen=True)
class RenderedAnswer:
    """The pieces of a page, as HTML, and its notes as they were told."""

    heading: str
    finding: str
    rest: str
    identity: str
    notes: tuple[str, ...]
    marks: tuple[tuple[str, str], ...] = ()
    """Numbers for the script of the page."""


def rendered(told: Told, pictures: bool = True) -> RenderedAnswer:
    """The answer as pieces; what only some readers go through is folded."""
    document = told.document(pictures)
    return RenderedAnswer(
        str(words(document.title)),
        str(blocks(document.blocks[:1])),
        str(blocks(_shown(in_short(document)))),
        str(blocks([d.Facts(document.identity)])),
        document.notes,
        tuple(told.marks().items()),
    )


def _shown(some: Iterable[d.Block]) -> list[d.Block]:
    """The blocks, long tables of them folded."""
    return [d.Fold(b.caption, (b,), "") if isinstance(b, d.Table) and len(b.rows) > LONG else b for b in some]


LONG = 60
"""Rows of a table that stands folded on a page."""
