"""The main table of a document as CSV: numbers exact and in SI, each with its unit, words as they are."""

import csv
import io
from collections.abc import Iterator

from partcheck.report import document as d
from partcheck.report.record import finite
from partcheck.report.render.spans import TIED, line_text
from partcheck.units import json_unit

RISKY = ("=", "+", "-", "@", "\t", "\r")


def cell(value: object) -> str:
    """A text that no spreadsheet runs as a formula: an apostrophe stands in front of one that it would."""
    text = "" if value is None or value != value else str(value)
    return f"'{text}" if text.startswith(RISKY) and not isinstance(value, float) else text


class NoTable(ValueError):
    """A document without a table has nothing to write as CSV."""


def render(document: d.Document) -> str:
    """The first table of the answer; a column of numbers is followed by one with their units."""
    table = next(_tables(document.blocks), None)
    if table is None:
        raise NoTable(document.job)
    return sheet(table)


def sheet(table: d.Table) -> str:
    """A table as CSV; bars, which only repeat a number, are left out."""
    kept = [i for i, column in enumerate(table.columns) if column.key != "bar"]
    rows = tuple(d.Row(tuple(row.cells[i] for i in kept), row.keys) for row in table.rows)
    table = d.Table(table.caption, tuple(table.columns[i] for i in kept), rows)
    numeric = [any(_only_number(row.cells[i]) is not None for row in table.rows) for i in range(len(table.columns))]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    head: list[str] = []
    for column, is_number in zip(table.columns, numeric, strict=True):
        name = (column.key or column.title).replace(" ", "_")
        head += [name, f"{name}_unit"] if is_number else [name]
    writer.writerow(head)
    for row in table.rows:
        cells: list[object] = []
        for words, is_number in zip(row.cells, numeric, strict=True):
            number = _only_number(words)
            if number is not None:
                exact = finite(number.value, number.unit)
                cells += ["" if exact is None else repr(exact), json_unit(number.unit)]
            else:
                plain = cell(line_text(words).replace(TIED, " "))
                cells += [plain, ""] if is_number else [plain]
        writer.writerow(cells)
    return out.getvalue().rstrip("\n")


def _tables(blocks: tuple[d.Block, ...]) -> Iterator[d.Table]:
    for block in blocks:
        if isinstance(block, d.Table):
            yield block
        elif isinstance(block, d.Section | d.Fold):
            yield from _tables(block.blocks)


def _only_number(cell: d.Line) -> d.Number | None:
    return cell[0] if len(cell) == 1 and isinstance(cell[0], d.Number) else None
