"""The answers about a board that a page is made of, each worked out once while the board stays as it is."""

from collections.abc import Callable

from partcheck.jobs.boards.wiring import drawn
from partcheck.jobs.check.board import Checked, check
from partcheck.jobs.check.part import Explained, explain_part
from partcheck.jobs.judge.cautions import cautions
from partcheck.jobs.judge.place import Judged
from partcheck.jobs.swap.swap import Candidate, Swapped, swap
from partcheck.report import document as d
from partcheck.report.document import Document
from partcheck.serve.answers import Told
from partcheck.serve.fitting import Fit, candidate_of
from partcheck.serve.warm import WarmBoard


def _kept(warm: WarmBoard, key: tuple[object, ...], make: Callable[[bool], Document]) -> Callable[[bool], Document]:
    """A document that is described once, with pictures or without."""
    return lambda pictures: warm.once(("document", *key, pictures), lambda: make(pictures))


def in_short(document: Document, *left_out: d.Block | None) -> list[d.Block]:
    """The blocks of an answer below its finding, without some, and without folds that a page of their own tells."""
    told = [block for block in document.blocks[1:] if block not in left_out]
    return [block for block in told if not (isinstance(block, d.Fold) and "partcheck explain" in block.elsewhere)]


def checked(warm: WarmBoard) -> Checked:
    """The board as fitted; what would help is looked for when a whole answer asks for it."""
    return warm.once(("check",), lambda: check(warm.setup))


def places_of(warm: WarmBoard) -> tuple[Judged, ...]:
    """Every place and link of the board, judged; of the board as filed while another thread may ask it."""
    with warm.turn:
        found = checked(warm)
        return (*found.places, *found.links)


def finding(warm: WarmBoard) -> d.Finding:
    """The verdict of the board in a sentence or two, without what would help."""
    from partcheck.report.answers.heads import whole_board

    return whole_board(places_of(warm), None)


def check_told(warm: WarmBoard) -> Told:
    """The board as fitted, in any form."""
    from partcheck.report.answers.check import document as answer
    from partcheck.report.answers.check.record import record

    def table() -> str:
        from partcheck.report.render import csv

        return csv.sheet(answer.sheet(checked(warm)))

    return Told(
        f"{_stem(warm)}-check",
        _kept(warm, ("check",), lambda pictures: answer.document(checked(warm), pictures)),
        lambda: record(checked(warm)),
        table,
    )


def look_told(warm: WarmBoard) -> Told:
    """The paths of current of the board, in any form."""
    from partcheck.report.answers.boards import document as answer
    from partcheck.report.answers.boards.record import looked

    file = warm.setup.board_file

    made = _kept(warm, ("look",), lambda pictures: answer.looked(file, drawn(file), pictures))
    return Told(f"{_stem(warm)}-look", made, lambda: looked(file, drawn(file)))


def swapped(warm: WarmBoard, place: str, most: int) -> Swapped:
    """The stand-ins for a place."""
    return warm.once(("swap", place, most), lambda: swap(warm.setup, place, most))


def swap_told(warm: WarmBoard, place: str, most: int) -> Told:
    """The stand-ins for a place, in any form."""
    from partcheck.report.answers.swap import document as answer
    from partcheck.report.answers.swap import sheet
    from partcheck.report.answers.swap.record import record

    return Told(
        f"{_stem(warm)}-{place}-swap",
        _kept(warm, ("swap", place, most), lambda pictures: answer.document(swapped(warm, place, most), pictures)),
        lambda: record(swapped(warm, place, most)),
        lambda: sheet.text(swapped(warm, place, most)),
    )


def candidate(warm: WarmBoard, fit: Fit) -> Candidate:
    """A part at a place, with the resistor that comes with it and what it does to the other places."""
    return warm.once(("candidate", fit), lambda: candidate_of(warm.setup, fit))


def explained(warm: WarmBoard, fit: Fit) -> Explained:
    """A part at a place in full, with the resistor that comes with it."""

    def make() -> Explained:
        made = candidate(warm, fit)
        if made.situation is None or made.resistor is None:
            return explain_part(warm.setup, fit.ref, made.part)
        return Explained(warm.setup, made.situation, made.judged, tuple(cautions(made.situation, [made.judged])))

    return warm.once(("explain", fit), make)


def explain_told(warm: WarmBoard, fit: Fit | None, place: str) -> Told:
    """A part at a place in full, in any form; without a fit the part that is there."""
    from partcheck.report.answers.explain import document as answer
    from partcheck.report.answers.explain.record import record

    def found() -> Explained:
        if fit is not None:
            return explained(warm, fit)
        return warm.once(("explain", place), lambda: explain_part(warm.setup, place, None))

    name = f"{place}-{fit.part.rpartition(':')[2]}" if fit is not None else place
    return Told(
        f"{_stem(warm)}-{name}-explain",
        _kept(warm, ("explain", place, fit), lambda pictures: answer.document(found(), pictures)),
        lambda: record(found()),
    )


def _stem(warm: WarmBoard) -> str:
    return warm.name.removesuffix(".toml").replace("/", "-")
