"""Parts found by a search as CSV, for a spreadsheet."""

import csv
import io
from typing import Any

from partcheck.parts.search import ALWAYS, Found
from partcheck.report.render.csv import cell
from partcheck.units import json_unit, to_json


def text(found: Found) -> str:
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
