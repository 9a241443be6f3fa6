"""A zero is an answer like any other: no key that takes one, whatever else fails, ends in a fault."""

import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from typing import Any

import pytest
from pydantic import BaseModel

from partcheck.board import parse_board
from partcheck.board.edit import edited
from partcheck.board.fields import measure_of
from partcheck.errors import PartcheckError
from partcheck.jobs.change.options import Asked
from partcheck.jobs.check.board import check
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.sweep.limits import limits
from partcheck.jobs.sweep.map import map_of
from partcheck.jobs.vet.vet import vet
from partcheck.report.answers.check import document as checked_answer
from partcheck.report.answers.limits import document as limits_answer
from partcheck.report.answers.vet import document as vet_answer
from partcheck.report.render import text as screen
from partcheck.units import Span
from tests.command import BOARD, SAMPLES

SMALL = """
format = 1
name = "every sort of place"
[surroundings]
ambient = "5..45 °C"
enclosure_theta = "1 K/W"
[limits]
noise = "0.15 V"
ground_lift = "0.2 V"
contact_drop = "50 mV"
track_rise = "20 K"
[ground]
resistance = "12 mΩ"
[rail.V12]
voltage = "12 V ±5 %"
current = "5 A"
fault_current = "6.5 A"
source_resistance = "5..30 mΩ"
transient = "15 V"
feed = { length = "1.5 m", wire = "1.5 mm²", rating = "12 A" }
[rail.V5]
regulator = "U1"
logic_current = "22..55 mA"
accepts = "4.5..5.5 V"
[chip.U2]
supply = "V5"
pin_current = "20 mA"
total_current = "120 mA"
[drive.A]
chip = "U2"
high = "4.8..5..5.15 V"
low = "0..0.05..0.15 V"
source_resistance = "20..60 Ω"
edge_time = "5..20 ns"
floats = true
[drive.B]
high = "4.8..5..5.15 V"
low = "0..0.05..0.15 V"
source_resistance = "20..60 Ω"
[drive.C]
high = "4.8..5..5.15 V"
high_at = "5 mA"
low = "0..0.05..0.15 V"
[load.one]
sort = "coil"
rail = "V12"
current = "0.3..0.4 A"
extra_current = "1 mA"
resistance = "36 Ω ±8 %"
inductance = "60 mH ±20 %"
least_voltage = "9.6 V"
off_leakage = "0.5 mA"
rate = "1 /s"
release_time = "12 ms"
release_level = "70 mA"
cable = { length = "3 m", wire = "0.75 mm²", table = "chassis", inductance = "3.5 µH ±30 %" }
[load.two]
sort = "coil"
rail = "V12"
resistance = "36 Ω ±8 %"
inductance = "60 mH ±20 %"
release_time = "12 ms"
release_level = "70 mA"
[load.pump]
sort = "motor"
rail = "V12"
current = "0.35..0.5..0.65 A"
stall_current = "1.5 A"
stall_time = "1 s"
inductance = "1.8 mH ±30 %"
allowed_drop = "0.15 V"
edge_limit = "2.2 µs"
chopped = { frequency = "4 kHz", duty = "0.1..1" }
[load.panel]
sort = "logic-input"
rail = "V12"
current = "2.5..4.5..7 mA"
low_level = "5 V"
off_leakage = "0.3 mA"
[load.lamp]
sort = "lamp"
rail = "V12"
current = "0.15..0.18..0.2 A"
inrush_factor = 8
inrush_time = "40 ms"
[role.Q1]
role = "mosfet-switch"
fitted = "TALQ-30N52"
theta_ja = "150 K/W"
drive = "A"
load = ["one", "two", "D11"]
gate_resistor = "470 Ω ±5 %"
pulldown = "100 kΩ ±5 %"
[role.Q4]
role = "mosfet-switch"
fitted = "TALQ-55D22"
copper_area = "3 cm²"
drive = "B"
load = ["pump", "lamp"]
gate_resistor = "22 Ω ±5 %"
pulldown = "47 kΩ ±5 %"
[role.Q6]
role = "npn-sink"
fitted = "MOBY-N45A"
drive = "C"
load = "panel"
base_resistor = "4.7 kΩ ±5 %"
base_emitter_resistor = "47 kΩ ±5 %"
[role.D1]
role = "clamp"
fitted = "ARFJ-T15B"
load = "one"
across = "switch"
conducts = "breakdown"
[role.D11]
role = "indicator"
fitted = "HOLL-3A60"
rail = "V12"
switch = "Q1"
resistor = "2.7 kΩ ±5 %"
resistor_power = "0.25 W"
brightness = "6..80 mcd"
wavelength = "580..600 nm"
viewing_angle = "40..140°"
[role.U1]
role = "regulator"
fitted = "ARFJ-L50C"
copper_area = "6 cm²"
input = "V12"
output = "V5"
output_capacitor = "22 µF ±20 %"
output_esr = "0.5..1.5 Ω"
[role.J2]
role = "terminal"
fitted = "PELL-508-6"
pitch = "5.08 mm"
spacing = "2 mm"
wire = "0.75 mm²"
poles = [{ pole = 1, side = "feed", load = "one" }, { pole = [2, 3], side = "switched", load = "one" }]
[track.returns]
width = "2.5 mm"
thickness = "32 µm"
length = "40 mm"
load = ["one", "two", "pump"]
spacing = "0.65 mm"
"""
HERE = BOARD.parent / "small.toml"  # never written: where the parts beside it are looked for


