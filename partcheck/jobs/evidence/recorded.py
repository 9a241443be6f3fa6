"""What the tests recorded: ``formats/evidence.json``, written by ``python -m tests.evidence.record``."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

RECORDED = Path(__file__).parents[2] / "formats" / "evidence.json"


@dataclass(frozen=True)
class Check:
    """A number that a document prints, and what a side of a requirement gives for it (SI).

    ``seen`` says how well the number was seen; ``side`` is the demand, the capability or a quantity under them.
    """

    row: str
    side: str
    document: str
    seen: str
    note: str
    unit: str
    printed: float
    got: float

    @property
    def deviation(self) -> float:
        """Share by which the number that comes out is larger than the printed one."""
        return self.got / self.printed - 1


@dataclass(frozen=True)
class FormulaCheck:
    """A number that a document prints, and what functions of physics give for it, without any requirement."""

    row: str
    what: str
    document: str
    seen: str
    note: str
    printed: float
    got: float
    functions: tuple[str, ...]

    @property
    def deviation(self) -> float:
        """Share by which the number that comes out is larger than the printed one."""
        return self.got / self.printed - 1


@dataclass(frozen=True)
class Simulated:
    """One thing in the circuit reference: the largest share of what is allowed at places judged meets or tight."""

    what: str
    places: int
    worst: float


@dataclass(frozen=True)
class Recorded:
    """The whole record; requirements are named by role and id: ``mosfet-switch drain-voltage``."""

    made_on: str
    formulas: Mapping[str, tuple[str, str]]
    checks: Mapping[str, tuple[Check, ...]]
    formula_checks: tuple[FormulaCheck, ...]
    functions: Mapping[str, tuple[str, ...]]
    boards: int
    points: int
    simulated: Mapping[str, tuple[Simulated, ...]]


@cache
def recorded() -> Recorded:
    """The record that the package ships."""
    return read(json.loads(RECORDED.read_text(encoding="utf-8")))


def read(data: Mapping[str, Any]) -> Recorded:
    """A record out of its JSON."""
    checks: dict[str, tuple[Check, ...]] = {}
    for entry in data["checks"]:
        stated = {key: value for key, value in entry.items() if key != "requirement"}
        checks[entry["requirement"]] = (*checks.get(entry["requirement"], ()), Check(**stated))
    circuit = data["circuit"]
    return Recorded(
        data["made_on"],
        {name: (made["demand"], made["capability"]) for name, made in data["formulas"].items()},
        checks,
        tuple(FormulaCheck(**{**e, "functions": tuple(e["functions"])}) for e in data["formula_checks"]),
        {name: tuple(names) for name, names in data["functions"].items()},
        circuit["boards"],
        circuit["points"],
        {name: tuple(Simulated(**entry) for entry in made) for name, made in circuit["requirements"].items()},
    )
