"""A better rating of a part, or a less strict limit of its place, never worsens the verdict of the place."""

import importlib
import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pytest

from partcheck.parts.part import Part, point_table
from partcheck.points import PointTable
from partcheck.policy import BENCH
from partcheck.readings.explain import explain
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from tests.draws import LONG

K0 = 273.15
RATINGS: dict[str, tuple[str, tuple[str, ...], tuple[tuple[str, str], ...]]] = {
    "mosfet-switch": (
        "mosfet_switch",
        ("vds_max", "vgs_max", "tj_max", "ias", "eas", "ear"),
        (("id_max", "max"), ("idm", "max"), ("soa", "max"), ("eas_factor", "max")),
    ),
    "npn-sink": (
        "npn_sink",
        ("vceo", "vcbo", "vebo", "ic_max", "icm", "icm_width", "ib_max", "tj_max"),
        (("rbsoa", "max"),),
    ),
    "indicator": ("indicator", ("vr_max", "if_peak", "if_peak_duty", "if_peak_width", "tj_max"), (("if_max", "max"),)),
    "clamp": (
        "clamp",
        ("vrrm", "ifrm", "standoff", "power_max", "pulse_energy", "repetitive_energy", "tj_max"),
        (("if_av", "max"), ("ifsm", "max"), ("pulse_power", "max")),
    ),
    "regulator": ("regulator", ("vin_max", "vin_transient", "iout_max", "v_reverse_max", "tj_max"), ()),
    "terminal": ("terminal", ("rated_current", "rated_ambient", "rated_voltage", "t_max"), (("current", "max"),)),
}
"""For each role: the module of its examples, its single ratings, and the columns of its tables that are ratings."""
UNREAD = ("vcbo", "vebo", ("ifsm", "max"), ("eas_factor", "max"), "rated_ambient", "t_max")
"""Ratings that no requirement of the place reads, or that these circuits do not come near."""
INSTEAD = {
    "eas": "ear", ("eas_factor", "max"): "ear", ("pulse_power", "max"): "pulse_energy", "icm": "ic_max",
    "rated_ambient": "current",
}  # fmt: skip
"""What is read before a rating, and left out (or made small) so that the rating counts."""
DEGREES = ("tj_max", "t_max", "rated_ambient")
ROUNDS = 200
ENOUGH = ROUNDS if LONG else 12
"""After so many circuits an ordinary run goes on only until one is found that turns on the rating."""


def bases(name: str) -> Iterator[tuple[Part, dict[str, Any]]]:
    """The example part in its place, and each example of the role that changes either."""
    module = importlib.import_module(f"tests.examples.roles.{RATINGS[name][0]}")
    yield module.PART, dict(module.FACTS)
    for example in module.EXAMPLES.values():
        tables = {t: point_table(module.PART.kind, t, rows) for t, rows in example.tables.items()}
        values = {**module.PART.values, **example.values}
        part = Part(module.PART.kind, "X", "", values, {**module.PART.tables, **tables})
        yield part, {**module.FACTS, **example.facts}


def facts_of(name: str, stated: Mapping[str, Any]) -> dict[str, Fact]:
    role, made = ROLES[name], {**dict.fromkeys(ROLES[name].facts), **stated}
    for fact in role.facts:
        if fact.startswith("k_"):
            made[fact] = BENCH.value(fact[2:])
        elif fact.startswith("assumed_"):
            made[fact] = BENCH.assumption(fact[8:])
    return {fact: Fact(made[fact]) for fact in role.facts}


def verdicts(name: str, part: Part, stated: Mapping[str, Any]) -> dict[str, Verdict]:
    return {f.id: f.verdict for f in explain(ROLES[name], part, facts_of(name, stated), 0.1)}


