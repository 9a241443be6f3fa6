"""Records about a board file itself."""

from collections.abc import Sequence
from typing import Any, Literal

from pydantic import Field

from partcheck.board import BoardFile
from partcheck.jobs.boards.listing import Item
from partcheck.jobs.boards.review import Reviewed
from partcheck.jobs.boards.wiring import Alike, Stop, WiredChannel
from partcheck.report.record import Record


class BoardRecord(Record):
    """What every answer about a board file starts with."""

    format: Literal[1] = 1
    board: str
    file: str
    fingerprint: str = Field(description="of the text of the file")


class ItemRecord(Record):
    """So many of one thing."""

    references: list[str] = Field(description="the places, or for a passive those beside which it stands")
    role: str
    part: str
    maker: str
    value: str
    quantity: int


class BoardListRecord(BoardRecord):
    """What a board is fitted with."""

    job: Literal["board list"] = "board list"
    items: list[ItemRecord]


class LeftOutRecord(Record):
    """A value that a board leaves out and that is asked for."""

    key: str
    meaning: str
    places: list[str]


class BoardCheckRecord(BoardRecord):
    """A board file that reads: what it leaves out."""

    job: Literal["board check"] = "board check"
    complete: bool
    left_out: list[LeftOutRecord]
    without_part: list[str]
    not_switched: list[str] = Field(description="loads that no switch of the board pulls")
    idle_drives: list[str]


class StopRecord(Record):
    """One thing that a current passes."""

    stage: str
    name: str
    states: list[str]


class CurrentPathRecord(Record):
    """A load, or a lamp that hangs on none, and the way of its current."""

    load: str
    path: list[StopRecord] = Field(description="from the source to the load and back")
    clamps: list[StopRecord]
    lamps: list[StopRecord]
    driven_by: list[StopRecord]


class BoardLookRecord(BoardRecord):
    """The paths of current that a board draws."""

    job: Literal["board look"] = "board look"
    channels: list[CurrentPathRecord]


def _head(board_file: BoardFile) -> dict[str, Any]:
    return {"board": board_file.board.name, "file": str(board_file.path), "fingerprint": board_file.fingerprint}


def listed(board_file: BoardFile, items: Sequence[Item]) -> BoardListRecord:
    """What a board is fitted with."""
    made = [
        ItemRecord(
            references=list(i.references), role=i.role, part=i.part, maker=i.maker, value=i.value, quantity=i.quantity
        )
        for i in items
    ]
    return BoardListRecord(**_head(board_file), items=made)


def reviewed(found: Reviewed) -> BoardCheckRecord:
    """A board file that reads."""
    return BoardCheckRecord(
        **_head(found.board_file),
        complete=found.complete,
        left_out=[LeftOutRecord(key=m.key, meaning=m.meaning, places=list(m.places)) for m in found.left_out],
        without_part=list(found.without_part),
        not_switched=list(found.not_switched),
        idle_drives=list(found.idle_drives),
    )


def looked(board_file: BoardFile, channels: Sequence[Alike]) -> BoardLookRecord:
    """The paths of current."""
    return BoardLookRecord(
        **_head(board_file), channels=[_channel(made) for alike in channels for made in alike.channels]
    )


def _channel(made: WiredChannel) -> CurrentPathRecord:
    return CurrentPathRecord(
        load=made.name,
        path=[_stop(stop) for stop in made.stops],
        clamps=[_stop(stop) for stop in made.clamps],
        lamps=[_stop(stop) for stop in made.lamps],
        driven_by=[_stop(stop) for stop in made.drive if stop.name or stop.words],
    )


def _stop(stop: Stop) -> StopRecord:
    return StopRecord(stage=stop.stage, name=stop.name, states=list(stop.words))
