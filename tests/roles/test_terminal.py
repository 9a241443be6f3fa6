"""The screw terminal: edges, printed curves, random splits and phases inside the corners, and the traps."""

import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from partcheck.board import Board, parse_board
from partcheck.board.roles import Pole
from partcheck.parts.part import Part, point_table
from partcheck.points import EMPTY, PointTable
from partcheck.policy import BENCH, DATASHEET, Policy
from partcheck.readings.explain import Finding, explain, open_views
from partcheck.readings.verdicts import columns_of, judge_columns
from partcheck.requirement import Fact, Verdict
from partcheck.roles import ROLES
from partcheck.situation import Situation
from partcheck.situation.terminal import worst_pole
from tests.examples.roles import terminal as examples
from tests.published import test_published_conductors as printed

ROLE = ROLES["terminal"]
TIGHT = 0.1
GOOD = (Verdict.MEETS, Verdict.TIGHT)
K0 = 273.15


def facts_of(changes: Mapping[str, Any] = {}, policy: Policy = BENCH) -> dict[str, Any]:
    """Plain facts of the example terminal, policy filled in."""
    made: dict[str, Any] = dict.fromkeys(ROLE.facts)
    for name in ROLE.facts:
        if name.startswith("k_"):
            made[name] = policy.value(name[2:])
        elif name.startswith("assumed_"):
            made[name] = policy.assumption(name[8:])
    return {**made, **examples.FACTS, **changes}


def changed(values: Mapping[str, Any] = {}, tables: Mapping[str, Any] = {}, part: Part = examples.PART) -> Part:
    return Part(part.kind, part.part_number, part.maker, {**part.values, **values}, {**part.tables, **tables})


def curve(*rows: tuple[float, str, float]) -> dict[str, PointTable]:
    """A current table of (°C, basis, A)."""
    named = [{"temperature": t + K0, "basis": basis, "max": amperes} for t, basis, amperes in rows]
    return {"current": point_table("terminal", "current", named)}


def cell(table: str, row: int, column: str, value: float) -> Part:
    columns = {name: list(cells) for name, cells in examples.PART.table(table).columns.items()}
    columns[column][row] = value
    return changed(tables={table: PointTable({k: tuple(v) for k, v in columns.items()})})


def both(part: Part, facts: Mapping[str, Any]) -> dict[str, Finding]:
    """Findings by id; the columns have to say the same."""
    findings = {f.id: f for f in explain(ROLE, part, {k: Fact(v) for k, v in facts.items()}, TIGHT)}
    judged = judge_columns(ROLE, columns_of("terminal", [part]), facts, 1, TIGHT)
    assert judged.ids == tuple(findings)
    for id_, verdict, headroom in zip(judged.ids, judged.verdicts[:, 0], judged.headrooms[:, 0], strict=True):
        assert findings[id_].verdict == verdict, id_
        assert headroom == pytest.approx(findings[id_].headroom, nan_ok=True, rel=1e-9, abs=1e-12), id_
    return findings


def quantity(part: Part, name: str, policy: Policy = BENCH, **facts: Any) -> float:
    p, _ = open_views(ROLE, part, {k: Fact(v) for k, v in facts_of(facts, policy).items()})
    return float(getattr(p, name).value)


# ---- the edges


def test_every_requirement_has_an_example() -> None:
    assert set(examples.EXAMPLES) == set(ROLE.requirements)


def test_the_example_part_meets_everything() -> None:
    assert all(f.verdict in GOOD for f in both(examples.PART, facts_of()).values())


@pytest.mark.parametrize("id_", examples.EXAMPLES)
def test_edge(id_: str) -> None:
    example = examples.EXAMPLES[id_]

    def at(value: float) -> Finding:
        if isinstance(example.vary, tuple):
            table, row, column = example.vary
            return both(cell(table, row, column, value), facts_of(example.facts))[id_]
        if example.vary.startswith("fact:"):
            return both(examples.PART, facts_of({**example.facts, example.vary[5:]: value}))[id_]
        return both(changed({example.vary: value}), facts_of(example.facts))[id_]

    assert at(example.meets).verdict in GOOD
    assert at(example.fails).verdict is Verdict.FAILS
    assert ROLE.requirements[id_].unit == "" or abs(example.meets / example.fails - 1) <= 0.02
    if example.missing.startswith("fact:"):
        blank = both(examples.PART, facts_of({**example.facts, example.missing[5:]: math.nan}))[id_]
    else:
        gap: dict[str, Any] = {example.missing: EMPTY}
        part = changed(tables=gap) if example.missing == "current" else changed({example.missing: None})
        blank = both(part, facts_of(example.facts))[id_]
        assert any(example.missing in name for name in blank.story.missing), blank.story.missing
    assert blank.verdict is Verdict.UNPROVEN


