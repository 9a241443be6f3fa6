"""The rating sheet and the map of a channel as CSV, for a spreadsheet."""

import csv
import io

from partcheck.jobs.sweep.bounds import Limit
from partcheck.jobs.sweep.limits import Limited
from partcheck.jobs.sweep.map import ChannelMap
from partcheck.report.record import finite
from partcheck.report.render.csv import cell
from partcheck.requirement import Verdict


def sheet(limited: Limited) -> str:
    """The rating sheet as CSV: SI numbers, temperatures in °C."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(
        [
            "channel",
            "switch",
            "quantity",
            "of",
            "unit",
            "whose_parts",
            "now",
            "low",
            "high",
            "low_set_by",
            "high_set_by",
        ]
    )
    for channel in limited.channels:
        for limit in channel.limits:
            writer.writerow([cell(v) for v in (channel.load, channel.switch, *_sheet_row(limit))])
    for limit in limited.air:
        writer.writerow([cell(v) for v in ("", "", *_sheet_row(limit))])
    return out.getvalue().rstrip("\n")


def _sheet_row(limit: Limit) -> tuple[object, ...]:
    quantity = limit.quantity
    numbers = [finite(value, quantity.unit) for value in (quantity.base, limit.low, limit.high)]
    return (
        quantity.key,
        quantity.of,
        quantity.unit,
        "own" if limit.own else "board",
        *numbers,
        str(limit.low_set_by or ""),
        str(limit.high_set_by or ""),
    )


def map_sheet(made: ChannelMap) -> str:
    """The map as CSV, one row per point."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["volts", "amperes", "verdict", "place", "part", "requirement"])
    for row, current in enumerate(made.amperes):
        for column, volts in enumerate(made.volts):
            cause = made.cause(row, column)
            verdict = Verdict(int(made.verdicts[row, column])).word
            by = ("", "", "") if cause is None else (cause.ref, cause.part or "", cause.requirement)
            writer.writerow([repr(float(volts)), repr(float(current)), verdict, *map(cell, by)])
    return out.getvalue().rstrip("\n")
