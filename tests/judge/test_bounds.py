"""A bound that the circuit alone proves stands in for a missing value: it proves, and never condemns."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from partcheck.jobs.judge.board import judge_board
from partcheck.jobs.judge.place import judge_place, tight
from partcheck.jobs.judge.setup import Setup, open_setup
from partcheck.jobs.screen.parts import Plain
from partcheck.parts import Part
from partcheck.parts.checks import attempt
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.situation.swept import sweep
from tests.boards import situation_of, written
from tests.command import BOARD, SAMPLES

Verdicts = Mapping[tuple[str, str], Verdict]


@pytest.fixture(scope="module")
def setup() -> Setup:
    return open_setup(BOARD, [SAMPLES])


def blank(part: Part, name: str) -> Part:
    """The part without one value or table."""
    values = {key: value for key, value in part.values.items() if key != name}
    tables = {key: table for key, table in part.tables.items() if key != name}
    return Part(part.kind, part.part_number, part.maker, values, tables, part.provenance)


def verdicts(situation: Situation) -> Verdicts:
    places, links = judge_board(situation)
    return {(j.ref, f.id): f.verdict for j in (*places, *links) for f in j.findings}


@pytest.fixture(scope="module")
def before(setup: Setup) -> Verdicts:
    return verdicts(setup.situation)


def fitted(setup: Setup, ref: str) -> Part:
    part = setup.situation.fitted[ref]
    assert part is not None
    return part


HINGES: list[tuple[str, str, set[str]]] = [
    ("D11", "vf", set()),  # on a switch, from 12 V
    ("D13", "vf", set()),  # on a drive, beside a gate
    ("D14", "vf", set()),  # on the rail that a regulator makes
    ("Q6", "vceo", set()),
    ("Q6", "vbe_on", set()),
    ("Q4", "qg_max", {"U1 junction-rise"}),
    ("D4", "vf", {"Q4 drain-voltage"}),
    ("D1", "vf", {"Q1 drain-voltage", "D11 reverse-voltage"}),
    ("U1", "v_out_max", {"D14 brightness-high", "D14 resistor-power", "rail V5 logic-supply"}),
    ("U1", "iq_max", {"rail V12 supply-current"}),
    (
        "U1",
        "output",
        {f"D14 {id_}" for id_ in ("brightness-low", "brightness-high", "brightness-hot", "resistor-power")}
        | {"rail V5 logic-supply"},
    ),
    ("J2", "contact_resistance_max", set()),
    ("Q6", "vcbo", set()),
]
"""What of other places turns unproven with a value of a part blank, by the circuit diagram of the sample."""


@pytest.mark.parametrize(("ref", "name", "hinges"), HINGES, ids=lambda value: value if isinstance(value, str) else "")
def test_only_what_hinges_on_a_missing_value_is_unproven(
    setup: Setup, before: Verdicts, ref: str, name: str, hinges: set[str]
) -> None:
    after = verdicts(setup.situation.replaced(ref, blank(fitted(setup, ref), name)))
    changed = {f"{place} {id_}" for (place, id_), v in after.items() if place != ref and v is not before[place, id_]}
    assert changed == hinges
    assert not any(v is Verdict.FAILS and before[key] is not Verdict.FAILS for key, v in after.items() if key[0] != ref)


def test_what_a_bound_proves_holds_for_every_part_that_might_be_meant(setup: Setup) -> None:
    """Brute force: with its values blank nothing beside an LED is passed that any known LED there would break."""
    nothing = verdicts(setup.situation.replaced("D11", blank(fitted(setup, "D11"), "vf")))
    proved = {key for key, verdict in nothing.items() if verdict >= Verdict.TIGHT and key[0] != "D11"}
    for led in setup.parts.of_kind("led")[::5]:
        found = verdicts(setup.situation.replaced("D11", led))
        assert not [key for key in proved if found.get(key, Verdict.MEETS) < Verdict.TIGHT], led.part_number


def test_the_bound_of_setting_resistors_holds_for_every_known_adjustable_part(setup: Setup) -> None:
    resistors = {"role.U1.upper_resistor": "1 kΩ ±1 %", "role.U1.lower_resistor": "330 Ω ±1 %"}
    board = situation_of(setup.situation, written(resistors))
    bound = board.replaced("U1", blank(fitted(setup, "U1"), "output")).quantity("U1", "divider_current")
    assert bound.bounded
    found = [board.replaced("U1", part).quantity("U1", "divider_current") for part in setup.parts.of_kind("regulator")]
    known = [fact.value for fact in found if not fact.bounded and fact.value > 0]
    assert known and max(known) < bound.value


def test_no_sheet_may_state_more_than_what_bounds_a_blank_value(setup: Setup) -> None:
    """The bound of a quiescent current and of a contact is what entering a part holds it to."""
    for ref, quantity, column in (
        ("U1", "iq_largest", "iq_max"),
        ("J1", "contact_resistance_max", "contact_resistance_max"),
    ):
        part = fitted(setup, ref)
        most = float(setup.situation.replaced(ref, blank(part, column)).quantity(ref, quantity).value)
        for value, refused in ((most, False), (1.01 * most, True)):
            made, _ = attempt(part.kind, {"part_number": "X", "maker": "Y", column: value}, {}, {})
            assert (made is None) is refused


def situation_with(setup: Setup, keys: dict[str, Any]) -> Situation:
    return situation_of(setup.situation, written(keys)).replaced("D11", blank(fitted(setup, "D11"), "vf"))


def test_what_a_bound_exceeds_is_not_known_and_says_what_is_missing(setup: Setup) -> None:
    """4.7 mA of an LED over 2.565 kΩ at 12.6 V, and 20 mA that the bound is over 600 Ω: the limit lies between."""
    shape = {"role.D11.resistor": "600 Ω ±5 %", "role.D11.resistor_power": "2 W"}
    base = situation_with(setup, shape)
    total = float(base.rail_current("V12").value)
    known = float(situation_of(setup.situation, written(shape)).rail_current("V12").value)
    assert total == pytest.approx(known, abs=0.03) and total > known
    at = situation_with(setup, {**shape, "rail.V12.current": f"{(total + known) / 2} A"})
    _, links = judge_board(at)
    finding = next(f for j in links if j.ref == "rail V12" for f in j.findings if f.id == "supply-current")
    assert finding.verdict is Verdict.UNPROVEN and any("D11" in name for name in finding.story.missing)
    enough = situation_with(setup, {**shape, "rail.V12.current": f"{2 * total} A"})
    _, links = judge_board(enough)
    finding = next(f for j in links if j.ref == "rail V12" for f in j.findings if f.id == "supply-current")
    assert finding.verdict >= Verdict.TIGHT and any("D11" in name for name in finding.story.bounded)


def test_the_plateau_is_not_raised_by_a_current_that_is_only_a_bound(setup: Setup) -> None:
    """A higher plateau would let the gate discharge sooner: only what surely flows may raise it."""
    facts = situation_with(setup, {}).facts("Q1")
    valve, lamp = (setup.situation.load(name).least.value for name in ("FV1", "D11"))
    assert facts["least_current"].value == pytest.approx(valve, rel=1e-4)
    assert any("D11" in name for name in facts["least_current"].bounded)
    assert setup.situation.facts("Q1")["least_current"].value == pytest.approx(valve + lamp, rel=1e-9)


def test_the_readings_agree_about_what_a_bound_exceeds(setup: Setup) -> None:
    """Every known MOSFET at once, and many circuits at once, say the same as one by one."""
    here = situation_with(setup, {"role.D11.resistor": "10 Ω ±5 %"})
    traced = {f.id: f.verdict for f in judge_place(here, "Q1").findings}
    facts = here.facts("Q1")
    judged = judge_columns(facts.role, columns_of("mosfet", [fitted(setup, "Q1")]), Plain(facts), 1, tight(here))
    columns = {id_: Verdict(judged.verdicts[i, 0]) for i, id_ in enumerate(judged.ids)}
    assert columns == traced and Verdict.UNPROVEN in traced.values()
    swept = sweep(here, here.board, 2)
    for spot in swept.spots(frozenset({"Q1", "rail V12"})):
        everything = [judged for part in judge_board(here) for judged in part]
        alone = {f.id: f.verdict for j in everything if j.ref == spot.ref for f in j.findings}
        for i, id_ in enumerate(spot.ids):
            assert np.all(spot.verdicts[i] == alone[id_]), (spot.ref, id_)
