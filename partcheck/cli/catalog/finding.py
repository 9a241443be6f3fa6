"""Commands that look into the catalog: catalog find, history, undo, retire."""

from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, CatalogAt, Force, Html, Markdown
from partcheck.cli.catalog.group import group
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document

By = Annotated[str | None, typer.Option("--by", metavar="NAME", help="Who does it (default: your login name).")]
Yes = Annotated[bool, typer.Option("--yes", help="Do it without asking.")]
Named = Annotated[
    str,
    typer.Argument(
        metavar="PART", help="Part number, or MAKER:PART.", show_default=False, autocompletion=completing.catalog_parts
    ),
]
Kind = Annotated[
    str,
    typer.Argument(
        metavar="KIND", help="mosfet, bjt, led, diode, regulator or terminal.", autocompletion=completing.kinds
    ),
]
Conditions = Annotated[
    list[str] | None,
    typer.Option(
        "--where",
        help="Condition, such as 'vds_max >= 60 V', 'vds_max = 40..100 V', "
        "'rds_on.max <= 30 mΩ at vgs <= 4.5 V', 'eas missing'; may be repeated; all must hold.",
    ),
]


@group.command()
def find(
    kind: Kind = "",
    where: Conditions = None,
    text: Annotated[str, typer.Option("--text", help="Words in number, maker, description, notes, datasheet.")] = "",
    package: Annotated[str, typer.Option("--package", help="Package, or a published equivalent of it.")] = "",
    status: Annotated[
        list[str] | None, typer.Option("--status", help="Such as active; may be repeated; any one is enough.")
    ] = None,
    stock: Annotated[float | None, typer.Option("--stock", help="At least this many pieces on hand.", min=0)] = None,
    sort: Annotated[
        list[str] | None,
        typer.Option("--sort", help="Value to sort by, such as price, or -vds_max from large to small."),
    ] = None,
    show: Annotated[list[str] | None, typer.Option("--show", help="Further value to show, such as rds_on.max.")] = None,
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="The table as CSV.")] = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Find parts by kind, values, package, status, stock and words. A value that is not stated satisfies nothing.

    Of a point table one stated row must satisfy the condition; `at` adds conditions on the same row.
    """
    from partcheck.catalog import open_catalog
    from partcheck.cli.catalog.kinds import known_kind
    from partcheck.cli.codes import refuse_both
    from partcheck.parts.search import Query

    refuse_both(as_json, as_csv)
    refuse_targets(None, None, catalog, None, force, html, markdown)
    query = Query(
        known_kind(kind) if kind else "", where or (), text, package, status or (), stock, sort or (), show or ()
    )
    with open_catalog(catalog) as opened:
        found = opened.search(query)
        shown = opened.where

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.find.document import document as answer

        return answer(found, shown)

    def record() -> object:
        from partcheck.report.answers.find.record import record

        return record(found, shown)

    def table() -> str:
        from partcheck.report.answers.find import sheet

        return sheet.text(found)

    return answered(
        document, record, 0, as_json=as_json, as_csv=table if as_csv else None, html=html, markdown=markdown
    )


@group.command(short_help="Show every former value of a part, and who changed it.")
def history(
    part: Named,
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Tell every former value of a part, who changed it, when and by which command, and where the part was accepted."""
    from partcheck.catalog import open_catalog

    refuse_targets(None, None, catalog, None, force, html, markdown)
    maker, _, number = part.rpartition(":")
    with open_catalog(catalog) as opened:
        found = opened.entries(number, maker or None)
        uses = {identity: opened.uses(*identity) for identity in found}
        shown = opened.where

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.history.document import document as answer

        return answer(found, uses, shown)

    def record() -> object:
        from partcheck.report.answers.history.record import record

        return record(found, uses, shown)

    return answered(document, record, 0, as_json=as_json, html=html, markdown=markdown)


@group.command(short_help="Take back the last change of the catalog.")
def undo(
    catalog: CatalogAt = None,
    by: By = None,
    yes: Yes = False,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Take back the last change of the catalog: a whole import, an edit, a retirement. Again: the one before it.

    Shows first what it would do, and asks on a terminal; without --yes and without a terminal it only shows.
    """
    from partcheck.catalog import open_catalog
    from partcheck.cli.answering import screen
    from partcheck.cli.asking import agrees, now, whoever
    from partcheck.errors import UsageError
    from partcheck.report.answers.history.document import undone
    from partcheck.report.render import text

    who = whoever(by)
    refuse_targets(None, None, catalog, None, force, html, markdown)
    with open_catalog(catalog) as opened:
        last, shown = opened.last_change(), opened.where
        if last is None:
            raise UsageError(
                f"{shown} has no change to take back; `partcheck catalog history PART` shows what happened"
            )
        done = yes or (not as_json and agrees(f"{text.render(undone(last, False, shown), *screen())}\nTake it back?"))
        if done:
            opened.take_back(last.id, who, now())

    def record() -> object:
        from partcheck.report.answers.history.record import undone

        return undone(last, done, shown)

    made = answered(
        lambda pictures: undone(last, done, shown), record, 0, as_json=as_json, html=html, markdown=markdown
    )
    return made if done or as_json else made.noting("nothing was changed; give --yes to take it back")


@group.command(short_help="Mark a part obsolete, with the reason.")
def retire(
    part: Named,
    reason: Annotated[str, typer.Option("--reason", help="Why, in a few words.", show_default=False)],
    catalog: CatalogAt = None,
    by: By = None,
) -> Answer:
    """Mark a part obsolete, with the reason. Nothing is deleted: it stays in the catalog and ranks behind the rest."""
    from partcheck.catalog import open_catalog
    from partcheck.cli.asking import now, whoever
    from partcheck.errors import UsageError
    from partcheck.jobs.entry.retiring import retire as mark

    maker, _, number = part.rpartition(":")
    reason = " ".join(reason.split())
    if not reason:
        raise UsageError("a part is retired for a reason; say it with --reason")
    with open_catalog(catalog) as opened:
        former = opened.part(number, maker or None)
        mark(opened, former, reason, whoever(by), now())
    return Answer(f"{former.name} is obsolete now ({reason}); take it back with: partcheck catalog undo")
