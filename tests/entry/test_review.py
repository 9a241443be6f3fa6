"""Doubts: each rule with a part that it just catches and one that it just lets pass; the samples, looked at.

All parts here are invented. What a rule rests on is said where the rule is declared.
"""

import json
import math
from collections.abc import Mapping
from pathlib import Path
from statistics import median
from time import process_time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partcheck.catalog import open_catalog
from partcheck.parameters import KINDS
from partcheck.parts import Part, read_parts
from partcheck.parts.checks import build
from partcheck.parts.review import Doubt, review, review_one
from partcheck.parts.review.doubts import RULES
from partcheck.parts.review.peers import _outlier, _plain_range, _slip, _Spread
from partcheck.parts.review.relations import BELOW, ORDERED
from partcheck.report.answers.review import document as answer
from partcheck.report.answers.review.record import record as reviewed
from partcheck.report.render import text
from tests.command import SAMPLES, run
from tests.schemas import follows_the_schema

Stated = Mapping[str, Any]


def part(kind: str, stated: Stated, number: str = "X1") -> Part:
    tables = {name: rows for name, rows in stated.items() if isinstance(rows, list)}
    values = {name: value for name, value in stated.items() if not isinstance(value, list)}
    return build(kind, {"part_number": number, "maker": "Acme"} | values, tables)


def caught(kind: str, stated: Stated) -> list[str]:
    return [doubt.rule for doubt in review_one(part(kind, stated))]


def rds(*rows: tuple[float, float]) -> list[dict[str, Any]]:
    return [{"vgs": vgs, "max": on} for vgs, on in rows]


def hfe(*gains: float) -> list[dict[str, Any]]:
    return [{"ic": 10.0 ** (i - 4), "vce": 5, "min": gain} for i, gain in enumerate(gains)]


