"""Commands on accepted substitutions: accept one, list them with what is stale."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.answering import answered
from partcheck.cli.app import (
    Answer,
    AsJson,
    Board,
    CatalogAt,
    Force,
    Html,
    Markdown,
    PartsFrom,
    PolicyName,
    Reference,
    app,
)
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document


@app.command(short_help="Accept a substitution and write it down with its grounds.")
def accept(
    board: Board,
    ref: Reference,
    part: Annotated[
        str,
        typer.Argument(
            metavar="PART", help="Part number, or MAKER:PART.", show_default=False, autocompletion=completing.parts
        ),
    ],
    note: Annotated[str, typer.Option(help="Why, or what to watch.")] = "",
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who accepts it (default: your login name).")] = None,
    resistor: Annotated[
        str | None, typer.Option(metavar="VALUE", help="Resistor that comes with it (default: as swap proposes).")
    ] = None,
    although_it_fails: Annotated[
        bool, typer.Option("--although-it-fails", help="Accept a part that fails; needs a --note.")
    ] = False,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Accept a substitution: judge it and write it down in the catalog, with all that the result rests on.

    Exits with 0 if it meets or is tight, 3 if it is unproven, 1 if it was accepted although it fails.
    """
    from partcheck.cli.asking import given
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.decisions.accept import accept as decide
    from partcheck.jobs.judge.setup import open_setup

    who = given(by)
    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    setup = open_setup(board, parts or [], catalog, policy)
    place = setup.reference(ref)
    decided = decide(
        setup,
        place,
        setup.part(place, part),
        resistor=resistor,
        by=who,
        note=note,
        although_it_fails=although_it_fails,
    )
    code = exit_code(decided.candidate.verdict)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.decisions import document as decisions

        return decisions.accepted(decided)

    def record() -> object:
        from partcheck.report.answers.decisions.record import accepted

        return accepted(decided)

    return answered(document, record, code, as_json=as_json, html=html, markdown=markdown)


@app.command("records", short_help="List accepted substitutions, and say which are stale.")
def records_(
    board: Annotated[
        str | None,
        typer.Argument(
            metavar="BOARD",
            help="Board file or name; if left out, all.",
            show_default=False,
            autocompletion=completing.boards,
        ),
    ] = None,
    number: Annotated[int | None, typer.Option(min=1, max=2**31 - 1, help="Show this one in full.")] = None,
    stale: Annotated[bool, typer.Option("--stale", help="Only those that are stale.")] = False,
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="One row each as CSV.")] = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """List accepted substitutions, and say which are stale because board, part or policy changed since.

    Exits with 0 if all of them stand, 1 if one is stale or fails now.
    """
    from partcheck.cli.codes import refuse_both
    from partcheck.jobs.decisions.stale import records as look

    refuse_both(as_json, as_csv)
    refuse_targets(Path(board) if board is not None else None, None, catalog, None, force, html, markdown)
    found = look(catalog, board, number, stale)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.decisions import document as decisions

        return (
            decisions.in_full(found.standings[0]) if number is not None and found.standings else decisions.listed(found)
        )

    def record() -> object:
        from partcheck.report.answers.decisions.record import recorded

        return recorded(found)

    def table() -> str:
        from partcheck.report.answers.decisions import sheet as accepted_sheet

        return accepted_sheet.text(found)

    code = 0 if found.sound else 1
    return answered(
        document, record, code, as_json=as_json, as_csv=table if as_csv else None, html=html, markdown=markdown
    )
