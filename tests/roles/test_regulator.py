"""The linear regulator: edges, random circuits inside the corners, traps, and two readings that agree."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from partcheck.board.models import Board
from partcheck.parts.part import Part, point_table
from partcheck.points import EMPTY
from partcheck.policy import BENCH, DATASHEET, Policy
from partcheck.readings.explain import Finding, explain, open_views
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from tests.examples.roles import regulator as examples

ROLE = ROLES["regulator"]
TIGHT = 0.1


def facts_of(changes: Mapping[str, Any] = {}, policy: Policy = BENCH) -> dict[str, Any]:
    """Plain facts of the example circuit, policy filled in."""
    made: dict[str, Any] = {**dict.fromkeys(ROLE.facts), **examples.FACTS, **changes}
    for name in ROLE.facts:
        if name.startswith("k_"):
            made[name] = policy.value(name[2:])
        elif name.startswith("assumed_"):
            made[name] = policy.assumption(name[8:])
    made["tj_ceiling"] = policy.value("tj_ceiling")
    return made


def changed(part: Part, values: Mapping[str, Any] = {}, tables: Mapping[str, Any] = {}) -> Part:
    """The part with other values and tables."""
    return Part(part.kind, part.part_number, part.maker, {**part.values, **values}, {**part.tables, **tables})


def dropout(*rows: tuple[float, float]) -> dict[str, Any]:
    """A dropout table of (current, largest) rows."""
    return {"dropout": point_table("regulator", "dropout", [{"iout": i, "max": v} for i, v in rows])}


def cell(part: Part, table: str, row: int, column: str, value: float) -> Part:
    """The part with one cell of a table changed."""
    columns = {name: list(cells) for name, cells in part.table(table).columns.items()}
    columns[column][row] = value
    return changed(part, tables={table: type(part.table(table))({k: tuple(v) for k, v in columns.items()})})


def both(part: Part, facts: Mapping[str, Any]) -> dict[str, Finding]:
    """Findings by id; the columns have to say the same."""
    findings = {f.id: f for f in explain(ROLE, part, {k: Fact(v) for k, v in facts.items()}, TIGHT)}
    judged = judge_columns(ROLE, columns_of("regulator", [part]), facts, 1, TIGHT)
    assert judged.ids == tuple(findings)
    for id_, verdict, headroom in zip(judged.ids, judged.verdicts[:, 0], judged.headrooms[:, 0], strict=True):
        assert findings[id_].verdict == verdict, id_
        assert headroom == pytest.approx(findings[id_].headroom, nan_ok=True, rel=1e-9, abs=1e-12), id_
    return findings


def value(part: Part, facts: Mapping[str, Any], name: str) -> float:
    """A quantity of the part in its place."""
    p, _ = open_views(ROLE, part, {k: Fact(v) for k, v in facts.items()})
    return float(getattr(p, name).value)


# ---- the edges


def varied(part: Part, vary: Any, to: Any) -> Part:
    """The part with what an example varies at a value."""
    return cell(part, *vary, to) if isinstance(vary, tuple) else changed(part, {vary: to})


def test_every_requirement_has_an_example() -> None:
    assert set(examples.EXAMPLES) == set(ROLE.requirements)


def test_the_example_part_meets_everything() -> None:
    assert all(f.verdict in (Verdict.MEETS, Verdict.TIGHT) for f in both(examples.PART, facts_of()).values())


@pytest.mark.parametrize("id_", examples.EXAMPLES)
def test_edge(id_: str) -> None:
    example = examples.EXAMPLES[id_]
    part, facts = changed(examples.PART, example.values), facts_of(example.facts)
    assert both(varied(part, example.vary, example.meets), facts)[id_].verdict in (Verdict.MEETS, Verdict.TIGHT)
    assert both(varied(part, example.vary, example.fails), facts)[id_].verdict is Verdict.FAILS
    blank = {"tables": {example.missing: EMPTY}}
    missing = changed(part, **(blank if example.missing in part.tables else {"values": {example.missing: None}}))
    finding = both(missing, facts)[id_]
    assert finding.verdict is Verdict.UNPROVEN
    assert any(example.missing in name for name in finding.story.missing), finding.story.missing
    if not isinstance(example.meets, str):
        assert abs(example.meets / example.fails - 1) <= 0.02


@pytest.mark.parametrize(
    ("fact", "id_"),
    [
        ("input_transient", "input-transient"), ("accepts_low", "output-tolerance"), ("battery", "quiescent"),
        ("back_feed", "back-feed"), ("footprint", "package"), ("pins", "pin-order"),
    ],
)  # fmt: skip
def test_a_demand_that_the_board_does_not_state_is_not_asked(fact: str, id_: str) -> None:
    assert id_ not in both(examples.PART, facts_of({fact: None}))


# ---- random circuits inside the corners

RANDOM = np.random.default_rng(20240531)


def within(low: float, high: float) -> float:
    """A value inside a range, its ends as likely as its middle."""
    return float(RANDOM.choice([low, high, RANDOM.uniform(low, high)]))


def adjustable(v_ref_from: str | None, **values: Any) -> Part:
    """The example part, adjustable."""
    made = {**examples.ADJUSTABLE, "v_ref_from": v_ref_from, "load_regulation_max": 0.01, **values}
    return changed(examples.PART, made)


def node(v_ref: float, upper: float, lower: float, i_adj: float, floating: bool) -> tuple[float, float]:
    """Output voltage and divider current of an ideal adjustable part, by Kirchhoff's current law at the pin."""

    def excess(v_out: float) -> float:
        v_pin = v_out - v_ref if floating else v_ref
        into_pin = -i_adj if floating else i_adj
        return (v_out - v_pin) / upper - v_pin / lower - into_pin

    v_out = float(brentq(excess, -1000.0, 1000.0, xtol=1e-12))
    return v_out, (v_ref if floating else v_out - v_ref) / upper


