"""Writes what the tests know: ``python -m tests.evidence.record [BOARDS [MINUTES]]``."""

import json
import math
import sys
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from partcheck.jobs.evidence.recorded import RECORDED
from tests.evidence import behind, published, simulated


def made(boards: int, minutes: float, before: dict[str, Any]) -> dict[str, Any]:
    """The whole record; without boards what was simulated ``before``."""
    with tempfile.TemporaryDirectory() as folder:
        circuit = before.get("circuit", {"boards": 0, "points": 0, "requirements": {}})
        if boards:
            circuit = simulated.simulate(
                boards, Path(folder), minutes, lambda done: print(f"{done} boards", flush=True)
            )
        return {
            "format": 1,
            "made_on": date.today().isoformat(),
            "formulas": behind.formulas(),
            "checks": published.checks(),
            "formula_checks": published.formula_checks(),
            "functions": behind.functions(Path(folder)),
            "circuit": circuit,
        }


if __name__ == "__main__":
    old = json.loads(RECORDED.read_text(encoding="utf-8")) if RECORDED.exists() else {}
    asked = [float(word) for word in sys.argv[1:3]]
    new = made(int(asked[0]) if asked else 0, asked[1] if len(asked) > 1 else math.inf, old)
    RECORDED.write_text(json.dumps(new, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