# ---- current against ambient


@pytest.mark.parametrize(
    ("base", "derated", "source"),
    [
        ([a for _, a in printed.BASE], printed.DERATED, printed.ERNI),
        (printed.MODULE_BASE, printed.MODULE_DERATED, printed.MODULE),
    ],
)
def test_printed_curves_through_the_role(base: list[float], derated: list[float], source: str) -> None:
    """Of a base curve 0.8 counts and of the maker's derated curve all, and both come out as printed."""
    degrees = [20.0 + 10 * i for i in range(len(base))]
    as_base = changed({"rated_current": 30.0}, curve(*((t, "base", a) for t, a in zip(degrees, base, strict=True))))
    as_derated = changed(
        {"rated_current": 30.0}, curve(*((t, "derated", a) for t, a in zip(degrees, derated, strict=True)))
    )
    for at, amperes in zip(degrees, derated, strict=True):
        for part in (as_base, as_derated):
            allowed = quantity(part, "pole_allowed", DATASHEET, ambient_max=at + K0)
            assert allowed == pytest.approx(amperes, rel=3e-4), source
            between = quantity(part, "pole_allowed", DATASHEET, ambient_max=at + K0 - 5)
            assert between == pytest.approx(amperes, rel=3e-4), "the next hotter point counts, not a line"
    assert math.isnan(quantity(as_base, "pole_allowed", ambient_max=degrees[-1] + K0 + 1))


def test_the_law_between_printed_points_is_never_passed() -> None:
    """Whatever the true curve does between stated points, as long as it falls, the reading is below it."""
    part = changed({"rated_current": 30.0}, curve(*((t, "base", a) for t, a in printed.BASE)))
    degrees, amperes = zip(*printed.BASE, strict=True)
    for at in np.linspace(20, 140, 121):
        true = 0.8 * float(np.interp(at, degrees, amperes))
        allowed = quantity(part, "pole_allowed", DATASHEET, ambient_max=float(at) + K0)
        assert allowed <= true * (1 + 1e-9)
        assert allowed >= 0.7 * true  # the last, steepest step of the curve costs most


def test_never_above_the_rated_current() -> None:
    assert quantity(changed({"rated_current": 6.0}), "pole_allowed") == 6.0
    assert math.isnan(quantity(changed({"rated_current": None}), "pole_allowed"))


def test_the_derated_curve_is_not_derated_again_and_wins_over_the_base() -> None:
    part = changed(tables=curve((60, "base", 20.0), (60, "derated", 8.0)))
    assert quantity(part, "pole_allowed") == 8.0
    assert quantity(changed(tables=curve((60, "base", 10.0))), "pole_allowed") == 8.0
    untold = point_table("terminal", "current", [{"temperature": 333.15, "max": 10.0}])
    assert math.isnan(quantity(changed(tables={"current": untold}), "pole_allowed"))  # base or derated?


@pytest.mark.parametrize(
    ("rated_ambient", "policy", "expected"),
    [
        (45.0, DATASHEET, 12.0),  # holds up to its stated ambient
        (40.0, DATASHEET, math.nan),  # beyond it a lone rating proves nothing
        (None, BENCH, math.nan),  # nor one that states no ambient, whatever is assumed
        (40.0, BENCH, 12.0 * math.sqrt(60 / 65)),  # the law, by hand: limit 105 °C, air 45 °C
    ],
)
def test_a_lone_rating(rated_ambient: float | None, policy: Policy, expected: float) -> None:
    kelvin = None if rated_ambient is None else rated_ambient + K0
    part = changed({"rated_ambient": kelvin}, {"current": EMPTY})
    assert quantity(part, "pole_allowed", policy) == pytest.approx(expected, nan_ok=True)
    finding = both(part, facts_of(policy=policy))["pole-current"]
    assert (finding.verdict is Verdict.UNPROVEN) == math.isnan(expected)
    if rated_ambient is None:
        assert "rated_ambient" in finding.story.missing


def test_an_assumed_law_is_told_and_never_extends_a_curve() -> None:
    lone = changed({"rated_ambient": 313.15}, {"current": EMPTY})
    facts = {k: Fact(v) for k, v in facts_of().items()}
    facts["assumed_square_root_law"] = Fact(1.0, "policy", (), ("square_root_law",))
    (finding,) = [f for f in explain(ROLE, lone, facts, TIGHT) if f.id == "pole-current"]
    assert finding.story.assumed == ("square_root_law",)
    short = changed({"rated_ambient": 353.15}, curve((20, "derated", 12.0), (40, "derated", 5.0)))
    assert math.isnan(quantity(short, "pole_allowed"))  # 12 A at 45 °C although the curve is at 5 A by 40 °C


