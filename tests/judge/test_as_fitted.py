"""A part that the board has fitted must fit its land pattern; a candidate that does not asks for a change of the board."""

from typing import Any

import numpy as np
import pytest

from partcheck.board.models import Board
from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.place import judge_place
from partcheck.parts.part import Part
from partcheck.policy import DATASHEET
from partcheck.report.answers.heads import whole_board
from partcheck.report.render.spans import line_text
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.swept import sweep
from tests.examples.roles.mosfet_switch import PART


def situation(pattern: dict[str, Any], part: Part = PART) -> Situation:
    """A heater on a MOSFET with a land pattern, the part fitted there."""
    return Situation(Board.model_validate({
        "format": 1, "name": "pattern", "surroundings": {"ambient": "0..40 °C"},
        "rail": {"V12": {"voltage": "12 V ±5 %"}},
        "drive": {"OUT": {"high": "4.8..5.2 V", "low": "0..0.1 V", "source_resistance": "20..60 Ω"}},
        "load": {"heater": {"sort": "resistive", "rail": "V12", "resistance": "240 Ω ±5 %"}},
        "role": {"Q1": {"role": "mosfet-switch", "drive": "OUT", "load": "heater", **pattern}},
    }), {"Q1": part}, DATASHEET)  # fmt: skip


def other(**values: Any) -> Part:
    return Part("mosfet", "MX-O", "Example", {**PART.values, **values}, PART.tables)


@pytest.mark.parametrize(
    ("pattern", "id_", "told"),
    [
        ({"pin_order": "G-S-D"}, "pin-order", "the fitted part's pins are G-D-S, the land pattern is G-S-D"),
        ({"footprint": "SOT-23"}, "package", "the fitted part's package is TO-220, the land pattern is SOT-23"),
    ],
)
def test_a_fitted_part_that_does_not_fit_its_land_pattern_fails(pattern: dict[str, Any], id_: str, told: str) -> None:
    made = situation(pattern)
    places, links = judge_board(made)
    assert places[0].verdict is Verdict.FAILS
    assert id_ in {f.id for f in places[0].with_verdict(Verdict.FAILS)}
    assert not places[0].footprint_changes
    head = whole_board((*places, *links), None)
    assert head.verdict is Verdict.FAILS
    assert id_ != places[0].with_verdict(Verdict.FAILS)[0].id or told in line_text(head.sentences[0])
    spot = next(sweep(made, made.board, 2).spots(frozenset({"Q1"})))
    assert (spot.counted()[spot.ids.index(id_)] == Verdict.FAILS).all()


def test_what_fits_meets_as_before() -> None:
    for pattern in ({}, {"pin_order": "G-D-S", "footprint": "TO-220"}):
        found = judge_place(situation(pattern), "Q1").findings
        assert all(f.verdict is Verdict.MEETS for f in found if f.id in ("package", "pin-order"))


def test_a_candidate_that_does_not_fit_asks_for_a_change_of_the_board() -> None:
    """The board's own part fits; another package and pin order in its place is no failure, either way of judging it."""
    made, part = situation({"pin_order": "G-D-S", "footprint": "TO-220"}), other(package="SOT-23", pin_order="G-S-D")
    for judged in (judge_place(made, "Q1", part), judge_place(made.replaced("Q1", part), "Q1")):
        assert {f.id for f in judged.footprint_changes} == {"package", "pin-order"}
        assert judged.verdict is judge_place(made, "Q1").verdict
    tried = made.replaced("Q1", part)
    spot = next(sweep(tried, made.board, 2).spots(frozenset({"Q1"})))
    assert np.all(spot.counted()[spot.ids.index("package")] == Verdict.MEETS)
