"""Commands that keep a catalog safe: verify, backup, restore."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, CatalogAt, Force, Html, Markdown
from partcheck.cli.catalog.group import group
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document


@group.command(short_help="Check whether the catalog is sound; change nothing.")
def verify(
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Look whether the catalog is sound: its database, every value, every history. Changes nothing."""
    from partcheck.catalog import look_through

    refuse_targets(None, None, catalog, None, force, html, markdown)
    found, where = look_through(catalog)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.verify.document import document as answer

        return answer(found, where)

    def record() -> object:
        from partcheck.report.answers.verify.record import record

        return record(found, where)

    code = 1 if found.findings else 0
    return answered(document, record, code, as_json=as_json, html=html, markdown=markdown)


@group.command(short_help="Copy the whole catalog into a file.")
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The file to write.", show_default=False)],
    catalog: CatalogAt = None,
    replace: Annotated[
        bool, typer.Option("--replace", "--force", help="Replace an earlier backup of that name.")
    ] = False,
) -> Answer:
    """Copy the whole catalog into a file, which is a catalog itself; others may go on using it."""
    from partcheck.catalog import open_catalog

    with open_catalog(catalog) as opened:
        opened.backup(file, replace)
        number, where = sum(opened.count().values()), opened.where
    return Answer(f"{number} parts copied from {where} to {file}")


@group.command(short_help="Restore the catalog from a backup.")
def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A backup.", show_default=False)],
    catalog: CatalogAt = None,
    keep: Annotated[
        Path | None, typer.Option("--keep", help="Where to keep what the catalog holds now (default: beside it).")
    ] = None,
) -> Answer:
    """Make the catalog what a backup says; what it held before is kept in a file."""
    from partcheck.catalog import restore as bring_back
    from partcheck.catalog.place import find_place

    made = bring_back(catalog, file, keep)
    kept = f"; what was there before is in {made.kept}" if made.kept is not None else ""
    return Answer(f"{made.parts} parts restored from {file} to {find_place(catalog).shown}{kept}")
