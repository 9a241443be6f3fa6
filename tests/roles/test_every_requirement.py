"""What holds for every requirement of every role, without knowing which."""

import importlib
import math
import pkgutil
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pint
import pytest

from partcheck import points
from partcheck.operations import Operation
from partcheck.parameters import KINDS
from partcheck.parts import Part, point_table
from partcheck.points import PointTable, Row
from partcheck.policy import BENCH, DATASHEET, Policy
from partcheck.readings.explain import Finding, explain
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Fact, Role, Verdict, pairs, views
from partcheck.roles import ROLES
from tests.examples import roles as examples_folder
from tests.examples.roles import Example
from tests.registry import UNITS

MODULES = {
    module.ROLE: module
    for module in (
        importlib.import_module(f"tests.examples.roles.{info.name}")
        for info in pkgutil.iter_modules(examples_folder.__path__)
    )
    if isinstance(getattr(module, "ROLE", None), str)
}
for module in list(MODULES.values()):  # a module may hold the examples of several roles
    MODULES |= dict(getattr(module, "MORE", {}))
EACH = [(role.name, id_) for role in ROLES.values() for id_ in role.requirements]


def policy_facts(policy: Policy) -> dict[str, Any]:
    made: dict[str, Any] = {f"k_{name}": policy.value(name) for name in policy.values}
    made |= {f"k_{name}": policy.value(name) for name in policy.fallen_back}
    from partcheck.policy import ASSUMED

    return made | {f"assumed_{name}": policy.assumption(name) for name in ASSUMED}


def facts_of(role: Role, base: Mapping[str, Any], policy: Policy, change: Mapping[str, Any]) -> dict[str, Fact]:
    values = dict.fromkeys(role.facts) | policy_facts(policy) | dict(base) | dict(change)
    return {name: Fact(value, "example") for name, value in values.items() if name in role.facts}


def with_value(part: Part, where: Any, value: Any) -> Part:
    if isinstance(where, tuple):
        table, row, column = where
        columns = {name: list(cells) for name, cells in part.tables[table].columns.items()}
        columns[column][row] = math.nan if value is None else value
        made = PointTable({name: tuple(cells) for name, cells in columns.items()})
        return Part(part.kind, part.part_number, part.maker, part.values, {**part.tables, table: made})
    if where in part.tables or (part.kind and where in {t.name for t in KINDS[part.kind].tables}):
        tables = {name: table for name, table in part.tables.items() if name != where}
        return Part(part.kind, part.part_number, part.maker, part.values, tables)
    return Part(part.kind, part.part_number, part.maker, {**part.values, where: value}, part.tables)


def prepared(name: str, id_: str) -> tuple[Role, Part | None, Example, dict[str, Any]]:
    role, module = ROLES[name], MODULES[name]
    example: Example = module.EXAMPLES[id_]
    part = module.PART
    if part is not None:
        tables = {t: point_table(part.kind, t, rows) for t, rows in example.tables.items()}
        part = Part(
            part.kind, part.part_number, part.maker, {**part.values, **example.values}, {**part.tables, **tables}
        )
    return role, part, example, dict(module.FACTS) | dict(example.facts)


def finding(role: Role, part: Part | None, facts: Mapping[str, Fact], id_: str) -> Finding:
    found = {f.id: f for f in explain(role, part, facts, 0.0)}
    assert id_ in found, f"{id_} is not asked in its own example"
    return found[id_]


def verdict_with(name: str, id_: str, where: Any, value: Any, policy: Policy = BENCH) -> Verdict:
    role, part, _, facts = prepared(name, id_)
    if isinstance(where, str) and where.startswith("fact:"):
        facts[where[5:]] = math.nan if value is None else value
    elif part is not None:
        part = with_value(part, where, value)
    policy = getattr(MODULES[name], "POLICY", policy)
    return finding(role, part, facts_of(role, facts, policy, {}), id_).verdict


