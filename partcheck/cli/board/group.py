"""Commands that look at a board file without judging a part: list, check, look."""

from typing import TYPE_CHECKING, Annotated

import typer

from partcheck.cli.answering import answered
from partcheck.cli.app import Answer, AsJson, Board, Force, Html, Markdown, app
from partcheck.cli.pages import refuse_targets
from partcheck.errors import UsageError

if TYPE_CHECKING:
    from partcheck.board import BoardFile
    from partcheck.report.document import Document

group = typer.Typer(
    help="The board file itself: begin one, check it, look at it, list what is on it.",
    no_args_is_help=False,
    rich_markup_mode=None,
)
app.add_typer(group, name="board", short_help="Begin, check and look at a board file.")


@group.command("list", short_help="List what is on a board.")
def list_(
    board: Board,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="The same table as CSV.")] = False,
    channels: Annotated[
        bool, typer.Option("--channels", help="As CSV with a row for each load, as `partcheck board from` reads it.")
    ] = False,
    html: Html = None,
    markdown: Markdown = None,
    force: Force = False,
) -> Answer:
    """List what is on a board: references, role, part, value, how many."""
    from partcheck.board import read_board
    from partcheck.cli.codes import refuse_both
    from partcheck.jobs.boards.listing import items
    from partcheck.report.answers.boards import document as answer

    refuse_both(as_json, as_csv)
    refuse_targets(board, None, None, None, force, html, markdown)
    file = read_board(board)
    if channels and (as_json or as_csv or html is not None or markdown is not None):
        raise UsageError("--channels is a list of its own; leave out --json, --csv, --html and --markdown")
    if channels:
        return Answer(_channels(file))
    found = items(file)

    def record() -> object:
        from partcheck.report.answers.boards.record import listed

        return listed(file, found)

    def table() -> str:
        from partcheck.report.render import csv

        return csv.render(answer.listed(file, found, each=True))

    return answered(
        lambda _: answer.listed(file, found),
        record,
        0,
        as_json=as_json,
        as_csv=table if as_csv else None,
        html=html,
        markdown=markdown,
    )


def _channels(file: "BoardFile") -> str:
    import csv
    import io

    from partcheck.jobs.boards.channel_sheet import WORDS, rows_of
    from partcheck.parts.grid import guarded

    out = io.StringIO()
    rows = rows_of(file)
    names = [name for name in WORDS if any(row[name] for row in rows)]
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([name.replace("_", " ").capitalize() for name in names])
    writer.writerows([[guarded(row[name]) for name in names] for row in rows])
    return out.getvalue().rstrip("\n")


@group.command(short_help="Check a board file without any part.")
def check(
    board: Board, as_json: AsJson = False, html: Html = None, markdown: Markdown = None, force: Force = False
) -> Answer:
    """Check a board file without any part: whether it reads, and what it leaves out that will be asked for.

    Exits with 0 if nothing is left out, 3 if something is, 2 if the file does not read.
    """
    from partcheck.board import read_board
    from partcheck.jobs.boards.review import review
    from partcheck.report.answers.boards import document as answer

    refuse_targets(board, None, None, None, force, html, markdown)
    found = review(read_board(board))

    def record() -> object:
        from partcheck.report.answers.boards.record import reviewed

        return reviewed(found)

    code = 0 if found.complete else 3
    return answered(lambda _: answer.reviewed(found), record, code, as_json=as_json, html=html, markdown=markdown)


@group.command(short_help="Draw the paths of current on a board.")
def look(
    board: Board, as_json: AsJson = False, html: Html = None, markdown: Markdown = None, force: Force = False
) -> Answer:
    """Draw the paths of current on a board: from the source through wires, poles, load and switch, and back."""
    from partcheck.board import read_board
    from partcheck.jobs.boards.wiring import drawn
    from partcheck.report.answers.boards import document as answer

    refuse_targets(board, None, None, None, force, html, markdown)
    file = read_board(board)
    channels = drawn(file)

    def document(pictures: bool) -> "Document":
        return answer.looked(file, channels, pictures)

    def record() -> object:
        from partcheck.report.answers.boards.record import looked

        return looked(file, channels)

    return answered(document, record, 0, as_json=as_json, html=html, markdown=markdown)
