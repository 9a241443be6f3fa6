"""`catalog find` against a pandas filter of the same parts, and its words and forms."""

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from partcheck.catalog import Catalog, open_catalog
from partcheck.errors import UsageError
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.parts.packages import canonical
from partcheck.parts.search import Query
from partcheck.units import parse, show
from tests.command import run, sample_parts

PARTS = sample_parts()


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("find") / "catalog.sqlite"
    with open_catalog(made, create=True) as catalog:
        catalog.add(PARTS, "Jo", "2024-05-31")
    return made


@pytest.fixture(scope="module")
def catalog(path: Path) -> Iterator[Catalog]:
    with open_catalog(path) as opened:
        yield opened


def frame(kind: str) -> pd.DataFrame:
    """The parts of a kind, a column per single value."""
    rows = [{"part_number": p.part_number, "maker": p.maker, **p.values} for p in PARTS if p.kind == kind]
    return pd.DataFrame(rows, columns=list(KINDS[kind].columns()))


def points(kind: str, table: str) -> pd.DataFrame:
    """The stated points of all parts of a kind, a row each; a condition that is a word as its place in the choices."""
    rows = [
        {"part_number": p.part_number, **vars(row)} for p in PARTS if p.kind == kind for row in p.table(table).rows()
    ]
    return pd.DataFrame(rows)


def numbers(catalog: Catalog, *args: Any, **how: Any) -> list[str]:
    return [part.values["part_number"] for part in catalog.search(Query(*args, **how)).parts]


SINGLE = [
    (kind.name, column, parameter.unit)
    for kind in KINDS.values()
    for column, parameter in kind.columns().items()
    if not parameter.is_text and frame(kind.name)[column].notna().any()
]


