"""Order of the candidates: each rule of design is seen to decide where all before it are equal."""

import pytest

from partcheck.ranking import ENOUGH, Rank, why
from partcheck.requirement import Verdict, compare

BASE = Rank("A", Verdict.MEETS, True, 0, 0.2, 1.0, 10.0)


@pytest.mark.parametrize(
    ("better", "worse", "said"),
    [
        (BASE, BASE._replace(verdict=Verdict.TIGHT, headroom=0.9), "is tight"),
        (BASE._replace(verdict=Verdict.TIGHT), BASE._replace(verdict=Verdict.UNPROVEN, price=0.1), "unproven"),
        (BASE._replace(verdict=Verdict.UNPROVEN), BASE._replace(verdict=Verdict.FAILS), "fails"),
        (BASE._replace(changes=2), BASE._replace(available=False), "it is available"),
        (BASE._replace(headroom=0.1), BASE._replace(changes=1), "no change"),
        (BASE._replace(price=9.0), BASE._replace(headroom=0.1), "headroom"),
        (BASE._replace(quantity=0.0), BASE._replace(price=1.1), "costs less"),
        (BASE._replace(quantity=11.0), BASE, "on hand"),
    ],
)
def test_each_rule_decides_in_its_turn(better: Rank, worse: Rank, said: str) -> None:
    assert min([worse, better], key=lambda rank: rank.key) is better
    assert said in why([better, worse])


def test_oversizing_earns_nothing() -> None:
    ample, huge = BASE._replace(headroom=ENOUGH), BASE._replace(headroom=0.95)
    assert ample.key == huge.key
    assert why([ample, huge._replace(price=2.0)]).endswith("tells them apart.")


def test_a_missing_price_ranks_behind_a_stated_one() -> None:
    assert BASE.key < BASE._replace(price=float("nan")).key


def test_no_second_no_sentence() -> None:
    assert why([BASE]) == ""


@pytest.mark.parametrize(
    ("demand", "capability", "verdict", "headroom"),
    [
        (1.0, 2.0, Verdict.MEETS, 0.5),
        (1.9, 2.0, Verdict.TIGHT, 0.05),
        (2.0, 2.0, Verdict.TIGHT, 0.0),
        (2.1, 2.0, Verdict.FAILS, -0.05),
        (1.0, 0.0, Verdict.FAILS, float("-inf")),
        (-1.0, 0.0, Verdict.MEETS, None),
        (-2.0, -1.0, Verdict.MEETS, None),
        (1.0, float("inf"), Verdict.MEETS, 1.0),
        (float("inf"), 2.0, Verdict.FAILS, float("-inf")),
        (float("inf"), float("inf"), Verdict.UNPROVEN, None),
        (float("nan"), 2.0, Verdict.UNPROVEN, None),
        (1.0, float("nan"), Verdict.UNPROVEN, None),
    ],
)
def test_verdict_and_headroom_of_a_pair(
    demand: float, capability: float, verdict: Verdict, headroom: float | None
) -> None:
    got, left = compare(demand, capability, 0.1)
    assert got is verdict
    assert left != left if headroom is None else left == pytest.approx(headroom)
