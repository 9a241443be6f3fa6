"""Values tried a few at a time, rules asked of what changes alone, and answers without what would help."""

import numpy as np
import pytest

from partcheck.board.relations import contradictions, contradictions_of
from partcheck.jobs.change.options import Asked
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.sweep import run as sweeping
from partcheck.jobs.sweep.boundary import grid
from partcheck.jobs.sweep.quantities import adjustables
from partcheck.jobs.vet.vet import vet
from partcheck.requirement import Verdict
from tests.command import BOARD


@pytest.fixture(scope="module")
def setup() -> Setup:
    return open_setup(BOARD)


def test_values_tried_in_portions_give_what_one_run_gives(setup: Setup, monkeypatch: pytest.MonkeyPatch) -> None:
    trials = [(quantity, grid(quantity, 3)) for quantity in adjustables(setup.situation)[:9]]
    whole = sweeping.run(setup.situation, trials)
    monkeypatch.setattr(sweeping, "LARGEST", 10 * len(setup.situation.board.role))
    parts = sweeping.run(setup.situation, trials)
    assert parts.slices == whole.slices
    assert parts.where == whole.where
    assert np.array_equal(parts.verdicts, whole.verdicts)
    np.testing.assert_allclose(parts.headrooms, whole.headrooms, rtol=1e-12, atol=1e-12)  # but for the last digit


def test_the_rules_of_what_a_value_changes_refuse_what_all_rules_refuse(setup: Setup) -> None:
    board, refused = setup.situation.board, 0
    for quantity in adjustables(setup.situation):
        paths = [path for path, _ in quantity.keys]
        for value in (quantity.base / 1000, quantity.base / 3, quantity.base * 3, quantity.base * 1000):
            changed = quantity.apply(board, value)
            told = list(contradictions(changed))
            assert list(contradictions_of(changed, paths)) == told, (quantity.name, value)
            refused += bool(told)
    assert refused


def test_a_vet_without_cures_tells_the_same_verdicts_and_what_gives_way(setup: Setup) -> None:
    quick = vet(setup, "FV2", Asked(voltage="15 V ±5 %"), with_remedies=False)
    assert quick.verdict is Verdict.FAILS
    assert quick.gives_way
    assert not quick.remedies.cures
