"""Commands that judge a board: swap, explain, check."""

from typing import Annotated

import typer

from partcheck.cli.app import (
    Answer,
    AsJson,
    Board,
    CatalogAt,
    PartName,
    PartsFrom,
    PolicyName,
    Reference,
    app,
)


@app.command()
def swap(
    board: Board,
    ref: Reference,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    most: Annotated[int, typer.Option(help="How many stand-ins to show.", min=1, max=1000)] = 8,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="The ranking as CSV.")] = False,
) -> Answer:
    """Find the parts that can stand in at a place, proved and ranked, and why the others fail.

    Ends with 0 if a stand-in meets or is tight, 3 if the best is unproven, 1 if there is none.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.jobs.setup import open_setup
    from partcheck.jobs.swap import swap as find
    from partcheck.requirement import Verdict

    refuse_both(as_json, as_csv)
    setup = open_setup(board, parts or [], catalog, policy)
    found = find(setup, setup.reference(ref), most)
    best = found.verdict if found.candidates else Verdict.FAILS
    if as_json:
        from partcheck.report import records

        return Answer(records.to_text(records.swapped(found)), exit_code(best))
    if as_csv:
        from partcheck.report import ranking

        return Answer(ranking.text(found), exit_code(best))
    from partcheck.report import swapped

    return Answer(swapped.text(found), exit_code(best))


@app.command()
def explain(
    board: Board,
    ref: Reference,
    part: PartName = None,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
) -> Answer:
    """Show every requirement of one part in one place in full: rule, numbers, sources, assumptions.

    Ends with 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.explaining import explain_part
    from partcheck.jobs.setup import open_setup

    setup = open_setup(board, parts or [], catalog, policy)
    place = setup.reference(ref)
    explained = explain_part(setup, place, setup.part(place, part) if part is not None else None)
    code = exit_code(explained.judged.verdict)
    if as_json:
        from partcheck.report import records

        return Answer(records.to_text(records.explained(explained)), code)
    from partcheck.report import explained as report

    return Answer(report.text(explained), code)


@app.command()
def check(
    board: Board,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
) -> Answer:
    """Judge the board as fitted: every place, and what sums in regulators, returns, chips and rails.

    Ends with 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.check import check as judge
    from partcheck.jobs.setup import open_setup

    checked = judge(open_setup(board, parts or [], catalog, policy))
    code = exit_code(checked.verdict)
    if as_json:
        from partcheck.report import records

        return Answer(records.to_text(records.checked(checked)), code)
    from partcheck.report import checked as report

    return Answer(report.text(checked), code)
