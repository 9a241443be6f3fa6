"""The smallest plan: against every combination tried by hand, against the sample board, and as a written file."""

import json
import math
import random
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from partcheck.board import ROLE_KINDS
from partcheck.board.roles import Clamp
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.plan.plan import Outcome, Planned, plan
from partcheck.jobs.plan.search import WORK
from partcheck.jobs.plan.writing import planned_text, write_plan
from partcheck.jobs.screen.resistors import other_values, with_resistor
from partcheck.parts import Part
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from tests import draws
from tests.command import BOARD, SAMPLES, run, sample_parts

ORDINARY = (0, 1, 5, 6, 10, 14)
"""No plan, and plans of one, two and four changes; the last has two channels."""
SEEDS = (*ORDINARY, 2, 3, 13, 9)
KNOWN = sample_parts()

SMALL = """\
format = 1  # a small board
name = "One channel"
series = "E3"
policy = "{policy}"
[surroundings]
ambient = "5..45 °C"  # indoors
{enclosure}
[replacement_resistor]
tolerance = "1 %"
power = "0.25 W"
[ground]
resistance = "{ground}"
[rail.V12]  # the supply
voltage = "{volts} V ±5 %"
current = "{amperes} A"
source_resistance = "5..30 mΩ"
[drive.VALVE1]
high = "4.8..5..5.15 V"
low = "0..0.05..0.15 V"
source_resistance = "20..60 Ω"
[load.FV1]
sort = "coil"
rail = "V12"
resistance = "36 Ω ±8 %"
inductance = "60 mH ±20 %"
winding_temperature = "5..90 °C"
least_voltage = "9.6 V"
off_leakage = "0.5 mA"
rate = "1 /s"
release_time = "{release} ms"
release_level = "70 mA"
[role.Q1]
role = "mosfet-switch"
fitted = "{switch}"  # the switch
footprint = ["SOT-23"]
pin_order = "G-S-D"
copper_area = "1 cm²"
drive = "VALVE1"
load = ["FV1", "D11"]
pulldown = "100 kΩ ±5 %"
[role.D1]
role = "clamp"
fitted = "{clamp}"
footprint = ["SMA"]
pin_order = "K-A"
copper_area = "0.5 cm²"
load = "FV1"
[role.D11]
role = "indicator"
fitted = "{led}"
footprint = ["LED-3MM"]
rail = "V12"
switch = "Q1"
resistor = "2.2 kΩ ±5 %"
resistor_power = "0.25 W"
brightness = "{bright} mcd"
wavelength = "580..600 nm"
{second}
"""
SECOND = """\
[drive.LIGHT]
high = "4.8..5..5.15 V"
low = "0..0.05..0.15 V"
source_resistance = "20..60 Ω"
[load.light]
sort = "resistive"
rail = "V12"
resistance = "220 Ω ±10 %"
allowed_drop = "0.7 V"
rate = "0.1 /s"
[role.Q9]
role = "npn-sink"
fitted = "{npn}"
footprint = ["TO-92"]
pin_order = "E-B-C"
drive = "LIGHT"
load = "light"
base_resistor = "2.2 kΩ ±5 %"
base_emitter_resistor = "10 kΩ ±5 %"
"""


@dataclass(frozen=True)
class Tried:
    """One combination of the brute force that meets."""

    size: int
    patterns: int
    price: float


def some(rng: random.Random, kind: str, count: int, wanted: tuple[str, ...] = ()) -> list[Part]:
    """A few parts of the samples."""
    known = [part for part in KNOWN if part.kind == kind]
    own = [part for part in known if part.part_number in wanted]
    return own + rng.sample([part for part in known if part not in own], count - len(own))


