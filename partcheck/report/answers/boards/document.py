"""The answers about a board file itself: what it lists, what it leaves out, the paths of current that it draws."""

import textwrap
from collections.abc import Iterator, Sequence
from datetime import date

from partcheck.board import BoardFile
from partcheck.board.names import numbered, short
from partcheck.jobs.boards.listing import Item
from partcheck.jobs.boards.review import LeftOut, Reviewed
from partcheck.jobs.boards.wiring import Alike, Stop
from partcheck.report import document as d
from partcheck.report.answers import common
from partcheck.report.answers.phrases import counted
from partcheck.requirement import Verdict

WIDE = 78
"""Columns of a drawing made of letters."""
NAMED, STAGED = 14, 13
"""Columns of a name and of what it is, in such a drawing."""


def identity(board_file: BoardFile) -> tuple[tuple[str, d.Line], ...]:
    """The board with its fingerprint, and its file."""
    name = d.line(d.Name(board_file.board.name), " (", d.Id(board_file.fingerprint[:12]), ")")
    return (("Board", name), ("File", (d.Name(str(board_file.path)),)))


# ---- board list


def listed(board_file: BoardFile, items: Sequence[Item], each: bool = False, made_on: date | None = None) -> d.Document:
    """What a board is fitted with; with ``each`` every reference is named, for another program."""
    columns = (
        d.Column("reference", "references"),
        d.Column("role"),
        d.Column("part"),
        d.Column("value"),
        d.Column("quantity", right=True),
    )
    rows = [
        d.Row(
            (
                (d.Name(", ".join(item.references) if each else short(item.references)),),
                (item.role,),
                (d.Name(f"{item.maker}:{item.part}" if item.maker else item.part),),
                (d.Name(item.value),),
                (str(item.quantity),),
            )
        )
        for item in items
    ]
    board = board_file.board
    found = (
        f"{counted(len(board.role), 'place')} with {counted(len({i.part for i in items if i.part}), 'kind')} of part"
    )
    return d.Document(
        "board list",
        d.line("What is on ", d.Name(board.name)),
        identity(board_file),
        (
            d.Finding(None, ((f"{found}, {counted(len(board.load), 'load')}.",),)),
            d.Table("Places and parts", columns, tuple(rows)),
        ),
        made_on=common.today(made_on),
    )


# ---- board check


def reviewed(found: Reviewed, made_on: date | None = None) -> d.Document:
    """A board file that reads: what it leaves out."""
    board = found.board_file.board
    there = (
        f"{counted(len(board.role), 'place')}, {counted(len(board.load), 'load')}, {counted(len(board.rail), 'rail')}"
    )
    groups = list(_together(found.left_out))
    verdict = Verdict.MEETS if found.complete else Verdict.UNPROVEN
    sentences: list[d.Line] = [(f"The file is valid: {there}.",)]
    if groups:
        count = counted(len(groups), "value that is needed is", "values that are needed are")
        sentences.append((f"{count} left out: what depends on {'it' if len(groups) == 1 else 'them'} stays unproven.",))
    if found.without_part:
        sentences.append(d.line("No part is stated for ", d.Name(short(found.without_part)), "."))
    if found.complete:
        sentences.append(("Nothing is left out that parts of its kinds are always judged by.",))
    todo = [d.line("state ", d.Name(keys)) for keys, _ in groups[:2]]
    return d.Document(
        "board check",
        d.line("The file of ", d.Name(board.name)),
        identity(found.board_file),
        d.present(d.Finding(verdict, tuple(sentences), tuple(todo)), _left_out(groups), _unused(found), _next(found)),
        made_on=common.today(made_on),
    )


def _together(left_out: Sequence[LeftOut]) -> Iterator[tuple[str, LeftOut]]:
    """What is left out of members that are numbered in a row, once."""
    groups: dict[tuple[str, str, str], list[LeftOut]] = {}
    for made in left_out:
        entry, _, key = made.key.rpartition(".")
        known = numbered(entry)
        groups.setdefault((known[0] if known is not None else entry, key, made.meaning), []).append(made)
    for (_, key, meaning), members in groups.items():
        table = members[0].key.partition(".")[0]
        entries = f"{table}.{short([made.key.split('.', 1)[1].rpartition('.')[0] for made in members])}"
        places = tuple(dict.fromkeys(place for made in members for place in made.places))
        yield f"{entries}: {key}" if len(members) > 1 else members[0].key, LeftOut(key, meaning, places)


def _left_out(groups: Sequence[tuple[str, LeftOut]]) -> d.Section | None:
    columns = (d.Column("key"), d.Column("what it is", detail=True), d.Column("asked at"))
    rows = [d.Row(((d.Name(keys),), (made.meaning,), (d.Name(short(made.places)),))) for keys, made in groups]
    table = d.Table("Values that the board leaves out", columns, tuple(rows)) if rows else None
    return d.section("What is left out", table)


