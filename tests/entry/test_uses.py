"""What a value is for, and what is left unproven without it: against the judged examples of every requirement."""

from typing import Any

import pytest

from partcheck.jobs.entry.consequences import missing_by_value, on_board, unproven, uses
from partcheck.jobs.judge.setup import open_setup
from partcheck.parameters import KINDS
from partcheck.parts import Part, read_parts
from partcheck.readings.explain import explain
from partcheck.readings.uses import BREAKING, FORWARD, SELDOM, left_unproven
from partcheck.requirement import Verdict
from partcheck.roles import ROLES
from tests.command import BOARD, SAMPLES
from tests.roles.test_every_requirement import MODULES, facts_of, prepared, with_value

PLACED = [role.name for role in ROLES.values() if role.kind]
FROM_PARTS = [
    (name, id_) for name in PLACED for id_ in ROLES[name].requirements if not MODULES[name].EXAMPLES[id_].missing.startswith("fact:")
]  # fmt: skip


@pytest.mark.parametrize(("name", "id_"), FROM_PARTS)
def test_a_value_whose_blank_leaves_a_requirement_unproven_is_said_to_be_read_by_it(name: str, id_: str) -> None:
    """The examples know for each requirement a value without which it is unproven."""
    _, part, example, _ = prepared(name, id_)
    assert part is not None
    assert id_ in uses(part.kind)[example.missing][name]


OTHERWISE = {
    ("mosfet-switch", "stray-current"): "a rating that no line exceeds needs no avalanche rating",
    ("indicator", "pulse-current"): "a steady current within if_max needs no peak rating",
    ("indicator", "brightness-low"): "the light stated at that very current needs no relative curve",
    ("npn-sink", "base-current"): "the base current of a saturation row stands for a rating",
    ("clamp", "recovery"): "only where it chops, which the general answer leaves out",
    ("mosfet-switch", "slow-edge"): "edges of up to 1 ms need no area, and only a board tells how long they take",
    ("npn-sink", "inrush"): "a continuous rating that is large enough needs no peak rating",
}
"""Two statements of which either is enough at some conditions: which of them holds, only a board can tell."""
EITHER = {
    ("indicator", "relative_intensity"): {"brightness-low", "brightness-high", "brightness-hot"},
    ("npn-sink", "ib_max"): {"base-current"},
    ("npn-sink", "icm"): {"inrush"},
    ("npn-sink", "icm_width"): {"inrush"},
    # a saturation row driven no harder than the circuit needs no gain, another one does; and heat rests on it
    ("npn-sink", "hfe"): {
        "saturation",
        "junction-rise",
        "stays-off",
        "undriven-base",
        "off-leakage",
        "pulse-rise",
    },
    # a rating against air needs no junction temperature, which rests on these
    **{("mosfet-switch", name): {"drain-current"} for name in ("rds_on", "rds_on_factor", "tj_max", "theta_ja")},
    # on-resistance above the current of its row, on which the heat rests, and on that all that leaks
    ("mosfet-switch", "vgs_th_max"): {"pulse-rise", "gate-hold", "plug-in-hold", "stays-off", "off-leakage", "on-drop"},
    # a start that a bound shows to be harmless needs no transient impedance
    ("mosfet-switch", "zth"): {
        "edge-time",
        "gate-hold",
        "off-leakage",
        "on-drop",
        "plug-in-hold",
        "pulse-rise",
        "stays-off",
    },
    ("clamp", "trr_max"): {"recovery"},
}
"""The same per value: what its blank leaves unproven at the conditions of the example, and not at others."""


@pytest.mark.parametrize(("name", "id_"), FROM_PARTS)
def test_and_without_it_the_requirement_is_among_those_left_unproven(name: str, id_: str) -> None:
    role, part, example, _ = prepared(name, id_)
    assert part is not None
    if (name, id_) in OTHERWISE:
        pytest.skip(OTHERWISE[name, id_])
    without = with_value(part, example.missing, None)
    left = left_unproven(role, without, getattr(MODULES[name], "POLICY", _bench()))
    assert id_ in left
    assert any(each.partition(".")[0] == example.missing for each in left[id_])


def _bench() -> Any:
    from partcheck.policy import BENCH

    return BENCH


@pytest.mark.parametrize("name", PLACED)
def test_the_rare_facts_are_facts(name: str) -> None:
    known = {fact for role in ROLES.values() for fact in role.facts}
    assert known >= SELDOM | FORWARD | BREAKING


@pytest.mark.parametrize("name", PLACED)
def test_a_requirement_that_is_unproven_in_its_example_for_a_blank_of_the_part_is_listed(name: str) -> None:
    """Every single value and table of the example part, blanked one by one and judged for real."""
    role, module = ROLES[name], MODULES[name]
    part: Part = module.PART
    never = {fact: 0.0 for fact in SELDOM if module.FACTS.get(fact)}  # what is said holds where nothing chops
    facts = facts_of(role, module.FACTS, getattr(module, "POLICY", _bench()), never)
    before = {f.id for f in explain(role, part, facts, 0.0) if f.verdict is Verdict.UNPROVEN}
    for column in [*part.values, *part.tables]:
        without = with_value(part, column, None)
        really = {f.id for f in explain(role, without, facts, 0.0) if f.verdict is Verdict.UNPROVEN} - before
        listed = set(left_unproven(role, without))
        assert really - listed <= EITHER.get((name, column), set()), f"{column}: {really - listed}"


def test_names_that_no_requirement_reads_are_those_that_are_for_people() -> None:
    for kind in KINDS:
        unread = set(KINDS[kind].columns()) - set(uses(kind))
        assert {"description", "price", "currency", "quantity", "datasheet", "notes"} <= unread
    assert "vds_max" in uses("mosfet") and "drain-voltage" in uses("mosfet")["vds_max"]["mosfet-switch"]


def test_a_bare_part_leaves_what_it_does_not_state_unproven() -> None:
    bare = Part("mosfet", "X1", "Acme", {"vds_max": 60.0})
    left = unproven(bare)["mosfet-switch"]
    assert left["gate-voltage"] == ("vgs_max",)
    assert left["fully-on"] == ("rds_on",)
    assert "drain-voltage" not in left
    most = next(iter(missing_by_value(left)))
    assert len(missing_by_value(left)[most]) >= len(missing_by_value(left)["vgs_max"])


def test_a_rectifier_needs_no_breakdown_and_a_clamp_no_forward_values() -> None:
    parts = {part.part_number: part for part in read_parts(SAMPLES)}
    assert "standoff" not in unproven(parts["KEST-R100"])["clamp"]
    assert "reverse-voltage" not in unproven(parts["ARFJ-T15B"])["clamp"]


def test_on_a_board_the_places_are_judged_for_real() -> None:
    """As `explain` judges the same part in the same place."""
    part = next(p for p in read_parts(SAMPLES) if p.part_number == "QUIL-M55S")
    found = on_board(BOARD, part, None)
    setup = open_setup(BOARD)
    refs = [ref for ref, role in setup.board_file.board.role.items() if role.role == "mosfet-switch"]
    assert sorted(ref for made in found for ref in made.places) == sorted(refs)
    from partcheck.jobs.check.part import explain_part

    for made in found:
        for ref in made.places:
            judged = explain_part(setup, ref, part).judged
            assert set(made.unproven) == {f.id for f in judged.findings if f.verdict is Verdict.UNPROVEN and f.counts}
            assert set(made.fails) == {f.id for f in judged.findings if f.verdict is Verdict.FAILS and f.counts}
