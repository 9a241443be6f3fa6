"""A board with another part, or another resistor, in one place: what stands from before is what would be made anew."""

import pytest

from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.screen.resistors import other_values, with_resistor
from partcheck.situation import Situation
from tests.command import BOARD


@pytest.fixture(scope="module")
def setup() -> Setup:
    made = open_setup(BOARD)
    made.lasting = True
    judge_board(made.situation)  # everything is made, so that everything might stand
    return made


def told(situation: Situation) -> dict[tuple[str, str], tuple[object, ...]]:
    places, links = judge_board(situation)
    return {
        (judged.ref, finding.id): (
            finding.verdict,
            *(repr((pair.demand, pair.capability)) for pair in finding.compared),
        )
        for judged in (*places, *links)
        for finding in judged.findings
    }


def anew(situation: Situation) -> Situation:
    made = Situation(situation.board, situation.fitted, situation.policy, situation.inside_rise)
    made.drawn = situation.drawn
    return made


REFS = ["Q2", "Q4", "Q9", "D3", "D12", "U1", "J2"]


@pytest.mark.parametrize("ref", REFS)
def test_another_part_leaves_what_does_not_rest_on_it(setup: Setup, ref: str) -> None:
    own = setup.situation.fitted[ref]
    assert own is not None
    other = next(part for part in reversed(setup.parts.of_kind(own.kind)) if part.key != own.key)
    made = setup.situation.replaced(ref, other)
    assert told(made) == told(anew(made))


@pytest.mark.parametrize("ref", ["Q9", "D13"])
def test_another_resistor_leaves_what_does_not_rest_on_it(setup: Setup, ref: str) -> None:
    change = list(other_values(setup.situation.board, ref))[-1]
    board = with_resistor(setup.situation.board, ref, change)
    made = setup.situation.replaced(ref, setup.situation.fitted[ref], board, here_only=True)
    assert told(made) == told(anew(made))


def test_few_requirements_rest_on_one_part(setup: Setup) -> None:
    """Complexity, not seconds: who asks for stand-ins pays for what they touch."""
    places, links = judge_board(setup.situation)
    others = [
        (judged.ref, finding) for judged in (*places, *links) for finding in judged.findings if judged.ref != "Q2"
    ]
    resting = [
        ref for ref, finding in others if setup.situation.finding_rests_on(ref, finding.requirement, "Q2", False)
    ]
    assert 0 < len(resting) < len(others) / 10


def test_what_came_about_before_stands_only_where_all_that_it_read_is_the_same(setup: Setup) -> None:
    """Parts and a resistor come and go in turn: each board is what it would be made from nothing."""
    parts = setup.parts.of_kind("led")[:3]
    change = list(other_values(setup.situation.board, "Q9"))[-1]
    for part in (*parts, *parts):
        made = setup.situation.replaced("D12", part)
        made = made.replaced("Q9", made.fitted["Q9"], with_resistor(made.board, "Q9", change), here_only=True)
        assert told(made) == told(anew(made))
        change = next(iter(other_values(setup.situation.board, "Q9")))


def test_the_same_exchange_again_makes_no_finding_anew(setup: Setup) -> None:
    """Complexity, not seconds: a search that comes to the same board twice judges it once."""
    other = setup.parts.of_kind("mosfet")[-1]
    first, again = (setup.situation.replaced("Q4", other) for _ in range(2))
    findings = [[f for judged in judge_board(made)[0] for f in judged.findings] for made in (first, again)]
    assert all(one is two for one, two in zip(*findings, strict=True))
