"""A board judged under many circuit values at once agrees with the same boards judged one by one."""

import random
from pathlib import Path

import numpy as np
import pytest

from partcheck.board.loads import Capacitive, Chopped
from partcheck.board.surroundings import AtOnce
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.sweep.boundary import grid
from partcheck.jobs.sweep.quantities import adjustables, load_scaled, rail_voltage
from partcheck.jobs.sweep.run import judged, run
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.enclosure import settle
from tests.draws import LONG

SAMPLE = Path(__file__).parents[2] / "catalog_samples" / "bottling-bench.toml"


@pytest.fixture(scope="module")
def situation():
    return open_setup(SAMPLE).situation


def one_by_one(situation, board):
    """Verdict and headroom of every requirement, by the traced reading."""
    made = Situation(board, situation.fitted, situation.policy)
    made.drawn = situation.drawn
    places, links = judge_board(settle(made))
    return {
        (j.ref, f.id): (int(f.verdict) if f.counts else 3, f.headroom) for j in (*places, *links) for f in j.findings
    }


def same(tried, column, expected):
    found = {w: (tried.verdicts[i, column], tried.headrooms[i, column]) for w, i in tried.row.items()}
    assert set(expected) <= set(found)
    # what is asked from a value on is asked of every value tried, and holds under it
    more = [found[where] for where in set(found) - set(expected)]
    assert all(int(verdict) == Verdict.MEETS for verdict, _ in more)
    wrong = []
    for where, (verdict, headroom) in expected.items():
        v, h = found[where]
        if (int(verdict), int(v)) == (0, 1) and h != h:
            continue  # what at_once leaves out of a sum may be a bound: many circuits then tell less, never more
        close = h == headroom or (h != h and headroom != headroom) or abs(h - headroom) < 1e-6 * max(1, abs(headroom))
        if v != verdict or not close:
            wrong.append((where, verdict, headroom, int(v), float(h)))
    assert not wrong


def test_every_quantity_at_random_values(situation):
    quantities = adjustables(situation)
    chance = random.Random(7)
    values = {q: grid(q) for q in quantities}
    tried = run(situation, [(q, values[q]) for q in quantities])
    same(tried, 0, one_by_one(situation, situation.board))
    for quantity, place in chance.sample(list(zip(quantities, tried.slices, strict=True)), 36 if LONG else 10):
        k = chance.randrange(len(values[quantity]))
        board = quantity.apply(situation.board, float(values[quantity][k]))
        same(tried, place.start + k, one_by_one(situation, board))


def on_two_rails(board):
    """The panel's lamp beside a valve on one switch; the second valve, not its indicator, on the panel's supply."""
    panel = board.load["FV2"].model_copy(update={"rail": "P24"})
    switch = board.role["Q1"].model_copy(update={"load": ["FV1", "D11", "fault"]})
    led = board.role["D11"].model_copy(update={"dark_current": 1e-4})
    roles = {ref: role for ref, role in board.role.items() if ref != "Q8"} | {"Q1": switch, "D11": led}
    return board.model_copy(update={"load": {**board.load, "FV2": panel}, "role": roles})


def stored(board):
    """Clamps at the far end of their cables, none at a valve, and feeds with and without a limit and a capacitance."""
    far = {ref: board.role[ref].model_copy(update={"position": "load"}) for ref in ("D1", "D4")}
    v12 = board.rail["V12"]
    rails = [v12.model_copy(update=keys) for keys in ({"current": None}, {"capacitance": None, "current": None})]
    bare = {ref: role for ref, role in board.role.items() if ref != "D2"}
    return [
        board.model_copy(update={"role": {**board.role, **far}, "rail": {**board.rail, "V12": rails[0]}}),
        board.model_copy(update={"role": bare, "rail": {**board.rail, "V12": rails[1]}}),
    ]


def held_and_charged(board):
    """A chopped valve whose current flows on, and electronics in place of the lamp."""
    chopped = Chopped(frequency="200 Hz", duty="0.1..0.2..0.4")
    held = board.load["FV2"].model_copy(update={"chopped": chopped, "edge_limit": 5e-5})
    unit = Capacitive(
        sort="capacitive", rail="V12", current="0.1..0.2 A", capacitance="100 µF ±20 %", series_resistance="9..12 Ω",
        rate="0.2 /s", cable=board.load["tower"].cable.model_copy(),
    )  # fmt: skip
    return board.model_copy(update={"load": {**board.load, "FV2": held, "tower": unit}})


def test_a_map_of_two_quantities_on_other_boards(situation):
    """Chopped valves in a shared return, groups that may be on at once, an enclosure: each takes its own branches."""
    board = situation.board
    chopped = board.load["pump"].chopped
    groups = [AtOnce(of=["FV1", "FV2", "FV3", "D11"], most=2), AtOnce(of=["pump", "tower"], most=1)]
    others = [
        board.model_copy(update={"at_once": groups}),
        board.model_copy(
            update={
                "at_once": [],
                "load": {**board.load, "FV2": board.load["FV2"].model_copy(update={"chopped": chopped})},
            }
        ),
        board.model_copy(update={"surroundings": board.surroundings.model_copy(update={"enclosure_theta": 2.0})}),
        on_two_rails(board),
        held_and_charged(board),
    ]
    assert situation_on(situation, others[-1]).load("FV2").direct.value is not None
    starts = {name: board.load[name].model_copy(update={"rate": 0.5}) for name in ("tower", "pump")}
    starts["pump"] = starts["pump"].model_copy(update={"stall_time": 0.4, "chopped": None})
    others.append(board.model_copy(update={"load": {**board.load, **starts}}))
    others += stored(board)
    chance, count = random.Random(3), 12 if LONG else 3
    for other in others:
        rail = rail_voltage(situation, "V12")
        volts = np.array([chance.uniform(5, 40) for _ in range(count)])
        factors = np.array([chance.uniform(0.1, 6) for _ in range(count)])
        tried = judged(situation, load_scaled(rail.apply(other, volts), "FV2", factors), count)
        for k in range(count):
            expected = one_by_one(situation, load_scaled(rail.apply(other, float(volts[k])), "FV2", float(factors[k])))
            same(tried, k, expected)


def test_starts_that_follow_each_other_faster_and_faster(situation):
    """At some rate the starts of a lamp follow upon each other: from there on its inrush is all there is."""
    load = situation.board.load
    tower = load["tower"].model_copy(update={"rate": 1.0})
    board = situation.board.model_copy(update={"load": {**load, "tower": tower}})
    (rate,) = (q for q in adjustables(situation_on(situation, board)) if q.key == "switching-rate" and q.of == "tower")
    values = np.array([0.01, 1.0, 8.0, 15.0, 24.0, 26.0, 80.0])
    tried = judged(situation, rate.apply(board, values), len(values))
    for k, value in enumerate(values):
        same(tried, k, one_by_one(situation, rate.apply(board, float(value))))


def situation_on(situation, board):
    made = Situation(board, situation.fitted, situation.policy)
    made.drawn = situation.drawn
    return made


def test_without_a_part_everything_about_it_is_missing(situation):
    bare = situation.replaced("Q2", None)
    same(judged(bare, bare.board, 1), 0, one_by_one(bare, bare.board))