CASE, AMBIENT = {"reference": "case"}, {"reference": "ambient"}
FREE = [{"copper_area": 0, "mounting": "free-air", "max": 100}]
CASES: list[tuple[str, str, Stated, Stated]] = [
    ("price-without-currency", "led", {"price": 0.1}, {"price": 0.1, "currency": "EUR"}),
    ("above-the-junction-limit", "mosfet", {"tj_max": 150, "idss": [{"tj": 151, "max": 1e-6}]},
     {"tj_max": 150, "idss": [{"tj": 150, "max": 1e-6}]}),
    ("factor-at-25-degrees", "mosfet", {"rds_on_factor": [{"tj": 25, "max": 1.03}]},
     {"rds_on_factor": [{"tj": 25, "max": 1.019}]}),
    ("case-below-ambient", "diode", {"theta_jc": 101, "theta_ja": FREE}, {"theta_jc": 100, "theta_ja": FREE}),
    ("pulse-below-steady", "mosfet", {"theta_jc": 2, "zth": [{"pulse_width": 1, "max": 2.05, **CASE}]},
     {"theta_jc": 2, "zth": [{"pulse_width": 1, "max": 2.03, **CASE}]}),
    ("power-from-heat", "diode", {"tj_max": 125, "theta_ja": FREE, "power_max": 1.31},
     {"tj_max": 125, "theta_ja": FREE, "power_max": 1.29}),
    ("power-from-heat", "diode", {"tj_max": 125, "theta_ja": FREE, "power_max": 0.69},
     {"tj_max": 125, "theta_ja": FREE, "power_max": 0.71}),
    ("threshold-below-the-on-rows", "mosfet", {"vgs_th_max": 2.5, "rds_on": rds((2.5, 0.1), (4.5, 0.05))},
     {"vgs_th_max": 2.49, "rds_on": rds((2.5, 0.1), (4.5, 0.05))}),
    ("gate-within-its-rating", "mosfet", {"vgs_max": 9.9, "rds_on": rds((10, 0.1))},
     {"vgs_max": 10, "rds_on": rds((10, 0.1))}),
    ("charges-add-up", "mosfet", {"qg_max": 10e-9, "qgs_max": 4e-9, "qgd_max": 6.1e-9},
     {"qg_max": 10e-9, "qgs_max": 4e-9, "qgd_max": 6e-9}),
    ("pulsed-above-continuous", "mosfet",
     {"id_max": [{"temperature": 25, "max": 10, **CASE}], "idm": [{"pulse_width": 1e-3, "max": 9.9}]},
     {"id_max": [{"temperature": 25, "max": 10, **CASE}], "idm": [{"pulse_width": 1e-3, "max": 10}]}),
    ("safe-area-within-the-ratings", "mosfet", {"vds_max": 60, "soa": [{"pulse_width": 1e-3, "vds": 61, "max": 1}]},
     {"vds_max": 60, "soa": [{"pulse_width": 1e-3, "vds": 60, "max": 1}]}),
    # 0.05 Ω · 1 K/W · i² against twice (150 - 25) K: 70.7 A
    ("current-from-heat", "mosfet",
     {"tj_max": 150, "theta_jc": 1, "rds_on": rds((10, 0.05)), "id_max": [{"temperature": 25, "max": 71, **CASE}]},
     {"tj_max": 150, "theta_jc": 1, "rds_on": rds((10, 0.05)), "id_max": [{"temperature": 25, "max": 70, **CASE}]}),
    # on a board of 50 K/W: 0.05 Ω · 50 K/W · i² against twice (150 - 25) K: 10 A
    ("current-from-heat", "mosfet",
     {"tj_max": 150, "rds_on": rds((10, 0.05)), "theta_ja": [{"copper_area": 6e-4, "mounting": "single-layer", "max": 50}],
      "id_max": [{"temperature": 25, "max": 10.1, "reference": "ambient"}]},
     {"tj_max": 150, "rds_on": rds((10, 0.05)), "theta_ja": [{"copper_area": 6e-4, "mounting": "single-layer", "max": 50}],
      "id_max": [{"temperature": 25, "max": 9.9, "reference": "ambient"}]}),
    ("gain-has-one-peak", "bjt", {"hfe": hfe(50, 100, 90, 91, 40)}, {"hfe": hfe(50, 100, 90, 90, 40)}),
    ("saturation-is-driven", "bjt", {"vce_sat": [{"ic": 0.1, "ib": 0.11, "max": 0.2}]},
     {"vce_sat": [{"ic": 0.1, "ib": 0.1, "max": 0.2}]}),
    ("saturation-is-driven", "bjt", {"vbe_sat": [{"ic": 1, "ib": 0.0024, "max": 1}],
                                     "hfe": [{"ic": 1, "vce": 5, "max": 400}]},
     {"vbe_sat": [{"ic": 1, "ib": 0.0025, "max": 1}], "hfe": [{"ic": 1, "vce": 5, "max": 400}]}),
    ("saturation-voltages", "bjt", {"vce_sat": [{"ic": 1, "ib": 0.1, "max": 2.6}], "vbe_sat": [{"ic": 1, "ib": 0.1, "max": 2.5}]},
     {"vce_sat": [{"ic": 1, "ib": 0.1, "max": 2.5}], "vbe_sat": [{"ic": 1, "ib": 0.1, "max": 2.5}]}),
    # 620 nm: photons carry 2.000 V, of which 0.8 is 1.600 V
    ("photons-need-their-voltage", "led", {"dominant_wavelength_typ": 620e-9, "vf": [{"i_f": 0.02, "typ": 1.59}]},
     {"dominant_wavelength_typ": 620e-9, "vf": [{"i_f": 0.02, "typ": 1.61}]}),
    ("colour-and-wavelength", "led", {"colour": "red", "dominant_wavelength_typ": 599e-9},
     {"colour": "red", "dominant_wavelength_typ": 601e-9}),
    ("peak-above-continuous", "led", {"if_peak": 0.029, "if_max": [{"temperature": 25, "max": 0.03}]},
     {"if_peak": 0.03, "if_max": [{"temperature": 25, "max": 0.03}]}),
    ("relative-to-the-test-current", "led",
     {"iv": [{"i_f": 0.02, "typ": 0.1}], "relative_intensity": [{"i_f": 0.02, "typ": 0.94}]},
     {"iv": [{"i_f": 0.02, "typ": 0.1}], "relative_intensity": [{"i_f": 0.02, "typ": 0.96}]}),
    ("clamps-above-breakdown", "diode", {"vbr_min": 20, "clamping": [{"ipp": 1, "max": 19.9}]},
     {"vbr_min": 20, "clamping": [{"ipp": 1, "max": 20}]}),
    ("surge-above-average", "diode", {"ifrm": 0.99, "if_av": [{"temperature": 75, "reference": "lead", "max": 1}]},
     {"ifrm": 1, "if_av": [{"temperature": 75, "reference": "lead", "max": 1}]}),
    ("pulse-power-from-the-clamp", "diode", {"clamping": [{"ipp": 31, "max": 25}], "pulse_power": [{"pulse_width": 1e-3, "max": 500}]},
     {"clamping": [{"ipp": 29, "max": 25}], "pulse_power": [{"pulse_width": 1e-3, "max": 500}]}),
    ("dropout-within-the-rating", "regulator", {"iout_max": 1, "dropout": [{"iout": 1.21, "max": 1}]},
     {"iout_max": 1, "dropout": [{"iout": 1.2, "max": 1}]}),
    ("curve-within-the-rating", "terminal", {"t_max": 105, "current": [{"temperature": 106, "basis": "base", "max": 1}]},
     {"t_max": 105, "current": [{"temperature": 106, "basis": "base", "max": 0}]}),
    ("curve-within-the-rating", "terminal",
     {"current": [{"temperature": 25, "basis": "base", "max": 15}, {"temperature": 25, "basis": "derated", "max": 15.1}]},
     {"current": [{"temperature": 25, "basis": "base", "max": 15}, {"temperature": 25, "basis": "derated", "max": 15}]}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "kind", "doubtful", "plain"), CASES, ids=[f"{c[0]}-{i}" for i, c in enumerate(CASES)])
