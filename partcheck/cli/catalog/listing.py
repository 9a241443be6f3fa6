"""Parts of the catalog as text."""

import difflib
from collections.abc import Sequence

from partcheck.errors import UsageError
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.checks import IDENTITY
from partcheck.report.lines import columns, heading, labelled, wrap
from partcheck.units import show


def known_kind(name: str) -> str:
    """A kind by its name; ``UsageError`` with a suggestion where there is none."""
    if name in KINDS:
        return name
    close = difflib.get_close_matches(name.lower(), KINDS, 1, 0.4)
    hint = f"did you mean {close[0]}?" if close else f"kinds are {', '.join(KINDS)}"
    raise UsageError(f"there is no kind {name!r}; {hint}")


def part_list(parts: Sequence[Part]) -> str:
    """One line per part."""
    if not parts:
        return "no parts"
    rows = [["kind", "part", "maker", "package", "on hand", "status"]]
    for part in parts:
        quantity = part.number("quantity")
        on_hand = "-" if quantity != quantity else f"{quantity:.0f}"
        package, status = part.word("package") or "-", part.word("status") or "-"
        rows.append([part.kind, part.part_number, part.maker, package, on_hand, status])
    return "\n".join([*columns(rows, right=(4,), indent=0), f"{len(parts)} parts"])


def part_sheet(part: Part) -> str:
    """Every stated value of a part, with its source."""
    kind = KINDS[part.kind]
    lines = heading(f"{part.name}, {kind.title}")
    for column, declared in kind.columns().items():
        value = part.values.get(column)
        if value is None or column in IDENTITY:
            continue
        text = value if isinstance(value, str) else show(value, declared.unit)
        unsaid = (declared.is_text or column in ("price", "quantity")) and column not in part.provenance
        source = "" if unsaid else part.source(column)
        lines += labelled(column, f"{text}{f'   ({source})' if source else ''}", 2, 24)
    for table in kind.tables:
        points = part.table(table.name)
        if not len(points):
            continue
        lines += ["", *wrap(f"{table.name} ({table.meaning})", "  ", "    ")]
        rows = [list(table.columns())]
        for row in points.rows():
            cells = []
            for name in table.columns():
                value = getattr(row, name)
                axis = next((a for a in table.axes if a.name == name), None)
                if value != value:
                    cells.append("-")
                elif axis is not None and axis.choices:
                    cells.append(axis.choices[int(value)])
                else:
                    cells.append(show(value, axis.unit if axis is not None else table.unit))
            rows.append(cells)
        lines += columns(rows, indent=4)
        source = part.source(table.name)
        if source:
            lines += labelled("from", source, 4, 6)
    missing = [name for name in kind.columns() if part.values.get(name) is None and name not in IDENTITY]
    missing += [f"{table.name} (table)" for table in kind.tables if not len(part.table(table.name))]
    if missing:
        lines += ["", *labelled("not stated", ", ".join(missing), 2, 12)]
    return "\n".join(lines)
