"""Every step of ``db/versions`` on a filled catalog, one by one, down and up again: no part changes."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from partcheck.catalog import open_catalog, opening, place, upgrade
from partcheck.catalog.accepted import DECIDED
from partcheck.catalog.migrate import migrate
from partcheck.catalog.opening import State, state_of
from partcheck.catalog.tables import HISTORY, POINTS, PROVENANCE, WIDE, metadata
from partcheck.errors import CatalogError
from partcheck.parameters import KINDS
from partcheck.parts import read_parts
from partcheck.parts.documents import to_document
from partcheck.shipped import folder
from tests.command import SAMPLES

VERSIONS = sorted(path.name[:4] for path in (folder("db") / "versions").glob("[0-9]*.py"))
OF_PARTS = [*WIDE.values(), *POINTS.values(), PROVENANCE, HISTORY]
Rows = dict[str, list[dict[str, object]]]


@pytest.fixture
def engine(anywhere: str) -> Iterator[sa.Engine]:
    """A catalog with the samples, one of them changed, and an accepted substitution."""
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add(read_parts(SAMPLES), "Jo", "2024-05-31")
        part = catalog.parts("mosfet")[4]
        catalog.change(replace(part, values={**part.values, "quantity": 4.0}), part, "Sam", "2024-06-01")
        catalog.accept(dict.fromkeys(DECIDED, "x"))
    made = opening.connect(place.find_place(anywhere), create=False)
    yield made
    made.dispose()


FORGOTTEN = {"change_id"}
"""What goes with a step down: which command changed a value. The value stays."""


def rows_of_parts(engine: sa.Engine) -> Rows:
    """What the database says of parts, by the columns that it has at its version."""
    there = sa.MetaData()
    there.reflect(engine)
    with engine.connect() as connection:
        return {
            table.name: [
                {name: value for name, value in row.items() if name not in FORGOTTEN}
                for row in connection.execute(
                    sa.select(there.tables[table.name]).order_by(
                        *(there.tables[table.name].c[c.name] for c in table.primary_key)
                    )
                ).mappings()
            ]
            for table in OF_PARTS
            if table.name in there.tables
        }


def values_of(rows: Rows) -> Rows:
    """The rows, and of the history what every version keeps: which value changed how, by whom and when."""
    kept = ("id", "kind", "part_id", "column", "former", "new", "changed_by", "changed_at")
    values = [{name: row[name] for name in kept} for row in rows["history"] if row["column"] != "part"]
    return rows | {"history": values}


def parts_alone(rows: Rows) -> Rows:
    return {name: some for name, some in rows.items() if name != "history"}


def same(one: Rows, other: Rows) -> bool:
    """Whether two versions say the same in the tables and columns that both have."""
    for name in one.keys() & other.keys():
        shared = one[name][0].keys() & other[name][0].keys() if one[name] and other[name] else set()
        if [{c: row[c] for c in shared} for row in one[name]] != [{c: row[c] for c in shared} for row in other[name]]:
            return False
    return True


def test_a_filled_catalog_goes_down_and_up_step_by_step(engine: sa.Engine, anywhere: str) -> None:
    with open_catalog(anywhere) as catalog:
        before = {kind: to_document(catalog.parts(kind)) for kind in KINDS}
    rows = values_of(rows_of_parts(engine))
    assert rows["mosfet"] and rows["mosfet_rds_on"] and rows["provenance"] and rows["history"]
    for version in [*reversed(VERSIONS[:-1]), *VERSIONS[1:]]:
        migrate(engine, "it", version)
        assert state_of(engine) is (State.CURRENT if version == VERSIONS[-1] else State.OLDER)
        assert same(values_of(rows_of_parts(engine)), rows), version
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
        if connection.dialect.name == "sqlite":
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
    assert parts_alone(rows_of_parts(engine)) == parts_alone(rows)
    with open_catalog(anywhere) as catalog:
        assert {kind: to_document(catalog.parts(kind)) for kind in KINDS} == before
        assert catalog.verify().findings == []
        assert catalog.add(read_parts(SAMPLES), "Jo", "2024-06-02") == (0, 1, 185, 0)


def test_an_old_catalog_is_brought_up_at_once(engine: sa.Engine, anywhere: str) -> None:
    rows = values_of(rows_of_parts(engine))
    migrate(engine, "it", VERSIONS[0])
    engine.dispose()
    with pytest.raises(CatalogError, match="update it with: partcheck catalog upgrade"):
        open_catalog(anywhere)
    assert upgrade(anywhere) is True
    assert upgrade(anywhere) is False
    assert parts_alone(rows_of_parts(engine)) == parts_alone(rows)
    assert values_of(rows_of_parts(engine))["history"] == rows["history"]


def test_there_is_more_than_one_version() -> None:
    assert len(VERSIONS) > 1
    assert [f"{number:04d}" for number in range(1, len(VERSIONS) + 1)] == VERSIONS