@pytest.mark.parametrize(("name", "id_"), EACH)
def test_ships_a_part_that_just_meets_one_that_just_fails_and_one_with_the_value_missing(name: str, id_: str) -> None:
    assert name in MODULES, f"no examples for the role {name}"
    assert id_ in MODULES[name].EXAMPLES, f"no example for {name} {id_}"
    example = MODULES[name].EXAMPLES[id_]
    assert verdict_with(name, id_, example.vary, example.meets) >= Verdict.TIGHT
    assert verdict_with(name, id_, example.vary, example.fails) is Verdict.FAILS
    assert verdict_with(name, id_, example.missing, None) is Verdict.UNPROVEN
    whole = (
        float(example.meets).is_integer() and abs(example.meets - example.fails) == 1
        if isinstance(example.meets, float)
        else False
    )
    if not whole and isinstance(example.meets, float) and isinstance(example.fails, float) and example.meets:
        assert abs(example.fails - example.meets) <= 0.021 * max(abs(example.meets), abs(example.fails)), "not 'just'"


@pytest.mark.parametrize("name", sorted(ROLES))
def test_no_example_is_left_over(name: str) -> None:
    assert set(MODULES[name].EXAMPLES) == set(ROLES[name].requirements)


class Seen:
    """What a formula reads, by name, with the number it reads."""

    def __init__(self) -> None:
        self.part: set[str] = set()
        self.board: set[str] = set()


def touched(role: Role, id_: str) -> Seen:
    """The names that a requirement reads, found by reading it with dimensions."""
    seen = Seen()
    p, n = views(
        role,
        lambda name: seen.part.add(name) or quantity_of(role, name),
        lambda name: seen.board.add(name) or fact_quantity(role, name),
    )
    pairs(role.requirements[id_], p, n)
    return seen


# ---- dimensions ------------------------------------------------------------------------------------

SPELLING = {
    "": "", "V": "volt", "A": "ampere", "Ω": "ohm", "W": "watt", "F": "farad", "H": "henry", "C": "coulomb", "J": "joule",
    "s": "second", "Hz": "1/second", "1/s": "1/second", "K": "kelvin", "°C": "kelvin", "K/W": "kelvin/watt",
    "V/K": "volt/kelvin", "V/s": "volt/second", "1/K": "1/kelvin", "m": "meter", "m²": "meter**2", "cd": "candela",
    "lm": "candela", "°": "", "N·m": "newton*meter", "A²s": "ampere**2*second", "Ω/m": "ohm/meter", "H/m": "henry/meter",
}  # fmt: skip


def quantity(unit: str, name: str = "") -> Any:
    """A quantity of a unit; each name has a number of its own, so that no difference is zero by accident."""
    return UNITS.Quantity(2.0 + sum(map(ord, name)) % 97 / 100, SPELLING[unit])


class DimensionTable:
    """A table of one row whose columns carry their dimensions."""

    def __init__(self, kind: str, name: str) -> None:
        declared = KINDS[kind].table(name)
        self.units = {axis.name: "" if axis.choices else axis.unit for axis in declared.axes}
        self.units |= dict.fromkeys(("min", "typ", "max"), declared.unit)

    def row(self) -> Row:
        return Row({name: quantity(unit, name) for name, unit in self.units.items()})


def quantity_of(role: Role, name: str) -> Any:
    kind = KINDS[role.kind]
    if name in {table.name for table in kind.tables}:
        return DimensionTable(role.kind, name)
    return quantity(kind.columns()[name].unit, name)


def fact_quantity(role: Role, name: str) -> Any:
    return quantity(role.facts[name].unit, name)


def same(*values: Any) -> Any:
    """The first value, after a check that all have one dimension (a bare zero fits any)."""
    known = [v for v in values if isinstance(v, UNITS.Quantity)]
    for value in known[1:]:
        if not value.check(known[0].dimensionality):
            raise pint.DimensionalityError(known[0].units, value.units)
    for value in values:
        if not isinstance(value, UNITS.Quantity) and known and not known[0].check("") and value != 0:
            raise pint.DimensionalityError("a bare number", known[0].units)
    return known[0] if known else values[0]


