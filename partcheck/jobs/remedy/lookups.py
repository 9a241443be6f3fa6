"""For what is unproven: the datasheet value to look up, under which condition, and how large it may be."""

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from partcheck.jobs.judge.place import judge_place, tight
from partcheck.jobs.screen.parts import Plain
from partcheck.jobs.sweep.boundary import TOLD, rounded
from partcheck.parameters import KINDS
from partcheck.parameters.declare import BOUNDS, Axis, Parameter, Table
from partcheck.parts.part import Part, point_table
from partcheck.readings.columns import Floats
from partcheck.readings.explain import Finding
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Verdict
from partcheck.situation import Situation
from partcheck.units import show

VALUES, PLACES, ROUNDS = 41, 33, 4
MOST_PLACES, FEW_PLACES = 19, 5
INSIDE = 0.02
ADJUSTABLE = ("v_ref_min", "v_ref_typ", "v_ref_max", "v_ref_from", "i_adj_max", "upper_resistor", "lower_resistor")
"""What only an adjustable regulator has."""
CURRENT_RATINGS = {"bjt": "ic_max", "regulator": "iout_max"}
"""Rating of a part that the current of a row cannot exceed."""
SILENT = frozenset({"zth"})
"""Tables that a place does without, on the safe side, where they are not stated."""
RELATIVE = frozenset({"relative_intensity"})
"""Curves of which one row alone tells nothing."""


@dataclass(frozen=True)
class Lookup:
    """A value that a datasheet should state.

    ``name`` is the catalog's column or table, with its bound where only one is missing. ``conditions`` say when a row
    counts: axis, ``at most`` or ``at least``, value, unit. ``side`` and ``value`` tell how large it may be; None where
    that depends on other missing values. ``hopeless`` where no plausible value would do, ``any_value`` where every one
    does.
    """

    name: str
    meaning: str
    unit: str
    conditions: tuple[tuple[str, str, float, str], ...] = ()
    side: str = ""
    value: float | None = None
    hopeless: bool = False
    any_value: bool = False

    def __str__(self) -> str:
        text = f"{self.name} ({self.meaning})"
        under = [f"{axis} {_in_words(side, value, unit)}" for axis, side, value, unit in self.conditions]
        if under:
            text += f" at {' and '.join(under)}"
        if self.hopeless:
            return f"{text}: no plausible value would do"
        if self.any_value:
            return f"{text}: any plausible value will do"
        return text if self.value is None else f"{text}: {_in_words(self.side, self.value, self.unit)}"


def lookups(situation: Situation, ref: str, finding: Finding) -> list[Lookup]:
    """What to look up for an unproven requirement of the part fitted at ``ref``; empty where the part lacks nothing."""
    part = situation.fitted.get(ref)
    if part is None or finding.verdict is not Verdict.UNPROVEN:
        return []
    kind = KINDS[part.kind]
    columns, tables = kind.columns(), {table.name: table for table in kind.tables}
    known = dict.fromkeys(_label(name) for name in lacking(finding, ref))
    mine = [name for name in known if name.split(" ")[0] in (*columns, *tables)]
    alone = len(mine) == len(known) == 1
    made = []
    for label in mine:
        name = label.split(" ")[0]
        declared = columns[name] if name in columns else tables[name]
        plain = Lookup(label, _first_words(declared.meaning), declared.unit)
        if alone and isinstance(declared, Table) and name not in RELATIVE:
            plain = _table(plain, situation, ref, part, finding, declared)
        elif alone and isinstance(declared, Parameter) and not declared.is_text:
            plain = _column(plain, situation, ref, part, finding, name, declared)
        made.append(plain)
    return made


