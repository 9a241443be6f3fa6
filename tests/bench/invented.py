"""A large catalog of invented parts, made quickly: each is a part of the samples with its numbers spread."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from partcheck.catalog import open_catalog
from partcheck.catalog.rows import point_rows, wide_row
from partcheck.parameters import KINDS
from partcheck.parts import Part, read_parts

SAMPLES = Path(__file__).parents[2] / "catalog_samples"
SHARES = {"mosfet": 0.4, "led": 0.4, "bjt": 0.05, "diode": 0.05, "regulator": 0.05, "terminal": 0.05}
AT_ONCE = 20_000


def fill(target: Path, count: int, seed: int = 1) -> None:
    """Write a catalog with so many parts, 40 % of them MOSFETs and 40 % LEDs."""
    with open_catalog(target, create=True):
        pass
    samples = read_parts(SAMPLES / "parts") if (SAMPLES / "parts").is_dir() else read_parts(SAMPLES)
    random = np.random.default_rng(seed)
    connection = sqlite3.connect(target)
    connection.execute("PRAGMA synchronous = OFF")
    for kind, share in SHARES.items():
        bases = [part for part in samples if part.kind == kind]
        begun = 0
        total = int(count * share)
        while begun < total:
            some = min(AT_ONCE, total - begun)
            for table, rows in _rows(kind, bases, begun, some, random):
                marks = ", ".join("?" * len(rows[0]))
                connection.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
            begun += some
    connection.execute("INSERT INTO changes (what, changed_by, changed_at) VALUES ('import', 'bench', '2026-01-01')")
    connection.commit()
    connection.execute("ANALYZE")
    connection.close()


def _rows(kind: str, bases: list[Part], begun: int, some: int, random: Any) -> Iterator[tuple[str, list[Any]]]:
    declared = KINDS[kind].columns()
    numbers = [n for n, p in declared.items() if not p.is_text and p.unit not in ("°C", "")]
    wide = [list(wide_row(part).values()) for part in bases]
    places = {name: i for i, name in enumerate(declared)}
    factors = np.exp(random.normal(0, 0.25, (some, len(numbers) + len(KINDS[kind].tables)))).tolist()
    rows = []
    for i in range(some):
        row = [begun + i + 1, *wide[(begun + i) % len(wide)]]
        row[1 + places["part_number"]] = f"INV-{kind[0].upper()}{begun + i:07d}"
        for name, factor in zip(numbers, factors[i], strict=False):
            if (value := row[1 + places[name]]) is not None:
                row[1 + places[name]] = float(f"{value * factor:.4g}")
        rows.append(row)
    yield kind, rows
    for k, table in enumerate(KINDS[kind].tables):
        made: list[Any] = []
        base_rows = [[list(row.values())[1:] for row in point_rows(part, table, 0)] for part in bases]
        bounds = 1 + len(table.axes)
        for i in range(some):
            factor = factors[i][len(numbers) + k] if table.unit else 1.0
            for row in base_rows[(begun + i) % len(bases)]:
                values = [v if v is None else v * factor for v in row[bounds:]]
                made.append((begun + i + 1, *row[:bounds], *values))
        if made:
            yield f"{kind}_{table.name}", made