def _equilibrium(table: DimensionTable, y: str, start: Any, theta: Any, limit: Any, loss: Any) -> Any:
    rise = theta * loss(table.row().__dict__[y], start)
    return same(start, rise, limit)


def _keep(value: Any, low: Any, high: Any) -> Any:
    same(low, high)
    return value


def _load_line(table: Any, y: str, feed: Any, resistance: Any, scale: str, shift: Any, count: Any) -> Any:
    row = table.row().__dict__
    same(feed, count * (row[y] + shift), row["i_f"] * resistance)
    return row["i_f"]


def _between(table: Any, x: str, y: str, at: Any, scale: str) -> Any:
    same(table.row().__dict__[x], at)
    return table.row().__dict__[y]


QUANTITY = {
    "sqrt": lambda x: x**0.5,
    "ln": lambda x: same(x, 1.0) * 0 + 1.0,
    "exp": lambda x: same(x, 1.0) * 0 + 1.0,
    "power": lambda x, e: x**e,
    "larger": same, "smaller": same, "prefer": same, "assume": same, "keep": _keep,
    "none_stated": lambda x: 0,
    "member": lambda x, allowed: UNITS.Quantity(1.0),
    "per_time": lambda rate, value: rate * value,
}  # fmt: skip
TABLE = {
    "least": lambda t, f: f(t.row()), "greatest": lambda t, f: f(t.row()), "between": _between,
    "last": lambda t, x, y: t.row().__dict__[y], "last_x": lambda t, x, y: t.row().__dict__[x],
    "first": lambda t, x, y: t.row().__dict__[y], "first_x": lambda t, x, y: t.row().__dict__[x],
    "equilibrium": _equilibrium, "load_line": _load_line,
}  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def dimensions() -> Iterator[None]:
    before = {op: list(op._readings) for op in Operation.registry.values()}
    for op in Operation.registry.values():
        if op.name in QUANTITY:
            op._readings[:] = [known for known in op._readings if known[0] is not UNITS.Quantity]  # another file's own
            op._chosen.clear()
            op.register(UNITS.Quantity, QUANTITY[op.name])
        op.register(DimensionTable, TABLE.get(op.name, lambda table, *_: table))
    yield
    for op, readings in before.items():
        op._readings[:] = readings
        op._chosen.clear()


@pytest.mark.parametrize(("name", "id_"), EACH)
def test_both_sides_have_the_declared_dimension(name: str, id_: str) -> None:
    role = ROLES[name]
    p, n = views(role, lambda x: quantity_of(role, x), lambda x: fact_quantity(role, x))
    rule = role.requirements[id_]
    wanted = quantity(rule.unit).dimensionality
    for demand, capability in pairs(rule, p, n):
        for side in (demand, capability):
            assert UNITS.Quantity(side).check(wanted), f"{side} is not in {rule.unit}"


@pytest.mark.parametrize(
    ("name", "quantity_name"), [(role.name, q) for role in ROLES.values() for q in (*role.needs, *role.quantities)]
)
def test_every_named_value_has_its_declared_dimension(name: str, quantity_name: str) -> None:
    role = ROLES[name]
    p, n = views(role, lambda x: quantity_of(role, x), lambda x: fact_quantity(role, x))
    named = role.named(quantity_name)
    assert named is not None
    made = getattr(n if quantity_name in role.needs else p, quantity_name)
    if not isinstance(made, DimensionTable):
        assert UNITS.Quantity(made).check(quantity(named.unit).dimensionality)


@pytest.mark.parametrize(("name", "id_"), EACH)
def test_reads_only_what_is_declared(name: str, id_: str) -> None:
    role = ROLES[name]
    seen = touched(role, id_)
    assert seen.board <= set(role.facts)
    assert seen.part | seen.board, "a requirement that reads nothing proves nothing"