def test_each_rule_just_catches_and_just_lets_pass(rule: str, kind: str, doubtful: Stated, plain: Stated) -> None:
    assert caught(kind, doubtful) == [rule]
    assert caught(kind, plain) == []


def test_every_rule_has_its_case() -> None:
    names = {rule.name for rules in RULES.values() for rule in rules}
    assert names == {case[0] for case in CASES} | {"order-of-points", "one-above-the-other"}


@pytest.mark.parametrize(
    ("kind", "low", "high"), [(kind, low, high) for kind, pairs in BELOW.items() for low, high, _ in pairs]
)
def test_a_value_above_the_one_it_lies_below(kind: str, low: str, high: str) -> None:
    a, b = KINDS[kind].columns()[low], KINDS[kind].columns()[high]
    value = (max(a.low, b.low) * min(a.high, b.high)) ** 0.5 if max(a.low, b.low) > 0 else min(a.high, b.high) / 10
    assert caught(kind, {low: value, high: value * 0.99}) == ["one-above-the-other"]
    assert caught(kind, {low: value, high: value}) == []


@pytest.mark.parametrize(
    ("kind", "name", "axis", "way"), [(kind, *each) for kind, tables in ORDERED.items() for each in tables]
)
def test_points_out_of_order(kind: str, name: str, axis: str, way: str) -> None:
    """Two points that differ in the one axis: out of order they are caught, equal they pass."""
    table = KINDS[kind].table(name)
    declared = table.axis(axis)
    low = declared.low or declared.high * 1e-4
    first, second = (low * 1.5, low * 1.8)
    if declared.unit == "°C":
        first, second = 40.0, 60.0
    other = {
        a.name: a.choices[0] if a.choices else (a.low * a.high) ** 0.5
        for a in table.axes
        if a.name != axis and a.required
    }
    bound = table.bounds[-1]
    value = min((table.low or table.high * 1e-4) * 2, table.high)
    after = value * (0.99 if way == "rise" else 1.01)

    def doubts(last: float) -> list[str]:
        rows = [{axis: first, bound: value, **other}, {axis: second, bound: last, **other}]
        return [d.rule for d in review_one(part(kind, {name: rows})) if d.rule == "order-of-points"]

    assert doubts(after) == ["order-of-points"]
    assert doubts(value) == []


