"""Commands that judge a board: swap, explain, check."""

from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.app import (
    Answer,
    AsJson,
    Board,
    CatalogAt,
    Html,
    Markdown,
    PartName,
    PartsFrom,
    PolicyName,
    Reference,
    app,
)
from partcheck.cli.pages import refuse_targets, with_pages

if TYPE_CHECKING:
    from partcheck.jobs.swap import Swapped


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
    html: Html = None,
    markdown: Markdown = None,
) -> Answer:
    """Find the parts that can stand in at a place, proved and ranked, and why the others fail.

    Ends with 0 if a stand-in meets or is tight, 3 if the best is unproven, 1 if there is none.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.jobs.setup import open_setup
    from partcheck.jobs.swap import swap as find
    from partcheck.requirement import Verdict

    refuse_both(as_json, as_csv)
    refuse_targets(board, html, markdown)
    setup = open_setup(board, parts or [], catalog, policy)
    found = find(setup, setup.reference(ref), most)
    best = found.verdict if found.candidates else Verdict.FAILS

    def page() -> str:
        from partcheck.report.html import swap as report

        return report.page(found)

    def log() -> str:
        from partcheck.report.markdown import swapped as report

        return report(found)

    return with_pages(Answer(_swap_text(found, as_json, as_csv), exit_code(best)), html, markdown, page, log)


def _swap_text(found: "Swapped", as_json: bool, as_csv: bool) -> str:
    if as_json:
        from partcheck.report import records

        return records.to_text(records.swapped(found))
    if as_csv:
        from partcheck.report import ranking

        return ranking.text(found)
    from partcheck.report import swapped

    return swapped.text(found)


@app.command()
def explain(
    board: Board,
    ref: Reference,
    part: PartName = None,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
) -> Answer:
    """Show every requirement of one part in one place in full: rule, numbers, sources, assumptions.

    Ends with 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.explaining import explain_part
    from partcheck.jobs.setup import open_setup

    refuse_targets(board, html, markdown)
    setup = open_setup(board, parts or [], catalog, policy)
    place = setup.reference(ref)
    explained = explain_part(setup, place, setup.part(place, part) if part is not None else None)
    code = exit_code(explained.judged.verdict)

    def page() -> str:
        from partcheck.report.html import explain as report

        return report.page(explained)

    def log() -> str:
        from partcheck.report.markdown import explained as report

        return report(explained)

    if as_json:
        from partcheck.report import records

        return with_pages(Answer(records.to_text(records.explained(explained)), code), html, markdown, page, log)
    from partcheck.report import explained as report

    return with_pages(Answer(report.text(explained), code), html, markdown, page, log)


@app.command()
def check(
    board: Board,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
) -> Answer:
    """Judge the board as fitted: every place, and what sums in regulators, returns, chips and rails.

    Ends with 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.check import check as judge
    from partcheck.jobs.setup import open_setup

    refuse_targets(board, html, markdown)
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
