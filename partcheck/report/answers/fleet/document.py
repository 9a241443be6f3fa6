"""Which of many boards a change touches: the finding, every place with its best stand-in, and one part for all."""

from collections.abc import Iterator
from datetime import date

from partcheck.jobs.fleet.changes import Changed
from partcheck.jobs.fleet.fleet import Fleet, Touched
from partcheck.report import document as d
from partcheck.report.answers import common
from partcheck.report.answers import phrases as say
from partcheck.report.answers.catalogued import part_name
from partcheck.report.lines import counted
from partcheck.requirement import Verdict


def document(found: Fleet, made_on: date | None = None) -> d.Document:
    """Every place that has a part which changed, for a person."""
    return d.Document(
        "fleet",
        ("Boards that a change touches",),
        (("Change", d.joined([_change(change) for change in found.changes], "; ")),),
        d.present(_head(found), _places(found), _for_all(found), _unread(found), _next(found)),
        made_on=common.today(made_on),
    )


def _change(change: Changed) -> d.Line:
    named = f"{change.maker}:{change.part_number}" if change.maker else change.part_number
    if change.gone:
        return d.line(d.Name(named), " is gone")
    values = [d.line(d.Id(column), " ", d.Name(value)) for column, value in change.corrected.items()]
    return d.line(d.Name(named), " has ", d.joined(values))


def _head(found: Fleet) -> d.Finding:
    touched = found.touched
    of = counted(len(found.boards) - len(found.unread), "board")
    if not touched:
        return d.Finding(None if found.unread else Verdict.MEETS, (d.line(f"The change touches none of {of}."),), ())
    boards = len({place.board for place in touched})
    on = "the board" if len(found.boards) == 1 else f"{boards} of {of}"
    told = f"The change touches {counted(len(touched), 'place')} on {on}"
    bad = [place for place in touched if place.verdict == Verdict.FAILS]
    open_ones = [place for place in touched if place.verdict == Verdict.UNPROVEN]
    if bad:
        more = f"; nothing known will do at {_where(bad)}"
    elif open_ones:
        more = f"; nothing is proved to do at {_where(open_ones)}"
    else:
        still = "" if all(change.gone for change in found.changes) else "its part will still do, or "
        more = f"; {still}another known part will do {'there' if len(touched) == 1 else 'at each'}"
    sentences = [d.line(told, d.Name(more), ".")]
    if found.for_all:
        best = found.for_all[0]
        sentences.append(d.line(part_name(best.part_number, best.maker), " fits all places that need another part."))
    todo = d.line("enter more parts, or see with ", d.Id("partcheck plan"), " what else could change")
    return d.Finding(found.verdict, tuple(sentences), (todo,) if bad else ())


def _where(places: list[Touched]) -> str:
    first = f"{places[0].ref} of {places[0].board.name}"
    return first if len(places) == 1 else f"{first} and {counted(len(places) - 1, 'other place')}"


def _places(found: Fleet) -> d.Table | None:
    if not found.touched:
        return None
    columns = (
        d.Column("board"),
        d.Column("place"),
        d.Column("part", detail=True),
        d.Column("before"),
        d.Column("after"),
        d.Column("set by", detail=True),
        d.Column("best stand-in"),
        d.Column("verdict"),
        d.Column("to spare", right=True),
        d.Column("changes", detail=True),
    )
    names = {board.board.name for board in found.boards}
    short = len(names) == len(found.boards)  # else the folder has to tell two of them apart
    rows = tuple(_row(place, place.board.name if short else str(place.board)) for place in found.touched)
    return d.Table("Every place that has the part, the worst first", columns, rows)


def _row(place: Touched, board: str) -> d.Row:
    after: d.Line = (d.Sign(place.after),) if place.set_by else ("gone",)
    best = place.best
    told: tuple[d.Line, ...] = (("-",), (), (), ())
    if best is not None:
        spare = (say.share(best.headroom),) if best.headroom == best.headroom else ()
        changes = (d.Name("; ".join(best.changes)),) if best.changes else ()
        told = ((d.Name(best.part_number),), (d.Sign(best.verdict),), spare, changes)
    elif not place.compared:
        told = (("not needed",), (), (), ())
    cells = (
        (d.Name(board),),
        (d.Name(place.ref),),
        (d.Name(place.part),),
        (d.Sign(place.before),),
        after,
        (d.Id(place.set_by),) if place.set_by else (),
        *told,
    )
    return d.Row(cells, {"reference": place.ref})


def _for_all(found: Fleet) -> d.Section | None:
    needing = [place for place in found.touched if place.compared]
    if len(needing) < 2:
        return None
    if not found.for_all:
        told = "No known part that was looked at fits all of them as drawn."
        return d.Section(("One part for all places",), (d.Paragraph((told,)),))
    items = tuple(d.line(part_name(made.part_number, made.maker), ": ", d.Sign(made.verdict)) for made in found.for_all)
    return d.Section(("One part for all places, fitted at all of them at once",), (d.Listing(items),))


def _unread(found: Fleet) -> d.Section | None:
    if not found.unread:
        return None
    items = tuple(d.line(d.Name(board.error)) for board in found.unread)
    return d.Section((f"{counted(len(items), 'board')} could not be looked at",), (d.Listing(items),))


def _next(found: Fleet) -> d.NextStep | None:
    for place in _with_stand_in(found):
        return d.NextStep(f"partcheck swap {place.board} {place.ref}", "To see all stand-ins at one place, and why")
    return None


def _with_stand_in(found: Fleet) -> Iterator[Touched]:
    return (place for place in found.touched if place.compared)


__all__ = ["document"]
