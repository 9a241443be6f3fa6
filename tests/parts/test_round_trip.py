"""A part survives being written: as a JSON record, and in the catalog."""

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partcheck.catalog import Catalog, open_catalog
from partcheck.parameters import KINDS, Axis, Kind, Parameter, Table
from partcheck.parts import Part, Provenance, point_table
from partcheck.parts.documents import from_record, to_record

TEXTS = (
    st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=12)
    .map(lambda text: " ".join(text.split()))
    .filter(bool)
)
SOURCES = st.builds(
    Provenance,
    **dict.fromkeys(("document", "revision", "page", "condition", "entered_by", "entered_on"), st.just("") | TEXTS),
    measured=st.none() | st.integers(1, 999),
)


def one(declared: Parameter | Axis | Table) -> st.SearchStrategy[Any]:
    if isinstance(declared, Parameter | Axis) and declared.choices:
        return st.sampled_from(declared.choices)
    if isinstance(declared, Parameter) and declared.text:
        return TEXTS
    return st.floats(declared.low, declared.high).map(lambda value: value + 0.0)


@st.composite
def bounded(draw: st.DrawFn, declared: Parameter | Table, names: tuple[str, ...]) -> dict[str, float]:
    """Some of min, typ and max, at least one, rising."""
    chosen = draw(st.lists(st.sampled_from(names), min_size=1, unique=True))
    values = sorted(draw(one(declared)) for _ in chosen)
    return dict(zip(sorted(chosen, key=names.index), values, strict=True))


@st.composite
def points(draw: st.DrawFn, table: Table) -> list[dict[str, Any]]:
    rows = {}
    for _ in range(draw(st.integers(1, 4))):
        axes = {a.name: draw(one(a)) for a in table.axes if a.required or draw(st.booleans())}
        rows[tuple(axes.items())] = axes | draw(bounded(table, table.bounds))
    return list(rows.values())


@st.composite
def parts(draw: st.DrawFn) -> Part:
    kind: Kind = draw(st.sampled_from(list(KINDS.values())))
    values: dict[str, Any] = {}
    for parameter in draw(st.lists(st.sampled_from(kind.parameters), unique=True, max_size=12)):
        if parameter.bounds:
            columns = tuple(parameter.columns())
            values |= draw(bounded(parameter, columns))
        elif parameter.name not in ("part_number", "maker"):
            values[parameter.name] = draw(one(parameter))
    chosen = draw(st.lists(st.sampled_from(kind.tables), unique=True, max_size=3))
    tables = {table.name: point_table(kind.name, table.name, draw(points(table))) for table in chosen}
    if "rds_on" in tables:
        values.pop("vgs_th_max", None)  # it would have to lie below a gate voltage
    names = [*kind.columns(), *(t.name for t in kind.tables), "*"]
    sources = draw(st.dictionaries(st.sampled_from(names), SOURCES, max_size=3))
    return Part(kind.name, draw(TEXTS), draw(TEXTS), values, tables, sources)


def facts(part: Part) -> tuple[Any, ...]:
    """Everything a part states, comparable: blanks as None."""
    tables = {
        name: {column: [None if math.isnan(v) else v for v in values] for column, values in table.columns.items()}
        for name, table in part.tables.items()
    }
    return part.kind, part.part_number, part.maker, dict(part.values), tables, dict(part.provenance)


@given(parts())
def test_a_part_is_the_same_after_json(part: Part) -> None:
    text = json.dumps(to_record(part), allow_nan=False)
    assert facts(from_record(json.loads(text), "x")) == facts(part)


@pytest.fixture(scope="module")
def catalog(tmp_path_factory: pytest.TempPathFactory) -> Any:
    path: Path = tmp_path_factory.mktemp("catalog") / "catalog.sqlite"
    with open_catalog(path, create=True) as opened:
        yield opened


@given(part=parts())
@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_part_is_the_same_after_the_catalog(catalog: Catalog, part: Part) -> None:
    before = sum(catalog.count().values())
    outcome = catalog.add([part], "Jo", "2024-05-31")
    assert sum(catalog.count().values()) == before + outcome.added
    table = catalog.table(part.kind)
    found = catalog.parts(part.kind, table.c.part_number == part.part_number)
    stored = next(p for p in found if p.maker == part.maker)
    assert facts(stored) == facts(part)
    assert catalog.add([part], "Jo", "2024-05-31") == (0, 0, 1, 0)