def small_board(seed: int, folder: Path) -> Setup:
    """A small board and a small catalog, at random."""
    rng = random.Random(seed)
    two = seed % 5 == 4
    switches = some(rng, "mosfet", 2 if two else 3, ("MOBY-F60-70", "TALQ-30N52"))
    clamps = some(rng, "diode", 2 if two else 4, ("ARFJ-S60A", "ARFJ-T28B"))
    leds = some(rng, "led", 1 if two else 2, ("HOLL-3A60",))
    npns = some(rng, "bjt", 2, ("KEST-N40L", "TALQ-B60T")) if two else []
    text = SMALL.format(
        policy=rng.choice(["bench", "datasheet"]),
        enclosure='enclosure_theta = "2 K/W"' if seed % 4 == 3 else "",
        ground=rng.choice(["0 Ω", "12 mΩ", "0.3 Ω"]),
        volts=rng.choice([12, 16, 20, 24]),
        amperes=rng.choice([0.8, 3]),
        release=rng.choice([4, 30, 60]),
        switch=rng.choice(["MOBY-F60-70", "TALQ-30N52"]),
        clamp="ARFJ-S60A",
        led="HOLL-3A60",
        bright=rng.choice(["6..80", "6..80", "2..25"]),
        second=SECOND.format(npn=rng.choice(["KEST-N40L", "TALQ-B60T"])) if two else "",
    )
    if seed % 3:  # beside the coil the LED allows no clamp but a diode across it; elsewhere the clamp may move
        text = text.replace('load = ["FV1", "D11"]', 'load = "FV1"').replace(
            'rail = "V12"\nswitch = "Q1"', 'rail = "V12"'
        )
    path = folder / "small.toml"
    path.write_text(text, encoding="utf-8")
    return open_setup(path, given=[*switches, *clamps, *leds, *npns])


def changes_at(setup: Setup, ref: str) -> Iterator[tuple[Any, Part | None, int, bool]]:
    """Everything that may stand at a place: a changed role, its part, how many changes, whether the part is new."""
    board, own = setup.board_file.board, setup.fitted[ref]
    role = board.role[ref]
    sides = [role]
    if isinstance(role, Clamp):
        sides.append(role.model_copy(update={"across": "switch", "conducts": "breakdown"}))
    for side in sides:
        drawn = board.model_copy(update={"role": {**board.role, ref: side}})
        boards = [(drawn, 0), *((with_resistor(drawn, ref, value), 1) for value in other_values(drawn, ref))]
        for made, by_resistor in boards:
            for part in setup.parts.of_kind(ROLE_KINDS[role.role]):
                new = own is None or part.key != own.key
                gone = part.word("status") in ("obsolete", "out-of-stock") and not part.number("quantity") > 0
                if not (new and gone):
                    yield made.role[ref], part, by_resistor + new + (side is not role), new


def brute_force(setup: Setup) -> list[Tried]:
    """Every combination of parts, resistors and sides that meets with the least changes, each board made from nothing."""
    from partcheck.situation.enclosure import settle

    board = setup.board_file.board
    order, found = list(board.role), []
    every = product(*(list(changes_at(setup, ref)) for ref in board.role))
    for chosen in sorted(every, key=lambda chosen: sum(made[2] for made in chosen)):
        size = sum(made[2] for made in chosen)
        if found and size > min(made.size for made in found):  # land patterns only add to it
            break
        roles = {ref: made[0] for ref, made in zip(board.role, chosen, strict=True)}
        fitted = {ref: made[1] for ref, made in zip(board.role, chosen, strict=True)}
        situation = Situation(board.model_copy(update={"role": roles}), fitted, setup.policy)
        situation.drawn = setup.fitted
        situation = settle(situation)
        fails = next((ref for ref in order if judge_place(situation, ref).verdict < Verdict.TIGHT), None)
        if fails is not None:  # where it failed last it is likely to fail again
            order.remove(fails)
            order.insert(0, fails)
            continue
        places, links = judge_board(situation)
        if any(link.verdict < Verdict.TIGHT for link in links):
            continue
        new = {ref for ref, made in zip(board.role, chosen, strict=True) if made[3]}
        patterns = sum(1 for judged in places if judged.ref in new and judged.footprint_changes)
        prices = [fitted[ref].number("price") for ref in new]  # type: ignore[union-attr]
        price = math.fsum(p if p == p else math.inf for p in prices)
        found.append(Tried(size + patterns, patterns, price))
    return found


Plans = Callable[[int], tuple[Setup, Planned]]


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> Plans:
    """The plan of a small board, sought once for all tests."""

    @cache
    def found(seed: int) -> tuple[Setup, Planned]:
        setup = small_board(seed, tmp_path_factory.mktemp(f"seed{seed}"))
        return setup, plan(setup, work=100_000)

    return found


