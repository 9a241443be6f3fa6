"""Many boards: which a change touches, what each place comes to, and that one part for all really serves all."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from partcheck.errors import UsageError
from partcheck.jobs.fleet.changes import read_changes
from partcheck.jobs.fleet.fleet import Fleet, Sources, board_files, fleet
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.swap.swap import swap
from partcheck.parts import read_parts
from partcheck.requirement import Verdict
from tests.command import SAMPLES, Ran, run


@pytest.fixture(scope="module")
def boards(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three boards of the sample scenario, one of them with another switch at Q1, and two files that are none."""
    folder = tmp_path_factory.mktemp("boards")
    text = (SAMPLES / "bottling-bench.toml").read_text(encoding="utf-8")
    (folder / "one.toml").write_text(text, encoding="utf-8")
    (folder / "deep").mkdir()
    (folder / "deep" / "two.toml").write_text(text, encoding="utf-8")
    (folder / "other.toml").write_text(text.replace('"TALQ-30N52"', '"MOBY-F60-70"'), encoding="utf-8")
    (folder / "policy.toml").write_text("[values]\n", encoding="utf-8")
    return folder


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    return lambda *words: run(monkeypatch, capsys, *words)


SOURCES = Sources((SAMPLES,))


@pytest.fixture(scope="module")
def gone(boards: Path) -> Fleet:
    return fleet(board_files([boards]), read_changes(["talq-30n52"], []), SOURCES)


def test_a_part_that_is_gone_is_found_on_every_board_that_has_it(boards: Path, gone: Fleet) -> None:
    assert [b.board.name for b in gone.boards] == ["two.toml", "one.toml", "other.toml"]
    assert {(p.board.name, p.ref) for p in gone.touched} == {("one.toml", "Q1"), ("two.toml", "Q1")}
    own = swap(open_setup(boards / "one.toml", [SAMPLES]), "Q1")
    for place in gone.touched:
        assert [s.part_number for s in place.stand_ins][:8] == [c.part.part_number for c in own.candidates]
        assert place.before is own.fitted.verdict and place.verdict is own.verdict and place.set_by == ""
    assert gone.verdict >= Verdict.TIGHT


def test_one_part_for_all_places_is_really_as_good_at_all_of_them(boards: Path, gone: Fleet) -> None:
    assert gone.for_all
    parts = {part.key: part for part in read_parts(SAMPLES)}
    for made in gone.for_all[:2]:
        for name in ("one.toml", "deep/two.toml"):
            setup = open_setup(boards / name, [SAMPLES])
            before = {j.ref: j.verdict for group in judge_board(setup.situation) for j in group}
            fitted = setup.situation.replaced("Q1", parts[made.maker, made.part_number])
            after = {j.ref: j.verdict for group in judge_board(fitted) for j in group}
            assert after["Q1"] >= made.verdict >= Verdict.TIGHT
            assert all(after[ref] >= min(before[ref], Verdict.TIGHT) for ref in before)


def test_a_corrected_value_is_judged_and_a_stand_in_sought_only_where_it_matters(boards: Path) -> None:
    harmless = fleet([boards / "one.toml"], read_changes([], ["TALQ-30N52.vds_max=35 V"]), SOURCES)
    (place,) = harmless.touched
    assert place.after is place.verdict is Verdict.MEETS and place.compared == 0 and not place.stand_ins
    worse = fleet([boards / "one.toml"], read_changes([], ["TALQ-30N52.vds_max=12 V"]), SOURCES)
    (place,) = worse.touched
    assert (place.before, place.after, place.set_by) == (Verdict.MEETS, Verdict.FAILS, "drain-voltage")
    assert place.stand_ins and place.verdict is place.stand_ins[0].verdict
    assert all(stand_in.part_number != "TALQ-30N52" for stand_in in place.stand_ins)


def test_a_part_that_is_gone_as_well_is_no_stand_in(boards: Path, gone: Fleet) -> None:
    first = gone.touched[0].stand_ins[0].part_number
    both = fleet([boards / "one.toml"], read_changes(["TALQ-30N52", first], []), SOURCES)
    assert all(s.part_number != first for place in both.touched for s in place.stand_ins)


def test_several_processes_say_the_same(boards: Path, gone: Fleet, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("partcheck.jobs.fleet.fleet.FEW", 1)
    files = [boards / "one.toml", boards / "other.toml"]
    several = fleet(files, gone.changes, SOURCES, processes=2)
    assert list(several.boards) == [b for b in gone.boards if b.board in files]


def test_a_board_that_cannot_be_read_does_not_stop_the_others(
    command: Callable[..., Ran], boards: Path, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.toml"
    broken.write_text('[role.Q1]\nrole = "nothing"\n', encoding="utf-8")
    asked = ("fleet", broken, boards / "other.toml", "--gone", "NO-SUCH", "--parts", SAMPLES)
    told = command(*asked)
    assert told.code == 2 and "The change touches none of 1 board." in told.out
    assert "1 board could not be looked at" in told.out
    assert "broken.toml" in "".join(told.out.split())  # a long path may be broken anywhere
    made: Any = json.loads(command(*asked, "--json").out)
    assert made["job"] == "fleet" and made["boards"] == 1 and made["unread"][0]["board"] == str(broken)


def test_the_table_and_the_record_say_what_the_text_says(command: Callable[..., Ran], boards: Path) -> None:
    asked = ("fleet", boards / "one.toml", "--gone", "TALQ-30N52", "--parts", SAMPLES)
    (row,) = csv.DictReader(io.StringIO(command(*asked, "--csv").out))
    made: Any = json.loads(command(*asked, "--json").out)
    best = made["touched"][0]["stand_ins"][0]
    assert row["reference"] == "Q1" and row["after"] == "gone" and row["verdict"] == made["verdict"]
    assert row["best_stand_in"] == best["part_number"] and float(row["headroom"]) == round(best["headroom"], 4)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ((), "no change was given; give --gone PART or --corrected PART.parameter=VALUE"),
        (("--corrected", "vds_max=12 V"), "cannot be read; write PART.parameter=VALUE"),
        (("--corrected", "TALQ-30N52.vds_mx=12 V"), "has no single value 'vds_mx'; did you mean vds_max?"),
        (("--corrected", "TALQ-30N52.vds_max=12 A"), "--corrected: vds_max of TALQ-30N52"),
        (("--gone", "TALQ-30N52", "--corrected", "TALQ-30N52.vds_max=12 V"), "TALQ-30N52 is named twice"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_sentence(
    command: Callable[..., Ran], boards: Path, options: tuple[str, ...], told: str
) -> None:
    ran = command("fleet", boards / "one.toml", *options, "--parts", SAMPLES)
    assert ran.code == 2 and told in ran.err and ran.out == ""


def test_a_folder_without_boards_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="holds no board file"):
        board_files([tmp_path])
    with pytest.raises(UsageError, match="is not there"):
        board_files([tmp_path / "none"])