# ---- poles in parallel


@pytest.mark.parametrize("poles", [2, 3, 5])
def test_no_split_inside_the_contact_resistances_exceeds_the_share(poles: int) -> None:
    """A current divider with random contact resistances: never above, and the corner is reached."""
    rng = np.random.default_rng(poles)
    low, high = 1e-3, 4e-3
    part = changed({"contact_resistance_min": low, "contact_resistance_max": high})
    share = quantity(part, "worst_return", return_shared=1.0, return_count=float(poles))
    siemens = 1 / rng.uniform(low, high, (20000, poles))
    shares = siemens.max(axis=1) / siemens.sum(axis=1)
    assert shares.max() <= share
    corner = 1 / np.array([low] + [high] * (poles - 1))
    assert corner[0] / corner.sum() == pytest.approx(share)
    assert share > 1.2 / poles  # an equal split is not assumed


def test_share_without_stated_resistances() -> None:
    def share(poles: float, policy: Policy = BENCH) -> float:
        part = changed({"contact_resistance_min": None})
        return quantity(part, "worst_return", policy, return_shared=1.0, return_count=poles)

    assert share(2.0) == pytest.approx(0.6)
    assert share(4.0) == pytest.approx(1.5 / 4.5)  # 0.6 to 0.4 is 1.5 to 1
    assert share(3.0, DATASHEET) == 1.0  # no policy: all through one


def test_a_lone_pole_is_not_shared() -> None:
    assert quantity(examples.PART, "worst_return", return_current=7.0, return_shared=9.0) == 7.0
    assert quantity(examples.PART, "worst_return", return_current=1.0, return_shared=9.0) == pytest.approx(9 * 5 / 7)


@pytest.mark.parametrize(("most", "pessimism"), [(2, 1.0), (3, 1.12), (4, 1.22)])
def test_the_worst_pole_is_above_every_pole(most: int, pessimism: float) -> None:
    """Of poles alone and in pairs exact; of groups of several sizes not far above."""
    rng = np.random.default_rng(3)
    farthest = 1.0
    for _ in range(400):
        sizes, amperes = rng.integers(1, most + 1, 4), rng.uniform(0.1, 10, 4)
        groups = [
            (Pole(pole=[10 * i + j for j in range(n)], side="supply", rail="x"), Fact(float(a), "x"))
            for i, (n, a) in enumerate(zip(sizes, amperes, strict=True))
        ]
        lone, shared, count = worst_pole(groups)
        for ratio in (1.0, 1.3, 2.0, 10.0, 1e6):
            each = float((amperes * ratio / (ratio + sizes - 1)).max())
            worst = max(lone.value, shared.value * ratio / (ratio + count.value - 1))
            assert each <= worst * (1 + 1e-9)
            farthest = max(farthest, worst / each)
    assert farthest <= pessimism + 1e-9


# ---- what passes through a pole of a board

BOARD = """
format = 1
name = "bench"
[surroundings]
ambient = "0..40 °C"
[limits]
clearance_column = "{column}"
contact_drop = "50 mV"
[rail.V24]
voltage = "24 V ±5 %"
fault_current = "8 A"
[rail.V5]
voltage = "5 V ±2 %"
[chip.U2]
supply = "V5"
[drive.d]
chip = "U2"
high = "5 V"
low = "0..0.4 V"
source_resistance = "50 Ω"
[drive.e]
chip = "U2"
high = "5 V"
low = "0..0.4 V"
source_resistance = "50 Ω"
[drive.f]
chip = "U2"
high = "5 V"
low = "0..0.4 V"
source_resistance = "50 Ω"
[load.heater]
sort = "resistive"
rail = "V24"
current = "{heater}"
chopped = {{ frequency = "1 kHz", duty = "0..{duty}" }}
[load.pump]
sort = "motor"
rail = "V24"
current = "1 A"
stall_current = "6 A"
stall_time = "{stall}"
rate = "0 /s"
inductance = "2 mH ±20 %"
[load.valve]
sort = "coil"
rail = "V24"
resistance = "24 Ω ±5 %"
current = "1 A"
inductance = "80 mH ±20 %"
chopped = {{ frequency = "1 kHz", duty = "0..0.5" }}
[role.Q1]
role = "mosfet-switch"
drive = "d"
load = "heater"
[role.Q2]
role = "mosfet-switch"
drive = "e"
load = "pump"
[role.Q3]
role = "mosfet-switch"
drive = "f"
load = "valve"
[role.J1]
role = "terminal"
spacing = "1 mm"
poles = [
  {{ pole = 1, side = "supply", rail = "V24" }},
  {{ pole = [2, 7], side = "return", rail = "V24" }},
  {{ pole = 3, side = "feed", load = ["heater"] }},
  {{ pole = 4, side = "switched", load = ["pump"] }},
  {{ pole = 5, side = "switched", load = ["valve"] }},
]
{more}
"""
CLAMPS = """
[role.D1]
role = "clamp"
load = "pump"
[role.D2]
role = "clamp"
load = "valve"
across = "switch"
conducts = "breakdown"
"""


