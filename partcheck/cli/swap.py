"""The command that looks for stand-ins."""

from typing import TYPE_CHECKING, Annotated

import typer

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


@app.command(short_help="Find the parts that can stand in at a place, ranked.")
def swap(
    board: Board,
    ref: Reference,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    most: Annotated[int, typer.Option(help="How many stand-ins to show.", min=1, max=1000)] = 8,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="The ranking as CSV.")] = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Find the parts that can stand in at a place, proved and ranked, and why the others fail.

    Exits with 0 if a stand-in meets or is tight, 3 if the best is unproven, 1 if there is none.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.swap.swap import swap as find
    from partcheck.requirement import Verdict

    refuse_both(as_json, as_csv)
    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    setup = open_setup(board, parts or [], catalog, policy)
    found = find(setup, setup.reference(ref), most)
    best = found.verdict if found.candidates else Verdict.FAILS

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.swap import document as answer

        return answer.document(found, pictures)

    def record() -> object:
        from partcheck.report.answers.swap.record import record

        return record(found)

    def table() -> str:
        from partcheck.report.answers.swap import sheet as ranking

        return ranking.text(found)

    return answered(
        document,
        record,
        exit_code(best),
        as_json=as_json,
        as_csv=table if as_csv else None,
        html=html,
        markdown=markdown,
    )