def test_rows_at_other_conditions_are_not_compared() -> None:
    """On-resistance at two drain currents is; gain at two voltages, a safe area at two widths are not."""
    soa = [{"pulse_width": 1e-3, "vds": 10, "max": 5}, {"pulse_width": 1e-2, "vds": 20, "max": 1}]
    assert caught("mosfet", {"soa": soa}) == []
    on = [{"vgs": 4.5, "id": 1, "max": 0.05}, {"vgs": 10, "id": 5, "max": 0.06}]
    assert caught("mosfet", {"rds_on": on}) == ["order-of-points"]


# --- among others of the kind ----------------------------------------------------------------------


def others(count: int, **stated: Any) -> list[Part]:
    """Parts whose gate charge runs evenly from 8 nC to 16 nC."""
    step = 2 ** (1 / max(count - 1, 1))
    return [part("mosfet", {"qg_max": 8e-9 * step**i} | stated, f"P{i}") for i in range(count)]


def told(mine: Part, known: list[Part]) -> list[str]:
    return [doubt.rule for doubt in review([mine], known)]


def test_a_value_a_thousand_times_off_is_a_slip_of_the_unit() -> None:
    known = others(6)
    slipped = part("mosfet", {"qg_max": 10e-6})
    (doubt,) = review([slipped], known)
    assert doubt.rule == "slip-by-a-thousand" and "is 10 nC meant?" in doubt.reason
    assert told(slipped, known[:4]) == []  # too few to tell
    low, high = 8e-9, 16e-9
    assert told(part("mosfet", {"qg_max": high * 29}), known) == []
    assert told(part("mosfet", {"qg_max": low / 3 * 1000 * 1.01}), known) == ["slip-by-a-thousand"]
    assert told(part("mosfet", {"qg_max": low / 3 * 1000 * 0.99}), known) == []


def test_a_table_slipped_as_a_whole_is_noticed() -> None:
    known = [
        part("mosfet", {"rds_on": rds((4.5, on * 1.5), (10, on))}, f"P{i}")
        for i, on in enumerate([0.01, 0.02, 0.03, 0.04, 0.05])
    ]
    (doubt,) = review([part("mosfet", {"rds_on": rds((4.5, 15), (10, 10))})], known)
    assert (doubt.rule, doubt.columns) == ("slip-by-a-thousand", ("rds_on",))


def test_a_value_far_from_its_kind() -> None:
    """Twelve peers that agree: the score of 8 with a spread of a tenth of a decade is 10^(0.8/0.6745), a factor 15.35."""
    known = [part("mosfet", {"vds_max": 60}, f"P{i}") for i in range(12)]
    assert told(part("mosfet", {"vds_max": 60 * 15.4}), known) == ["far-from-its-kind"]
    assert told(part("mosfet", {"vds_max": 60 * 15.3}), known) == []
    assert told(part("mosfet", {"vds_max": 60 * 15.4}), known[:11]) == []


def test_wrong_peers_do_not_hide_a_wrong_value() -> None:
    known = [*others(12), part("mosfet", {"qg_max": 9e-6}, "W1")]
    assert told(part("mosfet", {"qg_max": 10e-6}), known) == ["slip-by-a-thousand"]
    assert [d.part_number for d in review(known)] == ["W1"]


def test_a_part_is_not_its_own_witness() -> None:
    known = others(5)
    assert told(known[0], known) == []
    mine = part("mosfet", {"qg_max": 10e-6}, "P9")
    assert told(mine, [*known, mine]) == ["slip-by-a-thousand"]


@given(st.lists(st.floats(8e-9, 16e-9), min_size=6, max_size=20), st.floats(8e-9, 16e-9))
@settings(max_examples=60, deadline=None)
def test_parts_that_are_alike_are_never_doubted(values: list[float], mine: float) -> None:
    known = [part("mosfet", {"qg_max": value}, f"P{i}") for i, value in enumerate(values)]
    assert told(part("mosfet", {"qg_max": mine}), known) == []


