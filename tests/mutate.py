"""Slips made on purpose: how many of them the tests of a room notice.

``python -m tests.mutate ROOM [COUNT [SEED]]`` makes so many single slips (default 20) in a room of the formulas, each in a
copy of the project, runs the tests of that room on it, and prints every slip that none of them noticed. ``all`` goes
through every room. Some tens of seconds a slip; `PARTCHECK_MUTANT_SECONDS` bounds each (default 300).
"""

import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
ROOMS: dict[str, tuple[str, tuple[str, ...]]] = {
    "physics": ("partcheck/physics", ("tests/physics", "tests/published")),
    "points": ("partcheck/points.py", ("tests/readings", "tests/physics", "tests/roles/test_every_requirement.py")),
    "operations": ("partcheck/operations.py", ("tests/readings", "tests/roles/test_every_requirement.py")),
    "roles": ("partcheck/roles", ("tests/roles", "tests/published")),
    "situation": ("partcheck/situation", ("tests/situation", "tests/roles/test_turned_round.py", "tests/judge")),
    "policy": ("partcheck/policy.py", ("tests/roles/test_policy.py",)),
    "readings": ("partcheck/readings", ("tests/readings", "tests/roles/test_every_requirement.py")),
    "units": ("partcheck/units", ("tests/readings/test_units.py",)),
}
"""For each room its code, and the tests that should notice."""
SECONDS = int(os.environ.get("PARTCHECK_MUTANT_SECONDS", "300"))
OTHER = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Lt: ast.GtE, ast.LtE: ast.Lt,
    ast.Gt: ast.LtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
    ast.And: ast.Or, ast.Or: ast.And, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
PAIRS = (
    ("min", "max"), ("least", "greatest"), ("smaller", "larger"), ("lowest", "highest"), ("low", "high"),
    ("hot", "cold"), ("LEAST", "LARGEST"), ("any", "all"),
)  # fmt: skip
NAMES = dict(PAIRS) | {b: a for a, b in PAIRS}


def renamed(name: str) -> str:
    """The other end: ``ambient_max`` for ``ambient_min``, ``greatest`` for ``least``; as it was where there is none."""
    *head, tail = name.split("_")
    return "_".join([*head, NAMES[tail]]) if tail in NAMES else name


def slips(node: ast.AST) -> Iterator[ast.AST]:
    """Each way in which one node may be written wrongly."""
    made = copy.deepcopy(node)
    if isinstance(made, ast.BinOp | ast.BoolOp) and type(made.op) in OTHER:
        made.op = OTHER[type(made.op)]()
        yield made
    elif isinstance(made, ast.Compare) and len(made.ops) == 1 and type(made.ops[0]) in OTHER:
        made.ops = [OTHER[type(made.ops[0])]()]
        yield made
    elif isinstance(made, ast.UnaryOp) and isinstance(made.op, ast.Not):
        yield made.operand
    elif isinstance(made, ast.Constant) and type(made.value) in (int, float):
        made.value = made.value * 1.2 if made.value else 1
        yield made
    elif isinstance(made, ast.Name) and renamed(made.id) != made.id:
        made.id = renamed(made.id)
        yield made
    elif isinstance(made, ast.Attribute) and renamed(made.attr) != made.attr:
        made.attr = renamed(made.attr)
        yield made


class Slip(ast.NodeTransformer):
    """Writes one node of a module wrongly, and remembers where and how."""

    def __init__(self, wanted: int) -> None:
        self.wanted, self.seen, self.told = wanted, 0, ""

    def visit(self, node: ast.AST) -> ast.AST:
        if isinstance(node, ast.arg | ast.Import | ast.ImportFrom | ast.JoinedStr):
            return node
        if isinstance(node, ast.FunctionDef):
            node.body = [self.visit(child) for child in node.body]  # type: ignore[misc]
            return node
        for made in slips(node):
            if self.seen == self.wanted:
                self.told = f"{node.lineno}: {ast.unparse(node)} -> {ast.unparse(made)}"  # type: ignore[attr-defined]
                self.seen += 1
                return ast.copy_location(made, node)
            self.seen += 1
        return self.generic_visit(node)


def count(source: str) -> int:
    """How many slips a module has room for."""
    counter = Slip(-1)
    counter.visit(ast.parse(source))
    return counter.seen


def slipped(source: str, number: int) -> tuple[str, str]:
    """The module with its slip of that number, and what was done."""
    slip = Slip(number)
    tree = slip.visit(ast.parse(source))
    return ast.unparse(ast.fix_missing_locations(tree)), slip.told


def noticed(project: Path, tests: tuple[str, ...]) -> bool:
    """Whether a test fails on the copy, or does not end."""
    line = [
        sys.executable,
        "-m",
        "pytest",
        "-x",
        "-q",
        "-n",
        "0",
        "-p",
        "no:cacheprovider",
        "-m",
        "not server and not browser",
    ]
    surroundings = {**os.environ, "PYTHONPATH": str(project)}
    try:
        ran = subprocess.run([*line, *tests], cwd=project, env=surroundings, capture_output=True, timeout=SECONDS)
    except subprocess.TimeoutExpired:
        return True
    return ran.returncode != 0


def run(room: str, most: int, seed: int) -> tuple[int, int]:
    """Try slips of a room; how many were noticed, and how many were made."""
    code, tests = ROOMS[room]
    place = ROOT / code
    files = sorted(place.rglob("*.py")) if place.is_dir() else [place]
    every = [(path, number) for path in files for number in range(count(path.read_text(encoding="utf-8")))]
    chosen = random.Random(seed).sample(every, min(most, len(every)))
    found = 0
    with tempfile.TemporaryDirectory() as folder:
        project = Path(folder)
        for name in ("partcheck", "tests", "catalog_samples", "db"):
            shutil.copytree(ROOT / name, project / name, ignore=shutil.ignore_patterns("__pycache__"))
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "CHANGELOG.md"):
            shutil.copy(ROOT / name, project / name)
        if not chosen or noticed(project, tests):
            sys.exit(f"{room}: its tests fail as it stands, so they would notice everything")
        for path, number in chosen:
            source, inside = path.read_text(encoding="utf-8"), path.relative_to(ROOT)
            made, told = slipped(source, number)
            (project / inside).write_text(made, encoding="utf-8")
            if noticed(project, tests):
                found += 1
            else:
                print(f"not noticed: {inside}:{told}", flush=True)
            (project / inside).write_text(source, encoding="utf-8")
    return found, len(chosen)


if __name__ == "__main__":
    wanted, *numbers = sys.argv[1:] or ["all"]
    most, seed = [int(number) for number in numbers] + [20, 1][len(numbers) :]
    for name in ROOMS if wanted == "all" else [wanted]:
        killed, tried = run(name, most, seed)
        print(f"{name}: {killed} of {tried} slips noticed, {100 * killed / tried:.0f} %", flush=True)
