"""Record of the limits of a board, and of the map of a channel."""

from typing import Literal

from pydantic import Field

from partcheck.jobs.sweep.bounds import Limit, SetBy
from partcheck.jobs.sweep.limits import ChannelLimits, Limited
from partcheck.jobs.sweep.map import ChannelMap
from partcheck.report.record import HeaderRecord, Record, SettingRecord, Word, finite, header, word
from partcheck.requirement import Verdict
from partcheck.units import json_unit


class SetByRecord(Record):
    """What gives way: a place or link, its part, the requirement."""

    reference: str
    part_number: str | None
    requirement: str
    verdict: Word


class LimitRecord(Record):
    """How far one quantity may go with all else as it stands, and the whole board still meets."""

    quantity: str = Field(description="load-current, rail-voltage, coil-energy, ambient-max or ambient-min")
    of: str = Field(description="the load or rail it belongs to; empty for the air")
    unit: str
    whose_parts: Literal["board", "own"] = Field(description="own: asking the channel's own parts alone")
    now: float | None
    allowed: bool = Field(description="false where no value that was tried works; high_set_by is then what prevents it")
    holds_now: bool
    low: float | None = Field(description="smallest value at which everything meets; null where nothing bounds it")
    high: float | None = Field(description="largest value at which everything meets; null where nothing bounds it")
    low_set_by: SetByRecord | None
    high_set_by: SetByRecord | None
    low_sets: list[SettingRecord] = Field(description="what to write in the board file to have the low limit")
    high_sets: list[SettingRecord]


class ChannelRecord(Record):
    """A load, its switch, and its limits."""

    load: str
    switch: str
    part_number: str | None
    rail: str | None
    limits: list[LimitRecord]


class AtOnceRecord(Record):
    """How many of the channels may be on at once, any of them."""

    channels: list[str]
    most: int
    set_by: SetByRecord | None = Field(description="what gives way with one more; null where all may be on")


class CauseRecord(SetByRecord):
    """A cause on the map, with the letter that stands for it in the text."""

    letter: str


class MapRecord(Record):
    """Rail voltage against load current: rows by current, columns by voltage, both ascending."""

    load: str
    rail: str
    volts: list[float] = Field(description="typical voltages of the rail; its spread goes along in proportion")
    amperes: list[float] = Field(description="largest currents of the load")
    verdicts: list[list[Word]] = Field(description="of the whole board")
    first: list[list[int]] = Field(
        description="index into causes of what gives way first on the way there; -1: allowed"
    )
    causes: list[CauseRecord]


class LimitsRecord(HeaderRecord):
    """The rating sheet of a board, or of one channel with its map."""

    job: Literal["limits"] = "limits"
    verdict: Word = Field(description="of the board as it stands")
    standing: list[SetByRecord] = Field(description="what does not meet as it stands")
    channels: list[ChannelRecord]
    air: list[LimitRecord]
    at_once: AtOnceRecord | None
    map: MapRecord | None


def _set_by(made: SetBy) -> SetByRecord:
    return SetByRecord(
        reference=made.ref, part_number=made.part, requirement=made.requirement, verdict=word(made.verdict)
    )


def _maybe(made: SetBy | None) -> SetByRecord | None:
    return None if made is None else _set_by(made)


def _limit(limited: Limited, made: Limit) -> LimitRecord:
    quantity, board = made.quantity, limited.situation.board

    def sets(value: float | None) -> list[SettingRecord]:
        pairs = [] if value is None else quantity.setting(board, value)
        return [SettingRecord(key=key, value=text) for key, text in pairs]

    return LimitRecord(
        quantity=quantity.key,
        of=quantity.of,
        unit=json_unit(quantity.unit),
        whose_parts="own" if made.own else "board",
        now=finite(quantity.base, quantity.unit),
        allowed=made.allowed,
        holds_now=made.holds_now,
        low=finite(made.low, quantity.unit),
        high=finite(made.high, quantity.unit),
        low_set_by=_maybe(made.low_set_by),
        high_set_by=_maybe(made.high_set_by),
        low_sets=sets(made.low),
        high_sets=sets(made.high),
    )


def _channel(limited: Limited, made: ChannelLimits) -> ChannelRecord:
    return ChannelRecord(
        load=made.load,
        switch=made.switch,
        part_number=made.part,
        rail=made.rail,
        limits=[_limit(limited, limit) for limit in made.limits],
    )


def _map(made: ChannelMap) -> MapRecord:
    causes = [CauseRecord(letter=made.letter(k), **_set_by(cause).model_dump()) for k, cause in enumerate(made.causes)]
    return MapRecord(
        load=made.load,
        rail=made.rail,
        volts=[float(v) for v in made.volts],
        amperes=[float(i) for i in made.amperes],
        verdicts=[[word(Verdict(int(v))) for v in row] for row in made.verdicts],
        first=[[int(k) for k in row] for row in made.first],
        causes=causes,
    )


def record(answer: Limited, map_: ChannelMap | None = None) -> LimitsRecord:
    """The rating sheet, and the map where there is one."""
    at_once = answer.at_once
    return LimitsRecord(
        **header(answer.setup, answer.cautions, answer.not_judged),
        verdict=word(answer.verdict),
        standing=[_set_by(made) for made in answer.standing],
        channels=[_channel(answer, channel) for channel in answer.channels],
        air=[_limit(answer, limit) for limit in answer.air],
        at_once=None
        if at_once is None
        else AtOnceRecord(channels=list(at_once.names), most=at_once.most, set_by=_maybe(at_once.set_by)),
        map=None if map_ is None else _map(map_),
    )