@pytest.mark.parametrize("seed", SEEDS if draws.LONG else ORDINARY)
def test_no_smaller_or_cheaper_plan_exists_than_the_one_found(seed: int, plans: Plans) -> None:
    setup, planned = plans(seed)
    every = brute_force(setup)
    if not every:
        assert planned.outcome in (Outcome.NONE, Outcome.UNPROVEN)
        return
    best = min(every, key=lambda made: (made.size, made.patterns, made.price))
    assert planned.outcome is (Outcome.PLAN if best.size else Outcome.MEETS)
    assert planned.found.smallest and planned.found.cheapest
    assert planned.size == best.size
    assert sum(step.option.patterns for step in planned.steps) == best.patterns
    assert math.fsum(step.option.price for step in planned.steps) == pytest.approx(best.price)


def test_the_small_boards_are_of_every_sort(plans: Plans) -> None:
    """So that the comparison above compares something."""
    sizes = [plans(seed)[1] for seed in SEEDS]
    assert len({planned.size for planned in sizes if planned.outcome is Outcome.PLAN}) >= 3
    assert any(planned.found.options is None for planned in sizes)


def test_a_fitted_board_that_meets_needs_no_plan() -> None:
    planned = plan(open_setup(BOARD, [SAMPLES]))
    assert planned.outcome is Outcome.MEETS and planned.steps == ()
    assert planned.gone == ("Q2 TALQ-60N80",)


@pytest.fixture(scope="module")
def raised() -> Planned:
    """The sample board at 15 V with a softer lamp: two clamps have to change."""
    asked = Asked(voltage="15 V ±5 %", sets=("load.tower.inrush_factor=5",))
    return plan(open_setup(BOARD, [SAMPLES]), "FV1", asked)


def test_each_change_of_a_plan_is_justified(raised: Planned) -> None:
    assert raised.outcome is Outcome.PLAN and raised.found.smallest and raised.found.cheapest
    assert {step.option.ref for step in raised.steps} == {"D3", "Q9"} and raised.size == 2
    for step in raised.steps:
        assert step.cured
        for cured in step.cured:
            assert cured.without.verdict < Verdict.TIGHT
            assert cured.now is None or cured.now.verdict >= Verdict.TIGHT


