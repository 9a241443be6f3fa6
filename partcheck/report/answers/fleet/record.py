"""Record of a fleet: which boards a change touches, and what would do instead."""

from typing import Literal

from pydantic import Field

from partcheck.jobs.fleet.fleet import Fleet, StandIn, Touched
from partcheck.report.record import Record, Word, finite, word


class ChangedRecord(Record):
    """A part that changed."""

    part_number: str
    maker: str
    gone: bool
    corrected: dict[str, str] = Field(description="values as written; empty where the part is gone")


class StandInRecord(Record):
    """A part that would do at a place."""

    part_number: str
    maker: str
    verdict: Word
    headroom: float | None
    changes: list[str] = Field(description="what else must change on the board")


class TouchedRecord(Record):
    """A place that has a part which changed."""

    board: str
    reference: str
    part: str
    before: Word
    after: Word | None = Field(description="with the corrected values; null where the part is gone")
    set_by: str | None = Field(description="the requirement that decides the verdict after the change")
    verdict: Word = Field(description="with its own part where that still does, else with the best stand-in")
    stand_ins: list[StandInRecord] = Field(description="best first; empty where none is needed or known")
    compared: int = Field(description="parts looked through; 0 where no other part is needed")


class UnreadRecord(Record):
    """A board that could not be looked at."""

    board: str
    error: str


class ForAllRecord(Record):
    """A part that fits every place that needs another one."""

    part_number: str
    maker: str
    verdict: Word


class FleetRecord(Record):
    """Which of many boards a change touches."""

    format: Literal[1] = 1
    job: Literal["fleet"] = "fleet"
    verdict: Word = Field(description="of the worst place; meets where none is touched")
    changes: list[ChangedRecord]
    boards: int = Field(description="boards looked at")
    touched: list[TouchedRecord] = Field(description="worst first")
    for_all: list[ForAllRecord]
    unread: list[UnreadRecord]


def record(found: Fleet) -> FleetRecord:
    """Which of many boards a change touches."""
    return FleetRecord(
        verdict=word(found.verdict),
        changes=[
            ChangedRecord(part_number=c.part_number, maker=c.maker, gone=c.gone, corrected=dict(c.corrected))
            for c in found.changes
        ],
        boards=len(found.boards) - len(found.unread),
        touched=[_touched(place) for place in found.touched],
        for_all=[
            ForAllRecord(part_number=made.part_number, maker=made.maker, verdict=word(made.verdict))
            for made in found.for_all
        ],
        unread=[UnreadRecord(board=str(board.board), error=board.error) for board in found.unread],
    )


def _touched(place: Touched) -> TouchedRecord:
    return TouchedRecord(
        board=str(place.board),
        reference=place.ref,
        part=place.part,
        before=word(place.before),
        after=word(place.after) if place.set_by else None,
        set_by=place.set_by or None,
        verdict=word(place.verdict),
        stand_ins=[_stand_in(made) for made in place.stand_ins],
        compared=place.compared,
    )


def _stand_in(made: StandIn) -> StandInRecord:
    return StandInRecord(
        part_number=made.part_number,
        maker=made.maker,
        verdict=word(made.verdict),
        headroom=finite(made.headroom),
        changes=list(made.changes),
    )
