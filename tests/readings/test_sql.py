"""The database pre-filter drops certain failures only, and exactly those that the columns also see fail."""

from pathlib import Path

import numpy as np
import pytest
import sqlalchemy as sa

from partcheck.catalog import open_catalog
from partcheck.parameters import KINDS
from partcheck.parts import Part
from partcheck.policy import BENCH
from partcheck.readings.columns import columns_of, judge_columns
from partcheck.readings.sql import failure_counts, keep_clause
from partcheck.requirement import Verdict
from partcheck.roles import ROLES
from tests.roles.test_every_requirement import MODULES, facts_of, scattered

PLACED = [role.name for role in ROLES.values() if role.kind]


@pytest.fixture(scope="module")
def scattered_parts() -> dict[str, list[Part]]:
    random = np.random.default_rng(11)
    made: dict[str, list[Part]] = {}
    for name in PLACED:
        base = MODULES[name].PART
        parts = [scattered(base, random) for _ in range(80)]
        made[name] = [
            Part(p.kind, f"P{i}", "Example", {k: v for k, v in p.values.items() if v is not None}, p.tables)
            for i, p in enumerate(parts)
        ]
    return made


@pytest.mark.parametrize("name", PLACED)
def test_keeps_every_part_that_is_not_certain_to_fail(
    name: str, scattered_parts: dict[str, list[Part]], anywhere: str
) -> None:
    role, parts = ROLES[name], scattered_parts[name]
    facts = {key: fact.value for key, fact in facts_of(role, MODULES[name].FACTS, BENCH, {}).items()}
    judged = judge_columns(role, columns_of(role.kind, parts), facts, len(parts), 0.1)
    fails = judged.overall(role) == Verdict.FAILS
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add(parts, "test", "2026-01-01")
        table = catalog.table(role.kind)
        clause = keep_clause(role, table, facts)
        kept = {part.part_number for part in catalog.parts(role.kind, clause)}
        total, counts = catalog.tally(role.kind, failure_counts(role, table, facts))
    assert total == len(parts)
    for part, failing in zip(parts, fails, strict=True):
        assert part.part_number in kept or failing, "the database dropped a part that does not fail"
    for id_, count in counts.items():
        row = judged.verdicts[judged.ids.index(id_)]
        assert count == int((row == Verdict.FAILS).sum()), id_
    assert counts, "nothing of this role can be read by the database"


@pytest.mark.parametrize("name", PLACED)
def test_extreme_values_neither_end_a_query_nor_drop_a_part(name: str, anywhere: str, tmp_path: Path) -> None:
    """Zeros, blanks and both ends of every range: a server would end a query that divides by zero or overflows."""
    role, random = ROLES[name], np.random.default_rng(5)
    kind = KINDS[role.kind]
    parts = []
    for i in range(150):
        numbers = {c: random.choice([0.0, p.low, p.high]) for c, p in kind.columns().items() if not p.is_text}
        values = {c: float(v) for c, v in numbers.items() if random.random() < 0.8}
        parts.append(Part(role.kind, f"P{i}", "Example", values, MODULES[name].PART.tables))
    facts = {key: fact.value for key, fact in facts_of(role, MODULES[name].FACTS, BENCH, {}).items()}
    with np.errstate(all="ignore"):
        judged = judge_columns(role, columns_of(role.kind, parts), facts, len(parts), 0.1)
    fails = judged.overall(role) == Verdict.FAILS
    told = []
    for place in (anywhere, tmp_path / "compared.sqlite"):
        with open_catalog(place, create=True) as catalog:
            catalog.add(parts, "test", "2026-01-01")
            table = catalog.table(role.kind)
            kept = {part.part_number for part in catalog.parts(role.kind, keep_clause(role, table, facts))}
            told.append((kept, catalog.tally(role.kind, failure_counts(role, table, facts))))
    assert told[0] == told[1]
    assert not [
        part for part, failing in zip(parts, fails, strict=True) if part.part_number not in kept and not failing
    ]
    assert 0 < len(kept) < len(parts)


def test_a_slip_in_a_formula_is_not_taken_for_an_unknown_operation() -> None:
    from partcheck.requirement import Role

    role = Role("odd", "mosfet", "Odd")

    @role.requirement("V", "a test")
    def broken(p: object, n: object) -> object:
        """It is broken."""
        return len(p.vds_max), 1.0  # type: ignore[attr-defined]

    with pytest.raises(TypeError):
        keep_clause(role, sa.table("mosfet", sa.column("vds_max", sa.Double)), {})