def for_all(found: Sequence[Sequence[Lookup]]) -> Lookup | None:
    """Of one value that several requirements lack, each of another size, the one that serves them all, if any."""
    if not found or any(len(made) != 1 or made[0].value is None or made[0].hopeless for made in found):
        return None
    every = [made[0] for made in found]
    if len({(one.name, one.side, tuple((axis, side) for axis, side, _, _ in one.conditions)) for one in every}) != 1:
        return None
    strictest = (min if every[0].side == "at most" else max)(every, key=lambda one: one.value or 0.0)
    widest = [
        (axis, side, (max if side == "at least" else min)(one.conditions[i][2] for one in every), unit)
        for i, (axis, side, _, unit) in enumerate(strictest.conditions)
    ]
    return replace(strictest, conditions=tuple(widest))


def silent(situation: Situation, ref: str, finding: Finding) -> list[Lookup]:
    """What to look up for a requirement that fails because the datasheet is silent, and not because of what it says.

    Where no transient impedance is stated a start counts as if it lasted for ever; a stated one may show that it does
    not fail.
    """
    part = situation.fitted.get(ref)
    if part is None or finding.verdict is not Verdict.FAILS:
        return []
    tables = {table.name: table for table in KINDS[part.kind].tables}
    made = []
    for name in SILENT & tables.keys():
        declared = tables[name]
        if len(part.table(name)):
            continue
        plain = Lookup(name, _first_words(declared.meaning), declared.unit)
        found = _table(plain, situation, ref, part, finding, declared)
        made += [found] if found.value is not None and not found.hopeless else []
    return made


def lacking(finding: Finding, ref: str) -> list[str]:
    """What a requirement of a place lacks, as it is worth telling there.

    Whether a regulator is adjustable comes before what only an adjustable one has.
    """
    own = dict.fromkeys(name.removeprefix(f"{ref}: ") for name in finding.story.missing)
    return [name for name in own if "output" not in own or not name.split(" ")[0].endswith(ADJUSTABLE)]


def _label(missing: str) -> str:
    """The name of a missing value, with its bound where only that is missing: ``vf min``, ``rds_on``."""
    name, _, rest = missing.partition(" ")
    return missing if rest in BOUNDS else name


def _first_words(meaning: str) -> str:
    return re.split(r"[,;(:]", meaning)[0].strip()


# ---- a single value


def _column(
    plain: Lookup, situation: Situation, ref: str, part: Part, finding: Finding, name: str, declared: Parameter
) -> Lookup:
    def variant(value: float) -> Part:
        return Part(part.kind, part.part_number, part.maker, {**part.values, name: value}, part.tables, part.provenance)

    return _bounded(plain, situation, ref, finding, variant, declared.low, declared.high)


# ---- a row of a table


def _table(plain: Lookup, situation: Situation, ref: str, part: Part, finding: Finding, declared: Table) -> Lookup:
    def with_row(row: dict[str, Any], value: float) -> Part:
        rows = [*_rows(part, declared), {**row, **dict.fromkeys(declared.bounds, value)}]
        tables = {**part.tables, declared.name: point_table(part.kind, declared.name, rows)}
        return Part(part.kind, part.part_number, part.maker, part.values, tables, part.provenance)

    corner = _corner(situation, ref, finding, declared, with_row)
    if corner is None:
        return plain
    start, best = corner
    made = plain
    # first with the best value, then with one just inside the boundary, where a further condition may bite
    for _ in range(2):
        conditions, rows = _conditions(situation, ref, finding, declared, start, best, with_row)
        named = replace(plain, conditions=conditions)
        ends = [
            _bounded(named, situation, ref, finding, partial(with_row, row), declared.low, declared.high)
            for row in rows
        ]
        made = _strictest(ends)
        if made.value is None:
            break
        rising = made.side == "at least"
        easiest = (min if rising else max)(range(len(ends)), key=lambda i: ends[i].value or 0.0)
        start, best = rows[easiest], (ends[easiest].value or 0.0) * (1 + INSIDE if rising else 1 - INSIDE)
    return replace(made, hopeless=True) if _beyond_rating(made, part) else made


