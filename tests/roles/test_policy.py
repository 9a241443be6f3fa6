"""Policies: every factor has a source, the published ones say what their tables say."""

import math
from pathlib import Path

import pytest

from partcheck.policy import ASSUMED, BENCH, DATASHEET, ECSS, NASA, POLICIES, VALUES, find_policy


@pytest.mark.parametrize("policy", POLICIES.values(), ids=lambda p: p.name)
def test_every_value_is_declared_in_range_and_has_a_source(policy: object) -> None:
    assert policy.values  # type: ignore[attr-defined]
    for name, value in policy.values.items():  # type: ignore[attr-defined]
        assert VALUES[name].low <= value <= VALUES[name].high, name
        assert policy.sources[name].strip(), name  # type: ignore[attr-defined]
    for name, value in policy.assumed.items():  # type: ignore[attr-defined]
        assert ASSUMED[name].low <= value <= ASSUMED[name].high, name
        assert policy.assumed_sources[name].strip(), name  # type: ignore[attr-defined]


def test_only_bench_assumes_anything() -> None:
    assert BENCH.assumed
    for policy in (DATASHEET, ECSS, NASA):
        assert all(math.isnan(policy.assumption(name)) for name in ASSUMED)


def test_overdrive_is_at_least_1_3_everywhere() -> None:
    assert all(policy.value("gain_overdrive") >= 1.3 for policy in POLICIES.values())


SPACE = "ECSS-Q-ST-30-11C Rev.1/2, transistors and diodes clauses"
CONNECTORS = "ECSS-Q-ST-30-11C Rev.2 table 6-10, read as transcribed"
GODDARD = "NASA/TP-2003-212242 EEE-INST-002 derating tables"
RENESAS = "Renesas knowledge base on V_DS"
PRACTICE, RECALLED = "common practice, no published source", "(from memory)"
WRITTEN: dict[str, dict[str, dict[str, float]]] = {
    "datasheet": {PRACTICE: {"edge_margin_on": 2.8, "edge_margin_off": 1.65, "gain_overdrive": 1.3, "pole_share": 1.0}},
    "ecss": {
        SPACE: {"vceo": 0.75, "ic": 0.75, "bjt_power": 0.65, "vds": 0.80, "vgs": 0.75, "id": 0.75, "mosfet_power": 0.65,
                "diode_if": 0.75, "diode_vr": 0.75, "diode_power": 0.50, "led_if": 0.50, "tj_guard": 40.0,
                "tj_ceiling": 273.15 + 110},
        CONNECTORS: {"terminal_current": 0.50, "terminal_voltage": 0.75},
        PRACTICE: {"tight": 0.1},
    },
    "nasa-goddard": {
        GODDARD: {"bjt_power": 0.60, "mosfet_power": 0.60, "ic": 0.75, "id": 0.75, "vceo": 0.75, "vds": 0.75, "vgs": 0.60,
                  "diode_vr": 0.70, "diode_if": 0.50, "regulator_vin": 0.80, "regulator_iout": 0.80, "tj_guard": 40.0,
                  "tj_ceiling": 273.15 + 125},
        PRACTICE: {"tight": 0.1},
    },
    "bench": {
        RENESAS: {"vds": 0.8},
        PRACTICE: {"vgs": 0.9, "id": 0.8, "mosfet_power": 1.0, "avalanche": 0.8, "vceo": 0.8, "ic": 0.8, "ib": 0.8,
                   "bjt_power": 1.0, "diode_vr": 0.8, "diode_if": 0.8, "diode_power": 1.0, "clamp_energy": 0.8,
                   "led_if": 0.8, "led_power": 1.0, "regulator_vin": 0.9, "regulator_iout": 0.9, "regulator_power": 1.0,
                   "terminal_current": 0.9, "terminal_voltage": 1.0, "resistor_power": 0.6, "wire_current": 1.0,
                   "drive_current": 0.9, "source_current": 0.9, "tj_guard": 20.0, "tight": 0.1, "gate_overdrive": 0.5,
                   "gain_overdrive": 1.5, "noise": 0.1, "edge_margin_on": 2.8, "edge_margin_off": 1.65, "pole_share": 0.6},
    },
}  # fmt: skip
"""Every value of every shipped policy, by the document that states it."""
ASSUMED_BY_BENCH: dict[str, dict[str, float]] = {
    "largest factor found in print": {"rds_on_factor": 2.6},
    "2N2222 datasheet curves give 0.47 at -55 °C (Philips 1997)": {"hfe_factor": 0.45},
    "Malvino & Bates, Electronic Principles, Example 2-6": {"leakage_doubling": 10.0},
    "Fairchild IRF640N datasheet, figure 4": {"square_root_law": 1.0},
    "two-wire line, mu0/pi (ln(D/r) + 1/4), up to 33 radii apart": {"cable_inductance": 1.5e-6},
    "IPC-2221 section 6.2 fit": {"track_fit": 1.0},
    PRACTICE: {"vgs_th_tempco": -0.006, "rg_int_spread": 2.0, "hfe_hot_factor": 2.0, "vbe_off": 0.4, "rbsoa_share": 0.5,
               "vf_tempco": -0.005, "light_factor": 0.01, "gate_capacitance": 200e-9, "drive_resistance": 200.0,
               "eas_repeats": 1.0, "vfr": 10.0, "cout_max": 1.0, "winding_rise": 60.0, "drive_leakage": 1e-6,
               "drive_edge": 1e-6},
}  # fmt: skip
FROM_MEMORY = {SPACE, GODDARD, "largest factor found in print"}
UNITS_STATED = {
    "tj_guard": "K", "tj_ceiling": "°C", "gate_overdrive": "V", "noise": "V", "vgs_th_tempco": "V/K", "vbe_off": "V",
    "leakage_doubling": "K", "vf_tempco": "V/K", "light_factor": "1/K", "gate_capacitance": "F", "drive_resistance": "Ω",
    "vfr": "V", "cable_inductance": "H/m", "cout_max": "F", "winding_rise": "K", "drive_leakage": "A", "drive_edge": "s",
}  # fmt: skip
"""What is no share and no number of times; a temperature is kept in kelvin."""


