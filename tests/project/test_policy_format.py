"""The format of a policy file: its example is read, its schema and its document know every value."""

import tomllib
from pathlib import Path

import jsonschema
import pandas as pd
import pytest

from partcheck.api import open_board
from partcheck.policy import ASSUMED, VALUES, find_policy
from partcheck.report.formats import DOCUMENTS, FOLDER
from partcheck.report.policy_format import policy_schema
from partcheck.requirement import Verdict
from tests.command import BOARD, SAMPLES, run

EXAMPLE = FOLDER / "policy.example.toml"


def test_the_example_is_a_policy() -> None:
    policy = find_policy(str(EXAMPLE))
    assert policy.value("vds") == 0.7 and policy.value("id") == 0.8 and policy.value("tj_guard") == 25
    assert policy.assumption("vgs_th_tempco") == pytest.approx(-0.005)
    assert policy.value("vceo") == find_policy("bench").value("vceo") and "house rule 7" in policy.source("vds")


def test_the_schema_is_one_and_takes_the_example_and_no_unknown_key() -> None:
    schema = policy_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    data = tomllib.loads(EXAMPLE.read_text(encoding="utf-8"))
    jsonschema.validate(data, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**data, "values": {"vds_share": 0.5}}, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"name": "no source"}, schema)


def test_the_document_names_every_value_and_the_command_prints_both(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = DOCUMENTS["policy"]()
    assert all(f"| `{name}` |" in text for name in (*VALUES, *ASSUMED))
    assert run(monkeypatch, capsys, "schema", "policy").out.startswith("{")
    assert run(monkeypatch, capsys, "schema", "policy", "--readable").out.startswith("# Policy")


def test_a_verdict_prints_as_its_word_and_an_empty_table_keeps_its_columns(tmp_path: Path) -> None:
    assert f"{Verdict.MEETS}" == str(Verdict.MEETS) == "meets" and Verdict.FAILS < Verdict.MEETS
    text = BOARD.read_text(encoding="utf-8").replace('parts = ["."]', "")
    board = tmp_path / "b.toml"
    board.write_text(text.replace("36 Ω ±8 %", "0.005 Ω ±8 %"), encoding="utf-8")
    table = open_board(board, [SAMPLES]).swap("Q2").table()
    assert isinstance(table, pd.DataFrame) and table.empty and "part_number" in table.columns
