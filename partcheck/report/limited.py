"""The limits of a board as text, its map as text, and both as CSV."""

import csv
import io
import string
from collections.abc import Iterable, Iterator

from partcheck.jobs.sweep.bounds import Limit, SetBy
from partcheck.jobs.sweep.limits import Channel, Limited
from partcheck.jobs.sweep.map import ChannelMap
from partcheck.report.explained import board_name, notes
from partcheck.report.lines import columns, heading, labelled, listing, verdict_word, wrap
from partcheck.report.ranking import cell
from partcheck.requirement import Verdict
from partcheck.units import show

NAMES = {
    "load-current": "current",
    "coil-energy": "energy",
    "ambient-max": "hottest air",
    "ambient-min": "coldest air",
}
ALLOWED = "."


def text(limited: Limited, map_: ChannelMap | None = None) -> str:
    """The rating sheet, and the map where there is one."""
    setup = limited.setup
    lines = heading(f"Limits of {board_name(limited)}")
    lines += wrap(f"Policy {setup.policy.name}; parts from {setup.parts.where}.")
    lines += wrap(
        "Each quantity alone may go so far, all else as it stands, and the whole board still meets. Currents are the "
        "largest that the load ever draws; voltages are typical ones, with the spread that the rail has now. Own: as "
        "far as switch, clamp, indicator, cable, tracks and terminals of this channel would go by themselves."
    )
    if limited.verdict < Verdict.TIGHT:
        lines += ["", f"As it stands the board {'FAILS' if limited.verdict is Verdict.FAILS else 'is unproven'}:"]
        lines += listing(map(str, limited.standing))
    for channel in limited.channels:
        lines += ["", _title(channel), *columns(_rows(_of_channel(channel)))]
    lines += ["", "The board", *columns(_rows(limited.air))]
    if limited.at_once is not None:
        lines += labelled("at once", at_once(limited), 2, 13)
    if map_ is not None:
        lines += ["", *map_text(map_)]
    lines += notes(setup.notes)
    lines += ["", "Cautions", *listing(limited.cautions)]
    return "\n".join(lines)


def _title(channel: Channel) -> str:
    part = f", {channel.part}" if channel.part is not None else ""
    rail = f", on {channel.rail}" if channel.rail is not None else ""
    return f"{channel.load}: switched by {channel.switch}{part}{rail}"


def _of_channel(channel: Channel) -> list[Limit]:
    """What is told of a channel: the air that the whole board stands is told once, with the board."""
    return [limit for limit in channel.limits if limit.own or limit.quantity.key != "ambient-max"]


def _rows(limits: Iterable[Limit]) -> Iterator[list[str]]:
    yield ["", "now", "may be", "set by"]
    for limit in limits:
        quantity = limit.quantity
        name = NAMES.get(quantity.key, quantity.name) + (", own" if limit.own else "")
        yield [name, quantity.shown(quantity.base), span(limit), setters(limit)]


def span(limit: Limit) -> str:
    """How far a quantity may go: ``10.6 V to 14.3 V``, ``up to 843 mA``."""
    shown = limit.quantity.shown
    if not limit.allowed:
        return "no value"
    if limit.low is None and limit.high is None:
        return "any tried"
    if limit.low is None:
        return f"up to {shown(limit.high)}" if limit.high is not None else ""
    return f"from {shown(limit.low)}" if limit.high is None else f"{shown(limit.low)} to {shown(limit.high)}"


def setters(limit: Limit) -> str:
    """What gives way beyond each end."""
    if not limit.allowed:
        return f"against it stands {limit.high_set_by}"
    ends = []
    if limit.high_set_by is not None:
        ends.append(_gives_way(limit.high_set_by))
    if limit.low_set_by is not None:
        ends.append(f"below {_gives_way(limit.low_set_by)}" if ends else _gives_way(limit.low_set_by))
    q = limit.quantity
    return "; ".join(ends) or f"nothing from {q.shown(q.low)} to {q.shown(q.high)}"


def _gives_way(set_by: SetBy) -> str:
    return f"{set_by}{' (unproven beyond)' if set_by.verdict is Verdict.UNPROVEN else ''}"


def at_once(limited: Limited) -> str:
    """How many channels may be on at once."""
    found = limited.at_once
    assert found is not None
    count = len(found.names)
    if found.set_by is None:
        return f"all {count} channels"
    if found.most == 0:
        return f"not even one of the {count} channels: {_gives_way(found.set_by)}"
    return f"any {found.most} of {count} channels; with {found.most + 1} gives way {_gives_way(found.set_by)}"


# ---- the map


def map_text(made: ChannelMap) -> list[str]:
    """Rows from the highest current down; a dot where everything meets, a letter for what gives way first."""
    lines = wrap(
        f"Map of {made.load}: typical voltage of {made.rail} to the right, largest current of {made.load} upwards. A "
        "dot is allowed; a letter is what gives way first on the straight way there from where it stands (small: "
        "unproven)."
    )
    unit_rows = [show(value, "A", 3) for value in made.amperes]
    width = max(map(len, unit_rows))
    for row in reversed(range(len(made.amperes))):
        cells = "".join(letter(made, int(k)) for k in made.first[row])
        lines.append(f"{unit_rows[row]:>{width}} |{cells}")
    lines.append(f"{'':>{width}} +{'-' * len(made.volts)}")
    low, high = show(float(made.volts[0]), "V", 3), show(float(made.volts[-1]), "V", 3)
    lines.append(f"{'':>{width}}  {low}{high:>{max(len(made.volts) - len(low), len(high) + 1)}}")
    return lines + [line for k, cause in enumerate(made.causes) for line in wrap(str(cause), f"  {letter(made, k)}  ")]


def letter(made: ChannelMap, index: int) -> str:
    """The letter of a cause: large where it fails, small where it is unproven."""
    if index < 0:
        return ALLOWED
    name = string.ascii_uppercase[index] if index < 26 else "?"
    return name.lower() if made.causes[index].verdict is Verdict.UNPROVEN else name


# ---- for a spreadsheet


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
    from partcheck.report.records.common import finite

    quantity = limit.quantity
    numbers = [finite(value, quantity.unit) for value in (quantity.base, limit.low, limit.high)]
    return (
        quantity.key, quantity.of, quantity.unit, "own" if limit.own else "board", *numbers,
        str(limit.low_set_by or ""), str(limit.high_set_by or ""),
    )  # fmt: skip


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


__all__ = ["letter", "map_sheet", "map_text", "setters", "sheet", "span", "text", "verdict_word"]