def plainly(values: list[float], mine: float) -> tuple[float, float, float, float]:
    """Trimmed ends, median and median absolute deviation of all but one, as they are defined."""
    logs = sorted(math.log10(value) for value in values)
    logs.remove(math.log10(mine))
    trim, middle = len(logs) // 10, median(logs)
    return logs[trim], logs[-1 - trim], middle, median(abs(log - middle) for log in logs)


@given(st.lists(st.floats(1e-11, 1e-5) | st.sampled_from([1e-9, 2e-9, 3e-6]), min_size=6, max_size=40), st.data())
@settings(max_examples=200, deadline=None)
def test_the_spread_of_all_but_one_is_that_of_a_list_without_it(values: list[float], data: st.DataObject) -> None:
    mine = data.draw(st.sampled_from(values))
    logs = sorted(math.log10(value) for value in values)
    spread = _Spread(logs, logs.index(math.log10(mine)))
    assert (spread.low, spread.high, spread.middle, spread.deviation) == pytest.approx(plainly(values, mine))
    doubtful = _slip("x", "C", mine, spread) or _outlier("x", "C", mine, spread)
    low, high = _plain_range(logs)
    assert not (doubtful and low < math.log10(mine) < high)


def test_a_review_grows_no_faster_than_the_parts() -> None:
    """Eight times the parts take eight times as long; a comparison of each with each would take 64 times."""

    def takes(count: int) -> float:
        some = others(count)
        begun = process_time()
        review(some)
        return process_time() - begun

    takes(100)
    assert takes(8000) < 25 * takes(1000)


def test_of_many_doubtful_parts_the_first_are_told_and_the_rest_counted() -> None:
    doubts = [Doubt("led", f"L{i}", "Acme", "a-rule", ("vf",), "why") for i in range(103)]
    told = text.render(answer.document(doubts, 200, "here"))
    assert "L99 (Acme)" in told and "L100 (Acme)" not in told
    assert "And 3 more parts;" in told and "103 doubts about 103 of 200 parts" in told
    assert len(reviewed(doubts, 200, "here").doubts) == 103


# --- the samples and the command -------------------------------------------------------------------


def test_the_samples_are_doubted_only_where_that_is_right() -> None:
    """Looked at one by one: four MOSFETs state a smaller leakage at 150 °C than at 125 °C, which cannot be."""
    found = {(d.part_number, d.rule, d.columns) for d in review(read_parts(SAMPLES))}
    numbers = ("MOBY-F40-48", "MOBY-E60-60", "ARFJ-F40D", "KEST-F150D")
    assert found == {(number, "order-of-points", ("idss",)) for number in numbers}


def test_the_command_and_the_notes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "catalog.sqlite"
    taken = run(monkeypatch, capsys, "catalog", "import", SAMPLES, "--catalog", place)
    assert taken.code == 0 and "4 values look doubtful; see them with: partcheck catalog review" in taken.err
    text = run(monkeypatch, capsys, "catalog", "review", "--catalog", place)
    words = " ".join(text.out.split())
    assert text.code == 0 and "4 doubts about 4 of 186 parts in " in words and "nothing was changed" in words
    assert all(len(line) <= 80 for line in text.out.splitlines())
    one = run(monkeypatch, capsys, "catalog", "review", "moby-f40-48", "--catalog", place)
    assert "idss max falls from 50 µA at tj 125 °C to 40 µA at 150 °C" in " ".join(one.out.split())
    made = json.loads(run(monkeypatch, capsys, "catalog", "review", "mosfet", "--json", "--catalog", place).out)
    follows_the_schema(made)
    assert made["reviewed"] == 47 and len(made["doubts"]) == 4
    fine = run(monkeypatch, capsys, "catalog", "review", "led", "--catalog", place)
    assert fine.out.startswith("Nothing is doubtful about 36 parts")
    wrong = run(monkeypatch, capsys, "catalog", "review", "mosfit", "--catalog", place)
    assert wrong.code == 2 and "has no part mosfit" in wrong.err
    with open_catalog(place) as catalog:
        before = catalog.last_change()
    run(monkeypatch, capsys, "catalog", "review", "--catalog", place)
    with open_catalog(place) as catalog:
        assert catalog.last_change() == before
