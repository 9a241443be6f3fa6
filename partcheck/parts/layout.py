"""Parts as rows of sheets, so that reading the sheets gives the identical parts; and the empty sheets of a template.

A number stands under a header with a handy unit (``rds_on``: ``max [mΩ]``) where it comes back from there to the last
digit, else as a text with its own unit.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from partcheck.errors import ValueSlip
from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts import checks
from partcheck.parts.grid import guarded
from partcheck.parts.headers import KEYS
from partcheck.parts.part import Part, Scalar
from partcheck.units import UNITS, ZERO_CELSIUS, parse, show, unit_power

Cell = str | float | None
_DIGITS = 15  # significant digits that every spreadsheet keeps of a number
_SOURCE_MEANING = {
    "parameter": "a column, a table, or * for the whole part",
    "measured": "number of pieces, where measured on the bench",
}


@dataclass
class LaidSheet:
    """A sheet to be written: its name, headers, what each means, closed lists of words by column, rows."""

    name: str
    headers: list[str]
    meanings: list[str]
    choices: dict[int, tuple[str, ...]]
    rows: Iterable[list[Cell]]


@cache
def handy_unit(declared: Parameter | Axis | Table) -> str:
    """The unit in which the plausible values of something have handy numbers; empty where they need none."""
    if not isinstance(declared, Table) and declared.is_text:
        return ""
    low, high = abs(declared.low), abs(declared.high)
    if declared.unit == "°C":
        return "°C"
    middle = (min(low, high) or max(low, high) / 100) ** 0.4 * max(low, high) ** 0.6
    return show(middle, declared.unit).lstrip("0123456789.-e").strip()


def header(name: str, declared: Parameter | Axis | Table | None) -> str:
    """The header of a column: ``vds_max [V]``."""
    unit = handy_unit(declared) if declared else ""
    return f"{name} [{unit}]" if unit else name


@cache
def _stored(unit: str) -> str:
    """How a text states the unit in which values are kept."""
    return "K" if unit == "°C" else UNITS[unit].symbol


def cell(value: Scalar, declared: Parameter | Axis | Table) -> Cell:
    """A value as a cell under the header of its column; one that reads back as the same value."""
    if value is None or isinstance(value, str):
        return guarded(value) if value else None
    if value != value:
        return None
    unit = handy_unit(declared)
    if unit == "°C":
        shifted = Decimal(repr(round(value - ZERO_CELSIUS, 9)))
    else:
        shifted = Decimal(repr(value)).scaleb(-unit_power(unit, declared.unit))
    if len(shifted.normalize().as_tuple().digits) <= _DIGITS:
        made = float(shifted)
        try:
            if parse(f"{made!r} {unit}".strip(), declared.unit) == value:
                return made
        except ValueSlip:
            pass
    return f"{value!r} {_stored(declared.unit)}".strip()


def sheets_of(parts: Sequence[Part]) -> Iterator[LaidSheet]:
    """Everything that parts state, as sheets: parts, points of tables, sources."""
    for kind in KINDS.values():
        mine = [part for part in parts if part.kind == kind.name]
        if not mine:
            continue
        declared = checks.columns(kind.name)
        used = [name for name in declared if name in KEYS or any(part.values.get(name) is not None for part in mine)]
        yield LaidSheet(
            kind.name, [header(name, declared[name]) for name in used], [], {}, (_main_row(part, used) for part in mine)
        )
        for table in kind.tables:
            some = [part for part in mine if len(part.table(table.name))]
            if some:
                yield _points(kind.name, table, (row for part in some for row in _point_rows(part, table)))
    if any(part.provenance for part in parts):
        rows = (row for part in parts for row in _source_rows(part))
        yield LaidSheet("provenance", [*KEYS, "parameter", *checks.SOURCE], [], {}, rows)


def _main_row(part: Part, used: Sequence[str]) -> list[Cell]:
    declared = checks.columns(part.kind)
    own = {"part_number": part.part_number, "maker": part.maker}
    return [cell(own.get(name) or part.values.get(name), declared[name]) for name in used]


def _points(kind: str, table: Table, rows: Iterable[list[Cell]], explained: bool = False) -> LaidSheet:
    declared = checks.point_columns(table)
    headers = [*checks.IDENTITY, *(header(name, item) for name, item in declared.items())]
    meanings = ["the part's number", "its maker"] if explained else []
    for name, item in declared.items() if explained else ():
        meanings.append(f"{table.meaning}, {name}" if isinstance(item, Table) else item.meaning)
    return LaidSheet(f"{kind}.{table.name}", headers, meanings, _choices([None, None, *declared.values()]), rows)


def _point_rows(part: Part, table: Table) -> Iterator[list[Cell]]:
    declared = checks.point_columns(table)
    columns = part.table(table.name).columns
    for place in range(len(part.table(table.name))):
        row: list[Cell] = [guarded(part.part_number), guarded(part.maker)]
        for name, item in declared.items():
            value = columns[name][place] if name in columns else float("nan")
            if isinstance(item, Axis) and item.choices:
                row.append(item.choices[int(value)] if value == value else None)
            else:
                row.append(cell(value, item))
        yield row


def _source_rows(part: Part) -> Iterator[list[Cell]]:
    for name, source in part.provenance.items():
        said = [getattr(source, item) for item in checks.SOURCE]
        texts = (part.kind, part.part_number, part.maker, name)
        yield [*map(guarded, texts), *(guarded(str(value)) if value else None for value in said)]


def template(kinds: Sequence[str]) -> Iterator[LaidSheet]:
    """Empty sheets for kinds of parts, with what each column means."""
    for kind in kinds:
        declared = checks.columns(kind)
        meanings = [_meaning(name, item) for name, item in declared.items()]
        headers = [header(name, item) for name, item in declared.items()]
        yield LaidSheet(kind, headers, meanings, _choices(list(declared.values())), [])
        for table in KINDS[kind].tables:
            yield _points(kind, table, [], explained=True)
    meanings = [*KEYS, *(_SOURCE_MEANING.get(name, name.replace("_", " ")) for name in ("parameter", *checks.SOURCE))]
    yield LaidSheet("provenance", [*KEYS, "parameter", *checks.SOURCE], meanings, {0: tuple(KINDS)}, [])


def _meaning(name: str, parameter: Parameter) -> str:
    symbol = f"{parameter.symbol}, " if parameter.symbol else ""
    bound = f", {name.rpartition('_')[2]}" if parameter.bounds else ""
    return f"{symbol}{parameter.meaning}{bound}"


def _choices(declared: Sequence[Parameter | Axis | Table | None]) -> dict[int, tuple[str, ...]]:
    named = {place: item.choices for place, item in enumerate(declared) if isinstance(item, Parameter | Axis)}
    return {place: words for place, words in named.items() if words}
