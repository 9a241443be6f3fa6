"""Every cure shown really cures; a quantity that cannot cure is not shown; the value is the one at which it just meets."""

import math

import pytest

from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.remedy.cures import cures, failing
from partcheck.jobs.sweep.quantities import adjustables
from partcheck.requirement import Verdict
from tests import boards
from tests.boards import outcomes, situation_of
from tests.draws import LONG, some
from tests.valves import corner

CORNER = corner(
    "V12 V12.feed V5 U2 U3 VALVE1 VALVE2 PUMP LIGHT FV1 FV2 pump light Q1 Q2 Q4 Q9 D1 D2 D4 D5 D6 D11 D12 U1 J1 common_return pump_return"
)
SAMPLE = boards.SAMPLE if LONG else CORNER
"""An ordinary run cures a valve, the pump, the relay and their supplies, the long one the whole sample."""
TROUBLES = {
    "a higher rail": {"rail.V12.voltage": "18 V ±5 %"},
    "much higher": {"rail.V12.voltage": "24 V ±5 %"},
    "a heavy valve": {"load.FV2.resistance": "8 Ω ±8 %"},
    "heat": {"surroundings.ambient": "5..75 °C"},
    "cold": {"surroundings.ambient": "-40..45 °C", "role.Q9.base_resistor": "2.4 kΩ ±5 %"},
    "a weak drive": {"drive.VALVE2.high": "1.7..1.8..1.9 V"},
    "a weak supply": {"rail.V12.current": "3.6 A" if LONG else "2 A"},
    "a slow gate": {"role.Q4.gate_resistor": "2.2 kΩ ±5 %"},
    "a stored energy": {"load.light.inductance": "3 H ±25 %"},
}


def written(keys):
    return boards.written(keys, SAMPLE)


@pytest.fixture(scope="module")
def base():
    return open_setup(SAMPLE).situation


@pytest.mark.parametrize("keys", TROUBLES.values(), ids=list(TROUBLES))
def test_every_cure_put_back_as_told_cures_and_breaks_nothing(base, keys):
    board = written(keys)
    situation = situation_of(base, board)
    places, links = judge_board(situation)
    wanted = failing([*places, *links])
    before = outcomes(situation)
    assert wanted
    found = cures(situation, wanted)
    assert list(found) == wanted
    tried = set()
    for where, made in found.items():
        for cure in made:
            after = None
            if (cure.sets, where) not in tried:
                tried.add((cure.sets, where))
                after = outcomes(situation_of(base, written({**keys, **dict(cure.sets)})))
                assert after[where][0] >= Verdict.TIGHT, (where, str(cure))
                assert after[where][0] == cure.verdict
                assert min(v for v, _ in after.values()) == cure.overall
                assert not [w for w, (v, _) in before.items() if v >= Verdict.TIGHT and after[w][0] < Verdict.TIGHT]
            if len(tried) > (12 if LONG else 3):  # each is a whole board judged; the boards differ enough
                return


@pytest.mark.parametrize("trouble", ["a higher rail", "a heavy valve", "heat"])
def test_the_value_is_where_it_just_meets(base, trouble):
    """One per cent back towards where it stands, and the requirement does not meet, or something else is lost."""
    situation = situation_of(base, written(TROUBLES[trouble]))
    places, links = judge_board(situation)
    before = outcomes(situation)
    found = cures(situation, failing([*places, *links]))
    quantities = {(q.key, q.of): q for q in adjustables(situation)}
    seen = 0
    for where, cure in some([(where, cure) for where, made in found.items() for cure in made], 16):
        quantity = quantities.get((cure.key, cure.of))
        if quantity is None or quantity.choices or quantity.linear:
            continue
        seen += 1
        back = cure.value * (1.01 if cure.value < cure.before else 0.99)
        after = outcomes(situation_of(base, quantity.apply(situation.board, back)))
        lost = [w for w, (v, _) in before.items() if v >= Verdict.TIGHT and after[w][0] < Verdict.TIGHT]
        assert after[where][0] < Verdict.TIGHT or lost, (where, str(cure))
    assert seen >= 4


def test_a_preferred_resistor_is_the_nearest_that_cures(base):
    keys = {"role.Q9.base_resistor": "3.3 kΩ ±5 %"}
    situation = situation_of(base, written(keys))
    places, links = judge_board(situation)
    wanted = failing([*places, *links])
    found = cures(situation, wanted)
    resistor = next(c for where, made in found.items() if where[1] == "gain" for c in made if c.key == "base-resistor")
    e24 = (2.4e3, 2.7e3, 3.0e3)
    assert resistor.value < 3.3e3
    nearer = [value for value in e24 if value > resistor.value]
    quantity = next(q for q in adjustables(situation) if (q.key, q.of) == ("base-resistor", "Q9"))
    for value in nearer:
        assert outcomes(situation_of(base, quantity.apply(situation.board, value)))["Q9", "gain"][0] < Verdict.TIGHT


def test_what_cannot_cure_is_not_shown(base):
    """A blocking voltage too small for the rail: neither heat, nor currents, nor resistors, nor energy correct it."""
    situation = situation_of(base, written(TROUBLES["much higher"]))
    found = cures(situation, [("D2", "reverse-voltage")])
    assert {cure.key for cure in found["D2", "reverse-voltage"]} == {"rail-voltage"}


def test_nothing_to_cure(base):
    assert cures(base, []) == {}


def test_a_heat_path_that_nobody_stated_gets_its_largest_value(base):
    """U1 without a usable theta: unproven; the cure says how large it may be, and just that proves it."""
    part = base.fitted["U1"]
    bare = type(part)(
        part.kind, part.part_number, part.maker, part.values, {k: t for k, t in part.tables.items() if k != "theta_ja"}
    )
    situation = base.replaced("U1", bare)
    made = cures(situation, [("U1", "junction-rise")])["U1", "junction-rise"]
    heat = next(cure for cure in made if cure.key == "theta")
    assert math.isnan(heat.before) and "not stated yet" in str(heat)
    for value, meets in ((heat.value, True), (heat.value * 1.01, False)):
        board = written({"role.U1.theta_ja": f"{value} K/W"})
        after = outcomes(situation_of(situation, board))
        assert (after["U1", "junction-rise"][0] >= Verdict.TIGHT) is meets


def test_cures_are_left_out_where_nobody_wants_them(base):
    from partcheck.jobs.check.board import Checked

    raised = situation_of(base, written(TROUBLES["a higher rail"]))
    places, links = judge_board(raised)
    setup = open_setup(SAMPLE)
    without = Checked(setup, raised, tuple(places), tuple(links), (), with_remedies=False)
    assert without.verdict is Verdict.FAILS
    assert failing([*places, *links]) and not without.remedies.cures