class Clamped(Situation):
    """A situation in which D1 drops 0.9 V and D2 clamps at 45 V."""

    def quantity(self, ref: str, name: str) -> Fact:
        known = {"D1": 0.9, "D2": 45.0}
        return Fact(known[ref], ref) if ref in known else super().quantity(ref, name)


def board(more: str = CLAMPS, **values: str) -> Board:
    stated = {"heater": "3 A", "duty": "0.25", "stall": "0.5 s", "column": "A6"}
    text = BOARD.format(**{**stated, **values, "more": more})
    return parse_board(text, Path("bench.toml")).board


def facts_on(made: Board, policy: Policy = BENCH) -> Mapping[str, Fact]:
    rated = Part("mosfet", "Q", "Invented", {"vds_max": 60.0})
    return Clamped(made, {"Q1": rated, "Q2": rated, "Q3": rated}, policy).facts("J1")


def test_currents_of_a_board() -> None:
    facts = facts_on(board())
    # heater 3 A a quarter of the time, pump 1 A running, valve 1 A half of the time, in phase, by hand
    squared = 0.25 * (3 + 1 + 1) ** 2 + 0.25 * (1 + 1) ** 2 + 0.5 * 1
    assert facts["return_shared"].value == pytest.approx(math.sqrt(squared))
    assert facts["return_current"].value == 0
    assert facts["return_count"].value == 2
    assert facts["pole_current"].value == 3.0  # pole 3: chopped, and counted in full
    assert facts["pole_shared"].value == 0
    assert facts["contact_current"].value == pytest.approx(3 + 6 + 1)  # pole 1 at its peak, the stall counted
    assert facts["fault_current"].value == 8.0
    assert facts["poles_needed"].value == 7.0


def test_a_stall_counts_unless_it_is_short() -> None:
    assert facts_on(board(stall="30 s"))["pole_current"].value > 6.0
    assert facts_on(board(stall="0.9 s"))["pole_current"].value == 3.0


def waveforms(rng: np.random.Generator, currents: list[float], duties: list[float]) -> Iterator[float]:
    """Effective sums with random phases, by sampling."""
    at = (np.arange(4000) + 0.5) / 4000
    for _ in range(200):
        whole = np.zeros_like(at)
        for amperes, duty in zip(currents, duties, strict=True):
            whole += amperes * ((at + rng.random()) % 1 < duty)
        yield float(np.sqrt((whole**2).mean()))


def test_no_phase_exceeds_the_aligned_return() -> None:
    facts = facts_on(board(heater="2 A", duty="0.6"))
    found = max(waveforms(np.random.default_rng(1), [2.0, 1.0, 1.0], [0.6, 1.0, 0.5]))
    assert found <= facts["return_shared"].value * (1 + 1e-3)
    assert found >= 0.97 * facts["return_shared"].value
    rss = math.sqrt(0.6 * 4 + 1 + 0.5)  # the root of the sum of squares leaves out every overlap
    assert facts["return_shared"].value > 1.4 * rss


def test_of_what_may_be_on_at_once_the_warmest_counts_not_the_largest() -> None:
    """3 A a twentieth of the time warm less than 1 A half of the time."""
    group = CLAMPS + '[[at_once]]\nof = ["heater", "valve"]\nmost = 1\n'
    made = facts_on(board(group, duty="0.05"))["return_shared"]
    assert made.value == pytest.approx(math.sqrt(0.5 * 4 + 0.5 * 1))  # pump and valve
    assert "valve" in made.source
    assert "heater" not in made.source


