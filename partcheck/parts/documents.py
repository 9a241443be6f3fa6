"""Parts as JSON, and the same record where a board file states a part inline.

::

    {"format": 1, "parts": [
        {"kind": "mosfet", "part_number": "X1", "maker": "Acme", "vds_max": "60 V",
         "vgs_th": {"min": "1 V", "max": "2.5 V"},
         "rds_on": [{"vgs": "4.5 V", "max": "45 mΩ"}],
         "provenance": {"*": {"document": "DS-1", "page": "3"}}}]}

A bare list of parts will do. A text carries its unit; a number is SI, a temperature °C. ``vgs_th_min`` says
the same as ``min`` within ``vgs_th``.
"""

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from partcheck.errors import PartsError
from partcheck.parameters import BOUNDS, KINDS
from partcheck.parts import checks
from partcheck.parts.files import read_text
from partcheck.parts.headers import REASON
from partcheck.parts.part import Part, Provenance
from partcheck.parts.problems import BadPart, Problem, cell_of, did_you_mean
from partcheck.parts.sheets import Collected, Seen, claim
from partcheck.points import PointTable
from partcheck.units import parse, to_json

FORMAT = 1


class _Raw(NamedTuple):
    """A record taken apart: single values by flat column, rows of tables, sources."""

    kind: str
    values: dict[str, Any]
    tables: dict[str, list[Mapping[str, Any]]]
    provenance: dict[str, Provenance]
    problems: list[Problem]


def from_record(record: Any, where: str) -> Part:
    """The part that one record states, or :class:`PartsError` naming ``where`` and each bad key.

    ``from_record({"kind": "led", "part_number": "L1", "maker": "Acme"}, "board.toml, part L1")``.
    """
    part, problems = _attempt(record)
    if part is None:
        raise BadPart(where, problems)
    return part


def collect_document(path: Path, seen: Seen, piped: bool = False) -> Collected:
    """The good parts of a JSON file, and all bad values; :class:`PartsError` where it is no such file."""
    found = Collected()
    for number, record in enumerate(_records(_load(read_text(path, piped), path), path), 1):
        part, problems = _attempt(record)
        if isinstance(record, Mapping) and isinstance(record.get("kind"), str):
            place = f"{path.name} part {number}"
            if first := claim(seen, record["kind"].strip().casefold(), record, place):
                problems.append(first)
        cells = [cell_of(problem, path.name, number) for problem in problems]
        found.bad += cells
        if part is not None and not problems:
            found.parts.append(part)
        else:
            found.records.append((record, "; ".join(str(cell) for cell in cells)))
    return found


def to_record(part: Part) -> dict[str, Any]:
    """The part as a record that :func:`from_record` reads back to the identical part; fit for JSON."""
    declared = checks.columns(part.kind)
    record: dict[str, Any] = {"kind": part.kind, "part_number": part.part_number, "maker": part.maker}
    for name in declared:
        value = part.values.get(name)
        if isinstance(value, str):
            record[name] = value
        elif value is not None and value == value:
            record[name] = number(value, declared[name].unit)
    for table in KINDS[part.kind].tables:
        if len(part.table(table.name)):
            record[table.name] = _rows_of(part.table(table.name), part.kind, table.name)
    if part.provenance:
        record["provenance"] = {name: _source_of(source) for name, source in part.provenance.items()}
    return record


def to_document(parts: Iterable[Part]) -> str:
    """The parts as the text of a JSON file."""
    document = {"format": FORMAT, "parts": [to_record(part) for part in parts]}
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def number(value: float, unit: str) -> float | str:
    """A stored number as JSON states it; a text in kelvin where degrees Celsius would lose digits."""
    stated = to_json(value, unit)
    if unit == "°C" and (stated is None or parse(stated, unit) != value):
        return f"{value!r} K"
    return value if stated is None else stated


def _rows_of(points: PointTable, kind: str, name: str) -> list[dict[str, Any]]:
    table = KINDS[kind].table(name)
    axes = {axis.name: axis for axis in table.axes}
    rows = []
    for values in zip(*points.columns.values(), strict=True):
        row: dict[str, Any] = {}
        for column, value in zip(points.columns, values, strict=True):
            if math.isnan(value):
                continue
            axis = axes.get(column)
            if axis and axis.choices:
                row[column] = axis.choices[int(value)]
            else:
                row[column] = number(value, axis.unit if axis else table.unit)
        rows.append(row)
    return rows


def _source_of(source: Provenance) -> dict[str, Any]:
    return {name: value for name in checks.SOURCE if (value := getattr(source, name))}


