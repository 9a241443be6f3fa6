"""What a question says about a value: symbol, unit, meaning, usual size, and what it is for."""

from collections.abc import Sequence
from statistics import median

from partcheck.jobs.entry.consequences import uses
from partcheck.parameters import KINDS, Axis, Parameter, Table
from partcheck.parts import Part
from partcheck.parts.checks import IDENTITY, columns, point_columns
from partcheck.units import UNITS, show


def _span(declared: Parameter | Table | Axis) -> str:
    return f"{show(declared.low, declared.unit)} to {show(declared.high, declared.unit)}"


def _for_what(kind: str, name: str, most: int = 4) -> str:
    """Which requirements read it, the first few by name."""
    found = uses(kind).get(name, {})
    ids = list(dict.fromkeys(id_ for each in found.values() for id_ in each))
    if not ids:
        return ""
    more = f" and {len(ids) - most} more" if len(ids) > most else ""
    return f"for {', '.join(ids[:most])}{more}"


def value_question(kind: str, column: str) -> str:
    """One line on a single value: ``V_DSS, drain-source rating, 5 V to 2 kV; for drain-voltage, …``."""
    declared = columns(kind)[column]
    what = declared.meaning if not declared.symbol else f"{declared.symbol}, {declared.meaning}"
    if declared.choices:
        what += f": {', '.join(declared.choices)}"
    elif not declared.text and declared.high:
        what += f", {_span(declared)}"
    used = "needed" if column in IDENTITY else _for_what(kind, column)
    return f"{what}; {used}" if used else what


def bounds_question(kind: str, declared: Parameter) -> str:
    """One line on a value that is stated as min, typ and max."""
    ids: dict[str, None] = {}
    for column in declared.columns():
        for each in uses(kind).get(column, {}).values():
            ids |= dict.fromkeys(each)
    used = f"; for {', '.join(list(ids)[:4])}{f' and {len(ids) - 4} more' if len(ids) > 4 else ''}" if ids else ""
    once = f"; all at once: {' / '.join(declared.bounds)}" if len(declared.bounds) > 1 else ""
    return f"{declared.symbol}, {declared.meaning}, {_span(declared)}{used}{once}"


def _column_label(name: str, declared: Axis | Table) -> str:
    if isinstance(declared, Axis) and declared.choices:
        return f"{name} ({' or '.join(declared.choices)})"
    unit = f" [{declared.unit}]" if declared.unit else ""
    optional = isinstance(declared, Table) or not declared.required
    return f"{name}{unit}{' or -' if optional else ''}"


def table_question(kind: str, table: Table) -> list[str]:
    """What a table is, and how a row of it is written."""
    used = _for_what(kind, table.name)
    declared = point_columns(table)
    if len(table.bounds) == 1:
        head = [_column_label(name, each) for name, each in declared.items() if name != table.bounds[0]]
        head.append(f"{table.bounds[0]} [{table.unit}]" if table.unit else table.bounds[0])
    else:
        head = [_column_label(name, each) for name, each in declared.items()]
    return [
        f"{table.symbol}, {table.meaning}, {_span(table)}{f'; {used}' if used else ''}",
        f"A row per line, or pasted from a sheet: {'; '.join(head)}",
        f"such as: {_EXAMPLES.get(table.name) or '; '.join(_example(each) for each in declared.values())}",
    ]


_EXAMPLES = {"theta_ja": "6 cm²; single-layer; 50 K/W"}
"""Rows whose columns suit each other, where the middles of what is allowed would not."""


def _example(declared: Axis | Table) -> str:
    if isinstance(declared, Axis) and declared.choices:
        return declared.choices[0]
    if declared.unit == "°C":
        return "25 °C"
    low = declared.low or declared.high * 1e-3
    return show((low * declared.high) ** 0.5, declared.unit, 1)


def explain(kind: str, name: str, known: Sequence[Part]) -> list[str]:
    """Everything about a value or table."""
    tables = {table.name: table for table in KINDS[kind].tables}
    declared = tables.get(name) or columns(kind)[name]
    lines = [f"{name}: {declared.meaning}{f' ({declared.symbol})' if declared.symbol else ''}."]
    if isinstance(declared, Table) or not declared.is_text:
        lines.append(f"It lies between {_span(declared).replace(' to ', ' and ')}; write it as {_written(declared)}.")
    found = uses(kind).get(name, {})
    lines += [f"Used in a {role} for {', '.join(ids)}." for role, ids in found.items()]
    if not found:
        lines.append("No requirement uses it; it is kept for reference.")
    values = _known_values(name, known)
    if len(values) >= 3:
        least, most = show(values[0], declared.unit, 3), show(values[-1], declared.unit, 3)
        lines.append(f"In the catalog: {least} to {most}, median {show(median(values), declared.unit, 3)}.")
    return lines


def _written(declared: Parameter | Table) -> str:
    unit = UNITS[declared.unit]
    return f"{unit.example}, or a bare number in {unit.symbol}" if unit.bare and unit.symbol else unit.example


def _known_values(name: str, known: Sequence[Part]) -> list[float]:
    found = [part.number(name) for part in known]
    for part in known:
        points = part.table(name).columns
        found += points.get("max", ()) or points.get("typ", ())
    return sorted(value for value in found if value == value)