def test_voltages_of_a_board() -> None:
    facts = facts_on(board())
    assert facts["pole_voltage"].value == 45.0  # the clamp across Q3, not the rail
    assert "D2" in facts["pole_voltage"].source
    assert "pole 5" in facts["pole_voltage"].source
    open_coil = facts_on(board('[role.D1]\nrole = "clamp"\nload = "pump"\n'))
    assert open_coil["pole_voltage"].value == pytest.approx(1.3 * 60)
    unknown = Clamped(board(""), {}, BENCH).facts("J1")["pole_voltage"]
    assert math.isnan(unknown.value)
    assert unknown.missing


def test_clearance_reads_the_wider_table_and_proves_nothing_beyond_it() -> None:
    # 45 V, column A6: 0.38 mm in ANSI/IPC-D-275, 0.4 mm in IPC-2221 table 6-1 as printed
    assert facts_on(board())["clearance_needed"].value == pytest.approx(0.4e-3)
    beyond = board(CLAMPS).model_copy(deep=True)
    beyond.rail["V24"].transient = 501.0
    made = facts_on(beyond)["clearance_needed"]
    assert math.isnan(made.value)
    assert "A6" in made.missing[0]


def test_what_the_board_does_not_state_is_not_asked() -> None:
    asked = both(examples.PART, facts_of(dict.fromkeys(
        ("clearance_needed", "wire", "land_pitch", "contact_drop", "fault_current", "return_current")
    )))  # fmt: skip
    assert set(asked) == {"pole-current", "rated-voltage", "poles"}


# ---- further traps, monotony, two readings


def test_close_pitches_are_another_land_pattern_not_an_unfit_part() -> None:
    finding = both(changed({"pitch": 5.0e-3}), facts_of())["pitch"]
    assert finding.verdict is Verdict.FAILS
    assert not finding.counts


def test_poles_by_number_not_by_count() -> None:
    assert both(examples.PART, facts_of({"poles_needed": 6.0}))["poles"].verdict is Verdict.FAILS


BETTER = {
    "rated_current": 1.2,
    "rated_voltage": 1.2,
    "wire_area_min": 0.8,
    "wire_area_max": 1.2,
    "contact_resistance_max": 0.8,
    "poles": 2.0,
}


@pytest.mark.parametrize("name", BETTER)
def test_a_better_part_is_not_judged_worse(name: str) -> None:
    rng, fixed = np.random.default_rng(4), ("ambient_max", "pole_count", "return_count", "fault_count")
    for _ in range(20):
        changes = {f: v * rng.uniform(0.5, 2) for f, v in examples.FACTS.items() if f not in fixed}
        facts = facts_of({**changes, "pole_shared": 5.0, "pole_count": 2.0})
        before = both(examples.PART, facts)
        after = both(changed({name: float(examples.PART.values[name]) * BETTER[name]}), facts)  # type: ignore[arg-type]
        assert all(after[id_].verdict >= before[id_].verdict for id_ in before)


def random_parts(count: int) -> list[Part]:
    rng = np.random.default_rng(5)
    made = []
    for i in range(count):
        values = {
            name: (None if rng.random() < 0.2 else value * rng.uniform(0.5, 1.5) if isinstance(value, float) else value)
            for name, value in {**examples.PART.values, "rated_ambient": 313.15}.items()
        }
        if isinstance(values["t_max"], float):
            values["t_max"] = rng.uniform(320, 400)
        if isinstance(values["rated_ambient"], float):
            values["rated_ambient"] = rng.uniform(300, 330)
        rows = [
            {
                "temperature": rng.uniform(290, 360),
                "basis": rng.choice(["base", "derated"]),
                "max": rng.uniform(1, 20),
            }
            for _ in range(rng.integers(0, 4))
        ]
        made.append(Part("terminal", f"T{i}", "Random", values, {"current": point_table("terminal", "current", rows)}))
    return made


@pytest.mark.parametrize("policy", [BENCH, DATASHEET], ids=["bench", "datasheet"])
def test_columns_and_trace_agree(policy: Policy) -> None:
    parts, facts = random_parts(150), facts_of({"fault_count": 3.0}, policy)
    judged = judge_columns(ROLE, columns_of("terminal", parts), facts, len(parts), TIGHT)
    seen = set()
    for i, part in enumerate(parts):
        findings = explain(ROLE, part, {k: Fact(v) for k, v in facts.items()}, TIGHT)
        assert [f.verdict for f in findings] == list(judged.verdicts[:, i])
        heads = [f.headroom for f in findings]
        np.testing.assert_allclose(judged.headrooms[:, i], heads, rtol=1e-9, atol=1e-12)
        for finding in findings:
            assert (finding.verdict is not Verdict.UNPROVEN) or finding.story.missing
            seen.add(finding.verdict)
    assert seen == set(Verdict)