@pytest.mark.parametrize("sign", ["<=", ">=", "<", ">", "="])
@pytest.mark.parametrize(("kind", "column", "unit"), SINGLE)
def test_a_condition_on_a_single_value_finds_what_pandas_finds(
    catalog: Catalog, kind: str, column: str, unit: str, sign: str
) -> None:
    """At the middle stated value itself, where <= and < differ."""
    values = frame(kind)
    middle = values[column].dropna().sort_values().iloc[values[column].notna().sum() // 2]
    number = round(float(middle) - 273.15, 9) if unit == "°C" else float(middle)
    middle, text = parse(f"{number!r} {unit}", unit), f"{number!r} {unit}"
    wanted = {
        "<=": values[column] <= middle, ">=": values[column] >= middle, "<": values[column] < middle,
        ">": values[column] > middle, "=": (values[column] - middle).abs() <= abs(middle) * 1e-9,
    }[sign]  # fmt: skip
    assert numbers(catalog, kind, where=[f"{column} {sign} {text}"]) == list(values[wanted].part_number)


@given(
    low=st.floats(10, 150),
    width=st.floats(0, 100),
    gate=st.sampled_from([2.5, 4.5, 6.0, 10.0]),
    most=st.floats(1e-3, 1),
)
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_ranges_and_rows_find_what_pandas_finds(
    catalog: Catalog, low: float, width: float, gate: float, most: float
) -> None:
    low, width = round(low, 2), round(width, 2)
    values, rows = frame("mosfet"), points("mosfet", "rds_on")
    rated = values[(values.vds_max >= low) & (values.vds_max <= round(low + width, 2))].part_number
    on = rows[(rows["max"] <= most) & (rows.vgs <= gate)].part_number
    where = [f"vds_max = {low!r}..{round(low + width, 2)!r} V", f"rds_on.max <= {most!r} Ω at vgs <= {gate} V"]
    assert numbers(catalog, "mosfet", where=where) == [n for n in rated if n in set(on)]
    assert numbers(catalog, "mosfet", where=[" and ".join(reversed(where))]) == numbers(catalog, "mosfet", where=where)


def test_two_conditions_at_one_row_are_not_two_rows(catalog: Catalog) -> None:
    rows = points("bjt", "vce_sat")
    row = rows[(rows["max"] <= 0.25) & (rows.ic >= 0.5) & (rows.ib <= 0.05)].part_number
    wanted = [n for n in frame("bjt").part_number if n in set(row)]
    assert wanted
    text = "vce_sat.max <= 250 mV at ic >= 500 mA and ib <= 50 mA"
    assert numbers(catalog, "bjt", where=[text]) == wanted
    apart = ["vce_sat.max <= 250 mV", "vce_sat.ic >= 500 mA", "vce_sat.ib <= 50 mA"]
    assert set(numbers(catalog, "bjt", where=apart)) > set(wanted)


def test_a_row_whose_condition_is_a_word(catalog: Catalog) -> None:
    rows = points("mosfet", "id_max")
    case = next(axis for axis in KINDS["mosfet"].table("id_max").axes if axis.choices).choices.index("case")
    row = set(rows[(rows["max"] >= 20) & (rows.reference == case)].part_number)
    found = numbers(catalog, "mosfet", where=["id_max.max >= 20 A at reference = Case"])
    assert found == [n for n in frame("mosfet").part_number if n in row]
    assert found


def test_missing_values_satisfy_nothing_and_are_counted(catalog: Catalog) -> None:
    values = frame("mosfet")
    found = catalog.search(Query("mosfet", where=["eas >= 100 mJ", "vds_max >= 60 V"]))
    wanted = values[(values.eas >= 0.1) & (values.vds_max >= 60)]
    assert [p.values["part_number"] for p in found.parts] == list(wanted.part_number)
    assert found.unstated == int(((values.eas.isna()) & (values.vds_max >= 60)).sum())
    assert numbers(catalog, "mosfet", where=["eas missing"]) == list(values[values.eas.isna()].part_number)
    assert numbers(catalog, "mosfet", where=["eas stated"]) == list(values[values.eas.notna()].part_number)
    with_soa = set(points("mosfet", "soa").part_number)
    assert numbers(catalog, "mosfet", where=["soa missing"]) == [n for n in values.part_number if n not in with_soa]


def test_a_point_stated_only_at_other_conditions_counts_as_not_stated(catalog: Catalog) -> None:
    rows, values = points("mosfet", "rds_on"), frame("mosfet")
    found = catalog.search(Query("mosfet", where=["rds_on.max <= 1 µΩ at vgs <= 3 V"]))
    stated = set(rows[(rows.vgs <= 3) & rows["max"].notna()].part_number)
    assert (found.parts, found.unstated) == ([], len(values) - len(stated))


@pytest.mark.parametrize("package", ["dpak", "TO-252", "SOT-23", "to-236ab", "sma"])
def test_packages_by_any_published_name(catalog: Catalog, package: str) -> None:
    wanted = [p.part_number for p in PARTS if canonical(p.word("package")) == canonical(package)]
    assert wanted
    assert sorted(numbers(catalog, package=package)) == sorted(wanted)
    assert sorted(numbers(catalog, where=[f"package = {package}"])) == sorted(wanted)
    other = [p.part_number for p in PARTS if p.word("package") and p.part_number not in wanted]
    assert sorted(numbers(catalog, where=[f"package != {package}"])) == sorted(other)


def test_words_status_and_stock(catalog: Catalog) -> None:
    def has(part: Part, *words: str) -> bool:
        texts = [part.part_number, part.maker, *(part.word(c) for c in ("description", "notes", "datasheet"))]
        return all(any(word in text.casefold() for text in texts) for word in words)

    wanted = [p.part_number for p in PARTS if has(p, "talvik", "2.5")]
    assert wanted and sorted(numbers(catalog, text="2.5  TALVIK")) == sorted(wanted)
    out = [p.part_number for p in PARTS if p.word("status") in ("out-of-stock", "obsolete")]
    assert out and sorted(numbers(catalog, status=["out-of-stock", "obsolete"])) == sorted(out)
    assert sorted(numbers(catalog, on_hand=400)) == sorted(p.part_number for p in PARTS if p.number("quantity") >= 400)


def test_a_name_that_only_some_kinds_have_looks_only_there(catalog: Catalog) -> None:
    assert {p.kind for p in catalog.search(Query(where=["tj_max >= 100 °C"])).parts} == set(KINDS) - {"terminal"}
    assert {p.kind for p in catalog.search(Query(where=["vf.max <= 5 V"])).parts} == {"led", "diode"}


@pytest.mark.parametrize("falling", [False, True])
def test_sorted_with_what_is_not_stated_last(catalog: Catalog, falling: bool) -> None:
    values = frame("mosfet")
    wanted = values.sort_values("eas", ascending=not falling, kind="stable", na_position="last")
    assert numbers(catalog, "mosfet", sort=["-eas" if falling else "eas"]) == list(wanted.part_number)
    two = values.sort_values(["vds_max", "price"], ascending=[falling, True], kind="stable", na_position="last")
    assert numbers(catalog, "mosfet", sort=["vds_max" if falling else "-vds_max", "price"]) == list(two.part_number)


@pytest.mark.parametrize("kind", ["", "mosfet", "led"])
@pytest.mark.parametrize("sort", [(), ("price",), ("-part_number",), ("package", "-quantity")])
def test_pages_of_a_search_are_all_of_it_in_order(catalog: Catalog, kind: str, sort: tuple[str, ...]) -> None:
    whole = catalog.search(Query(kind, sort=sort))
    told = [part.values for part in whole.parts]
    paged = []
    for skip in range(0, len(told) + 7, 7):
        found = catalog.search(Query(kind, sort=sort, most=7, skip=skip))
        assert found.total == whole.total == len(told)
        paged += [part.values for part in found.parts]
    assert paged == told and len(told) > 14


def test_a_point_table_is_sorted_by_its_least_value(catalog: Catalog) -> None:
    least = points("mosfet", "rds_on").groupby("part_number")["max"].min().sort_values(kind="stable")
    found = catalog.search(Query("mosfet", sort=["rds_on.max"])).parts
    shown = [part.values["rds_on.max"] for part in found if part.values["rds_on.max"] is not None]
    assert shown == sorted(shown) == list(least.dropna())
    assert [part.values["rds_on.max"] for part in found[: len(shown)]] == shown
    assert len(found) == len(frame("mosfet"))


@pytest.mark.parametrize(
    ("kind", "where", "sentence"),
    [
        ("mosfet", "vds_max >= 1,5 V", "the condition on vds_max cannot be read: .*a comma is not a decimal point"),
        ("mosfet", "vds_max >= 60 A", "the condition on vds_max cannot be read: '60 A' is not a voltage"),
        ("mosfet", "vds_mx >= 60 V", "is not a value of a MOSFET; did you mean vds_max"),
        ("", "vds_mx >= 60 V", "no kind of part states 'vds_mx'; did you mean vds_max"),
        ("mosfet", "vgs_th <= 2 V", "is stated as vgs_th_min, vgs_th_typ, vgs_th_max; say which"),
        ("mosfet", "rds_on <= 30 mΩ", "names no value of the table rds_on; write rds_on.typ or rds_on.max"),
        ("mosfet", "rds_on.max <= 30 mΩ at vgd <= 4.5 V", "'vgd' is not a column of rds_on; did you mean vgs"),
        ("mosfet", "vds_max >= 60 V at vgs <= 4.5 V", "vds_max is a single value and has no rows"),
        ("mosfet", "large", "the condition 'large' cannot be read; write it as"),
        ("mosfet", "polarity >= N", "polarity is a word and cannot be compared with >="),
        ("mosfet", "polarity = M", "polarity is never 'M'"),
        ("", "vds_max >= 1 V and vceo >= 1 V", "no one kind of part has all that is asked for"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked_is_one_sentence(catalog: Catalog, kind: str, where: str, sentence: str) -> None:
    with pytest.raises(UsageError, match=sentence) as told:
        catalog.search(Query(kind, where=[where]))
    assert "\n" not in str(told.value)


def test_a_status_that_there_is_not(catalog: Catalog) -> None:
    with pytest.raises(UsageError, match="there is no status 'activ'; did you mean active"):
        catalog.search(Query(status=["activ"]))


def test_the_command_answers_as_text_json_and_csv(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = (
        "catalog",
        "find",
        "mosfet",
        "--where",
        "rds_on.max <= 50 mΩ at vgs <= 4.5 V",
        "--sort",
        "-vds_max",
        "--catalog",
        path,
    )
    text = run(monkeypatch, capsys, *words)
    assert text.code == 0 and all(len(line) <= 80 for line in text.out.splitlines())
    made = json.loads(run(monkeypatch, capsys, *words, "--json").out)
    rows = list(csv.DictReader(io.StringIO(run(monkeypatch, capsys, *words, "--csv").out)))
    assert [r["part_number"] for r in rows] == [p["part_number"] for p in made["parts"]]
    assert [float(r["rds_on.max [Ω]"]) for r in rows] == [p["values"]["rds_on.max"] for p in made["parts"]]
    lines = text.out.splitlines()
    assert lines[0] == f"{len(made['parts'])} parts satisfy all of it."
    head = next(i for i, line in enumerate(lines) if line.startswith("  part "))
    assert lines[head].split()[:4] == ["part", "maker", "rds_on.max", "vds_max"]
    shown = [line for line in lines[head + 1 :] if not line.startswith("   ")]
    for line, part in zip(shown, made["parts"], strict=False):
        assert line.split()[0] == part["part_number"]
        assert show(part["values"]["rds_on.max"], "Ω") in line
    both = run(monkeypatch, capsys, *words, "--json", "--csv")
    assert both.code == 2 and "give one of them" in both.err


def test_many_values_still_fit_80_columns(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown = [
        w for name in ("qg_typ", "qg_max", "eas", "ias", "tj_max", "rds_on.max", "notes") for w in ("--show", name)
    ]
    text = run(monkeypatch, capsys, "catalog", "find", "mosfet", *shown, "--catalog", path).out
    assert all(len(line) <= 80 for line in text.splitlines())
    assert "  tj_max\n" in text and "150 °C" in text and "notes: " in text
    made = json.loads(run(monkeypatch, capsys, "catalog", "find", "mosfet", *shown, "--json", "--catalog", path).out)
    assert made["parts"][0]["values"]["tj_max"] == 150.0 and made["units"]["tj_max"] == "°C"


def test_a_notebook_searches_the_same_way(path: Path) -> None:
    from partcheck import api

    with api.open_catalog(path) as opened:
        found = opened.search(api.Query("mosfet", where=["vds_max >= 100 V"]))
    assert {part.values["vds_max"] for part in found.parts} == {100.0, 150.0}


def test_only_the_columns_asked_for_are_read(catalog: Catalog) -> None:
    import sqlalchemy as sa

    said: list[str] = []
    sa.event.listen(catalog._engine, "before_cursor_execute", lambda c, cur, sql, *_: said.append(sql))
    catalog.search(Query("mosfet", where=["rds_on.max <= 30 mΩ"]))
    assert len([sql for sql in said if sql.lstrip().startswith("SELECT")]) == 2
    assert not any("qg_max" in sql or "mosfet_soa" in sql for sql in said)


def test_every_form_of_condition_on_every_database(anywhere: str) -> None:
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add(PARTS, "Jo", "2024-05-31")
        query = Query(
            "mosfet",
            where=["vds_max = 30..100 V and rds_on.max <= 60 mΩ at vgs <= 4.5 V and rds_on.typ stated", "package != SOT-23",
                   "polarity = n", "id_max.max >= 5 A at reference = case", "soa missing"],
            text="n-channel", status=["active"], on_hand=10, sort=["-vds_max", "rds_on.max"], show=["description"],
        )  # fmt: skip
        found = catalog.search(query)
        case = next(a for a in KINDS["mosfet"].table("id_max").axes if a.choices).choices.index("case")
        wanted = [
            part
            for part in PARTS
            if part.kind == "mosfet" and 30 <= part.number("vds_max") <= 100 and part.number("quantity") >= 10
            and any(row.max <= 0.06 and row.vgs <= 4.5 for row in part.table("rds_on").rows())
            and any(row.typ == row.typ for row in part.table("rds_on").rows())
            and canonical(part.word("package")) != "SOT-23" and part.word("polarity") == "N"
            and any(row.max >= 5 and row.reference == case for row in part.table("id_max").rows())
            and not len(part.table("soa")) and "n-channel" in part.word("description").casefold()
            and part.word("status") == "active"
        ]  # fmt: skip
        wanted.sort(key=lambda part: -part.number("vds_max"))
        assert len(wanted) > 1
        assert [p.values["part_number"] for p in found.parts] == [p.part_number for p in wanted]
        assert [p.values["description"] for p in found.parts] == [p.word("description") for p in wanted]
        assert [len(told) for told in catalog.entries("talq-60n80").values()] == [1]