# ---- a blank is never a pass ------------------------------------------------------------------------

STRICT = DATASHEET
"""A policy that assumes nothing, so that no blank can be filled."""


@pytest.mark.parametrize(("name", "id_"), EACH)
def test_with_every_value_blank_it_is_unproven_or_fails(name: str, id_: str) -> None:
    role, part, _, facts = prepared(name, id_)
    if part is None or not touched(role, id_).part:
        pytest.skip("reads no part")
    if id_ in getattr(MODULES[name], "BOARD_SIDE", ()):
        pytest.skip("the board's side alone bounds it")
    blank = Part(part.kind, "blank", "nobody", {})
    assert finding(role, blank, facts_of(role, facts, STRICT, {}), id_).verdict <= Verdict.UNPROVEN


@pytest.mark.parametrize(("name", "id_"), EACH)
def test_no_single_blank_makes_it_pass_better_than_the_stated_value(name: str, id_: str) -> None:
    role, part, _, facts = prepared(name, id_)
    if part is None:
        pytest.skip("reads no part")
    stated = facts_of(role, facts, STRICT, {})
    whole = finding(role, part, stated, id_)
    alternatives = getattr(MODULES[name], "ALTERNATIVES", {}).get(id_, ())
    for value in touched(role, id_).part - set(alternatives):
        if part.values.get(value) is None and value not in part.tables:
            continue
        blank = finding(role, with_value(part, value, None), stated, id_)
        assert blank.verdict <= max(whole.verdict, Verdict.UNPROVEN), (
            f"{value} blank: {blank.verdict.word} beats {whole.verdict.word}"
        )


# ---- readings agree ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [role.name for role in ROLES.values() if role.kind])
def test_columns_judge_as_the_explanation_does(name: str) -> None:
    role, module = ROLES[name], MODULES[name]
    random = np.random.default_rng(7)
    parts = [scattered(module.PART, random) for _ in range(60)]
    for policy in (BENCH, DATASHEET):
        facts = facts_of(role, module.FACTS, policy, {})
        plain = {key: fact.value for key, fact in facts.items()}
        judged = judge_columns(role, columns_of(role.kind, parts), plain, len(parts), 0.1, chunk=17)
        for k, part in enumerate(parts):
            found = {f.id: f for f in explain(role, part, facts, 0.1)}
            assert set(judged.ids) == set(found)
            for i, id_ in enumerate(judged.ids):
                assert judged.verdicts[i, k] == found[id_].verdict, (id_, part.values, part.tables)
                ours, theirs = judged.headrooms[i, k], found[id_].headroom
                assert (ours != ours and theirs != theirs) or ours == pytest.approx(theirs, rel=1e-6, abs=1e-9), id_


def scattered(part: Part, random: np.random.Generator) -> Part:
    """The part with values moved up and down, and some blank."""

    def moved(value: Any) -> Any:
        if random.random() < 0.12:
            return None
        if isinstance(value, str):
            return value
        return (
            float(value) * float(np.exp(random.normal(0, 0.25)))
            if value < 200
            else float(value) + float(random.normal(0, 15))
        )

    values = {key: moved(value) if value is not None else None for key, value in part.values.items()}
    tables = {}
    for key, table in part.tables.items():
        if random.random() < 0.08:
            continue
        axes = {axis.name for axis in KINDS[part.kind].table(key).axes}
        columns = {
            column: tuple(
                c if column in axes else (math.nan if (m := moved(c)) is None or c != c else m) for c in cells
            )
            for column, cells in table.columns.items()
        }
        tables[key] = PointTable(columns)
    return Part(part.kind, part.part_number, part.maker, values, tables)


def test_an_operation_that_a_reading_does_not_know_raises() -> None:
    from partcheck.operations import UnknownReading, sqrt

    with pytest.raises(UnknownReading):
        sqrt(object())
    with pytest.raises(UnknownReading):
        points.least(object(), lambda row: row.max)
