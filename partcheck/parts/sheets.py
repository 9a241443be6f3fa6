"""Parts from sheets: which sheet holds what, and how their rows make parts.

::

    mosfet.csv             one row per part: part_number, maker, any flat columns
    mosfet.rds_on.csv      one row per point of a table: part_number, maker, axes, values
    provenance.csv         where values came from: kind, part_number, maker, parameter, document, …
    mosfet.spares.csv      another main sheet; its points are in mosfet.spares.rds_on.csv

The kind is the first word of the file name, or what a column ``kind`` says. A workbook has the same as sheets of
these names, without ``.csv``.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from os.path import isfile
from pathlib import Path

from partcheck.errors import PartsError
from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts import checks
from partcheck.parts.beside import in_header
from partcheck.parts.cells import Refused
from partcheck.parts.drafts import Line, SheetDraft, Targets
from partcheck.parts.files import read_text
from partcheck.parts.grid import Grid, read_csv
from partcheck.parts.headers import main_words, point_words, source_words
from partcheck.parts.kind_of import is_general, kind_of
from partcheck.parts.mapping import Reading
from partcheck.parts.names import SheetName, csv_names, sheet_name, workbook_names
from partcheck.parts.part import Part
from partcheck.parts.part_numbers import check_single
from partcheck.parts.problems import BadCell, Problem, did_you_mean
from partcheck.parts.sheet import Declared, Sheet, open_sheet

Seen = dict[tuple[str, str, str], str]
"""Where each part was first stated, by kind, maker in lower case and part number."""

Named = tuple[SheetName, Grid]
_KEYS = ("kind", *checks.IDENTITY)


@dataclass
class Collected:
    """What sheets or records hold: the good parts, what is bad, and the sheets with the rows that were rejected.

    ``alone`` are parts of which there are only rows of tables, and where the first stands: the catalog must have them.
    ``general`` are those of a sheet that names no kind (prices and stock), and where each stands: their kind is that of
    the catalog's part, and the one they have is none.
    """

    parts: list[Part] = field(default_factory=list)
    bad: list[BadCell] = field(default_factory=list)
    sheets: list[Sheet] = field(default_factory=list)
    rejected: set[Line] = field(default_factory=set)
    records: list[tuple[object, str]] = field(default_factory=list)
    alone: list[tuple[Part, str]] = field(default_factory=list)
    general: list[tuple[Part, str]] = field(default_factory=list)

    def __iadd__(self, other: "Collected") -> "Collected":
        self.parts += other.parts
        self.bad += other.bad
        self.sheets += other.sheets
        self.rejected |= other.rejected
        self.records += other.records
        self.alone += other.alone
        self.general += other.general
        return self


def collect_file(path: Path, seen: Seen, reading: Reading) -> Collected:
    """What one main sheet holds, with its points and sources beside it."""
    name = sheet_name(path.name)
    if name.table and reading.merge and name.table != "provenance":
        return collect_grids([], [(name, read_csv(path))], seen, reading, whole=True)
    if name.table:
        whole = f"{name.stem}.csv" if name.stem else "the folder"
        raise PartsError(f"{path} is a sheet that belongs to others and has no parts of its own; name {whole}")
    if not isfile(path):
        read_text(path)  # says why it is none
    beside = [other for other in csv_files(path.parent) if sheet_name(other.name).table]
    mine = [other for other in beside if sheet_name(other.name).stem in (name.stem, "")]
    reading.alone = not mine
    mains, others = csv_names([read_csv(each) for each in (path, *mine)], reading)
    if not mains and not (reading.merge and others):
        said = reading.mapping.of(path.name.removesuffix(".csv"), reading.alone).holds
        raise PartsError(
            f"{path} holds no parts, but {said} by its mapping; name the folder that has its parts as well"
        )
    return collect_grids(mains, others, seen, reading, whole=not mains)


def collect_pipe(path: Path, seen: Seen, reading: Reading) -> Collected:
    """What the one sheet holds that is piped in."""
    reading.alone = True
    mains, others = csv_names([read_csv(path, piped=True)], reading)
    return collect_grids(mains, others, seen, reading, whole=True)


def collect_folder(files: Iterable[Path], seen: Seen, reading: Reading) -> Collected:
    """What all sheets of a folder hold."""
    mains, others = csv_names(map(read_csv, files), reading)
    return collect_grids(mains, others, seen, reading, whole=True)


def collect_workbook(path: Path, seen: Seen, reading: Reading) -> Collected:
    """What all sheets of a workbook hold."""
    from partcheck.parts.workbook import read_workbook

    grids = read_workbook(path, reading.comma_in, reading.progress)
    if not grids:
        raise PartsError(f"{path} is empty; write a header and a row for each part")
    reading.alone = len(grids) == 1
    mains, others, bad = workbook_names(path, grids, reading)
    found = collect_grids(mains, others, seen, reading, whole=True)
    found.bad = bad + found.bad
    return found


def csv_files(folder: Path) -> list[Path]:
    """The CSV files of a folder in order of name, without hidden ones and those a spreadsheet has open."""
    try:
        found = sorted(folder.iterdir())
    except OSError as slip:
        raise PartsError(f"{folder} cannot be listed ({slip.strerror}); check its permissions") from slip
    return [
        path for path in found if path.suffix.casefold() == ".csv" and path.name[0] not in ".~" and not path.is_dir()
    ]


def collect_grids(
    mains: Sequence[Named], others: Sequence[Named], seen: Seen, reading: Reading, whole: bool
) -> Collected:
    """What these sheets hold; with ``whole`` a row about a part that none of them has is told."""
    drafts: dict[str, list[SheetDraft]] = {}
    found = Collected()
    for name, grid in mains:
        sheet = open_sheet(grid, reading)
        drafts.setdefault(name.stem, []).extend(_drafts(sheet, name.kind, seen))
        found.sheets.append(sheet)
    everything = [draft for some in drafts.values() for draft in some]
    for name, grid in others:
        stem = "" if grid.sheet and name.stem not in drafts and drafts else name.stem
        merge = reading.merge and name.table != "provenance"
        if stem and stem not in drafts and not merge:
            beside = stem if grid.sheet else f"{stem}.csv"
            advice = f"give it one, or take {grid.sheet or grid.file} away"
            reason = f"has no sheet {beside} beside it"
            found.bad.append(BadCell(grid.file, 0, "", "", reason, advice, sheet=grid.sheet))
            continue
        sheet = open_sheet(grid, reading)
        targets = Targets(drafts.get(stem, everything), sheet, stem, whole or bool(stem), merge)
        if name.table == "provenance":
            _add_sources(sheet, targets)
        else:
            _add_points(sheet, name, targets)
            everything += targets.alone
            if stem and targets.alone:
                drafts.setdefault(stem, []).extend(targets.alone)
        found.sheets.append(sheet)
    _finish_all(everything, found, reading)
    return found


def _finish_all(drafts: Sequence[SheetDraft], found: Collected, reading: Reading) -> None:
    """Make the parts; whatever shares a row with a bad cell is rejected whole."""
    made: list[tuple[SheetDraft, Part | None]] = []
    for place, draft in enumerate(drafts):
        if not place % 500:
            reading.step("checking parts", place, len(drafts))
        made.append((draft, _finish(draft)))
        draft.record = {}  # large sheets would hold every cell twice
        draft.tables = {}
    for sheet in found.sheets:
        found.bad += sheet.bad
        if sheet.refused:
            found.rejected |= {(sheet.name, number) for number, _ in sheet.rows}
        found.rejected |= {(sheet.name, cell.row) for cell in sheet.bad if cell.row > sheet.header}
    spoiled = {(sheet.name, cell.row) for sheet in found.sheets for cell in sheet.bad}
    found.bad.sort(key=lambda cell: (cell.file, cell.sheet, cell.row))
    for draft, part in made:
        if part is not None and spoiled.isdisjoint(draft.lines):
            where = f"{draft.sheet.name} row {draft.row}"
            found.parts += [] if draft.general else [part]
            found.alone += [(part, where)] if draft.alone else []
            found.general += [(part, where)] if draft.general else []
        else:
            found.rejected |= draft.lines


def _drafts(sheet: Sheet, kind: str, seen: Seen) -> list[SheetDraft]:
    """The rows of a main sheet, cells unread; what is wrong with kind and identity is told."""
    mixed, general = sheet.mixed, False
    if not mixed and kind not in KINDS:
        general = sheet.reading.merge and is_general(sheet.named)
        stated, kind = kind, next(iter(KINDS)) if general else kind_of(sheet.named)
    if not mixed and not kind:
        otherwise = (
            f"start its name with one of {', '.join(KINDS)}, add a column kind, or say it with --map holds=mosfet"
        )
        advice = did_you_mean(stated, KINDS, otherwise)
        reason = f"is named after '{stated}', which is not a kind of part"
        sheet.bad.append(BadCell(sheet.grid.file, 0, "", "", reason, advice, sheet=sheet.grid.sheet))
        sheet.refused = True
        return []
    kinds = (kind,) if not mixed else tuple(KINDS)
    words = main_words(kinds)
    sheet.name_columns(words, "" if mixed else kind)
    if sheet.lacks(checks.IDENTITY):
        return []
    declared: Declared = dict(words.declared)
    points = _point_columns(sheet, kinds)
    known = {*declared, *sheet.points, *points, *(["kind"] if mixed else [])}
    _refuse_columns(sheet, [name for name in sheet.columns if name and name not in known], kinds)
    sheet.check_labels({**declared, **points})
    drafts = []
    name, header = sheet.name, (sheet.name, sheet.header)
    for row, record in sheet.records():
        own = record.pop("kind", kind).strip().casefold() if mixed else kind
        if own not in KINDS:
            sheet.tell(row, checks.unknown_kind(own))
            continue
        if first := claim(seen, "" if general else own, record, f"{name} row {row}"):
            sheet.tell(row, first)
        try:
            check_single(record.get("part_number", ""))
        except Refused as slip:
            sheet.tell(row, Problem("part_number", record["part_number"], slip.reason, slip.suggestion))
        draft = SheetDraft(own, sheet, row, record, {(name, row), header}, general=general)
        if sheet.points:
            draft.tables = sheet.take_points(own, record)
            draft.places = {table: [(sheet, row)] * len(rows) for table, rows in draft.tables.items()}
        drafts.append(draft)
    return drafts


def _point_columns(sheet: Sheet, kinds: Sequence[str]) -> dict[str, Parameter | Axis | Table]:
    """The tables of columns that are points, for their units; a table or value that is not there is told."""
    found: dict[str, Parameter | Axis | Table] = {}
    for name, point in list(sheet.points.items()):
        tables = [table for kind in kinds for table in KINDS[kind].tables if table.name == point.table]
        told = None
        if not tables:
            of = " or ".join(KINDS[kind].one for kind in kinds)
            told = Problem(point.table, "", f"is not a table of {of}", "correct the mapping")
        elif point.bound not in tables[0].bounds:
            has = " and ".join(tables[0].bounds)
            told = Problem(f"{point.table}.{point.bound}", "", f"is not a value of {point.table}", f"it has {has}")
        else:
            strange = [axis for axis in point.at if axis not in {a.name for a in tables[0].axes}]
            has = ", ".join(axis.name for axis in tables[0].axes)
            if strange:
                told = Problem(strange[0], "", f"is not a condition of {point.table}", f"it has {has}")
        if told:
            sheet.tell(sheet.header, told)
            sheet.drop([name])
            del sheet.points[name]
        else:
            found[name] = tables[0]
            found |= {text: axis for text, axis in point.axes().items() if text in sheet.conditions}
    return found


def _refuse_columns(sheet: Sheet, unknown: Sequence[str], kinds: Sequence[str]) -> None:
    for name in unknown:
        header = " ".join(sheet.headers[sheet.columns.index(name)].split())
        shown = header if header.casefold().startswith(name) else name
        if len(kinds) == 1:
            problem = checks.unknown_column(kinds[0], name)
            if "table" in problem.reason:
                table = KINDS[kinds[0]].table(name)
                beside = f"{', '.join(f'@{axis.name}' for axis in table.axes)}; in a header, {in_header(table)}"
                points = f"{sheet.grid.sheet}.{name}" if sheet.grid.sheet else f"{sheet.grid.file[:-4]}.{name}.csv"
                suggestion = f"{problem.suggestion} in {points}, or with its conditions right after it: {beside}"
                problem = Problem(name, "", problem.reason, suggestion)
            elif problem.suggestion == "leave it out":
                problem = Problem(shown, "", problem.reason, "leave it out, or say with --map what it means")
        else:
            known = {column for kind in kinds for column in checks.columns(kind)}
            problem = Problem(
                shown, "", "is not a column of any kind of part", did_you_mean(name, known, "leave it out")
            )
        sheet.tell(sheet.header, problem)
    sheet.drop(unknown)


def claim(seen: Seen, kind: str, record: checks.Record, place: str) -> Problem | None:
    """Note where a part is stated; the problem if one of the same kind, maker and number was before."""
    number, maker = (" ".join(str(record.get(name) or "").split()) for name in checks.IDENTITY)
    if not number or not maker:
        return None
    first = seen.setdefault((kind, maker.casefold(), number), place)
    if first == place:
        return None
    return Problem("part_number", number, f"of {maker} is already in {first}", "keep one of the two")


def _add_points(sheet: Sheet, name: SheetName, targets: Targets) -> None:
    """Hand each row of a point sheet to its part."""
    table = name.table
    kinds = [kind for kind in KINDS if table in {t.name for t in KINDS[kind].tables}]
    if name.kind in kinds and (sheet.grid.sheet or targets.merge):
        kinds = [name.kind]
    used = {draft.kind for draft in targets.drafts} & set(kinds) or set(kinds)
    words = point_words(tuple(sorted(used)), table)
    sheet.name_columns(words)
    if sheet.lacks(checks.IDENTITY):
        return
    unknown = [name for name in sheet.columns if name and name not in words.declared and name not in _KEYS]
    for column in unknown:
        sheet.tell(sheet.header, checks.unknown_point_column(KINDS[min(used)].table(table), column))
    sheet.drop(unknown)
    sheet.check_labels(words.declared)
    for row, record in sheet.records():
        keys = {name: record.pop(name) for name in _KEYS if name in record}
        draft = targets.find(row, keys, kinds)
        if draft is not None:
            draft.tables.setdefault(table, []).append(record)
            draft.places.setdefault(table, []).append((sheet, row))


def _add_sources(sheet: Sheet, targets: Targets) -> None:
    """Hand each row of a sheet of sources to its part."""
    sheet.name_columns(source_words())
    if sheet.lacks((*checks.IDENTITY, "parameter")):
        return
    known = (*_KEYS, "parameter", *checks.SOURCE)
    unknown = [name for name in sheet.columns if name and name not in known]
    for name in unknown:
        sheet.tell(sheet.header, checks.unknown_source_column(name))
    sheet.drop(unknown)
    for row, record in sheet.records():
        keys = {name: record.pop(name) for name in _KEYS if name in record}
        parameter = record.pop("parameter", "").strip()
        draft = targets.find(row, keys, list(KINDS))
        if draft is None:
            continue
        source, problems = checks.source(draft.kind, parameter, record)
        if parameter in draft.provenance:
            problems.append(Problem("parameter", parameter, "has a source in an earlier row", "keep one of the rows"))
        for problem in problems:
            sheet.tell(row, problem)
        draft.provenance[parameter] = source


def _finish(draft: SheetDraft) -> Part | None:
    part, problems = checks.attempt(draft.kind, draft.record, draft.tables, draft.provenance)
    for problem in problems:
        sheet, row = draft.places[problem.table][problem.row] if problem.table else (draft.sheet, draft.row)
        if problem.table and sheet.points:  # told by the table, since no column is called so
            problem = replace(problem, column=f"{problem.table}.{problem.column}")
        sheet.tell(row, problem)
    return part
