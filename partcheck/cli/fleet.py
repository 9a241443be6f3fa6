"""The command that looks at many boards at once."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, CatalogAt, Force, Html, Markdown, PartsFrom, PolicyName, app
from partcheck.cli.pages import refuse_targets, refuse_to_write

if TYPE_CHECKING:
    from partcheck.report.document import Document

Gone = Annotated[
    list[str] | None,
    typer.Option("--gone", metavar="PART", help="A part that is no longer available; may be repeated."),
]
Corrected = Annotated[
    list[str] | None,
    typer.Option(
        "--corrected", metavar="PART.parameter=VALUE", help="A datasheet value that was wrong; may be repeated."
    ),
]


@app.command(short_help="Find which of many boards a change touches, and how.")
def fleet(
    boards: Annotated[
        list[Path],
        typer.Argument(metavar="BOARD|FOLDER...", help="Board files, or folders of them.", show_default=False),
    ],
    gone: Gone = None,
    corrected: Corrected = None,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    processes: Annotated[
        int, typer.Option(help="How many boards at once; 0: one for each processor.", min=0, max=256)
    ] = 0,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="The places as CSV.")] = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Find which of many boards a change touches, what becomes of each place, and which part does instead.

    Exits with 0 if every place touched has a part that meets or is tight, 3 if the best of one is unproven, 1 if one
    has none, 2 if a board could not be looked at.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.jobs.fleet.changes import read_changes
    from partcheck.jobs.fleet.fleet import Sources, board_files
    from partcheck.jobs.fleet.fleet import fleet as look

    refuse_both(as_json, as_csv)
    changes = read_changes(gone or [], corrected or [])
    files = board_files(boards)
    refuse_to_write(force, files, html, markdown)
    refuse_targets(None, parts, catalog, policy, force, html, markdown)
    found = look(files, changes, Sources(tuple(parts or ()), catalog, policy), processes)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.fleet.document import document as answer

        return answer(found)

    def record() -> object:
        from partcheck.report.answers.fleet.record import record

        return record(found)

    def table() -> str:
        from partcheck.report.answers.fleet.sheet import text

        return text(found)

    return answered(
        document,
        record,
        2 if found.unread else exit_code(found.verdict),
        as_json=as_json,
        as_csv=table if as_csv else None,
        html=html,
        markdown=markdown,
    )
