"""What is told of each requirement is what the declarations and the tests say today."""

import ast
import importlib
from pathlib import Path

import pytest

from partcheck.errors import UsageError
from partcheck.jobs.evidence.evidence import ALL_ROLES, Outside, evidence
from partcheck.jobs.evidence.left_out import LEFT_OUT
from partcheck.jobs.evidence.recorded import RECORDED, recorded
from tests.circuit.search import MARGIN
from tests.evidence import behind, published
from tests.evidence.simulated import MEASURED, OF_THE_DRIVE, OF_THE_LOAD

EACH = {f"{role.name} {id_}" for role in ALL_ROLES.values() for id_ in role.requirements}
CURRENT = "run python -m tests.evidence.record and python -m partcheck.report.formats"


def test_what_is_recorded_of_published_numbers_and_formulas_is_current() -> None:
    import json

    kept = json.loads(RECORDED.read_text(encoding="utf-8"))
    assert kept["checks"] == published.checks(), CURRENT
    assert kept["formula_checks"] == published.formula_checks(), CURRENT
    assert kept["formulas"] == behind.formulas(), CURRENT
    assert set(kept["formulas"]) == set(kept["functions"]) == EACH


def test_what_is_recorded_names_what_there_is() -> None:
    record = recorded()
    assert set(record.checks) | set(record.simulated) <= EACH
    for name in {name for names in record.functions.values() for name in names}:
        module, _, function = name.partition(".")
        assert callable(getattr(importlib.import_module(f"partcheck.physics.{module}"), function)), name
    ids = {id_ for role in ALL_ROLES.values() for id_ in role.requirements}
    assert {id_ for made in LEFT_OUT for id_ in made.concerns} <= ids


def test_no_place_told_meets_went_beyond_what_is_allowed_in_simulation() -> None:
    record = recorded()
    assert record.boards >= 12 and record.simulated
    for name, made in record.simulated.items():
        assert all(each.worst <= MARGIN and each.places > 0 for each in made), name


def test_everything_that_the_circuit_reference_looks_at_speaks_for_some_requirement() -> None:
    told = {kind for kinds in MEASURED.values() for kind in kinds} | set(OF_THE_LOAD) | {"pin"}
    looked = set()
    for path in (Path(__file__).parents[1] / "circuit").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Measure":
                looked |= {arg.value for arg in node.args[:1] if isinstance(arg, ast.Constant)}
    assert looked == told
    about = {f"{role} {id_}" for role, kinds in MEASURED.items() for ids in kinds.values() for id_ in ids}
    about |= {f"{role} {id_}" for pairs in OF_THE_LOAD.values() for role, id_ in pairs}
    assert about | {f"{role} {id_}" for role, id_ in OF_THE_DRIVE.items()} <= EACH


def test_a_requirement_without_an_outside_check_says_so() -> None:
    found = evidence()
    assert len(found.grounds) == len(EACH)
    for ground in found.grounds:
        bare = not (ground.checks or ground.behind or ground.simulated)
        assert (ground.outside is Outside.NONE) == bare, ground.name
    from partcheck.report.answers.evidence.document import document
    from partcheck.report.render import text

    assert "no outside check" in text.render(document(evidence("npn-sink:package")))


def test_a_deviation_is_told_in_per_cent_with_its_document() -> None:
    from partcheck.report.answers.evidence.document import document
    from partcheck.report.render import text

    told = " ".join(text.render(document(evidence("mosfet-switch:avalanche-energy"))).split())
    assert "M-04 demand 69 mJ 68.99 mJ -0.012 %" in told and "PD-9.307O" in told


def test_it_is_asked_for_by_id_by_role_and_by_both() -> None:
    assert {ground.role.name for ground in evidence("Cross-Feed").grounds} == {"mosfet-switch", "npn-sink"}
    assert len(evidence("clamp").grounds) == len(ALL_ROLES["clamp"].requirements)
    (one,) = evidence("npn-sink:gain").grounds
    assert one.name == "npn-sink gain"
    assert {made.name for made in one.factors} == {"gain_overdrive"}
    assert "hfe_factor" in {made.name for made in one.assumed}


@pytest.mark.parametrize(
    ("asked", "suggested"),
    [
        ("vds", "did you mean drain-voltage or stays-off or gate-hold, which read vds?"),
        ("drain-volt", "did you mean drain-voltage?"),
        ("qqq", "`partcheck evidence` lists them all"),
    ],
)
def test_an_unknown_name_is_one_sentence_with_a_suggestion(asked: str, suggested: str) -> None:
    with pytest.raises(UsageError, match="there is no requirement and no role") as slip:
        evidence(asked)
    assert str(slip.value).endswith(suggested)
