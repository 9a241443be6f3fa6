"""Parts found by a search, as a table of 80 columns or as CSV."""

import csv
import io
from collections.abc import Sequence
from typing import Any

from partcheck.parts.search import ALWAYS, Found, FoundPart
from partcheck.report.lines import WIDTH, columns, wrap
from partcheck.report.ranking import cell
from partcheck.units import json_unit, show, to_json

_FURTHER = ("price", "on hand", "package", "status")


def _text(value: Any, unit: str = "") -> str:
    if value is None:
        return "-"
    return value if isinstance(value, str) else show(value, unit)


def _further(part: FoundPart) -> tuple[str, ...]:
    values = part.values
    price = " ".join(filter(None, (_text(values["price"]), values["currency"] if values["price"] is not None else "")))
    on_hand = "-" if values["quantity"] is None else f"{values['quantity']:.0f}"
    return price, on_hand, _text(values["package"]), _text(values["status"])


def _width(rows: Sequence[Sequence[str]]) -> int:
    return sum(max(map(len, column)) for column in zip(*rows, strict=True)) + 2 * (len(rows[0]) - 1)


def text(found: Found) -> str:
    """One line per part: the values asked for, then price, stock, package and status as far as they fit."""
    if not found.parts:
        return "\n".join(["no part satisfies all of it", *_left_open(found)])
    kinds = len({part.kind for part in found.parts}) > 1
    head = [*(["kind"] if kinds else []), "part", "maker", *found.shown]
    rows = [
        [
            *([part.kind] if kinds else []),
            str(part.values["part_number"]),
            str(part.values["maker"]),
            *(_text(part.values.get(name), unit) for name, unit in found.shown.items()),
        ]
        for part in found.parts
    ]
    table = [head, *rows]
    further = [_FURTHER, *map(_further, found.parts)]
    for i in range(len(_FURTHER)):
        wider = [[*row, more[i]] for row, more in zip(table, further, strict=True)]
        if _width(wider) <= WIDTH:
            table = wider
    right = [i for i, name in enumerate(table[0]) if name in ("price", "on hand")]
    count = "1 part" if len(found.parts) == 1 else f"{len(found.parts)} parts"
    return "\n".join([*_aligned(table, right), count, *_left_open(found), *_currencies(found)])


def _aligned(table: list[list[str]], right: Sequence[int]) -> list[str]:
    if _width(table) <= WIDTH:
        return columns(table, right=right, indent=0)
    made = []
    for row in table[1:]:  # too many values for one line: a paragraph each
        named = [f"{name} {value}" for name, value in zip(table[0][2:], row[2:], strict=True)]
        made += wrap(f"{row[0]} {row[1]}: {', '.join(named)}", "", "  ")
    return made


def _left_open(found: Found) -> list[str]:
    if not found.unstated:
        return []
    return wrap(f"{found.unstated} more may do, but do not state a value that is asked for", "", "  ")


def _currencies(found: Found) -> list[str]:
    used = sorted({str(p.values["currency"] or "no currency") for p in found.parts if p.values["price"] is not None})
    by_price = any(name.removeprefix("-") == "price" for name in found.query.sort)
    return wrap(f"prices are in {' and '.join(used)}, and were compared as they stand") if by_price and used[1:] else []


def table(found: Found) -> str:
    """CSV with a header, SI numbers and their unit, temperatures in °C."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    units = [f"{name} [{json_unit(unit)}]" if unit else name for name, unit in found.shown.items()]
    writer.writerow(["kind", *ALWAYS, *units])
    for part in found.parts:
        asked = [_plain(part.values.get(name), unit) for name, unit in found.shown.items()]
        writer.writerow([cell(value) for value in (part.kind, *(part.values[name] for name in ALWAYS), *asked)])
    return out.getvalue().rstrip("\n")


def _plain(value: Any, unit: str) -> float | str | None:
    return to_json(value, unit) if isinstance(value, float) else value
