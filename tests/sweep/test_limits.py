"""At a limit the board meets, one per cent beyond it does not; the map agrees with boards judged one by one."""

import csv
import io
import json
import random
from dataclasses import replace

import numpy as np
import pytest

from partcheck.board.surroundings import AtOnce
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.sweep.boundary import FINE, grid
from partcheck.jobs.sweep.limits import limits, own_parts
from partcheck.jobs.sweep.map import channel_map, map_of
from partcheck.jobs.sweep.quantities import adjustables, load_scaled, rail_voltage
from partcheck.report.answers.limits import document as answer
from partcheck.report.answers.limits import sheet as report
from partcheck.report.answers.limits.record import record as limits_record
from partcheck.report.record import to_text
from partcheck.report.render import text as screen
from partcheck.requirement import Verdict
from tests.boards import SAMPLE, outcomes, situation_of, written
from tests.command import run as run_here
from tests.draws import LONG, some
from tests.valves import valve_bench


@pytest.fixture(scope="module")
def setup():
    return open_setup(SAMPLE)


@pytest.fixture(scope="module")
def found(setup):
    return limits(setup)


def worst(situation, board):
    return min(verdict for verdict, _ in outcomes(situation_of(situation, board)).values())


def beyond(quantity, value, up):
    """One per cent further; for a temperature one per cent of its scale in kelvin is 3 K, so half a kelvin is taken."""
    if quantity.unit == "°C":
        return value + 0.5 if up else value - 0.5
    return value * (1.01 if up else 0.99)


def every_limit(found):
    for channel in found.channels:
        own = own_parts(found.situation, channel.load)
        for limit in channel.limits:
            yield limit, own if limit.own else None
    for limit in found.air:
        yield limit, None


def test_at_each_limit_the_board_file_meets_and_one_per_cent_beyond_it_does_not(setup, found):
    seen = 0
    known = {}

    def judged(quantity, value):
        sets = tuple(quantity.setting(found.situation.board, value))
        if sets not in known:  # many channels share a rail and the air
            known[sets] = outcomes(situation_of(setup.situation, written(dict(sets))))
        return known[sets]

    for limit, own in some(list(every_limit(found)), 16):
        for value, set_by, up in ((limit.low, limit.low_set_by, False), (limit.high, limit.high_set_by, True)):
            if value is None:
                assert set_by is None
                continue
            seen += 1
            quantity = limit.quantity
            at = judged(quantity, value)
            assert min(v for (ref, _), (v, _) in at.items() if own is None or ref in own) >= Verdict.TIGHT, (
                quantity.name
            )
            after = judged(quantity, beyond(quantity, value, up))
            assert after[set_by.ref, set_by.requirement][0] < Verdict.TIGHT, (quantity.name, value, str(set_by))
    assert seen > (40 if LONG else 12)


def test_no_gap_of_three_per_cent_is_stepped_over_on_the_way_to_a_limit(setup):
    """Everything up to a limit has to hold, not only what lies beside it."""
    for quantity in adjustables(setup.situation):
        if quantity.choices or quantity.linear:
            continue
        tried = grid(quantity, FINE)
        assert quantity.base in tried or quantity.base != quantity.base
        assert (tried[1:] / tried[:-1]).max() < 1.03, quantity.name
        assert tried[0] == pytest.approx(quantity.low) and tried[-1] == pytest.approx(quantity.high)


def test_nothing_is_allowed_where_something_else_fails_already(setup):
    """A rail that is too weak for two valves: no ambient mends it, fewer on at once or a smaller current do."""
    board = written({"rail.V12.current": "3.6 A"})
    weak = open_setup(SAMPLE)
    weak.__dict__["situation"] = situation_of(setup.situation, board)
    found = limits(weak)
    assert found.verdict is Verdict.FAILS
    assert [(s.ref, s.requirement) for s in found.standing] == [("rail V12", "supply-current")]
    air = found.air[0]
    assert not air.allowed and air.high is None and air.high_set_by.ref == "rail V12"
    pump = next(c for c in found.channels if c.load == "pump").limits[0]
    assert not pump.allowed or pump.high < pump.quantity.base
    assert found.at_once.most < 9 and found.at_once.set_by.requirement == "supply-current"
    names, most = list(found.at_once.names), found.at_once.most
    for count, meets in ((most, True), (most + 1, False)):
        changed = board.model_copy(update={"at_once": [AtOnce(of=names, most=count)]})
        assert (worst(setup.situation, changed) >= Verdict.TIGHT) is meets


def test_what_no_value_mends_is_told_once(setup):
    made = situation_of(setup.situation, written({"rail.V12.voltage": "30 V ±5 %"}))
    found = limits(replace(setup, board_file=replace(setup.board_file, board=made.board)))
    out = " ".join(screen.render(answer.document(found)).split())
    way, _, rest = out.partition("What stands in the way")[2].partition("Channels")
    assert "at any value of what has no line below" in way
    assert "no value works" not in out and out.count("at any value of what has no line below") == 1
    assert "To do: make the board meet first" in out
    shown = sum(limit.allowed for channel in found.channels for limit in channel.limits)
    assert 0 < shown < sum(len(channel.limits) for channel in found.channels), "some have a line, others not"
    assert rest.count("By itself it is prevented by") <= len(found.channels)


