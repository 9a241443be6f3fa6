"""The answers about a board that a page is made of, each worked out once while the board stays as it is."""

from partcheck.jobs.boards.wiring import drawn
from partcheck.jobs.check.board import Checked, check
from partcheck.report import document as d
from partcheck.report.document import Document
from partcheck.serve.answers import Told
from partcheck.serve.warm import WarmBoard


def checked(warm: WarmBoard) -> Checked:
    """The board as fitted; what would help is looked for when a whole answer asks for it."""
    return warm.once(("check",), lambda: check(warm.setup))


def finding(warm: WarmBoard) -> d.Finding:
    """The verdict of the board in a sentence or two, without what would help."""
    from partcheck.report.answers.heads import whole_board

    found = checked(warm)
    return whole_board((*found.places, *found.links), None)


def check_told(warm: WarmBoard) -> Told:
    """The board as fitted, in any form."""
    from partcheck.report.answers.check import document as answer
    from partcheck.report.answers.check.record import record

    def table() -> str:
        from partcheck.report.render import csv

        return csv.sheet(answer.sheet(checked(warm)))

    return Told(
        f"{_stem(warm)}-check",
        lambda pictures: answer.document(checked(warm), pictures),
        lambda: record(checked(warm)),
        table,
    )


def look_told(warm: WarmBoard) -> Told:
    """The paths of current of the board, in any form."""
    from partcheck.report.answers.boards import document as answer
    from partcheck.report.answers.boards.record import looked

    file = warm.setup.board_file

    def document(pictures: bool) -> Document:
        return warm.once(("look", pictures), lambda: answer.looked(file, drawn(file), pictures))

    return Told(f"{_stem(warm)}-look", document, lambda: looked(file, drawn(file)))


def _stem(warm: WarmBoard) -> str:
    return warm.name.removesuffix(".toml").replace("/", "-")
