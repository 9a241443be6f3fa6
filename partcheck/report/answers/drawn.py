"""Pictures as blocks of a document; drawn only where a page is wanted, as drawing costs more than judging."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from partcheck.jobs.judge.place import Judged
from partcheck.report import document as d
from partcheck.situation import Situation

if TYPE_CHECKING:
    from partcheck.report.html.pictures.drawing import Drawing


def block(drawing: "Drawing") -> d.Picture:
    """A drawing as a block."""
    return d.Picture(drawing, drawing.title, drawing.finding)


def blocks(drawings: "Iterable[Drawing | None]") -> tuple[d.Picture, ...]:
    """The drawings that there are, as blocks."""
    return tuple(block(drawing) for drawing in drawings if drawing is not None)


def place(situation: Situation, judged: Judged) -> tuple[d.Picture, ...]:
    """A place drawn with its values, and how it behaves."""
    from partcheck.report.html.pictures import schematic
    from partcheck.report.html.pictures.behaviour import behaviour

    return blocks([schematic.drawn(situation, judged), *behaviour(situation, judged)])


def glance(
    after: Sequence[Judged], before: Sequence[Judged] | None = None, title: str = "The board"
) -> d.Section | None:
    """Every place and link as a strip; before and after where there is a before."""
    from partcheck.report.html.pictures.board import overview

    return d.section("The board at a glance", *blocks(overview(after, before, title)))
