"""What an unproven requirement asks to look up: with the value told it meets, a little beyond it does not."""

import pytest

from partcheck.jobs.judge.place import judge_place
from partcheck.jobs.judge.setup import open_setup
from partcheck.jobs.remedy.lookups import lookups
from partcheck.parameters import KINDS
from partcheck.parts.part import Part, point_table
from partcheck.requirement import Verdict
from tests.boards import SAMPLE


@pytest.fixture(scope="module")
def situation():
    return open_setup(SAMPLE).situation


def without(part, name):
    tables = {key: table for key, table in part.tables.items() if key != name}
    return Part(
        part.kind,
        part.part_number,
        part.maker,
        {k: v for k, v in part.values.items() if k != name},
        tables,
        part.provenance,
    )


def stated(part, lookup, value, conditions):
    """The part with the value entered as a user would: one column, or one row of the table under its conditions."""
    name = lookup.name.partition(" ")[0]
    kind = KINDS[part.kind]
    if name in kind.columns():
        return Part(part.kind, part.part_number, part.maker, {**part.values, name: value}, part.tables, part.provenance)
    declared = kind.table(name)
    row = {axis.name: conditions[axis.name] for axis in declared.axes if axis.name in conditions}
    for axis in declared.axes:
        if axis.is_text:
            row[axis.name] = axis.choices[0]
        elif axis.name not in row and axis.required:
            row[axis.name] = axis.low
    row |= dict.fromkeys(declared.bounds, value)
    tables = {**part.tables, name: point_table(part.kind, name, [row])}
    return Part(part.kind, part.part_number, part.maker, part.values, tables, part.provenance)


def verdict(situation, ref, part, requirement):
    found = judge_place(situation.replaced(ref, part), ref).findings
    return next(f.verdict for f in found if f.id == requirement)


CASES = [
    ("Q1", "vds_max"), ("Q1", "vgs_th_min"), ("Q1", "igss_max"), ("Q1", "rds_on"), ("Q1", "idss"), ("Q4", "qgd_max"),
    ("Q5", "vgs_th_max"), ("D1", "vrrm"), ("D3", "ir"), ("U1", "iout_max"), ("U1", "theta_ja"), ("U1", "dropout"),
    ("J1", "rated_voltage"), ("J1", "poles"), ("D11", "tj_max"), ("Q9", "ic_max"), ("Q6", "vceo"), ("Q6", "hfe"), ("Q9", "hfe"),
]  # fmt: skip


@pytest.mark.parametrize(("ref", "name"), CASES)
def test_the_value_told_is_where_it_just_meets(situation, ref, name):
    part = situation.fitted[ref]
    bare = without(part, name)
    other = situation.replaced(ref, bare)
    seen = 0
    for finding in judge_place(other, ref).findings:
        for lookup in lookups(other, ref, finding):
            assert lookup.name.partition(" ")[0] in (
                *KINDS[part.kind].columns(),
                *(t.name for t in KINDS[part.kind].tables),
            )
            if lookup.value is None:
                continue
            seen += 1
            conditions = {axis: value for axis, _, value, _ in lookup.conditions}
            assert verdict(situation, ref, stated(bare, lookup, lookup.value, conditions), finding.id) >= Verdict.TIGHT
            step = 0.5 if lookup.unit == "°C" else 1.0 if name == "poles" else abs(lookup.value) * 0.01
            beyond = lookup.value + step if lookup.side == "at most" else lookup.value - step
            assert verdict(situation, ref, stated(bare, lookup, beyond, conditions), finding.id) < Verdict.TIGHT
            for axis, side, value, unit in lookup.conditions:
                past = 1.0 if unit == "°C" else max(abs(value) * 0.01, 1e-9)
                worse = {**conditions, axis: value + past if side == "at most" else value - past}
                assert verdict(situation, ref, stated(bare, lookup, lookup.value, worse), finding.id) < Verdict.TIGHT
    assert seen


def test_on_resistance_is_asked_for_at_the_gate_voltage_that_is_there(situation):
    other = situation.replaced("Q1", without(situation.fitted["Q1"], "rds_on"))
    found = {f.id: lookups(other, "Q1", f) for f in judge_place(other, "Q1").findings}
    (lookup,) = found["on-drop"]
    gate = other.views("Q1")[1].gate_high_min.value
    assert lookup.conditions[0][:2] == ("vgs", "at most") and lookup.conditions[0][2] == pytest.approx(gate, rel=1e-3)
    assert lookup.conditions[0][2] <= gate and "rds_on" in str(lookup) and "at most" in str(lookup)


def test_several_missing_values_are_named_without_a_number(situation):
    part = without(without(situation.fitted["D11"], "vf"), "iv")
    other = situation.replaced("D11", part)
    found = {f.id: lookups(other, "D11", f) for f in judge_place(other, "D11").findings}
    names = {lookup.name for lookup in found["brightness-high"]}
    assert {"vf min", "iv max"} <= names and all(lookup.value is None for lookup in found["brightness-high"])


def test_what_is_proven_asks_for_nothing(situation):
    assert all(lookups(situation, "Q1", finding) == [] for finding in judge_place(situation, "Q1").findings)
