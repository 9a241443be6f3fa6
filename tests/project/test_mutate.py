"""The command that makes slips: every room is there, and a slip changes one thing."""

import ast
import random

import pytest

from tests.mutate import ROOMS, ROOT, count, renamed, slipped


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_has_code_and_tests(room: str) -> None:
    code, tests = ROOMS[room]
    assert (ROOT / code).exists() and all((ROOT / test).exists() for test in tests)


def test_each_slip_of_a_module_is_another_and_can_be_read() -> None:
    source = (ROOT / "partcheck/roles/common.py").read_text(encoding="utf-8")
    plain = ast.unparse(ast.parse(source))
    number = count(source)
    assert number > 12
    made = [slipped(source, k) for k in random.Random(1).sample(range(number), 12)]
    assert all(text != plain and told for text, told in made) and len({text for text, _ in made}) == 12
    for text, _ in made:
        compile(text, "slipped", "exec")


def test_the_other_end_of_a_name() -> None:
    assert [renamed(name) for name in ("ambient_max", "greatest", "theta")] == ["ambient_min", "least", "theta"]