def _unused(found: Reviewed) -> d.Section | None:
    items = []
    if found.not_switched:
        items.append(d.line("no switch of this board pulls ", d.Name(short(found.not_switched))))
    if found.idle_drives:
        items.append(d.line("nothing is connected to the drive ", d.Name(short(found.idle_drives))))
    return d.section("Not connected to anything", d.Listing(tuple(items)) if items else None)


def _next(found: Reviewed) -> d.NextStep:
    return d.NextStep(f"partcheck check {found.board_file.path}", "To judge it with its parts")


# ---- board look


def looked(board_file: BoardFile, channels: Sequence[Alike], pictures: bool, made_on: date | None = None) -> d.Document:
    """The paths of current of a board, each kind of channel once."""
    loads = counted(len(board_file.board.load), "load")
    kinds = counted(len(channels), "path")
    return d.Document(
        "board look",
        d.line("The paths of current on ", d.Name(board_file.board.name)),
        identity(board_file),
        (
            d.Finding(None, ((f"{loads} on {kinds} of current that differ; what is not drawn is not counted.",),)),
            *(_channel(board_file, alike, pictures) for alike in channels),
        ),
        made_on=common.today(made_on),
    )


def _channel(board_file: BoardFile, alike: Alike, pictures: bool) -> d.Section:
    names = short([channel.name for channel in alike.channels])
    rows = list(_rows(alike))
    drawing = _picture(board_file, alike) if pictures else ()
    text = tuple(row for stop in rows for row in _letters(*stop))
    return d.Section((d.Name(names),), (*drawing, d.Plot(f"From the source to {names} and back", text)))


def _picture(board_file: BoardFile, alike: Alike) -> tuple[d.Picture, ...]:
    from partcheck.report.answers.drawn import blocks
    from partcheck.report.html.pictures.schematic import of_channel

    switch = alike.first.switch
    if switch is None or switch.name not in board_file.board.role:
        return ()
    return blocks([of_channel(board_file, switch.name)])


_SIGNS = {
    "rail": "┬",
    "pole": "○",
    "load": "█",
    "switch": "┤",
    "lamp": "├",
    "clamp": "╞",
    "regulator": "▣",
}
_TITLES = {"pole": "terminal", "lamp": "beside it", "clamp": "across"}


def _rows(alike: Alike) -> Iterator[tuple[str, str, str, str]]:
    """Sign, what it is, names and words of every row of the drawing."""
    first = alike.first
    for i, stop in enumerate(first.stops):
        yield _row(stop, alike.names("stops", i))
        if stop.stage == "load":
            for pick in ("clamps", "lamps"):
                for j, beside in enumerate(getattr(first, pick)):
                    yield _row(beside, alike.names(pick, j))
        if stop.stage == "switch" and first.drive:
            drive, ahead, down = first.drive
            words = [
                *drive.words,
                *(f"through {word}" for word in ahead.words),
                *(f"held off by {w}" for w in down.words),
            ]
            yield "│", "  driven by", short(alike.names("drive", 0)), ", ".join(words)

    back = [stop for stop in first.stops if stop.stage in ("rail", "drive")][:1]
    yield "┴", "back to", short(alike.names("stops", first.stops.index(back[0]))) if back else "ground", ""


def _row(stop: Stop, names: Sequence[str]) -> tuple[str, str, str, str]:
    title = _TITLES.get(stop.stage, stop.stage)
    return _SIGNS.get(stop.stage, "│"), title, short([name for name in names if name]), ", ".join(stop.words)


def _letters(sign: str, title: str, names: str, words: str) -> list[str]:
    head = f"  {sign}  {title:<{STAGED}} {names:<{NAMED}} "
    if len(names) > NAMED:  # long names have a row of their own
        rows = textwrap.wrap(names, WIDE - 18, break_on_hyphens=False)
        lines = [
            f"  {sign if i == 0 else '│'}  {title if i == 0 else '':<{STAGED}} {row}" for i, row in enumerate(rows)
        ]
        head = f"  │  {'':<{STAGED}} {'':<{NAMED}} "
    else:
        lines = []
    wrapped = textwrap.wrap(words, WIDE - len(head), break_on_hyphens=False)
    for i, row in enumerate(wrapped or ([""] if not lines else [])):
        lines.append((head if i == 0 else f"  │  {'':<{STAGED}} {'':<{NAMED}} ") + row)
    return [line.rstrip() for line in lines]


__all__ = ["identity", "listed", "looked", "reviewed"]
