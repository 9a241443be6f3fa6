"""Vet: the board as changed is the edited file; the path in order; what gives way first; clamps that really cure."""

import json
import math
from collections.abc import Callable
from functools import cache
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from partcheck.api import open_board
from partcheck.jobs.change.board import wanted
from partcheck.jobs.change.options import Asked
from partcheck.jobs.check.board import check
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.vet.clamps import How
from partcheck.jobs.vet.vet import Vetted, by_requirement, vet
from partcheck.jobs.vet.way import GivenWay, Way
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from tests.command import BOARD, SAMPLES, Ran, run
from tests.draws import LONG, some
from tests.valves import MORE, TABLES, cut

Runner = Callable[..., Ran]
TEXT = BOARD.read_text(encoding="utf-8")
CORNER = cut(f"{TABLES} {MORE} P24 U3 TOWER tower Q5")
"""The valves and the lamp of the sample board."""


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Runner:
    return lambda *words: run(monkeypatch, capsys, *words)


@pytest.fixture(scope="module")
def setup() -> Setup:
    return open_setup(BOARD, [SAMPLES])


@pytest.fixture
def judged_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only what is judged; where it gives way and which clamps would help is worked out from that, and is left out."""
    monkeypatch.setattr(Way, "given", lambda self, lost: [GivenWay(*item, None, ()) for item in lost])
    monkeypatch.setattr("partcheck.jobs.vet.vet.other_clamps", lambda *_: None)


@pytest.fixture(scope="module")
def corner(tmp_path_factory: pytest.TempPathFactory) -> Setup:
    """The valves and the lamp of the sample board."""
    path = tmp_path_factory.mktemp("corner") / "corner.toml"
    path.write_text(CORNER, encoding="utf-8")
    return open_setup(path, [SAMPLES])


def written(tmp_path: Path, *edits: tuple[str, str], text: str = TEXT) -> Setup:
    """The sample board with texts replaced by hand."""
    for old, new in edits:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    path = tmp_path / "edited.toml"
    path.write_text(text, encoding="utf-8")
    return open_setup(path, [SAMPLES])


# ---- the same as check on the edited file


def in_fv2(old: str, new: str) -> tuple[str, str]:
    """An edit inside the table of FV2 alone."""
    start = TEXT.index("[load.FV2]")
    own = TEXT[start : TEXT.index("[load.FV3]")]
    assert old in own
    return own, own.replace(old, new, 1)


def in_d12(old: str, new: str) -> tuple[str, str]:
    """An edit inside the table of D12 alone."""
    own = TEXT[TEXT.index("[role.D12]") : TEXT.index("[role.D13]")]
    assert old in own
    return own, own.replace(old, new, 1)


SAME: list[tuple[str, Asked, list[tuple[str, str]]]] = [
    ("FV2", Asked(voltage="24 V"), [('voltage = "12 V ±5 %"', 'voltage = "24 V ±5 %"')]),
    ("FV2", Asked(current="0.5 A"), [in_fv2('"36 Ω ±8 %"', '"24 Ω ±8 %"')]),
    ("FV2", Asked(current="0.5 A", voltage="24 V"),
     [('voltage = "12 V ±5 %"', 'voltage = "24 V ±5 %"'), in_fv2('"36 Ω ±8 %"', '"48 Ω ±8 %"')]),
    ("FV2", Asked(inductance="0.2 H", count=2),
     [in_fv2('inductance = "60 mH ±20 %"', 'count = 2\ninductance = "0.2 H ±20 %"')]),
    ("FV2", Asked(at_once=3), [("most = 2", "most = 3")]),
    ("FV2", Asked(cable_length="20 m", wire="0.25 mm²"),
     [in_fv2('length = "4 m", wire = "0.75 mm²"', 'length = "20 m", wire = "0.25 mm²"')]),
    ("FV2", Asked(sets=("rail=P24", "rail.P24.current=3 A")),
     [in_fv2('rail = "V12"', 'rail = "P24"'), ('current = "0.5 A"\nfault', 'current = "3 A"\nfault')]),
    ("FV2", Asked(sets=("surroundings.ambient=5..60 °C",)), [('ambient = "5..45 °C"', 'ambient = "5..60 °C"')]),
    ("FV2", Asked(duty="0.2..0.8", frequency="200 Hz"),
     [in_fv2('rate = "1 /s"', 'rate = "1 /s"\nchopped = { duty = "0.2..0.8", frequency = "200 Hz" }')]),
    ("pump", Asked(current="0.7 A", duty="0..0.5"),
     [('current = "0.35..0.5..0.65 A"', 'current = "0.49..0.7..0.91 A"'), ('"1.5 A"   # a', '"2.1 A"   # a'),
      ('duty = "0.1..1"', 'duty = "0..0.5"')]),
    ("pump", Asked(current="0.7 A", sets=("stall_current=1.6 A",)),
     [('current = "0.35..0.5..0.65 A"', 'current = "0.49..0.7..0.91 A"'), ('"1.5 A"   # a', '"1.6 A"   # a')]),
    ("fault", Asked(current="20 mA"), [('resistance = "2.2 kΩ ±5 %"', 'resistance = "1.2 kΩ ±5 %"')]),
]  # fmt: skip


@pytest.mark.parametrize(("load", "asked", "edits"), SAME, ids=[f"{s[0]}-{i}" for i, s in enumerate(SAME)])
def test_vet_says_what_check_says_of_the_edited_file(
    setup: Setup,
    tmp_path: Path,
    judged_alone: None,
    load: str,
    asked: Asked,
    edits: list[tuple[str, str]],
) -> None:
    vetted = vet(setup, load, asked)
    checked = check(written(tmp_path, *edits))
    assert vetted.verdict is checked.verdict
    assert vetted.cautions == checked.cautions
    said, found = by_requirement(vetted.after), by_requirement([*checked.places, *checked.links])
    assert list(said) == list(found)
    for key, finding in found.items():
        assert said[key].verdict is finding.verdict, key
        for ours, theirs in zip(said[key].compared, finding.compared, strict=True):
            assert ours.demand == pytest.approx(theirs.demand, rel=1e-9, nan_ok=True), key
            assert ours.capability == pytest.approx(theirs.capability, rel=1e-9, nan_ok=True), key


@pytest.mark.usefixtures("judged_alone")
def test_the_board_before_is_the_board_as_it_is(setup: Setup) -> None:
    vetted, checked = vet(setup, "FV2", Asked(voltage="24 V")), check(setup)
    assert vetted.verdict_before is checked.verdict
    assert [j.verdict for j in vetted.before] == [j.verdict for j in (*checked.places, *checked.links)]


def test_without_a_change_it_shows_the_path_as_it_is(setup: Setup, command: Runner) -> None:
    vetted = vet(setup, "FV2")
    assert not vetted.changes and not vetted.gives_way and vetted.verdict is vetted.verdict_before
    ran = command("vet", BOARD, "FV2")
    assert ran.code == 0
    assert "Nothing is changed: the path as it is." in ran.out and "×" not in ran.out


@pytest.mark.parametrize(
    "words",
    some([["FV2", "--set", "rail=P24"], ["FV1", "--at-once", "3", "--voltage", "48 V"], ["tower", "--current", "0.5 A"]], 2),
    ids=lambda words: " ".join(words),
)  # fmt: skip
def test_every_line_fits_80_columns(command: Runner, words: list[str], corner: Setup) -> None:
    for line in command("vet", BOARD if LONG else corner.board_file.path, *words, "--parts", SAMPLES).out.splitlines():
        assert len(line) <= 80, line


def test_a_typed_value_keeps_the_spread_of_the_present_one_and_says_so(setup: Setup) -> None:
    (change,) = vet(setup, "FV2", Asked(voltage="18 V")).changes
    assert change.value == "18 V ±5 %" and "the spread is that of the present value" in str(change)
    assert "instead of 12 V ±5 %" in str(change)
    (own,) = vet(setup, "FV2", Asked(voltage="17..18..20 V")).changes
    assert own.value == "17..18..20 V" and not own.note


def test_the_current_of_a_coil_is_set_through_its_resistance_and_the_worst_case_is_larger(setup: Setup) -> None:
    vetted = vet(setup, "FV2", Asked(current="0.5 A"))
    state = vetted.situation.load("FV2")
    assert state.typical.value == pytest.approx(0.5)
    assert state.largest.value > 0.5 * 1.05 / 0.92  # high rail, low tolerance, and a cold winding on top
    (change,) = vetted.changes
    assert "draws 500 mA at 12 V and 20 °C" in change.note


@pytest.mark.usefixtures("judged_alone")
def test_an_inrush_follows_the_lamp_and_a_stall_the_motor(setup: Setup) -> None:
    lamp = vet(setup, "tower", Asked(current="0.36 A")).situation.load("tower")
    assert lamp.largest.value == pytest.approx(0.4, rel=1e-3) and lamp.inrush.value == pytest.approx(3.2, rel=1e-3)
    motor = vet(setup, "pump", Asked(current="1 A"))
    assert motor.situation.load("pump").largest.value == pytest.approx(3.0)
    assert "in the same ratio" in [change.note for change in motor.changes]


def test_what_does_not_follow_a_voltage_by_itself_is_said(setup: Setup) -> None:
    notes = " ".join(wanted(setup, "FV2", Asked(voltage="24 V")).notes)
    assert "pump and tower" in notes and "taken as it stands" in notes
    assert "transient" in notes
    own = wanted(setup, "FV2", Asked(voltage="24 V", sets=("rail.V12.transient=28 V",))).notes
    assert "transient" not in " ".join(own)


# ---- the path


def test_the_path_runs_from_the_source_through_the_load_and_back(setup: Setup) -> None:
    vetted = vet(setup, "FV2", Asked(current="0.6 A"))
    assert [(step.stage, step.ref) for step in vetted.steps] == [
        ("source", "rail V12"), ("feed wire", "feed V12"), ("supply terminal", "J1 pole 1 (supply V12)"),
        ("feed terminal", "J2 pole 3 (feed FV2)"), ("cable", "cable FV2"), ("load", "FV2"),
        ("switched terminal", "J2 pole 4 (switched FV2)"), ("clamp", "D2"), ("switch", "Q2"),
        ("track", "track valve_returns"), ("return track", "track common_return"),
        ("shared return", "ground"), ("return terminal", "J1 poles 3, 4 (return V12)"),
    ]  # fmt: skip
    assert vetted.not_stated == ()
    carries = {step.ref: step.after.carries.value for step in vetted.steps if step.after}
    largest = vetted.situation.load("FV2").largest.value
    for ref in ("J2 pole 3 (feed FV2)", "cable FV2", "FV2", "J2 pole 4 (switched FV2)", "D2"):
        assert carries[ref] == pytest.approx(largest)
    # two valves at once, and one of them is the heavier FV2
    other = vetted.situation.load("FV1").largest.value
    assert carries["track valve_returns"] == pytest.approx(largest + other)


def test_a_link_is_judged_as_its_place_is_and_a_pole_by_itself(setup: Setup) -> None:
    vetted = vet(setup, "FV2", Asked(current="0.6 A"))
    whole = by_requirement(vetted.after)
    for step in vetted.steps:
        if step.after is None or step.after.judged is None:
            continue
        judged = step.after.judged
        if " pole" not in step.ref:
            ref = f"load {step.ref}" if step.stage == "load" else step.ref
            assert judged.verdict is next(j for j in vetted.after if j.ref == ref).verdict
            continue
        for finding in judged.findings:  # the terminal is as good as its worst pole, so each pole is no worse
            terminal = whole[step.ref.split()[0], finding.id]
            assert finding.verdict >= terminal.verdict
            if math.isfinite(finding.headroom):
                assert finding.headroom >= terminal.headroom - 1e-9


@pytest.mark.usefixtures("judged_alone")
def test_a_load_behind_a_regulator_starts_at_the_outside_supply(tmp_path: Path) -> None:
    made = written(tmp_path, in_fv2('rail = "V12"', 'rail = "V5"'))
    refs = [step.ref for step in vet(made, "FV2").steps]
    assert refs[:5] == ["rail V12", "feed V12", "J1 pole 1 (supply V12)", "U1", "rail V5"]


@pytest.mark.usefixtures("judged_alone")
def test_a_load_behind_a_regulator_returns_through_the_poles_and_tracks_of_its_source(tmp_path: Path) -> None:
    vetted = vet(written(tmp_path, in_fv2('rail = "V12"', 'rail = "V5"')), "FV2")
    assert [step.ref for step in vetted.steps][-3:] == [
        "track common_return", "ground", "J1 poles 3, 4 (return V12)",
    ]  # fmt: skip
    assert "return terminal" not in vetted.not_stated
    # and their current is one of the figures: all that comes back on the rail outside
    figures = {figure.name: figure.after for figure in vetted.figures}
    back = figures["J1 return current"]
    assert back is not None and back.value == pytest.approx(vetted.situation.rail_current("V12").value, rel=0.02)
    # what is not judged of the source outside and of the regulator is told as well
    told = " ".join(vetted.not_judged)
    assert "V12" in told and "U1" in told


def test_a_track_stands_where_its_side_says(tmp_path: Path) -> None:
    track = '[track.{}]\nwidth = "2 mm"\nthickness = "32 µm"\nlength = "20 mm"\nside = "{}"\n{}\n\n'
    drawn = (
        track.format("to_fv2", "feed", 'load = "FV2"')
        + track.format("plane", "feed", 'rail = "V12"')
        + track.format("from_fv2", "switched", 'load = "FV2"')
        + track.format("other_rail", "feed", 'rail = "P24"')
        + track.format("other_load", "switched", 'load = "FV1"')
    )
    vetted = vet(written(tmp_path, ("[track.valve_returns]", drawn + "[track.valve_returns]")), "FV2")
    steps = [(step.stage, step.ref) for step in vetted.steps]
    assert steps[3:6] == [
        ("feed track", "track to_fv2"), ("feed track", "track plane"), ("feed terminal", "J2 pole 3 (feed FV2)"),
    ]  # fmt: skip
    at = steps.index(("switched terminal", "J2 pole 4 (switched FV2)"))
    assert steps[at + 1] == ("switched track", "track from_fv2")
    assert steps.index(("switch", "Q2")) > at + 1
    back = [("track", "track valve_returns"), ("return track", "track common_return"), ("shared return", "ground")]
    assert steps[-4:-1] == back
    carries = {step.ref: step.after.carries.value for step in vetted.steps if step.after}
    assert carries["track from_fv2"] == carries["FV2"]


@pytest.mark.usefixtures("judged_alone")
def test_what_the_board_does_not_state_of_the_path_is_said(setup: Setup) -> None:
    vetted = vet(setup, "FV2", Asked(sets=("rail=P24",)))
    assert vetted.not_stated == ("feed wire", "supply terminal", "return track", "return terminal")
    assert {step.ref for step in vetted.steps if step.after is None} >= {"rail V12", "feed V12", "track common_return"}


# ---- what gives way first

STEPS = 8 if LONG else 4
TO_24_V = Asked(
    sets=(
        "rail=P24", "rail.P24.current=3 A", "role.D12.rail=P24", "role.D12.resistor=6.2 kΩ ±5 %",
        "role.D12.current_spread=1.8",
    )
)  # fmt: skip
"""The valve with the indicator beside it: one left on 12 V would be driven backwards."""


@pytest.mark.parametrize(
    ("load", "asked", "between"),
    [
        ("FV2", Asked(voltage="24 V"), lambda s: [('"12 V ±5 %"', f'"{12 + 12 * s} V ±5 %"')]),
        ("FV2", Asked(voltage="9 V"), lambda s: [('"12 V ±5 %"', f'"{12 - 3 * s} V ±5 %"')]),
        ("tower", Asked(current="0.4 A", wire="0.2 mm²"), lambda s: [
            ('current = "0.15..0.18..0.2 A"',
             f'current = "{0.15 + s * 11 / 60 - s * 1e-5}..{0.18 + s * 0.22}..{0.2 + s * 11 / 45} A"'),
            ('length = "2.5 m", wire = "0.5 mm²"', f'length = "2.5 m", wire = "{0.5 - s * 0.3} mm²"'),
        ]),
    ],
    ids=["up", "down", "two-values"],
)  # fmt: skip
def test_each_failure_gives_way_where_a_scan_of_edited_files_finds_it(
    setup: Setup, tmp_path: Path, load: str, asked: Asked, between: Callable[[float], list[tuple[str, str]]]
) -> None:
    vetted = vet(setup, load, asked)
    assert vetted.gives_way
    met: dict[tuple[str, str], float] = {}
    for k in range(STEPS + 1):
        checked = check(written(tmp_path, *between(k / STEPS)))
        for key, finding in by_requirement([*checked.places, *checked.links]).items():
            if finding.verdict < Verdict.TIGHT:
                met.setdefault(key, k / STEPS)
    shares = [given.share for given in vetted.gives_way]
    assert shares == sorted(shares)  # type: ignore[type-var]
    for given in vetted.gives_way:
        scanned = met[given.ref, given.after.id]
        assert given.share is not None
        assert scanned - 1 / STEPS - 2e-3 <= given.share <= scanned + 2e-3, (given.ref, given.after.id)


def test_it_holds_just_before_and_fails_where_it_is_said_to_give_way(setup: Setup, tmp_path: Path) -> None:
    first = vet(setup, "FV2", TO_24_V).gives_way[0]
    assert (first.ref, first.after.id) == ("D2", "reverse-voltage")
    volts = next(at.value for at in first.at if at.key == "rail of FV2")
    # of the panel's 24 V -15 % +20 % and the desk's ±5 % so far on the way that the diode's 24 V are reached
    assert first.share is not None
    assert 12.6 + first.share * (28.8 - 12.6) == pytest.approx(24.0, abs=0.02)
    assert volts.typ == pytest.approx(12 + first.share * 12) and volts.max == pytest.approx(24.0, abs=0.02)


def test_shares_judged_at_once_are_those_judged_one_by_one(setup: Setup) -> None:
    """A lighter coil on another rail in warmer air: voltage, resistance, inductance and air are on the way at once."""
    asked = Asked(resistance="20 Ω", inductance="0.2 H", sets=("rail=P24", "surroundings.ambient=5..60 °C"))
    after = wanted(setup, "FV2", asked).after
    assert after is not None
    board = after.board_file.board
    p24 = board.rail["V12"].model_copy(update={"voltage": board.rail["P24"].voltage})  # nothing but numbers that vary
    boards = [b.model_copy(update={"rail": {**b.rail, "P24": p24}}) for b in (setup.situation.board, board)]
    before, changed = (Situation(b, after.situation.fitted, after.situation.policy) for b in boards)
    way = Way(before, changed, "FV2")
    assert {path[-1] for path in way.numbers} == {"voltage", "resistance", "inductance", "ambient"}
    ref = "Q2"
    rows = way._swept([(ref, id_) for id_ in changed.facts(ref).role.requirements])
    assert any(row[0] > row[-1] == Verdict.FAILS for (_, row) in rows.items())
    for share in (0.0, 0.25, 0.7578125, 1.0):
        for (_, id_), row in rows.items():
            found = way.finding(share, ref, id_)
            assert found is None or int(found.verdict) == row[round(share * 1024)], (share, id_)


def test_a_number_of_loads_gives_way_at_a_whole_one(corner: Setup) -> None:
    vetted = vet(corner, "FV2", Asked(count=6))
    assert vetted.gives_way
    fewer = cache(lambda count: {(g.ref, g.after.id) for g in vet(corner, "FV2", Asked(count=count)).gives_way})
    for given in vetted.gives_way:
        (at,) = given.at
        assert at.value.exact and at.value.typ == int(at.value.typ) and 2 <= at.value.typ <= 6
        assert (given.ref, given.after.id) not in fewer(int(at.value.typ) - 1)


def test_what_has_no_steps_in_between_gives_way_at_once(corner: Setup) -> None:
    vetted = vet(corner, "FV2", Asked(sets=("role.D2.fitted=ARFJ-T15B",)))
    assert vetted.gives_way and all(given.share is None for given in vetted.gives_way)


def test_what_failed_before_does_not_give_way_again(tmp_path: Path) -> None:
    made = written(tmp_path, ('current = "5 A"', 'current = "3 A"'))
    vetted = vet(made, "FV2", Asked(current="0.5 A"))
    assert ("rail V12", "supply-current") in [(ref, f.id) for ref, f in vetted.failed_before]
    assert ("rail V12", "supply-current") not in [(g.ref, g.after.id) for g in vetted.gives_way]


# ---- sums: chopped loads in a shared return, a regulator behind a shared feed

SHARED = """\
format = 1
name = "three heaters"
[surroundings]
ambient = "0..40 °C"
[rail.V]
voltage = "24 V ±5 %"
[rail.V5]
voltage = "5 V ±2 %"
[chip.U2]
supply = "V5"
{loads}
{roles}
[role.J1]
role = "terminal"
poles = [{{ pole = 1, side = "return", rail = "V" }}]
"""


def shared_return(random: np.random.Generator, tmp_path: Path) -> tuple[Setup, list[float], list[float]]:
    """Chopped resistive loads, all in one return pole; their largest currents and duties."""
    loads, roles, currents, duties = "", "", [], []
    for i in range(3):
        current, duty = float(random.uniform(0.2, 3)), float(random.choice([1.0, random.uniform(0.05, 0.95)]))
        chop = f'chopped = {{ frequency = "1 kHz", duty = "0..{duty}" }}' if duty < 1 else ""
        loads += f'[load.h{i}]\nsort = "resistive"\nrail = "V"\ncurrent = "{current} A"\n{chop}\n'
        roles += f'[drive.d{i}]\nchip = "U2"\nhigh = "5 V"\nlow = "0..0.2 V"\nhigh_at = "1 mA"\n'
        roles += f'[role.Q{i}]\nrole = "mosfet-switch"\ndrive = "d{i}"\nload = "h{i}"\n'
        currents.append(current)
        duties.append(duty)
    path = tmp_path / "shared.toml"
    path.write_text(SHARED.format(loads=loads, roles=roles), encoding="utf-8")
    return open_setup(path, [SAMPLES]), currents, duties


def test_chopped_loads_in_a_shared_return_warm_it_no_more_than_vet_says(tmp_path: Path) -> None:
    """The root mean square of the summed waveforms, sampled; in phase vet says exactly that, in any phase no less."""
    random = np.random.default_rng(20240612)
    time = (np.arange(20000) + 0.5) / 20000
    for _ in range(12):
        made, currents, duties = shared_return(random, tmp_path)
        asked = Asked(current=f"{float(random.uniform(0.2, 4))} A", duty="0..0.4", frequency="1 kHz")
        vetted = vet(made, "h0", asked)
        currents[0], duties[0] = float(str(asked.current).split()[0]), 0.4
        heating = next(
            f.compared[0].demand for j in vetted.places if j.ref == "J1" for f in j.findings if f.id == "return-current"
        )

        def effective(phases: Any, currents: list[float] = currents, duties: list[float] = duties) -> float:
            whole = sum(i * (((time + p) % 1) < d) for i, d, p in zip(currents, duties, phases, strict=True))
            return float(np.sqrt(np.mean(np.asarray(whole) ** 2)))

        assert heating == pytest.approx(effective([0, 0, 0]), rel=1e-3)
        for _ in range(8):
            assert effective(random.uniform(0, 1, 3)) <= heating * (1 + 1e-3)
        back = next(step for step in vetted.steps if step.stage == "return terminal")
        assert back.after is not None and back.after.carries.value == pytest.approx(sum(currents))


FEED = """\
format = 1
name = "regulator behind a shared feed"
[surroundings]
ambient = "0..40 °C"
[rail.V9]
voltage = "8 V ±5 %"
current = "4 A"
source_resistance = "0.1..0.5 Ω"
protection_drop = "0.2..0.45 V"
[rail.V5]
regulator = "U1"
logic_current = "10..60 mA"
[drive.d]
high = "5 V"
low = "0..0.2 V"
high_at = "1 mA"
[load.heater]
sort = "resistive"
rail = "V9"
resistance = "18 Ω ±5 %"
[load.lamp]
sort = "lamp"
rail = "V9"
current = "0.1..0.12 A"
inrush_factor = 10
inrush_time = "30 ms"
[drive.e]
high = "5 V"
low = "0..0.2 V"
high_at = "1 mA"
[role.Q1]
role = "mosfet-switch"
drive = "d"
load = "heater"
[role.Q2]
role = "mosfet-switch"
drive = "e"
load = "lamp"
[role.U1]
role = "regulator"
fitted = "ARFJ-L50C"
input = "V9"
output = "V5"
"""


def test_a_regulator_behind_a_shared_feed_sees_the_drop_of_the_heavier_load(tmp_path: Path) -> None:
    path = tmp_path / "feed.toml"
    path.write_text(FEED, encoding="utf-8")
    made = open_setup(path, [SAMPLES])
    vetted = vet(made, "heater", Asked(resistance="3.3 Ω"))
    figure = {f.name: f.after.value for f in vetted.figures if f.after is not None}
    quiescent = vetted.situation.quantity("U1", "iq_largest").value
    heater = 8 * 1.05 / (3.3 * 0.95)
    others = 0.12 * 10 + 0.060 + quiescent
    assert figure["rail V9 current"] == pytest.approx(heater + others, rel=1e-9)
    # the heater, a resistance alone, draws no more at the least voltage of the source than there follows from it
    least = 8 * 0.95 - 0.45 - 0.5 * (8 * 0.95 / (3.3 * 0.95) + others)
    assert figure["rail V9 lowest"] == pytest.approx(least, rel=1e-9)
    # of all real sources, heaters and lamps none leaves less at the board
    random = np.random.default_rng(20240613)
    for _ in range(2000):
        source, drop = random.uniform(8 * 0.95, 8 * 1.05), random.uniform(0.2, 0.45)
        ohms, feed, rest = random.uniform(0.95, 1.05) * 3.3, random.uniform(0.1, 0.5), random.uniform(0, others)
        assert (source - drop - feed * rest) / (1 + feed / ohms) >= least
    assert figure["U1 current"] == pytest.approx(0.060)
    gone = {(given.ref, given.after.id) for given in vetted.gives_way}
    assert ("U1", "dropout") in gone  # nothing of the regulator itself was changed


# ---- other clamps


def with_clamp(vetted: Vetted, how: How, text: str) -> tuple[str, list[tuple[str, str]]]:
    """The text of the board with the first clamp found of a way, written by hand."""
    assert vetted.clamping is not None
    found = next(made for made in vetted.clamping.found if made.how == how)
    ref, number = found.fitted[0][0], found.fitted[0][1].part_number
    start = text.index("[role.D2]")
    own = text[start : text.index("\n[role.D3]")]
    new = own
    if how == "diode":
        new = own.replace('"ARFJ-S30A"', f'"{number}"')
    elif how == "across-switch":
        new = own.replace('"ARFJ-S30A"', f'"{number}"') + '\nacross = "switch"\nconducts = "breakdown"\n'
    else:
        assert ref == "D2Z"
        diode = dict(found.fitted).get("D2")
        if diode is not None:
            new = own.replace('"ARFJ-S30A"', f'"{diode.part_number}"')
        new += (
            f'\nin_series_with = "D2Z"\n[role.D2Z]\nrole = "clamp"\nfitted = "{number}"\nload = "FV2"\n'
            'copper_area = "0.5 cm²"\nconducts = "breakdown"\nin_series_with = "D2"\n'
        )
    return text.replace(own, new), [(ref, f.id) for ref, f in vetted.clamping.asked_for]  # type: ignore[return-value]


SLOW = in_fv2('release_time = "12 ms"', 'release_time = "3 ms"')
LIT_BY_PIN = [
    ('load = ["FV2", "D12"]', 'load = "FV2"'),
    in_d12('rail = "V12"\nswitch = "Q2"\nresistor = "2.7 kΩ ±5 %"', 'drive = "VALVE2"\nresistor = "1.2 kΩ ±1 %"'),
]
WIDE = ('clearance_column = "B2"', 'clearance_column = "B4"')


@pytest.mark.parametrize(
    ("edits", "asked", "hows"),
    [
        ([SLOW, WIDE, *LIT_BY_PIN], Asked(), ["across-switch", "in-series"]),
        ([], TO_24_V, ["diode"]),
    ],
    ids=["too slow", "too high"],
)
def test_a_clamp_that_is_offered_really_cures_in_a_board_file_with_it(
    tmp_path: Path, edits: list[tuple[str, str]], asked: Asked, hows: list[How]
) -> None:
    made = written(tmp_path, *edits)
    vetted = vet(made, "FV2", asked)
    assert vetted.clamping is not None
    assert {found.how for found in vetted.clamping.found} == set(hows)
    before = by_requirement(vetted.after)
    for how in hows:
        shown = [found for found in vetted.clamping.found if found.how == how]
        assert 1 <= len(shown) <= 3
        text, cured = with_clamp(vetted, how, vetted.as_changed.board_file.text)
        path = tmp_path / "with_clamp.toml"
        path.write_text(text, encoding="utf-8")
        fresh = open_setup(path, [SAMPLES])
        after = by_requirement(list(chain(*judge_board(fresh.situation))))
        for key in cured:
            assert key not in after or after[key].verdict >= Verdict.TIGHT, (how, key)
        for key, finding in after.items():
            old = before.get(key)
            worse = finding.verdict < Verdict.TIGHT and (old is None or finding.verdict < old.verdict)
            assert not worse or key[1] in ("package", "pin-order"), (how, key)  # a land pattern of its own is told
        again = vet(fresh, "FV2")
        told = {f.name: f.after.value for f in again.figures if f.after is not None}
        assert shown[0].time == pytest.approx(told["release time"])
        assert shown[0].peak == pytest.approx(told["drain peak"])


def test_no_clamp_is_offered_that_drives_an_led_beside_the_coil_backwards(tmp_path: Path) -> None:
    """What lets the valve go sooner lifts the node over the rail, and with it D12, rated 5 V, from behind."""
    clamping = vet(written(tmp_path, SLOW, WIDE), "FV2").clamping
    assert clamping is not None and not clamping.found
    for miss in clamping.nearest:
        if miss.how != "diode":
            assert ("D12", "reverse-voltage") in [(ref, f.id) for ref, f in miss.against]


def test_clamps_are_looked_for_only_where_the_turn_off_fails(setup: Setup) -> None:
    assert vet(setup, "FV2").clamping is None
    assert vet(setup, "FV2", Asked(at_once=3)).clamping is None
    assert vet(setup, "tower", Asked(voltage="24 V")).clamping is None


def test_where_no_clamp_cures_the_nearest_is_named_with_what_stands_against_it(corner: Setup) -> None:
    vetted = vet(corner, "FV2", Asked(sets=("release_time=0.2 ms",)))
    assert vetted.clamping is not None and not vetted.clamping.found
    near = {miss.how: miss for miss in vetted.clamping.nearest}
    assert ("D2", "release-time") in [(ref, f.id) for ref, f in near["diode"].against]
    assert all(f.verdict < Verdict.TIGHT for miss in near.values() for _, f in miss.against)


# ---- the command


def test_json_and_objects_say_the_same(command: Runner, corner: Setup) -> None:
    board = corner.board_file.path
    ran = command("vet", board, "FV2", "--voltage", "30 V", "--set", "rail=P24", "--parts", SAMPLES, "--json")
    answer = json.loads(ran.out)
    record = open_board(board, [SAMPLES]).vet("FV2", {"rail": "P24"}, voltage="30 V").record()
    for key in ("gives_way", "figures", "path", "clamping", "new_cautions"):
        assert answer[key] == record[key]
    assert ran.code == 1 and answer["verdict"] == "fails" and answer["verdict_before"] == "tight"
    assert "board_fingerprint" in answer and answer["changes"][0]["key"] == "rail.P24.voltage"
    # the cable of the lamp lifts its switch above 30 V before already: nothing new
    assert any("above 30 V in a wet place" in caution for caution in answer["cautions"])
    assert not any("above 30 V in a wet place" in caution for caution in answer["new_cautions"])
    assert any("can fail at once or years later" in caution for caution in answer["new_cautions"])


@pytest.mark.usefixtures("judged_alone")
def test_a_voltage_that_becomes_unsafe_to_touch_is_a_new_caution(tmp_path: Path) -> None:
    start = TEXT.index("[load.tower]")
    own = TEXT[start : TEXT.index("[", start + 1)]
    made = written(
        tmp_path, (own, "".join(line for line in own.splitlines(True) if not line.startswith("cable"))), text=CORNER
    )
    for volts, new in (("24 V", False), ("30 V", True)):
        vetted = vet(made, "FV2", Asked(sets=("rail=P24",), voltage=volts))
        assert any("above 30 V in a wet place" in caution for caution in vetted.new_cautions) is new


@pytest.mark.usefixtures("judged_alone")
def test_the_table_of_the_object_has_every_requirement(corner: Setup) -> None:
    made = open_board(corner.board_file.path, [SAMPLES]).vet("FV2", {"rail": "P24"}, count=2)
    table = made.table()
    assert len(table) == sum(len(judged.findings) for judged in made.found.after)
    assert "FV2, coil on the rail P24" in made.text


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["FV9"], "has no load 'FV9'; did you mean FV3?"),
        (["Q2"], "Q2 is a switch; name the load that it switches: FV2"),
        (["FV2", "--set", "rale=V12"], "load.FV2.rale: there is no such key; did you mean 'rate'?"),
        (["FV2", "--set", "rail.V12.volts=6 V"], "rail.V12.volts: there is no such key; did you mean 'voltage'?"),
        (["FV2", "--cable-length", "3"], "'3' is not a length in m: a number alone does not say its unit"),
        (["FV2", "--voltage", "24 A"], "'24 A' is not a voltage in V"),
        (["FV2", "--voltage", "24 V AC"], "is not a voltage in V"),
        (["FV2", "--set", "alternating=true"], "an a.c. load is outside this tool"),
        (["FV2", "--voltage", "130 V"], "rail.V12.voltage: 123.5 V is out of range: allowed is 500 mV to 120 V"),
        (["FV2", "--set", "release_time"], "--set 'release_time' is not KEY=VALUE"),
        (["FV2", "--set", "=3"], "--set '=3' is not KEY=VALUE"),
        (["FV2", "--set", "rate="], "--set 'rate=' is not KEY=VALUE"),
        (["FV2", "--set", "rate=1/s", "--set", "rate=2/s"], "--set asks for load.FV2.rate twice; say it once"),
        (["FV2", "--set", "resistance.min=3"], "load.FV2.resistance is one value and has no 'min' in it"),
        (["FV2", "--set", "at_once.4.most=1"], "at_once is a list of 1; name one by its number, 0 to 0, not '4'"),
        (["FV2", "--set", "policy=ecss"], "--set cannot change 'policy' of a board"),
        (["FV2", "--resistance", "10 Ω", "--set", "resistance=11 Ω"], "load.FV2.resistance is asked for twice"),
        (["FV2", "--current", "1 A", "--resistance", "11 Ω"], "the resistance of FV2 determines its current"),
        (["FV2", "--current", "0 A"], "no resistance lets FV2 draw 0 A"),
        (["FV2", "--current", "much"], "--current: 'much' is not a current in A"),
        (["FV2", "--count", "0"], "load.FV2.count: must be at least 1"),
        (["pump", "--at-once", "1"], "pump is in no at_once group"),
        (["tower", "--inductance", "1 mH"], "load.tower.inductance: there is no such key"),
        (["FV2", "--duty", "0.5"], "load.FV2.chopped.frequency: is missing; state it"),
        (["FV2", "--set", "rail=V5", "--voltage", "6 V"], "the rail V5 is made by the regulator U1 and has no voltage"),
        (["FV2", "--set", "rail=V9"], "there is no rail 'V9'; did you mean 'V5'?"),
        (["FV2", "--set", "rail=V9", "--voltage", "9 V"], "there is no rail 'V9' on this board; it has V12, V5"),
    ],
)
def test_every_slip_is_one_sentence(command: Runner, words: list[str], said: str) -> None:
    ran = command("vet", BOARD, *words)
    assert ran.code == 2 and ran.out == ""
    assert said in ran.err
    assert len(ran.err.strip().splitlines()) == 1 and "Traceback" not in ran.err