def _attempt(record: Any) -> tuple[Part | None, list[Problem]]:
    if not isinstance(record, Mapping):
        return None, [Problem("part", str(record), "is not a part", "write its keys and values in { }")]
    kind = record.get("kind")
    if not isinstance(kind, str) or not kind.strip():
        return None, [
            Problem("kind", "" if kind is None else str(kind), "is missing", f"write one of {', '.join(KINDS)}")
        ]
    kind = kind.strip().casefold()
    if kind not in KINDS:
        return None, [checks.unknown_kind(kind)]
    raw = _Raw(kind, {}, {}, {}, [])
    for name, value in record.items():
        if name not in ("kind", REASON):
            _take(raw, str(name), value)
    part, problems = checks.attempt(kind, raw.values, raw.tables, raw.provenance)
    return (None if raw.problems else part), raw.problems + problems


@cache
def _bounded(kind: str) -> dict[str, tuple[str, ...]]:
    return {p.name: p.bounds for p in KINDS[kind].parameters if p.bounds}


@cache
def _table_names(kind: str) -> frozenset[str]:
    return frozenset(table.name for table in KINDS[kind].tables)


def _take(raw: _Raw, name: str, value: Any) -> None:
    """Put one key of a record where it belongs."""
    if name == "provenance":
        _take_sources(raw, value)
    elif name in _table_names(raw.kind):
        _take_rows(raw, name, value)
    elif isinstance(value, Mapping) and name in _bounded(raw.kind):
        for bound, cell in value.items():
            if bound in _bounded(raw.kind)[name]:
                _put(raw, f"{name}_{bound}", cell)
            else:
                has = " and ".join(_bounded(raw.kind)[name])
                raw.problems.append(Problem(f"{name}.{bound}", "", f"is not a bound of {name}", f"it has {has}"))
    elif isinstance(value, Mapping | list):
        known = name in checks.columns(raw.kind)
        single = Problem(name, str(value), "is not a single value", "write a text with its unit or a number")
        raw.problems.append(single if known else checks.unknown_column(raw.kind, name))
    else:
        _put(raw, name, value)


def _put(raw: _Raw, name: str, cell: Any) -> None:
    if name in raw.values:
        advice = f"keep one of {name} and {name.rpartition('_')[0]} {{ {name.rpartition('_')[2]} }}"
        raw.problems.append(Problem(name, str(cell), "is stated twice", advice))
    raw.values[name] = cell


def _take_rows(raw: _Raw, name: str, value: Any) -> None:
    if value is None:
        return
    rows = value if isinstance(value, list) else None
    if rows is None or not all(isinstance(row, Mapping) for row in rows):
        columns = ", ".join(KINDS[raw.kind].table(name).columns())
        raw.problems.append(
            Problem(name, str(value), "is not a list of rows", f"write [ ] around rows of {columns} in {{ }}")
        )
    else:
        raw.tables[name] = rows


def _take_sources(raw: _Raw, value: Any) -> None:
    if value is None:
        return
    if not isinstance(value, Mapping) or not all(isinstance(source, Mapping) for source in value.values()):
        advice = "write what each is the source of, then { document, page, … }"
        raw.problems.append(Problem("provenance", str(value), "is not a set of sources", advice))
        return
    for name, source in value.items():
        plain = {key: cell.isoformat() if isinstance(cell, date) else cell for key, cell in source.items()}
        raw.provenance[name], problems = checks.source(raw.kind, name, plain)
        for problem in problems:
            column = f"provenance {name}" + ("" if problem.column == "parameter" else f", {problem.column}")
            raw.problems.append(Problem(column, problem.text, problem.reason, problem.suggestion))


def _load(text: str, path: Path) -> Any:
    """The JSON in a text, refusing what JSON readers commonly let pass: NaN, and a key given twice."""

    def once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(pairs)
        if len(made) < len(pairs):
            names = [name for name, _ in pairs]
            twice = next(name for name in names if names.count(name) > 1)
            raise PartsError(f"{path} states the key '{twice}' twice in one place; keep one of them")
        return made

    def constant(name: str) -> None:
        raise PartsError(f"{path} holds {name}, which is not a number; leave out what is not known")

    try:
        return json.loads(text, object_pairs_hook=once, parse_constant=constant)
    except json.JSONDecodeError as slip:
        place = f"line {slip.lineno}, column {slip.colno}"
        raise PartsError(f"{path} is not JSON: {slip.msg.lower()} at {place}; correct it there") from slip
    except (RecursionError, ValueError) as slip:
        raise PartsError(f"{path} is nested too deeply or has a number too long; write it as the format says") from slip


def _records(document: Any, path: Path) -> list[Any]:
    if isinstance(document, list):
        return document
    if not isinstance(document, Mapping) or not isinstance(document.get("parts"), list):
        raise PartsError(f'{path} holds no parts; write {{"format": {FORMAT}, "parts": [ … ]}} or a list of parts')
    if document.get("format") != FORMAT or document["format"] is True:
        raise PartsError(f'{path} must say which format it has; write "format": {FORMAT}, the one known here')
    for name in document:
        if name not in ("format", "parts", "$schema"):
            known = ("format", "parts", *BOUNDS)
            raise PartsError(f"{path} has the unknown key '{name}'; {did_you_mean(name, known[:2], 'leave it out')}")
    return list(document["parts"])
