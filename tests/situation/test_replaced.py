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
