"""The command that says what the requirements rest on."""

from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, Force, Html, Markdown, app
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document


@app.command(short_help="Show what a requirement rests on, and who else confirms it.")
def evidence(
    requirement: Annotated[
        str,
        typer.Argument(
            metavar="REQUIREMENT", help="A requirement, a role, or ROLE:REQUIREMENT; if left out, all of them."
        ),
    ] = "",
    as_json: AsJson = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Say what a requirement rests on: claim, formula, source, published numbers, simulated circuits, what is left out.

    Ends with 0.
    """
    from partcheck.jobs.evidence.evidence import evidence as find

    refuse_targets(None, None, None, None, force, html, markdown)
    found = find(requirement)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.evidence import document as answer

        return answer.document(found)

    def record() -> object:
        from partcheck.report.answers.evidence.record import record

        return record(found)

    return answered(document, record, 0, as_json=as_json, html=html, markdown=markdown)
