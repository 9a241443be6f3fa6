"""A swap says the same of many parts wherever they come from, in whatever order they stand, and cures as brute force."""

import sqlite3
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from partcheck.catalog import open_catalog
from partcheck.catalog.parquet import write_parquet
from partcheck.jobs.judge.place import tight
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.screen.cures import cure_by_resistor
from partcheck.jobs.screen.parts import facts_by_value, screen
from partcheck.jobs.screen.resistors import other_values
from partcheck.jobs.swap.swap import swap
from partcheck.parts import Part
from partcheck.readings.verdicts import columns_of, judge_columns, tiled
from partcheck.requirement import Verdict
from tests.command import BOARD, SAMPLES, sample_parts
from tests.draws import LONG
from tests.roles.test_every_requirement import scattered


@pytest.fixture(scope="module")
def many() -> list[Part]:
    """Parts of three kinds, the samples' with their values moved."""
    random = np.random.default_rng(8)
    made = []
    for kind, count in (("mosfet", 110), ("bjt", 60), ("led", 40)):
        bases = [part for part in sample_parts() if part.kind == kind]
        for i in range(count):
            moved = scattered(bases[i % len(bases)], random)
            values = {name: value for name, value in moved.values.items() if value is not None}
            made.append(Part(kind, f"{kind[0].upper()}{i:03d}", moved.maker, values, moved.tables))
    return made


def answer(setup: Setup, ref: str) -> Any:
    """Everything that is counted, ordered or missed."""
    found = swap(setup, ref, 5)
    return (
        [(c.part.part_number, c.verdict, str(c.resistor), c.judged.headroom) for c in found.candidates],
        found.counts,
        found.compared,
        found.why_not,
        [(miss.candidate.part.part_number, [f.id for f in miss.failing]) for miss in found.nearest],
    )


@pytest.fixture(scope="module")
def of_files(many: list[Part]) -> Callable[[str], Any]:
    """The answer where the parts come from files, asked once for all that is compared with it."""
    return cache(lambda ref: answer(open_setup(BOARD, [SAMPLES], given=many), ref))


@pytest.mark.parametrize("ref", ["Q1", "Q8"])
def test_files_and_catalogs_in_any_order_say_the_same(
    ref: str, many: list[Part], anywhere: str, tmp_path: Path, of_files: Callable[[str], Any]
) -> None:
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add(reversed(many), "test", "2026-01-01")
    kept = open_setup(BOARD, [SAMPLES], anywhere)
    both = open_setup(BOARD, [SAMPLES], anywhere, given=many[::3])  # what a file states counts once
    told = of_files(ref)
    assert told[2] > 60 and len(told[4]) == 3
    with open_catalog(anywhere) as catalog:
        assert write_parquet(catalog, tmp_path / "parts.parquet") == len(many)
    if LONG or anywhere.endswith(".sqlite"):  # what is written is the same of any catalog
        parquet = str(tmp_path / "parts.parquet")
        assert answer(open_setup(BOARD, [SAMPLES], parquet), ref) == told
        assert answer(open_setup(BOARD, [SAMPLES], parquet, given=many[::3]), ref) == told
    assert answer(kept, ref) == told
    assert answer(both, ref) == told


@pytest.mark.parametrize("ref", ["Q1", "Q6", "D11"])
def test_a_resistor_is_found_where_trying_every_value_finds_one(ref: str, many: list[Part]) -> None:
    setup = open_setup(BOARD, [SAMPLES], given=many)
    situation = setup.situation
    screened = screen(setup, situation, ref)
    role, wanted = screened.role, np.flatnonzero(screened.overall < Verdict.TIGHT)
    found = cure_by_resistor(situation, ref, screened, wanted)
    changes = list(other_values(situation.board, ref))
    columns = tiled(columns_of(role.kind, screened.known.parts(wanted.tolist())), len(changes))
    facts = facts_by_value(situation, ref, changes, len(wanted))
    judged = judge_columns(role, columns, facts, len(wanted) * len(changes), tight(situation))
    overall = judged.overall(role).reshape(len(changes), len(wanted))
    for place, verdicts in zip(wanted.tolist(), overall.T, strict=True):
        best = verdicts.max()
        if best <= screened.overall[place]:
            assert found.of(place) is None and found.verdict[place] == screened.overall[place]
            continue
        good = [change for change, verdict in zip(changes, verdicts, strict=True) if verdict == best]
        expected = max(good, key=lambda change: change.value) if role.name == "npn-sink" else good[0]
        assert found.of(place) == expected and found.verdict[place] == best


def test_a_part_changed_after_the_columns_were_read_is_judged_as_it_is_now(many: list[Part], tmp_path: Path) -> None:
    """What is shown is read and judged in full: a part that fails by now is not offered."""
    where = tmp_path / "parts.sqlite"
    copies = [replace(part, part_number=f"M9{i:02d}") for i, part in enumerate(sample_parts()) if part.kind == "mosfet"]
    many = [*many, *copies]
    with open_catalog(where, create=True) as catalog:
        catalog.add(many, "test", "2026-01-01")
    best = next(row[0] for row in answer(open_setup(BOARD, [SAMPLES], str(where)), "Q1")[0] if row[0][1:].isdigit())
    setup = open_setup(BOARD, [SAMPLES], str(where))
    known = setup.parts.known("mosfet")
    part = next(p for p in many if p.part_number == best)
    with open_catalog(where) as catalog:
        catalog.change(replace(part, values=dict(part.values) | {"vds_max": 5.0}), part, "Jo", "2026-01-02")
    setup.parts.known = lambda kind: known  # type: ignore[method-assign]
    assert best not in [row[0] for row in answer(setup, "Q1")[0]]


def test_a_part_taken_out_after_the_columns_were_read_is_told(many: list[Part], tmp_path: Path) -> None:
    where = tmp_path / "parts.sqlite"
    with open_catalog(where, create=True) as catalog:
        catalog.add(many, "test", "2026-01-01")
    setup = open_setup(BOARD, [SAMPLES], str(where))
    known = setup.parts.known("mosfet")
    with sqlite3.connect(where) as connection:
        connection.execute("DELETE FROM mosfet")
    with pytest.raises(Exception, match="was changed by somebody else meanwhile; ask again"):
        known.parts([known.count - 1])
