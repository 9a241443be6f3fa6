"""The answer to the limits: the rating sheet of a board, or of one channel with its map."""

import math
from collections.abc import Iterable, Iterator
from datetime import date
from typing import TYPE_CHECKING

from partcheck.jobs.judge.few import few
from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.sweep.bounds import Limit, SetBy
from partcheck.jobs.sweep.limits import AtOnceLimit, ChannelLimits, Limited
from partcheck.jobs.sweep.map import ChannelMap
from partcheck.report import document as d
from partcheck.report.answers import common, drawn
from partcheck.report.answers import phrases as say
from partcheck.requirement import Verdict
from partcheck.situation.nodes import clamp_units
from partcheck.units import show

if TYPE_CHECKING:
    from partcheck.report.html.pictures.drawing import Drawing

NAMES = {
    "load-current": "current",
    "rail-voltage": "rail voltage",
    "coil-energy": "coil energy",
    "ambient-max": "hottest air",
    "ambient-min": "coldest air",
}
MEANING = (
    "How far each quantity alone may go, with all else as it stands, while the whole board still meets. Currents are "
    "the largest that the load ever draws; voltages are typical ones, with the spread that the rail has now. By "
    "itself: as far as switch, clamp, indicator, cable, tracks and terminals of this channel would go."
)


def document(
    limited: Limited, pictures: bool = False, made_on: date | None = None, map_: ChannelMap | None = None
) -> d.Document:
    """The rating sheet for a person: supplies, channels, the board; with ``map_`` that of one channel."""
    one = limited.channels[0] if map_ is not None else None
    what = d.line("Limits of ", d.Name(one.load), " on ") if one is not None else d.line("Rating sheet of ")
    return d.Document(
        "limits",
        d.line(what, common.board_name(limited.setup)),
        common.identity(limited.setup),
        d.present(
            finding(limited),
            d.section("What stands in the way", _in_the_way(limited), anchor="way"),
            d.section("Supplies", _supplies(limited.channels), anchor="supplies"),
            d.section(
                "Channels", d.Paragraph((MEANING,), quiet=True), *map(_channel, limited.channels), anchor="channels"
            ),
            d.section("The whole board", _air(limited.air), _at_once(limited.at_once), anchor="board"),
            d.section("Voltage against current", *_map(limited, map_, pictures)) if map_ is not None else None,
            d.section("How the channel behaves as it stands", *drawn.blocks(_behaviour(limited, one)))
            if one is not None and pictures
            else None,
            common.not_judged(limited.not_judged),
            common.cautions(limited.cautions),
            common.policy(limited.setup),
        ),
        tuple(limited.setup.notes),
        common.today(made_on),
    )


# ---- the finding


def finding(limited: Limited) -> d.Finding:
    """Whether the board meets as it stands, and which limit is nearest."""
    if limited.verdict < Verdict.TIGHT:
        word = "does not meet" if limited.verdict is Verdict.FAILS else "is not proved"
        against = d.joined([(d.Name(str(made)),) for made in limited.standing[:3]])
        rest = f" and {len(limited.standing) - 3} more" if len(limited.standing) > 3 else ""
        todo = ("make the board meet first; `partcheck plan BOARD` looks for the fewest changes",)
        return d.Finding(limited.verdict, (d.line(f"As it stands the board {word}: ", against, rest, "."),), (todo,))
    sentences: list[d.Line] = [("The board meets as it stands.",)]
    nearest = min(_bounded(limited), key=_room, default=None)
    if nearest is not None and nearest.high is not None and nearest.high_set_by is not None:
        q = nearest.quantity
        sentences.append(
            d.line(
                f"The nearest limit: {_of(nearest)} at most ",
                d.Number(nearest.high, q.unit, q.shown(nearest.high)),
                f" (now {show(q.base, q.unit, say.DIGITS)}); beyond, ",
                d.Name(str(nearest.high_set_by)),
                " gives way.",
            )
        )
    return d.Finding(limited.verdict, tuple(sentences))


def _bounded(limited: Limited) -> Iterator[Limit]:
    for limit in (limit for channel in limited.channels for limit in channel.limits):
        if limit.allowed and limit.high is not None and not limit.own and limit.quantity.key != "ambient-max":
            yield limit


def _room(limit: Limit) -> float:
    """How many times what it is now a quantity may be."""
    return (limit.high or math.inf) / limit.quantity.base if limit.quantity.base > 0 else math.inf


def _of(limit: Limit) -> str:
    return f"{NAMES.get(limit.quantity.key, limit.quantity.name)} of {limit.quantity.of}"


