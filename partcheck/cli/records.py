"""Commands on accepted substitutions: accept one, list them with what is stale."""

from typing import Annotated

import typer

from partcheck.cli.app import Answer, AsJson, Board, CatalogAt, PartsFrom, PolicyName, Reference, app


@app.command()
def accept(
    board: Board,
    ref: Reference,
    part: Annotated[str, typer.Argument(metavar="PART", help="Part number, or MAKER:PART.", show_default=False)],
    note: Annotated[str, typer.Option(help="Why, or what to watch.")] = "",
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who accepts it (default: your login name).")] = None,
    resistor: Annotated[
        str | None, typer.Option(metavar="VALUE", help="Resistor that comes with it (default: as swap proposes).")
    ] = None,
    although_it_fails: Annotated[
        bool, typer.Option("--although-it-fails", help="Accept a part that fails; wants a --note.")
    ] = False,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
) -> Answer:
    """Accept a substitution: judge it and write it down in the catalog, with all that the result rests on.

    Ends with 0 if it meets or is tight, 3 if it is unproven, 1 if it was accepted although it fails.
    """
    from partcheck.cli.asking import given
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.decisions.accept import accept as decide
    from partcheck.jobs.judge.setup import open_setup

    who = given(by)
    setup = open_setup(board, parts or [], catalog, policy)
    place = setup.reference(ref)
    decided = decide(
        setup, place, setup.part(place, part),
        resistor=resistor, by=who, note=note, although_it_fails=although_it_fails,
    )  # fmt: skip
    code = exit_code(decided.candidate.verdict)
    if as_json:
        from partcheck.report import records

        return Answer(records.to_text(records.accepted(decided)), code)
    from partcheck.report import accepted

    return Answer(accepted.text(decided), code)


@app.command("records")
def records_(
    board: Annotated[
        str | None, typer.Argument(metavar="BOARD", help="Board file or name; left out: all.", show_default=False)
    ] = None,
    number: Annotated[int | None, typer.Option(min=1, max=2**31 - 1, help="Show this one in full.")] = None,
    stale: Annotated[bool, typer.Option("--stale", help="Only those that are stale.")] = False,
    catalog: CatalogAt = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="One row each as CSV.")] = False,
) -> Answer:
    """List accepted substitutions, and say which are stale because board, part or policy changed since.

    Ends with 0 if all of them stand, 1 if one is stale or fails now.
    """
    from partcheck.cli.codes import refuse_both
    from partcheck.jobs.decisions.stale import records as look

    refuse_both(as_json, as_csv)
    found = look(catalog, board, number, stale)
    code = 0 if found.sound else 1
    if as_json:
        from partcheck.report import records

        return Answer(records.to_text(records.recorded(found)), code)
    if as_csv:
        from partcheck.report import accepted_sheet

        return Answer(accepted_sheet.text(found), code)
    from partcheck.report import accepted

    if number is not None and found.standings:
        return Answer(accepted.full(found.standings[0]), code)
    return Answer(accepted.records(found), code)
