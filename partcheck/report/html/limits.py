"""The rating sheet as a page to hand out, and the page of one channel with its map."""

from datetime import date
from typing import Any

from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.sweep.bounds import Limit
from partcheck.jobs.sweep.limits import Channel, Limited
from partcheck.jobs.sweep.map import ChannelMap
from partcheck.report.explained import board_name
from partcheck.report.html.page import render
from partcheck.report.html.pictures import ratings, schematic
from partcheck.report.html.pictures.behaviour import behaviour
from partcheck.report.html.pictures.drawing import Picture
from partcheck.report.limited import NAMES, letter, setters
from partcheck.report.limited import at_once as at_once_words
from partcheck.situation.nodes import clamp_units

COLUMNS = ("load-current", "rail-voltage", "coil-energy", "ambient-max")
"""What the sheet tells of each channel; of air only what the channel's own parts allow."""


def page(limited: Limited, map_: ChannelMap | None = None, made_on: date | None = None) -> str:
    """The whole page."""
    one = limited.channels[0] if map_ is not None else None
    what = f"Limits of {one.load} on" if one is not None else "Rating sheet of"
    return render(
        "limits.html", limited.setup,
        f"{what} {board_name(limited)}",
        made_on, job="limits", limited=limited, rows=[_row(channel) for channel in limited.channels],
        air=[_told(limit) for limit in limited.air],
        at_once=at_once_words(limited) if limited.at_once is not None else "",
        map_picture=map_picture(limited, map_) if map_ is not None else None,
        causes=[(letter(map_, k), cause) for k, cause in enumerate(map_.causes)] if map_ is not None else [],
        pictures=_pictures(limited, one) if one is not None else [],
        notes=limited.setup.notes, cautions=limited.cautions,
    )  # fmt: skip


def _row(channel: Channel) -> dict[str, Any]:
    cells = []
    for key in COLUMNS:
        found = [limit for limit in channel.limits if limit.quantity.key == key]
        if key == "ambient-max":  # the air that the whole board stands is told once
            found = [limit for limit in found if limit.own]
        cells.append([_told(limit) for limit in found])
    return {"channel": channel, "cells": cells}


def _told(limit: Limit) -> dict[str, Any]:
    return {
        "limit": limit, "name": NAMES.get(limit.quantity.key, limit.quantity.name), "set_by": setters(limit),
        "whose": "own" if limit.own else "board",
    }  # fmt: skip


def map_picture(limited: Limited, map_: ChannelMap) -> Picture:
    """The map of the one channel, with where it stands."""
    ends = {limit.quantity.key: limit.quantity.base for limit in limited.channels[0].limits}
    now = ends.get("rail-voltage"), ends.get("load-current")
    return ratings.drawn(map_, (now[0], now[1]) if now[0] is not None and now[1] is not None else None)


def _pictures(limited: Limited, channel: Channel) -> list[Picture]:
    """The channel as a schematic, its junction against current, and its turn-off."""
    situation = limited.situation
    switch = judge_place(situation, channel.switch)
    units = clamp_units(situation.facts(channel.switch), channel.load)
    clamps = [judge_place(situation, ref) for unit in units for ref in unit[:1]]
    drawn = schematic.drawn(situation, switch)
    made = [drawn] if drawn is not None else []
    return made + [picture for judged in (switch, *clamps) for picture in behaviour(situation, judged)]
