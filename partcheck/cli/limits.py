"""Command that works out what may be connected to a board at all."""

from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli import completing
from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, Board, CatalogAt, Force, Html, Markdown, PartsFrom, PolicyName, app
from partcheck.cli.pages import refuse_targets

if TYPE_CHECKING:
    from partcheck.report.document import Document

Load = Annotated[
    str | None,
    typer.Argument(
        metavar="LOAD",
        help="A load: its channel alone, with its map.",
        show_default=False,
        autocompletion=completing.loads,
    ),
]


@app.command(short_help="Work out how far everything may go: the rating sheet.")
def limits(
    board: Board,
    load: Load = None,
    parts: PartsFrom = None,
    catalog: CatalogAt = None,
    policy: PolicyName = None,
    grid: Annotated[
        str | None,
        typer.Option(help="Points of the map: columns (voltage) x rows (current); 64x18, with --html 96x64."),
    ] = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="The sheet, or with LOAD the map, as CSV.")] = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """Work out the rating sheet: how far current, voltage, coil energy and air may go, and what sets each limit.

    Exits with 0 if the board meets as it stands, 1 if something fails, 3 if nothing fails but something is unproven.
    """
    from partcheck.cli.codes import exit_code, refuse_both
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.jobs.sweep.limits import limits as work_out
    from partcheck.jobs.sweep.map import map_of, read_grid

    refuse_both(as_json, as_csv)
    refuse_targets(board, parts, catalog, policy, force, html, markdown)
    columns, rows = read_grid(grid or ("64x18" if html is None else "96x64"))
    setup = open_setup(board, parts or [], catalog, policy)
    chosen = setup.load(load) if load is not None else None
    found = work_out(setup, chosen)
    made = map_of(found, columns, rows) if chosen is not None else None
    code = exit_code(found.verdict)

    def document(pictures: bool) -> "Document":
        from partcheck.report.answers.limits import document as answer

        return answer.document(found, pictures, map_=made)

    def record() -> object:
        from partcheck.report.answers.limits.record import record

        return record(found, made)

    def table() -> str:
        from partcheck.report.answers.limits import sheet as limits_sheet

        return limits_sheet.map_sheet(made) if made is not None else limits_sheet.sheet(found)

    return answered(
        document, record, code, as_json=as_json, as_csv=table if as_csv else None, html=html, markdown=markdown
    )
