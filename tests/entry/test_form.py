"""The form: scripted sessions, line by line, as a person types them."""

import builtins
import json
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings

from partcheck.catalog import open_catalog
from partcheck.cli.catalog.form import wording
from partcheck.jobs.entry import drafts
from partcheck.jobs.entry.known import as_known, known_words
from partcheck.parameters import KINDS
from partcheck.parameters.groups import GROUPS
from partcheck.parts import Part
from partcheck.parts.checks import columns
from partcheck.parts.documents import to_record
from partcheck.parts.entry import Entry, NotSo, RowReader
from partcheck.parts.part import Provenance
from tests.command import BOARD, SAMPLES, Ran, run
from tests.parts.test_round_trip import facts, parts

Line = str | Callable[[], Any]
Type = Callable[..., Ran]

# One MOSFET (invented), as its datasheet states it; a line per answer.
SESSION = """\
ACME-60N28
Acme
DS-77
B
2
DPAK
G-D-S
N
60 V
20 V
25 °C; case; 17 A
100 °C; case; 11 A

150
1 / 1.6 / 2.4 V
@3
vgs\tid\tmax [mΩ]
4.5\t5\t45
10\t10\t28

25 1
100 1.5
150 1.95

0; minimum; 110
6 cm2 ; single-layer ; 50

3
25 1uA
125 50uA

100nA

""".splitlines()
EXPECTED = {
    "kind": "mosfet", "part_number": "ACME-60N28", "maker": "Acme", "package": "DPAK", "pin_order": "G-D-S",
    "polarity": "N", "vds_max": 60.0, "vgs_max": 20.0, "vgs_th_min": 1.0, "vgs_th_typ": 1.6, "vgs_th_max": 2.4,
    "igss_max": 1e-7, "tj_max": 150.0, "theta_jc": 3.0,
    "rds_on": [{"vgs": 4.5, "id": 5.0, "max": 0.045}, {"vgs": 10.0, "id": 10.0, "max": 0.028}],
    "rds_on_factor": [{"tj": 25.0, "max": 1.0}, {"tj": 100.0, "max": 1.5}, {"tj": 150.0, "max": 1.95}],
    "id_max": [{"temperature": 25.0, "reference": "case", "max": 17.0}, {"temperature": 100.0, "reference": "case", "max": 11.0}],
    "idss": [{"tj": 25.0, "max": 1e-6}, {"tj": 125.0, "max": 5e-5}],
    "theta_ja": [{"copper_area": 0.0, "mounting": "minimum", "max": 110.0}, {"copper_area": 6e-4, "mounting": "single-layer", "max": 50.0}],
}  # fmt: skip


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalog without parts, which is quicker copied than made."""
    made = tmp_path_factory.mktemp("empty") / "catalog.sqlite"
    open_catalog(made, create=True).close()
    return made


@pytest.fixture
def place(tmp_path: Path, empty: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    made = tmp_path / "catalog.sqlite"
    shutil.copy(empty, made)
    monkeypatch.setenv("PARTCHECK_CATALOG", str(made))
    return made


@pytest.fixture
def typing(place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Type:
    """Run a command while somebody types; a function among the lines is called instead; then the input ends."""

    def session(words: Iterable[object], lines: Iterable[Line] = ()) -> Ran:
        waiting = list(lines)

        def answer(prompt: str = "") -> str:
            print(prompt, end="")
            while waiting and callable(waiting[0]):
                waiting.pop(0)()  # type: ignore[operator]
            if not waiting:
                raise EOFError
            line = waiting.pop(0)
            print(line)
            assert isinstance(line, str)
            return line

        monkeypatch.setattr(builtins, "input", answer)
        made = run(monkeypatch, capsys, "catalog", *words)
        assert not waiting, f"not asked for: {waiting}"
        return made

    return session


def known(place: Path, number: str) -> dict[str, Any]:
    with open_catalog(place) as catalog:
        return to_record(catalog.part(number))


def without_sources(record: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in record.items() if name != "provenance"}


def left(place: Path) -> list[Path]:
    return sorted(place.with_name(f"{place.name}.drafts").glob("*"))


# --- rows by their number, words of known parts ----------------------------------------------------


def test_a_row_of_a_table_is_changed_taken_out_and_put_in_by_its_number(typing: Type, place: Path) -> None:
    typing(["add", "mosfet"], [*SESSION, ""])
    rows = ["2 = 75 1.4", "3 = -", "2 + 50; 1.2", "9 = 1 1", "1 = 20 A 1.0", ""]
    done = typing(["edit", "ACME-60N28"], ["rds_on_factor", *rows, "", "y"])
    assert known(place, "ACME-60N28")["rds_on_factor"] == [
        {"tj": 25.0, "max": 1.0},
        {"tj": 50.0, "max": 1.2},
        {"tj": 75.0, "max": 1.4},
    ]
    for told in ("There is no row 9; rds_on_factor has rows 1 to 3.", "Row 3 is taken out.", "20 A"):
        assert told in done.out, done.out


def test_package_and_pin_order_are_completed_from_known_parts(typing: Type, place: Path) -> None:
    typing(["add", "mosfet"], [*SESSION, ""])
    done = typing(["add", "mosfet"], ["B-2", "Bcme", "DS-8", "", "", "dpak", "gds", "!", ""])
    assert "Known already: DPAK." in done.out and "Known already: G-D-S." in done.out
    made = known(place, "B-2")
    assert (made["package"], made["pin_order"]) == ("DPAK", "G-D-S")
    assert known_words("pin_order", [], "SOT-23") == [] and as_known("sot 23", ["SOT-23"]) == "SOT-23"


# --- adding ----------------------------------------------------------------------------------------


def test_a_mosfet_is_entered_from_its_datasheet(typing: Type, place: Path) -> None:
    done = typing(["add", "mosfet", "--by", "Kim"], [*SESSION, ""])
    assert done.code == 0 and done.err == ""
    assert f"ACME-60N28 (Acme) is in {place}" in done.out
    made = known(place, "ACME-60N28")
    assert without_sources(made) == EXPECTED
    assert left(place) == []
    assert all(len(line) <= 80 for line in done.out.splitlines() if str(place) not in line)


def test_every_value_knows_document_page_person_and_day(typing: Type, place: Path) -> None:
    typing(["add", "mosfet", "--by", "Kim"], [*SESSION, ""])
    with open_catalog(place) as catalog:
        part = catalog.part("ACME-60N28")
        (entry,) = catalog.entries("ACME-60N28").popitem()[1]
    assert part.source("vds_max").startswith("DS-77 rev. B, p. 2, entered Kim 20")
    assert part.source("package").startswith("DS-77 rev. B, p. 2")
    assert part.source("rds_on").startswith("DS-77 rev. B, p. 3, entered Kim")
    assert (entry.what, entry.who) == ("add", "Kim")


def test_a_condition_and_a_bench_measurement(typing: Type, place: Path) -> None:
    lines = ["M1", "Acme", "DS-1", "", "", "", "", "", "60 V @ Tj = 25 °C", "@n=5", "18 V", "!", ""]
    typing(["add", "mosfet", "--by", "Kim"], lines)
    with open_catalog(place) as catalog:
        part = catalog.part("M1")
    assert part.source("vds_max").startswith("DS-1, Tj = 25 °C, entered Kim")
    assert part.source("vgs_max").startswith("measured on the bench, n = 5, entered Kim")


def test_the_questions_tell_symbol_unit_size_and_what_it_is_for(typing: Type) -> None:
    out = " ".join(typing(["add", "mosfet"], [*SESSION, ""]).out.split())
    assert "V_DSS, drain-source rating, 5 V to 2 kV; for drain-voltage" in out
    assert "vds_max [V]: 60 V" in out
    assert "R_DS(on), on-resistance at 25 °C, 100 µΩ to 20 Ω; for fully-on" in out
    assert "Columns in this order: vgs, id, max." in out


def test_a_question_mark_explains_and_the_catalog_tells_what_is_usual(typing: Type, place: Path) -> None:
    typing(["import", SAMPLES])
    out = " ".join(typing(["add", "mosfet"], ["M1", "Acme", *[""] * 6, "?", "."]).out.split())
    assert "vds_max: drain-source rating (V_DSS)." in out
    assert "write it as 12 V, or a bare number in V" in out
    assert "Used in a mosfet-switch for drain-voltage," in out
    assert "In the catalog: 16 V to 150 V, median 60 V." in out


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("60 mV", "'60 mV' is outside 5 V..2 kV; did you mean 60 V?"),
        ("1,5 V", "a comma is not a decimal point; write 1.5 V."),
        ("28 Ω", "is not a voltage in V"),
        ("1 / 2 / 3 V", "is not a voltage in V"),
    ],
)
def test_what_cannot_stand_is_said_and_asked_again(typing: Type, place: Path, line: str, sentence: str) -> None:
    done = typing(["add", "mosfet"], ["M1", "Acme", *[""] * 6, line, "60 V", "!", ""])
    assert sentence in " ".join(done.out.split())
    assert known(place, "M1")["vds_max"] == 60.0


def test_values_that_contradict_each_other_are_said_at_once(typing: Type, place: Path) -> None:
    lines = [
        "M1",
        "Acme",
        *[""] * 6,
        "60 V",
        "4 V",
        "",
        "",
        "2 V",
        "1 V",
        "",
        "3 V",
        "4.5;-;-;0.05",
        "10;-;-;0.06",
        "<",
        "",
        "!",
        "",
    ]
    done = " ".join(typing(["add", "mosfet"], lines).out.split())
    assert "vgs_th_min: '2 V' is above vgs_th_typ, which is 1 V" in done
    assert "Is that right?" in done and "rds_on is stated at vgs 4.5 V, above the gate rating" in done
    assert known(place, "M1")["rds_on"] == [{"vgs": 4.5, "max": 0.05}]


def test_back_goes_to_the_question_before(typing: Type, place: Path) -> None:
    lines = ["M1", "Acme", *[""] * 6, "50 V", "<", "60 V", "20 V", "<", "<", "", "!", ""]
    done = typing(["add", "mosfet"], lines)
    assert "vds_max [V] (50 V): 60 V" in done.out
    assert (known(place, "M1")["vds_max"], known(place, "M1")["vgs_max"]) == (60.0, 20.0)


def test_a_dash_clears_what_was_said(typing: Type, place: Path) -> None:
    typing(["add", "mosfet"], ["M1", "Acme", *[""] * 6, "50 V", "<", "-", "!", ""])
    assert "vds_max" not in known(place, "M1")


def test_the_questions_stop_after_what_matters_most_unless_more_is_wanted(typing: Type, place: Path) -> None:
    short = typing(["add", "mosfet"], [*SESSION, ""])
    assert (
        "That is what matters most." in short.out
        and "qg_typ" not in short.out.split("That is what")[1].split("\n\n")[0]
    )
    number = len([1 for g in GROUPS["mosfet"] if not g.first for n in g.names])
    assert number > 15
    more = typing(["add", "mosfet"], ["ACME-2", *SESSION[1:-1], "y", "100 us; 60 A", "", "", "", "8 A", "!", ""])
    assert "Pulses and avalanche" in more.out
    assert known(place, "ACME-2")["ias"] == 8.0 and known(place, "ACME-2")["idm"] == [
        {"pulse_width": 1e-4, "max": 60.0}
    ]


def test_the_catalog_has_that_part_already(typing: Type, place: Path) -> None:
    typing(["add", "mosfet"], [*SESSION, ""])
    again = typing(["add", "mosfet"], ["ACME-60N28", "acme", "ACME-61", "", "", "", "", "!", ""])
    assert "The catalog has ACME-60N28 (acme) already" in " ".join(again.out.split())
    assert known(place, "ACME-61")["maker"] == "acme"


def test_the_end_tells_what_is_left_unproven_in_general_and_on_a_board(typing: Type) -> None:
    done = typing(["add", "mosfet", "--board", BOARD], [*SESSION, ""])
    out = " ".join(done.out.split())
    assert "Not stated, and so left unproven in a mosfet-switch that asks it:" in out
    assert "soa inrush" in out and "qgd_min fastest-edge" in out
    assert "On bottling-bench.toml at Q1" in out


def test_a_board_that_cannot_be_read_is_told_before_the_questions(typing: Type, tmp_path: Path) -> None:
    done = typing(["add", "mosfet", "--board", tmp_path / "none.toml"])
    assert done.code == 2 and "none.toml" in done.err and "part_number" not in done.out


def test_nothing_is_saved_without_number_and_maker(typing: Type, place: Path) -> None:
    done = typing(["add", "led"], ["!", "L1", "Acme", ""])
    assert "part_number is missing: it must be entered before the part can be saved" in " ".join(done.out.split())
    assert known(place, "L1") == {"kind": "led", "part_number": "L1", "maker": "Acme"}


def test_a_magnitude_may_be_typed_with_both_signs(typing: Type, place: Path) -> None:
    done = typing(["add", "mosfet"], ["M1", "Acme", "", "", "", "!", "vgs_max = ±20 V", "vds_max = ±60 V", ""])
    assert "'±60 V'" in done.out and done.code == 0
    assert known(place, "M1") == {"kind": "mosfet", "part_number": "M1", "maker": "Acme", "vgs_max": 20.0} | {
        "provenance": known(place, "M1")["provenance"]
    }


def test_number_and_maker_are_not_skipped(typing: Type, place: Path) -> None:
    done = typing(["add", "led"], ["", "-", "L1", "", "Acme", "", "", "", "<", "<", "", "!", ""])
    told = " ".join(done.out.split())
    assert "Part number and maker are needed; Enter alone skips whatever else" in told
    assert told.count("A part cannot be saved without part_number; enter it") == 2
    assert told.count("A part cannot be saved without maker; enter it") == 1
    assert known(place, "L1") == {"kind": "led", "part_number": "L1", "maker": "Acme"}


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_example_of_a_row_can_be_entered_as_it_stands(kind: str) -> None:
    for table in KINDS[kind].tables:
        example = wording.table_question(kind, table)[-1].removeprefix("such as: ")
        Entry(kind).put_rows(table.name, [RowReader(table).row(example)])
        if table.name == "theta_ja":
            assert example == "6 cm²; single-layer; 50 K/W"


def test_a_value_is_mended_at_the_end(typing: Type, place: Path) -> None:
    done = typing(["add", "mosfet"], [*SESSION, "vds_max", "55 V", "qg.max = 9 nC", "V_GSS", "16", "nonsense", ""])
    assert "no value 'nonsense' of a MOSFET" in done.out
    made = known(place, "ACME-60N28")
    assert (made["vds_max"], made["qg_max"], made["vgs_max"]) == (55.0, 9e-9, 16.0)


def test_doubts_are_counted_at_the_end(typing: Type, place: Path) -> None:
    typing(["import", SAMPLES])
    lines = ["M1", "Acme", *[""] * 6, "60 V", "!", "qg_max = 9 uC", ""]
    done = typing(["add", "mosfet"], lines)
    assert "looks like a slip of the unit" in " ".join(done.out.split())
    assert "1 doubtful, see: partcheck catalog review M1" in done.out


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_can_be_walked_through_and_explained(typing: Type, place: Path, kind: str) -> None:
    """Every question once with ? and then skipped; number and maker alone are entered."""
    names = [name for group in GROUPS[kind] for name in group.names]
    bounded = {p.name: list(p.columns()) for p in KINDS[kind].parameters}
    lines: list[Line] = []
    for group in GROUPS[kind]:
        for name in group.names:
            for column in bounded.get(name, [name]):
                lines += ["?", {"part_number": "X1", "maker": "Acme"}.get(column, "")]
            lines += ["", "", ""] if name == "maker" else []
        if group.first and not any(later.first for later in GROUPS[kind][GROUPS[kind].index(group) + 1 :]):
            lines.append("y")
    done = typing(["add", kind], [*lines, ""])
    assert done.code == 0 and known(place, "X1") == {"kind": kind, "part_number": "X1", "maker": "Acme"}
    lines_said = [line for line in done.out.splitlines() if str(place) not in line]
    assert all(len(line) <= 80 for line in lines_said), max(lines_said, key=len)
    assert len(names) == len(set(names))


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_each_value_stands_in_one_group(kind: str) -> None:
    names = [name for group in GROUPS[kind] for name in group.names]
    assert sorted(names) == sorted([p.name for p in KINDS[kind].parameters] + [t.name for t in KINDS[kind].tables])


# --- leaving and going on --------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 3, 9, 12, 17, 25])
def test_left_anywhere_and_resumed_the_part_is_the_same(typing: Type, place: Path, count: int) -> None:
    first = typing(["add", "mosfet", "--by", "Kim"], [*SESSION[:count], "."])
    assert first.code == 0
    assert "kept as a draft, and not in the catalog yet; continue with:\n  partcheck catalog add mosfet\n" in first.out
    assert len(left(place)) == 1
    rest = SESSION[count:]
    if count in (12, 17):  # within a table: it is asked again, rows kept; the header of a paste is typed again
        rest = (["vgs\tid\tmax [mΩ]"] if count == 17 else []) + rest
    if count == 3:  # within the source: asked again
        rest = ["DS-77", "B", "2", *SESSION[5:]]
    second = typing(["add", "mosfet", "--by", "Kim"], ["y", *rest, ""])
    assert "There is a draft of" in second.out
    assert without_sources(known(place, "ACME-60N28")) == EXPECTED
    assert left(place) == []


def test_nothing_entered_leaves_nothing(typing: Type, place: Path) -> None:
    assert "nothing was entered" in typing(["add", "led"]).out
    assert left(place) == []


def test_a_draft_of_somebody_else_is_offered_with_the_name_and_not_taken_unasked(typing: Type, place: Path) -> None:
    typing(["add", "mosfet", "--by", "Kim"], ["M1", "Acme", "", "", "", "TO-220", "."])
    passed = typing(["add", "mosfet", "--by", "Sam"], ["", "."]).out
    assert " by Kim: M1 (Acme), 3 values." in " ".join(passed.split()) and "[y/N, d deletes it]" in passed
    done = typing(["add", "mosfet", "--by", "Sam"], ["y", "!", "vds_max = 60 V", ""])
    assert done.code == 0 and left(place) == []
    with open_catalog(place) as catalog:
        sources = catalog.part("M1").provenance
    assert (sources["package"].entered_by, sources["vds_max"].entered_by) == ("Kim", "Sam")


def test_ones_own_draft_is_offered_before_somebody_elses(typing: Type, place: Path) -> None:
    typing(["add", "mosfet", "--by", "Kim"], ["K1", "."])
    typing(["add", "mosfet", "--by", "Sam"], ["n", "S1", "."])
    told = typing(["add", "mosfet", "--by", "Kim"], ["", "."]).out
    assert "K1 (?)" in told and "S1 (?)" not in told


def test_a_draft_of_another_kind_is_not_offered(typing: Type, place: Path) -> None:
    typing(["add", "mosfet", "--by", "Kim"], ["M1", "."])
    assert "There is a draft" not in typing(["add", "bjt", "--by", "Kim"], ["."]).out
    deleted = typing(["add", "mosfet", "--by", "Kim"], ["d", "."])
    assert "There is a draft" in deleted.out and left(place) == []


def test_a_broken_draft_is_no_draft(typing: Type, place: Path) -> None:
    typing(["add", "mosfet", "--by", "Kim"], ["M1", "."])
    (path,) = left(place)
    for text in (
        "",
        "{",
        "[]",
        '{"key": 1}',
        json.dumps({"key": "add\tmosfet", "who": "Kim", "begun": "", "entry": {}}),
    ):
        path.write_text(text)
        assert "There is a draft" not in typing(["add", "mosfet", "--by", "Kim"]).out


def test_a_folder_that_cannot_hold_drafts_is_one_sentence(
    typing: Type, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(drafts.os, "fsync", full)
    done = typing(["add", "mosfet"], ["M1"])
    assert done.code == 2 and "cannot be written (No space left on device)" in done.err
    assert [path for path in left(place) if path.suffix != ".json"] == []


KEPT = {2: '"Acme"', 9: '"60 V"', 12: '"11 A"', 18: '"45 mΩ"', 23: '"1.95"'}
"""What the draft holds once so many answers have reached it."""


@pytest.mark.parametrize("count", sorted(KEPT))
def test_killed_anywhere_the_draft_goes_on(place: Path, typing: Type, count: int) -> None:
    """The program is killed while it waits for an answer: every answer before is there."""
    process = subprocess.Popen(
        [sys.executable, "-u", "-m", "partcheck", "catalog", "add", "mosfet", "--by", "Kim"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write("".join(f"{line}\n" for line in SESSION[:count]))
    process.stdin.flush()
    for _ in range(400):
        made = left(place)
        if made and made[0].suffix == ".json" and _holds(made[0], KEPT[count]):
            break
        signal.sigtimedwait([], 0.02)
    process.kill()
    process.wait()
    process.stdin.close()
    process.stdout.close()
    rest = (["vgs\tid\tmax [mΩ]"] if count == 18 else []) + SESSION[count:]
    typing(["add", "mosfet", "--by", "Kim"], ["y", *rest, ""])
    assert without_sources(known(place, "ACME-60N28")) == EXPECTED


def _holds(path: Path, text: str) -> bool:
    try:
        return text in path.read_text(encoding="utf-8")
    except OSError:
        return False


# --- editing and copying ---------------------------------------------------------------------------


@pytest.fixture
def one(typing: Type) -> None:
    typing(["add", "mosfet", "--by", "Kim"], [*SESSION, ""])


def test_edit_changes_what_is_named_and_keeps_the_former_value(typing: Type, place: Path, one: None) -> None:
    done = typing(["edit", "acme-60n28", "--by", "Sam"], ["vds_max", "55 V", "rds_on", "2.5;-;-;90 mΩ", "", "", ""])
    assert done.code == 0
    made = known(place, "ACME-60N28")
    assert made["vds_max"] == 55.0 and made["rds_on"][0] == {"vgs": 2.5, "max": 0.09}
    told = typing(["history", "ACME-60N28"]).out
    assert "edit by Sam" in told and "vds_max: 60 V -> 55 V" in told
    typing(["undo", "--yes"])
    assert without_sources(known(place, "ACME-60N28")) == EXPECTED


def test_an_edited_value_does_not_keep_the_source_of_the_former_one(typing: Type, place: Path, one: None) -> None:
    typing(["edit", "ACME-60N28", "--by", "Sam"], ["vds_max = 55 V", "@7", "vgs_max = 16 V", "", ""])
    with open_catalog(place) as catalog:
        part = catalog.part("ACME-60N28")
    assert part.source("vds_max").startswith("entered Sam")
    assert part.source("vgs_max").startswith("p. 7, entered Sam")
    assert part.source("tj_max").startswith("DS-77 rev. B, p. 2, entered Kim")


def test_an_edit_taken_back_while_editing_is_no_edit(typing: Type, place: Path, one: None) -> None:
    before = known(place, "ACME-60N28")
    lines = ["vds_max = 55 V", "vds_max = 60 V", "rds_on", "2.5;-;-;90 mΩ", "<", "", "", ""]
    done = typing(["edit", "ACME-60N28"], lines)
    assert "nothing about ACME-60N28 (Acme) was changed" in done.out
    assert known(place, "ACME-60N28") == before


def test_number_and_maker_stay(typing: Type, place: Path, one: None) -> None:
    done = typing(["edit", "ACME-60N28"], ["part_number", "maker = Other", "", ""])
    assert "Number and maker are what makes a part" in done.out
    assert "nothing about ACME-60N28 (Acme) was changed" in done.out


def test_somebody_elses_change_meanwhile_is_told_and_not_overwritten(typing: Type, place: Path, one: None) -> None:
    def meanwhile() -> None:
        with open_catalog(place) as catalog:
            now = catalog.part("ACME-60N28")
            values = {**now.values, "vds_max": 50.0, "vgs_max": 12.0}
            catalog.change(
                Part(now.kind, *reversed(now.key), values, now.tables, now.provenance), now, "Pat", "2024-06-01"
            )

    lines: list[Line] = ["vds_max = 55 V", "qg_max = 9 nC", "", meanwhile, "", "n", ""]
    done = typing(["edit", "ACME-60N28", "--by", "Sam"], lines)
    out = " ".join(done.out.split())
    assert "was changed by Pat at 2024-06-01" in out
    assert "Meanwhile vgs_max became 12 V (it was 20 V)." in out
    assert "You changed vds_max to 55 V as well. Put yours over theirs in vds_max? [y/N] n" in out
    made = known(place, "ACME-60N28")
    assert (made["vds_max"], made["vgs_max"], made["qg_max"]) == (50.0, 12.0, 9e-9)
    with open_catalog(place) as catalog:
        assert [(c.column, c.who) for c in catalog.history("ACME-60N28") if "." not in c.column] == [
            ("vds_max", "Pat"), ("vgs_max", "Pat"), ("qg_max", "Sam"),
        ]  # fmt: skip


def test_a_draft_of_an_edit_is_brought_upon_what_the_part_says_by_now(typing: Type, place: Path, one: None) -> None:
    typing(["edit", "ACME-60N28", "--by", "Sam"], ["vds_max = 55 V", "."])
    typing(["edit", "ACME-60N28", "--by", "Pat"], ["n", "vds_max = 50 V", "vgs_max = 12 V", "", ""])
    done = typing(["edit", "ACME-60N28", "--by", "Sam"], ["y", "y", "", ""])
    assert "Meanwhile vds_max became 50 V (it was 60 V)." in done.out
    made = known(place, "ACME-60N28")
    assert (made["vds_max"], made["vgs_max"]) == (55.0, 12.0)


@pytest.mark.parametrize(("answer", "value", "whose"), [("", 50.0, "Pat"), ("n", 50.0, "Pat"), ("y", 55.0, "Sam")])
def test_a_source_goes_with_the_value_that_stands(
    typing: Type, place: Path, one: None, answer: str, value: float, whose: str
) -> None:
    def meanwhile() -> None:
        with open_catalog(place) as catalog:
            now = catalog.part("ACME-60N28")
            sources = {**now.provenance, "vds_max": Provenance(entered_by="Pat"), "vgs_th_min": Provenance(page="9")}
            values = {**now.values, "vds_max": 50.0, "vgs_th_min": 1.1}
            catalog.change(Part(now.kind, *reversed(now.key), values, now.tables, sources), now, "Pat", "2024-06-01")

    lines: list[Line] = ["vds_max = 55 V", "vgs_th_min = 1.2 V", "qg_max = 9 nC", "", meanwhile, "", answer, "n", ""]
    typing(["edit", "ACME-60N28", "--by", "Sam"], lines)
    with open_catalog(place) as catalog:
        part = catalog.part("ACME-60N28")
        by_sam = {c.column for c in catalog.history("ACME-60N28") if c.who == "Sam"}
    assert (part.number("vds_max"), part.number("vgs_th_min")) == (value, 1.1)
    assert part.provenance["vds_max"].entered_by == whose
    assert part.provenance["vgs_th_min"] == Provenance(page="9")
    assert part.provenance["qg_max"].entered_by == "Sam"
    assert {"qg_max", "provenance.qg_max"} == by_sam - {"vds_max", "provenance.vds_max"}


def test_a_part_entered_by_two_is_told_to_the_second_who_keeps_the_draft(typing: Type, place: Path) -> None:
    from partcheck.parts.documents import from_record

    def meanwhile() -> None:
        with open_catalog(place) as catalog:
            catalog.add([from_record({**EXPECTED, "vds_max": 40.0}, "x")], "Pat", "2024-06-01")

    done = typing(["add", "mosfet", "--by", "Kim"], [*SESSION, meanwhile, ""])
    assert done.code == 2 and "ACME-60N28 (Acme) is in the catalog by now" in done.err
    assert known(place, "ACME-60N28")["vds_max"] == 40.0
    assert len(left(place)) == 1


def test_a_part_saved_just_before_the_program_was_killed_is_not_entered_twice(
    typing: Type, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as killed:
        killed.setattr(drafts.PartDraft, "drop", lambda self: None)  # it is saved, but the draft is still there
        typing(["add", "mosfet", "--by", "Kim"], [*SESSION, ""])
    assert len(left(place)) == 1
    again = typing(["add", "mosfet", "--by", "Kim"], ["y", "", ""])
    assert again.code == 0 and "already, exactly like this" in again.out
    assert left(place) == []
    with open_catalog(place) as catalog:
        assert len(catalog.entries("ACME-60N28").popitem()[1]) == 1


def test_copy_takes_over_all_but_stock(typing: Type, place: Path, one: None) -> None:
    typing(["edit", "ACME-60N28"], ["price = 0.4", "currency = EUR", "quantity = 20", "", ""])
    done = typing(["copy", "ACME-60N28", "ACME-100N28"], ["vds_max = 100 V", "", ""])
    assert done.code == 0
    made = known(place, "ACME-100N28")
    assert without_sources(made) == {**EXPECTED, "part_number": "ACME-100N28", "vds_max": 100.0}
    assert "copy by" in typing(["history", "ACME-100N28"]).out
    again = typing(["copy", "ACME-60N28", "ACME-100N28"])
    assert again.code == 2 and "has ACME-100N28 (Acme) already" in again.err


def test_what_is_not_there_cannot_be_edited(typing: Type, place: Path, one: None) -> None:
    assert "did you mean ACME-60N28?" in typing(["edit", "ACME-60N2"]).err
    assert typing(["add", "mosfit"]).code == 2


# --- the entry itself ------------------------------------------------------------------------------


@given(parts())
@settings(max_examples=80, deadline=None)
def test_a_part_goes_through_an_entry_and_a_draft_unchanged(part: Part) -> None:
    made = Entry.from_json(json.loads(json.dumps(Entry.of(part).to_json())))
    again, problems = made.attempt()
    assert problems == [] and again is not None
    empty = {name: source for name, source in part.provenance.items() if str(source)}
    assert facts(again)[:5] == facts(part)[:5]
    assert dict(again.provenance) == empty


ROWS = [
    ("10 V;5 A;-;28 mΩ", {"vgs": "10 V", "id": "5 A", "max": "28 mΩ"}),
    ("10 V  5 A - 28 mΩ", {"vgs": "10 V", "id": "5 A", "max": "28 mΩ"}),
    ("10\t\t20\t28", {"vgs": "10", "typ": "20", "max": "28"}),
    ("| 10 | 5 | - | 0.028 |", {"vgs": "10", "id": "5", "max": "0.028"}),
    ("vgs=10 V max=28 mΩ", {"vgs": "10 V", "max": "28 mΩ"}),
    ("10V 5A 20mΩ 28mΩ", {"vgs": "10V", "id": "5A", "typ": "20mΩ", "max": "28mΩ"}),
]


@pytest.mark.parametrize(("line", "cells"), ROWS)
def test_a_row_is_read_however_it_is_parted(line: str, cells: dict[str, str]) -> None:
    assert RowReader(KINDS["mosfet"].table("rds_on")).row(line) == cells


def test_a_header_gives_order_and_units() -> None:
    reader = RowReader(KINDS["mosfet"].table("rds_on"))
    assert reader.header("Max (mΩ)\tVGS [V]") and reader.columns == ["max", "vgs"]
    assert reader.row("28\t10") == {"max": "28 mΩ", "vgs": "10 V"}
    assert not reader.header("28\t10")
    with pytest.raises(NotSo, match="does not suit it"):
        reader.header("max [V]\tvgs")


@pytest.mark.parametrize(
    ("line", "sentence"),
    [("10 V 28 mΩ", "2 values for the 4 columns vgs, id, typ, max; write - for one"), ("vgd=10 V", "vgd is not a column of rds_on; did you mean vgs"),
     ("-;-;-;-", "the row is empty")],
)  # fmt: skip
def test_a_row_that_does_not_fit_is_told(line: str, sentence: str) -> None:
    with pytest.raises(NotSo, match=sentence):
        RowReader(KINDS["mosfet"].table("rds_on")).row(line)


def test_a_word_in_a_row_is_a_cell_of_its_own() -> None:
    reader = RowReader(KINDS["mosfet"].table("id_max"))
    assert reader.row("25 case 10 A") == {"temperature": "25", "reference": "case", "max": "10 A"}
    assert reader.row("25 °C Case 10") == {"temperature": "25 °C", "reference": "Case", "max": "10"}
    theta = RowReader(KINDS["mosfet"].table("theta_ja"))
    assert theta.row("0 minimum 110")["copper_area"] == "0 m²"


def test_common_sources_are_said_once() -> None:
    entry = Entry("mosfet", source={"document": "DS-1", "entered_by": "Kim"})
    for name, text in (("part_number", "M1"), ("maker", "Acme"), ("vds_max", "60 V"), ("vgs_max", "20 V")):
        entry.put(name, text)
    entry.source["page"] = "4"
    entry.put("tj_max", "150 °C")
    part, _ = entry.attempt()
    assert part is not None and set(part.provenance) == {"*", "tj_max"}
    assert part.source("tj_max") == "DS-1, p. 4, entered Kim" and part.source("vds_max") == "DS-1, entered Kim"


def test_the_explanations_know_every_value() -> None:
    for kind, declared in KINDS.items():
        for name in [*columns(kind), *(table.name for table in declared.tables)]:
            assert wording.explain(kind, name, [])[0].startswith(f"{name}: ")


def test_the_readme_shows_the_form_as_it_is(typing: Type) -> None:
    readme = (Path(__file__).parents[2] / "catalog_samples" / "GUIDE.md").read_text(encoding="utf-8")
    shown = next(
        block
        for block in re.findall(r"^```text\n(.*?)^```", readme, re.DOTALL | re.MULTILINE)
        if "vds_max [V]" in block
    )
    lines = [*SESSION[:8], "60 mV", *SESSION[8:], ""]
    out = typing(["add", "mosfet"], lines).out.splitlines()
    place = 0
    for line in shown.splitlines():
        if line != "...":
            assert line in out[place:], line
            place = out.index(line, place) + 1