# ---- what no value of one quantity mends


def _in_the_way(limited: Limited) -> d.Paragraph | None:
    """What leaves no value of some quantities, once for all of them: they have no row of their own."""
    everything = [*(limit for channel in limited.channels for limit in channel.limits), *limited.air]
    causes = {str(limit.high_set_by): limit.high_set_by for limit in everything if not limit.allowed and not limit.own}
    if not causes:
        return None
    unproven = all(cause is not None and cause.verdict is Verdict.UNPROVEN for cause in causes.values())
    one, many = ("is not proved", "are not proved") if unproven else ("does not meet", "do not meet")
    said = f" {one if len(causes) == 1 else many} at any value of what has no line below."
    return d.Paragraph(d.line(d.Name(few(list(causes))), said))


def _prevented(limits: Iterable[Limit]) -> d.Paragraph | None:
    """What leaves no value of what a channel's own parts would allow, once."""
    causes = dict.fromkeys(str(limit.high_set_by) for limit in limits if limit.own and not limit.allowed)
    if not causes:
        return None
    return d.Paragraph(d.line("By itself it is prevented by ", d.Name(few(list(causes))), "."))


# ---- tables


def _end(limit: Limit, value: float | None) -> d.Line:
    """One end of a limit; nothing where nothing bounds it in the range tried."""
    return (d.Number(value, limit.quantity.unit, limit.quantity.shown(value)),) if value is not None else ()


def _now(limit: Limit) -> d.Line:
    quantity = limit.quantity
    return (d.Number(quantity.base, quantity.unit, show(quantity.base, quantity.unit, say.DIGITS)),)


def setters(limit: Limit) -> d.Line:
    """What gives way beyond each end."""
    if not limit.allowed:  # of one channel, and in a table for a spreadsheet
        return d.line("prevented by ", d.Name(str(limit.high_set_by)))
    above, below = (_gives_way(end) for end in (limit.high_set_by, limit.low_set_by))
    if above and below:
        return d.line("above: ", above, "; below: ", below)
    q = limit.quantity
    if not above and not below:
        low, high = (show(value, q.unit, say.DIGITS) for value in (q.low, q.high))
        return (f"nothing between {low} and {high}",)
    return above or d.line("below: ", below)


def _gives_way(set_by: SetBy | None) -> d.Line:
    if set_by is None:
        return ()
    return d.line(d.Name(str(set_by)), " (not proved beyond)" if set_by.verdict is Verdict.UNPROVEN else "")


COLUMNS = (
    d.Column("now", "now", right=True),
    d.Column("least", "low", right=True),
    d.Column("most", "high", right=True),
    d.Column("what gives way"),
)


def _cells(limit: Limit) -> tuple[d.Line, ...]:
    return _now(limit), _end(limit, limit.low), _end(limit, limit.high), setters(limit)


def _supplies(channels: Iterable[ChannelLimits]) -> d.Table | None:
    """Each rail once: how low and how high its voltage may be."""
    rails = {
        limit.quantity.of: limit
        for channel in channels
        for limit in channel.limits
        if limit.quantity.key == "rail-voltage" and not limit.own and limit.allowed
    }
    rows = [d.Row(((d.Name(rail),), *_cells(limit)), {"supply": rail}) for rail, limit in rails.items()]
    return d.Table("Each supply, with what gives way", (d.Column("rail"), *COLUMNS), tuple(rows)) if rows else None


def _channel(channel: ChannelLimits) -> d.Section:
    """Current, coil energy and voltage of a channel; of air and voltage what its own parts allow.

    What the whole board allows of the rail stands with the supplies, of the air with the board.
    """
    rows = []
    for limit in channel.limits:
        key, whose = limit.quantity.key, "own" if limit.own else "board"
        if not limit.allowed:
            continue
        if limit.own or key not in ("ambient-max", "rail-voltage"):
            name = NAMES.get(key, limit.quantity.name) + (", by itself" if limit.own else "")
            keys = {"channel": channel.load, "quantity": key, "whose": whose}
            rows.append(d.Row(((name,), *_cells(limit)), keys))
    part = f" {channel.part}" if channel.part is not None else ""
    rail = f", on {channel.rail}" if channel.rail is not None else ""
    title = d.line(d.Name(channel.load), ", switched by ", d.Name(f"{channel.switch}{part}{rail}"))
    caption = f"Limits of {channel.load}, with what sets them"
    table = d.Table(caption, (d.Column("quantity"), *COLUMNS), tuple(rows)) if rows else None
    told = _prevented(channel.limits)
    nothing = d.Paragraph(("No limit can be told.",)) if table is None and told is None else None
    return d.Section(title, d.present(table, told, nothing))