@pytest.mark.parametrize("v_ref_from", ["ground", "output"])
def test_no_adjustable_output_leaves_its_corners(v_ref_from: str) -> None:
    floating = v_ref_from == "output"
    for _ in range(25):
        low, tol, change, i_adj = RANDOM.uniform(0.5, 3), RANDOM.uniform(0.001, 0.05), 0.01, RANDOM.uniform(0, 2e-4)
        upper, lower = (10 ** RANDOM.uniform(2, 3.3) for _ in range(2))
        ends = {
            f"{name}_{end}": ohms * (1 + sign * tol)
            for name, ohms in (("upper", upper), ("lower", lower))
            for end, sign in (("min", -1), ("typ", 0), ("max", 1))
        }
        part = adjustable(v_ref_from, v_ref_min=low, v_ref_typ=low, v_ref_max=low * 1.04, i_adj_max=i_adj)
        facts = facts_of({**ends, "load_current": 0.0})
        high, least, divider, least_divider = (
            value(part, facts, q) for q in ("v_out_high", "v_out_low", "divider_current", "divider_least")
        )
        seen = []
        for _ in range(120):
            made, current = node(
                within(low - change, low * 1.04 + change),
                within(ends["upper_min"], ends["upper_max"]),
                within(ends["lower_min"], ends["lower_max"]),
                within(0 if floating else -i_adj, i_adj),  # into a grounded part's pin it may flow either way
                floating,
            )
            seen.append(made)
            assert least - 1e-9 <= made <= high + 1e-9
            assert least_divider - 1e-12 <= current <= divider + 1e-12
        assert max(seen) > 0.95 * high
        assert min(seen) < 1.06 * least


def test_the_published_setting_of_a_floating_part() -> None:
    """Vo = Vref(1 + R2/R1) + Iadj R2, Texas Instruments LM317, SLVS044 (from memory): 240 Ω and 720 Ω give 5 V."""
    part, facts = adjustable("output"), facts_of(examples.RESISTORS)
    assert value(part, facts, "v_out_nominal") == pytest.approx(5.0)
    # the same resistors under a reference that stands on ground make another voltage
    assert value(adjustable("ground"), facts, "v_out_nominal") == pytest.approx(1.25 * (1 + 240 / 720))
    assert math.isnan(value(adjustable(None), facts, "v_out_high"))