def pinned(written: dict[str, dict[str, float]]) -> dict[str, tuple[float, str]]:
    return {name: (value, document) for document, values in written.items() for name, value in values.items()}


@pytest.mark.parametrize("name", sorted(POLICIES))
def test_every_value_is_the_one_that_its_document_states(name: str) -> None:
    policy, wanted = POLICIES[name], pinned(WRITTEN[name])
    assert policy.values == pytest.approx({key: value for key, (value, _) in wanted.items()}, rel=1e-12)
    for key, (_, document) in wanted.items():
        assert policy.sources[key].startswith(document.partition(" table")[0]), key
        assert policy.sources[key].endswith(RECALLED) == (document in FROM_MEMORY), key


def test_every_assumption_is_the_one_that_its_document_states() -> None:
    wanted = pinned(ASSUMED_BY_BENCH)
    assert BENCH.assumed == pytest.approx({key: value for key, (value, _) in wanted.items()}, rel=1e-12)
    for key, (_, document) in wanted.items():
        assert BENCH.assumed_sources[key].startswith(document), key
        assert BENCH.assumed_sources[key].endswith(RECALLED) == (document in FROM_MEMORY), key


def test_every_value_has_the_unit_of_its_document() -> None:
    assert {key: made.unit for key, made in (VALUES | ASSUMED).items() if made.unit} == UNITS_STATED


