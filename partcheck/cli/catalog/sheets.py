"""The commands that write sheets: an empty one to fill in, and everything that the catalog holds."""

from pathlib import Path
from typing import Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.app import Answer, CatalogAt, Force
from partcheck.cli.catalog.group import group


@group.command(short_help="Write empty sheets to fill in.")
def template(
    kind: Annotated[
        str,
        typer.Argument(
            metavar="KIND",
            help="mosfet, bjt, led, diode, regulator, terminal or all.",
            show_default=False,
            autocompletion=completing.kinds,
        ),
    ],
    target: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help=".xlsx, .csv or a folder (default: KIND.xlsx).", show_default=False),
    ] = None,
    force: Force = False,
) -> Answer:
    """Write empty sheets to fill in: headers with units, what each column means, tables on sheets of their own."""
    from partcheck.cli.catalog.kinds import known_kind
    from partcheck.parameters import KINDS
    from partcheck.parts.layout import template as lay_out
    from partcheck.parts.writing import write_sheets

    kinds = list(KINDS) if kind == "all" else [known_kind(kind)]
    path = target or Path("parts.xlsx" if kind == "all" else f"{kind}.xlsx")
    sheets = list(lay_out(kinds))
    write_sheets(path, sheets, force)
    return Answer(
        f"{len(sheets)} empty sheets are in {path}; fill in what you need, then: partcheck catalog import {path}"
    )


@group.command(short_help="Write all that the catalog holds, to be imported again.")
def export(
    target: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help=".xlsx, .json, a folder for CSV files, or one ending in .parquet.", show_default=False
        ),
    ],
    catalog: CatalogAt = None,
    force: Force = False,
) -> Answer:
    """Write everything that the catalog holds, in a form that imports to the same again."""
    from partcheck.catalog import open_catalog
    from partcheck.parameters import KINDS
    from partcheck.parts.layout import sheets_of
    from partcheck.parts.writing import check_free, write_sheets, write_text

    with open_catalog(catalog) as opened:
        if target.suffix.casefold() == ".parquet":
            from partcheck.catalog.parquet import write_parquet

            check_free(target, False)
            return Answer(f"{write_parquet(opened, target)} parts are in {target}")
        parts = [part for name in KINDS for part in opened.parts(name)]
    if target.suffix.casefold() == ".json":
        from partcheck.parts.documents import to_document

        check_free(target, force)
        write_text(target, to_document(parts))
    else:
        write_sheets(target, sheets_of(parts), force, one_file=False)
    return Answer(f"{len(parts)} parts are in {target}")
