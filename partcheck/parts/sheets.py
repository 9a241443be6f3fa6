"""Parts from CSV: which sheet holds what, and how their rows make parts.

::

    mosfet.csv             one row per part: part_number, maker, any flat columns
    mosfet.rds_on.csv      one row per point of a table: part_number, maker, axes, values
    provenance.csv         where values came from: kind, part_number, maker, parameter, document, …
    mosfet.spares.csv      another main sheet; its points are in mosfet.spares.rds_on.csv

The kind is the first word of the file name, or what a column ``kind`` says.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from os.path import isfile
from pathlib import Path
from typing import NamedTuple

from partcheck.errors import PartsError
from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts import checks
from partcheck.parts.files import read_text
from partcheck.parts.part import Part, Provenance
from partcheck.parts.problems import BadCell, Problem, did_you_mean
from partcheck.parts.sheet import Declared, Sheet, read_sheet

Seen = dict[tuple[str, str, str], str]
"""Where each part was first stated, by kind, maker in lower case and part number."""

_TABLES = {table.name for kind in KINDS.values() for table in kind.tables}
_KEYS = ("kind", *checks.IDENTITY)


class SheetName(NamedTuple):
    """What a file name says: ``mosfet.spares.rds_on.csv`` is table ``rds_on`` of ``mosfet.spares``."""

    stem: str
    kind: str
    table: str


@dataclass
class _Draft:
    """The raw cells of one part, and where they stand.

    ``lines`` are all rows, headers included, that say something about it.
    """

    kind: str
    file: str
    row: int
    record: dict[str, str]
    lines: set[tuple[str, int]]
    tables: dict[str, list[dict[str, str]]] = field(default_factory=dict)
    places: dict[str, list[tuple[str, int]]] = field(default_factory=dict)
    provenance: dict[str, Provenance] = field(default_factory=dict)


def sheet_name(path: Path) -> SheetName:
    """Read a file name; ``table`` is empty for a main sheet and ``provenance`` for one of sources."""
    words = path.name.casefold().removesuffix(".csv").split(".")
    tables = {table.name for table in KINDS[words[0]].tables} if words[0] in KINDS else _TABLES
    if words[-1] == "provenance" or (len(words) > 1 and words[-1] in tables):
        return SheetName(".".join(words[:-1]), words[0], words[-1])
    return SheetName(".".join(words), words[0], "")


def collect_file(path: Path, seen: Seen) -> tuple[list[Part], list[BadCell]]:
    """The good parts of one main sheet, with its points and sources beside it, and all bad cells."""
    name = sheet_name(path)
    if name.table:
        whole = f"{name.stem}.csv" if name.stem else "the folder"
        raise PartsError(f"{path} is a sheet that belongs to others and has no parts of its own; name {whole}")
    if not isfile(path):
        read_text(path)  # says why it is none
    beside = [other for other in csv_files(path.parent) if sheet_name(other).table]
    mine = [other for other in beside if sheet_name(other).stem in (name.stem, "")]
    return _collect([path], mine, seen, whole=False)


def collect_folder(files: Iterable[Path], seen: Seen) -> tuple[list[Part], list[BadCell]]:
    """The good parts of all sheets of a folder, and all bad cells."""
    mains: list[Path] = []
    others: list[Path] = []
    for path in files:
        (others if sheet_name(path).table else mains).append(path)
    return _collect(mains, others, seen, whole=True)


def csv_files(folder: Path) -> list[Path]:
    """The CSV files of a folder in order of name, without hidden ones and those a spreadsheet has open."""
    try:
        found = sorted(folder.iterdir())
    except OSError as slip:
        raise PartsError(f"{folder} cannot be listed ({slip.strerror}); check its permissions") from slip
    return [
        path for path in found if path.suffix.casefold() == ".csv" and path.name[0] not in ".~" and not path.is_dir()
    ]


def _collect(
    mains: Sequence[Path], others: Sequence[Path], seen: Seen, whole: bool
) -> tuple[list[Part], list[BadCell]]:
    drafts: dict[str, list[_Draft]] = {}
    bad: list[BadCell] = []
    for path in mains:
        sheet = read_sheet(path)
        drafts.setdefault(sheet_name(path).stem, []).extend(_drafts(sheet, sheet_name(path).kind, seen))
        bad += sheet.bad
    everything = [draft for some in drafts.values() for draft in some]
    for path in others:
        name = sheet_name(path)
        if name.stem and name.stem not in drafts:
            advice = f"give it one, or take {path.name} away"
            bad.append(BadCell(path.name, 0, "", "", f"has no sheet {name.stem}.csv beside it", advice))
            continue
        sheet = read_sheet(path)
        targets = _Targets(drafts.get(name.stem, everything), sheet, name.stem, whole or bool(name.stem))
        if name.table == "provenance":
            _add_sources(sheet, targets)
        else:
            _add_points(sheet, name.table, targets)
        bad += sheet.bad
    made = [(draft, _finish(draft, bad)) for draft in everything]
    bad.sort(key=lambda cell: (cell.file, cell.row))
    spoiled = {(cell.file, cell.row) for cell in bad}
    return [part for draft, part in made if part and spoiled.isdisjoint(draft.lines)], bad


def _drafts(sheet: Sheet, kind: str, seen: Seen) -> list[_Draft]:
    """The rows of a main sheet, cells unread; what is wrong with kind and identity is told."""
    mixed = "kind" in sheet.columns
    if not mixed and kind not in KINDS:
        advice = did_you_mean(kind, KINDS, f"start its name with one of {', '.join(KINDS)}, or add a column kind")
        sheet.bad.append(BadCell(sheet.file, 0, "", "", f"is named after '{kind}', which is no kind of part", advice))
        return []
    if sheet.lacks(checks.IDENTITY):
        return []
    kinds = [kind] if not mixed else list(KINDS)
    declared: Declared = {name: item for each in kinds for name, item in checks.columns(each).items()}
    _refuse_columns(sheet, [name for name in sheet.columns if name and name != "kind" and name not in declared], kinds)
    sheet.check_labels(declared)
    drafts = []
    for row, record in sheet.records():
        own = record.pop("kind", kind).strip().casefold() if mixed else kind
        if own not in KINDS:
            sheet.tell(row, checks.unknown_kind(own))
            continue
        place = f"{sheet.file} row {row}"
        if first := claim(seen, own, record, place):
            sheet.tell(row, first)
        drafts.append(_Draft(own, sheet.file, row, record, {(sheet.file, row), (sheet.file, sheet.header)}))
    return drafts


def _refuse_columns(sheet: Sheet, unknown: Sequence[str], kinds: Sequence[str]) -> None:
    for name in unknown:
        if len(kinds) == 1:
            problem = checks.unknown_column(kinds[0], name)
            if "table" in problem.reason:
                points = sheet.file[: -len(".csv")] + f".{name}.csv"
                problem = Problem(name, "", problem.reason, f"{problem.suggestion} in {points}")
        else:
            known = {column for kind in kinds for column in checks.columns(kind)}
            problem = Problem(name, "", "is no column of any kind of part", did_you_mean(name, known, "leave it out"))
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


class _Targets:
    """The drafts that rows of another sheet belong to."""

    def __init__(self, drafts: Sequence[_Draft], sheet: Sheet, stem: str, strict: bool) -> None:
        self.drafts, self.sheet, self.strict = drafts, sheet, strict
        self.where = f"{stem}.csv" if stem else "any sheet here"
        self._by_key: dict[tuple[str, str], list[_Draft]] = {}
        self._known: dict[tuple[tuple[str, str], ...], _Draft] = {}
        self._advice: dict[str, str] = {}
        self._makers: dict[str, str] = {}
        for draft in drafts:
            self._by_key.setdefault(_identity(draft.record), []).append(draft)
            self._makers.setdefault(_identity(draft.record)[1], draft.record.get("maker", ""))

    def find(self, row: int, keys: dict[str, str], kinds: Sequence[str]) -> _Draft | None:
        """The one draft that a row names; None after telling why there is none."""
        raw = tuple(keys.items())  # the rows of one part mostly follow each other, spelled alike
        draft = self._known.get(raw) or self._look(row, keys, kinds)
        if draft is not None:
            self._known[raw] = draft
            draft.lines.add((self.sheet.file, row))
            draft.lines.add((self.sheet.file, self.sheet.header))
        return draft

    def _look(self, row: int, keys: dict[str, str], kinds: Sequence[str]) -> _Draft | None:
        kind = keys.get("kind", "").strip().casefold()
        maker, number = _identity(keys)
        found = [d for d in self._by_key.get((maker, number), ()) if d.kind in kinds and kind in ("", d.kind)]
        if len({draft.kind for draft in found}) == 1:
            return found[0]
        if found:
            reason = "is missing, and more than one kind has this part"
            self.sheet.tell(row, Problem("kind", "", reason, "give the row a kind"))
        elif self.strict:
            reason = f"of {keys.get('maker', 'no maker')} is no part in {self.where}"
            self.sheet.tell(row, Problem("part_number", number, reason, self._advise(number)))
        return None

    def _advise(self, number: str) -> str:
        """What to do about a number that is not there; looked up once, since its rows are often many."""
        if number not in self._advice:
            otherwise = "mend the number or the maker, or add the part"
            maker = self._makers.get(number)
            near = f"there its maker is {maker}" if maker else did_you_mean(number, self._makers, otherwise)
            self._advice[number] = near
        return self._advice[number]


def _identity(record: dict[str, str]) -> tuple[str, str]:
    """Maker in lower case and part number, by which rows are matched."""
    number, maker = (" ".join(record.get(name, "").split()) for name in checks.IDENTITY)
    return maker.casefold(), number


def _add_points(sheet: Sheet, table: str, targets: _Targets) -> None:
    """Hand each row of a point sheet to its part."""
    kinds = [kind for kind in KINDS if table in {t.name for t in KINDS[kind].tables}]
    used = {draft.kind for draft in targets.drafts} & set(kinds) or set(kinds)
    declared: dict[str, Parameter | Axis | Table] = {}
    for kind in sorted(used):
        declared |= checks.point_columns(KINDS[kind].table(table))
    if sheet.lacks(checks.IDENTITY):
        return
    unknown = [name for name in sheet.columns if name and name not in declared and name not in _KEYS]
    for name in unknown:
        sheet.tell(sheet.header, checks.unknown_point_column(KINDS[min(used)].table(table), name))
    sheet.drop(unknown)
    sheet.check_labels(declared)
    for row, record in sheet.records():
        keys = {name: record.pop(name) for name in _KEYS if name in record}
        draft = targets.find(row, keys, kinds)
        if draft is not None:
            draft.tables.setdefault(table, []).append(record)
            draft.places.setdefault(table, []).append((sheet.file, row))


def _add_sources(sheet: Sheet, targets: _Targets) -> None:
    """Hand each row of a sheet of sources to its part."""
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


def _finish(draft: _Draft, bad: list[BadCell]) -> Part | None:
    part, problems = checks.attempt(draft.kind, draft.record, draft.tables, draft.provenance)
    for problem in problems:
        file, row = draft.places[problem.table][problem.row] if problem.table else (draft.file, draft.row)
        bad.append(BadCell(file, row, problem.column, problem.text, problem.reason, problem.suggestion))
    return part
