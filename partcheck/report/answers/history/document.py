"""What happened to parts of the catalog, and what taking the last change back does."""

import json
from collections.abc import Mapping, Sequence
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, Any

from partcheck.parameters import KINDS, Table
from partcheck.parts.checks import columns as declared_columns
from partcheck.parts.checks import point_columns
from partcheck.report import document as d
from partcheck.report.answers.catalogued import about_catalog, part_name
from partcheck.report.lines import counted
from partcheck.units import parse, show

if TYPE_CHECKING:
    from partcheck.catalog import HistoryEntry, LastChange, Reverted, Use

SHOWN = 40
"""Parts of a change that are listed one by one."""

Identity = tuple[str, str, str]


def said(kind: str, column: str, text: str | None) -> str:
    """A value of the history for a reader: ``said("mosfet", "vds_max", "60.0")`` is ``60 V``."""
    if text is None:
        return "not stated"
    value = json.loads(text)
    tables = {table.name: table for table in KINDS[kind].tables}
    if column in tables and isinstance(value, list):
        return "; ".join(_row(tables[column], row) for row in value)
    if column.startswith("provenance.") and isinstance(value, Mapping):
        return ", ".join(f"{name} {each}" for name, each in value.items())
    declared = declared_columns(kind).get(column)
    if declared is None or isinstance(value, str):
        return str(value)
    return show(_stored(value, declared.unit), declared.unit)


def _stored(value: float, unit: str) -> float:
    return parse(f"{value!r} {unit}", unit) if unit == "°C" else value


def _row(table: Table, row: Mapping[str, Any]) -> str:
    declared = point_columns(table)
    cells = []
    for name, value in row.items():
        unit = declared[name].unit
        cells.append(f"{name} {value if isinstance(value, str) else show(_stored(value, unit), unit)}")
    return ", ".join(cells)


def named(column: str) -> str:
    """What an entry of the history is about: ``source of vds_max`` for ``provenance.vds_max``."""
    return column.replace("provenance.", "source of ").replace("source of *", "source of all values")


def entry_text(kind: str, entry: "HistoryEntry") -> str:
    """One line of a history in words."""
    if entry.column == "part":
        return "entered" if entry.former is None else "taken out; all that it stated is kept (see --json)"
    return f"{named(entry.column)}: {said(kind, entry.column, entry.former)} -> {said(kind, entry.column, entry.new)}"


# ---- the history of a part


def document(
    found: Mapping[Identity, Sequence["HistoryEntry"]],
    uses: Mapping[Identity, Sequence["Use"]],
    where: str,
    made_on: date | None = None,
) -> d.Document:
    """Every former value of each part of one number, newest first, and what was accepted with its values."""
    heads = tuple(_head(identity, entries, uses.get(identity, ())) for identity, entries in found.items())
    parts = (_part(identity, entries, uses.get(identity, ())) for identity, entries in found.items())
    numbers = dict.fromkeys(number for _, number, _ in found)
    title = d.line("History of ", d.joined([(d.Name(number),) for number in numbers]))
    return about_catalog("history", title, where, d.Finding(None, heads), *parts, made_on=made_on)


def _commands(entries: Sequence["HistoryEntry"]) -> list[tuple[tuple[str, str, str, str], list["HistoryEntry"]]]:
    """The entries of each command, newest first."""
    return [(key, list(some)) for key, some in groupby(entries, key=lambda e: (e.when, e.who, e.what, e.note))]


def _head(identity: Identity, entries: Sequence["HistoryEntry"], uses: Sequence["Use"]) -> d.Line:
    kind, number, maker = identity
    commands = _commands(entries)
    if not commands:
        happened = "has not changed since it was entered"
    elif len(commands) == 1:
        happened = "has one change"
    else:
        happened = f"has {len(commands)} changes"
    made: list[d.Span | d.Line] = [part_name(number, maker), f", {KINDS[kind].title}, {happened}"]
    if commands:
        when, who, what, _ = commands[0][0]
        made += [", the last by ", d.Name(who), " at ", d.Name(when), f" ({what})"]
    if uses:
        made.append(f"; it is in {counted(len(uses), 'accepted substitution')}")
    return d.line(*made, ".")


def _part(identity: Identity, entries: Sequence["HistoryEntry"], uses: Sequence["Use"]) -> d.Section:
    kind, number, maker = identity
    blocks: list[d.Block] = []
    for (when, who, what, note), some in _commands(entries):
        title = d.line(d.Name(when), f"  {what} by ", d.Name(who), d.Name(f" ({note})" if note else ""))
        blocks.append(d.Section(title, (d.Listing(tuple((d.Name(entry_text(kind, each)),) for each in some)),)))
    if uses:
        blocks.append(d.Section(("Accepted substitutions",), (d.Listing(tuple(map(_use, uses))),)))
    if not blocks:
        blocks.append(d.Paragraph(("Nothing has changed since it was entered.",)))
    return d.Section(d.line(part_name(number, maker), f", {KINDS[kind].title}"), tuple(blocks))


def _use(use: "Use") -> d.Line:
    revision = d.line(", rev. ", d.Name(use.revision)) if use.revision else ()
    on = d.line("accepted as ", d.Name(use.reference), " on ", d.Name(use.board), revision)
    note = d.line(": ", d.Name(use.note)) if use.note else ()
    record = f" (record {use.number}, {use.verdict}) by "
    return d.line(d.Name(use.when), "  ", on, record, d.Name(use.who), note)


# ---- taking the last change back


def undone(last: "LastChange", done: bool, where: str, made_on: date | None = None) -> d.Document:
    """What taking the last change back does, or did."""
    count = counted(len(last.reverted), "part")
    note = d.line(" (", d.Name(last.note), ")") if last.note else ()
    change = d.line(f"{last.what} by ", d.Name(last.who), " at ", d.Name(last.when), note)
    head = d.line("Taken back" if done else "The last change", ": ", change, f"; it concerns {count}.")
    shown = last.reverted[:SHOWN]
    out = tuple(d.line(part_name(one.part_number, one.maker), " is taken out again") for one in shown if not one.values)
    more = len(last.reverted) - SHOWN
    return about_catalog(
        "undo",
        ("What was taken back" if done else "What taking it back does",),
        where,
        d.Finding(None, (head,)),
        d.Listing(out) if out else None,
        *(_reverted(one) for one in shown if one.values),
        d.Paragraph((f"And {counted(more, 'more part')}; --json has all of them.",)) if more > 0 else None,
        made_on=made_on,
    )


def _reverted(one: "Reverted") -> d.Section:
    items = tuple(
        d.line(d.Id(named(column)), ": ", d.Name(f"{said(one.kind, column, now)} -> {said(one.kind, column, then)}"))
        for column, now, then in one.values
    )
    return d.Section(part_name(one.part_number, one.maker), (d.Listing(items),))


__all__ = ["document", "said", "undone"]
