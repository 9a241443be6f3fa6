"""A published number taken through a whole requirement: the part in its place, as `explain` judges it.

The part and the facts are those of ``tests/examples/roles`` with what the document prints put in; what the document does
not print is worked out from it ("ours") or left as it is where the requirement does not read it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import pytest

from partcheck.parts import Part, point_table
from partcheck.policy import DATASHEET, Policy
from partcheck.readings.explain import explain, open_views
from partcheck.requirement import Role
from partcheck.roles import LINK_ROLES, ROLES
from tests.roles.test_every_requirement import MODULES, facts_of

from ._case import LOOSEST

ALL_ROLES: dict[str, Role] = {**ROLES, **LINK_ROLES}


@dataclass(frozen=True)
class Through:
    """A printed number ``value`` (SI) that a side of a requirement gives within ``rel``.

    The side is its ``demand`` or ``capability``, or a quantity of the same part in the same place that it rests on.

    ``row`` numbers it as the other checks of this room do. ``rel`` is half a unit of the last printed digit
    unless ``note`` says otherwise; of several comparisons the worst is read.
    """

    role: str
    requirement: str
    row: str
    side: str
    value: float
    rel: float
    source: str
    seen: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    values: Mapping[str, Any] = field(default_factory=dict)
    tables: Mapping[str, Any] = field(default_factory=dict)
    policy: Policy = DATASHEET
    note: str = ""

    def __post_init__(self) -> None:
        if not (self.source and self.seen and 0 < self.rel <= LOOSEST and self.value):
            raise ValueError(f"{self.row} {self.requirement}: a check needs a source, a way seen and a tolerance")

    @property
    def name(self) -> str:
        """The name of the test."""
        return f"{self.row} {self.role} {self.requirement} {self.side} {self.value:g}"

    def got(self) -> float:
        """What the requirement gives."""
        role, module = ALL_ROLES[self.role], MODULES[self.role]
        wanted = replace(role, requirements={self.requirement: role.requirements[self.requirement]})
        base = dict(getattr(module, "FACTS", {})) | dict(self.facts)
        part, facts = self._part(module.PART), facts_of(wanted, base, self.policy, {})
        if self.side not in ("demand", "capability"):
            assert self.side in role.quantities, self.side
            return float(getattr(open_views(role, part, facts)[0], self.side).value)
        found = explain(wanted, part, facts, 0.0)
        assert len(found) == 1, f"{self.name} is not asked"
        return float(getattr(found[0].compared[0], self.side))

    @property
    def unit(self) -> str:
        """Of the printed number."""
        role = ALL_ROLES[self.role]
        return (role.quantities.get(self.side) or role.requirements[self.requirement]).unit

    def _part(self, part: Part | None) -> Part | None:
        if part is None:
            return None
        tables = {name: point_table(part.kind, name, rows) for name, rows in self.tables.items()}
        return Part(part.kind, part.part_number, part.maker, {**part.values, **self.values}, {**part.tables, **tables})

    def check(self) -> None:
        """Raise AssertionError unless the number comes out."""
        said = f"{self.name}: {self.source} [{self.seen}] {self.note}"
        assert self.got() == pytest.approx(self.value, rel=self.rel, abs=0), said
