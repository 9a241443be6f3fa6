"""The command that looks for doubtful values: catalog review."""

from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, CatalogAt, Force, Html, Markdown
from partcheck.cli.catalog.group import group
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document


@group.command(short_help="Look for values that are doubtful.")
def review(
    what: Annotated[
        str,
        typer.Argument(
            metavar="PART|KIND",
            help="One part, or all of a kind; if left out, the whole catalog.",
            autocompletion=completing.parts_or_kinds,
        ),
    ] = "",
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Look for values that contradict each other, slipped units, and values far from others of the kind.

    Each is a doubt with its reason, never a correction; the command ends with 0 whatever it finds.
    """
    from partcheck.catalog import open_catalog
    from partcheck.jobs.entry.review import looked_through
    from partcheck.parameters import KINDS

    refuse_targets(None, None, catalog, None, force, html, markdown)
    with open_catalog(catalog) as opened:
        where = opened.where
        if what and what not in KINDS:
            maker, _, number = what.rpartition(":")
            doubts, count = looked_through(opened, part=opened.part(number, maker or None))
        else:
            doubts, count = looked_through(opened, what)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.review.document import document as answer

        return answer(doubts, count, where)

    def record() -> object:
        from partcheck.report.answers.review.record import record

        return record(doubts, count, where)

    return answered(document, record, 0, as_json=as_json, html=html, markdown=markdown)