def test_the_written_board_passes_check_and_keeps_the_users_text(
    raised: Planned, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "planned.toml"
    said = write_plan(raised, path)
    assert "relative to its own folder" in said
    text, old = path.read_text(encoding="utf-8"), BOARD.read_text(encoding="utf-8")
    assert len(text.splitlines()) == len(old.splitlines())
    differ = [pair for pair in zip(old.splitlines(), text.splitlines(), strict=True) if pair[0] != pair[1]]
    keys = [old_line.split("=")[0].strip() for old_line, _ in differ]
    assert sorted(keys) == ["fitted", "fitted", "inrush_factor", "parts", "voltage"]
    assert all(a.partition("  #")[2] == b.partition("  #")[2] for a, b in differ)  # comments stay
    ran = run(monkeypatch, capsys, "check", path, "--json")
    answer = json.loads(ran.out)
    assert ran.code == 0
    fitted = {place["reference"]: place["part_number"] for place in answer["places"]}
    for step in raised.steps:
        assert step.option.part is not None and fitted[step.option.ref] == step.option.part.part_number


def test_every_kind_of_change_is_written_as_it_was_judged(tmp_path: Path, plans: Plans) -> None:
    """Part, maker, resistor with its rating, side of the clamp, land pattern: read back, they give the same board."""
    for seed in (1, 5, 13, 14):
        setup, planned = plans(seed)
        assert planned.steps
        text = planned_text(planned, tmp_path / "new.toml")
        assert "# the supply" in text and "# a small board" in text
        again = open_text(text, setup, tmp_path)
        whole = {j.ref: j for j in (*(group for found in judge_board(again.situation) for group in found),)}
        for judged in planned.after:
            assert whole[judged.ref].verdict is judged.verdict
            assert whole[judged.ref].headroom == pytest.approx(judged.headroom, nan_ok=True, rel=1e-6, abs=1e-9)
            assert not whole[judged.ref].footprint_changes


def open_text(text: str, setup: Setup, folder: Path) -> Setup:
    """A board from its text, with the same parts and policy."""
    path = folder / "again.toml"
    path.write_text(text, encoding="utf-8")
    return open_setup(path, policy=setup.policy.name, given=setup.parts.given)


def test_the_sample_at_a_higher_rail_is_mended_or_refused_never_passed() -> None:
    """At 18 V there is a plan, which the long run seeks; at 24 V none is claimed, and what is left is told."""
    setup = open_setup(BOARD, [SAMPLES])
    if draws.LONG:
        planned = plan(setup, "FV1", Asked(voltage="18 V ±5 %"))
        assert planned.outcome is Outcome.PLAN
        assert {step.option.ref for step in planned.steps} == {"D11", "D12", "D3", "Q9"}
        for step in planned.steps:
            assert all(cured.without.verdict < Verdict.TIGHT for cured in step.cured)
    raised = plan(setup, "FV1", Asked(voltage="24 V ±5 %"), work=WORK if draws.LONG else 150)
    assert raised.outcome in (Outcome.NONE, Outcome.UNDECIDED)
    # by hand: no diode for D3 alone both blocks the rail and lets its valve go in time where the rest stays
    for part in setup.parts.of_kind("diode"):
        judged = judge_place(raised.setup.situation.replaced("D3", part), "D3")
        assert judged.verdict < Verdict.TIGHT


def test_a_link_without_a_part_is_named(tmp_path: Path) -> None:
    text = BOARD.read_text(encoding="utf-8").replace('track_rise = "20 K"', 'track_rise = "0.1 K"')
    path = tmp_path / "board.toml"
    path.write_text(text, encoding="utf-8")
    planned = plan(open_setup(path, [SAMPLES]))
    assert planned.outcome is Outcome.NONE
    assert {made.ref for made in planned.found.blocked} >= {"track pump_return"}
    assert all(made.compared == 0 for made in planned.found.blocked)


def test_where_the_search_ends_at_its_limit_the_answer_says_so(raised: Planned) -> None:
    planned = plan(raised.setup, work=60)
    if planned.found.options is None:
        assert planned.outcome is Outcome.UNDECIDED
    else:
        assert not (planned.found.smallest and planned.found.cheapest)


def test_the_command(
    raised: Planned, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "planned.toml"
    words = ("plan", BOARD, "FV1", "--voltage", "15 V ±5 %", "--set", "load.tower.inrush_factor=5", "--write", path)
    path.write_text("", encoding="utf-8")
    again = run(monkeypatch, capsys, *words)
    assert again.code == 2 and "--force" in again.err
    path.unlink()
    wanted: list[tuple[Any, ...]] = []

    def planned(setup: Setup, *asked: Any) -> Planned:
        wanted.append(asked)
        return raised  # the same question, answered before

    monkeypatch.setattr("partcheck.jobs.plan.plan.plan", planned)
    found = run(monkeypatch, capsys, *words)
    assert wanted == [("FV1", Asked(voltage="15 V ±5 %", sets=("load.tower.inrush_factor=5",)))]
    said = " ".join(found.out.split())
    assert found.code == 0 and "With 2 changes" in said and "No smaller plan exists" in said
    assert max(map(len, found.out.splitlines())) <= 80
    forced = run(monkeypatch, capsys, *words, "--force", "--json")
    answer = json.loads(forced.out)
    assert forced.code == 0 and answer["size"] == 2 and answer["smallest"]
    assert tomllib.loads(path.read_text(encoding="utf-8"))["role"]["D3"]["fitted"] == "ARFJ-T18B"
    monkeypatch.undo()
    hot = tmp_path / "hot.toml"
    hot.write_text(
        BOARD.read_text(encoding="utf-8").replace('track_rise = "20 K"', 'track_rise = "0.1 K"'), encoding="utf-8"
    )
    none = run(monkeypatch, capsys, "plan", hot, "--parts", SAMPLES, "--write", tmp_path / "no.toml")
    assert none.code in (1, 3) and "What stands in the way" in none.out and not (tmp_path / "no.toml").exists()
    wrong = run(monkeypatch, capsys, "plan", BOARD, "--voltage", "15 V")
    assert wrong.code == 2 and "LOAD" in wrong.err