def keys(model: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], list[str]]]:
    """Every key of a board that takes a quantity, stated or not, and zeros for it: its least end, then all of it."""
    if isinstance(model, dict):
        for name, value in model.items():
            yield from keys(value, (*path, name))
    elif isinstance(model, BaseModel):
        for name, field in type(model).model_fields.items():
            value, measure = getattr(model, name), measure_of(field.annotation, field.metadata)
            if measure is not None and not isinstance(value, BaseModel | dict):
                zeros = [f"0 {measure.unit}".strip()]
                if isinstance(value, Span) and measure.unit != "°C":
                    zeros.insert(0, f"0..{value.typ:.12g}..{value.max:.12g} {measure.unit}".strip())
                yield (*path, name), zeros
            elif isinstance(value, BaseModel | dict):
                yield from keys(value, (*path, name))


@pytest.fixture(scope="module")
def small() -> Setup:
    setup = open_setup(BOARD, [SAMPLES])
    return Setup(parse_board(SMALL, HERE), setup.parts, setup.policy)


def zeroed(setup: Setup, alone: bool) -> Iterator[tuple[tuple[str, ...], Setup]]:
    """The board with zeros, and the first key that has one: each key alone, or all of one table, as far as taken."""
    file = setup.board_file
    changed, first = file, None
    for path, zero in ((path, zero) for path, zeros in keys(file.board) for zero in zeros):
        if first is not None and (alone or path[:2] != first[:2]):
            yield first, Setup(changed, setup.parts, setup.policy)
            changed, first = file, None
        with suppress(PartcheckError):
            changed = parse_board(edited(changed.text, [(path, zero)]), HERE)
            first = first or path
    if first is not None:
        yield first, Setup(changed, setup.parts, setup.policy)


def answers(setup: Setup, load: str) -> None:
    """What else varies a board's values or divides by them; a sentence is as good as an answer."""
    for ask in (_limits, _vet):
        with suppress(PartcheckError):
            assert ask(setup, load)


def _limits(setup: Setup, load: str) -> str:
    found = limits(setup, load)
    return screen.render(limits_answer.document(found, map_=map_of(found, 4, 3)))


def _vet(setup: Setup, load: str) -> str:
    return screen.render(vet_answer.document(vet(setup, load, Asked(voltage="18 V"))))


VARIED = ("current", "stall_current", "resistance", "high")
"""What is varied in proportion, and what a limit or a change to vet is worked out from."""


def test_all_zeros_of_a_table_at_once(small: Setup) -> None:
    """The load, drive, place and so on with every key at 0 that takes it beside the others."""
    assert any(place.verdict < 2 for place in check(small).places), "something has to fail: only then are cures sought"
    names = [
        path[0] for path, setup in zeroed(small, alone=False) if screen.render(checked_answer.document(check(setup)))
    ]
    assert {"surroundings", "limits", "ground", "rail", "drive", "load", "role"} <= set(names)


def test_each_key_alone_that_is_varied_in_proportion(small: Setup) -> None:
    found = 0
    for path, setup in zeroed(small, alone=True):
        if path[-1] in VARIED and path[0] in ("load", "drive"):
            assert screen.render(checked_answer.document(check(setup)))
            answers(setup, path[1] if path[0] == "load" else "one")
            found += 1
    assert found > 2


def test_a_load_that_draws_nothing_has_no_map_and_says_so(small: Setup) -> None:
    """No file may state one; a board made in a program can."""
    board = small.board_file.board
    load = board.load["panel"].model_copy(update={"current": Span(0.0, 0.0, 0.0)})
    changed = board.model_copy(update={"load": {**board.load, "panel": load}})
    setup = Setup(replace(small.board_file, board=changed), small.parts, small.policy)
    found = limits(setup, "panel")
    assert "load-current" not in {limit.quantity.key for limit in found.channels[0].limits}
    assert screen.render(limits_answer.document(found))
    with pytest.raises(PartcheckError, match="panel draws no current that could be varied"):
        map_of(found, 4, 3)


@pytest.mark.skipif("PARTCHECK_BOARDS" not in os.environ, reason="long: set PARTCHECK_BOARDS to run it")
def test_every_key_of_the_sample_board_that_takes_a_zero() -> None:
    setup = open_setup(BOARD, [SAMPLES])
    for path, changed in zeroed(setup, alone=True):
        assert screen.render(checked_answer.document(check(changed))), path
