"""Commands on the catalog: list, show, upgrade; import, export and template have modules of their own."""

from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, CatalogAt, Force, Html, Markdown, app
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.parts import Part
    from partcheck.report.document import Document

group = typer.Typer(
    help="The catalog of part parameters: fill it, look into it, keep it safe.",
    no_args_is_help=False,
    rich_markup_mode=None,
)
app.add_typer(group, name="catalog", short_help="Keep the catalog of part parameters: enter, look up, keep safe.")


@group.command("list")
def list_(
    kind: Annotated[
        str,
        typer.Argument(
            metavar="KIND", help="mosfet, bjt, led, diode, regulator or terminal.", autocompletion=completing.kinds
        ),
    ] = "",
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """List the parts of the catalog, or those of one kind."""
    from partcheck.catalog import open_catalog
    from partcheck.cli.catalog.kinds import known_kind
    from partcheck.parameters import KINDS

    refuse_targets(None, None, catalog, None, force, html, markdown)
    kinds = [known_kind(kind)] if kind else list(KINDS)
    with open_catalog(catalog) as opened:
        parts = [part for name in kinds for part in opened.parts(name)]
        where = opened.where

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.parts.document import listed

        return listed(parts, kind, where)

    return answered(document, lambda: parts_record(parts), 0, as_json=as_json, html=html, markdown=markdown)


def parts_record(parts: "list[Part]") -> str:
    """Parts as the JSON that imports to the same again."""
    from partcheck.parts.documents import to_document

    return to_document(parts).rstrip("\n")


@group.command(short_help="Show all that is stated about a part, and where it comes from.")
def show(
    part: Annotated[
        str,
        typer.Argument(
            metavar="PART",
            help="Part number, or MAKER:PART.",
            show_default=False,
            autocompletion=completing.catalog_parts,
        ),
    ],
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Show everything the catalog knows of a part, and where each value comes from."""
    from partcheck.catalog import open_catalog

    refuse_targets(None, None, catalog, None, force, html, markdown)
    maker, _, number = part.rpartition(":")
    with open_catalog(catalog) as opened:
        found, where = opened.part(number, maker or None), opened.where

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.parts.document import shown

        return shown(found, where)

    return answered(document, lambda: parts_record([found]), 0, as_json=as_json, html=html, markdown=markdown)


@group.command()
def upgrade(catalog: CatalogAt = None) -> Answer:
    """Bring a catalog of an older version up to date."""
    from partcheck.catalog import upgrade as bring_up

    changed = bring_up(catalog)
    return Answer("the catalog is up to date now" if changed else "the catalog was up to date already")