def scaled(chance: np.random.Generator, part: Part, facts: Mapping[str, Any]) -> tuple[Part, dict[str, Any]]:
    """Another part in another place: every number moved, some left out."""

    def by(value: Any, spread: float) -> Any:
        if isinstance(value, float) and math.isfinite(value) and value not in (0.0, 1.0):
            return value * float(np.exp(chance.normal(0, spread)))
        return value

    absolute = {k for k in facts if k.startswith(("ambient", "tj_", "t25", "hottest"))} | {"t25", "zener_hot"}
    moved = {k: v if k in absolute else by(v, 0.25) for k, v in facts.items()}
    moved["ambient_max"] = facts["ambient_max"] + chance.uniform(-20, 70)
    values = {k: by(v, 0.0 if k in DEGREES else 0.25) for k, v in part.values.items()}
    values = {k: math.nan if isinstance(v, float) and chance.random() < 0.05 else v for k, v in values.items()}
    tables = {}
    for table, points in part.tables.items():
        if chance.random() < 0.04:
            continue
        factor = float(np.exp(chance.normal(0, 0.4)))
        columns = {c: tuple(v * factor if c in ("min", "typ", "max") else v for v in cells)
                   for c, cells in points.columns.items()}  # fmt: skip
        tables[table] = PointTable(columns)
    return Part(part.kind, "X", "", values, tables), moved


def raised(part: Part, rating: Any, by: float) -> Part:
    """The part with one rating raised."""
    if isinstance(rating, tuple):
        table, column = rating
        if table not in part.tables:
            return part
        columns = dict(part.tables[table].columns)
        columns[column] = tuple(v * by for v in columns[column])
        return Part(part.kind, "X", "", part.values, {**part.tables, table: PointTable(columns)})
    value = part.values.get(rating)
    if not isinstance(value, float) or not math.isfinite(value):
        return part
    more = value + 60 * (by - 1) if rating in DEGREES else value * by
    return Part(part.kind, "X", "", {**part.values, rating: more}, part.tables)


def without(part: Part, name: str | None) -> Part:
    """The part without a value or table; a current that must be stated made small."""
    values = (
        {**part.values, "ic_max": 1e-6} if name == "ic_max" else {k: v for k, v in part.values.items() if k != name}
    )
    return Part(part.kind, "X", "", values, {k: v for k, v in part.tables.items() if k != name})


def near(name: str, rating: Any, part: Part, facts: Mapping[str, Any]) -> bool:
    """True where the verdict of some requirement rests on the rating."""
    least = raised(part, rating, -1.5 if rating in DEGREES else 1e-5)
    return verdicts(name, part, facts) != verdicts(name, least, facts)


BOUNDED_BY = {("mosfet-switch", "vds_max"): ("fastest-edge",)}
"""What is no rating there: the voltage at which a least charge was measured is known to be no more than ``vds_max``."""
EACH = [(name, rating) for name, (_, single, tables) in RATINGS.items() for rating in (*single, *tables)]


@pytest.mark.parametrize(("name", "rating"), EACH, ids=lambda v: v if isinstance(v, str) else ".".join(v))
def test_a_better_rating_never_worsens_a_place(name: str, rating: Any) -> None:
    chance = np.random.default_rng(EACH.index((name, rating)))
    every = [(without(part, INSTEAD.get(rating)), facts) for part, facts in bases(name)]
    known = [base for base in every if near(name, rating, *base)] or every
    moved = 0
    for i in range(ROUNDS):
        if i >= ENOUGH and (moved or rating in UNREAD):
            break
        base = known[i % len(known)]
        part, facts = base if i < len(known) else scaled(chance, *base)
        part = raised(part, rating, float(np.exp(chance.uniform(-4, 0.5)))) if rating not in DEGREES else part
        better = raised(part, rating, float(chance.choice([1.02, 1.3, 2.0, 8.0])))
        before, after = verdicts(name, part, facts), verdicts(name, better, facts)
        rests = BOUNDED_BY.get((name, rating), ())
        assert not {id_: (before[id_], after[id_]) for id_ in before if after[id_] < before[id_] and id_ not in rests}
        moved += before != after
    assert moved or rating in UNREAD, "no circuit here is near this rating"


@pytest.mark.parametrize("name", [n for n in RATINGS if n != "terminal"])
def test_a_less_strict_limit_of_a_place_never_worsens_it(name: str) -> None:
    chance = np.random.default_rng(3)
    known = list(bases(name))
    for i in range(24 if not LONG else 80):
        base = known[i % len(known)]
        part, facts = base if i < len(known) else scaled(chance, *base)
        low = float(chance.uniform(K0 + 50, K0 + 140))
        before, after = (
            verdicts(name, part, {**facts, "tj_ceiling": limit}) for limit in (low, low + chance.uniform(1, 60))
        )
        assert not {id_: (before[id_], after[id_]) for id_ in before if after[id_] < before[id_]}
