"""The command that judges the board as fitted."""

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
    app,
)
from partcheck.cli.pages import refuse_targets, with_pages


@app.command()
def check(
    board: Board,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Judge the board as fitted: every place, and what sums in regulators, returns, chips and rails.

    Ends with 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.check.board import check as judge
    from partcheck.jobs.judge.setup import open_setup

    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    checked = judge(open_setup(board, parts or [], catalog, policy))
    code = exit_code(checked.verdict)

    def page() -> str:
        from partcheck.report.html import check as report

        return report.page(checked)

    def log() -> str:
        from partcheck.report.markdown import checked as report

        return report(checked)

    if as_json:
        from partcheck.report import records

        return with_pages(Answer(records.to_text(records.checked(checked)), code), html, markdown, page, log)
    from partcheck.report import checked as report

    return with_pages(Answer(report.text(checked), code), html, markdown, page, log)