def test_no_operating_point_is_hotter_than_said() -> None:
    for _ in range(40):
        v_low, v_in = RANDOM.uniform(3, 12), RANDOM.uniform(13, 30)
        load, iq, theta = RANDOM.uniform(0.01, 0.6), RANDOM.uniform(1e-4, 0.02), RANDOM.uniform(20, 200)
        part = cell(changed(examples.PART, {"v_out_min": v_low, "v_out_max": v_low * 1.05, "iq_max": iq}),
                    "theta_ja", 0, "max", theta)  # fmt: skip
        facts = facts_of({"input_max": v_in, "load_current": load})
        said, seen = value(part, facts, "tj_hot"), 0.0
        for _ in range(60):
            out, i_out = within(v_low - 0.02, v_low * 1.05 + 0.02), within(0, load)
            feed_drop = within(0, 0.6)
            v = within(0.8 * v_in, v_in) - feed_drop
            # power in less power out, not the role's formula
            heat = v * (i_out + within(0, iq)) - out * i_out
            seen = max(seen, within(263.15, 318.15) + theta * heat)
        assert seen <= said + 1e-6
        assert said - 318.15 == pytest.approx(theta * (v_in * (load + iq) - (v_low - 0.02) * load), rel=1e-9)


def test_a_part_said_to_meet_regulates_at_every_feed() -> None:
    """A pass element that needs its dropout, behind a diode and a feed that other loads share."""
    met = 0
    for _ in range(150):
        rows = sorted((float(RANDOM.uniform(0.02, 0.8)), 0.0) for _ in range(3))
        volts = np.cumsum(RANDOM.uniform(0.05, 0.9, 3))
        table = [(i, float(v)) for (i, _), v in zip(rows, volts, strict=True)]
        load, other, ohms = RANDOM.uniform(0.01, 0.6), RANDOM.uniform(0, 3), RANDOM.uniform(0, 0.8)
        source, diode, iq = RANDOM.uniform(7, 11), RANDOM.uniform(0.2, 1.0), 0.005
        facts = facts_of(
            {"load_current": load, "input_min": source - diode - ohms * (load + iq + other), "input_max": 14.0}
        )
        verdict = both(changed(examples.PART, tables=dropout(*table)), facts)["dropout"].verdict
        if load > table[-1][0]:
            assert verdict is Verdict.UNPROVEN
        if verdict < Verdict.TIGHT:
            continue
        met += 1
        for _ in range(20):
            i, more = within(0, load), within(0, other)
            v_in = source + RANDOM.uniform(0, 1) - within(0, diode) - ohms * (i + iq + more)
            needed = next(v for at, v in table if at >= i) * RANDOM.uniform(0.5, 1)  # rises with the current
            assert v_in - needed >= within(4.88, 5.12) - 1e-9
    assert met > 30


# ---- what is left


def test_what_is_left_is_the_boundary_of_the_check() -> None:
    """With that much more load the tightest of rating, heat and dropout is just used up."""
    for facts in ({}, {"input_min": 6.25}, {"ambient_max": 353.15}, {"input_max": 22.0}):
        limits = facts_of({**facts, "feed_resistance": 0.0})
        left = value(examples.PART, limits, "current_left")
        which = {by: value(examples.PART, limits, f"current_by_{by}") for by in ("rating", "heat", "dropout")}
        assert left == pytest.approx(min(which.values()) - 0.1)
        for step, good in ((-1e-6, True), (1e-3, False)):
            found = both(examples.PART, {**limits, "load_current": 0.1 + left + step})
            worst = min(found[i].verdict for i in ("output-current", "junction-rise", "dropout"))
            assert (worst >= Verdict.TIGHT) is good, (which, worst)


def test_more_load_lowers_its_own_input() -> None:
    """At 0.5 A the 0.4 A more drop another 2 V in 5 Ω, so the row that would just fit no longer does."""
    stiff, soft = (facts_of({"input_min": 7.0, "feed_resistance": ohms}) for ohms in (0.0, 5.0))
    assert value(examples.PART, stiff, "current_by_dropout") == 0.5
    assert value(examples.PART, soft, "current_by_dropout") == 0.05


def test_highest_input_is_the_boundary_of_the_heat() -> None:
    facts = facts_of()
    highest = value(examples.PART, facts, "input_highest")
    for v_in, good in ((highest - 1e-6, True), (highest + 0.01, False)):
        verdict = both(examples.PART, {**facts, "input_max": v_in})["junction-rise"].verdict
        assert (verdict >= Verdict.TIGHT) is good


# ---- traps


