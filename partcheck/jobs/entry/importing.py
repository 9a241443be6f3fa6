"""Entering parts from sheets: what would change is known before anything does."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, NamedTuple

from partcheck.catalog import Catalog, PartComparison, WriteOutcome, open_catalog
from partcheck.errors import NoCatalogYet, PartsError
from partcheck.jobs.entry.review import doubts_about
from partcheck.parameters import KINDS, Table
from partcheck.parts import Part, checks
from partcheck.parts.documents import from_record, to_record
from partcheck.parts.mapping import Reading
from partcheck.parts.problems import BadCell, refuse
from partcheck.parts.read import collect
from partcheck.parts.rejects import check_rejects, write_rejects
from partcheck.parts.review import Doubt
from partcheck.parts.sheets import Collected
from partcheck.units import show


class Difference(NamedTuple):
    """One value of a part that an import changes: as JSON states it, and as a reader sees it.

    ``where`` tells the point of a table: ``vgs 4.5 V, id 2 A``.
    """

    part: Part
    column: str
    where: str
    former: Any
    new: Any
    former_text: str
    new_text: str


@dataclass
class Imported:
    """What an import did, or with ``preview`` would do."""

    source: Path
    catalog: str
    preview: bool
    outcome: WriteOutcome
    added: list[Part] = field(default_factory=list)
    differences: list[Difference] = field(default_factory=list)
    bad: list[BadCell] = field(default_factory=list)
    rejects: Path | None = None
    rejected_rows: int = 0
    doubts: list[Doubt] | None = field(default_factory=list)
    """What is doubtful about the parts taken in; None where they are too many to look at."""


class Ways(NamedTuple):
    """How parts are entered: only shown; rejects written over a file; what a sheet leaves blank kept as it is."""

    preview: bool = False
    force: bool = False
    merge: bool = False


PLAINLY = Ways()
Agree = Callable[[list[Difference]], None]


def read_for_import(source: Path, reading: Reading, rejects: Path | None, force: bool = False) -> Collected:
    """What the source holds, good and bad; whether the bad may be left out tells :func:`refuse_bad`."""
    if rejects is not None:
        check_rejects(source, rejects, force)
    found = collect(source, reading)
    reading.notes += [
        f"what --map says without a sheet's name applies to no sheet of {source}; write 'NAME!...' as the file has it"
        if name == source.name
        else f"{source} has no sheet {name!r}, which the mapping mentions; use the name that the file has"
        for name in reading.mapping.strangers
    ]
    return found


def refuse_bad(source: Path, found: Collected, rejects: Path | None) -> None:
    """Raise :class:`PartsError` for anything bad that may not, or cannot, be left out."""
    if rejects is None:
        refuse(found.bad)
    whole = [cell for cell in found.bad if _concerns_all(cell, found)]
    if whole:
        many = "1 header or sheet of {} is" if len(whole) == 1 else f"{len(whole)} headers or sheets of {{}} are"
        sentence = f"{many.format(source)} not clear, so no row there can be judged; correct or map that first"
        raise PartsError(f"{sentence}, first {whole[0]}", [str(cell) for cell in whole])


def _concerns_all(cell: BadCell, found: Collected) -> bool:
    if cell.counted != "row":
        return False
    headers = {(sheet.grid.file, sheet.grid.sheet): sheet.header for sheet in found.sheets}
    return cell.row <= headers.get((cell.file, cell.sheet), 0)


def import_parts(
    source: Path,
    found: Collected,
    where: str | None,
    who: str,
    when: str,
    agree: Agree,
    reading: Reading,
    rejects: Path | None = None,
    ways: Ways = PLAINLY,
) -> Imported:
    """Enter what was read; ``agree`` is asked with every difference first, and raises where nobody agrees."""
    preview, force, merge = ways
    made = Imported(source, where or "", preview, WriteOutcome(0, 0, 0), bad=found.bad)
    try:
        opened = open_catalog(where, create=not preview)
    except NoCatalogYet:
        if not preview:
            raise
        refuse_strangers(None, found)
        made.added, made.outcome, made.catalog = found.parts, WriteOutcome(len(found.parts), 0, 0), "a new catalog"
        return made
    with opened as catalog:
        made.catalog = catalog.where
        refuse_strangers(catalog, found)
        parts = [merged(catalog, part) for part in settled(catalog, found)] if merge else found.parts
        compared = catalog.compare(parts, lambda done, total: reading.step("comparing", done, total))
        made.added, made.differences = compared.new, list(differences(compared))
        made.outcome = WriteOutcome(len(compared.new), len(compared.changed), compared.same, _cleared(made.differences))
        if preview:
            return made
        if made.differences:
            agree(made.differences)
        if rejects is not None and found.bad:
            made.rejected_rows, made.rejects = write_rejects(rejects, found, force), rejects
        if compared.new or compared.changed:
            reading.step(f"entering {len(parts)} parts", 0, 0)
            try:
                made.outcome = catalog.enter(compared, who, when, source.name)
            except BaseException:
                if made.rejects is not None and made.rejects.is_file():
                    made.rejects.unlink()  # nothing was entered, so nothing was left out
                raise
            made.doubts = doubts_about(catalog, compared.differing)
    return made


def refuse_strangers(catalog: Catalog | None, found: Collected) -> None:
    """Raise :class:`PartsError` where sheets have nothing but rows of tables for a part that the catalog has not."""
    strangers = [
        f"{place}: '{part.part_number}' of {part.maker} is not in the catalog as {KINDS[part.kind].one}; correct the "
        "number or the maker, or give the part a row in a sheet of its kind"
        for part, place in found.alone
        if catalog is None or not _known(catalog, part)
    ]
    _refuse(strangers, "not in the catalog, and the sheets have only rows of tables for what is not")
    general = [] if catalog is not None else found.general
    _refuse([_stranger(part, place) for part, place in general], "not in the catalog")


def _refuse(sentences: list[str], why: str) -> None:
    if sentences:
        many = "1 part is" if len(sentences) == 1 else f"{len(sentences)} parts are"
        raise PartsError(f"{many} {why}; first {sentences[0]}", sentences)


def _stranger(part: Part, place: str) -> str:
    return (
        f"{place}: '{part.part_number}' of {part.maker} is not in the catalog; correct the number or the "
        "maker, or take the row out"
    )


def settled(catalog: Catalog, found: Collected) -> list[Part]:
    """The parts to merge; those of a sheet that names no kind as what the catalog has under their number and maker.

    ``PartsError`` where it has none or several, and where a part that would be new is of another kind there: a price
    list read as a sheet of MOSFETs would enter a MOSFET for every LED in it.
    """
    made, bad = list(found.parts), []
    for part, place in found.general:
        kinds = _kinds_of(catalog, part)
        if len(kinds) == 1:
            made.append(replace(part, kind=kinds[0]))
        elif kinds:
            several = " and ".join(KINDS[kind].one for kind in kinds)
            bad.append(f"{place}: '{part.part_number}' of {part.maker} is {several}; give the sheet a column kind")
        else:
            bad.append(_stranger(part, place))
    for part in found.parts:
        other = [] if _known(catalog, part) else _kinds_of(catalog, part)
        if other:
            bad.append(
                f"'{part.part_number}' of {part.maker} would be added as {KINDS[part.kind].one}, but the catalog has "
                f"it as {KINDS[other[0]].one}; leave out what makes it {part.kind}, or give the sheet a column kind"
            )
    _refuse(bad, "not clear")
    return made


def _kinds_of(catalog: Catalog, part: Part) -> list[str]:
    """The kinds under which the catalog has a part of that number and maker."""
    return [kind for kind in KINDS if _known(catalog, replace(part, kind=kind))]


def _known(catalog: Catalog, part: Part) -> list[Part]:
    named = catalog.named(part.kind, part.part_number, part.maker)
    return [one for one in named if one.part_number == part.part_number]


def merged(catalog: Catalog, part: Part) -> Part:
    """The part of the catalog with what a sheet states of it; the sheet's own where the catalog has none.

    A table of which the sheet states a row is that of the sheet. ``PartsError`` where the two together cannot stand,
    such as a least value above the largest that the catalog has.
    """
    known = _known(catalog, part)
    if len(known) != 1:
        return part
    former = known[0]
    values = {**former.values, **{name: value for name, value in part.values.items() if value not in (None, "")}}
    tables = {**former.tables, **{name: table for name, table in part.tables.items() if len(table)}}
    made = Part(part.kind, former.part_number, former.maker, values, tables, {**former.provenance, **part.provenance})
    return from_record(to_record(made), f"{former.name}, with what the sheet states")


def _cleared(found: Sequence[Difference]) -> int:
    return sum(difference.new is None for difference in found)


def differences(compared: PartComparison) -> Iterator[Difference]:
    """Every value that would change, part by part; tables point by point."""
    for former, part in compared.changed:
        old, new = to_record(former), to_record(part)
        tables = {table.name: table for table in KINDS[part.kind].tables}
        for column in {**old, **new}:
            was, becomes = old.get(column), new.get(column)
            if _same(was, becomes):
                continue
            if column in tables:
                yield from _points(part, tables[column], was or [], becomes or [])
            elif column == "provenance":
                yield from _sources(part, was or {}, becomes or {})
            else:
                yield Difference(part, column, "", was, becomes, _said(former, column), _said(part, column))


def _same(was: Any, becomes: Any) -> bool:
    return json.dumps(was, ensure_ascii=False) == json.dumps(becomes, ensure_ascii=False)


def _said(part: Part, column: str) -> str:
    value = part.values.get(column) if column not in checks.IDENTITY else getattr(part, column)
    if value is None:
        return ""
    return value if isinstance(value, str) else show(value, checks.columns(part.kind)[column].unit, 9)


def _points(part: Part, table: Table, was: list[Any], becomes: list[Any]) -> Iterator[Difference]:
    axes = [axis.name for axis in table.axes]

    def by_axes(rows: list[Any]) -> dict[str, Any]:
        return {json.dumps([row.get(axis) for axis in axes], ensure_ascii=False): row for row in rows}

    old, new = by_axes(was), by_axes(becomes)
    for key in {**old, **new}:
        before, after = old.get(key), new.get(key)
        if not _same(before, after):
            row = before or after or {}
            where = ", ".join(f"{axis} {_shown(table, axis, row[axis])}" for axis in axes if row.get(axis) is not None)
            yield Difference(part, table.name, where, before, after, _row(table, before), _row(table, after))


def _row(table: Table, row: Mapping[str, Any] | None) -> str:
    return (
        ", ".join(f"{bound} {_shown(table, bound, row[bound])}" for bound in table.bounds if bound in row)
        if row
        else ""
    )


def _shown(table: Table, column: str, value: Any) -> str:
    """A value of a record for a reader."""
    if isinstance(value, str):
        return value
    unit = table.unit if column in table.bounds else table.axis(column).unit
    return f"{value:g} °C" if unit == "°C" else show(value, unit, 9)


def _sources(part: Part, was: Mapping[str, Any], becomes: Mapping[str, Any]) -> Iterator[Difference]:
    for name in {**was, **becomes}:
        before, after = was.get(name), becomes.get(name)
        if not _same(before, after):
            texts = (", ".join(f"{key} {value}" for key, value in (said or {}).items()) for said in (before, after))
            former, new = texts
            yield Difference(part, "provenance", name, before, after, former, new)
