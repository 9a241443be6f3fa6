"""The command that looks for doubtful values: catalog review."""

from typing import Annotated

import typer

from partcheck.cli.app import Answer, AsJson, CatalogAt
from partcheck.cli.catalog.group import group


@group.command()
def review(
    what: Annotated[
        str, typer.Argument(metavar="PART|KIND", help="One part, or all of a kind; left out: the whole catalog.")
    ] = "",
    catalog: CatalogAt = None,
    as_json: AsJson = False,
) -> Answer:
    """Look for values that contradict each other, slipped units, and values far from others of the kind.

    Each is a doubt with its reason, never a correction; the command ends with 0 whatever it finds.
    """
    from partcheck.catalog import open_catalog
    from partcheck.parameters import KINDS
    from partcheck.parts.review import review as look

    with open_catalog(catalog) as opened:
        where = opened.where
        if what and what not in KINDS:
            maker, _, number = what.rpartition(":")
            parts = [opened.part(number, maker or None)]
            known = opened.parts(parts[0].kind)
        else:
            parts = known = [part for kind in ([what] if what else KINDS) for part in opened.parts(kind)]
        doubts = look(parts, known)
    if as_json:
        from partcheck.report import records

        return Answer(records.to_text(records.reviewed(doubts, len(parts), where)))
    from partcheck.report.reviewed import text

    return Answer(text(doubts, len(parts), where))