def test_dropout_is_read_at_the_next_higher_current_and_never_typical() -> None:
    part = changed(examples.PART, tables=dropout((0.05, 0.3), (0.15, 4.9)))
    assert both(part, facts_of())["dropout"].verdict is Verdict.FAILS
    typical = point_table("regulator", "dropout", [{"iout": 0.5, "typ": 0.3}])
    assert both(changed(part, tables={"dropout": typical}), facts_of())["dropout"].verdict is Verdict.UNPROVEN
    beyond = changed(part, tables=dropout((0.099, 0.3)))
    assert both(beyond, facts_of())["dropout"].verdict is Verdict.UNPROVEN


def test_dropout_counts_from_the_highest_output() -> None:
    """5.12 V and 1.2 V need 6.32 V; 5.0 V typical would have been content with 6.25 V."""
    assert both(examples.PART, facts_of({"input_min": 6.25}))["dropout"].verdict is Verdict.FAILS
    assert both(examples.PART, facts_of({"input_min": 6.33}))["dropout"].verdict is Verdict.TIGHT


def test_the_1117_family_from_a_sagging_5_v() -> None:
    """Texas Instruments LM1117, SNOCS412N: 1.1 V at 100 mA typical, taken here for a maximum; 4.2 V must fail."""
    part = changed(examples.PART, {"v_out_min": 3.25, "v_out_typ": 3.3, "v_out_max": 3.3, "load_regulation_max": 0.0},
                   dropout((0.1, 1.1)))  # fmt: skip
    assert both(part, facts_of({"input_min": 5.0}))["dropout"].verdict >= Verdict.TIGHT
    assert both(part, facts_of({"input_min": 4.2}))["dropout"].verdict is Verdict.FAILS


def test_heat_takes_the_lowest_output_and_the_quiescent_current() -> None:
    """(12.6 - 4.88) V at 100 mA and 12.6 V at 5 mA; typical values and no quiescent current would give 0.76 W."""
    assert value(examples.PART, facts_of(), "dissipation") == pytest.approx(7.72 * 0.1 + 12.6 * 0.005)


def test_setting_resistors_are_part_of_the_load() -> None:
    facts = facts_of({**examples.RESISTORS, "load_current": 0.0})
    part = adjustable("output", load_regulation_max=None)
    assert value(part, facts, "load_total") == pytest.approx(1.3 / 237.6 + 100e-6)
    assert value(part, facts, "iq_largest") == 0.005
    assert value(changed(part, {"iq_max": None}), facts, "iq_largest") == 100e-6  # it has no ground pin
    assert math.isnan(value(changed(adjustable("ground"), {"iq_max": None}), facts, "iq_largest"))


def test_a_minimum_load_not_stated_is_none_for_a_fixed_part_only() -> None:
    blank = {"iout_min": None}
    assert both(changed(examples.PART, blank), facts_of())["minimum-load"].verdict is Verdict.MEETS
    facts = facts_of(examples.RESISTORS)
    assert both(changed(adjustable("output"), blank), facts)["minimum-load"].verdict is Verdict.UNPROVEN
    neither = changed(examples.PART, {"iout_min": None, "output": None})
    assert both(neither, facts_of())["minimum-load"].verdict is Verdict.UNPROVEN
    assert both(examples.PART, facts_of({"least_load": 0.0}))["minimum-load"].verdict is Verdict.FAILS


def test_a_largest_capacitor_not_stated_is_assumed_only_by_a_policy_that_says_so() -> None:
    part = changed(examples.PART, {"cout_max": None})
    found = both(part, facts_of())["output-capacitor"]
    assert found.verdict is Verdict.MEETS
    assert found.story.assumed
    assert both(part, facts_of(policy=DATASHEET))["output-capacitor"].verdict is Verdict.UNPROVEN


def test_both_ends_of_a_window_count() -> None:
    for values, id_ in (({"cout_max": 26e-6}, "output-capacitor"), ({"esr_min": 0.06}, "output-esr"),
                        ({"esr_max": 0.4}, "output-esr"), ({"v_out_min": 4.51}, "output-tolerance")):  # fmt: skip
        assert both(changed(examples.PART, values), facts_of())[id_].verdict is Verdict.FAILS, values
    for values in ({"esr_min": None}, {"esr_max": None}):
        assert both(changed(examples.PART, values), facts_of())["output-esr"].verdict is Verdict.UNPROVEN