def _air(limits: Iterable[Limit]) -> d.Table | None:
    rows = [
        d.Row(((NAMES.get(limit.quantity.key, limit.quantity.name),), *_cells(limit)), {"air": limit.quantity.key})
        for limit in limits
        if limit.allowed
    ]
    return (
        d.Table("The air that the whole board withstands", (d.Column("quantity"), *COLUMNS), tuple(rows))
        if rows
        else None
    )


def at_once(found: AtOnceLimit) -> d.Line:
    """How many channels may be on at once."""
    count = len(found.names)
    if found.set_by is None:
        return (f"all {count} channels",)
    if found.most == 0:
        return d.line(f"not even one of the {count} channels: ", _gives_way(found.set_by))
    return d.line(
        f"any {found.most} of {count} channels; with {found.most + 1} ", _gives_way(found.set_by), " gives way"
    )


def _at_once(found: AtOnceLimit | None) -> d.Facts | None:
    return d.Facts((("on at once", at_once(found)),)) if found is not None else None


# ---- the map


def _map(limited: Limited, made: ChannelMap, pictures: bool) -> Iterator[d.Block]:
    if pictures:
        yield from drawn.blocks([map_picture(limited, made)])
    else:
        yield _plot(made)
    yield from first_outside(made)


def first_outside(made: ChannelMap) -> Iterator[d.Block]:
    """How much of a map is allowed, and what gives way first outside."""
    rows = tuple(_cause(made, k) for k in range(len(made.causes)))
    columns = (
        d.Column("letter"),
        d.Column("place"),
        d.Column("part"),
        d.Column("requirement"),
        d.Column("verdict there"),
        d.Column("points", right=True),
    )
    yield d.Paragraph((f"Everything meets at {int(made.allowed.sum())} of {made.first.size} points.",))
    if rows:
        yield d.Table("What gives way first outside the allowed region", columns, rows)


def _cause(made: ChannelMap, index: int) -> d.Row:
    cause, points = made.causes[index], int((made.first == index).sum())
    cells: tuple[d.Line, ...] = (
        (made.letter(index),),
        (d.Name(cause.ref),),
        (d.Name(cause.part or "-"),),
        (d.Id(cause.requirement),),
        (d.Sign(cause.verdict),),
        (d.Number(float(points), "", f"{points}"),),
    )
    return d.Row(cells)


def _plot(made: ChannelMap) -> d.Plot:
    """Rows from the highest current down; a dot where everything meets, a letter for what gives way first."""
    labels = [show(value, "A", 3) for value in made.amperes]
    width = max(map(len, labels))
    rows = [
        f"{labels[row]:>{width}} |{''.join(made.letter(int(k)) for k in made.first[row])}"
        for row in reversed(range(len(made.amperes)))
    ]
    low, high = show(float(made.volts[0]), "V", 3), show(float(made.volts[-1]), "V", 3)
    rows.append(f"{'':>{width}} +{'-' * len(made.volts)}")
    rows.append(f"{'':>{width}}  {low}{high:>{max(len(made.volts) - len(low), len(high) + 1)}}")
    caption = (
        f"Typical voltage of {made.rail} to the right, largest current of {made.load} upwards. A dot is allowed; a "
        "letter is what gives way first on the straight line there from the present point (lower case: not proved)."
    )
    return d.Plot(caption, tuple(rows))


def map_picture(limited: Limited, made: ChannelMap) -> "Drawing":
    """The map of the one channel, with where it stands."""
    from partcheck.report.html.pictures import ratings

    ends = {limit.quantity.key: limit.quantity.base for limit in limited.channels[0].limits}
    now = ends.get("rail-voltage"), ends.get("load-current")
    return ratings.drawn(made, (now[0], now[1]) if now[0] is not None and now[1] is not None else None)


def _behaviour(limited: Limited, channel: ChannelLimits) -> "list[Drawing | None]":
    """The channel as a schematic, its junction against current, and its turn-off."""
    from partcheck.report.html.pictures import schematic
    from partcheck.report.html.pictures.behaviour import behaviour

    situation = limited.situation
    switch = judge_place(situation, channel.switch)
    units = clamp_units(situation.facts(channel.switch), channel.load)
    clamps = [judge_place(situation, ref) for unit in units for ref in unit[:1]]
    moving = [picture for judged in (switch, *clamps) for picture in behaviour(situation, judged)]
    return [schematic.drawn(situation, switch), *moving]


__all__ = ["at_once", "document", "finding", "first_outside", "map_picture", "setters"]
