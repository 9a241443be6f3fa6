"""What happened to parts of the catalog, as text."""

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from partcheck.parameters import KINDS, Table
from partcheck.parts.checks import columns as declared_columns
from partcheck.parts.checks import point_columns
from partcheck.report.lines import heading, labelled, wrap
from partcheck.units import parse, show

if TYPE_CHECKING:
    from partcheck.catalog import Entry, LastChange, Reverted, Use

_SHOWN = 40  # parts of a change that are listed one by one


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


def entry_text(kind: str, entry: "Entry") -> str:
    """One line of a history in words."""
    if entry.column == "part":
        return "entered" if entry.former is None else "taken out; all that it stated is kept (see --json)"
    name = entry.column.replace("provenance.", "source of ").replace("source of *", "source of all values")
    return f"{name}: {said(kind, entry.column, entry.former)} -> {said(kind, entry.column, entry.new)}"


Identity = tuple[str, str, str]


def history(found: Mapping[Identity, Sequence["Entry"]], uses: Mapping[Identity, Sequence["Use"]] | None = None) -> str:
    """Every former value of each part, newest first, and what was accepted with its values."""
    lines: list[str] = []
    for (kind, number, maker), entries in found.items():
        lines += ["", *heading(f"{number} ({maker}), {KINDS[kind].title}")]
        command: tuple[str, ...] = ()
        for entry in entries:
            this = (entry.when, entry.who, entry.what, entry.note)
            if this != command:
                command = this
                note = f" ({entry.note})" if entry.note else ""
                lines += wrap(f"{entry.when}  {entry.what} by {entry.who}{note}", "  ", "    ")
            lines += wrap(entry_text(kind, entry), "    ", "      ")
        if not entries:
            lines.append("  nothing has changed since it was entered")
        for use in (uses or {}).get((kind, number, maker), ()):
            told = f"accepted as {use.reference} on {use.board} (record {use.number}, {use.verdict}) by {use.who}"
            lines += wrap(f"{use.when}  {told}{f': {use.note}' if use.note else ''}", "  ", "    ")
    return "\n".join(lines).lstrip("\n")


def _reverted(one: "Reverted") -> list[str]:
    name = f"{one.part_number} ({one.maker})"
    if not one.values:
        return wrap(f"{name} is taken out again", "  ", "    ")
    told = [
        f"{column}: {said(one.kind, column, now)} -> {said(one.kind, column, then)}" for column, now, then in one.values
    ]
    return [f"  {name}", *(line for each in told for line in wrap(each, "    ", "      "))]


def undo(last: "LastChange", done: bool) -> str:
    """What taking the last change back does, or did."""
    count = len(last.reverted)
    of = "1 part" if count == 1 else f"{count} parts"
    lines = labelled("taken back" if done else "last change", _told(last), 0, 13)
    lines += labelled("concerns", of, 0, 13)
    for one in last.reverted[:_SHOWN]:
        lines += _reverted(one)
    if count > _SHOWN:
        lines.append(f"  and {count - _SHOWN} more")
    return "\n".join(lines)


def _told(last: "LastChange") -> str:
    return f"{last.what} by {last.who} at {last.when}" + (f" ({last.note})" if last.note else "")