def test_a_short_overvoltage_needs_its_own_rating() -> None:
    part = changed(examples.PART, {"vin_transient": None, "vin_max": 22.0})
    assert both(part, facts_of())["input-transient"].verdict is Verdict.FAILS  # 0.9 · 22 V, not 22 V


def test_a_multilayer_or_short_time_theta_proves_nothing() -> None:
    for mounting in ("multilayer", "short-time"):
        rows = [{"copper_area": 0, "mounting": mounting, "max": 30.0}]
        part = changed(examples.PART, tables={"theta_ja": point_table("regulator", "theta_ja", rows)})
        assert both(part, facts_of())["junction-rise"].verdict is Verdict.UNPROVEN


# ---- better parts, and the two readings

BETTER = {
    "vin_max": 1, "vin_transient": 1, "iout_max": 1, "iout_min": -1, "iq_max": -1, "load_regulation_max": -1,
    "cout_min": -1, "cout_max": 1, "esr_min": -1, "esr_max": 1, "v_reverse_max": 1, "tj_max": 1, "v_out_min": 1,
    "v_out_max": -1, "v_ref_min": 1, "v_ref_max": -1, "i_adj_max": -1,
}  # fmt: skip


def random_part() -> Part:
    """A part near the edges of the example circuit, fixed or adjustable, some values blank."""
    base = examples.PART if RANDOM.random() < 0.5 else adjustable(str(RANDOM.choice(["ground", "output"])))
    values = {
        name: None if RANDOM.random() < 0.08 else v * RANDOM.uniform(0.85, 1.2) if isinstance(v, float) else v
        for name, v in base.values.items()
    }
    rows = [(i, v * RANDOM.uniform(0.5, 4)) for i, v in ((0.05, 1.0), (0.12, 1.2), (0.5, 1.5))[RANDOM.integers(0, 3) :]]
    theta = [{"copper_area": 0, "mounting": "minimum", "max": float(RANDOM.uniform(40, 150))}]
    tables = {**dropout(*rows), "theta_ja": point_table("regulator", "theta_ja", theta)}
    if RANDOM.random() < 0.1:
        tables.pop(str(RANDOM.choice(["dropout", "theta_ja"])))
    return Part("regulator", "R", "M", values, tables)


def random_facts() -> dict[str, Any]:
    """The example circuit, sometimes with resistors that set about 5 V."""
    if RANDOM.random() < 0.5:
        return facts_of()
    scale = 1.0 if RANDOM.random() < 0.5 else 9.0  # for a reference on the output, and on ground
    return facts_of({name: v * scale if name.startswith("upper") else v for name, v in examples.RESISTORS.items()})


def test_a_better_value_never_worsens_a_verdict() -> None:
    for _ in range(12):
        part, facts = random_part(), random_facts()
        before = both(part, facts)
        better = [changed(part, {name: v * (1 + 0.1 * way)}) for name, way in BETTER.items()
                  if isinstance(v := part.values.get(name), float)]  # fmt: skip
        better += [cell(part, name, row, "max", part.table(name).columns["max"][row] * 0.9)
                   for name in part.tables for row in range(len(part.table(name)))]  # fmt: skip
        for other in better:
            after = judge_columns(ROLE, columns_of("regulator", [other]), facts, 1, TIGHT)
            for id_, verdict in zip(after.ids, after.verdicts[:, 0], strict=True):
                assert verdict >= before[id_].verdict, (id_, other.values, part.values)


def test_columns_and_explanation_agree_on_random_parts() -> None:
    parts, facts = [random_part() for _ in range(60)], random_facts()
    judged = judge_columns(ROLE, columns_of("regulator", parts), facts, len(parts), TIGHT, chunk=17)
    wrapped = {k: Fact(v) for k, v in facts.items()}
    for i, part in enumerate(parts):
        for k, finding in enumerate(explain(ROLE, part, wrapped, TIGHT)):
            assert judged.verdicts[k, i] == finding.verdict, (finding.id, part.values)
            expected = finding.headroom
            assert judged.headrooms[k, i] == pytest.approx(expected, nan_ok=True, rel=1e-9, abs=1e-12), finding.id
    assert len({tuple(column) for column in judged.verdicts.T}) > 5


