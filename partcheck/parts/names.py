"""What a sheet holds, by its name: a file's is strict, a workbook's may be spelled as people do."""

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import NamedTuple

from partcheck.parameters import KINDS
from partcheck.parts.grid import Grid
from partcheck.parts.headers import plain
from partcheck.parts.kind_of import is_general, kind_of
from partcheck.parts.mapping import NOTHING, Reading, SheetMap
from partcheck.parts.problems import BadCell, did_you_mean
from partcheck.parts.sheet import open_sheet

TABLES = {table.name for kind in KINDS.values() for table in kind.tables}
_ALSO = {
    "bjt": ("bipolar transistors", "transistors", "NPN transistors"),
    "regulator": ("regulators", "voltage regulators"),
    "terminal": ("screw terminals", "terminal blocks"),
    "mosfet": ("FETs", "power MOSFETs"),
}


class SheetName(NamedTuple):
    """What a name says: ``mosfet.spares.rds_on`` is table ``rds_on`` of ``mosfet.spares``."""

    stem: str
    kind: str
    table: str


def sheet_name(name: str) -> SheetName:
    """Read the name of a file or sheet; ``table`` is empty for a main sheet and ``provenance`` for one of sources."""
    words = name.strip().casefold().removesuffix(".csv").split(".")
    tables = {table.name for table in KINDS[words[0]].tables} if words[0] in KINDS else TABLES
    if words[-1] == "provenance" or (len(words) > 1 and words[-1] in tables):
        return SheetName(".".join(words[:-1]), words[0], words[-1])
    return SheetName(".".join(words), words[0], "")


@cache
def _spelled() -> dict[str, SheetName | None]:
    """The names that sheets of a workbook may have; None where two things are called so."""
    found: dict[str, SheetName | None] = {}

    def know(text: str, name: SheetName) -> None:
        found[plain(text)] = name if found.get(plain(text), name) == name else None

    for kind in KINDS.values():
        for word in (kind.name, kind.title, *_ALSO.get(kind.name, ())):
            for head in (word, f"{word}s"):
                know(head, SheetName(kind.name, kind.name, ""))
                for table in kind.tables:
                    for tail in (table.name, table.symbol):
                        know(f"{head} {tail}", SheetName(kind.name, kind.name, table.name))
                know(f"{head} provenance", SheetName(kind.name, kind.name, "provenance"))
        for table in kind.tables:
            know(table.name, SheetName("", "", table.name))
    for word in ("provenance", "sources"):
        know(word, SheetName("", "", "provenance"))
    return found


def workbook_name(text: str) -> SheetName | None:
    """What the name of a sheet in a workbook says; None where it says nothing."""
    strict = sheet_name(text)
    if strict.kind in KINDS or strict.table == "provenance":
        return strict
    return _spelled().get(plain(text))


def _held(holds: str) -> SheetName:
    """What a mapping says that a sheet holds."""
    kind, _, table = holds.partition(".")
    return SheetName("", "", kind) if kind == "provenance" else SheetName(kind, kind, table)


def csv_names(
    grids: Iterable[Grid], reading: Reading
) -> tuple[list[tuple[SheetName, Grid]], list[tuple[SheetName, Grid]]]:
    """The main sheets among CSV files, and those that belong to others; what a mapping says counts more than a name."""
    mains: list[tuple[SheetName, Grid]] = []
    others: list[tuple[SheetName, Grid]] = []
    for grid in grids:
        name = sheet_name(grid.file)
        said = reading.mapping.of(grid.file.removesuffix(".csv"), reading.alone)
        if said.holds == NOTHING:
            continue
        if said.holds:
            held = _held(said.holds)
            name = SheetName("" if held.table else name.stem, held.kind, held.table)
        (others if name.table else mains).append((name, grid))
    return mains, others


def workbook_names(
    path: Path, grids: list[Grid], reading: Reading
) -> tuple[list[tuple[SheetName, Grid]], list[tuple[SheetName, Grid]], list[BadCell]]:
    """The main sheets of a workbook, those that belong to others, and what is wrong with the rest."""
    mains: list[tuple[SheetName, Grid]] = []
    others: list[tuple[SheetName, Grid]] = []
    bad: list[BadCell] = []
    for grid in grids:
        said = reading.mapping.of(grid.sheet, len(grids) == 1)
        used = reading.used.sheets.setdefault(grid.sheet, SheetMap(said.holds, said.header, said.decimal))
        if said.holds == NOTHING:
            continue
        name = _held(said.holds) if said.holds else workbook_name(grid.sheet)
        if name is None and len(grids) == 1:  # Sheet1 of mosfet.xlsx
            name = workbook_name(path.name.casefold().removesuffix(".xlsx"))
            name = name if name and not name.table else None
        if name is None:
            name = _by_header(grid, reading)
        if name is None:
            if grid.hidden:
                why = "is hidden and named after no kind of part and no table, so it was not read"
                reading.notes.append(f"{grid.name} {why}; name it as one, or show it")
            else:
                bad.append(_unknown(grid))
            continue
        if name.kind in KINDS:
            used.holds = f"{name.kind}.{name.table}" if name.table and name.table != "provenance" else name.kind
        if name.table == "provenance":
            used.holds = name.table
        (others if name.table else mains).append((name, grid))
    return mains, others, bad


def _by_header(grid: Grid, reading: Reading) -> SheetName | None:
    """What a sheet holds by its header; None where that does not tell."""
    sheet = open_sheet(grid, reading)
    if sheet.mixed or (reading.merge and is_general(sheet.named)):
        return SheetName(grid.sheet.casefold(), "", "")
    kind = "" if grid.hidden else kind_of(sheet.named)
    return SheetName(kind, kind, "") if kind else None


def _unknown(grid: Grid) -> BadCell:
    reason = "is named after no kind of part and no table"
    advice = (
        "name it as a kind, a table such as mosfet.rds_on or provenance, "
        f"or say what it holds, --map '{grid.sheet}!holds=mosfet', or nothing"
    )
    known = [*KINDS, *(f"{kind.name}.{table.name}" for kind in KINDS.values() for table in kind.tables), "provenance"]
    near = did_you_mean(grid.sheet, known)
    return BadCell(grid.file, 0, "", "", reason, f"{near} {advice}" if near else advice, sheet=grid.sheet)