def _beyond_rating(lookup: Lookup, part: Part) -> bool:
    """True where a row would count only above the part's own current rating: no datasheet states such a row."""
    rated = part.number(CURRENT_RATINGS[part.kind]) if part.kind in CURRENT_RATINGS else math.nan
    return any(value > rated for _, side, value, unit in lookup.conditions if unit == "A" and side == "at least")


def _strictest(found: list[Lookup]) -> Lookup:
    """Of the same lookup at several ends of its conditions the one that serves at all of them."""
    if any(lookup.value is None for lookup in found):
        return next(lookup for lookup in found if lookup.value is None)
    pick = min if found[0].side == "at most" else max
    return pick(found, key=lambda lookup: lookup.value or 0.0)


def _conditions(
    situation: Situation,
    ref: str,
    finding: Finding,
    declared: Table,
    row: dict[str, Any],
    value: float,
    with_row: Callable[[dict[str, Any], float], Part],
) -> tuple[tuple[tuple[str, str, float, str], ...], list[dict[str, Any]]]:
    """The conditions under which a row with that value counts, and the rows that just keep to them."""
    conditions: list[tuple[str, str, float, str]] = []
    rows = [row]
    for axis in declared.axes:
        if axis.is_text:
            continue
        found = _condition(situation, ref, finding, axis, row, lambda changed: with_row(changed, value))
        conditions += [(axis.name, side, bound, axis.unit) for side, bound in found]
        if found:
            rows = [{**made, axis.name: bound} for made in rows for _, bound in found]
            row = {**row, axis.name: found[0][1]}
    return tuple(conditions), rows


def _condition(
    situation: Situation,
    ref: str,
    finding: Finding,
    axis: Axis,
    row: dict[str, Any],
    variant: Callable[[dict[str, Any]], Part],
) -> list[tuple[str, float]]:
    """How far one condition of a row may go with that value in it, upwards and downwards; none where all serves."""

    def meets(values: Sequence[float] | Floats) -> NDArray[np.bool_]:
        parts = [variant({**row, axis.name: float(v)}) for v in values]
        made: NDArray[np.bool_] = _verdicts(situation, ref, finding, parts) >= Verdict.TIGHT
        return made

    made = []
    for far, side in ((axis.low, "at least"), (axis.high, "at most")):
        last = _last(meets, row[axis.name], far)
        if last is not None and last != far:
            made.append((side, _told(last, side == "at most", axis.unit, meets)))
    return made


def _rows(part: Part, declared: Table) -> list[dict[str, Any]]:
    choices = {axis.name: axis.choices for axis in declared.axes if axis.choices}
    made = []
    for row in part.table(declared.name).rows():
        values = {name: getattr(row, name) for name in declared.columns() if getattr(row, name) == getattr(row, name)}
        made.append({name: choices[name][int(v)] if name in choices else v for name, v in values.items()})
    return made


def _corner(
    situation: Situation, ref: str, finding: Finding, declared: Table, with_row: Callable[[dict[str, Any], float], Part]
) -> tuple[dict[str, Any], float] | None:
    """Conditions, each at an end of its range, under which some plausible value would do; and that value."""
    rows: list[dict[str, Any]] = [{}]
    for axis in declared.axes:
        count = MOST_PLACES if len(declared.axes) == 1 else FEW_PLACES
        ends = list(axis.choices) if axis.is_text else [float(v) for v in _spaced(axis.low, axis.high, count)]
        rows = [{**row, axis.name: end} for row in rows for end in ends]
    values = [float(v) for v in _spaced(declared.low, declared.high, 9)]
    verdicts = _verdicts(situation, ref, finding, [with_row(row, value) for row in rows for value in values])
    good = verdicts.reshape(len(rows), len(values)) >= Verdict.TIGHT
    if not good.any():
        return None
    easiest = int(good.sum(axis=1).argmax())  # where most values would do
    return rows[easiest], values[int(good[easiest].argmax())]


# ---- how large it may be