@pytest.mark.parametrize("name", [*ROLE.requirements])
def test_a_blank_value_never_passes(name: str) -> None:
    """Whatever a requirement reads of a part: blank, it no longer meets, but for what is documented."""
    allowed = {"vin_transient", "load_regulation_max", "iout_min", "cout_max"}
    facts = {k: Fact(v) for k, v in facts_of().items()}
    base = next(f for f in explain(ROLE, examples.PART, facts, TIGHT) if f.id == name)
    for origin in base.story.origins:
        if origin.from_part and origin.name in examples.PART.values and origin.name not in allowed:
            found = explain(ROLE, changed(examples.PART, {origin.name: None}), facts, TIGHT)
            assert next(f for f in found if f.id == name).verdict is Verdict.UNPROVEN, origin.name


def test_an_input_that_does_not_cover_the_dropout_pulls_the_output_out_of_its_tolerance() -> None:
    """Out of regulation the output is the input less the dropout, not the stated least output."""
    low = value(examples.PART, facts_of(), "v_out_low") + value(examples.PART, facts_of(), "dropout_stated")
    starved = facts_of({"input_min": low - 0.5})
    assert value(examples.PART, starved, "output_lowest") == pytest.approx(
        value(examples.PART, starved, "v_out_low") - 0.5
    )
    assert value(examples.PART, facts_of(), "output_lowest") == value(examples.PART, facts_of(), "v_out_low")


# ---- an output capacitor of which the board says nothing


SILENT = {
    "capacitor_min": Fact(0.0, "", bounded=("U1.output_capacitor",)),
    "capacitor_max": Fact(math.nan, "", ("U1.output_capacitor",)),
    "capacitor_unsaid": 0.0,
    "esr_fitted_min": Fact(0.0, "", bounded=("U1.output_esr",)),
    "esr_fitted_max": Fact(math.nan, "", ("U1.output_esr",)),
    "esr_unsaid": 0.0,
}


@pytest.mark.parametrize(
    ("values", "open_"),
    [
        ({}, {"output-capacitor", "output-esr"}),
        ({"esr_min": 0.0, "esr_max": None}, {"output-capacitor"}),  # any resistance will do
        ({"esr_min": 0.0}, {"output-capacitor", "output-esr"}),  # too large a one may be fitted
        ({"esr_min": None, "esr_max": None}, {"output-capacitor"}),
        ({"cout_min": None, "cout_max": None}, {"output-esr"}),
        ({"cout_min": None}, {"output-capacitor", "output-esr"}),
    ],
)
def test_a_window_that_the_part_states_is_asked_of_a_board_that_says_nothing(
    values: dict[str, Any], open_: set[str]
) -> None:
    facts = {k: v if isinstance(v, Fact) else Fact(v) for k, v in facts_of(SILENT).items()}
    found = {f.id: f for f in explain(ROLE, changed(examples.PART, values), facts, TIGHT)}
    for id_, key in (("output-capacitor", "U1.output_capacitor"), ("output-esr", "U1.output_esr")):
        expected = Verdict.UNPROVEN if id_ in open_ else Verdict.MEETS
        assert found[id_].verdict is expected, id_
        if id_ in open_:
            story = found[id_].story
            assert {*story.missing, *story.bounded} == {key}, story


def test_the_facts_of_a_silent_board_name_the_key() -> None:
    board = Board.model_validate({
        "format": 1, "name": "silent", "surroundings": {"ambient": "0..40 °C"},
        "rail": {"VIN": {"voltage": "12 V ±5 %"}, "V5": {"regulator": "U1", "logic_current": "5..40 mA"}},
        "role": {"U1": {"role": "regulator", "input": "VIN", "output": "V5", "output_capacitor": "22 µF ±20 %"}},
    })  # fmt: skip
    facts = Situation(board, {"U1": examples.PART}, DATASHEET).facts("U1")
    assert facts["capacitor_min"].value == pytest.approx(17.6e-6)
    assert math.isnan(facts["capacitor_unsaid"].value)
    for name, fact in SILENT.items():
        if name.startswith("esr"):
            told = fact if isinstance(fact, Fact) else Fact(fact)
            assert (facts[name].missing, facts[name].bounded) == (told.missing, told.bounded)
            assert facts[name].value == told.value or math.isnan(told.value)
