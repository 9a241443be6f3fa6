"""Filling a catalog from CSV, beside inserting the same rows by hand.

``python tests/bench/bench_filling.py [PARTS]`` writes invented MOSFETs (two points each) as CSV, imports them as the
command does, then inserts the very rows that this made into an empty catalog: with one ``executemany`` for each table,
and, a tenth of them, as ORM objects added one by one with a flush each. Prints CPU seconds, parts per second and MB.
Afterwards one hundred more parts are added to the full catalog and to an empty one.
"""

import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.bench.bench_import import part

AT_ONCE = 1000
TABLES = ("mosfet", "mosfet_rds_on", "history")
MEASURED = """
import resource
{code}
used = resource.getrusage(resource.RUSAGE_SELF)
print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)
"""
IMPORT = """
import sys
sys.argv = ["partcheck", "catalog", "import", {source!r}, "--catalog", {catalog!r}]
from partcheck.__main__ import main
try:
    main()
except SystemExit:
    pass
"""
BARE = """
import sqlite3
old, new = sqlite3.connect({full!r}), sqlite3.connect({catalog!r})
for table in {tables!r}:
    read = old.execute(f"SELECT * FROM {{table}}")
    marks = ", ".join("?" * len(read.description))
    while rows := read.fetchmany(20000):
        new.executemany(f"INSERT INTO {{table}} VALUES ({{marks}})", rows)
new.commit()
"""
ORM = """
import sqlalchemy as sa
from sqlalchemy.orm import Session, registry
from partcheck.catalog.tables import HISTORY, POINTS, WIDE
mapped, kinds = registry(), {{}}
for table in (WIDE["mosfet"], POINTS["mosfet", "rds_on"], HISTORY):
    kinds[table.name] = type(table.name, (), {{}})
    mapped.map_imperatively(kinds[table.name], table)
old, engine = sa.create_engine("sqlite:///" + {full!r}), sa.create_engine("sqlite:///" + {catalog!r})
with old.connect() as read, Session(engine) as session:
    for name, keyed in (("mosfet", "id"), ("mosfet_rds_on", "part_id"), ("history", "id")):
        table = sa.inspect(kinds[name]).local_table
        for row in read.execute(sa.select(table).where(table.c[keyed] <= {limit})).mappings():
            made = kinds[name]()
            for key, value in row.items():
                setattr(made, key, value)
            session.add(made)
            session.flush()
        session.expunge_all()
    session.commit()
"""


def folder(place: Path, first: int, count: int) -> Path:
    """A folder of CSV with so many parts: a thousand are written, and repeated under other numbers."""
    from partcheck.parts.layout import sheets_of
    from partcheck.parts.writing import write_folder

    place.mkdir()
    write_folder(place / "once", sheets_of([part(i) for i in range(min(count, AT_ONCE))]))
    for path in (place / "once").iterdir():
        head, *lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        with (place / path.name).open("w", encoding="utf-8") as file:
            file.write(head)
            for number in range(first, first + count, AT_ONCE):
                file.writelines(line.replace("TALQ-", f"TALQ-{number}-", 1) for line in lines)
    shutil.rmtree(place / "once")
    return place


def told(what: str, count: int, code: str) -> float:
    """One line of the table: parts per second."""
    ran = subprocess.run([sys.executable, "-c", MEASURED.format(code=code)], capture_output=True, text=True, check=True)
    seconds, memory = map(float, ran.stdout.split("\n")[-2].split())
    print(f"{what:<34}{seconds:8.2f} s {count / seconds:9.0f} parts/s {memory:6.0f} MB", flush=True)
    return count / seconds


def empty(path: Path) -> str:
    """A catalog without parts."""
    from partcheck.catalog import open_catalog

    with open_catalog(path, create=True):
        pass
    return str(path)


def main() -> None:
    """Print the figures."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        source, full = folder(place / "csv", 0, count), str(place / "full.sqlite")
        filled = told(f"import of {count} parts", count, IMPORT.format(source=str(source), catalog=full))
        shutil.rmtree(source)
        with sqlite3.connect(full) as connection:
            assert connection.execute("SELECT count(*) FROM mosfet").fetchone()[0] == count
        bare = BARE.format(full=full, catalog=empty(place / "bare.sqlite"), tables=TABLES)
        by_hand = told("bare executemany of the same rows", count, bare)
        (place / "bare.sqlite").unlink()
        orm = ORM.format(full=full, catalog=empty(place / "orm.sqlite"), limit=count // 10)
        rows = told("ORM, row by row", count // 10, orm)
        print(f"{filled / rows:.1f} times the ORM; bare executemany is {by_hand / filled:.1f} times as fast")
        few = folder(place / "few", count, 100)
        told("100 more into that catalog", 100, IMPORT.format(source=str(few), catalog=full))
        told("100 into an empty one", 100, IMPORT.format(source=str(few), catalog=empty(place / "new.sqlite")))


if __name__ == "__main__":
    main()
