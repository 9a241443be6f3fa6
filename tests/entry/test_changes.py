"""One command is one change: it is told whole, taken back whole, and nobody's work is overwritten."""

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partcheck.catalog import Catalog, open_catalog, upgrade
from partcheck.catalog.place import find_place
from partcheck.errors import CatalogError, ChangedMeanwhile, UsageError
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.checks import build
from partcheck.parts.documents import to_record
from partcheck.parts.part import Provenance
from partcheck.shipped import folder
from tests.parts.test_round_trip import parts

DAYS = [f"2024-06-{day:02d}T08:00:00+00:00" for day in range(1, 20)]


def mosfet(number: str = "M1", maker: str = "Acme", **values: Any) -> Part:
    record = {"part_number": number, "maker": maker, "vds_max": "60 V"} | values
    return build("mosfet", record, {"rds_on": [{"vgs": "10 V", "max": "28 mΩ"}]}, {"*": Provenance(document="DS-1")})


@pytest.fixture
def catalog(anywhere: str) -> Iterator[Catalog]:
    """In a file, and again on a server."""
    with open_catalog(anywhere, create=True) as opened:
        yield opened


def everything(catalog: Catalog) -> list[dict[str, Any]]:
    """All parts, in order of entry."""
    return [to_record(part) for kind in KINDS for part in catalog.parts(kind)]


def undo(catalog: Catalog, when: str = DAYS[-1]) -> None:
    last = catalog.last_change()
    assert last is not None
    catalog.take_back(last.id, "Kim", when)


def test_the_history_tells_every_command_newest_first(catalog: Catalog) -> None:
    catalog.add([mosfet()], "Jo", DAYS[0], note="mosfet.csv")
    catalog.change(mosfet(vds_max="55 V"), catalog.part("M1"), "Sam", DAYS[1])
    undo(catalog, DAYS[2])
    (identity,) = (told := catalog.entries("m1"))
    assert identity == ("mosfet", "M1", "Acme")
    lines = [(e.what, e.column, e.former, e.new, e.who, e.when, e.note) for e in told[identity]]
    assert lines == [
        ("undo", "vds_max", "55.0", "60.0", "Kim", DAYS[2], f"edit of {DAYS[1]}"),
        ("edit", "vds_max", "60.0", "55.0", "Sam", DAYS[1], ""),
        ("import", "part", None, '"M1"', "Jo", DAYS[0], "mosfet.csv"),
    ]


def test_a_part_taken_out_by_an_undo_keeps_its_history_with_all_it_stated(catalog: Catalog) -> None:
    catalog.add([mosfet()], "Jo", DAYS[0])
    undo(catalog)
    assert everything(catalog) == []
    (told,) = catalog.entries("M1").values()
    assert [e.what for e in told] == ["undo", "import"]
    assert '"vds_max": 60.0' in (told[0].former or "")
    with pytest.raises(UsageError, match="has no part M7"):
        catalog.entries("M7")


def test_each_undo_goes_one_command_further_back(catalog: Catalog) -> None:
    states = [everything(catalog)]
    for step in range(4):
        catalog.add([mosfet(f"M{step}"), mosfet("M0", vds_max=f"{50 + step} V")][:: 1 if step else 2], "Jo", DAYS[step])
        states.append(everything(catalog))
    for before in reversed(states[:-1]):
        undo(catalog)
        assert everything(catalog) == before
    assert catalog.last_change() is None


def test_after_an_undo_a_new_change_is_the_last_one(catalog: Catalog) -> None:
    catalog.add([mosfet()], "Jo", DAYS[0])
    catalog.add([mosfet("M2")], "Jo", DAYS[1])
    undo(catalog)
    catalog.add([mosfet("M3")], "Jo", DAYS[2])
    last = catalog.last_change()
    assert last is not None and [r.part_number for r in last.reverted] == ["M3"]
    undo(catalog)
    undo(catalog)
    assert everything(catalog) == []


def test_a_command_that_changes_nothing_is_no_change(catalog: Catalog) -> None:
    catalog.add([mosfet()], "Jo", DAYS[0])
    first = catalog.last_change()
    catalog.add([mosfet()], "Sam", DAYS[1])
    catalog.change(mosfet(), mosfet(), "Sam", DAYS[2])
    assert catalog.last_change() == first


def test_undo_takes_back_only_what_was_shown(catalog: Catalog) -> None:
    catalog.add([mosfet()], "Jo", DAYS[0])
    shown = catalog.last_change()
    assert shown is not None
    catalog.add([mosfet("M2")], "Sam", DAYS[1])
    with pytest.raises(CatalogError, match="changed by somebody else meanwhile; look again"):
        catalog.take_back(shown.id, "Jo", DAYS[2])
    assert len(everything(catalog)) == 2


def test_undo_stops_where_the_catalog_is_not_as_the_history_says(catalog: Catalog) -> None:
    catalog.add([mosfet()], "Jo", DAYS[0])
    catalog.add([mosfet(vds_max="55 V")], "Jo", DAYS[1])
    with catalog._engine.begin() as raw:
        raw.exec_driver_sql("UPDATE mosfet SET vds_max = 40")
    with pytest.raises(CatalogError, match="has another vds_max than its history says; nothing was taken back"):
        undo(catalog)