def test_the_map_agrees_with_boards_judged_one_by_one(setup):
    situation, chance = setup.situation, random.Random(5)
    volts, amperes = np.linspace(4, 36, 30), np.linspace(0.05, 2, 25)
    made = channel_map(situation, "FV2", volts, amperes)
    rail = rail_voltage(situation, "V12")
    allowed = 0
    for _ in range(25 if LONG else 8):
        r, c = chance.randrange(25), chance.randrange(30)
        raised = rail.apply(situation.board, float(volts[c]))
        drawn = situation_of(situation, raised).load("FV2").largest.value
        one = situation_of(situation, load_scaled(raised, "FV2", float(amperes[r]) / drawn))
        assert one.load("FV2").largest.value == pytest.approx(amperes[r])
        verdict = min(v for v, _ in outcomes(one).values())
        assert verdict == made.verdicts[r, c]
        assert (made.cause(r, c) is None) == (verdict >= Verdict.TIGHT)
        allowed += verdict >= Verdict.TIGHT
    assert 0 < made.allowed.sum() < made.allowed.size and allowed < 25


def test_what_gives_way_first_is_what_the_straight_way_crosses_first(setup):
    """On the column of the present voltage the cause above the region is the one that fails at the next finer step."""
    situation = setup.situation
    made = channel_map(situation, "FV2", np.linspace(6, 24, 37), np.linspace(0.1, 2, 20))
    column = int(np.argmin(abs(made.volts - 12)))
    top = max(r for r in range(20) if made.allowed[r, column])
    quantity = limits(setup, "FV2").channels[0].limits[0]
    assert made.amperes[top] <= quantity.high < made.amperes[top + 1]
    for row in range(top + 1, 20):
        cause = made.cause(row, column)
        assert (cause.ref, cause.requirement) == (quantity.high_set_by.ref, quantity.high_set_by.requirement)


def test_the_map_names_the_same_whatever_its_grid(setup):
    """One row and column of few points and of many: what gives way first is found between them, not at them."""
    named, found = [], limits(setup, "FV1")
    for columns, rows in ((20, 8), (64, 18)):
        made = map_of(found, columns, rows)
        row = int(np.argmin(abs(made.amperes - 0.4)))
        ends = [made.cause(row, 0), made.cause(row, columns - 1), made.cause(rows - 1, columns - 1)]
        named.append([(end.ref, end.requirement) for end in ends if end is not None])
    assert named[0] == named[1] and len(named[0]) == 3


def test_the_record_and_the_sheets_carry_the_same_numbers(setup):
    one = limits(setup, "FV3")
    made = map_of(one, 12, 6)
    record = json.loads(to_text(limits_record(one, made)))
    current = record["channels"][0]["limits"][0]
    assert current["quantity"] == "load-current" and current["high"] == one.channels[0].limits[0].high
    assert current["high_sets"][0]["key"] == "load.FV3.resistance"
    rows = list(csv.DictReader(io.StringIO(report.map_sheet(made))))
    assert len(rows) == 72
    for row in rows:
        r, c = record["map"]["amperes"].index(float(row["amperes"])), record["map"]["volts"].index(float(row["volts"]))
        assert record["map"]["verdicts"][r][c] == row["verdict"]
        k = record["map"]["first"][r][c]
        assert (k < 0) == (row["place"] == "") == (row["verdict"] in ("meets", "tight"))
        if k >= 0:
            assert record["map"]["causes"][k]["reference"] == row["place"]
    text = screen.render(answer.document(one, map_=made))
    assert all(len(line) <= 80 for line in text.splitlines())
    assert one.channels[0].limits[0].quantity.shown(current["high"]) in text


def test_the_command(monkeypatch, capsys, tmp_path):
    def run(*words):
        return run_here(monkeypatch, capsys, *words)

    bench = valve_bench(tmp_path / "bench")
    done = run("limits", bench, "FV2", "--grid", "10x5", "--csv")
    assert done.code == 0 and len(done.out.splitlines()) == 51
    assert run("limits", bench, "--csv").out.startswith("channel,switch,quantity")
    wrong = run("limits", SAMPLE, "FV22")
    assert wrong.code == 2 and "did you mean FV2?" in wrong.err
    wrong = run("limits", SAMPLE, "FV2", "--grid", "10")
    assert wrong.code == 2 and "64x18" in wrong.err
    wrong = run("limits", SAMPLE, "FV2", "--grid", "9999x9999")
    assert wrong.code == 2 and len(wrong.err.splitlines()) == 1
