"""The smallest plan: against every combination tried by hand, against the sample board, and as a written file."""

import json
import math
import random
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from partcheck.board import ROLE_KINDS
from partcheck.board.roles import Clamp
from partcheck.jobs.check import judge_board
from partcheck.jobs.planning import Outcome, Planned, plan
from partcheck.jobs.plan_writing import planned_text, write_plan
from partcheck.jobs.resistors import other_values, with_resistor
from partcheck.jobs.setup import Setup, open_setup
from partcheck.parts import Part, read_parts
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from tests.command import BOARD, SAMPLES, run

KNOWN = read_parts(SAMPLES)

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
sort = "coil"
rail = "V12"
resistance = "220 Ω ±10 %"
inductance = "300 mH ±25 %"
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
[role.D5]
role = "clamp"
fitted = "JUNI-W100"
footprint = ["DO-35"]
pin_order = "K-A"
load = "light"
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
    two = seed % 3 == 2
    switches = some(rng, "mosfet", 3, ("MOBY-F60-70", "TALQ-30N52"))
    clamps = some(rng, "diode", 3 if two else 4, ("ARFJ-S60A", "JUNI-W100") if two else ("ARFJ-S60A", "ARFJ-T28B"))
    leds = some(rng, "led", 2, ("HOLL-3A60",))
    npns = some(rng, "bjt", 2, ("KEST-N40L", "TALQ-B60T")) if two else []
    text = SMALL.format(
        policy=rng.choice(["bench", "datasheet"]),
        enclosure='enclosure_theta = "2 K/W"' if seed % 4 == 3 else "",
        ground=rng.choice(["0 Ω", "12 mΩ", "0.3 Ω"]),
        volts=rng.choice([12, 16, 20, 24, 30]),
        amperes=rng.choice([0.7, 1, 3]),
        release=rng.choice([4, 9, 30]),
        switch=rng.choice(["MOBY-F60-70", "TALQ-30N52"]),
        clamp="ARFJ-S60A",
        led="HOLL-3A60",
        bright=rng.choice(["6..80", "10..40", "1..20"]),
        second=SECOND.format(npn=rng.choice(["KEST-N40L", "TALQ-B60T"])) if two else "",
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
    """Every combination of parts, resistors and sides that meets, each board made from nothing."""
    from partcheck.situation.enclosure import settle

    board = setup.board_file.board
    found = []
    for chosen in product(*(list(changes_at(setup, ref)) for ref in board.role)):
        roles = {ref: made[0] for ref, made in zip(board.role, chosen, strict=True)}
        fitted = {ref: made[1] for ref, made in zip(board.role, chosen, strict=True)}
        situation = Situation(board.model_copy(update={"role": roles}), fitted, setup.policy)
        situation.drawn = setup.fitted
        situation = settle(situation)
        places, links = judge_board(situation)
        if any(judged.verdict < Verdict.TIGHT for judged in (*places, *links)):
            continue
        new = {ref for ref, made in zip(board.role, chosen, strict=True) if made[3]}
        patterns = sum(1 for judged in places if judged.ref in new and judged.footprint_changes)
        prices = [fitted[ref].number("price") for ref in new]  # type: ignore[union-attr]
        price = math.fsum(p if p == p else math.inf for p in prices)
        found.append(Tried(sum(made[2] for made in chosen) + patterns, patterns, price))
    return found


@pytest.mark.parametrize("seed", range(12))
def test_no_smaller_or_cheaper_plan_exists_than_the_one_found(seed: int, tmp_path: Path) -> None:
    setup = small_board(seed, tmp_path)
    planned = plan(setup, work=100_000)
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


def test_the_small_boards_are_of_every_sort(tmp_path: Path) -> None:
    """So that the comparison above compares something."""
    sizes = [plan(small_board(seed, tmp_path), work=100_000) for seed in range(12)]
    assert len({planned.size for planned in sizes if planned.outcome is Outcome.PLAN}) >= 3
    assert any(planned.found.options is None for planned in sizes)
