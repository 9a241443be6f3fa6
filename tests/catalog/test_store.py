"""The catalog: what goes in comes out, what changes is kept, and the migrations make the declared tables."""

import re
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from partcheck.catalog import Catalog, open_catalog, opening
from partcheck.catalog.tables import POINTS, WIDE, Quantity, metadata
from partcheck.errors import CatalogError, PartsError, UsageError
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.checks import build
from partcheck.parts.documents import to_record
from partcheck.parts.part import Provenance
from partcheck.shipped import folder

WHEN = datetime(2024, 5, 31, 12, 0, tzinfo=UTC)


def mosfet(number: str = "M1", maker: str = "Acme", rows: Any = None, **values: Any) -> Part:
    record = {"part_number": number, "maker": maker, "vds_max": "60 V", "description": "low side"} | values
    points = rows or [{"vgs": "10 V", "max": "28 mΩ"}, {"vgs": "4.5 V", "max": "45 mΩ"}]
    theta = [{"copper_area": "1 cm²", "mounting": "single-layer", "max": 62}]
    return build("mosfet", record, {"rds_on": points, "theta_ja": theta}, {"*": Provenance(document="DS-1")})


def diode(number: str = "D1", maker: str = "Acme") -> Part:
    return build("diode", {"part_number": number, "maker": maker, "construction": "schottky"})


@pytest.fixture
def catalog(anywhere: str) -> Iterator[Catalog]:
    with open_catalog(anywhere, create=True) as opened:
        yield opened


@pytest.fixture
def raw(anywhere: str, catalog: Catalog) -> Iterator[sa.Engine]:
    """The database behind the catalog, for what no catalog would do."""
    server = "://" in anywhere
    engine = sa.create_engine(anywhere.replace("://", "+psycopg://") if server else f"sqlite:///{anywhere}")
    yield engine
    engine.dispose()


def do(engine: sa.Engine, *statements: str) -> None:
    with engine.begin() as connection:
        for statement in statements:
            connection.execute(sa.text(statement))


def test_parts_come_out_as_they_went_in(catalog: Catalog) -> None:
    parts = [mosfet(), mosfet("M2"), diode()]
    assert catalog.add(parts, "Jo", WHEN) == (3, 0, 0, 0)
    assert [to_record(p) for p in catalog.parts("mosfet")] == [to_record(p) for p in parts[:2]]
    assert [to_record(p) for p in catalog.parts("diode")] == [to_record(parts[2])]
    assert catalog.parts("led") == []
    assert catalog.parts("mosfet")[0].source("vds_max") == "DS-1"
    assert catalog.count() == dict.fromkeys(KINDS, 0) | {"mosfet": 2, "diode": 1}


