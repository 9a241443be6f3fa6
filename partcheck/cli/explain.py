"""The command that shows one part in one place in full."""

from typing import TYPE_CHECKING

from partcheck.cli.answering import answered
from partcheck.cli.app import (
    Answer,
    AsJson,
    Board,
    CatalogAt,
    Force,
    Html,
    Markdown,
    PartName,
    PartsFrom,
    PolicyName,
    Reference,
    app,
)
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document


@app.command(short_help="Show every requirement of one part in one place in full.")
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
    force: Force = False,
) -> Answer:
    """Show every requirement of one part in one place in full: rule, numbers, sources, assumptions.

    Exits with 0 if all meet or are tight, 1 if one fails, 3 if none fails but one is unproven.
    """
    from partcheck.cli.codes import exit_code
    from partcheck.jobs.check.part import explain_part
    from partcheck.jobs.judge.setup import open_setup

    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    setup = open_setup(board, parts or [], catalog, policy)
    place = setup.reference(ref)
    explained = explain_part(setup, place, setup.part(place, part) if part is not None else None)
    code = exit_code(explained.judged.verdict)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.explain import document as answer

        return answer.document(explained, pictures)

    def record() -> object:
        from partcheck.report.answers.explain.record import record

        return record(explained)

    return answered(document, record, code, as_json=as_json, html=html, markdown=markdown)
