"""What is worked out in one is the number that its trace says, and the trace is made only when it is asked for."""

import pytest

from partcheck.jobs.judge.setup import open_setup
from partcheck.operations import in_one
from partcheck.readings import story, trace
from partcheck.readings.trace import Later, Leaf, Traced, TracedTable
from partcheck.roles import npn_saturation
from partcheck.situation import Situation
from tests.command import BOARD, SAMPLES, sample_parts

EMPTY = TracedTable(trace.PointTable({"ic": (), "max": ()}), Leaf("vce_sat", "V", missing=("vce_sat max",)), {})


def test_a_trace_is_made_once_and_only_when_it_is_asked_for() -> None:
    made = []

    def doubled(_: object, x: Traced) -> Traced:
        made.append(x)
        return 2.0 * x

    number = in_one(doubled, EMPTY, Traced(3.0, Leaf("ic", "A")))
    assert isinstance(number, Later) and number.value == 6.0 and made == [3.0]
    assert (number + 1.0).value == 7.0 and len(made) == 1
    assert number.how == "·" and number.args[0] == 2.0 and number.args[1].how.name == "ic"
    assert number.name == "" and len(made) == 2
    assert trace.symbols(number) == "2 · ic"
    with pytest.raises(AttributeError):
        number.other  # noqa: B018


def test_plain_numbers_go_straight_through() -> None:
    assert in_one(lambda a, b: a + b, 1.0, 2.0) == 3.0


def test_a_division_by_zero_is_that_of_traced_numbers() -> None:
    made = in_one(lambda _, x: 1.0 / x, EMPTY, Traced(0.0, Leaf("ib", "A")))
    assert made.value == float("inf") and made.how == "/"


def test_every_drop_of_the_samples_is_the_one_that_its_trace_says(monkeypatch: pytest.MonkeyPatch) -> None:
    drops: list[Later] = []
    plain = npn_saturation.in_one

    def noted(*given: object) -> object:
        drops.append(plain(*given))
        return drops[-1]

    monkeypatch.setattr(npn_saturation, "in_one", noted)
    setup = open_setup(BOARD, [SAMPLES])
    parts = [part for part in sample_parts() if part.kind == "bjt"]
    places = [ref for ref, role in setup.situation.board.role.items() if role.role == "npn-sink"]
    assert len(parts) > 5 and places
    for ref in places[:2]:
        for part in parts:
            situation: Situation = setup.situation.replaced(ref, part)
            situation.quantity(ref, "tj_peak")
    known = 0
    for drop in drops:
        if not isinstance(drop, Later):
            continue
        traced = drop._make()
        assert traced.value == drop.value or (traced.value != traced.value and drop.value != drop.value)
        known += drop.value == drop.value
        if drop.value != drop.value:
            assert story.tell(drop).missing
    assert known > 10
