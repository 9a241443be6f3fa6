"""Random boards, random true devices, random points: no place told meets or tight is violated."""

import ast
import os
from pathlib import Path

import pytest

from tests.circuit.boards import random_board, written
from tests.circuit.search import shrink, violations

BOARDS = int(os.environ.get("PARTCHECK_BOARDS", "60"))
MANY = BOARDS > 100
HOW = {"points": 64, "rounds": 2, "searched": 2} if MANY else {"points": 48, "rounds": 1, "searched": 1}
FOUND = Path(__file__).parent / "found"


@pytest.mark.parametrize("seed", range(BOARDS))
def test_a_board_that_is_passed_holds_in_the_whole_circuit(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "board.toml"
    path.write_text(written(random_board(seed)), encoding="utf-8")
    found = violations(path, seed, **HOW)
    if found:
        small = shrink(path, found[0], seed)
        pytest.fail(f"{found[0]}\n\n{small}")


@pytest.mark.parametrize("path", sorted(FOUND.glob("*.toml")), ids=lambda path: path.stem)
def test_a_board_that_once_showed_a_violation_holds(path: Path) -> None:
    for seed in range(2):
        found = violations(path, seed, points=64, rounds=2, searched=1)
        assert not found, "\n".join(map(str, found))


def test_the_reference_knows_nothing_of_how_the_program_judges() -> None:
    """Only ``verdicts`` runs it; the rest reads boards and parts."""
    for path in Path(__file__).parent.glob("*.py"):
        names = {node.module for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.ImportFrom)}
        allowed = ("partcheck.board", "partcheck.parts", "tests.circuit", "tests.draws")
        if path.name == "verdicts.py":
            allowed += ("partcheck.jobs", "partcheck.errors")
        foreign = {str(name) for name in names if str(name).startswith(("partcheck", "tests"))}
        assert {name for name in foreign if not name.startswith(allowed)} == set(), path.name
