"""Flat columns of many parts say what the parts' own tables say, also of a stretch of them, of some, and repeated."""

import math

import numpy as np
import pytest

from partcheck import points
from partcheck.points import DIFFERENCE, RATIO, PointTable
from partcheck.readings import columns  # noqa: F401  (it teaches the operations to read columns)
from partcheck.stock.columns import ColumnTable, Words

NAN = math.nan


def scattered_tables(count: int = 60) -> list[PointTable]:
    """Tables of nothing to five rows, with blanks and with rows at one and the same current."""
    random = np.random.default_rng(4)
    made = []
    for _ in range(count):
        rows = sorted(
            (
                float(random.choice([0.002, 0.005, 0.01, 0.02, 0.05])),
                *(float(v) if random.random() < 0.7 else NAN for v in random.uniform(1, 3, 3)),
            )
            for _ in range(random.integers(0, 6))
        )
        names = ("i_f", "min", "typ", "max")
        made.append(PointTable({name: tuple(row[i] for row in rows) for i, name in enumerate(names)} if rows else {}))
    return made


def curve_of(table: ColumnTable, place: int, y: str) -> list[tuple[float, float]]:
    xs, ys = table.curve("i_f", y)
    return [(x, y) for x, y in zip(xs[:, place].tolist(), ys[:, place].tolist(), strict=True) if x == x]


def own_curve(table: PointTable, y: str) -> list[tuple[float, float]]:
    return list(zip(*table.curve("i_f", y), strict=True))


def same_rows(table: ColumnTable, place: int, one: PointTable) -> bool:
    padded = table.column("max")[:, place]
    stated = np.array(one.columns.get("max", ()))
    return np.array_equal(padded[: len(stated)], stated, equal_nan=True) and bool(np.isnan(padded[len(stated) :]).all())


def test_columns_and_curves_are_those_of_each_part() -> None:
    tables = scattered_tables()
    laid, places = ColumnTable(tables), np.array([5, 0, 0, 59, 31])
    views = (
        (laid, tables),
        (laid.cut(7, 40), tables[7:40]),
        (laid.picked(places), [tables[i] for i in places]),
        (laid.tiled(3), tables * 3),
        (laid.tiled(3).cut(50, 130), (tables * 3)[50:130]),
        (laid.cut(7, 40).picked(places[:3]), [tables[7:40][i] for i in places[:3]]),
    )
    for made, expected in views:
        assert made.count == len(expected)
        for place, one in enumerate(expected):
            assert same_rows(made, place, one)
            for y in ("min", "typ", "max"):
                assert curve_of(made, place, y) == own_curve(one, y)


@pytest.mark.parametrize("bound", ["min", "max"])
@pytest.mark.parametrize("by", [DIFFERENCE, RATIO])
def test_a_bin_moves_the_curve_of_every_part_as_of_one(bound: str, by: str) -> None:
    tables = scattered_tables()
    moved = points.shifted(ColumnTable(tables), "i_f", bound, by)
    for place, table in enumerate(tables):
        expected = own_curve(points.shifted(table, "i_f", bound, by), bound)
        assert np.allclose(curve_of(moved, place, bound) or 0, expected or 0, rtol=1e-12)
        assert len(curve_of(moved, place, bound)) == len(expected)


def test_words_are_compared_in_one_spelling() -> None:
    words = Words(["dpak", "", "TO-252", "SO-8", None]).respelled(lambda word: word.upper().replace("DPAK", "TO-252"))
    assert [words.word(i) for i in range(5)] == ["TO-252", "", "TO-252", "SO-8", ""]
    assert [words.picked(np.array([3, 1])).word(i) for i in range(2)] == ["SO-8", ""]
