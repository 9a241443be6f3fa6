"""The command that judges the board as fitted."""

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
    NoCures,
    PartsFrom,
    PolicyName,
    app,
)
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document


@app.command(short_help="Judge the board as it is fitted.")
def check(
    board: Board,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Everything judged, worst first, as CSV.")] = False,
    no_cures: NoCures = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Judge the board as fitted: every place, and what sums in regulators, returns, chips and rails.

    Exits with 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.jobs.check.board import check as judge
    from partcheck.jobs.judge.setup import open_setup

    refuse_both(as_json, as_csv)
    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    checked = judge(open_setup(board, parts or [], catalog, policy), not no_cures)
    code = exit_code(checked.verdict)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.check import document as answer

        return answer.document(checked, pictures)

    def record() -> object:
        from partcheck.report.answers.check.record import record

        return record(checked)

    def table() -> str:
        from partcheck.report.answers.check import document as answer
        from partcheck.report.render import csv

        return csv.sheet(answer.sheet(checked))

    return answered(
        document, record, code, as_json=as_json, as_csv=table if as_csv else None, html=html, markdown=markdown
    )