def test_a_clause_on_the_wide_table_chooses_parts_and_their_points(
    catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = [{"vgs": "2.5 V", "max": "1 Ω"}]
    catalog.add([mosfet(), mosfet("M2", vds_max="100 V", rows=other), mosfet("M3", vds_max=None)], "Jo", WHEN)
    vds = catalog.table("mosfet").c.vds_max
    for few in (2000, 0):  # points by id, and by the clause again
        monkeypatch.setattr("partcheck.catalog.rows._FEW", few)
        (part,) = catalog.parts("mosfet", vds >= 80)
        assert (part.part_number, part.table("rds_on").columns["vgs"]) == ("M2", (2.5,))
        assert part.source("vds_max") == "DS-1"
    assert [p.part_number for p in catalog.parts("mosfet", vds.is_(None))] == ["M3"]


def test_taking_the_same_in_twice_changes_nothing(catalog: Catalog) -> None:
    catalog.add([mosfet(), diode()], "Jo", WHEN)
    assert catalog.add([mosfet(), diode()], "Sam", WHEN) == (0, 0, 2, 0)
    assert catalog.history("M1") == []


def test_a_changed_value_is_kept_in_the_history(catalog: Catalog) -> None:
    catalog.add([mosfet(), mosfet("M2")], "Jo", WHEN)
    changed = mosfet(vds_max="55 V", description=None, rows=[{"vgs": "10 V", "max": "30 mΩ"}], tj_max=150)
    changed = replace(changed, provenance={"*": Provenance(document="DS-2")})
    assert catalog.add([changed, mosfet("M2")], "Sam", WHEN) == (0, 1, 1, 1)
    assert to_record(catalog.part("M1")) == to_record(changed)
    assert to_record(catalog.part("M2")) == to_record(mosfet("M2"))
    told = {change.column: (change.former, change.new) for change in catalog.history("M1")}
    assert told == {
        "vds_max": ("60.0", "55.0"),
        "description": ('"low side"', None),
        "tj_max": (None, "150.0"),
        "rds_on": ('[{"vgs": 4.5, "max": 0.045}, {"vgs": 10.0, "max": 0.028}]', '[{"vgs": 10.0, "max": 0.03}]'),
        "provenance.*": ('{"document": "DS-1"}', '{"document": "DS-2"}'),
    }
    first = catalog.history("M1")[0]
    assert (first.who, first.when) == ("Sam", "2024-05-31T12:00:00+00:00")
    assert catalog.history("M2") == []


def test_a_maker_in_another_case_is_the_same_maker(catalog: Catalog) -> None:
    catalog.add([mosfet()], "Jo", WHEN)
    assert catalog.add([mosfet(maker="ACME")], "Jo", WHEN) == (0, 1, 0, 0)
    assert [part.maker for part in catalog.parts("mosfet")] == ["ACME"]
    assert [(c.column, c.former, c.new) for c in catalog.history("M1")] == [("maker", '"Acme"', '"ACME"')]


def test_all_parts_are_taken_in_or_none(catalog: Catalog) -> None:
    broken = replace(mosfet("M2"), values={"vds_max": "sixty"})
    with pytest.raises((CatalogError, sa.exc.StatementError)):
        catalog.add([diode(), mosfet(), broken], "Jo", WHEN)
    with pytest.raises(PartsError, match=r"M1 \(acme\) is given twice as a MOSFET"):
        catalog.add([diode(), mosfet(), mosfet(maker="acme")], "Jo", WHEN)
    assert sum(catalog.count().values()) == 0


def test_a_part_is_found_by_number_and_told_apart(catalog: Catalog) -> None:
    catalog.add([mosfet(), mosfet("m1"), mosfet("M7", "Acme"), mosfet("M7", "Other"), diode("M7")], "Jo", WHEN)
    assert catalog.part("m1").part_number == "m1"
    assert catalog.part("M7", "other").maker == "Other"
    assert catalog.part("m7", kind="diode").kind == "diode"
    with pytest.raises(UsageError, match=r"has more than one M7: M7 \(Acme\) as a MOSFET, .*; give maker or kind"):
        catalog.part("M7")
    with pytest.raises(UsageError, match=r"has no part M77; did you mean M7\?"):
        catalog.part("M77")
    with pytest.raises(UsageError, match=r"has no part M1 of Nobody; "):
        catalog.part("M1", "Nobody")
    with pytest.raises(UsageError, match=r"'mosfett' is not a kind of part; did you mean mosfet\?"):
        catalog.part("M1", kind="mosfett")


def test_find_looks_into_number_maker_and_description(catalog: Catalog) -> None:
    catalog.add([mosfet("AB1", description="100% tested"), mosfet("M2", "Xabc"), diode("D_9")], "Jo", WHEN)
    assert [p.part_number for p in catalog.find("ab")] == ["AB1", "M2"]
    assert [p.part_number for p in catalog.find("%")] == ["AB1"]
    assert [p.part_number for p in catalog.find("_")] == ["D_9"]
    assert catalog.find("nothing") == []


def test_a_word_that_the_declarations_do_not_know_is_one_sentence(catalog: Catalog, raw: sa.Engine) -> None:
    catalog.add([mosfet()], "Jo", WHEN)
    do(raw, "UPDATE mosfet_theta_ja SET mounting = 'upside-down'")
    with pytest.raises(CatalogError, match="says 'upside-down' in theta_ja; import that part again"):
        catalog.parts("mosfet")


def test_points_are_in_order_whatever_the_order_of_the_rows(catalog: Catalog, raw: sa.Engine) -> None:
    same = [{"vgs": "10 V", "id": "4 A", "max": 1}, {"vgs": "10 V", "max": 2}]
    catalog.add([mosfet(rows=same), mosfet("M2")], "Jo", WHEN)
    diode = build("diode", {"part_number": "D1", "maker": "Acme"}, {"vf": [{"i_f": 1, "max": 1}, {"i_f": 3, "max": 2}]})
    catalog.add([diode], "Jo", WHEN)
    do(
        raw,
        "UPDATE mosfet_rds_on SET id = CASE WHEN id IS NULL THEN 4 END WHERE part_id = 1",
        "UPDATE mosfet_rds_on SET vgs = 20 - vgs WHERE part_id = 2",
        "UPDATE diode_vf SET i_f = 4 - i_f",
    )
    first, second = (part.table("rds_on").columns for part in catalog.parts("mosfet"))
    assert (first["id"][0], first["max"]) == (4.0, (2.0, 1.0))
    assert (second["vgs"], second["max"]) == ((10.0, 15.5), (0.028, 0.045))
    assert catalog.part("D1").table("vf").columns["i_f"] == (1.0, 3.0)


# --- tables ----------------------------------------------------------------------------------------


def test_every_declared_value_has_its_column() -> None:
    for kind in KINDS.values():
        assert [c.name for c in WIDE[kind.name].columns] == ["id", *kind.columns()]
        for table in kind.tables:
            assert [c.name for c in POINTS[kind.name, table.name].columns] == ["part_id", "place", *table.columns()]


def test_a_migrated_database_is_the_declared_one(raw: sa.Engine) -> None:
    with raw.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_the_newest_migration_is_the_one_that_opening_expects() -> None:
    steps = sorted(path.name[:4] for path in (folder("db") / "versions").glob("[0-9]*.py"))
    assert steps[-1] == opening.HEAD
    for path in (folder("db") / "versions").glob("[0-9]*.py"):
        text = path.read_text(encoding="utf-8")
        assert re.search(rf'^revision = "{path.name[:4]}"$', text, re.MULTILINE)
        assert "partcheck" not in text  # a step is frozen; what it imports would go on changing


def test_a_quantity_stores_nan_as_null_and_divides_by_zero_to_null(raw: sa.Engine) -> None:
    table = sa.Table("t", sa.MetaData(), sa.Column("a", Quantity()), sa.Column("b", Quantity()))
    a, b = table.c.a, table.c.b
    with raw.begin() as connection:
        table.create(connection)
        connection.execute(table.insert(), [{"a": float("nan"), "b": 0.0}, {"a": 3, "b": 2.0}])
        query = sa.select(a, 1.0 / b, b / b, a / (b - b)).order_by(b)
        assert [tuple(row) for row in connection.execute(query)] == [(None, None, None, None), (3.0, 0.5, 1.0, None)]
        above = sa.select(sa.func.count()).where(a > 1e300)
        assert connection.execute(above).scalar_one() == 0  # NaN is not the largest number of all


def test_numbers_and_texts_come_back_to_the_last_bit(catalog: Catalog) -> None:
    """Doubles with no short decimal form, the limits of a range, a very long text, every sort of letter."""
    words = "ΩµÄß€ 例 🔩 'quoted' \\ % _ " + "long " * 40_000
    odd = mosfet(vds_max=1 / 3 + 40, notes=" ".join(words.split()), qg_typ=1.1e-9 / 3, quantity=0, price=0.1 + 0.2)
    catalog.add([odd, mosfet("Ä1", "Ωhm & Söhne")], "Jo", WHEN)
    assert to_record(catalog.part("M1")) == to_record(odd)
    assert catalog.part("M1").number("price") == 0.1 + 0.2
    assert catalog.part("M1").number("quantity") == 0.0
    assert catalog.part("Ä1", "ωHM & SÖHNE").maker == "Ωhm & Söhne"
    assert catalog.add([odd], "Jo", WHEN).same == 1


def test_only_a_to_z_have_two_cases_on_every_database(catalog: Catalog) -> None:
    catalog.add([mosfet("ab-1"), mosfet("ÄB-2"), mosfet("K9", description="Ölbad")], "Jo", WHEN)
    assert catalog.part("AB-1").part_number == "ab-1"
    assert catalog.part("Äb-2").part_number == "ÄB-2"
    for other in ("äb-2", "\u212a9"):  # a small letter with dots, and the sign of kelvin
        with pytest.raises(UsageError, match="has no part"):
            catalog.part(other)
    assert [p.part_number for p in catalog.find("ÖLBAD")] == ["K9"]
    assert catalog.find("ölbad") == []


def test_a_number_and_maker_stand_once_in_the_database_itself(catalog: Catalog, raw: sa.Engine) -> None:
    catalog.add([mosfet()], "Jo", WHEN)
    twice = "INSERT INTO mosfet (part_number, maker) VALUES ('M1', '{}')"
    with pytest.raises(sa.exc.IntegrityError):
        do(raw, twice.format("Acme"))
    do(raw, twice.format("Other"))


def test_times_are_kept_as_they_were_told(catalog: Catalog) -> None:
    """Whatever time zone a server keeps (the tests' keeps one of half hours)."""
    catalog.add([mosfet()], "Jo", WHEN)
    east = datetime(2024, 5, 31, 23, 30, 7, tzinfo=timezone(timedelta(hours=5, minutes=45)))
    catalog.add([mosfet(tj_max=150)], "Jo", east)
    catalog.add([mosfet(tj_max=160)], "Jo", "2024-06-01")
    assert [change.when for change in catalog.history("M1")] == ["2024-05-31T23:30:07+05:45", "2024-06-01"]


def test_parts_come_in_the_order_of_their_entry(catalog: Catalog) -> None:
    numbers = ["b", "A", "a", "B", "1", "-"]
    catalog.add([mosfet(number) for number in numbers], "Jo", WHEN)
    catalog.add([mosfet("A", tj_max=150), mosfet("0")], "Jo", WHEN)
    assert [part.part_number for part in catalog.parts("mosfet")] == [*numbers, "0"]


# --- cost ------------------------------------------------------------------------------------------


def test_150_parts_are_loaded_in_good_time(catalog: Catalog) -> None:
    rows = [{"vgs": v, "max": 0.5 / v} for v in (2.5, 4.5, 6.0, 10.0)]
    catalog.add([mosfet(f"M{i}", rows=rows) for i in range(150)], "Jo", WHEN)

    def once() -> float:
        start = time.process_time()
        assert len(catalog.parts("mosfet")) == 150
        return time.process_time() - start

    # reading from a server costs this process about twice as much
    assert min(once() for _ in range(3)) < (0.08 if "://" in catalog.where else 0.04)


def test_opening_a_catalog_does_not_load_the_migrations(anywhere: str, catalog: Catalog) -> None:
    look = f"open_catalog({anywhere!r}).close(); print('alembic' in sys.modules)"
    code = f"import sys; from partcheck.catalog import open_catalog; {look}"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_few_of_many_parts_are_spread_over_all_of_them(catalog: Catalog) -> None:
    catalog.add([mosfet(f"M{i:03d}") for i in range(90)], "Jo", WHEN)
    assert [p.part_number for p in catalog.some("mosfet", 9)] == [f"M{i:03d}" for i in range(0, 90, 10)]
    assert len(catalog.some("mosfet", 90)) == 90 and catalog.some("led", 9) == []


def test_numbers_to_suggest_begin_alike_where_there_are_too_many(catalog: Catalog) -> None:
    catalog.add([mosfet(f"M{i}") for i in range(30)] + [mosfet("BX1"), mosfet("bx2")], "Jo", WHEN)
    assert catalog.numbers_like(["mosfet"], "bX3", 3) == ["BX1", "bx2", "M0"]
    with pytest.raises(UsageError, match="did you mean BX1"):
        catalog.part("BX11")
