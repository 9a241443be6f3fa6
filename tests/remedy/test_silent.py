"""A start of which no transient impedance says how far it warms: unproven, with the datasheet value that would settle it."""

from pathlib import Path

import pytest

from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.remedy.lookups import lookups, silent
from partcheck.parts.part import Part, point_table
from partcheck.requirement import Verdict
from tests.command import run

PART = (
    "Part,Maker,Polarity,VDS max (V),VGS max (V),VGS(th) min (V),VGS(th) max (V),RDS(on) max (mΩ),@vgs (V),IGSS max (nA),"
    "RthJA max (K/W),@copper_area,@mounting,Tj max\nM1,Acme,N,60,20,1,2.2,90,4.5,100,150,0,minimum,150\n"
)
BOARD = """\
format = 1
name = "a lamp"
parts = ["mosfet.csv"]
surroundings = { ambient = "5..45 °C" }
rail.V12 = { voltage = "12 V ±5 %" }
drive.OUT1 = { high = "5 V ±5 %", low = "0..0.2 V", source_resistance = "20..60 Ω" }
load.LAMP = { sort = "lamp", rail = "V12", current = "420 mA ±10 %", inrush_factor = 10, inrush_time = "50 ms", rate = "0.1 /s" }
role.Q1 = { role = "mosfet-switch", fitted = "M1", drive = "OUT1", load = "LAMP", gate_resistor = "470 Ω ±5 %", pulldown = "100 kΩ ±5 %" }
"""


@pytest.fixture
def board(tmp_path: Path) -> Path:
    (tmp_path / "mosfet.csv").write_text(PART, encoding="utf-8")
    (tmp_path / "board.toml").write_text(BOARD, encoding="utf-8")
    return tmp_path / "board.toml"


def with_zth(part: Part, width: float, most: float) -> Part:
    rows = [{"pulse_width": width, "reference": "ambient", "max": most}]
    tables = {**part.tables, "zth": point_table(part.kind, "zth", rows)}
    return Part(part.kind, part.part_number, part.maker, part.values, tables, part.provenance)


def test_the_impedance_told_is_where_it_just_meets(board: Path) -> None:
    situation = open_setup(board).situation
    part = situation.fitted["Q1"]
    assert part is not None
    judged = judge_place(situation, "Q1")
    assert not judged.with_verdict(Verdict.FAILS)
    open_ = [f for f in judged.with_verdict(Verdict.UNPROVEN) if f.story.missing == ("zth at these conditions",)]
    assert {"pulse-rise", "stays-off"} <= {finding.id for finding in open_}
    for finding in open_:
        (told,) = lookups(situation, "Q1", finding)
        assert told.name == "zth at these conditions" or told.name == "zth"
        assert told.side == "at most" and told.value is not None
        ((axis, side, width, _),) = told.conditions
        assert (axis, side) == ("pulse_width", "at least") and width == pytest.approx(0.05, rel=0.03)
        for factor, meets in ((1.0, True), (1.05, False)):
            stated = situation.replaced("Q1", with_zth(part, 0.05, told.value * factor))
            found = next(f for f in judge_place(stated, "Q1").findings if f.id == finding.id)
            assert (found.verdict >= Verdict.TIGHT) is meets, finding.id


def test_a_stated_impedance_that_is_too_large_is_no_silence(board: Path) -> None:
    situation = open_setup(board).situation
    part = situation.fitted["Q1"]
    assert part is not None
    stated = situation.replaced("Q1", with_zth(part, 0.05, 100.0))
    failing = judge_place(stated, "Q1").with_verdict(Verdict.FAILS)
    assert failing and not any(silent(stated, "Q1", finding) for finding in failing)


def test_the_answer_begins_with_it(
    board: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = " ".join(run(monkeypatch, capsys, "check", board).out.split())
    todo = out.partition("To do: ")[2]
    assert todo.startswith("look up zth (transient thermal impedance for a single pulse) at pulse_width at least 49 ms")
    assert "or: largest current of LAMP at most" in todo
    assert "FAILS" not in out