def test_the_bare_datasheet_takes_nothing_off_and_adds_nothing() -> None:
    """Its own limits: every share is 1, no guard, no ceiling; what is common practice stands above."""
    own = (
        set(VALUES)
        - set(WRITTEN["datasheet"][PRACTICE])
        - {"tj_guard", "tj_ceiling", "tight", "gate_overdrive", "noise"}
    )
    assert {key: DATASHEET.value(key) for key in own} == dict.fromkeys(own, 1.0)
    assert [DATASHEET.value(key) for key in ("tj_guard", "tight", "gate_overdrive", "noise")] == [0.0] * 4
    assert DATASHEET.value("tj_ceiling") == math.inf
    for key in VALUES.keys() - {"tj_ceiling"}:
        assert VALUES[key].low <= VALUES[key].datasheet <= VALUES[key].high, key


def test_a_worked_connector() -> None:
    """ECSS-Q-ST-30-11C Rev.2 (23 June 2021) table 6-10, read as transcribed: 10 A becomes 5 A; 300 V rated, 225 V."""
    assert 10 * ECSS.value("terminal_current") == 5.0
    assert 300 * ECSS.value("terminal_voltage") == 225.0


def test_there_is_no_single_80_percent_rule() -> None:
    """A 60 V part: MIL-STD-975M 0.75 (NASA 1994, second-hand) gives 45 V, Renesas (2007, excerpt) 0.80 gives 48 V."""
    assert 60 * NASA.value("vds") == pytest.approx(45.0)
    assert 60 * BENCH.value("vds") == pytest.approx(48.0)


def test_a_value_that_no_policy_states_is_the_datasheets_own() -> None:
    assert NASA.value("terminal_current") == 1.0
    assert "states none" in NASA.source("terminal_current")
    assert "terminal_current" in NASA.fallen_back


def test_a_policy_of_ones_own(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(
        'name = "own"\nbase = "bench"\nsource = "our rules"\n[values]\nvds = "70 %"\ntj_ceiling = "110 °C"\n'
        "[assumed]\nrds_on_factor = 2.0\n",
        encoding="utf-8",
    )
    own = find_policy(str(path))
    assert own.value("vds") == pytest.approx(0.7)
    assert own.value("tj_ceiling") == pytest.approx(383.15)
    assert own.assumption("rds_on_factor") == 2.0
    assert "our rules" in own.source("vds")
    assert own.value("vgs") == BENCH.value("vgs")


@pytest.mark.parametrize("name", ["ecss", "nasa-goddard"])
def test_the_head_of_an_answer_counts_the_values_that_nobody_has_checked(name: str) -> None:
    """Of ECSS only the terminals (table 6-10) were read, of EEE-INST-002 nothing; all others are from memory."""
    from partcheck.jobs.check.board import check
    from partcheck.jobs.judge.setup import open_setup
    from partcheck.report.answers.check.document import document
    from partcheck.report.answers.check.record import record
    from partcheck.report.render import html, markdown, text
    from tests.command import SAMPLES
    from tests.valves import TABLES, corner

    policy = POLICIES[name]
    read = {"terminal_current", "terminal_voltage"} if name == "ecss" else set()
    assert set(policy.unchecked) == set(policy.values) - read - {"tight"}
    found = check(open_setup(corner(f"{TABLES} U3 PUMP pump Q4 D4"), [SAMPLES], policy=name))
    told = f"{len(policy.unchecked)} of its {len(policy.values)} values are from memory and unchecked"
    for render in (text, markdown, html):
        made = " ".join(render.render(document(found)).split())
        assert told in made[: made.index("What fails")], render.__name__
    assert record(found).policy_unchecked == list(policy.unchecked)


def test_policies_of_ones_own_take_over_what_is_unchecked(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text('name = "own"\nbase = "ecss"\nsource = "our bench"\n[values]\nvds = 0.7\n')
    own = find_policy(str(tmp_path / "own.toml"))
    assert set(own.unchecked) == set(ECSS.unchecked) - {"vds"}
    assert BENCH.unchecked == DATASHEET.unchecked == ()
