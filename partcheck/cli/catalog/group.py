"""Commands on the catalog: list, show, upgrade; import, export and template have modules of their own."""

from typing import Annotated

import typer

from partcheck.cli.app import Answer, AsJson, CatalogAt, app

group = typer.Typer(
    help="The catalog of part parameters: fill it, look into it, keep it safe.",
    no_args_is_help=False,
    rich_markup_mode=None,
)
app.add_typer(group, name="catalog")


@group.command("list")
def list_(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="mosfet, bjt, led, diode, regulator or terminal.")] = "",
    catalog: CatalogAt = None,
    as_json: AsJson = False,
) -> Answer:
    """List the parts of the catalog, or those of one kind."""
    from partcheck.catalog import open_catalog
    from partcheck.cli.catalog.listing import known_kind, part_list
    from partcheck.parameters import KINDS

    kinds = [known_kind(kind)] if kind else list(KINDS)
    with open_catalog(catalog) as opened:
        parts = [part for name in kinds for part in opened.parts(name)]
    if as_json:
        from partcheck.parts.documents import to_document

        return Answer(to_document(parts).rstrip("\n"))
    return Answer(part_list(parts))


@group.command()
def show(
    part: Annotated[str, typer.Argument(metavar="PART", help="Part number, or MAKER:PART.", show_default=False)],
    catalog: CatalogAt = None,
    as_json: AsJson = False,
) -> Answer:
    """Show everything the catalog knows of a part, and where each value comes from."""
    from partcheck.catalog import open_catalog
    from partcheck.cli.catalog.listing import part_sheet

    maker, _, number = part.rpartition(":")
    with open_catalog(catalog) as opened:
        found = opened.part(number, maker or None)
    if as_json:
        from partcheck.parts.documents import to_document

        return Answer(to_document([found]).rstrip("\n"))
    return Answer(part_sheet(found))


@group.command()
def upgrade(catalog: CatalogAt = None) -> Answer:
    """Bring a catalog of an older version up to date."""
    from partcheck.catalog import upgrade as bring_up

    changed = bring_up(catalog)
    return Answer("the catalog is up to date now" if changed else "the catalog was up to date already")