def test_two_programs_that_edit_one_part_at_once_lose_nothing(catalog: Catalog, anywhere: str) -> None:
    """Each reads the part, then saves over and over until it is told nothing: every value saved is in the history."""
    import threading

    catalog.add([mosfet()], "Jo", DAYS[0])
    saved: list[str] = []

    def work(name: str) -> None:
        with open_catalog(anywhere) as mine:
            for turn in range(10):
                while True:
                    now = mine.part("M1")
                    try:
                        mine.change(replace(now, values={**now.values, "notes": f"{name} {turn}"}), now, name, DAYS[1])
                    except ChangedMeanwhile:
                        continue
                    saved.append(f'"{name} {turn}"')
                    break

    people = [threading.Thread(target=work, args=(name,)) for name in ("Kim", "Sam")]
    for person in people:
        person.start()
    for person in people:
        person.join()
    told = [change for change in catalog.history("M1") if change.column == "notes"]
    assert sorted(change.new or "" for change in told) == sorted(saved)
    assert len(saved) == 20
    for before, after in pairwise(told):
        assert after.former == before.new


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalog]:
    with open_catalog(tmp_path_factory.mktemp("undo") / "catalog.sqlite", create=True) as opened:
        opened.add([mosfet(f"S{i}") for i in range(3)], "Jo", DAYS[0])
        yield opened


@given(first=st.lists(parts(), max_size=4), second=st.lists(parts(), max_size=2), edits=st.lists(parts(), max_size=3))
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_undoing_an_import_and_an_edit_leaves_the_identical_catalog(
    filled: Catalog, first: list[Part], second: list[Part], edits: list[Part]
) -> None:
    """Random parts, some of them stated again otherwise; numbers to the last digit."""
    before = exact(filled)
    done = 0
    for some in (first, second):
        unique = {(p.kind, p.part_number, p.maker.casefold()): p for p in some}
        outcome = filled.add(unique.values(), "Jo", DAYS[1])
        done += bool(outcome.added or outcome.changed)
    for edit, base in zip(edits, first, strict=False):
        if edit.kind == base.kind:
            now = filled.part(base.part_number, base.maker, base.kind)
            mine = replace(edit, part_number=now.part_number, maker=now.maker)
            filled.change(mine, now, "Sam", DAYS[2])
            done += to_record(mine) != to_record(now)
    for _ in range(done):
        undo(filled)
    assert exact(filled) == before


def exact(catalog: Catalog) -> list[Any]:
    def plain(value: Any) -> Any:
        return None if isinstance(value, float) and math.isnan(value) else value

    return [
        (
            part.kind, part.key, dict(part.values), dict(part.provenance),
            {n: {c: [plain(v) for v in vs] for c, vs in t.columns.items()} for n, t in part.tables.items()},
        )
        for kind in KINDS for part in catalog.parts(kind)
    ]  # fmt: skip


def test_a_catalog_from_before_keeps_its_history_and_can_go_back(anywhere: str) -> None:
    """Made by step 0001 alone, with a part and a former value; upgraded, then downgraded."""
    import sqlalchemy as sa

    place = find_place(anywhere)
    engine = sa.create_engine(place.url or f"sqlite:///{place.path}")
    config = Config()
    config.set_main_option("script_location", str(folder("db")).replace("%", "%%"))

    def go(step: str, way: Any) -> None:
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            way(config, step)

    go("0001", command.upgrade)
    with engine.begin() as connection:
        connection.exec_driver_sql("INSERT INTO mosfet (id, part_number, maker, vds_max) VALUES (7, 'M1', 'Acme', 55)")
        connection.exec_driver_sql(
            'INSERT INTO history (kind, part_id, "column", former, new, changed_by, changed_at) '
            "VALUES ('mosfet', 7, 'vds_max', '60.0', '55.0', 'Jo', '2024-05-31')"
        )
    assert upgrade(anywhere)
    with open_catalog(anywhere) as catalog:
        (told,) = catalog.entries("M1").values()
        assert [(e.column, e.former, e.new, e.who) for e in told] == [("vds_max", "60.0", "55.0", "Jo")]
        assert catalog.last_change() is None  # which command it was is not known
        catalog.add([mosfet("M2")], "Sam", DAYS[0])
    go("0001", command.downgrade)
    with engine.begin() as connection:
        rows = connection.exec_driver_sql('SELECT part_id, "column", former FROM history').all()
        assert [row for row in rows if row[1] != "part"] == [(7, "vds_max", "60.0")]
        assert connection.exec_driver_sql("SELECT count(*) FROM mosfet").scalar() == 2
    engine.dispose()
    assert upgrade(anywhere)
    with open_catalog(anywhere) as catalog:
        assert sorted(p.part_number for p in catalog.parts("mosfet")) == ["M1", "M2"]


def test_a_catalog_with_parts_taken_out_is_sound(catalog: Catalog) -> None:
    """Also where a part entered later gets the number of the row that another one had."""
    catalog.add([mosfet()], "Jo", DAYS[0])
    catalog.add([mosfet("M2")], "Jo", DAYS[1])
    catalog.change(mosfet("M2", vds_max="50 V"), catalog.part("M2"), "Jo", DAYS[2])
    undo(catalog)
    undo(catalog)
    catalog.add([mosfet("M3", vds_max="30 V")], "Jo", DAYS[3])
    catalog.change(mosfet("M3", vds_max="33 V"), catalog.part("M3"), "Jo", DAYS[4])
    assert catalog.verify().findings == []
    assert [e.what for e in next(iter(catalog.entries("M2").values()))] == ["undo", "undo", "edit", "import"]
    assert [c.column for c in catalog.history("M3")] == ["vds_max"]