def _bounded(
    plain: Lookup,
    situation: Situation,
    ref: str,
    finding: Finding,
    variant: Callable[[float], Part],
    low: float,
    high: float,
) -> Lookup:
    """The lookup with the largest or least value that meets, judged once more with the part in its place."""

    def verdicts(values: Sequence[float] | Floats) -> NDArray[np.int8]:
        return _verdicts(situation, ref, finding, [variant(float(v)) for v in values])

    def meets(values: Sequence[float] | Floats) -> NDArray[np.bool_]:
        made: NDArray[np.bool_] = verdicts(values) >= Verdict.TIGHT
        return made

    values = _spaced(low, high, VALUES)
    found = verdicts(values)
    good = found >= Verdict.TIGHT
    if not good.any():  # not proved with any value: then it rests on something else that is missing, too
        return replace(plain, hopeless=not plain.conditions and bool((found == Verdict.FAILS).all()))
    if good.all():
        return replace(plain, any_value=True)
    rising = not good[0]  # a larger value is the better one
    i = int(np.argmax(good)) if rising else len(good) - 1 - int(np.argmax(good[::-1]))
    neighbour = i - 1 if rising else i + 1
    if not 0 <= neighbour < len(values):
        return plain
    last = _last(meets, float(values[i]), float(values[neighbour]))
    if last is None:
        return plain
    told = _told(last, not rising, plain.unit, meets)
    again = judge_place(situation.replaced(ref, variant(told)), ref)
    if any(f.id == finding.id and f.verdict < Verdict.TIGHT for f in again.findings):
        return plain
    return replace(plain, side="at least" if rising else "at most", value=told)


def _last(holds: Callable[[Floats], NDArray[np.bool_]], inside: float, outside: float) -> float | None:
    """How far from ``inside`` towards ``outside`` it holds without a break; None where not even at the start."""
    for _ in range(ROUNDS):
        values = _steps(inside, outside)
        good = holds(values)
        if not good[0]:
            return None
        if good.all():
            return outside
        k = int(np.argmin(good))
        inside, outside = float(values[k - 1]), float(values[k])
    return inside


def _steps(inside: float, outside: float) -> Floats:
    """Values from one to the other: by equal factors where that makes sense."""
    if inside > 0 and outside > 0:
        return np.geomspace(inside, outside, PLACES)
    if inside * outside == 0 and inside + outside > 0:
        far = max(inside, outside)
        made = np.concatenate([[0.0], np.geomspace(far * 1e-9, far, PLACES - 1)])
        return made if inside == 0 else made[::-1]
    return np.linspace(inside, outside, PLACES)


def _told(value: float, inside_below: bool, unit: str, holds: Callable[[Sequence[float]], NDArray[np.bool_]]) -> float:
    """A boundary with few digits on which it holds: the nearest such number, else one on the safe side."""
    offset = 273.15 if unit == "°C" else 0.0
    near = float(f"{value - offset:.4g}") + offset
    return near if holds([near])[0] else rounded(value, inside_below, offset)


def _in_words(side: str, value: float, unit: str) -> str:
    """A bound to three digits, on the side on which it holds: ``at most 2.11 µA``."""
    offset = 273.15 if unit == "°C" else 0.0
    near = float(f"{value - offset:.{TOLD}g}") + offset
    told = near if math.isclose(near, value, rel_tol=1e-9) else rounded(value, side == "at most", offset, TOLD)
    return f"{side} {show(told, unit)}"


def _spaced(low: float, high: float, count: int) -> Floats:
    if low > 0:
        return np.geomspace(low, high, count)
    if low == 0 and high > 0:
        return np.concatenate([[0.0], np.geomspace(high * 1e-9, high, count - 1)])
    return np.linspace(low, high, count)


def _verdicts(situation: Situation, ref: str, finding: Finding, parts: Sequence[Part]) -> NDArray[np.int8]:
    facts = situation.facts(ref)
    judged = judge_columns(facts.role, columns_of(facts.role.kind, parts), Plain(facts), len(parts), tight(situation))
    made: NDArray[np.int8] = judged.verdicts[judged.ids.index(finding.id)]
    return made
