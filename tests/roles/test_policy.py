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


def test_ecss_semiconductors() -> None:
    """ECSS-Q-ST-30-11C Rev 1/2, transistors and diodes clauses (from memory)."""
    published = {
        "vceo": 0.75, "ic": 0.75, "bjt_power": 0.65, "vds": 0.80, "vgs": 0.75, "id": 0.75, "mosfet_power": 0.65,
        "diode_if": 0.75, "diode_vr": 0.75, "diode_power": 0.50, "led_if": 0.50,
    }  # fmt: skip
    assert {name: ECSS.value(name) for name in published} == published
    assert ECSS.value("tj_ceiling") == pytest.approx(273.15 + 110)
    assert ECSS.value("tj_guard") == 40


def test_ecss_connector() -> None:
    """ECSS-Q-ST-30-11C Rev.2 (23 June 2021) table 6-10, read as transcribed: 10 A becomes 5 A; 300 V rated, 225 V."""
    assert 10 * ECSS.value("terminal_current") == 5.0
    assert 300 * ECSS.value("terminal_voltage") == 225.0


def test_nasa_goddard() -> None:
    """NASA/TP-2003-212242 EEE-INST-002 derating tables (from memory)."""
    published = {
        "bjt_power": 0.60, "ic": 0.75, "vceo": 0.75, "vds": 0.75, "vgs": 0.60, "diode_vr": 0.70, "diode_if": 0.50,
        "regulator_vin": 0.80, "regulator_iout": 0.80,
    }  # fmt: skip
    assert {name: NASA.value(name) for name in published} == published


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
    from tests.command import BOARD, SAMPLES

    policy = POLICIES[name]
    read = {"terminal_current", "terminal_voltage"} if name == "ecss" else set()
    assert set(policy.unchecked) == set(policy.values) - read - {"tight"}
    found = check(open_setup(BOARD, [SAMPLES], policy=name))
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
